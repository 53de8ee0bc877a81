//! Where the recess is: lips, walls, feet, floor, the deepest zone and the press.
//!
//! The panel goes on straight past its surveyed ends. The taut film over it leaves the
//! panel at pockets; one deeper than the gauge tolerance is a valley, and an order
//! works on one valley. The segment of the taut film over that valley is the ruler that
//! everything here is measured from:
//!
//! * lip: the last convex corner, from the outside towards the press, within the
//!   tolerance of that segment;
//! * a side with no such corner, because the segment ends on the prolonged end of the
//!   panel, is the lower side of a step;
//! * deepest zone: the connected run of panel within the tolerance of the largest
//!   distance below the segment. Its middle is the press of a channel; a step is
//!   pressed at its foot;
//! * foot: where the panel reaches furthest along the bisector of wall and floor. The
//!   middle of a rounded corner, the corner itself of a sharp one.
//!
//! Positions found as "the middle of what lies within the tolerance" move continuously
//! with the readings, which a single lowest point would not.

use super::Section;
use super::pocket::{Pocket, below, ends_on_prolonged, pockets};
use super::polyline::{Point, Polyline, Vector, cross};
use super::prolong::{end_direction, prolong};
use super::taut::taut_length;
use serde::{Deserialize, Serialize};

/// Part of the depth within which a lip is looked for when the flats are not in line with
/// each other and the gauge tolerance finds none.
const OUT_OF_LINE: f64 = 0.15;
/// Sine of the turn below which an end of the segment is out on a flat: five degrees.
const FLAT_TURN: f64 = 0.087;
/// Length on both sides over which that turn is taken, as a part of the depth: longer than
/// noise, shorter than a wall.
const TURN_PART: f64 = 0.2;
/// Length of flat from which the upper level of a step is taken, mm.
const LEVEL_LENGTH: f64 = 30.0;
/// Smallest tolerance, mm: rounding of the coordinates.
pub(crate) const ROUNDING: f64 = 1e-9;

/// How the section is to be read, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Survey {
    /// Reading tolerance of the gauge, 0 or more; 0.5. Larger: shallower pockets are
    /// ignored and the deepest zone grows; smaller: single readings decide.
    pub gauge_tolerance: f64,
    /// Clear panel beyond the left lip or foot; 300.
    pub clear_left: f64,
    /// Clear panel beyond the right lip or foot; 300.
    pub clear_right: f64,
    /// Press moved along the panel, positive to the right; 0.
    pub press_offset: f64,
    /// Which valley, counted from the left from 1; the deepest if unsaid.
    pub valley: Option<usize>,
}

impl Default for Survey {
    fn default() -> Self {
        Self {
            gauge_tolerance: 0.5,
            clear_left: 300.0,
            clear_right: 300.0,
            press_offset: 0.0,
            valley: None,
        }
    }
}

/// Family of a recess.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A groove or channel that comes back up: a lip on both sides.
    Channel,
    /// A step down to a second level: a lip on one side, a foot on the other.
    Step,
}

/// Part of the panel a place belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Zone {
    /// Outside the lips, or beyond the foot of a step.
    Flat,
    /// The convex corner at the top of a wall.
    Lip,
    /// Between lip and foot.
    Wall,
    /// The concave corner at the bottom of a wall.
    Foot,
    /// Between the feet.
    Floor,
    /// Under the tool at a press.
    Pad,
}

/// A named place of the panel, for printing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Landmark {
    /// What it is.
    pub name: String,
    /// Arc length, mm from the left end of the survey.
    pub s_mm: f64,
    /// Abscissa, mm.
    pub x_mm: f64,
    /// Ordinate, mm.
    pub y_mm: f64,
}

