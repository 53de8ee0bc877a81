//! What film is laid in: pieces of panel with a closed form of lambda and of the position
//! on the flat film on each. Every solver gives them, so a lay-down reads alike whichever
//! made it.

use super::close::Window;
use super::conditions::MarchReport;
use super::spread::Front;
use crate::section::Side;

/// How lambda runs along one piece of panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Law {
    /// Pressed or resting at one stretch.
    Even,
    /// Laid by a front going out; the gain counts from the end of the piece where the
    /// front came from.
    Out(Front),
    /// Laid by two fronts closing in, in this window; the gain counts from the piece's
    /// outer end.
    In(usize),
    /// Laid by the general march.
    Cell(Cell),
}

/// Film laid between two places of a march: a cubic in film position against arc length
/// that meets film and 1/lambda at both ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cell {
    /// 1/lambda at the left and the right end.
    pub(super) rates: (f64, f64),
}

/// Length below which a cell is too short for its cubic, mm: the film it takes is a
/// difference of positions good to 1e-13 mm, so 1/lambda would lose digits.
const SHORT_CELL: f64 = 1e-3;

impl Cell {
    /// Mean of 1/lambda that the film positions of the ends say.
    fn mean(self, p: &Piece) -> f64 {
        if p.to - p.from < SHORT_CELL {
            0.5 * (self.rates.0 + self.rates.1)
        } else {
            (p.film.1 - p.film.0) / (p.to - p.from)
        }
    }

    /// Lambda and film position at a part `t` of the piece, 0 to 1.
    fn read(self, p: &Piece, t: f64) -> (f64, f64) {
        let (a, b) = self.rates;
        let mean = self.mean(p);
        let rate =
            6.0 * mean * t * (1.0 - t) + a * (1.0 - t) * (1.0 - 3.0 * t) - b * t * (2.0 - 3.0 * t);
        let part =
            mean * t * t * (3.0 - 2.0 * t) + a * t * (1.0 - t) * (1.0 - t) - b * t * t * (1.0 - t);
        (1.0 / rate, p.film.0 + (p.to - p.from) * part)
    }

    /// Where lambda has its largest value inside, if it has, as a part of the piece.
    fn top(self, p: &Piece) -> Option<f64> {
        let (a, b) = self.rates;
        let mean = self.mean(p);
        // 1/lambda is a parabola; its second derivative is 6 (a + b - 2 mean).
        let bend = a + b - 2.0 * mean;
        let t = (2.0 * a + b - 3.0 * mean) / (3.0 * bend);
        (bend > 1e-12 && t > 0.0 && t < 1.0).then_some(t)
    }
}

/// A piece of panel with one law. Distances from the press grow outwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Ends, arc length, mm, `from < to`.
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) side: Side,
    pub(super) law: Law,
    /// ln lambda where the gain counts from (everywhere, for [`Law::Even`]).
    pub(super) base: f64,
    /// Film position of `from` and `to`, mm from the left bond line.
    pub(super) film: (f64, f64),
}

impl Piece {
    /// Film on a side between two places, mm; `base`: ln lambda where its gain counts from.
    pub(super) fn new(
        side: Side,
        (from, to): (f64, f64),
        law: Law,
        base: f64,
        film: (f64, f64),
    ) -> Self {
        Self {
            from,
            to,
            side,
            law,
            base,
            film,
        }
    }

    /// Film that goes down at one stretch.
    pub(super) fn even(ends: (f64, f64), ln: f64, film: (f64, f64)) -> Self {
        Self::new(Side::Right, ends, Law::Even, ln, film)
    }

    /// A cell of the march, with lambda at both ends.
    pub(super) fn cell(side: Side, ends: (f64, f64), lambda: (f64, f64), film: (f64, f64)) -> Self {
        let rates = (1.0 / lambda.0, 1.0 / lambda.1);
        Self::new(side, ends, Law::Cell(Cell { rates }), 0.0, film)
    }

