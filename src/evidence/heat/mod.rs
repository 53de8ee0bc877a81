//! The record of post-heating: infrared readings along a recess, corrected, and judged by place.
//!
//! [`read_record`] reads the CSV, [`judge`] holds it against a film class, [`append_reading`] makes
//! its next line. No clock and no files: the caller has both.

mod append;
mod columns;
mod correction;
mod judge;
mod notice;
mod read;
mod record;
mod report;
mod time;

pub use append::{Adding, Appended, append_reading};
pub use correction::corrected;
pub use judge::{ERROR, SPACING, judge};
pub use notice::HeatNotice;
pub use read::read_record;
pub use record::{Reading, Record};
pub use report::{GapKind, HeatAsked, HeatGap, HeatLine, HeatPlace, HeatReport, HeatVerdict};
pub use time::Time;