/// Why a section has no recess to work on.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RecessError {
    /// No pocket is deeper than the gauge tolerance.
    #[error(
        "the deepest pocket under a taut film is {deepest:.3} mm deep, but a recess deeper than the gauge tolerance of {tolerance} mm was expected\n\nhint: check that y points out of the panel, so that recesses are negative, or lower `--gauge-tolerance`"
    )]
    NoRecess {
        /// Depth of the deepest pocket, mm.
        deepest: f64,
        /// Gauge tolerance, mm.
        tolerance: f64,
    },
    /// There is no valley of that number.
    #[error(
        "valley {asked} was asked for, but the section has {found} (counted from the left, from 1)\n\nhint: `tautspan section` lists them"
    )]
    NoSuchValley {
        /// The number asked for.
        asked: usize,
        /// How many there are.
        found: usize,
    },
    /// The press was moved out of the recess.
    #[error(
        "the press moved by {offset} mm lies outside the lips, but it must stay between them\n\nhint: lower `--press-offset`"
    )]
    PressOutside {
        /// The offset, mm.
        offset: f64,
    },
    /// A survey setting is not a finite number of 0 or more.
    #[error(
        "`{option}` is {value}, but {expected} was expected\n\nhint: give it in mm, for example `{option} {example}`"
    )]
    BadSetting {
        /// The option's name.
        option: &'static str,
        /// Its value.
        value: f64,
        /// What is accepted.
        expected: &'static str,
        /// One that would do.
        example: f64,
    },
}

/// A side of the section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Towards smaller x.
    Left,
    /// Towards larger x.
    Right,
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
    level: bool,
    warnings: Vec<String>,
    assumptions: Vec<String>,
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
        for (option, value, least) in [
            ("--gauge-tolerance", survey.gauge_tolerance, 0.0),
            ("--clear-left", survey.clear_left, 0.0),
            ("--clear-right", survey.clear_right, 0.0),
            ("--press-offset", survey.press_offset, f64::NEG_INFINITY),
        ] {
            if !value.is_finite() || value < least || value > super::LONGEST {
                let expected = if least < 0.0 {
                    "a finite length"
                } else {
                    "a finite length from 0 to 100 m"
                };
                return Err(RecessError::BadSetting {
                    option,
                    value,
                    expected,
                    example: 1.0,
                });
            }
        }
        let mut assumptions = Vec::new();
        let tolerance = survey.gauge_tolerance.max(ROUNDING);
        let mut panel = prolong(&section, &survey, tolerance, &mut assumptions);
        let mut pockets = pockets(&panel);
        let mut valley = choose(&pockets, &survey, tolerance)?;
        // The lower end of a step is put at foot + clear, whatever the survey's length.
        if let Some(lower) = lower_side(&panel, valley, &survey, tolerance)
            && let Some(cut) = cut_lower_end(&panel, valley, lower, &survey, tolerance)
        {
            panel = cut;
            pockets = super::pocket::pockets(&panel);
            valley = choose(&pockets, &survey, tolerance)?;
        }
        let valleys: Vec<Pocket> = pockets
            .iter()
            .copied()
            .filter(|p| p.depth > tolerance)
            .collect();
        measure(section, survey, panel, &valleys, valley, assumptions)
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
    /// Number of valleys deeper than the gauge tolerance.
    pub fn valleys(&self) -> usize {
        self.valleys
    }
    /// One valley of a channel between flats that lie straight on the mouth line.
    pub fn is_level(&self) -> bool {
        self.level
    }
    /// What was seen that a user should know.
    pub fn warnings(&self) -> &[String] {
        &self.warnings
    }
    /// What was assumed because it was not said.
    pub fn assumptions(&self) -> &[String] {
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
        let middle = |z: (f64, f64)| 0.5 * (z.0 + z.1);
        let mut places: Vec<(&str, f64)> = Vec::new();
        if self.lower != Some(Side::Left) {
            places.push(("left lip", self.outer.0));
        }
        if let Some(zone) = self.foot_zones.0 {
            places.push((
                if self.kind == Kind::Step {
                    "foot"
                } else {
                    "left foot"
                },
                middle(zone),
            ));
        }
        if self.kind == Kind::Channel {
            places.push(("deepest zone from", self.deepest.0));
            places.push(("deepest zone to", self.deepest.1));
        }
        places.push(("press", self.press));
        if let Some(zone) = self.foot_zones.1 {
            places.push((
                if self.kind == Kind::Step {
                    "foot"
                } else {
                    "right foot"
                },
                middle(zone),
            ));
        }
        if self.lower != Some(Side::Right) {
            places.push(("right lip", self.outer.1));
        }
        places.sort_by(|a, b| a.1.total_cmp(&b.1));
        let named = |(name, s): (&str, f64)| {
            let p = self.panel.at(s);
            Landmark {
                name: name.to_owned(),
                s_mm: s,
                x_mm: p.x,
                y_mm: p.y,
            }
        };
        places.into_iter().map(named).collect()
    }
}

