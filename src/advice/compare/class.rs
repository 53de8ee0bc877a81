//! A film class in every order: its rows, without their cost.

use super::report::{ComparisonRow, Verdict};
use super::{Candidate, Site};
use crate::advice::alternatives::far_side_loose;
use crate::advice::answer::{Alternative, Check, Invented, Notice, Scatter};
use crate::advice::decide::{Decision, decide};
use crate::advice::job::{Job, Limits};
use crate::advice::press::{PressPlace, pressed_best};
use crate::advice::reach::{
    Choice, Found, cannot_get_in, edge_first, feasible_reaches, least_reach,
};
use crate::film::{FilmNumber, Number};
use crate::geometry::Point;
use crate::laydown::{Bed, Bonds, Order, OrderName};
use crate::section::{Kind, Recess, Section, Side};
use crate::told::{Told, add_new};

/// A class with its rows, and the bond lines of those that were laid.
pub(super) struct Class<'a> {
    pub(super) candidate: &'a Candidate,
    pub(super) rows: Vec<(ComparisonRow, Option<Bonds>)>,
    pub(super) warnings: Vec<Notice>,
}

impl<'a> Class<'a> {
    /// Judges a class in every order.
    pub(super) fn of(site: &'a Site<'_>, candidate: &'a Candidate) -> Self {
        let own = site.own_bed(candidate);
        let as_given = Job {
            bed: own.as_ref().unwrap_or(site.bed),
            ..site.job(candidate)
        };
        let sought = site.press == PressPlace::Sought && candidate.unknown.is_none();
        let moved = sought.then(|| pressed_best(&as_given)).flatten();
        let bed = moved
            .as_ref()
            .map(|r| Bed::new(r, site.tool.pad(), site.tool.tip_radius()));
        let job = Job {
            bed: bed.as_ref().unwrap_or(as_given.bed),
            ..as_given
        };
        let mut class = Self {
            candidate,
            rows: Vec::new(),
            warnings: Vec::new(),
        };
        let alone = if let Some(error) = &candidate.unknown {
            let why = error.message();
            Some((Verdict::NotKnown, Notice::NotKnown { why }))
        } else if let Some(why) = job.not_for_recesses(false) {
            Some((Verdict::NotForRecesses, why))
        } else {
            cannot_get_in(&job, false).map(|why| (Verdict::OutOfReach, why))
        };
        if let Some((verdict, why)) = alone {
            class.rows.push((row(&job, None, verdict, why), None));
            return class;
        }
        if let Some(scatter) = Scatter::of(&job, None).filter(|s| s.too_rough) {
            let rough = ComparisonRow {
                too_rough: true,
                ..row(&job, None, Verdict::NotKnown, Notice::Scatter(scatter))
            };
            class.rows.push((rough, None));
            return class;
        }
        class.orders(&job);
        if own.is_some() {
            class.count_from(job.bed.recess().outer(), site.bed.recess().outer());
        }
        class
    }

    /// Bond lines as far from the lips of the site's shape as from those of the class's own.
    fn count_from(&mut self, own: (f64, f64), site: (f64, f64)) {
        for bonds in self.rows.iter_mut().filter_map(|row| row.1.as_mut()) {
            bonds.left += site.0 - own.0;
            bonds.right += site.1 - own.1;
        }
    }

    /// Adds a row an order.
    fn orders(&mut self, job: &Job<'_>) {
        let decision = decide(job);
        let found = &decision.found;
        let of_class = |note: &Notice| Notice::OfClass {
            film: job.film.name.clone(),
            notice: Box::new(note.clone()),
        };
        self.warnings.extend(found.unsolved.iter().map(of_class));
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
                        let all = check.warnings.iter().map(|w| w.0.clone());
                        let new = all.filter(|w| !matches!(w, Notice::Section(_)));
                        add_new(&mut self.warnings, &new.collect::<Vec<_>>());
                    }
                    let mut row = laid(job, found, width, (bonds, order), &check);
                    row.judge(&decision, taken.is_some(), missed);
                    row.round_the_ends(job, bonds, order);
                    row
                }
                Err(error) => {
                    let why = Notice::NotKnown {
                        why: error.message(),
                    };
                    row(job, Some(order.named()), Verdict::NotKnown, why)
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
    pub(super) fn invented(&self, site: &Site<'_>, rate: Option<f64>) -> Vec<Invented> {
        if self.rows.iter().all(|r| r.0.order.is_none()) {
            return Vec::new();
        }
        let film = &self.candidate.film;
        let mut all = site.job(self.candidate).invented();
        let mut note = |source: Option<&Number>, number: FilmNumber| {
            let film = film.name.clone();
            let invented = source.is_some_and(Number::is_invented);
            all.extend(invented.then_some(Invented::Film { film, number }));
        };
        let costed = |r: &&(ComparisonRow, Option<Bonds>)| r.0.cost_per_m.is_some();
        for (r, _) in self.rows.iter().filter(costed) {
            note(film.price_per_m2.as_ref(), FilmNumber::Price);
            if let (Some(order), Some(_)) = (r.order, rate) {
                let order = order.name().to_owned();
                note(
                    film.minutes_per_m.get(&order),
                    FilmNumber::Minutes { order },
                );
            }
        }
        all
    }
}

