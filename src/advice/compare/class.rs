//! A film class in every order: its rows, without their cost.

use super::report::{ComparisonRow, Verdict};
use super::{Candidate, Site, add_new};
use crate::advice::alternatives::far_side_loose;
use crate::advice::inlay::{percent, side_name};
use crate::advice::job::{Job, Limits};
use crate::advice::press::{PressPlace, pressed_best};
use crate::advice::report::{Alternative, Check};
use crate::advice::scatter::Scatter;
use crate::advice::width::{
    Choice, Decision, Found, decide, edge_first, feasible_reaches, least_reach, out_of_reach,
};
use crate::film::Number;
use crate::geometry::Point;
use crate::laydown::{Bed, Bonds, Order};
use crate::outcome::WayOut;
use crate::section::{Kind, Recess, Section, Side};

/// A class with its rows, and the bond lines of those that were laid.
pub(super) struct Class<'a> {
    pub(super) candidate: &'a Candidate,
    pub(super) rows: Vec<(ComparisonRow, Option<Bonds>)>,
    pub(super) warnings: Vec<String>,
}

impl<'a> Class<'a> {
    /// Judges a class in every order.
    pub(super) fn of(site: &'a Site<'_>, candidate: &'a Candidate) -> Self {
        let as_given = site.job(candidate);
        let sought = site.press == PressPlace::Sought && candidate.unknown.is_none();
        let moved = sought.then(|| pressed_best(&as_given)).flatten();
        let bed = moved
            .as_ref()
            .map(|r| Bed::new(r, site.tool.pad(), site.tool.tip_radius()));
        let job = Job {
            bed: bed.as_ref().unwrap_or(site.bed),
            ..as_given
        };
        let mut class = Self {
            candidate,
            rows: Vec::new(),
            warnings: Vec::new(),
        };
        let alone = if let Some(why) = &candidate.unknown {
            Some((Verdict::NotKnown, format!("not known: {why}")))
        } else if !candidate.film.recess {
            Some((Verdict::NotForRecesses, "not meant for recesses".to_owned()))
        } else {
            out_of_reach(&job).map(|gap| {
                let words = format!(
                    "the {} cannot get in: {gap:.1} mm stay out of its reach",
                    site.tool.name
                );
                (Verdict::OutOfReach, words)
            })
        };
        if let Some((verdict, words)) = alone {
            class.rows.push((row(&job, None, verdict, words), None));
            return class;
        }
        if let Some(scatter) = Scatter::of(&job, None).filter(|s| s.too_rough) {
            let words = format!("not known: {}", scatter.refusal());
            let rough = ComparisonRow {
                too_rough: true,
                ..row(&job, None, Verdict::NotKnown, words)
            };
            class.rows.push((rough, None));
            return class;
        }
        class.orders(&job);
        class
    }

    /// Adds a row an order.
    fn orders(&mut self, job: &Job<'_>) {
        let decision = decide(job);
        let found = &decision.found;
        for note in &found.unsolved {
            self.warnings.push(format!("{}: {note}", job.film.name));
        }
        let step = job.bed.recess().kind() == Kind::Step;
        let all = [Order::DeepestFirst, Order::MiddlePush, Order::EdgeFirst];
        // Bonded at lip and foot a step is laid through: no bridge.
        for order in all.into_iter().filter(|o| !step || *o != Order::MiddlePush) {
            let taken = decision.choice.filter(|c| c.order == order);
            let missed = decision.missed(order);
            let width = match missed {
                Some(_) => None,
                None => taken.or_else(|| width(job, order, found, &mut self.warnings)),
            };
            let bonds = shown(job, order, width);
            let added = match job.check(bonds, order, false) {
                Ok(check) => {
                    if width.is_some() {
                        let new = without(&check.warnings, job.bed.recess().warnings());
                        add_new(&mut self.warnings, &new);
                    }
                    let mut row = laid(job, found, width, &check);
                    row.judge(&decision, taken.is_some(), missed);
                    row
                }
                Err(error) => {
                    let why = error.to_string();
                    let why = why.lines().next().unwrap_or_default();
                    row(
                        job,
                        Some(order),
                        Verdict::NotKnown,
                        format!("not known: {why}"),
                    )
                }
            };
            self.rows.push((added, Some(bonds)));
        }
        self.rows.push(one_way(job));
    }

