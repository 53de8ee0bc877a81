#![warn(clippy::print_stdout, clippy::print_stderr)]
#![doc = include_str!("lib.md")]

pub mod advice;
pub mod card;
mod demo;
mod fault;
mod figure;
mod film;
mod geometry;
mod laydown;
mod outcome;
mod page;
pub mod say;
pub mod section;
pub mod survey;
mod told;

pub use advice::*;
pub use card::*;
pub use demo::*;
pub use fault::*;
#[cfg(feature = "figures")]
pub use figure::{
    FigureError, Paper, Picture, Ruler, elongation_along, film_on_panel, film_source_bars,
    films_compared, font_css, frame, laying_stages, peak_against_width, raw_against_read,
    reading_costs, stretched_ruler, tension_along,
};
pub use film::*;
pub use geometry::{Closing, OutOfReach, Point, Polyline, Vector, path_length, taut_film};
pub use laydown::*;
pub use outcome::*;
pub use page::*;
pub use say::faults::Said;
pub use section::*;
pub use survey::{Reading, Roughness, RoundedCorner, Slip, read_survey, read_survey_with};
pub use told::Told;
