//! Sections, random ones too, and a taut film of its own; readers of what the program writes.
//! Shared by the binaries of tests.
#![allow(
    dead_code,
    unreachable_pub,
    unused_imports,
    reason = "each binary of tests uses its part of this module"
)]

pub(crate) mod bars;
pub(crate) mod chromium;
pub(crate) mod corners;
pub(crate) mod firefox;
pub(crate) mod hostile;
pub(crate) mod made;
pub(crate) mod pdf;
pub(crate) mod recipes;
pub(crate) mod rows;
pub(crate) mod screen;
pub(crate) mod sections;
pub(crate) mod serving;
pub(crate) mod survey;

pub(crate) use sections::{drawn, exact, exact_recess, length, section, wrapped};

use proptest::prelude::*;
use proptest::test_runner::FileFailurePersistence;
use tautspan::say::{Say, Voice};
use tautspan::{Point, Section, Tool, Units};

/// So many cases from a fixed seed: the gate's first run must not depend on luck.
/// `TAUTSPAN_CASES` asks for another number and `TAUTSPAN_SEED` for other cases, as the run
/// with fresh seeds does (`tests/deep.sh`).
pub(crate) fn cases(cases: u32) -> ProptestConfig {
    let cases = whole("TAUTSPAN_CASES").map_or(cases, |n| n.try_into().expect("a small number"));
    ProptestConfig {
        cases,
        rng_seed: proptest::test_runner::RngSeed::Fixed(
            whole("TAUTSPAN_SEED").unwrap_or(20_261_124),
        ),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// A whole number from the environment, if one is set.
fn whole(name: &str) -> Option<u64> {
    let text = std::env::var(name).ok()?;
    Some(text.parse().expect("a whole number"))
}

/// [`cases`] that keep their failures beside the test's source, in its `.regressions`, and try
/// those again first.
pub(crate) fn kept_cases(n: u32) -> ProptestConfig {
    let beside = FileFailurePersistence::WithSource("regressions");
    ProptestConfig {
        failure_persistence: Some(Box::new(beside)),
        ..cases(n)
    }
}

/// How many old failures are read for a test's source, and how many its file holds.
pub(crate) fn old_failures(config: ProptestConfig, source: &'static str) -> (usize, usize) {
    let kept = config.failure_persistence.expect("failures are kept");
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join(source)
        .with_extension("regressions");
    let text = std::fs::read_to_string(file).expect("a file of old failures");
    let held = text.lines().filter(|line| line.starts_with("cc ")).count();
    (kept.load_persisted_failures2(Some(source)).len(), held)
}

/// What a terminal hears of a value, in mm.
pub(crate) fn said(value: &impl Say) -> String {
    value.say(Voice::terminal(Units::Mm))
}

/// A recess of the demo, read from its file.
pub(crate) fn demo(name: &str) -> Section {
    let mut all = tautspan::DEMO_RECESSES.iter();
    let (_, text) = all.find(|(n, _)| *n == name).expect("a demo recess");
    let section = tautspan::read_csv(name, text.as_bytes());
    section.expect("a section").named(name)
}

/// A tool with a point.
pub(crate) fn pointed() -> Tool {
    let mut tool = tautspan::tool_named("fingertip").expect("a tool");
    tool.pad_mm.value = 0.0;
    tool.tip_radius_mm.value = 0.0;
    tool
}

/// One piece of wall: how far it runs, its share of the drop, and whether it is vertical.
type Bit = (f64, f64, bool);

/// One to four pieces of wall; one in five vertical.
fn wall() -> impl Strategy<Value = Vec<Bit>> {
    prop::collection::vec(
        (0.5..18.0_f64, 0.05..1.0_f64, prop::bool::weighted(0.2)),
        1..=4,
    )
}

/// Facets of a floor: their run, mm, and the height they end at, as a share of the depth
/// above its bottom; ridges well up in the recess, and flat runs.
fn floor() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec(
        (
            prop_oneof![1.0..20.0_f64, 1.0..3.0_f64],
            prop_oneof![2 => Just(0.0), 3 => 0.0..0.25_f64, 1 => 0.3..0.85_f64],
        ),
        1..=5,
    )
}

/// Where points stand on a facet that is cut, and how far off its line, mm.
fn specks(speck: f64) -> impl Strategy<Value = Vec<(prop::sample::Index, f64, f64)>> {
    prop::collection::vec(
        (
            any::<prop::sample::Index>(),
            0.05..0.95_f64,
            prop_oneof![Just(0.0), (-5.0..5.0_f64).prop_map(move |off| off * speck)],
        ),
        0..4,
    )
}

/// A recess between (0, 0) and a right lip `rise` mm higher, ends included.
fn dug(
    depth: f64,
    rise: f64,
    left: &[Bit],
    floor: &[(f64, f64)],
    right: &[Bit],
    specks: &[(prop::sample::Index, f64, f64)],
) -> Vec<Point> {
    let mut points = vec![Point::new(0.0, 0.0)];
    let wall = |from: f64, to: f64, bits: &[Bit], points: &mut Vec<Point>| {
        let all: f64 = bits.iter().map(|b| b.1).sum();
        let (mut y, mut x) = (from, points[points.len() - 1].x);
        for (i, b) in bits.iter().enumerate() {
            x += if b.2 { 0.0 } else { b.0 };
            y = if i + 1 == bits.len() {
                to
            } else {
                y + (to - from) * b.1 / all
            };
            points.push(Point::new(x, y));
        }
    };
    wall(0.0, -depth, left, &mut points);
    let mut last = -depth;
    for &(run, up) in floor {
        let x = points[points.len() - 1].x + run;
        last = -depth + up * depth.min(depth + rise);
        points.push(Point::new(x, last));
    }
    wall(last, rise, right, &mut points);
    for &(index, t, off) in specks {
        let i = index.index(points.len() - 1);
        let mut p = points[i] + (points[i + 1] - points[i]) * t;
        // Off the line, but not sideways off a vertical wall.
        if points[i + 1].x - points[i].x > 0.1 {
            p.y += off;
        }
        points.insert(i + 1, p);
    }
    points
}

/// One valley between level straight flats.
/// `speck`: unit of the distance of extra points off their facet, mm; 0 puts them on it.
pub(crate) fn level_valley(speck: f64) -> impl Strategy<Value = Vec<Point>> {
    (2.0..40.0_f64, wall(), floor(), wall(), specks(speck)).prop_map(
        |(depth, left, floor, right, specks)| {
            let mut points = dug(depth, 0.0, &left, &floor, &right, &specks);
            let end = points[points.len() - 1];
            points.insert(0, Point::new(-60.0, 0.0));
            points.push(Point::new(end.x + 60.0, 0.0));
            points
        },
    )
}

/// A flat going out to the right from `from`, as points: a slope and a crown (its fall
/// away from straight over 60 mm, mm), in `n` facets.
fn flat(from: Point, slope: f64, crown: f64, n: u32) -> Vec<Point> {
    (1..=n)
        .map(|i| {
            let t = f64::from(i) / f64::from(n);
            Point::new(from.x + 60.0 * t, from.y + 60.0 * slope * t - crown * t * t)
        })
        .collect()
}

/// Slope and crown of a flat: level and straight, sloped, crowned.
fn any_flat() -> impl Strategy<Value = (f64, f64, u32)> {
    prop_oneof![
        2 => Just((0.0, 0.0, 1)),
        1 => (-0.1..0.1_f64).prop_map(|slope| (slope, 0.0, 1)),
        1 => (-0.05..0.05_f64, 0.0..3.0_f64, 2..6_u32),
    ]
}

/// Anything with a recess in it: lips at two levels, sloped and crowned flats, channels,
/// steps, now and then a second, shallower valley.
pub(crate) fn any_section(speck: f64) -> impl Strategy<Value = Vec<Point>> {
    let rise = prop_oneof![Just(0.0), -0.9..2.0_f64];
    let more = prop::option::weighted(0.2, (5.0..40.0_f64, 1.0..20.0_f64, 0.1..0.8_f64));
    (
        (2.0..40.0_f64, rise, wall(), floor(), wall(), specks(speck)),
        any_flat(),
        any_flat(),
        more,
    )
        .prop_map(|((depth, rise, left, floor, right, specks), l, r, more)| {
            let mut points = dug(depth, rise * depth, &left, &floor, &right, &specks);
            let mut all: Vec<Point> = flat(points[0], l.0, l.1, l.2)
                .into_iter()
                .map(|p| Point::new(-p.x, p.y))
                .rev()
                .collect();
            all.append(&mut points);
            if let Some((land, half, deep)) = more {
                let p = all[all.len() - 1];
                all.push(Point::new(p.x + land, p.y));
                all.push(Point::new(p.x + land + half, p.y - deep * depth));
                all.push(Point::new(p.x + land + 2.0 * half, p.y));
            }
            let end = all[all.len() - 1];
            all.extend(flat(end, r.0, r.1, r.2));
            all
        })
}

/// A step down to the right with a straight wall, and its wall's run and drop, mm.
pub(crate) fn straight_step() -> impl Strategy<Value = Vec<Point>> {
    (2.0..40.0_f64, prop_oneof![Just(0.0), 0.0..30.0_f64]).prop_map(|(drop, run)| {
        vec![
            Point::new(-60.0, 0.0),
            Point::new(0.0, 0.0),
            Point::new(run, -drop),
            Point::new(run + 60.0, -drop),
        ]
    })
}
