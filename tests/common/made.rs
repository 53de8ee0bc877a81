//! Sections made from corners and fillets whose places are known, then disturbed by what must
//! not move them: the way the check table of the landmarks was made (its README).
//!
//! A [`Recipe`] says everything in plain numbers and [`Recipe::made`] builds the section from
//! it, always the same one: corners first, then fillets of 24 facets, points inserted along
//! facets, the panel bent, mirrored, shifted, rounded. The corners that matter carry a mark
//! through all of that, so the truth is read off the finished points.
//!
//! Lengths in mm, angles in degrees, x to the right, y out of the panel.

use tautspan::geometry::Vector;
use tautspan::section::RecessError;
use tautspan::{Kind, Point, Recess, Section, Survey};

/// Facets of a fillet, as in the table.
const FACETS: u32 = 24;
/// Most of a facet that a fillet at one of its ends may take.
const MOST_OF_A_FACET: f64 = 0.45;
/// How far off a sharp corner, or off the ends of a fillet, a lip is still right, mm; the
/// table's.
pub(crate) const GRACE: f64 = 1.0;
/// How far off a depth square to the mouth line may be, mm: coordinates of two decimals move
/// a lip and a floor by 0.005 each, and a lip read within its millimetre tilts the line.
pub(crate) const DEPTH_GRACE: f64 = 0.1;
/// Depth and half width of a scratch, mm; the table's.
const SCRATCH: (f64, f64) = (0.3, 3.0);

/// A level ledge in a wall: its height as a share of the wall from the top, and its length.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ledge {
    pub(crate) at: f64,
    pub(crate) length: f64,
}

/// A ridge on the floor: shares of the floor at which it starts, its top starts, its top ends
/// and it ends, and its height, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rib {
    pub(crate) at: [f64; 4],
    pub(crate) height: f64,
}

/// A facet that is scratched in its middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scratched {
    LeftFlat,
    RightFlat,
    LeftWall,
}

/// Radii of the fillets, 0 for a sharp corner, mm.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Radii {
    pub(crate) lips: (f64, f64),
    pub(crate) feet: (f64, f64),
}

/// A section in plain numbers. Left and right are as drawn, before it is mirrored.
#[derive(Debug, Clone)]
pub(crate) struct Recipe {
    /// What is in it that the table has a family for.
    pub(crate) family: &'static str,
    /// A step goes down to the right; its right wall, ribs and right lip are not there.
    pub(crate) kind: Kind,
    /// Depth of the left foot under the left lip.
    pub(crate) depth: f64,
    /// Angles of the walls over the horizontal, up to 90.
    pub(crate) walls: (f64, f64),
    /// Length of the floor along x; 0 for a vee.
    pub(crate) floor: f64,
    /// How steeply the floor rises to the right.
    pub(crate) floor_slope: f64,
    /// Height of the right lip over the left one.
    pub(crate) rise: f64,
    pub(crate) radii: Radii,
    pub(crate) ledges: (Option<Ledge>, Option<Ledge>),
    pub(crate) ribs: Vec<Rib>,
    pub(crate) scratches: Vec<Scratched>,
    /// Length along x of each flat.
    pub(crate) flats: (f64, f64),
    /// How steeply each flat rises outwards.
    pub(crate) slopes: (f64, f64),
    /// Distance of points inserted along facets.
    pub(crate) spacing: Option<f64>,
    /// Radius of the crown, positive outwards.
    pub(crate) crown: Option<f64>,
    pub(crate) shift: f64,
    pub(crate) decimals: bool,
    pub(crate) mirrored: bool,
    /// Clear panel stated, left and right as surveyed.
    pub(crate) clear: (f64, f64),
}

/// Corners that the truth is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    LeftLip,
    LeftFoot,
    RightFoot,
    RightLip,
}

impl Mark {
    fn mirrored(self) -> Self {
        match self {
            Self::LeftLip => Self::RightLip,
            Self::LeftFoot => Self::RightFoot,
            Self::RightFoot => Self::LeftFoot,
            Self::RightLip => Self::LeftLip,
        }
    }
}

/// A point of the chain, before it is rounded or bent a corner.
#[derive(Debug, Clone, Copy)]
struct Vertex {
    p: Point,
    radius: f64,
    mark: Option<Mark>,
}

fn plain(x: f64, y: f64) -> Vertex {
    Vertex {
        p: Point::new(x, y),
        radius: 0.0,
        mark: None,
    }
}

/// A range of x, mm.
pub(crate) type Range = (f64, f64);

