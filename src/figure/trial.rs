//! Trial pieces, a panel each on one scale of elongation: what was measured from mark to mark over
//! what is computed, what became of the film, and where the limit lies.
//!
//! Panels share their scales and stand with their lips in line, the least stretched first. Of more
//! pieces than [`MOST`] those nearest the limit are drawn: the others say the least of it.

use super::canvas::{Canvas, Type};
use super::chart::Frame;
use super::drawing::Drawing;
use super::paper::{FigureError, Look};
use super::sheet::{self, MARGIN};
use super::trial_piece::{Panel, band, slipped};
use crate::draw::{Box2, Side};
use crate::evidence::trial::{Limit, PieceReport, TrialReport};
use crate::say::sentence;

/// Most pieces in one picture: two rows of four on a slide.
const MOST: usize = 8;
/// Least width and height of a panel: steps of 20 mm apart, and a label over a curve.
const NARROW: f64 = 300.0;
const LOW: f64 = 240.0;
/// Room left for the numbers, at the right for the limit, between panels.
const NUMBERS: f64 = 90.0;
const LIMIT: f64 = 196.0;
const BETWEEN: f64 = 26.0;
/// Room over a panel for its name and fate, under it for its numbers, and for what they are.
const NAME: f64 = 84.0;
const UNDER: f64 = 50.0;
const CAPTION: f64 = 34.0;

/// A judged trial with the names of what was laid.
#[derive(Debug, Clone, Copy)]
pub struct TrialLook<'a> {
    /// What the pieces say.
    pub report: &'a TrialReport,
    /// The section they were laid over.
    pub section: &'a str,
    /// The film.
    pub film: &'a str,
    /// The tool.
    pub tool: &'a str,
}

/// Draws trial pieces: marks as measured over film as computed, fates and limit.
///
/// # Errors
/// [`FigureError::Nothing`] without a piece, [`FigureError::Number`] if a number is not finite.
pub fn trial_pieces(trial: &TrialLook<'_>, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    let report = trial.report;
    if report.pieces.is_empty() {
        return Err(FigureError::Nothing {
            found: "no trial piece",
            expected: "at least one",
        });
    }
    for piece in &report.pieces {
        let spans = piece
            .spans
            .iter()
            .map(|s| [s.panel_mm[1], s.elongation_pct]);
        let curves = piece.fitted.iter().chain(&piece.before).copied();
        for v in spans.chain(curves).flatten() {
            sheet::finite("a number of a trial piece", v)?;
        }
    }
    let voice = look.voice();
    let said = [voice.trial_title(report), voice.trial_described(report)];
    let canvas = sheet::high_enough(look, |canvas| draw(canvas, trial, &said[0]));
    Ok(Drawing::new(canvas, look, said))
}

/// The pieces that are drawn, the least stretched first.
fn drawn(report: &TrialReport) -> Vec<&PieceReport> {
    let mut all: Vec<&PieceReport> = report.pieces.iter().collect();
    if let Some((held, failed)) = report.limit.as_ref().map(|l| (l.held_pct, l.failed_pct)) {
        let middle = match (held, failed) {
            (Some(held), Some(failed)) => 0.5 * (held + failed),
            (one, other) => one.or(other).unwrap_or(0.0),
        };
        all.sort_by(|a, b| {
            let off = |p: &PieceReport| (p.peak_pct - middle).abs();
            off(a).total_cmp(&off(b))
        });
    }
    all.truncate(MOST);
    all.sort_by(|a, b| a.peak_pct.total_cmp(&b.peak_pct));
    all
}

fn draw(canvas: &mut Canvas, trial: &TrialLook<'_>, title: &str) -> f64 {
    let (report, voice) = (trial.report, canvas.voice);
    let second = format!(
        "Elongation of film over {}: film {}, {}",
        trial.section, trial.film, trial.tool
    );
    let body = sheet::head(canvas, title, &second);
    let pieces = drawn(report);
    let words = voice.trial_note(report, pieces.len());
    let foot = sheet::foot(canvas, &words, canvas.width - 2.0 * MARGIN) - 18.0;
    let wide = body.width() - NUMBERS - LIMIT;
    let most = ((wide + BETWEEN) / (NARROW + BETWEEN)).floor().max(1.0);
    let rows = (pieces.len() as f64 / most).ceil();
    let columns = (pieces.len() as f64 / rows).ceil();
    let width = (wide + BETWEEN) / columns - BETWEEN;
    let height = (foot - body.top - CAPTION) / rows - NAME - UNDER;
    let (beside, top) = (beside(&pieces), top(report, &pieces));
    let mut named = Vec::new();
    for (k, piece) in pieces.iter().enumerate() {
        let (row, column) = ((k as f64 / columns).floor(), k as f64 % columns);
        let left = body.left + NUMBERS + column * (width + BETWEEN);
        let over = body.top + row * (height + NAME + UNDER) + NAME;
        let area = Box2 {
            left,
            top: over,
            right: left + width,
            bottom: over + height,
        };
        let lips = piece.lips_mm;
        let x = [lips[0] - beside[0], lips[1] + beside[1]];
        let panel = Panel {
            frame: Frame { area, x, top },
            piece,
            slips: slipped(report, piece),
            limit: report.limit.as_ref(),
        };
        panel.draw(canvas, column < 0.5, &mut named);
        let last = row < 0.5 && (column + 1.5 > columns || k + 1 == pieces.len());
        if let Some(limit) = report.limit.as_ref().filter(|_| last) {
            name_limit(canvas, &panel.frame, limit);
        }
    }
    let at = [canvas.width - MARGIN - LIMIT, foot];
    let across = format!("along the panel from the left tape, {}", voice.unit());
    canvas.write(&across, at, Side::Right, Type::Body);
    (LOW - height) * rows
}

