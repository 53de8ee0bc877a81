//! Where the recess is: lips, walls, feet, floor, the deepest zone and the press.
//!
//! Lips and feet belong to the recess, not to the survey: they are where flat turns into wall,
//! found by swinging a rule over the panel (`rule.rs`), and walls make channels and steps
//! (`valley.rs`). Everything else is measured from them:
//!
//! * mouth line: straight from lip to lip, wherever the flats go;
//! * deepest zone: the connected run of panel within the gauge tolerance of the largest
//!   distance below the mouth line, the widest such run. Its middle is the press of a channel;
//!   a step is pressed at its foot;
//! * lip and foot zones: the run of panel within the tolerance of the furthest reach along the
//!   bisector of the two chords at the corner.
//!
//! Positions found as means and as "the middle of what lies within the tolerance" move
//! continuously with the readings, which a single lowest point would not.

use super::Section;
use super::kind::{Kind, RecessError, Side, Survey, Zone};
use super::notice::SectionNotice;
use super::pocket::{Pocket, below, pockets};
use super::prolong::prolong;
use super::rule::Corner;
use super::valley::{Seen, Valley, see};
use crate::geometry::{Point, Polyline, Vector, sort_by_number, taut_length};
use serde::{Deserialize, Serialize};

/// Length of flat beyond the lips within which a channel's extra is taken, in gauge
/// tolerances, where the recess is shallower than that.
const EXTRA_GAUGES: f64 = 20.0;
/// Smallest tolerance, mm: rounding of the coordinates.
pub(crate) const ROUNDING: f64 = 1e-9;

/// What a place of the panel is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// The left lip.
    LeftLip,
    /// The right lip.
    RightLip,
    /// The foot of a channel's left wall.
    LeftFoot,
    /// The foot of a channel's right wall.
    RightFoot,
    /// The foot of a step.
    Foot,
    /// Where the deepest zone begins.
    DeepestFrom,
    /// Where the deepest zone ends.
    DeepestTo,
    /// The press.
    Press,
}

impl Mark {
    /// A lip, or a foot?
    pub fn is_corner(self) -> bool {
        !matches!(self, Self::DeepestFrom | Self::DeepestTo | Self::Press)
    }

    /// A foot?
    pub fn is_foot(self) -> bool {
        matches!(self, Self::LeftFoot | Self::RightFoot | Self::Foot)
    }
}

/// A named place of the panel, for printing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Landmark {
    /// What it is.
    pub name: Mark,
    /// Arc length, mm from the left end of the survey.
    pub s_mm: f64,
    /// Abscissa, mm.
    pub x_mm: f64,
    /// Ordinate, mm.
    pub y_mm: f64,
}

/// A section with its recess found and its panel prolonged: what a lay-down starts from.
#[derive(Debug, Clone, PartialEq)]
pub struct Recess {
    section: Section,
    survey: Survey,
    panel: Polyline,
    kind: Kind,
    lower: Option<Side>,
    outer: (f64, f64),
    lip_zones: Runs,
    foot_zones: Runs,
    deepest: (f64, f64),
    press: f64,
    mouth: f64,
    depth: f64,
    extra: f64,
    reach_limit: (f64, f64),
    valleys: usize,
    level_from: Option<f64>,
    turn: f64,
    warnings: Vec<SectionNotice>,
    assumptions: Vec<SectionNotice>,
}

/// A run of panel on the left and on the right, arc lengths, mm, where there is one.
type Runs = (Option<(f64, f64)>, Option<(f64, f64)>);