/// What is to be found, as surveyed.
#[derive(Debug, Clone)]
pub(crate) struct Truth {
    pub(crate) kind: Kind,
    /// Where the lips must lie; `None` on the lower side of a step.
    pub(crate) lips: (Option<Range>, Option<Range>),
    /// Where the feet must lie, where there is a floor between two of them.
    pub(crate) feet: (Option<Range>, Option<Range>),
    /// Depth square to the line from lip to lip, where both lips are sharp.
    pub(crate) depth: Option<f64>,
}

/// A section with its truth.
#[derive(Debug, Clone)]
pub(crate) struct Made {
    pub(crate) what: String,
    pub(crate) points: Vec<Point>,
    pub(crate) clear: (f64, f64),
    pub(crate) truth: Truth,
}

impl Recipe {
    /// The plainest channel: sharp, level, flats of 100 mm, clear panel of 300 mm.
    pub(crate) fn channel(depth: f64, walls: (f64, f64), floor: f64) -> Self {
        Self {
            family: "channel",
            kind: Kind::Channel,
            depth,
            walls,
            floor,
            floor_slope: 0.0,
            rise: 0.0,
            radii: Radii::default(),
            ledges: (None, None),
            ribs: Vec::new(),
            scratches: Vec::new(),
            flats: (100.0, 100.0),
            slopes: (0.0, 0.0),
            spacing: None,
            crown: None,
            shift: 0.0,
            decimals: false,
            mirrored: false,
            clear: (300.0, 300.0),
        }
    }

    /// The section and its truth.
    pub(crate) fn made(&self) -> Made {
        let mut chain = filleted(&self.corners());
        if let Some(spacing) = self.spacing {
            chain = inserted(&chain, spacing);
        }
        // The rounding of a fillet at a vertical wall must not make x run back.
        for i in 1..chain.len() {
            chain[i].p.x = chain[i].p.x.max(chain[i - 1].p.x);
        }
        let (left, right) = self.mouth();
        for v in &mut chain {
            if let Some(radius) = self.crown {
                v.p.y -= (v.p.x - 0.5 * (left + right)).powi(2) / (2.0 * radius);
            }
            if self.mirrored {
                v.p.x = -v.p.x;
                v.mark = v.mark.map(Mark::mirrored);
            }
            v.p.x += self.shift;
            if self.decimals {
                v.p = Point::new(hundredth(v.p.x), hundredth(v.p.y));
            }
        }
        if self.mirrored {
            chain.reverse();
        }
        Made {
            what: self.what(),
            points: chain.iter().map(|v| v.p).collect(),
            clear: self.clear,
            truth: self.truth(&chain),
        }
    }

    /// Where the left lip and the right lip, or the foot of a step, stand as drawn, mm.
    fn mouth(&self) -> (f64, f64) {
        let corners = self.corners();
        let x = |mark| corners.iter().find(|v| v.mark == Some(mark)).map(|v| v.p.x);
        let right = x(Mark::RightLip).or_else(|| x(Mark::LeftFoot));
        (0.0, right.expect("a right lip or a foot"))
    }

    fn corners(&self) -> Vec<Vertex> {
        let scratched = |place| self.scratches.contains(&place);
        let (lips, feet) = (self.radii.lips, self.radii.feet);
        let lip = Vertex {
            radius: lips.0,
            mark: Some(Mark::LeftLip),
            ..plain(0.0, 0.0)
        };
        let far = plain(
            -self.flats.0,
            self.flats.0 * self.slopes.0.to_radians().tan(),
        );
        let mut all = vec![far];
        scratch(&mut all, lip.p, scratched(Scratched::LeftFlat));
        all.push(lip);
        let foot = wall(&mut all, self.walls.0, -self.depth, self.ledges.0);
        scratch(&mut all, foot, scratched(Scratched::LeftWall));
        all.push(Vertex {
            radius: feet.0,
            mark: Some(Mark::LeftFoot),
            ..plain(foot.x, foot.y)
        });
        if self.kind == Kind::Channel {
            let up = self.floor * self.floor_slope.to_radians().tan();
            let along =
                |t: f64, up_by: f64| plain(foot.x + t * self.floor, foot.y + t * up + up_by);
            for rib in &self.ribs {
                let heights = [0.0, rib.height, rib.height, 0.0];
                all.extend(rib.at.iter().zip(heights).map(|(&t, h)| along(t, h)));
            }
            if self.floor > 0.0 {
                all.push(Vertex {
                    radius: feet.1,
                    mark: Some(Mark::RightFoot),
                    ..along(1.0, 0.0)
                });
            }
            let upwards = self.depth - up + self.rise;
            let top = wall(&mut all, self.walls.1, upwards, self.ledges.1);
            all.push(Vertex {
                radius: lips.1,
                mark: Some(Mark::RightLip),
                ..plain(top.x, top.y)
            });
        }
        let last = all[all.len() - 1].p;
        let end = plain(
            last.x + self.flats.1,
            last.y + self.flats.1 * self.slopes.1.to_radians().tan(),
        );
        scratch(&mut all, end.p, scratched(Scratched::RightFlat));
        all.push(end);
        all
    }