impl ComparisonRow {
    /// Adds the closed ends to a row that does; where one has no bridge, the row does not.
    fn round_the_ends(&mut self, job: &Job<'_>, bonds: Bonds, order: Order) {
        if self.verdict != Verdict::Does {
            return;
        }
        self.ends = job.ends(bonds, order, true);
        let Some(end) = self.ends.iter().find(|end| !end.within_limit) else {
            return;
        };
        let pct = end.laid().map(|laid| laid.elongation.to_pct);
        self.verdict = Verdict::Over;
        self.why = Told(Notice::OverAtEnd { pct });
        (self.recommended, self.sure) = (false, false);
    }

    /// Marks the row that `recommend` takes, with the share it holds in; and one whose width
    /// is not assured, with the share it reaches.
    fn judge(&mut self, decision: &Decision, taken: bool, missed: Option<f64>) {
        self.recommended = taken && self.verdict == Verdict::Does;
        let share = decision.assured.as_ref().map(|a| a.range.share_pct);
        self.held_pct = share.filter(|_| self.recommended).or(missed);
        // What is assured has the margin that readings need.
        if let (true, Some(_), Notice::Within { needed_pct, .. }) =
            (self.recommended, share, &mut self.why.0)
        {
            (*needed_pct, self.sure) = (None, true);
        }
        if let Some(share_pct) = missed {
            self.verdict = Verdict::Over;
            self.why = Told(Notice::HeldAtMost { share_pct });
            (self.margin_needed_pct, self.sure) = (None, false);
        }
    }
}

