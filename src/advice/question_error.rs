//! Why a question has no answer, as data: `say` has the words.

use crate::fault::Refused;
use crate::film::LawError;
use crate::laydown::{BondError, LayError, Order};
use crate::section::RecessError;

/// Why a question has no answer. Keys are those of a [`Question`](super::Question).
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
        value: f64,
        /// The least, and whether it is out of range itself.
        above: (f64, bool),
        /// The most.
        most: f64,
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
    /// One text says of the ends what another denies.
    EndsDisagree,
    /// A key that is about a closed end, where none is.
    NoClosedEnd(&'static str),
    /// An order that needs a bridge, without one.
    NoBridge(Order),
    /// Nothing could be laid in any order.
    NoOrder,
    /// A file could not be read, in the words of the system.
    Unread(String),
    /// A text cannot be read: a section, a class, a tool, steps.
    Refused(Refused),
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
}

impl From<Refused> for QuestionError {
    fn from(error: Refused) -> Self {
        Self::Refused(error)
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
