//! The order of pressing: a name, and the list of moves it stands for.
//!
//! | order | moves |
//! |---|---|
//! | deepest-first, middle push | press, spread left, spread right |
//! | edge-first | flats, close, press |
//! | one-way | feed in |
//! | custom | those of its steps; any others than a press and its two spreads stay steps |
//!
//! What the list is says which closed form lays it ([`Way`]), and which moments the laying
//! has. Two edges that close in at once are one move: steps, done one after the other, can
//! only come near it. Nor can steps let film feed in: they work between two bond lines.

use super::steps::Steps;
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
    /// A list of [`Steps`]: laid by [`Bed::lay_under`](super::Bed::lay_under) with them.
    Custom,
}

/// One move of an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Move {
    /// The tool presses: its pad goes down at once, film on both sides drawn alike.
    Press,
    /// A front goes from the press out to the bond line of this side.
    Spread(Side),
    /// The film over the flats goes down as it lies.
    Flats,
    /// Both edges close in on the press at once, at rates proportional to their ways.
    Close,
    /// A front goes from bond line to bond line, film feeding in from this side.
    Feed(Side),
    /// A step of a list that is none of these: a second press, a front that stops.
    Step,
}

/// What a list of moves is: which closed form lays it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// A press, and from it a front to each bond line.
    Outwards,
    /// Both edges close in on a last press.
    Inwards,
    /// One front, film feeding in from this side.
    Along(Side),
    /// Step by step, free span by free span.
    Steps,
}

impl Way {
    /// Reads a list that lays all of the film.
    pub(super) fn of(moves: &[Move]) -> Self {
        match *moves {
            [Move::Press] | [Move::Press, Move::Spread(_)] => Self::Outwards,
            [Move::Press, Move::Spread(a), Move::Spread(b)] if a != b => Self::Outwards,
            [Move::Flats, Move::Close, Move::Press] => Self::Inwards,
            [Move::Feed(side)] => Self::Along(side),
            _ => Self::Steps,
        }
    }
}

/// What film can be laid by: an order that has a name, or steps.
#[derive(Debug, Clone, Copy)]
pub enum Sequence<'a> {
    /// Not [`Order::Custom`], which has no steps with it.
    Named(Order),
    /// Steps of one's own.
    Typed(&'a Steps),
}

impl From<Order> for Sequence<'_> {
    fn from(order: Order) -> Self {
        Self::Named(order)
    }
}

impl<'a> From<&'a Steps> for Sequence<'a> {
    fn from(steps: &'a Steps) -> Self {
        Self::Typed(steps)
    }
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

    /// The list of moves it stands for; empty for a custom one, whose moves are its steps.
    pub fn moves(self) -> &'static [Move] {
        use Side::{Left, Right};
        match self {
            Self::DeepestFirst | Self::MiddlePush => {
                &[Move::Press, Move::Spread(Left), Move::Spread(Right)]
            }
            Self::EdgeFirst => &[Move::Flats, Move::Close, Move::Press],
            Self::OneWay { loose: Left } => &[Move::Feed(Left)],
            Self::OneWay { loose: Right } => &[Move::Feed(Right)],
            Self::Custom => &[],
        }
    }

    /// Does film feed in from a loose side?
    pub fn feeds_in(self) -> bool {
        matches!(self, Self::OneWay { .. })
    }
}
