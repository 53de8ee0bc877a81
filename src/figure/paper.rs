//! What a picture is for, and why it could not be drawn.

use crate::say::Voice;
use crate::section::Units;

/// Units of a picture in a millimetre of paper: 25 of them, the smallest text, are 9 pt.
pub(super) const UNITS_PER_MM: f64 = 1380.0 / 180.0;

/// What a picture is for. The drawing is the same; print is laid out narrower, so that its
/// smallest text has 9 pt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Paper {
    /// 1600 x 900 (higher where that is too low), for a projector
    ///
    /// Pixels; smallest text 25 pixels.
    Slide,
    /// The width of an A4 page
    ///
    /// 180 mm, for margins of 15 mm; PNG at 300 dots an inch.
    Print,
}

impl Paper {
    /// Width of the drawing and its usual height, in its own units (pixels of a slide); what
    /// finds no room is drawn higher.
    pub(super) fn units(self) -> (f64, f64) {
        match self {
            Self::Slide => (1600.0, 900.0),
            Self::Print => (1380.0, 920.0),
        }
    }

    /// A length of the drawing as the SVG states it.
    pub(super) fn stated(self, units: f64) -> String {
        match self {
            Self::Slide => units.to_string(),
            // A tenth of a micrometre, and no zeros behind it.
            Self::Print => format!("{}mm", (1e4 * units / UNITS_PER_MM).round() / 1e4),
        }
    }

    /// Pixels of the PNG across the drawing.
    #[cfg(feature = "figures")]
    pub(super) fn pixels(self) -> f64 {
        match self {
            Self::Slide => 1600.0,
            Self::Print => 2126.0,
        }
    }
}

/// What a picture is for, and how it says lengths. A paper alone says them in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// What it is for.
    pub paper: Paper,
    /// Units of its lengths.
    pub units: Units,
}

impl From<Paper> for Look {
    fn from(paper: Paper) -> Self {
        let units = Units::Mm;
        Self { paper, units }
    }
}

impl Look {
    /// Every look there is.
    #[cfg(test)]
    pub(super) const ALL: [Self; 4] = [
        Self::of(Paper::Slide, Units::Mm),
        Self::of(Paper::Print, Units::Mm),
        Self::of(Paper::Slide, Units::Inch),
        Self::of(Paper::Print, Units::Inch),
    ];

    #[cfg(test)]
    const fn of(paper: Paper, units: Units) -> Self {
        Self { paper, units }
    }

    /// How the picture speaks.
    pub(super) fn voice(self) -> Voice {
        Voice::picture(self.units)
    }
}

/// Why a picture could not be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FigureError {
    /// Nothing to draw.
    #[error("there is nothing to draw: {found}, but {expected} was expected")]
    Nothing {
        /// What was given.
        found: &'static str,
        /// What was expected.
        expected: &'static str,
    },
    /// More orders than fit one above another.
    #[error(
        "{found} orders are too many for one picture, at most {most} fit; draw them in two pictures"
    )]
    TooMany {
        /// Orders given.
        found: usize,
        /// Orders that fit.
        most: usize,
    },
    /// The answers do not belong side by side: one scale and one section a picture.
    #[error(
        "the answers differ in their {what}, but one picture has one; draw one picture for each"
    )]
    Mixed {
        /// What differs.
        what: &'static str,
    },
    /// A number the picture is drawn from is not finite, or a limit not positive.
    #[error("{what} is `{found}`, but {expected} was expected")]
    Number {
        /// Which number.
        what: &'static str,
        /// Its value.
        found: String,
        /// What was expected.
        expected: &'static str,
    },
    /// usvg or resvg refused.
    #[error("the picture could not be rendered: {0}")]
    Render(String),
}

#[cfg(feature = "figures")]
impl From<crate::draw::RenderError> for FigureError {
    fn from(refused: crate::draw::RenderError) -> Self {
        Self::Render(refused.0)
    }
}
