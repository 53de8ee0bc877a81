//! Typed steps in terms of the bed: which pad goes down, where a front goes; and why a step
//! cannot be.
//!
//! What matters here is which panel is free, not how far film is stretched: a list is read
//! before anything is laid, so that what it is can choose the solver ([`Program::moves`]).

use super::conditions::LayError;
use super::open::Gap;
use super::order::Move;
use super::steps::{Goal, Patch, Spot, Step, Steps, side_word};
use crate::fault::{Fault, Hint, Part, Phrase};
use crate::geometry::{ON_VERTEX, Polyline};
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
    pub(crate) before: Vec<Gap>,
    pub(crate) act: Act,
}

/// What a custom order does, step by step.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Program {
    pub(crate) steps: Steps,
    pub(crate) stages: Vec<StepDone>,
}

impl Program {
    /// Reads steps on a line, for a pad of this width, mm.
    pub(super) fn new(
        line: &Polyline,
        pad: f64,
        bonds: (f64, f64),
        steps: &Steps,
    ) -> Result<Self, LayError> {
        let mut ground = Ground::new(line, pad, bonds);
        let mut stages = Vec::with_capacity(steps.steps().len());
        for &step in steps.steps() {
            let act = ground.resolve(step)?;
            let before = ground.open.clone();
            stages.push(StepDone { before, act });
            ground.carry_out(act);
        }
        ground.finish()?;
        Ok(Self {
            steps: steps.clone(),
            stages,
        })
    }

    /// The pad of the first step, if that is a press.
    pub(super) fn first_pad(&self) -> Option<(f64, f64)> {
        match self.stages.first()?.act {
            Act::Press { pad, .. } => Some(pad),
            Act::Spread { .. } => None,
        }
    }

    /// The moves that the steps make between these bond lines.
    pub(super) fn moves(&self, (left, right): (f64, f64)) -> Vec<Move> {
        let first = self.first_pad();
        let one = |(k, stage): (usize, &StepDone)| match (stage.act, first) {
            (Act::Press { .. }, _) if k == 0 => Move::Press,
            (Act::Spread { from, to, .. }, Some(pad)) if from <= pad.0 && to <= left => {
                Move::Spread(Side::Left)
            }
            (Act::Spread { from, to, .. }, Some(pad)) if from >= pad.1 && to >= right => {
                Move::Spread(Side::Right)
            }
            _ => Move::Step,
        };
        self.stages.iter().enumerate().map(one).collect()
    }
}

/// The free panel of a custom order under way.
pub(super) struct Ground<'a> {
    line: &'a Polyline,
    pad: f64,
    bonds: (f64, f64),
    open: Vec<Gap>,
    pressed: Option<f64>,
    /// Number of the step under way, from 1.
    step: usize,
}

impl<'a> Ground<'a> {
    /// The bridged film on a line, for a pad of this width, mm.
    pub(super) fn new(line: &'a Polyline, pad: f64, bonds: (f64, f64)) -> Self {
        Self {
            line,
            pad,
            bonds,
            open: vec![Gap {
                a: bonds.0,
                b: bonds.1,
                ln: 0.0,
            }],
            pressed: None,
            step: 0,
        }
    }

    /// Takes away what a step lays.
    pub(super) fn carry_out(&mut self, act: Act) {
        let (span, left, right) = match act {
            Act::Press { span, pad } => (span, pad.0, pad.1),
            Act::Spread { span, from, to } => (span, from.min(to), from.max(to)),
        };
        let o = self.open[span];
        let parts = [Gap { b: left, ..o }, Gap { a: right, ..o }];
        let parts = parts.into_iter().filter(|o| o.b > o.a);
        self.open.splice(span..=span, parts);
    }

    /// What the next step does, or why it cannot.
    pub(super) fn resolve(&mut self, step: Step) -> Result<Act, LayError> {
        self.step += 1;
        if self.open.is_empty() {
            let found = format!("`{step}` after all film is down");
            return Err(self.refuse(found, "no further step", Hint::LeaveStepOut));
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
            let (from, to) = ((s - half).max(o.a), (s + half).min(o.b));
            let pad = (edge(from, o.a), edge(to, o.b));
            let inside = s > o.a + ON_VERTEX && s < o.b - ON_VERTEX;
            let on_edge = s >= o.a - ON_VERTEX && s <= o.b + ON_VERTEX && pad.1 - pad.0 > ON_VERTEX;
            (inside || on_edge).then_some(Act::Press { span, pad })
        });
        if found.is_some() {
            self.pressed = Some(s);
        }
        found.ok_or_else(|| {
            let found = format!("a press at x = {spot} mm, where film is down already");
            let expected = format!("a place with free film: {}", self.free());
            self.refuse(found, expected, Hint::PressElsewhere)
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
                    let found = format!("a spread to x = {spot} mm, where that patch is already");
                    let expected = format!("a place with free film beside it: {}", self.free());
                    return Err(self.refuse(found, expected, Hint::SayHowFar));
                }
            }
        };
        let span = match side {
            Side::Right if patch < n => patch,
            Side::Left if patch > 0 => patch - 1,
            _ => {
                let word = side_word(side);
                let found = format!(
                    "a spread to the {word} of a patch that goes on to the {word} bond line"
                );
                let expected = format!("free film on that side; it is free {}", self.free());
                return Err(self.refuse(found, expected, Hint::OtherPatch));
            }
        };
        let o = self.open[span];
        let (from, far) = side.pick((o.b, o.a), (o.a, o.b));
        let to = match to {
            Goal::Next(_) => far,
            Goal::At(spot) => {
                let s = self.place(spot)?;
                let beyond = side.pick(far - s, s - far);
                if beyond > TYPED {
                    let far = self.spot(far);
                    let found =
                        format!("a spread to x = {spot} mm, beyond film that is down from {far}");
                    let expected = format!("a place up to x = {far} mm");
                    return Err(self.refuse(found, expected, Hint::SpreadOn(side_word(side))));
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
            let found = format!("x = {spot} mm, outside of the bond lines");
            let (from, to) = (self.spot(left), self.spot(right));
            let expected = format!("a place from x = {from} to {to} mm");
            return Err(self.refuse(found, expected, Hint::MoveBondOrStep));
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
                let expected = "`from` with the patch that spreads";
                self.refuse(
                    "a spread before anything was pressed",
                    expected,
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
                let found = format!("a spread from x = {} mm, where film is free", self.spot(s));
                let expected = format!("a place where film is down; it is free {}", self.free());
                self.refuse(found, expected, Hint::PressFirst)
            })
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
        let span = |o: &Gap| (self.spot(o.a), self.spot(o.b));
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
        let span = |o: &Gap| format!("from x = {} to {} mm", self.spot(o.a), self.spot(o.b));
        self.open.iter().map(span).collect::<Vec<_>>().join(", ")
    }
}
