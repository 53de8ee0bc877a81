//! What would do where no width does, computed, and why none does, in numbers.
//!
//! In this order: more clear panel; the far side loose; the nearest film class, each under
//! its own handling; a relief cut with an inlay strip; the recess as a piece of its own;
//! leaving it bare. What does not apply is listed as ruled out, with the reason.
//!
//! With the far side loose film feeds in and stretches about 0: all film on the loose side
//! moves towards the recess by arc less taut length, artwork and sheet edge alike, and
//! nothing moves on the near side. It moves from the side where there is least of it.

use super::answer::{Alternative, Cause, NoWidth, Notice, OptionKind};
use super::decide::{decide, decide_by};
use super::inlay::Pieces;
use super::job::{Job, Limits, told};
use super::reach::{cannot_get_in, out_of_reach};
use super::scan::Scan;
use crate::film::FilmClass;
use crate::geometry::sort_by_number;
use crate::laydown::{Bed, Order};
use crate::outcome::Ends;
use crate::section::{Kind, Recess, Side, Survey};
use crate::told::Told;

/// Clear panel on each side at which it is given up that more would help, mm.
const MOST_CLEAR: f64 = 3000.0;

/// Finds what would do in place of a bridge.
///
/// # Arguments
/// * `job`: recess, film class, tool.
/// * `others`: classes to look through for another that would do.
pub fn alternatives(job: &Job<'_>, others: &[FilmClass]) -> Vec<Alternative> {
    instead_of(job, others, decide(job).choice.is_some())
}

/// The same where it is known whether a width does.
pub(super) fn instead_of(job: &Job<'_>, others: &[FilmClass], has_width: bool) -> Vec<Alternative> {
    let mut all = Vec::new();
    let barred = barred(job);
    if barred.is_none() && !has_width {
        all.extend(more_clear(job));
    }
    let option = |kind: OptionKind, found: Result<Alternative, Notice>| {
        found.unwrap_or_else(|why| ruled_out(kind, why))
    };
    let unless_barred = |found: &dyn Fn() -> Result<Alternative, Notice>| match &barred {
        Some(why) => Err(why.clone()),
        None => found(),
    };
    let pieces = Pieces::new(job);
    let loose = unless_barred(&|| far_side_loose(job));
    all.push(option(OptionKind::FarSideLoose, loose));
    all.extend(classes(job, others));
    let cut = unless_barred(&|| pieces.relief_cut());
    all.push(option(OptionKind::ReliefCut, cut));
    let inlay = unless_barred(&|| pieces.separate_inlay());
    all.push(option(OptionKind::SeparateInlay, inlay));
    let (left, right) = job.bed.recess().outer();
    all.push(Alternative::LeaveBare {
        bare_mm: right - left,
    });
    all
}

/// An option that would not do.
fn ruled_out(option: OptionKind, why: Notice) -> Alternative {
    let why = Told(why);
    Alternative::RuledOut { option, why }
}

/// Why this film cannot be laid in this recess with this tool in any way.
fn barred(job: &Job<'_>) -> Option<Notice> {
    job.not_for_recesses(true)
        .or_else(|| cannot_get_in(job, true))
}

/// Whether the recess is closed at an end along the vehicle, if that was said.
fn closed_end(job: &Job<'_>) -> Option<bool> {
    let ends = job.handling.and_then(|h| h.bay.ends)?;
    Some(ends == Ends::Closed)
}

/// Laid one way, with the film of one side feeding in.
pub(super) fn far_side_loose(job: &Job<'_>) -> Result<Alternative, Notice> {
    if closed_end(job) == Some(true) {
        return Err(Notice::CreasesAtClosedEnd);
    }
    let recess = job.bed.recess();
    let (left, right) = recess.reach_limit();
    let nearer = if left < right {
        Side::Left
    } else {
        Side::Right
    };
    let loose = recess.lower().unwrap_or(nearer);
    let order = Order::OneWay { loose };
    let bonds = job.bonds_for(job.bed.most_reach(job.split), order);
    let laid = job.lay(bonds, order);
    let laid = laid.map_err(|e| Notice::NotKnown { why: e.message() })?;
    let held = Notice::NotWhereHeld { side: loose };
    let mut not_where = vec![held, Notice::NotWhereArtworkMeets { side: loose }];
    if closed_end(job).is_none() {
        not_where.insert(0, Notice::NotNearClosedEnd);
    }
    let valleys = recess.valleys();
    not_where.extend((valleys > 1).then_some(Notice::NotOverNext { valleys }));
    Ok(Alternative::FarSideLoose {
        artwork_shift_mm: laid.fed_in(),
        loose,
        near_shift_mm: 0.0,
        peak_pct: laid.peak(job.bed).map_or(0.0, |p| 100.0 * (p.lambda - 1.0)),
        not_where: told(not_where),
    })
}

