//! Sharp outlines with rounded corners, cut into facets.
//!
//! An outline is a chain of sharp corners, each at an end of the survey, at a lip or at a
//! foot. A corner of radius `r` that turns by `θ` loses the tangent length
//! `t = r tan(θ/2)` on both its edges; the arc between is cut into `n` facets whose
//! vertices lie on it, of length `2 n r sin(θ/2n)` in all. `n` depends on `r` alone, so
//! that the length of an outline is a continuous function of its angles.

use super::{Point, Vector, cross};

/// Largest distance of a facet from its arc, mm: a tenth of what a contour gauge resolves.
/// Larger makes the stretch at a rounded lip step from facet to facet, smaller only costs
/// points, which grow as one over its square root.
pub(crate) const SAGITTA: f64 = 1e-3;

/// Points nearer than this are one point, mm; as in [`super::Section::new`].
const SAME: f64 = 1e-9;

/// Which roundings a corner takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Corner {
    /// End of the survey.
    End,
    /// A convex corner, between flat and wall.
    Lip,
    /// A concave corner, between wall and floor.
    Foot,
}

/// A radius and the facets its arcs are cut into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rounding {
    /// Radius, mm; 0 is sharp.
    pub(crate) radius: f64,
    /// Facets of one arc.
    pub(crate) facets: usize,
}

impl Rounding {
    /// Enough facets for any turn up to a right angle within [`SAGITTA`].
    pub(crate) fn of(radius: f64) -> Self {
        Self {
            radius,
            facets: facets(std::f64::consts::FRAC_PI_2, radius),
        }
    }

    /// What a turn by `angle` (radians) saves against the sharp corner, mm.
    pub(crate) fn saving(self, angle: f64) -> f64 {
        let n = count(self.facets);
        2.0 * self.radius * ((angle / 2.0).tan() - n * (angle / (2.0 * n)).sin())
    }
}

/// Facets that keep an arc of `angle` (radians) within [`SAGITTA`]; at least one.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float cast saturates, and the radius is at most that of LONGEST: some 1e5"
)]
pub(crate) fn facets(angle: f64, radius: f64) -> usize {
    if radius <= 0.0 {
        return 1;
    }
    let step = 2.0 * (1.0 - SAGITTA / radius).max(0.0).acos();
    ((angle / step).ceil() as usize).clamp(1, 100_000)
}

/// A small count as a float.
#[expect(clippy::cast_precision_loss, reason = "counts here stay below 1e6")]
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}

/// A chain of sharp corners.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Outline {
    /// The corners, left to right, mm.
    pub(crate) corners: Vec<(Point, Corner)>,
}

impl Outline {
    /// A channel of flats, walls and floor; `runs`: how far each wall runs sideways, mm.
    /// The middle of the mouth is the origin.
    pub(crate) fn channel(mouth: f64, depth: f64, runs: (f64, f64), flat: f64) -> Self {
        let half = mouth / 2.0;
        let right = (half - runs.1).max(-half + runs.0);
        Self {
            corners: vec![
                (Point::new(-half - flat, 0.0), Corner::End),
                (Point::new(-half, 0.0), Corner::Lip),
                (Point::new(-half + runs.0, -depth), Corner::Foot),
                (Point::new(right, -depth), Corner::Foot),
                (Point::new(half, 0.0), Corner::Lip),
                (Point::new(half + flat, 0.0), Corner::End),
            ],
        }
    }

    /// Largest radius of the corners `which` that fits beside `other` at the rest, mm.
    pub(crate) fn largest(&self, which: Corner, other: f64) -> f64 {
        let slopes: Vec<f64> = (0..self.corners.len()).map(|i| self.half_turn(i)).collect();
        let mut most = f64::INFINITY;
        for (i, edge) in self.corners.windows(2).enumerate() {
            let (mut mine, mut room) = (0.0, (edge[1].0 - edge[0].0).norm());
            for j in [i, i + 1] {
                match self.corners[j].1 {
                    Corner::End => {}
                    corner if corner == which => mine += slopes[j],
                    _ => room -= other * slopes[j],
                }
            }
            if mine > 0.0 {
                most = most.min(room.max(0.0) / mine);
            }
        }
        most
    }

    /// Tangent of half the turn at corner `i`; 0 at the ends.
    fn half_turn(&self, i: usize) -> f64 {
        if i == 0 || i + 1 == self.corners.len() {
            return 0.0;
        }
        let (a, b) = self.edges(i);
        (cross(a, b).abs().atan2(a.dot(&b)) / 2.0).tan()
    }

