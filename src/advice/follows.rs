//! What follows from a lay-down, for a film class and a tool: whether air gets out, whether
//! a hand can press the film down, and at which temperature it could.

use super::answer::{Invented, Recommendation};
use super::bay::AMBIENT;
use super::handling::invented_stiffness;
use super::job::{Job, told};
use crate::film::{FilmNumber, Number, StretchLaw, ToolNumber};
use crate::geometry::bracketed;
use crate::laydown::{Bonds, Conditions, Laws, Laydown, Moment, Sample, Sequence, Warm};
use crate::outcome::{
    Air, Effort, Force, ForceNotice, ForceStage, HAND_FORCE, Hold, HoldNotice, Stage, finger_force,
    hold, stages, trapped_air,
};
use crate::section::Side;
use crate::told::Told;

/// Accuracy of the temperature at which the force is what a hand gives, degC.
const TEMPERATURE_TOLERANCE: f64 = 0.01;

/// The stages of a lay-down.
pub(super) type Stages = [(Stage, Moment)];

/// Conditions with laws as stiff as the film is, and the temperature of the warmed film,
/// degC, where it is known.
pub(super) type Stiff = (Conditions, Option<f64>);

impl Job<'_> {
    /// The conditions with the film as stiff as it is. Where nothing was said the film is
    /// as warm as the softest row of its class's table.
    ///
    /// `celsius`: another temperature of the warmed film.
    ///
    /// # Errors
    /// Why there is none.
    pub(super) fn stiff(&self, celsius: Option<f64>) -> Result<Stiff, ForceNotice> {
        let mut conditions = self.conditions().into_owned();
        if matches!(conditions.law, StretchLaw::Curve(_)) {
            return Ok((conditions, None));
        }
        let said = self.handling.and_then(|h| h.bay.warm_c);
        let Some(t) = celsius.or(said).or_else(|| self.film.softest_temperature()) else {
            return Err(ForceNotice::NoStiffness {
                film: self.film.name.clone(),
            });
        };
        let law = self
            .film
            .law_at(t)
            .map_err(|e| ForceNotice::NotKnown { why: e.message() })?;
        match &mut conditions.warm {
            Warm::Whole => conditions.law = law,
            Warm::Mouth(warm) | Warm::Flats(warm) => *warm = law,
            Warm::Ranges(_) => return Ok((conditions, None)),
        }
        Ok((conditions, Some(t)))
    }

    /// The air a lay-down traps.
    pub(super) fn air(&self, laid: &Laydown, stages: &Stages, drawn: bool) -> Air {
        let ends = self.handling.and_then(|h| h.bay.ends).unwrap_or_default();
        trapped_air(laid, self.bed, stages, self.film.air_channels, ends, drawn)
    }

    /// The force of the fingers in a lay-down.
    pub(super) fn force(
        &self,
        bonds: Bonds,
        laid: &Laydown,
        stages: &Stages,
        stiff: &Result<Stiff, ForceNotice>,
    ) -> Force {
        let said = self.handling.and_then(|h| h.bay.hand_force);
        let mut force = Force {
            hand_n: said.unwrap_or(HAND_FORCE),
            ..Force::default()
        };
        let measured = self.film.force_factor.as_ref();
        force.measured_factor = measured.map(|n| n.value);
        let contact = self.tool.contact_length();
        let contact = contact.map(|mm| mm * force.measured_factor.unwrap_or(1.0));
        let contact = contact.ok_or_else(|| ForceNotice::NoContactLength {
            tool: self.tool.name.clone(),
        });
        let found = contact.and_then(|contact| {
            let (conditions, celsius) = stiff.as_ref().map_err(Clone::clone)?;
            let pull =
                finger_force(laid, self.bed, stages, conditions).ok_or(ForceNotice::NotFinite)?;
            Ok((contact, pull, *celsius))
        });
        let (contact, pull, celsius) = match found {
            Ok(found) => found,
            Err(why) => {
                force.not_computed = Some(Told(why));
                return force;
            }
        };
        let largest = contact * pull.largest.0;
        let within = largest <= force.hand_n;
        let stage = |&(stage, n): &(_, f64)| ForceStage {
            stage,
            force_n: contact * n,
        };
        force.temperature_c = celsius;
        force.stages = pull.stages.iter().map(stage).collect();
        force.largest_n = Some(largest);
        force.largest_at_x_mm = Some(self.bed.line().at(pull.largest.1).x);
        force.sideways_n = pull.sideways.map(|n| contact * n);
        force.within_hand = Some(within);
        if !within {
            if let Some(t) = celsius {
                self.warm_enough(bonds, laid, (t, largest), contact, &mut force);
            }
            force.follows.push(Told(ForceNotice::TooMuch {
                largest_n: largest,
                hand_n: force.hand_n,
                enough_at_c: force.enough_at_c,
                least_at_c: force.least_at_c,
            }));
        }
        let effort = Effort::of(largest, force.hand_n, force.enough_at_c.is_some());
        force.effort = Some(effort);
        force.ranked = Some(Told(ForceNotice::Ranked {
            effort,
            largest_n: largest,
            at_x_mm: self.bed.line().at(pull.largest.1).x,
            hand_n: force.hand_n,
            hand_invented: said.is_none(),
            temperature_c: celsius,
            measured: measured.is_some_and(|n| !n.is_invented()),
        }));
        force
    }

    /// Finds the temperature above `now` (degC, N) from which a hand does, by the rows of
    /// the class's table and a root between two of them.
    fn warm_enough(
        &self,
        bonds: Bonds,
        laid: &Laydown,
        now: (f64, f64),
        contact: f64,
        force: &mut Force,
    ) {
        let hand = force.hand_n;
        let excess = |t: f64| {
            self.largest(bonds, laid, t)
                .map_or(f64::NAN, |n| contact * n - hand)
        };
        let mut before = (now.0, now.1 - hand);
        let mut least = before;
        for row in self.film.modulus.iter().filter(|r| r.temperature_c > now.0) {
            let here = (row.temperature_c, excess(row.temperature_c));
            if here.1 <= 0.0 {
                force.enough_at_c = bracketed(excess, before, here, TEMPERATURE_TOLERANCE);
                return;
            }
            if here.1 < least.1 {
                least = here;
            }
            before = here;
        }
        force.least_at_c = Some([least.0, least.1 + hand]);
    }

    /// Largest pull with the warmed film at another temperature, N/mm: film of zones or
    /// against drag is laid again.
    fn largest(&self, bonds: Bonds, laid: &Laydown, celsius: f64) -> Option<f64> {
        let (conditions, _) = self.stiff(Some(celsius)).ok()?;
        let again = conditions.drag > 0.0 || conditions.warm != Warm::Whole;
        let pull = if again {
            let sequence = laid.steps().map_or(laid.order().into(), Sequence::from);
            let laid = self.bed.lay_under(bonds, sequence, &conditions).ok()?;
            finger_force(&laid, self.bed, &stages(&laid, self.bed), &conditions)
        } else {
            finger_force(laid, self.bed, &stages(laid, self.bed), &conditions)
        };
        pull.map(|p| p.largest.0)
    }

    /// Whether the film of a lay-down stays down.
    pub(super) fn hold(&self, laid: &Laydown) -> Hold {
        match self.cool() {
            Ok((law, celsius)) => hold(laid, self.bed, self.film, &law, celsius),
            Err(why) => Hold {
                not_computed: Some(Told(why)),
                ..Hold::default()
            },
        }
    }

    /// The film as stiff as it is when cool, and how cool, degC: as the rest of the film is while
    /// it is laid, or as near to that as its table goes; a tensile curve as it is.
    fn cool(&self) -> Result<(StretchLaw, Option<f64>), HoldNotice> {
        if let StretchLaw::Curve(curve) = &self.conditions().law {
            return Ok((StretchLaw::Curve(curve.clone()), None));
        }
        let rows = &self.film.modulus;
        let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
            return Err(HoldNotice::Missing {
                film: self.film.name.clone(),
                number: FilmNumber::Stiffness,
            });
        };
        let said = self.handling.and_then(|h| h.bay.ambient_c);
        let cool = said
            .unwrap_or(AMBIENT)
            .max(first.temperature_c)
            .min(last.temperature_c);
        let law = self.film.law_at(cool);
        let law = law.map_err(|e| HoldNotice::NotKnown { why: e.message() })?;
        Ok((law, Some(cool)))
    }

    /// Numbers behind a hold that are invented.
    pub fn invented_in_hold(&self, hold: &Hold) -> Vec<Invented> {
        if hold.states.is_empty() {
            return Vec::new();
        }
        let film = self.film;
        let is = |number: &Option<Number>| number.as_ref().is_some_and(Number::is_invented);
        let peel = film.peel.as_ref();
        let peel = peel.is_some_and(|p| {
            [&p.force_n, &p.width_mm, &p.angle_deg]
                .iter()
                .any(|n| n.is_invented())
        });
        let own = [
            (peel, FilmNumber::Peel),
            (is(&film.long_term_factor), FilmNumber::LongTermFactor),
            (is(&film.stress_left), FilmNumber::StressLeft),
            (is(&film.hot_day_c), FilmNumber::HotDay),
            (is(&film.hold_let_go), FilmNumber::LetGo),
        ];
        let own = own.into_iter().filter(|(invented, _)| *invented);
        let mut all: Vec<Invented> = own
            .map(|(_, number)| Invented::Film {
                film: film.name.clone(),
                number,
            })
            .collect();
        if hold.states.iter().any(|s| s.temperature_c.is_some()) {
            all.extend(invented_stiffness(film, true));
        }
        all
    }

    /// Adds the hold of the order that an answer recommends.
    pub fn hold_the_chosen(&self, answer: &mut Recommendation) {
        let Some(chosen) = &answer.recommended else {
            return;
        };
        let (name, recess) = (chosen.order, self.bed.recess());
        let bonds = Bonds::with_reach(recess, chosen.reach_left_mm, chosen.reach_right_mm);
        let check = answer.orders.iter_mut().find(|o| o.order.name == name);
        if let (Some(check), Ok(laid)) = (check, self.lay(bonds, name.order(Side::Right))) {
            let hold = self.hold(&laid);
            check.invented_in_hold = told(self.invented_in_hold(&hold));
            check.hold = Some(hold);
        }
    }

    /// Numbers behind a force that are invented.
    pub fn invented_in_force(&self, force: &Force) -> Vec<Invented> {
        let mut all = Vec::new();
        if force.largest_n.is_none() {
            return all;
        }
        if force.temperature_c.is_some() {
            all.extend(invented_stiffness(self.film, true));
        }
        if self
            .film
            .force_factor
            .as_ref()
            .is_some_and(Number::is_invented)
        {
            all.push(Invented::Film {
                film: self.film.name.clone(),
                number: FilmNumber::ForceFactor,
            });
        }
        let contact = self.tool.contact_length_mm.as_ref();
        if contact.is_some_and(Number::is_invented) {
            all.push(Invented::Tool {
                tool: self.tool.name.clone(),
                number: ToolNumber::ContactLength,
            });
        }
        if self.handling.and_then(|h| h.bay.hand_force).is_none() {
            all.push(Invented::HandForce {
                force_n: HAND_FORCE,
            });
        }
        all
    }
}

/// Part of the way to the next row by which a row's film is read, clear of where a zone ends.
const CLEAR: f64 = 1e-6;

/// Line tension of each row of a profile, N/mm. Where the stretch jumps, two rows share a
/// place: each is read by the law of its own side.
pub(super) fn tensions(rows: &[Sample], laws: &Laws<'_>) -> Vec<f64> {
    let apart = |k: usize, s: f64| rows.get(k).filter(|r| (r.s - s).abs() > 1e-9);
    let one = |(k, row): (usize, &Sample)| {
        let before = k.checked_sub(1).and_then(|i| apart(i, row.s));
        let beside = before.or_else(|| apart(k + 1, row.s));
        let clear = beside.map_or(0.0, |b| CLEAR * (b.film - row.film));
        laws.tension(row.film + clear, row.lambda)
    };
    rows.iter().enumerate().map(one).collect()
}
