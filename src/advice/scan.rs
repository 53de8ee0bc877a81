//! Reaches within the limits, found by trying them in steps and a root at each end.

use super::tape_step::WIDTH_STEP;
use crate::geometry::bracketed;

/// Accuracy of the unrounded width, mm.
pub(super) const WIDTH_TOLERANCE: f64 = 1e-7;

/// How closely reaches are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scan {
    /// Every 5 mm.
    Even,
    /// Every 5 mm, where they are long at fiftieths: to find out whether any does.
    Widening,
}

impl Scan {
    /// The step after a reach, mm.
    fn step(self, reach: f64) -> f64 {
        match self {
            Self::Even => WIDTH_STEP,
            Self::Widening => WIDTH_STEP.max(0.02 * reach),
        }
    }
}

/// Intervals of total reach within the limits, mm. From the reach `falls_from` on more reach
/// never raises the peak; before it every step is tried.
pub(super) fn feasible(
    excess: impl Fn(f64) -> f64,
    most: f64,
    falls_from: f64,
    scan: Scan,
) -> Vec<(f64, f64)> {
    let mut stations = vec![(0.0, excess(0.0))];
    let mut reach = WIDTH_STEP;
    while reach < most.min(falls_from + WIDTH_STEP) {
        if falls_from > 0.0 {
            stations.push((reach, excess(reach)));
        }
        reach += scan.step(reach);
    }
    if most > 0.0 {
        stations.push((most, excess(most)));
    }
    let mut intervals = Vec::new();
    let mut start = (stations[0].1 <= 0.0).then_some(0.0);
    for pair in stations.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if (a.1 <= 0.0) == (b.1 <= 0.0) {
            continue;
        }
        let Some(edge) = bracketed(&excess, a, b, WIDTH_TOLERANCE) else {
            continue;
        };
        match start.take() {
            Some(from) => intervals.push((from, edge)),
            None => start = Some(edge),
        }
    }
    intervals.extend(start.map(|from| (from, most)));
    intervals
}
