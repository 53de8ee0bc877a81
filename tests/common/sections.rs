//! Sections from coordinates, and a taut film that the library knows nothing of.

use tautspan::{Point, Recess, Section, Survey};

/// A section through points, mm.
pub(crate) fn section(points: &[Point]) -> Section {
    Section::new("drawn", points).expect("a section without faults")
}

/// A section through coordinates, mm.
pub(crate) fn drawn(points: &[(f64, f64)]) -> Section {
    let points: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
    section(&points)
}

/// A survey in which single points decide.
pub(crate) fn exact() -> Survey {
    Survey {
        gauge_tolerance: 0.0,
        ..Survey::default()
    }
}

/// The recess of coordinates, mm, single points deciding.
pub(crate) fn exact_recess(points: &[(f64, f64)]) -> Recess {
    Recess::find(drawn(points), exact()).expect("a recess")
}

/// Length of a chain, mm.
pub(crate) fn length(chain: &[Point]) -> f64 {
    chain.windows(2).map(|w| (w[1] - w[0]).norm()).sum()
}

/// The taut film over a chain of points, by wrapping: from each corner to the point seen
/// under the steepest upward angle, the furthest of equals. The library scans instead.
pub(crate) fn wrapped(chain: &[Point]) -> Vec<Point> {
    let mut corners = vec![chain[0]];
    let mut at = 0;
    while at + 1 < chain.len() {
        let mut best = at + 1;
        for i in at + 2..chain.len() {
            let (a, b) = (chain[best] - chain[at], chain[i] - chain[at]);
            if a.x * b.y - a.y * b.x >= 0.0 {
                best = i;
            }
        }
        corners.push(chain[best]);
        at = best;
    }
    corners
}
