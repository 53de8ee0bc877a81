//! The front: published and closed values for a vee, a wall, a flat floor, and the kernels.

#![allow(clippy::approx_constant, reason = "the constants are printed values")]

use super::{Group, Row, Standing};
use crate::common::{exact_recess, length};
use tautspan::film::parse_film;
use tautspan::geometry::Vector;
use tautspan::laydown::kernel::{front_gain, window_gain};
use tautspan::{Bed, Bonds, FilmClass, Job, Order, Recess, recommend, tool_named};

/// Half mouth of the vees, mm.
const HALF: f64 = 30.0;
/// Pad of edge-first, mm: small enough to leave half the mouth to the fronts.
const PAD: f64 = 1e-3;
/// Printed to 6 decimals.
const PRINTED: f64 = 5e-7;
const TO_SIX: &str = "half a unit of the last decimal printed";

pub(crate) fn groups() -> Vec<Group> {
    vec![
        vee_from_its_edges(),
        cone(),
        vee_deepest_first(),
        vee_with_reach(),
        smallest_reach(),
        vertical_wall(),
        flat_floor(),
        worked_channel(),
        one_front(),
        two_fronts(),
    ]
}

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
        "name = \"trial\"\nsummary = \"of a check\"\nrecess = true\nair_channels = true\n\
         limit_pct = {{ value = {limit:?}, source = \"of this check\" }}\n\
         thickness_um = {{ value = 90.0, source = \"of this check\" }}\n"
    );
    parse_film("trial.toml", &text).expect("a valid film class")
}

/// What a check makes of a lay-down; not a number where film cannot be laid, so that it is out.
fn laid<T>(
    recess: &Recess,
    pad: f64,
    reach: f64,
    order: Order,
    take: impl Fn(&tautspan::Laydown, &Bed<'_>) -> Option<T>,
) -> Option<T> {
    let bed = Bed::new(recess, pad, 0.0);
    let bonds = Bonds::with_reach(recess, reach, reach);
    let laid = bed.lay(bonds, order).ok()?;
    take(&laid, &bed)
}

fn peak(recess: &Recess, pad: f64, reach: f64, order: Order) -> f64 {
    laid(recess, pad, reach, order, |laid, bed| {
        laid.peak(bed).map(|p| p.lambda)
    })
    .unwrap_or(f64::NAN)
}

fn vee_from_its_edges() -> Group {
    let mut rows = Vec::new();
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
        let sec = 1.0 / b.to_radians().cos();
        let wall = HALF * sec;
        let sides = [(recess.outer().0, 1.0), (recess.outer().1, -1.0)];
        for ((lip, inwards), side) in sides.into_iter().zip(["left", "right"]) {
            let at = |x: f64| {
                let s = lip + inwards * (1.0 - x) * wall;
                laid(&recess, PAD, 40.0, Order::EdgeFirst, |l, _| l.lambda(s)).unwrap_or(f64::NAN)
            };
            rows.push(Row::new(
                format!("{b} degrees, half way, {side}"),
                "stretch",
                expected,
                at(0.5),
                PRINTED,
            ));
            // The formula itself, to the accuracy of its own power.
            for x in [0.9_f64, 0.5, 0.25, 0.1] {
                let exact = x.powf(1.0 - sec);
                rows.push(Row::new(
                    format!("{b} degrees, {x} left, {side}, formula"),
                    "stretch",
                    exact,
                    at(x),
                    1e-11 * exact,
                ));
            }
        }
    }
    Group {
        title: "A vee laid from its edges",
        source: "lambda = x^-(sec b - 1), x the rest of the half mouth: the exponent of sticking-contact thermoforming theory for a straight free span",
        standing: Standing::Derived,
        tolerance: "half a unit of the last decimal printed; 1e-11 for the formula",
        rows,
    }
}

fn cone() -> Group {
    let mut rows = Vec::new();
    for (b, printed) in [
        (30.0_f64, 0.838_142_9),
        (45.0, 0.640_530_7),
        (60.0, 0.375_000_0),
    ] {
        let recess = vee(HALF, b);
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
            let span = laid(&recess, PAD, 20.0, Order::EdgeFirst, |laid, bed| {
                let moment = laid.moment(bed, progress)?;
                moment
                    .free
                    .first()
                    .map(|span| (length(&span.path), span.lambda))
            });
            let (long, lambda) = span.unwrap_or((f64::NAN, f64::NAN));
            let mouth = 2.0 * HALF * x;
            rows.push(Row::new(
                format!("{b} degrees, free span at {x} of the mouth"),
                "mm",
                mouth,
                long,
                1e-9 * mouth,
            ));
            let thin = cone * 2.0 / (1.0 + cos);
            rows.push(Row::new(
                format!("{b} degrees, thickness at {x} of the mouth"),
                "of the first",
                thin,
                1.0 / lambda,
                1.1e-7,
            ));
        }
    }
    Group {
        title: "Film in a vee thins as a blown cone does",
        source: "h/h0 = ((1 + cos b)/2) x^(sec b - 1), University of California Berkeley, ME221 manufacturing guide, thermoforming theory; the cone is under a spherical cap, ours under a straight span: thickness = cone 2/(1 + cos b)",
        standing: Standing::Read,
        tolerance: "half a unit of the last of 7 figures, times 2/(1 + cos b)",
        rows,
    }
}

