//! What the hands do, step by step, as data.

use super::press::PressSpot;
use crate::section::{Mark, Side};
use serde::{Deserialize, Serialize};

/// One step of the work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "does", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Doing {
    /// Bond the film outside the two tapes.
    BondOutside,
    /// Bond it down to the lip of a step.
    BondToLip,
    /// Bond both flats up to the lips.
    BondFlats,
    /// Lay the flats up to the lips.
    LayFlats,
    /// Lay one flat.
    LayFlat {
        /// Which.
        side: Side,
    },
    /// Press the film into the foot of a step.
    PressFoot,
    /// Press it down, along the whole recess.
    PressFirst {
        /// Where; `None`: on to the deepest part.
        at: Option<PressSpot>,
    },
    /// Push it in, towards the end that is open.
    PushIn {
        /// Where; `None`: along the middle.
        at: Option<PressSpot>,
        /// Is there an open end to push towards, as far as is known?
        open_end: bool,
    },
    /// Press the last film down.
    PressLast {
        /// Where; `None`: at the deepest part.
        at: Option<PressSpot>,
    },
    /// Work up the wall and out along the lower flat.
    UpAndOut,
    /// Work outwards over floor, walls and lips.
    Outwards,
    /// Work up the wall, then lay the lower flat.
    UpThenFlat,
    /// Work outwards up both walls.
    UpWalls,
    /// Work down the walls.
    DownWalls,
    /// Work down one wall, over the floor and up the other, one side loose.
    Across {
        /// The loose side.
        loose: Side,
    },
    /// Press where a list of steps says.
    Press {
        /// Where.
        at: Onto,
        /// With what, where that is worth saying: at the first press.
        tool: Option<String>,
    },
    /// Work along the panel as a list of steps says.
    Spread {
        /// From where.
        from: Start,
        /// To which side.
        side: Side,
        /// How far.
        to: End,
    },
}

/// A place, measured level and plumb from the nearer lip (a step: lip or foot).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bearing {
    /// The corner it is measured from.
    pub from: Mark,
    /// How far to the right of it, mm.
    pub right_mm: f64,
    /// How far above it, mm.
    pub up_mm: f64,
}

/// Where film is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "onto", rename_all = "kebab-case")]
pub enum Onto {
    /// Into the foot of a step.
    Foot,
    /// On to the deepest part.
    Deepest {
        /// Where that is.
        spot: Bearing,
    },
    /// Elsewhere.
    Place {
        /// Where.
        spot: Bearing,
    },
}

/// Where a spread sets out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "start", rename_all = "kebab-case")]
pub enum Start {
    /// Where the step before pressed.
    There,
    /// At the film pressed last.
    PressedLast,
    /// At a tape, inwards.
    Tape {
        /// Which.
        side: Side,
    },
    /// At the film that a step pressed.
    Step {
        /// Its number, from 1.
        number: usize,
    },
    /// At film that is down.
    Place {
        /// Where.
        spot: Bearing,
    },
}

/// How far a spread goes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "end", rename_all = "kebab-case")]
pub enum End {
    /// On to a tape.
    Tape,
    /// Until it meets the film that is down.
    Meets {
        /// Where.
        spot: Bearing,
    },
    /// To a place, to stop there.
    Stop {
        /// Where.
        spot: Bearing,
    },
}
