//! Decisions on paper: the job card, the chart for the bay wall, the lesson sheet.
//!
//! The card's model and HTML belong to the core; PDF is behind the feature `pdf`.

mod drawing;
mod html;
mod layout;
pub(crate) mod metrics;
mod model;
#[cfg(feature = "pdf")]
mod pdf;
mod sheet;
mod steps;
mod words;

pub use drawing::Dimensions;
pub use model::{Asked, Card, Ends, Row, Task};
#[cfg(feature = "pdf")]
pub use pdf::{PdfError, unprintable};
pub use sheet::PaperSize;