    /// Film to be laid by a front that sets out to a side at `start`, with
    /// [`Piece::finish`] still to come.
    pub(super) fn out(start: f64, side: Side, front: Front) -> Self {
        let left = (start - front.to, start - front.from);
        let ends = side.pick(left, (start + front.from, start + front.to));
        Self::new(side, ends, Law::Out(front), 0.0, (0.0, 0.0))
    }

    /// Completes a piece laid by a front that sets out with `ln` = ln lambda; `film` makes
    /// its two film positions of the film left beyond its outer end. Returns ln lambda
    /// there.
    pub(super) fn finish(&mut self, ln: f64, film: impl FnOnce(f64) -> (f64, f64)) -> f64 {
        let Law::Out(front) = self.law else { return ln };
        self.base = ln;
        let end = ln + front.gain;
        self.film = film(front.free(front.to) / end.exp());
        end
    }

    /// The part of it, 0 to 1, that lies before a place.
    fn part(&self, s: f64) -> f64 {
        if self.to > self.from {
            (s - self.from) / (self.to - self.from)
        } else {
            0.0
        }
    }

    /// Lambda and film position at an arc length, mm.
    pub(super) fn read(&self, windows: &[Window], s: f64) -> (f64, f64) {
        let s = s.clamp(self.from, self.to);
        let (left, right) = self.film;
        match self.law {
            Law::Even => (self.base.exp(), left + self.part(s) * (right - left)),
            Law::Cell(cell) => cell.read(self, self.part(s)),
            Law::Out(front) => {
                let way = self.side.pick(self.to - s, s - self.from);
                let at = (front.from + way).min(front.to);
                let lambda = (self.base + front.gain_to(at)).exp();
                // Film between here and the piece's far end.
                let ahead =
                    front.free(at) / lambda - front.free(front.to) / (self.base + front.gain).exp();
                (lambda, self.side.pick(left + ahead, right - ahead))
            }
            Law::In(k) => {
                let window = &windows[k];
                let (from, to) = (self.from, self.to);
                let ends = self
                    .side
                    .pick((from, to, left, right), (to, from, right, left));
                let (out, inner, film, other) = ends;
                let t = (s - out) / (inner - out);
                let y = window.y1 + t * (window.y0 - window.y1);
                let lambda = (self.base + window.gain_from_outside(y)).exp();
                let before = window.free(window.y1) / self.base.exp();
                let laid = before - window.free(y) / lambda;
                let all = before - window.free(window.y0) / (self.base + window.gain).exp();
                let share = if all > 0.0 { laid / all } else { t };
                (lambda, film + share * (other - film))
            }
        }
    }

    /// Lambda at the left and the right end.
    pub(super) fn ends(&self, windows: &[Window]) -> (f64, f64) {
        let (near, far) = match self.law {
            Law::Even => return (self.base.exp(), self.base.exp()),
            Law::Cell(cell) => return (1.0 / cell.rates.0, 1.0 / cell.rates.1),
            Law::Out(front) => (self.base.exp(), (self.base + front.gain).exp()),
            Law::In(k) => ((self.base + windows[k].gain).exp(), self.base.exp()),
        };
        self.side.pick((far, near), (near, far))
    }

    /// Where lambda has its largest value inside of a cell of the march, arc length, mm:
    /// laid by the closed form it never falls, and the ends are enough.
    pub(super) fn top(&self) -> Option<f64> {
        let Law::Cell(cell) = self.law else {
            return None;
        };
        Some(self.from + cell.top(self)? * (self.to - self.from))
    }
}

/// What a solver makes of bridged film.
#[derive(Debug, Default)]
pub(super) struct Made {
    /// Left to right.
    pub(super) pieces: Vec<Piece>,
    /// Those that pieces of two closing fronts refer to, from the press outwards.
    pub(super) windows: Vec<Window>,
    /// What went down in one press at the middle, arc lengths, mm.
    pub(super) pad: (f64, f64),
    /// What the general march saw, if it was used.
    pub(super) march: Option<MarchReport>,
}
