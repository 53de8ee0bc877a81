//! Which corners of a panel are readings of a curve, and how far each of them reaches.
//!
//! A facet whose two corners turn alike is the chord of an arc: a curve has the facet's
//! direction at about its middle. So the corner between facets a and b stands for the arc
//! from the middle of a to the middle of b, and taut film that leaves the panel there
//! turning by theta of the corner's Theta leaves it at
//!
//! ```text
//! p - c = e_out - (e_in + e_out) theta/Theta,     e_in = a/2, e_out = b/2
//! ```
//!
//! counted outwards from the corner c. That is second order in the facet; the corner itself
//! (p = c) jumps by a facet from corner to corner and ends half a facet short, first order.
//! A corner that stands alone is a true one and film leaves it at c: e = 0. So too where the
//! turn is more than a survey of a curve leaves to one reading.
//!
//! Corners without a turn are none: facets cut finer change nothing.
//!
//! Where a curve ends, on a flat or where the panel turns the other way, its last corner
//! reaches as far as its turn and the curvature of the next one say, and to the middle of a
//! facet between two bends that is not longer than its neighbours.
//!
//! Source: derived for this project.

use super::path::STRAIGHT;
use crate::section::{Point, cross};

/// Turn up to which a corner may be the reading of a curve, and from which it is a true one,
/// rad (20 and 40 degrees). Lower leaves a rim surveyed in four facets to be a polyline,
/// higher takes the fold of a box for a curve.
const ROUND: f64 = 0.35;
const SHARP: f64 = 0.7;
/// Turn of the next corner, as a part of the corner's own, from which it is the same curve
/// and below which it is not. A curve that ends on a reading has half a turn there; a crown
/// beside a lip has a twentieth.
const ALIKE: f64 = 0.5;
const OTHER: f64 = 0.125;
/// Length of the facet between two opposite bends, in facets beside it, up to which the
/// curve goes on to its middle, and from which it is a straight wall.
const BETWEEN: f64 = 2.0;
const WALL: f64 = 4.0;

/// How far the curve at a corner reaches, mm, and its turn, rad; 0 for true corners.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Bend {
    /// Towards the press and towards the bond line.
    pub(super) inner: f64,
    pub(super) outer: f64,
    /// Turn of the panel.
    pub(super) turn: f64,
}

impl Bend {
    /// Where film that turns by `theta` at the corner leaves the panel, mm outwards of it.
    pub(super) fn contact(self, theta: f64) -> f64 {
        let part = if self.turn > 0.0 {
            (theta / self.turn).clamp(0.0, 1.0)
        } else {
            0.0
        };
        self.outer - (self.inner + self.outer) * part
    }
}

/// A corner with a turn: its vertex, the turn (film touches it if above 0) and its place.
#[derive(Debug, Clone, Copy)]
struct Turned {
    vertex: usize,
    turn: f64,
    at: f64,
}

/// The bends of a chain from the press to the bond line, vertex by vertex.
///
/// # Arguments
/// * `sign`: 1 if the chain runs right, -1 if it runs left.
pub(super) fn bends(chain: &[Point], sign: f64) -> Vec<Bend> {
    let mut all = vec![Bend::default(); chain.len()];
    let ends = |vertex: usize, at: f64| Turned {
        vertex,
        turn: 0.0,
        at,
    };
    let mut corners = vec![ends(0, 0.0)];
    let mut at = 0.0;
    for (i, w) in chain.windows(3).enumerate() {
        let (a, b) = (w[1] - w[0], w[2] - w[1]);
        at += a.norm();
        let turn = -sign * cross(a, b).atan2(a.dot(&b));
        if turn.abs() > STRAIGHT {
            corners.push(Turned {
                vertex: i + 1,
                turn,
                at,
            });
        }
    }
    if let [.., p, q] = chain {
        corners.push(ends(chain.len() - 1, at + (q - p).norm()));
    }
    for k in 1..corners.len().saturating_sub(1) {
        if corners[k].turn > 0.0 {
            all[corners[k].vertex] = bend(&corners, k);
        }
    }
    all
}

/// The bend of one corner among its neighbours.
fn bend(corners: &[Turned], k: usize) -> Bend {
    let c = corners[k];
    let alike = |other: f64| ramp(other / c.turn, OTHER, ALIKE);
    let inner = Beside::new(corners, k, -1);
    let outer = Beside::new(corners, k, 1);
    let (like_in, like_out) = (alike(inner.turn), alike(outer.turn));
    let (e_in, e_out) = (0.5 * like_in * inner.facet, 0.5 * like_out * outer.facet);
    // Where the curve ends on one side, the other side says how far it goes.
    let ends = |side: Beside, other: Beside, e: f64, like: f64| {
        if e <= 0.0 {
            return 0.0;
        }
        let by_curvature = (c.turn / other.curvature - e).clamp(0.0, 0.5 * side.facet);
        let between = alike(-side.turn) * ramp(-side.facet / (2.0 * e), -WALL, -BETWEEN);
        like * by_curvature.max(0.5 * side.facet * between)
    };
    let true_part = ramp(-c.turn, -SHARP, -ROUND);
    Bend {
        inner: true_part * e_in.max(ends(inner, outer, e_out, like_out)),
        outer: true_part * e_out.max(ends(outer, inner, e_in, like_in)),
        turn: c.turn,
    }
}

/// What lies on one side of a corner.
#[derive(Debug, Clone, Copy)]
struct Beside {
    /// The facet to the next corner, mm, and that corner's turn.
    facet: f64,
    turn: f64,
    /// Turn of the next corner over the length it stands for, 1/mm.
    curvature: f64,
}

impl Beside {
    fn new(corners: &[Turned], k: usize, step: isize) -> Self {
        let next = k.saturating_add_signed(step).min(corners.len() - 1);
        let after = next.saturating_add_signed(step).min(corners.len() - 1);
        let far = |a: usize, b: usize| (corners[a].at - corners[b].at).abs();
        let facet = far(next, k);
        // A long facet beyond the next corner is no part of the curve.
        let stands_for = 0.5 * (facet + far(after, next).min(facet));
        Self {
            facet,
            turn: corners[next].turn,
            curvature: corners[next].turn / stands_for,
        }
    }
}

/// 0 below `low`, 1 above `high`, straight between.
fn ramp(x: f64, low: f64, high: f64) -> f64 {
    ((x - low) / (high - low)).clamp(0.0, 1.0)
}
