//! What is to be said of a record beside its verdict, as data.

use serde::Serialize;

/// What was seen in a record, or taken for granted of it. Lines are those of the file.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum HeatNotice {
    /// The line was cut off while it was written, and is set aside.
    CutOff {
        /// Which.
        line: usize,
    },
    /// The last line has all its columns and no line end.
    Unclosed {
        /// Which.
        line: usize,
    },
    /// Pairs of lines with the same place, line, reading and time.
    Alike {
        /// The earlier and the later of each.
        lines: Vec<(usize, usize)>,
    },
    /// Readings that are earlier than the one above them.
    OutOfOrder {
        /// Which.
        lines: Vec<usize>,
    },
    /// Columns that nothing is read from.
    Unused {
        /// Their names.
        columns: Vec<String>,
    },
    /// Readings that later lines replace.
    Replaced {
        /// The number of the one replaced, and of that in its place.
        numbers: Vec<(u64, u64)>,
    },
    /// The class has no least temperature.
    NoMinimum {
        /// The class.
        film: String,
    },
    /// The class does not say its emissivity, nor did anybody.
    NoEmissivity {
        /// The class.
        film: String,
    },
    /// The emissivity was said, and not taken from the class.
    EmissivitySaid {
        /// It.
        emissivity: f64,
    },
    /// The instrument's error was not said.
    ErrorTaken {
        /// What is taken, degC.
        error_c: f64,
    },
    /// How far readings may be apart was not said.
    SpacingTaken {
        /// What is taken, mm.
        spacing_mm: f64,
    },
    /// The length of the recess was not said.
    NoLength,
    /// Some lines are named, and these usual ones are not.
    LinesNotRead {
        /// Their names.
        lines: Vec<String>,
    },
    /// Readings of which an instrument cannot say so much: the surroundings send more.
    Impossible {
        /// Their lines.
        lines: Vec<usize>,
    },
}
