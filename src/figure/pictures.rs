//! The pictures, one function each, and what they are drawn for.

use super::{
    compare, costs, elongation, reading, reading_words, sheet, source, stages, tension, thin,
    width, words,
};
use crate::advice::Comparison;
use crate::advice::{Check, Recommendation, Sweep};
use crate::laydown::Moment;
use crate::say::Voice;
use crate::section::{Recess, Units};

/// A finished picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// SVG, text as paths, with `<title>` and `<desc>`.
    pub svg: String,
    /// PNG of the same drawing.
    pub png: Vec<u8>,
    /// The answer: the picture's title.
    pub title: String,
}

/// What a picture is for. The drawing is the same; print is laid out narrower, so that its
/// smallest text has 9 pt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Paper {
    /// 1600 x 900, for a projector
    ///
    /// Pixels; smallest text 25 pixels.
    Slide,
    /// The width of an A4 page
    ///
    /// 180 mm, for margins of 15 mm; PNG at 300 dots an inch.
    Print,
}

impl Paper {
    /// Width and height of the drawing, in its own units (pixels of a slide).
    pub(super) fn units(self) -> (f64, f64) {
        match self {
            Self::Slide => (1600.0, 900.0),
            Self::Print => (1380.0, 920.0),
        }
    }

    /// Width and height as the SVG states them.
    pub(super) fn size(self) -> (&'static str, &'static str) {
        match self {
            Self::Slide => ("1600", "900"),
            Self::Print => ("180mm", "120mm"),
        }
    }

    /// Size in the units usvg writes: CSS pixels, 96 an inch.
    pub(super) fn written(self, units: (f64, f64)) -> (f64, f64) {
        match self {
            Self::Slide => units,
            Self::Print => (180.0 / 25.4 * 96.0, 120.0 / 25.4 * 96.0),
        }
    }

    /// Width and height of the PNG.
    pub(super) fn pixels(self) -> (u32, u32) {
        match self {
            Self::Slide => (1600, 900),
            Self::Print => (2126, 1417),
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
    /// plotters refused.
    #[error("the picture could not be drawn: {0}")]
    Draw(String),
    /// usvg or resvg refused.
    #[error("the picture could not be rendered: {0}")]
    Render(String),
}

/// Draws the film on the panel, true to scale, one order under the other.
///
/// # Errors
/// [`FigureError::Nothing`] without checks, [`FigureError::TooMany`] with more than three,
/// [`FigureError::Mixed`] if they differ in section or limit, [`FigureError::Number`] if a
/// number is not finite.
pub fn film_on_panel(checks: &[Check], look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    sheet::examine(checks)?;
    let checks = &*thin::to_draw(checks);
    let canvas = super::film_on_panel::draw(checks, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &words::answer(checks, voice),
        &words::described(checks, voice),
    )
}

/// Draws one moment of a lay-down, alone in the picture: what is down as a ribbon, free film
/// thin and straight. Frames of one lay-down have one size and one scale.
///
/// # Arguments
/// * `check`: the lay-down with its profile.
/// * `moment`: from [`Laydown::moment`](crate::Laydown::moment).
/// * `number`: which frame, and of how many.
///
/// # Errors
/// As [`film_on_panel`].
pub fn frame(
    check: &Check,
    moment: &Moment,
    number: (usize, usize),
    look: impl Into<Look>,
) -> Result<Picture, FigureError> {
    let look = look.into();
    sheet::examine(std::slice::from_ref(check))?;
    let checks = thin::to_draw(std::slice::from_ref(check));
    let check = &checks[0];
    let title = super::frame::title(check, moment, number, look.voice());
    let described = super::frame::described(check, moment, look.voice());
    let canvas = super::frame::draw(check, moment, &title, look);
    canvas.finish(look.paper, &title, &described)
}

/// Draws the elongation along the panel, one line an order.
///
/// # Errors
/// As [`film_on_panel`].
pub fn elongation_along(checks: &[Check], look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    sheet::examine(checks)?;
    let checks = &*thin::to_draw(checks);
    let canvas = elongation::draw(checks, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &words::answer(checks, voice),
        &words::described(checks, voice),
    )
}

/// Draws the elongation along the panel, and under it the line tension of the film.
///
/// # Errors
/// As [`film_on_panel`]; [`FigureError::Nothing`] where the tension is not known: the class
/// has no modulus table, or the checks no profile.
pub fn tension_along(checks: &[Check], look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    tension::examine(checks)?;
    let checks = &*thin::to_draw(checks);
    let canvas = tension::draw(checks, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &tension::answer(checks),
        &tension::described(checks, voice),
    )
}

/// Draws the stages of the laying: a row of small frames an order.
///
/// # Errors
/// As [`film_on_panel`]; [`FigureError::Nothing`] for checks without their profile.
pub fn laying_stages(checks: &[Check], look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    stages::examine(checks)?;
    let checks = &*thin::to_draw(checks);
    let canvas = stages::draw(checks, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &stages::answer(checks, voice),
        &stages::described(checks, voice),
    )
}

/// Draws where the film came from: flat film and panel as two bars, joined by lines.
///
/// # Errors
/// As [`laying_stages`], and [`FigureError::TooMany`] with more than two.
pub fn film_source_bars(checks: &[Check], look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    source::examine(checks)?;
    let checks = &*thin::to_draw(checks);
    let canvas = source::draw(checks, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &source::answer(checks, voice),
        &source::described(checks, voice),
    )
}

/// Draws the peak against the bridge width, one line an order, with the plain rule.
///
/// # Errors
/// [`FigureError::Nothing`] without rows, [`FigureError::Number`] if a number is not finite.
pub fn peak_against_width(sweep: &Sweep, look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    width::examine(sweep)?;
    let canvas = width::draw(sweep, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &width::answer(sweep, voice),
        &width::described(sweep, voice),
    )
}

/// Draws which reading matters most: how much wider the bridge must be for 1 mm or 1 degree of
/// each.
///
/// # Errors
/// [`FigureError::Nothing`] for an answer without a range, [`FigureError::Number`] if a number is
/// not finite.
pub fn reading_costs(
    answer: &Recommendation,
    look: impl Into<Look>,
) -> Result<Picture, FigureError> {
    let look = look.into();
    let range = costs::examine(answer)?;
    let canvas = costs::draw(answer, range, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &costs::answer(range, voice),
        &costs::described(answer, range, voice),
    )
}

/// Draws film classes side by side: each order's peak against the class's own limit.
///
/// # Errors
/// [`FigureError::Nothing`] without rows, [`FigureError::Number`] if a number is not finite.
pub fn films_compared(answer: &Comparison, look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    compare::examine(answer)?;
    let canvas = compare::draw(answer, look);
    let voice = canvas.voice;
    canvas.finish(
        look.paper,
        &compare::answer(answer, voice),
        &compare::described(answer, voice),
    )
}

/// Draws a section under the readings it was made of: what was turned, dropped and fitted, and
/// how far the readings lie off it.
///
/// # Errors
/// [`FigureError::Draw`] and [`FigureError::Render`] alone: whatever was read can be drawn.
pub fn raw_against_read(recess: &Recess, look: impl Into<Look>) -> Result<Picture, FigureError> {
    let look = look.into();
    let title = reading_words::answer(recess, look.voice());
    let described = reading_words::described(recess, look.voice());
    reading::draw(recess, look).finish(look.paper, &title, &described)
}