fn vee_deepest_first() -> Group {
    let mut rows = Vec::new();
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
        for order in [Order::DeepestFirst, Order::MiddlePush] {
            let most = peak(&recess, 0.0, 0.0, order);
            rows.push(Row::new(
                format!("{b} degrees, {}", order.name()),
                "stretch",
                expected,
                most,
                PRINTED,
            ));
            // Evenly: the least along the profile is the peak.
            let least = laid(&recess, 0.0, 0.0, order, |laid, bed| {
                let rows = laid.profile(bed, 1.0);
                rows.iter().map(|row| row.lambda).reduce(f64::min)
            });
            rows.push(Row::new(
                format!("{b} degrees, {}, least anywhere", order.name()),
                "stretch",
                most,
                least.unwrap_or(f64::NAN),
                1e-12 * most,
            ));
        }
    }
    Group {
        title: "A vee pressed deepest first is stretched evenly",
        source: "lambda = sec b, film bonded at the lips",
        standing: Standing::Derived,
        tolerance: TO_SIX,
        rows,
    }
}

fn vee_with_reach() -> Group {
    let row = |(b, reach): (f64, f64)| {
        let recess = vee(HALF, b);
        let expected = (reach + HALF / b.to_radians().cos()) / (HALF + reach);
        let found = peak(&recess, 0.0, reach, Order::DeepestFirst);
        Row::new(
            format!("{b} degrees, {reach} mm of reach"),
            "stretch",
            expected,
            found,
            1e-12 * expected,
        )
    };
    Group {
        title: "A vee with free film beyond its lips",
        source: "lambda = (e + a0 sec b)/(a0 + e), reach e over a lip without friction",
        standing: Standing::Derived,
        tolerance: "rounding",
        rows: [(30.0, 10.0), (45.0, 60.0), (60.0, 3.0)].map(row).to_vec(),
    }
}

fn smallest_reach() -> Group {
    let tool = tool_named("fingertip").expect("a tool");
    let mut rows = Vec::new();
    for (half, b, eps, printed) in [
        (20.0, 45.0_f64, 0.10, 62.8427),
        (20.0, 30.0, 0.10, 10.9401),
        (10.0, 60.0, 0.20, 40.0),
    ] {
        let recess = vee(half, b);
        let bed = Bed::new(&recess, 0.0, 0.0);
        let film = film(100.0 * eps);
        let job = Job::new(&bed, &film, &tool);
        let width = recommend(&job, &[]).unrounded_bridge_mm.unwrap_or(f64::NAN);
        let reach = 0.5 * width - half;
        let what = format!("half mouth {half} mm, {b} degrees, limit {} %", 100.0 * eps);
        rows.push(Row::new(what.clone(), "mm", printed, reach, 5e-5));
        let formula = half * (1.0 / b.to_radians().cos() - 1.0 - eps) / eps;
        rows.push(Row::new(what + ", formula", "mm", formula, reach, 2e-7));
    }
    Group {
        title: "The least reach that keeps a limit",
        source: "a0 (sec b - 1 - eps)/eps",
        standing: Standing::Derived,
        tolerance: "half a unit of the last of 4 decimals; the formula to twice the width's own 1e-7 mm",
        rows,
    }
}

fn vertical_wall() -> Group {
    let half = 20.0;
    let recess = channel(half, half, 24.0);
    let mut rows = Vec::new();
    for (part, expected) in [
        (0.1_f64, 1.105_171),
        (0.2, 1.221_403),
        (0.5, 1.648_721),
        (1.0, 2.718_282),
    ] {
        let sides = [(recess.outer().0, 1.0), (recess.outer().1, -1.0)];
        for ((lip, inwards), side) in sides.into_iter().zip(["left", "right"]) {
            let s = lip + inwards * part * half;
            let found =
                laid(&recess, 0.0, 30.0, Order::EdgeFirst, |l, _| l.lambda(s)).unwrap_or(f64::NAN);
            rows.push(Row::new(
                format!("{part} of the half mouth down, {side}"),
                "stretch",
                expected,
                found,
                PRINTED,
            ));
            rows.push(Row::new(
                format!("{part} of the half mouth down, {side}, formula"),
                "stretch",
                part.exp(),
                found,
                1e-12 * part.exp(),
            ));
        }
    }
    // Rolled out on the flat floor, nothing is added: exp(24/20) to the end.
    let end = 1.2_f64.exp();
    rows.push(Row::new(
        "peak, to the end of the floor",
        "stretch",
        end,
        peak(&recess, 0.0, 30.0, Order::EdgeFirst),
        1e-12 * end,
    ));
    Group {
        title: "A vertical wall stretches film exponentially",
        source: "lambda = exp(s/a0), a0 the half mouth",
        standing: Standing::Derived,
        tolerance: TO_SIX,
        rows,
    }
}

