//! Trial pieces: what marks and fates of film that was laid say of friction and limit.
//!
//! Given a section, the order and bridge of each piece, where marks of the flat film lie now and
//! what became of it, [`judge`] finds the lip friction (and drag and warmth, if the marks can tell
//! them apart), the peak of each piece under them, and from the pieces that held and failed the
//! limit of the class. To read on: `marks` is the table, `fit` the laying fitted to it,
//! `limit` the bracket, `cells` a grid laid round an end, `press` presses on a
//! scale, `design` a trial that would settle friction and limit.
//!
//! A mark is read to [`MARK_ERROR`]; the elongation between two marks L apart is then known to
//! sqrt(2) of that over L: 1.4 % on a grid of 5 mm read to 0.05 mm. Places, not elongations, are
//! fitted, so that no error counts twice.
//!
//! Not told by marks: what film does after weeks, other than by the fate that is stated; a limit
//! at another temperature than the trial's.

mod cells;
mod design;
mod fit;
mod least_squares;
mod limit;
mod marks;
mod press;

pub use cells::{
    CELL, Cell, CellReport, EndPiece, EndPieceReport, EndTrial, Ratio, Strained, judge_end,
    read_cells,
};
pub use design::{Design, Strip};
pub use fit::{Case, FitError, Laid, NotTold, Told, Unknown};
pub use limit::{Bracket, Limit};
pub use marks::{Fate, Mark, Outcome, Piece, read_marks};
pub use press::{PressError, PressReport, judge_press, read_loads};

use crate::laydown::Laydown;
use limit::Tried;
use serde::{Deserialize, Serialize};

/// Error of a mark's place, mm, standard deviation: a tape read along the panel, line centre to
/// line centre, to a quarter of its divisions. Common practice, no source.
pub const MARK_ERROR: f64 = 0.25;
/// Least length of flat film over which an elongation is told, mm: to some 3.5 points with a
/// mark's usual error. Shorter drowns in it, longer blurs the lip.
pub const SPAN: f64 = 20.0;
/// Scatter from which the laying that was said is not the one that was done, mark errors.
const MISFIT: f64 = 4.0;
/// A mark this many errors off, where the rest fits, is a slip.
const SLIPPED: f64 = 4.0;
/// Film that failed where it is stretched less than this part of its peak failed for another
/// reason.
const ELSEWHERE: f64 = 0.7;
/// Spacing of a computed curve, mm.
const CURVE: f64 = 2.0;

/// A mark, measured and as it would lie.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MarkRow {
    /// Place on the flat film from the left bond line, mm.
    pub flat_mm: f64,
    /// Place along the panel from the left bond line, as measured, mm.
    pub panel_mm: f64,
    /// The same as the fitted laying has it, mm.
    pub predicted_mm: f64,
    /// Measured less predicted, the piece's common offset taken out, mm.
    pub off_mm: f64,
}

/// The elongation between two marks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// From and to on the flat film, mm from the left bond line.
    pub flat_mm: [f64; 2],
    /// From and to along the panel, measured, mm.
    pub panel_mm: [f64; 2],
    /// Elongation, measured, percent.
    pub elongation_pct: f64,
    /// Its 95 % error, percentage points.
    pub error_pct: f64,
    /// The same as the fitted laying has it, percent.
    pub predicted_pct: f64,
}

