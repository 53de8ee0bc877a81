//! What a trial's picture and its printed grid say.

use super::{Voice, sentence, when};
use crate::evidence::trial::{Bracket, Limit, PieceReport, TrialReport};

impl Voice {
    /// The answer of a trial: the title of its picture.
    pub(crate) fn trial_title(self, report: &TrialReport) -> String {
        if report.misfit {
            return "The marks do not fit the laying that was said".to_owned();
        }
        let limit = report.limit.as_ref().map(|limit| self.limit_lies(limit));
        let told = report.told.iter().filter(|told| told.not_told.is_none());
        let told = told.map(|told| {
            let value = told.unknown.value(told.value, self);
            format!("{} {value}", told.unknown.word())
        });
        let said: Vec<String> = limit.into_iter().chain(told).collect();
        match said.is_empty() {
            true => "These pieces tell neither limit nor friction".to_owned(),
            false => sentence(&said.join(", ")),
        }
    }

    /// Where the limit lies.
    pub(crate) fn limit_lies(self, limit: &Limit) -> String {
        let what = when(limit.bracket == Bracket::Fitted, "half fail", "limit");
        match limit.between_pct {
            [Some(from), Some(to)] if limit.held_pct.is_some() => {
                format!(
                    "{what} between {} and {}",
                    self.bare_percent(from),
                    self.percent(to)
                )
            }
            [Some(from), _] if limit.held_pct.is_some() => {
                format!("{what} at least {}", self.percent(from))
            }
            [_, Some(to)] => format!("{what} below {}", self.percent(to)),
            _ => "limit not told".to_owned(),
        }
    }

    /// Every piece with its bridge, peak and fate, for whoever cannot see the picture.
    pub(crate) fn trial_described(self, report: &TrialReport) -> String {
        let one =
            |piece: &PieceReport| format!("{}: {}.", sentence(&piece.name), self.piece(piece));
        let all: Vec<String> = report.pieces.iter().map(one).collect();
        all.join(" ")
    }

    /// Bridge of a piece and what became of it.
    pub(crate) fn piece_short(self, piece: &PieceReport) -> String {
        let fates = piece.outcomes.iter().map(|o| o.fate.name());
        let fates: Vec<&str> = fates.collect();
        let fates = when(
            fates.is_empty(),
            "fate not said".to_owned(),
            fates.join(", "),
        );
        format!("bridge {}: {fates}", self.length(piece.bridge_mm))
    }

    /// What the signs of the picture are.
    pub(crate) fn trial_note(self, report: &TrialReport, drawn: usize) -> String {
        let mut said = Vec::new();
        if report.pieces.len() > drawn {
            said.push(format!(
                "{drawn} of {} pieces, those nearest the limit.",
                report.pieces.len()
            ));
        }
        if report.pieces.iter().any(|p| !p.spans.is_empty()) {
            said.push(
                "Steps: measured from mark to mark, with the 95 % error of two readings."
                    .to_owned(),
            );
        }
        said.push("Lines: computed, dashed before the trial; dotted: the lips.".to_owned());
        if report.limit.is_some() {
            said.push("Grey: there the limit lies (95 %).".to_owned());
        }
        said.join(" ")
    }

    /// What to do with a printed grid of such squares.
    #[cfg(feature = "pdf")]
    pub(crate) fn grid_sheet(self, side: f64) -> String {
        let side = self.length(side);
        format!(
            "Print at 100 % (no fit to page) and measure the bar. Squares of {side}: lay them under clear film, or trace them onto the film with a fine pen, in the flat. Tape the film over the end with the thick line across on the tip of the end's lip (0; numbers below it go into the recess, those above it out over the flat) and the thick line along over the middle of the recess. Lay it. Then measure cells, line centre to line centre: both sides across and both along, each pair as its mean, and both diagonals; note where the middle of the cell was on the grid. Two squares together are told twice as closely as one. Write down after days what became of the film."
        )
    }
}
