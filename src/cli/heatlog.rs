//! `tautspan heatlog`: the record of post-heating.

use super::draw::file_stem;
use super::files::{Draft, write_noted};
use super::heat_append::{append, now};
use super::length::{TypedLength, given};
use super::named::{film, read_file};
use super::words::{lines, list};
use super::{Outcome, note, out, out_json};
use anyhow::{Result, bail};
use std::path::{Path, PathBuf};
use tautspan::Units;
use tautspan::card::{HeatPage, PaperSize};
use tautspan::evidence::heat::{
    Adding, HeatAsked, HeatLine, HeatReport, Reading, judge, read_record,
};
use tautspan::figure::{Look, Paper, post_heat_strip};
use tautspan::say::{HEAT_CAUTIONS, Voice, sentence};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan heatlog door-heat.csv --add \"place=50, reading=104, line=floor, emissivity=0.95, surroundings=20\"
  tautspan heatlog door-heat.csv --add \"place=180, reading=101\"
  tautspan heatlog door-heat.csv --add \"reading=103\" --correct 2
  tautspan heatlog door-heat.csv --film wrap-cast --length 900 --instrument \"IR 8:1, no. 12\" --by RK --out out

The CSV has the columns place_mm, reading_c, emissivity_set, surroundings_c, time (ISO 8601 with its
distance from UTC), and if it likes line, no, corrects, note; place_cm, place_in, reading_f and
surroundings_f too. Exit 0: all reached; 1: not, or nothing to judge by; 2: bad input.";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The record: CSV, a line a reading
    #[arg(value_name = "READINGS.csv")]
    record: PathBuf,
    /// Film class: a name (see `tautspan films`) or a TOML file
    #[arg(long, value_name = "NAME|FILE", required_unless_present = "add")]
    film: Option<String>,
    /// Append a reading: place and reading; emissivity (as set), surroundings and line as in the
    /// line before unless said, time by this machine's clock; note
    #[arg(long, value_name = "KEY=VALUE,..")]
    add: Option<String>,
    /// Number of the reading that the one added replaces; it stays in the record
    #[arg(long, value_name = "NO", requires = "add")]
    correct: Option<u64>,
    /// Length of the recess, from its left end, where places count from
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    length: Option<TypedLength>,
    /// Furthest that two readings may be apart; an end, half as far from the nearest [default: 150mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    spacing: Option<TypedLength>,
    /// Lines that must have been read, beside those that the record names: floor,left-lip,right-lip
    #[arg(long, value_name = "LINE,..", value_delimiter = ',')]
    lines: Vec<String>,
    /// The instrument: what it is, its number
    #[arg(long, value_name = "TEXT")]
    instrument: Option<String>,
    /// How far the instrument may be off, degC; taken on the safe side [default: 2]
    #[arg(long, value_name = "DEGC", allow_negative_numbers = true)]
    instrument_error: Option<f64>,
    /// Emissivity of the film, in place of the class's
    #[arg(long, value_name = "E", allow_negative_numbers = true)]
    emissivity: Option<f64>,
    /// Lot of film
    #[arg(long, value_name = "TEXT")]
    lot: Option<String>,
    /// Who took the readings
    #[arg(long, value_name = "TEXT")]
    by: Option<String>,
    /// Units of bare lengths, and of printed ones; temperatures are printed in degC
    #[arg(long, value_enum, default_value = "mm")]
    units: Units,
    /// Print as JSON
    #[arg(long)]
    json: bool,
    /// Write the strip picture (SVG, PNG) and the page behind the card (HTML, PDF) into this folder
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperSize,
}

impl Args {
    /// Units of its lengths.
    pub(super) fn units(&self) -> Units {
        self.units
    }

