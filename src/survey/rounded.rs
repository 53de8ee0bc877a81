//! A chain of straight pieces whose corners may be rounded: what is fitted to readings.
//!
//! A corner with a radius is cut by the arc that touches both its pieces. With u, n the
//! direction and left normal of a piece and turn the angle between two, the arc touches
//! `radius · tan(turn/2)` before and after the corner, and its centre is a radius off both
//! pieces on the side they turn to.

use crate::geometry::{Point, Vector, cross};
use std::ops::Range;

/// Distance of an arc's facets from the arc, mm: a hundredth of the last digit of a good
/// gauge. Finer: more vertices for nothing; coarser: arcs come out short.
const FACET: f64 = 1e-3;
/// Least sine of the turn of a corner that may be rounded: 1 degree. Under it, the centre
/// runs off to where nothing is exact.
pub(crate) const LEAST_TURN: f64 = 0.0175;

/// Corners, ends included, and the radius at each; 0 for a sharp one and at the ends.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Rounded {
    pub(crate) corners: Vec<Point>,
    pub(crate) radii: Vec<f64>,
}

/// A straight piece between its touching points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Side {
    pub(crate) a: Point,
    pub(crate) u: Vector,
    pub(crate) length: f64,
    low: f64,
    high: f64,
}

impl Side {
    /// Left normal.
    pub(crate) fn normal(&self) -> Vector {
        left(self.u)
    }
}

/// The arc at a corner; `sign` is 1 where the chain turns left, else -1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bend {
    pub(crate) centre: Point,
    pub(crate) radius: f64,
    pub(crate) sign: f64,
    pub(crate) tangent: f64,
}

/// What of the chain is nearest to a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    /// The piece that starts at this corner.
    Side(usize),
    /// A sharp corner.
    Corner(usize),
    /// The arc at a corner.
    Arc(usize),
}

/// The nearest place of a chain.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Foot {
    pub(crate) part: Part,
    pub(crate) square: f64,
    pub(crate) at: Point,
}

/// A chain with its pieces and arcs worked out; its end pieces go on for ever.
#[derive(Debug)]
pub(crate) struct Drawn {
    pub(crate) sides: Vec<Side>,
    pub(crate) bends: Vec<Option<Bend>>,
    corners: Vec<Point>,
}

fn left(u: Vector) -> Vector {
    Vector::new(-u.y, u.x)
}

/// tan of half the turn from `u1` to `u2`, positive, and whether it turns left.
fn half_turn(u1: Vector, u2: Vector) -> (f64, f64) {
    let sin = cross(u1, u2);
    (sin.abs() / (1.0 + u1.dot(&u2)), 1.0_f64.copysign(sin))
}

impl Rounded {
    /// A chain of sharp corners.
    pub(crate) fn sharp(corners: Vec<Point>) -> Self {
        let radii = vec![0.0; corners.len()];
        Self { corners, radii }
    }

    /// Number of straight pieces.
    pub(crate) fn pieces(&self) -> usize {
        self.corners.len() - 1
    }

    /// Number of rounded corners.
    pub(crate) fn rounded(&self) -> usize {
        self.radii.iter().filter(|&&r| r > 0.0).count()
    }

    /// Direction and length of the piece that starts at corner `k`.
    pub(crate) fn piece(&self, k: usize) -> (Vector, f64) {
        let v = self.corners[k + 1] - self.corners[k];
        let length = v.norm();
        if length > 0.0 {
            (v / length, length)
        } else {
            (Vector::x(), 0.0)
        }
    }

    /// tan of half the turn at an inner corner, and its sign; `None` where it hardly turns
    /// or turns right back.
    pub(crate) fn turn(&self, k: usize) -> Option<(f64, f64)> {
        let (u1, u2) = (self.piece(k - 1).0, self.piece(k).0);
        let (half, sign) = half_turn(u1, u2);
        (cross(u1, u2).abs() > LEAST_TURN).then_some((half, sign))
    }

