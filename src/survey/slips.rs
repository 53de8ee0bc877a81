//! Readings that are none: runs of one to three points that stand off the panel.
//!
//! A run is a slip where each of its points stands off the gap it leaves, the segment
//! from the last point kept to the next point beyond the run, by the most of six standard
//! deviations of the noise, 1.5 times that gap and 0.5 mm. Runs are looked for from the
//! left, the shortest first, each against points already cleaned, so that a good point
//! between two slips is never taken for one. At the ends, where there is no gap, a run is
//! measured against the line of the next ten points instead.
//!
//! Only where points are at most 1 mm apart: a groove given by its corners alone looks
//! just like two slips.

use super::moments::Moments;
use crate::geometry::{Point, Vector, cross};

/// Longest run. Longer: narrow ridges and grooves go; shorter: two slips side by side stay.
const LONGEST_RUN: usize = 3;
/// Standard deviations of the noise: at 5 one good reading in two million would go.
const DEVIATIONS: f64 = 6.0;
/// Parts of the gap: a ridge of which a sharp end is left by the spacing alone stays.
const GAPS: f64 = 1.5;
/// Least distance, mm: less harms no answer and is worth no message.
const LEAST: f64 = 0.5;
/// Widest spacing at which a run can be told from a shape, mm.
const WIDEST_SPACING: f64 = 1.0;
/// Points on each side over which the spacing is looked at.
const NEIGHBOURS: usize = 6;
/// Points whose line an end is measured by. Fewer: noise turns the line; more: a corner near
/// the end bends it.
const END: usize = 10;

/// A run of points and how far the nearest of them stands off, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Run {
    pub(crate) first: usize,
    pub(crate) count: usize,
    pub(crate) off: f64,
}

/// Returns the runs that stand off, left to right.
///
/// # Arguments
/// * `sigma`: standard deviation of the noise, mm, slips left out.
pub(crate) fn slips(points: &[Point], sigma: f64) -> Vec<Run> {
    let n = points.len();
    if n < 2 * (END + LONGEST_RUN) {
        return Vec::new();
    }
    let start = end_run(|i| points[i], sigma);
    let end = end_run(|i| points[n - 1 - i], sigma);
    let last = n - 1 - end.map_or(0, |run| run.count);
    let first = start.map_or(0, |run| run.count);
    let mut found: Vec<Run> = start.into_iter().collect();
    let (mut kept, mut i) = (points[first], first + 1);
    while i < last {
        if let Some(run) = run_at(&points[..=last], kept, i, sigma) {
            i += run.count;
            found.push(run);
        } else {
            kept = points[i];
            i += 1;
        }
    }
    found.extend(end.map(|run| Run {
        first: n - run.count,
        ..run
    }));
    found
}

/// How far a run must stand off a gap, mm.
fn limit(sigma: f64, gap: f64) -> f64 {
    (DEVIATIONS * sigma).max(GAPS * gap).max(LEAST)
}

/// The shortest run that starts at `i` and stands off, after the point `kept`.
fn run_at(points: &[Point], kept: Point, i: usize, sigma: f64) -> Option<Run> {
    (1..=LONGEST_RUN).find_map(|count| {
        let next = *points.get(i + count)?;
        let gap = (next - kept).norm();
        if gap > (count + 1) as f64 * WIDEST_SPACING {
            return None;
        }
        let off = points[i..i + count]
            .iter()
            .map(|&p| distance(p, kept, next))
            .fold(f64::INFINITY, f64::min);
        let stands = off >= limit(sigma, gap) && dense(points, i, i + count);
        stands.then_some(Run {
            first: i,
            count,
            off,
        })
    })
}

/// Whether a third of the steps around the run `from..to` are at most [`WIDEST_SPACING`]
/// long: other slips nearby make the rest long.
pub(crate) fn dense(points: &[Point], from: usize, to: usize) -> bool {
    let around = &points[from.saturating_sub(NEIGHBOURS)..points.len().min(to + NEIGHBOURS)];
    let steps = around.windows(2).map(|w| (w[1] - w[0]).norm());
    3 * steps.filter(|&step| step <= WIDEST_SPACING).count() >= around.len() - 1
}

