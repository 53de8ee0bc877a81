//! Decisions on paper: the job card, the chart for the bay wall, the lesson sheet.
//!
//! The card's model and HTML belong to the core; PDF is behind the feature `pdf`.

mod chart;
mod chart_page;
mod drawing;
mod html;
mod layout;
#[cfg(feature = "pdf")]
mod lesson;
mod model;
#[cfg(feature = "pdf")]
mod pdf;
mod rows;
mod sheet;
mod source;
mod steps;
#[cfg(feature = "pdf")]
mod template;

pub use chart::{Chart, ChartCell, ChartGrid, ChartSpec, EmptyCell, chart_cell};
pub use drawing::Dimensions;
#[cfg(feature = "pdf")]
pub use lesson::{Lesson, LessonError, LessonSpec, lesson};
pub use model::Card;
#[cfg(feature = "pdf")]
pub use pdf::{PdfError, unprintable};
pub use sheet::PaperSize;
pub use source::{Asked, Row, Task};
