//! What else can be read from a lay-down: the panel under a piece of film, and the law of
//! the film at a place of it.

use super::piece::{Law, Piece};
use super::{Bed, Conditions, Laydown};
use crate::film::StretchLaw;
use crate::geometry::bracketed;

/// How near the place of a position of the film is found, as a part of the bridge: less is
/// rounding of arc lengths, ten times more shows in a shift of nothing.
const PLACE: f64 = 1e-15;

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

/// A front of edge-first at a place of its way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ClosingFront {
    /// Arc length on the bed, mm.
    pub(crate) s: f64,
    /// The film laid there: position on the flat film, mm, and stretch ratio.
    pub(crate) film: f64,
    pub(crate) lambda: f64,
    /// Cosine of the angle between the free film and the panel that is laid.
    pub(crate) cosine: f64,
    /// Mean stretch of the free span.
    pub(crate) stretch: f64,
}

/// Part of a piece by which its film is read inside of it, clear of where a zone ends.
const CLEAR: f64 = 1e-9;

impl Laydown {
    /// Both fronts of edge-first wherever one of them comes to a vertex or leaves it.
    pub(crate) fn closing_fronts(&self, bed: &Bed<'_>) -> Vec<ClosingFront> {
        let (left, right) = self.bonds;
        let starts = bed.edge_starts(left, right);
        let (reach_left, reach_right) = (self.press - starts.0, starts.1 - self.press);
        let film = |s: f64| self.film(s).unwrap_or(0.0);
        let held = |y: f64| film(self.press + y * reach_right) - film(self.press - y * reach_left);
        let mut all = Vec::with_capacity(2 * self.pieces.len());
        for p in &self.pieces {
            let (left, right) = ((p.from, p.to, reach_left), (p.to, p.from, reach_right));
            let (outer, inner, reach) = p.side.pick(left, right);
            let opening = |s: f64| (s - self.press).abs() / reach;
            let window = match p.law {
                Law::In(k) => self.windows.get(k),
                Law::Cell(_) => {
                    let middle = opening(0.5 * (outer + inner));
                    let after = self.windows.partition_point(|w| w.y1 < middle);
                    self.windows.get(after)
                }
                _ => None,
            };
            let Some(window) = window else { continue };
            let films = p.side.pick(p.film, (p.film.1, p.film.0));
            for (s, begins, film) in [
                (outer, true, films.0 + CLEAR * (films.1 - films.0)),
                (inner, false, films.1 + CLEAR * (films.0 - films.1)),
            ] {
                let y = opening(s).clamp(window.y0, window.y1);
                let cosines = window.cosines(y);
                let lambda = match p.law {
                    Law::In(_) if begins => p.base.exp(),
                    Law::In(_) => (p.base + window.gain).exp(),
                    _ => self.read(p, s).0,
                };
                all.push(ClosingFront {
                    s,
                    film,
                    lambda,
                    cosine: p.side.pick(cosines.0, cosines.1),
                    stretch: match p.law {
                        Law::Cell(_) => window.free(y) / held(y),
                        _ => lambda,
                    },
                });
            }
        }
        all
    }

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

    /// Film position never falls along a piece.
    fn search(&self, p: &Piece, film: f64) -> f64 {
        if film <= p.film.0 {
            return p.from;
        }
        if film >= p.film.1 {
            return p.to;
        }
        let miss = |s: f64| self.read(p, s).1 - film;
        let (low, high) = ((p.from, p.film.0 - film), (p.to, p.film.1 - film));
        bracketed(miss, low, high, PLACE * self.taut).unwrap_or(p.to)
    }
}
