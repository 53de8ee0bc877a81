//! The lay-down against published and closed values for a vee, a wall and a flat floor.

#![allow(clippy::approx_constant, reason = "the constants are printed values")]

use crate::common;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use common::{exact_recess, length};
use tautspan::film::parse_film;
use tautspan::{Bed, Bonds, FilmClass, Job, Order, Recess, recommend, tool_named};

/// Half mouth of the vees, mm.
const HALF: f64 = 30.0;
/// Pad of edge-first, mm: small enough to leave half the mouth to the fronts.
const PAD: f64 = 1e-3;

/// A vee with walls at `b` degrees from the flat film.
fn vee(half: f64, b: f64) -> Recess {
    let depth = half * b.to_radians().tan();
    exact_recess(&[
        (-half - 50.0, 0.0),
        (-half, 0.0),
        (0.0, -depth),
        (half, 0.0),
        (half + 50.0, 0.0),
    ])
}

/// A channel by half mouth, half floor and depth.
fn channel(half: f64, floor: f64, depth: f64) -> Recess {
    exact_recess(&[
        (-half - 50.0, 0.0),
        (-half, 0.0),
        (-floor, -depth),
        (floor, -depth),
        (half, 0.0),
        (half + 50.0, 0.0),
    ])
}

/// A film class with a limit, percent.
fn film(limit: f64) -> FilmClass {
    let text = format!(
        "name = \"trial\"\nsummary = \"of a test\"\nrecess = true\nair_channels = true\n\
         limit_pct = {{ value = {limit:?}, source = \"of this test\" }}\n\
         thickness_um = {{ value = 90.0, source = \"of this test\" }}\n"
    );
    parse_film("trial.toml", &text).expect("a valid film class")
}

#[test]
fn a_vee_laid_from_its_edges_has_the_published_exponent() {
    // Reference: lambda = x^-(sec b - 1), x the rest of the half mouth: the exponent of
    // sticking-contact thermoforming theory for a straight free span, table at x = 0.5
    // (derived; printed to 6 decimals, so 5e-7).
    for (b, expected) in [
        (10.0, 1.010_750),
        (15.0, 1.024_753),
        (20.0, 1.045_489),
        (30.0, 1.113_191),
        (45.0, 1.332_572),
        (60.0, 2.000_000),
        (75.0, 7.278_814),
    ] {
        let recess = vee(HALF, b);
        let bed = Bed::new(&recess, PAD, 0.0);
        let laid = bed
            .lay(Bonds::with_reach(&recess, 40.0, 40.0), Order::EdgeFirst)
            .unwrap();
        let sec = 1.0 / b.to_radians().cos();
        let wall = HALF * sec;
        for (lip, inwards) in [(recess.outer().0, 1.0), (recess.outer().1, -1.0)] {
            let at = |x: f64| laid.lambda(lip + inwards * (1.0 - x) * wall).unwrap();
            assert_abs_diff_eq!(at(0.5), expected, epsilon = 5e-7);
            // The formula itself, to the accuracy of its own power.
            for x in [0.9_f64, 0.5, 0.25, 0.1] {
                assert_relative_eq!(at(x), x.powf(1.0 - sec), max_relative = 1e-11);
            }
        }
    }
}

#[test]
fn a_vee_pressed_deepest_first_is_stretched_evenly() {
    // Reference: lambda = sec b, uniform, with film bonded at the lips (derived; printed
    // to 6 decimals, so 5e-7).
    for (b, expected) in [
        (10.0, 1.015_427),
        (15.0, 1.035_276),
        (20.0, 1.064_178),
        (30.0, 1.154_701),
        (45.0, 1.414_214),
        (60.0, 2.000_000),
        (75.0, 3.863_703),
    ] {
        let recess = vee(HALF, b);
        let bed = Bed::new(&recess, 0.0, 0.0);
        for order in [Order::DeepestFirst, Order::MiddlePush] {
            let laid = bed
                .lay(Bonds::with_reach(&recess, 0.0, 0.0), order)
                .unwrap();
            let peak = laid.peak(&bed).unwrap().lambda;
            assert_abs_diff_eq!(peak, expected, epsilon = 5e-7);
            for row in laid.profile(&bed, 1.0) {
                assert_relative_eq!(row.lambda, peak, max_relative = 1e-12);
            }
        }
    }
}

#[test]
fn a_vee_with_reach_needs_the_closed_form_of_it() {
    // Reference: lambda = (e + a0 sec b)/(a0 + e) with reach e over a frictionless lip
    // (derived); constant on the wall and on the flat.
    for (b, reach) in [(30.0_f64, 10.0), (45.0, 60.0), (60.0, 3.0)] {
        let recess = vee(HALF, b);
        let bed = Bed::new(&recess, 0.0, 0.0);
        let laid = bed
            .lay(
                Bonds::with_reach(&recess, reach, reach),
                Order::DeepestFirst,
            )
            .unwrap();
        let expected = (reach + HALF / b.to_radians().cos()) / (HALF + reach);
        assert_relative_eq!(
            laid.peak(&bed).unwrap().lambda,
            expected,
            max_relative = 1e-12
        );
    }
}

