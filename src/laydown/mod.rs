//! The lay-down: film pressed on to a recess, bit by bit, sticking where it was pressed.
//!
//! A [`Bed`] is the panel as a given tip can press film on to it. [`Bonds`] say where the
//! film is bonded before the recess is laid; between them it is taut, and its taut length is
//! the bridge. An [`Order`] or [`Steps`] say how it is pressed, [`Conditions`] how warm the
//! film is and what holds it. [`Bed::lay_under`] returns the [`Laydown`]: pieces of panel
//! with a closed form of lambda on each, from which elongation, position on the flat film,
//! thickness and every moment of the laying can be read.
//!
//! An order is a list of moves ([`Order::moves`]), and what the list is says what lays it:
//!
//! | moves | solver |
//! |---|---|
//! | press, spread left, spread right | `front`: closed form, one pass over the vertices |
//! | flats, close, press | `edges`: closed form, window by window |
//! | feed in | here: nothing is stretched |
//! | any other presses and spreads | `run`: the closed form of each step, span by span |
//!
//! Film in zones of temperature, friction on lips, drag on flats and dabbed film have no
//! closed form: the same four hand over to the general `march`.
//!
//! Assumptions: plane strain along the channel; film goes down at the stretch of its free
//! span (see [`kernel`]). What follows, and is tested: lambda of a span never falls, film is
//! conserved, min <= mean <= max; a list typed as steps is laid like the name it equals.
//!
//! To read on: `piece` says what film is laid in, `laid` what is read from it, `moment` what
//! is down at a part of the way, `program` how typed steps become places on the bed.

mod bed;
mod bend;
mod bonds;
mod close;
mod conditions;
mod edges;
mod front;
pub mod kernel;
mod laid;
mod march;
mod moment;
mod open;
mod order;
mod path;
mod piece;
mod program;
mod reading;
mod run;
mod spread;
mod steps;
mod steps_toml;

pub use bed::Bed;
pub use bonds::{BondError, Bonds, Split};
pub use conditions::{Conditions, FilmRange, LayError, Laying, MarchReport, MarchWorth, Warm};
pub use laid::{Laydown, Peak, Sample};
pub use moment::{Moment, Span, Work};
pub use order::{Move, Order, OrderName, Sequence};
pub use reading::Laws;
pub use steps::{Goal, Patch, Spot, Step, Steps, read_steps};
pub use steps_toml::read_steps_toml;

pub(crate) use order::Way;
pub(crate) use program::{Act, StepDone};
pub(crate) use run::steps_cost;
pub(crate) use spread::spread;

use crate::section::Side;
use bed::Bridged;
use conditions::Zoned;
use piece::{Made, Piece};
use program::Program;

impl Bed<'_> {
    /// Lays film between two bond lines in an order that has a name: one temperature,
    /// nothing dragging, rolled.
    ///
    /// # Errors
    /// As [`Bed::lay_under`].
    pub fn lay(&self, bonds: Bonds, order: Order) -> Result<Laydown, LayError> {
        self.lay_under(bonds, order, &Conditions::default())
    }

    /// Lays film between two bond lines by a list of steps.
    ///
    /// # Errors
    /// As [`Bed::lay_under`].
    pub fn lay_steps(
        &self,
        bonds: Bonds,
        steps: &Steps,
        conditions: &Conditions,
    ) -> Result<Laydown, LayError> {
        self.lay_under(bonds, steps, conditions)
    }

    /// Lays film between two bond lines by an [`Order`] or by [`Steps`], under given
    /// conditions. What the list of moves is picks the solver.
    ///
    /// # Errors
    /// [`LayError`]: bond lines, conditions or steps that cannot be, film left free at the
    /// end, or no convergence. A peak that is not finite is no error: [`Laydown::peak`] then
    /// is `None`.
    pub fn lay_under<'s>(
        &self,
        bonds: Bonds,
        sequence: impl Into<Sequence<'s>>,
        conditions: &Conditions,
    ) -> Result<Laydown, LayError> {
        conditions.inspect()?;
        let (left, right) = self.place(bonds)?;
        let film = Bridged {
            bed: self,
            bonds: (left, right),
            taut: self.taut(left, right),
        };
        let (order, mut program) = match sequence.into() {
            Sequence::Named(Order::Custom) => return Err(BondError::NoSteps.into()),
            Sequence::Named(order) => (order, None),
            Sequence::Typed(steps) => {
                let program = Program::new(self.line(), self.pad(), film.bonds, steps)?;
                (Order::Custom, Some(Box::new(program)))
            }
        };
        let way = match &program {
            None => Way::of(order.moves()),
            Some(program) => Way::of(&program.moves(film.bonds)),
        };
        let made = film.lay(way, program.as_deref_mut(), conditions)?;
        let finite = made.is_some();
        let made = made.unwrap_or_else(|| Made {
            pad: film.pad(),
            ..Made::default()
        });
        Ok(Laydown {
            order,
            way,
            bonds: film.bonds,
            press: self.press(),
            pad: made.pad,
            taut: film.taut,
            arc: right - left,
            lips: self.lips(),
            pieces: made.pieces,
            windows: made.windows,
            finite,
            march: made.march,
            program,
        })
    }
}

impl<'a> Bridged<'a> {
    /// What the tool lays at once at the press, arc lengths, mm.
    fn pad(&self) -> (f64, f64) {
        let (left, right) = self.bonds;
        self.bed.under_pad(self.bed.press(), left, right)
    }

    /// One way: a single front from bond line to bond line, the film behind it loose and
    /// feeding in from a side. Nothing is stretched.
    fn feed(&self, loose: Side) -> Made {
        let (arc, press) = (self.bonds.1 - self.bonds.0, self.bed.press());
        let at = loose.pick((self.taut - arc, self.taut), (0.0, arc));
        Made {
            pieces: vec![Piece::even(self.bonds, 0.0, at)],
            pad: (press, press),
            ..Made::default()
        }
    }

    /// The film in zones, where the closed form does not hold.
    fn zoned(&self, conditions: &'a Conditions) -> Option<Zoned<'a>> {
        if conditions.is_plain() {
            return None;
        }
        let (left, right) = self.bonds;
        let zones = conditions.zones(self.taut, self.bed.mouth_film(left, right));
        let rolled = conditions.laying == Laying::Rolled;
        let holds = zones.len() <= 1 && rolled && !conditions.is_held();
        (!holds).then_some(Zoned { zones, conditions })
    }

    /// Hands the film to the solver of a list of moves; `None` if the peak is not finite.
    fn lay(
        &self,
        way: Way,
        program: Option<&mut Program>,
        conditions: &'a Conditions,
    ) -> Result<Option<Made>, LayError> {
        if let Way::Along(loose) = way {
            return Ok(Some(self.feed(loose)));
        }
        let zoned = self.zoned(conditions);
        Ok(match (way, zoned, program) {
            (Way::Inwards, None, _) => edges::lay(self),
            (Way::Inwards, Some(zoned), _) => edges::marched(self, &zoned)?,
            (Way::Steps, zoned, Some(program)) => Some(run::lay(self, program, zoned)?),
            (_, zoned, program) => Some(front::lay(self, program, zoned.as_ref())?),
        })
    }
}
