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

use crate::geometry::{Point, cross};

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
/// Turn below which film runs straight on, rad: points along one facet are off its line by
/// rounding, which is no corner.
pub(super) const STRAIGHT: f64 = 1e-11;
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
        if self.turn <= 0.0 {
            return self.outer;
        }
        self.outer - (self.inner + self.outer) * (theta / self.turn).clamp(0.0, 1.0)
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
    let turned = |vertex: usize, turn: f64, at: f64| Turned { vertex, turn, at };
    let mut corners = vec![turned(0, 0.0, 0.0)];
    let mut at = 0.0;
    for (i, w) in chain.windows(3).enumerate() {
        let (a, b) = (w[1] - w[0], w[2] - w[1]);
        at += a.norm();
        let turn = -sign * cross(a, b).atan2(a.dot(&b));
        if turn.abs() > STRAIGHT {
            corners.push(turned(i + 1, turn, at));
        }
    }
    if let [.., p, q] = chain {
        corners.push(turned(chain.len() - 1, 0.0, at + (q - p).norm()));
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

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// A wall of 20 mm, an arc of radius 10 over 60 degrees in chords of 6, a level flat;
    /// with `outside`, the corners of the tangents instead of points on the arc.
    fn rim(outside: bool) -> Vec<Point> {
        let on = |degrees: f64, radius: f64| {
            let a = degrees.to_radians();
            Point::new(-radius * a.sin(), radius * a.cos())
        };
        let mut chain: Vec<Point> = (0..=10)
            .rev()
            .map(|i| 6.0 * f64::from(i))
            .filter(|a| !outside || *a < 59.0)
            .map(|a| {
                if outside {
                    on(a + 3.0, 10.0 / 3.0_f64.to_radians().cos())
                } else {
                    on(a, 10.0)
                }
            })
            .collect();
        let (sin, cos) = 60.0_f64.to_radians().sin_cos();
        let first = chain[0];
        chain.insert(0, Point::new(first.x - 20.0 * cos, first.y - 20.0 * sin));
        chain.insert(0, Point::new(chain[0].x - 15.0, chain[0].y));
        let last = chain[chain.len() - 1];
        chain.push(Point::new(last.x + 50.0, last.y));
        chain
    }

    #[test]
    fn an_arc_read_on_it_ends_at_its_last_readings() {
        // Reference: the arc itself: its direction is the chord's at the chord's middle, the
        // wall's and the flat's from its two ends on. Half of the chord 20 sin 3 degrees.
        let half = 10.0 * 3.0_f64.to_radians().sin();
        let chain = rim(false);
        let found = bends(&chain, 1.0);
        assert_abs_diff_eq!(found[2].inner, 0.0, epsilon = 1e-12);
        assert_abs_diff_eq!(found[12].outer, 0.0, epsilon = 1e-12);
        assert_abs_diff_eq!(found[2].outer, half, epsilon = 1e-12);
        for bend in &found[3..12] {
            assert_abs_diff_eq!(bend.inner, half, epsilon = 1e-12);
            assert_abs_diff_eq!(bend.outer, half, epsilon = 1e-12);
        }
        assert_eq!(found[1], Bend::default(), "the foot is concave");
    }

    #[test]
    fn an_arc_read_by_its_tangents_goes_on_into_wall_and_flat() {
        // Reference: a tangent touches its arc at its middle: 10 tan 3 degrees either way.
        let half = 10.0 * 3.0_f64.to_radians().tan();
        for bend in &bends(&rim(true), 1.0)[2..12] {
            assert_abs_diff_eq!(bend.inner, half, epsilon = 1e-9);
            assert_abs_diff_eq!(bend.outer, half, epsilon = 1e-9);
        }
    }

    #[test]
    fn facets_cut_finer_and_the_mirror_leave_every_bend() {
        let chain = rim(false);
        let found = bends(&chain, 1.0);
        let mut cut = vec![chain[0]];
        for w in chain.windows(2) {
            cut.extend([0.25, 0.5, 1.0].map(|t| w[0] + (w[1] - w[0]) * t));
        }
        let finer = bends(&cut, 1.0);
        let mirrored: Vec<Point> = chain.iter().map(|p| Point::new(-p.x, p.y)).collect();
        for ((a, b), c) in found
            .iter()
            .zip(finer.iter().step_by(3))
            .zip(bends(&mirrored, -1.0))
        {
            for other in [*b, c] {
                assert_abs_diff_eq!(a.inner, other.inner, epsilon = 1e-9);
                assert_abs_diff_eq!(a.outer, other.outer, epsilon = 1e-9);
            }
        }
    }

    #[test]
    fn a_corner_that_stands_alone_or_is_sharp_reaches_nowhere() {
        let on = |points: &[(f64, f64)]| -> Vec<Bend> {
            let chain: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
            bends(&chain, 1.0)
        };
        // A shallow lip between foot and flat, and beside a crown of a degree every 20 mm.
        let foot = [(0.0, -5.0), (20.0, -5.0)];
        let lone = on(&[foot[0], foot[1], (35.0, 0.0), (100.0, 0.0)]);
        let crown = [(35.0, 0.0), (55.0, 0.35), (75.0, 0.35), (95.0, 0.0)];
        let crowned = on(&[&foot[..], &crown].concat());
        // A ditch with walls at 45 degrees, two folds in a row.
        let folds = [(35.0, 15.0), (45.0, 15.0), (55.0, 5.0), (70.0, 5.0)];
        let folded = on(&[&[(0.0, -5.0), (15.0, -5.0)], &folds[..]].concat());
        for bend in [lone[2], crowned[2], folded[2], folded[3]] {
            assert!(bend.turn > 0.2);
            assert!(bend.inner.abs() + bend.outer.abs() <= 0.0, "{bend:?}");
        }
    }
}
