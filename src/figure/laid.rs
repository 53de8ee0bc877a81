//! Lay-downs for the tests of the pictures that read air, force and source: these groups
//! hang together, so they come from the solver.

use super::paper::Look;
use super::{Check, elongation, film_on_panel, ruler, source, stages, tension};
use crate::advice::{FlatState, LipShape, WarmZone};
use crate::draw::Box2;
use crate::say::Voice;
use crate::{
    Bay, Bed, Bonds, FilmClass, Handling, Job, Order, Point, Recess, Section, Survey, Units,
    film_named, tool_named,
};

/// Both orders and the middle push, or as many as can be laid.
fn laid(name: &str, points: &[(f64, f64)], film: &FilmClass, reach: f64, pad: f64) -> Vec<Check> {
    let mouth = Bay {
        warm: (reach > 200.0).then_some(WarmZone::Mouth),
        ..Bay::default()
    };
    laid_in(&mouth, name, points, film, [reach, pad])
}

/// A surveyed recess, with the fingertip.
fn surveyed(bay: &Bay, name: &str, csv: &str, film: &str, reach: f64) -> Vec<Check> {
    let row = |line: &str| {
        let (x, y) = line.split_once(',')?;
        Some((x.parse().ok()?, y.parse().ok()?))
    };
    let points: Vec<(f64, f64)> = csv.lines().filter_map(row).collect();
    laid_in(
        bay,
        name,
        &points,
        &film_named(film).unwrap(),
        [reach, 10.0],
    )
}

fn laid_in(
    bay: &Bay,
    name: &str,
    points: &[(f64, f64)],
    film: &FilmClass,
    [reach, pad]: [f64; 2],
) -> Vec<Check> {
    let points: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
    let section = Section::new(name, &points).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let mut tool = tool_named("fingertip").unwrap();
    tool.pad_mm.value = pad;
    tool.tip_radius_mm.value = if pad > 0.0 { 6.0 } else { 0.0 };
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let handling = Handling::new(film, bay).unwrap();
    let job = Job {
        step: crate::advice::TapeStep::default(),
        handling: Some(&handling),
        ..Job::new(&bed, film, &tool)
    };
    [Order::DeepestFirst, Order::MiddlePush, Order::EdgeFirst]
        .into_iter()
        .map(|order| {
            let reach = if order == Order::MiddlePush {
                0.0
            } else {
                reach
            };
            let bonds = Bonds::with_reach(&recess, reach, reach);
            job.check(bonds, order, true).unwrap()
        })
        .collect()
}

/// Cases with a name.
fn all() -> Vec<(&'static str, Vec<Check>)> {
    let film = film_named("wrap-cast").unwrap();
    let bare = FilmClass {
        modulus: Vec::new(),
        ..film.clone()
    };
    let channel = [
        (-60.0, 0.0),
        (0.0, 0.0),
        (20.0, -25.0),
        (60.0, -25.0),
        (80.0, 0.0),
        (140.0, 0.0),
    ];
    let deep = [
        (-60.0, 0.0),
        (0.0, 0.0),
        (4.0, -90.0),
        (40.0, -90.0),
        (44.0, 0.0),
        (104.0, 0.0),
    ];
    let step = [(-60.0, 0.0), (0.0, 0.0), (7.0, -12.0), (120.0, -12.0)];
    let v = [
        (-60.0, 0.0),
        (-30.0, 0.0),
        (0.0, -20.0),
        (30.0, 0.0),
        (60.0, 0.0),
    ];
    let two = [
        (-60.0, 0.0),
        (0.0, 0.0),
        (15.0, -20.0),
        (30.0, -20.0),
        (40.0, -8.0),
        (55.0, -24.0),
        (70.0, -24.0),
        (90.0, 3.0),
        (140.0, 3.0),
    ];
    let touching = Bay {
        lip: Some(LipShape::Sharp),
        flats: Some(FlatState::Touching),
        warm: Some(WarmZone::Mouth),
        warm_c: Some(80.0),
        ..Bay::default()
    };
    let groove = include_str!("../../profiles/recesses/v-groove.csv");
    let round = include_str!("../../profiles/recesses/crowned-round.csv");
    let steep = include_str!("../../profiles/recesses/asymmetric-channel.csv");
    let plain = Bay::default();
    let long = "rear left door lower moulding recess behind the sliding rail of the library";
    vec![
        ("channel", laid("channel", &channel, &film, 35.0, 10.0)),
        ("no table", laid("channel", &channel, &bare, 35.0, 10.0)),
        ("warm mouth", laid(long, &channel, &film, 280.0, 10.0)),
        ("deep", laid("deep", &deep, &film, 60.0, 10.0)),
        ("step", laid("step", &step, &film, 50.0, 10.0)),
        ("not finite", laid(long, &v, &film, 40.0, 0.0)),
        ("two valleys", laid("two valleys", &two, &film, 50.0, 10.0)),
        // A bridge far wider than its mouth, with the longest note there is.
        (
            "far flats",
            surveyed(&touching, "v-groove", groove, "polymeric", 300.0),
        ),
        (
            "crowned",
            surveyed(&plain, "crowned-round", round, "polymeric", 25.0),
        ),
        (
            "one that leaves",
            surveyed(&plain, "asymmetric-channel", steep, "print-cast", 56.7),
        ),
    ]
}

