//! `tautspan trial`: what trial pieces say of friction and limit, and a trial that would.

use super::files::write_noted;
use super::handling::LayArgs;
use super::input::OrderArgs;
use super::named::{Files, one, read_file};
use super::own::{Written, bracketed};
use super::{Outcome, draw, out, out_as, out_json, own, trial_end, trial_press, words};
use anyhow::{Context, Result, bail};
use std::path::PathBuf;
use tautspan::advice::{Setting, WarmZone};
use tautspan::evidence::trial::{
    Case, Design, FitError, Laid, MARK_ERROR, NotTold, TrialReport, Unknown, design, judge,
    read_marks,
};
use tautspan::figure::{Paper, TrialLook, trial_pieces};
use tautspan::say::{Say, Voice, sentence};
use tautspan::{Bed, Conditions, Handling, Order};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan trial step.csv --film wrap-cast --design            which strips would settle it
  tautspan trial step.csv --film wrap-cast --marks strips.csv  what they say
  tautspan trial step.csv --film wrap-cast --marks strips.csv --write my-wrap.toml --out out
  tautspan trial step.csv --film my-wrap.toml --bridge 60 --warm whole:20 --press 1.2kg 1.3kg 1.25kg
  tautspan trial door.csv --film wrap-cast --grid grid.pdf     a grid to print, for an end
  tautspan trial door.csv --film wrap-cast --end-left rounded --cells cells.csv

Marks, a row each, from left to right, both counted from the inner edge of the left tape, the
second along the panel; `piece` and `bridge_mm` where a table has several strips; a row with a
`result` (held, whitened, tore, lifted, creased) says what became of one:
  piece,bridge_mm,flat_mm,panel_mm,result,after_h
  a,60,0,0,,
  a,60,5,5.6,,
  a,60,,34,lifted,240

Cells of the grid, a row each: the middle of the cell on the flat film, across from the middle of the
recess and inwards from the tip of the end's lip; its side then (10 mm if left out, two squares
are 20); and laid, over lip and foot: sides across and along, each the mean of two, one diagonal
or both; a row with a `result` as above:
  piece,bridge_mm,across_mm,inside_mm,flat_mm,wide_mm,long_mm,diagonal_mm,other_mm,result,after_h
  a,160,25,20,20,23.5,22.0,33.0,31.3,,
  a,160,,,,,,,,held,240";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    order: OrderArgs,
    /// Tables of marks and results (CSV), of strips laid over this section
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with = "design")]
    marks: Vec<PathBuf>,
    /// Error of a mark's place, mm: how closely the tape was read [default: 0.25]
    #[arg(long, value_name = "MM")]
    mark_error: Option<f64>,
    /// Say which strips would settle friction and limit
    #[arg(long)]
    design: bool,
    /// Tables of the cells of a grid (CSV), of pieces laid round the closed end that is said
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with_all = ["design", "marks", "out"])]
    cells: Vec<PathBuf>,
    /// Write that grid, to print on A4 at full size, to this PDF
    #[arg(long, value_name = "FILE", conflicts_with_all = ["marks", "cells"])]
    grid: Option<PathBuf>,
    /// Loads of presses on a scale, with their unit, as in `--press 1.2kg 1.3kg 1.25kg`: the piece
    /// with its film bridged on a kitchen scale set to nought, the most it shows as the tool takes the
    /// film to the bottom; a fresh piece each; tells `force_factor` of the class
    #[arg(long, value_name = "LOAD", num_args = 1.., conflicts_with_all = ["design", "marks", "cells", "out"])]
    press: Vec<String>,
    /// Write the film class to this TOML file, with what was measured and where it comes from
    #[arg(long, value_name = "FILE", conflicts_with = "design")]
    write: Option<PathBuf>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    /// Write a picture of the pieces, measured beside computed, SVG and PNG, into this folder
    #[arg(long, value_name = "DIR", conflicts_with = "design")]
    out: Option<PathBuf>,
    /// Size of the picture: a slide (1600 x 900) or the width of an A4 page
    #[arg(long, value_enum, default_value = "slide")]
    paper: Paper,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

