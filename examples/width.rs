//! Points in, width out.
//!
//!     cargo run --release --example width

use std::error::Error;
use tautspan::advice::Assurance;
use tautspan::{Bed, Job, Recess, Survey, Units, film_named, read_points, recommend, tool_named};

/// A channel as a rule and a depth gauge give it, mm: x runs right, recesses are negative.
const READINGS: &str = "-140,0 -40,0 -20,-25 20,-25 40,0 140,0";

/// The bridge width for one film class, mm: the one that keeps the limit in 95 % of what such
/// readings and hands allow.
pub(crate) fn width() -> Result<Option<f64>, Box<dyn Error>> {
    let section = read_points("door", READINGS, Units::Mm)?;
    let recess = Recess::find(section, Survey::default())?;
    let film = film_named("wrap-cast").ok_or("no such film class")?;
    let tool = tool_named("fingertip").ok_or("no such tool")?;
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job {
        assurance: Some(Assurance::default()),
        ..Job::new(&bed, &film, &tool)
    };
    Ok(recommend(&job, &[]).recommended.map(|r| r.bridge_mm))
}

fn main() -> Result<(), Box<dyn Error>> {
    match width()? {
        Some(mm) => println!("leave {mm:.0} mm unbonded"),
        None => println!("no width keeps this film within its limit"),
    }
    Ok(())
}