impl Recess {
    /// Finds the recess of a section.
    ///
    /// # Errors
    /// [`RecessError`] if there is none, if the valley asked for is not there, or if a
    /// setting is out of range.
    pub fn find(section: Section, survey: Survey) -> Result<Self, RecessError> {
        for (key, value, least) in [
            ("gauge_tolerance_mm", survey.gauge_tolerance, 0.0),
            ("clear_left_mm", survey.clear_left, 0.0),
            ("clear_right_mm", survey.clear_right, 0.0),
            ("press_offset_mm", survey.press_offset, f64::NEG_INFINITY),
        ] {
            if !value.is_finite() || value < least || value > super::LONGEST {
                return Err(RecessError::BadSetting { key, value, least });
            }
        }
        let gauge = survey.gauge_tolerance.max(ROUNDING);
        let line = &section.line().without_slivers();
        let seen = see(line, gauge);
        let chosen = choose(&seen, line, &survey, gauge)?;
        let (first, last) = (&seen.valleys[0], &seen.valleys[seen.valleys.len() - 1]);
        let level = Vector::new(seen.turn.cos(), seen.turn.sin());
        let mut assumptions = Vec::new();
        let panel = prolong(line, &survey, gauge, (first, last), level, &mut assumptions);
        measure(section, survey, panel, &seen, chosen, assumptions)
    }

    /// The section as surveyed.
    pub fn section(&self) -> &Section {
        &self.section
    }
    /// How it was read.
    pub fn survey(&self) -> &Survey {
        &self.survey
    }
    /// The panel, prolonged past the surveyed ends; `s` = 0 at the survey's left end.
    pub fn panel(&self) -> &Polyline {
        &self.panel
    }
    /// Channel or step.
    pub fn kind(&self) -> Kind {
        self.kind
    }
    /// Side of the lower flat, for a step.
    pub fn lower(&self) -> Option<Side> {
        self.lower
    }
    /// Where reach is counted from, left and right: the lips; on a step's lower side the
    /// foot. Arc lengths, mm.
    pub fn outer(&self) -> (f64, f64) {
        self.outer
    }
    /// The deepest zone, arc lengths, mm.
    pub fn deepest(&self) -> (f64, f64) {
        self.deepest
    }
    /// Where the tool presses, arc length, mm.
    pub fn press(&self) -> f64 {
        self.press
    }
    /// Taut length lip to lip, or lip to foot for a step, mm.
    pub fn mouth(&self) -> f64 {
        self.mouth
    }
    /// Largest distance below the mouth line, or level difference of a step, mm.
    pub fn depth(&self) -> f64 {
        self.depth
    }
    /// Most unbonded panel beyond each lip or foot, mm: the clear length, or less where
    /// the next recess begins.
    pub fn reach_limit(&self) -> (f64, f64) {
        self.reach_limit
    }
    /// Angle by which the flats are turned from level, rad, positive if they rise to the right.
    pub fn turn(&self) -> f64 {
        self.turn
    }
    /// Number of valleys deeper than the gauge tolerance.
    pub fn valleys(&self) -> usize {
        self.valleys
    }
    /// Reach on both sides, mm, from which on a single channel lies between flats that are
    /// straight, level and in line: 0 for sharp lips, a little for rounded ones; `None` for any
    /// other section.
    pub fn level_from(&self) -> Option<f64> {
        self.level_from
    }
    /// What was seen that a user should know.
    pub fn warnings(&self) -> &[SectionNotice] {
        &self.warnings
    }
    /// What was assumed because it was not said.
    pub fn assumptions(&self) -> &[SectionNotice] {
        &self.assumptions
    }

    /// Arc less taut length of the bare recess, mm: what two tape readings give. For a
    /// step, between the lip and the far end of the clear panel.
    pub fn extra(&self) -> f64 {
        self.extra
    }

    /// The zone of a place, by its arc length on the bare panel, mm.
    pub fn zone(&self, s: f64) -> Zone {
        let within = |z: Option<(f64, f64)>| z.is_some_and(|(a, b)| s >= a - 1e-6 && s <= b + 1e-6);
        if within(self.lip_zones.0) || within(self.lip_zones.1) {
            return Zone::Lip;
        }
        if within(self.foot_zones.0) || within(self.foot_zones.1) {
            return Zone::Foot;
        }
        let (left, right) = self.outer;
        if s < left || s > right {
            return Zone::Flat;
        }
        match (self.foot_zones.0, self.foot_zones.1) {
            (Some((_, a)), Some((b, _))) if s > a && s < b => Zone::Floor,
            _ => Zone::Wall,
        }
    }