fn flat_floor() -> Group {
    let recess = channel(50.0, 30.0, 20.0);
    let foot = recess.outer().0 + 800.0_f64.sqrt();
    let row = |inside: f64| {
        let found = laid(&recess, 0.0, 30.0, Order::EdgeFirst, |l, _| {
            l.lambda(foot + inside)
        });
        Row::new(
            format!("{inside} mm inside the foot"),
            "stretch",
            1.235_642,
            found.unwrap_or(f64::NAN),
            PRINTED,
        )
    };
    Group {
        title: "A flat floor keeps the stretch of its feet",
        source: "(floor half / a0)^(1 - sec b), half mouth 50, half floor 30, walls of 45 degrees",
        standing: Standing::Derived,
        tolerance: TO_SIX,
        rows: [1e-6, 1.0, 29.0].map(row).to_vec(),
    }
}

fn worked_channel() -> Group {
    let recess = channel(40.0, 20.0, 25.0);
    let wall = 1025.0_f64.sqrt();
    let film = 40.0 * (0.8_f64.asinh() - 1.6_f64.asinh()).exp();
    let edges = 0.5_f64.powf(1.0 - wall / 20.0);
    let deepest = peak(&recess, 0.0, 0.0, Order::DeepestFirst);
    Group {
        title: "The channel 80, 40, 25 mm worked by hand",
        source: "deepest first 32.0156 mm of wall over 40 exp(-(asinh(40/25) - asinh(20/25))) mm of film; edges first (20/40)^(1 - sec b)",
        standing: Standing::Derived,
        tolerance: "half a unit of the last decimal printed; rounding for the formulas",
        rows: vec![
            Row::new(
                "deepest first, printed",
                "stretch",
                1.341_327,
                deepest,
                PRINTED,
            ),
            Row::new(
                "deepest first",
                "stretch",
                wall / film,
                deepest,
                1e-12 * deepest,
            ),
            Row::new(
                "edges first",
                "stretch",
                edges,
                peak(&recess, 0.0, 0.0, Order::EdgeFirst),
                1e-12 * edges,
            ),
        ],
    }
}

/// Rows of a reference table, the expected gain last: within 1e-13, the accuracy the kernel
/// states. A gain above 100 (no film stretches e^100-fold; one has 39605, where neighbouring
/// doubles are 7e-12 apart) is held to 1e-15 of itself instead.
fn gains(text: &str, gain: impl Fn(&[f64]) -> f64) -> Vec<Row> {
    text.lines()
        .skip(1)
        .map(|line| {
            let (case, rest) = line.split_once(',').expect("a case");
            let numbers: Vec<f64> = rest
                .split(',')
                .map(|c| c.parse().expect("a number"))
                .collect();
            let (expected, inputs) = numbers.split_last().expect("a gain");
            let tolerance = 1e-13_f64.max(1e-15 * expected.abs());
            Row::new(
                format!("{case} {inputs:?}"),
                "ln stretch",
                *expected,
                gain(inputs),
                tolerance,
            )
        })
        .collect()
}

fn one_front() -> Group {
    Group {
        title: "The gain of one front along a facet",
        source: "tests/reference/gain.csv: mpmath, 50 digits",
        standing: Standing::Numerics,
        tolerance: "1e-13, or 1e-15 of itself",
        rows: gains(include_str!("../../../tests/reference/gain.csv"), |n| {
            front_gain(n[1], n[0], n[2], n[3])
        }),
    }
}

fn two_fronts() -> Group {
    Group {
        title: "The gain of two fronts that close in",
        source: "tests/reference/gain2.csv: mpmath, 50 digits",
        standing: Standing::Numerics,
        tolerance: "1e-13, or 1e-15 of itself",
        rows: gains(include_str!("../../../tests/reference/gain2.csv"), |n| {
            window_gain(
                Vector::new(n[0], n[1]),
                Vector::new(n[2], n[3]),
                n[4],
                n[5],
                n[6],
            )
        }),
    }
}
