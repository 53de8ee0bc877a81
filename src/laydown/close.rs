//! Two fronts closing in on the press from both sides, taut film between them.
//!
//! Run backwards: y is the part of the panel on each side that is still open, 0 at the
//! press, 1 where the fronts start. Growing the window adds panel points at both ends, so
//! the corners of the free film form a deque. Between two events both fronts move along
//! straight facets; with no corner between them the gain has the closed form of
//! [`super::kernel::window_gain`], over a ridge it is an adaptive quadrature.

use super::kernel::{adaptive_gauss, window_gain};
use crate::geometry::{ON_VERTEX, Point, Polyline, Vector, cross, hull};
use std::collections::VecDeque;

/// Sine of the concave turn under a pointed press from which the peak is not finite.
const SHARP: f64 = 1e-9;
/// Part of the opening below which two events are one: fronts that pass like vertices
/// together differ by rounding, and such an interval lays no film.
const SAME_OPENING: f64 = 1e-13;
/// Turn over a ridge from which friction there counts, rad.
pub(super) const RIDGE_TURN: f64 = 1e-6;
/// Accuracy of the quadrature over a ridge, absolute in ln lambda.
const RIDGE_TOLERANCE: f64 = 1e-13;

/// An interval of y in which both fronts move along one facet each and the corners of
/// the free film stay the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Window {
    /// From the smaller to the larger opening.
    pub(crate) y0: f64,
    pub(crate) y1: f64,
    /// Fronts at `y0`, and their outward velocities per unit of y, mm.
    left: Point,
    left_v: Vector,
    right: Point,
    right_v: Vector,
    /// Outermost corners of the free film and the film between them, if it rests.
    ridge: Option<(Point, Point, f64)>,
    /// Panel inside the window per unit of y, mm.
    s: f64,
    /// Gain of closing the whole interval.
    pub(crate) gain: f64,
}

impl Window {
    /// Free film at opening `y`, mm.
    pub(crate) fn free(&self, y: f64) -> f64 {
        let t = y - self.y0;
        let (p, q) = (self.left + self.left_v * t, self.right + self.right_v * t);
        match self.ridge {
            None => (q - p).norm(),
            Some((a, b, between)) => (a - p).norm() + between + (q - b).norm(),
        }
    }

    /// Cosines of the angles between free film and the panel ahead, left and right.
    pub(super) fn cosines(&self, y: f64) -> (f64, f64) {
        let t = y - self.y0;
        let (p, q) = (self.left + self.left_v * t, self.right + self.right_v * t);
        let (a, b) = self.ridge.map_or((q, p), |(a, b, _)| (a, b));
        let cosine = |film: Vector, outward: Vector| {
            let size = film.norm() * outward.norm();
            if size > 0.0 {
                -film.dot(&outward) / size
            } else {
                1.0
            }
        };
        (cosine(a - p, self.left_v), cosine(b - q, self.right_v))
    }

    /// Does the free film lie along the panel on both sides, so that it goes down as it is?
    pub(super) fn is_straight(&self) -> bool {
        let chord = self.right_at_y1() - self.left_at_y1();
        let off = |v: Vector| cross(v, chord).abs() > 1e-13 * v.norm() * chord.norm();
        self.ridge.is_none() && !off(self.left_v) && !off(self.right_v)
    }

    fn left_at_y1(&self) -> Point {
        self.left + self.left_v * (self.y1 - self.y0)
    }

    fn right_at_y1(&self) -> Point {
        self.right + self.right_v * (self.y1 - self.y0)
    }

    /// Largest turn of the free film over a ridge, rad; 0 where there is none.
    pub(super) fn ridge_turn(&self) -> f64 {
        self.ridge.map_or(0.0, |(a, b, _)| {
            let turn = |p: Point, q: Point| {
                let (into, out) = (a - p, q - b);
                cross(into, out).abs().atan2(into.dot(&out))
            };
            turn(self.left_at_y1(), self.right_at_y1()).max(turn(self.left, self.right))
        })
    }

    /// Gain of closing from `y1` to `y`.
    pub(crate) fn gain_from_outside(&self, y: f64) -> f64 {
        if y <= self.y0 {
            return self.gain;
        }
        self.gain_between(y, self.y1)
    }

    fn gain_between(&self, y0: f64, y1: f64) -> f64 {
        if y0 >= y1 {
            return 0.0;
        }
        match self.ridge {
            None => {
                let w = (self.right - self.left) - (self.right_v - self.left_v) * self.y0;
                window_gain(w, self.right_v - self.left_v, self.s, y0, y1)
            }
            Some(_) => {
                let flow = adaptive_gauss(&|y| self.s / self.free(y), y0, y1, RIDGE_TOLERANCE);
                flow - (self.free(y1) / self.free(y0)).ln()
            }
        }
    }
}

