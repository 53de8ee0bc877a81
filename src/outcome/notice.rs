//! What follows from trapped air and from the force of the fingers, as data.

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
