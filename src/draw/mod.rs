//! One drawing, however it is shown: a [`Scene`] of marks becomes SVG here, and of the SVG come
//! PNG and PDF.
//!
//! Pictures, card, chart and lesson are scenes, in millimetres of paper or in units that their
//! owner states in millimetres. Nothing but `render` and `pdf` needs a font or a library, so
//! that the page's engine draws as the program does.

mod escape;
mod face;
mod paper;
#[cfg(feature = "pdf")]
mod pdf;
mod place;
#[cfg(feature = "figures")]
mod render;
mod scene;
mod svg;

pub(crate) use escape::escaped;
pub(crate) use face::Face;
#[cfg(feature = "pdf")]
pub use face::unprintable;
pub use paper::PaperSize;
#[cfg(feature = "pdf")]
pub use pdf::PdfError;
#[cfg(feature = "pdf")]
pub(crate) use pdf::{PdfPage, one_page, write_pdf};
pub(crate) use place::{Box2, Pt, distance};
#[cfg(feature = "figures")]
pub use render::font_css;
#[cfg(feature = "figures")]
pub(crate) use render::{RenderError, Rendered};
pub(crate) use scene::{BAND, BLACK, INK, Mark, PANEL, READING, Rgb, Scene, Side, Text, WHITE};
pub(crate) use svg::{Opening, Style};
