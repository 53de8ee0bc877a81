//! How far an answer can be off because its readings err, as data.

use serde::{Deserialize, Serialize};

/// How far an answer can be off because its readings err.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scatter {
    /// How far a reading errs in each direction, mm.
    pub noise_mm: f64,
    /// Length over which neighbours err alike, mm; 0 where they do not.
    pub noise_over_mm: f64,
    /// Times that noise was redrawn.
    pub draws: usize,
    /// Least width, mm: two standard deviations and 0.5 mm under the answer's, not under the
    /// mouth; `None` where there is no width.
    pub from_mm: Option<f64>,
    /// Largest width, mm.
    pub to_mm: Option<f64>,
    /// How far a lip (on a step's lower side the foot) can be off to either side, mm: two
    /// standard deviations and 0.1 mm, the larger of both.
    pub lips_mm: f64,
    /// Draws that were of another kind, or no recess.
    pub kind_changes: usize,
    /// Draws that had no width where the readings have one.
    pub without_width: usize,
    /// Whether no width can be said.
    pub too_rough: bool,
}
