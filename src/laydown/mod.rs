//! The lay-down: film pressed on to a recess, bit by bit, sticking where it was pressed.
//!
//! A [`Bed`] is the panel as a given tip can press film on to it. [`Bonds`] say where the
//! film is bonded before the recess is laid, an [`Order`] how it is pressed.
//! [`Bed::lay`] returns the [`Laydown`]: pieces of panel with a closed form of lambda on
//! each, from which elongation, position on the flat film, thickness and every moment of
//! the laying can be read.
//!
//! Assumptions: plane strain along the channel, film of one temperature, nothing dragging;
//! film goes down at the stretch of its free span (see [`kernel`]). What follows, and is
//! tested: lambda of a span never falls, film is conserved, min <= mean <= max.

mod bed;
mod bend;
mod bonds;
mod close;
mod conditions;
pub mod kernel;
mod march;
mod moment;
mod open;
mod order;
mod path;
mod program;
mod reading;
mod spread;
mod steps;
mod steps_toml;

pub use bed::Bed;
pub use bonds::{BondError, Bonds, Split};
pub use conditions::{Conditions, FilmRange, LayError, Laying, MarchReport, MarchWorth, Warm};
pub use moment::{Moment, Span};
pub use order::{Order, OrderName};
pub use reading::Laws;
pub use steps::{Goal, Patch, Spot, Step, Steps, read_steps};
pub use steps_toml::read_steps_toml;

use crate::film::StretchLaw;
use crate::geometry::{Point, hull, sort_by_number};
use crate::section::{Side, Zone};
use close::{Window, close};
use march::March;
pub(crate) use program::{Act, StepDone, steps_cost};
use program::{Program, Run};
use spread::Front;
pub(crate) use spread::spread;

/// Relative difference of lambda within which two places share the peak.
const SAME: f64 = 1e-9;
/// Difference of their distances from the press below which two places are equally near, mm.
const SAME_PLACE: f64 = 1e-6;
/// Turn over a ridge from which friction there counts, rad.
const RIDGE_TURN: f64 = 1e-6;

/// How lambda runs along one piece of panel.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Law {
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
struct Cell {
    /// 1/lambda at the left and the right end.
    rates: (f64, f64),
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
struct Piece {
    /// Ends, arc length, mm, `from < to`.
    from: f64,
    to: f64,
    side: Side,
    law: Law,
    /// ln lambda where the gain counts from (everywhere, for [`Law::Even`]).
    base: f64,
    /// Film position of `from` and `to`, mm from the left bond line.
    film: (f64, f64),
}

impl Piece {
    /// Completes a piece laid by a front that sets out with `ln` = ln lambda; `film` makes
    /// its two film positions of the film left beyond its outer end. Returns ln lambda
    /// there.
    fn finish(&mut self, ln: f64, film: impl FnOnce(f64) -> (f64, f64)) -> f64 {
        let Law::Out(front) = self.law else { return ln };
        self.base = ln;
        let end = ln + front.gain;
        self.film = film(front.free(front.to) / end.exp());
        end
    }
}

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
    order: Order,
    bonds: (f64, f64),
    press: f64,
    pad: (f64, f64),
    taut: f64,
    arc: f64,
    pieces: Vec<Piece>,
    windows: Vec<Window>,
    finite: bool,
    lips: (f64, f64),
    march: Option<MarchReport>,
    program: Option<Box<Program>>,
}