    /// Length from an inner corner to where its arc touches, mm.
    pub(crate) fn tangent(&self, k: usize) -> f64 {
        if self.radii[k] <= 0.0 {
            return 0.0;
        }
        self.turn(k).map_or(0.0, |(half, _)| self.radii[k] * half)
    }

    /// Makes arcs smaller until no two of them overlap on a piece.
    pub(crate) fn keep_arcs_apart(&mut self) {
        for k in 1..self.pieces() {
            if self.radii[k] > 0.0 && self.turn(k).is_none() {
                self.radii[k] = 0.0;
            }
        }
        for k in 0..self.pieces() {
            let both = self.tangent(k) + self.tangent(k + 1);
            let length = self.piece(k).1;
            if both > length {
                let part = length / both * (1.0 - 1e-9);
                self.radii[k] *= part;
                self.radii[k + 1] *= part;
            }
        }
    }

    /// Pieces and arcs worked out.
    pub(crate) fn drawn(&self) -> Drawn {
        let pieces = self.pieces();
        let inner = |k: usize| k > 0 && k < pieces;
        let tangent = |k: usize| if inner(k) { self.tangent(k) } else { 0.0 };
        let tangents: Vec<f64> = (0..=pieces).map(tangent).collect();
        let side = |k: usize| {
            let (u, length) = self.piece(k);
            let (low, high) = (tangents[k], length - tangents[k + 1]);
            Side {
                a: self.corners[k],
                u,
                length,
                low: if k == 0 { f64::NEG_INFINITY } else { low },
                high: if k + 1 == pieces { f64::INFINITY } else { high },
            }
        };
        let sides: Vec<Side> = (0..pieces).map(side).collect();
        let bend = |k: usize| {
            let tangent = tangents[k];
            (tangent > 0.0).then(|| {
                let (u1, u2) = (sides[k - 1].u, sides[k].u);
                let (_, sign) = half_turn(u1, u2);
                let radius = self.radii[k];
                Bend {
                    centre: self.corners[k] - u1 * tangent + left(u1) * (sign * radius),
                    radius,
                    sign,
                    tangent,
                }
            })
        };
        Drawn {
            bends: (0..=pieces).map(bend).collect(),
            sides,
            corners: self.corners.clone(),
        }
    }

    /// The chain as points, arcs cut into facets.
    pub(crate) fn facets(&self) -> Vec<Point> {
        let drawn = self.drawn();
        let mut points = Vec::with_capacity(self.corners.len());
        for (k, &c) in self.corners.iter().enumerate() {
            let Some(bend) = drawn.bends[k] else {
                points.push(c);
                continue;
            };
            let (u1, u2) = (drawn.sides[k - 1].u, drawn.sides[k].u);
            let turn = cross(u1, u2).atan2(u1.dot(&u2));
            let step = 2.0 * (1.0 - FACET / bend.radius).clamp(0.0, 1.0).acos();
            let count = super::rounded_count((turn.abs() / step).ceil()).max(1);
            let first = c - u1 * bend.tangent - bend.centre;
            points.extend((0..=count).map(|i| {
                let (sin, cos) = (turn * i as f64 / count as f64).sin_cos();
                bend.centre
                    + Vector::new(cos * first.x - sin * first.y, sin * first.x + cos * first.y)
            }));
        }
        points
    }

    /// Length of the chain of sharp corners, mm.
    pub(crate) fn length(&self) -> f64 {
        (0..self.pieces()).map(|k| self.piece(k).1).sum()
    }

    /// The corners of a range with other corners in between.
    pub(crate) fn with_inner(&self, outer: &Range<usize>, inner: &[(Point, f64)]) -> Self {
        let mut corners = vec![self.corners[outer.start]];
        corners.extend(inner.iter().map(|&(c, _)| c));
        corners.push(self.corners[outer.end]);
        let mut radii = vec![0.0];
        radii.extend(inner.iter().map(|&(_, r)| r));
        radii.push(0.0);
        Self { corners, radii }
    }
}