/// The run at an end, `at(0)` the outermost point.
fn end_run(at: impl Fn(usize) -> Point, sigma: f64) -> Option<Run> {
    (1..=LONGEST_RUN).find_map(|count| {
        let inner: Vec<Point> = (count..count + END).map(&at).collect();
        let line = inner
            .iter()
            .fold(Moments::default(), |sum, &p| sum.with(&Moments::of(p, 1.0)));
        let out = inner[0] - inner[END - 1];
        let spacing = out.norm() / (END - 1) as f64;
        if spacing > WIDEST_SPACING {
            return None;
        }
        // They must be a panel themselves, not a wall just begun or another slip.
        let level = (line.rss() / END as f64).sqrt();
        if level > sigma.max(0.1 * LEAST) * 2.0 {
            return None;
        }
        let u = line.direction(out)?;
        let off = (0..count)
            .map(|i| off_end(at(i), inner[0], u, count))
            .fold(f64::INFINITY, f64::min);
        // The line errs by half as much again where it is prolonged.
        let gap = (count + 1) as f64 * spacing;
        (off >= limit(2.0 * sigma, gap)).then_some(Run {
            first: 0,
            count,
            off,
        })
    })
}

/// Distance from the line through `inner` along `u`, mm; 0 where the point is further out
/// along it than `count` points 1 mm apart reach: the panel goes on there, sparsely.
fn off_end(p: Point, inner: Point, u: Vector, count: usize) -> f64 {
    let v = p - inner;
    let reach = (count + 1) as f64 * WIDEST_SPACING;
    if v.dot(&u).abs() > reach {
        0.0
    } else {
        cross(u, v).abs()
    }
}

/// Distance to a segment, mm.
pub(crate) fn distance(p: Point, a: Point, b: Point) -> f64 {
    let (v, along) = (p - a, b - a);
    let square = along.norm_squared();
    if square <= 0.0 {
        return v.norm();
    }
    (v - along * (v.dot(&along) / square).clamp(0.0, 1.0)).norm()
}

#[cfg(test)]
mod tests {
    use super::{Point, Run, slips};

    fn level(n: u32) -> Vec<Point> {
        (0..n)
            .map(|i| Point::new(0.3 * f64::from(i), 0.0))
            .collect()
    }

    fn places(points: &[Point]) -> Vec<(usize, usize)> {
        let found = slips(points, 0.01);
        found.iter().map(|r: &Run| (r.first, r.count)).collect()
    }

    #[test]
    fn single_slips_pairs_and_good_points_between_slips_are_told_apart() {
        let mut points = level(60);
        for i in [10, 20, 21, 30, 32, 40, 41, 42] {
            points[i].y += 8.0;
        }
        points[21].y = -8.0;
        assert_eq!(
            places(&points),
            [(10, 1), (20, 2), (30, 1), (32, 1), (40, 3)]
        );
    }

    #[test]
    fn slips_at_both_ends_are_found() {
        let mut points = level(60);
        points[0].y = -5.0;
        points[58].y = 5.0;
        points[59].y = 4.0;
        assert_eq!(places(&points), [(0, 1), (58, 2)]);
    }

    #[test]
    fn a_narrow_deep_groove_and_a_sharp_lip_are_no_slips() {
        // A groove 1.5 mm wide and 8 mm deep with its walls surveyed, then a step with a
        // sharp lip and one point on its wall.
        let down: Vec<Point> = (0..=26)
            .map(|i| Point::new(9.0, -0.3 * f64::from(i)))
            .collect();
        let up = down.iter().rev().map(|p| Point::new(10.5, p.y));
        let mut points: Vec<Point> = level(30);
        points.extend(down.iter().copied().chain(up));
        points.extend(level(30).iter().map(|p| Point::new(p.x + 10.8, 0.0)));
        points.extend(level(30).iter().map(|p| Point::new(p.x + 20.0, -8.0)));
        assert_eq!(places(&points), []);
    }

    #[test]
    fn a_flat_given_by_its_end_beside_a_rounding_cut_finely_is_no_slip() {
        let mut points: Vec<Point> = (0..=40)
            .map(|i| f64::from(i) / 40.0)
            .map(|t| Point::new(6.0 * t.sin(), 6.0 * (t.cos() - 1.0)))
            .collect();
        points.insert(0, Point::new(-260.0, 9.0));
        points.push(Point::new(200.0, -150.0));
        assert_eq!(places(&points), []);
    }

    #[test]
    fn a_groove_given_by_its_corners_is_no_slip() {
        let mut points = vec![Point::new(-40.0, 0.0), Point::new(-20.0, 0.0)];
        points.extend(
            [(0.0, 0.0), (0.0, -8.0), (0.9, -8.0), (0.9, 0.0)].map(|(x, y)| Point::new(x, y)),
        );
        points.extend((1..40).map(|i| Point::new(10.0 * f64::from(i), 0.0)));
        assert_eq!(places(&points), []);
    }
}