/// A piece, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceReport {
    /// Its name.
    pub name: String,
    /// Its bridge, mm.
    pub bridge_mm: f64,
    /// How far its marks are off together, mm.
    pub origin_mm: f64,
    /// Its marks.
    pub marks: Vec<MarkRow>,
    /// Elongations from mark to mark, over [`SPAN`] and more, left to right.
    pub spans: Vec<Span>,
    /// The fitted laying: place along the panel from the left bond line, mm, and elongation,
    /// percent.
    pub fitted: Vec<[f64; 2]>,
    /// The same as it was computed before the trial.
    pub before: Vec<[f64; 2]>,
    /// The lips, along the panel from the left bond line, mm.
    pub lips_mm: [f64; 2],
    /// Peak of the fitted laying, percent.
    pub peak_pct: f64,
    /// Where, along the panel from the left bond line, mm.
    pub peak_at_mm: f64,
    /// 95 % error of the peak, percentage points.
    pub peak_error_pct: f64,
    /// What became of it.
    pub outcomes: Vec<Outcome>,
    /// Elongation of the fitted laying where it failed, percent, if the place is known.
    pub failed_at_pct: Option<f64>,
    /// It failed where film is stretched well below its peak: for another reason than stretch.
    pub elsewhere: bool,
}

/// A mark that was misread.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Slipped {
    /// Its piece.
    pub piece: String,
    /// Place on the flat film, mm.
    pub flat_mm: f64,
    /// How far off, mm.
    pub off_mm: f64,
}

/// What a trial says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrialReport {
    /// Error of a mark that was reckoned with, mm, standard deviation.
    pub mark_error_mm: f64,
    /// Scatter of the marks about the fitted laying, mm, standard deviation; none without
    /// marks.
    pub scatter_mm: Option<f64>,
    /// Does the scatter say that film was laid in another way than was said?
    pub misfit: bool,
    /// Marks that were misread.
    pub slips: Vec<Slipped>,
    /// What the marks tell.
    pub told: Vec<Told>,
    /// The pieces.
    pub pieces: Vec<PieceReport>,
    /// What the fates tell of the limit; none where no piece says, or the marks do not fit.
    pub limit: Option<Limit>,
}

/// Judges trial pieces. Pieces without marks are laid as the others' marks say.
///
/// # Errors
/// [`FitError`]: too few marks where there are any, film that cannot be laid as was said, no
/// end of the search.
pub fn judge(case: &Case<'_>, pieces: &[Laid]) -> Result<TrialReport, FitError> {
    let marked = pieces.iter().any(|laid| !laid.piece.marks.is_empty());
    let found = marked.then(|| case.find(pieces)).transpose()?;
    let (set, values) = found
        .as_ref()
        .map_or((Vec::new(), Vec::new()), |f| (f.set.clone(), f.values()));
    let one = |laid: &Laid| report(case, found.as_ref(), (&set, &values), laid);
    let reports: Vec<PieceReport> = pieces
        .iter()
        .map(one)
        .collect::<Option<_>>()
        .ok_or(FitError::NotLaid)?;
    let scatter = found.as_ref().map(|f| f.scatter);
    let misfit = scatter.is_some_and(|s| s > MISFIT * case.mark_error);
    let error = scatter.unwrap_or(case.mark_error).max(case.mark_error);
    let slips = reports.iter().flat_map(|piece| {
        let off = piece
            .marks
            .iter()
            .filter(move |m| m.off_mm.abs() > SLIPPED * error);
        off.map(|mark| Slipped {
            piece: piece.name.clone(),
            flat_mm: mark.flat_mm,
            off_mm: mark.off_mm,
        })
    });
    let tried: Vec<Tried> = reports.iter().filter_map(tried).collect();
    Ok(TrialReport {
        mark_error_mm: case.mark_error,
        scatter_mm: scatter,
        misfit,
        slips: slips.collect(),
        told: found.map_or_else(Vec::new, |f| f.told),
        // Peaks of a laying that was not the one said bracket nothing.
        limit: limit::bracket(&tried).filter(|_| !misfit),
        pieces: reports,
    })
}

/// Designs a trial for a limit, a plain ratio: which strips, and how closely their marks would
/// tell friction.
///
/// # Errors
/// [`FitError::NotLaid`].
pub fn design(case: &Case<'_>, limit: f64) -> Result<Design, FitError> {
    design::design(case, limit)
}

