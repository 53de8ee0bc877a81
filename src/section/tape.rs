//! All the channels that a tape and a rule could have measured.
//!
//! Given are the mouth `m` and the depth `d` by rule, and the tape `T`: the length of a
//! tape pressed along the recess from lip to lip. They fix the extra `T - m`, but not the
//! shape: a family of channels has the same three readings. Found is a sample of it, each
//! member of exactly that tape, so that a width can be given with the doubt the missing
//! readings leave, and the one further reading that removes most of it.
//!
//! A wall that runs `u` sideways has the angle `a = atan2(d, u)`, and with the radii `r` of
//! its lip and foot, cut into `n` facets each, it adds to the mouth
//!
//! ```text
//! e(u) = hypot(d, u) - u - sum over r of [2 r tan(a/2) - 2 n r sin(a/2n)]
//! e(left) + e(right) = T - m
//! ```
//!
//! `e` falls with `u` wherever the radii fit, `(r_lip + r_foot) tan(a/2) <= hypot(d, u)`, so
//! one unknown a member is solved in a bracket: both walls alike, one beside a given one,
//! or both moved alike where both were read; beside a floor that was read, the difference
//! of the walls.
//!
//! All lengths are those of the sharp outline, and both ends of the tape are the ends of
//! the mouth: whichever marks are used for both, the extra is the same. Not covered: walls
//! that are curved all the way, a floor that slopes, undercuts.

use super::shape::{FLAT, run_of};
use super::typed::{Least, Typed};
use super::{Section, Units};
use crate::fault::{Bit, Hint, Refused};
use crate::geometry::{Outline, Rounding, halved};
use serde::{Deserialize, Serialize};
use std::f64::consts::FRAC_PI_2;

/// How far a tape reading may lie outside what is possible, mm: a tape is read to 1 mm.
const TAPE_ERROR: f64 = 1.0;

/// How far walls or floor as read may put the tape off, mm. Smaller refuses honest readings
/// (a wall read 3 degrees wrong moves the tape by 1 mm), larger takes slips for readings.
const CONSISTENT: f64 = 2.0;

/// Radii tried where none was read, mm: sharp, pencil-round, thumb-round.
const RADII: [f64; 3] = [0.0, 3.0, 8.0];

/// Radii tried where a wall was read, which leaves room for a finer sample, mm.
const FINE_RADII: [f64; 5] = [0.0, 1.5, 3.0, 5.0, 8.0];

/// Least difference of the walls' runs that makes a member of its own, mm.
const UNEVEN: f64 = 0.1;

/// Facets of each half of a round bottom, the same at any radius, so that its length is a
/// continuous function of the unknown; within 1e-3 mm up to a radius of 50 at vertical walls.
const BOTTOM_FACETS: usize = 128;

/// Least doubt about an answer that is worth a further reading, mm.
const WORTH: f64 = 1.0;

/// One channel that has the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Its section, with 60 mm of flat on each side.
    pub section: Section,
    /// Angle of the left wall from the mouth line, degrees; 90 is vertical.
    pub left_wall: f64,
    /// Angle of the right wall from the mouth line, degrees; 90 is vertical.
    pub right_wall: f64,
    /// Floor between the lines of the walls, mm.
    pub floor: f64,
    /// Radius of both lips, mm; 0 is sharp.
    pub lip_radius: f64,
    /// Radius between walls and floor, mm; 0 is sharp.
    pub foot_radius: f64,
}

impl Member {
    /// What tells it from the others.
    pub fn shape(&self) -> MemberShape {
        MemberShape {
            left_wall_deg: self.left_wall,
            right_wall_deg: self.right_wall,
            floor_mm: self.floor,
            lip_radius_mm: self.lip_radius,
            foot_radius_mm: self.foot_radius,
        }
    }
}

