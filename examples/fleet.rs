//! Many recesses, every film class: the widths of a fleet as CSV.
//!
//!     cargo run --release --example fleet > widths.csv

use std::error::Error;
use tautspan::advice::Assurance;
use tautspan::{
    Bed, DEMO_RECESSES, Job, Recess, Survey, builtin_films, read_csv, recommend, tool_named,
};

/// Header and rows; a cell is empty where no width keeps the film within its limit.
pub(crate) fn widths() -> Result<Vec<String>, Box<dyn Error>> {
    let tool = tool_named("fingertip").ok_or("no such tool")?;
    let mut rows = vec!["recess,film,bridge_mm".to_owned()];
    for (name, csv) in DEMO_RECESSES {
        let recess = Recess::find(read_csv(name, csv.as_bytes())?, Survey::default())?;
        let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
        for film in builtin_films() {
            let job = Job {
                assurance: Some(Assurance::default()),
                ..Job::new(&bed, &film, &tool)
            };
            let width = recommend(&job, &[]).recommended;
            let width = width.map_or(String::new(), |r| r.bridge_mm.to_string());
            rows.push(format!("{name},{},{width}", film.name));
        }
    }
    Ok(rows)
}

fn main() -> Result<(), Box<dyn Error>> {
    for row in widths()? {
        println!("{row}");
    }
    Ok(())
}
