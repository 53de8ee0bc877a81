//! Custom orders: against closed forms, against the two orders there are, and their
//! properties.

use crate::common;

use approx::assert_abs_diff_eq;
use common::{any_section, cases, exact, exact_recess, section};
use proptest::prelude::*;
use tautspan::film::StretchLaw;
use tautspan::laydown::{LayError, Laying, Spot, Step, Steps, Warm, read_steps};
use tautspan::{Bed, Bonds, Conditions, Laydown, Order, Recess, Side};

/// Channel: mouth 80, floor 40, depth 25, sharp.
const CHANNEL: [(f64, f64); 6] = [
    (-80.0, 0.0),
    (-40.0, 0.0),
    (-20.0, -25.0),
    (20.0, -25.0),
    (40.0, 0.0),
    (80.0, 0.0),
];

fn steps(text: &str) -> Steps {
    read_steps("test", text).unwrap()
}

fn lay(bed: &Bed<'_>, bonds: Bonds, text: &str) -> Result<Laydown, LayError> {
    bed.lay_steps(bonds, &steps(text), &Conditions::default())
}

fn peak(bed: &Bed<'_>, bonds: Bonds, text: &str) -> f64 {
    lay(bed, bonds, text).unwrap().peak(bed).unwrap().lambda
}

/// The steps that are deepest-first.
fn deepest_first(bed: &Bed<'_>) -> Steps {
    let p = bed.line().at(bed.press());
    let press = Spot {
        x: p.x,
        y: Some(p.y),
    };
    let spread = |side| Step::Spread {
        to: tautspan::laydown::Goal::Next(side),
        from: tautspan::laydown::Patch::Pressed,
    };
    Steps::new(vec![
        Step::Press(press),
        spread(Side::Left),
        spread(Side::Right),
    ])
    .unwrap()
}