/// What tells one member of a family from the others.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MemberShape {
    /// Angle of the left wall from the mouth line, degrees.
    pub left_wall_deg: f64,
    /// Angle of the right wall from the mouth line, degrees.
    pub right_wall_deg: f64,
    /// Floor between the lines of the walls, mm.
    pub floor_mm: f64,
    /// Radius of both lips, mm.
    pub lip_radius_mm: f64,
    /// Radius between walls and floor, mm.
    pub foot_radius_mm: f64,
}

/// The one more reading that would narrow a range of answers most.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Narrower {
    /// What to measure.
    pub measure: Further,
    /// How well it can be read in the bay, degrees or mm.
    pub error: f64,
    /// Least answer of the family, mm.
    pub from_mm: f64,
    /// Greatest, mm.
    pub to_mm: f64,
    /// Range left at most, mm.
    pub left_mm: f64,
}

/// The channels that have the same tape readings.
#[derive(Debug, Clone, PartialEq)]
pub struct TapeFamily {
    members: Vec<Member>,
    nominal: usize,
    open: Vec<Further>,
    /// Tape less mouth, mm: the length the film must gain.
    pub extra: f64,
}

impl TapeFamily {
    /// The members; never empty.
    pub fn members(&self) -> &[Member] {
        &self.members
    }

    /// Index of the even, sharpest member, which stands for the family.
    pub fn nominal(&self) -> usize {
        self.nominal
    }

    /// The even, sharpest member, which stands for the family.
    pub fn nominal_member(&self) -> &Member {
        &self.members[self.nominal]
    }

    /// Says which one further reading would narrow a range of answers most.
    ///
    /// A reading leaves those members whose value lies within the error of that reading;
    /// the doubt left is the widest range of answers among such members, whatever the value.
    ///
    /// # Arguments
    /// * `answers`: the bridge width of each member, mm, in the order of
    ///   [`members`](Self::members); `None` where there is none.
    ///
    /// Returns `None` if the answers lie within 1 mm, or no open reading takes off a tenth.
    pub fn narrow_by(&self, answers: &[Option<f64>]) -> Option<Narrower> {
        let known: Vec<(&Member, f64)> = self
            .members
            .iter()
            .zip(answers)
            .filter_map(|(m, a)| Some((m, (*a)?)))
            .filter(|k| k.1.is_finite())
            .collect();
        let (least, most) = range(known.iter().map(|k| k.1))?;
        let doubt = |further: &Further| {
            known
                .iter()
                .filter_map(|(m, _)| doubt_beside(&known, *further, further.value(m)))
                .fold(0.0, f64::max)
        };
        let (left, further) = self
            .open
            .iter()
            .map(|f| (doubt(f), *f))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        if most - least < WORTH || left > 0.9 * (most - least) {
            return None;
        }
        Some(Narrower {
            measure: further,
            error: further.error(),
            from_mm: least,
            to_mm: most,
            left_mm: left,
        })
    }
}

/// Range of the answers of those members whose `further` reading could be `value`, mm.
fn doubt_beside(known: &[(&Member, f64)], further: Further, value: f64) -> Option<f64> {
    let beside = known
        .iter()
        .filter(|(m, _)| (further.value(m) - value).abs() <= further.error());
    range(beside.map(|k| k.1)).map(|(least, most)| most - least)
}

/// Least and greatest of some numbers.
fn range(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |range, v| {
        Some(range.map_or((v, v), |(a, b): (f64, f64)| (a.min(v), b.max(v))))
    })
}

/// A reading that could still be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Further {
    /// The angle of the left wall.
    LeftWall,
    /// The angle of the right wall.
    RightWall,
    /// The width of the floor.
    Floor,
    /// The radius of the lips.
    LipRadius,
    /// The radius at the feet.
    FootRadius,
}

impl Further {
    /// The member's value of this reading, degrees or mm.
    fn value(self, member: &Member) -> f64 {
        match self {
            Self::LeftWall => member.left_wall,
            Self::RightWall => member.right_wall,
            Self::Floor => member.floor,
            Self::LipRadius => member.lip_radius,
            Self::FootRadius => member.foot_radius,
        }
    }

