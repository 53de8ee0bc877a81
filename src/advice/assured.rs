//! The assured width: the one at which the limit is kept in 95 % of the shapes that fit the
//! readings, pressed and taped as a hand does.
//!
//! Given a job, the width found for the section as read, and how far readings and hand err.
//! Each draw ([`super::draws`]) is a section of its own, its recess found anew and pressed
//! where the instruction says (the middle of *its* deepest part, or so far from *its* foot),
//! a little beside it, and bonded as far beyond *its* lips as the tapes say, a little off.
//!
//! ```text
//! holds(draw, reach) = the peak of the draw at that reach is within the limits
//! share(reach)       = draws that hold / draws
//! assured            = the least width on the tape, from the nominal one on, whose share
//!                      is the one asked for, and at which the section as read holds
//! ```
//!
//! One lay-down answers for one draw at one width, so a width is tried on all draws at once
//! and no draw has a search of its own. Where more reach never raises the peak the widths are
//! doubled and halved, and a draw that held at a width is not tried at a wider one. Else each
//! step of the tape is tried on all draws (where film is marched, doubled and halved).
//!
//! Of 200 draws a share of 95 % is known to 3 points (95 %); with friction, drag or warm zones
//! a lay-down takes a thousand times as long and there are fewer, which the answer says.

use super::answer::WidthRange;
use super::assurance::Assurance;
use super::costs::{narrows_most, per_mm};
use super::draws::{Corner, Draw, HALF_WIDTH, Outline, corners, same_recess};
use super::job::Job;
use super::pressing::press_in;
use super::reach::{Choice, Found, falls_from};
use super::settled::settled_from;
use crate::laydown::{Bed, Bonds, Order};
use crate::section::{Kind, Recess};
use std::cell::RefCell;

/// A width that was looked for in all the shapes that fit.
pub(super) struct Assured {
    /// The width; of none, the one with the highest share.
    pub(super) choice: Choice,
    /// Is the share asked for reached?
    pub(super) reached: bool,
    pub(super) range: WidthRange,
}

/// Pairs of draws where the peak is a closed form, and where film is marched. More: slower by
/// as much; fewer: the share is known less well, see [`WidthRange::doubt_pct`].
const PAIRS: (usize, usize) = (100, 30);

/// Accuracy of the unrounded widths, mm.
const ACCURACY: f64 = 0.1;

impl Assurance {
    /// The 95 % half width of the corners of a recess, mm.
    fn half_width(&self, recess: &Recess) -> f64 {
        let fitted = recess.section().reading().filter(|r| r.fitted);
        let noise = fitted.map_or(0.0, |r| HALF_WIDTH * r.noise_mm);
        self.tolerance.max(noise)
    }

    /// Is there nothing that could be off?
    fn is_exact(&self, recess: &Recess) -> bool {
        let all = [self.half_width(recess), self.press_off, self.tapes_off];
        all.iter().all(|off| *off <= 0.0)
    }
}

/// Looks for the assured width; `None` where nothing is to be assured.
#[inline(never)]
pub(super) fn assure(job: &Job<'_>, found: &Found) -> Option<Assured> {
    let (assurance, choice) = (job.assurance?, found.choice?);
    let recess = job.bed.recess();
    let width = |reach: f64| job.bed.bridge_for_reach(reach, job.split);
    let costs = per_mm(job, choice, &assurance, assurance.half_width(recess));
    let mut range = WidthRange {
        nominal_mm: width(choice.reach),
        from_mm: width(choice.reach),
        to_mm: Some(width(choice.reach)),
        share_pct: 100.0,
        asked_pct: 100.0 * assurance.share,
        draws: 0,
        doubt_pct: 0.0,
        tolerance_mm: assurance.half_width(recess),
        press_off_mm: assurance.press_off,
        tapes_off_mm: assurance.tapes_off,
        narrow_by: narrows_most(&costs, job, assurance.half_width(recess)),
        per_mm: costs,
    };
    if assurance.is_exact(recess) {
        return Some(Assured {
            choice,
            reached: true,
            range,
        });
    }
    let shapes = Shapes::of(job, &assurance);
    let trial = shapes.trial(job, choice.order);
    let need = assurance.share;
    let (best, share, before) = trial.least(choice, need);
    let reached = share >= need;
    range.share_pct = 100.0 * share;
    range.draws = shapes.draws.len();
    range.doubt_pct = 100.0 * HALF_WIDTH * (need * (1.0 - need) / range.draws as f64).sqrt();
    range.to_mm = reached.then(|| {
        let to = trial.edge(need, (before, best.rounded));
        width(to.max(choice.reach))
    });
    let at_most = range.to_mm.unwrap_or(f64::INFINITY);
    let from = trial.edge(1.0 - need, (None, best.rounded));
    range.from_mm = width(from).min(at_most);
    Some(Assured {
        choice: best,
        reached,
        range,
    })
}