impl Bed<'_> {
    /// Lays film between two bond lines under given conditions.
    ///
    /// Film of one temperature with nothing dragging, rolled down, is laid by the closed
    /// form, all else by the general march.
    ///
    /// # Errors
    /// [`LayError`]: bond lines or conditions that cannot be, or no convergence.
    pub fn lay_under(
        &self,
        bonds: Bonds,
        order: Order,
        conditions: &Conditions,
    ) -> Result<Laydown, LayError> {
        conditions.inspect()?;
        let (left, right) = self.place(bonds)?;
        let taut = self.taut(left, right);
        let zones = conditions.zones(taut, self.mouth_film(left, right));
        let held = conditions.lip_friction > 0.0 || conditions.drag > 0.0;
        let alike = zones.len() <= 1 && conditions.laying == Laying::Rolled;
        match order {
            Order::OneWay { .. } | Order::Custom => Ok(self.lay(bonds, order)?),
            Order::EdgeFirst if alike && !held => Ok(self.lay(bonds, order)?),
            Order::EdgeFirst => {
                let mut laid = self.blank(left, right, order);
                laid.march_in(self, &zones, conditions, held)?;
                Ok(laid)
            }
            _ if alike && !held => Ok(self.lay(bonds, order)?),
            _ => {
                let mut laid = self.blank(left, right, order);
                laid.march_out(self, &zones, conditions)?;
                Ok(laid)
            }
        }
    }

    /// The film between the lips before pressing, mm from the left bond line. Of a step:
    /// from the lip to as far from the lower bond line as the foot is.
    pub(crate) fn mouth_film(&self, left: f64, right: f64) -> (f64, f64) {
        let lips = self.lips();
        let taut = self.taut(left, right);
        let from = if lips.0 > left {
            self.taut(left, lips.0)
        } else {
            0.0
        };
        let to = if right > lips.1 {
            taut - self.taut(lips.1, right)
        } else {
            taut
        };
        (from.min(to), to)
    }

    /// Lays film between two bond lines: one temperature, nothing dragging, rolled.
    ///
    /// # Errors
    /// [`BondError`] if the bond lines do not stand around the press. A peak that is not
    /// finite is no error: [`Laydown::peak`] then is `None`.
    pub fn lay(&self, bonds: Bonds, order: Order) -> Result<Laydown, BondError> {
        let (left, right) = self.place(bonds)?;
        let mut laid = self.blank(left, right, order);
        match order {
            Order::DeepestFirst | Order::MiddlePush => laid.deepest_first(self),
            Order::EdgeFirst => laid.edge_first(self),
            Order::OneWay { .. } => laid.one_way(),
            Order::Custom => return Err(BondError::NoSteps),
        }
        Ok(laid)
    }

    /// Lays film between two bond lines by a list of steps.
    ///
    /// # Errors
    /// [`LayError`]: bond lines, conditions or steps that cannot be, film left free at the
    /// end, or no convergence.
    pub fn lay_steps(
        &self,
        bonds: Bonds,
        steps: &Steps,
        conditions: &Conditions,
    ) -> Result<Laydown, LayError> {
        conditions.inspect()?;
        let (left, right) = self.place(bonds)?;
        let mut laid = self.blank(left, right, Order::Custom);
        let zones = conditions.zones(laid.taut, self.mouth_film(left, right));
        let mut run = Run::new(self.line(), self.pad(), (left, right), true);
        let held = conditions.lip_friction > 0.0 || conditions.drag > 0.0;
        if held || zones.len() > 1 || conditions.laying == Laying::Dabbed {
            for open in &mut run.open {
                open.rested = march::rests_at(self.line(), (left, right));
            }
            run.march = Some(March {
                zones,
                conditions,
                report: MarchReport::default(),
            });
        }
        let mut stages = Vec::with_capacity(steps.steps().len());
        for &step in steps.steps() {
            let act = run.resolve(step)?;
            stages.push(StepDone {
                before: run.open.clone(),
                act,
            });
            run.act(act)?;
        }
        run.finish()?;
        laid.march = run.march.map(|m| m.report);
        laid.pieces = run.pieces.take().unwrap_or_default();
        sort_by_number(&mut laid.pieces, |piece| piece.from);
        laid.program = Some(Box::new(Program {
            steps: steps.clone(),
            stages,
        }));
        Ok(laid)
    }

    /// Film over the bed with nothing laid yet.
    fn blank(&self, left: f64, right: f64, order: Order) -> Laydown {
        let press = self.press();
        let pad = self.under_pad(press, left, right);
        Laydown {
            order,
            bonds: (left, right),
            press,
            pad,
            taut: self.taut(left, right),
            arc: right - left,
            pieces: Vec::new(),
            windows: Vec::new(),
            finite: true,
            lips: self.lips(),
            march: None,
            program: None,
        }
    }

    /// Peak and recess peak (stretch ratios) of deepest-first, without keeping the pieces.
    pub(crate) fn deepest_first_peaks(&self, left: f64, right: f64) -> (f64, f64) {
        self.peaks_pressed_at(self.press(), left, right)
    }

    /// The same, pressed at another place between the bond lines.
    pub(crate) fn peaks_pressed_at(&self, press: f64, left: f64, right: f64) -> (f64, f64) {
        let (p0, p1) = self.under_pad(press, left, right);
        let lips = self.lips();
        let mut most = (0.0_f64, 0.0_f64);
        let mut length = p1 - p0;
        for (from, to, lip) in [(p0, left, p0 - lips.0), (p1, right, lips.1 - p1)] {
            if (to - from).abs() <= 0.0 {
                continue;
            }
            let (mut all, mut within) = (0.0, 0.0);
            length += spread(&self.line().between(from, to), to > from, |f| {
                all += f.gain;
                if f.to <= lip {
                    within += f.gain;
                } else if f.from < lip {
                    within += f.gain_to(lip);
                }
            });
            most = (most.0.max(all), most.1.max(within));
        }
        let lambda = length / self.taut(left, right);
        (lambda * most.0.exp(), lambda * most.1.exp())
    }
}