/// The width an order takes within the limits, if any.
fn width(job: &Job<'_>, order: Order, found: &Found, warnings: &mut Vec<Notice>) -> Option<Choice> {
    match order {
        Order::DeepestFirst => {
            least_reach(job, order, &found.intervals).map(|least| Choice::new(order, least))
        }
        Order::EdgeFirst if job.bed.recess().kind() == Kind::Step => {
            let intervals = feasible_reaches(job, Limits::of(job.film), order, warnings);
            least_reach(job, order, &intervals).map(|least| Choice::new(order, least))
        }
        Order::EdgeFirst => edge_first(job, Limits::of(job.film), warnings),
        _ => {
            let at_lips = found.intervals.first().is_some_and(|i| i.0 <= 0.0);
            at_lips.then(|| Choice::new(order, (0.0, 0.0)))
        }
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
fn row(job: &Job<'_>, order: Option<OrderName>, verdict: Verdict, why: Notice) -> ComparisonRow {
    let film = job.film;
    let minutes = order.and_then(|o| film.minutes_per_m.get(o.name()));
    ComparisonRow {
        film: job.film_report(),
        verdict,
        why: Told(why),
        recommended: false,
        too_rough: false,
        warm: job.handling.map(|h| h.assumption.warm.clone()),
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
        ends: Vec::new(),
        laid: false,
        air: None,
        force_n: None,
        effort: None,
        hold_ratio: None,
        hold_rank: None,
        within_hand: None,
        no_force: None,
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
fn laid(
    job: &Job<'_>,
    found: &Found,
    width: Option<Choice>,
    (bonds, order): (Bonds, Order),
    check: &Check,
) -> ComparisonRow {
    let limits = Limits::of(job.film).pct();
    let margin = check.margin_pct.unwrap_or(f64::NEG_INFINITY);
    let verdict = match width {
        // At the foot itself a step is laid as a middle push, edges first too.
        Some(c) if c.reach <= 0.0 && (c.order == Order::DeepestFirst || same(job, c)) => {
            Verdict::SameAsMiddlePush
        }
        Some(_) if check.within_limit => Verdict::Does,
        _ => Verdict::Over,
    };
    let needed = (verdict == Verdict::Does).then(|| margin_needed(job, check, width));
    let sure = needed.is_some_and(|n| margin >= n);
    let why = match verdict {
        Verdict::SameAsMiddlePush => Notice::IsMiddlePush,
        Verdict::Does => Notice::Within {
            limits,
            margin_pct: margin,
            not_beyond_mm: only_up_to(job, found, width),
            needed_pct: needed.filter(|_| !sure),
        },
        _ if margin >= 0.0 => Notice::NoVerdict,
        _ => Notice::Over {
            limits,
            by_pct: (!check.no_finite_peak).then_some(-margin),
            at_widest: check.order.name == OrderName::DeepestFirst,
        },
    };
    let named = Some(check.order.name);
    ComparisonRow {
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
        ..followed(job, bonds, order, check, row(job, named, verdict, why))
    }
}

/// A row with the air, force and hold of its lay-down.
fn followed(
    job: &Job<'_>,
    bonds: Bonds,
    order: Order,
    check: &Check,
    row: ComparisonRow,
) -> ComparisonRow {
    let force = check.force.as_ref();
    let laid = job.lay(bonds, order).ok();
    ComparisonRow {
        laid: true,
        air: check.air.as_ref().and_then(|a| a.way_out),
        force_n: force.and_then(|f| f.largest_n),
        effort: force.and_then(|f| f.effort),
        hold_ratio: laid.and_then(|laid| job.hold(&laid).ratio),
        within_hand: force.and_then(|f| f.within_hand),
        no_force: force.and_then(|f| f.not_computed.clone()),
        ..row
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
    let drawn_out = |p: &Point| {
        let below = p.y - (a.y + slope * (p.x - a.x));
        let within = p.x >= from && p.x <= to && below < 0.0;
        Point::new(p.x, p.y + if within { part * below } else { 0.0 })
    };
    let points = recess.section().line().points();
    let points: Vec<Point> = points.iter().map(drawn_out).collect();
    let section = Section::new(recess.section().name(), &points).ok()?;
    Recess::find(section, *recess.survey()).ok()
}

/// Edges first over a step with no reach: the foot is the bond line.
fn same(job: &Job<'_>, choice: Choice) -> bool {
    choice.order == Order::EdgeFirst && job.bed.recess().kind() == Kind::Step
}

/// The bridge beyond which wider is not safer, mm.
fn only_up_to(job: &Job<'_>, found: &Found, width: Option<Choice>) -> Option<f64> {
    width.filter(|c| c.order == Order::DeepestFirst)?;
    let last = found.intervals.last()?;
    let most = job.bed.most_reach(job.split);
    (last.1 < most).then(|| job.bed.bridge_for_reach(last.1, job.split))
}

/// One way, far side loose.
fn one_way(job: &Job<'_>) -> (ComparisonRow, Option<Bonds>) {
    let one_way = Some(OrderName::OneWay);
    let (artwork_shift_mm, peak_pct, loose) = match far_side_loose(job) {
        Ok(Alternative::FarSideLoose {
            artwork_shift_mm,
            peak_pct,
            loose,
            ..
        }) => (artwork_shift_mm, peak_pct, loose),
        Ok(other) => unreachable!("a loose side is no {other:?}"),
        Err(why) => return (row(job, one_way, Verdict::Over, why), None),
    };
    let order = Order::OneWay { loose };
    let bonds = job.bonds_for(0.0, order);
    let why = Notice::IfArtworkMay {
        side: loose,
        shift_mm: artwork_shift_mm,
    };
    let bare = row(job, one_way, Verdict::OnCondition, why);
    let new = ComparisonRow {
        artwork_shift_mm: Some(artwork_shift_mm),
        peak_pct: Some(peak_pct),
        margin_pct: Some(100.0 * Limits::of(job.film).inside() - peak_pct),
        ..match job.check(bonds, order, false) {
            Ok(check) => followed(job, bonds, order, &check, bare),
            Err(_) => bare,
        }
    };
    (new, Some(bonds))
}
