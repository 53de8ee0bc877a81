//! The pictures, one function each.

use super::canvas::Canvas;
use super::drawing::Drawing;
use super::end::EndLook;
use super::paper::{FigureError, Look};
pub use super::ruler::stretched_ruler;
use super::{compare, costs, reading, reading_words, sheet, source, stages, thin, words};
#[cfg(feature = "figures")]
use super::{elongation, tension, width};
#[cfg(feature = "figures")]
use crate::advice::Sweep;
use crate::advice::{Check, Comparison, Recommendation};
use crate::laydown::Moment;
use crate::say::Voice;
use crate::section::Recess;

/// Draws lay-downs: refuses what cannot be drawn, and draws what can be seen of the rest.
fn of_checks(
    checks: &[Check],
    look: Look,
    examine: fn(&[Check]) -> Result<(), FigureError>,
    draw: fn(&[Check], Look) -> Canvas,
    answer: fn(&[Check], Voice) -> String,
    described: fn(&[Check], Voice) -> String,
) -> Result<Drawing, FigureError> {
    examine(checks)?;
    let checks = &*thin::to_draw(checks);
    let said = [answer, described].map(|words| words(checks, look.voice()));
    Ok(Drawing::new(draw(checks, look), look, said))
}

/// Draws the film on the panel, true to scale, one order under the other.
///
/// # Errors
/// [`FigureError::Nothing`] without checks, [`FigureError::TooMany`] with more than three,
/// [`FigureError::Mixed`] if they differ in section or limit, [`FigureError::Number`] if a
/// number is not finite.
pub fn film_on_panel(checks: &[Check], look: impl Into<Look>) -> Result<Drawing, FigureError> {
    of_checks(
        checks,
        look.into(),
        sheet::examine,
        super::film_on_panel::draw,
        words::answer,
        words::described,
    )
}

/// Draws the elongation along the panel, one line an order.
///
/// # Errors
/// As [`film_on_panel`].
#[cfg(feature = "figures")]
pub fn elongation_along(checks: &[Check], look: impl Into<Look>) -> Result<Drawing, FigureError> {
    of_checks(
        checks,
        look.into(),
        sheet::examine,
        elongation::draw,
        words::answer,
        words::described,
    )
}

/// Draws the elongation along the panel, and under it the line tension of the film.
///
/// # Errors
/// As [`film_on_panel`]; [`FigureError::Nothing`] where the tension is not known: the class
/// has no modulus table, or the checks no profile.
#[cfg(feature = "figures")]
pub fn tension_along(checks: &[Check], look: impl Into<Look>) -> Result<Drawing, FigureError> {
    of_checks(
        checks,
        look.into(),
        tension::examine,
        tension::draw,
        tension::answer,
        tension::described,
    )
}

/// Draws the stages of the laying: a row of small frames an order.
///
/// # Errors
/// As [`film_on_panel`]; [`FigureError::Nothing`] for checks without their profile.
pub fn laying_stages(checks: &[Check], look: impl Into<Look>) -> Result<Drawing, FigureError> {
    of_checks(
        checks,
        look.into(),
        stages::examine,
        stages::draw,
        stages::answer,
        stages::described,
    )
}

/// Draws where the film came from: flat film and panel as two bars, joined by lines.
///
/// # Errors
/// As [`laying_stages`], and [`FigureError::TooMany`] with more than two.
pub fn film_source_bars(checks: &[Check], look: impl Into<Look>) -> Result<Drawing, FigureError> {
    of_checks(
        checks,
        look.into(),
        source::examine,
        source::draw,
        source::answer,
        source::described,
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
) -> Result<Drawing, FigureError> {
    let look = look.into();
    sheet::examine(std::slice::from_ref(check))?;
    let check = &thin::to_draw(std::slice::from_ref(check))[0];
    let title = super::frame::title(check, moment, number, look.voice());
    let described = super::frame::described(check, moment, look.voice());
    let canvas = super::frame::draw(check, moment, &title, look);
    Ok(Drawing::new(canvas, look, [title, described]))
}

/// Draws the peak against the bridge width, one line an order, with the plain rule.
///
/// # Errors
/// [`FigureError::Nothing`] without rows, [`FigureError::Number`] if a number is not finite.
#[cfg(feature = "figures")]
pub fn peak_against_width(sweep: &Sweep, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    width::examine(sweep)?;
    let said = [width::answer, width::described].map(|words| words(sweep, look.voice()));
    Ok(Drawing::new(width::draw(sweep, look), look, said))
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
) -> Result<Drawing, FigureError> {
    let look = look.into();
    let range = costs::examine(answer)?;
    let said = [
        costs::answer(range, look.voice()),
        costs::described(answer, range, look.voice()),
    ];
    Ok(Drawing::new(costs::draw(answer, range, look), look, said))
}

/// Draws film classes side by side: each order's peak against the class's own limit.
///
/// # Errors
/// [`FigureError::Nothing`] without rows, [`FigureError::Number`] if a number is not finite.
pub fn films_compared(answer: &Comparison, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    compare::examine(answer)?;
    let said = [compare::answer, compare::described].map(|words| words(answer, look.voice()));
    Ok(Drawing::new(compare::draw(answer, look), look, said))
}

/// Draws a section under the readings it was made of: what was turned, dropped and fitted, and
/// how far the readings lie off it.
pub fn raw_against_read(recess: &Recess, look: impl Into<Look>) -> Drawing {
    let look = look.into();
    let said = [reading_words::answer, reading_words::described];
    let said = said.map(|words| words(recess, look.voice()));
    Drawing::new(reading::draw(recess, look), look, said)
}

/// Draws a closed end from above: film coloured by its elongation, how it was laid, tape and
/// distances, and the section through the middle.
///
/// # Errors
/// [`FigureError::Nothing`] without film, [`FigureError::Number`] if a number is not finite.
pub fn end_above(end: &EndLook, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    end.examine()?;
    let (numbers, voice) = (end.numbers(), look.voice());
    let said = [numbers.title(voice), numbers.described(end.zone(), voice)];
    Ok(Drawing::new(super::end_above::draw(end, look), look, said))
}

/// Draws how film goes down round a closed end: small plans, one a stage.
///
/// # Errors
/// As [`end_above`].
pub fn end_fronts(end: &EndLook, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    end.examine()?;
    let (numbers, voice, zone) = (end.numbers(), look.voice(), end.zone());
    let title = numbers.stages_title(end.order, zone, voice);
    let said = [title, numbers.described(zone, voice)];
    Ok(Drawing::new(super::end_fronts::draw(end, look), look, said))
}

/// Draws what becomes of artwork round a closed end: squares of flat film, and the same squares
/// laid, lighter where ink fades.
///
/// # Errors
/// As [`end_above`].
pub fn end_rulers(end: &EndLook, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    end.examine()?;
    let (numbers, voice) = (end.numbers(), look.voice());
    let title = numbers.artwork_title(voice);
    let said = [title, numbers.described(end.zone(), voice)];
    Ok(Drawing::new(super::end_rulers::draw(end, look), look, said))
}
