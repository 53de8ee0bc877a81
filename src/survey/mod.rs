//! A section from noisy readings: tilt, slips, noise, and the chain fitted to them.
//!
//! Given are points as surveyed, left to right, mm. In order: how far the survey is tilted
//! (`turn`); readings that are none (`slips`); how far the others err (`noise`); and,
//! unless that is rounding alone, a chain of straight pieces and rounded corners through
//! them (`fit`), the walls that run back squared off (`square`).
//!
//! Slips, noise and fit do not depend on the frame. So the slope of the flats is asked for
//! on the fitted chain, where no slip and no noise can mislead the landmarks.
//!
//! Assumed: errors of one deviation all over, in both directions alike, on their own or
//! alike over at most 3 mm; a panel of straight pieces and rounded corners; errors smooth
//! over more than 3 mm pass as shape.
//!
//! Guaranteed: a clean survey comes out bit for bit; the same readings give the same
//! section on every machine to rounding; the section's x never falls once it is fitted.

mod band;
mod fit;
mod moments;
mod noise;
mod partition;
mod polish;
mod random;
mod reading;
mod redraw;
mod rounded;
mod slips;
mod square;
mod turn;

pub(crate) use random::Random;
pub(crate) use square::squared;

pub use reading::{Reading, Roughness, RoundedCorner, Slip, read_survey, read_survey_with};
pub(crate) use turn::median_direction;

use crate::geometry::Point;

/// One reading, or the mean of some.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sample {
    pub(crate) p: Point,
    /// Readings it is the mean of.
    pub(crate) weight: f64,
}

impl Sample {
    pub(crate) fn new(p: Point, weight: f64) -> Self {
        Self { p, weight }
    }
}

/// The nearest whole number, 0 or more.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float that is cast to an integer stops at the integer's ends"
)]
fn rounded_count(x: f64) -> usize {
    x.round() as usize
}
