//! The taut film: the shortest path above the panel between two points of it.
//!
//! For a section whose x never runs back, that path is the upper convex hull of the
//! panel between the two points. The scan is Andrew's monotone chain; the points come
//! sorted, since they are the chain itself, so it costs one pass.

use super::polyline::{Point, Polyline, cross};

/// Returns the indices of the upper hull of `chain`, which runs left to right.
///
/// A corner stays if it turns to the right, or to the left by a sine of at most `keep`
/// (0: collinear points go; a small positive number: they stay).
pub(crate) fn hull(chain: &[Point], keep: f64) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::with_capacity(chain.len().min(64));
    for (i, &p) in chain.iter().enumerate() {
        while kept.len() >= 2 {
            let b = chain[kept[kept.len() - 1]];
            let a = chain[kept[kept.len() - 2]];
            let (in_, out) = (b - a, p - b);
            let least = if keep > 0.0 {
                keep * in_.norm() * out.norm()
            } else {
                0.0
            };
            if cross(in_, out) < least {
                break;
            }
            kept.pop();
        }
        kept.push(i);
    }
    kept
}

/// Returns the corners of the taut film between two places of the panel, left to right.
///
/// # Arguments
/// * `panel`: the panel, mm; x must not run back.
/// * `left`, `right`: the two places as arc lengths, mm, `left < right`.
///
/// # Accuracy
/// Plain `f64` orientation test: a point is misjudged only if its distance to the chord
/// is under `4u` times the span, `u = 2^-53`; below 1e-11 mm for sections up to 10 m.
///
/// # Reference
/// A. M. Andrew (1979), "Another efficient algorithm for convex hulls in two
/// dimensions", Information Processing Letters 9(5), 216–219.
pub fn taut_film(panel: &Polyline, left: f64, right: f64) -> Vec<Point> {
    let chain = panel.between(left, right);
    hull(&chain, 0.0).into_iter().map(|i| chain[i]).collect()
}

/// Length of a chain of points, mm.
pub fn path_length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| (w[1] - w[0]).norm()).sum()
}

/// Length of the taut film between two places of the panel, mm.
pub(crate) fn taut_length(panel: &Polyline, left: f64, right: f64) -> f64 {
    let chain = panel.between(left, right);
    let corners = hull(&chain, 0.0);
    let pairs = corners.windows(2);
    pairs.map(|w| (chain[w[1]] - chain[w[0]]).norm()).sum()
}

/// Lengths of the taut film from the first point of a chain to each of its points, mm, in one
/// pass; the chain runs left to right.
pub(crate) fn taut_lengths(chain: &[Point]) -> Vec<f64> {
    // The corners of the film so far, each with the film up to it.
    let mut corners: Vec<(Point, f64)> = Vec::new();
    let one = |&p: &Point| {
        while let [.., (a, _), (b, _)] = corners[..]
            && cross(b - a, p - b) >= 0.0
        {
            corners.pop();
        }
        let length = corners
            .last()
            .map_or(0.0, |&(b, film)| film + (p - b).norm());
        corners.push((p, length));
        length
    };
    chain.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::chain;
    use approx::assert_abs_diff_eq;

    #[test]
    fn taut_film_touches_only_the_lips_of_a_v() {
        let line = Polyline::new(chain("-50,0 -30,0 0,-20 30,0 50,0"), 0.0);
        let film = taut_film(&line, 20.0, line.end() - 20.0);
        assert_eq!(film, vec![Point::new(-30.0, 0.0), Point::new(30.0, 0.0)]);
        assert_abs_diff_eq!(taut_length(&line, 0.0, line.end()), 100.0, epsilon = 1e-12);
    }

    #[test]
    fn lengths_to_all_points_are_those_to_each() {
        let line = Polyline::new(chain("-20,0 0,0 0,-10 12,-14 30,-10 30,0 50,-2"), 0.0);
        for (&s, length) in line
            .lengths()
            .iter()
            .zip(taut_lengths(line.points()))
            .skip(1)
        {
            assert_abs_diff_eq!(length, taut_length(&line, 0.0, s), epsilon = 1e-12);
        }
    }

    #[test]
    fn vertical_walls_and_bond_lines_on_a_wall_are_fine() {
        let line = Polyline::new(chain("-20,0 0,0 0,-10 30,-10 30,0 50,0"), 0.0);
        assert_abs_diff_eq!(taut_length(&line, 20.0, 70.0), 30.0, epsilon = 1e-12);
        // From half-way down the left wall, (0, -5), straight to the right lip (30, 0).
        let length = taut_length(&line, 25.0, 70.0);
        assert_abs_diff_eq!(length, 925.0_f64.sqrt(), epsilon = 1e-12);
    }
}
