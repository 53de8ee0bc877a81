//! Film laid on a recess, and what is read from it: stretch and film position at a place,
//! peaks, the profile. The same whichever solver laid it.

use super::bed::Bed;
use super::close::Window;
use super::conditions::MarchReport;
use super::order::{Order, Way};
use super::piece::Piece;
use super::program::{Act, Program, StepDone};
use super::steps::Steps;
use crate::geometry::Point;
use crate::section::Zone;

/// Relative difference of lambda within which two places share the peak.
const SAME: f64 = 1e-9;
/// Difference of their distances from the press below which two places are equally near, mm.
const SAME_PLACE: f64 = 1e-6;

/// Where film is stretched most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Stretch ratio there.
    pub lambda: f64,
    /// Arc length on the bed, mm.
    pub s: f64,
    /// Zone.
    pub zone: Zone,
}

/// Elongation and film position at a place of the panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Arc length on the bed, mm.
    pub s: f64,
    /// The point, mm.
    pub point: Point,
    /// Position on the flat film, mm from the left bond line.
    pub film: f64,
    /// Stretch ratio.
    pub lambda: f64,
}

/// Film laid on a recess. Replay it with [`Laydown::moment`].
#[derive(Debug, Clone, PartialEq)]
pub struct Laydown {
    pub(super) order: Order,
    /// What its list of moves is.
    pub(super) way: Way,
    pub(super) bonds: (f64, f64),
    pub(super) press: f64,
    pub(super) pad: (f64, f64),
    pub(super) taut: f64,
    pub(super) arc: f64,
    pub(super) lips: (f64, f64),
    /// Left to right; empty if the peak is not finite.
    pub(super) pieces: Vec<Piece>,
    /// Those that pieces of two closing fronts refer to.
    pub(super) windows: Vec<Window>,
    pub(super) finite: bool,
    pub(super) march: Option<MarchReport>,
    /// The steps of a custom order.
    pub(super) program: Option<Box<Program>>,
}

impl Laydown {
    /// The order it was laid in.
    pub fn order(&self) -> Order {
        self.order
    }
    /// What its list of moves is.
    pub(crate) fn way(&self) -> Way {
        self.way
    }
    /// The steps of a custom order.
    pub fn steps(&self) -> Option<&Steps> {
        self.program.as_ref().map(|p| &p.steps)
    }
    /// What the steps of a custom order did.
    pub(crate) fn stages(&self) -> &[StepDone] {
        self.program.as_ref().map_or(&[], |p| &p.stages)
    }
    /// Was this place under the tool in a press?
    fn under_pad(&self, s: f64) -> bool {
        let within = |(from, to): (f64, f64)| to > from && s >= from && s <= to;
        match &self.program {
            None => within(self.pad),
            Some(program) => program
                .stages
                .iter()
                .any(|stage| matches!(stage.act, Act::Press { pad, .. } if within(pad))),
        }
    }
    /// Bond lines, arc lengths on the bed, mm.
    pub fn bonds(&self) -> (f64, f64) {
        self.bonds
    }
    /// The press, arc length on the bed, mm.
    pub fn press(&self) -> f64 {
        self.press
    }
    /// What went down in one press at the middle, arc lengths on the bed, mm.
    pub fn pad(&self) -> (f64, f64) {
        self.pad
    }
    /// Bridge width: taut length between the bond lines, mm.
    pub fn bridge(&self) -> f64 {
        self.taut
    }
    /// Panel between the bond lines, mm.
    pub fn arc(&self) -> f64 {
        self.arc
    }
    /// Arc less bridge, mm.
    pub fn extra(&self) -> f64 {
        self.arc - self.taut
    }
    /// Film fed in from the loose side, mm; 0 between two bond lines.
    pub fn fed_in(&self) -> f64 {
        if self.order.feeds_in() {
            self.film_used() - self.taut
        } else {
            0.0
        }
    }
    /// Mean elongation, a plain ratio.
    pub fn mean(&self) -> f64 {
        if self.order.feeds_in() {
            0.0
        } else {
            self.extra() / self.taut
        }
    }
    /// What the general march saw; `None` where the closed form was used.
    pub fn march(&self) -> Option<&MarchReport> {
        self.march.as_ref()
    }
    /// Does a finite peak exist?
    pub fn is_finite(&self) -> bool {
        self.finite
    }

    /// Unstretched film that went down, mm.
    fn film_used(&self) -> f64 {
        match (self.pieces.first(), self.pieces.last()) {
            (Some(a), Some(b)) => b.film.1 - a.film.0,
            _ => 0.0,
        }
    }

    /// The piece that holds `s`; at a joint the one on the right.
    fn piece(&self, s: f64) -> Option<&Piece> {
        let after = self.pieces.partition_point(|p| p.to <= s);
        self.pieces
            .get(after.min(self.pieces.len().checked_sub(1)?))
    }

