//! A moment of the laying: what is down, and where the free film runs.

use super::open::Gap;
use super::order::Way;
use super::piece::{Law, Piece};
use super::program::Act;
use super::{Bed, Laydown};
use crate::geometry::{Point, path_length, taut_film};
use crate::section::Side;

/// A free span of film.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// Its path, left to right, mm.
    pub path: Vec<Point>,
    /// Its stretch ratio.
    pub lambda: f64,
}

impl Span {
    /// The taut film between two places of a bed, arc lengths, mm.
    fn over(bed: &Bed<'_>, (from, to): (f64, f64), lambda: f64) -> Self {
        let path = taut_film(bed.line(), from, to);
        Self { path, lambda }
    }
}

/// What a tool does at a moment; places are arc lengths on the bed, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Work {
    /// It has just pressed a pad down, from one place to another.
    Press(f64, f64),
    /// It stands at a front that goes to a side.
    Front(f64, Side),
}

/// A moment of the laying.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// Panel that the film is stuck to, arc lengths on the bed, left to right, mm.
    pub down: Vec<(f64, f64)>,
    /// Film still free, left to right.
    pub free: Vec<Span>,
    /// What the tools do: one press, or a front or two.
    pub work: Vec<Work>,
}

impl Laydown {
    /// The laying after a part of it, from 0 (bridged) to 1 (down).
    ///
    /// Each front covers its panel at an even pace. Deepest-first: the pad is down from
    /// the first instant after 0. Edge-first: it goes down at 1. Custom: each step has an
    /// even share, at whose beginning a press goes down. `None` if the peak is
    /// not finite, or `progress` is no number from 0 to 1.
    pub fn moment(&self, bed: &Bed<'_>, progress: f64) -> Option<Moment> {
        if !self.finite || !(0.0..=1.0).contains(&progress) {
            return None;
        }
        let (left, right) = self.bonds;
        if progress >= 1.0 {
            return Some(Moment {
                down: vec![(left, right)],
                free: Vec::new(),
                work: self.last_press().into_iter().collect(),
            });
        }
        if progress <= 0.0 {
            return Some(Moment {
                down: Vec::new(),
                free: vec![Span::over(bed, (left, right), 1.0)],
                work: Vec::new(),
            });
        }
        if self.program.is_some() {
            return Some(self.stage_moment(bed, progress));
        }
        match self.way {
            // Only typed steps are laid step by step.
            Way::Steps => None,
            Way::Outwards => {
                let a = self.pad.0 - progress * (self.pad.0 - left);
                let b = self.pad.1 + progress * (right - self.pad.1);
                self.spreading(bed, a, b)
            }
            Way::Inwards => {
                let (start, end) = self.closing_ends();
                let a = start + progress * (self.pad.0 - start);
                let b = end - progress * (end - self.pad.1);
                // Just inside the front, so that a jump at the pad is not read.
                let path = taut_film(bed.line(), a, b);
                let lambda = match self.front_lambda(a, b) {
                    Some(lambda) => lambda,
                    // The pad covers all there is to close: one press, no fronts.
                    None => path_length(&path) / self.pressed_film()?,
                };
                Some(Moment {
                    down: vec![(left, a), (b, right)],
                    free: vec![Span { path, lambda }],
                    work: vec![Work::Front(a, Side::Right), Work::Front(b, Side::Left)],
                })
            }
            Way::Along(loose) => {
                let way = progress * self.arc;
                let s = loose.pick(right - way, left + way);
                let (down, free) = loose.pick(((s, right), (left, s)), ((left, s), (s, right)));
                Some(Moment {
                    down: vec![down],
                    free: vec![Span::over(bed, free, 1.0)],
                    work: vec![Work::Front(s, loose)],
                })
            }
        }
    }

    /// The press that all film is down with, if the last move is one.
    fn last_press(&self) -> Option<Work> {
        let pad = match self.stages().last().map(|stage| stage.act) {
            Some(Act::Press { pad, .. }) => Some(pad),
            Some(Act::Spread { .. }) => None,
            None => (self.way == Way::Inwards || self.pad == self.bonds).then_some(self.pad),
        };
        pad.map(|(from, to)| Work::Press(from, to))
    }

    /// Deepest-first with its two fronts at `a` and `b`, arc lengths on the bed, mm: each
    /// goes at a pace of its own, since neither knows of the other.
    pub(crate) fn spreading(&self, bed: &Bed<'_>, a: f64, b: f64) -> Option<Moment> {
        let (left, right) = self.bonds;
        let mut free = Vec::new();
        for (from, to, s) in [(left, a, a), (b, right, b)] {
            if to > from {
                free.push(Span::over(bed, (from, to), self.lambda(s)?));
            }
        }
        let work = if (a, b) == self.pad {
            vec![Work::Press(a, b)]
        } else {
            vec![Work::Front(a, Side::Left), Work::Front(b, Side::Right)]
        };
        Some(Moment {
            down: vec![(a, b)],
            free,
            work,
        })
    }

