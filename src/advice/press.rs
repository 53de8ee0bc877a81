//! Where to press a channel: the one place on its floor that needs the least bridge.
//!
//! Given a job pressed in the middle of the deepest zone; found, how far along the panel the
//! press is better moved, if that is worth a hand's while. A step is pressed at its foot.
//!
//! By the plain closed form (one temperature, nothing dragging), for a place `s` between
//! the feet, with [`SLIP`] off either way counted:
//!
//! ```text
//! f(s, reach) = how far the peak pressed at s is over the limit  (Limits::shortfall)
//! g(s, reach) = max(f(s - SLIP), f(s), f(s + SLIP))
//! 1. s     = the place of least g at the reach in hand: a grid anchored at the middle, so
//!            that it mirrors, both feet, and a golden section about the best of them
//! 2. reach = the least one that brings g(s, reach) down to 0; again from 1, until settled
//! ```
//!
//! The place found is then judged by the search that [`recommend`](crate::recommend) makes,
//! under the conditions of the job, and taken only where it saves a step of width against
//! the middle, both exactly pressed and with the slip. On an even recess it never does, so
//! the middle stays, to the last bit. The width at the place moves continuously with the
//! readings; whether it is taken is a tie at a saving of exactly one step.
//!
//! Some 200 plain lay-downs, each linear in the vertices, where the floor is 40 mm wide; on a
//! chain with fewer vertices ([`Bed::coarse`]) where there are many, since no place is wrong.

use super::assurance::SLIP;
use super::job::{Job, Limits};
use super::pressing::pressed;
use super::reach::{choose, out_of_reach};
use crate::geometry::bracketed;
use crate::laydown::{Bed, Order};
use crate::section::{Kind, Recess};
use serde::{Deserialize, Serialize};
use std::cell::Cell;

/// Least spacing of the grid of places, mm: peaks bend only at corners and within a pad.
const SPACING: f64 = 6.0;

/// Most places of the grid on either side of the middle.
const MOST_PLACES: f64 = 8.0;

/// Steps of the golden section: 12 mm narrowed to a quarter.
const GOLDEN_STEPS: usize = 8;

/// Rounds of place and reach: the second moves the width by less than a millimetre.
const ROUNDS: usize = 2;

/// Change of the reach that ends the rounds, mm.
const SETTLED: f64 = 0.5;

/// Accuracy of a reach, mm.
const REACH_TOLERANCE: f64 = 0.05;

/// Peaks that are alike, in the letters above.
const ALIKE: f64 = 1e-9;

/// Who says where a channel is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PressPlace {
    /// The recess as it is: its middle, or as far from it as the survey says.
    #[default]
    AsGiven,
    /// The best single press, sought for each film class.
    Sought,
}

/// The recess of a job pressed at the best single place; `None` where that is where it is
/// pressed already. A recess whose press was moved by its survey is left as it is.
///
/// # Arguments
/// * `job`: recess, film class, tool and conditions; the best place depends on all of them.
pub fn pressed_best(job: &Job<'_>) -> Option<Recess> {
    let recess = job.bed.recess();
    let given = recess.survey().press_offset != 0.0;
    if given || recess.kind() == Kind::Step || !job.film.recess || out_of_reach(job).is_some() {
        return None;
    }
    let coarse = job.bed.coarse();
    let job = &Job {
        bed: coarse.as_ref().unwrap_or(job.bed),
        ..*job
    };
    let search = Search::new(job)?;
    let from_middle = search.least(search.middle);
    let (place, reach) = search.settle(from_middle)?;
    let step = job.step.mm();
    let width = |reach: f64| job.bed.bridge_for_reach(reach, job.split);
    let slipped = from_middle.map_or(f64::INFINITY, width);
    if slipped - width(reach) < step {
        return None;
    }
    let other = pressed(job, place - search.middle)?;
    let bed = Bed::new(&other, job.tool.pad(), job.tool.tip_radius());
    let coarse = bed.coarse();
    let bed = coarse.as_ref().unwrap_or(&bed);
    let moved = Job { bed, ..*job };
    let least = |job: &Job<'_>| {
        let choice = choose(job).choice.filter(|c| c.order != Order::EdgeFirst);
        choice.map_or(f64::INFINITY, |c| width(c.reach))
    };
    let there = least(&moved);
    let saves = there.is_finite() && least(job) - there >= step;
    saves.then_some(other)
}

/// The search for the place; arc lengths on the bare panel, mm.
struct Search<'a> {
    job: &'a Job<'a>,
    limits: Limits,
    middle: f64,
    feet: (f64, f64),
    laid: Cell<usize>,
}

impl<'a> Search<'a> {
    /// `None` where there is no floor to move on, or no reach to save.
    fn new(job: &'a Job<'a>) -> Option<Self> {
        let recess = job.bed.recess();
        let (Some(left), Some(right)) = recess.feet() else {
            return None;
        };
        let middle = recess.press();
        let search = Self {
            job,
            limits: Limits::of(job.film),
            middle,
            feet: (left.min(middle), right.max(middle)),
            laid: Cell::new(0),
        };
        let floor = search.feet.1 - search.feet.0;
        let most = job.bed.most_reach(job.split);
        (floor > SLIP && most > 0.0 && search.over(middle, 0.0) > 0.0).then_some(search)
    }