    /// Stretch ratio at an arc length of the bed, mm; `None` if the peak is not finite.
    pub fn lambda(&self, s: f64) -> Option<f64> {
        self.piece(s).map(|p| self.read(p, s).0)
    }

    /// Position on the flat film of an arc length of the bed, mm from the left bond line.
    pub fn film(&self, s: f64) -> Option<f64> {
        self.piece(s).map(|p| self.read(p, s).1)
    }

    /// Lambda and film position on one piece.
    pub(super) fn read(&self, p: &Piece, s: f64) -> (f64, f64) {
        p.read(&self.windows, s)
    }

    /// Largest lambda of the panel within `[from, to]`, and the place nearest the press.
    fn most(&self, from: f64, to: f64) -> Option<(f64, f64)> {
        if !self.finite {
            return None;
        }
        // Lambda of a span never falls while it is laid by the closed form: the ends of
        // pieces are enough. A cell of the march may have its largest value inside.
        let mut ends: Vec<(f64, f64)> = Vec::with_capacity(2 * self.pieces.len());
        for p in self.pieces.iter().filter(|p| p.to >= from && p.from <= to) {
            let (at_from, at_to) = p.ends(&self.windows);
            let read = |s: f64| (self.read(p, s).0, s);
            ends.push(if p.from >= from {
                (at_from, p.from)
            } else {
                read(from)
            });
            ends.push(if p.to <= to { (at_to, p.to) } else { read(to) });
            ends.extend(p.top().filter(|&s| s > from && s < to).map(read));
        }
        // Under a pad the stretch is even: the press itself stands for it.
        if (from..=to).contains(&self.press) {
            ends.extend(self.lambda(self.press).map(|lambda| (lambda, self.press)));
        }
        let most = ends.iter().map(|e| e.0).fold(f64::NEG_INFINITY, f64::max);
        // The nearest to the press; of two equally near ones the left, whatever rounding says.
        let away = |s: f64| (s - self.press).abs();
        ends.retain(|e| e.0 >= most * (1.0 - SAME));
        let alike = || ends.iter().map(|e| e.1);
        let nearest = alike().map(away).fold(f64::INFINITY, f64::min);
        let near = alike().filter(|&s| away(s) <= nearest + SAME_PLACE);
        let left = near.fold(f64::INFINITY, f64::min);
        left.is_finite().then_some((most, left))
    }

    /// The peak; `None` if it is not finite.
    pub fn peak(&self, bed: &Bed<'_>) -> Option<Peak> {
        let (lambda, s) = self.most(self.bonds.0, self.bonds.1)?;
        let zone = if self.under_pad(s) {
            Zone::Pad
        } else {
            bed.zone(s)
        };
        Some(Peak { lambda, s, zone })
    }

    /// Largest stretch ratio between the lips; `None` if it is not finite.
    pub fn recess_peak(&self) -> Option<f64> {
        let (from, to) = (self.lips.0.max(self.bonds.0), self.lips.1.min(self.bonds.1));
        self.most(from, to).map(|m| m.0)
    }

    /// Stretch ratio laid at the press; `None` if the peak is not finite.
    pub fn at_press(&self) -> Option<f64> {
        self.lambda(self.press).filter(|_| self.finite)
    }

    /// The laid film at every vertex of the bed and at most `spacing` mm apart, left to
    /// right, both sides of a jump. Empty if the peak is not finite.
    pub fn profile(&self, bed: &Bed<'_>, spacing: f64) -> Vec<Sample> {
        let mut rows: Vec<Sample> = Vec::new();
        let lengths = bed.line().lengths();
        for p in &self.pieces {
            let first = lengths.partition_point(|&s| s <= p.from);
            let last = lengths.partition_point(|&s| s < p.to);
            let mut from = p.from;
            self.push(bed, p, from, &mut rows);
            let stops = lengths[first..last.max(first)].iter().copied();
            for to in stops.chain([p.to]) {
                let n = ((to - from) / spacing).ceil().max(1.0);
                let mut k = 1.0;
                while k <= n {
                    let s = if k < n {
                        from + (to - from) * k / n
                    } else {
                        to
                    };
                    self.push(bed, p, s, &mut rows);
                    k += 1.0;
                }
                from = to;
            }
        }
        rows
    }

    /// Appends a row unless the last one is the same place at the same stretch.
    fn push(&self, bed: &Bed<'_>, p: &Piece, s: f64, rows: &mut Vec<Sample>) {
        let (lambda, film) = self.read(p, s);
        let same = rows
            .last()
            .is_some_and(|r| (r.s - s).abs() < 1e-9 && (r.lambda - lambda).abs() < 1e-9 * lambda);
        if !same {
            rows.push(Sample {
                s,
                point: bed.line().at(s),
                film,
                lambda,
            });
        }
    }
}
