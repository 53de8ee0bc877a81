//! A chain of straight pieces and rounded corners through noisy readings.
//!
//! Given are samples in their order, how far they err, and how many independent readings
//! they stand for; found is the chain that makes small
//!
//! ```text
//! cost = RSS/(V sigma²) + 4 ln(n/V) a piece + ln(n/V) a rounded corner
//! ```
//!
//! with RSS the sum of squared distances to the chain. In order: the optimal partition
//! into pieces that need not meet; corners where they meet, polished on the distance to
//! the chain; folds go; short pieces go where that is cheaper and shortens the chain;
//! corners are rounded where that is cheaper; two corners and the piece between them
//! become one rounded corner where that is cheaper.
//!
//! A piece costs 4 logarithms: with 3, two false corners appear in 80 straight scans; with
//! 6, roundings come out square. Guarantee: the partition is optimal; what follows never
//! raises the cost, but for folds. It is no global optimum over continuous chains.

use super::Sample;
use super::moments::Moments;
use super::partition::{moments, partition};
use super::polish::{Bound, FREE, Held, PULL, polish};
use super::rounded::Rounded;
use crate::geometry::{Point, Vector, cross};
use std::ops::Range;

/// Price of a piece, in ln(n/V).
const PIECE: f64 = 4.0;
/// Price of a rounded corner, in ln(n/V).
const RADIUS: f64 = 1.0;
/// Samples of a piece that is short: a longer one is not an overshoot at a corner.
const SHORT: f64 = 8.0;
/// Pieces on each side of a changed one that are polished with it.
const AROUND: usize = 2;
/// Cosine of the turn from which a piece runs back on its neighbour: 101 degrees.
const RUNS_BACK: f64 = -0.2;
/// Arcs tried at a corner, as the part of the shorter piece beside it that they take.
const ARCS: [f64; 7] = [0.02, 0.05, 0.1, 0.2, 0.4, 0.65, 0.95];
/// Rounds of looking for cheaper chains; two or three find all.
const MOST_ROUNDS: usize = 6;
/// Distance of pieces' meeting place from both their ends, in spacings and deviations,
/// up to which it is the corner.
const NEAR: (f64, f64) = (4.0, 6.0);

/// What the errors of the samples are worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Price {
    /// V sigma², mm²: divides weighted squares.
    pub(crate) square: f64,
    /// ln(n/V).
    pub(crate) log: f64,
    /// Deviation of a sample, mm, and distance of neighbours, mm.
    pub(crate) sigma: f64,
    /// Distance of neighbouring samples, mm.
    pub(crate) spacing: f64,
}

impl Price {
    fn of(&self, rss: f64, chain: &Rounded) -> f64 {
        rss / self.square
            + self.log * (PIECE * chain.pieces() as f64 + RADIUS * chain.rounded() as f64)
    }
}

/// A chain, and the samples it was fitted to.
#[derive(Debug)]
pub(crate) struct Fit<'a> {
    pub(crate) chain: Rounded,
    pub(crate) bound: Bound<'a>,
    /// Pieces of the optimal partition.
    pub(crate) partition: usize,
    price: Price,
}

/// Corners at the ends of a stretch of the chain, and corners with radii for its inside.
type Stretch = (Range<usize>, Vec<(Point, f64)>);

/// A change of a few pieces, worked out.
struct Change {
    outer: Range<usize>,
    part: Rounded,
    hints: Vec<usize>,
    cost: f64,
}

impl<'a> Fit<'a> {
    /// Fits at least two samples; pieces by the partition, corners not yet polished.
    pub(crate) fn start(samples: &'a [Sample], price: Price) -> Self {
        let (ends, _) = partition(samples, price.square, PIECE * price.log);
        let (chain, hints) = joined(samples, &ends, price);
        Self {
            chain,
            bound: Bound { samples, hints },
            partition: ends.len(),
            price,
        }
    }

    /// All steps after the partition.
    pub(crate) fn finish(mut self) -> Self {
        self.polish();
        if self.drop_folds() {
            self.polish();
        }
        for _ in 0..MOST_ROUNDS {
            let dropped = self.drop_short();
            let rounded = self.round_corners() + self.merge_into_arcs();
            if dropped + rounded == 0 {
                break;
            }
            self.polish();
        }
        self
    }

    fn polish(&mut self) {
        polish(&mut self.chain, &mut self.bound, FREE, PULL);
    }

    /// First sample of each piece, counted as if the pieces took samples in order, and the
    /// number of samples at the end.
    fn starts(&self) -> Vec<usize> {
        let mut starts = vec![0; self.chain.pieces() + 1];
        for &k in &self.bound.hints {
            starts[k + 1] += 1;
        }
        for k in 1..starts.len() {
            starts[k] += starts[k - 1];
        }
        starts
    }