    /// Does the class, in some order and without a condition?
    pub(super) fn does(&self) -> bool {
        self.rows.iter().any(|r| r.0.verdict == Verdict::Does)
    }

    /// Numbers that decide and are invented: limits, tool, handling, and what costs rest on.
    pub(super) fn invented(&self, site: &Site<'_>, rate: Option<f64>) -> Vec<String> {
        if self.rows.iter().all(|r| r.0.order.is_none()) {
            return Vec::new();
        }
        let film = &self.candidate.film;
        let mut all = site.job(self.candidate).invented();
        let mut note = |number: Option<&Number>, key: String| {
            if number.is_some_and(Number::is_invented) {
                all.push(format!("film {}: {key}", film.name));
            }
        };
        let costed = |r: &&(ComparisonRow, Option<Bonds>)| r.0.cost_per_m.is_some();
        for (r, _) in self.rows.iter().filter(costed) {
            note(film.price_per_m2.as_ref(), "price_per_m2".to_owned());
            if let (Some(order), Some(_)) = (&r.order, rate) {
                note(
                    film.minutes_per_m.get(order),
                    format!("minutes_per_m.{order}"),
                );
            }
        }
        all
    }
}

impl ComparisonRow {
    /// Marks the row that `recommend` takes, with the share it holds in; and one whose width
    /// is not assured, with the share it reaches.
    fn judge(&mut self, decision: &Decision, taken: bool, missed: Option<f64>) {
        self.recommended = taken && self.verdict == Verdict::Does;
        let share = decision.assured.as_ref().map(|a| a.range.share_pct);
        self.held_pct = share.filter(|_| self.recommended).or(missed);
        if let Some(share) = missed {
            self.verdict = Verdict::Over;
            self.words =
                format!("within the limit in {share:.0} % of what the readings allow at most");
            (self.margin_needed_pct, self.sure) = (None, false);
        }
    }
}

/// The width an order takes within the limits, if any.
fn width(job: &Job<'_>, order: Order, found: &Found, warnings: &mut Vec<String>) -> Option<Choice> {
    match order {
        Order::DeepestFirst => {
            least_reach(job, order, &found.intervals).map(|(reach, rounded)| Choice {
                order,
                reach,
                rounded,
            })
        }
        Order::EdgeFirst if job.bed.recess().kind() == Kind::Step => {
            let intervals = feasible_reaches(job, Limits::of(job.film), order, warnings);
            least_reach(job, order, &intervals).map(|(reach, rounded)| Choice {
                order,
                reach,
                rounded,
            })
        }
        Order::EdgeFirst => edge_first(job, Limits::of(job.film), warnings),
        _ => found
            .intervals
            .first()
            .filter(|i| i.0 <= 0.0)
            .map(|_| Choice {
                order,
                reach: 0.0,
                rounded: 0.0,
            }),
    }
}

/// The bond lines a row is shown at: those of its width, else of the widest bridge. Edges
/// first, the flats of a channel are laid without strain: the mouth is as good as any.
fn shown(job: &Job<'_>, order: Order, width: Option<Choice>) -> Bonds {
    let channel = job.bed.recess().kind() == Kind::Channel;
    let reach = match width {
        Some(choice) if choice.reach <= 0.0 => 0.0,
        Some(choice) => choice.rounded,
        None if order == Order::EdgeFirst && channel => 0.0,
        None => job.bed.most_reach(job.split),
    };
    job.bonds_for(reach, order)
}

/// A row with nothing in it but the class and a verdict.
fn row(job: &Job<'_>, order: Option<Order>, verdict: Verdict, words: String) -> ComparisonRow {
    let film = job.film;
    let order = order.map(|o| o.name().to_owned());
    let minutes = order.as_ref().and_then(|o| film.minutes_per_m.get(o));
    ComparisonRow {
        film: job.film_report(),
        verdict,
        words,
        recommended: false,
        too_rough: false,
        warm: job.handling.map(|h| h.warm.clone()),
        bridge_mm: None,
        reach_left_mm: None,
        reach_right_mm: None,
        artwork_shift_mm: None,
        peak_pct: None,
        recess_peak_pct: None,
        peak_at: None,
        margin_pct: None,
        margin_needed_pct: None,
        sure: false,
        held_pct: None,
        air: None,
        force_n: None,
        force: None,
        post_heat_min_c: film.post_heat_min_c.as_ref().map(|n| n.value),
        film_mm: None,
        price_per_m2: film.price_per_m2.as_ref().map(|n| n.value),
        minutes_per_m: minutes.map(|n| n.value),
        cost_per_m: None,
        cost_unknown: None,
        order,
    }
}