/// In which share of the shapes that fit a lay-down keeps the limit, percent; `None` where
/// nothing is to be assured.
///
/// # Arguments
/// * `bonds`, `order`: the lay-down, as for [`Job::check`].
pub fn held_pct(job: &Job<'_>, bonds: Bonds, order: Order) -> Option<f64> {
    let assurance = job.assurance?;
    if assurance.half_width(job.bed.recess()) <= 0.0 {
        return None;
    }
    let shapes = Shapes::of(job, &assurance);
    let trial = shapes.trial(job, order);
    let reach = bonds.reach(job.bed.recess());
    let count = trial.beds.len();
    let held = (0..count).filter(|&i| trial.keeps(i, reach)).count();
    Some(100.0 * held as f64 / count as f64)
}

/// The shapes that fit, and the slips that go with each.
struct Shapes {
    /// One a draw; `None`: no such recess in it.
    recesses: Vec<Option<Recess>>,
    draws: Vec<Draw>,
    assurance: Assurance,
    /// Are all the shapes the one that was read?
    itself: bool,
}

impl Shapes {
    fn of(job: &Job<'_>, assurance: &Assurance) -> Self {
        let recess = job.bed.recess();
        let half = assurance.half_width(recess);
        let corners = corners(recess, half);
        let pairs = if job.is_plain() { PAIRS.0 } else { PAIRS.1 };
        let draws = Draw::pairs(corners.len(), pairs);
        let recesses = (half > 0.0).then(|| drawn(recess, &corners, &draws, half));
        Self {
            recesses: recesses.unwrap_or_default(),
            draws,
            assurance: *assurance,
            itself: half <= 0.0,
        }
    }

    /// The draws laid with a job's tool, pressed as its instruction says.
    fn trial<'a>(&'a self, job: &'a Job<'a>, order: Order) -> Trial<'a> {
        let pressed = |bed: Bed<'a>, draw: &Draw| {
            let at = press_in(job.bed, bed.recess());
            bed.pressed_at(at + self.assurance.press_off * draw.press)
        };
        let (pad, tip) = (job.tool.pad(), job.tool.tip_radius());
        let beds = if self.itself {
            let bed = job.bed.coarse().unwrap_or_else(|| job.bed.clone());
            let beds = self.draws.iter().map(|d| Some(pressed(bed.clone(), d)));
            beds.collect()
        } else {
            let all = self.recesses.iter().zip(&self.draws);
            let laid = |r: &'a Recess, d: &Draw| pressed(Bed::new(r, pad, tip), d);
            all.map(|(r, d)| r.as_ref().map(|r| laid(r, d))).collect()
        };
        let off = self.assurance.tapes_off;
        let tapes = self
            .draws
            .iter()
            .map(|d| (off * d.tapes.0, off * d.tapes.1));
        // A middle push is deepest-first bonded at the lips.
        let order = match order {
            Order::MiddlePush => Order::DeepestFirst,
            other => other,
        };
        Trial {
            job,
            order,
            falls: falls_from(job).is_some(),
            known: RefCell::new(vec![(-1.0, f64::INFINITY); self.draws.len()]),
            tapes: tapes.collect(),
            beds,
        }
    }
}

/// The recess of each draw.
fn drawn(recess: &Recess, corners: &[Corner], draws: &[Draw], half: f64) -> Vec<Option<Recess>> {
    let outline = Outline::of(recess, corners, half);
    let one = |draw: &Draw| {
        let by: Vec<_> = draw.corners.iter().map(|c| c * half).collect();
        same_recess(recess, &outline.moved(corners, &by))
    };
    draws.iter().map(one).collect()
}

/// Draws ready to be laid.
struct Trial<'a> {
    job: &'a Job<'a>,
    order: Order,
    /// Does more reach never raise the peak?
    falls: bool,
    beds: Vec<Option<Bed<'a>>>,
    /// How far each tape is off, away from the recess, mm.
    tapes: Vec<(f64, f64)>,
    /// Of each draw the most reach that did not do and the least that did, mm.
    known: RefCell<Vec<(f64, f64)>>,
}