    fn asked(&self) -> Result<HeatAsked> {
        let asked = HeatAsked {
            length: given(self.length.as_ref(), "--length", self.units)?,
            spacing: given(self.spacing.as_ref(), "--spacing", self.units)?,
            instrument: self.instrument.clone(),
            error: self.instrument_error,
            emissivity: self.emissivity,
            lines: self
                .lines
                .iter()
                .map(|line| line.trim().replace(' ', "-"))
                .collect(),
            lot: self.lot.clone(),
            by: self.by.clone(),
        };
        let positive = |mm: f64| mm > 0.0;
        for (option, value, fits, expected) in [
            (
                "--length",
                asked.length,
                positive as fn(f64) -> bool,
                "a length above zero",
            ),
            ("--spacing", asked.spacing, positive, "a length above zero"),
            (
                "--instrument-error",
                asked.error,
                |c| (0.0..=50.0).contains(&c),
                "0 to 50 degC",
            ),
            (
                "--emissivity",
                asked.emissivity,
                |e| e > 0.0 && e <= 1.0,
                "a number above 0 and at most 1, such as 0.93",
            ),
        ] {
            if let Some(value) = value.filter(|&value| !fits(value)) {
                bail!("`{option}` is {value}, but {expected} was expected");
            }
        }
        Ok(asked)
    }
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let asked = args.asked()?;
    let class = args.film.as_deref().map(film).transpose()?;
    if let Some(typed) = &args.add {
        let adding = Adding {
            called: "--add",
            typed,
            units: args.units,
            correct: args.correct,
            now: now()?,
        };
        let said = written(&append(&args.record, &adding)?, Voice::terminal(args.units));
        if class.is_none() && !args.json {
            return out(&said);
        }
        note(said.trim_end());
    }
    let bytes = read_file(&args.record)?;
    let name = args.record.display().to_string();
    let record = read_record(&name, &bytes, Some(args.units))?;
    let Some(class) = class else {
        return out_json(&record.readings);
    };
    let mut report = judge(&record, &class, &asked)?;
    report.record = stem(&args.record);
    if let Some(folder) = &args.out {
        write_noted(&drafts(&report, folder, args)?, args.force)?;
    }
    if args.json {
        out_json(&report)?;
    } else {
        out(&text(&report, Voice::terminal(args.units)))?;
    }
    Ok(Outcome::of(report.passes))
}

/// A file's name without its folder and its ending.
fn stem(path: &Path) -> String {
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned());
    stem.unwrap_or_else(|| "readings".to_owned())
}

/// The strip and the page.
fn drafts(report: &HeatReport, folder: &Path, args: &Args) -> Result<Vec<Draft>> {
    let stem = file_stem(&report.record);
    let draft = |end: &str, bytes: Vec<u8>| Draft::new(folder.join(format!("{stem}-{end}")), bytes);
    let look = |paper| Look {
        paper,
        units: args.units,
    };
    let picture = post_heat_strip(report, look(Paper::Slide))?.picture()?;
    let page = HeatPage::new(report, args.units, args.paper)?;
    let html = page.html_with(&tautspan::figure::font_css());
    Ok(vec![
        draft("post-heat.svg", picture.svg.into_bytes()),
        draft("post-heat.png", picture.png.unwrap_or_default()),
        draft("post-heat-page.html", html.into_bytes()),
        draft("post-heat-page.pdf", page.pdf()?),
    ])
}

/// The line that was written.
fn written(reading: &Reading, voice: Voice) -> String {
    let (place, line) = (voice.length(reading.place_mm), &reading.line);
    let on = if line.is_empty() {
        String::new()
    } else {
        format!(", {line}")
    };
    let instead = reading
        .corrects
        .map_or_else(String::new, |no| format!(" in place of {no}"));
    format!(
        "written: reading {}{instead}, line {}: {place}{on}, read {} at emissivity {} and surroundings of {}, {}\n",
        reading.no,
        reading.at,
        voice.celsius(reading.reading_c),
        voice.number(reading.emissivity_set, 3),
        voice.celsius(reading.surroundings_c),
        reading.time
    )
}

fn text(report: &HeatReport, voice: Voice) -> String {
    let mut text = format!("{}: {}\n\n", report.record, voice.heat_verdict(report));
    for (label, words) in voice.heat_rows(report) {
        text.push_str(&format!("  {label:<24}{words}\n"));
    }
    for line in &report.lines {
        text.push_str(&table(line, report, voice));
    }
    text.push_str(&list("Note", &report.warnings, voice));
    text.push_str(&list("Assumed", &report.assumptions, voice));
    if let Some(training) = voice.training(&report.invented) {
        text.push_str(&format!(
            "\n{training}. Put in your own before you rely on it.\n"
        ));
    }
    text + &lines("Cautions", &HEAT_CAUTIONS.map(str::to_owned))
}

/// The places of a line as a table, its gaps below.
fn table(line: &HeatLine, report: &HeatReport, voice: Voice) -> String {
    let bounds = voice.heat_bounds(report);
    let mut text = format!(
        "\n{:<14}{:>8}{:>10}{:>11}  {:<12}{}\n",
        voice.heat_line(line),
        "read",
        "film degC",
        "at least",
        "",
        "time"
    );
    for place in &line.places {
        let [read, film, least] = voice.heat_cells(place, &bounds);
        let more = match place.readings {
            1 => String::new(),
            n => format!("  hottest of {n}"),
        };
        let said = if place.note.is_empty() {
            String::new()
        } else {
            format!("  {}", place.note)
        };
        text.push_str(&format!(
            "  {:<12}{read:>8}{film:>10}{least:>11}  {:<12}{}{more}{said}\n",
            voice.length(place.place_mm),
            place.verdict.word(),
            place.time
        ));
    }
    for gap in &line.gaps {
        let gap = sentence(&voice.heat_gap(gap, report.spacing_mm));
        text.push_str(&format!("  {gap}\n"));
    }
    text
}
