//! The force of the fingers that press taut film down.
//!
//! Cut the film free just outside of the tool: on either side it is pulled by a line
//! tension, and between the cuts the tool gives what keeps it in equilibrium. The adhesive
//! of the film under the tool has had no time to hold, and the panel can only push. So per
//! mm of the tool's contact along the recess
//!
//! ```text
//! F = | N_left t_left + N_right t_right |
//! ```
//!
//! with t the directions in which the film leaves the tool:
//!
//! - first press: both are those of the free spans. The part along the panel is the sideways
//!   pull; in a symmetric section it is nothing.
//! - a front: ahead the free span, t at the angle alpha to the panel; behind, the film just
//!   laid, pulling back along the panel. Rolled film has one tension N on both sides, hence
//!   F = 2 N sin(alpha/2). Dabbed film goes down at N cos(alpha), hence F = N sin(alpha),
//!   square to the panel, as the rule says. Where the film ahead bends over a convex corner
//!   the panel holds it, and F is nothing.
//! - last press of edge-first: on both sides film that sticks, along the panel at the edges of
//!   the pad: F = N times the turn of the panel under the pad, nothing on a flat floor.
//! - steps of one's own: the same. A press pulls with the spans beside its pad, or along the
//!   panel where film is down there; a spread is one front, the film ahead held by the next
//!   film that is down. Patches that no tool works on hold by themselves.
//!
//! N is that of the stretch law at the film's temperature. Where one front moves along a
//! facet, alpha rises and N does not fall (even heat, no friction), so the largest force is
//! met as it comes to a vertex. In edge-first the other front turns the film too: there the
//! places just before and after every vertex of either are looked at, and between them it
//! can be a little more.
//!
//! Left out: what it takes to bend the film and to squeeze the adhesive, speed, and the film
//! to the left and right of the contact along the recess, which pulls as well. So it ranks
//! tools, temperatures and orders; derived here, not tested against a force gauge. Who has put one
//! press on a scale has a factor for it (`force_factor` of the class).

use super::effort::Effort;
use super::notice::ForceNotice;
use super::stage::Stage;
use crate::geometry::{Point, Vector, cross, path_length};
use crate::laydown::{Act, Bed, Conditions, Laws, Laydown, Laying, Moment, Span, Way, Work};
use crate::section::Side;
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// What a hand gives at most for minutes on end unless told otherwise, N; invented.
pub const HAND_FORCE: f64 = 40.0;
/// How far inside the laid film its stretch is read, mm: past rounding, short of change.
const INSIDE: f64 = 1e-6;
/// Cosine of the angle below which dabbed film says nothing of the tension before.
const LEAST_COSINE: f64 = 0.05;

/// Force at one stage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ForceStage {
    /// The stage.
    pub stage: Stage,
    /// Force of one tool, the larger of two fronts, N.
    pub force_n: f64,
}

/// The force of the fingers in a lay-down.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Force {
    /// Temperature of the warmed film, degC; `None` where it is not known (a tensile curve).
    pub temperature_c: Option<f64>,
    /// What a hand gives at most, N.
    pub hand_n: f64,
    /// The stages, in their order. Empty where nothing was computed.
    pub stages: Vec<ForceStage>,
    /// Largest force on the way, N; also between two stages.
    pub largest_n: Option<f64>,
    /// Where, abscissa, mm.
    pub largest_at_x_mm: Option<f64>,
    /// Pull of the film along the panel at the first press, N, + to the right.
    pub sideways_n: Option<f64>,
    /// How hard that is beside what a hand gives.
    #[serde(default)]
    pub effort: Option<Effort>,
    /// Measured over computed force of a press of this film, by which all forces are multiplied.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured_factor: Option<f64>,
    /// The same in words: a ranking, until a press has been measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ranked: Option<Told<ForceNotice>>,
    /// The largest force is at most what a hand gives.
    pub within_hand: Option<bool>,
    /// Lowest temperature of the warmed film at which it is, degC, where it now is not;
    /// `None` also where no temperature of the class's table will do.
    pub enough_at_c: Option<f64>,
    /// Largest force at the temperature of the table that leaves the least, where even that
    /// is more than a hand gives: degC and N.
    pub least_at_c: Option<[f64; 2]>,
    /// Why there is no force, if there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_computed: Option<Told<ForceNotice>>,
    /// What follows for the hands.
    pub follows: Vec<Told<ForceNotice>>,
}