impl Laydown {
    /// Presses the middle, then sends a front out to each bond line.
    fn deepest_first(&mut self, bed: &Bed<'_>) {
        let (left, right) = self.bonds;
        let (p0, p1) = self.pad;
        let piece = |from: f64, to: f64, side: Side, law: Law| Piece {
            from,
            to,
            side,
            law,
            base: 0.0,
            film: (0.0, 0.0),
        };
        let (first, last) = (bed.line().facet(left), bed.line().facet(right));
        let mut pieces = Vec::with_capacity(last - first + 8);
        let mut free = (0.0, 0.0);
        // A front reports from the bond line back to the press: left to right here ...
        if p0 > left {
            free.0 = spread(&bed.line().between(p0, left), false, |f| {
                pieces.push(piece(p0 - f.to, p0 - f.from, Side::Left, Law::Out(f)));
            });
        }
        let middle = pieces.len();
        if p1 > p0 {
            pieces.push(piece(p0, p1, Side::Right, Law::Even));
        }
        let outer = pieces.len();
        // ... and right to left here.
        if right > p1 {
            free.1 = spread(&bed.line().between(p1, right), true, |f| {
                pieces.push(piece(p1 + f.from, p1 + f.to, Side::Right, Law::Out(f)));
            });
            pieces[outer..].reverse();
        }
        let lambda = (free.0 + (p1 - p0) + free.1) / self.taut;
        let base = lambda.ln();
        let pressed = (free.0 / lambda, self.taut - free.1 / lambda);
        for pad in &mut pieces[middle..outer] {
            (pad.base, pad.film) = (base, pressed);
        }
        // From the press outwards: what a front has gained, and the film it has left.
        let (mut ln, mut film) = (base, pressed.0);
        for p in pieces[..middle].iter_mut().rev() {
            let end = p.finish(ln, |left_over| (left_over, film));
            (ln, film) = (end, p.film.0);
        }
        let (mut ln, mut film) = (base, pressed.1);
        for p in &mut pieces[outer..] {
            let end = p.finish(ln, |left_over| (film, self.taut - left_over));
            (ln, film) = (end, p.film.1);
        }
        self.pieces = pieces;
    }

