//! From a lay-down to a decision: the plain rule, the width, what else would do.

mod handling;
mod job;
mod plain;
pub(crate) mod report;
mod sweep;
pub(crate) mod width;

pub use handling::{AMBIENT, Bay, FlatState, Handling, LipShape, WarmRange, WarmZone};
pub use job::Job;
pub use plain::plain_rule;
pub use report::*;
pub use sweep::sweep;
pub use width::{OVERLAP, WIDTH_STEP, recommend};
