//! A custom order carried out: presses and spreads, one after the other.
//!
//! The state is the list of free spans between patches of film that is down. In a span from
//! a to b lies unstretched film m, taut at lambda = L(a, b)/m. A press on the pad from p0 to
//! p1 lays the film under it and splits the span, everything at one stretch,
//!
//! ```text
//! lambda' = (L(a, p0) + (p1 - p0) + L(p1, b)) / m ,
//! ```
//!
//! film going to the three parts in proportion. A spread is one front against a fixed far
//! end, the closed form of [`super::spread`], stopped where it is told to; the film ahead
//! of it afterwards is L/lambda. Spans know nothing of each other: the order of moves in
//! different spans does not matter. Deepest-first is `press P, spread left, spread right`.
//!
//! Guarantee: as the closed form, 1e-13 absolute in each gain. Source: derived for this
//! project.

use super::conditions::LayError;
use super::march::March;
use super::open::Open;
use super::spread::{Front, spread};
use super::steps::{Goal, Patch, Spot, Step, Steps, side_word};
use super::{Law, Piece};
use crate::fault::{Fault, Hint, Part, Phrase};
use crate::geometry::{ON_VERTEX, Polyline, taut_length};
use crate::section::Side;

/// How far a typed place may lie off a bond line or a patch and still be on it, and how wide a
/// sliver beside a pad goes down with it, mm: places are typed to 0.01 mm, on a steep wall that
/// is a little more along the panel, and no tool is truer.
const TYPED: f64 = 0.05;

/// A step in terms of the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Act {
    /// The pad that goes down, arc lengths, mm, in the span of this number.
    Press { span: usize, pad: (f64, f64) },
    /// A front goes from one place to another, in the span of this number.
    Spread { span: usize, from: f64, to: f64 },
}

/// One step with the free spans before it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StepDone {
    pub(crate) before: Vec<Open>,
    pub(crate) act: Act,
}

/// What a custom order did, step by step.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Program {
    pub(crate) steps: Steps,
    pub(crate) stages: Vec<StepDone>,
}

/// A custom order under way.
pub(super) struct Run<'a> {
    line: &'a Polyline,
    pad: f64,
    bonds: (f64, f64),
    pub(super) open: Vec<Open>,
    pressed: Option<f64>,
    /// Number of the step under way, from 1.
    step: usize,
    /// Largest ln lambda laid so far, and the sum of those after each step.
    pub(super) most: f64,
    sum: f64,
    /// Pieces laid so far, if they are kept.
    pub(super) pieces: Option<Vec<Piece>>,
    /// Set where the closed form does not hold.
    pub(super) march: Option<March<'a>>,
}

impl<'a> Run<'a> {
    /// The bridged film on a line, for a pad of this width, mm; `keep`: pieces are wanted, not only the peak.
    pub(super) fn new(line: &'a Polyline, pad: f64, bonds: (f64, f64), keep: bool) -> Self {
        let taut = taut_length(line, bonds.0, bonds.1);
        Self {
            line,
            pad,
            bonds,
            open: vec![Open {
                a: bonds.0,
                b: bonds.1,
                film: taut,
                at: 0.0,
                ln: 0.0,
                toward: None,
                rested: (false, false),
                tension: None,
            }],
            pressed: None,
            step: 0,
            most: 0.0,
            sum: 0.0,
            pieces: keep.then(Vec::new),
            march: None,
        }
    }

    /// What the next step does, or why it cannot.
    pub(super) fn resolve(&mut self, step: Step) -> Result<Act, LayError> {
        self.step += 1;
        if self.open.is_empty() {
            return Err(self.refuse(
                format!("`{step}` after all film is down"),
                "no further step",
                Hint::LeaveStepOut,
            ));
        }
        match step {
            Step::Press(spot) => self.resolve_press(spot),
            Step::Spread { to, from } => self.resolve_spread(to, from),
        }
    }

    fn resolve_press(&mut self, spot: Spot) -> Result<Act, LayError> {
        let s = self.place(spot)?;
        let half = 0.5 * self.pad;
        let found = self.open.iter().enumerate().find_map(|(span, o)| {
            // A sliver beside the pad goes down with it.
            let edge = |s: f64, end: f64| if (s - end).abs() <= TYPED { end } else { s };
            let pad = (
                edge((s - half).max(o.a), o.a),
                edge((s + half).min(o.b), o.b),
            );
            let inside = s > o.a + ON_VERTEX && s < o.b - ON_VERTEX;
            let on_edge = s >= o.a - ON_VERTEX && s <= o.b + ON_VERTEX && pad.1 - pad.0 > ON_VERTEX;
            (inside || on_edge).then_some(Act::Press { span, pad })
        });
        if found.is_some() {
            self.pressed = Some(s);
        }
        found.ok_or_else(|| {
            self.refuse(
                format!("a press at x = {spot} mm, where film is down already"),
                format!("a place with free film: {}", self.free()),
                Hint::PressElsewhere,
            )
        })
    }

