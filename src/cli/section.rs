//! `tautspan section`: what the program sees in a section.

use super::input::SectionArgs;
use super::named::Files;
use super::{Outcome, draw, out, out_json, words};
use anyhow::Result;
use tautspan::Recess;
use tautspan::advice::{Notice, QuestionError, SectionSeen};
use tautspan::figure::raw_against_read;
use tautspan::say::Voice;
use tautspan::section::{SectionNotice, write_csv};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan section door.csv
  tautspan section door.csv --out slides                      and a picture: measured against read
  tautspan section --comb \"pitch=5: 0,0,-2,-11,-18,-18,-11,-2,0,0\" --csv > door.csv
  tautspan section --tape \"mouth=80,depth=25,tape=104\"";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) section: SectionArgs,
    /// Print the points as CSV, mm
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
}

/// Tilt of the flats from which it is worth a word, degrees: 0.5 mm over 600 mm.
const TILT_SAID: f64 = 0.05;

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = args.section.question(&[], args.save.force)?;
    let units = question.print_units();
    let (section, note) = match question.read_one(&Files) {
        Ok(read) => read,
        Err(error) => {
            if let (true, QuestionError::Refused(refused)) = (args.json, &error) {
                let faults = refused.rows(Voice::PLAIN);
                out_json(&SectionSeen::refused(&refused.name, faults))?;
            }
            return Err(error.into());
        }
    };
    if args.csv && args.save.out.is_none() {
        return out(&write_csv(&section));
    }
    let recess = question.recess(section)?;
    if let Some(folder) = &args.save.out {
        let picture = raw_against_read(&recess, draw::slide(&question));
        let files = [("reading", picture)];
        draw::save(folder, recess.section().name(), &files, args.save.force)?;
    }
    if args.csv {
        return out(&write_csv(recess.section()));
    }
    let mut assumptions: Vec<Notice> = note.into_iter().chain(question.assumptions()).collect();
    assumptions.extend(recess.assumptions().iter().cloned().map(Notice::Section));
    if args.json {
        return out_json(&SectionSeen::of(&recess, assumptions));
    }
    out(&text(Voice::terminal(units), &recess, &assumptions))
}

fn text(voice: Voice, recess: &Recess, assumptions: &[Notice]) -> String {
    let length = |mm: f64| voice.length(mm);
    let kind = recess.kind().word();
    let mut text = format!(
        "{}: {kind}, {} wide, {} deep, {} points\n\n",
        recess.section().name(),
        length(recess.mouth()),
        length(recess.depth()),
        recess.section().line().points().len()
    );
    let least = |limit: f64| {
        let rule = tautspan::advice::plain_rule(recess, limit / 100.0);
        let bridge = voice.at_least(rule.least_bridge_mm.unwrap_or(0.0));
        format!("{bridge} for a limit of {}", voice.limit(limit))
    };
    text.push_str(&format!(
        "  Plain rule  {} of extra panel: the bridge must be at least\n              {}\n\n",
        length(recess.extra()),
        [5.0, 10.0, 20.0].map(least).join(", ")
    ));
    let read = read(recess, voice);
    if !read.is_empty() {
        text.push_str(words::lines("Read", &read).trim_start());
        text.push('\n');
    }
    text.push_str(&format!(
        "  {:<20}{:>12}{:>12}{:>14}\n",
        "Place", "x", "y", "along panel"
    ));
    for mark in recess.landmarks() {
        text.push_str(&format!(
            "  {:<20}{:>12}{:>12}{:>14}\n",
            mark.name.word(),
            length(mark.x_mm),
            length(mark.y_mm),
            length(mark.s_mm)
        ));
    }
    let said = recess.section().done();
    let other = recess.warnings().iter().filter(|w| !said.contains(w));
    let notes: Vec<_> = other.collect();
    text.push_str(&words::list("Note", &notes, voice));
    text.push_str(&words::list("Assumed", assumptions, voice));
    text
}

/// What was done to the readings; nothing for a shape.
fn read(recess: &Recess, voice: Voice) -> Vec<String> {
    let section = recess.section();
    let Some(reading) = section.reading() else {
        return Vec::new();
    };
    let done = section.done();
    let mut read = voice.all(&done);
    if !reading.fitted && !reading.turned {
        let all = words::when(reading.slips.is_empty(), "", "all others ");
        let kept = reading.raw.len() - reading.slips.len();
        read.push(format!("{all}taken as they are: {kept} points"));
    }
    let tilt = recess.turn().to_degrees();
    let tilted = |n: &SectionNotice| matches!(n, SectionNotice::Tilted { turned: false, .. });
    if tilt.abs() >= TILT_SAID && !done.iter().any(tilted) {
        let way = if tilt > 0.0 { "rise" } else { "fall" };
        read.push(format!(
            "the flats {way} to the right by {}",
            voice.degrees(tilt.abs(), 2)
        ));
    }
    read
}