/// The valley to work on: the one asked for, else the deepest, the left one of equals.
fn choose(pockets: &[Pocket], survey: &Survey, tolerance: f64) -> Result<Pocket, RecessError> {
    let valleys: Vec<Pocket> = pockets
        .iter()
        .copied()
        .filter(|p| p.depth > tolerance)
        .collect();
    if let (Some(asked), false) = (survey.valley, valleys.is_empty()) {
        let found = valleys.len();
        return asked
            .checked_sub(1)
            .and_then(|i| valleys.get(i).copied())
            .ok_or(RecessError::NoSuchValley { asked, found });
    }
    let deepest = pockets.iter().map(|p| p.depth).fold(0.0, f64::max);
    valleys
        .into_iter()
        .find(|p| p.depth >= deepest - survey.gauge_tolerance)
        .ok_or(RecessError::NoRecess {
            deepest,
            tolerance: survey.gauge_tolerance,
        })
}

/// The lower side, if the valley is a step.
fn lower_side(panel: &Polyline, valley: Pocket, survey: &Survey, tolerance: f64) -> Option<Side> {
    let left = ends_on_prolonged(panel, valley, Side::Left, survey, tolerance);
    let right = ends_on_prolonged(panel, valley, Side::Right, survey, tolerance);
    match (left, right) {
        (true, true) => {
            // Both flats fall inwards: the higher end is the lip side.
            let higher_left = panel.points()[valley.from].y >= panel.points()[valley.to].y;
            Some(if higher_left { Side::Right } else { Side::Left })
        }
        (true, false) => Some(Side::Left),
        (false, true) => Some(Side::Right),
        (false, false) => None,
    }
}

/// The panel of a step with its lower end at foot + clear.
fn cut_lower_end(
    panel: &Polyline,
    valley: Pocket,
    lower: Side,
    survey: &Survey,
    tolerance: f64,
) -> Option<Polyline> {
    let foot = step_foot(panel, valley, lower, tolerance);
    let middle = 0.5 * (foot.0 + foot.1);
    let (start, end) = match lower {
        Side::Right => (panel.start(), middle + survey.clear_right),
        Side::Left => (middle - survey.clear_left, panel.end()),
    };
    // Too little clear panel to tell a step: keep what the survey shows.
    let enough = if lower == Side::Right {
        end - foot.1
    } else {
        foot.0 - start
    } > 10.0 * tolerance;
    (enough && start < end).then(|| {
        let start = start.max(panel.start());
        Polyline::new(panel.between(start, end.min(panel.end())), start)
    })
}

/// The run of panel between two arc lengths that lies within `tolerance` of the furthest
/// reach along `direction`, connected around its first furthest point.
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
    let peak = stations
        .iter()
        .position(|v| v.1 >= most - ROUNDING)
        .unwrap_or(0);
    let edge = |a: (f64, f64), b: (f64, f64)| {
        // Between a station inside and one outside the level.
        a.0 + (b.0 - a.0) * ((a.1 - level) / (a.1 - b.1))
    };
    let mut low = peak;
    while low > 0 && stations[low - 1].1 >= level {
        low -= 1;
    }
    let mut high = peak;
    while high + 1 < stations.len() && stations[high + 1].1 >= level {
        high += 1;
    }
    // Without a tolerance the points themselves count, not the rounding along a facet.
    let exact = tolerance <= ROUNDING;
    let left = if low == 0 || exact {
        stations[low].0
    } else {
        edge(stations[low], stations[low - 1])
    };
    let right = if high + 1 == stations.len() || exact {
        stations[high].0
    } else {
        edge(stations[high], stations[high + 1])
    };
    (left, right)
}

/// First place, going from `from` to `to` (either way), at which `value` falls to `level`;
/// arc length, mm.
fn first_fall(
    panel: &Polyline,
    from: f64,
    to: f64,
    value: impl Fn(Point) -> f64,
    level: f64,
) -> f64 {
    let chain = panel.between(from, to);
    let mut s = from;
    for w in chain.windows(2) {
        let facet = (w[1] - w[0]).norm().copysign(to - from);
        let (a, b) = (value(w[0]), value(w[1]));
        if b <= level {
            return s + if a > level {
                facet * (a - level) / (a - b)
            } else {
                0.0
            };
        }
        s += facet;
    }
    to
}

