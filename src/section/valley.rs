//! From walls to recesses: ribs, channels, steps; and the frame in which flats are level.
//!
//! Of walls down, up, down, up the inner pair is a rib if its ridge lies below the line
//! between the outer lips. A wall down and the next one up are a channel if the smaller rise
//! is a fair part of the larger, else each is a step. A wall up and the next one down without
//! any channel are a hill, and so is a step that is the wall of a channel once the panel is turned
//! over, whatever lies on its top: heights typed with the wrong sign.

use super::kind::{Kind, Side};
use super::pocket::below;
use super::rule::{Corner, Edge, Level};
use crate::geometry::{ON_VERTEX, Point, Polyline, Vector, hull};
use crate::survey::median_direction;

/// Part of the larger rise that the smaller one of a channel has at least. No case pins it.
const CHANNEL_PART: f64 = 0.2;
/// Of two walls the same way in a row, one under this part of the other does not count.
const SAME_WAY_PART: f64 = 0.2;
/// Part of the depth beside it by which the ridge of a rib lies below the outer lips' line.
const RIB_PART: f64 = 0.1;
/// Tilt of the whole panel from which its median direction is tried as level, rad: 2 degrees.
const COARSE_TURN: f64 = 0.035;
/// Slope of the flats below which the panel is level, rad: 0.05 degrees.
const LEVEL: f64 = 8.7e-4;
/// Rounds of turning; each takes most of what is left, so that few are needed.
const MOST_TURNS: usize = 5;
/// A turn helps if it leaves less than this part of the slope.
const HELPS: f64 = 0.7;
/// Part of a step's depth that a channel of the panel turned over has at least, for the step to be
/// the side of a hill.
const HILL_PART: f64 = 0.8;
/// How much more level the median direction must leave the flats to be taken, rad: 1 degree.
const CLEARLY: f64 = 0.0175;

/// A recess as its walls show it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Valley {
    /// Its wall down, seen from the left, if it has one.
    pub(super) left: Option<Edge>,
    /// Its wall up, if it has one.
    pub(super) right: Option<Edge>,
    /// Depth below the mouth line; of a step the level difference, square to its upper
    /// flat, mm.
    pub(super) depth: f64,
}

impl Valley {
    pub(super) fn kind(&self) -> Kind {
        match (self.left, self.right) {
            (Some(_), Some(_)) => Kind::Channel,
            _ => Kind::Step,
        }
    }

    /// The lower side of a step.
    pub(super) fn lower(&self) -> Option<Side> {
        match (self.left, self.right) {
            (Some(_), None) => Some(Side::Right),
            (None, Some(_)) => Some(Side::Left),
            _ => None,
        }
    }

    /// Where reach is counted from: the lips; on a step's lower side the foot. Arc lengths, mm.
    pub(super) fn outer(&self) -> (f64, f64) {
        let (left, right) = self.corners();
        (left.s, right.s)
    }

    /// Its lips; on a step's lower side the foot.
    fn corners(&self) -> (Corner, Corner) {
        match (self.left, self.right) {
            (Some(l), Some(r)) => (l.lip, r.lip),
            (Some(l), None) => (l.lip, l.foot),
            (None, Some(r)) => (r.foot, r.lip),
            (None, None) => Default::default(),
        }
    }

    /// Where its walls end, left and right: rough lips, on a step's lower side the rough foot,
    /// arc lengths, mm. Beyond them lies flat.
    pub(super) fn rough(&self) -> (f64, f64) {
        let (left, right) = self.corners();
        (left.rough, right.rough)
    }

    /// From the left lip to the right one of a channel, mm; where no flat was surveyed beyond
    /// a lip, from the end of the survey there.
    pub(super) fn mouth_line(&self, line: &Polyline) -> Vector {
        let end = |edge: Option<Edge>, s: f64| match edge {
            Some(edge) if edge.lip.flat.is_none() => line.at(edge.lip.window.0),
            _ => line.at(s),
        };
        let (left, right) = self.outer();
        end(self.right, right) - end(self.left, left)
    }

    /// Slopes of the flats on the left and on the right, rad, rising to the right, where a
    /// flat was surveyed.
    pub(super) fn flats(&self) -> (Option<f64>, Option<f64>) {
        // Those of a wall down rise from its foot towards its lip, to the left.
        let rising =
            |flat: Option<f64>, up: bool| flat.map(|slope| if up { slope } else { -slope });
        let (left, right) = self.corners();
        (
            rising(left.flat, self.left.is_none()),
            rising(right.flat, self.right.is_some()),
        )
    }
}