    /// How well it can be read in the bay, degrees or mm.
    fn error(self) -> f64 {
        match self {
            Self::LeftWall | Self::RightWall => 5.0,
            Self::Floor => 2.0,
            Self::LipRadius | Self::FootRadius => 1.0,
        }
    }
}

/// Reads tape and rule, `mouth=80,depth=25,tape=104,left=51,right=51`, and finds the
/// channels that have these readings.
///
/// Lengths may carry their unit, as in `mouth=3 1/8in`; the pairs are parted by commas, or
/// by semicolons or white space, and then a comma is a decimal one.
///
/// `mouth` is the width from lip to lip by rule, `depth` the depth below the rule, `tape`
/// the length of a tape pressed along the recess from lip to lip. Optional: `left` and
/// `right`, the walls in degrees from the mouth line (90 is vertical), `floor`,
/// `lip-radius`, `foot-radius`. A single wall and the radii are taken as read; where the
/// readings say more than a channel has unknowns, the tape decides, and walls and floor
/// may be off by what 2 mm of tape explain.
///
/// # Arguments
/// * `text`: the readings.
/// * `units`: what its lengths are typed in.
///
/// # Accuracy
/// The arc of every member is the tape reading to 1e-9 mm. A reading at most 1 mm outside
/// what mouth and depth allow is taken as the nearest one they do.
///
/// # Errors
/// [`Refused`] with every fault: a key or number that cannot be read, a reading that
/// is missing, a tape that fits no channel, with the range that does, and further readings
/// that contradict the first three.
///
/// # Example
/// ```
/// let family = tautspan::read_tape("mouth=80,depth=25,tape=104", tautspan::Units::Mm)?;
/// assert_eq!(family.extra, 24.0);
/// let section = &family.nominal_member().section;
/// assert!((section.line().end() - (104.0 + 120.0)).abs() < 1e-9);
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_tape(text: &str, units: Units) -> Result<TapeFamily, Refused> {
    let keys = "mouth depth tape left right floor lip-radius foot-radius";
    let mut typed = Typed::split(text, keys, units);
    let needed = ["mouth", "depth", "tape"].map(|key| typed.needed(key));
    let [left, right] = ["left", "right"].map(|key| typed.wall(key));
    let further = ["floor", "lip-radius", "foot-radius"];
    let [floor, lip, foot] = further.map(|key| typed.length(key, Least::Zero));
    let ([Some(mouth), Some(depth), Some(tape)], false) = (needed, typed.faulty()) else {
        return Err(typed.into_error("tape"));
    };
    let Some(extra) = possible_extra(&mut typed, mouth, depth, tape) else {
        return Err(typed.into_error("tape"));
    };
    let readings = Readings {
        mouth,
        depth,
        extra,
        left,
        right,
        floor,
        lip,
        foot,
    };
    let channels = readings.channels();
    let mut members = Vec::with_capacity(channels.len());
    let (mut nominal, mut plainest) = (0, (f64::INFINITY, f64::INFINITY));
    for channel in channels {
        let Some(member) = readings.member(&channel) else {
            continue;
        };
        if channel.plainness() < plainest {
            plainest = channel.plainness();
            nominal = members.len();
        }
        members.push(member);
    }
    if members.is_empty() {
        readings.contradiction(&mut typed);
        return Err(typed.into_error("tape"));
    }
    Ok(TapeFamily {
        members,
        nominal,
        open: readings.open(),
        extra,
    })
}

/// Tape less mouth, mm, as near the reading as a channel allows; notes one that is not near.
fn possible_extra(typed: &mut Typed<'_>, mouth: f64, depth: f64, tape: f64) -> Option<f64> {
    let (least, most) = (2.0 * (mouth / 2.0).hypot(depth), mouth + 2.0 * depth);
    let hint = if tape < least - TAPE_ERROR {
        Hint::PressTapeIn
    } else if tape > most + TAPE_ERROR {
        Hint::MarkAtLips
    } else {
        return Some(tape.clamp(least, most) - mouth);
    };
    typed.hinted(
        hint,
        ["a tape of ".into(), Bit::Length(tape)],
        [
            Bit::Length(least),
            " (a V) to ".into(),
            Bit::Length(most),
            " (vertical walls) for a mouth of ".into(),
            Bit::Length(mouth),
            " and a depth of ".into(),
            Bit::Length(depth),
        ],
    );
    None
}

