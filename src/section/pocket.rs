//! Pockets: where the taut film over the panel leaves it.

use super::landmarks::{Side, Survey};
use super::polyline::{Point, Polyline, cross};
use super::taut::hull;

/// Part of a pocket's depth that a step's lower flat is below the segment half-way along
/// the clear panel; it is a half, less what the wall takes.
const STEP_PART: f64 = 0.25;

/// A pocket of the taut film: indices of the panel points it spans, and its depth, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pocket {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) depth: f64,
}

/// Pockets of the taut film over the whole panel, left to right, of any depth.
pub(crate) fn pockets(panel: &Polyline) -> Vec<Pocket> {
    let points = panel.points();
    let corners = hull(points, 1e-12);
    let pocket = |w: &[usize]| {
        let (a, b) = (points[w[0]], points[w[1]]);
        let depth = points[w[0]..=w[1]]
            .iter()
            .map(|&p| below(a, b, p))
            .fold(0.0, f64::max);
        Pocket {
            from: w[0],
            to: w[1],
            depth,
        }
    };
    corners
        .windows(2)
        .filter(|w| w[1] > w[0] + 1)
        .map(pocket)
        .collect()
}

/// Distance of `p` below the line from `a` to `b`, mm.
pub(crate) fn below(a: Point, b: Point, p: Point) -> f64 {
    let along = b - a;
    cross(p - a, along) / along.norm()
}

/// Does the segment over `pocket` end on the prolonged end of the panel on `side`, with
/// the panel there falling away from it at once? Then that side has no lip.
pub(crate) fn ends_on_prolonged(
    panel: &Polyline,
    pocket: Pocket,
    side: Side,
    survey: &Survey,
    tolerance: f64,
) -> bool {
    let points = panel.points();
    let (a, b) = (points[pocket.from], points[pocket.to]);
    // Half the clear length in, a channel still has its flat, near the segment even if it
    // slopes inwards a little; a step's lower flat has fallen by half the drop.
    let inside = match side {
        Side::Left if pocket.from == 0 => panel.start() + 0.5 * survey.clear_left,
        Side::Right if pocket.to == points.len() - 1 => panel.end() - 0.5 * survey.clear_right,
        _ => return false,
    };
    let fallen = below(a, b, panel.at(inside.clamp(panel.start(), panel.end())));
    fallen > tolerance.max(STEP_PART * pocket.depth)
}
