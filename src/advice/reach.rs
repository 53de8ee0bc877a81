//! The search for the reach that keeps the film within its limit, for the section as read.
//!
//! Widths are those of deepest-first. With one valley between level straight flats the
//! peak falls as the reach grows (with friction: if it has no bump; with warm zones it is not
//! taken for granted), and the least reach is one bracketed root. Otherwise it need not fall:
//! every 5 mm of reach is tried, the ends of the feasible intervals are refined by a root, and
//! the answer is the smallest width of the interval that goes on to the widest bridge. An
//! interval narrower than the 5 mm of the scan can be missed. Where drag holds the film beyond,
//! the scan stops ([`super::settled`]).
//!
//! A long scan of a panel is searched on a chain with fewer vertices ([`Bed::coarse`]); the
//! ends of the intervals found there are found again on the panel itself, and a width is
//! named for what is laid on that.

use super::answer::Notice;
use super::job::{Job, Limits};
use super::scan::{Scan, WIDTH_TOLERANCE, feasible};
use super::settled::settled_from;
use super::tape_step::WIDTH_STEP;
use crate::geometry::bracketed;
use crate::laydown::{Bed, LayError, Order, Split, Warm};
use crate::section::Kind;
use std::cell::Cell;

/// Turn of the panel that is none, rad.
const STRAIGHT: f64 = 1e-9;

/// A width with the order that takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    pub(super) order: Order,
    /// Total reach, mm, and the reach at the width rounded up.
    pub(super) reach: f64,
    pub(super) rounded: f64,
}

impl Choice {
    pub(super) fn new(order: Order, (reach, rounded): (f64, f64)) -> Self {
        Self {
            order,
            reach,
            rounded,
        }
    }
}

/// How near an end of an interval on a coarse chain is to that on the panel, mm: at first,
/// and at most.
const NEAR: (f64, f64) = (1e-3, WIDTH_STEP);

/// Intervals found on a coarse chain, their ends found again; `None` where one is not near.
fn again(excess: impl Fn(f64) -> f64, most: f64, coarse: &[(f64, f64)]) -> Option<Vec<(f64, f64)>> {
    let end = |at: f64, limit: f64, inwards: f64| {
        if (at - limit).abs() <= 0.0 && excess(at) <= 0.0 {
            return Some(at);
        }
        let mut near = NEAR.0;
        while near <= NEAR.1 {
            let [out, inside] = [-near, near].map(|off| (at + inwards * off).clamp(0.0, most));
            let (a, b) = ((out, excess(out)), (inside, excess(inside)));
            if a.1 > 0.0 && b.1 <= 0.0 {
                return bracketed(&excess, a, b, WIDTH_TOLERANCE);
            }
            near *= 17.0;
        }
        None
    };
    let both = |&(from, to): &(f64, f64)| Some((end(from, 0.0, 1.0)?, end(to, most, -1.0)?));
    coarse.iter().map(both).collect()
}

/// Intervals of total reach, mm, in which an order is within the limits. A width whose
/// lay-down does not converge is taken as over them, and said in `unsolved`.
pub(super) fn feasible_reaches(
    job: &Job<'_>,
    limits: Limits,
    order: Order,
    unsolved: &mut Vec<Notice>,
) -> Vec<(f64, f64)> {
    reaches(job, limits, order, Scan::Even, unsolved)
}

/// The same with a scan of one's choice.
fn reaches(
    job: &Job<'_>,
    limits: Limits,
    order: Order,
    scan: Scan,
    unsolved: &mut Vec<Notice>,
) -> Vec<(f64, f64)> {
    if let Some(bed) = job.bed.coarse() {
        let most = job.bed.most_reach(job.split);
        let coarse = Job { bed: &bed, ..*job };
        let found = scanned(&coarse, limits, order, scan, unsolved);
        let excess = |reach: f64| over(job, limits, order, reach).unwrap_or(f64::INFINITY);
        if let Some(found) = again(excess, most, &found) {
            return found;
        }
    }
    scanned(job, limits, order, scan, unsolved)
}

/// How far over the limits an order is at a reach.
fn over(job: &Job<'_>, limits: Limits, order: Order, reach: f64) -> Result<f64, LayError> {
    let peaks = job.peaks(job.bonds_for(reach, order), order)?;
    Ok(limits.shortfall(peaks))
}