    /// A moment of a custom order.
    fn stage_moment(&self, bed: &Bed<'_>, progress: f64) -> Moment {
        let stages = self.stages();
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "progress is in 0..1, and nobody types 2^52 steps"
        )]
        let (now, part) = {
            let at = progress * stages.len() as f64;
            ((at as usize).min(stages.len() - 1), at.fract())
        };
        // A press is down from the beginning of its share on.
        let Act::Spread { span, from, to } = stages[now].act else {
            return self.after_step(bed, now);
        };
        let mut open = stages[now].before.clone();
        let (s, right) = (from + part * (to - from), to > from);
        let gap = &mut open[span];
        *(if right { &mut gap.a } else { &mut gap.b }) = s;
        gap.ln = self.front_at(s, right).map_or(gap.ln, f64::ln);
        let side = if right { Side::Right } else { Side::Left };
        self.with_open(bed, &open, Some(Work::Front(s, side)))
    }

    /// The moments after each step of a custom order.
    pub(crate) fn after_steps(&self, bed: &Bed<'_>) -> Vec<Moment> {
        (0..self.stages().len())
            .map(|k| self.after_step(bed, k))
            .collect()
    }

    /// The moment after one of the steps of a custom order.
    fn after_step(&self, bed: &Bed<'_>, k: usize) -> Moment {
        let stages = self.stages();
        let open = stages.get(k + 1).map_or(&[][..], |next| &next.before);
        let stands = |span: usize, s: f64, side: Side| {
            let gap = stages[k].before[span];
            // A front that has met film that is down is none any more.
            (side.pick(s - gap.a, gap.b - s) > 0.0).then_some(Work::Front(s, side))
        };
        let work = match stages[k].act {
            Act::Press { pad, .. } => Some(Work::Press(pad.0, pad.1)),
            Act::Spread { span, from, to } if to > from => stands(span, to, Side::Right),
            Act::Spread { span, to, .. } => stands(span, to, Side::Left),
        };
        self.with_open(bed, open, work)
    }

    /// A moment with these free spans.
    fn with_open(&self, bed: &Bed<'_>, open: &[Gap], work: Option<Work>) -> Moment {
        let open = || open.iter().filter(|gap| gap.b > gap.a);
        let mut down = Vec::new();
        let mut from = self.bonds.0;
        for (k, gap) in open().enumerate() {
            if gap.a > from || k > 0 {
                down.push((from, gap.a));
            }
            from = gap.b;
        }
        if self.bonds.1 > from {
            down.push((from, self.bonds.1));
        }
        let free = open().map(|gap| Span::over(bed, (gap.a, gap.b), gap.ln.exp()));
        Moment {
            down,
            free: free.collect(),
            work: work.into_iter().collect(),
        }
    }

    /// Stretch at a front on its way to the right or to the left.
    fn front_at(&self, s: f64, right: bool) -> Option<f64> {
        let ahead = |p: &&Piece| {
            if right {
                p.from <= s && s < p.to
            } else {
                p.from < s && s <= p.to
            }
        };
        let piece = self.pieces.iter().find(ahead)?;
        Some(self.read(piece, s).0)
    }

    /// Where the two fronts of edge-first set out, arc lengths, mm.
    fn closing_ends(&self) -> (f64, f64) {
        let moving = |side: Side| {
            let closing = |p: &&Piece| matches!(p.law, Law::In(_) | Law::Cell(_));
            self.pieces
                .iter()
                .filter(closing)
                .filter(move |p| p.side == side)
        };
        let starts = moving(Side::Left).map(|p| p.from);
        let left = starts.fold(self.pad.0, f64::min);
        let right = moving(Side::Right).map(|p| p.to).fold(self.pad.1, f64::max);
        (left, right)
    }

    /// Film that goes down in the last press of edge-first, mm.
    fn pressed_film(&self) -> Option<f64> {
        let pad = self
            .pieces
            .iter()
            .find(|p| p.from >= self.pad.0 && p.to <= self.pad.1 && p.to > p.from)?;
        Some(pad.film.1 - pad.film.0)
    }

    /// Stretch of the free span with the fronts at `a` and `b`; `None` if none moves.
    fn front_lambda(&self, a: f64, b: f64) -> Option<f64> {
        let at = |s: f64, side: Side| {
            let piece = self.pieces.iter().find(|p| {
                p.side == side
                    && matches!(p.law, Law::In(_) | Law::Cell(_))
                    && s >= p.from
                    && s <= p.to
            })?;
            Some(self.read(piece, s).0)
        };
        at(a, Side::Left).or_else(|| at(b, Side::Right))
    }
}
