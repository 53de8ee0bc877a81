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
pub(crate) use hull::{hull, taut_length, taut_lengths};
pub use hull::{path_length, taut_film};
pub(crate) use outline::{Corner, Outline, Rounding, arc, facets, tidied};
pub(crate) use polyline::{ON_VERTEX, cross};
pub use polyline::{Point, Polyline, Vector};
pub(crate) use root::{bracketed, halved};
pub(crate) use sorted::sort_by_number;

/// A chain of points for tests, `x,y x,y`.
#[cfg(test)]
pub(crate) fn chain(text: &str) -> Vec<Point> {
    let number = |text: &str| text.parse().unwrap();
    let pairs = text.split(' ').map(|pair| pair.split_once(',').unwrap());
    pairs
        .map(|(x, y)| Point::new(number(x), number(y)))
        .collect()
}
