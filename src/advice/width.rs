//! The main job: the bridge width that keeps the film within its limit.
//!
//! Widths are those of deepest-first. With one valley between level straight flats the
//! peak falls as the reach grows (with friction: if it has no bump; with warm zones it is not taken for granted), and
//! the least reach is one bracketed root. Otherwise it
//! need not fall: every 5 mm of reach is tried, the ends of the feasible intervals are
//! refined by a root, and the answer is the smallest width of the interval that goes on
//! to the widest bridge. An interval narrower than the 5 mm of the scan can be missed. Where
//! drag holds the film beyond, the scan stops ([`super::settled`]).
//!
//! A long scan of a panel is searched on a chain with fewer vertices ([`Bed::coarse`]); the
//! ends of the intervals found there are found again on the panel itself, and a width is
//! named for what is laid on that.
//!
//! All of it is from the press of the job: [`pressed_best`](super::pressed_best) moves it.

use super::alternatives::{far_side_loose, instead_of, no_width};
use super::answer::{
    Alternative, Cause, Check, DecidedBy, LaidThrough, Notice, PROGRAM, PressReport,
    Recommendation, Recommended, SCHEMA, WarmAdvice, Warmed, WarmthRow,
};
use super::assured::{self, Assured, assure};
use super::bay::{AMBIENT, WarmZone};
use super::handling::Handling;
use super::job::{Job, Limits, told};
use super::press::{press_report, pressed};
use super::scatter::scattered;
use super::settled::settled_from;
use super::tape_step::WIDTH_STEP;
use crate::film::FilmClass;
use crate::geometry::bracketed;
use crate::laydown::{Bed, LayError, Order, Split, Warm};
use crate::section::Kind;
use crate::told::{Told, add_new};
use std::cell::Cell;

/// Accuracy of the unrounded width, mm.
const WIDTH_TOLERANCE: f64 = 1e-7;

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

/// How closely reaches are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scan {
    /// Every 5 mm.
    Even,
    /// Every 5 mm, where they are long at fiftieths: to find out whether any does.
    Widening,
}

impl Scan {
    /// The step after a reach, mm.
    fn step(self, reach: f64) -> f64 {
        match self {
            Self::Even => WIDTH_STEP,
            Self::Widening => WIDTH_STEP.max(0.02 * reach),
        }
    }
}

/// Intervals of total reach within the limits, mm. From the reach `falls_from` on more reach
/// never raises the peak; before it every step is tried.
pub(super) fn feasible(
    excess: impl Fn(f64) -> f64,
    most: f64,
    falls_from: f64,
    scan: Scan,
) -> Vec<(f64, f64)> {
    let mut stations = vec![(0.0, excess(0.0))];
    let mut reach = WIDTH_STEP;
    while reach < most.min(falls_from + WIDTH_STEP) {
        if falls_from > 0.0 {
            stations.push((reach, excess(reach)));
        }
        reach += scan.step(reach);
    }
    if most > 0.0 {
        stations.push((most, excess(most)));
    }
    let mut intervals = Vec::new();
    let mut start = (stations[0].1 <= 0.0).then_some(0.0);
    for pair in stations.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if (a.1 <= 0.0) == (b.1 <= 0.0) {
            continue;
        }
        let Some(edge) = bracketed(&excess, a, b, WIDTH_TOLERANCE) else {
            continue;
        };
        match start.take() {
            Some(from) => intervals.push((from, edge)),
            None => start = Some(edge),
        }
    }
    intervals.extend(start.map(|from| (from, most)));
    intervals
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
    let limits = Limits::of(job.film);
    let within = |reach: f64| {
        let peaks = job.peaks(job.bonds_for(reach, order), order);
        peaks.is_ok_and(|p| limits.shortfall(p) <= 0.0)
    };
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
const MOST_MOUTHS: f64 = 3.0;

