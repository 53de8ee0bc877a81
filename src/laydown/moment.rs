//! A moment of the laying: what is down, and where the free film runs.

use super::open::Gap;
use super::order::Way;
use super::piece::{Law, Piece};
use super::program::Act;
use super::{Bed, Laydown};
use crate::geometry::{Point, Vector, hull, path_length, taut_film};
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

/// How far a path that runs to the right lies over a point, mm.
fn height(path: &[Point], p: &Point) -> f64 {
    let k = path.partition_point(|q| q.x < p.x).clamp(1, path.len() - 1);
    let (a, b) = (path[k - 1], path[k]);
    let part = if b.x > a.x {
        ((p.x - a.x) / (b.x - a.x)).clamp(0.0, 1.0)
    } else {
        1.0
    };
    (a.y + part * (b.y - a.y) - p.y).max(0.0)
}

/// The stage of an order that is under way, of `count`, and the part of it that is done.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "progress is in 0..1, and nobody types 2^52 steps"
)]
fn stage_at(progress: f64, count: usize) -> (usize, f64) {
    let at = progress * count as f64;
    ((at as usize).min(count - 1), at.fract())
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

/// Part of a replay that its press takes.
const PRESS: f64 = 0.2;
/// A part of a replay that nobody sees: its end less this is just before the last press, and a
/// moment this near to the end of a step is its end.
const HAIR: f64 = 1e-12;
/// Film that is nearer to the panel is not seen to be pressed on to it, mm.
const SEEN: f64 = 0.05;

impl Laydown {
    /// As [`Laydown::moment`], the tool seen on its way down: for the first fifth deepest-first,
    /// for the last fifth edge-first, for the share of a press in a custom order.
    ///
    /// The pad takes the film down as it lies on it, from the free film on to the panel. The film
    /// gives alike all along its span: without friction that is what the press is laid with; with
    /// it, stretch grows with the path and ends at what was laid.
    pub fn replay(&self, bed: &Bed<'_>, progress: f64) -> Option<Moment> {
        let whole = |progress: f64| self.moment(bed, progress);
        if progress <= 0.0 || progress >= 1.0 {
            return whole(progress);
        }
        let stages = self.stages();
        if !stages.is_empty() {
            let (k, part) = stage_at((progress + HAIR).min(1.0), stages.len());
            let Act::Press { pad, .. } = stages[k].act else {
                return whole(progress);
            };
            let before = match k {
                0 => whole(0.0)?,
                k => self.after_step(bed, k - 1),
            };
            return self.pressing(bed, &before, &self.after_step(bed, k), pad, part);
        }
        match self.way {
            Way::Outwards if progress < PRESS => {
                let pressed = self.spreading(bed, self.pad.0, self.pad.1)?;
                self.pressing(bed, &whole(0.0)?, &pressed, self.pad, progress / PRESS)
            }
            Way::Outwards => {
                let left = (progress - PRESS) / (1.0 - PRESS);
                whole(left.max(f64::MIN_POSITIVE))
            }
            Way::Inwards => {
                let last = whole(1.0 - HAIR)?;
                if !self.presses_last(bed, &last)? {
                    return whole(progress);
                }
                let part = (progress - (1.0 - PRESS)) / PRESS;
                if part < 0.0 {
                    return whole(progress / (1.0 - PRESS));
                }
                self.pressing(bed, &last, &whole(1.0)?, self.pad, part)
            }
            Way::Along(_) | Way::Steps => whole(progress),
        }
    }

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

    /// Between `before` and `after` a press, the pad a part of its way down.
    fn pressing(
        &self,
        bed: &Bed<'_>,
        before: &Moment,
        after: &Moment,
        pad: (f64, f64),
        part: f64,
    ) -> Option<Moment> {
        let (k, (a, b)) = self.gap_at(before, pad)?;
        let held = &before.free[k];
        // What is left of this span.
        let parts = (after.free.len() + 1).checked_sub(before.free.len())?;
        let ends = after.free[k..k + parts].iter().map(|s| s.lambda);
        let end = ends.fold(f64::NAN, f64::max);
        let line = bed.line();
        let under = line.between(pad.0, pad.1);
        let over = |part: f64| {
            let up = |p: &Point| p + Vector::new(0.0, (1.0 - part) * height(&held.path, p));
            let tool: Vec<Point> = under.iter().map(up).collect();
            let mut left = line.between(a, pad.0);
            left.extend(tool.first());
            let mut right: Vec<Point> = tool.last().copied().into_iter().collect();
            right.extend(line.between(pad.1, b));
            let taut = |chain: &[Point]| -> Vec<Point> {
                hull(chain, 0.0).into_iter().map(|i| chain[i]).collect()
            };
            [taut(&left), tool, taut(&right)].concat()
        };
        let grown = |path: &[Point]| (path_length(path) / path_length(&held.path)).max(1.0);
        let path = over(part);
        let most = grown(&over(1.0));
        let share = if most > 1.0 {
            grown(&path).ln() / most.ln()
        } else {
            part
        };
        let whole = if end.is_nan() {
            most
        } else {
            end / held.lambda
        };
        let lambda = held.lambda * whole.powf(share);
        let mut free = before.free.clone();
        free[k] = Span { path, lambda };
        Some(Moment {
            down: before.down.clone(),
            free,
            work: Vec::new(),
        })
    }

    /// The free span that holds a pad: its number, and its ends as arc lengths, mm.
    fn gap_at(&self, moment: &Moment, (from, to): (f64, f64)) -> Option<(usize, (f64, f64))> {
        let (left, right) = self.bonds;
        let starts = moment.down.iter().map(|down| down.1);
        let mut starts: Vec<f64> = starts.collect();
        let mut ends: Vec<f64> = moment.down.iter().map(|down| down.0).collect();
        if moment.down.first().is_none_or(|first| first.0 > left) {
            starts.insert(0, left);
        } else {
            ends.remove(0);
        }
        ends.push(right);
        let gaps = starts.into_iter().zip(ends).filter(|(a, b)| b > a);
        let mid = 0.5 * (from + to);
        gaps.enumerate()
            .find(|(_, (a, b))| *a <= mid && mid <= *b)
            .filter(|(k, _)| *k < moment.free.len())
    }

    /// Does the last press move any film?
    fn presses_last(&self, bed: &Bed<'_>, last: &Moment) -> Option<bool> {
        let (k, _) = self.gap_at(last, self.pad)?;
        let under = bed.line().between(self.pad.0, self.pad.1);
        let path = &last.free[k].path;
        Some(under.iter().any(|p| height(path, p) > SEEN))
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
        let (now, part) = stage_at(progress, stages.len());
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