/// The outward bisector of a corner between two directions met in turn.
fn bisector(before: Vector, after: Vector) -> Option<Vector> {
    let sum = before - after;
    (sum.norm() > 1e-9).then(|| sum.normalize())
}

/// The foot of a step: the run of panel furthest along the bisector of wall and flat.
fn step_foot(panel: &Polyline, valley: Pocket, lower: Side, tolerance: f64) -> (f64, f64) {
    let (lengths, points) = (panel.lengths(), panel.points());
    let (upper, far) = match lower {
        Side::Right => (valley.from, valley.to),
        Side::Left => (valley.to, valley.from),
    };
    // Height above the line of the lower flat, whose direction the far end gives.
    let (flat, _) = end_direction(points, lower, tolerance);
    let height = |p: Point| cross(flat, p - points[far]);
    let high = height(points[upper]);
    let (start, end) = (lengths[upper], lengths[far]);
    let below_top = first_fall(panel, start, end, height, high * 2.0 / 3.0);
    let (top, low) = (
        panel.at(below_top),
        panel.at(first_fall(panel, start, end, height, high / 3.0)),
    );
    let outwards = if lower == Side::Right { flat } else { -flat };
    let wall = if (low - top).norm() > 1e-9 {
        (low - top).normalize()
    } else {
        Vector::new(0.0, -1.0)
    };
    // Below two thirds of the height: a long ledge at the top may reach further along the
    // bisector, and is no foot.
    let (from, to) = (below_top.min(end), below_top.max(end));
    match bisector(wall, outwards) {
        Some(direction) => furthest_run(panel, from, to, direction, tolerance),
        None => (lengths[upper], lengths[upper]),
    }
}

/// The foot of a channel's wall on one side: its run, or `None` where wall and floor are
/// one straight line.
fn channel_foot(
    panel: &Polyline,
    segment: (Point, Point),
    lip: f64,
    press: f64,
    tolerance: f64,
) -> Option<(f64, f64)> {
    let (a, b) = segment;
    let depth = |p: Point| below(a, b, p);
    let deep = depth(panel.at(press));
    let low = panel.at(first_fall(panel, press, lip, depth, deep * 2.0 / 3.0));
    let top = panel.at(first_fall(panel, press, lip, depth, deep / 3.0));
    let wall = low - top;
    let along = (b - a).normalize();
    let inwards = if lip < press { along } else { -along };
    if wall.norm() <= 1e-9 {
        return None;
    }
    let direction = bisector(wall.normalize(), inwards)?;
    Some(furthest_run(
        panel,
        lip.min(press),
        lip.max(press),
        direction,
        tolerance,
    ))
}

/// The last convex corner from the outside towards the press within the tolerance of the
/// segment, arc length, mm; the segment's end if there is none. Also whether it had to be
/// looked for further below the segment, because that end lies out on a flat.
fn lip(panel: &Polyline, pocket: Pocket, side: Side, press: f64, tolerance: f64) -> (f64, bool) {
    let (points, lengths) = (panel.points(), panel.lengths());
    let (a, b) = (points[pocket.from], points[pocket.to]);
    let inside = pocket.from + 1..pocket.to;
    let (end, candidates): (usize, Vec<usize>) = match side {
        Side::Left => (
            pocket.from,
            inside.take_while(|&i| lengths[i] < press).collect(),
        ),
        Side::Right => (
            pocket.to,
            inside.rev().take_while(|&i| lengths[i] > press).collect(),
        ),
    };
    let turn = |i: usize| {
        let (in_, out) = (points[i] - points[i - 1], points[i + 1] - points[i]);
        cross(in_, out) / (in_.norm() * out.norm())
    };
    let last = |within: f64| {
        let near = candidates
            .iter()
            .copied()
            .take_while(|&i| below(a, b, points[i]) <= within);
        near.filter(|&i| turn(i) < -1e-12).last()
    };
    if let Some(i) = last(tolerance) {
        return (lengths[i], false);
    }
    // An end that hardly turns is no lip but a place out on the flat.
    let s = lengths[end];
    let base = TURN_PART * pocket.depth;
    let (before, after) = (
        points[end] - panel.at(s - base),
        panel.at(s + base) - points[end],
    );
    let is_corner = cross(before, after) < -FLAT_TURN * before.norm() * after.norm();
    match last(OUT_OF_LINE * pocket.depth) {
        Some(i) if !is_corner => (lengths[i], true),
        _ => (lengths[end], false),
    }
}

