//! The meshes refined: at which order they come to their limits, and to which.

use super::energy::Law;
use super::march::{Fine, Grid, deepest_first, edges_first};
use super::plan::Plan;
use approx::assert_abs_diff_eq;

/// Two rounded ends of the check channel that meet: a round pocket whose wall is a cone.
const POCKET: Plan = Plan {
    half_mouth: 40.0,
    half_floor: 20.0,
    depth: 25.0,
    lip_radius: 40.0,
    run: 20.0,
    foot_radius: 20.0,
    stop: 20.0,
    half_pad: 5.0,
    side_reach: 35.0,
    end_reach: 35.0,
    far: 40.0,
};
/// The check channel's end: its far plane at five half bridges.
const CHANNEL: Plan = Plan {
    far: 415.0,
    ..POCKET
};

/// A mesh so many times as fine.
fn finer(f: Fine, by: usize) -> Fine {
    Fine {
        fan: by * f.fan,
        hanging: by * f.hanging,
        flat: by * f.flat,
        pad: by * f.pad,
        floor: by * f.floor,
        wall: by * f.wall,
    }
}

/// Greatest area and elongation, percent.
fn peaks(grid: &Grid) -> [f64; 2] {
    let all = || grid.columns.iter().flatten();
    let most = |of: fn(&super::Spot) -> f64| 100.0 * (all().map(of).fold(1.0, f64::max) - 1.0);
    [most(super::Spot::area), most(|s| s.stretch[0])]
}

/// The order at which values on meshes once, twice and `third` times as fine go to their limit,
/// and that limit.
fn order([a, b, c]: [f64; 3], third: f64) -> (f64, f64) {
    let ratio = (b - a) / (c - b);
    let of = |p: f64| (1.0 - 2.0_f64.powf(-p)) / (2.0_f64.powf(-p) - third.powf(-p));
    let p = crate::geometry::halved((0.1, 8.0), 60, |p| of(p) >= ratio).0;
    let part = third.powf(-p) / (2.0_f64.powf(-p) - third.powf(-p));
    (p, c + part * (c - b))
}

#[test]
fn edges_first_the_pocket_comes_to_the_closed_form_by_the_square_of_the_mesh() {
    const COARSE: Fine = Fine {
        fan: 4,
        hanging: 5,
        flat: 0,
        pad: 0,
        floor: 0,
        wall: 6,
    };
    let area = [1, 2, 4].map(|by| {
        let grid = edges_first(&Law::NeoHookean, POCKET, finer(COARSE, by)).expect("laid");
        peaks(&grid)[0]
    });
    let (p, limit) = order(area, 4.0);
    // Reference: derived: 2^(2(sec b - 1)), tan b = 25/20; 129.99 in the plan's table.
    let exact = 100.0 * (2.0_f64.powf(2.0 * (1.25_f64.hypot(1.0) - 1.0)) - 1.0);
    assert_abs_diff_eq!(p, 2.0, epsilon = 0.2);
    assert_abs_diff_eq!(limit, exact, epsilon = 0.05);
}

#[test]
fn edges_first_a_channel_end_comes_to_its_limit_by_the_square_of_the_mesh() {
    const COARSE: Fine = Fine {
        fan: 5,
        hanging: 6,
        flat: 0,
        pad: 0,
        floor: 0,
        wall: 6,
    };
    let all = [1, 2, 4].map(|by| {
        let grid = edges_first(&Law::NeoHookean, CHANNEL, finer(COARSE, by)).expect("laid");
        peaks(&grid)
    });
    // Reference: the plan, converged there over three meshes, to 1 point.
    for (k, plan) in [99.2, 55.0].into_iter().enumerate() {
        let (p, limit) = order(all.map(|peaks| peaks[k]), 4.0);
        assert_abs_diff_eq!(p, 2.0, epsilon = 0.3);
        assert_abs_diff_eq!(limit, plan, epsilon = 1.0);
    }
}

/// The row at the foot of the first column.
fn foot(grid: &Grid) -> super::Spot {
    let mut column = grid.columns[0].iter();
    let foot = column.find(|s| (s.at[0] - 20.0).abs() < 1e-6);
    *foot.expect("a row at the foot")
}

#[test]
fn deepest_first_the_pad_of_a_pocket_comes_to_what_one_dimension_gives() {
    const COARSE: Fine = Fine {
        fan: 8,
        hanging: 10,
        flat: 5,
        pad: 1,
        floor: 8,
        wall: 2,
    };
    let area = [1, 2, 3].map(|by| {
        let grid = deepest_first(&Law::NeoHookean, POCKET, finer(COARSE, by)).expect("laid");
        100.0 * (grid.columns[0][0].area() - 1.0)
    });
    let (p, limit) = order(area, 3.0);
    // Reference: the plan's shooting in one dimension, percent, to 0.3 points. The answer's own
    // meshes read 93.4 there: they are short of it, and the peak at the pad's edge reads 95.5.
    assert!((1.5..2.5).contains(&p), "{p} of {area:?}");
    assert_abs_diff_eq!(limit, 96.43, epsilon = 0.3);
}

#[test]
fn deepest_first_the_foot_of_a_pocket_comes_to_what_one_dimension_gives() {
    let fine = Fine {
        fan: 10,
        hanging: 20,
        flat: 8,
        pad: 2,
        floor: 16,
        wall: 24,
    };
    let grid = deepest_first(&Law::NeoHookean, POCKET, fine).expect("laid");
    // Reference: the plan's shooting in one dimension: 1.2477 and 1.1976, in area 49.43 to 1
    // point. Steps up the wall and over the floor decide, for they say how long the first row of
    // free film is: with 8 and 6, as in the answer's own meshes, 53.6.
    assert_abs_diff_eq!(100.0 * (foot(&grid).area() - 1.0), 49.43, epsilon = 1.0);
}

#[test]
fn deepest_first_a_channel_end_comes_to_what_the_plan_converged_to() {
    const COARSE: Fine = Fine {
        fan: 5,
        hanging: 6,
        flat: 3,
        pad: 2,
        floor: 5,
        wall: 4,
    };
    let [rough, close, limit] = [1, 2, 3].map(|by| {
        let grid = deepest_first(&Law::NeoHookean, CHANNEL, finer(COARSE, by)).expect("laid");
        peaks(&grid)
    });
    // Reference: the plan, converged there over three meshes, to 1 point.
    for (k, plan) in [55.8, 33.0].into_iter().enumerate() {
        assert_abs_diff_eq!(limit[k], plan, epsilon = 1.0);
        // Twice as fine is at least three times as close.
        let (far, near) = ((rough[k] - limit[k]).abs(), (close[k] - limit[k]).abs());
        assert!(3.0 * near < far, "{near} {far}");
    }
}
