//! `tautspan trial --cells`: a grid on film that was laid round an end.

use super::files::Draft;
use super::named::{Files, read_file};
use super::own::{Written, bracketed};
use super::words;
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use tautspan::Job;
use tautspan::advice::Setting;
use tautspan::card::{PaperSize, end_grid};
use tautspan::evidence::trial::{EndTrial, judge_end, read_cells};
use tautspan::say::{Say, Voice, sentence};

/// The grid to print.
pub(super) fn sheet(path: &Path, units: tautspan::Units) -> Result<Draft> {
    let pdf = end_grid(PaperSize::A4, units, tautspan::advice::PROGRAM)?;
    Ok(Draft::new(path.to_owned(), pdf))
}

/// What a trial round an end writes.
pub(super) fn written(trial: &EndTrial, section: &str, voice: Voice) -> Written {
    let mut written = Written::default();
    if let Some(limit) = &trial.area_limit {
        let of = format!("own trial round an end of {section}");
        written.limit("area_limit_pct", limit, &of, voice);
    }
    written
}

/// Judges the cells of all tables.
pub(super) fn judged(
    tables: &[PathBuf],
    mark_error: f64,
    (setting, job): (&Setting, &Job<'_>),
    voice: Voice,
) -> Result<EndTrial> {
    let (order, _) = setting.order(&Files)?;
    let asked = setting.bonds(job.bed)?;
    let split = setting.question.split.unwrap_or_default();
    let mut all = Vec::new();
    for path in tables {
        let name = path.display().to_string();
        let bytes = read_file(path)?;
        for piece in read_cells(&name, &String::from_utf8_lossy(&bytes))? {
            let bonds = match (piece.bridge_mm, asked) {
                (Some(bridge), _) => job.bed.bonds_for_bridge(bridge, split),
                (None, Some(bonds)) => Ok(bonds),
                (None, None) => bail!(
                    "{name}: no bridge of the piece `{}`, but one was expected\n\nhint: a column `bridge_mm`, or `--bridge`",
                    piece.name
                ),
            };
            let bonds = bonds.with_context(|| format!("{name}: piece `{}`", piece.name))?;
            let Some((end, laid)) = job.ends_laid(bonds, order, false).into_iter().next() else {
                bail!(
                    "no closed end, but cells are of film round one\n\nhint: say how it ends, as in `--end-left rounded`"
                );
            };
            let Some(laid) = laid else {
                let why = end
                    .unknown
                    .as_ref()
                    .map_or_else(String::new, |why| why.say(voice));
                bail!("{name}: piece `{}`: {why}", piece.name);
            };
            all.push((piece, end, laid));
        }
    }
    Ok(judge_end(&all, mark_error))
}

/// What it says.
pub(super) fn text(trial: &EndTrial, (setting, section): (&Setting, &str), voice: Voice) -> String {
    let mut text = format!(
        "Trial of {}, round an end of {section}\n\n",
        setting.film.name
    );
    if let Some(ratio) = &trial.area_ratio {
        text.push_str(&format!(
            "  {:<12}{}\n",
            "Area gained",
            voice.area_ratio(ratio)
        ));
    }
    if let Some(limit) = &trial.area_limit {
        text.push_str(&bracketed("Area limit", &voice.bracket(limit)));
    }
    for piece in &trial.pieces {
        text.push_str(&format!(
            "\n{}: {}\n",
            sentence(&piece.name),
            voice.end_piece(piece)
        ));
        let row = |cells: [&str; 5]| {
            let [at, l1, of_l1, area, of_area] = cells;
            format!("  {at:<26}{l1:<18}{of_l1:>9}   {area:<18}{of_area:>9}\n")
        };
        if !piece.cells.is_empty() {
            let head = [
                "middle of the cell",
                "elongation",
                "computed",
                "area gained",
                "computed",
            ];
            text.push_str(&row(head));
        }
        for cell in &piece.cells {
            let said = voice.cell(cell);
            text.push_str(&row(said.each_ref().map(String::as_str)));
        }
    }
    text.push_str(&words::lines("Note", &voice.cell_faults(trial)));
    text + words::CAUTIONS
}