    fn resolve_spread(&mut self, to: Goal, from: Patch) -> Result<Act, LayError> {
        let patch = self.patch(from)?;
        let n = self.open.len();
        let (low, high) = (
            patch
                .checked_sub(1)
                .map_or(self.bonds.0, |k| self.open[k].b),
            self.open.get(patch).map_or(self.bonds.1, |o| o.a),
        );
        let side = match to {
            Goal::Next(side) => side,
            Goal::At(spot) => {
                let s = self.place(spot)?;
                if s > high + ON_VERTEX {
                    Side::Right
                } else if s < low - ON_VERTEX {
                    Side::Left
                } else {
                    return Err(self.refuse(
                        format!("a spread to x = {spot} mm, where that patch is already"),
                        format!("a place with free film beside it: {}", self.free()),
                        Hint::SayHowFar,
                    ));
                }
            }
        };
        let span = match side {
            Side::Right if patch < n => patch,
            Side::Left if patch > 0 => patch - 1,
            _ => {
                let word = side_word(side);
                return Err(self.refuse(
                    format!(
                        "a spread to the {word} of a patch that goes on to the {word} bond line"
                    ),
                    format!("free film on that side; it is free {}", self.free()),
                    Hint::OtherPatch,
                ));
            }
        };
        let o = self.open[span];
        let (from, far) = match side {
            Side::Right => (o.a, o.b),
            Side::Left => (o.b, o.a),
        };
        let to = match to {
            Goal::Next(_) => far,
            Goal::At(spot) => {
                let s = self.place(spot)?;
                let beyond = if side == Side::Right {
                    s - far
                } else {
                    far - s
                };
                if beyond > TYPED {
                    return Err(self.refuse(
                        format!(
                            "a spread to x = {spot} mm, beyond film that is down from {}",
                            self.spot(far)
                        ),
                        format!("a place up to x = {} mm", self.spot(far)),
                        Hint::SpreadOn(side_word(side)),
                    ));
                }
                if beyond > -ON_VERTEX { far } else { s }
            }
        };
        Ok(Act::Spread { span, from, to })
    }

    /// The place of a spot between the bond lines.
    fn place(&self, spot: Spot) -> Result<f64, LayError> {
        let s = spot
            .place(self.line)
            .map_err(|(found, expected)| self.refuse(found, expected, Hint::SectionX))?;
        let (left, right) = self.bonds;
        if s < left - TYPED || s > right + TYPED {
            return Err(self.refuse(
                format!("x = {spot} mm, outside of the bond lines"),
                format!(
                    "a place from x = {} to {} mm",
                    self.spot(left),
                    self.spot(right)
                ),
                Hint::MoveBondOrStep,
            ));
        }
        Ok(s.clamp(left, right))
    }

    /// The number of a patch: it lies left of the free span of that number.
    fn patch(&self, from: Patch) -> Result<usize, LayError> {
        let n = self.open.len();
        let s = match from {
            Patch::Flat(Side::Left) => return Ok(0),
            Patch::Flat(Side::Right) => return Ok(n),
            Patch::At(spot) => self.place(spot)?,
            Patch::Pressed => self.pressed.ok_or_else(|| {
                self.refuse(
                    "a spread before anything was pressed",
                    "`from` with the patch that spreads",
                    Hint::FromFlat,
                )
            })?,
        };
        let away = |k: usize| {
            let low = k
                .checked_sub(1)
                .map_or(f64::NEG_INFINITY, |k| self.open[k].b);
            let high = self.open.get(k).map_or(f64::INFINITY, |o| o.a);
            (low - s).max(s - high).max(0.0)
        };
        (0..=n)
            .min_by(|&a, &b| away(a).total_cmp(&away(b)))
            .filter(|&k| away(k) <= TYPED)
            .ok_or_else(|| {
                self.refuse(
                    format!("a spread from x = {} mm, where film is free", self.spot(s)),
                    format!("a place where film is down; it is free {}", self.free()),
                    Hint::PressFirst,
                )
            })
    }

    /// Carries out a step.
    pub(super) fn act(&mut self, act: Act) -> Result<(), LayError> {
        let Some(march) = &mut self.march else {
            match act {
                Act::Press { span, pad } => self.press(span, pad),
                Act::Spread { span, from, to } => self.spread(span, from, to),
            }
            return Ok(());
        };
        let (span, done) = match act {
            Act::Press { span, pad } => {
                let o = self.open[span];
                (span, march.press(self.line, &o, pad)?)
            }
            Act::Spread { span, from, to } => {
                let o = self.open[span];
                let bond = if to > from {
                    o.b >= self.bonds.1
                } else {
                    o.a <= self.bonds.0
                };
                (span, march.spread(self.line, &o, (from, to), bond)?)
            }
        };
        self.most = self.most.max(done.most);
        self.open.splice(span..=span, done.open);
        if let Some(pieces) = &mut self.pieces {
            pieces.extend(done.pieces);
        }
        Ok(())
    }

