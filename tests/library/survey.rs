//! Sections out of noisy readings: planted tilt, slips, noise and corners come back.

use crate::common::survey as planted;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use planted::{Errors, Planted, Source, ends_slope, extra, lip};
use tautspan::Point;
use tautspan::survey::{Reading, read_survey};

/// Heights to two decimals, mm.
const DIGIT: f64 = 0.01;

fn read(points: &[Point]) -> Reading {
    read_survey(points, DIGIT, &ends_slope)
}

/// The worst of lips and the extra of a reading against the section it was made from.
struct Off {
    lip: f64,
    extra: f64,
}

fn off(reading: &Reading, planted: &Planted) -> Off {
    let truth = planted.in_frame_of(reading);
    let lips = truth
        .lips
        .iter()
        .map(|near| (lip(&reading.points, near) - lip(&truth.panel, near)).abs());
    Off {
        lip: lips.fold(0.0, f64::max),
        extra: (extra(&reading.points, &truth) - extra(&truth.panel, &truth)).abs(),
    }
}

fn quantile(values: &mut [f64], percent: usize) -> f64 {
    values.sort_by(f64::total_cmp);
    values[(values.len() - 1) * percent / 100]
}

/// Median and 95 % of the extra's error, and the part of sections whose lips are within
/// 1 mm, over `count` sections.
fn table_row(count: u64, errors: Errors) -> (f64, f64, f64) {
    let mut extras = Vec::new();
    let (mut lips, mut rough) = (0, 0_u64);
    for seed in 0..count {
        let planted = Planted::new(seed);
        let reading = read(&planted.surveyed(errors, seed + 1000));
        let off = off(&reading, &planted);
        rough += u64::from(reading.roughness.is_some_and(|r| r.too_rough));
        lips += u64::from(off.lip <= 1.0);
        extras.push(off.extra);
    }
    assert!(
        rough * 50 <= count,
        "{rough} of {count} good surveys called rough"
    );
    (
        quantile(&mut extras, 50),
        quantile(&mut extras, 95),
        lips as f64 / count as f64,
    )
}

#[test]
#[ignore = "prints the table of errors; run with --release --nocapture"]
fn table_of_errors() {
    let count = 160;
    for over in [0.0, 3.0] {
        for sigma in [0.02, 0.05, 0.1, 0.2] {
            let errors = Errors {
                sigma,
                over,
                ..Errors::default()
            };
            let (median, most, lips) = table_row(count, errors);
            println!(
                "sigma {sigma} over {over}: extra {median:.3} / {most:.3}, lips {:.1} %",
                100.0 * lips
            );
        }
    }
    for sigma in [0.02, 0.05, 0.1, 0.2] {
        let errors = Errors {
            sigma,
            tilt: 3.0,
            ..Errors::default()
        };
        let (median, most, lips) = table_row(count, errors);
        println!(
            "tilt, sigma {sigma}: extra {median:.3} / {most:.3}, lips {:.1} %",
            100.0 * lips
        );
    }
}

#[test]
fn noisy_sections_come_back_with_their_lips_and_their_extra() {
    // Limits: twice the 95 % of 160 sections of this generator when this was written (0.058,
    // 0.430, 0.856 mm). The plan's own trial, on other sections, had 0.19, 0.68 and 1.1.
    for (sigma, over, most) in [(0.05, 0.0, 0.12), (0.2, 0.0, 0.86), (0.1, 3.0, 1.7)] {
        let errors = Errors {
            sigma,
            over,
            ..Errors::default()
        };
        let (_, extra, lips) = table_row(24, errors);
        assert!(
            extra <= most,
            "sigma {sigma}, over {over}: extra off by {extra}"
        );
        assert_abs_diff_eq!(lips, 1.0);
    }
}

#[test]
fn clean_sections_come_out_bit_for_bit() {
    for seed in 0..100 {
        let planted = Planted::new(seed);
        for points in [
            planted.rounded(0.3),
            planted.rounded(1.7),
            planted.panel.clone(),
        ] {
            let reading = read(&points);
            assert!(!reading.fitted, "{} of seed {seed}", planted.name);
            assert_eq!(reading.points, points, "{} of seed {seed}", planted.name);
            assert!(reading.slips.is_empty());
        }
    }
}

#[test]
fn a_planted_tilt_is_found_and_a_clean_section_is_not_moved_by_it() {
    for (seed, tilt) in [(0, 3.0), (1, -3.0), (4, 6.0), (5, -1.0), (6, 0.4)] {
        let planted = Planted::new(seed);
        for sigma in [0.0, 0.1] {
            let points = planted.surveyed(
                Errors {
                    sigma,
                    tilt,
                    ..Errors::default()
                },
                seed,
            );
            let reading = read(&points);
            // Turning stops below 0.05 degrees; noise of 0.1 mm tilts flats of 60 mm by 0.02.
            assert_abs_diff_eq!(reading.turned_deg, tilt, epsilon = 0.08);
            assert_eq!(reading.fitted, sigma > 0.0);
        }
    }
}

