//! Chains of points, the taut film over them, what a ball reaches: no film class, no recess.
//!
//! mm; x runs right and never back, y out of the panel.

mod closing;
mod crossing;
mod hull;
mod outline;
mod polyline;
mod root;
mod sorted;
pub(crate) mod thin;

pub use closing::{Closing, OutOfReach};
pub(crate) use crossing::first_crossing;
pub(crate) use hull::{hull, taut_length};
pub use hull::{path_length, taut_film};
pub(crate) use outline::{Corner, Outline, Rounding, arc, facets, tidied};
pub(crate) use polyline::{ON_VERTEX, cross};
pub use polyline::{Point, Polyline, Vector};
pub(crate) use root::bracketed;
pub(crate) use sorted::sort_by_number;
