//! Pictures of the answers: a [`Drawing`] each, and files of it: SVG without text nodes or
//! system fonts, and PNG.
//!
//! A picture's title is the answer, and its data carry their own labels. Colour is
//! elongation on one scale, 0 to the film's limit; a second sign (ticks, dashes, hatching,
//! words) always says the same, so that a grey copy reads alike.
//!
//! Without the feature `figures` there are no files, and no curves, whose axes plotters draws;
//! `inline` draws for the page.

mod canvas;
#[cfg(feature = "figures")]
mod chart;
mod cividis;
mod compare;
mod costs;
mod drawing;
#[cfg(feature = "figures")]
mod elongation;
mod end;
mod end_above;
mod end_cells;
mod end_fronts;
#[cfg(test)]
mod end_laid;
mod end_plan;
mod end_rulers;
mod end_section;
mod film_on_panel;
mod frame;
mod inline;
#[cfg(test)]
mod laid;
mod paper;
mod pictures;
mod place;
mod plan;
#[cfg(feature = "figures")]
mod plot;
mod post_heat;
mod reading;
mod reading_words;
mod residual;
mod ribbon;
mod row;
mod ruler;
#[cfg(test)]
mod sample;
mod sheet;
mod sight;
mod source;
mod stages;
#[cfg(feature = "figures")]
mod tension;
mod thin;
mod ticks;
#[cfg(feature = "figures")]
mod trial;
#[cfg(feature = "figures")]
mod trial_piece;
mod view;
#[cfg(feature = "figures")]
mod width;
mod words;

#[cfg(feature = "figures")]
pub use crate::draw::font_css;
pub use drawing::Drawing;
#[cfg(feature = "figures")]
pub use drawing::Picture;
pub use end::EndLook;
pub(crate) use inline::{inline_end, inline_reading};
pub use paper::{FigureError, Look, Paper};
pub use pictures::*;
pub use post_heat::post_heat_strip;
#[cfg(feature = "figures")]
pub use trial::{TrialLook, trial_pieces};

#[cfg(test)]
use crate::{
    advice::{Check, Invented, Sweep},
    film::{FilmNumber, ToolNumber},
    laydown::OrderName,
    told::Told,
};
