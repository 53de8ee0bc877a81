//! How long a lay-down and a recommended width take.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use std::hint::black_box;
use tautspan::advice::WarmZone;
use tautspan::ends::{EndCase, EndKind, EndOrder, EndText, Trapezoid, lay_end};
use tautspan::film::StretchLaw;
use tautspan::laydown::Warm;
use tautspan::outcome::hold;
use tautspan::{
    Bay, Bed, Bonds, Conditions, Handling, Job, Order, Point, Recess, Section, Split, Survey,
    builtin_films, recommend, tool_named,
};

/// A recess through points, pads and tips left to the case.
fn recess(points: &[Point]) -> Recess {
    let section = Section::new("bench", points).expect("a section");
    Recess::find(section, Survey::default()).expect("a recess")
}

/// A rounded recess between level flats: half a cosine period, 80 wide and 20 deep, cut into
/// `n` facets; the right flat falls by `slope`.
fn rounded(n: u32, slope: f64) -> Vec<Point> {
    let mut points = vec![Point::new(-100.0, 0.0)];
    points.extend((0..=n).map(|i| {
        let t = f64::from(i) / f64::from(n);
        Point::new(
            80.0 * t - 40.0,
            -10.0 * (1.0 - (std::f64::consts::TAU * t).cos()),
        )
    }));
    points.push(Point::new(100.0, -60.0 * slope));
    points
}

/// A deep channel with steep walls, lips and feet rounded in 25 facets each: 103 in all.
fn channel() -> Vec<Point> {
    let mut points = vec![Point::new(-100.0, 0.0)];
    let mut arc = |x: f64, y: f64, r: f64, from: f64, to: f64| {
        for i in 0..=25_u32 {
            let a = (from + (to - from) * f64::from(i) / 25.0).to_radians();
            points.push(Point::new(x + r * a.cos(), y + r * a.sin()));
        }
    };
    arc(-40.0, -5.0, 5.0, 90.0, 5.0);
    arc(-24.0, -45.0, 5.0, 185.0, 270.0);
    arc(24.0, -45.0, 5.0, 270.0, 355.0);
    arc(40.0, -5.0, 5.0, 175.0, 90.0);
    points.push(Point::new(100.0, 0.0));
    points
}

fn both_orders(c: &mut Criterion) {
    let mut group = c.benchmark_group("both orders, 100 facets");
    for (name, points) in [("rounded", rounded(100, 0.0)), ("channel", channel())] {
        let recess = recess(&points);
        let bed = Bed::new(&recess, 10.0, 0.0);
        let bonds = Bonds::with_reach(&recess, 50.0, 50.0);
        group.bench_function(name, |b| {
            b.iter(|| {
                let deepest = bed.lay(black_box(bonds), Order::DeepestFirst);
                let edge = bed.lay(black_box(bonds), Order::EdgeFirst);
                (deepest, edge)
            });
        });
    }
    group.finish();
}

/// The hold of a lay-down of 1000 vertices, all three states.
fn holds(c: &mut Criterion) {
    let film = builtin_films().remove(1);
    let law = film.law_at(20.0).expect("a row of the class's table");
    let recess = recess(&rounded(1000, 0.0));
    let bed = Bed::new(&recess, 10.0, 6.0);
    let bonds = Bonds::with_reach(&recess, 50.0, 50.0);
    let mut group = c.benchmark_group("hold, 1000 vertices");
    group.sample_size(10);
    for order in [Order::DeepestFirst, Order::EdgeFirst] {
        let laid = bed.lay(bonds, order).expect("a lay-down");
        group.bench_function(order.named().name(), |b| {
            b.iter(|| hold(black_box(&laid), &bed, &film, &law, Some(20.0)));
        });
    }
    group.finish();
}

fn per_facet(c: &mut Criterion) {
    let mut group = c.benchmark_group("deepest-first");
    group.sample_size(10);
    for n in [100, 1000, 10_000, 100_000, 900_000] {
        let recess = recess(&rounded(n, 0.0));
        let bed = Bed::new(&recess, 10.0, 0.0);
        let bonds = Bonds::with_reach(&recess, 50.0, 50.0);
        group.throughput(Throughput::Elements(u64::from(n)));
        group.bench_function(BenchmarkId::from_parameter(n), |b| {
            b.iter(|| bed.lay(black_box(bonds), Order::DeepestFirst));
        });
    }
    group.finish();
}

