//! The lowest peak of a list of moves on a grid of places: dynamic programming.
//!
//! Whatever is done in a free span multiplies its stretch by a factor that depends on its
//! two ends alone, not on the film in it or on other spans. So the least factor G of the
//! largest stretch laid in the span from i to j, with at most k moves, follows from that of
//! shorter spans, in logarithms:
//!
//! ```text
//! close from the left      A(i, j)                    A: gain of a front from i to the fixed end j
//! ... from the left to c   A(i, j) - A(c, j) + G(c, j; k - 1)          (from the right alike)
//! press from p to q        ln[(L(i, p) + pad + L(q, j)) / L(i, j)] + max(0, G(i, p; a), G(q, j; b)),
//!                          a + b = k - 1
//! ```
//!
//! L is the taut length. On the grid the answer is the least there is. Off it, it is a start
//! for a search with the exact lay-down.
//!
//! The panel between two places is one or two facets (the vertex furthest off the chord is
//! kept), so that a scan of any length costs the same. Cost: k² n³ for n places.
//! Source: derived for this project; R. Bellman (1957), "Dynamic Programming".

use crate::geometry::sort_by_number;
use crate::geometry::{Polyline, cross, taut_lengths};
use crate::laydown::{Bed, spread};

/// Places over the recess: a step of about 1 mm in an ordinary one, and well under a second
/// of work. More cost their cube.
const PLACES: f64 = 72.0;
/// Panel beyond the lips that is as finely divided as the recess, mm.
const BESIDE: f64 = 8.0;
/// Vertices beyond which the panel is thinned out for a search, its sagitta then being
/// micrometres; the list found is laid on all of them.
const MOST_VERTICES: usize = 4000;
/// Parts into which each flat is divided.
const FLAT_PARTS: u32 = 6;
/// How far a pad goes over an end that it is to cover, mm: more than places are rounded.
const OVER: f64 = 0.03;
/// Gain by which a move must lower ln lambda to be taken.
const WORTH: f64 = 1e-9;

/// What film is laid on in a search: the bed, thinned out if it has very many vertices.
pub(super) struct Ground {
    pub(super) line: Polyline,
    /// Pad, mm; press, lips and bond lines as arc lengths, mm.
    pub(super) pad: f64,
    pub(super) press: f64,
    lips: (f64, f64),
    pub(super) ends: (f64, f64),
}

impl Ground {
    /// The ground of a bed between two bond lines.
    pub(super) fn new(bed: &Bed<'_>, ends: (f64, f64)) -> Self {
        let (line, lips, press) = (bed.line(), bed.lips(), bed.press());
        let mut ground = Self {
            line: line.clone(),
            pad: bed.pad(),
            press,
            lips,
            ends,
        };
        if line.points().len() > MOST_VERTICES {
            let (start, end) = (line.start(), line.end());
            let mut marks = vec![start, ends.0, lips.0, press, lips.1, ends.1, end];
            let cells = u32::try_from(MOST_VERTICES / 2).unwrap_or(u32::MAX);
            for k in 1..cells {
                let part = f64::from(k) / f64::from(cells);
                marks.push(ends.0 + part * (ends.1 - ends.0));
            }
            sort_by_number(&mut marks, |mark| *mark);
            marks.dedup_by(|b, a| (*b - *a).abs() <= 1e-9);
            let (thin, at) = coarse(line, &marks);
            let find = |s: f64| {
                let k = marks.partition_point(|&m| m < s - 1e-9);
                at[k.min(at.len() - 1)]
            };
            ground.ends = (find(ends.0), find(ends.1));
            ground.lips = (find(lips.0), find(lips.1));
            ground.press = find(press);
            ground.line = thin;
        }
        ground
    }
}

/// A move in a free span, by places of the grid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Choice {
    /// There is none with so few moves.
    None,
    /// One front over the whole span.
    FromLeft,
    FromRight,
    /// A front as far as a place.
    LeftTo(usize),
    RightTo(usize),
    /// A press from a place to a place; moves for the part on its left.
    Press(usize, usize, usize),
}

/// Least factors of all spans between places.
pub(super) struct Grid {
    /// Arc lengths on the bed, mm.
    pub(super) places: Vec<f64>,
    /// The place at which a pad from here on ends.
    pad_end: Vec<usize>,
    pad: f64,
    /// Gains of fronts from one place to another, row by row of where they set out.
    gain: Vec<f64>,
    taut: Vec<f64>,
    most: usize,
    /// ln of the least factor and the move for it, for each number of moves.
    best: Vec<Vec<(f64, Choice)>>,
}

