//! How time and memory grow: with the vertices of a section, the widths asked about, the recesses
//! of a job and the cores that share them.
//!
//!     cargo run --release --example scaling
//!
//! prints the numbers and draws them into `out/scaling/`. On an idle machine, or they say what
//! else it did.

#[allow(dead_code, reason = "the report draws more than this")]
#[path = "validate/plot.rs"]
mod plot;

use plot::{Made, falling};
use std::fs;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use tautspan::advice::Assurance;
use tautspan::{
    Bed, Bonds, Conditions, DEMO_RECESSES, Job, Order, Point, Recess, Section, Survey, film_named,
    read_csv, recommend, tool_named,
};

/// A rounded recess between level flats, 80 mm wide and 20 deep, in `n` facets.
fn rounded(n: u32) -> Made<Recess> {
    let mut points = vec![Point::new(-100.0, 0.0)];
    points.extend((0..=n).map(|i| {
        let t = f64::from(i) / f64::from(n);
        let fall = 1.0 - (std::f64::consts::TAU * t).cos();
        Point::new(80.0 * t - 40.0, -10.0 * fall)
    }));
    points.push(Point::new(100.0, 0.0));
    Ok(Recess::find(
        Section::new("rounded", &points)?,
        Survey::default(),
    )?)
}

/// Seconds of one run: the least of some, for about a third of a second in all.
fn seconds(mut work: impl FnMut()) -> f64 {
    let from = Instant::now();
    let mut least = f64::INFINITY;
    for k in 0.. {
        let one = Instant::now();
        work();
        least = least.min(one.elapsed().as_secs_f64());
        if k > 1 && from.elapsed().as_secs_f64() > 0.3 {
            break;
        }
    }
    least
}

/// Memory that this process has had at most, MB; none where the system does not say.
fn most_memory() -> Option<f64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024.0)
}

/// Recesses of the demo, over and over, answered on so many cores.
fn fleet(recesses: usize, cores: usize) -> Made<f64> {
    let (film, tool) = (
        film_named("wrap-cast").ok_or("no class")?,
        tool_named("fingertip").ok_or("no tool")?,
    );
    let all = DEMO_RECESSES.iter().map(|(name, csv)| {
        Ok(Recess::find(
            read_csv(name, csv.as_bytes())?,
            Survey::default(),
        )?)
    });
    let all = all.collect::<Made<Vec<_>>>()?;
    let one = |k: usize| {
        let recess = &all[k % all.len()];
        let bed = Bed::new(recess, tool.pad(), tool.tip_radius());
        let job = Job {
            assurance: Some(Assurance::default()),
            ..Job::new(&bed, &film, &tool)
        };
        black_box(recommend(&job, &[]));
    };
    Ok(seconds(|| {
        std::thread::scope(|scope| {
            for core in 0..cores {
                let one = &one;
                scope.spawn(move || (core..recesses).step_by(cores).for_each(one));
            }
        });
    }))
}

fn main() -> Made<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("out/scaling");
    fs::create_dir_all(&folder)?;
    let put = |name: &str, svg: String| fs::write(folder.join(format!("{name}.svg")), svg);

    let rough = Conditions {
        lip_friction: 0.3,
        ..Conditions::default()
    };
    let (mut deepest, mut edges, mut marched, mut memory) = (vec![], vec![], vec![], vec![]);
    println!("vertices: deepest first, edges first, march with friction: ns a facet; memory, MB");
    for n in [100, 1000, 10_000, 100_000, 900_000] {
        let recess = rounded(n)?;
        let bed = Bed::new(&recess, 10.0, 0.0);
        let bonds = Bonds::with_reach(&recess, 50.0, 50.0);
        let each = |time: f64| 1e9 * time / f64::from(n);
        let lay = |order: Order| {
            each(seconds(|| {
                black_box(bed.lay(bonds, order).is_ok());
            }))
        };
        let (a, b) = (lay(Order::DeepestFirst), lay(Order::EdgeFirst));
        deepest.push((f64::from(n), a));
        edges.push((f64::from(n), b));
        let mut text = format!("{n:>9}: {a:7.1} {b:7.1}");
        if n <= 100_000 {
            let c = each(seconds(|| {
                black_box(bed.lay_under(bonds, Order::DeepestFirst, &rough).is_ok());
            }));
            marched.push((f64::from(n), c));
            text += &format!(" {c:8.1}");
        }
        if let Some(mb) = most_memory() {
            memory.push((f64::from(n), mb));
            text += &format!("  {mb:.0} MB");
        }
        println!("{text}");
    }
    let lines = [
        ("deepest first".to_owned(), deepest),
        ("edges first".to_owned(), edges),
        ("march, friction".to_owned(), marched),
    ];
    put("vertices", falling("vertices", "ns a facet", &lines)?)?;
    put(
        "memory",
        falling("vertices", "memory, MB", &[("at most".to_owned(), memory)])?,
    )?;

    let recess = rounded(100)?;
    let bed = Bed::new(&recess, 10.0, 0.0);
    let mut widths = vec![];
    println!("widths of 100 vertices, both orders: ms");
    for count in [1_u32, 10, 100, 1000] {
        let time = seconds(|| {
            for k in 0..count {
                let reach = 1.0 + 100.0 * f64::from(k) / f64::from(count);
                let bonds = Bonds::with_reach(&recess, reach, reach);
                for order in [Order::DeepestFirst, Order::EdgeFirst] {
                    black_box(bed.lay(bonds, order).is_ok());
                }
            }
        });
        println!("{count:>9}: {:.3}", 1e3 * time);
        widths.push((f64::from(count), 1e3 * time));
    }
    put(
        "widths",
        falling("widths", "ms", &[("both orders".to_owned(), widths)])?,
    )?;

    let cores = std::thread::available_parallelism()?.get();
    let mut lines = vec![];
    println!("recesses answered with assured widths: s");
    for shared in (0..).map(|k| 1_usize << k).take_while(|n| *n <= cores) {
        let mut line = vec![];
        for recesses in [10_u32, 30, 100] {
            let time = fleet(recesses as usize, shared)?;
            println!("{recesses:>9}: {time:.3} on {shared} of {cores} cores");
            line.push((f64::from(recesses), time));
        }
        let name = if shared == 1 { "core" } else { "cores" };
        lines.push((format!("{shared} {name}"), line));
    }
    put("recesses", falling("recesses", "s", &lines)?)?;
    println!("drawn into out/scaling");
    Ok(())
}