#[test]
fn a_v_pressed_at_its_bottom_has_its_mean_all_over() {
    // Reference: walls of length √(30² + 20²) each over a mouth of 60, straight film along
    // both walls, so that nothing is gained: lambda = 2 √1300 / 60, closed form.
    let recess = exact_recess(&[
        (-60.0, 0.0),
        (-30.0, 0.0),
        (0.0, -20.0),
        (30.0, 0.0),
        (60.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
    let laid = lay(&bed, bonds, "press 0, spread right, spread left").unwrap();
    let expected = 2.0 * 1300.0_f64.sqrt() / 60.0;
    assert_abs_diff_eq!(laid.peak(&bed).unwrap().lambda, expected, epsilon = 1e-14);
    assert_abs_diff_eq!(1.0 + laid.mean(), expected, epsilon = 1e-14);
    // With 30 mm of flat free on each side the film there shares it.
    let wide = Bonds::with_reach(&recess, 30.0, 30.0);
    assert_abs_diff_eq!(
        peak(&bed, wide, "press 0, spread right, spread left"),
        (2.0 * 1300.0_f64.sqrt() + 60.0) / 120.0,
        epsilon = 1e-14
    );
}

#[test]
fn one_foot_after_the_other_stretches_the_second_more() {
    // Reference: closed form. The left foot first: wall √(20² + 25²), and √(60² + 25²) = 65
    // over to the right lip, on 80 of film. The right foot then turns 65 into 40 and a wall.
    // All film lies straight along its facet afterwards.
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
    let wall = 1025.0_f64.sqrt();
    let text = "press -20, spread left, press 20, spread right, spread left";
    let laid = lay(&bed, bonds, text).unwrap();
    let first = (wall + 65.0) / 80.0;
    let at = |x: f64| laid.lambda(bed.line().at_x(x).unwrap()).unwrap();
    assert_abs_diff_eq!(at(-30.0), first, epsilon = 1e-13);
    let second = first * (40.0 + wall) / 65.0;
    for x in [-10.0, 10.0, 30.0] {
        assert_abs_diff_eq!(at(x), second, epsilon = 1e-13);
    }
}

#[test]
fn the_middle_and_then_both_feet_reach_the_mean() {
    // Reference: by symmetry the middle leaves half the film on each side, and each foot
    // pressed after it leaves straight film over floor and wall: (20 + wall) / 40, the mean.
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let text = "press 0, press -20, press 20, spread left from 0, spread left from -20, \
                spread right from 0, spread right from 20";
    for reach in [0.0, 35.0] {
        let bonds = Bonds::with_reach(&recess, reach, reach);
        let laid = lay(&bed, bonds, text).unwrap();
        let top = laid.peak(&bed).unwrap().lambda;
        assert_abs_diff_eq!(top, 1.0 + laid.mean(), epsilon = 1e-13);
        assert_abs_diff_eq!(
            top,
            (20.0 + 1025.0_f64.sqrt() + reach) / (40.0 + reach),
            epsilon = 1e-13
        );
        let deepest = bed.lay(bonds, Order::DeepestFirst).unwrap();
        assert!(top < deepest.peak(&bed).unwrap().lambda - 0.01);
    }
}

#[test]
fn many_small_spreads_from_both_edges_tend_to_edge_first() {
    // Reference: edge-first moves both fronts at once; n spreads in turn are that with a
    // step of 1/n, so the error falls as 1/n and halves with n.
    let recess = exact_recess(&[
        (-80.0, 0.0),
        (-40.0, 0.0),
        (-20.0, -25.0),
        (10.0, -25.0),
        (50.0, 0.0),
        (80.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 6.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 20.0, 20.0);
    let edge = bed.lay(bonds, Order::EdgeFirst).unwrap();
    let expected = edge.peak(&bed).unwrap().lambda;
    let (lips, press) = (bed.lips(), bed.press());
    let error = |n: u32| {
        let spot = |s: f64| Spot {
            x: bed.line().at(s).x,
            y: None,
        };
        let to = |s: f64, side| Step::Spread {
            to: tautspan::laydown::Goal::At(spot(s)),
            from: tautspan::laydown::Patch::Flat(side),
        };
        // Film over the flats is down first, as in edge-first.
        let mut list = vec![to(lips.0, Side::Left), to(lips.1, Side::Right)];
        // The last press lays a pad, shared as the ways are.
        let shut = 1.0 - bed.pad() / (lips.1 - lips.0);
        let (l, r) = (shut * (press - lips.0), shut * (lips.1 - press));
        for i in 1..=n {
            let part = f64::from(i) / f64::from(n);
            list.push(to(lips.0 + l * part, Side::Left));
            list.push(to(lips.1 - r * part, Side::Right));
        }
        list.push(Step::Press(spot(0.5 * (lips.0 + l + lips.1 - r))));
        let steps = Steps::new(list).unwrap();
        let laid = bed
            .lay_steps(bonds, &steps, &Conditions::default())
            .unwrap();
        (laid.peak(&bed).unwrap().lambda - expected).abs()
    };
    let (coarse, fine) = (error(200), error(400));
    assert!(fine < 2e-3 * expected, "{fine}");
    assert!((0.4..0.6).contains(&(fine / coarse)), "{coarse} {fine}");
}

#[test]
fn independent_spreads_may_come_in_any_order() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 30.0, 10.0);
    let one = "press 3, spread -30 from left, press -12, spread right, spread left, \
               spread right from 3";
    let other = "press 3, spread right, spread -30 from left, press -12, spread left, \
                 spread right from -12";
    let (a, b) = (
        lay(&bed, bonds, one).unwrap(),
        lay(&bed, bonds, other).unwrap(),
    );
    for (p, q) in a.profile(&bed, 1.0).iter().zip(&b.profile(&bed, 1.0)) {
        assert_abs_diff_eq!(p.lambda, q.lambda, epsilon = 1e-12);
        assert_abs_diff_eq!(p.film, q.film, epsilon = 1e-10);
    }
}

#[test]
fn a_pad_over_all_there_is_lays_it_at_the_mean() {
    // Reference: arc over film, by definition of a press.
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 500.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 5.0, 0.0);
    let laid = lay(&bed, bonds, "press 10").unwrap();
    let top = laid.peak(&bed).unwrap();
    assert_abs_diff_eq!(top.lambda, 1.0 + laid.mean(), epsilon = 1e-14);
    assert_eq!(top.zone, tautspan::section::Zone::Pad);
    // A pad clipped by film that is down: 20 to 40 is all that is left for it.
    let small = Bed::new(&recess, 30.0, 0.0);
    let text = "spread 20 from left, press 25, spread right from left";
    let laid = lay(&small, bonds, text).unwrap();
    assert!(laid.lambda(laid.bonds().1 - 1e-3).unwrap() > 1.0);
}

#[test]
fn two_valleys_are_pressed_one_after_the_other() {
    let recess = exact_recess(&[
        (-100.0, 0.0),
        (-60.0, 0.0),
        (-40.0, -20.0),
        (-20.0, -5.0),
        (0.0, -5.0),
        (20.0, -20.0),
        (40.0, 0.0),
        (90.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 10.0);
    let both =
        "press -40, press 20, spread left from -40, spread left from 20, spread right from 20";
    let laid = lay(&bed, bonds, both).unwrap();
    let film = |x: f64| laid.film(bed.line().at_x(x).unwrap()).unwrap();
    assert!(film(-40.0) < film(-10.0) && film(-10.0) < film(20.0));
    assert!(laid.peak(&bed).unwrap().lambda >= 1.0 + laid.mean());
}

#[test]
fn vertical_walls_take_a_height() {
    // Reference: closed form. Floor 40 under a mouth of 40, depth 20: pressed in the middle
    // of the floor and at both feet, film is straight over half a floor and a wall each.
    let recess = exact_recess(&[
        (-60.0, 0.0),
        (-20.0, 0.0),
        (-20.0, -20.0),
        (20.0, -20.0),
        (20.0, 0.0),
        (60.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
    let feet = "press 0, press -20 y -20, press 20 y -20, spread left from 0, \
                spread right from 0, spread left from -20 y -20, spread right from 20 y -20";
    assert_abs_diff_eq!(peak(&bed, bonds, feet), 2.0, epsilon = 1e-13);
    // Half-way up the wall.
    let half = "press 0, spread -20 y -10, spread 20 y -10, spread left, spread right";
    let laid = lay(&bed, bonds, half).unwrap();
    let deepest = bed.lay(bonds, Order::DeepestFirst).unwrap();
    assert_abs_diff_eq!(
        laid.peak(&bed).unwrap().lambda,
        deepest.peak(&bed).unwrap().lambda,
        epsilon = 1e-12
    );
    // Without a height x = 20 is the lip, which is the bond line.
    let error = lay(&bed, bonds, "press 20").unwrap_err().to_string();
    assert!(
        error.starts_with("step 1: found a press at x = 20 mm, where film is down"),
        "{error}"
    );
    let off = lay(&bed, bonds, "press 0 y 5").unwrap_err().to_string();
    assert!(off.contains("nearest at y = -20 mm"), "{off}");
}

#[test]
fn steps_that_cannot_be_say_why() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 10.0);
    for (text, words) in [
        (
            "press 60",
            "step 1: found x = 60 mm, outside of the bond lines, expected a place from x = -50 to 50 mm",
        ),
        (
            "press 500",
            "step 1: found x = 500 mm, expected a place on the clear panel",
        ),
        (
            "press 0, press 1",
            "step 2: found a press at x = 1 mm, where film is down already, expected",
        ),
        (
            "spread 10",
            "step 1: found a spread before anything was pressed, expected",
        ),
        (
            "press 0, spread 10 from -30",
            "step 2: found a spread from x = -30 mm, where film is free",
        ),
        (
            "press 0, spread 1",
            "step 2: found a spread to x = 1 mm, where that patch is already",
        ),
        (
            "press 0, press 15, spread 20 from 0",
            "step 3: found a spread to x = 20 mm, beyond film that is down from 13",
        ),
        (
            "press 0, spread left, spread left",
            "step 3: found a spread to the left of a patch that goes on to the left bond line",
        ),
        (
            "press 0, spread left, spread right, press 0",
            "step 4: found `press 0` after all film is down",
        ),
        (
            "press 0, spread left",
            "found film still free from x = 2 to 50 mm after the last step, expected all of it down",
        ),
    ] {
        let error = lay(&bed, bonds, text).unwrap_err().to_string();
        assert!(error.starts_with(words), "{text}: {error}");
        assert!(error.contains("\n\nhint: "), "{text}: {error}");
    }
    // The hint's step is the one that was missing.
    let error = lay(&bed, bonds, "press 0, spread left")
        .unwrap_err()
        .to_string();
    let hint = error.split('`').nth(1).unwrap();
    assert!(
        lay(&bed, bonds, &format!("press 0, spread left, {hint}")).is_ok(),
        "{hint}"
    );
    // The order alone, without steps, is refused.
    assert!(bed.lay(bonds, Order::Custom).is_err());
}

#[test]
fn a_press_of_a_custom_order_goes_down_in_its_share() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 10.0);
    let laid = lay(
        &bed,
        bonds,
        "press 0, spread left, press 15, spread left, spread right",
    )
    .unwrap();
    let at = |p| laid.replay(&bed, p).unwrap();
    // Bridged, then half way down: the pad is half as deep as the floor.
    let floor = bed.line().at(bed.press()).y;
    let lowest = |p| {
        let path = at(p).free.into_iter().flat_map(|span| span.path);
        path.map(|p| p.y).fold(f64::INFINITY, f64::min)
    };
    assert_abs_diff_eq!(lowest(0.1), 0.5 * floor, epsilon = 1e-9);
    assert_abs_diff_eq!(lowest(0.2 - 1e-12), floor, epsilon = 1e-9);
    // The second press pulls at the film of its own span alone, down is what was down before.
    let (early, late) = (at(0.41), at(0.59));
    assert_eq!(early.down, late.down);
    assert_eq!((early.free.len(), late.free.len()), (1, 1));
    assert!(late.free[0].lambda > early.free[0].lambda);
    let pressed = laid.moment(&bed, 0.6 - 1e-9).unwrap();
    assert_abs_diff_eq!(
        at(0.6 - 1e-12).free[0].lambda,
        pressed.free[0].lambda,
        epsilon = 1e-9
    );
}

#[test]
fn a_moment_of_a_custom_order_shows_what_is_down() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 10.0);
    let laid = lay(&bed, bonds, "press 0, spread 10, spread left, spread right").unwrap();
    let at = |p| laid.moment(&bed, p).unwrap();
    assert!(at(0.0).down.is_empty());
    // The press has the first quarter: its pad is down, two spans at one stretch.
    let pressed = at(0.1);
    assert_eq!(pressed.down.len(), 1);
    assert_eq!(pressed.free.len(), 2);
    assert_abs_diff_eq!(
        pressed.free[0].lambda,
        laid.at_press().unwrap(),
        epsilon = 1e-12
    );
    // Half of the second quarter: 4 of the 8 mm from the pad's edge to x = 10.
    let down = at(0.375).down[0];
    assert_abs_diff_eq!(bed.line().at(down.1).x, 6.0, epsilon = 1e-9);
    // Free film at any time holds what is not down yet: length over stretch.
    for k in 1..40 {
        let moment = at(f64::from(k) / 40.0);
        let free: f64 = moment
            .free
            .iter()
            .map(|f| common::length(&f.path) / f.lambda)
            .sum();
        let laid_film: f64 = moment
            .down
            .iter()
            .map(|&(a, b)| laid.film(b - 1e-10).unwrap() - laid.film(a + 1e-10).unwrap())
            .sum();
        assert_abs_diff_eq!(free + laid_film, laid.bridge(), epsilon = 1e-6);
    }
    assert_eq!(at(1.0).free.len(), 0);
}

/// Steps over a list of parts of the way between the bond lines.
fn some_steps(bed: &Bed<'_>, (left, right): (f64, f64), parts: &[f64]) -> Option<Steps> {
    let line = bed.line();
    let spot = |s: f64| Spot {
        x: line.at(s).x,
        y: Some(line.at(s).y),
    };
    let mut list = Vec::new();
    for part in parts {
        list.push(Step::Press(spot(left + (right - left) * part)));
    }
    let mut steps = Steps::new(list.clone()).ok()?;
    // What the error says is missing is done until nothing is.
    for _ in 0..20 {
        let bonds = Bonds { left, right };
        match bed.lay_steps(bonds, &steps, &Conditions::default()) {
            Ok(_) => return Some(steps),
            Err(LayError::StillFree { next, .. }) => {
                list.push(next);
                steps = Steps::new(list.clone()).ok()?;
            }
            Err(_) => return None,
        }
    }
    None
}

/// Film on a stretch of one piece: ds/lambda by Simpson's rule, halved until it settles.
fn taken(laid: &Laydown, (a, la): (f64, f64), (b, lb): (f64, f64), depth: u32) -> f64 {
    if b - a <= 1e-9 {
        return (b - a) / la;
    }
    let at = |t: f64| {
        let s = a + (b - a) * t;
        (s, laid.lambda(s).unwrap())
    };
    let (quarter, middle, rest) = (at(0.25), at(0.5), at(0.75));
    let whole = (b - a) / 6.0 * (1.0 / la + 4.0 / middle.1 + 1.0 / lb);
    let halves =
        (b - a) / 12.0 * (1.0 / la + 4.0 / quarter.1 + 2.0 / middle.1 + 4.0 / rest.1 + 1.0 / lb);
    if depth == 0 || (whole - halves).abs() <= 1e-11 {
        return halves;
    }
    taken(laid, (a, la), middle, depth - 1) + taken(laid, middle, (b, lb), depth - 1)
}

proptest! {
    #![proptest_config(cases(96))]

    #[test]
    fn deepest_first_is_a_list_of_three_steps(
        points in any_section(1e-6), pad in prop_oneof![Just(0.0), 0.5..20.0_f64],
        radius in prop_oneof![Just(0.0), 1.0..8.0_f64], reach in 0.0..120.0_f64,
    ) {
        let Ok(recess) = Recess::find(section(&points), exact()) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, radius);
        let most = recess.reach_limit();
        let bonds = Bonds::with_reach(&recess, reach.min(most.0), reach.min(most.1));
        let Ok(front) = bed.lay(bonds, Order::DeepestFirst) else { return Ok(()) };
        if front.bonds().0 >= bed.press() || front.bonds().1 <= bed.press() { return Ok(()) }
        let by_steps = bed.lay_steps(bonds, &deepest_first(&bed), &Conditions::default());
        // A pad that covers one side leaves nothing to spread there.
        let by_steps = match by_steps {
            Err(LayError::Step { .. }) => return Ok(()),
            other => other.unwrap(),
        };
        let (a, b) = (front.peak(&bed).unwrap(), by_steps.peak(&bed).unwrap());
        prop_assert!((a.lambda - b.lambda).abs() <= 1e-12 * a.lambda, "{a:?} {b:?}");
        prop_assert!(a.zone == b.zone);
        for (p, q) in front.profile(&bed, 2.0).iter().zip(&by_steps.profile(&bed, 2.0)) {
            prop_assert!((p.lambda - q.lambda).abs() <= 1e-12 * p.lambda, "{p:?} {q:?}");
            prop_assert!((p.film - q.film).abs() <= 1e-9, "{p:?} {q:?}");
        }
    }

    #[test]
    fn film_is_conserved_and_the_mean_lies_between(
        points in any_section(1e-6), pad in prop_oneof![Just(0.0), 0.5..20.0_f64],
        reach in 0.0..120.0_f64, parts in prop::collection::vec(0.02..0.98_f64, 1..5),
    ) {
        let Ok(recess) = Recess::find(section(&points), exact()) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, 0.0);
        let most = recess.reach_limit();
        let bonds = Bonds::with_reach(&recess, reach.min(most.0), reach.min(most.1));
        let Ok(front) = bed.lay(bonds, Order::DeepestFirst) else { return Ok(()) };
        let Some(steps) = some_steps(&bed, front.bonds(), &parts) else { return Ok(()) };
        let laid = bed.lay_steps(bonds, &steps, &Conditions::default()).unwrap();
        let rows = laid.profile(&bed, 0.25);
        let (mut least, mut most, mut film) = (f64::INFINITY, 0.0_f64, 0.0);
        for w in rows.windows(2) {
            least = least.min(w[0].lambda);
            most = most.max(w[0].lambda.max(w[1].lambda));
            film += taken(&laid, (w[0].s, w[0].lambda), (w[1].s, w[1].lambda), 20);
            prop_assert!(w[1].film >= w[0].film - 1e-9);
        }
        prop_assert!((film - laid.bridge()).abs() <= 1e-7 * laid.bridge(), "{film} {}", laid.bridge());
        let mean = 1.0 + laid.mean();
        prop_assert!(least <= mean * (1.0 + 1e-9) && mean <= most * (1.0 + 1e-9));
        prop_assert!((most - laid.peak(&bed).unwrap().lambda).abs() <= 1e-9 * most);
    }

    #[test]
    fn a_mirrored_section_takes_mirrored_steps(
        points in any_section(1e-6), pad in prop_oneof![Just(0.0), 0.5..20.0_f64],
        parts in prop::collection::vec(0.02..0.98_f64, 1..4),
    ) {
        let mirrored: Vec<_> = points.iter().rev().map(|p| tautspan::Point::new(-p.x, p.y)).collect();
        let (Ok(one), Ok(other)) = (
            Recess::find(section(&points), exact()),
            Recess::find(section(&mirrored), exact()),
        ) else { return Ok(()) };
        let (bed, mirror) = (Bed::new(&one, pad, 0.0), Bed::new(&other, pad, 0.0));
        let bonds = Bonds::with_reach(&one, 15.0_f64.min(one.reach_limit().0), 15.0_f64.min(one.reach_limit().1));
        let Ok(front) = bed.lay(bonds, Order::DeepestFirst) else { return Ok(()) };
        let Some(steps) = some_steps(&bed, front.bonds(), &parts) else { return Ok(()) };
        let flip = |spot: Spot| Spot { x: -spot.x, y: spot.y };
        let opposite = |side| if side == Side::Left { Side::Right } else { Side::Left };
        let turned = steps.steps().iter().map(|step| match *step {
            Step::Press(spot) => Step::Press(flip(spot)),
            Step::Spread { to, from } => Step::Spread {
                to: match to {
                    tautspan::laydown::Goal::At(spot) => tautspan::laydown::Goal::At(flip(spot)),
                    tautspan::laydown::Goal::Next(side) => tautspan::laydown::Goal::Next(opposite(side)),
                },
                from: match from {
                    tautspan::laydown::Patch::At(spot) => tautspan::laydown::Patch::At(flip(spot)),
                    tautspan::laydown::Patch::Flat(side) => tautspan::laydown::Patch::Flat(opposite(side)),
                    tautspan::laydown::Patch::Pressed => tautspan::laydown::Patch::Pressed,
                },
            },
        }).collect();
        let turned = Steps::new(turned).unwrap();
        let there = Bonds::with_reach(&other, 15.0_f64.min(other.reach_limit().0), 15.0_f64.min(other.reach_limit().1));
        // A mirrored section with two like valleys may have its lips elsewhere.
        let Ok(laid) = mirror.lay_steps(there, &turned, &Conditions::default()) else { return Ok(()) };
        let expected = bed.lay_steps(bonds, &steps, &Conditions::default()).unwrap();
        if (laid.bridge() - expected.bridge()).abs() > 1e-6 { return Ok(()) }
        let (a, b) = (laid.peak(&mirror).unwrap().lambda, expected.peak(&bed).unwrap().lambda);
        prop_assert!((a - b).abs() <= 1e-9 * a, "{a} {b} {steps}");
    }

    #[test]
    fn cutting_facets_finer_changes_nothing(
        points in any_section(1e-6), pad in prop_oneof![Just(0.0), 0.5..20.0_f64],
        parts in prop::collection::vec(0.02..0.98_f64, 1..4),
    ) {
        let mut finer = vec![points[0]];
        for w in points.windows(2) {
            finer.push(w[0] + (w[1] - w[0]) * 0.37);
            finer.push(w[1]);
        }
        let (Ok(one), Ok(other)) = (
            Recess::find(section(&points), exact()),
            Recess::find(section(&finer), exact()),
        ) else { return Ok(()) };
        let (bed, cut) = (Bed::new(&one, pad, 0.0), Bed::new(&other, pad, 0.0));
        let bonds = Bonds::with_reach(&one, 0.0, 0.0);
        let Ok(front) = bed.lay(bonds, Order::DeepestFirst) else { return Ok(()) };
        let Some(steps) = some_steps(&bed, front.bonds(), &parts) else { return Ok(()) };
        let there = Bonds::with_reach(&other, 0.0, 0.0);
        let Ok(laid) = cut.lay_steps(there, &steps, &Conditions::default()) else { return Ok(()) };
        let expected = bed.lay_steps(bonds, &steps, &Conditions::default()).unwrap();
        let (a, b) = (laid.peak(&cut).unwrap().lambda, expected.peak(&bed).unwrap().lambda);
        prop_assert!((a - b).abs() <= 1e-8 * a, "{a} {b} {steps}");
    }
}

