//! The pictures, one function each.

use super::paper::{FigureError, Look, Picture};
use super::{
    compare, costs, elongation, reading, reading_words, sheet, source, stages, tension, thin,
    width, words,
};
use crate::advice::Comparison;
use crate::advice::{Check, Recommendation, Sweep};
use crate::laydown::Moment;
use crate::section::Recess;

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
