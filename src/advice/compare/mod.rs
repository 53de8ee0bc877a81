//! Film classes side by side: every class in every order on one recess.
//!
//! Each class is judged under its own handling, as [`recommend`](crate::recommend) would:
//! deepest-first and edge-first at the least width within the limits (or, where none is,
//! at the widest bridge, to show by how much it misses), the middle push at the lips, and
//! one-way, which stretches nothing but moves artwork, and so does on a condition only.
//!
//! Cost. A wider bridge takes no more film: the flats under it are covered anyway. So every
//! row is charged for the same panel, the one between the outermost tapes of all rows that
//! do (one-way with them). Per metre of recess
//!
//! ```text
//! cost = film width / 1000 * price per m2  [+ minutes per m / 60 * rate per hour]
//! ```
//!
//! where the film width is the taut length over that panel, the widest bridge among the
//! rows and the flats, or, one-way, its arc: the extra feeds in. That stretched film saves
//! some film is left out: film is cut straight across before it is laid. The second term counts only where a rate is given. A price, or minutes with a rate,
//! that the class does not state leave the cost unknown; they never count as nothing.
//!
//! Rows that do come first, and of them those with the margin that readings need (a class
//! over whose limit one more reading would go is no answer): cheapest first, then those whose cost is not known, by margin.

mod class;
mod cost;
mod report;

pub use report::{Comparison, ComparisonRow, Verdict};

use super::alternatives::{alternatives, no_width};
use super::answer::{Handled, Notice, PROGRAM, SCHEMA};
use super::assurance::Assurance;
use super::closed::ClosedEnds;
use super::handling::Handling;
use super::job::{Job, told};
use super::press::PressPlace;
use super::tape_step::TapeStep;
use crate::film::{FilmClass, LawError, Tool};
use crate::laydown::{Bed, OrderName, Split};
use crate::section::Recess;
use crate::told::add_new;
use class::Class;
use cost::charge;

/// A recess and a tool, on which classes are compared.
#[derive(Debug, Clone, Copy)]
pub struct Site<'a> {
    /// The recess as the tool's tip can press film on to it.
    pub bed: &'a Bed<'a>,
    /// The tool.
    pub tool: &'a Tool,
    /// Where a growing bridge grows.
    pub split: Split,
    /// The step of width that a tape can show.
    pub step: TapeStep,
    /// Who says where a channel is pressed.
    pub press: PressPlace,
    /// Assumptions the caller made where nothing was said.
    pub assumptions: &'a [Notice],
    /// What widths are to be assured against; as in [`Job`].
    pub assurance: Option<Assurance>,
    /// The closed ends of the recess; as in [`Job`].
    pub ends: Option<&'a ClosedEnds>,
}

impl<'a> Site<'a> {
    /// A site of which nothing more is said, as [`Job::new`]; pressed as the recess says.
    pub fn new(bed: &'a Bed<'a>, tool: &'a Tool) -> Self {
        Self {
            bed,
            tool,
            split: Split::default(),
            step: TapeStep::default(),
            press: PressPlace::default(),
            assumptions: &[],
            assurance: None,
            ends: None,
        }
    }
}

/// A film class that takes part.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The class.
    pub film: FilmClass,
    /// How it is handled; `None`: one temperature, nothing dragging, rolled.
    pub handling: Option<Handling>,
    /// Why nothing can be said of it, if so: no stiffness at the temperatures asked for.
    pub unknown: Option<LawError>,
    /// The shape it is answered for where several fit the readings; `None`: the site's.
    pub recess: Option<Recess>,
}

/// Why there is nothing to compare.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum CompareError {
    /// No class.
    NoFilm,
    /// A class twice.
    Twice(String),
    /// A rate that cannot be.
    Rate(f64),
}

/// Compares film classes on one recess.
///
/// # Arguments
/// * `candidates`: the classes, each with its handling.
/// * `rate`: what an hour of laying costs; `None` leaves the minutes out of the cost.
/// * `others`: classes to look through where none of the candidates does.
///
/// # Errors
/// [`CompareError`]: no class, one twice, or a rate that is not a number of 0 or more.
pub fn compare(
    site: &Site<'_>,
    candidates: &[Candidate],
    rate: Option<f64>,
    others: &[FilmClass],
) -> Result<Comparison, CompareError> {
    inspect(candidates, rate)?;
    let mut found: Vec<Class<'_>> = candidates.iter().map(|c| Class::of(site, c)).collect();
    let covered = charge(site, &mut found, rate);
    let acceptable = found.iter().any(Class::does);
    // What is assumed of the handling is said by a class that could be handled.
    let known = candidates.iter().find(|c| c.unknown.is_none());
    let first = site.job(known.unwrap_or(&candidates[0]));
    let section = site.bed.recess().warnings().iter();
    let mut warnings: Vec<Notice> = section.cloned().map(Notice::Section).collect();
    let mut invented = Vec::new();
    for class in &found {
        add_new(&mut warnings, &class.warnings);
        add_new(&mut invented, &class.invented(site, rate));
    }
    let assumptions = assumptions(&first, candidates);
    let rows = found.into_iter().flat_map(|f| f.rows);
    let mut rows: Vec<ComparisonRow> = rows.map(|row| row.0).collect();
    rows.sort_by(before);
    rank_holds(&mut rows);
    let missed = nearest(candidates, &rows).filter(|_| !acceptable);
    let own = missed.and_then(|c| site.own_bed(c));
    let missed = missed.map(|c| Job {
        bed: own.as_ref().unwrap_or(site.bed),
        ..site.job(c)
    });
    let bed = site.bed;
    Ok(Comparison {
        schema: SCHEMA,
        program: PROGRAM.to_owned(),
        section: first.section_report(),
        tool: first.tool_report(),
        extra_mm: bed.recess().extra(),
        widest_bridge_mm: bed.bridge_for_reach(bed.most_reach(site.split), site.split),
        rows,
        acceptable,
        rate_per_h: rate,
        covered_mm: covered,
        alternatives_for: missed.map(|job| job.film.name.clone()),
        no_width: missed.map(|job| no_width(&job)),
        alternatives: missed.map_or_else(Vec::new, |job| told(alternatives(&job, others))),
        warnings: told(warnings),
        assumptions: told(assumptions),
        invented: told(invented),
    })
}