/// What was read, mm and degrees.
#[derive(Debug, Clone, Copy)]
struct Readings {
    mouth: f64,
    depth: f64,
    extra: f64,
    left: Option<f64>,
    right: Option<f64>,
    floor: Option<f64>,
    lip: Option<f64>,
    foot: Option<f64>,
}

/// One channel of the family before it becomes a section.
#[derive(Debug, Clone, Copy)]
struct Channel {
    /// How far the walls run sideways, left and right, mm.
    runs: (f64, f64),
    lip: Rounding,
    foot: Rounding,
    /// May it stand for the family: flat floor, walls alike unless read?
    standard: bool,
}

impl Channel {
    /// Unevenness that was not read, then radii, mm: the least stands for the family.
    fn plainness(&self) -> (f64, f64) {
        let uneven = if self.standard {
            0.0
        } else {
            UNEVEN + (self.runs.0 - self.runs.1).abs()
        };
        (uneven, self.lip.radius + self.foot.radius)
    }
}

impl Readings {
    /// The channels that have the readings.
    fn channels(&self) -> Vec<Channel> {
        let fine = self.left.is_some() || self.right.is_some();
        let grid: &[f64] = if fine { &FINE_RADII } else { &RADII };
        let of = |read: Option<f64>| read.map_or_else(|| grid.to_vec(), |r| vec![r]);
        let mut channels = Vec::new();
        for &lip in &of(self.lip) {
            for &foot in &of(self.foot) {
                self.add_pairs(Rounding::of(lip), Rounding::of(foot), &mut channels);
            }
        }
        channels.retain(|c| self.agrees(c));
        if !fine && self.floor.is_none() && self.foot.is_none() {
            let lips = of(self.lip).into_iter().map(Rounding::of);
            channels.extend(lips.filter_map(|lip| self.round_bottom(lip)));
        }
        channels
    }

    /// Adds the channels with these radii.
    fn add_pairs(&self, lip: Rounding, foot: Rounding, channels: &mut Vec<Channel>) {
        let mut add = |runs: Option<(f64, f64)>, standard: bool| {
            channels.extend(runs.map(|runs| Channel {
                runs,
                lip,
                foot,
                standard,
            }));
        };
        let run = |angle: Option<f64>| angle.map(|angle| run_of(self.depth, angle));
        let fitting = |runs: (f64, f64)| self.fits(runs, lip, foot).then_some(runs);
        match (run(self.left), run(self.right)) {
            (Some(left), Some(right)) => {
                add(self.moved((left, right), lip, foot).and_then(fitting), true);
            }
            (Some(left), None) => add(self.beside(left, lip, foot), true),
            (None, Some(right)) => add(self.beside(right, lip, foot).map(mirrored), true),
            (None, None) if self.floor.is_some() => self.add_on_floor(lip, foot, add),
            (None, None) => {
                let Some(even) = self.moved((0.0, 0.0), lip, foot).and_then(fitting) else {
                    return;
                };
                add(Some(even), true);
                let steepest = self.steepest(even.0, lip, foot);
                if even.0 - steepest <= UNEVEN {
                    return;
                }
                Self::add_uneven(self.beside(steepest, lip, foot), &mut add);
                if self.lip.is_some() || self.foot.is_some() || lip == foot {
                    let half = (even.0 + steepest) / 2.0;
                    Self::add_uneven(self.beside(half, lip, foot), &mut add);
                }
            }
        }
    }

    /// Adds a pair of walls and its mirror image.
    fn add_uneven(runs: Option<(f64, f64)>, mut add: impl FnMut(Option<(f64, f64)>, bool)) {
        add(runs, false);
        add(runs.map(mirrored), false);
    }