    /// The feet at the bottom of the left and of the right wall, arc lengths, mm; a round
    /// bottom has none.
    pub fn feet(&self) -> (Option<f64>, Option<f64>) {
        let middle = |z: (f64, f64)| 0.5 * (z.0 + z.1);
        (self.foot_zones.0.map(middle), self.foot_zones.1.map(middle))
    }

    /// The named places, left to right.
    pub fn landmarks(&self) -> Vec<Landmark> {
        let channel = self.kind == Kind::Channel;
        let foot = |of_channel: Mark| if channel { of_channel } else { Mark::Foot };
        let lip = |side: Side, s: f64| (self.lower != Some(side)).then_some(s);
        let (left_foot, right_foot) = self.feet();
        let mut places: Vec<(Mark, f64)> = [
            (Mark::LeftLip, lip(Side::Left, self.outer.0)),
            (foot(Mark::LeftFoot), left_foot),
            (Mark::DeepestFrom, channel.then_some(self.deepest.0)),
            (Mark::DeepestTo, channel.then_some(self.deepest.1)),
            (Mark::Press, Some(self.press)),
            (foot(Mark::RightFoot), right_foot),
            (Mark::RightLip, lip(Side::Right, self.outer.1)),
        ]
        .into_iter()
        .filter_map(|(mark, s)| Some((mark, s?)))
        .collect();
        sort_by_number(&mut places, |place| place.1);
        let named = |(name, s): (Mark, f64)| {
            let p = self.panel.at(s);
            Landmark {
                name,
                s_mm: s,
                x_mm: p.x,
                y_mm: p.y,
            }
        };
        places.into_iter().map(named).collect()
    }
}

/// The valley to work on: the one asked for, else the deepest, the left one of equals.
fn choose(seen: &Seen, line: &Polyline, survey: &Survey, gauge: f64) -> Result<usize, RecessError> {
    if seen.hill {
        let height = seen.valleys.iter().map(|v| v.depth).fold(0.0, f64::max);
        return Err(RecessError::Hill { height });
    }
    let found = seen.valleys.len();
    match (survey.valley, seen.deepest(gauge)) {
        (Some(asked), Some(_)) => asked
            .checked_sub(1)
            .filter(|i| *i < found)
            .ok_or(RecessError::NoSuchValley { asked, found }),
        (None, Some(deepest)) => Ok(deepest),
        (_, None) => Err(RecessError::NoRecess {
            deepest: pockets(line).iter().map(|p| p.depth).fold(0.0, f64::max),
            tolerance: survey.gauge_tolerance,
        }),
    }
}

/// Difference of widths or places, mm, below which two runs are alike.
const SAME_WIDTH: f64 = 1e-6;

/// The run of panel between two arc lengths that lies within `tolerance` of the furthest
/// reach along `direction`: the widest such run; of two as wide the one nearer the middle,
/// then the left one.
fn furthest_run(
    panel: &Polyline,
    from: f64,
    to: f64,
    direction: Vector,
    tolerance: f64,
) -> (f64, f64) {
    let chain = panel.between(from, to);
    let mut s = from;
    let mut stations: Vec<(f64, f64)> = Vec::with_capacity(chain.len());
    for (i, p) in chain.iter().enumerate() {
        if i > 0 {
            s += (p - chain[i - 1]).norm();
        }
        stations.push((s, p.coords.dot(&direction)));
    }
    let most = stations
        .iter()
        .map(|v| v.1)
        .fold(f64::NEG_INFINITY, f64::max);
    let level = most - tolerance;
    // Without a tolerance the points themselves count, not the rounding along a facet.
    let exact = tolerance <= ROUNDING;
    let edge = |a: (f64, f64), b: Option<&(f64, f64)>| match b {
        // Between a station inside and one outside the level.
        Some(b) if !exact => a.0 + (b.0 - a.0) * ((a.1 - level) / (a.1 - b.1)),
        _ => a.0,
    };
    let middle = 0.5 * (from + to);
    let mut best: Option<(f64, f64)> = None;
    let mut low = 0;
    while low < stations.len() {
        if stations[low].1 < level {
            low += 1;
            continue;
        }
        let mut high = low;
        while high + 1 < stations.len() && stations[high + 1].1 >= level {
            high += 1;
        }
        let left = edge(stations[low], low.checked_sub(1).map(|i| &stations[i]));
        let right = edge(stations[high], stations.get(high + 1));
        let off = |r: (f64, f64)| (0.5 * (r.0 + r.1) - middle).abs();
        let better = best.is_none_or(|b| {
            let wider = (right - left) - (b.1 - b.0);
            wider > SAME_WIDTH || (wider > -SAME_WIDTH && off((left, right)) < off(b) - SAME_WIDTH)
        });
        if better {
            best = Some((left, right));
        }
        low = high + 1;
    }
    best.unwrap_or((from, to))
}

