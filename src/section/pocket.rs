//! Pockets: where the taut film over the panel leaves it.

use crate::geometry::{Point, Polyline, cross, hull};

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
        let (from, to) = (w[0], w[1]);
        let depths = points[from..=to]
            .iter()
            .map(|&p| below(points[from], points[to], p));
        let depth = depths.fold(0.0, f64::max);
        Pocket { from, to, depth }
    };
    let apart = corners.windows(2).filter(|w| w[1] > w[0] + 1);
    apart.map(pocket).collect()
}

/// Distance of `p` below the line from `a` to `b`, mm.
pub(crate) fn below(a: Point, b: Point, p: Point) -> f64 {
    let along = b - a;
    cross(p - a, along) / along.norm()
}
