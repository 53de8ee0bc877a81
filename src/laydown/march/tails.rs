//! Film held beyond each corner of the free path, tabulated against the tension.
//!
//! With friction alone the tension of every piece of the path follows from that at the
//! bond line. Put
//!
//! ```text
//! N_i = exp(Z + mu Th_i),   Th_i the turning of the film from the bond line to piece i
//! T_d(Z) = sum over pieces i <= d of l_i / lambda(N_i)          for film of one law
//! ```
//!
//! so that Z alone sets all of them, whatever the place of the front: one row of numbers a
//! corner, made from the row of the corner outside it, serves the whole march, and a march
//! is linear in the vertices. A row holds the coefficients of a polynomial in Z that meets
//! T at Chebyshev points of a window; when Z leaves the window, rows are made anew. Film of
//! several laws has rows for each, read as differences from where a zone ends.
//!
//! Accuracy: lambda(exp Z) has its nearest singularity (lambda^4 = -3) pi/4 off the real
//! axis, 2 pi half windows away, so that 9 points leave about 1e-10 of the variation in
//! the window, 1e-12 of the film (tested against the sum itself).
//!
//! Source: derived for this project; the rate of Chebyshev interpolation: L. N. Trefethen,
//! Approximation Theory and Approximation Practice, theorem 8.2 (memory).

use super::strip::Strip;
use crate::film::StretchLaw;
use crate::laydown::path::Path;

/// Points of a row.
const POINTS: usize = 9;
/// Half width of the window in Z. Wider costs digits, narrower more windows.
const HALF_WINDOW: f64 = 0.125;
/// How far a new window is set ahead of where Z left the last one, in half windows: Z
/// mostly goes on the way it went.
const AHEAD: f64 = 0.8;

/// Coefficients of powers of u = (Z - centre)/[`HALF_WINDOW`].
type Row = [f64; POINTS];

/// A value with its slope against Z.
pub(super) type Jet = (f64, f64);

/// Rows of the corners on the present path.
#[derive(Debug)]
pub(super) struct Tails {
    mu: f64,
    /// Turning of the film from the bond line to each corner's piece, and its place on
    /// the path when it is there; by corner.
    turning: Vec<f64>,
    depth: Vec<usize>,
    /// Corners from the bond line inwards.
    chain: Vec<usize>,
    centre: f64,
    /// Rows by zone of the strip, then by place on the chain.
    rows: Vec<Vec<Row>>,
    /// The place on the chain whose piece held the end of each zone last.
    ends: Vec<usize>,
    /// Points of the window, and powers from values there.
    points: Row,
    powers: [Row; POINTS],
}

impl Tails {
    pub(super) fn new(path: &Path, mu: f64, zones: usize) -> Self {
        let n = path.corners.len();
        let (mut turning, mut depth) = (vec![0.0; n], vec![0; n]);
        for (i, c) in path.corners.iter().enumerate() {
            // The next corner outwards was found before this one.
            if let Some(next) = c.next {
                turning[i] = turning[next] + c.turn;
                depth[i] = depth[next] + 1;
            }
        }
        let (points, powers) = chebyshev();
        Self {
            mu,
            turning,
            depth,
            chain: vec![0],
            centre: f64::NAN,
            rows: vec![Vec::new(); zones],
            ends: vec![0; zones],
            points,
            powers,
        }
    }

    /// Z of a front with tension `n` whose film turns by `angle` at a corner.
    pub(super) fn z(&self, n: f64, angle: f64, corner: usize) -> f64 {
        n.ln() - self.mu * (angle + self.turning[corner])
    }

