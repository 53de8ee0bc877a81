//! The press of an answer as data.

use super::parts::Place;
use crate::section::Side;
use serde::{Deserialize, Serialize};

/// Where the press is, as a hand finds it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PressAt {
    /// In the middle of the deepest part of a channel.
    Middle,
    /// In the foot of a step.
    Foot,
    /// At the foot of a channel's left wall.
    LeftFoot,
    /// At the foot of a channel's right wall.
    RightFoot,
    /// Elsewhere on the floor.
    Floor,
}

/// The press of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PressReport {
    /// The place.
    #[serde(flatten)]
    pub place: Place,
    /// The same as a hand finds it.
    #[serde(flatten)]
    pub spot: PressSpot,
    /// Bridge width pressed in the middle instead, mm, rounded up; `None` where the press is
    /// the middle, or where no width does from there.
    pub middle_bridge_mm: Option<f64>,
}

/// Where a press is, as a hand finds it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PressSpot {
    /// How far from the middle of the deepest part, mm along the panel, + to the right.
    pub offset_mm: f64,
    /// Where that is.
    pub at: PressAt,
    /// The steeper wall, if one is by 5 degrees.
    pub steeper: Option<Side>,
    /// The nearer foot of a channel.
    pub nearer_foot: Option<Side>,
    /// Distance from it, mm along the panel.
    pub from_foot_mm: Option<f64>,
}

impl PressSpot {
    /// Is the press where the survey has it by itself: a channel's middle, a step's foot?
    pub fn is_middle(&self) -> bool {
        matches!(self.at, PressAt::Middle | PressAt::Foot)
    }
}
