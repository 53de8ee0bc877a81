//! Why a question has no answer. The keys in the sentences are called as they are where the
//! question was asked: `pad_mm` on the page, `--pad` on the command line.

use crate::film::{LawError, closest};
use crate::laydown::{BondError, LayError, Order, StepsError};
use crate::section::{RecessError, SectionError};
use std::fmt;

/// Why a question has no answer.
#[derive(Debug)]
#[non_exhaustive]
pub enum QuestionError {
    /// No section was given.
    NoSection,
    /// No film class was given.
    NoFilm,
    /// A file was named where none is read.
    NoFiles(String),
    /// A key that turns typed heights stands beside a section without.
    Turned {
        /// The key.
        turned: &'static str,
        /// The section's key.
        section: &'static str,
    },
    /// A number is out of range.
    OutOfRange {
        /// Its key.
        key: &'static str,
        /// The number as found.
        found: String,
        /// What was expected.
        expected: &'static str,
        /// One thing to try.
        hint: &'static str,
    },
    /// A name is not in the catalogue.
    Unknown {
        /// What the name is for.
        what: &'static str,
        /// The name.
        name: String,
        /// What there is.
        names: Vec<String>,
    },
    /// Ranges of warm film where the width is open.
    OpenWidth,
    /// A bond line without its fellow, or beside a width.
    LoneBond,
    /// A middle push with a bridge.
    PushWithBridge,
    /// An order that needs a bridge, without one.
    NoBridge(Order),
    /// What a name stands for could not be read; in words.
    Told(String),
    /// The section cannot be read.
    Section(SectionError),
    /// There is no recess in the section, or not the one asked for.
    Recess {
        /// Name of the section.
        name: String,
        /// Why.
        error: RecessError,
    },
    /// The class's stiffness is not known where it matters.
    Law(LawError),
    /// The film cannot be laid.
    Lay(LayError),
    /// The steps cannot be read.
    Steps(StepsError),
}

impl QuestionError {
    /// In words, with a hint where there is one; `called` tells what a key is called.
    pub fn words(&self, called: &dyn Fn(&str) -> String) -> String {
        let key = |key: &str| format!("`{}`", called(key));
        match self {
            Self::NoSection => "no section was given".to_owned(),
            Self::NoFilm => "no film class was given".to_owned(),
            Self::NoFiles(path) => {
                format!("the file `{path}` was named, but no files are read here")
            }
            Self::Turned { turned, section } => {
                let (turned, section) = (key(turned), key(section));
                format!(
                    "{turned} was found beside {section}, but it turns readings with heights: a file, {} or {}\n\nhint: leave {turned} out, the depth of {section} is positive as it is",
                    called("points"),
                    called("comb")
                )
            }
            Self::OutOfRange {
                key: of,
                found,
                expected,
                hint,
            } => format!(
                "{} is {found}, but {expected} was expected\n\nhint: {hint}",
                key(of)
            ),
            Self::Unknown {
                what,
                name,
                names: all,
            } => {
                let hint = closest(name, all.iter().map(String::as_str))
                    .map_or_else(String::new, |n| format!("\n\nhint: did you mean `{n}`?"));
                format!(
                    "{what} `{name}` is not in the catalogue, which has: {}{hint}",
                    all.join(", ")
                )
            }
            Self::OpenWidth => format!(
                "{} with ranges of film was found, but they count from a bond line, and here the width is still open\n\nhint: warm `whole`, `mouth` or `flats`, or ask for a check at a width",
                key("warm")
            ),
            Self::LoneBond => format!(
                "a bond line without its fellow, or beside {0}, was found\n\nhint: give {0}, or both {1} and {2}",
                key("bridge_mm"),
                key("bond_left_x_mm"),
                key("bond_right_x_mm")
            ),
            Self::PushWithBridge => format!(
                "a middle push with a bridge was found, but a middle push is bonded at the lips and takes no bridge\n\nhint: leave {} or the bond lines out, or choose the order `deepest-first`",
                key("bridge_mm")
            ),
            Self::NoBridge(order) => format!(
                "no bridge was given, but the order `{}` needs one\n\nhint: give {}; the question `recommend` finds the width",
                order.name(),
                key("bridge_mm")
            ),
            Self::Told(words) => words.clone(),
            Self::Section(error) => error.to_string(),
            Self::Recess { name, error } => format!("{name}: {error}"),
            Self::Law(error) => error.to_string(),
            Self::Lay(error) => error.to_string(),
            Self::Steps(error) => error.to_string(),
        }
    }
}

impl fmt::Display for QuestionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(&str::to_owned))
    }
}

impl std::error::Error for QuestionError {}

impl From<SectionError> for QuestionError {
    fn from(error: SectionError) -> Self {
        Self::Section(error)
    }
}

impl From<LawError> for QuestionError {
    fn from(error: LawError) -> Self {
        Self::Law(error)
    }
}

impl From<BondError> for QuestionError {
    fn from(error: BondError) -> Self {
        Self::Lay(error.into())
    }
}

impl From<LayError> for QuestionError {
    fn from(error: LayError) -> Self {
        Self::Lay(error)
    }
}

impl From<StepsError> for QuestionError {
    fn from(error: StepsError) -> Self {
        Self::Steps(error)
    }
}
