//! What is asked in the bay: which film is warm, how round the lip is, how the film lies over
//! the flats. Friction and drag that follow are invented for the demo and marked so in every
//! answer that rests on them; raw numbers take their place.

use crate::film::TensileCurve;
use crate::laydown::Laying;
use crate::outcome::Ends;
use serde::{Deserialize, Serialize};

/// Temperature of film that nobody warmed, degC.
pub const AMBIENT: f64 = 20.0;

/// How round the lips are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum LipShape {
    /// A sharp edge
    Sharp,
    /// As round as a pencil
    Pencil,
    /// As round as a thumb
    Thumb,
}

impl LipShape {
    /// Friction coefficient, invented for the demo.
    pub fn friction(self) -> f64 {
        match self {
            Self::Sharp => 0.4,
            Self::Pencil => 0.3,
            Self::Thumb => 0.2,
        }
    }
}

/// How the film lies over the flats before it is laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum FlatState {
    /// Held off the panel
    Lifted,
    /// On its backing
    Backing,
    /// Touching with its adhesive
    Touching,
}

impl FlatState {
    /// Drag, kPa, invented for the demo but for the 0 of lifted film.
    pub fn drag_kpa(self) -> f64 {
        match self {
            Self::Lifted => 0.0,
            Self::Backing => 0.5,
            Self::Touching => 5.0,
        }
    }
}

/// Which film is warmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum WarmZone {
    /// The whole bridge.
    #[default]
    Whole,
    /// The film between the lips.
    Mouth,
    /// The film over the flats.
    Flats,
}

impl WarmZone {
    /// The name used on the command line and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Mouth => "mouth",
            Self::Flats => "flats",
        }
    }
}

/// A range of the flat film and its temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WarmRange {
    /// Where it begins, mm of flat film from the left bond line.
    #[serde(rename = "from_mm")]
    pub from: f64,
    /// Where it ends, mm.
    #[serde(rename = "to_mm")]
    pub to: f64,
    /// Its temperature, degC.
    #[serde(rename = "warm_c")]
    pub celsius: f64,
}

/// What was said in the bay; `None` where nothing was.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Bay {
    /// How round the lips are.
    pub lip: Option<LipShape>,
    /// How the film lies over the flats.
    pub flats: Option<FlatState>,
    /// Friction coefficient of film on the lips, in place of what `lip` sets.
    pub lip_friction: Option<f64>,
    /// Drag on the flats, kPa, in place of what `flats` sets.
    pub drag_kpa: Option<f64>,
    /// Which film is warmed.
    pub warm: Option<WarmZone>,
    /// To what, degC; unsaid the softest row of the class's table.
    pub warm_c: Option<f64>,
    /// Warm ranges of the flat film, left to right, in place of `warm`; none.
    pub ranges: Vec<WarmRange>,
    /// The rest of the film, degC; unsaid [`AMBIENT`].
    pub ambient_c: Option<f64>,
    /// Laying rule.
    pub laying: Laying,
    /// The user's own tensile curve, in place of the class's table.
    #[serde(skip)]
    pub curve: Option<TensileCurve>,
    /// Whether the recess runs out at its ends along the vehicle; unsaid open.
    pub ends: Option<Ends>,
    /// What a hand gives at most, N; unsaid [`HAND_FORCE`](crate::outcome::HAND_FORCE).
    #[serde(rename = "hand_force_n")]
    pub hand_force: Option<f64>,
}
