//! tautspan's side of `benches/peers/run`: each case of standard input laid again and again.
//!
//! A case holds a section's points, bond lines, order and pad. Timed is all from the points to
//! the peak: section, landmarks, bed, lay-down. One line of JSON a case: the peak's elongation
//! and seconds a lay-down, the median of some hundred batches.

use serde::Deserialize;
use std::error::Error;
use std::hint::black_box;
use std::time::Instant;
use tautspan::{Bed, Bonds, Order, Point, Recess, Section, Survey};

#[derive(Deserialize)]
struct Case {
    points: Vec<(f64, f64)>,
    bonds: (f64, f64),
    edges_first: bool,
    pad: f64,
}

/// Elongation at the peak, a plain ratio.
fn peak(case: &Case) -> Result<f64, Box<dyn Error>> {
    let points: Vec<Point> = case.points.iter().map(|&(x, y)| Point::new(x, y)).collect();
    let survey = Survey {
        gauge_tolerance: 0.0,
        ..Survey::default()
    };
    let recess = Recess::find(Section::new("peer", &points)?, survey)?;
    let bed = Bed::new(&recess, case.pad, 0.0);
    let bonds = Bonds::at_x(&recess, case.bonds.0, case.bonds.1)?;
    let order = if case.edges_first {
        Order::EdgeFirst
    } else {
        Order::DeepestFirst
    };
    let laid = bed.lay(bonds, order)?;
    Ok(laid.peak(&bed).ok_or("no finite peak")?.lambda - 1.0)
}

fn main() -> Result<(), Box<dyn Error>> {
    const BATCHES: usize = 201;
    const RUNS: u32 = 50;
    let cases: Vec<Case> = serde_json::from_reader(std::io::stdin())?;
    for case in &cases {
        let found = peak(case)?;
        let mut seconds = Vec::with_capacity(BATCHES);
        for _ in 0..BATCHES {
            let start = Instant::now();
            for _ in 0..RUNS {
                black_box(peak(black_box(case))?);
            }
            seconds.push(start.elapsed().as_secs_f64() / f64::from(RUNS));
        }
        seconds.sort_by(f64::total_cmp);
        println!(
            "{{\"peak\": {found:.17}, \"seconds\": {:e}}}",
            seconds[BATCHES / 2]
        );
    }
    Ok(())
}
