//! The order of pressing.

use crate::section::Side;
use serde::{Deserialize, Serialize};

/// In which order the film is pressed on to the recess.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Press the deepest zone (a step: the foot), then work outwards to both bond lines.
    DeepestFirst,
    /// Lay the flats, then work down both walls on to the deepest zone.
    EdgeFirst,
    /// Deepest first with both bond lines at the lips: no reach.
    MiddlePush,
    /// Lay from one side to the other, the far side feeding in.
    OneWay {
        /// The side that runs loose.
        loose: Side,
    },
    /// A list of steps, see [`Steps`](super::Steps): laid by
    /// [`Bed::lay_steps`](super::Bed::lay_steps).
    Custom,
}

/// An order that has a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum OrderName {
    /// Press the deepest part first, then work outwards
    #[default]
    DeepestFirst,
    /// Lay the flats, then work down the walls
    EdgeFirst,
    /// Deepest first with the film bonded right at the lips
    MiddlePush,
    /// Lay from one side to the other, the far side feeding in
    OneWay,
    /// A list of steps
    #[cfg_attr(feature = "cli", value(skip))]
    Custom,
}

impl OrderName {
    /// Those that can be asked for by name.
    pub const ALL: [Self; 4] = [
        Self::DeepestFirst,
        Self::EdgeFirst,
        Self::MiddlePush,
        Self::OneWay,
    ];

    /// The name used on the command line and in JSON.
    pub fn name(self) -> &'static str {
        self.order(Side::Right).name()
    }

    /// The order; `loose` is the side that runs loose, if one does.
    pub fn order(self, loose: Side) -> Order {
        match self {
            Self::DeepestFirst => Order::DeepestFirst,
            Self::EdgeFirst => Order::EdgeFirst,
            Self::MiddlePush => Order::MiddlePush,
            Self::OneWay => Order::OneWay { loose },
            Self::Custom => Order::Custom,
        }
    }
}

impl Order {
    /// Its name.
    pub fn named(self) -> OrderName {
        match self {
            Self::DeepestFirst => OrderName::DeepestFirst,
            Self::EdgeFirst => OrderName::EdgeFirst,
            Self::MiddlePush => OrderName::MiddlePush,
            Self::OneWay { .. } => OrderName::OneWay,
            Self::Custom => OrderName::Custom,
        }
    }

    /// The name used on the command line and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::DeepestFirst => "deepest-first",
            Self::EdgeFirst => "edge-first",
            Self::MiddlePush => "middle-push",
            Self::OneWay { .. } => "one-way",
            Self::Custom => "custom",
        }
    }

    /// Does film feed in from a loose side?
    pub fn feeds_in(self) -> bool {
        matches!(self, Self::OneWay { .. })
    }
}