impl Grid {
    /// Solves all spans between the bond lines with up to `most` moves.
    pub(super) fn solve(ground: &Ground, most: usize) -> Self {
        let (places, step) = places(ground);
        let n = places.len();
        let (line, at) = coarse(&ground.line, &places);
        let pad = if ground.pad < 0.5 * step {
            0.0
        } else {
            ground.pad
        };
        let end_from = |s: &f64| {
            let end = s + pad;
            let after = places.partition_point(|&p| p < end).min(n - 1);
            let before = after.saturating_sub(1);
            if end - places[before] < places[after] - end {
                before
            } else {
                after
            }
        };
        let pad_end = places.iter().map(end_from).collect();
        let mut grid = Self {
            pad_end,
            pad,
            gain: gains(&line, &at),
            taut: vec![0.0; n * n],
            most,
            best: vec![vec![(f64::INFINITY, Choice::None); n * n]; most + 1],
            places,
        };
        let vertex = |s: f64| line.lengths().partition_point(|&l| l < s);
        let vertices: Vec<usize> = at.iter().map(|&s| vertex(s)).collect();
        for (i, &from) in vertices.iter().enumerate() {
            let lengths = taut_lengths(&line.points()[from..]);
            for (j, &to) in vertices.iter().enumerate().skip(i + 1) {
                grid.taut[i * n + j] = lengths[to - from];
            }
        }
        for length in 1..n {
            for i in 0..n - length {
                grid.solve_span(i, i + length);
            }
        }
        grid
    }

    fn n(&self) -> usize {
        self.places.len()
    }

    /// ln of the least factor of a span with at most `k` moves; a span without film is 0.
    fn least(&self, i: usize, j: usize, k: usize) -> f64 {
        if i >= j {
            return 0.0;
        }
        self.best[k][i * self.n() + j].0
    }

    /// The least factor of all film with at most `k` moves.
    pub(super) fn peak(&self, k: usize) -> f64 {
        self.least(0, self.n() - 1, k).exp()
    }

    /// The move that a span begins with.
    pub(super) fn choice(&self, i: usize, j: usize, k: usize) -> Choice {
        self.best[k][i * self.n() + j].1
    }

    /// Gain of a front from one place to another.
    pub(super) fn gain(&self, from: usize, to: usize) -> f64 {
        self.gain[from * self.n() + to]
    }

    fn solve_span(&mut self, i: usize, j: usize) {
        let at = i * self.n() + j;
        for k in 1..=self.most {
            let mut best = self.best[k - 1][at];
            let (right, left) = (self.gain(i, j), self.gain(j, i));
            offer(&mut best, right, Choice::FromLeft);
            offer(&mut best, left, Choice::FromRight);
            if k > 1 {
                for c in i + 1..j {
                    let (to_right, to_left) = (self.least(c, j, k - 1), self.least(i, c, k - 1));
                    let right = right - self.gain(c, j) + to_right;
                    offer(&mut best, right, Choice::LeftTo(c));
                    offer(
                        &mut best,
                        left - self.gain(c, i) + to_left,
                        Choice::RightTo(c),
                    );
                }
            }
            self.offer_presses(i, j, k, &mut best);
            self.best[k][at] = best;
        }
    }

    /// All presses in a span.
    fn offer_presses(&self, i: usize, j: usize, k: usize, best: &mut (f64, Choice)) {
        let half = 0.5 * self.pad;
        for p in i..j {
            let q = self.pad_end[p];
            // Clipped by the right end: the press itself is still inside.
            if q < j || self.places[p] + half <= self.places[j] {
                self.offer_press((i, j), (p, q.min(j)), k, best);
            }
        }
        // Clipped by the left end.
        let mut q = self.pad_end[i].min(j);
        while q > i + 1 && self.places[q - 1] - half >= self.places[i] {
            q -= 1;
            self.offer_press((i, j), (i, q), k, best);
        }
    }

    /// One press with all shares of the moves that are left.
    fn offer_press(
        &self,
        (i, j): (usize, usize),
        (p, q): (usize, usize),
        k: usize,
        best: &mut (f64, Choice),
    ) {
        let wide = self.places[q] - self.places[p];
        if (q == p && p == i) || ((p == i || q == j) && wide > self.pad + 1e-9) {
            return;
        }
        let (from, to) = match (p > i, q < j) {
            (true, true) => (1, k.saturating_sub(2)),
            (true, false) => (k - 1, k - 1),
            _ => (0, 0),
        };
        let inside = |a: usize| {
            let both = self.least(i, p, a).max(self.least(q, j, k - 1 - a));
            both.max(0.0)
        };
        // A press never takes film back: what is left to lay may be too much already.
        let enough = best.0 - WORTH;
        if !(from..=to).any(|a| inside(a) < enough) {
            return;
        }
        let n = self.n();
        let pad = if p == i || q == j {
            self.pad.min(wide)
        } else {
            self.pad
        };
        let taut = |a: usize, b: usize| if b > a { self.taut[a * n + b] } else { 0.0 };
        let press = ((taut(i, p) + pad + taut(q, j)) / taut(i, j)).ln().max(0.0);
        for a in from..=to {
            offer(best, press + inside(a), Choice::Press(p, q, a));
        }
    }

