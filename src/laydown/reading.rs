//! What else can be read from a lay-down: the panel under a piece of film, and the law of
//! the film at a place of it.

use super::{Bed, Conditions, Laydown, Piece};
use crate::film::StretchLaw;

/// Halvings of a piece in the search for a place of the film: to 1e-15 of its length.
const HALVINGS: usize = 50;

/// The stretch laws along the film between two bond lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Laws<'a> {
    /// Where each ends, mm from the left bond line, and the law.
    zones: Vec<(f64, &'a StretchLaw)>,
}

impl Laws<'_> {
    /// Line tension of film from a position on the flat film, mm, at a stretch ratio, N/mm.
    pub fn tension(&self, film: f64, lambda: f64) -> f64 {
        let at = self.zones.partition_point(|z| z.0 < film);
        let zone = self.zones.get(at).or(self.zones.last());
        zone.map_or(0.0, |z| z.1.tension(lambda))
    }
}

impl Laydown {
    /// The laws of the film it was laid with, for its tension.
    pub fn laws<'c>(&self, bed: &Bed<'_>, conditions: &'c Conditions) -> Laws<'c> {
        let (left, right) = self.bonds;
        Laws {
            zones: conditions.zones(self.taut, bed.mouth_film(left, right)),
        }
    }

    /// First and last position of the film that went down, mm from the left bond line;
    /// film fed in lies outside 0 and the bridge.
    pub fn film_ends(&self) -> Option<(f64, f64)> {
        Some((self.pieces.first()?.film.0, self.pieces.last()?.film.1))
    }

    /// The place of the bed that a position of the flat film came to rest on, arc length,
    /// mm: the inverse of [`Laydown::film`]. `None` outside the film that went down.
    ///
    /// # Accuracy
    /// 1e-12 of the bridge, in film.
    pub fn place_of(&self, film: f64) -> Option<f64> {
        let (from, to) = self.film_ends()?;
        let slack = 1e-12 * self.taut;
        if !(from - slack <= film && film <= to + slack) {
            return None;
        }
        let after = self.pieces.partition_point(|p| p.film.1 < film);
        let piece = self.pieces.get(after).or(self.pieces.last())?;
        Some(self.search(piece, film))
    }

    /// Film position never falls along a piece: halving finds it.
    fn search(&self, p: &Piece, film: f64) -> f64 {
        if film <= p.film.0 {
            return p.from;
        }
        if film >= p.film.1 {
            return p.to;
        }
        let (mut low, mut high) = (p.from, p.to);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.read(p, middle).1 < film {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }
}
