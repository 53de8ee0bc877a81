//! The panel beyond the ends of its survey.
//!
//! It goes on straight along its end, for the clear length; the end's direction is that of
//! the line fitted to its last stretch, by length and not by points, so that the same panel
//! cut into finer facets has the same end. An end that is a wall, with no flat surveyed beyond
//! it, has no direction of its own: there the panel goes on along the mouth line (channel) or
//! parallel to the other flat (step).

use super::kind::{Kind, Side, Survey};
use super::notice::SectionNotice;
use super::valley::Valley;
use crate::geometry::{ON_VERTEX, Point, Polyline, Vector};

/// Longest stretch that the direction of an end is taken from, in depths of the recess beside
/// it and in gauge tolerances, the longer of the two: 20 mm or more with the usual tolerance,
/// over which the rounding of two decimals turns it by 0.02 degrees.
const END_DEPTHS: f64 = 2.0;
const END_GAUGES: f64 = 40.0;
/// Flat beyond a wall, in gauge tolerances, below which an end counts as a wall.
const SHORT_FLAT: f64 = 2.0;

/// The panel with its ends prolonged by the clear lengths.
///
/// `first`, `last`: the outermost recesses. `level`: direction of the level panel.
pub(super) fn prolong(
    line: &Polyline,
    survey: &Survey,
    gauge: f64,
    (first, last): (&Valley, &Valley),
    level: Vector,
    assumptions: &mut Vec<SectionNotice>,
) -> Polyline {
    let mut end = |side: Side, valley: &Valley| {
        let rough = valley.rough();
        let flat = side.pick(rough.0 - line.start(), line.end() - rough.1);
        if flat > SHORT_FLAT * gauge {
            let most = (END_DEPTHS * valley.depth).max(END_GAUGES * gauge);
            return end_direction(line, side, most.min(0.5 * flat));
        }
        assumptions.push(SectionNotice::EndFalls {
            side,
            along_mouth: valley.kind() == Kind::Channel,
        });
        beyond_wall(line, side, valley, level)
    };
    let left = end(Side::Left, first);
    let right = end(Side::Right, last);
    let points = line.points();
    let mut all = Vec::with_capacity(points.len() + 2);
    let mut start = line.start();
    if survey.clear_left > ON_VERTEX {
        all.push(points[0] - left * survey.clear_left);
        start -= survey.clear_left;
    }
    all.extend_from_slice(points);
    if survey.clear_right > ON_VERTEX {
        all.push(points[points.len() - 1] + right * survey.clear_right);
    }
    Polyline::new(all, start)
}

/// Direction, left to right, in which the panel goes on beyond an end that is a wall.
fn beyond_wall(line: &Polyline, wall: Side, valley: &Valley, level: Vector) -> Vector {
    if valley.kind() == Kind::Channel {
        return valley.mouth_line(line).normalize();
    }
    let (left, right) = valley.flats();
    let other = if wall == Side::Left { right } else { left };
    // Slopes are those of the level frame.
    let (sin, cos) = other.unwrap_or(0.0).sin_cos();
    Vector::new(level.x * cos - level.y * sin, level.y * cos + level.x * sin)
}

/// Left to right direction of the line fitted to the last `length` mm of a survey.
fn end_direction(line: &Polyline, side: Side, length: f64) -> Vector {
    let (start, end) = (line.start(), line.end());
    let (from, to) = side.pick((start, start + length), (end - length, end));
    let chain = line.between(from, to);
    if chain.len() == 2 {
        return (chain[1] - chain[0]).normalize();
    }
    let (mut all, mut sum) = (0.0, Vector::zeros());
    for w in chain.windows(2) {
        let facet = (w[1] - w[0]).norm();
        all += facet;
        sum += (w[0].coords + w[1].coords) * (0.5 * facet);
    }
    let middle = Point::from(sum / all);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for w in chain.windows(2) {
        let d = w[1] - w[0];
        let m = (w[0] - middle + (w[1] - middle)) * 0.5;
        let facet = d.norm();
        xx += facet * (m.x * m.x + d.x * d.x / 12.0);
        xy += facet * (m.x * m.y + d.x * d.y / 12.0);
        yy += facet * (m.y * m.y + d.y * d.y / 12.0);
    }
    // The principal axis of the stretch.
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    Vector::new(angle.cos(), angle.sin())
}
