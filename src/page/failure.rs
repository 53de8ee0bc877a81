//! Why there is no answer, for the page.

use crate::Said;
use crate::advice::{Question, QuestionError, SectionFault};
use crate::fault::Hint;
use crate::say::Voice;
use crate::section::RecessError;
use serde::Serialize;

/// Why there is no answer.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub(super) struct Failure {
    /// What was found, and what was expected.
    pub(super) message: String,
    /// One thing to try.
    pub(super) hint: Option<String>,
    /// Key of the setting that answers what is asked back.
    pub(super) setting: Option<&'static str>,
    /// Faults of the section, each with its place.
    pub(super) faults: Vec<SectionFault>,
    /// The request could not be read at all.
    pub(super) request: bool,
}

impl From<Said> for Failure {
    fn from(said: Said) -> Self {
        Self {
            message: said.message,
            hint: said.hint,
            ..Self::default()
        }
    }
}

impl Failure {
    /// Why a question has no answer, for those who asked it.
    pub(super) fn why(error: &QuestionError, question: &Question) -> Self {
        let to = Voice::page(question.print_units());
        let faults = match error {
            QuestionError::Refused(refused) => refused.rows(to),
            _ => Vec::new(),
        };
        Self {
            setting: setting(error),
            faults,
            ..error.said(to).into()
        }
    }
}

/// Key of the setting that answers what is asked back.
fn setting(error: &QuestionError) -> Option<&'static str> {
    match error {
        QuestionError::Turned { turned: key, .. } | QuestionError::OutOfRange { key, .. } => {
            Some(key)
        }
        QuestionError::Recess {
            error: RecessError::Hill { .. },
            ..
        } => Some("depths"),
        QuestionError::Refused(refused) => refused.faults.iter().find_map(|f| match f.hint {
            Some(Hint::SayUnits) => Some("units"),
            Some(Hint::TurnRound) => Some("leftwards"),
            _ => None,
        }),
        _ => None,
    }
}

/// A number from 0 to `most`.
pub(super) fn bounded(
    key: &'static str,
    value: f64,
    most: f64,
    question: &Question,
) -> Result<f64, Failure> {
    if (0.0..=most).contains(&value) {
        return Ok(value);
    }
    let above = (0.0, false);
    let error = QuestionError::OutOfRange {
        key,
        value,
        above,
        most,
    };
    Err(Failure::why(&error, question))
}