    /// Adds the walls beside a floor as read: even ones, if the tape agrees, and the pair
    /// that is as uneven as the tape asks.
    fn add_on_floor(
        &self,
        lip: Rounding,
        foot: Rounding,
        mut add: impl FnMut(Option<(f64, f64)>, bool),
    ) {
        let both = self.mouth - self.floor.unwrap_or(self.mouth);
        let even = (both / 2.0, both / 2.0);
        if both < 0.0 {
            return;
        }
        let fitting = |runs: (f64, f64)| self.fits(runs, lip, foot).then_some(runs);
        if self.surplus(even, lip, foot).abs() <= CONSISTENT {
            add(self.moved(even, lip, foot).and_then(fitting), true);
        }
        let uneven = |left: f64| (left, both - left);
        let left = root(0.0, both / 2.0, |left| {
            self.surplus(uneven(left), lip, foot)
        });
        Self::add_uneven(
            left.map(uneven)
                .filter(|runs| runs.1 - runs.0 > UNEVEN)
                .and_then(fitting),
            add,
        );
    }

    /// What a wall of this run adds to the mouth, `e(u)` of the header, mm.
    fn wall(&self, run: f64, lip: Rounding, foot: Rounding) -> f64 {
        let angle = self.depth.atan2(run);
        self.depth.hypot(run) - run - lip.saving(angle) - foot.saving(angle)
    }

    /// What both walls add beyond the reading, mm.
    fn surplus(&self, runs: (f64, f64), lip: Rounding, foot: Rounding) -> f64 {
        self.wall(runs.0, lip, foot) + self.wall(runs.1, lip, foot) - self.extra
    }

    /// Both walls moved alike from `runs` until the tape is right.
    fn moved(&self, runs: (f64, f64), lip: Rounding, foot: Rounding) -> Option<(f64, f64)> {
        let at = |shift: f64| ((runs.0 + shift).max(0.0), (runs.1 + shift).max(0.0));
        let room = (self.mouth - runs.0 - runs.1) / 2.0;
        root(-runs.0.max(runs.1), room, |shift| {
            self.surplus(at(shift), lip, foot)
        })
        .map(at)
    }

    /// The right wall beside a left one of the run `left`, if the pair fits.
    fn beside(&self, left: f64, lip: Rounding, foot: Rounding) -> Option<(f64, f64)> {
        let right = root(0.0, self.mouth - left, |right| {
            self.surplus((left, right), lip, foot)
        })?;
        self.fits((left, right), lip, foot).then_some((left, right))
    }

    /// Least run of a left wall that still has a right one, below the `even` run, mm.
    fn steepest(&self, even: f64, lip: Rounding, foot: Rounding) -> f64 {
        let fits = |left: f64| self.beside(left, lip, foot).is_some();
        if fits(0.0) {
            return 0.0;
        }
        // 30 halvings: a sample of the family needs no more than 1e-9 of the mouth.
        halved((0.0, even), 30, fits).1
    }

    /// Do the radii fit between flat, walls and floor?
    fn fits(&self, runs: (f64, f64), lip: Rounding, foot: Rounding) -> bool {
        const SLACK: f64 = 1e-9;
        let slope = |run: f64| (self.depth.atan2(run) / 2.0).tan();
        let wall = |run: f64| {
            (lip.radius + foot.radius) * slope(run) <= self.depth.hypot(run) + SLACK
                && lip.radius * slope(run) <= FLAT
        };
        let floor = self.mouth - runs.0 - runs.1;
        wall(runs.0)
            && wall(runs.1)
            && foot.radius * (slope(runs.0) + slope(runs.1)) <= floor + SLACK
    }