impl Trial<'_> {
    /// Is a draw within the limits with so much reach on each side?
    fn keeps(&self, i: usize, (left, right): (f64, f64)) -> bool {
        let Some(bed) = &self.beds[i] else {
            return false;
        };
        let recess = bed.recess();
        let (most, tapes) = (recess.reach_limit(), self.tapes[i]);
        let (left, right) = ((left + tapes.0).min(most.0), (right + tapes.1).min(most.1));
        let bonds = Bonds::with_reach(recess, left, right);
        let (from, to) = (bed.locate(bonds.left), bed.locate(bonds.right));
        if !(from..=to).contains(&bed.press()) {
            return false;
        }
        Job { bed, ..*self.job }.keeps_limits(bonds, self.order)
    }

    /// The same for a total reach; `about`: what other reaches said of it is believed.
    fn holds(&self, i: usize, reach: f64, about: bool) -> bool {
        let (fails, does) = self.known.borrow()[i];
        if about && (reach <= fails || reach >= does) {
            return reach >= does;
        }
        let held = self.keeps(i, self.job.bed.share(reach, self.job.split));
        let known = &mut self.known.borrow_mut()[i];
        if held {
            known.1 = known.1.min(reach);
        } else {
            known.0 = known.0.max(reach);
        }
        held
    }

    /// Share of the draws that hold at a total reach.
    fn share(&self, reach: f64, about: bool) -> f64 {
        let count = self.beds.len();
        let held = (0..count).filter(|&i| self.holds(i, reach, about)).count();
        held as f64 / count as f64
    }

    /// Does the section as read hold at a total reach?
    fn nominal(&self, choice: Choice, reach: f64) -> bool {
        let bonds = self.job.bonds_for(reach, self.order);
        (reach - choice.rounded).abs() <= 0.0 || self.job.keeps_limits(bonds, self.order)
    }

    /// The least width on the tape whose share is reached, its share, and the reach before it
    /// that was not enough; of none the widest of those with the highest share.
    fn least(&self, choice: Choice, need: f64) -> (Choice, f64, Option<f64>) {
        let widths = self.widths(choice);
        let at = |k: usize| {
            let reach = widths[k];
            if self.nominal(choice, reach) {
                self.share(reach, self.falls && k > 0)
            } else {
                0.0
            }
        };
        let last = widths.len() - 1;
        let (mut best, mut before) = ((0, at(0)), None);
        let (mut k, mut stride) = (0, 1);
        while best.1 < need && k < last {
            before = Some(k);
            k = (k + stride).min(last);
            if self.falls || !self.job.is_plain() {
                stride *= 2;
            }
            let share = at(k);
            if share >= best.1 {
                best = (k, share);
            }
        }
        // Back to the first of those that were passed over.
        while let Some(low) = before.filter(|low| best.1 >= need && best.0 - low > 1) {
            let middle = usize::midpoint(low, best.0);
            let share = at(middle);
            if share >= need {
                best = (middle, share);
            } else {
                before = Some(middle);
            }
        }
        let reach = widths[best.0];
        let order = match choice.order {
            Order::MiddlePush if reach > 0.0 => Order::DeepestFirst,
            other => other,
        };
        let least = if best.0 == 0 { choice.reach } else { reach };
        (
            Choice::new(order, (least, reach)),
            best.1,
            before.map(|k| widths[k]),
        )
    }

    /// Total reaches of the widths a tape shows, from the nominal one on, mm.
    fn widths(&self, choice: Choice) -> Vec<f64> {
        let job = self.job;
        let mut all = vec![choice.rounded];
        // Edges first, the flats are laid without strain: reach changes nothing.
        if self.order == Order::EdgeFirst && job.bed.recess().kind() == Kind::Channel {
            return all;
        }
        let most = job.bed.most_reach(job.split);
        let settled = settled_from(job).unwrap_or(most).min(most);
        let width = |reach: f64| job.bed.bridge_for_reach(reach, job.split);
        let widest = width(most);
        let mut next = job.step.up(width(choice.rounded) + 1e-6);
        while next <= widest && all[all.len() - 1] <= settled {
            let Ok(bonds) = job.bed.bonds_for_bridge(next, job.split) else {
                break;
            };
            let (left, right) = bonds.reach(job.bed.recess());
            if left + right > all[all.len() - 1] {
                all.push(left + right);
            }
            next += job.step.mm();
        }
        if all[all.len() - 1] < most.min(settled) {
            all.push(most);
        }
        all
    }

    /// The least reach at which a share holds, below one where it does, to 0.1 mm.
    fn edge(&self, need: f64, (low, high): (Option<f64>, f64)) -> f64 {
        let (mut low, mut high) = (low.unwrap_or(0.0), high);
        if self.share(low, true) >= need {
            return low;
        }
        while high - low > ACCURACY {
            let middle = 0.5 * (low + high);
            if self.share(middle, true) >= need {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }
}
