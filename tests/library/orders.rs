//! An order is a list of steps: typed, it is laid, pressed and drawn as the name it equals; and
//! lists that have no name have air, force and stages too.

use crate::common;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use assert_cmd::Command;
use common::exact_recess;
use serde_json::Value;
use std::fs;
use tautspan::film::StretchLaw;
use tautspan::laydown::{Goal, Laying, Move, Patch, Spot, Step, Steps, Warm, read_steps};
use tautspan::outcome::{Ends, Stage, finger_force, stages, trapped_air};
use tautspan::{Bed, Bonds, Conditions, Order, Side};

/// A channel 80 wide and 25 deep, floor 40, its middle at x = 0.
const CHANNEL: [(f64, f64); 6] = [
    (-100.0, 0.0),
    (-40.0, 0.0),
    (-20.0, -25.0),
    (20.0, -25.0),
    (40.0, 0.0),
    (100.0, 0.0),
];
/// A bowl whose right flat falls away.
const BOWL: [(f64, f64); 8] = [
    (-120.0, 0.0),
    (-45.0, 0.0),
    (-30.0, -9.0),
    (-8.0, -21.0),
    (13.0, -18.0),
    (28.0, -4.0),
    (41.0, -1.0),
    (120.0, -9.0),
];

/// Stiffness G h of 2 N/mm.
fn stiff() -> Conditions {
    Conditions {
        law: StretchLaw::NeoHookean(2.0),
        ..Conditions::default()
    }
}

/// The press of a bed, and from it a spread to each bond line, this side first.
fn press_and_spread(bed: &Bed<'_>, first: Side) -> Steps {
    let p = bed.line().at(bed.press());
    let spread = |side| Step::Spread {
        to: Goal::Next(side),
        from: Patch::Pressed,
    };
    let second = match first {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
    };
    let press = Step::Press(Spot { x: p.x, y: None });
    Steps::new(vec![press, spread(first), spread(second)]).unwrap()
}

/// Even heat; a warm mouth, friction and drag; dabbed.
fn conditions() -> [Conditions; 3] {
    let marched = Conditions {
        lip_friction: 0.2,
        drag: 0.002,
        warm: Warm::Mouth(StretchLaw::NeoHookean(1.2)),
        ..stiff()
    };
    let dabbed = Conditions {
        laying: Laying::Dabbed,
        ..stiff()
    };
    [stiff(), marched, dabbed]
}

#[test]
fn a_list_typed_as_steps_is_the_order_it_equals() {
    // Reference: the named order, by the same solver. The press is typed as x, which finds its
    // place to rounding: 1e-12.
    let mut compared = 0;
    for (points, pad, reach, order) in [
        (&CHANNEL[..], 6.0, (40.0, 25.0), Order::DeepestFirst),
        (&CHANNEL[..], 0.0, (35.0, 35.0), Order::DeepestFirst),
        (&CHANNEL[..], 10.0, (0.0, 0.0), Order::MiddlePush),
        (&BOWL[..], 5.0, (30.0, 42.0), Order::DeepestFirst),
        (&BOWL[..], 8.0, (0.0, 0.0), Order::MiddlePush),
    ] {
        let recess = exact_recess(points);
        let bed = Bed::new(&recess, pad, 0.0);
        let bonds = Bonds::with_reach(&recess, reach.0, reach.1);
        for conditions in conditions() {
            let named = bed.lay_under(bonds, order, &conditions).unwrap();
            let now = stages(&named, &bed);
            let pull = finger_force(&named, &bed, &now, &conditions).unwrap();
            let air = trapped_air(&named, &bed, &now, None, Ends::Open, true);
            for first in [Side::Left, Side::Right] {
                let steps = press_and_spread(&bed, first);
                let typed = bed.lay_under(bonds, &steps, &conditions).unwrap();
                assert_eq!(typed.order(), Order::Custom);
                let (a, b) = (named.profile(&bed, 1.0), typed.profile(&bed, 1.0));
                assert_eq!(a.len(), b.len());
                for (a, b) in a.iter().zip(&b) {
                    assert_relative_eq!(a.lambda, b.lambda, max_relative = 1e-12);
                    assert_abs_diff_eq!(a.film, b.film, epsilon = 1e-10);
                    compared += 1;
                }
                let there = stages(&typed, &bed);
                let names = |all: &[(Stage, _)]| all.iter().map(|s| s.0).collect::<Vec<_>>();
                assert_eq!(names(&now), names(&there));
                let again = finger_force(&typed, &bed, &there, &conditions).unwrap();
                for (a, b) in pull.stages.iter().zip(&again.stages) {
                    assert_abs_diff_eq!(a.1, b.1, epsilon = 1e-12);
                }
                assert_relative_eq!(pull.largest.0, again.largest.0, max_relative = 1e-12);
                assert_abs_diff_eq!(pull.largest.1, again.largest.1, epsilon = 1e-10);
                assert_abs_diff_eq!(
                    pull.sideways.unwrap(),
                    again.sideways.unwrap(),
                    epsilon = 1e-12
                );
                let shut = trapped_air(&typed, &bed, &there, None, Ends::Open, true);
                for (a, b) in air.stages.iter().zip(&shut.stages) {
                    assert_abs_diff_eq!(a.cm3_per_m, b.cm3_per_m, epsilon = 1e-9);
                    assert_eq!(a.pockets.len(), b.pockets.len());
                }
            }
        }
    }
    assert!(compared > 3000, "{compared}");
}