    fn truth(&self, chain: &[Vertex]) -> Truth {
        let extent = |mark: Mark| {
            let xs = chain.iter().filter(|v| v.mark == Some(mark)).map(|v| v.p.x);
            let low = xs.clone().fold(f64::INFINITY, f64::min);
            let high = xs.fold(f64::NEG_INFINITY, f64::max);
            (low <= high).then_some((low - GRACE, high + GRACE))
        };
        let lips = (extent(Mark::LeftLip), extent(Mark::RightLip));
        let feet = (extent(Mark::LeftFoot), extent(Mark::RightFoot));
        let bottom = self.kind == Kind::Step || self.floor > 0.0;
        let corner = |mark| chain.iter().find(|v| v.mark == Some(mark)).map(|v| v.p);
        let sharp = self.radii.lips.0.max(self.radii.lips.1) <= 0.0;
        let depth = match (corner(Mark::LeftLip), corner(Mark::RightLip)) {
            (Some(a), Some(b)) if sharp => {
                let along = (b - a).normalize();
                let below = |p: Point| along.y * (p.x - a.x) - along.x * (p.y - a.y);
                let between = chain.iter().filter(|v| v.p.x >= a.x && v.p.x <= b.x);
                Some(between.map(|v| below(v.p)).fold(0.0, f64::max))
            }
            _ => None,
        };
        Truth {
            kind: self.kind,
            lips,
            feet: if bottom { feet } else { (None, None) },
            depth,
        }
    }

    fn what(&self) -> String {
        let mut all = Vec::new();
        let mut say = |is: bool, words: String| {
            if is {
                all.push(words);
            }
        };
        let level = self.slopes.0.abs().max(self.slopes.1.abs()) <= 0.0;
        say(!level, "flats sloped".into());
        let uneven = self.rise.abs() > 0.0;
        say(uneven, "flats at different heights".into());
        say(self.ledges.0.is_some(), "ledge in the left wall".into());
        say(self.ledges.1.is_some(), "ledge in the right wall".into());
        say(!self.ribs.is_empty(), "rib on the floor".into());
        say(!self.scratches.is_empty(), "scratch of 0.3 mm".into());
        say(self.spacing.is_some(), "points inserted".into());
        let crown = self.crown.unwrap_or_default();
        say(self.crown.is_some(), format!("panel crowned, R {crown:.0}"));
        say(self.mirrored, "mirrored".into());
        let shifted = self.shift.abs() > 0.0;
        say(shifted, format!("x shifted by {:.3}", self.shift));
        say(self.decimals, "2 decimals".into());
        format!("{}: {}", self.family, all.join(", "))
    }
}

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// A scratch in the middle of the facet from the last point to `end`, square to it.
fn scratch(all: &mut Vec<Vertex>, end: Point, wanted: bool) {
    if !wanted {
        return;
    }
    let start = all[all.len() - 1].p;
    let (middle, along) = (start + (end - start) * 0.5, (end - start).normalize());
    let (deep, half) = SCRATCH;
    let half = half.min(0.2 * (end - start).norm());
    let into = Vector::new(along.y, -along.x) * deep;
    for p in [middle - along * half, middle + into, middle + along * half] {
        // A chain may not run back, as a scratch in a vertical wall would.
        all.push(plain(p.x.max(all[all.len() - 1].p.x).min(end.x), p.y));
    }
}

/// Adds a ledge, if there is one, to a wall from the last point; returns the wall's end.
fn wall(all: &mut Vec<Vertex>, angle: f64, upwards: f64, ledge: Option<Ledge>) -> Point {
    let p = all[all.len() - 1].p;
    let run = if angle >= 90.0 {
        0.0
    } else {
        upwards.abs() / angle.to_radians().tan()
    };
    let Some(Ledge { at, length }) = ledge else {
        return Point::new(p.x + run, p.y + upwards);
    };
    // The share counts from the top.
    let t = if upwards < 0.0 { at } else { 1.0 - at };
    let edge = plain(p.x + t * run, p.y + t * upwards);
    all.push(edge);
    all.push(plain(edge.p.x + length, edge.p.y));
    Point::new(p.x + length + run, p.y + upwards)
}

