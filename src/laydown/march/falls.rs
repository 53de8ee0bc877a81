//! The largest fall of the tension of film that rests beyond a front.
//!
//! The march assumes that there is none. All tensions follow from Z ([`super::outer`]), so
//! a corner's largest fall is the largest drop of Z while it was on the path. Corners leave
//! the path in the order they came back, the last first: each keeps what Z did while it was
//! the nearest one, and hands it outwards when the front passes.

use super::outer::Outer;
use crate::laydown::path::Path;

/// Part of the front's largest tension that film must have had for its fall to count, where
/// it drags: near the place where drag has used all of it up, any fall is a whole one.
const WORTH: f64 = 0.1;
/// Tension, as a part of the stiffness, below which its fall is not watched.
const SLACK: f64 = 1e-9;

/// What Z did over a time: its extremes, and the largest drop, from and to.
#[derive(Debug, Clone, Copy)]
struct Course {
    corner: usize,
    most: f64,
    least: f64,
    drop: (f64, f64),
}

/// The courses of the corners on the path.
#[derive(Debug)]
pub(super) struct Falls {
    /// By place on the path.
    courses: Vec<Course>,
    /// Largest tension of the front so far, and that below which there is none.
    front: f64,
    slack: f64,
    fall: f64,
}

impl Falls {
    /// `scale`: stiffness of the film.
    pub(super) fn new(scale: f64) -> Self {
        Self {
            courses: Vec::new(),
            front: 0.0,
            slack: SLACK * scale,
            fall: 0.0,
        }
    }

    /// Is film of this tension slack?
    pub(super) fn is_slack(&self, n: f64) -> bool {
        n <= self.slack
    }

    /// Notes a front with tension `n` and Z before a corner.
    pub(super) fn note(&mut self, path: &Path, outer: &Outer, corner: usize, n: f64, z: f64) {
        self.front = self.front.max(n);
        let mut fresh = vec![];
        let mut at = Some(corner);
        while let Some(c) = at {
            let course = self.courses.get(outer.depth(c));
            if course.is_some_and(|course| course.corner == c) {
                break;
            }
            fresh.push(c);
            at = path.corners[c].next;
        }
        let kept = outer.depth(corner) + 1 - fresh.len();
        while self.courses.len() > kept {
            self.pass(outer);
        }
        let empty = |&corner: &usize| Course {
            corner,
            most: f64::NEG_INFINITY,
            least: f64::INFINITY,
            drop: (0.0, 0.0),
        };
        self.courses.extend(fresh.iter().rev().map(empty));
        if let Some(course) = self.courses.last_mut() {
            let now = Course {
                corner,
                most: z,
                least: z,
                drop: (z, z),
            };
            *course = course.then(now, outer);
        }
    }

    /// The largest relative fall, all corners passed.
    pub(super) fn largest(&mut self, outer: &Outer) -> f64 {
        while !self.courses.is_empty() {
            self.pass(outer);
        }
        self.fall
    }

    /// The front passes the nearest corner.
    fn pass(&mut self, outer: &Outer) {
        let Some(gone) = self.courses.pop() else {
            return;
        };
        let (from, to) = gone.drop;
        let before = outer.tension(gone.corner, from);
        let after = outer.tension(gone.corner, to).max(0.0);
        let worth = if outer.drag() > 0.0 {
            WORTH * self.front
        } else {
            0.0
        };
        if gone.most >= gone.least && before > self.slack.max(worth) {
            self.fall = self.fall.max(1.0 - after / before);
        }
        if let Some(next) = self.courses.last_mut() {
            *next = next.then(gone, outer);
        }
    }
}

impl Course {
    /// This one and then the other, for the corner of this one.
    fn then(self, other: Self, outer: &Outer) -> Self {
        if other.most < other.least {
            return self;
        }
        if self.most < self.least {
            return Self {
                corner: self.corner,
                ..other
            };
        }
        // Without drag a fall is a ratio, with it a difference.
        let dragged = outer.drag() > 0.0;
        let size = |(from, to): (f64, f64)| if dragged { from - to } else { 1.0 - to / from };
        let mut drop = self.drop;
        for other in [other.drop, (self.most, other.least)] {
            if size(other) > size(drop) {
                drop = other;
            }
        }
        Self {
            corner: self.corner,
            most: self.most.max(other.most),
            least: self.least.min(other.least),
            drop,
        }
    }
}
