//! What a recess is found by, and the words for what is found.

use serde::{Deserialize, Serialize};

/// How the section is to be read, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Survey {
    /// Reading tolerance of the gauge, 0 or more; 0.5. Larger: shallower pockets are
    /// ignored and the deepest zone grows; smaller: single readings decide.
    pub gauge_tolerance: f64,
    /// Clear panel beyond the left lip or foot; 300.
    pub clear_left: f64,
    /// Clear panel beyond the right lip or foot; 300.
    pub clear_right: f64,
    /// Press moved along the panel, positive to the right; 0.
    pub press_offset: f64,
    /// Which valley, counted from the left from 1; the deepest if unsaid.
    pub valley: Option<usize>,
}

impl Default for Survey {
    fn default() -> Self {
        Self {
            gauge_tolerance: 0.5,
            clear_left: 300.0,
            clear_right: 300.0,
            press_offset: 0.0,
            valley: None,
        }
    }
}

/// Family of a recess.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A groove or channel that comes back up: a lip on both sides.
    Channel,
    /// A step down to a second level: a lip on one side, a foot on the other.
    Step,
}

/// A side of the section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Side {
    /// The left
    ///
    /// Towards smaller x.
    Left,
    /// The right
    ///
    /// Towards larger x.
    Right,
}

impl Side {
    /// The other one.
    pub fn other(self) -> Self {
        self.pick(Self::Right, Self::Left)
    }

    /// Of two things that of this side.
    pub(crate) fn pick<T>(self, left: T, right: T) -> T {
        match self {
            Self::Left => left,
            Self::Right => right,
        }
    }

    /// The one with the smaller number, the left of equals.
    pub(crate) fn smaller(left: f64, right: f64) -> Self {
        if left <= right {
            Self::Left
        } else {
            Self::Right
        }
    }
}

/// Part of the panel a place belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Zone {
    /// Outside the lips, or beyond the foot of a step.
    Flat,
    /// The convex corner at the top of a wall.
    Lip,
    /// Between lip and foot.
    Wall,
    /// The concave corner at the bottom of a wall.
    Foot,
    /// Between the feet.
    Floor,
    /// Under the tool at a press.
    Pad,
}

/// Why a section has no recess to work on.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum RecessError {
    /// The gauge tolerance is so large that the readings hardly tell a recess.
    Coarse {
        /// Its depth, mm.
        depth: f64,
        /// The gauge tolerance, mm.
        tolerance: f64,
    },
    /// Readings so far apart in the recess that its shape lies between them.
    Sparse {
        /// From lip to lip, mm.
        mouth: f64,
        /// From reading to reading, mm.
        step: f64,
        /// The longest step that would do, mm.
        most: f64,
        /// Of a scan, the abscissae between which it has no reading, mm; else all steps are alike.
        gap: Option<(f64, f64)>,
    },
    /// No pocket is deeper than the gauge tolerance.
    NoRecess {
        /// Depth of the deepest pocket, mm.
        deepest: f64,
        /// Gauge tolerance, mm.
        tolerance: f64,
    },
    /// The section is a hill: heights typed with the wrong sign.
    Hill {
        /// Height of its walls, mm.
        height: f64,
    },
    /// There is no valley of that number.
    NoSuchValley {
        /// The number asked for.
        asked: usize,
        /// How many there are.
        found: usize,
    },
    /// The press was moved out of the recess.
    PressOutside {
        /// The offset, mm.
        offset: f64,
    },
    /// A survey setting is not a finite number in its range.
    BadSetting {
        /// The setting's key in a question.
        key: &'static str,
        /// Its value, mm.
        value: f64,
        /// Least that is accepted, mm; the most is [`LONGEST`](super::LONGEST).
        least: f64,
    },
}
