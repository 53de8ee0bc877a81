//! Film held beyond each corner of the free path, tabulated against the tension.
//!
//! The tension of every piece of the path follows from that at the bond line
//! ([`super::outer`]): just beyond corner d it is `I_d` = `g_d` (Z + `r_d`), and by drag less
//! further out. For film of one law,
//!
//! ```text
//! T_d(Z) = sum over pieces i <= d of   l_i / lambda(I_i)                   in the air
//!                                      (Phi(I_i) - Phi(I_i - tau l_i))/tau  resting
//! ```
//!
//! whatever the place of the front: one row of numbers a corner, made from the row of the
//! corner outside it, serves the whole march, and a march is linear in the vertices. A row
//! holds the coefficients of a polynomial in Z that meets T at Chebyshev points of a window;
//! when Z leaves the window, rows are made anew. Film of several laws has rows for each,
//! read as differences from where a zone ends. So is film from where drag has used up the
//! tension: from there inwards only, the law going on analytically below 0 within a window.
//!
//! Accuracy: lambda(N) has its nearest singularities (lambda^4 = -3) at N = 1.24 (1 + i) K.
//! A window that takes N by an eighth of K, or of N where that is more (a ray at 45 degrees
//! from them), leaves about 1e-10 of the variation in the window with 9 points, 1e-12 of
//! the film (tested against the sum itself).
//!
//! Source: derived for this project; the rate of Chebyshev interpolation: L. N. Trefethen,
//! Approximation Theory and Approximation Practice, theorem 8.2 (memory).

use super::outer::Outer;
use super::strip::Strip;
use crate::film::StretchLaw;
use crate::laydown::path::Path;

/// Points of a row.
const POINTS: usize = 9;
/// Half width of the window by the tension at the nearest corner, as a part of the least
/// stiffness. Wider costs digits, narrower more windows.
const HALF_WINDOW: f64 = 0.125;
/// The same as a part of the tension there; with drag the tensions further out fall to
/// nothing, by less than they do with friction alone.
const HALF_OF_TENSION: f64 = 0.125;
const HALF_OF_DRAGGED: f64 = 0.04;
/// How far a new window is set ahead of where Z left the last one, in half windows: Z
/// mostly goes on the way it went.
const AHEAD: f64 = 0.8;

/// Coefficients of powers of u = (Z - centre)/half.
type Row = [f64; POINTS];

/// A value with its slope against Z.
pub(super) type Jet = (f64, f64);

/// Rows of the corners on the present path.
#[derive(Debug)]
pub(super) struct Tails {
    /// Least stiffness of the film.
    scale: f64,
    /// Corners from the bond line inwards.
    chain: Vec<usize>,
    /// The window in Z.
    centre: f64,
    half: f64,
    /// Rows by zone of the strip, then by place on the chain.
    rows: Vec<Vec<Row>>,
    /// The place on the chain whose piece held the end of each zone last.
    ends: Vec<usize>,
    /// Points of the window, in half windows, and powers from values there.
    points: Row,
    powers: [Row; POINTS],
}

impl Tails {
    pub(super) fn new(strip: &Strip<'_>) -> Self {
        let zones = strip.count();
        let (points, powers) = chebyshev();
        let scales = (0..zones).map(|zone| strip.law(zone).scale());
        Self {
            scale: scales.fold(f64::INFINITY, f64::min),
            chain: vec![0],
            centre: f64::NAN,
            half: f64::NAN,
            rows: vec![Vec::new(); zones],
            ends: vec![0; zones],
            points,
            powers,
        }
    }

    /// Moves (y, dy/dZ) from the bond line in to a corner, the film of each zone at its law.
    pub(super) fn fill(
        &mut self,
        path: &Path,
        outer: &Outer,
        strip: &Strip<'_>,
        corner: usize,
        z: f64,
    ) -> Jet {
        let end = outer.depth(corner);
        if end == 0 {
            return (0.0, 0.0);
        }
        self.reach(path, outer, corner);
        if (z - self.centre).abs() > self.half || self.centre.is_nan() {
            self.recentre(outer, corner, z);
        }
        let u = (z - self.centre) / self.half;
        let Some((mut y, mut at)) = self.slack(path, outer, strip, end, z) else {
            return (path.corners[corner].beyond, 0.0);
        };
        let mut zone = if at > 0 { strip.inside(y.0) } else { 0 };
        loop {
            let from = self.film(path, outer, strip, zone, at, u);
            let to = self.film(path, outer, strip, zone, end, u);
            let room = strip.end(zone) - y.0;
            if to.0 - from.0 <= room {
                return (y.0 + to.0 - from.0, y.1 + to.1 - from.1);
            }
            // The piece in which the zone ends, then on from there.
            let (mut low, mut high) = (at, end);
            let hint = self.ends[zone];
            if at < hint && hint <= end {
                // It moves little from one question to the next.
                if self.film(path, outer, strip, zone, hint, u).0 - from.0 > room {
                    high = hint;
                    if self.film(path, outer, strip, zone, hint - 1, u).0 - from.0 <= room {
                        low = hint - 1;
                    }
                } else {
                    low = hint;
                }
            }
            while high - low > 1 {
                let middle = low.midpoint(high);
                let over = self.film(path, outer, strip, zone, middle, u).0 - from.0 > room;
                *(if over { &mut high } else { &mut low }) = middle;
            }
            self.ends[zone] = high;
            let before = self.film(path, outer, strip, zone, low, u);
            y = (y.0 + before.0 - from.0, y.1 + before.1 - from.1);
            let corner = self.chain[high];
            let n = (outer.tension(corner, z), outer.gain(corner));
            let piece = path.corners[corner];
            if piece.rests && outer.drag() > 0.0 {
                strip.fill_dragged(&mut y, piece.length, n, outer.drag());
            } else {
                strip.fill(&mut y, (piece.length, 0.0), n);
            }
            (at, zone) = (high, strip.inside(y.0));
        }
    }