/// Refuses what cannot be compared.
fn inspect(candidates: &[Candidate], rate: Option<f64>) -> Result<(), CompareError> {
    if candidates.is_empty() {
        return Err(CompareError::NoFilm);
    }
    for (i, c) in candidates.iter().enumerate() {
        if candidates[..i].iter().any(|o| o.film.name == c.film.name) {
            return Err(CompareError::Twice(c.film.name.clone()));
        }
    }
    match rate {
        Some(r) if !(r.is_finite() && r >= 0.0) => Err(CompareError::Rate(r)),
        _ => Ok(()),
    }
}

impl Site<'_> {
    /// The job of a class here.
    /// The bed of a class that has a shape of its own.
    fn own_bed<'a>(&self, candidate: &'a Candidate) -> Option<Bed<'a>> {
        let recess = candidate.recess.as_ref()?;
        Some(Bed::new(recess, self.tool.pad(), self.tool.tip_radius()))
    }

    fn job<'a>(&'a self, candidate: &'a Candidate) -> Job<'a> {
        Job {
            step: self.step,
            bed: self.bed,
            film: &candidate.film,
            tool: self.tool,
            split: self.split,
            assumptions: self.assumptions,
            handling: candidate.handling.as_ref(),
            assurance: self.assurance,
            ends: self.ends,
        }
    }
}

/// Ranks the rows by their hold, the best first; rows alike share a rank.
fn rank_holds(rows: &mut [ComparisonRow]) {
    let ratios: Vec<f64> = rows.iter().filter_map(|r| r.hold_ratio).collect();
    for row in rows {
        let better = |own: f64| ratios.iter().filter(|r| **r > own).count();
        row.hold_rank = row.hold_ratio.map(|own| 1 + better(own));
    }
}

/// Which of two rows comes first.
fn before(a: &ComparisonRow, b: &ComparisonRow) -> std::cmp::Ordering {
    let cost = |r: &ComparisonRow| r.cost_per_m.unwrap_or(f64::INFINITY);
    let margin = |r: &ComparisonRow| r.margin_pct.unwrap_or(f64::NEG_INFINITY);
    let name = |r: &ComparisonRow| r.order.map(OrderName::name);
    // Of rows that cost the same, what `recommend` takes; without a cost the margin decides.
    let taken = |r: &ComparisonRow| r.recommended && r.cost_per_m.is_some();
    a.verdict
        .cmp(&b.verdict)
        .then(b.sure.cmp(&a.sure))
        .then(cost(a).total_cmp(&cost(b)))
        .then(taken(b).cmp(&taken(a)))
        .then(margin(b).total_cmp(&margin(a)))
        .then(a.film.name.cmp(&b.film.name))
        .then(name(a).cmp(&name(b)))
}

/// The class that misses by least, of those that may be laid in a recess; else the first
/// whose stiffness is known.
fn nearest<'a>(candidates: &'a [Candidate], rows: &[ComparisonRow]) -> Option<&'a Candidate> {
    let over = rows.iter().find(|r| r.verdict == Verdict::Over);
    over.and_then(|r| candidates.iter().find(|c| c.film.name == r.film.name))
        .or_else(|| candidates.iter().find(|c| c.unknown.is_none()))
}

/// The assumptions of all classes: what differs between them is said once for each.
fn assumptions(first: &Job<'_>, candidates: &[Candidate]) -> Vec<Notice> {
    let mut all = first.all_assumptions();
    let said: Vec<(&str, &Handled)> = candidates
        .iter()
        .filter_map(|c| Some((c.film.name.as_str(), &c.handling.as_ref()?.assumption)))
        .collect();
    if said.windows(2).any(|w| w[0].1 != w[1].1) {
        all.retain(|a| !matches!(a, Notice::Handled(_)));
        all.extend(said.iter().map(|(film, handled)| Notice::OfClass {
            film: (*film).to_owned(),
            notice: Box::new(Notice::Handled((*handled).clone())),
        }));
    }
    all
}