/// What the panel shows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seen {
    /// Angle by which the panel's level is turned from that of the readings, rad.
    pub(super) turn: f64,
    /// Recesses deeper than the gauge tolerance, left to right.
    pub(super) valleys: Vec<Valley>,
    /// The deepest recess is a step, and a wall of what rises and falls again.
    pub(super) hill: bool,
}

impl Seen {
    /// The deepest recess, the left one of those equal within `gauge` mm.
    pub(super) fn deepest(&self, gauge: f64) -> Option<usize> {
        let most = self.valleys.iter().map(|v| v.depth).fold(0.0, f64::max);
        self.valleys.iter().position(|v| v.depth >= most - gauge)
    }

    /// On how many sides of the deepest recess a flat was surveyed: a corner between two flats,
    /// turned on its tip, is a valley without any.
    fn flats(&self) -> usize {
        let valley = self.deepest(0.0).map(|i| self.valleys[i].flats());
        valley.map_or(0, |(a, b)| a.into_iter().chain(b).count())
    }

    /// Is the deepest recess a step, beside grooves, and a channel as deep once all is turned over?
    fn has_grooves_on_a_hill(&self, line: &Polyline, gauge: f64) -> bool {
        let grooves = self.valleys.iter().any(|v| v.kind() == Kind::Channel);
        let step = self.deepest(0.0).map(|i| self.valleys[i]);
        let Some(step) = step.filter(|v| grooves && v.kind() == Kind::Step) else {
            return false;
        };
        let over = line.points().iter().map(|p| Point::new(p.x, -p.y));
        let over = look(&Polyline::new(over.collect(), 0.0), -self.turn, gauge);
        let channel = over.deepest(0.0).map(|i| over.valleys[i]);
        channel.is_some_and(|v| v.kind() == Kind::Channel && v.depth >= HILL_PART * step.depth)
    }

    /// Mean slope of the flats beside the deepest recess, and the steeper of the two, rad; of
    /// a channel's mouth line where one was not surveyed.
    fn unlevel(&self, line: &Polyline) -> Option<(f64, f64)> {
        let valley = self.valleys[self.deepest(0.0)?];
        let mouth = || {
            let d = valley.mouth_line(line);
            let slope = d.y.atan2(d.x) - self.turn;
            (slope, slope.abs())
        };
        match valley.flats() {
            (Some(a), Some(b)) => Some((0.5 * (a + b), a.abs().max(b.abs()))),
            _ => (valley.kind() == Kind::Channel).then(mouth),
        }
    }
}

/// Finds the recesses of a panel, in the frame in which its flats are level.
pub(super) fn see(line: &Polyline, gauge: f64) -> Seen {
    let mut seen = in_its_frame(line, gauge);
    seen.hill = seen.hill || seen.has_grooves_on_a_hill(line, gauge);
    seen
}

/// The recesses in the frame in which the flats are level.
fn in_its_frame(line: &Polyline, gauge: f64) -> Seen {
    let plain = settle(line, 0.0, gauge);
    let median = median_direction(line.points()).unwrap_or(0.0);
    if median.abs() <= COARSE_TURN {
        return plain;
    }
    let turned = settle(line, median, gauge);
    match (plain.unlevel(line), turned.unlevel(line)) {
        (None, Some(_)) if plain.valleys.is_empty() => turned,
        (Some(a), Some(b)) if b.1 + CLEARLY < a.1 && turned.flats() >= plain.flats() => turned,
        _ => plain,
    }
}

/// Turns the panel from a first angle until the flats are level, as long as a turn helps.
fn settle(line: &Polyline, turn: f64, gauge: f64) -> Seen {
    let mut seen = look(line, turn, gauge);
    for _ in 0..MOST_TURNS {
        let Some((slope, _)) = seen.unlevel(line) else {
            break;
        };
        if slope.abs() <= LEVEL {
            break;
        }
        let next = look(line, seen.turn + slope, gauge);
        match next.unlevel(line) {
            Some((left, _)) if left.abs() < HELPS * slope.abs() => seen = next,
            _ => break,
        }
    }
    seen
}

/// The recesses of a panel whose level is turned by `turn`, rad.
fn look(line: &Polyline, turn: f64, gauge: f64) -> Seen {
    let (sin, cos) = turn.sin_cos();
    let level: Vec<Point> = line
        .points()
        .iter()
        .map(|p| Point::new(p.x * cos + p.y * sin, p.y * cos - p.x * sin))
        .collect();
    let panel = Level {
        points: &level,
        lengths: line.lengths(),
        gauge,
    };
    let (walls, tilt) = panel.walls();
    let mut edges = panel.edges(&walls, tilt);
    drop_small(&mut edges);
    drop_ribs(line, &mut edges, gauge);
    let (valleys, hill) = pair(line, &edges);
    Seen {
        turn,
        valleys: valleys.into_iter().filter(|v| v.depth > gauge).collect(),
        hill,
    }
}