/// Panel beyond the lips, mm: as much as any piece has.
fn beside(pieces: &[&PieceReport]) -> [f64; 2] {
    let end = |p: &PieceReport| p.fitted.last().map_or(0.0, |at| at[0]) - p.lips_mm[1];
    let most = |of: &dyn Fn(&PieceReport) -> f64| pieces.iter().map(|p| of(p)).fold(1e-3, f64::max);
    [most(&|p| p.lips_mm[0]), most(&end)]
}

/// The largest elongation shown, percent.
fn top(report: &TrialReport, pieces: &[&PieceReport]) -> f64 {
    let limit = report.limit.as_ref().and_then(|l| l.between_pct[1]);
    let spans = pieces.iter().flat_map(|p| {
        let slips = slipped(report, p);
        let sound = p.spans.iter().filter(move |s| !slips.of(s));
        sound.map(|s| s.elongation_pct + s.error_pct)
    });
    let curves = pieces.iter().flat_map(|p| p.fitted.iter().chain(&p.before));
    let all = spans.chain(curves.map(|at| at[1])).chain(limit);
    1.12 * all.fold(5.0, f64::max)
}

/// Writes where the limit lies at the right of its band.
fn name_limit(canvas: &mut Canvas, frame: &Frame, limit: &Limit) {
    let words = canvas.voice.limit_lies(limit);
    let [low, high] = band(frame, limit);
    let y = 0.5 * (low + high);
    let mut at = [frame.area.right + 12.0, y - 0.15 * Type::Value.leading()];
    for line in Type::Value.wrap(&sentence(&words), LIMIT - 12.0) {
        canvas.scene.text(Type::Value.text(line, at, Side::Left));
        at[1] += Type::Value.leading();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::trial::{Case, Fate, Laid, Mark, Outcome, Piece, Unknown, judge};
    use crate::laydown::{Bed, Conditions, Order, Split};
    use crate::section::{Recess, Survey, Units, read_shape};

    /// Strips of these bridges, a mark every 5 mm, read to a fifth of a millimetre by a fixed
    /// pattern; those over 15 % lift.
    fn report(bridges: &[f64], friction: f64, slip: Option<usize>) -> TrialReport {
        let shape = "channel:mouth=60,floor=34,depth=14,lip-radius=2";
        let section = read_shape(shape, Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let bed = Bed::new(&recess, 8.0, 3.0);
        let truth = Conditions {
            lip_friction: friction,
            ..Conditions::default()
        };
        let piece = |(k, &bridge): (usize, &f64)| {
            let bonds = bed.bonds_for_bridge(bridge, Split::default()).unwrap();
            let laid = bed.lay_under(bonds, Order::DeepestFirst, &truth).unwrap();
            let left = laid.bonds().0;
            let end = laid.film_ends().unwrap().1;
            let flats = (0..).map(|k| 5.0 * f64::from(k)).take_while(|&f| f <= end);
            let mut marks: Vec<Mark> = (flats.enumerate())
                .map(|(i, flat_mm)| Mark {
                    flat_mm,
                    panel_mm: laid.place_of(flat_mm).unwrap() - left
                        + 0.2 * ((i * 7 + k * 3) % 5) as f64
                        - 0.4,
                })
                .collect();
            if let Some(at) = slip {
                marks[at].panel_mm += 3.0;
            }
            let peak = laid.peak(&bed).unwrap();
            let lifts = peak.lambda > 1.15;
            let outcome = Outcome {
                fate: if lifts { Fate::Lifted } else { Fate::Held },
                panel_mm: lifts.then_some(peak.s - left),
                after_h: Some(240.0),
            };
            let piece = Piece {
                name: format!("strip {}", k + 1),
                bridge_mm: Some(bridge),
                marks,
                outcomes: vec![outcome],
            };
            Laid { piece, bonds }
        };
        let pieces: Vec<Laid> = bridges.iter().enumerate().map(piece).collect();
        let case = Case {
            bed: &bed,
            order: Order::DeepestFirst,
            known: Conditions::default(),
            before: Conditions::default(),
            unknown: vec![Unknown::LipFriction],
            mark_error: 0.25,
        };
        judge(&case, &pieces).unwrap()
    }

    #[test]
    fn no_text_touches_another_or_a_line_however_many_pieces_there_are() {
        let many: Vec<f64> = (0..14).map(|k| 66.0 + 7.0 * f64::from(k)).collect();
        for report in [
            report(&[110.0], 0.3, None),
            report(&[150.0, 110.0, 80.0], 0.3, Some(4)),
            report(&[150.0, 110.0, 95.0, 80.0, 68.0], 0.0, None),
            report(&many, 0.3, None),
            report(&[68.0], 0.3, Some(7)),
        ] {
            for look in Look::ALL {
                let trial = TrialLook {
                    report: &report,
                    section: "deep-channel",
                    film: "wrap-cast",
                    tool: "fingertip",
                };
                let drawing = trial_pieces(&trial, look).unwrap();
                assert_eq!(drawing.faults(), Vec::<String>::new(), "{look:?}");
            }
        }
    }

    #[test]
    fn of_many_pieces_those_nearest_the_limit_are_drawn() {
        let many: Vec<f64> = (0..14).map(|k| 66.0 + 7.0 * f64::from(k)).collect();
        let report = report(&many, 0.3, None);
        let drawn = drawn(&report);
        assert_eq!(drawn.len(), MOST);
        let limit = report.limit.unwrap();
        let has = |peak: Option<f64>| drawn.iter().any(|p| Some(p.peak_pct) == peak);
        assert!(has(limit.held_pct) && has(limit.failed_pct));
    }
}
