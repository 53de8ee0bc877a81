//! What follows from trapped air, from the force of the fingers and from the hold, as data.

use super::effort::Effort;
use crate::film::FilmNumber;
use crate::section::Zone;
use serde::{Deserialize, Serialize};

/// What trapped air asks of the hands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum AirNotice {
    /// None is shut in.
    NoneShutIn,
    /// It leaves by the film's channels.
    ByChannels,
    /// No channels: it is worked from the closed end to the open one.
    FromClosedEnd,
    /// No channels: it is worked to an open end.
    ToOpenEnd,
    /// No channels and no open end.
    NoWayOut,
    /// The class does not say whether the film has channels.
    ChannelsNotSaid,
}

/// What the force of the fingers asks, or why it is not known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ForceNotice {
    /// How hard it is.
    Ranked {
        /// How hard.
        effort: Effort,
        /// What pressing takes, N.
        largest_n: f64,
        /// Where, abscissa, mm.
        at_x_mm: f64,
        /// What a hand gives, N.
        hand_n: f64,
        /// Is that invented?
        hand_invented: bool,
        /// Temperature of the film, degC, where it is known.
        temperature_c: Option<f64>,
        /// Was a press of this film measured?
        measured: bool,
    },
    /// More than a hand gives.
    TooMuch {
        /// What pressing takes, N.
        largest_n: f64,
        /// What a hand gives, N.
        hand_n: f64,
        /// Temperature of the film at which it does, degC.
        enough_at_c: Option<f64>,
        /// Where none does, the temperature that leaves least, degC, and the force there, N.
        least_at_c: Option<[f64; 2]>,
    },
    /// The class has no table of stiffness.
    NoStiffness {
        /// The class.
        film: String,
    },
    /// The tool has no contact length.
    NoContactLength {
        /// The tool.
        tool: String,
    },
    /// The peak is not finite, and neither is the force.
    NotFinite,
    /// The stiffness could not be had.
    NotKnown {
        /// Why.
        why: String,
    },
}

/// What is to be said of the hold of laid film.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum HoldNotice {
    /// The hold ratios, and where film would let go first.
    Ratios {
        /// On a hot day after post-heating.
        hot_day: Option<f64>,
        /// After post-heating.
        post_heated: Option<f64>,
        /// As laid.
        as_laid: Option<f64>,
        /// Where it would let go.
        zone: Zone,
        /// From where, abscissa, mm.
        from_x_mm: f64,
        /// To where, abscissa, mm; the same at the end of a gap.
        to_x_mm: f64,
    },
    /// No trial piece has set it.
    Ranking,
    /// It is known at which ratio a trial piece let go.
    BesideTrial {
        /// On a hot day.
        ratio: f64,
        /// Where the trial piece let go.
        let_go: f64,
    },
    /// The film is not stretched, or nowhere over a hollow.
    NothingPulls,
    /// The class lacks a number.
    Missing {
        /// The class.
        film: String,
        /// Which.
        number: FilmNumber,
    },
    /// The class's table does not reach the temperature of its hot day.
    NotAtHeat {
        /// The class.
        film: String,
        /// How hot, degC.
        hot_c: f64,
    },
    /// A tensile curve says nothing of a hot day.
    CurveHasNoHeat,
    /// The peak is not finite.
    NotFinite,
    /// The stiffness could not be had.
    NotKnown {
        /// Why.
        why: String,
    },
}