#[test]
fn the_smallest_reach_for_a_limit_is_the_closed_form() {
    let tool = tool_named("fingertip").unwrap();
    // Reference: a0 (sec b - 1 - eps)/eps (derived): 62.8427, 10.9401, 40 exactly; printed
    // to 4 decimals, so 5e-5, and the formula to twice the width's own 1e-7 mm.
    for (half, b, eps, printed) in [
        (20.0, 45.0_f64, 0.10, 62.8427),
        (20.0, 30.0, 0.10, 10.9401),
        (10.0, 60.0, 0.20, 40.0),
    ] {
        let recess = vee(half, b);
        let bed = Bed::new(&recess, 0.0, 0.0);
        let film = film(100.0 * eps);
        let job = Job::new(&bed, &film, &tool);
        let width = recommend(&job, &[]).unrounded_bridge_mm.unwrap();
        let reach = 0.5 * width - half;
        assert_abs_diff_eq!(reach, printed, epsilon = 5e-5);
        let formula = half * (1.0 / b.to_radians().cos() - 1.0 - eps) / eps;
        assert_abs_diff_eq!(reach, formula, epsilon = 2e-7);
    }
}

#[test]
fn a_vertical_wall_stretches_film_exponentially() {
    // Reference: lambda = exp(s/a0), a0 the half mouth (derived; printed to 6 decimals).
    let half = 20.0;
    let recess = channel(half, half, 24.0);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let laid = bed
        .lay(Bonds::with_reach(&recess, 30.0, 30.0), Order::EdgeFirst)
        .unwrap();
    for (part, expected) in [
        (0.1_f64, 1.105_171),
        (0.2, 1.221_403),
        (0.5, 1.648_721),
        (1.0, 2.718_282),
    ] {
        for (lip, inwards) in [(recess.outer().0, 1.0), (recess.outer().1, -1.0)] {
            let lambda = laid.lambda(lip + inwards * part * half).unwrap();
            assert_abs_diff_eq!(lambda, expected, epsilon = 5e-7);
            assert_relative_eq!(lambda, part.exp(), max_relative = 1e-12);
        }
    }
    // Rolled out on the flat floor, nothing is added: exp(24/20) to the end.
    let peak = laid.peak(&bed).unwrap().lambda;
    assert_relative_eq!(peak, 1.2_f64.exp(), max_relative = 1e-12);
}

#[test]
fn a_flat_floor_keeps_the_stretch_of_its_feet() {
    // Reference: (floor half / a0)^(1 - sec b), half mouth 50, half floor 30, wall 45
    // degrees: 1.235642 (derived; printed to 6 decimals, so 5e-7).
    let recess = channel(50.0, 30.0, 20.0);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let laid = bed
        .lay(Bonds::with_reach(&recess, 30.0, 30.0), Order::EdgeFirst)
        .unwrap();
    let foot = recess.outer().0 + 800.0_f64.sqrt();
    for inside in [1e-6, 1.0, 29.0] {
        assert_abs_diff_eq!(
            laid.lambda(foot + inside).unwrap(),
            1.235_642,
            epsilon = 5e-7
        );
    }
}

#[test]
fn the_worked_channel_has_its_worked_values() {
    // Reference: worked by hand for mouth 80, floor 40, depth 25, no reach. Deepest first:
    // 40 exp(-(asinh(40/25) - asinh(20/25))) = 23.8686 mm of film under 32.0156 mm:
    // 1.341327 (printed to 6 decimals, so 5e-7). Edges first: (20/40)^(1 - sec b) with
    // sec b = sqrt(20^2 + 25^2)/20, that is 1.5165374.
    let recess = channel(40.0, 20.0, 25.0);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
    let peak = |order| bed.lay(bonds, order).unwrap().peak(&bed).unwrap().lambda;
    let wall = 1025.0_f64.sqrt();
    let film = 40.0 * (0.8_f64.asinh() - 1.6_f64.asinh()).exp();
    assert_abs_diff_eq!(peak(Order::DeepestFirst), 1.341_327, epsilon = 5e-7);
    assert_relative_eq!(peak(Order::DeepestFirst), wall / film, max_relative = 1e-12);
    let edges = 0.5_f64.powf(1.0 - wall / 20.0);
    assert_relative_eq!(peak(Order::EdgeFirst), edges, max_relative = 1e-12);
}

#[test]
fn film_in_a_vee_thins_as_the_blown_cone_does() {
    // Reference: cone, blown: h/h0 = ((1 + cos b)/2) x^(sec b - 1) (read: University of
    // California Berkeley, ME221 manufacturing guide, thermoforming theory); 0.8381429,
    // 0.6405307 and 0.375 at x = 0.5 (recomputed from it, printed to 7 figures). The cone is
    // under a spherical cap, ours under a straight span: thickness = cone 2/(1 + cos b).
    for (b, printed) in [
        (30.0_f64, 0.838_142_9),
        (45.0, 0.640_530_7),
        (60.0, 0.375_000_0),
    ] {
        let recess = vee(HALF, b);
        let bed = Bed::new(&recess, PAD, 0.0);
        let laid = bed
            .lay(Bonds::with_reach(&recess, 20.0, 20.0), Order::EdgeFirst)
            .unwrap();
        let cos = b.to_radians().cos();
        let wall = HALF / cos;
        for x in [0.5_f64, 0.25] {
            let cone = if x < 0.5 {
                0.5 * (1.0 + cos) * x.powf(1.0 / cos - 1.0)
            } else {
                printed
            };
            // The stage at which the free span is x of the mouth.
            let progress = (1.0 - x) * wall / (wall - 0.5 * PAD);
            let moment = laid.moment(&bed, progress).unwrap();
            assert_eq!(moment.free.len(), 1);
            let span = &moment.free[0];
            assert_relative_eq!(length(&span.path), 2.0 * HALF * x, max_relative = 1e-9);
            assert_abs_diff_eq!(
                1.0 / span.lambda,
                cone * 2.0 / (1.0 + cos),
                epsilon = 1.1e-7
            );
        }
    }
}