    /// Takes out pieces that run against their own samples or against both neighbours.
    fn drop_folds(&mut self) -> bool {
        let mut any = false;
        while self.chain.pieces() > 2 {
            let starts = self.starts();
            let fold = (0..self.chain.pieces()).find(|&k| self.is_fold(k, &starts));
            let Some(k) = fold else { break };
            any = true;
            self.remove(k, &starts);
        }
        any
    }

    fn is_fold(&self, k: usize, starts: &[usize]) -> bool {
        let u = self.chain.piece(k).0;
        let own = &self.bound.samples[starts[k]..starts[k + 1]];
        let against = own.len() >= 3 && (own[own.len() - 1].p - own[0].p).dot(&u) < 0.0;
        let inner = k > 0 && k + 1 < self.chain.pieces();
        let both = inner
            && [k - 1, k + 1]
                .iter()
                .all(|&other| self.chain.piece(other).0.dot(&u) < RUNS_BACK);
        against || both
    }

    /// Takes a piece out whatever it costs.
    fn remove(&mut self, k: usize, starts: &[usize]) {
        let (outer, inner) = self.without(k, false);
        let change = self.change(outer, &inner, starts, |piece, late| shifted(piece, k, late));
        self.apply(change, starts);
    }

    /// Takes out short pieces where the chain gets cheaper and shorter; returns how many.
    fn drop_short(&mut self) -> usize {
        let mut count = 0;
        let mut k = 0;
        while k < self.chain.pieces() && self.chain.pieces() > 2 {
            let starts = self.starts();
            if self.weight(starts[k]..starts[k + 1]) > SHORT {
                k += 1;
                continue;
            }
            let (outer, inner) = self.without(k, false);
            let before = self.part_cost(&outer, &starts);
            let change = self.change(outer, &inner, &starts, |p, late| shifted(p, k, late));
            let length = self.part(&change.outer).length();
            if change.cost < before && change.part.length() <= length {
                self.apply(change, &starts);
                count += 1;
                k = k.saturating_sub(AROUND);
            } else {
                k += 1;
            }
        }
        count
    }

    /// Readings in a range of samples.
    fn weight(&self, range: Range<usize>) -> f64 {
        self.bound.samples[range].iter().map(|s| s.weight).sum()
    }

    /// Rounds sharp corners where the chain gets cheaper; returns how many.
    fn round_corners(&mut self) -> usize {
        let mut count = 0;
        for k in 1..self.chain.pieces() {
            if self.chain.radii[k] > 0.0 {
                continue;
            }
            let starts = self.starts();
            let outer = self.window(k - 1, k);
            let before = self.part_cost(&outer, &starts);
            let Some(radius) = self.best_radius(k, &outer, &starts) else {
                continue;
            };
            let mut inner = self.inner(&outer);
            inner[k - outer.start - 1].1 = radius;
            let change = self.change(outer, &inner, &starts, |piece, _| piece);
            if change.cost < before {
                self.apply(change, &starts);
                count += 1;
            }
        }
        count
    }

    /// Of a few radii at corner `k`, corners unmoved, the one with the least distances.
    fn best_radius(&self, k: usize, outer: &Range<usize>, starts: &[usize]) -> Option<f64> {
        let (half, _) = self.chain.turn(k)?;
        let free =
            |piece: usize, other: usize| self.chain.piece(piece).1 - self.chain.tangent(other);
        let room = free(k - 1, k - 1).min(free(k, k + 1));
        let inner = self.inner(outer);
        ARCS.iter()
            .map(|part| part * room / half)
            .filter(|&r| r > 0.0)
            .map(|r| {
                let mut inner = inner.clone();
                inner[k - outer.start - 1].1 = r;
                let chain = self.chain.with_inner(outer, &inner);
                (
                    self.bound_of(outer, starts, |piece, _| piece).rss(&chain),
                    r,
                )
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, r)| r)
    }

    /// Turns two corners and the piece between them into one rounded corner where the
    /// chain gets cheaper; returns how many.
    fn merge_into_arcs(&mut self) -> usize {
        let mut count = 0;
        let mut k = 1;
        while k + 1 < self.chain.pieces() {
            let starts = self.starts();
            let merged = self.merged(k).and_then(|(outer, inner)| {
                let before = self.part_cost(&outer, &starts);
                let change = self.change(outer, &inner, &starts, |p, late| shifted(p, k, late));
                (change.cost < before).then_some(change)
            });
            if let Some(change) = merged {
                self.apply(change, &starts);
                count += 1;
                k = k.saturating_sub(1).max(1);
            } else {
                k += 1;
            }
        }
        count
    }