/// Drops the lesser of two walls the same way in a row where it is a small part of the other.
fn drop_small(edges: &mut Vec<Edge>) {
    while let Some(i) = edges.windows(2).enumerate().find_map(|(i, w)| {
        let (a, b) = (w[0].height, w[1].height);
        let small = w[0].wall.up == w[1].wall.up && a.min(b) < SAME_WAY_PART * a.max(b);
        small.then_some(if a < b { i } else { i + 1 })
    }) {
        edges.remove(i);
    }
}

/// Drops the walls of ribs: of walls down, up, down, up the inner pair, where its ridge lies
/// well below the outer lips' line. Where ribs stand as high as each other, none lies below the
/// line to the next: so too all between two lips over which a straight edge would lie.
fn drop_ribs(line: &Polyline, edges: &mut Vec<Edge>, gauge: f64) {
    while let Some(i) = edges.windows(4).position(|w| has_ribs_only(line, w, gauge)) {
        edges.drain(i + 1..i + 3);
    }
    let lips: Vec<Point> = edges.iter().map(|e| line.at(e.lip.s)).collect();
    for w in hull(&lips, 0.0).windows(2).rev() {
        if has_ribs_only(line, &edges[w[0]..=w[1]], gauge) {
            edges.drain(w[0] + 1..w[1]);
        }
    }
}

/// Are the walls down, up, down .. up, and all but the outer two those of ribs on the floor
/// between?
fn has_ribs_only(line: &Polyline, w: &[Edge], gauge: f64) -> bool {
    let [first, .., last] = w else { return false };
    let alternate = w.windows(2).all(|pair| pair[0].wall.up != pair[1].wall.up);
    if w.len() < 4 || first.wall.up || !last.wall.up || !alternate {
        return false;
    }
    let (a, b) = (line.at(first.lip.s), line.at(last.lip.s));
    // Walls that overhang may overlap, and the ends of two of them then stand the other way.
    let depths = |one: usize, other: usize| {
        line.points()[one.min(other)..=one.max(other)]
            .iter()
            .map(|&p| below(a, b, p))
            .collect::<Vec<f64>>()
    };
    let most = depths(first.wall.from, last.wall.to)
        .into_iter()
        .fold(0.0, f64::max);
    let ridges = w[1..w.len() - 1].chunks_exact(2);
    ridges
        .flat_map(|pair| depths(pair[0].wall.to, pair[1].wall.from))
        .all(|depth| depth > gauge.max(RIB_PART * most))
}

/// Pairs walls to channels; what is left are steps. Also: is it a hill?
fn pair(line: &Polyline, edges: &[Edge]) -> (Vec<Valley>, bool) {
    let alike =
        |a: &Edge, b: &Edge| a.height.min(b.height) >= CHANNEL_PART * a.height.max(b.height);
    let mut valleys = Vec::new();
    let mut channels = 0;
    let mut i = 0;
    while let Some(edge) = edges.get(i) {
        let next = edges.get(i + 1).filter(|n| n.wall.up && alike(edge, n));
        if let (false, Some(next)) = (edge.wall.up, next) {
            channels += 1;
            valleys.push(channel(line, *edge, *next));
            i += 2;
        } else {
            valleys.push(step(line, *edge));
            i += 1;
        }
    }
    let hill = channels == 0
        && edges
            .windows(2)
            .any(|w| w[0].wall.up && !w[1].wall.up && alike(&w[0], &w[1]));
    (valleys, hill)
}

fn channel(line: &Polyline, left: Edge, right: Edge) -> Valley {
    let (a, b) = (line.at(left.lip.s), line.at(right.lip.s));
    let depth = line
        .points()
        .get(left.wall.from..=right.wall.to)
        .unwrap_or_default()
        .iter()
        .map(|&p| below(a, b, p))
        .fold(0.0, f64::max);
    Valley {
        left: Some(left),
        right: Some(right),
        depth,
    }
}

fn step(line: &Polyline, edge: Edge) -> Valley {
    let (lip, foot) = (line.at(edge.lip.s), line.at(edge.foot.s));
    let out = line.at(edge.lip.window.0);
    // Without an upper flat its height in the level frame stands for it.
    let depth = if (out - lip).norm() <= ON_VERTEX {
        edge.height
    } else if edge.wall.up {
        below(lip, out, foot)
    } else {
        below(out, lip, foot)
    };
    Valley {
        left: (!edge.wall.up).then_some(edge),
        right: edge.wall.up.then_some(edge),
        depth,
    }
}