/// Run of panel that makes up a lip, around its arc length.
fn lip_run(panel: &Polyline, s: f64, flat_end: f64, foot: f64, tolerance: f64) -> (f64, f64) {
    let reach = 30.0_f64.min((flat_end - s).abs());
    let outside = if flat_end < s { s - reach } else { s + reach };
    let (p, lip) = (panel.at(outside), panel.at(s));
    let inside = panel.at(s + 0.5 * (foot - s));
    if (lip - p).norm() < 1e-9 || (inside - lip).norm() < 1e-9 {
        return (s, s);
    }
    let direction = match bisector((lip - p).normalize(), (inside - lip).normalize()) {
        Some(d) => d,
        None => return (s, s),
    };
    let inner = s + 0.5 * (foot - s);
    let run = furthest_run(
        panel,
        outside.min(inner),
        outside.max(inner),
        direction,
        tolerance.min(0.5),
    );
    (run.0.min(s), run.1.max(s))
}

/// Measures the recess around the chosen valley.
fn measure(
    section: Section,
    survey: Survey,
    panel: Polyline,
    valleys: &[Pocket],
    valley: Pocket,
    mut assumptions: Vec<String>,
) -> Result<Recess, RecessError> {
    let tolerance = survey.gauge_tolerance.max(ROUNDING);
    let lower = lower_side(&panel, valley, &survey, tolerance);
    let (points, lengths) = (panel.points(), panel.lengths());
    let segment = (points[valley.from], points[valley.to]);

    let along = (segment.1 - segment.0).normalize();
    let down = Vector::new(along.y, -along.x);
    let mut deepest = furthest_run(
        &panel,
        lengths[valley.from],
        lengths[valley.to],
        down,
        tolerance,
    );
    if let Some(side) = lower {
        deepest = step_foot(&panel, valley, side, tolerance);
    }
    let bare_press = panel.snap(0.5 * (deepest.0 + deepest.1));
    let (lip_left, left_out) = lip(&panel, valley, Side::Left, bare_press, tolerance);
    let (lip_right, right_out) = lip(&panel, valley, Side::Right, bare_press, tolerance);
    let out_of_line =
        (left_out && lower != Some(Side::Left)) || (right_out && lower != Some(Side::Right));
    let foot = |lip| channel_foot(&panel, segment, lip, bare_press, tolerance);
    let (outer, foot_zones, depth) = match lower {
        None => (
            (lip_left, lip_right),
            (foot(lip_left), foot(lip_right)),
            valley.depth,
        ),
        Some(side) => {
            let depth = step_depth(&panel, valley, side, bare_press);
            if side == Side::Right {
                ((lip_left, bare_press), (None, Some(deepest)), depth)
            } else {
                ((bare_press, lip_right), (Some(deepest), None), depth)
            }
        }
    };
    let press = panel.snap(bare_press + survey.press_offset);
    if survey.press_offset != 0.0 && (press < outer.0 || press > outer.1) {
        return Err(RecessError::PressOutside {
            offset: survey.press_offset,
        });
    }
    let mut warnings = section.warnings().to_vec();
    let reach_limit = reach_limits(&panel, &survey, valleys, valley, outer, &mut assumptions);
    if valleys.len() > 1 && survey.valley.is_none() {
        let number = 1 + valleys.iter().filter(|p| p.from < valley.from).count();
        let equal = valleys
            .iter()
            .filter(|p| p.depth >= valley.depth - survey.gauge_tolerance)
            .count()
            > 1;
        let why = if equal {
            "the left one of equally deep ones"
        } else {
            "the deepest"
        };
        warnings.push(format!(
            "{} recesses in this section; the answer is for number {number} from the left, {why}; `--valley` picks another",
            valleys.len()
        ));
    }
    let lip_zones = (
        (lower != Some(Side::Left))
            .then(|| lip_run(&panel, lip_left, panel.start(), bare_press, tolerance)),
        (lower != Some(Side::Right))
            .then(|| lip_run(&panel, lip_right, panel.end(), bare_press, tolerance)),
    );
    let level = lower.is_none() && valleys.len() == 1 && flats_level(&panel, valley);
    let mouth = taut_length(&panel, outer.0, outer.1);
    // Between the ends of the segment, where the film leaves the panel; between the lips
    // if those ends lie out on the flats.
    let extra = if out_of_line {
        outer.1 - outer.0 - mouth
    } else {
        lengths[valley.to] - lengths[valley.from] - (segment.1 - segment.0).norm()
    };
    let (first, last) = (
        section.line().points()[0].y,
        section.line().points()[section.line().points().len() - 1].y,
    );
    let top = section
        .line()
        .points()
        .iter()
        .map(|p| p.y)
        .fold(f64::NEG_INFINITY, f64::max);
    if lower.is_some() && top - first.max(last) > 0.5 * depth {
        warnings.push(
            "the section stands out above both of its ends, like a bump, and one side of it was taken as a step; recesses have negative heights".to_owned(),
        );
    }
    if out_of_line {
        warnings.push(
            "the flats on both sides are not in line, so a rule would not touch both lips; the lips were taken at the corners above the walls (`tautspan section` shows where)".to_owned(),
        );
    }
    Ok(Recess {
        kind: if lower.is_some() {
            Kind::Step
        } else {
            Kind::Channel
        },
        valleys: valleys.len(),
        section,
        survey,
        panel,
        lower,
        outer,
        lip_zones,
        foot_zones,
        deepest,
        press,
        mouth,
        depth,
        extra: extra.max(0.0),
        reach_limit,
        level,
        warnings,
        assumptions,
    })
}