fn width(c: &mut Criterion) {
    let mut group = c.benchmark_group("recommend, 100 facets");
    let films = builtin_films();
    let film = films.iter().find(|f| f.name == "wrap-cast");
    let film = film.expect("the film class is built in");
    let tool = tool_named("fingertip").expect("the tool is built in");
    for (name, slope) in [("one root", 0.0), ("scan", 0.02)] {
        let recess = recess(&rounded(100, slope));
        let bed = Bed::new(&recess, tool.pad(), 0.0);
        let job = Job::new(&bed, film, &tool);
        group.bench_function(name, |b| b.iter(|| recommend(black_box(&job), &[])));
        let bay = Bay {
            lip_friction: Some(0.3),
            warm: Some(WarmZone::Mouth),
            warm_c: Some(60.0),
            ..Bay::default()
        };
        let handling = Handling::new(film, &bay).expect("the class has a table");
        let job = Job {
            step: tautspan::advice::TapeStep::default(),
            handling: Some(&handling),
            ..job
        };
        let marched = format!("{name}, friction and three warm zones");
        group.bench_function(marched, |b| b.iter(|| recommend(black_box(&job), &[])));
    }
    group.finish();
}

/// Conditions of the general march by name: friction on the lips, and three zones.
fn conditions() -> [(&'static str, Conditions); 3] {
    let friction = Conditions {
        lip_friction: 0.3,
        ..Conditions::default()
    };
    let zones = Conditions {
        warm: Warm::Mouth(StretchLaw::NeoHookean(0.2)),
        ..Conditions::default()
    };
    let both = Conditions {
        lip_friction: 0.3,
        ..zones.clone()
    };
    [
        ("friction", friction),
        ("three zones", zones),
        ("friction and three zones", both),
    ]
}

fn march(c: &mut Criterion) {
    let mut group = c.benchmark_group("march");
    group.sample_size(10);
    for (name, conditions) in conditions() {
        for n in [100, 1000, 10_000, 100_000] {
            let recess = recess(&rounded(n, 0.0));
            let bed = Bed::new(&recess, 10.0, 0.0);
            let bonds = Bonds::with_reach(&recess, 50.0, 50.0);
            group.throughput(Throughput::Elements(u64::from(n)));
            group.bench_function(BenchmarkId::new(name, n), |b| {
                b.iter(|| bed.lay_under(black_box(bonds), Order::DeepestFirst, &conditions));
            });
        }
    }
    group.finish();
}

fn check_table(c: &mut Criterion) {
    // The trapezoid of the check table at its five bridges, both orders.
    let points = [
        (-160.0, 0.0),
        (-40.0, 0.0),
        (-20.0, -25.0),
        (20.0, -25.0),
        (40.0, 0.0),
        (160.0, 0.0),
    ];
    let recess = recess(&points.map(|(x, y)| Point::new(x, y)));
    let bed = Bed::new(&recess, 0.0, 0.0);
    c.bench_function("check table, trapezoid, 10 rows", |b| {
        b.iter(|| {
            for bridge in [80.0, 100.0, 150.0, 200.0, 300.0] {
                let bonds = bed.bonds_for_bridge(bridge, Split::Even).expect("it fits");
                for order in [Order::DeepestFirst, Order::EdgeFirst] {
                    black_box(bed.lay(bonds, order).map(|l| l.peak(&bed))).ok();
                }
            }
        });
    });
}

/// A rounded end of the check channel, both meshes of the answer.
fn end(c: &mut Criterion) {
    let section = Trapezoid {
        mouth: 80.0,
        floor: 40.0,
        depth: 25.0,
    };
    let said = EndText {
        kind: EndKind::Rounded,
        ..EndText::default()
    };
    let case = EndCase {
        section,
        size: said.size(&section, 10.0, None).expect("an end"),
        pad: 10.0,
        side_reach: 35.0,
        end_reach: 35.0,
        half_length: None,
    };
    let mut group = c.benchmark_group("end");
    group.sample_size(20);
    for (name, order) in [
        ("deepest first", EndOrder::DeepestFirst),
        ("edges first", EndOrder::EdgeFirst),
    ] {
        group.bench_function(name, |b| {
            b.iter(|| lay_end(black_box(&case), order, &StretchLaw::default()));
        });
    }
    group.finish();
}

criterion_group!(
    benches,
    both_orders,
    per_facet,
    holds,
    width,
    march,
    check_table,
    end
);
criterion_main!(benches);