impl Drawn {
    /// The nearest place to `p` on piece `hint`, its neighbours, and what is between them.
    pub(crate) fn nearest(&self, p: Point, hint: usize) -> Foot {
        let last = self.sides.len() - 1;
        let mut best = Foot {
            part: Part::Side(hint),
            square: f64::INFINITY,
            at: p,
        };
        let mut offer = |part, at: Point| {
            let square = (p - at).norm_squared();
            if square < best.square {
                best = Foot { part, square, at };
            }
        };
        let from = hint.saturating_sub(1);
        for k in from..=last.min(hint + 1) {
            let side = &self.sides[k];
            let t = (p - side.a).dot(&side.u);
            if side.low <= t && t <= side.high {
                offer(Part::Side(k), side.a + side.u * t);
            }
            // The corner this piece starts at, between it and the one before.
            if k == 0 || (k == from && from > 0 && t > side.low) {
                continue;
            }
            match &self.bends[k] {
                None => offer(Part::Corner(k), self.corners[k]),
                Some(bend) => {
                    let before = (p - self.sides[k - 1].a).dot(&self.sides[k - 1].u);
                    let v = p - bend.centre;
                    let length = v.norm();
                    if before >= self.sides[k - 1].high && t <= side.low && length > 0.0 {
                        offer(Part::Arc(k), bend.centre + v * (bend.radius / length));
                    }
                }
            }
        }
        if best.square.is_infinite() {
            // On the inner side beyond an arc's centre: the piece itself, prolonged.
            let side = &self.sides[hint];
            let at = side.a + side.u * (p - side.a).dot(&side.u);
            best = Foot {
                part: Part::Side(hint),
                square: (p - at).norm_squared(),
                at,
            };
        }
        best
    }
}

impl Foot {
    /// The piece to look from the next time.
    pub(crate) fn hint(&self, hint: usize) -> usize {
        match self.part {
            Part::Side(k) => k,
            Part::Corner(k) | Part::Arc(k) => hint.clamp(k - 1, k),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Part, Rounded};
    use crate::geometry::{Point, chain, path_length};
    use approx::assert_relative_eq;

    fn square_corner() -> Rounded {
        let mut chain = Rounded::sharp(chain("0,0 20,0 20,-20"));
        chain.radii[1] = 5.0;
        chain
    }

    #[test]
    fn a_rounded_square_corner_has_its_quarter_circle() {
        // Reference: by hand: two pieces of 15 mm and a quarter circle of 5 mm. Facets
        // within 1e-3 mm of the arc: each is short by a 24th of its angle squared.
        let length = path_length(&square_corner().facets());
        assert_relative_eq!(length, 30.0 + 2.5 * std::f64::consts::PI, epsilon = 2e-3);
    }

    #[test]
    fn points_find_the_piece_the_arc_and_the_sharp_corner() {
        let mut chain = square_corner();
        let drawn = chain.drawn();
        let foot = drawn.nearest(Point::new(10.0, 0.3), 0);
        assert_eq!(foot.part, Part::Side(0));
        assert_relative_eq!(foot.square, 0.09, epsilon = 1e-12);
        let out = Point::new(15.0 + 4.0, -5.0 + 4.0);
        let foot = drawn.nearest(out, 0);
        assert_eq!(foot.part, Part::Arc(1));
        assert_relative_eq!(foot.square.sqrt(), 32.0_f64.sqrt() - 5.0, epsilon = 1e-12);
        chain.radii[1] = 0.0;
        let foot = chain.drawn().nearest(Point::new(21.0, 1.0), 1);
        assert_eq!(foot.part, Part::Corner(1));
        assert_relative_eq!(foot.square, 2.0, epsilon = 1e-12);
    }

    #[test]
    fn arcs_that_overlap_are_made_smaller() {
        let mut chain = Rounded::sharp(chain("0,0 20,0 20,-8 40,-8"));
        chain.radii = vec![0.0, 12.0, 4.0, 0.0];
        chain.keep_arcs_apart();
        assert_relative_eq!(chain.radii[1], 6.0, epsilon = 1e-6);
        assert_relative_eq!(chain.radii[2], 2.0, epsilon = 1e-6);
    }
}