impl Args {
    /// Error of a mark's place, mm.
    fn mark_error(&self) -> Result<f64> {
        let error = self.mark_error.unwrap_or(MARK_ERROR);
        if !(error > 0.0 && error.is_finite()) {
            bail!("--mark-error: found {error}, expected a length above 0, in mm");
        }
        Ok(error)
    }
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = args.lay.question(&[&args.order], args.force)?;
    let voice = Voice::terminal(question.print_units());
    let (setting, section) = one(&question)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    if let Some(path) = &args.grid {
        let sheet = trial_end::sheet(path, question.print_units())?;
        write_noted(&[sheet], args.force)?;
        if !args.design {
            return Ok(Outcome::Acceptable);
        }
    }
    let name = recess.section().name();
    if !args.press.is_empty() {
        let press = trial_press::judged(&args.press, (&setting, &setting.job(&bed)), voice)?;
        if args.json {
            out_json(&press.0)?;
        } else {
            out(&trial_press::text(&press, (&setting, name), voice))?;
        }
        let tool = &setting.tool.name;
        let written = trial_press::written(&press.0, name, tool, voice);
        written.save(&setting, args.write.as_deref(), args.force)?;
        return Ok(Outcome::of(!press.0.wide));
    }
    if !args.cells.is_empty() {
        let job = setting.job(&bed);
        let trial = trial_end::judged(&args.cells, args.mark_error()?, (&setting, &job), voice)?;
        out_as(args.json, &trial, |trial| {
            trial_end::text(trial, (&setting, name), voice)
        })?;
        trial_end::written(&trial, name, voice).save(
            &setting,
            args.write.as_deref(),
            args.force,
        )?;
        return Ok(Outcome::Acceptable);
    }
    let case = case(&setting, &bed, args.mark_error()?)?;
    let failed = |why: FitError| anyhow::anyhow!("found {}", why.say(voice));
    if args.design {
        let design = design(&case, setting.film.limit()).map_err(failed)?;
        out_as(args.json, &design, |design| {
            designed(design, &setting, voice)
        })?;
        return Ok(Outcome::of(design.reaches_limit));
    }
    if args.marks.is_empty() {
        bail!(
            "no marks, but a table of them was expected (`--marks FILE`)\n\nhint: `--design` says which strips to lay and where to mark them"
        );
    }
    let pieces = pieces(args, &setting, &bed)?;
    let report = judge(&case, &pieces).map_err(failed)?;
    out_as(args.json, &report, |report| {
        text(report, (&setting, name), voice)
    })?;
    if let Some(folder) = &args.out {
        let trial = TrialLook {
            report: &report,
            section: name,
            film: &setting.film.name,
            tool: &setting.tool.name,
        };
        let drawing = trial_pieces(&trial, draw::look(args.paper, &question))?;
        draw::save(folder, trial.section, &[("trial", drawing)], args.force)?;
    }
    if report.misfit && args.write.is_some() {
        bail!("nothing was written: the marks do not fit the laying that was said");
    }
    changes(&report, name, voice).save(&setting, args.write.as_deref(), args.force)?;
    Ok(Outcome::of(!report.misfit))
}

/// The laying with what is not said of it left open.
fn case<'a>(setting: &Setting, bed: &'a Bed<'a>, mark_error: f64) -> Result<Case<'a>> {
    let (order, steps) = setting.order(&Files)?;
    if steps.is_some() || order == Order::Custom {
        bail!(
            "--order: found steps of one's own, expected a named order: a trial is laid in one\n\nhint: `--order deepest-first`"
        );
    }
    let bay = setting.question.bay.clone().unwrap_or_default();
    let before = setting
        .handling
        .as_ref()
        .map_or_else(Conditions::default, |h| h.conditions.clone());
    let mut known = before.clone();
    let mut unknown = Vec::new();
    if bay.lip.is_none() && bay.lip_friction.is_none() {
        known.lip_friction = 0.0;
        unknown.push(Unknown::LipFriction);
    }
    if bay.flats.is_none() && bay.drag_kpa.is_none() {
        known.drag = 0.0;
        // Against drag the film's stiffness counts.
        let mut dragged = bay.clone();
        dragged.drag_kpa = Some(1.0);
        if let Ok(with) = Handling::new(&setting.film, &dragged) {
            known.law = with.conditions.law;
            known.warm = with.conditions.warm;
            unknown.push(Unknown::Drag);
        }
    }
    if matches!(bay.warm, Some(WarmZone::Mouth | WarmZone::Flats)) && bay.ranges.is_empty() {
        unknown.push(Unknown::Warmth);
    }
    Ok(Case {
        bed,
        order,
        known,
        before,
        unknown,
        mark_error,
    })
}

/// The pieces of all tables, with their bond lines.
fn pieces(args: &Args, setting: &Setting, bed: &Bed<'_>) -> Result<Vec<Laid>> {
    let asked = setting.bonds(bed)?;
    let split = setting.question.split.unwrap_or_default();
    let mut all: Vec<Laid> = Vec::new();
    for path in &args.marks {
        let bytes = read_file(path)?;
        let text = String::from_utf8_lossy(&bytes);
        let name = path.display().to_string();
        for piece in read_marks(&name, &text)? {
            let bonds = match (piece.bridge_mm, asked) {
                (Some(bridge), _) => bed
                    .bonds_for_bridge(bridge, split)
                    .with_context(|| format!("{name}: piece `{}`", piece.name))?,
                (None, Some(bonds)) => bonds,
                (None, None) => bail!(
                    "{name}: no bridge of the piece `{}`, but one was expected\n\nhint: a column `bridge_mm`, or `--bridge`",
                    piece.name
                ),
            };
            if all.iter().any(|laid| laid.piece.name == piece.name) {
                bail!(
                    "{name}: a second piece `{}`\n\nhint: give each piece a name of its own in a column `piece`",
                    piece.name
                );
            }
            all.push(Laid { piece, bonds });
        }
    }
    Ok(all)
}