/// The same by a scan on the bed as it is.
fn scanned(
    job: &Job<'_>,
    limits: Limits,
    order: Order,
    scan: Scan,
    unsolved: &mut Vec<Notice>,
) -> Vec<(f64, f64)> {
    let most = job.bed.most_reach(job.split);
    let failed = Cell::new(0_usize);
    let excess = |reach: f64| {
        over(job, limits, order, reach).unwrap_or_else(|_| {
            failed.set(failed.get() + 1);
            f64::INFINITY
        })
    };
    let falls_from = match falls_from(job) {
        Some(reach) if order == Order::DeepestFirst => reach,
        _ if order == Order::DeepestFirst => settled_from(job).unwrap_or(f64::INFINITY),
        _ => f64::INFINITY,
    };
    let intervals = feasible(excess, most, falls_from, scan);
    if failed.get() > 0 {
        unsolved.push(Notice::Unsolved {
            order: order.named(),
            count: failed.get(),
        });
    }
    intervals
}

/// The total reach, mm, from which on more of it never raises the deepest-first peak; `None`
/// where that is not known.
pub(super) fn falls_from(job: &Job<'_>) -> Option<f64> {
    let reach = job.bed.recess().level_from()?;
    // Both sides must be out on their flats.
    (job.split == Split::Even && falls_with_reach(job)).then_some(2.0 * reach)
}

/// Does more reach on level flats never raise the deepest-first peak? So it is for even
/// film with nothing dragging (no exception in thousands of random sections). With
/// friction it is so for a valley without a bump. Where zones are warmed it is not: film
/// beyond the lips is stiffer or softer than what it is added to.
fn falls_with_reach(job: &Job<'_>) -> bool {
    let Some(handling) = job.handling.filter(|h| !h.conditions.is_plain()) else {
        return true;
    };
    matches!(handling.conditions.warm, Warm::Whole) && is_bowl(job.bed)
}

/// From the press outwards, does the panel turn up first and over a lip then, once?
fn is_bowl(bed: &Bed<'_>) -> bool {
    let (left, right) = bed.lips();
    [left, right].into_iter().all(|lip| {
        let chain = bed.line().between(bed.press(), lip);
        let up = if lip > bed.press() { 1.0 } else { -1.0 };
        let turns = chain.windows(3).map(|w| {
            let (a, b) = (w[1] - w[0], w[2] - w[1]);
            up * (a.x * b.y - a.y * b.x) / (a.norm() * b.norm())
        });
        let mut over = false;
        turns.filter(|t| t.abs() > STRAIGHT).all(|turn| {
            over |= turn < 0.0;
            !(over && turn > 0.0)
        })
    })
}

/// The least usable reach of a list of intervals, with its rounding.
///
/// Each width is laid before it is named: between the stations of a scan the peak may rise.
pub(super) fn least_reach(
    job: &Job<'_>,
    order: Order,
    intervals: &[(f64, f64)],
) -> Option<(f64, f64)> {
    let most = job.bed.most_reach(job.split);
    let &(mut from, to) = intervals.last()?;
    if job.bed.recess().kind() == Kind::Step {
        // Wider must be safe too, so that a stricter limit never gets a narrower bridge; and
        // with no reach nothing is bridged.
        from = from.max(job.step.mm());
        if to < most || from > most {
            return None;
        }
    }
    let width = |reach: f64| job.bed.bridge_for_reach(reach, job.split);
    let within = |reach: f64| job.keeps_limits(job.bonds_for(reach, order), order);
    let mut nominal = job.step.up(width(from));
    while nominal <= width(to) {
        let bonds = job.bed.bonds_for_bridge(nominal, job.split).ok()?;
        let (left, right) = bonds.reach(job.bed.recess());
        if from <= 0.0 || within(left + right) {
            return Some((from, left + right));
        }
        nominal += job.step.mm();
    }
    // The widest bridge itself is a width a tape can be laid to.
    (to >= most).then_some((from, most))
}

/// Part of the depth that the tool may leave out of reach before no width is named: film
/// that bridges half the recess is not laid in it.
const MOST_OUT_OF_REACH: f64 = 0.5;

/// The gap under the film if the tool's tip cannot get into the recess, mm.
pub(crate) fn out_of_reach(job: &Job<'_>) -> Option<f64> {
    let (left, right) = job.bed.lips();
    let gap = job.bed.out_of_reach(left, right).gap;
    (gap > MOST_OUT_OF_REACH * job.bed.recess().depth()).then_some(gap)
}

/// Why the tool cannot get in, if so.
pub(super) fn cannot_get_in(job: &Job<'_>, in_no_way: bool) -> Option<Notice> {
    out_of_reach(job).map(|gap_mm| Notice::ToolCannotGetIn {
        tool: job.tool.name.clone(),
        gap_mm,
        depth_mm: job.bed.recess().depth(),
        in_no_way,
    })
}

/// What the search found.
pub(super) struct Found {
    /// Intervals of total reach within the limits, deepest-first, mm.
    pub(super) intervals: Vec<(f64, f64)>,
    pub(super) choice: Option<Choice>,
    /// What could not be solved.
    pub(super) unsolved: Vec<Notice>,
    /// A width that does on paper and that nobody would lay, mm: see [`MOST_MOUTHS`].
    pub(super) impractical: Option<f64>,
}