/// A row from a lay-down, at the least width within the limits or, without one, at the
/// widest.
fn laid(job: &Job<'_>, found: &Found, width: Option<Choice>, check: &Check) -> ComparisonRow {
    let limit = limits_in_words(job);
    let margin = check.margin_pct.unwrap_or(f64::NEG_INFINITY);
    let order = check.order.name.as_str();
    let (verdict, words) = match width {
        // At the foot itself a step is laid as a middle push, edges first too.
        Some(c) if c.reach <= 0.0 && (c.order == Order::DeepestFirst || same(job, c)) => (
            Verdict::SameAsMiddlePush,
            "needs no reach: it is the middle push".to_owned(),
        ),
        Some(_) if check.within_limit => (
            Verdict::Does,
            format!(
                "within {limit} {}{}",
                by(margin),
                only_up_to(job, found, width)
            ),
        ),
        _ if check.no_finite_peak => (Verdict::Over, format!("over {limit} without bound")),
        _ if order == "deepest-first" => (
            Verdict::Over,
            format!("over {limit} {} even at the widest bridge", by(-margin)),
        ),
        _ => (Verdict::Over, format!("over {limit} {}", by(-margin))),
    };
    let needed = (verdict == Verdict::Does).then(|| margin_needed(job, check, width));
    let sure = needed.is_some_and(|n| margin >= n);
    let words = match needed {
        Some(n) if !sure => format!("{words}; readings need {n:.1}"),
        _ => words,
    };
    let follows = Follows::of(check);
    ComparisonRow {
        order: Some(check.order.name.clone()),
        recommended: false,
        warm: Some(check.warm.clone()),
        bridge_mm: Some(check.bridge_mm),
        reach_left_mm: Some(check.reach_left_mm),
        reach_right_mm: Some(check.reach_right_mm),
        peak_pct: check.peak_pct,
        recess_peak_pct: check.recess_peak_pct,
        peak_at: check.peak_at,
        margin_pct: check.margin_pct,
        margin_needed_pct: needed,
        sure,
        air: Some(follows.air),
        force_n: follows.force_n,
        force: Some(follows.force),
        minutes_per_m: job.film.minutes_per_m.get(order).map(|n| n.value),
        ..row(job, None, verdict, words)
    }
}

/// Least margin that any reading is worth, points: peaks are printed to a tenth and hands
/// press some millimetres off. Lower: a class is praised that a second survey would refuse;
/// higher: sound answers are passed over.
const LEAST_MARGIN: f64 = 0.5;

/// The margin that the readings need, points: what one gauge tolerance more depth adds to the
/// peak, at least [`LEAST_MARGIN`]. The recess is drawn out from its mouth line (a step from
/// its lip), the bond lines stay.
fn margin_needed(job: &Job<'_>, check: &Check, width: Option<Choice>) -> f64 {
    let more = deeper(job.bed.recess()).and_then(|recess| {
        let bed = Bed::new(&recess, job.tool.pad(), job.tool.tip_radius());
        let bonds = Bonds::with_reach(&recess, check.reach_left_mm, check.reach_right_mm);
        let job = Job { bed: &bed, ..*job };
        let deep = job.peaks(bonds, width?.order).ok()?;
        Some(100.0 * (deep.0 - 1.0) - check.peak_pct?)
    });
    more.filter(|m| m.is_finite())
        .unwrap_or(0.0)
        .max(LEAST_MARGIN)
}

/// A recess deeper by one gauge tolerance.
fn deeper(recess: &Recess) -> Option<Recess> {
    let part = recess.survey().gauge_tolerance / recess.depth();
    let (panel, lips) = (recess.panel(), recess.outer());
    let (mut a, mut b) = (panel.at(lips.0), panel.at(lips.1));
    let (mut from, mut to) = (a.x, b.x);
    match recess.lower() {
        None => {}
        Some(Side::Right) => (b.y, to) = (a.y, f64::INFINITY),
        Some(Side::Left) => (a.y, from) = (b.y, f64::NEG_INFINITY),
    }
    let slope = (b.y - a.y) / (b.x - a.x);
    let points: Vec<Point> = recess
        .section()
        .line()
        .points()
        .iter()
        .map(|p| {
            let below = p.y - (a.y + slope * (p.x - a.x));
            let within = p.x >= from && p.x <= to && below < 0.0;
            Point::new(p.x, p.y + if within { part * below } else { 0.0 })
        })
        .collect();
    let section = Section::new(recess.section().name(), &points).ok()?;
    Recess::find(section, *recess.survey()).ok()
}

