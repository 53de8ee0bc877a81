//! What holds of every laid end: its tip, its smoothness, the film it took.

use super::{DeepestFirst, EdgeFirst, channel, laid, pocket};
use approx::assert_abs_diff_eq;
use tautspan::ends::{EndCase, EndOrder, LaidEnd, Spot};

fn every() -> Vec<(EndCase, EndOrder)> {
    [channel(), pocket()]
        .into_iter()
        .flat_map(|case| [(case, DeepestFirst), (case, EdgeFirst)])
        .collect()
}

/// The quads of a grid, corner by corner round.
fn quads(laid: &LaidEnd) -> Vec<[&Spot; 4]> {
    let columns = laid.columns.windows(2);
    columns
        .flat_map(|w| {
            let (a, b) = (&w[0], &w[1]);
            (1..a.len()).map(move |j| [&a[j - 1], &a[j], &b[j], &b[j - 1]])
        })
        .collect()
}

/// Area of a quad in space: both cuts, half each.
fn panel(quad: [&Spot; 4]) -> f64 {
    let triangle = |i: usize, j: usize, k: usize| {
        let [p, q, r] = [i, j, k].map(|i| quad[i].at);
        let (a, b) = (
            [0, 1, 2].map(|i| q[i] - p[i]),
            [0, 1, 2].map(|i| r[i] - p[i]),
        );
        let cross = [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ];
        0.5 * cross.iter().map(|c| c * c).sum::<f64>().sqrt()
    };
    0.5 * (triangle(0, 1, 2) + triangle(0, 2, 3) + triangle(0, 1, 3) + triangle(1, 2, 3))
}

/// Area of a quad on the flat film, turning as the panel does positive.
fn flat(quad: [&Spot; 4]) -> f64 {
    let x = quad.map(|s| s.film);
    let sum: f64 = (0..4)
        .map(|i| {
            let (a, b) = (x[i], x[(i + 1) % 4]);
            a[1] * b[0] - a[0] * b[1]
        })
        .sum();
    -0.5 * sum
}

/// Area in plan inside the bond line, right half.
fn plan(laid: &LaidEnd) -> f64 {
    let bonds = laid.lines.iter().map(|l| [l[2][0], l[2][2]]);
    let mut x: Vec<[f64; 2]> = bonds.collect();
    x.push([0.0, x[x.len() - 1][1]]);
    x.push([0.0, x[0][1]]);
    let around = (0..x.len()).map(|i| (x[i], x[(i + 1) % x.len()]));
    0.5 * around.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>()
}

#[test]
fn laid_film_is_the_film_there_was() {
    // Reference: film is neither made nor lost. It covers what lies inside the bond line in
    // plan, once: no quad of it is turned over.
    for (case, order) in every() {
        let laid = laid(&case, order);
        let all = quads(&laid);
        let film: Vec<f64> = all.iter().map(|q| flat(*q)).collect();
        assert!(film.iter().all(|&a| a > -1e-9), "{order:?}");
        assert_abs_diff_eq!(film.iter().sum::<f64>() / plan(&laid), 1.0, epsilon = 1e-9);
        // The stretches say the same by themselves: panel over l1 l2, quad by quad, is the flat
        // area the front left behind.
        let taken: f64 = (all.iter())
            .map(|q| 0.25 * panel(*q) * q.iter().map(|s| 1.0 / s.area()).sum::<f64>())
            .sum();
        assert_abs_diff_eq!(taken / plan(&laid), 1.0, epsilon = 5e-4);
    }
}

#[test]
fn the_tip_of_an_end_lies_on_its_middle_plane() {
    // Reference: the end is even, and half of it is kept; on the plane x = 0 film stays there,
    // and its principal stretches lie along and across.
    for (case, order) in every() {
        let laid = laid(&case, order);
        let n = laid.columns.len();
        for (j, tip) in laid.columns[n - 1].iter().enumerate() {
            assert_abs_diff_eq!(tip.at[0], 0.0, epsilon = 1e-9);
            assert_abs_diff_eq!(tip.film[0], 0.0, epsilon = 1e-9);
            // Across it nothing changes to first order: the next column differs by the square of
            // a tenth of the way round.
            let beside = &laid.columns[n - 2][j];
            for k in 0..2 {
                assert_abs_diff_eq!(tip.stretch[k], beside.stretch[k], epsilon = 0.02);
            }
        }
    }
}

#[test]
fn stretches_run_smoothly_round_an_end() {
    // A column is off the mean of its neighbours by no more than a fan of a dozen columns
    // leaves of an elongation of a third to a half.
    for (case, order) in every() {
        let laid = laid(&case, order);
        for w in laid.columns.windows(3) {
            for (j, spot) in w[1].iter().enumerate() {
                for k in 0..2 {
                    let mean = 0.5 * (w[0][j].stretch[k] + w[2][j].stretch[k]);
                    assert_abs_diff_eq!(spot.stretch[k], mean, epsilon = 0.03);
                }
            }
        }
    }
}