/// Level difference of a step, square to the upper flat, mm.
fn step_depth(panel: &Polyline, valley: Pocket, lower: Side, foot: f64) -> f64 {
    let (end, outwards) = match lower {
        Side::Right => (valley.from, -1.0),
        Side::Left => (valley.to, 1.0),
    };
    let s = panel.lengths()[end];
    let back = (s + outwards * LEVEL_LENGTH).clamp(panel.start(), panel.end());
    let lip = panel.points()[end];
    let flat = if (back - s).abs() > 1e-9 {
        (lip - panel.at(back)) * -outwards
    } else {
        Vector::new(1.0, 0.0)
    };
    below(lip, lip + flat, panel.at(foot))
}

/// How far the film may be left unbonded on each side.
fn reach_limits(
    panel: &Polyline,
    survey: &Survey,
    valleys: &[Pocket],
    valley: Pocket,
    outer: (f64, f64),
    assumptions: &mut Vec<String>,
) -> (f64, f64) {
    let lengths = panel.lengths();
    let mut limits = (
        survey.clear_left.min(outer.0 - panel.start()),
        survey.clear_right.min(panel.end() - outer.1),
    );
    let left = valleys
        .iter()
        .filter(|p| p.to <= valley.from)
        .map(|p| outer.0 - lengths[p.to])
        .fold(f64::INFINITY, f64::min);
    let right = valleys
        .iter()
        .filter(|p| p.from >= valley.to)
        .map(|p| lengths[p.from] - outer.1)
        .fold(f64::INFINITY, f64::min);
    if left < limits.0 {
        limits.0 = left.max(0.0);
        assumptions.push(format!(
            "reach to the left stops {:.0} mm out, at the next recess",
            limits.0
        ));
    }
    if right < limits.1 {
        limits.1 = right.max(0.0);
        assumptions.push(format!(
            "reach to the right stops {:.0} mm out, at the next recess",
            limits.1
        ));
    }
    limits
}

/// Do both flats lie straight on the line of the segment over the valley, to rounding?
fn flats_level(panel: &Polyline, valley: Pocket) -> bool {
    let points = panel.points();
    let (a, b) = (points[valley.from], points[valley.to]);
    let on_line = |p: &Point| below(a, b, *p).abs() <= 1e-9 * (1.0 + (p - a).norm());
    points[..=valley.from].iter().all(on_line) && points[valley.to..].iter().all(on_line)
}