    /// Lays the flats, then closes in from both sides on to the press.
    fn edge_first(&mut self, bed: &Bed<'_>) {
        let (left, right) = self.bonds;
        let starts = bed.edge_starts(left, right);
        let mut at = 0.0;
        let mut pieces = rest(bed, left, starts.0, &mut at);
        let laid_left = at;
        let mut to_right = rest(bed, starts.1, right, &mut at);
        let span = self.taut - at;
        // Free film between the starts, a little stretched where a lip lies below it.
        let mut ln = (bed.taut(starts.0, starts.1) / span).ln();
        if ln.abs() < 1e-12 {
            ln = 0.0;
        }
        let Some((windows, open)) = close(bed.line(), self.press, starts, bed.pad()) else {
            self.finite = false;
            return;
        };
        let (reach_l, reach_r) = (self.press - starts.0, starts.1 - self.press);
        let (mut film_l, mut film_r) = (laid_left, laid_left + span);
        let mut inner = Vec::new();
        for (k, w) in windows.iter().enumerate().rev() {
            let outer_film = w.free(w.y1) / ln.exp();
            let inner_film = w.free(w.y0) / (ln + w.gain).exp();
            let laid = outer_film - inner_film;
            let share = reach_l / (reach_l + reach_r);
            let (to_l, to_r) = (film_l + laid * share, film_r - laid * (1.0 - share));
            if reach_l > 0.0 {
                let (from, to) = (self.press - w.y1 * reach_l, self.press - w.y0 * reach_l);
                pieces.push(Piece {
                    from,
                    to,
                    side: Side::Left,
                    law: Law::In(k),
                    base: ln,
                    film: (film_l, to_l),
                });
            }
            if reach_r > 0.0 {
                let (from, to) = (self.press + w.y0 * reach_r, self.press + w.y1 * reach_r);
                inner.push(Piece {
                    from,
                    to,
                    side: Side::Right,
                    law: Law::In(k),
                    base: ln,
                    film: (to_r, film_r),
                });
            }
            (film_l, film_r) = (to_l, to_r);
            ln += w.gain;
        }
        // More than a double holds: no finite peak either.
        if !ln.exp().is_finite() {
            self.pieces.clear();
            self.finite = false;
            return;
        }
        self.pad = (self.press - open * reach_l, self.press + open * reach_r);
        if open > 0.0 {
            // Panel left over film left; the film is the free span over its stretch, which
            // keeps its digits where a difference of film positions would not.
            let free = windows
                .first()
                .map_or_else(|| bed.taut(starts.0, starts.1), |w| w.free(w.y0));
            pieces.push(Piece {
                from: self.pad.0,
                to: self.pad.1,
                side: Side::Right,
                law: Law::Even,
                base: ln + ((self.pad.1 - self.pad.0) / free).ln(),
                film: (film_l, film_r),
            });
        }
        inner.reverse();
        pieces.extend(inner);
        for piece in &mut to_right {
            piece.film = (piece.film.0 + span, piece.film.1 + span);
        }
        pieces.extend(to_right);
        self.pieces = pieces;
        self.windows = windows;
    }

    /// Deepest-first by the general march.
    fn march_out(
        &mut self,
        bed: &Bed<'_>,
        zones: &[(f64, &StretchLaw)],
        conditions: &Conditions,
    ) -> Result<(), LayError> {
        let (left, right) = self.bonds;
        let chain = |from: f64, to: f64| {
            if (to - from).abs() > 0.0 {
                bed.line().between(from, to)
            } else {
                Vec::new()
            }
        };
        let chains = [chain(self.pad.0, left), chain(self.pad.1, right)];
        let marched = march::outwards(
            [&chains[0], &chains[1]],
            self.pad,
            self.taut,
            zones,
            conditions,
        )?;
        self.pieces = marched.pieces;
        self.march = Some(marched.report);
        Ok(())
    }

