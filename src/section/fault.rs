//! What is wrong with a section, all of it at once.

use std::fmt;

/// One fault: where, what was found, what was expected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line of the file, or number of the point; `None` for the section as a whole.
    pub place: Option<usize>,
    /// What was found, with its number and unit.
    pub found: String,
    /// What was expected instead.
    pub expected: String,
}

impl Fault {
    pub(crate) fn at(place: usize, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            place: Some(place),
            found: found.into(),
            expected: expected.into(),
        }
    }

    pub(crate) fn whole(found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            place: None,
            found: found.into(),
            expected: expected.into(),
        }
    }
}

/// Every fault of a section that was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct SectionError {
    /// File or name of the section.
    pub name: String,
    /// The faults, in the order of their places; never empty.
    pub faults: Vec<Fault>,
}

/// Most faults that are written out one by one.
const MOST_SHOWN: usize = 20;

impl fmt::Display for SectionError {
    /// One fault a line, `name:place: found …, expected …`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.faults.iter().take(MOST_SHOWN).enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{}:", self.name)?;
            if let Some(place) = fault.place {
                write!(f, "{place}:")?;
            }
            write!(f, " found {}, expected {}", fault.found, fault.expected)?;
        }
        if self.faults.len() > MOST_SHOWN {
            write!(f, "\nand {} more faults", self.faults.len() - MOST_SHOWN)?;
        }
        Ok(())
    }
}