/// What the film pulls with, per mm of contact along the recess.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// At each stage, N/mm.
    pub stages: Vec<(Stage, f64)>,
    /// Largest on the way, N/mm, and the place, arc length on the bed, mm.
    pub largest: (f64, f64),
    /// Along the panel at the first press, N/mm, + to the right; `None` without a press.
    pub sideways: Option<f64>,
}

/// Most that is told as a pull, N/mm: what no film stands, and far from what `f64` holds.
const MOST_PULL: f64 = 1e100;

/// Finds what the film pulls with at each stage; `None` if the peak, or a pull, is not finite.
///
/// # Arguments
/// * `stages`: the stages of this lay-down.
/// * `conditions`: those it was laid under, with laws as stiff as the film is.
pub fn finger_force(
    laid: &Laydown,
    bed: &Bed<'_>,
    stages: &[(Stage, Moment)],
    conditions: &Conditions,
) -> Option<Pull> {
    if !laid.is_finite() {
        return None;
    }
    let hand = Hand {
        laid,
        bed,
        laws: laid.laws(bed, conditions),
        dabbed: conditions.laying == Laying::Dabbed,
    };
    let mut sideways = None;
    let mut largest = (0.0, laid.press());
    let mut at_stages = Vec::with_capacity(stages.len());
    for (stage, moment) in stages {
        let found = hand.at(moment);
        if let (Stage::Pressed, None, [Work::Press(a, b)]) = (stage, sideways, &moment.work[..]) {
            let pull = hand.press(moment, (*a, *b));
            sideways = Some(pull.dot(&hand.along((*a, *b))));
        }
        at_stages.push((*stage, found.0));
        largest = more(largest, found);
    }
    let largest = more(largest, hand.on_the_way());
    // A peak of 1e84, between plumb walls a metre deep, is finite and its pull is not.
    (largest.0 < MOST_PULL).then_some(Pull {
        stages: at_stages,
        largest,
        sideways,
    })
}

/// The larger force with its place; of equal ones the first.
fn more(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    if b.0 > a.0 { b } else { a }
}

/// One lay-down with the laws of its film.
struct Hand<'a> {
    laid: &'a Laydown,
    bed: &'a Bed<'a>,
    laws: Laws<'a>,
    dabbed: bool,
}