    /// Edge-first by the general march. `held`: friction or drag was asked for.
    fn march_in(
        &mut self,
        bed: &Bed<'_>,
        zones: &[(f64, &StretchLaw)],
        conditions: &Conditions,
        held: bool,
    ) -> Result<(), LayError> {
        let (left, right) = self.bonds;
        let starts = bed.edge_starts(left, right);
        let mut at = 0.0;
        let mut pieces = rest(bed, left, starts.0, &mut at);
        let laid_left = at;
        let mut to_right = rest(bed, starts.1, right, &mut at);
        let span = self.taut - at;
        let Some((windows, open)) = close(bed.line(), self.press, starts, bed.pad()) else {
            self.finite = false;
            return Ok(());
        };
        if held && windows.iter().any(|w| w.ridge_turn() > RIDGE_TURN) {
            return Err(LayError::Ridge);
        }
        if zones.len() <= 1 && conditions.laying == Laying::Rolled {
            // Nothing rests beyond the fronts, so that friction and drag do nothing.
            self.edge_first(bed);
            return Ok(());
        }
        let reach = (self.press - starts.0, starts.1 - self.press);
        let closing = march::Closing {
            windows: &windows,
            press: self.press,
            reach,
            film: (laid_left, laid_left + span),
        };
        let marched = march::inwards(closing, zones, conditions)?;
        self.pad = (self.press - open * reach.0, self.press + open * reach.1);
        pieces.extend(marched.pieces);
        for piece in &mut to_right {
            piece.film = (piece.film.0 + span, piece.film.1 + span);
        }
        pieces.extend(to_right);
        self.pieces = pieces;
        self.windows = windows;
        self.march = Some(marched.report);
        Ok(())
    }

    /// Lays everything unstretched, the far side feeding in.
    fn one_way(&mut self) {
        let (from, to) = self.bonds;
        let film = match self.order {
            Order::OneWay { loose: Side::Left } => (self.taut - self.arc, self.taut),
            _ => (0.0, self.arc),
        };
        self.pad = (self.press, self.press);
        self.pieces = vec![Piece {
            from,
            to,
            side: Side::Right,
            law: Law::Even,
            base: 0.0,
            film,
        }];
    }

