//! Decisions on paper: the job card, the chart for the bay wall, the lesson sheet.
//!
//! The card's model and HTML belong to the core; PDF is behind the feature `pdf`.

mod card_page;
mod chart;
mod chart_page;
mod drawing;
#[cfg(feature = "pdf")]
mod grid;
#[cfg(feature = "pdf")]
mod heat;
mod html;
mod leaf;
#[cfg(feature = "pdf")]
mod lesson;
mod model;
mod print;
mod rows;
mod source;
mod steps;
#[cfg(feature = "pdf")]
mod template;

pub use crate::draw::PaperSize;
#[cfg(feature = "pdf")]
pub use crate::draw::{PdfError, unprintable};
pub use chart::{
    Chart, ChartCell, ChartGrid, ChartSizes, ChartSpec, EmptyCell, EndFactors, chart_cell,
};
pub use drawing::Dimensions;
#[cfg(feature = "pdf")]
pub use grid::end_grid;
#[cfg(feature = "pdf")]
pub use heat::HeatPage;
#[cfg(feature = "pdf")]
pub use lesson::{Lesson, LessonError, LessonSpec, lesson};
pub use model::Card;
pub use source::{Asked, Row, Task};