/// The chain with its corners cut into facets.
fn filleted(corners: &[Vertex]) -> Vec<Vertex> {
    let mut all = vec![corners[0]];
    for w in corners.windows(3) {
        let (before, corner, after) = (w[0], w[1], w[2]);
        let (u, v) = (corner.p - before.p, after.p - corner.p);
        let turn = (u.x * v.y - u.y * v.x).atan2(u.dot(&v));
        let half = (0.5 * turn.abs()).tan();
        let most = MOST_OF_A_FACET * u.norm().min(v.norm());
        let tangent = (corner.radius * half).min(most);
        if tangent <= 0.0 {
            all.push(corner);
            continue;
        }
        let radius = tangent / half;
        let u = u.normalize();
        let start = corner.p - u * tangent;
        let side = Vector::new(-u.y, u.x) * turn.signum();
        let centre = start + side * radius;
        for k in 0..=FACETS {
            let (sin, cos) = (turn.abs() * f64::from(k) / f64::from(FACETS)).sin_cos();
            let p = centre - side * (radius * cos) + u * (radius * sin);
            all.push(Vertex { p, ..corner });
        }
    }
    all.push(corners[corners.len() - 1]);
    all
}

/// Points along every facet about as far apart as told.
fn inserted(chain: &[Vertex], spacing: f64) -> Vec<Vertex> {
    let mut all = Vec::new();
    for w in chain.windows(2) {
        all.push(w[0]);
        let pieces = ((w[1].p - w[0].p).norm() / spacing).round();
        let mut k = 1.0;
        while k < pieces {
            let p = w[0].p + (w[1].p - w[0].p) * (k / pieces);
            all.push(plain(p.x, p.y));
            k += 1.0;
        }
    }
    all.push(chain[chain.len() - 1]);
    all
}

impl Made {
    /// Reads the section with the clear panel stated.
    pub(crate) fn read(&self) -> Result<Recess, RecessError> {
        let section = Section::new("made", &self.points).expect("a section without faults");
        let survey = Survey {
            clear_left: self.clear.0,
            clear_right: self.clear.1,
            ..Survey::default()
        };
        Recess::find(section, survey)
    }

    /// What is wrong with kind, lips and depth as read, in words; empty if nothing is.
    pub(crate) fn misread(&self) -> Vec<String> {
        match self.read() {
            Ok(recess) => self.truth.faults(&recess),
            Err(error) => vec![error.to_string()],
        }
    }
}

/// Points as the command line takes them.
pub(crate) fn typed(points: &[Point]) -> String {
    let pair = |p: &Point| format!("{},{}", tidy(p.x), tidy(p.y));
    points.iter().map(pair).collect::<Vec<_>>().join(" ")
}

/// To a nanometre, without the zeros at its end.
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

impl Truth {
    /// What is wrong with kind, lips and depth as read, in words; empty if nothing is.
    pub(crate) fn faults(&self, recess: &Recess) -> Vec<String> {
        let mut all = Vec::new();
        if recess.kind() != self.kind {
            all.push(format!("{:?} instead of {:?}", recess.kind(), self.kind));
        }
        let outer = recess.outer();
        let sides = [
            ("left lip", self.lips.0, Some(outer.0)),
            ("right lip", self.lips.1, Some(outer.1)),
        ];
        all.extend(outside(recess, sides));
        if let Some(depth) = self.depth
            && (recess.depth() - depth).abs() > DEPTH_GRACE
        {
            all.push(format!("depth {:.3} instead of {depth:.3}", recess.depth()));
        }
        all
    }

    /// What is wrong with the feet as read, in words. The foot of a step is where reach is
    /// counted from on its lower side.
    pub(crate) fn misplaced_feet(&self, recess: &Recess) -> Vec<String> {
        let (outer, feet) = (recess.outer(), recess.feet());
        let sides = match (self.kind, self.lips) {
            (Kind::Channel, _) => [
                ("left foot", self.feet.0, feet.0),
                ("right foot", self.feet.1, feet.1),
            ],
            (Kind::Step, (Some(_), _)) => [
                ("foot", self.feet.0, Some(outer.1)),
                ("foot", self.feet.1, None),
            ],
            (Kind::Step, _) => [
                ("foot", self.feet.0, None),
                ("foot", self.feet.1, Some(outer.0)),
            ],
        };
        outside(recess, sides)
    }
}

/// Places outside their range, in words.
fn outside(recess: &Recess, sides: [(&str, Option<Range>, Option<f64>); 2]) -> Vec<String> {
    let mut all = Vec::new();
    for (name, range, s) in sides {
        let Some((low, high)) = range else { continue };
        let x = s.map_or(f64::NAN, |s| recess.panel().at(s).x);
        if !(low..=high).contains(&x) {
            all.push(format!("{name} at {x:.3}, not in {low:.3}..{high:.3}"));
        }
    }
    all
}