    /// Film from the bond line in to the first corner beyond which there is tension all
    /// along its piece or up to where drag ends it, and that corner's place; `None`: there
    /// is no tension anywhere.
    fn slack(
        &self,
        path: &Path,
        outer: &Outer,
        strip: &Strip<'_>,
        end: usize,
        z: f64,
    ) -> Option<(Jet, usize)> {
        if z >= 0.0 {
            return Some(((0.0, 0.0), 0));
        }
        let taut = self.chain[1..=end].partition_point(|&c| outer.tension(c, z) <= 0.0) + 1;
        if taut > end {
            return None;
        }
        let corner = self.chain[taut];
        let (n, gain) = (outer.tension(corner, z), outer.gain(corner));
        let taut_length = n / outer.drag();
        let slack = path.corners[corner].beyond - taut_length;
        let mut y = (slack, -gain / outer.drag());
        strip.fill_rising(&mut y, (0.0, 0.0), (n, gain), outer.drag());
        Some((y, taut))
    }

    /// Makes the chain that of a corner.
    fn reach(&mut self, path: &Path, outer: &Outer, corner: usize) {
        let depth = outer.depth(corner);
        self.chain.truncate(depth + 1);
        let known = self.chain.len();
        if known == depth + 1 && self.chain[depth] == corner {
            return;
        }
        self.chain.resize(depth + 1, usize::MAX);
        let mut at = corner;
        while self.chain[outer.depth(at)] != at {
            self.chain[outer.depth(at)] = at;
            let Some(next) = path.corners[at].next else {
                break;
            };
            at = next;
        }
        let kept = (outer.depth(at) + 1).min(known);
        for rows in &mut self.rows {
            rows.truncate(kept);
        }
    }

    /// Puts the window around Z, its width by the tension at a corner.
    fn recentre(&mut self, outer: &Outer, corner: usize, z: f64) {
        let dragged = outer.drag() > 0.0;
        let part = if dragged {
            HALF_OF_DRAGGED
        } else {
            HALF_OF_TENSION
        };
        let wide = (HALF_WINDOW * self.scale).max(part * outer.tension(corner, z));
        self.half = wide / outer.gain(corner);
        let way = z - self.centre;
        let near = way.abs() < 4.0 * self.half;
        self.centre = if near {
            z + way.signum() * AHEAD * self.half
        } else {
            z
        };
        for rows in &mut self.rows {
            rows.clear();
        }
    }

    /// T at a place of the chain for the law of a zone.
    fn film(
        &mut self,
        path: &Path,
        outer: &Outer,
        strip: &Strip<'_>,
        zone: usize,
        at: usize,
        u: f64,
    ) -> Jet {
        if at == 0 {
            return (0.0, 0.0);
        }
        while self.rows[zone].len() <= at {
            self.add_row(path, outer, strip.law(zone), zone);
        }
        let row = &self.rows[zone][at];
        let (mut value, mut slope) = (0.0, 0.0);
        for c in row.iter().rev() {
            slope = slope * u + value;
            value = value * u + c;
        }
        (value, slope / self.half)
    }

