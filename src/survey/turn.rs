//! How far a survey is tilted, and the survey turned level.
//!
//! A scan tilted by 3 degrees is not an undercut. First the length-weighted median
//! direction of the chain, where it is over 2 degrees; then the mean slope of the two
//! flats, as the landmarks see them, until that is under 0.05 degrees.
//!
//! The median direction is that of the flats only while they are the longer part: it is
//! taken only if both ends of the survey run that way too, so that the long wall of a
//! step is never turned level.
//!
//! Slips, noise and fit are the same in every frame, so the slope of the flats can be
//! asked for on what the fit has made of the readings.

use crate::geometry::{Point, Vector, cross, sort_by_number};

/// Median direction from which it is turned by at once, rad: 2 degrees. Less is left to
/// the flats alone.
const COARSE: f64 = 2.0 * DEGREE;
/// Slope of the flats that is left, rad: 0.05 degrees is 0.3 mm over 300 mm.
const LEVEL: f64 = 0.05 * DEGREE;
/// Most rounds: each asks for the landmarks anew, and the second already finds them in
/// their places.
const MOST_ROUNDS: usize = 8;
/// Part of the chain, from each end, whose direction must be that of the flats.
const END_PART: f64 = 0.08;
/// How far an end may run off the median direction, rad: 12 degrees. Flats slope by up to
/// some 3 degrees each; a wall beside them by more than 13.
const END_OFF: f64 = 12.0 * DEGREE;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// A turn of the plane about a fixed place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// What keeps its place, mm.
    pub(crate) origin: Point,
    /// Angle the survey is tilted by and turned back by, rad, positive where it rises to
    /// the right.
    pub(crate) tilt: f64,
}

impl Frame {
    /// The survey as it is; turns go about the middle between its first and last point.
    pub(crate) fn level(points: &[Point]) -> Self {
        let origin = match (points.first(), points.last()) {
            (Some(a), Some(b)) => a + (b - a) / 2.0,
            _ => Point::origin(),
        };
        Self { origin, tilt: 0.0 }
    }

    /// Points turned level.
    pub(crate) fn turned(&self, points: &[Point]) -> Vec<Point> {
        let (sin, cos) = self.tilt.sin_cos();
        let turned = |p: &Point| {
            let v = p - self.origin;
            self.origin + Vector::new(cos * v.x + sin * v.y, cos * v.y - sin * v.x)
        };
        points.iter().map(turned).collect()
    }
}

/// Tilt by the median direction, rad; 0 where it is small or is not that of both ends.
pub(crate) fn coarse_tilt(points: &[Point]) -> f64 {
    let Some(median) = median_direction(points) else {
        return 0.0;
    };
    let ends = [
        end_direction(points.iter()),
        end_direction(points.iter().rev()),
    ];
    let agrees = |end: &Option<Vector>| {
        end.is_some_and(|u| {
            let u = if u.x < 0.0 { -u } else { u };
            angle_between(Vector::new(median.cos(), median.sin()), u).abs() <= END_OFF
        })
    };
    if median.abs() > COARSE && ends.iter().all(agrees) {
        median
    } else {
        0.0
    }
}

/// Turns on by the slope of the flats until it is small; `shape` gives the chain to look
/// at in a frame.
pub(crate) fn level_flats(
    mut frame: Frame,
    shape: impl Fn(&Frame) -> Vec<Point>,
    flats_slope: &dyn Fn(&[Point]) -> Option<f64>,
) -> Frame {
    for _ in 0..MOST_ROUNDS {
        match flats_slope(&shape(&frame)) {
            Some(slope) if slope.is_finite() && slope.abs() >= LEVEL => frame.tilt += slope,
            _ => break,
        }
    }
    frame
}

/// Direction that half of the chain's length runs below and half above, rad.
pub(crate) fn median_direction(points: &[Point]) -> Option<f64> {
    let mut directions: Vec<(f64, f64)> = points
        .windows(2)
        .map(|w| w[1] - w[0])
        .map(|v| (v.y.atan2(v.x), v.norm()))
        .collect();
    sort_by_number(&mut directions, |d| d.0);
    let half = 0.5 * directions.iter().map(|d| d.1).sum::<f64>();
    let mut below = 0.0;
    directions
        .iter()
        .find(|d| {
            below += d.1;
            below >= half
        })
        .map(|d| d.0)
}

/// Direction of the first [`END_PART`] of a chain: median over its points, so that a slip
/// has no say, of the direction from the outermost quarter's middle.
fn end_direction<'a>(points: impl Iterator<Item = &'a Point> + Clone) -> Option<Vector> {
    let pairs = points.clone().zip(points.clone().skip(1));
    let all: f64 = pairs.map(|(a, b)| (b - a).norm()).sum();
    let mut length = 0.0;
    let mut last: Option<Point> = None;
    let mut end: Vec<Point> = Vec::new();
    for &p in points {
        length += last.map_or(0.0, |q| (p - q).norm());
        end.push(p);
        last = Some(p);
        if length > END_PART * all {
            break;
        }
    }
    let outer = middle(&end[..end.len().div_ceil(2)])?;
    let along = middle(&end[end.len() / 2..])? - outer;
    let length = along.norm();
    (length > 0.0).then(|| along / length)
}

