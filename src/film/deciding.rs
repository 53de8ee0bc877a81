//! Which number of a profile is meant, where it decides and is invented.

use serde::{Deserialize, Serialize};

/// A number of a film class.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum FilmNumber {
    /// Its limit.
    Limit,
    /// Its limit between the lips.
    RecessLimit,
    /// The limit of a layer.
    LayerLimit {
        /// The layer.
        layer: String,
    },
    /// Its stiffness.
    Stiffness,
    /// Its thickness.
    Thickness,
    /// Stiffness or thickness of its layers.
    Layers,
    /// Its friction on lips.
    LipFriction,
    /// Its drag over flats.
    Drag,
    /// Its peel test.
    Peel,
    /// What is left of the peel energy under a load that lasts.
    LongTermFactor,
    /// What post-heating leaves of the tension.
    StressLeft,
    /// The temperature of a hot day.
    HotDay,
    /// The hold ratio at which a trial piece let go.
    LetGo,
    /// The force of a press, measured over computed.
    ForceFactor,
    /// Its price.
    Price,
    /// The minutes it takes.
    Minutes {
        /// In which order, as `minutes_per_m` names it.
        order: String,
    },
    /// Its least temperature of post-heating.
    PostHeatMin,
    /// Its most.
    PostHeatMax,
    /// Its emissivity.
    Emissivity,
}

/// A number of a tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ToolNumber {
    /// The width of its pad.
    Pad,
    /// The radius of its tip.
    TipRadius,
    /// The length of its contact along the recess.
    ContactLength,
}