/// Conditions under which the march is used, each with a name.
fn conditions() -> Vec<(&'static str, Conditions)> {
    let soft = StretchLaw::NeoHookean(1.0);
    let stiff = StretchLaw::NeoHookean(3.0);
    let plain = Conditions {
        law: stiff.clone(),
        ..Conditions::default()
    };
    vec![
        (
            "friction",
            Conditions {
                lip_friction: 0.3,
                ..plain.clone()
            },
        ),
        (
            "drag",
            Conditions {
                drag: 0.002,
                ..plain.clone()
            },
        ),
        (
            "both and a warm mouth",
            Conditions {
                lip_friction: 0.2,
                drag: 0.001,
                warm: Warm::Mouth(soft.clone()),
                ..plain.clone()
            },
        ),
        (
            "warm flats",
            Conditions {
                warm: Warm::Flats(soft),
                ..plain.clone()
            },
        ),
        (
            "dabbed",
            Conditions {
                laying: Laying::Dabbed,
                ..plain
            },
        ),
    ]
}

#[test]
fn marched_steps_of_deepest_first_are_marched_deepest_first() {
    // Reference: the march of the two fronts; stops on the way change nothing. Its steps are
    // good to 1e-8, what is read between them from a cubic to some 1e-6.
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 6.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 40.0, 25.0);
    let stops = "press 0, spread 12, spread -31, spread 35, spread -60, spread 55, spread left, spread right";
    for (name, conditions) in conditions() {
        let fronts = bed
            .lay_under(bonds, Order::DeepestFirst, &conditions)
            .unwrap();
        for text in ["press 0, spread left, spread right", stops] {
            let laid = bed.lay_steps(bonds, &steps(text), &conditions).unwrap();
            let (a, b) = (fronts.peak(&bed).unwrap(), laid.peak(&bed).unwrap());
            assert!(
                (a.lambda - b.lambda).abs() <= 1e-7 * a.lambda,
                "{name}, {text}: {a:?} {b:?}"
            );
            for x in [
                -75.0, -62.0, -45.0, -39.0, -25.0, -10.0, 0.0, 15.0, 33.0, 50.0, 60.0,
            ] {
                let s = bed.line().at_x(x).unwrap();
                let (a, b) = (fronts.lambda(s).unwrap(), laid.lambda(s).unwrap());
                assert!(
                    (a - b).abs() <= 5e-6 * a,
                    "{name}, {text}, x = {x}: {a} {b}"
                );
                let (a, b) = (fronts.film(s).unwrap(), laid.film(s).unwrap());
                assert!(
                    (a - b).abs() <= 1e-5,
                    "{name}, {text}, x = {x}: film {a} {b}"
                );
            }
        }
    }
}

