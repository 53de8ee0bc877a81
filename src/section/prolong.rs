//! The panel beyond the ends of its survey.
//!
//! It goes on straight along the end, for the clear length; the end's direction is that of
//! a run of points, fitted where the readings are noisy. An end that falls inwards is a
//! wall, or the flat of a dished panel: beyond it the panel goes on along the mouth line
//! (channel) or parallel to the other flat (step).

use super::Section;
use super::landmarks::{ROUNDING, Side, Survey};
use super::pocket::{Pocket, below, ends_on_prolonged, pockets};
use super::polyline::{Point, Polyline, Vector, cross};

/// Slope of an end facet, rad, from which it can be a wall however short: half a degree.
/// A gentler one is a wall only if it falls by more than gauge noise.
const LEAST_FALL: f64 = 0.0087;
/// Two end facets nearer than this in direction are two flats of one tilted panel, rad.
const PARALLEL: f64 = 0.0175;
/// Part of the gauge tolerance within which points count as one straight end: noise
/// averages out over the run, and a crown of 2 m radius still bends it by only 0.4°.
const END_PART: f64 = 0.1;
/// Corners after which the direction of an end is settled.
const MOST_CORNERS: usize = 400;
/// Sine of a turn that is none: a thousandth of a nanometre on a millimetre.
const STRAIGHT: f64 = 1e-9;
/// Width of the band of noisy readings, in medians of their distance from the line through
/// their neighbours: twelve, some ten standard deviations, since the chord's own two ends
/// carry the noise too. Narrower: the run breaks off at once; wider: it takes in corners.
const NOISE_WIDTH: f64 = 12.0;
/// Noise below which readings count as clean, mm: a hundredth of the usual tolerance.
const LEAST_NOISE: f64 = 0.005;

/// The panel with its ends prolonged by the clear lengths.
pub(crate) fn prolong(
    section: &Section,
    survey: &Survey,
    tolerance: f64,
    assumptions: &mut Vec<String>,
) -> Polyline {
    let points = section.line().points();
    let n = points.len();
    let end_tolerance = (END_PART * survey.gauge_tolerance).max(ROUNDING);
    let most = survey.gauge_tolerance.max(ROUNDING);
    let (left, left_fall) = end_direction(points, Side::Left, most);
    let (right, right_fall) = end_direction(points, Side::Right, most);
    let surveyed: Vec<Pocket> = pockets(section.line())
        .into_iter()
        .filter(|p| p.depth > tolerance)
        .collect();
    let parallel = cross(left, right).abs() < PARALLEL && left.dot(&right) > 0.0;
    let is_wall = |side: Side, direction: Vector, fall: f64| {
        let spans = |p: &&Pocket| {
            if side == Side::Left {
                p.from == 0
            } else {
                p.to == n - 1
            }
        };
        let Some(pocket) = surveyed.iter().find(spans) else {
            return false;
        };
        let steep = direction.y.abs() > LEAST_FALL * direction.x;
        fall > 0.0
            && (is_gentle(points, pocket, side, direction)
                || (!parallel && (steep || fall > 2.0 * end_tolerance)))
    };
    let left_wall = is_wall(Side::Left, left, left_fall);
    let right_wall = is_wall(Side::Right, right, right_fall);

    let (mut to_left, mut to_right) = (left, right);
    let mut assume = |side: &str, words: &str| {
        assumptions.push(format!(
            "the {side} end of the survey falls inwards; beyond it the panel goes on {words}"
        ));
    };
    if left_wall && right_wall {
        to_left = (points[n - 1] - points[0]).normalize();
        to_right = to_left;
        assume("left", "along the mouth line");
        assume("right", "along the mouth line");
    } else if left_wall {
        let line = extended(points, left, right, (false, true), survey);
        let (direction, words) = beyond_wall(&line, Side::Left, right, survey, tolerance);
        to_left = direction;
        assume("left", words);
    } else if right_wall {
        let line = extended(points, left, right, (true, false), survey);
        let (direction, words) = beyond_wall(&line, Side::Right, left, survey, tolerance);
        to_right = direction;
        assume("right", words);
    }
    extended(points, to_left, to_right, (true, true), survey)
}

/// Is an end that falls inwards the flat of a channel rather than a wall or the lower flat
/// of a step? Those fall from the segment as steeply as the panel does down to its deepest
/// point; such a flat stays near the segment first.
fn is_gentle(points: &[Point], pocket: &Pocket, side: Side, direction: Vector) -> bool {
    let (a, b) = (points[pocket.from], points[pocket.to]);
    let end = if side == Side::Left { a } else { b };
    let along = (b - a).normalize();
    let deepest = points[pocket.from..=pocket.to]
        .iter()
        .max_by(|p, q| below(a, b, **p).total_cmp(&below(a, b, **q)));
    let away = deepest.map_or(0.0, |p| (p - end).dot(&along).abs());
    cross(direction, along).abs() * away < 0.5 * pocket.depth
}