    /// Where the tool presses to lay the panel between two places in a span, arc length, mm.
    pub(super) fn middle(&self, (i, j): (usize, usize), (p, q): (usize, usize)) -> f64 {
        let (from, to) = (self.places[p], self.places[q]);
        if p == i {
            // No sliver of film stays free beside the pad where none is reckoned with, even
            // when the place is typed.
            to.min(from + self.pad) - 0.5 * self.pad - OVER
        } else if q == j {
            from.max(to - self.pad) + 0.5 * self.pad + OVER
        } else {
            0.5 * (from + to)
        }
    }
}

/// Takes a move that is better by as much as counts.
fn offer(best: &mut (f64, Choice), ln: f64, choice: Choice) {
    if ln < best.0 - WORTH {
        *best = (ln, choice);
    }
}

/// Places of the grid and their distance over the recess, mm.
fn places(ground: &Ground) -> (Vec<f64>, f64) {
    let &Ground {
        lips,
        ends: (left, right),
        pad,
        press,
        ..
    } = ground;
    let from = (lips.0 - BESIDE).max(left);
    let to = (lips.1 + BESIDE).min(right);
    let mut step = (to - from) / PLACES;
    // Both edges of a pad on places, with the press in its middle.
    if pad >= 0.5 * step {
        step = pad / (pad / step).ceil();
    }
    let first = press - 0.5 * pad;
    let first = first - ((first - from) / step).floor() * step;
    let mut places = Vec::new();
    let flat = |a: f64, b: f64, places: &mut Vec<f64>| {
        for k in 0..FLAT_PARTS {
            places.push(a + (b - a) * f64::from(k) / f64::from(FLAT_PARTS));
        }
    };
    if from > left {
        flat(left, from, &mut places);
    } else {
        places.push(left);
    }
    let mut k = 0.0;
    while first + k * step < to {
        places.push(first + k * step);
        k += 1.0;
    }
    if to < right {
        flat(to, right, &mut places);
    }
    places.push(right);
    // Nearer ones would be lost in the half step by which a pad may miss its place.
    places.dedup_by(|b, a| *b - *a < 0.5 * step);
    // The bond line stays, whatever is near to it.
    if let Some(last) = places.last_mut() {
        *last = right;
    }
    (places, step)
}

/// The panel through the places, between two of them the vertex furthest off the chord,
/// with the arc length of each place on it.
fn coarse(line: &Polyline, places: &[f64]) -> (Polyline, Vec<f64>) {
    let mut points = vec![line.at(places[0])];
    let mut index = vec![0];
    for w in places.windows(2) {
        let (a, b) = (line.at(w[0]), line.at(w[1]));
        let lengths = line.lengths();
        let inside = lengths.partition_point(|&s| s <= w[0] + 1e-9)
            ..lengths.partition_point(|&s| s < w[1] - 1e-9);
        let off = |i: &usize| cross(b - a, line.points()[*i] - a).abs();
        let furthest = inside.max_by(|i, j| off(i).total_cmp(&off(j)));
        points.extend(furthest.map(|i| line.points()[i]));
        points.push(b);
        index.push(points.len() - 1);
    }
    let line = Polyline::new(points, 0.0);
    let at = index.iter().map(|&i| line.lengths()[i]).collect();
    (line, at)
}

/// Gains of the fronts between all places: one pass for each fixed end and side.
fn gains(line: &Polyline, at: &[f64]) -> Vec<f64> {
    let n = at.len();
    let mut gain = vec![0.0; n * n];
    for fixed in 0..n {
        for right in [false, true] {
            let start = if right { at[0] } else { at[n - 1] };
            if (start - at[fixed]).abs() <= 0.0 {
                continue;
            }
            // Places between the fixed end and the start, from the fixed end back.
            let mut behind: Vec<usize> = if right {
                (0..fixed).collect()
            } else {
                (fixed + 1..n).rev().collect()
            };
            let mut so_far = 0.0;
            spread(&line.between(start, at[fixed]), right, |f| {
                while let Some(&i) = behind.last() {
                    let way = (at[i] - start).abs();
                    if way < f.from {
                        break;
                    }
                    let rest = if way >= f.to {
                        0.0
                    } else {
                        f.gain - f.gain_to(way)
                    };
                    gain[i * n + fixed] = so_far + rest;
                    behind.pop();
                }
                so_far += f.gain;
            });
            for i in behind {
                gain[i * n + fixed] = so_far;
            }
        }
    }
    gain
}
