//! The free film between a front and its bond line as a path of corners, for every place
//! of the front.
//!
//! Scanned from the bond line back to the press as in [`super::spread`], but the corners
//! are kept as a tree: each knows the next one outwards, so that a front on its way out
//! finds the path it has then without a second scan.

use super::bend::{Bend, STRAIGHT, bends};
use crate::geometry::{Point, Vector, cross};

/// Part of the film ahead by which a facet's end may lie below it and still carry it.
const LEVEL: f64 = 1e-13;

/// A corner of the free film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Corner {
    pub(super) p: Point,
    /// The next corner outwards with a turn, `None` at the bond line.
    pub(super) next: Option<usize>,
    /// Direction and length of the film to it, mm, and whether that lies on the panel.
    pub(super) along: Vector,
    pub(super) length: f64,
    pub(super) rests: bool,
    /// Turn of the film at the next corner, rad.
    pub(super) turn: f64,
    /// Film from here to the bond line, mm.
    pub(super) beyond: f64,
    /// How far the curve reaches that it is a reading of.
    pub(super) bend: Bend,
}

/// Part of a facet along which the free film goes to one corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Leg {
    /// Distance from the press at which it begins and ends, mm along the panel.
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) start: Point,
    pub(super) along: Vector,
    /// The corner ahead.
    pub(super) corner: usize,
    /// The film ahead lies along the facet: the front moves straight along it.
    pub(super) rests: bool,
}

impl Leg {
    /// The front at a distance from the press.
    pub(super) fn at(&self, t: f64) -> Point {
        self.start + self.along * (t - self.from)
    }
}

/// All legs of a side, from the press outwards, and the corners ahead of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Path {
    pub(super) corners: Vec<Corner>,
    pub(super) legs: Vec<Leg>,
}

/// Angle between two directions, rad.
pub(super) fn angle(a: Vector, b: Vector) -> f64 {
    cross(a, b).abs().atan2(a.dot(&b))
}

impl Path {
    /// The paths of a front along `chain`, from the press to the bond line.
    pub(super) fn new(chain: &[Point], right: bool) -> Self {
        let sign = if right { 1.0 } else { -1.0 };
        let mut path = Self::default();
        let Some(&bond) = chain.last() else {
            return path;
        };
        path.corners.push(Corner {
            p: bond,
            next: None,
            along: Vector::zeros(),
            length: 0.0,
            rests: false,
            turn: 0.0,
            beyond: 0.0,
            bend: Bend::default(),
        });
        let bends = bends(chain, sign);
        let mut top = 0;
        let mut far: f64 = chain.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
        for (w, &bend) in chain.windows(2).zip(&bends).rev() {
            let (p, v) = (w[0], w[1]);
            let length = (v - p).norm();
            let along = (v - p) / length;
            let start = if p == chain[0] { 0.0 } else { far - length };
            let c = path.corners[top];
            let leaves = c.next.is_some()
                && sign * cross(along, c.along) * c.length > LEVEL * length.max(c.beyond);
            if leaves {
                // The film leaves the panel at the front: the far end is no corner.
                top = c.next.unwrap_or(top);
                top = path.rise((p, v), along, sign, (start, far), (top, bend));
            } else {
                // Straight on over the far end, the next real corner is ahead.
                let on = |_: &usize| c.rests && angle(along, c.along) <= STRAIGHT;
                let corner = c.next.filter(on).unwrap_or(top);
                path.legs.push(Leg {
                    from: start,
                    to: far,
                    start: p,
                    along,
                    corner,
                    rests: true,
                });
                top = path.push((p, bend), top, true);
            }
            far = start;
        }
        path.legs.reverse();
        path
    }

    /// Adds a corner before another; corners without a turn between two pieces that rest
    /// are passed over.
    fn push(&mut self, (p, bend): (Point, Bend), next: usize, rests: bool) -> usize {
        let c = self.corners[next];
        let to = c.p - p;
        let length = to.norm();
        let along = to / length;
        let turn = if c.next.is_some() {
            angle(along, c.along)
        } else {
            0.0
        };
        let corner = if c.next.is_some() && c.rests == rests && turn <= STRAIGHT {
            Corner {
                p,
                bend,
                along: c.along,
                length: length + c.length,
                beyond: length + c.beyond,
                ..c
            }
        } else {
            Corner {
                p,
                next: Some(next),
                along,
                length,
                rests,
                turn,
                beyond: length + c.beyond,
                bend,
            }
        };
        self.corners.push(corner);
        self.corners.len() - 1
    }

    /// The legs of a facet while the film is in the air, from its far end back to its
    /// start, which then becomes the nearest corner.
    fn rise(
        &mut self,
        (p, v): (Point, Point),
        along: Vector,
        sign: f64,
        (start, mut far): (f64, f64),
        (mut top, bend): (usize, Bend),
    ) -> usize {
        let mut near = v;
        loop {
            let c = self.corners[top];
            // The corner goes where the line through it and the next one cuts the facet.
            let cut = c.next.and_then(|_| {
                let at_p = sign * cross(c.p - p, c.along);
                let at_near = (sign * cross(c.p - near, c.along)).min(0.0);
                (at_p > 0.0).then(|| (at_near / (at_near - at_p)).clamp(0.0, 1.0))
            });
            let (end, from) = match cut {
                Some(t) => (near + (p - near) * t, far + (start - far) * t),
                None => (p, start),
            };
            if from < far {
                self.legs.push(Leg {
                    from,
                    to: far,
                    start: end,
                    along,
                    corner: top,
                    rests: false,
                });
            }
            match (cut, c.next) {
                (Some(_), Some(next)) => top = next,
                _ => return self.push((p, bend), top, false),
            }
            near = end;
            far = from;
        }
    }
}