impl Hand<'_> {
    /// Tension of the laid film at a place, N/mm.
    fn tension(&self, s: f64) -> f64 {
        let (lambda, film) = (self.laid.lambda(s), self.laid.film(s));
        match (lambda, film) {
            (Some(lambda), Some(film)) => self.laws.tension(film, lambda),
            _ => 0.0,
        }
    }

    /// Direction of the panel just behind a front that goes to the right or left.
    fn forward(&self, s: f64, right: bool) -> Vector {
        let (points, lengths) = (self.bed.line().points(), self.bed.line().lengths());
        let last = points.len() - 1;
        if right {
            let i = lengths.partition_point(|&l| l < s).clamp(1, last);
            (points[i] - points[i - 1]).normalize()
        } else {
            let i = lengths.partition_point(|&l| l <= s).clamp(1, last);
            (points[i - 1] - points[i]).normalize()
        }
    }

    /// Tension of the free film at a front, and of the film laid there, N/mm. `stretch`:
    /// mean stretch of the free span.
    fn tensions(&self, s: f64, right: bool, angle: f64, stretch: f64) -> (f64, f64) {
        let inside = if right { s - INSIDE } else { s + INSIDE };
        let laid = self.tension(inside);
        if !self.dabbed {
            return (laid, laid);
        }
        let cosine = angle.cos();
        if cosine > LEAST_COSINE {
            return (laid / cosine, laid);
        }
        let film = self.laid.film(inside).unwrap_or(0.0);
        (self.laws.tension(film, stretch), laid.max(0.0))
    }

    /// Force at a front, N/mm; 0 where the free film bends over a convex corner.
    fn front(&self, s: f64, right: bool, free: Vector, stretch: f64) -> f64 {
        let free = free.normalize();
        // Rounding must not put the front past the vertex it has come to.
        let forward = self.forward(if right { s - INSIDE } else { s + INSIDE }, right);
        let turn = cross(forward, free).atan2(forward.dot(&free));
        let angle = if right { turn } else { -turn };
        if angle <= 0.0 {
            return 0.0;
        }
        let (ahead, behind) = self.tensions(s, right, angle, stretch);
        (free * ahead - forward * behind).norm()
    }

    /// The largest force of the tools at a moment, N/mm, and its place.
    fn at(&self, moment: &Moment) -> (f64, f64) {
        let mut most = (0.0, self.laid.press());
        for &work in &moment.work {
            let found = match work {
                Work::Press(a, b) => (self.press(moment, (a, b)).norm(), self.middle((a, b))),
                Work::Front(s, side) => (self.at_front(moment, s, side == Side::Right), s),
            };
            most = more(most, found);
        }
        most
    }

    /// The largest force between the stages, N/mm, and its place.
    fn on_the_way(&self) -> (f64, f64) {
        let (laid, mut most) = (self.laid, (0.0, self.laid.press()));
        let ((p0, p1), (left, right)) = (laid.pad(), laid.bonds());
        match laid.way() {
            Way::Along(_) => {}
            Way::Inwards => most = self.inwards(),
            Way::Outwards => {
                for (from, to) in [(p0, left), (p1, right)] {
                    most = more(most, self.outwards(from, to, to));
                }
            }
            Way::Steps => {
                // Steps too short to be a stage of their own, too.
                for moment in laid.after_steps(self.bed) {
                    most = more(most, self.at(&moment));
                }
                for stage in laid.stages() {
                    if let Act::Spread { span, from, to } = stage.act {
                        let gap = stage.before[span];
                        let far = if to > from { gap.b } else { gap.a };
                        most = more(most, self.outwards(from, to, far));
                    }
                }
            }
        }
        most
    }

    /// Force at a front of a moment, N/mm; nothing where no film is free before it.
    fn at_front(&self, moment: &Moment, s: f64, right: bool) -> f64 {
        // At a bond line the tape holds the film.
        let (left, right_bond) = self.laid.bonds();
        let beside = |gap: (f64, f64)| (if right { gap.0 } else { gap.1 } - s).abs() <= 0.0;
        let mut ahead = self.spans(moment).filter(|span| beside(span.2));
        let Some((path, stretch, _)) = ahead.next().filter(|_| s > left && s < right_bond) else {
            return 0.0;
        };
        match path {
            [first, second, ..] if right => self.front(s, right, second - first, stretch),
            [.., second, first] => self.front(s, right, second - first, stretch),
            _ => 0.0,
        }
    }

    /// The free spans of a moment: path, mean stretch, and the panel they are over.
    fn spans<'m>(
        &self,
        moment: &'m Moment,
    ) -> impl Iterator<Item = (&'m [Point], f64, (f64, f64))> {
        let (left, right) = self.laid.bonds();
        let mut gaps = Vec::new();
        let mut from = left;
        for &(a, b) in moment.down.iter().chain([&(right, right)]) {
            if a > from {
                gaps.push((from, a));
            }
            from = b;
        }
        let film = |s: f64| self.laid.film(s).unwrap_or(0.0);
        let one = |(span, gap): (&'m Span, (f64, f64))| {
            let held = film(gap.1) - film(gap.0);
            (&span.path[..], path_length(&span.path) / held, gap)
        };
        moment
            .free
            .iter()
            .zip(gaps)
            .map(one)
            .collect::<Vec<_>>()
            .into_iter()
    }

    /// The place that stands for a press: the bed's, if it is under this pad.
    fn middle(&self, (a, b): (f64, f64)) -> f64 {
        let press = self.laid.press();
        if (a..=b).contains(&press) {
            press
        } else {
            0.5 * (a + b)
        }
    }

    /// Direction of the panel under a pad, to the right; at a corner the middle one.
    fn along(&self, (a, b): (f64, f64)) -> Vector {
        if b > a {
            (self.bed.line().at(b) - self.bed.line().at(a)).normalize()
        } else {
            (self.forward(a, true) - self.forward(a, false)).normalize()
        }
    }

    /// Sum of both pulls at a press, N/mm.
    fn press(&self, moment: &Moment, (a, b): (f64, f64)) -> Vector {
        // Where film is down beside the tool, it pulls along the panel.
        let mut left = self.forward(a, false);
        let mut right = self.forward(b, true);
        let mut free = false;
        for (path, _, (from, to)) in self.spans(moment) {
            let n = path.len();
            if (to - a).abs() <= 0.0 {
                (left, free) = ((path[n - 2] - path[n - 1]).normalize(), true);
            } else if (from - b).abs() <= 0.0 {
                (right, free) = ((path[1] - path[0]).normalize(), true);
            }
        }
        // The last press without a pad lays nothing.
        if !free && b - a <= INSIDE {
            return Vector::zeros();
        }
        // Both spans and the pad start from one tension.
        let tension = if b > a {
            self.tension(self.middle((a, b)))
        } else {
            let forward = -self.forward(a, false);
            let turn = cross(forward, right).atan2(forward.dot(&right)).max(0.0);
            let laid = self.tension(a);
            let steep = self.dabbed && turn.cos() > LEAST_COSINE;
            if steep { laid / turn.cos() } else { laid }
        };
        (left + right) * tension
    }

    /// Largest force of a front as it comes to the vertices of its way from one place to
    /// another, the film ahead of it held at `far`. The corners of the free film form a
    /// stack, scanned from there.
    fn outwards(&self, from: f64, to: f64, far: f64) -> (f64, f64) {
        let mut most = (0.0, self.laid.press());
        if (far - from).abs() <= 0.0 {
            return most;
        }
        let right = far > from;
        let chain = self.bed.line().between(from, far);
        let n = chain.len();
        let sign = if right { 1.0 } else { -1.0 };
        let mut ahead = vec![n - 1];
        let mut s = far;
        for i in (1..n - 1).rev() {
            let p = chain[i];
            s -= sign * (chain[i + 1] - p).norm();
            while let [.., c, b] = ahead[..]
                && sign * cross(chain[b] - p, chain[c] - chain[b]) >= 0.0
            {
                ahead.pop();
            }
            let (free, forward) = (chain[ahead[ahead.len() - 1]] - p, p - chain[i - 1]);
            ahead.push(i);
            if sign * cross(forward, free) > 0.0 && sign * (s - to) <= 0.0 {
                most = more(most, (self.front(s, right, free, 1.0), s));
            }
        }
        most
    }

    /// Largest force of the two fronts of edge-first where either comes to a vertex or
    /// leaves it.
    fn inwards(&self) -> (f64, f64) {
        let mut most = (0.0, self.laid.press());
        for front in self.laid.closing_fronts(self.bed) {
            let laid = self.laws.tension(front.film, front.lambda);
            let c = front.cosine.clamp(-1.0, 1.0);
            let force = if self.dabbed {
                let sine = (1.0 - c * c).sqrt();
                if c > LEAST_COSINE {
                    laid * sine / c
                } else {
                    self.laws.tension(front.film, front.stretch) * sine
                }
            } else {
                laid * (2.0 * (1.0 - c)).sqrt()
            };
            most = more(most, (force, front.s));
        }
        most
    }
}
