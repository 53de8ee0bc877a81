#![warn(clippy::print_stdout, clippy::print_stderr)]
#![doc = include_str!("lib.md")]

mod advice;
mod card;
mod demo;

#[cfg(feature = "figures")]
mod figure;
mod film;
mod laydown;
mod root;
mod section;

pub use advice::*;
pub use card::*;
pub use demo::*;
#[cfg(feature = "figures")]
pub use figure::{
    FigureError, Paper, Picture, elongation_along, film_on_panel, font_css, frame,
    peak_against_width,
};
pub use film::*;
pub use laydown::*;
pub use section::*;
