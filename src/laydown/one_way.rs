//! One way: a single front from bond line to bond line, the film behind it loose and
//! feeding in. Nothing is stretched.

use super::bed::Bridged;
use super::piece::{Made, Piece};
use crate::section::Side;

/// Lays film that feeds in from a side.
pub(super) fn lay(film: &Bridged<'_>, loose: Side) -> Made {
    let (arc, press) = (film.bonds.1 - film.bonds.0, film.bed.press());
    let at = match loose {
        Side::Left => (film.taut - arc, film.taut),
        Side::Right => (0.0, arc),
    };
    Made {
        pieces: vec![Piece::even(film.bonds, 0.0, at)],
        pad: (press, press),
        ..Made::default()
    }
}