/// The run of panel that makes up a corner: within `tolerance` of its furthest reach along the
/// bisector of the chords on both sides.
fn corner_run(panel: &Polyline, corner: Corner, tolerance: f64) -> (f64, f64) {
    let (outer, inner) = corner.window;
    let at = panel.at(corner.s);
    let (before, after) = (at - panel.at(outer), panel.at(inner) - at);
    if before.norm() < 1e-9 || after.norm() < 1e-9 {
        return (corner.s, corner.s);
    }
    let sum = before.normalize() - after.normalize();
    if sum.norm() <= 1e-9 {
        return (corner.s, corner.s);
    }
    let (from, to) = (outer.min(inner), outer.max(inner));
    let run = furthest_run(panel, from, to, sum.normalize(), tolerance);
    (run.0.min(corner.s), run.1.max(corner.s))
}

/// Measures the recess around the chosen valley.
fn measure(
    section: Section,
    survey: Survey,
    panel: Polyline,
    seen: &Seen,
    chosen: usize,
    mut assumptions: Vec<SectionNotice>,
) -> Result<Recess, RecessError> {
    let tolerance = survey.gauge_tolerance.max(ROUNDING);
    let valley = seen.valleys[chosen];
    let run = |corner: Corner| corner_run(&panel, corner, tolerance);
    let (left, right) = (valley.left, valley.right);
    let lip_zones = (left.map(|e| run(e.lip)), right.map(|e| run(e.lip)));
    let foot_zones = (left.map(|e| run(e.foot)), right.map(|e| run(e.foot)));
    let lower = valley.lower();
    let mut outer = valley.outer();
    let (deepest, bare_press) = match lower {
        None => {
            let along = (panel.at(outer.1) - panel.at(outer.0)).normalize();
            let down = Vector::new(along.y, -along.x);
            let zone = furthest_run(&panel, outer.0, outer.1, down, tolerance);
            (zone, panel.snap(0.5 * (zone.0 + zone.1)))
        }
        // A step's foot stands on its lower side.
        Some(Side::Right) => {
            let foot = foot_zones.0.unwrap_or((outer.1, outer.1));
            outer.1 = panel.snap(outer.1);
            (foot, outer.1)
        }
        Some(Side::Left) => {
            let foot = foot_zones.1.unwrap_or((outer.0, outer.0));
            outer.0 = panel.snap(outer.0);
            (foot, outer.0)
        }
    };
    let press = panel.snap(bare_press + survey.press_offset);
    if survey.press_offset != 0.0 && (press < outer.0 || press > outer.1) {
        return Err(RecessError::PressOutside {
            offset: survey.press_offset,
        });
    }
    let reach_limit = reach_limits(&panel, &survey, seen, chosen, &mut assumptions);
    let mut warnings = section.warnings().to_vec();
    warnings.extend(other_valleys(seen, chosen, &survey));
    Ok(Recess {
        kind: valley.kind(),
        valleys: seen.valleys.len(),
        mouth: taut_length(&panel, outer.0, outer.1),
        extra: extra(&panel, &valley, reach_limit, tolerance),
        level_from: (lower.is_none() && seen.valleys.len() == 1)
            .then(|| level_from(&panel, outer, press))
            .flatten(),
        turn: seen.turn,
        depth: valley.depth,
        section,
        survey,
        panel,
        lower,
        outer,
        lip_zones,
        foot_zones,
        deepest,
        press,
        reach_limit,
        warnings,
        assumptions,
    })
}