    /// Moves (y, dy/dZ) from the bond line in to a corner, the film of each zone at its law.
    pub(super) fn fill(&mut self, path: &Path, strip: &Strip<'_>, corner: usize, z: f64) -> Jet {
        self.reach(path, corner);
        if (z - self.centre).abs() > HALF_WINDOW || self.centre.is_nan() {
            self.recentre(z);
        }
        let u = (z - self.centre) / HALF_WINDOW;
        let end = self.depth[corner];
        let (mut y, mut at, mut zone) = ((0.0, 0.0), 0, 0);
        loop {
            let from = self.film(path, strip, zone, at, u);
            let to = self.film(path, strip, zone, end, u);
            let room = strip.end(zone) - y.0;
            if to.0 - from.0 <= room {
                return (y.0 + to.0 - from.0, y.1 + to.1 - from.1);
            }
            // The piece in which the zone ends, then on from there.
            let (mut low, mut high) = (at, end);
            let hint = self.ends[zone];
            if at < hint && hint <= end {
                // It moves little from one question to the next.
                if self.film(path, strip, zone, hint, u).0 - from.0 > room {
                    high = hint;
                    if self.film(path, strip, zone, hint - 1, u).0 - from.0 <= room {
                        low = hint - 1;
                    }
                } else {
                    low = hint;
                }
            }
            while high - low > 1 {
                let middle = low.midpoint(high);
                if self.film(path, strip, zone, middle, u).0 - from.0 > room {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            self.ends[zone] = high;
            let before = self.film(path, strip, zone, low, u);
            y = (y.0 + before.0 - from.0, y.1 + before.1 - from.1);
            let corner = self.chain[high];
            let n = (z + self.mu * self.turning[corner]).exp();
            strip.fill(&mut y, (path.corners[corner].length, 0.0), (n, n));
            (at, zone) = (high, strip.inside(y.0));
        }
    }

    /// Makes the chain that of a corner.
    fn reach(&mut self, path: &Path, corner: usize) {
        let depth = self.depth[corner];
        self.chain.truncate(depth + 1);
        let known = self.chain.len();
        if known == depth + 1 && self.chain[depth] == corner {
            return;
        }
        self.chain.resize(depth + 1, usize::MAX);
        let mut at = corner;
        while self.chain[self.depth[at]] != at {
            self.chain[self.depth[at]] = at;
            let Some(next) = path.corners[at].next else {
                break;
            };
            at = next;
        }
        let kept = (self.depth[at] + 1).min(known);
        for rows in &mut self.rows {
            rows.truncate(kept);
        }
    }

    /// Puts the window around Z.
    fn recentre(&mut self, z: f64) {
        let ahead = if (z - self.centre).abs() < 4.0 * HALF_WINDOW {
            (z - self.centre).signum() * AHEAD * HALF_WINDOW
        } else {
            0.0
        };
        self.centre = z + ahead;
        for rows in &mut self.rows {
            rows.clear();
        }
    }

    /// T at a place of the chain for the law of a zone.
    fn film(&mut self, path: &Path, strip: &Strip<'_>, zone: usize, at: usize, u: f64) -> Jet {
        if at == 0 {
            return (0.0, 0.0);
        }
        while self.rows[zone].len() <= at {
            self.add_row(path, strip.law(zone), zone);
        }
        let row = &self.rows[zone][at];
        let (mut value, mut slope) = (0.0, 0.0);
        for c in row.iter().rev() {
            slope = slope * u + value;
            value = value * u + c;
        }
        (value, slope / HALF_WINDOW)
    }

    /// The next row of a zone, from the one outside it.
    fn add_row(&mut self, path: &Path, law: &StretchLaw, zone: usize) {
        let Some(&outside) = self.rows[zone].last() else {
            self.rows[zone].push([0.0; POINTS]);
            return;
        };
        let corner = self.chain[self.rows[zone].len()];
        let length = path.corners[corner].length;
        let middle = (self.centre + self.mu * self.turning[corner]).exp();
        let mut row = outside;
        for (point, powers) in self.points.iter().zip(&self.powers) {
            let film = length / law.lambda(middle * point);
            for (c, power) in row.iter_mut().zip(powers) {
                *c += film * power;
            }
        }
        self.rows[zone].push(row);
    }
}

/// Chebyshev points of the window as factors exp(u w) on the tension at its centre, and,
/// for a value of 1 at each, the coefficients of the polynomial through all points.
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
    (places.map(|u| (u * HALF_WINDOW).exp()), powers)
}

/// [`POINTS`] as a number.
const POINTS_F: f64 = 9.0;

#[cfg(test)]
mod tests {
    use super::super::span::Span;
    use super::*;
    use crate::laydown::Conditions;
    use crate::section::Point;
    use approx::assert_relative_eq;

    #[test]
    fn rows_hold_the_film_that_the_sum_over_corners_holds() {
        // Reference: the sum corner by corner, an independent way; 1e-11 is a tenth of
        // what a step of the march may err. A bumpy wall, a round lip and a second recess,
        // so that the path's corners come and go.
        let mut chain = vec![Point::new(0.0, -30.0), Point::new(12.0, -28.0)];
        chain.extend([(20.0, -15.0), (24.0, -14.0), (30.0, -2.0)].map(|(x, y)| Point::new(x, y)));
        chain.extend((0..20).map(|i| {
            let a = f64::from(i) * 0.07;
            Point::new(32.0 + 8.0 * a.sin(), -8.0 + 8.0 * a.cos())
        }));
        chain.extend(
            [(45.0, -14.0), (52.0, -1.0), (60.0, -0.5), (110.0, -1.0)]
                .map(|(x, y)| Point::new(x, y)),
        );
        let laws = [3.0, 1.0, 2.0].map(StretchLaw::NeoHookean);
        let ends = [(30.0, &laws[0]), (62.0, &laws[1]), (150.0, &laws[2])];
        for zones in [&ends[2..], &ends[..]] {
            let strip = Strip::from_right(zones);
            let conditions = Conditions {
                lip_friction: 0.4,
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
                        assert_relative_eq!(table.1, sum.1, max_relative = 1e-7);
                    }
                }
            }
        }
    }
}
