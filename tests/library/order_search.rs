//! The search for the order with the lowest peak.

use crate::common;

use approx::assert_abs_diff_eq;
use common::{any_section, cases, exact, exact_recess, said, section};
use proptest::prelude::*;
use tautspan::advice::{Doing, LipShape, OrderSearch, search_order};
use tautspan::laydown::read_steps;
use tautspan::{
    Bay, Bed, Bonds, Conditions, Handling, Job, Order, Point, Recess, film_named, tool_named,
};

const CHANNEL: [(f64, f64); 6] = [
    (-80.0, 0.0),
    (-40.0, 0.0),
    (-20.0, -25.0),
    (20.0, -25.0),
    (40.0, 0.0),
    (80.0, 0.0),
];
/// Two valleys with a plateau between them.
const VALLEYS: [(f64, f64); 8] = [
    (-100.0, 0.0),
    (-60.0, 0.0),
    (-40.0, -20.0),
    (-20.0, -5.0),
    (0.0, -5.0),
    (20.0, -20.0),
    (40.0, 0.0),
    (90.0, 0.0),
];

/// Searches with the bed's own pad and tip.
fn search(bed: &Bed<'_>, bonds: Option<Bonds>, most: usize, bay: Option<&Bay>) -> OrderSearch {
    let film = film_named("wrap-cast").unwrap();
    let tool = tool_named("fingertip").unwrap();
    let handling = bay.map(|bay| Handling::new(&film, bay).unwrap());
    let job = Job {
        handling: handling.as_ref(),
        ..Job::new(bed, &film, &tool)
    };
    search_order(&job, bonds, most).unwrap()
}

/// The peak of the order as it is typed, percent.
fn again(bed: &Bed<'_>, bonds: Bonds, found: &OrderSearch) -> f64 {
    let steps = read_steps("order", &found.order).unwrap();
    let laid = bed
        .lay_steps(bonds, &steps, &Conditions::default())
        .unwrap();
    100.0 * (laid.peak(bed).unwrap().lambda - 1.0)
}

#[test]
fn a_pointed_tool_reaches_the_mean_of_a_flat_floored_channel() {
    // Reference: middle, then both feet: film straight over floor and walls, closed form in
    // `steps`; places are typed to 1 mm and lie on whole ones here.
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let found = search(&bed, Some(bonds), 9, None);
    assert_abs_diff_eq!(found.above_mean_points, 0.0, epsilon = 1e-9);
    assert_abs_diff_eq!(
        found.mean_pct,
        100.0 * (20.0 + 1025.0_f64.sqrt() - 40.0) / 75.0,
        epsilon = 1e-9
    );
    assert_eq!(found.steps.len(), 7);
    // With five steps at most only one foot can be had.
    let short = search(&bed, Some(bonds), 5, None);
    assert!(short.steps.len() <= 5 && short.peak_pct > found.peak_pct);
    assert!(short.peak_pct < short.deepest_first_pct.unwrap());
}

#[test]
fn both_valleys_are_pressed_and_the_peak_halved() {
    let recess = exact_recess(&VALLEYS);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 15.0, 15.0);
    let found = search(&bed, Some(bonds), 9, None);
    let deepest = bed.lay(bonds, Order::DeepestFirst).unwrap();
    let deepest = 100.0 * (deepest.peak(&bed).unwrap().lambda - 1.0);
    assert_abs_diff_eq!(found.deepest_first_pct.unwrap(), deepest, epsilon = 1e-9);
    assert!(found.peak_pct < 0.6 * deepest, "{}", found.peak_pct);
    assert!(
        found
            .steps
            .iter()
            .filter(|s| matches!(s.doing.0, Doing::Press { .. }))
            .count()
            >= 2
    );
    assert_abs_diff_eq!(again(&bed, bonds, &found), found.peak_pct, epsilon = 1e-9);
}

