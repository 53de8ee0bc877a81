//! What was said of the ends of a recess along the vehicle.

use super::answer::{ClosedEnd, WhichEnd};
use super::question::Question;
use super::question_error::QuestionError;
use crate::ends::{EndKind, EndText, read_end};
use crate::outcome::Ends;

/// Clear panel beyond an end's lip where nothing was said, mm.
pub(super) const CLEAR_END: f64 = 300.0;
/// Most of it, mm.
const MOST_CLEAR: f64 = 10_000.0;

/// The ends of a recess, of which one at least is closed.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedEnds {
    /// The closed ends, those that are alike together.
    pub ends: Vec<ClosedEnd>,
    /// How many run out.
    pub open: Ends,
    /// Length of the recess between the tips of its ends, mm.
    pub length: Option<f64>,
    /// Clear panel beyond an end's lip, mm, if it was said.
    pub clear_end: Option<f64>,
    /// From the end of the press line to the end's foot, mm.
    pub press_stop: Option<f64>,
}

impl ClosedEnds {
    /// Clear panel beyond an end's lip, mm.
    pub fn clear(&self) -> f64 {
        self.clear_end.unwrap_or(CLEAR_END)
    }

    /// Half the length, where both ends are closed and the recess is a pocket.
    pub(super) fn half_length(&self) -> Option<f64> {
        let both = self.open == Ends::Closed;
        self.length.filter(|_| both).map(|length| 0.5 * length)
    }
}

impl Question {
    /// What is said of the ends: of each, and in a word for both.
    ///
    /// # Errors
    /// A text that cannot be read, two that contradict each other, a number out of range.
    pub fn closed_ends(&self) -> Result<Option<ClosedEnds>, QuestionError> {
        let units = self.units.unwrap_or_default();
        let read = |key: &'static str, text: &Option<String>| {
            let read = text.as_ref().map(|text| read_end(key, text, units));
            read.transpose()
        };
        let (left, right) = (
            read("end_left", &self.end_left)?,
            read("end_right", &self.end_right)?,
        );
        let word = self.bay.as_ref().and_then(|bay| bay.ends);
        let rounded = EndText {
            kind: EndKind::Rounded,
            ..EndText::default()
        };
        let typed = left.is_some() || right.is_some();
        let runs_out = |end: Option<EndText>| end.is_some_and(|e| e.kind == EndKind::Open);
        // Of an end of which nothing was said the word speaks.
        let one = |which, own: Option<EndText>, other: Option<EndText>| {
            let assumed = own.is_none();
            let rest = match word {
                Some(Ends::Closed) => Some(rounded),
                Some(Ends::OneOpen) if runs_out(other) => Some(rounded),
                _ => None,
            };
            let text = own.or(rest).filter(|end| end.kind != EndKind::Open)?;
            Some(ClosedEnd {
                which,
                text,
                assumed,
            })
        };
        let ends = match (
            one(WhichEnd::Left, left, right),
            one(WhichEnd::Right, right, left),
        ) {
            (Some(l), Some(r)) if (l.text, l.assumed) == (r.text, r.assumed) => vec![ClosedEnd {
                which: WhichEnd::Both,
                ..l
            }],
            (None, None) if word == Some(Ends::OneOpen) && !typed => vec![ClosedEnd {
                which: WhichEnd::Closed,
                text: rounded,
                assumed: true,
            }],
            (l, r) => l.into_iter().chain(r).collect(),
        };
        let open = match &ends[..] {
            [] => Ends::Open,
            [one] if one.which != WhichEnd::Both => Ends::OneOpen,
            _ => Ends::Closed,
        };
        if typed && word.is_some_and(|word| word != open) {
            return Err(QuestionError::EndsDisagree);
        }
        let clear_end = |mm| super::question::within("clear_end_mm", mm, (0.0, false), MOST_CLEAR);
        let press_stop = |mm| super::question::within("press_stop_mm", mm, (0.0, true), MOST_CLEAR);
        let said = ClosedEnds {
            open,
            length: self.length()?,
            clear_end: self.clear_end_mm.map(clear_end).transpose()?,
            press_stop: self.press_stop_mm.map(press_stop).transpose()?,
            ends,
        };
        if said.ends.is_empty() {
            for (key, said) in [
                ("clear_end_mm", said.clear_end),
                ("press_stop_mm", said.press_stop),
            ] {
                if said.is_some() {
                    return Err(QuestionError::NoClosedEnd(key));
                }
            }
            return Ok(None);
        }
        Ok(Some(said))
    }
}
