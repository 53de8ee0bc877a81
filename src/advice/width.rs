//! The main job: the bridge width that keeps the film within its limit, with all that stands
//! beside it in an answer.
//!
//! [`super::reach`] finds the width for the section as read, [`super::decide`] widens it until
//! it is assured; here it becomes an answer: orders at that width, the press, other warmth, why
//! it is so, and what would do where there is none.
//!
//! All of it is from the press of the job: [`pressed_best`](super::pressed_best) moves it.

use super::alternatives::{far_side_loose, instead_of, no_width};
use super::answer::{
    Alternative, Cause, Check, DecidedBy, LaidThrough, Notice, PROGRAM, PressReport,
    Recommendation, Recommended, SCHEMA, WarmAdvice, Warmed, WarmthRow,
};
use super::assurance::guessed_hand;
use super::bay::{AMBIENT, WarmZone};
use super::decide::{Decision, decide};
use super::handling::Handling;
use super::job::{Job, Limits, told};
use super::pressing::{press_report, pressed};
use super::reach::{Choice, Found, MOST_MOUTHS, cannot_get_in, choose, out_of_reach};
use super::scatter::scattered;
use crate::film::FilmClass;
use crate::laydown::{Bed, Order};
use crate::section::Kind;
use crate::told::{Told, add_new};

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
    Recommendation {
        warmth: warmth(job),
        ..answered(job, Some(others))
    }
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
            let mut own: Vec<Notice> = order.warnings.iter().map(|w| w.0.clone()).collect();
            // Air is said once: what the first order says of it holds for the others.
            let air = |n: &Notice| matches!(n, Notice::Air { .. });
            own.retain(|n| !air(n) || !warnings.iter().any(air));
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
    let off = assured
        .iter()
        .filter_map(|a| guessed_hand(job.tool, a.range.press_off_mm, a.range.tapes_off_mm));
    invented.extend(off.map(Told));
    let named = |c: Choice| named(job, c);
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
        warmth: Vec::new(),
        ends: Vec::new(),
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
                let hot = handling.bay.warm_c.or(job.film.softest_temperature());
                let hot = hot.unwrap_or(AMBIENT);
                let asked = match zone {
                    WarmZone::Whole => Warmed::Whole(None),
                    WarmZone::Mouth => Warmed::Mouth(hot),
                    WarmZone::Flats => Warmed::Flats(hot),
                };
                return WarmthRow::unknown(asked, error.message());
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
    [WarmZone::Whole, WarmZone::Mouth, WarmZone::Flats]
        .map(row)
        .into()
}

/// The width that is said: where it is the mouth, the next one that a tape shows.
fn named(job: &Job<'_>, choice: Choice) -> f64 {
    let at_lips = choice.reach <= 0.0;
    let reach = if at_lips { 0.0 } else { choice.rounded };
    let width = job.bed.bridge_for_reach(reach, job.split);
    if at_lips { job.step.up(width) } else { width }
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
        Some(named(&job, choice))
    });
    report
}

/// Do edges first stay within the limits at the recommended width too?
fn edges_first_too(choice: Option<Choice>, orders: &[Check]) -> bool {
    let other = choice.is_some_and(|c| c.order != Order::EdgeFirst);
    let name = Order::EdgeFirst.named();
    other && (orders.iter()).any(|o| o.order.name == name && o.within_limit)
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
    if let Some(why) = cannot_get_in(job, false).or_else(|| job.not_for_recesses(false)) {
        return why;
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
