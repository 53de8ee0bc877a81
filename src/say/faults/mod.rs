//! Faults in words: where, what was found, what was expected, and one thing to try.
//!
//! Readers and solvers state a fault as data; here it becomes a sentence and a hint, in the
//! units of a [`Voice`], with flags, controls of the page or neither.

mod hints;
mod laying;
mod named;
mod question;

use super::Voice;
use crate::fault::{At, Fault, Part, Phrase, Refused};
use hints::hint;
use std::fmt;

/// Most faults that are written out one by one.
const MOST_SHOWN: usize = 20;

/// A fault in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// Where, what was found, what was expected.
    pub message: String,
    /// One thing to try.
    pub hint: Option<String>,
}

impl Said {
    /// What was found, and what was expected in its place.
    pub(crate) fn new(found: impl fmt::Display, expected: impl fmt::Display) -> Self {
        Self {
            message: format!("found {found}, expected {expected}"),
            hint: None,
        }
    }

    /// The same with one thing to try.
    pub(crate) fn hint(self, hint: impl Into<Option<String>>) -> Self {
        let hint = hint.into();
        Self { hint, ..self }
    }

    /// The same behind where it is.
    pub(crate) fn at(self, place: impl fmt::Display) -> Self {
        let message = format!("{place}: {}", self.message);
        Self { message, ..self }
    }
}

impl fmt::Display for Said {
    /// The fault, a blank line, and one thing to try.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        self.hint
            .as_ref()
            .map_or(Ok(()), |hint| write!(f, "\n\nhint: {hint}"))
    }
}

impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&Voice::PLAIN.phrase(self))
    }
}

/// Where in a text, as `door.csv:15: ` or `step 2: ` has it; empty for all of it.
fn place(name: &str, at: &At) -> String {
    let line = at.place.map_or_else(String::new, |k| format!("{k}:"));
    let part = match &at.part {
        Part::Whole => String::new(),
        Part::Key(key) => format!(" `{key}`:"),
        Part::Step(step) => format!(" step {step}:"),
    };
    let name = if name.is_empty() {
        String::new()
    } else {
        format!("{name}:")
    };
    format!("{name}{line}{part} ")
}

impl Fault {
    /// In words, on its own.
    pub fn said(&self, to: Voice) -> Said {
        let (found, expected) = (to.phrase(&self.found), to.phrase(&self.expected));
        let said = Said::new(found, expected).hint(self.hint.as_ref().map(|h| hint(h, to)));
        match place("", &self.at).trim() {
            "" => said,
            place => said.at(place.trim_end_matches(':')),
        }
    }
}

impl fmt::Display for Fault {
    /// On one line, its hint behind a semicolon.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Said { message, hint } = self.said(Voice::PLAIN);
        f.write_str(&message)?;
        hint.map_or(Ok(()), |hint| write!(f, "; {hint}"))
    }
}

impl std::error::Error for Fault {}

impl Refused {
    /// In words: one fault a line, `name:place: found …, expected …`, and a hint that all of
    /// them share once; else each has its own behind it.
    pub fn said(&self, to: Voice) -> Said {
        let first = self.faults.first().and_then(|fault| fault.hint.as_ref());
        let shared = self.faults.iter().all(|fault| fault.hint.as_ref() == first);
        let line = |fault: &Fault| {
            let (found, expected) = (to.phrase(&fault.found), to.phrase(&fault.expected));
            let own = fault.hint.as_ref().filter(|_| !shared);
            let own = own.map_or_else(String::new, |own| format!("; {}", hint(own, to)));
            let place = place(&self.name, &fault.at);
            format!("{place}found {found}, expected {expected}{own}")
        };
        let mut lines: Vec<String> = self.faults.iter().take(MOST_SHOWN).map(line).collect();
        if self.faults.len() > MOST_SHOWN {
            lines.push(format!(
                "and {} more faults",
                self.faults.len() - MOST_SHOWN
            ));
        }
        Said {
            message: lines.join("\n"),
            hint: first.filter(|_| shared).map(|first| hint(first, to)),
        }
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl std::error::Error for Refused {}