    /// f: how far over the limit, pressed at `s`.
    fn over(&self, s: f64, reach: f64) -> f64 {
        self.laid.set(self.laid.get() + 1);
        let bed = self.job.bed;
        let bonds = bed.bonds_for_reach(reach, self.job.split);
        let (left, right) = (bed.locate(bonds.left), bed.locate(bonds.right));
        let press = bed.locate(s).clamp(left, right);
        let peaks = bed.peaks_pressed_at(press, left, right);
        self.limits.shortfall(peaks)
    }

    /// g: the same with a slip either way.
    fn at_worst(&self, s: f64, reach: f64) -> f64 {
        [s - SLIP, s, s + SLIP]
            .into_iter()
            .map(|s| self.over(s, reach))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The least reach from a place, the slip counted; `None` if none does.
    fn least(&self, s: f64) -> Option<f64> {
        let most = self.job.bed.most_reach(self.job.split);
        let g = |reach: f64| self.at_worst(s, reach);
        let (none, all) = (g(0.0), g(most));
        if none <= 0.0 {
            return Some(0.0);
        }
        if all > 0.0 {
            return None;
        }
        bracketed(g, (0.0, none), (most, all), REACH_TOLERANCE)
    }

    /// Place and least reach; `None` where no place does better than the middle.
    fn settle(&self, from_middle: Option<f64>) -> Option<(f64, f64)> {
        let most = self.job.bed.most_reach(self.job.split);
        let mut reach = from_middle.unwrap_or(most);
        let mut found = None;
        for _ in 0..ROUNDS {
            let place = self.best_place(reach);
            let Some(next) = self.least(place) else {
                break;
            };
            let gain = found.map_or(most, |f: (f64, f64)| f.1) - next;
            if gain > 0.0 {
                found = Some((place, next));
            }
            if gain <= SETTLED || next <= 0.0 {
                break;
            }
            reach = next;
        }
        found
    }

    /// The place of least g at one reach; of places alike the one nearest the middle.
    fn best_place(&self, reach: f64) -> f64 {
        let (low, high) = self.feet;
        let wide = (high - self.middle).max(self.middle - low);
        let spacing = SPACING.max(wide / MOST_PLACES);
        let mut places = vec![low, high, self.middle];
        let mut away = spacing;
        while away < wide {
            places.extend([self.middle - away, self.middle + away]);
            away += spacing;
        }
        let mut best = (self.middle, f64::INFINITY);
        for s in places.into_iter().filter(|s| (low..=high).contains(s)) {
            best = self.better(best, (s, self.at_worst(s, reach)));
        }
        self.refine(best, spacing, reach)
    }

    /// A golden section about a place.
    fn refine(&self, mut best: (f64, f64), spacing: f64, reach: f64) -> f64 {
        const PART: f64 = 0.618_033_988_749_895;
        let mut a = (best.0 - spacing).max(self.feet.0);
        let mut b = (best.0 + spacing).min(self.feet.1);
        let try_at = |s: f64| (s, self.at_worst(s, reach));
        let mut left = try_at(b - PART * (b - a));
        let mut right = try_at(a + PART * (b - a));
        for _ in 0..GOLDEN_STEPS {
            best = self.better(self.better(best, left), right);
            if (self.better(left, right).0 - left.0).abs() <= 0.0 {
                b = right.0;
                right = left;
                left = try_at(b - PART * (b - a));
            } else {
                a = left.0;
                left = right;
                right = try_at(a + PART * (b - a));
            }
        }
        self.better(self.better(best, left), right).0
    }

    /// The better of two places.
    fn better(&self, a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
        let alike = (a.1 - b.1).abs() <= ALIKE;
        let nearer = (b.0 - self.middle).abs() < (a.0 - self.middle).abs();
        if (alike && nearer) || (!alike && b.1 < a.1) {
            b
        } else {
            a
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Search;
    use crate::advice::Job;
    use crate::film::{film_named, tool_named};
    use crate::laydown::Bed;
    use crate::section::{Recess, Survey, Units, read_shape};

    #[test]
    fn a_search_lays_film_some_two_hundred_times_and_finds_the_best_place() {
        let shape =
            "channel:mouth=70,depth=18,left-wall=85,right-wall=35,lip-radius=2.5,foot-radius=3";
        let section = read_shape(shape, Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let bed = Bed::new(&recess, 10.0, 6.0);
        let film = film_named("wrap-cast").unwrap();
        let tool = tool_named("fingertip").unwrap();
        let job = Job::new(&bed, &film, &tool);
        let search = Search::new(&job).unwrap();
        let (place, reach) = search.settle(search.least(search.middle)).unwrap();
        assert!(search.laid.get() <= 200, "{} lay-downs", search.laid.get());
        // No place a millimetre apart does better by more than the golden section is good to.
        let (low, high) = search.feet;
        let mut s = low;
        while s <= high {
            let other = search.least(s).unwrap_or(f64::INFINITY);
            assert!(other >= reach - 1.0, "{other} at {s}, {reach} at {place}");
            s += 1.0;
        }
    }
}