fn report(
    case: &Case<'_>,
    found: Option<&fit::Found>,
    (set, values): (&[Unknown], &[f64]),
    laid: &Laid,
) -> Option<PieceReport> {
    let down = case.lay(set, values, laid.bonds)?;
    let (left, right) = down.bonds();
    let peak = down.peak(case.bed)?;
    let places = case.places(set, values, laid)?;
    let origin = case.origin(laid, &places);
    let marks: Vec<MarkRow> = (laid.piece.marks.iter().zip(&places))
        .map(|(mark, place)| MarkRow {
            flat_mm: mark.flat_mm,
            panel_mm: mark.panel_mm,
            predicted_mm: *place,
            off_mm: mark.panel_mm - place - origin,
        })
        .collect();
    let peak_of = |values: &[f64]| {
        let laid = case.lay(set, values, laid.bonds)?;
        Some(100.0 * (laid.peak(case.bed)?.lambda - 1.0))
    };
    let error = found.map_or(Some(0.0), |f| f.error_of(peak_of))?;
    let curve = |down: &Laydown| {
        let rows = down.profile(case.bed, CURVE).into_iter();
        rows.map(|row| [row.s - left, 100.0 * (row.lambda - 1.0)])
            .collect()
    };
    let before = case.lay_under(&case.before, laid.bonds)?;
    let lips = case.bed.lips();
    let peak_pct = 100.0 * (peak.lambda - 1.0);
    let failed = laid
        .piece
        .outcomes
        .iter()
        .find(|o| o.fate.failed() == Some(true));
    let place = failed
        .and_then(|o| o.panel_mm)
        .map(|at| (left + at).clamp(left, right));
    let failed_at_pct = place
        .and_then(|s| down.lambda(s))
        .map(|l| 100.0 * (l - 1.0));
    Some(PieceReport {
        name: laid.piece.name.clone(),
        bridge_mm: down.bridge(),
        origin_mm: if places.is_empty() { 0.0 } else { origin },
        spans: spans(&marks, case.mark_error),
        marks,
        fitted: curve(&down),
        before: curve(&before),
        lips_mm: [lips.0 - left, lips.1 - left],
        peak_pct,
        peak_at_mm: peak.s - left,
        peak_error_pct: 1.96 * error,
        outcomes: laid.piece.outcomes.clone(),
        failed_at_pct,
        elsewhere: failed_at_pct.is_some_and(|at| at < ELSEWHERE * peak_pct),
    })
}

/// Elongations from mark to mark, each over the least length that tells one.
fn spans(marks: &[MarkRow], error: f64) -> Vec<Span> {
    let mut all = Vec::new();
    let Some(mut from) = marks.first() else {
        return all;
    };
    for to in marks {
        let flat = to.flat_mm - from.flat_mm;
        if flat < SPAN - 1e-9 {
            continue;
        }
        let of = |panel: f64| 100.0 * (panel / flat - 1.0);
        all.push(Span {
            flat_mm: [from.flat_mm, to.flat_mm],
            panel_mm: [from.panel_mm, to.panel_mm],
            elongation_pct: of(to.panel_mm - from.panel_mm),
            error_pct: 100.0 * 1.96 * std::f64::consts::SQRT_2 * error / flat,
            predicted_pct: of(to.predicted_mm - from.predicted_mm),
        });
        from = to;
    }
    all
}

/// A piece as the limit sees it; none that creased, failed for another reason, or says nothing.
fn tried(piece: &PieceReport) -> Option<Tried> {
    let (failed, after) = fate_of(&piece.outcomes)?;
    (!(failed && piece.elsewhere)).then_some(Tried {
        peak: piece.peak_pct,
        error: piece.peak_error_pct / 1.96,
        failed,
        after,
    })
}

/// Whether a piece failed, and after how long; none where its fates say nothing of its limit.
fn fate_of(outcomes: &[Outcome]) -> Option<(bool, Option<f64>)> {
    let fates = outcomes
        .iter()
        .filter_map(|o| Some((o.fate.failed()?, o.after_h)));
    fates.reduce(|a, b| if b.0 { b } else { a })
}
