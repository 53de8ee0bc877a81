//! A moment of the laying: what is down, and where the free film runs.

use super::open::Open;
use super::program::{Act, StepDone};
use super::{Bed, Law, Laydown, Order, Piece};
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

/// A moment of the laying.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// Panel that the film is stuck to, arc lengths on the bed, left to right, mm.
    pub down: Vec<(f64, f64)>,
    /// Film still free, left to right.
    pub free: Vec<Span>,
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
            });
        }
        let path = |from: f64, to: f64| taut_film(bed.line(), from, to);
        let bridged = Moment {
            down: Vec::new(),
            free: vec![Span {
                path: path(left, right),
                lambda: 1.0,
            }],
        };
        match self.order {
            _ if progress <= 0.0 => Some(bridged),
            Order::DeepestFirst | Order::MiddlePush => {
                let a = self.pad.0 - progress * (self.pad.0 - left);
                let b = self.pad.1 + progress * (right - self.pad.1);
                self.spreading(bed, a, b)
            }
            Order::Custom => self.stage_moment(progress, path),
            Order::EdgeFirst => {
                let (start, end) = self.closing_ends();
                let a = start + progress * (self.pad.0 - start);
                let b = end - progress * (end - self.pad.1);
                // Just inside the front, so that a jump at the pad is not read.
                let path = path(a, b);
                let lambda = match self.front_lambda(a, b) {
                    Some(lambda) => lambda,
                    // The pad covers all there is to close: one press, no fronts.
                    None => path_length(&path) / self.pressed_film()?,
                };
                let free = vec![Span { path, lambda }];
                Some(Moment {
                    down: vec![(left, a), (b, right)],
                    free,
                })
            }
            Order::OneWay { loose } => {
                let s = if loose == Side::Right {
                    left + progress * self.arc
                } else {
                    right - progress * self.arc
                };
                let (down, from, to) = if loose == Side::Right {
                    ((left, s), s, right)
                } else {
                    ((s, right), left, s)
                };
                Some(Moment {
                    down: vec![down],
                    free: vec![Span {
                        path: path(from, to),
                        lambda: 1.0,
                    }],
                })
            }
        }
    }

    /// Deepest-first with its two fronts at `a` and `b`, arc lengths on the bed, mm: each
    /// goes at a pace of its own, since neither knows of the other.
    pub(crate) fn spreading(&self, bed: &Bed<'_>, a: f64, b: f64) -> Option<Moment> {
        let (left, right) = self.bonds;
        let mut free = Vec::new();
        for (from, to, s) in [(left, a, a), (b, right, b)] {
            if to > from {
                free.push(Span {
                    path: taut_film(bed.line(), from, to),
                    lambda: self.lambda(s)?,
                });
            }
        }
        Some(Moment {
            down: vec![(a, b)],
            free,
        })
    }

    /// A moment of a custom order.
    fn stage_moment(&self, progress: f64, path: impl Fn(f64, f64) -> Vec<Point>) -> Option<Moment> {
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
        let spans: &[Open] = match stages[now].act {
            Act::Press { .. } => stages.get(now + 1).map_or(&[], |next| &next.before),
            Act::Spread { .. } => &stages[now].before,
        };
        let mut open: Vec<(f64, f64, f64)> = spans.iter().map(|o| (o.a, o.b, o.ln.exp())).collect();
        if let Act::Spread { span, from, to } = stages[now].act {
            let s = from + part * (to - from);
            let (a, b, lambda) = open[span];
            let lambda = self.front_at(s, to > from).unwrap_or(lambda);
            open[span] = if to > from {
                (s, b, lambda)
            } else {
                (a, s, lambda)
            };
        }
        Some(self.with_open(open, path))
    }

    /// The moments after each step of a custom order, and whether it was a press.
    pub(crate) fn after_steps(&self, bed: &Bed<'_>) -> Vec<(bool, Moment)> {
        let stages = self.stages();
        let after = |(k, stage): (usize, &StepDone)| {
            let spans = stages.get(k + 1).map_or(&[][..], |next| &next.before);
            let open = spans.iter().map(|o| (o.a, o.b, o.ln.exp())).collect();
            let moment = self.with_open(open, |from, to| taut_film(bed.line(), from, to));
            (matches!(stage.act, Act::Press { .. }), moment)
        };
        stages.iter().enumerate().map(after).collect()
    }

    /// A moment with these free spans and their stretch.
    fn with_open(
        &self,
        mut open: Vec<(f64, f64, f64)>,
        path: impl Fn(f64, f64) -> Vec<Point>,
    ) -> Moment {
        open.retain(|(a, b, _)| b > a);
        let mut down = Vec::new();
        let mut from = self.bonds.0;
        for (k, &(a, b, _)) in open.iter().enumerate() {
            if a > from || k > 0 {
                down.push((from, a));
            }
            from = b;
        }
        if self.bonds.1 > from {
            down.push((from, self.bonds.1));
        }
        let free = open.iter().map(|&(a, b, lambda)| Span {
            path: path(a, b),
            lambda,
        });
        Moment {
            down,
            free: free.collect(),
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
            self.pieces
                .iter()
                .filter(move |p| p.side == side && matches!(p.law, Law::In(_) | Law::Cell(_)))
        };
        let left = moving(Side::Left)
            .map(|p| p.from)
            .fold(self.pad.0, f64::min);
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
