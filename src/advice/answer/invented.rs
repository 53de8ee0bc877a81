//! Numbers that decide and are invented, as data.

use crate::advice::bay::{FlatState, LipShape};
use crate::film::{FilmNumber, ToolNumber};
use serde::{Deserialize, Serialize};

/// A number that decides and is invented.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Invented {
    /// Of a film class.
    Film {
        /// The class.
        film: String,
        /// Which number.
        number: FilmNumber,
    },
    /// Of a tool.
    Tool {
        /// The tool.
        tool: String,
        /// Which number.
        number: ToolNumber,
    },
    /// Friction of a lip as round as was said.
    LipFriction {
        /// How round.
        lip: LipShape,
        /// Friction coefficient.
        friction: f64,
    },
    /// Drag of film that lies as was said.
    Drag {
        /// How it lies.
        flats: FlatState,
        /// Drag, kPa.
        drag_kpa: f64,
    },
    /// What a hand gives.
    HandForce {
        /// Force, N.
        force_n: f64,
    },
    /// How far a hand is off the mark.
    HandOff {
        /// With the press, mm; 0: not at all.
        press_mm: f64,
        /// With each tape, mm; 0: not at all.
        tapes_mm: f64,
    },
}
