//! Points that run back, squared off to a vertical wall.
//!
//! Noise and a small tilt can make a steep wall lean over itself by a hair; a section
//! whose x never falls is what the rest works on. The x of least squares that never falls
//! (pooling of neighbours that run back, to their mean) turns such a wall into a vertical;
//! how far it moved a point is returned, so that a true undercut can be told.
//!
//! # Reference
//! M. Ayer et al. (1955), "An empirical distribution function for sampling with
//! incomplete information", Annals of Mathematical Statistics 26, 641–647.

use crate::geometry::Point;

/// Returns a chain whose x never falls and that runs up or down a vertical once, and the
/// longest way a point was moved, mm.
pub(crate) fn squared(points: &[Point]) -> (Vec<Point>, f64) {
    if points.windows(2).all(|w| w[0].x <= w[1].x) {
        return (points.to_vec(), 0.0);
    }
    // Pools of neighbours: first point, count, mean x.
    let mut pools: Vec<(usize, usize, f64)> = Vec::new();
    for (i, p) in points.iter().enumerate() {
        let (mut first, mut count, mut x) = (i, 1, p.x);
        while let Some(&(f, c, mean)) = pools.last() {
            if mean < x || (c == 1 && count == 1 && mean <= x) {
                break;
            }
            x = (mean * c as f64 + x * count as f64) / (c + count) as f64;
            (first, count) = (f, c + count);
            pools.pop();
        }
        pools.push((first, count, x));
    }
    let mut chain = Vec::with_capacity(points.len());
    let mut moved = 0.0_f64;
    for (first, count, x) in pools {
        let pool = &points[first..first + count];
        moved = pool.iter().map(|p| (p.x - x).abs()).fold(moved, f64::max);
        chain.push(Point::new(x, pool[0].y));
        if count > 1 {
            // Up and down again on one x would run back along itself.
            chain.push(Point::new(x, pool[count - 1].y));
        }
    }
    (chain, moved)
}

#[cfg(test)]
mod tests {
    use super::{Point, squared};
    use approx::assert_relative_eq;

    #[test]
    fn a_wall_that_leans_back_becomes_vertical_and_says_by_how_much() {
        let leaning = [(0., 0.), (10., 0.), (9.8, -4.), (9.6, -8.), (30., -8.)]
            .map(|(x, y)| Point::new(x, y));
        let (chain, moved) = squared(&leaning);
        let expected = [(0., 0.), (9.8, 0.), (9.8, -8.), (30., -8.)];
        assert_eq!(chain.len(), 4);
        for (p, (x, y)) in chain.iter().zip(expected) {
            assert_relative_eq!(p, &Point::new(x, y), epsilon = 1e-12);
        }
        assert_relative_eq!(moved, 0.2, epsilon = 1e-12);
    }

    #[test]
    fn a_chain_that_never_runs_back_is_left_alone() {
        let legal = [(0., 0.), (10., 0.), (10., -8.), (30., -8.)].map(|(x, y)| Point::new(x, y));
        assert_eq!(squared(&legal), (legal.to_vec(), 0.0));
    }
}