/// A side of the panel as seen by a front: stations from the press outwards.
struct Track {
    points: Vec<Point>,
    /// Distance from the press, mm.
    away: Vec<f64>,
    /// Facet that the front is on: between `at` and `at + 1`.
    at: usize,
    /// Panel from the press to where the front starts, mm.
    length: f64,
}

impl Track {
    fn new(panel: &Polyline, press: f64, start: f64) -> Self {
        let points = panel.between(press, start);
        let mut away = Vec::with_capacity(points.len());
        let mut sum = 0.0;
        away.push(0.0);
        for w in points.windows(2) {
            sum += (w[1] - w[0]).norm();
            away.push(sum);
        }
        Self {
            points,
            away,
            at: 0,
            length: sum,
        }
    }

    /// Position at distance `d` from the press, on the present facet.
    fn position(&self, d: f64) -> Point {
        if self.length <= 0.0 {
            return self.points[0];
        }
        let (a, b) = (self.points[self.at], self.points[self.at + 1]);
        a + (b - a) * ((d - self.away[self.at]) / (self.away[self.at + 1] - self.away[self.at]))
    }

    /// Outward velocity per unit of y, mm.
    fn velocity(&self) -> Vector {
        if self.length <= 0.0 {
            return Vector::zeros();
        }
        let facet = self.points[self.at + 1] - self.points[self.at];
        facet * (self.length / facet.norm())
    }

    /// How far rounding of its coordinates may turn the present facet, rad.
    fn doubt(&self) -> f64 {
        let (a, b) = (self.points[self.at], self.points[self.at + 1]);
        8.0 * f64::EPSILON * a.coords.amax().max(b.coords.amax()) / (b - a).norm()
    }

    /// Opening y at which the front stands on the far end of its facet.
    fn next(&self) -> f64 {
        if self.length > 0.0 {
            self.away[self.at + 1] / self.length
        } else {
            1.0
        }
    }

    /// Puts the front on the facet that holds distance `d`.
    fn seek(&mut self, d: f64) {
        while self.at + 2 < self.away.len() && self.away[self.at + 1] <= d {
            self.at += 1;
        }
    }
}

/// Closes the window between two starts on to the press.
///
/// # Arguments
/// * `panel`, `press`: the panel and the middle of the last press, arc length, mm.
/// * `starts`: where the fronts set out, arc lengths, mm, around the press.
/// * `pad`: panel that goes down in the last press, mm.
///
/// Returns the intervals from the press outwards and the opening at the last press, or
/// `None` if the peak is not finite.
pub(crate) fn close(
    panel: &Polyline,
    press: f64,
    starts: (f64, f64),
    pad: f64,
) -> Option<(Vec<Window>, f64)> {
    let mut left = Track::new(panel, press, starts.0);
    let mut right = Track::new(panel, press, starts.1);
    let s = left.length + right.length;
    let open = if s > pad { pad / s } else { 1.0 };
    let mut windows = Vec::new();
    if open >= 1.0 {
        return Some((windows, 1.0));
    }
    left.seek(open * left.length);
    right.seek(open * right.length);
    let mut corners = inner_corners(panel, press, open * left.length, open * right.length);
    let mut y = open;
    if y <= 0.0 {
        pointed_press(panel, press, (&mut left, &mut right), &mut corners)?;
    }
    while y < 1.0 {
        let (p, q) = (
            left.position(y * left.length),
            right.position(y * right.length),
        );
        let (vp, vq) = (left.velocity(), right.velocity());
        let vertex = left.next().min(right.next()).min(1.0);
        let (gone, y1) = first_gone((p, vp), (q, vq), &corners, y, vertex);
        if y1 - y > SAME_OPENING * y1 {
            let ridge = match (corners.front(), corners.back()) {
                (Some(&a), Some(&b)) => Some((a, b, between(&corners))),
                _ => None,
            };
            let mut w = Window {
                y0: y,
                y1,
                left: p,
                left_v: vp,
                right: q,
                right_v: vq,
                ridge,
                s,
                gain: 0.0,
            };
            // From the very press outwards the film lies along the panel: gain 0.
            w.gain = if y > 0.0 { w.gain_between(y, y1) } else { 0.0 };
            windows.push(w);
        }
        y = y1;
        match gone {
            Gone::Left => drop(corners.pop_front()),
            Gone::Right => drop(corners.pop_back()),
            Gone::None => {
                let (on_left, on_right) = (left.next() <= y, right.next() <= y);
                if on_left && y < 1.0 {
                    let other = right.position(y * right.length);
                    pass_vertex(&mut left, &mut corners, other, true);
                }
                if on_right && y < 1.0 {
                    let other = left.position(y * left.length);
                    pass_vertex(&mut right, &mut corners, other, false);
                }
            }
        }
    }
    Some((windows, open))
}

/// Corners of the taut film strictly inside the window, left to right.
fn inner_corners(panel: &Polyline, press: f64, left: f64, right: f64) -> VecDeque<Point> {
    let chain = panel.between(press - left, press + right);
    let kept = hull(&chain, 0.0);
    kept[1..kept.len() - 1].iter().map(|&i| chain[i]).collect()
}