/// What a trial of marks writes.
fn changes(report: &TrialReport, section: &str, voice: Voice) -> Written {
    let mut written = Written::default();
    if let Some(limit) = &report.limit {
        written.limit(
            "limit_pct",
            limit,
            &format!("own trial over {section}"),
            voice,
        );
    }
    for told in &report.told {
        let key = match told.unknown {
            Unknown::LipFriction => "lip_friction",
            Unknown::Drag => "drag_kpa",
            Unknown::Warmth => continue,
        };
        match told.not_told {
            None => written.changes.push(own::Change {
                key,
                value: (1000.0 * told.value.max(0.0)).round() / 1000.0,
                source: format!("own trial over {section}: {}", told.say(voice)),
            }),
            // At most so much: kept out of the way on the safe side by the limit's own interval.
            Some(NotTold::NoTrace { .. } | NotTold::NoEffect | NotTold::Alike { .. }) => {
                let left = format!("{key} is left as it was: {}", told.say(voice));
                written.left.push(left);
            }
        }
    }
    written
}

fn text(report: &TrialReport, (setting, section): (&Setting, &str), voice: Voice) -> String {
    let mut text = format!("Trial of {}, {}\n\n", setting.film.name, section);
    for told in &report.told {
        text.push_str(&format!(
            "  {:<12}{}\n",
            short(told.unknown),
            told.say(voice)
        ));
    }
    if let Some(scatter) = report.scatter_mm {
        text.push_str(&format!(
            "  {:<12}{} about the laying that fits best; a mark is read to {}\n",
            "Marks",
            voice.fine(scatter),
            voice.fine(report.mark_error_mm)
        ));
    }
    if let Some(limit) = &report.limit {
        text.push_str(&bracketed("Limit", &voice.bracket(limit)));
    }
    for piece in &report.pieces {
        text.push_str(&format!(
            "\n{}: {}\n",
            sentence(&piece.name),
            voice.piece(piece)
        ));
        if piece.spans.is_empty() {
            continue;
        }
        text.push_str(&format!(
            "  {:<22}{:<24}{:<18}{:>9}\n",
            "flat film", "now on the panel at", "elongation", "computed"
        ));
        for span in &piece.spans {
            let range = |[from, to]: [f64; 2]| {
                format!("{} to {}", voice.bare_length(from), voice.length(to))
            };
            let elongation = format!(
                "{} +- {}",
                voice.percent(span.elongation_pct),
                voice.number(span.error_pct, 1)
            );
            text.push_str(&format!(
                "  {:<22}{:<24}{elongation:<18}{:>9}\n",
                range(span.flat_mm),
                range(span.panel_mm),
                voice.percent(span.predicted_pct)
            ));
        }
    }
    text.push_str(&words::lines("Note", &voice.marks_faults(report)));
    text.push_str(&words::lines("Assumed", &assumed(setting, voice)));
    text + words::CAUTIONS
}

/// A row's title.
fn short(unknown: Unknown) -> &'static str {
    match unknown {
        Unknown::LipFriction => "Friction",
        Unknown::Drag => "Drag",
        Unknown::Warmth => "Warmth",
    }
}

/// What was taken for granted of the trial.
fn assumed(setting: &Setting, voice: Voice) -> Vec<String> {
    let bay = setting.question.bay.clone().unwrap_or_default();
    let tool = &setting.tool;
    let mut all = vec![format!(
        "pressed with the {}, its pad {} wide: `--tool` or `--pad` for another",
        tool.name,
        voice.length(tool.pad())
    )];
    if bay.warm.is_none() {
        all.push("the film was of one temperature all over (`--warm`)".to_owned());
    }
    if setting.ends.is_some() {
        all.push(
            "strips of the middle: what is said of the ends counts for nothing here".to_owned(),
        );
    }
    all
}

fn designed(design: &Design, setting: &Setting, voice: Voice) -> String {
    let title = format!(
        "A trial of {} for a limit of about {}\n",
        setting.film.name,
        voice.limit(100.0 * setting.film.limit())
    );
    title + &words::lines("Lay", &voice.design(design)) + words::CAUTIONS
}