/// The classes that do, the nearest first: the one with the lowest limit that still does.
fn classes(job: &Job<'_>, others: &[FilmClass]) -> Vec<Alternative> {
    let mut tried = 0_usize;
    let mut fitting: Vec<(f64, Alternative)> = others
        .iter()
        .filter(|f| f.name != job.film.name)
        .inspect(|_| tried += 1)
        .filter_map(|film| Some((film.limit(), class(job, film)?)))
        .collect();
    if fitting.is_empty() && tried > 0 {
        let none = Notice::NoClassDoes { tried };
        return vec![ruled_out(OptionKind::FilmClass, none)];
    }
    sort_by_number(&mut fitting, |option| option.0);
    fitting.into_iter().map(|f| f.1).collect()
}

/// A class with its width, if it has one. One whose stiffness is not known at the
/// temperatures asked for is no answer.
fn class(job: &Job<'_>, film: &FilmClass) -> Option<Alternative> {
    let handling = job.handling.map(|h| h.with_film(film)).transpose().ok()?;
    let other = Job {
        film,
        handling: handling.as_ref(),
        ..*job
    };
    let choice = decide(&other).choice?;
    let bonds = other.bonds_for(choice.rounded, choice.order);
    let check = other.check(bonds, choice.order, false).ok()?;
    Some(Alternative::FilmClass {
        name: film.name.clone(),
        bridge_mm: check.bridge_mm,
        limit_pct: 100.0 * film.limit(),
        order: choice.order.named(),
        peak_pct: check.peak_pct,
        margin_pct: check.margin_pct,
        warm: check.warm,
    })
}

/// How much clear panel would make a width possible, where none is.
fn more_clear(job: &Job<'_>) -> Option<Alternative> {
    let old = job.bed.recess();
    let survey = Survey {
        clear_left: old.survey().clear_left.max(MOST_CLEAR),
        clear_right: old.survey().clear_right.max(MOST_CLEAR),
        ..*old.survey()
    };
    let recess = Recess::find(old.section().clone(), survey).ok()?;
    let bed = Bed::new(&recess, job.tool.pad(), job.tool.tip_radius());
    let wider = Job { bed: &bed, ..*job };
    // A channel's width is laid before it is named; of a step's all that are wider must do.
    let scan = match recess.kind() {
        Kind::Channel => Scan::Widening,
        Kind::Step => Scan::Even,
    };
    let found = decide_by(&wider, scan).choice;
    let Some(choice) = found.filter(|c| c.order == Order::DeepestFirst) else {
        let (most, clear_mm) = (bed.most_reach(job.split), MOST_CLEAR);
        let widest_mm = bed.bridge_for_reach(most, job.split);
        let none = Notice::ClearDoesNotHelp {
            clear_mm,
            widest_mm,
        };
        return Some(ruled_out(OptionKind::MoreClear, none));
    };
    let (left, right) = bed
        .bonds_for_reach(choice.rounded, job.split)
        .reach(&recess);
    // A tape can be off to the outside only where there is panel for it: twice the half width
    // is further off than any draw.
    let off = |reach: f64| match job.assurance {
        Some(assurance) if reach > 0.0 => reach + 2.0 * assurance.tapes_off,
        _ => reach,
    };
    Some(Alternative::MoreClear {
        clear_left_mm: off(left),
        clear_right_mm: off(right),
        bridge_mm: bed.bridge_for_reach(choice.rounded, job.split),
    })
}

/// Why no width works, in numbers.
pub(super) fn no_width(job: &Job<'_>) -> NoWidth {
    let bed = job.bed;
    let order = Order::DeepestFirst;
    let most = bed.most_reach(job.split);
    let (clear_left_mm, clear_right_mm) = bed.share(most, job.split);
    let widest = job.check(job.bonds_for(most, order), order, false);
    let limits = Limits::of(job.film);
    let cause = if !job.film.recess {
        Cause::Class
    } else if out_of_reach(job).is_some() {
        Cause::Tool
    } else {
        match &widest {
            Err(_) => Cause::Unsolved,
            Ok(c) if c.mean_pct > 100.0 * limits.all => Cause::PlainRule,
            Ok(c) if c.peak_pct.is_none_or(|p| p > 100.0 * limits.all) => Cause::Limit,
            Ok(c) if !c.within_limit => Cause::RecessLimit,
            // Within it at the widest bridge, but no width of a tape's step is.
            Ok(_) => Cause::Limit,
        }
    };
    let widest = widest.ok();
    let (left, right) = bed.lips();
    NoWidth {
        cause,
        least_bridge_mm: job.plain_rule().least_bridge_mm,
        mouth_mm: bed.recess().mouth(),
        clear_left_mm,
        clear_right_mm,
        widest_bridge_mm: bed.bridge_for_reach(most, job.split),
        peak_pct: widest.as_ref().and_then(|c| c.peak_pct),
        recess_peak_pct: widest.as_ref().and_then(|c| c.recess_peak_pct),
        peak_at: widest.and_then(|c| c.peak_at),
        limit_pct: 100.0 * limits.all,
        recess_limit_pct: limits.recess.map(|l| 100.0 * l),
        gap_mm: bed.out_of_reach(left, right).gap,
    }
}