    /// Would the walls and the floor as read give the tape as read, within its error?
    fn agrees(&self, channel: &Channel) -> bool {
        let near =
            |runs: (f64, f64)| self.surplus(runs, channel.lip, channel.foot).abs() <= CONSISTENT;
        let run = |angle: Option<f64>| angle.map(|angle| run_of(self.depth, angle));
        let (left, right) = (run(self.left), run(self.right));
        if let (Some(left), Some(right)) = (left, right)
            && !near((left, right))
        {
            return false;
        }
        let (Some(floor), true) = (self.floor, left.is_some() || right.is_some()) else {
            return true;
        };
        // Move what was not read until the floor is as read.
        let (a, b) = channel.runs;
        let wider = self.mouth - a - b - floor;
        let share = match (left, right) {
            (Some(_), None) => (0.0, wider),
            (None, Some(_)) => (wider, 0.0),
            _ => (wider / 2.0, wider / 2.0),
        };
        near(((a + share.0).max(0.0), (b + share.1).max(0.0)))
    }

    /// The even channel whose floor is an arc from wall to wall, if the tape has one.
    ///
    /// Its foot radius takes up the whole floor, `2 r tan(a/2) = m - 2u`; at the shortest
    /// wall that holds the arc it is the circular segment, at no floor the V.
    fn round_bottom(&self, lip: Rounding) -> Option<Channel> {
        let half = self.mouth / 2.0;
        let foot = |run: f64| Rounding {
            radius: (half - run).max(0.0) / (self.depth.atan2(run) / 2.0).tan(),
            facets: BOTTOM_FACETS,
        };
        // (m/2 - u)² = d² + u² where the walls are all arc.
        let segment = ((half * half - self.depth * self.depth) / self.mouth).max(0.0);
        let run = root(segment, half, |run| {
            self.surplus((run, run), lip, foot(run))
        })?;
        let channel = Channel {
            runs: (run, run),
            lip,
            foot: foot(run),
            standard: false,
        };
        let floor = self.mouth - 2.0 * run;
        (floor > UNEVEN && self.fits(channel.runs, lip, channel.foot)).then_some(channel)
    }

    /// The channel as a member; `None` if it is too small or too large for a section.
    fn member(&self, channel: &Channel) -> Option<Member> {
        let outline = Outline::channel(self.mouth, self.depth, channel.runs, FLAT);
        let section = Section::new("tape", &outline.rounded(channel.lip, channel.foot)).ok()?;
        let angle = |run: f64| self.depth.atan2(run).min(FRAC_PI_2).to_degrees();
        Some(Member {
            section: section.computed(),
            left_wall: angle(channel.runs.0),
            right_wall: angle(channel.runs.1),
            floor: (self.mouth - channel.runs.0 - channel.runs.1).max(0.0),
            lip_radius: channel.lip.radius,
            foot_radius: channel.foot.radius,
        })
    }

    /// The readings that could still be taken.
    fn open(&self) -> Vec<Further> {
        [
            (Further::LeftWall, self.left),
            (Further::RightWall, self.right),
            (Further::Floor, self.floor),
            (Further::LipRadius, self.lip),
            (Further::FootRadius, self.foot),
        ]
        .into_iter()
        .filter(|(_, read)| read.is_none())
        .map(|(further, _)| further)
        .collect()
    }

    /// Notes that no channel has all the readings, and what the first three alone allow.
    fn contradiction(&self, typed: &mut Typed<'_>) {
        let bare = Self {
            left: None,
            right: None,
            floor: None,
            lip: None,
            foot: None,
            ..*self
        };
        let channels = bare.channels();
        let runs = || channels.iter().map(|c| c.runs);
        let floors = range(runs().map(|runs| (self.mouth - runs.0 - runs.1).max(0.0)));
        let walls = range(runs().map(|runs| self.depth.atan2(runs.0).to_degrees()));
        let mut read = vec!["left", "right", "floor", "lip-radius", "foot-radius"];
        read.retain(|key| typed.has(key));
        let found = "no channel that has all the readings";
        let (Some(floor), Some(wall), false) = (floors, walls, read.is_empty()) else {
            typed.hinted(Hint::MeasureAll, found, "readings of a channel");
            return;
        };
        let expected = [
            "mouth, depth and tape to leave a floor of ".into(),
            Bit::Length(floor.0),
            " to ".into(),
            Bit::Length(floor.1),
            " and walls of ".into(),
            Bit::Number(wall.0.round()),
            " to ".into(),
            Bit::Number(wall.1.round()),
            " degrees, with radii up to some ".into(),
            Bit::Length(RADII[RADII.len() - 1]),
        ];
        typed.hinted(Hint::MeasureAgain(read), found, expected);
    }
}