    /// The next row of a zone, from the one outside it.
    fn add_row(&mut self, path: &Path, outer: &Outer, law: &StretchLaw, zone: usize) {
        let Some(&outside) = self.rows[zone].last() else {
            self.rows[zone].push([0.0; POINTS]);
            return;
        };
        let corner = self.chain[self.rows[zone].len()];
        let c = path.corners[corner];
        let drop = if c.rests {
            outer.drag() * c.length
        } else {
            0.0
        };
        let mut row = outside;
        // A piece with no tension at its outer end all over the window is never asked for.
        if outer.tension(corner, self.centre + self.half) > drop {
            for (point, powers) in self.points.iter().zip(&self.powers) {
                let n = outer.tension(corner, self.centre + self.half * point);
                let film = if drop > 0.0 {
                    (continued(law, n).1 - continued(law, n - drop).1) / outer.drag()
                } else {
                    c.length / continued(law, n).0
                };
                for (c, power) in row.iter_mut().zip(powers) {
                    *c += film * power;
                }
            }
        }
        self.rows[zone].push(row);
    }
}

/// Stretch ratio and film integral of a law, a neo-Hookean one going on below no tension.
fn continued(law: &StretchLaw, n: f64) -> (f64, f64) {
    match law {
        StretchLaw::NeoHookean(k) if n < 0.0 => {
            let q = n / k;
            let mut l = 1.0 + 0.25 * q;
            // Newton on l - l^-3 = q: from within 0.01 at q = -0.3, four steps meet rounding.
            for _ in 0..4 {
                let cube = 1.0 / (l * l * l);
                l -= (l - cube - q) / (1.0 + 3.0 * cube / l);
            }
            (l, k * (l.ln() + 0.75 * (1.0 - l.powi(-4))))
        }
        _ => law.lambda_and_integral(n),
    }
}

/// Chebyshev points of the window and, for a value of 1 at each, the coefficients of the
/// polynomial through all points.
fn chebyshev() -> (Row, [Row; POINTS]) {
    let mut places = [0.0; POINTS];
    let mut angle = 0.5;
    for place in &mut places {
        *place = (std::f64::consts::PI * angle / POINTS_F).cos();
        angle += 1.0;
    }
    let mut powers = [[0.0; POINTS]; POINTS];
    for (k, row) in powers.iter_mut().enumerate() {
        // The product of (u - u_j)/(u_k - u_j), one factor after the other.
        row[0] = 1.0;
        for (_, place) in places.iter().enumerate().filter(|(j, _)| *j != k) {
            let scale = 1.0 / (places[k] - place);
            let mut lower = 0.0;
            for c in row.iter_mut() {
                let same = *c;
                *c = (lower - place * same) * scale;
                lower = same;
            }
        }
    }
    (places, powers)
}

/// [`POINTS`] as a number.
const POINTS_F: f64 = 9.0;

#[cfg(test)]
mod tests {
    use super::super::span::Span;
    use super::*;
    use crate::geometry::{Point, chain as points};
    use crate::laydown::Conditions;
    use approx::assert_relative_eq;

    #[test]
    fn rows_hold_the_film_that_the_sum_over_corners_holds() {
        // Reference: the sum corner by corner, an independent way; 1e-11 is a tenth of
        // what a step of the march may err. A bumpy wall, a round lip and a second recess,
        // so that the path's corners come and go.
        let mut chain = points("0,-30 12,-28 20,-15 24,-14 30,-2");
        chain.extend((0..20).map(|i| {
            let a = f64::from(i) * 0.07;
            Point::new(32.0 + 8.0 * a.sin(), -8.0 + 8.0 * a.cos())
        }));
        chain.extend(points("45,-14 52,-1 60,-0.5 110,-1"));
        let laws = [3.0, 1.0, 2.0].map(StretchLaw::NeoHookean);
        let ends = [(30.0, &laws[0]), (62.0, &laws[1]), (150.0, &laws[2])];
        // A lip as a polyline has one contact, a round one moves it: both are in the chain.
        for (zones, drag) in [
            (&ends[2..], 0.0),
            (&ends[..], 0.0),
            (&ends[2..], 0.01),
            (&ends[..], 0.003),
            (&ends[..], 0.03),
        ] {
            let strip = Strip::from_right(zones);
            let conditions = Conditions {
                lip_friction: 0.4,
                drag,
                ..Conditions::default()
            };
            let mut span = Span::new(&chain, true, &strip, &conditions);
            for i in 0..span.path.legs.len() {
                let leg = span.path.legs[i];
                for t in [leg.from, 0.3 * leg.from + 0.7 * leg.to] {
                    for n in [1e-6, 0.2, 0.26, 0.9, 4.0] {
                        let table = span.held(&leg, t, n);
                        let sum = span.walk(&leg, t, n);
                        assert_relative_eq!(table.0, sum.0, max_relative = 1e-11);
                        // The slope of a drag that ends within the piece is a difference.
                        let epsilon = 1e-7 * if drag > 0.0 { table.0 } else { 0.0 };
                        let (found, summed) = (table.1, sum.1);
                        assert_relative_eq!(found, summed, max_relative = 1e-7, epsilon = epsilon);
                    }
                }
            }
        }
    }
}