    fn press(&mut self, span: usize, (p0, p1): (f64, f64)) {
        let o = self.open[span];
        let length = |from: f64, to: f64| {
            if to > from {
                taut_length(self.line, from, to)
            } else {
                0.0
            }
        };
        let (l, r) = (length(o.a, p0), length(p1, o.b));
        let lambda = (l + (p1 - p0) + r) / o.film;
        let ln = lambda.ln();
        let film = (o.at + l / lambda, o.at + o.film - r / lambda);
        self.most = self.most.max(ln);
        self.sum += ln;
        if let Some(pieces) = &mut self.pieces
            && p1 > p0
        {
            pieces.push(Piece {
                from: p0,
                to: p1,
                side: Side::Right,
                law: Law::Even,
                base: ln,
                film,
            });
        }
        let parts = [
            Open {
                a: o.a,
                b: p0,
                film: l / lambda,
                at: o.at,
                ln,
                toward: None,
                rested: (false, false),
                tension: None,
            },
            Open {
                a: p1,
                b: o.b,
                film: r / lambda,
                at: film.1,
                ln,
                toward: None,
                rested: (false, false),
                tension: None,
            },
        ];
        self.open
            .splice(span..=span, parts.into_iter().filter(|o| o.b > o.a));
    }

    fn spread(&mut self, span: usize, from: f64, to: f64) {
        let o = self.open[span];
        let right = to > from;
        let far = if right { o.b } else { o.a };
        let way = (to - from).abs();
        let whole = (to - far).abs() <= 0.0;
        let mut fronts: Vec<Front> = Vec::new();
        spread(&self.line.between(from, far), right, |f| {
            if whole || f.to <= way {
                fronts.push(f);
            } else if f.from < way {
                let gain = f.gain_to(way);
                fronts.push(Front { to: way, gain, ..f });
            }
        });
        let film_far = if right { o.at + o.film } else { o.at };
        let (mut ln, mut film) = (o.ln, if right { o.at } else { o.at + o.film });
        let mut left_over = o.film;
        for &front in fronts.iter().rev() {
            let (from, to, side) = if right {
                (from + front.from, from + front.to, Side::Right)
            } else {
                (from - front.to, from - front.from, Side::Left)
            };
            let mut piece = Piece {
                from,
                to,
                side,
                law: Law::Out(front),
                base: 0.0,
                film: (0.0, 0.0),
            };
            ln = piece.finish(ln, |left| {
                left_over = left;
                if right {
                    (film, film_far - left)
                } else {
                    (film_far + left, film)
                }
            });
            film = if right { piece.film.1 } else { piece.film.0 };
            if let Some(pieces) = &mut self.pieces
                && to > from
            {
                pieces.push(piece);
            }
        }
        self.most = self.most.max(ln);
        self.sum += ln;
        let rest = if right {
            Open {
                a: to,
                b: o.b,
                film: left_over,
                at: film_far - left_over,
                ln,
                toward: None,
                rested: (false, false),
                tension: None,
            }
        } else {
            Open {
                a: o.a,
                b: to,
                film: left_over,
                at: film_far,
                ln,
                toward: None,
                rested: (false, false),
                tension: None,
            }
        };
        self.open.splice(span..=span, (!whole).then_some(rest));
    }

    /// Refuses a list of steps that leaves film free.
    pub(super) fn finish(&self) -> Result<(), LayError> {
        let Some(first) = self.open.first() else {
            return Ok(());
        };
        let from = if first.a <= self.bonds.0 {
            Patch::Flat(Side::Left)
        } else {
            Patch::At(self.spot(first.a))
        };
        let to = Goal::Next(Side::Right);
        let span = |o: &Open| (self.spot(o.a), self.spot(o.b));
        Err(LayError::StillFree {
            free: self.open.iter().map(span).collect(),
            next: Step::Spread { to, from },
        })
    }

    fn refuse(
        &self,
        found: impl Into<Phrase>,
        expected: impl Into<Phrase>,
        hint: Hint,
    ) -> LayError {
        let fault = Fault::whole(found, expected).of(Part::Step(self.step));
        LayError::Step(Box::new(fault.hint(hint)))
    }

    fn spot(&self, s: f64) -> Spot {
        Spot::of(self.line, s)
    }

    /// Where film is free, in words.
    fn free(&self) -> String {
        let span = |o: &Open| format!("from x = {} to {} mm", self.spot(o.a), self.spot(o.b));
        self.open.iter().map(span).collect::<Vec<_>>().join(", ")
    }
}

/// Largest stretch ratio of a custom order on a line with a pad, even heat and nothing
/// dragging, and the sum of ln lambda after each step; `None` if a step cannot be or film
/// stays free.
pub(crate) fn steps_cost(
    line: &Polyline,
    pad: f64,
    bonds: (f64, f64),
    steps: &[Step],
) -> Option<(f64, f64)> {
    let mut run = Run::new(line, pad, bonds, false);
    for &step in steps {
        let act = run.resolve(step).ok()?;
        run.act(act).ok()?;
    }
    run.open.is_empty().then_some((run.most.exp(), run.sum))
}