/// The points with straight prolongations on the sides asked for.
fn extended(
    points: &[Point],
    left: Vector,
    right: Vector,
    sides: (bool, bool),
    survey: &Survey,
) -> Polyline {
    let mut all = Vec::with_capacity(points.len() + 2);
    let mut start = 0.0;
    if sides.0 && survey.clear_left > 0.0 {
        all.push(points[0] - left * survey.clear_left);
        start = -survey.clear_left;
    }
    all.extend_from_slice(points);
    if sides.1 && survey.clear_right > 0.0 {
        all.push(points[points.len() - 1] + right * survey.clear_right);
    }
    Polyline::new(all, start)
}

/// Direction, left to right, in which the panel goes on beyond an end that is a wall.
fn beyond_wall(
    line: &Polyline,
    wall: Side,
    flat: Vector,
    survey: &Survey,
    tolerance: f64,
) -> (Vector, &'static str) {
    let last = line.points().len() - 1;
    let spanning = pockets(line)
        .into_iter()
        .filter(|p| p.depth > tolerance)
        .find(|p| {
            if wall == Side::Left {
                p.from == 0
            } else {
                p.to == last
            }
        });
    let Some(pocket) = spanning else {
        return (flat, "parallel to the other flat");
    };
    let other = if wall == Side::Left {
        Side::Right
    } else {
        Side::Left
    };
    if ends_on_prolonged(line, pocket, other, survey, tolerance) {
        return (flat, "parallel to the other flat");
    }
    let along = line.points()[pocket.to] - line.points()[pocket.from];
    (along.normalize(), "along the mouth line")
}

/// Left to right direction of the straight run of points at an end of the survey, and how
/// far that run falls inwards, mm.
///
/// The run goes from the end point inwards as long as all of it stays within a tolerance
/// of its chord: a tenth of the gauge's, or more (up to the gauge's) where the readings
/// are noisy; then a line is fitted, since a chord would carry the noise of its two ends.
pub(crate) fn end_direction(points: &[Point], side: Side, gauge_tolerance: f64) -> (Vector, f64) {
    let n = points.len();
    let nth = |k: usize| {
        if side == Side::Left {
            points[k]
        } else {
            points[n - 1 - k]
        }
    };
    // Points on a straight line are no corners: the same panel cut into finer facets has
    // the same end. Long scans: the direction is settled well before the run is.
    let corners: Vec<Point> = (1..n)
        .filter(|&k| k + 1 == n || turns(nth(k - 1), nth(k), nth(k + 1)))
        .map(nth)
        .take(MOST_CORNERS)
        .collect();
    let noise = noise(&corners);
    let tolerance = (NOISE_WIDTH * noise)
        .min(gauge_tolerance)
        .max((END_PART * gauge_tolerance).max(ROUNDING));
    let within = |k: usize| {
        corners[..k]
            .iter()
            .all(|&p| below(nth(0), corners[k], p).abs() <= tolerance)
    };
    let mut far = 0;
    while far + 1 < corners.len() && within(far + 1) {
        far += 1;
    }
    // Only the nearer half: the run may have crept round the beginning of a corner.
    let length = (corners[far] - nth(0)).norm();
    while far > 0 && (corners[far] - nth(0)).norm() > 0.5 * length {
        far -= 1;
    }
    let inwards = if noise > LEAST_NOISE && far > 4 {
        fitted(&corners[..=far])
    } else {
        corners[far] - nth(0)
    };
    let direction = if side == Side::Left {
        inwards
    } else {
        -inwards
    };
    (direction.normalize(), -inwards.y)
}

/// Does the chain turn at `b` by more than the rounding of its coordinates?
fn turns(a: Point, b: Point, c: Point) -> bool {
    let (in_, out) = (b - a, c - b);
    cross(in_, out).abs() > STRAIGHT * in_.norm() * out.norm() || in_.dot(&out) < 0.0
}

/// Reading noise of the first points of a chain, mm: the median distance of a point from
/// the line through its neighbours.
fn noise(chain: &[Point]) -> f64 {
    let mut away: Vec<f64> = chain
        .windows(3)
        .take(50)
        .map(|w| below(w[0], w[2], w[1]).abs())
        .collect();
    away.sort_by(f64::total_cmp);
    if away.len() < 8 {
        0.0
    } else {
        away[away.len() / 2]
    }
}

/// The line fitted to a chain by least squares, as the way from its first to its last end.
fn fitted(chain: &[Point]) -> Vector {
    let mut count = 0.0;
    let mut sum = Vector::zeros();
    for p in chain {
        count += 1.0;
        sum += p.coords;
    }
    let middle = sum / count;
    let (mut xx, mut xy) = (0.0, 0.0);
    for p in chain {
        let d = p.coords - middle;
        xx += d.x * d.x;
        xy += d.x * d.y;
    }
    let run = chain[chain.len() - 1].x - chain[0].x;
    Vector::new(run, run * xy / xx)
}