#[test]
fn what_steps_cannot_say_are_moves_of_their_own() {
    // Two edges that close in at once, and film that feeds in.
    assert_eq!(
        Order::EdgeFirst.moves(),
        [Move::Flats, Move::Close, Move::Press]
    );
    let loose = Side::Left;
    assert_eq!(Order::OneWay { loose }.moves(), [Move::Feed(loose)]);
    // Typed from one bond line to the other, film stays held by both: the channel's extra has
    // to come out of it, where one-way stretches nothing.
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let across = read_steps("order", "spread right from left").unwrap();
    let held = bed.lay_under(bonds, &across, &stiff()).unwrap();
    let fed = bed
        .lay(bonds, Order::OneWay { loose: Side::Right })
        .unwrap();
    // Reference: by hand, walls of hypot(20, 25) for 20 of mouth each.
    let extra = 2.0 * (20.0_f64.hypot(25.0) - 20.0);
    assert_abs_diff_eq!(held.fed_in(), 0.0);
    assert_abs_diff_eq!(fed.fed_in(), extra, epsilon = 1e-9);
    assert_abs_diff_eq!(held.mean(), extra / 150.0, epsilon = 1e-12);
    assert_abs_diff_eq!(fed.mean(), 0.0);
}

/// Line tension of the film of [`stiff`], N/mm.
fn tension(lambda: f64) -> f64 {
    2.0 * (lambda - lambda.powi(-3))
}

/// Stretch of the span from the floor at `x` to the right bond line, a front having come there
/// from the middle with 75 mm of film ahead: d ln m = -ds/L, by Simpson's rule.
fn at_floor(x: f64) -> f64 {
    let free = |s: f64| (40.0 - s).hypot(25.0) + 35.0;
    let n = 2000_u32;
    let step = x / f64::from(n);
    let weight = |i: u32| match i {
        0 => 1.0,
        i if i == n => 1.0,
        i if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=n).map(|i| weight(i) / free(f64::from(i) * step)).sum();
    free(x) / (75.0 * (-sum * step / 3.0).exp())
}

#[test]
fn two_presses_and_a_stop_pull_as_the_free_film_does() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let text = "press 0, press -20, spread left, spread right from -20, spread 10 from 0, spread right from 10";
    let steps = read_steps("order", text).unwrap();
    let laid = bed.lay_under(bonds, &steps, &stiff()).unwrap();
    let stages = stages(&laid, &bed);
    let pull = finger_force(&laid, &bed, &stages, &stiff()).unwrap();
    // Reference: by hand. From the middle both spans go to the lips; from the left foot one goes
    // up the wall and one along the floor; a front at an angle a pulls with 2 N sin(a/2).
    let up = 40.0_f64.hypot(25.0);
    let first = 2.0 * tension((up + 35.0) / 75.0) * 25.0 / up;
    let wall = 20.0_f64.hypot(25.0);
    let second = tension((wall + 35.0 + 20.0) / 75.0) * (1.0 - 20.0 / wall).hypot(25.0 / wall);
    let front = |x: f64| {
        let angle = 25.0_f64.atan2(40.0 - x);
        2.0 * tension(at_floor(x)) * (0.5 * angle).sin()
    };
    let expected = [
        (Stage::Bridged, 0.0),
        (Stage::Pressed, first),
        (Stage::Pressed, second),
        // Up the wall and along the floor the front moves straight along its film.
        (Stage::Step, 0.0),
        (Stage::Step, 0.0),
        (Stage::Step, front(10.0)),
        (Stage::Down, 0.0),
    ];
    assert_eq!(pull.stages.len(), expected.len(), "{:?}", pull.stages);
    for (found, expected) in pull.stages.iter().zip(expected) {
        assert_eq!(found.0, expected.0);
        // The tension at a front is read 1e-6 mm inside of it.
        assert_relative_eq!(found.1, expected.1, max_relative = 1e-6);
    }
    assert_abs_diff_eq!(pull.sideways.unwrap(), 0.0, epsilon = 1e-12);
    // The hardest is the right foot, on the way of the last step.
    assert!(front(20.0) > first.max(second));
    assert_relative_eq!(pull.largest.0, front(20.0), max_relative = 1e-6);
    assert_abs_diff_eq!(bed.line().at(pull.largest.1).x, 20.0, epsilon = 1e-6);
}

#[test]
fn air_of_two_presses_is_what_lies_under_the_free_film() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let text = "press 0, press -20, spread left, spread right from -20, spread right from 0";
    let steps = read_steps("order", text).unwrap();
    let laid = bed.lay_under(bonds, &steps, &stiff()).unwrap();
    let air = trapped_air(
        &laid,
        &bed,
        &stages(&laid, &bed),
        Some(true),
        Ends::Open,
        false,
    );
    // Reference: by hand. A trapezoid; two triangles of base 20 and height 25; one of them.
    let found: Vec<f64> = air.stages.iter().map(|s| s.cm3_per_m).collect();
    let expected = [1500.0, 500.0, 250.0, 250.0, 250.0, 0.0];
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (found, expected) in found.iter().zip(expected) {
        assert_abs_diff_eq!(*found, expected, epsilon = 1e-9);
    }
}