/// Edges first over a step with no reach: the foot is the bond line.
fn same(job: &Job<'_>, choice: Choice) -> bool {
    choice.order == Order::EdgeFirst && job.bed.recess().kind() == Kind::Step
}

/// The limit, or both, in words.
fn limits_in_words(job: &Job<'_>) -> String {
    let limits = Limits::of(job.film);
    let all = percent(limits.all);
    match limits.recess {
        Some(recess) => format!(
            "the limits of {all} and {} between the lips",
            percent(recess)
        ),
        None => format!("the limit of {all}"),
    }
}

/// How far within or over, percentage points.
fn by(points: f64) -> String {
    if points < 0.05 {
        "by less than 0.1 points".to_owned()
    } else {
        format!("by {points:.1} points")
    }
}

/// Said where wider is not safer.
fn only_up_to(job: &Job<'_>, found: &Found, width: Option<Choice>) -> String {
    let most = job.bed.most_reach(job.split);
    match (width, found.intervals.last()) {
        (Some(c), Some(last)) if c.order == Order::DeepestFirst && last.1 < most => format!(
            ", but not beyond a bridge of {:.0} mm",
            job.bed.bridge_for_reach(last.1, job.split)
        ),
        _ => String::new(),
    }
}

/// One way, far side loose.
fn one_way(job: &Job<'_>) -> (ComparisonRow, Option<Bonds>) {
    let loose = job.bed.recess().lower().unwrap_or(Side::Right);
    let order = Order::OneWay { loose };
    match far_side_loose(job) {
        Ok(Alternative::FarSideLoose {
            artwork_shift_mm,
            peak_pct,
            loose,
            ..
        }) => {
            let order = Order::OneWay { loose };
            let bonds = job.bonds_for(0.0, order);
            let side = side_name(loose);
            let words = format!(
                "no stretch, if artwork and sheet edge on the {side} may move by {artwork_shift_mm:.1} mm; not at a closed end"
            );
            let follows = job
                .check(bonds, order, false)
                .map(|check| Follows::of(&check));
            let new = ComparisonRow {
                artwork_shift_mm: Some(artwork_shift_mm),
                peak_pct: Some(peak_pct),
                margin_pct: Some(100.0 * Limits::of(job.film).inside() - peak_pct),
                air: follows.as_ref().ok().map(|f| f.air.clone()),
                force_n: follows.as_ref().ok().and_then(|f| f.force_n),
                force: follows.ok().map(|f| f.force),
                ..row(job, Some(order), Verdict::OnCondition, words)
            };
            (new, Some(bonds))
        }
        Ok(_) => (
            row(job, Some(order), Verdict::NotKnown, String::new()),
            None,
        ),
        Err(why) => (row(job, Some(order), Verdict::Over, why), None),
    }
}

/// What follows from a lay-down: air and force, in words.
struct Follows {
    air: String,
    force_n: Option<f64>,
    force: String,
}

impl Follows {
    /// Reads them from a lay-down.
    fn of(check: &Check) -> Self {
        let air = match check.air.as_ref().and_then(|a| a.way_out) {
            None => "not known",
            Some(WayOut::Free) => "none shut in",
            Some(WayOut::Channels) => "through its channels",
            Some(WayOut::OpenEnd) => "to an open end",
            Some(WayOut::None) => "shut in",
        };
        let force = check.force.as_ref();
        let force_n = force.and_then(|f| f.largest_n);
        let words = match (force_n, force) {
            (Some(n), Some(f)) if f.within_hand == Some(false) => {
                format!("{n:.0} N, more than a hand gives")
            }
            (Some(n), _) => format!("{n:.0} N"),
            (None, f) => f
                .and_then(|f| f.not_computed.clone())
                .unwrap_or_else(|| "not computed".to_owned()),
        };
        Self {
            air: air.to_owned(),
            force_n,
            force: words,
        }
    }
}

/// What is in the first list and not in the second.
fn without(all: &[String], known: &[String]) -> Vec<String> {
    all.iter().filter(|a| !known.contains(a)).cloned().collect()
}