/// Median x and median y.
fn middle(points: &[Point]) -> Option<Point> {
    let median = |value: fn(&Point) -> f64| {
        let mut values: Vec<f64> = points.iter().map(value).collect();
        super::noise::median(&mut values)
    };
    Some(Point::new(median(|p| p.x)?, median(|p| p.y)?))
}

/// Angle from `a` to `b`, rad.
fn angle_between(a: Vector, b: Vector) -> f64 {
    cross(a, b).atan2(a.dot(&b))
}

#[cfg(test)]
mod tests {
    use super::{DEGREE, Frame, coarse_tilt, level_flats};
    use crate::geometry::{Point, Vector, chain};
    use approx::assert_abs_diff_eq;

    fn ends_slope(points: &[Point]) -> Option<f64> {
        let slope = |a: Point, b: Point| (b.y - a.y).atan2(b.x - a.x);
        let n = points.len();
        Some(0.5 * (slope(points[0], points[1]) + slope(points[n - 2], points[n - 1])))
    }

    #[test]
    fn a_tilted_channel_is_turned_level_about_the_middle_of_its_ends() {
        let channel = chain("-90,0 -40,0 -20,-25 20,-25 40,0 90,0");
        for tilt in [-7.0, -3.0, 3.0, 7.0] {
            let (origin, back) = (Point::origin(), -tilt * DEGREE);
            let tilted = Frame { origin, tilt: back }.turned(&channel);
            let mut frame = Frame::level(&tilted);
            frame.tilt = coarse_tilt(&tilted);
            let frame = level_flats(frame, |f| f.turned(&tilted), &ends_slope);
            assert_abs_diff_eq!(frame.tilt, tilt * DEGREE, epsilon = 1e-12);
            for (p, q) in frame.turned(&tilted).iter().zip(&channel) {
                assert_abs_diff_eq!((p - q).norm(), 0.0, epsilon = 1e-12);
            }
        }
    }

    #[test]
    fn the_long_wall_of_a_step_is_not_turned_level() {
        let step = chain("-20,0 0,0 60,-80 80,-80");
        assert!(coarse_tilt(&step).abs() <= 0.0);
        let lopsided = chain("-20,0 0,0 5,-40 90,0 110,0");
        assert!(coarse_tilt(&lopsided).abs() <= 0.0);
    }

    /// Readings every millimetre along pieces of a length, mm, and a direction, degrees.
    fn walked(pieces: &[(i32, f64)]) -> Vec<Point> {
        let mut at = vec![Point::origin()];
        for &(length, degrees) in pieces {
            let (sin, cos) = (degrees * DEGREE).sin_cos();
            let from = at[at.len() - 1];
            at.extend((1..=length).map(|k| from + Vector::new(cos, sin) * f64::from(k)));
        }
        at
    }

    /// By hand, of 108 mm of readings the end is the first 9. Flats of 10 hold all of it, while
    /// 22 of them would have half on the wall, which runs 27 degrees off; and of 9 readings the
    /// middle ones pass over two that are bent away, of 3 they do not.
    #[test]
    fn an_end_is_longer_than_a_bent_edge_and_shorter_than_a_short_flat() {
        let floor = |tilt: f64| [(14, tilt - 45.0), (60, tilt), (14, tilt + 45.0)];
        for tilt in [-4.0, 4.0] {
            let [down, middle, up] = floor(tilt);
            let short = walked(&[(10, tilt), down, middle, up, (10, tilt)]);
            assert_abs_diff_eq!(coarse_tilt(&short), tilt * DEGREE, epsilon = 1e-12);
            let bent = [(2, tilt + 45.0), (8, tilt), down, middle, up, (10, tilt)];
            assert_abs_diff_eq!(coarse_tilt(&walked(&bent)), tilt * DEGREE, epsilon = 1e-12);
        }
    }

    /// Reference: the constants; flats slope by 3 degrees, walls by 13 and more.
    #[test]
    fn ends_up_to_twelve_degrees_off_the_median_of_two_degrees_or_more_are_flats() {
        for (tilt, off, found) in [
            (4.0, 11.0, 4.0),
            (4.0, 13.0, 0.0),
            (2.1, 0.0, 2.1),
            (1.9, 0.0, 0.0),
        ] {
            let survey = walked(&[(20, tilt + off), (60, tilt), (20, tilt - off)]);
            assert_abs_diff_eq!(coarse_tilt(&survey), found * DEGREE, epsilon = 1e-12);
        }
    }

    /// Reference: the constant, 0.05 degrees: less is the last digit of a gauge over the flats.
    #[test]
    fn flats_are_turned_level_from_a_twentieth_of_a_degree() {
        for (slope, turned) in [(0.045, 0.0), (0.055, 0.055)] {
            let line = walked(&[(100, slope)]);
            let frame = level_flats(Frame::level(&line), |f| f.turned(&line), &ends_slope);
            assert_abs_diff_eq!(frame.tilt, turned * DEGREE, epsilon = 1e-12);
        }
    }

    #[test]
    fn a_small_tilt_and_no_flats_leave_the_survey_as_it_is() {
        let line = chain("0,0 50,1.5 100,3");
        assert!(coarse_tilt(&line).abs() <= 0.0);
        let frame = level_flats(Frame::level(&line), |f| f.turned(&line), &|_| None);
        assert_eq!(frame, Frame::level(&line));
    }
}
