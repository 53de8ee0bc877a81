//! What was seen in a survey, and what was assumed of the panel, as data.

use super::Units;
use super::kind::Side;
use serde::{Deserialize, Serialize};

/// Something worth saying about a section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum SectionNotice {
    /// Points that repeat the one before were dropped.
    Repeated {
        /// How many.
        count: usize,
        /// Line or number of the first.
        first: usize,
    },
    /// Numbers without a unit were taken to be in one.
    UnitsTaken {
        /// Is there no header that could say?
        headless: bool,
        /// The unit.
        unit: Units,
    },
    /// Heights were read as depths, positive into the panel.
    Depths,
    /// Readings that go from right to left were turned round.
    TurnedRound {
        /// Does x count from the right, and so is negative now?
        from_right: bool,
    },
    /// The survey is tilted.
    Tilted {
        /// By how much, degrees.
        deg: f64,
        /// Was it turned level?
        turned: bool,
    },
    /// Readings that stand off the panel were dropped.
    Slips {
        /// Their numbers, and by how much each is off, mm.
        all: Vec<(usize, f64)>,
    },
    /// Straight pieces were fitted to readings that err.
    Fitted {
        /// How far each reading errs, mm.
        noise_mm: f64,
        /// Length over which neighbours err alike, mm; 0 where they do not.
        noise_over_mm: f64,
        /// Straight pieces.
        pieces: usize,
        /// Rounded corners.
        rounded: usize,
        /// Readings that they were fitted to.
        readings: usize,
    },
    /// Readings at even steps, or with a gap: corners that lie between them were put where they may
    /// lie at worst, and what is narrower was not seen.
    BetweenReadings {
        /// How many corners; 0 where none lies between.
        count: usize,
        /// The step, or the longest gap, mm.
        step_mm: f64,
    },
    /// Walls that ran back were squared off as vertical.
    Squared {
        /// By how much they ran back, mm.
        mm: f64,
    },
    /// One of several recesses was taken.
    OneOfSeveral {
        /// How many there are.
        count: usize,
        /// Which was taken, from the left, counted from 1.
        number: usize,
        /// Is another as deep?
        equal: bool,
    },
    /// The reach ends at the next recess.
    NextRecess {
        /// On which side.
        side: Side,
        /// How far out, mm.
        mm: f64,
    },
    /// An end of the survey falls inwards, and the panel beyond it was made up.
    EndFalls {
        /// Which end.
        side: Side,
        /// Along the mouth line (a channel), or parallel to the other flat (a step)?
        along_mouth: bool,
    },
}
