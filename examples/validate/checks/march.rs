//! The general march: friction, drag, warm zones.

use super::{Group, Row, Standing};
use crate::common::bars::{difference, half_channel, march};
use crate::common::{drawn, exact};
use tautspan::film::StretchLaw;
use tautspan::laydown::{Laying, Warm};
use tautspan::{Bed, Bonds, Conditions, Laydown, Order, Recess};

pub(crate) fn groups() -> Vec<Group> {
    vec![mechanics(), capstan(), drag(), bars()]
}

fn recess(points: &[(f64, f64)]) -> Recess {
    Recess::find(drawn(points), exact()).expect("a recess")
}

/// Lays deepest first with a pointed tool between two abscissas.
fn lay(recess: &Recess, half: f64, conditions: &Conditions) -> Option<Laydown> {
    let bed = Bed::new(recess, 0.0, 0.0);
    let bonds = Bonds::at_x(recess, -half, half).ok()?;
    bed.lay_under(bonds, Order::DeepestFirst, conditions).ok()
}

fn friction(mu: f64) -> Conditions {
    Conditions {
        lip_friction: mu,
        ..Conditions::default()
    }
}

fn mechanics() -> Group {
    let channel = recess(&[
        (-260.0, 0.0),
        (-40.0, 0.0),
        (-20.0, -25.0),
        (20.0, -25.0),
        (40.0, 0.0),
        (260.0, 0.0),
    ]);
    let softer = |times: f64| StretchLaw::NeoHookean(1.0 / times);
    let warm = |warm: Warm| Conditions {
        warm,
        ..Conditions::default()
    };
    let columns = [
        ("even", Conditions::default()),
        (
            "dabbed",
            Conditions {
                laying: Laying::Dabbed,
                ..Conditions::default()
            },
        ),
        ("friction 0.3", friction(0.3)),
        ("mouth 3 times softer", warm(Warm::Mouth(softer(3.0)))),
        ("mouth 10 times softer", warm(Warm::Mouth(softer(10.0)))),
        ("flats 3 times softer", warm(Warm::Flats(softer(3.0)))),
        ("held at the lips", friction(60.0)),
    ];
    let table = [
        (100.0, [26.6, 29.5, 28.2, 31.8, 33.5, 67.2, 34.1]),
        (150.0, [17.1, 18.2, 19.6, 27.0, 31.9, 26.9, 34.1]),
        // Not in the table where it is no number.
        (200.0, [12.6, f64::NAN, 15.0, 23.3, 30.5, 17.1, 34.1]),
        (300.0, [8.3, 8.5, 10.2, 18.1, 27.8, 9.9, 34.1]),
    ];
    let bed = Bed::new(&channel, 0.0, 0.0);
    let mut rows = Vec::new();
    for (bridge, expected) in table {
        for (expected, (name, conditions)) in expected.into_iter().zip(&columns) {
            if expected.is_nan() {
                continue;
            }
            let laid = lay(&channel, 0.5 * bridge, conditions);
            let peak = laid
                .and_then(|l| l.peak(&bed))
                .map(|p| 100.0 * (p.lambda - 1.0));
            rows.push(Row::new(
                format!("bridge {bridge} mm, {name}"),
                "%",
                expected,
                peak.unwrap_or(f64::NAN),
                0.06,
            ));
        }
    }
    Group {
        title: "How film, lips and laying are: peaks of the channel 80, 40, 25 mm, deepest first",
        source: "an independent march, printed to 0.1",
        standing: Standing::Numerics,
        tolerance: "its rounding, 0.06 points",
        rows,
    }
}

fn tension(laid: &Laydown, s: f64) -> Option<f64> {
    Some(StretchLaw::default().tension(laid.lambda(s)?))
}

fn capstan() -> Group {
    let row = |(run, degrees, expected): (f64, &str, f64)| {
        let channel = recess(&[
            (-200.0, 0.0),
            (-40.0, 0.0),
            (-40.0 + run, -20.0),
            (40.0 - run, -20.0),
            (40.0, 0.0),
            (200.0, 0.0),
        ]);
        let ratio = lay(&channel, 90.0, &friction(0.3)).and_then(|laid| {
            let lip = 160.0;
            Some(tension(&laid, lip + 1e-9)? / tension(&laid, lip - 1e-9)?)
        });
        Row::new(
            format!("friction 0.3, a lip of {degrees} degrees"),
            "tension inside over outside",
            expected,
            ratio.unwrap_or(f64::NAN),
            1e-6,
        )
    };
    Group {
        title: "Tension over a lip falls by the rule of the capstan",
        source: "Euler-Eytelwein, T2/T1 = exp(mu theta)",
        standing: Standing::Memory,
        tolerance: "printed to 6 decimals",
        rows: [(20.0, "45", 1.265_693), (0.0, "90", 1.601_978)]
            .map(row)
            .to_vec(),
    }
}

fn drag() -> Group {
    let shallow = recess(&[
        (-200.0, 0.0),
        (-30.0, 0.0),
        (-25.0, -3.0),
        (25.0, -3.0),
        (30.0, 0.0),
        (200.0, 0.0),
    ]);
    let tau = 0.004;
    let conditions = Conditions {
        drag: tau,
        ..Conditions::default()
    };
    let lip = shallow.outer().1;
    let found = lay(&shallow, 150.0, &conditions).and_then(|laid| {
        let n = tension(&laid, lip + 1e-9)?;
        let useful = laid.march()?.useful.1? - lip;
        let slip = 120.0 - (laid.bridge() - laid.film(lip)?);
        Some((n, useful, slip))
    });
    let (n, useful, slip) = found.unwrap_or((f64::NAN, f64::NAN, f64::NAN));
    let small = n * n / (8.0 * tau);
    Group {
        title: "Drag on the flats ends the stretch after tension over drag",
        source: "L = N/tau, end slip N^2/(2 E h tau), E h the slope of the law: fibre pull-out, Kelly and Tyson 1965",
        standing: Standing::Memory,
        tolerance: "1e-6 for the length; 3 % for the slip, which is of small strain",
        rows: vec![
            Row::new(
                "stretched flat beyond the lip",
                "mm",
                n / tau,
                useful,
                1e-6 * n / tau,
            ),
            Row::new("slip at the lip", "mm", small, slip, 0.03 * small),
        ],
    }
}

fn bars() -> Group {
    let mut rows = Vec::new();
    for (mu, soft, what) in [
        (0.0, 1.0, "even heat"),
        (0.3, 1.0, "friction 0.3"),
        (0.0, 1.0 / 3.0, "mouth 3 times softer"),
        (0.3, 1.0 / 3.0, "both"),
    ] {
        let laid = march(mu, soft);
        let off = difference(&laid, &half_channel(400, mu, soft));
        rows.push(Row::new(
            format!("{what}: 400 bars a side, largest difference in stretch"),
            "stretch",
            0.0,
            off,
            1e-5,
        ));
    }
    Group {
        title: "Film as bars, laid node by node",
        source: "a second method that knows no front (tests/common/bars.rs)",
        standing: Standing::Numerics,
        tolerance: "what is left at 400 bars a side",
        rows,
    }
}