/// The bridge of a channel warmed in the mouth alone that asks for more than three mouths, mm.
fn impractical(job: &Job<'_>, choice: Choice) -> Option<f64> {
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
    let choice = if !job.film.recess || out_of_reach(job).is_some() {
        None
    } else {
        choice(job, limits, &intervals, &mut unsolved)
    };
    let impractical = choice.and_then(|c| impractical(job, c));
    let choice = choice.filter(|_| impractical.is_none());
    Found {
        impractical,
        intervals,
        choice,
        unsolved,
    }
}

/// What is recommended: what was found for the section as read, widened until it is assured.
pub(super) struct Decision {
    pub(super) found: Found,
    /// The width, where there is one that is assured (or nothing is to be).
    pub(super) choice: Option<Choice>,
    /// The width over the shapes that fit, where there is one for the section as read.
    pub(super) assured: Option<Assured>,
}

impl Decision {
    /// The highest share, percent, of an order that has a width for the section as read, but
    /// none that is assured.
    pub(super) fn missed(&self, order: Order) -> Option<f64> {
        let missed = self.assured.as_ref().filter(|a| !a.reached)?;
        let as_read = self.found.choice.is_some_and(|c| c.order == order);
        (as_read || missed.choice.order == order).then_some(missed.range.share_pct)
    }
}

/// Finds a width and assures it.
pub(super) fn decide(job: &Job<'_>) -> Decision {
    decide_by(job, Scan::Even)
}

/// The same with a scan of one's choice.
#[inline(never)]
pub(super) fn decide_by(job: &Job<'_>, scan: Scan) -> Decision {
    let mut found = choose_by(job, scan);
    let assured = assure(job, &found);
    let choice = match &assured {
        Some(assured) if assured.reached => Some(assured.choice),
        Some(_) => None,
        None => found.choice,
    };
    if let Some(mm) = choice.and_then(|c| impractical(job, c)) {
        found.impractical = Some(mm);
    }
    Decision {
        choice: choice.filter(|_| found.impractical.is_none()),
        found,
        assured,
    }
}

