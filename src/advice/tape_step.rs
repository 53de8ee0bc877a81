//! The step of width that a tape can show.

use crate::section::Units;
use serde::{Deserialize, Serialize};

/// Step of width that a tape can show, mm; also the step of the scan.
pub const WIDTH_STEP: f64 = 5.0;

/// The step of width that a tape can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TapeStep {
    /// 5 mm.
    #[default]
    FiveMm,
    /// A quarter inch, 6.35 mm.
    QuarterInch,
}

impl TapeStep {
    /// The step, mm.
    pub fn mm(self) -> f64 {
        match self {
            Self::FiveMm => WIDTH_STEP,
            Self::QuarterInch => 6.35,
        }
    }

    /// Rounds a width up to the step, mm; a rounding error above a step does not count.
    pub fn up(self, width: f64) -> f64 {
        ((width - 1e-9) / self.mm()).ceil() * self.mm()
    }
}

impl From<Units> for TapeStep {
    fn from(units: Units) -> Self {
        match units {
            Units::Mm | Units::Cm => Self::FiveMm,
            Units::Inch => Self::QuarterInch,
        }
    }
}