fn tautspan(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tautspan"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    let output = command.args(args).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

const DEEP: [&str; 3] = ["profiles/recesses/deep-channel.csv", "--film", "wrap-cast"];
const TWO: &str =
    "press 0, press -21, spread left, spread right, press 21, spread left, spread right";
/// Deepest part, then high up on the left wall.
const STEEP: &str = "press 0, press -33, spread left, spread right, spread right from 0";

#[test]
fn steps_of_ones_own_print_their_air_and_force() {
    let check = |order: &str, json: bool| {
        let tail = ["--bridge", "130", "--warm", "whole:20", "--order", order];
        let mut args = [&["check"][..], &DEEP, &tail].concat();
        if json {
            args.push("--json");
        }
        tautspan(&args).1
    };
    // Reference: the named order. What is printed of air, force and stages is the same line by
    // line; its press is at x = 0 there.
    let lines = |order: &str| {
        let text = check(order, false);
        let rows = text.lines().map(str::to_owned);
        let told = |l: &String| {
            let l = l.trim_start();
            [
                "Air ", "Force ", "bridged", "pressed", "floor", "wall", "all down",
            ]
            .iter()
            .any(|start| l.starts_with(start))
        };
        rows.filter(told).collect::<Vec<_>>()
    };
    let (typed, named) = (
        lines("press 0, spread left, spread right"),
        lines("deepest-first"),
    );
    assert!(named.len() >= 6, "{named:?}");
    assert_eq!(typed, named);
    // Two presses: each has a force of its own, in the table as in the JSON.
    let answer: Value = serde_json::from_str(&check(STEEP, true)).unwrap();
    let force = &answer["force"];
    assert!(force["not_computed"].is_null(), "{force}");
    let pressed: Vec<f64> = force["stages"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|s| s["stage"] == "pressed")
        .map(|s| s["force_n"].as_f64().unwrap())
        .collect();
    assert_eq!(pressed.len(), 2, "{force}");
    assert!(pressed[0] > 10.0 && pressed[1] < 6.0, "{pressed:?}");
    let text = check(STEEP, false);
    let rows: Vec<&str> = text
        .lines()
        .filter(|l| l.trim_start().starts_with("pressed"))
        .collect();
    assert_eq!(rows.len(), 2, "{text}");
    for (row, n) in rows.iter().zip(&pressed) {
        let printed = row.split_whitespace().rev().nth(1).unwrap();
        let printed: f64 = printed.parse().unwrap();
        assert_abs_diff_eq!(printed, *n, epsilon = 0.5);
    }
}

#[test]
fn pictures_are_drawn_of_the_order_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let draw = |name: &str, more: &[&str]| {
        let out = folder.path().join(name);
        let tail = ["--out", out.to_str().unwrap()];
        let (code, _, err) = tautspan(&[&["draw"][..], &DEEP, &tail, more].concat());
        assert_eq!(code, 0, "{err}");
        let svg =
            |figure: &str| fs::read_to_string(out.join(format!("deep-channel-{figure}.svg"))).ok();
        [
            "film",
            "elongation",
            "stages",
            "source",
            "width",
            "ruler",
            "tension",
        ]
        .map(svg)
    };
    // Steps inline, at a width: the figures of one laying, and no other order on them.
    let [film, elongation, stages, source, width, ..] =
        draw("two", &["--order", TWO, "--bridge", "130"]);
    for figure in [film, elongation, source] {
        assert!(figure.unwrap().contains("Steps of your own"));
    }
    let stages = stages.unwrap();
    assert!(stages.contains("Steps of your own") && !stages.contains("Edges first"));
    assert!(
        stages.contains("worked on") && stages.contains("pressed"),
        "{stages}"
    );
    assert!(width.is_none());
    // A file, without a width: at the recommended one. And figures that are not drawn unasked.
    let file = folder.path().join("order.toml");
    let text = "[[step]]\npress = 0\n[[step]]\nspread = \"right\"\n[[step]]\nspread = \"left\"\n";
    fs::write(&file, text).unwrap();
    let named = [
        "--figure", "stages", "--figure", "ruler", "--figure", "tension",
    ];
    let order = ["--order", file.to_str().unwrap()];
    let [film, _, stages, _, _, ruler, tension] = draw("file", &[&order[..], &named].concat());
    assert!(film.is_none() && ruler.is_some() && tension.is_some());
    assert!(stages.unwrap().contains("floor"));
    // A name, too.
    let one_way = ["--order", "one-way", "--figure", "stages"];
    let [_, _, stages, ..] = draw("one-way", &one_way);
    let stages = stages.unwrap();
    assert!(stages.contains("One way, far side loose") && !stages.contains("Edges first"));
}