/// Which order at which width, if any.
fn choice(
    job: &Job<'_>,
    limits: Limits,
    intervals: &[(f64, f64)],
    unsolved: &mut Vec<Notice>,
) -> Option<Choice> {
    let at_lips = Choice {
        order: Order::MiddlePush,
        reach: 0.0,
        rounded: 0.0,
    };
    let channel = job.bed.recess().kind() == Kind::Channel;
    let push_ok = channel && intervals.first().is_some_and(|i| i.0 <= 0.0);
    if push_ok && job.film.air_channels == Some(false) {
        return Some(at_lips);
    }
    let deepest = least_reach(job, Order::DeepestFirst, intervals).map(|(reach, rounded)| {
        if channel && reach <= 0.0 {
            at_lips
        } else {
            Choice {
                order: Order::DeepestFirst,
                reach,
                rounded,
            }
        }
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
        return (limits.excess(peaks) <= 0.0).then_some(Choice {
            order,
            reach: 0.0,
            rounded: 0.0,
        });
    }
    let intervals = feasible_reaches(job, limits, order, unsolved);
    let (reach, rounded) = least_reach(job, order, &intervals)?;
    // At the foot itself a step is laid as a middle push.
    (reach > 0.0).then_some(Choice {
        order,
        reach,
        rounded,
    })
}

/// Finds the recommended bridge width.
///
/// Deepest-first at the smallest width within the class's limits; called middle push when
/// that width is the mouth. Film without air channels: the middle push wherever it is
/// within the limits. Edge-first is a remark, and taken only where a channel has no other
/// width. On a step both sides are placed and no reach is no bridge: the least width of the
/// interval that goes on to the widest, one step of a tape at least. A class not allowed in a recess gets no width.
///
/// # Arguments
/// * `job`: recess, film class, tool.
/// * `others`: classes to look through for another that would do.
///
/// # Accuracy
/// The unrounded width is good to 1e-7 mm and on the safe side of the limit.
pub fn recommend(job: &Job<'_>, others: &[FilmClass]) -> Recommendation {
    answered(job, Some(others))
}

/// The same without what stands beside the width: what else would do, and other warmth.
///
/// # Arguments
/// * `job`: recess, film class, tool.
pub fn recommend_width(job: &Job<'_>) -> Recommendation {
    answered(job, None)
}

/// `others`: classes to look through; `None` where nothing beside the width is asked for.
fn answered(job: &Job<'_>, others: Option<&[FilmClass]>) -> Recommendation {
    let Decision {
        found,
        choice,
        assured,
    } = decide(job);
    let Found {
        intervals,
        choice: as_read,
        unsolved,
        impractical,
    } = found;
    let width = |reach: f64| job.bed.bridge_for_reach(reach, job.split);
    let most = job.bed.most_reach(job.split);
    let missed = assured.as_ref().filter(|a| !a.reached);
    let shown = choice.or(missed.map(|a| a.choice));
    let shown = shown.map_or(most, |c| c.rounded);
    let mut orders = Vec::new();
    let mut warnings = unsolved;
    let step = job.bed.recess().kind() == Kind::Step;
    let all = [Order::DeepestFirst, Order::MiddlePush, Order::EdgeFirst];
    // Bonded at lip and foot a step is laid through: no bridge.
    for order in all.into_iter().filter(|o| !step || *o != Order::MiddlePush) {
        match job.check(job.bonds_for(shown, order), order, false) {
            Ok(check) => orders.push(check),
            Err(error) => warnings.push(Notice::OrderLeftOut {
                order: order.named(),
                why: error.message(),
            }),
        }
    }
    let recommended = choice.and_then(|c| recommended(job, c));
    for order in &orders {
        if choice.is_none_or(|c| c.order.named() == order.order.name) {
            let own: Vec<Notice> = order.warnings.iter().map(|w| w.0.clone()).collect();
            add_new(&mut warnings, &own);
        }
    }
    if let (Some(c), Some(last)) = (choice, intervals.last())
        && c.order == Order::DeepestFirst
        && last.1 < most
    {
        warnings.push(Notice::WiderIsNotSafer {
            beyond_mm: width(last.1),
        });
    }
    let taken = choice.and_then(|c| orders.iter().find(|o| o.order.name == c.order.named()));
    let mut invented = taken.map_or_else(|| told(job.invented()), |o| o.invented.clone());
    let off = assured.iter().filter_map(|a| assured::invented(&a.range));
    invented.extend(off.map(Told));
    let named = |c: Choice| {
        if c.reach <= 0.0 {
            job.step.up(width(0.0))
        } else {
            width(c.rounded)
        }
    };
    let wider = |c: Choice| as_read.is_some_and(|r| c.rounded > r.rounded);
    let decided = decided_by(job, choice, &intervals, choice.is_some_and(wider));
    let reason = match (impractical, missed) {
        (Some(bridge_mm), _) => Notice::MouthOnly {
            bridge_mm,
            mouths: MOST_MOUTHS,
        },
        (None, Some(missed)) => Notice::NotAssured {
            share_pct: missed.range.share_pct,
            bridge_mm: width(missed.choice.rounded),
            asked_pct: missed.range.asked_pct,
            narrow_by: missed.range.narrow_by,
        },
        (None, None) => match choice {
            Some(choice) => {
                let share = assured.as_ref().map(|a| a.range.asked_pct);
                why(job, choice, decided == DecidedBy::Mouth, share)
            }
            None => why_none(job, width(most)),
        },
    };
    let answer = Recommendation {
        schema: SCHEMA,
        program: PROGRAM.to_owned(),
        section: job.section_report(),
        film: job.film_report(),
        plain_rule: job.plain_rule(),
        nominal_bridge_mm: as_read.map(named),
        unrounded_bridge_mm: as_read.map(|c| width(c.reach)),
        assured_bridge_mm: choice.filter(|_| assured.is_some()).map(named),
        range: assured.as_ref().map(|a| a.range.clone()),
        feasible: intervals.iter().map(|i| [width(i.0), width(i.1)]).collect(),
        width_step_mm: job.step.mm(),
        press: Some(Told(press(job))),
        edges_first_too: edges_first_too(choice, &orders),
        laid_through: laid_through(job),
        three_steps: None,
        impractical_bridge_mm: impractical,
        decided_by: decided,
        reason: Told(reason),
        alternatives: match others {
            Some(others) if choice.is_none() => told(instead_of(job, others, false)),
            _ => Vec::new(),
        },
        no_width: choice.is_none().then(|| {
            let mut none = no_width(job);
            if impractical.is_some() {
                none.cause = Cause::MouthOnly;
            } else if missed.is_some() {
                none.cause = Cause::NotAssured;
            }
            none
        }),
        recommended,
        orders,
        warmth: others.map_or_else(Vec::new, |_| warmth(job)),
        family: None,
        scatter: None,
        warnings: told(warnings),
        assumptions: told(job.all_assumptions()),
        invented,
    };
    scattered(job, answer)
}

/// The same job with the whole bridge warmed, the mouth alone and the flats alone, while it
/// has not been said which is: where film is warm decides more than anything else.
fn warmth(job: &Job<'_>) -> Vec<WarmthRow> {
    let said = |h: &Handling| h.bay.warm.is_some() || !h.bay.ranges.is_empty();
    let Some(handling) = job.handling.filter(|h| !said(h)) else {
        return Vec::new();
    };
    let row = |zone: WarmZone| {
        let other = match handling.with_warm(job.film, zone) {
            Ok(other) => other,
            Err(error) => {
                let nowhere = match zone {
                    WarmZone::Whole => Warmed::Whole(None),
                    WarmZone::Mouth => Warmed::Mouth(AMBIENT),
                    WarmZone::Flats => Warmed::Flats(AMBIENT),
                };
                return WarmthRow::unknown(nowhere, error.message());
            }
        };
        let job = Job {
            handling: Some(&other),
            ..*job
        };
        let found = choose(&job);
        let chosen = found.choice.and_then(|c| recommended(&job, c));
        WarmthRow {
            recess_peak_pct: chosen.as_ref().and_then(|r| r.recess_peak_pct),
            advice: found.impractical.map(|_| WarmAdvice::FlatsToo),
            warm: other.assumption.warm.clone(),
            order: chosen.as_ref().map(|r| r.order),
            bridge_mm: chosen.as_ref().map(|r| r.bridge_mm),
            peak_pct: chosen.as_ref().map(|r| r.peak_pct),
            unknown: None,
        }
    };
    vec![
        row(WarmZone::Whole),
        row(WarmZone::Mouth),
        row(WarmZone::Flats),
    ]
}

/// Where the job is pressed, with the width from the middle beside it.
fn press(job: &Job<'_>) -> PressReport {
    let mut report = press_report(job.bed);
    if report.spot.is_middle() || job.bed.recess().kind() == Kind::Step {
        return report;
    }
    report.middle_bridge_mm = pressed(job, 0.0).and_then(|recess| {
        let bed = Bed::new(&recess, job.tool.pad(), job.tool.tip_radius());
        let job = Job { bed: &bed, ..*job };
        let choice = choose(&job).choice?;
        let width = bed.bridge_for_reach(choice.rounded, job.split);
        Some(if choice.reach <= 0.0 {
            job.step.up(width)
        } else {
            width
        })
    });
    report
}

/// Do edges first stay within the limits at the recommended width too?
fn edges_first_too(choice: Option<Choice>, orders: &[Check]) -> bool {
    let other = choice.is_some_and(|c| c.order != Order::EdgeFirst);
    let name = Order::EdgeFirst.named();
    other
        && orders
            .iter()
            .any(|o| o.order.name == name && o.within_limit)
}

/// A step laid on down the wall with its lower side loose: it stretches nothing.
fn laid_through(job: &Job<'_>) -> Option<LaidThrough> {
    job.bed.recess().lower()?;
    if !job.film.recess || out_of_reach(job).is_some() {
        return None;
    }
    match far_side_loose(job).ok()? {
        Alternative::FarSideLoose {
            artwork_shift_mm,
            loose,
            ..
        } => Some(LaidThrough {
            loose,
            artwork_shift_mm,
        }),
        _ => None,
    }
}

/// The choice as data.
fn recommended(job: &Job<'_>, choice: Choice) -> Option<Recommended> {
    let bonds = job.bonds_for(choice.rounded, choice.order);
    let laid = job.lay(bonds, choice.order).ok()?;
    let panel = job.bed.recess().panel();
    let (reach_left, reach_right) = bonds.reach(job.bed.recess());
    Some(Recommended {
        order: choice.order.named(),
        bridge_mm: laid.bridge(),
        reach_left_mm: reach_left,
        reach_right_mm: reach_right,
        tape_to_tape_mm: (panel.at(bonds.right) - panel.at(bonds.left)).norm(),
        peak_pct: 100.0 * (laid.peak(job.bed)?.lambda - 1.0),
        mean_pct: 100.0 * laid.mean(),
        recess_peak_pct: laid.recess_peak().map(|l| 100.0 * (l - 1.0)),
    })
}

/// Which number decided.
///
/// `wider`: the width is more than the section as read needs.
fn decided_by(
    job: &Job<'_>,
    choice: Option<Choice>,
    intervals: &[(f64, f64)],
    wider: bool,
) -> DecidedBy {
    let Some(c) = choice else {
        return DecidedBy::None;
    };
    // A step's least bridge is no root: the limit allowed less.
    let floor =
        job.bed.recess().kind() == Kind::Step && intervals.last().is_some_and(|i| i.0 < c.reach);
    if (floor && !wider) || c.reach <= 0.0 {
        return DecidedBy::Mouth;
    }
    match job.peaks(job.bonds_for(c.reach, c.order), c.order) {
        Ok(p) if Limits::of(job.film).recess_decides(p) => DecidedBy::RecessLimit,
        _ => DecidedBy::Limit,
    }
}

/// Why this width.
///
/// `floor`: it is the least there is; `share_pct`: what was assured, percent.
fn why(job: &Job<'_>, choice: Choice, floor: bool, share_pct: Option<f64>) -> Notice {
    let limits = Limits::of(job.film).pct();
    match choice.order {
        Order::MiddlePush if job.film.air_channels == Some(false) => {
            Notice::PushedIn { limits, share_pct }
        }
        Order::MiddlePush => Notice::AtLips { limits, share_pct },
        Order::EdgeFirst => Notice::OnlyEdges { limits, share_pct },
        _ if floor => Notice::LeastBridge { limits, share_pct },
        _ => Notice::Smallest {
            step: job.step,
            limits,
            share_pct,
        },
    }
}

/// Why there is none.
fn why_none(job: &Job<'_>, widest_mm: f64) -> Notice {
    let limits = Limits::of(job.film).pct();
    if let Some(gap_mm) = out_of_reach(job) {
        return Notice::ToolCannotGetIn {
            tool: job.tool.name.clone(),
            gap_mm,
            depth_mm: job.bed.recess().depth(),
            in_no_way: false,
        };
    }
    if !job.film.recess {
        return Notice::NotForRecesses {
            film: job.film.name.clone(),
            in_no_way: false,
        };
    }
    match job.plain_rule().least_bridge_mm {
        Some(least_mm) if least_mm > widest_mm => Notice::PlainRule {
            least_mm,
            limit_pct: limits.all_pct,
            widest_mm,
        },
        _ => Notice::EvenTheWidest { widest_mm, limits },
    }
}