    /// The chain without piece `k`, its neighbours prolonged and rounded so that the arc
    /// touches piece `k`.
    fn merged(&self, k: usize) -> Option<Stretch> {
        let signs = [k, k + 1].map(|c| self.chain.turn(c).map(|t| t.1));
        let same = signs[0].is_some() && signs[0] == signs[1];
        let (u1, u2) = (self.chain.piece(k - 1).0, self.chain.piece(k + 1).0);
        let (a, b) = (self.chain.corners[k], self.chain.corners[k + 1]);
        let meet = meeting(a, u1, b, u2)?;
        let ahead = (meet - a).dot(&u1) >= 0.0 && (b - meet).dot(&u2) >= 0.0;
        if !same || !ahead {
            return None;
        }
        let (outer, mut inner) = self.without(k, true);
        let (half, _) = Rounded::sharp(vec![a - u1, meet, b + u2]).turn(1)?;
        // The incircle's arc: it touches both pieces and the line a-b from inside.
        let (e, f, g) = ((meet - a).norm(), (b - meet).norm(), (b - a).norm());
        let tangent = 0.5 * (e + f + g);
        inner[k - outer.start - 1].1 = tangent / half;
        Some((outer, inner))
    }

    /// Corners around piece `k` and those between them without it: one at the place where
    /// its neighbours meet, or half way along it.
    fn without(&self, k: usize, wide: bool) -> Stretch {
        let outer = self.window(k, k);
        let mut inner = self.inner(&outer);
        let pieces = self.chain.pieces();
        if k == 0 || k + 1 == pieces {
            // An end piece: its inner corner goes, the end is taken to its neighbour.
            let corner = if k == 0 { 1 } else { k };
            inner.remove(corner - outer.start - 1);
            return (outer, inner);
        }
        let (a, b) = (self.chain.corners[k], self.chain.corners[k + 1]);
        let (u1, u2) = (self.chain.piece(k - 1).0, self.chain.piece(k + 1).0);
        let middle = a + (b - a) / 2.0;
        let near = 3.0 * (b - a).norm() + self.price.spacing;
        let reach = if wide { f64::INFINITY } else { near };
        let corner = meeting(a, u1, b, u2)
            .filter(|m| (m - middle).norm() <= reach)
            .unwrap_or(middle);
        inner[k - outer.start - 1] = (corner, 0.0);
        inner.remove(k - outer.start);
        (outer, inner)
    }

    /// Corners at the ends of the window around pieces `first..=last`.
    fn window(&self, first: usize, last: usize) -> Range<usize> {
        first.saturating_sub(AROUND)..(last + AROUND + 1).min(self.chain.pieces())
    }

    /// Corners and radii inside a window.
    fn inner(&self, outer: &Range<usize>) -> Vec<(Point, f64)> {
        (outer.start + 1..outer.end)
            .map(|k| (self.chain.corners[k], self.chain.radii[k]))
            .collect()
    }

    fn part(&self, outer: &Range<usize>) -> Rounded {
        self.chain.with_inner(outer, &self.inner(outer))
    }

