//! A chain of points with its arc length: what the film is laid on.

use nalgebra::{Point2, Vector2};
use std::borrow::Cow;

/// A point of the section plane, mm: x to the right, y out of the panel.
pub type Point = Point2<f64>;
/// A displacement in the section plane, mm.
pub type Vector = Vector2<f64>;

/// Distance along the panel within which a place is on a vertex, mm: far below what can be
/// pressed, far above rounding.
pub(crate) const ON_VERTEX: f64 = 1e-6;

/// Distance from a chord within which vertices are on it, mm. Readings with twelve decimals
/// or more on a line are within 1e-13; the facets of an arc of 10 mm must be shorter than
/// 1e-4 mm to be taken for straight, and shorten it by a part of 1e-12 then. Wider, rounded
/// readings would be straightened, which changes answers in the eighth digit.
const STRAIGHT: f64 = 1e-10;
/// Vertices from which it pays to look for straight runs. Sections that people type are
/// laid on to the last bit as they are.
const MANY: usize = 2000;

/// Returns the turn from `a` to `b`: positive to the left, mm².
pub(crate) fn cross(a: Vector, b: Vector) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Points joined by straight facets, with the arc length `s` of each, mm.
///
/// `s` is counted from a chosen origin, so that a panel prolonged to the left of its
/// survey keeps the arc lengths of the survey and has negative ones before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Polyline {
    points: Vec<Point>,
    lengths: Vec<f64>,
}

impl Polyline {
    /// Joins at least two points; the first one gets the arc length `start`, mm.
    pub(crate) fn new(points: Vec<Point>, start: f64) -> Self {
        debug_assert!(points.len() >= 2);
        let mut s = start;
        let mut lengths = Vec::with_capacity(points.len());
        lengths.push(s);
        for pair in points.windows(2) {
            s += (pair[1] - pair[0]).norm();
            lengths.push(s);
        }
        Self { points, lengths }
    }

    /// The points, left to right, mm.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The arc length of each point, mm.
    pub fn lengths(&self) -> &[f64] {
        &self.lengths
    }

    /// Arc length of the first point, mm.
    pub fn start(&self) -> f64 {
        self.lengths[0]
    }

    /// Arc length of the last point, mm.
    pub fn end(&self) -> f64 {
        self.lengths[self.lengths.len() - 1]
    }

