//! How right is it? Every check with its source, and what the answers hang on, as one page.
//!
//!     cargo run --release --example validate
//!
//! writes `out/validation/index.html` with its pictures, and `validation.json`. Exit code 1 where
//! anything is out of its tolerance. Takes about a minute; `TAUTSPAN_SCANS` asks for another
//! number of scans a panel and noise than 3.

mod checks;
mod common;
mod coverage;
mod picture;
mod plot;
mod range;
mod report;
mod scans;

use std::error::Error;
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let from = Instant::now();
    let said = |what: &str| eprintln!("{:5.1} s  {what}", from.elapsed().as_secs_f64());
    let mut groups = checks::quick();
    said("values checked");
    groups.extend(checks::round_ends::groups());
    said("an end laid");
    let each = std::env::var("TAUTSPAN_SCANS")
        .ok()
        .and_then(|n| n.parse().ok());
    let scans = scans::scans(each.unwrap_or(3));
    groups.push(scans::group(&scans));
    said("panels scanned");
    let truths = coverage::truths();
    groups.push(coverage::group(&truths));
    said("assured widths tried");
    let range = range::effects();
    said("what matters most");
    let pictures = [
        picture::march_against_front()?,
        picture::bars_against_both()?,
        picture::facets_against_curves()?,
        picture::meshes_round_an_end()?,
        picture::effects(&range)?,
        picture::scans(&scans)?,
        picture::coverage(&truths)?,
    ];
    said("pictures drawn");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("out/validation");
    report::write(&folder, &groups, &range, &scans, &pictures)?;
    let rows: usize = groups.iter().map(|group| group.rows.len()).sum();
    let misses: Vec<String> = groups.iter().flat_map(checks::Group::misses).collect();
    for miss in &misses {
        eprintln!("out: {miss}");
    }
    println!(
        "{rows} values of {} sources, {} out of tolerance: out/validation/index.html",
        groups.len(),
        misses.len()
    );
    Ok(ExitCode::from(u8::from(!misses.is_empty())))
}