/// Most mouths that a bridge warmed in the mouth alone is worth. Lower: bridges that are
/// laid are refused; higher: cold film beyond the lips, which hardly gives, is freed by the
/// half metre. Invented.
pub(super) const MOST_MOUTHS: f64 = 3.0;

/// The bridge of a channel warmed in the mouth alone that asks for more than three mouths, mm.
pub(super) fn impractical(job: &Job<'_>, choice: Choice) -> Option<f64> {
    let mouth_only = job
        .handling
        .is_some_and(|h| matches!(h.conditions.warm, Warm::Mouth(_)));
    let width = job.bed.bridge_for_reach(choice.rounded, job.split);
    let channel = job.bed.recess().kind() == Kind::Channel;
    (mouth_only && channel && width > MOST_MOUTHS * job.bed.recess().mouth()).then_some(width)
}

/// Deepest-first intervals and the choice they and the other orders lead to.
pub(super) fn choose(job: &Job<'_>) -> Found {
    choose_by(job, Scan::Even)
}

/// The same with a scan of one's choice.
#[inline(never)]
pub(super) fn choose_by(job: &Job<'_>, scan: Scan) -> Found {
    let limits = Limits::of(job.film);
    let mut unsolved = Vec::new();
    let intervals = reaches(job, limits, Order::DeepestFirst, scan, &mut unsolved);
    let can = job.film.recess && out_of_reach(job).is_none();
    let choice = can.then(|| choice(job, limits, &intervals, &mut unsolved));
    let choice = choice.flatten();
    let impractical = choice.and_then(|c| impractical(job, c));
    let choice = choice.filter(|_| impractical.is_none());
    Found {
        impractical,
        intervals,
        choice,
        unsolved,
    }
}

/// Which order at which width, if any.
fn choice(
    job: &Job<'_>,
    limits: Limits,
    intervals: &[(f64, f64)],
    unsolved: &mut Vec<Notice>,
) -> Option<Choice> {
    let at_lips = Choice::new(Order::MiddlePush, (0.0, 0.0));
    let channel = job.bed.recess().kind() == Kind::Channel;
    let push_ok = channel && intervals.first().is_some_and(|i| i.0 <= 0.0);
    if push_ok && job.film.air_channels == Some(false) {
        return Some(at_lips);
    }
    let deepest = least_reach(job, Order::DeepestFirst, intervals).map(|least| match least {
        (reach, _) if channel && reach <= 0.0 => at_lips,
        least => Choice::new(Order::DeepestFirst, least),
    });
    // Edges first is a remark, and an answer only where a channel has no other.
    deepest.or_else(|| {
        let edge = channel.then(|| edge_first(job, limits, unsolved));
        edge.flatten()
    })
}

/// Edge-first within the limits at its least reach, if at all.
pub(super) fn edge_first(
    job: &Job<'_>,
    limits: Limits,
    unsolved: &mut Vec<Notice>,
) -> Option<Choice> {
    let order = Order::EdgeFirst;
    if job.bed.recess().kind() == Kind::Channel {
        // Flats are laid without strain: reach changes nothing.
        let peaks = job.peaks(job.bonds_for(0.0, order), order).ok()?;
        return (limits.excess(peaks) <= 0.0).then(|| Choice::new(order, (0.0, 0.0)));
    }
    let intervals = feasible_reaches(job, limits, order, unsolved);
    let least = least_reach(job, order, &intervals)?;
    // At the foot itself a step is laid as a middle push.
    (least.0 > 0.0).then(|| Choice::new(order, least))
}

#[cfg(test)]
mod tests {
    use super::again;
    use approx::assert_abs_diff_eq;

    /// Reference: the ends are 35 less and more than 15.2 by construction; they are looked for
    /// up to a step of the tape, 5 mm, away.
    #[test]
    fn ends_found_on_a_coarse_chain_are_found_again_up_to_a_step_away() {
        let excess = |reach: f64| (reach - 35.0).abs() - 15.2;
        for off in [0.0, 0.01, 0.2, 4.0] {
            let found = again(excess, 100.0, &[(19.8 - off, 50.2 + off)]).unwrap();
            assert_abs_diff_eq!(found[0].0, 19.8, epsilon = 1e-6);
            assert_abs_diff_eq!(found[0].1, 50.2, epsilon = 1e-6);
        }
        assert_eq!(again(excess, 100.0, &[(14.0, 56.0)]), None);
        // An end of the panel is itself.
        let all = [(0.0, 100.0)];
        assert_eq!(again(|_| 0.0, 100.0, &all).as_deref(), Some(&all[..]));
    }
}