/// The same walls the other way round.
fn mirrored(runs: (f64, f64)) -> (f64, f64) {
    (runs.1, runs.0)
}

/// Root of a falling function in a bracket, by halving it to the last bit; `None` if the
/// bracket does not hold one. An end within 1e-10 of zero counts as the root.
fn root(low: f64, high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    const NEAR: f64 = 1e-10;
    let (mut a, mut b) = (low, high);
    let (at_a, at_b) = (f(a), f(b));
    if at_a.abs() <= NEAR {
        return Some(a);
    }
    if at_b.abs() <= NEAR {
        return Some(b);
    }
    if !(at_a > 0.0 && at_b < 0.0) {
        return None;
    }
    loop {
        let middle = a + (b - a) / 2.0;
        if middle <= a || middle >= b {
            return Some(middle);
        }
        if f(middle) > 0.0 {
            a = middle;
        } else {
            b = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn family(text: &str) -> TapeFamily {
        read_tape(text, Units::Mm).unwrap()
    }

    fn refused(text: &str) -> String {
        read_tape(text, Units::Mm).unwrap_err().to_string()
    }

    fn arcs_are(family: &TapeFamily, tape: f64) {
        for member in family.members() {
            // 240 square roots of some 1 mm: rounding alone is below 1e-12; the root is
            // found to the last bit of a run of up to 80 mm.
            let line = member.section.line();
            assert_relative_eq!(line.end() - 2.0 * FLAT, tape, epsilon = 1e-9);
            let deepest = line.points().iter().map(|p| p.y).fold(0.0, f64::min);
            assert!(deepest >= -25.0 - 1e-9 && member.section.warnings().is_empty());
        }
    }

    #[test]
    fn every_member_has_the_tape_reading() {
        for tape in [95.0, 98.0, 104.0, 115.0, 125.0] {
            let family = family(&format!("mouth=80,depth=25,tape={tape}"));
            arcs_are(&family, tape);
            let count = family.members().len();
            assert!((5..=50).contains(&count), "{tape}: {count}");
            assert_relative_eq!(family.extra, tape - 80.0);
        }
    }

    #[test]
    fn the_nominal_member_is_even_and_sharp() {
        // By hand: walls of run 20 over depth 25 are 32.0156 long, floor 40: 104.0312.
        let family = family("mouth=80,depth=25,tape=104.03124237432848");
        let member = family.nominal_member();
        assert_relative_eq!(member.floor, 40.0, epsilon = 1e-9);
        assert_relative_eq!(member.left_wall, 51.34019174590991, epsilon = 1e-9);
        assert_relative_eq!(member.lip_radius + member.foot_radius, 0.0);
    }

    #[test]
    fn the_family_reaches_a_vertical_wall_and_is_its_own_mirror() {
        let family = family("mouth=80,depth=25,tape=104");
        let steep = |f: fn(&Member) -> f64| family.members().iter().map(f).fold(0.0, f64::max);
        assert_relative_eq!(steep(|m| m.left_wall), 90.0, epsilon = 1e-9);
        assert_relative_eq!(steep(|m| m.right_wall), 90.0, epsilon = 1e-9);
    }

    #[test]
    fn a_circular_segment_is_among_the_round_bottoms() {
        // Chord 80, sagitta 25: radius 44.5, arc 44.5 · 2 atan2(40, 19.5) = 99.5135.
        let arc = 2.0 * 44.5 * 40.0_f64.atan2(19.5);
        let near = arc - 0.01;
        let family = family(&format!("mouth=80,depth=25,tape={near}"));
        let bottom = family.members().last().unwrap();
        assert_relative_eq!(bottom.foot_radius, 44.5, epsilon = 0.5);
        arcs_are(&family, near);
    }

    #[test]
    fn read_walls_and_radii_are_kept() {
        let family = family("mouth=80,depth=25,tape=104,left=60,lip-radius=2");
        arcs_are(&family, 104.0);
        for member in family.members() {
            assert_relative_eq!(member.left_wall, 60.0, epsilon = 1e-9);
            assert_relative_eq!(member.lip_radius, 2.0);
        }
    }

    #[test]
    fn a_read_floor_is_kept_by_uneven_walls() {
        let family = family("mouth=80,depth=25,tape=104,floor=40");
        let uneven = |m: &&Member| (m.left_wall - m.right_wall).abs() > 1.0;
        let uneven: Vec<_> = family.members().iter().filter(uneven).collect();
        assert!(!uneven.is_empty());
        for member in uneven {
            assert_relative_eq!(member.floor, 40.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn both_walls_and_the_tape_agree_within_two_millimetres() {
        let family = family("mouth=80,depth=25,tape=104,left=51,right=51");
        arcs_are(&family, 104.0);
        assert!((family.nominal_member().left_wall - 51.0).abs() < 1.0);
        let e = refused("mouth=80,depth=25,tape=104,left=70,right=70");
        assert!(
            e.contains("left, right again") && e.contains("floor of"),
            "{e}"
        );
    }

    #[test]
    fn a_floor_that_contradicts_the_tape_is_refused() {
        // A floor of 5 is possible, with one wall steep and the other gentle.
        arcs_are(&family("mouth=80,depth=25,tape=104,floor=5"), 104.0);
        arcs_are(&family("mouth=80,depth=25,tape=104,floor=40"), 104.0);
        assert!(refused("mouth=80,depth=25,tape=104,floor=70").contains("floor again"));
    }

    #[test]
    fn a_tape_that_fits_no_channel_gives_the_range() {
        // By hand: 2 hypot(40, 25) = 94.3398; 80 + 50 = 130.
        let e = refused("mouth=80,depth=25,tape=90");
        assert!(e.contains("94.34 mm (a V) to 130 mm"), "{e}");
        assert!(e.contains("press the tape"), "{e}");
        assert!(refused("mouth=80,depth=25,tape=140").contains("lips only"));
        // Within the error of a tape the nearest possible shape is taken.
        let near = family("mouth=80,depth=25,tape=94");
        assert_relative_eq!(near.nominal_member().floor, 0.0, epsilon = 1e-6);
        assert_relative_eq!(family("mouth=80,depth=25,tape=130.5").extra, 50.0);
    }

    #[test]
    fn all_faults_of_the_readings_are_reported() {
        let e = read_tape("mouth=8O,tape=104,left=95,wall=3", Units::Mm).unwrap_err();
        assert_eq!(e.faults.len(), 4, "{e}");
    }

    #[test]
    fn the_reading_that_decides_the_answers_is_named() {
        let family = family("mouth=80,depth=25,tape=104");
        let by = |f: fn(&Member) -> f64| {
            let answers: Vec<_> = family.members().iter().map(|m| Some(f(m))).collect();
            family.narrow_by(&answers).map(|n| n.measure)
        };
        assert_eq!(by(|m| 100.0 + 4.0 * m.lip_radius), Some(Further::LipRadius));
        assert_eq!(by(|m| 100.0 + m.foot_radius), Some(Further::FootRadius));
        assert_eq!(by(|m| 100.0 + m.left_wall), Some(Further::LeftWall));
        assert_eq!(by(|m| 100.0 + m.right_wall), Some(Further::RightWall));
        assert_eq!(by(|m| 100.0 + 3.0 * m.floor), Some(Further::Floor));
        assert_eq!(by(|_| 100.0), None);
        assert_eq!(family.narrow_by(&[]), None);
    }

    #[test]
    fn inches_are_read_as_inches() {
        let family = read_tape("mouth=4,depth=1,tape=5", Units::Inch).unwrap();
        assert_relative_eq!(family.extra, 25.4, epsilon = 1e-12);
    }
}
