//! Sections as they are read: arc lengths of curves.

use super::{Group, Row, Standing};
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use tautspan::{Point, Section};

pub(crate) fn groups() -> Vec<Group> {
    vec![arcs()]
}

/// Length of the section through `n` facets of a curve, read off the section itself.
pub(crate) fn arc(n: u32, curve: &dyn Fn(f64) -> (f64, f64)) -> f64 {
    let points: Vec<Point> = (0..=n)
        .map(|i| curve(f64::from(i) / f64::from(n)))
        .map(|(x, y)| Point::new(x, y))
        .collect();
    let section = Section::new("curve", &points).expect("the curve is a section");
    section.line().end() - section.line().start()
}

type Curve = Box<dyn Fn(f64) -> (f64, f64)>;

/// Curves with a published length: what, the length, half a unit of its last digit.
pub(crate) fn curves() -> Vec<(&'static str, f64, f64, Curve)> {
    let parabola =
        |sag: f64| -> Curve { Box::new(move |t| (100.0 * t, -4.0 * sag * t * (1.0 - t))) };
    let ellipse =
        |a: f64, b: f64| -> Curve { Box::new(move |t| (-a * (PI * t).cos(), -b * (PI * t).sin())) };
    let quarter = |m: f64| -> Curve {
        let b = (1.0 - m).sqrt();
        Box::new(move |t| ((FRAC_PI_2 * t).sin(), b * (FRAC_PI_2 * t).cos()))
    };
    vec![
        (
            "parabola over its latus rectum, 50 (OEIS A103710)",
            50.0 * 2.295_587_149_392_638,
            1e-13,
            Box::new(|t| {
                let x = 100.0 * t - 50.0;
                (x, x * x / 100.0)
            }),
        ),
        (
            "parabola, span 100, sag 10 (closed form)",
            102.606_063_043,
            5e-10,
            parabola(10.0),
        ),
        (
            "parabola, span 100, sag 20 (closed form)",
            109.823_008_377,
            5e-10,
            parabola(20.0),
        ),
        (
            "half ellipse 3 by 2 (OEIS A334849)",
            15.865_439_589_290_59 / 2.0,
            1e-14,
            ellipse(3.0, 2.0),
        ),
        (
            "half ellipse 5 by 3 (documentation of the crate ellip)",
            25.526_998_863_398_124 / 2.0,
            1e-14,
            ellipse(5.0, 3.0),
        ),
        (
            "E(0.1) (Abramowitz and Stegun, table 17.1)",
            1.530_757_637,
            5e-10,
            quarter(0.1),
        ),
        (
            "E(0.25) (Abramowitz and Stegun, table 17.1)",
            1.467_462_209,
            5e-10,
            quarter(0.25),
        ),
        (
            "E(0.5) (Abramowitz and Stegun, table 17.1)",
            1.350_643_881,
            5e-10,
            quarter(0.5),
        ),
        (
            "a period of the sine (OEIS A105419)",
            7.640_395_578_055_424,
            5e-15,
            Box::new(|t| (TAU * t, (TAU * t).sin())),
        ),
        (
            "circular segment, chord 21, rise 6 (Machinery's Handbook, 31st ed., p. 83)",
            25.308_373,
            5e-7,
            Box::new(|t| {
                let angle = 2.0 * (10.5_f64 / 12.1875).asin();
                let a = angle * (t - 0.5);
                (12.1875 * a.sin(), -12.1875 * a.cos())
            }),
        ),
    ]
}

fn arcs() -> Group {
    let rows = curves().into_iter().map(|(what, length, printed, curve)| {
        let (coarse, fine) = (arc(256, &curve), arc(1024, &curve));
        let extrapolated = fine + (fine - coarse) / 15.0;
        Row::new(
            what,
            "unit of the curve",
            length,
            extrapolated,
            printed + 1e-8 * length,
        )
    });
    Group {
        title: "Arc lengths of curves, from facets",
        source: "each row names its own",
        standing: Standing::Read,
        tolerance: "second order taken off by Richardson's extrapolation of 256 and 1024 facets; 1e-8 is left",
        rows: rows.collect(),
    }
}
