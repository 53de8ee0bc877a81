//! Pictures of the answers: SVG without text nodes or system fonts, and PNG of the same.
//!
//! A picture's title is the answer, and its data carry their own labels. Colour is
//! elongation on one scale, 0 to the film's limit; a second sign (ticks, dashes, hatching,
//! words) always says the same, so that a grey copy reads alike.
//!
//! Without the feature `figures` there is what the page's engine draws: `inline`.

#[cfg_attr(
    not(feature = "figures"),
    expect(dead_code, reason = "the page draws one of the pictures")
)]
mod canvas;
#[cfg(feature = "figures")]
mod chart;
#[cfg(feature = "figures")]
mod cividis;
#[cfg(feature = "figures")]
mod compare;
#[cfg(feature = "figures")]
mod costs;
#[cfg(feature = "figures")]
mod elongation;
mod escape;
#[cfg(feature = "figures")]
mod film_on_panel;
#[cfg(feature = "figures")]
mod frame;
mod inline;
#[cfg(test)]
#[cfg(feature = "figures")]
mod laid;
mod metrics;
#[cfg(feature = "figures")]
mod paper;
#[cfg(feature = "figures")]
mod pictures;
#[cfg_attr(
    not(feature = "figures"),
    expect(dead_code, reason = "the page draws one of the pictures")
)]
mod place;
#[cfg(feature = "figures")]
mod plan;
mod reading;
mod reading_words;
#[cfg(feature = "figures")]
mod render;
mod residual;
#[cfg(feature = "figures")]
mod ribbon;
#[cfg(feature = "figures")]
mod row;
#[cfg(feature = "figures")]
mod ruler;
#[cfg(test)]
#[cfg(feature = "figures")]
mod sample;
#[cfg(feature = "figures")]
mod sheet;
mod sight;
#[cfg(feature = "figures")]
mod source;
#[cfg(feature = "figures")]
mod stages;
#[cfg(feature = "figures")]
mod tension;
#[cfg(feature = "figures")]
mod thin;
mod view;
#[cfg(feature = "figures")]
mod width;
#[cfg(feature = "figures")]
mod words;

pub(crate) use escape::escaped;
pub(crate) use inline::inline_reading;
pub(crate) use metrics::Face;
#[cfg(feature = "figures")]
pub use paper::{FigureError, Look, Paper, Picture};
#[cfg(feature = "figures")]
pub use pictures::*;
#[cfg(feature = "figures")]
pub use render::font_css;
#[cfg(feature = "pdf")]
pub(crate) use render::{FONT, fonts};
#[cfg(feature = "figures")]
pub use ruler::{Ruler, stretched_ruler};

#[cfg(test)]
#[cfg(feature = "figures")]
use crate::{
    advice::{Check, Invented, Sweep},
    film::{FilmNumber, ToolNumber},
    laydown::OrderName,
    told::Told,
};