    /// The order it was laid in.
    pub fn order(&self) -> Order {
        self.order
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
    fn read(&self, p: &Piece, s: f64) -> (f64, f64) {
        let s = s.clamp(p.from, p.to);
        match p.law {
            Law::Even => {
                let t = if p.to > p.from {
                    (s - p.from) / (p.to - p.from)
                } else {
                    0.0
                };
                (p.base.exp(), p.film.0 + t * (p.film.1 - p.film.0))
            }
            Law::Cell(cell) => {
                let t = if p.to > p.from {
                    (s - p.from) / (p.to - p.from)
                } else {
                    0.0
                };
                cell.read(p, t)
            }
            Law::Out(front) => {
                let way = if p.side == Side::Left {
                    p.to - s
                } else {
                    s - p.from
                };
                let at = (front.from + way).min(front.to);
                let lambda = (p.base + front.gain_to(at)).exp();
                // Film between here and the piece's far end.
                let ahead =
                    front.free(at) / lambda - front.free(front.to) / (p.base + front.gain).exp();
                (
                    lambda,
                    if p.side == Side::Left {
                        p.film.0 + ahead
                    } else {
                        p.film.1 - ahead
                    },
                )
            }
            Law::In(k) => {
                let window = &self.windows[k];
                let (out, span, film) = match p.side {
                    Side::Left => (p.from, p.to - p.from, p.film.0),
                    Side::Right => (p.to, p.from - p.to, p.film.1),
                };
                let t = (s - out) / span;
                let y = window.y1 + t * (window.y0 - window.y1);
                let lambda = (p.base + window.gain_from_outside(y)).exp();
                let laid = window.free(window.y1) / p.base.exp() - window.free(y) / lambda;
                let all = window.free(window.y1) / p.base.exp()
                    - window.free(window.y0) / (p.base + window.gain).exp();
                let share = if all > 0.0 { laid / all } else { t };
                (
                    lambda,
                    film + share
                        * if p.side == Side::Left {
                            p.film.1 - p.film.0
                        } else {
                            p.film.0 - p.film.1
                        },
                )
            }
        }
    }

    /// Lambda at the left and the right end of one piece.
    fn ends(&self, p: &Piece) -> (f64, f64) {
        let (near, far) = match p.law {
            Law::Even => return (p.base.exp(), p.base.exp()),
            Law::Cell(cell) => return (1.0 / cell.rates.0, 1.0 / cell.rates.1),
            Law::Out(front) => (p.base.exp(), (p.base + front.gain).exp()),
            Law::In(k) => ((p.base + self.windows[k].gain).exp(), p.base.exp()),
        };
        match p.side {
            Side::Left => (far, near),
            Side::Right => (near, far),
        }
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
            let (at_from, at_to) = self.ends(p);
            ends.push(if p.from >= from {
                (at_from, p.from)
            } else {
                (self.read(p, from).0, from)
            });
            ends.push(if p.to <= to {
                (at_to, p.to)
            } else {
                (self.read(p, to).0, to)
            });
            if let Law::Cell(cell) = p.law
                && let Some(t) = cell.top(p)
            {
                let s = p.from + t * (p.to - p.from);
                if s > from && s < to {
                    ends.push((self.read(p, s).0, s));
                }
            }
        }
        // Under a pad the stretch is even: the press itself stands for it.
        if (from..=to).contains(&self.press) {
            ends.extend(self.lambda(self.press).map(|lambda| (lambda, self.press)));
        }
        let most = ends.iter().map(|e| e.0).fold(f64::NEG_INFINITY, f64::max);
        // The nearest to the press; of two equally near ones the left, whatever rounding says.
        let away = |s: f64| (s - self.press).abs();
        let alike = || {
            ends.iter()
                .filter(|e| e.0 >= most * (1.0 - SAME))
                .map(|e| e.1)
        };
        let nearest = alike().map(away).fold(f64::INFINITY, f64::min);
        let left = alike()
            .filter(|&s| away(s) <= nearest + SAME_PLACE)
            .fold(f64::INFINITY, f64::min);
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
        if self.finite {
            self.lambda(self.press)
        } else {
            None
        }
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
            for to in lengths[first..last.max(first)]
                .iter()
                .copied()
                .chain([p.to])
            {
                let n = ((to - from) / spacing).ceil().max(1.0);
                let mut k = 1.0;
                while k <= n {
                    self.push(
                        bed,
                        p,
                        if k < n {
                            from + (to - from) * k / n
                        } else {
                            to
                        },
                        &mut rows,
                    );
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

/// Lays what rests on the panel between two places; each pocket goes down at once at
/// arc over chord. `at`: film used so far, mm; moved on by what is laid here.
fn rest(bed: &Bed<'_>, from: f64, to: f64, at: &mut f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    if to - from <= 0.0 {
        return pieces;
    }
    let chain = bed.line().between(from, to);
    let corners = hull(&chain, 0.0);
    let mut s = from;
    for w in corners.windows(2) {
        let arc: f64 = chain[w[0]..=w[1]]
            .windows(2)
            .map(|p| (p[1] - p[0]).norm())
            .sum();
        let chord = (chain[w[1]] - chain[w[0]]).norm();
        let base = if arc - chord > 1e-13 * arc {
            (arc / chord).ln()
        } else {
            0.0
        };
        let end = if w[1] == chain.len() - 1 { to } else { s + arc };
        pieces.push(Piece {
            from: s,
            to: end,
            side: Side::Right,
            law: Law::Even,
            base,
            film: (*at, *at + chord),
        });
        s = end;
        *at += chord;
    }
    pieces
}