    /// The same chain without facets shorter than [`ON_VERTEX`]; its ends stay.
    pub(crate) fn without_slivers(&self) -> Cow<'_, Self> {
        let short = |w: &[f64]| w[1] - w[0] <= ON_VERTEX;
        if !self.lengths.windows(2).any(short) {
            return Cow::Borrowed(self);
        }
        let last = self.points[self.points.len() - 1];
        let mut kept: Vec<Point> = Vec::with_capacity(self.points.len());
        for &p in &self.points {
            if kept.last().is_none_or(|q| (p - q).norm() > ON_VERTEX) {
                kept.push(p);
            }
        }
        // The end itself, in place of a neighbour too near it.
        if kept.len() > 2 && kept[kept.len() - 1] != last {
            kept.pop();
            kept.push(last);
        }
        if kept.len() == 1 {
            kept.push(last);
        }
        Cow::Owned(Self::new(kept, self.start()))
    }

    /// The same chain without the vertices of runs that are straight within [`STRAIGHT`], if
    /// it has [`MANY`] vertices or more: what a scan of flats and walls mostly consists of.
    pub(crate) fn without_straight_runs(&self) -> Cow<'_, Self> {
        if self.points.len() < MANY {
            return Cow::Borrowed(self);
        }
        let kept = self.ends_of_runs(STRAIGHT);
        if kept.len() == self.points.len() {
            return Cow::Borrowed(self);
        }
        let kept = kept.into_iter().map(|i| self.points[i]).collect();
        Cow::Owned(Self::new(kept, self.start()))
    }

    /// Indices of vertices, the first and the last among them, of which each chord passes all
    /// vertices between its ends within a distance, mm.
    pub(crate) fn ends_of_runs(&self, within: f64) -> Vec<usize> {
        let mut kept = vec![0];
        let mut from = 0;
        while from < self.points.len() - 1 {
            from = self.end_of_run(from, within);
            kept.push(from);
        }
        kept
    }

    /// The farthest vertex of which the chord from `from` passes all between within a
    /// distance: each leaves a wedge of directions, and the chord is in all of them.
    fn end_of_run(&self, from: usize, within: f64) -> usize {
        let origin = self.points[from];
        let along = (self.points[from + 1] - origin).normalize();
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        let mut reach = 0.0;
        for (i, p) in self.points.iter().enumerate().skip(from + 1) {
            let (ahead, aside) = ((p - origin).dot(&along), cross(along, p - origin));
            let slope = aside / ahead;
            if ahead <= reach || slope < low || slope > high {
                return (i - 1).max(from + 1);
            }
            low = low.max((aside - within) / ahead);
            high = high.min((aside + within) / ahead);
            reach = ahead;
        }
        self.points.len() - 1
    }

    /// Index of the facet that holds `s`; a vertex belongs to the facet on its right.
    pub(crate) fn facet(&self, s: f64) -> usize {
        let after = self.lengths.partition_point(|&l| l <= s);
        after.clamp(1, self.points.len() - 1) - 1
    }

    /// The point at arc length `s`, mm; beyond the ends, the end facet goes on straight.
    pub fn at(&self, s: f64) -> Point {
        let i = self.facet(s);
        let (s0, s1) = (self.lengths[i], self.lengths[i + 1]);
        let (a, b) = (self.points[i], self.points[i + 1]);
        // From the nearer end, so that a vertex is met to the last bit.
        if s - s0 <= s1 - s {
            a + (b - a) * ((s - s0) / (s1 - s0))
        } else {
            b + (a - b) * ((s1 - s) / (s1 - s0))
        }
    }

    /// The arc length of a vertex within [`ON_VERTEX`] of `s`, else `s` itself, mm.
    pub(crate) fn snap(&self, s: f64) -> f64 {
        let after = self.lengths.partition_point(|&l| l < s);
        let near = [after.checked_sub(1), Some(after)];
        let near = near
            .into_iter()
            .flatten()
            .filter_map(|i| self.lengths.get(i).copied());
        let near = near.filter(|l| (l - s).abs() <= ON_VERTEX);
        near.min_by(|a, b| (a - s).abs().total_cmp(&(b - s).abs()))
            .unwrap_or(s)
    }

    /// The arc length at abscissa `x`, mm, for a chain whose x never runs back; on a
    /// vertical wall the upper end, beyond the ends `None`.
    pub fn at_x(&self, x: f64) -> Option<f64> {
        let n = self.points.len();
        if !(self.points[0].x <= x && x <= self.points[n - 1].x) {
            return None;
        }
        let first = self.points.partition_point(|p| p.x < x);
        let beyond = self.points.partition_point(|p| p.x <= x);
        if beyond > first {
            // One or more points stand at this x: the highest of them.
            let top =
                (first..beyond).max_by(|&i, &j| self.points[i].y.total_cmp(&self.points[j].y))?;
            return Some(self.lengths[top]);
        }
        let (a, b) = (self.points[first - 1], self.points[first]);
        let t = (x - a.x) / (b.x - a.x);
        Some(self.lengths[first - 1] + t * (self.lengths[first] - self.lengths[first - 1]))
    }

    /// The chain between two arc lengths, its ends included, from `from` to `to` (which
    /// may be the smaller: then it runs right to left).
    pub(crate) fn between(&self, from: f64, to: f64) -> Vec<Point> {
        let (low, high) = (from.min(to), from.max(to));
        let i = self.lengths.partition_point(|&l| l <= low);
        let j = self.lengths.partition_point(|&l| l < high);
        let mut chain = Vec::with_capacity(j.saturating_sub(i) + 2);
        chain.push(self.at(low));
        if i < j {
            chain.extend_from_slice(&self.points[i..j]);
        }
        chain.push(self.at(high));
        if from > to {
            chain.reverse();
        }
        chain
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A channel with each of its five facets cut into `cuts`.
    fn finely_cut(cuts: u32) -> Polyline {
        let corners = crate::geometry::chain("-140,0 -40,0 -20,-25 20,-25 40,0 140,0");
        let mut points = vec![corners[0]];
        for w in corners.windows(2) {
            let part = |k: u32| w[0] + (w[1] - w[0]) * (f64::from(k) / f64::from(cuts));
            points.extend((1..cuts).map(part));
            points.push(w[1]);
        }
        Polyline::new(points, 0.0)
    }

    #[test]
    fn a_scan_of_straight_lines_comes_down_to_its_corners() {
        // Reference: the six corners that it was cut from; 240 + 2 walls of sqrt(1025) mm.
        let line = finely_cut(2000);
        let merged = line.without_straight_runs();
        assert_eq!(merged.points().len(), 6);
        assert!((merged.end() - (240.0 + 2.0 * 1025.0_f64.sqrt())).abs() < 1e-11);
        assert!(finely_cut(100).without_straight_runs().points().len() == 501);
    }

    #[test]
    fn an_arc_keeps_its_vertices() {
        let arc = |k: u32| {
            let a = f64::from(k) * 3e-4;
            Point::new(3.0 * a.sin(), -3.0 * a.cos())
        };
        let line = Polyline::new((0..5000).map(arc).collect(), 0.0);
        assert_eq!(line.without_straight_runs().points().len(), 5000);
    }
}
