//! What trial pieces say, in words.

use super::{Say, Voice, when};
use crate::advice::Doubted;
use crate::ends::LAW_DOUBT;
use crate::evidence::trial::{
    Bracket, CellReport, Design, EndPieceReport, EndTrial, FitError, Limit, NotTold, Outcome,
    PieceReport, Ratio, Told, TrialReport, Unknown,
};

/// Hours after which a piece that held says something of weeks: common practice, no source.
const A_WEEK: f64 = 168.0;

impl Unknown {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::LipFriction => "friction on the lips",
            Self::Drag => "drag over the flats",
            Self::Warmth => "warmth of the zone",
        }
    }

    pub(super) fn value(self, value: f64, voice: Voice) -> String {
        match self {
            Self::LipFriction => voice.steady(value, 2),
            Self::Drag => format!("{} kPa", voice.steady(value, 2)),
            Self::Warmth => voice.steady((-value).exp(), 2),
        }
    }
}

impl Say for Told {
    fn say(&self, voice: Voice) -> String {
        let say = |value: f64| self.unknown.value(value, voice);
        match self.not_told {
            None => {
                let [mut from, mut to] = self.between;
                if self.unknown == Unknown::Warmth {
                    (from, to) = (to, from);
                }
                let what = match self.unknown {
                    Unknown::Warmth => " times as stiff as its law says",
                    _ => "",
                };
                format!(
                    "{}{what}, 95 % between {} and {}",
                    say(self.value),
                    say(from),
                    say(to)
                )
            }
            Some(NotTold::NoTrace { at_most }) => {
                format!(
                    "not told: no trace of it in the marks, at most {}",
                    say(at_most)
                )
            }
            Some(NotTold::Alike { other, instead }) => format!(
                "not told from {}: {} in its place explains the marks as well; say what you know of one of them",
                other.word(),
                say(instead)
            ),
            Some(NotTold::NoEffect) => "not told: nothing that was marked depends on it".to_owned(),
        }
    }
}

impl Say for Outcome {
    fn say(&self, voice: Voice) -> String {
        let at = self.panel_mm.map(|mm| format!(" at {}", voice.length(mm)));
        let after = self
            .after_h
            .map(|h| format!(" after {} h", voice.number(h, 1)));
        format!(
            "{}{}{}",
            self.fate.name(),
            at.unwrap_or_default(),
            after.unwrap_or_default()
        )
    }
}

impl Say for FitError {
    fn say(&self, _: Voice) -> String {
        match self {
            Self::TooFew { found, needed } => format!(
                "{found} marks, but at least {needed} were expected for what they are to tell"
            ),
            Self::NotLaid => "film that cannot be laid as was said, at some bridge or friction: is it the right section, bridge and order?".to_owned(),
            Self::NoEnd => "marks that no friction explains: the search for one did not end".to_owned(),
        }
    }
}

impl Voice {
    /// What one piece says: its bridge, peak and fate.
    pub fn piece(self, piece: &PieceReport) -> String {
        let fates: Vec<String> = piece.outcomes.iter().map(|o| o.say(self)).collect();
        let fates = when(fates.is_empty(), "not said".to_owned(), fates.join(", "));
        let elsewhere = match piece.failed_at_pct {
            Some(at) if piece.elsewhere => format!(
                "; stretched by {} only there: it failed for another reason, and counts for no limit",
                self.percent(at)
            ),
            _ => String::new(),
        };
        format!(
            "bridge {}, peak {} +- {} at {}: {fates}{elsewhere}",
            self.length(piece.bridge_mm),
            self.percent(piece.peak_pct),
            self.number(piece.peak_error_pct, 1),
            self.length(piece.peak_at_mm),
        )
    }

    /// What the fates say of the limit, and what would say more.
    pub fn bracket(self, limit: &Limit) -> Vec<String> {
        let pct =
            |value: Option<f64>| value.map_or_else(|| "unknown".to_owned(), |v| self.percent(v));
        let pieces = super::section::count(limit.pieces, "piece", "pieces");
        let all = |pieces: &str| match limit.pieces {
            1 => "the one piece".to_owned(),
            _ => format!("all {pieces}"),
        };
        let mut said = vec![match limit.bracket {
            Bracket::Between => format!(
                "between {} and {} (95 %): {} held, {} failed, {pieces}",
                pct(limit.between_pct[0]),
                pct(limit.between_pct[1]),
                pct(limit.held_pct),
                pct(limit.failed_pct)
            ),
            Bracket::AllHeld => format!(
                "at least {} (95 %): {} held; a narrower bridge, one that fails, would say how much more film takes",
                pct(limit.between_pct[0]),
                all(&pieces)
            ),
            Bracket::AllFailed => format!(
                "less than {} (95 %): {} failed; a wider bridge, one that holds, is needed for a limit",
                pct(limit.between_pct[1]),
                all(&pieces)
            ),
            Bracket::Fitted => format!(
                "half fail between {} and {} (95 %); held up to {}, failed from {} on, {pieces}: it differs from piece to piece",
                pct(limit.between_pct[0]),
                pct(limit.between_pct[1]),
                pct(limit.held_pct),
                pct(limit.failed_pct)
            ),
        }];
        said.push(match limit.limit_pct {
            Some(safe) => format!("to work with: {}, the safe end", self.percent(safe)),
            None => "to work with: none from these pieces".to_owned(),
        });
        match limit.held_for_h {
            _ if limit.held_pct.is_none() => {}
            None => said.push("after how long pieces held is not said of all (`after_h`): what holds for a day may lift in a week".to_owned()),
            Some(h) if h < A_WEEK => said.push(format!(
                "pieces held for {} h: look again after a week ({A_WEEK} h) or more before you rely on it",
                self.number(h, 1)
            )),
            Some(_) => {}
        }
        said
    }