/// Says which of several recesses the answer is for, unless it was asked for.
fn other_valleys(seen: &Seen, chosen: usize, survey: &Survey) -> Option<SectionNotice> {
    let all = &seen.valleys;
    if all.len() < 2 || survey.valley.is_some() {
        return None;
    }
    let level = all[chosen].depth - survey.gauge_tolerance;
    let equal = all.iter().filter(|v| v.depth >= level).count() > 1;
    Some(SectionNotice::OneOfSeveral {
        count: all.len(),
        number: chosen + 1,
        equal,
    })
}

/// Arc less taut length of the bare recess, mm: of a channel with a little of its flats, so
/// that rounded lips count whole; of a step from the lip to the end of the clear panel.
fn extra(panel: &Polyline, valley: &Valley, reach: (f64, f64), tolerance: f64) -> f64 {
    let outer = valley.outer();
    let flat = valley.depth.max(EXTRA_GAUGES * tolerance);
    let (from, to) = match valley.lower() {
        None => (outer.0 - flat, outer.1 + flat),
        Some(Side::Right) => (outer.0, outer.1 + reach.1),
        Some(Side::Left) => (outer.0 - reach.0, outer.1),
    };
    let (from, to) = (from.max(panel.start()), to.min(panel.end()));
    (to - from - taut_length(panel, from, to)).max(0.0)
}

/// How far the film may be left unbonded on each side, mm.
fn reach_limits(
    panel: &Polyline,
    survey: &Survey,
    seen: &Seen,
    chosen: usize,
    assumptions: &mut Vec<SectionNotice>,
) -> (f64, f64) {
    let outer = seen.valleys[chosen].outer();
    let mut limit = |clear: f64, panel: f64, next: Option<f64>, side: Side| {
        let clear = clear.min(panel);
        match next {
            Some(land) if land < clear => {
                let mm = land.max(0.0);
                assumptions.push(SectionNotice::NextRecess { side, mm });
                mm
            }
            _ => clear,
        }
    };
    let before = chosen.checked_sub(1).map(|i| seen.valleys[i].outer().1);
    let after = seen.valleys.get(chosen + 1).map(|v| v.outer().0);
    let (before, after) = (before.map(|s| outer.0 - s), after.map(|s| s - outer.1));
    let (left, right) = (outer.0 - panel.start(), panel.end() - outer.1);
    (
        limit(survey.clear_left, left, before, Side::Left),
        limit(survey.clear_right, right, after, Side::Right),
    )
}

/// Reach beyond both lips, mm, from which on the flats lie straight on the line of the taut
/// film over the press, to rounding; `None` if they do not.
fn level_from(panel: &Polyline, outer: (f64, f64), press: f64) -> Option<f64> {
    let (points, lengths) = (panel.points(), panel.lengths());
    let over = |p: &Pocket| lengths[p.from] <= press && press <= lengths[p.to];
    let pocket = pockets(panel).into_iter().find(over)?;
    let (a, b) = (points[pocket.from], points[pocket.to]);
    let on_line = |p: &Point| below(a, b, *p).abs() <= 1e-9 * (1.0 + (p - a).norm());
    let level =
        points[..=pocket.from].iter().all(on_line) && points[pocket.to..].iter().all(on_line);
    let beyond = (outer.0 - lengths[pocket.from]).max(lengths[pocket.to] - outer.1);
    level.then_some(beyond.max(0.0))
}