    /// The samples of a window; `place` gives a piece's new number from its old one, and
    /// whether the sample is in the later half of its piece.
    fn bound_of(
        &self,
        outer: &Range<usize>,
        starts: &[usize],
        place: impl Fn(usize, bool) -> usize,
    ) -> Bound<'a> {
        let from = starts[outer.start];
        let samples = &self.bound.samples[from..starts[outer.end]];
        let mut hints = Vec::with_capacity(samples.len());
        for k in outer.clone() {
            let count = starts[k + 1] - starts[k];
            hints.extend((0..count).map(|i| place(k, 2 * i >= count) - outer.start));
        }
        Bound { samples, hints }
    }

    fn part_cost(&self, outer: &Range<usize>, starts: &[usize]) -> f64 {
        let part = self.part(outer);
        let mut bound = self.bound_of(outer, starts, |piece, _| piece);
        self.price.of(bound.rss(&part), &part)
    }

    /// Polishes a window with other corners inside it.
    fn change(
        &self,
        outer: Range<usize>,
        inner: &[(Point, f64)],
        starts: &[usize],
        place: impl Fn(usize, bool) -> usize,
    ) -> Change {
        let mut part = self.chain.with_inner(&outer, inner);
        part.keep_arcs_apart();
        let pieces = part.pieces();
        let first = outer.start;
        let mut bound = self.bound_of(&outer, starts, |piece, late| {
            place(piece, late).clamp(first, first + pieces - 1)
        });
        let held = Held {
            first: outer.start > 0,
            last: outer.end < self.chain.pieces(),
        };
        let rss = polish(&mut part, &mut bound, held, PULL);
        Change {
            cost: self.price.of(rss, &part),
            outer,
            part,
            hints: bound.hints,
        }
    }

    /// Takes a change into the chain.
    fn apply(&mut self, change: Change, starts: &[usize]) {
        let (outer, mut part, hints) = (change.outer, change.part, change.hints);
        let (was, is) = (outer.len(), part.pieces());
        let samples = starts[outer.start]..starts[outer.end];
        for hint in &mut self.bound.hints[samples.end..] {
            *hint = (*hint + is).saturating_sub(was).max(outer.start);
        }
        for hint in &mut self.bound.hints[..samples.start] {
            *hint = (*hint).min(outer.start);
        }
        for (hint, new) in self.bound.hints[samples].iter_mut().zip(hints) {
            *hint = new + outer.start;
        }
        part.radii[0] = self.chain.radii[outer.start];
        part.radii[is] = self.chain.radii[outer.end];
        self.chain
            .corners
            .splice(outer.start..=outer.end, part.corners);
        self.chain.radii.splice(outer.start..=outer.end, part.radii);
        self.chain.keep_arcs_apart();
    }

    /// The nearest place of the chain to each sample, mm.
    pub(crate) fn feet(&self) -> Vec<Point> {
        let drawn = self.chain.drawn();
        let all = self.bound.samples.iter().zip(&self.bound.hints);
        all.map(|(s, &hint)| drawn.nearest(s.p, hint).at).collect()
    }
}

/// New number of a piece when piece `gone` is shared out between its neighbours.
fn shifted(piece: usize, gone: usize, late: bool) -> usize {
    piece.saturating_sub(usize::from(piece > gone || (piece == gone && !late)))
}

/// Where two lines meet; `None` where they hardly turn.
fn meeting(a: Point, u1: Vector, b: Point, u2: Vector) -> Option<Point> {
    let sin = cross(u1, u2);
    (sin.abs() > 1e-6).then(|| a + u1 * (cross(b - a, u2) / sin))
}

/// A piece of the partition with a line of its own.
struct Line {
    run: Range<usize>,
    sums: Moments,
    u: Vector,
}

impl Line {
    fn of(samples: &[Sample], run: Range<usize>) -> Option<Self> {
        let own = &samples[run.clone()];
        let along = own[own.len() - 1].p - own[0].p;
        let sums = moments(own);
        let u = sums.direction(along)?;
        Some(Self { run, sums, u })
    }

    /// Foot of a sample on the line.
    fn foot(&self, p: Point) -> Point {
        self.sums.mean() + self.u * (p - self.sums.mean()).dot(&self.u)
    }
}

/// A chain through the pieces of a partition, and the piece of each sample.
fn joined(samples: &[Sample], ends: &[usize], price: Price) -> (Rounded, Vec<usize>) {
    let starts = std::iter::once(0).chain(ends.iter().copied());
    let lines: Vec<Line> = starts
        .zip(ends)
        .filter_map(|(from, &to)| Line::of(samples, from..to))
        .collect();
    let (Some(first), Some(last)) = (lines.first(), lines.last()) else {
        // All on one spot or singly: nothing but its ends.
        let whole = vec![samples[0].p, samples[samples.len() - 1].p];
        return (Rounded::sharp(whole), vec![0; samples.len()]);
    };
    let mut corners = vec![first.foot(samples[0].p)];
    let mut hints = vec![0; samples.len()];
    for pair in lines.windows(2) {
        corners.extend(joint(samples, &pair[0], &pair[1], price));
        hints[pair[1].run.start..].fill(corners.len() - 1);
    }
    corners.push(last.foot(samples[samples.len() - 1].p));
    (Rounded::sharp(corners), hints)
}

/// The corner between two pieces: where they meet, if that is near their ends; half way
/// between the ends, if those are near each other; else both ends, a wall without samples
/// between them.
fn joint(samples: &[Sample], before: &Line, after: &Line, price: Price) -> Vec<Point> {
    let a = before.foot(samples[before.run.end - 1].p);
    let b = after.foot(samples[after.run.start].p);
    let near = NEAR.0 * price.spacing + NEAR.1 * price.sigma;
    let gap = (b - a).norm();
    let meet = meeting(a, before.u, b, after.u).filter(|m| {
        let (from_a, from_b) = ((m - a).norm(), (m - b).norm());
        from_a.max(from_b) <= near || from_a + from_b <= 1.5 * gap
    });
    match meet {
        Some(corner) => vec![corner],
        None if gap <= near => vec![a + (b - a) / 2.0],
        None => vec![a, b],
    }
}