/// Sets up a press of no width: on a vertex, or inside a facet.
fn pointed_press(
    panel: &Polyline,
    press: f64,
    (left, right): (&mut Track, &mut Track),
    corners: &mut VecDeque<Point>,
) -> Option<()> {
    corners.clear();
    if left.length <= 0.0 || right.length <= 0.0 {
        // One front only, which starts at the press on one side.
        return Some(());
    }
    // A facet shorter than ON_VERTEX beside the press only says that it is on a vertex.
    left.seek(ON_VERTEX);
    right.seek(ON_VERTEX);
    let (vp, vq) = (-left.velocity().normalize(), right.velocity().normalize());
    let turn = cross(vp, vq);
    // Press and vertex a few nanometres apart: the facet between is turned by rounding alone.
    if turn > SHARP + left.doubt() + right.doubt() {
        return None;
    }
    if turn < -SHARP {
        corners.push_back(panel.at(press));
    }
    Some(())
}

/// Length of the free film between the outermost corners, mm.
fn between(corners: &VecDeque<Point>) -> f64 {
    corners
        .iter()
        .zip(corners.iter().skip(1))
        .map(|(a, b)| (b - a).norm())
        .sum()
}

/// Which corner ends an interval.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Gone {
    Left,
    Right,
    None,
}

/// The first corner to go as the window grows from `y` to at most `end`, and when.
fn first_gone(
    (p, vp): (Point, Vector),
    (q, vq): (Point, Vector),
    corners: &VecDeque<Point>,
    y: f64,
    end: f64,
) -> (Gone, f64) {
    let h = end - y;
    let mut first = (Gone::None, end);
    // A corner K between P and Q stays while P -> K -> Q turns to the right.
    let mut offer = |gone: Gone, t: Option<f64>| {
        if let Some(t) = t
            && y + t < first.1
        {
            first = (gone, y + t);
        }
    };
    match corners.len() {
        0 => {}
        1 => {
            let k = corners[0];
            let (a, b) = (k - p, q - k);
            // cross(a - vp t, b + vq t), a quadratic in t.
            let (c0, c1, c2) = (cross(a, b), cross(a, vq) - cross(vp, b), -cross(vp, vq));
            offer(Gone::Left, first_rise(c0, c1, c2, h));
        }
        n => {
            let (k, on) = (corners[0], corners[1] - corners[0]);
            let rise = first_rise(cross(k - p, on), -cross(vp, on), 0.0, h);
            offer(Gone::Left, rise);
            let (k, on) = (corners[n - 1], corners[n - 1] - corners[n - 2]);
            let rise = first_rise(cross(on, q - k), cross(on, vq), 0.0, h);
            offer(Gone::Right, rise);
        }
    }
    first
}

/// First t in `[0, h)` at which c0 + c1 t + c2 t² rises to 0 from below.
fn first_rise(c0: f64, c1: f64, c2: f64, h: f64) -> Option<f64> {
    if c0 >= -1e-13 * c1.abs() * h {
        // On the line to rounding: which way it moves decides. A vertex just passed is
        // here, and so is the ridge under a pointed press (c0 = c1 = 0).
        return if c1 < 0.0 {
            (c2 > 0.0).then(|| -c1 / c2).filter(|t| *t < h)
        } else {
            (c1 > 0.0 || c2 >= 0.0).then_some(0.0)
        };
    }
    let t = if c2.abs() <= 1e-300 {
        -c0 / c1
    } else {
        let disc = c1 * c1 - 4.0 * c2 * c0;
        if disc < 0.0 {
            return None;
        }
        // The stable pair of roots; the smallest positive one.
        let half = -0.5 * (c1 + c1.signum() * disc.sqrt());
        let roots = [half / c2, c0 / half];
        roots
            .into_iter()
            .filter(|t| *t > 0.0)
            .fold(f64::INFINITY, f64::min)
    };
    (t > 0.0 && t < h).then_some(t)
}

/// Moves a front past the vertex it stands on; the vertex becomes a corner of the free
/// film if the film turns right over it, on its way from left to right.
fn pass_vertex(track: &mut Track, corners: &mut VecDeque<Point>, other: Point, is_left: bool) {
    if track.at + 2 >= track.away.len() {
        return;
    }
    track.at += 1;
    let vertex = track.points[track.at];
    let out = track.velocity();
    let next = if is_left {
        corners.front()
    } else {
        corners.back()
    };
    let beyond = next.copied().unwrap_or(other) - vertex;
    let turn = if is_left {
        cross(-out, beyond)
    } else {
        cross(-beyond, out)
    };
    if turn < -1e-15 * out.norm() * beyond.norm() {
        if is_left {
            corners.push_front(vertex);
        } else {
            corners.push_back(vertex);
        }
    }
}