    /// The edges before and after corner `i`.
    fn edges(&self, i: usize) -> (Vector, Vector) {
        let at = |j: usize| self.corners[j].0;
        (at(i) - at(i - 1), at(i + 1) - at(i))
    }

    /// The outline with its corners rounded, as points, left to right.
    pub(crate) fn rounded(&self, lip: Rounding, foot: Rounding) -> Vec<Point> {
        let mut points = Vec::new();
        for (i, &(at, corner)) in self.corners.iter().enumerate() {
            let rounding = match corner {
                Corner::End => Rounding::of(0.0),
                Corner::Lip => lip,
                Corner::Foot => foot,
            };
            let slope = self.half_turn(i);
            if rounding.radius > 0.0 && slope > 0.0 {
                round_off(at, self.edges(i), rounding, slope, &mut points);
            } else {
                points.push(at);
            }
        }
        tidied(points)
    }
}

/// Adds the arc that rounds off the corner `at` between the edges `a` and `b`.
fn round_off(
    at: Point,
    (a, b): (Vector, Vector),
    rounding: Rounding,
    slope: f64,
    points: &mut Vec<Point>,
) {
    let side = cross(a, b).signum();
    let (a, b) = (a.normalize(), b.normalize());
    let reach = rounding.radius * slope;
    let (from, to) = (at - a * reach, at + b * reach);
    let spoke = Vector::new(a.y, -a.x) * (side * rounding.radius);
    let angle = side * 2.0 * slope.atan();
    arc(from - spoke, spoke, angle, rounding.facets, points);
    if let Some(last) = points.last_mut() {
        *last = to;
    }
}

/// Adds an arc: `spoke` turned about `centre` through `angle` (radians), both ends included.
pub(crate) fn arc(
    centre: Point,
    spoke: Vector,
    angle: f64,
    facets: usize,
    points: &mut Vec<Point>,
) {
    for j in 0..=facets {
        let (sin, cos) = (angle * count(j) / count(facets)).sin_cos();
        points.push(
            centre + Vector::new(cos * spoke.x - sin * spoke.y, sin * spoke.x + cos * spoke.y),
        );
    }
}

/// Drops repeated points and the rounding error that makes x of a vertical wall run back.
pub(crate) fn tidied(points: Vec<Point>) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for mut p in points {
        if let Some(last) = kept.last() {
            if p.x < last.x && last.x - p.x < SAME {
                p.x = last.x;
            }
            if (p - last).norm() <= SAME {
                continue;
            }
        }
        kept.push(p);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn length(points: &[Point]) -> f64 {
        points.windows(2).map(|w| (w[1] - w[0]).norm()).sum()
    }

    #[test]
    fn rounding_saves_what_the_formula_says() {
        let outline = Outline::channel(80.0, 25.0, (20.0, 10.0), 60.0);
        let sharp = length(&outline.rounded(Rounding::of(0.0), Rounding::of(0.0)));
        let (lip, foot) = (Rounding::of(3.0), Rounding::of(5.0));
        let round = length(&outline.rounded(lip, foot));
        let saved: f64 = [20.0, 10.0]
            .map(|run| 25.0_f64.atan2(run))
            .map(|a| lip.saving(a) + foot.saving(a))
            .iter()
            .sum();
        // Both sides sum the same facets: rounding error of 200 square roots only.
        assert_relative_eq!(sharp - saved, round, epsilon = 1e-10);
    }

    #[test]
    fn facets_stay_within_their_sagitta_and_on_the_arc() {
        let outline = Outline::channel(80.0, 25.0, (0.0, 0.0), 60.0);
        let points = outline.rounded(Rounding::of(8.0), Rounding::of(0.0));
        let centre = Point::new(-48.0, -8.0);
        for w in points
            .windows(2)
            .filter(|w| w[0].x > -48.0 && w[1].y > -8.0 && w[1].x < 0.0)
        {
            assert_relative_eq!((w[1] - centre).norm(), 8.0, epsilon = 1e-12);
            let middle = w[0] + (w[1] - w[0]) / 2.0;
            assert!((middle - centre).norm() > 8.0 - SAGITTA);
        }
    }

    #[test]
    fn the_largest_radius_just_fits() {
        let outline = Outline::channel(80.0, 25.0, (0.0, 0.0), 60.0);
        // Vertical walls: the tangent length is the radius; wall 25, floor 80.
        assert_relative_eq!(outline.largest(Corner::Lip, 0.0), 25.0, epsilon = 1e-12);
        assert_relative_eq!(outline.largest(Corner::Foot, 10.0), 15.0, epsilon = 1e-12);
    }
}