    /// What is wrong with the marks, if anything.
    pub fn marks_faults(self, report: &TrialReport) -> Vec<String> {
        let mut said = Vec::new();
        if let (true, Some(scatter)) = (report.misfit, report.scatter_mm) {
            said.push(format!(
                "the marks scatter by {} about the laying that fits best, where {} was expected: film was laid in another way than was said, or the marks are of another piece; nothing is to be taken from them",
                self.fine(scatter),
                self.fine(report.mark_error_mm)
            ));
        }
        for slip in &report.slips {
            said.push(format!(
                "{}: the mark at {} of flat film lies {} off: was it misread?",
                slip.piece,
                self.length(slip.flat_mm),
                self.fine(slip.off_mm.abs())
            ));
        }
        said
    }

    /// A cell of a grid laid round an end: its place, elongation and area gained as measured, with
    /// the error, and as computed.
    pub fn cell(self, cell: &CellReport) -> [String; 5] {
        let with = |value: f64, error: f64| {
            let error = self.give_or_take(&self.number(error, 1));
            format!("{} {error}", self.percent(value))
        };
        let computed = |value: Option<f64>| {
            value.map_or_else(|| "no film".to_owned(), |value| self.percent(value))
        };
        let at = format!(
            "{} across, {} in",
            self.bare_length(cell.cell.across_mm),
            self.length(cell.cell.inside_mm)
        );
        let (found, error) = (cell.measured, cell.error);
        [
            at,
            with(found.elongation_pct, error.elongation_pct),
            computed(cell.computed.map(|s| s.elongation_pct)),
            with(found.area_pct, error.area_pct),
            computed(cell.computed.map(|s| s.area_pct)),
        ]
    }

    /// What one piece round an end says: its bridge, what is computed, its fate.
    pub fn end_piece(self, piece: &EndPieceReport) -> String {
        let fates: Vec<String> = piece.outcomes.iter().map(|o| o.say(self)).collect();
        let fates = when(fates.is_empty(), "not said".to_owned(), fates.join(", "));
        let doubted = |d: &Doubted| {
            let (from, to) = (self.bare_percent(d.from_pct), self.percent(d.to_pct));
            format!("{} ({from} to {to})", self.percent(d.pct))
        };
        format!(
            "bridge {}, area gained up to {}, elongation up to {}: {fates}",
            self.length(piece.bridge_mm),
            doubted(&piece.area),
            doubted(&piece.elongation)
        )
    }

    /// Gain of area, measured over computed.
    pub fn area_ratio(self, ratio: &Ratio) -> String {
        let error = self.give_or_take(&self.steady(ratio.error, 2));
        format!(
            "{} {error} of what is computed (95 %, {}); an end is computed to {}",
            self.steady(ratio.value, 2),
            super::section::count(ratio.cells, "cell", "cells"),
            self.give_or_take(&self.share(100.0 * LAW_DOUBT))
        )
    }

    /// What is wrong with the cells, if anything.
    pub fn cell_faults(self, trial: &EndTrial) -> Vec<String> {
        let cells = trial
            .pieces
            .iter()
            .flat_map(|p| p.cells.iter().map(move |c| (p, c)));
        let said = |(piece, cell): (&EndPieceReport, &CellReport)| {
            let at = &self.cell(cell)[0];
            if cell.misread {
                Some(format!(
                    "{}: the cell at {at}: its sides and diagonals do not go together: was one misread? It counts for nothing",
                    piece.name
                ))
            } else if cell.computed.is_none() {
                Some(format!(
                    "{}: the cell at {at} is not all on free film: beyond a tape, or further in than the end is felt",
                    piece.name
                ))
            } else {
                None
            }
        };
        cells.filter_map(said).collect()
    }

    /// A designed trial.
    pub fn design(self, design: &Design) -> Vec<String> {
        if !design.reaches_limit {
            let most = design.strips.iter().map(|s| s.peak_pct).fold(0.0, f64::max);
            return vec![format!(
                "no strip over this recess: its narrowest bridge stretches film by {} only; take a deeper one, on which film can fail",
                self.percent(most)
            )];
        }
        let widths: Vec<String> = design
            .strips
            .iter()
            .map(|s| self.length(s.bridge_mm))
            .collect();
        let (last, rest) = widths
            .split_last()
            .map_or(("", &widths[..0]), |(l, r)| (l.as_str(), r));
        let at = when(
            rest.is_empty(),
            last.to_owned(),
            format!("{} and {last}", rest.join(", ")),
        );
        let mut said = vec![format!(
            "lay {} over this recess with a bridge of {at}",
            super::section::count(design.strips.len(), "strip", "strips")
        )];
        for strip in &design.strips {
            said.push(format!(
                "{}: {} at its peak without friction, {} marks",
                self.length(strip.bridge_mm),
                self.percent(strip.peak_pct),
                strip.marks
            ));
        }
        said.push(format!(
            "mark the flat film every {} from the inner edge of the left tape, across the bridge, before you press; afterwards read along the panel where each mark lies, line centre to line centre",
            self.length(design.marks_apart_mm)
        ));
        said.push(match design.friction_within {
            Some(within) if within < 0.5 => format!(
                "friction on the lips would be known to +-{}",
                self.steady(within, 2)
            ),
            _ => "marks on this recess would hardly tell friction: a deeper one would".to_owned(),
        });
        said.push(when(
            design.drag_apart,
            "drag over the flats would be told from it".to_owned(),
            "drag over the flats could not be told from it: hold the film clear of the flats, and say `--flats lifted`".to_owned(),
        ));
        said.push("leave the strips a week or more, one of them in the sun or post-heated as you would the job, and write down which held".to_owned());
        said
    }
}