#[test]
fn planted_slips_are_found_and_none_else() {
    let (mut planted_slips, mut found, mut false_ones) = (0, 0, 0);
    for seed in 0..40 {
        let section = Planted::new(seed);
        let errors = Errors {
            sigma: 0.05,
            ..Errors::default()
        };
        let mut points = section.surveyed(errors, seed);
        let mut source = Source::new(seed + 77);
        let mut places = Vec::new();
        for (i, p) in points.iter_mut().enumerate() {
            if source.uniform() < 0.01 {
                p.y += if source.uniform() < 0.5 { 8.0 } else { -8.0 };
                places.push(i + 1);
            }
        }
        let reading = read(&points);
        let said: Vec<usize> = reading.slips.iter().map(|s| s.place).collect();
        for slip in &reading.slips {
            assert_eq!(slip.x_mm.to_bits(), points[slip.place - 1].x.to_bits());
        }
        planted_slips += places.len();
        found += places.iter().filter(|p| said.contains(p)).count();
        false_ones += said.iter().filter(|p| !places.contains(p)).count();
        let off = off(&reading, &section);
        assert!(
            off.lip <= 1.0,
            "{} of seed {seed}: lip off by {}",
            section.name,
            off.lip
        );
    }
    assert_eq!((found, false_ones), (planted_slips, 0));
}

#[test]
fn noise_and_its_length_are_found_on_a_channel() {
    let planted = Planted::trapezoid();
    for (sigma, over) in [(0.05, 0.0), (0.2, 0.0), (0.1, 1.5), (0.2, 2.5)] {
        let reading = read(&planted.surveyed(
            Errors {
                sigma,
                over,
                ..Errors::default()
            },
            5,
        ));
        // Some 900 points: medians err by 6 %, for neighbours alike by the root of V more;
        // at 0.2 mm errors along the chord, two thirds of the spacing, take a tenth off.
        let within = if over > 0.0 { 0.35 } else { 0.15 };
        assert_relative_eq!(reading.noise_mm, sigma, max_relative = within);
        assert_eq!(reading.noise_over_mm > 0.0, over > 0.0);
    }
}

#[test]
fn redrawn_sections_are_the_same_for_a_seed_and_scatter_about_the_fit() {
    let planted = Planted::trapezoid();
    let reading = read(&planted.surveyed(
        Errors {
            sigma: 0.1,
            ..Errors::default()
        },
        3,
    ));
    let draws: Vec<Vec<Point>> = reading.redraw(9, 20).collect();
    assert_eq!(draws, reading.redraw(9, 20).collect::<Vec<_>>());
    assert_ne!(draws, reading.redraw(10, 20).collect::<Vec<_>>());
    let lips: Vec<f64> = draws.iter().map(|d| lip(d, &planted.lips[0])).collect();
    let mean = lips.iter().sum::<f64>() / 20.0;
    let spread = (lips.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 19.0).sqrt();
    // Two straight lines of 0.1 mm noise meet to some hundredths of a mm.
    assert!((0.003..0.3).contains(&spread), "{spread}");
    assert_abs_diff_eq!(mean, lip(&reading.points, &planted.lips[0]), epsilon = 0.2);
}

#[test]
fn a_rough_floor_is_too_rough_and_noise_is_not() {
    let (mut rough, mut smooth) = (0, 0);
    for seed in 0..20 {
        let planted = Planted::trapezoid();
        let mut points = planted.surveyed(
            Errors {
                sigma: 0.05,
                ..Errors::default()
            },
            seed,
        );
        smooth += u32::from(read(&points).roughness.unwrap().too_rough);
        // The floor scatters by a millimetre where the rest does by a twentieth.
        let mut source = Source::new(seed);
        for p in points.iter_mut().filter(|p| p.x.abs() < 18.0) {
            p.y += source.normal();
        }
        rough += u32::from(read(&points).roughness.unwrap().too_rough);
    }
    assert_eq!((rough, smooth), (20, 0));
}

#[test]
fn a_wall_that_leans_back_in_a_tilted_clean_scan_is_read_level() {
    let box_groove = [
        (-60., 0.),
        (-20., 0.),
        (-19., -20.),
        (19., -20.),
        (20., 0.),
        (60., 0.),
    ];
    let mut points = Vec::new();
    for pair in box_groove.windows(2) {
        let (a, b) = (
            Point::new(pair[0].0, pair[0].1),
            Point::new(pair[1].0, pair[1].1),
        );
        points.extend((0..20).map(|i| a + (b - a) * (f64::from(i) / 20.0)));
    }
    let (sin, cos) = 6.0_f64.to_radians().sin_cos();
    let tilted: Vec<Point> = points
        .iter()
        .map(|p| Point::new(cos * p.x - sin * p.y, sin * p.x + cos * p.y))
        .collect();
    let reading = read(&tilted);
    assert!(!reading.fitted && reading.turned);
    assert_abs_diff_eq!(reading.turned_deg, 6.0, epsilon = 1e-9);
    assert!(reading.points.windows(2).all(|w| w[0].x <= w[1].x));
}

#[test]
fn fitted_chains_never_run_back_and_say_what_was_squared() {
    for seed in 0..40 {
        let planted = Planted::new(seed);
        let reading = read(&planted.surveyed(
            Errors {
                sigma: 0.2,
                ..Errors::default()
            },
            seed,
        ));
        assert!(reading.fitted);
        assert!(reading.points.windows(2).all(|w| w[0].x <= w[1].x));
        assert!(
            reading.squared_mm < 0.6,
            "{} of seed {seed}: {}",
            planted.name,
            reading.squared_mm
        );
        let section = tautspan::Section::new("fitted", &reading.points);
        assert!(section.is_ok(), "{section:?}");
    }
}