#[test]
fn marched_steps_with_next_to_nothing_marched_are_the_closed_form() {
    // Reference: the closed form; the law of the mouth differs by 1e-13 only, which makes two
    // zones of it and so the march, good to 1e-8.
    let recess = exact_recess(&[
        (-100.0, 0.0),
        (-60.0, 0.0),
        (-40.0, -20.0),
        (-20.0, -5.0),
        (0.0, -5.0),
        (20.0, -20.0),
        (40.0, 0.0),
        (90.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 30.0);
    let nearly = Conditions {
        law: StretchLaw::NeoHookean(1.0),
        warm: Warm::Mouth(StretchLaw::NeoHookean(1.0 + 1e-13)),
        ..Conditions::default()
    };
    for text in [
        "press -10, press -43, spread left, spread right, press 20.1, spread left, spread right",
        "spread -45 from left, press 10, spread -20, spread 30 from right, spread -30 from left, \
         spread left, spread 15, spread right",
    ] {
        let exact = lay(&bed, bonds, text).unwrap();
        let marched = bed.lay_steps(bonds, &steps(text), &nearly).unwrap();
        assert!(marched.march().is_some() && exact.march().is_none());
        let (a, b) = (
            exact.peak(&bed).unwrap().lambda,
            marched.peak(&bed).unwrap().lambda,
        );
        assert!((a - b).abs() <= 1e-8 * a, "{text}: {a} {b}");
    }
}

#[test]
fn film_that_would_slide_back_over_a_ridge_is_refused() {
    // Two valleys with a ridge: pressed in one, then in the other.
    let recess = exact_recess(&[
        (-100.0, 0.0),
        (-60.0, 0.0),
        (-40.0, -20.0),
        (-10.0, -5.0),
        (20.0, -20.0),
        (40.0, 0.0),
        (90.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 10.0);
    let friction = Conditions {
        lip_friction: 0.3,
        ..Conditions::default()
    };
    let both = "press -40, press 20, spread left, spread right, spread left from -40";
    let found = bed.lay_steps(bonds, &steps(both), &friction);
    assert_eq!(found.unwrap_err(), LayError::Ridge);
    // With the ridge held down first nothing slides over it.
    let ridge_first = "press -10, press -40, spread left, spread right, press 20, spread left, \
                       spread right";
    let laid = bed
        .lay_steps(bonds, &steps(ridge_first), &friction)
        .unwrap();
    // Friction on the lips keeps stretch inside.
    let free = lay(&bed, bonds, ridge_first).unwrap();
    assert!(laid.recess_peak().unwrap() > free.recess_peak().unwrap());
}