#[test]
fn no_pair_of_presses_tried_one_by_one_is_lower() {
    // Reference: every pair of presses 2.5 mm apart with every way to close the three spans,
    // laid exactly. The search has five steps too, a grid of its own, and 0.1 points to lose
    // to a shorter list.
    for points in [&CHANNEL[..], &VALLEYS[..]] {
        let recess = exact_recess(points);
        let bed = Bed::new(&recess, 4.0, 0.0);
        let bonds = Bonds::with_reach(&recess, 10.0, 20.0);
        let ends = bed.lay(bonds, Order::DeepestFirst).unwrap().bonds();
        let mut best = f64::INFINITY;
        let x = |s: f64| bed.line().at(s).x;
        let mut one = ends.0 + 2.5;
        while one < ends.1 {
            let mut two = ends.0 + 2.5;
            while two < ends.1 {
                let (p, q) = (x(one), x(two));
                let (l, r) = (p.min(q), p.max(q));
                for way in 0..8 {
                    let outer = if way & 1 > 0 {
                        "right from left"
                    } else {
                        &format!("left from {l}")
                    };
                    let middle = if way & 2 > 0 {
                        format!("right from {l}")
                    } else {
                        format!("left from {r}")
                    };
                    let last = if way & 4 > 0 {
                        "left from right"
                    } else {
                        &format!("right from {r}")
                    };
                    let text = format!(
                        "press {p}, press {q}, spread {outer}, spread {middle}, spread {last}"
                    );
                    let steps = read_steps("pair", &text).unwrap();
                    if let Ok(laid) = bed.lay_steps(bonds, &steps, &Conditions::default()) {
                        best = best.min(laid.peak(&bed).unwrap().lambda);
                    }
                }
                two += 2.5;
            }
            one += 2.5;
        }
        let found = search(&bed, Some(bonds), 5, None);
        let best = 100.0 * (best - 1.0);
        assert!(found.peak_pct <= best + 0.12, "{} {best}", found.peak_pct);
    }
}

#[test]
fn conditions_are_laid_and_said() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 10.0, 6.0);
    let bay = Bay {
        lip: Some(LipShape::Pencil),
        ..Bay::default()
    };
    let found = search(&bed, None, 9, Some(&bay));
    let under = found.under.as_ref().unwrap();
    // Friction holds stretch inside: higher than without, for both orders.
    assert!(under.peak_pct.unwrap() > found.peak_pct);
    assert!(under.deepest_first_pct.unwrap() > found.deepest_first_pct.unwrap());
    assert!(said(&under.conditions).contains("pencil"));
    assert!(search(&bed, None, 9, None).under.is_none());
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn never_above_deepest_first_and_never_below_the_mean(
        points in any_section(1e-6), pad in prop_oneof![Just(0.0), 0.5..20.0_f64, Just(300.0)],
        radius in prop_oneof![Just(0.0), 1.0..8.0_f64], reach in 0.0..80.0_f64,
    ) {
        let Ok(recess) = Recess::find(section(&points), exact()) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, radius);
        let most = recess.reach_limit();
        let bonds = Bonds::with_reach(&recess, reach.min(most.0), reach.min(most.1));
        if bed.lay(bonds, Order::DeepestFirst).is_err() { return Ok(()) }
        let found = search(&bed, Some(bonds), 7, None);
        let deepest = found.deepest_first_pct.unwrap();
        // The press is typed to 0.01 mm: that much of it may be lost.
        prop_assert!(found.peak_pct <= deepest + 0.01 * (1.0 + 0.01 * deepest), "{} {deepest} {}", found.peak_pct, found.order);
        prop_assert!(found.peak_pct >= found.mean_pct - 1e-9);
        prop_assert!(found.steps.len() <= 7);
        let typed = again(&bed, bonds, &found);
        prop_assert!((typed - found.peak_pct).abs() <= 1e-9 * (1.0 + typed));
        if let Some(off) = found.peak_off_pct {
            prop_assert!(off >= found.mean_pct - 1e-9);
        }
    }

    #[test]
    fn a_mirrored_section_has_as_low_a_peak(points in any_section(1e-6)) {
        let mirrored: Vec<Point> = points.iter().rev().map(|p| Point::new(-p.x, p.y)).collect();
        let (Ok(one), Ok(other)) = (
            Recess::find(section(&points), exact()),
            Recess::find(section(&mirrored), exact()),
        ) else { return Ok(()) };
        if one.lower().is_some() || (one.mouth() - other.mouth()).abs() > 1e-6 { return Ok(()) }
        let lay = |recess: &Recess| {
            let bed = Bed::new(recess, 6.0, 0.0);
            let bonds = Bonds::with_reach(recess, 0.0, 0.0);
            let plain = bed.lay(bonds, Order::DeepestFirst).ok()?;
            // Film is never stretched to its double and more: there hills are many.
            (plain.peak(&bed)?.lambda < 2.0).then(|| search(&bed, Some(bonds), 7, None).peak_pct)
        };
        let (Some(a), Some(b)) = (lay(&one), lay(&other)) else { return Ok(()) };
        // A shorter list may lose 0.1 points on one side, rounding 0.02, and moving places
        // one by one may end on another hill: seen is 1.3 % of the peak.
        prop_assert!((a - b).abs() <= 0.15 + 0.04 * a, "{a} {b}");
    }
}