#[test]
fn no_text_of_the_film_or_its_elongation_touches_a_line_a_text_or_an_edge() {
    for (name, checks) in all() {
        for n in 1..=3 {
            for look in Look::ALL {
                for draw in [film_on_panel::draw, elongation::draw] {
                    let canvas = draw(&checks[..n], look);
                    assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {n} {look:?}");
                    assert!(canvas.finite(), "{name} {n} {look:?}");
                }
            }
        }
    }
}

#[test]
fn an_axis_holds_every_peak_within_three_limits() {
    for (name, checks) in all() {
        let body = Box2::around([450.0; 2], [900.0; 2]);
        let frame = elongation::frame(&checks, body, 0.0, Look::ALL[0].voice());
        let limit = checks[0].film.limit_pct;
        for peak in checks
            .iter()
            .filter_map(|c| c.peak_pct)
            .filter(|p| *p <= 3.0 * limit)
        {
            assert!(peak < frame.top, "{name}: {peak} of {}", frame.top);
        }
    }
}

#[test]
fn no_text_of_stages_touches_a_line_a_text_or_an_edge() {
    for (name, checks) in all() {
        for n in 1..=3 {
            for look in Look::ALL {
                stages::examine(&checks[..n]).unwrap();
                let canvas = stages::draw(&checks[..n], look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {n} {look:?}");
                assert!(canvas.finite(), "{name} {look:?}");
                assert!(canvas.said().contains("bridged"), "{name} {look:?}");
            }
        }
    }
}

#[test]
fn no_text_of_a_source_touches_a_text_or_an_edge() {
    for (name, checks) in all() {
        for n in 1..=2 {
            for look in Look::ALL {
                let checks = &checks[3 - n..];
                source::examine(checks).unwrap();
                let canvas = source::draw(checks, look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {n} {look:?}");
                assert!(canvas.finite(), "{name} {look:?}");
            }
        }
    }
}

#[test]
fn no_text_of_tensions_touches_a_line_a_text_or_an_edge() {
    for (name, checks) in all() {
        if name == "no table" {
            assert!(tension::examine(&checks).is_err());
            continue;
        }
        for look in Look::ALL {
            tension::examine(&checks).unwrap();
            let canvas = tension::draw(&checks, look);
            assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {look:?}");
            assert!(canvas.finite(), "{name} {look:?}");
        }
    }
}

#[test]
fn a_ruler_keeps_its_words_on_the_sheet() {
    let voices = [Units::Mm, Units::Inch].map(Voice::picture);
    for ((name, checks), voice) in voices
        .into_iter()
        .flat_map(|v| all().into_iter().map(move |c| (c, v)))
    {
        for check in &checks {
            let Some(source) = &check.source else {
                assert!(ruler::stretched_ruler(check, Units::Mm).is_err());
                continue;
            };
            let canvas = ruler::draw(check, source, "Stretched ruler", voice);
            assert_eq!(canvas.faults(), Vec::<String>::new(), "{name}");
            assert!(canvas.finite(), "{name}");
        }
    }
}
