//! How hard pressing is: a word that stands while no press has been measured.

use serde::{Deserialize, Serialize};

/// Part of what a hand gives up to which pressing is easy; invented. Less and nothing is easy but
/// an empty recess; more and a hand is tired before the channel ends.
const EASY: f64 = 0.25;

/// How hard pressing is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Effort {
    /// At most a quarter of what a hand gives.
    Easy,
    /// At most what a hand gives.
    Firm,
    /// More, and the film can be warmer.
    TooCold,
    /// More, however warm.
    TooStiff,
}

impl Effort {
    /// Ranks a force beside that of a hand, N; `warmer`: would warmer film do?
    pub(crate) fn of(force: f64, hand: f64, warmer: bool) -> Self {
        match force {
            n if n <= EASY * hand => Self::Easy,
            n if n <= hand => Self::Firm,
            _ if warmer => Self::TooCold,
            _ => Self::TooStiff,
        }
    }
}
