//! `tautspan section`: what the program sees in a section.

use super::input::{Readings, SectionArgs};
use super::{Outcome, out, out_json, words};
use anyhow::Result;
use tautspan::{Recess, SectionError, SectionSeen, write_csv};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan section door.csv
  tautspan section --comb \"pitch=5: 0,0,-2,-11,-18,-18,-11,-2,0,0\" --csv > door.csv
  tautspan section --tape \"mouth=80,depth=25,tape=104\"";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    section: SectionArgs,
    /// Print the points as CSV, mm
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let (section, notes) = match args.section.read() {
        Ok(Readings::One(section)) => (section, Vec::new()),
        Ok(Readings::Family(_)) => args.section.read_one()?,
        Err(error) => {
            if let (true, Some(faults)) = (args.json, error.downcast_ref::<SectionError>()) {
                out_json(&SectionSeen::refused(faults))?;
            }
            return Err(error);
        }
    };
    if args.csv {
        return out(&write_csv(&section));
    }
    let recess = args.section.recess(section)?;
    let mut assumptions = notes;
    assumptions.extend(args.section.assumptions());
    assumptions.extend(recess.assumptions().iter().cloned());
    if args.json {
        return out_json(&SectionSeen::of(&recess, assumptions));
    }
    out(&text(args, &recess, &assumptions))
}

fn text(args: &Args, recess: &Recess, assumptions: &[String]) -> String {
    let units = args.section.units();
    let length = |mm: f64| words::length(mm, units);
    let kind = format!("{:?}", recess.kind()).to_lowercase();
    let mut text = format!(
        "{}: {kind}, {} wide, {} deep, {} points\n\n",
        recess.section().name(),
        length(recess.mouth()),
        length(recess.depth()),
        recess.section().line().points().len()
    );
    text.push_str(&format!(
        "  Plain rule  {} of extra panel: the bridge must be at least\n              {}\n\n",
        length(recess.extra()),
        [5.0, 10.0, 20.0]
            .map(|limit| format!(
                "{} for a limit of {limit} %",
                length(
                    tautspan::plain_rule(recess, limit / 100.0)
                        .least_bridge_mm
                        .unwrap_or(0.0)
                )
            ))
            .join(", ")
    ));
    text.push_str(&format!(
        "  {:<20}{:>12}{:>12}{:>14}\n",
        "Place", "x", "y", "along panel"
    ));
    for mark in recess.landmarks() {
        text.push_str(&format!(
            "  {:<20}{:>12}{:>12}{:>14}\n",
            mark.name,
            length(mark.x_mm),
            length(mark.y_mm),
            length(mark.s_mm)
        ));
    }
    text.push_str(&words::list("Note", recess.warnings()));
    text.push_str(&words::list("Assumed", assumptions));
    text
}
