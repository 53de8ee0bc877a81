//! What a card is made from: the answer and what was asked in the bay; its rows and tasks.

use crate::advice::{Check, EndReport, Notice, Recommendation};
use crate::draw::PaperSize;
use crate::film::FilmClass;
use crate::outcome::Ends;
use crate::say::{Say, Voice};
use crate::section::Units;
use serde::{Deserialize, Serialize};

/// A blank to write into.
pub(crate) const BLANK: &str = "______";

/// Lengths are alike within this, mm.
pub(super) const ROUNDING: f64 = 1e-6;

/// How many ends are closed.
fn closed(ends: Ends) -> f64 {
    match ends {
        Ends::Open => 0.0,
        Ends::OneOpen => 1.0,
        Ends::Closed => 2.0,
    }
}

/// What the card asks of whoever has it made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Length of the recess along the panel, mm.
    pub length: Option<f64>,
    /// Its ends.
    pub ends: Option<Ends>,
    /// Tolerance the section was read with, mm; see [`Survey`](crate::Survey).
    pub gauge_tolerance: Option<f64>,
    /// Readings of tape and rule, as they were typed.
    pub typed: Option<String>,
    /// Units of the printed numbers.
    pub units: Units,
    /// The paper.
    pub paper: PaperSize,
}

/// A label with its value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Row {
    /// What it is.
    pub label: String,
    /// The value with its unit, or a blank to fill in.
    pub value: String,
}

/// One of the three things one does.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Task {
    /// `Tape`, `Press`, `Warm`; other words where there is no width.
    pub name: String,
    /// What is read from arm's length.
    pub big: String,
    /// The rest, line by line.
    pub lines: Vec<String>,
    /// Whether the lines are steps in order.
    pub numbered: bool,
}

/// What the model is built from, and the verdict.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Source<'a> {
    pub(crate) film: &'a FilmClass,
    pub(crate) advice: &'a Recommendation,
    /// The lay-down that is printed, or would be.
    pub(crate) case: &'a Check,
    pub(crate) asked: &'a Asked,
    /// Whether the case was fixed instead of recommended.
    pub(crate) fixed: bool,
}

impl Source<'_> {
    /// How the card speaks.
    pub(crate) fn voice(&self) -> Voice {
        Voice::paper(self.asked.units)
    }

    pub(crate) fn length(&self, mm: f64) -> String {
        self.voice().length(mm)
    }

    /// The closed ends: of the lay-down that was fixed, or of the recommended one.
    pub(crate) fn ends(&self) -> &[EndReport] {
        if self.fixed {
            &self.case.ends
        } else {
            &self.advice.ends
        }
    }

    /// Is each closed end laid within its limits?
    fn ends_do(&self) -> bool {
        let ends = self.ends();
        !ends.is_empty() && ends.iter().all(|end| end.within_limit)
    }

    /// Whether the recess is nowhere further than a bridge width from a closed end.
    fn too_short(&self) -> bool {
        if self.ends_do() {
            return false;
        }
        match (self.asked.length, self.asked.ends) {
            (Some(length), Some(ends)) => {
                closed(ends) > 0.0 && length <= closed(ends) * self.case.bridge_mm + ROUNDING
            }
            _ => false,
        }
    }

    /// Why no width is printed, if none is.
    pub(crate) fn refusal(&self) -> Option<String> {
        let case = self.case;
        if let Some(scatter) = self.advice.scatter.as_ref().filter(|s| s.too_rough) {
            let rough = Notice::Scatter(scatter.clone());
            return Some(rough.say(self.voice()));
        }
        if self.fixed && !case.within_limit {
            let voice = self.voice();
            return Some(format!(
                "{} at a bridge of {} was asked for, but its peak of {} is {}",
                case.order.name.word(),
                self.length(case.bridge_mm),
                voice.peak_beside(case.peak_pct, case.film.limit_pct),
                voice.verdict(case)
            ));
        }
        if !self.fixed && self.advice.recommended.is_none() {
            return Some(self.advice.reason.say(self.voice()));
        }
        self.too_short().then(|| {
            format!(
                "the recess is {} long, so all of it lies within a bridge width ({}) of a closed end, where film stretches two ways and no width is known",
                self.length(self.asked.length.unwrap_or_default()),
                self.length(case.bridge_mm)
            )
        })
    }

    /// Distance from a closed end within which the width does not hold.
    pub(crate) fn not_within(&self) -> Option<f64> {
        let away = self.ends().iter().filter_map(EndReport::laid);
        let away = away.fold(self.case.bridge_mm, |far, end| far.max(end.felt_mm));
        (self.asked.ends != Some(Ends::Open) && !self.ends_do()).then_some(away)
    }
}

/// Straight distance between the bond lines, mm.
pub(crate) fn tape_to_tape(case: &Check) -> f64 {
    let (a, b) = (case.bond_left, case.bond_right);
    (b.x_mm - a.x_mm).hypot(b.y_mm - a.y_mm)
}

/// Does the card say it in its own place: by the tapes, among the steps, under its limits?
pub(super) fn elsewhere(notice: &Notice, has_width: bool) -> bool {
    match notice {
        Notice::NearClosedEnd { .. } | Notice::OutOfReach { .. } | Notice::Air { .. } => has_width,
        Notice::GoesOnAlike => true,
        _ => false,
    }
}
