//! Round a closed end: what film is stretched to there, and the bridge that keeps it within its
//! limits.
//!
//! Near an end the section is the even trapezoid that fits it ([`Trapezoid::fitting`]: its
//! mouth, its depth, its length of panel); where its plane-strain peak falls short of the
//! section's own, the end's numbers are raised by as much. An end's elongation is in doubt by a
//! quarter ([`LAW_DOUBT`]), and by what two meshes differ: a limit is kept where the upper
//! number keeps it. Friction, drag and a warm mouth hold film at the lip; the end is then laid
//! free and with the lip holding all, and the second decides.

use super::answer::{
    Check, ClosedEnd, Doubted, EndLaid, EndPlace, EndReport, Notice, Recommendation, WiderPad,
};
use super::closed::ClosedEnds;
use super::job::Job;
use crate::ends::{
    EndCase, EndError, EndOrder, EndSize, EndText, LAW_DOUBT, LaidEnd, Spot, Trapezoid,
    edges_first_area, lay_end, lay_roughly, plane_strain,
};
use crate::film::StretchLaw;
use crate::laydown::{Bonds, Laying, Order, Warm};
use crate::section::{Kind, Side};
use crate::told::Told;

/// Free film beyond the end's lip, plan radii of it: further out hardly helps, and from about
/// 0.7 on film creases ((sqrt 3 - 1) in linear theory for a round pocket).
const END_REACH: f64 = 0.5;
/// A mark of a tape that is nearer than this is the one that film is at, mm.
const LEAST_STEP: f64 = 1e-6;
/// How often the coarse mesh is corrected at most, and by how much at least where it missed. Two
/// corrections are usual; three thousandths move a wide bridge by a step of a tape.
const ROUNDS: usize = 4;
const MISSED: f64 = 0.003;
/// How far over its limit a solve counts that failed.
const FAILED: f64 = 1e3;
/// Pads tried where the tool's does not do, times its own.
const PADS: [f64; 2] = [2.0, 3.0];
/// How much wider than the middle's a bridge is for which a wider pad is looked at.
const MUCH: f64 = 1.25;
/// Most that an end's numbers are raised by: a section that needs more is no trapezoid, and has
/// no number.
const MOST_RAISED: f64 = 2.0;

/// An end as it is asked for: all but its bridge.
struct Asked<'a> {
    job: &'a Job<'a>,
    case: EndCase,
    order: EndOrder,
    law: StretchLaw,
    /// What its numbers are raised by.
    raised: f64,
}

impl Job<'_> {
    /// What is known of the closed ends with film bonded at these lines and pressed in this
    /// order.
    ///
    /// # Arguments
    /// * `bonds`, `order`: as in the middle of the recess.
    /// * `widen`: seek the least bridge round each end that keeps the limits too.
    pub fn ends(&self, bonds: Bonds, order: Order, widen: bool) -> Vec<EndReport> {
        let ends = self.ends_laid(bonds, order, widen);
        ends.into_iter().map(|(report, _)| report).collect()
    }

    /// The same with the film as it is laid round each end at the bridge of the middle, for
    /// pictures; no film where its report says why.
    pub fn ends_laid(
        &self,
        bonds: Bonds,
        order: Order,
        widen: bool,
    ) -> Vec<(EndReport, Option<LaidEnd>)> {
        let Some(said) = self.ends else {
            return Vec::new();
        };
        let one = |closed: &ClosedEnd| {
            let mut report = EndReport::unknown_yet(closed, order.named());
            report.section = self.trapezoid();
            match self.end((said, &closed.text), bonds, order, widen, &mut report) {
                Ok(laid) => (report, Some(laid)),
                Err(why) => {
                    report.within_limit = false;
                    report.unknown = Some(Told(why));
                    (report, None)
                }
            }
        };
        said.ends.iter().map(one).collect()
    }

    /// Adds the ends to a lay-down, as [`Job::ends`]: what is over a limit there is over it.
    pub fn round_the_ends(&self, bonds: Bonds, order: Order, widen: bool, check: &mut Check) {
        check.ends = self.ends(bonds, order, widen);
        check.within_limit &= check.ends.iter().all(|end| end.within_limit);
        if check.ends.iter().any(|end| end.unknown.is_some()) {
            let within_mm = check.bridge_mm;
            check
                .warnings
                .push(Told(Notice::NearClosedEnd { within_mm }));
        }
    }

    /// Adds the ends, each with its own bridge, to an answer that has a width.
    pub fn widen_the_ends(&self, answer: &mut Recommendation) {
        let Some(chosen) = &answer.recommended else {
            return;
        };
        let recess = self.bed.recess();
        let bonds = Bonds::with_reach(recess, chosen.reach_left_mm, chosen.reach_right_mm);
        let order = chosen.order.order(Side::Right);
        answer.ends = self.ends(bonds, order, true);
        if answer.ends.iter().any(|end| end.unknown.is_some()) {
            let within_mm = chosen.bridge_mm;
            answer
                .warnings
                .push(Told(Notice::NearClosedEnd { within_mm }));
        }
    }

    /// Film as it is laid round an end, at what is said of it: for pictures.
    pub fn lay_round(&self, end: &EndReport) -> Option<LaidEnd> {
        let shown = end.laid()?;
        let case = EndCase {
            section: end.section,
            size: EndSize {
                kind: end.kind,
                radius: end.radius_mm,
                run: end.run_mm,
                foot_radius: end.foot_radius_mm,
                press_stop: end.press_stop_mm,
            },
            pad: self.tool.pad(),
            side_reach: shown.side_reach_mm,
            end_reach: shown.end_reach_mm,
            half_length: self.ends.and_then(ClosedEnds::half_length),
        };
        let order = self.end_order(end.order.order(Side::Right)).ok()?;
        lay_end(&case, order, &self.end_law()).ok()
    }

    /// The law film has round an end.
    fn end_law(&self) -> StretchLaw {
        match &self.conditions().law {
            law @ StretchLaw::Curve(_) => law.clone(),
            StretchLaw::NeoHookean(_) => StretchLaw::default(),
        }
    }

    /// The trapezoid that stands for the section near an end: of the panel as the tool reaches
    /// it, from lip to lip.
    fn trapezoid(&self) -> Trapezoid {
        let recess = self.bed.recess();
        let (left, right) = recess.outer();
        let arc = self.bed.locate(right) - self.bed.locate(left);
        Trapezoid::fitting(recess.mouth(), recess.depth(), arc)
    }

    fn end(
        &self,
        (said, text): (&ClosedEnds, &EndText),
        bonds: Bonds,
        order: Order,
        widen: bool,
        report: &mut EndReport,
    ) -> Result<LaidEnd, Notice> {
        let end_order = self.end_order(order)?;
        let refused = |why: EndError| Notice::EndRefused { why };
        let size = text.size(&report.section, self.tool.pad(), said.press_stop);
        let size = size.map_err(refused)?;
        report.radius_mm = size.radius;
        report.run_mm = size.run;
        report.foot_radius_mm = size.foot_radius;
        report.press_stop_mm = size.press_stop;
        let reach = bonds.reach(self.bed.recess());
        let case = EndCase {
            section: report.section,
            size,
            pad: self.tool.pad(),
            side_reach: reach.0.min(reach.1).max(0.0),
            end_reach: (END_REACH * size.radius).min(said.clear()),
            half_length: said.half_length(),
        };
        let peaks = self.plain().peaks(bonds, order).map(|p| p.0);
        let own = peaks.ok().filter(|p| p.is_finite());
        let plane = plane_strain(&case, end_order);
        report.section_peak_pct = own.map(|p| 100.0 * (p - 1.0));
        report.trapezoid_peak_pct = plane.map(|p| 100.0 * (p - 1.0));
        let raised = own.zip(plane).map_or(1.0, |(own, plane)| {
            ((own - 1.0) / (plane - 1.0).max(1e-9)).max(1.0)
        });
        if raised > MOST_RAISED {
            return Err(Notice::EndOfNoTrapezoid);
        }
        let asked = Asked {
            job: self,
            case,
            order: end_order,
            law: self.end_law(),
            raised,
        };
        let laid = asked.lay(case.side_reach, case.pad).map_err(refused)?;
        let middle = asked.report(&laid);
        report.edges_first_area_pct = plane_strain(&case, EndOrder::EdgeFirst)
            .map(|middle| 100.0 * (edges_first_area(middle) - 1.0));
        report.middle = Some(middle);
        report.within_limit = asked.keeps(&middle);
        if end_order == EndOrder::DeepestFirst && self.holds_at_lip() {
            let held = asked.at(0.0, case.pad).map_err(refused)?;
            report.held = Some(held);
            report.sought = widen;
            report.within_limit &= asked.keeps(&held);
        } else if widen && end_order == EndOrder::DeepestFirst {
            asked.widen(report);
        }
        Ok(laid)
    }

    /// Does something hold film at the lip?
    fn holds_at_lip(&self) -> bool {
        let conditions = self.conditions();
        conditions.lip_friction > 0.0
            || conditions.drag > 0.0
            || matches!(conditions.warm, Warm::Mouth(_))
    }

    /// How the end is laid in this order, or why that is not known.
    fn end_order(&self, order: Order) -> Result<EndOrder, Notice> {
        let conditions = self.conditions();
        if self.bed.recess().kind() == Kind::Step {
            return Err(Notice::EndOfStep);
        }
        if conditions.laying != Laying::Rolled
            || matches!(conditions.warm, Warm::Flats(_) | Warm::Ranges(_))
        {
            return Err(Notice::EndUnder);
        }
        match order {
            Order::DeepestFirst | Order::MiddlePush => Ok(EndOrder::DeepestFirst),
            Order::EdgeFirst => Ok(EndOrder::EdgeFirst),
            Order::OneWay { .. } | Order::Custom => Err(Notice::EndInOrder {
                order: order.named(),
            }),
        }
    }
}

impl Asked<'_> {
    fn case(&self, side_reach: f64, pad: f64) -> EndCase {
        EndCase {
            side_reach,
            pad,
            ..self.case
        }
    }

    /// The end with this much free film at its sides, pressed with this pad.
    fn lay(&self, side_reach: f64, pad: f64) -> Result<LaidEnd, EndError> {
        lay_end(&self.case(side_reach, pad), self.order, &self.law)
    }

    fn at(&self, side_reach: f64, pad: f64) -> Result<EndLaid, EndError> {
        Ok(self.report(&self.lay(side_reach, pad)?))
    }

    fn report(&self, laid: &LaidEnd) -> EndLaid {
        let doubted = |stretch: f64, mesh: f64| {
            let (pct, mesh_pct) = (100.0 * self.raised * (stretch - 1.0), 100.0 * mesh);
            Doubted {
                pct,
                from_pct: ((1.0 - LAW_DOUBT) * pct - mesh_pct).max(0.0),
                to_pct: (1.0 + LAW_DOUBT) * pct + mesh_pct,
                mesh_pct,
            }
        };
        let place = |spot: &Spot| EndPlace {
            across_mm: spot.at[0],
            inside_mm: -spot.at[2],
            up_mm: spot.at[1],
            zone: laid.zone(spot),
        };
        EndLaid {
            bridge_mm: laid.case.section.mouth + 2.0 * laid.case.side_reach,
            side_reach_mm: laid.case.side_reach,
            end_reach_mm: laid.case.end_reach,
            elongation: doubted(laid.most.stretch[0], laid.mesh_doubt[0]),
            at: place(&laid.most),
            recess: doubted(laid.recess_peak(), laid.mesh_doubt[0]),
            area: doubted(laid.thinnest.area(), laid.mesh_doubt[1]),
            area_at: place(&laid.thinnest),
            middle_pct: 100.0 * self.raised * (laid.middle - 1.0),
            felt_mm: laid.felt,
            crease_pct: laid.creased.map(|c| 100.0 * c.0),
            crease_at: laid.creased.map(|c| place(&c.1)),
        }
    }

    /// Do the upper numbers keep the limits?
    fn keeps(&self, laid: &EndLaid) -> bool {
        self.over(laid) <= 0.0
    }

    /// How far over the limits the upper numbers are, in reciprocals: nearly straight in the
    /// reach.
    fn over(&self, laid: &EndLaid) -> f64 {
        let film = self.job.film;
        let limits = [
            (Some(film.limit()), laid.elongation),
            (film.recess_limit(), laid.recess),
            (film.area_limit(), laid.area),
        ];
        let one = |limit: f64, found: Doubted| 1.0 / limit - 1.0 / (0.01 * found.to_pct).max(1e-12);
        let each = limits
            .into_iter()
            .filter_map(|(limit, found)| Some(one(limit?, found)));
        each.fold(f64::NEG_INFINITY, f64::max)
    }

    /// Seeks the least bridge round the end that keeps the limits, and a pad with which there
    /// is one where the tool's has none.
    fn widen(&self, report: &mut EndReport) {
        report.sought = true;
        if report.within_limit {
            report.wide = report.middle;
            return;
        }
        let mut search = Search::new(self, self.case.pad, 1.0);
        if let Some(middle) = &report.middle {
            search.learn(0, middle);
        }
        report.wide = search.within(true);
        report.within_limit = report.wide.is_some();
        let much = MUCH * (self.case.section.mouth + 2.0 * self.case.side_reach);
        if report.wide.is_none_or(|wide| wide.bridge_mm > much) {
            let missed = search.missed;
            let pads = PADS.map(|times| times * self.case.pad);
            let mut pads = pads
                .into_iter()
                .filter(|&pad| pad <= self.case.section.floor);
            report.pad = pads.find_map(|pad_mm| {
                let laid = Search::new(self, pad_mm, missed).within(false)?;
                let bridge_mm = laid.bridge_mm;
                Some(WiderPad { pad_mm, bridge_mm })
            });
        }
    }
}

/// A search for the least bridge that keeps the limits: the middle's, and from there in steps of
/// a tape to the widest. It is sought on the coarse mesh, whose numbers are raised by what it
/// missed where both were laid last, and taken where both keep the limits.
struct Search<'a> {
    asked: &'a Asked<'a>,
    pad: f64,
    /// Free film at the sides at each step, mm: the middle's, marks of a tape, the most there is.
    reaches: Vec<f64>,
    /// What the coarse mesh's numbers are raised by.
    missed: f64,
    /// What was laid on the coarse mesh, by its step; nothing where that failed.
    laid: Vec<(usize, Option<EndLaid>)>,
}

impl<'a> Search<'a> {
    fn new(asked: &'a Asked<'a>, pad: f64, missed: f64) -> Self {
        let limit = asked.job.bed.recess().reach_limit();
        let (least, most) = (asked.case.side_reach, limit.0.min(limit.1));
        let (mouth, tape) = (asked.case.section.mouth, asked.job.step);
        let mark = |reach: f64| 0.5 * (tape.up(mouth + 2.0 * reach + LEAST_STEP) - mouth);
        let next = |&reach: &f64| (reach < most).then(|| mark(reach).min(most));
        Self {
            asked,
            pad,
            reaches: std::iter::successors(Some(least), next).collect(),
            missed,
            laid: Vec::new(),
        }
    }

    fn last(&self) -> usize {
        self.reaches.len() - 1
    }

    /// The end at a step, on the coarse mesh.
    fn roughly(&mut self, step: usize) -> Option<EndLaid> {
        if let Some(known) = self.laid.iter().find(|known| known.0 == step) {
            return known.1;
        }
        let Asked { order, law, .. } = self.asked;
        let case = self.asked.case(self.reaches[step], self.pad);
        let laid = lay_roughly(&case, *order, law).ok();
        let laid = laid.map(|laid| self.asked.report(&laid));
        self.laid.push((step, laid));
        laid
    }

    /// How far over the limits a step is; a solve that failed counts as over.
    fn over(&mut self, step: usize) -> f64 {
        let missed = self.missed;
        self.roughly(step).map_or(FAILED, |mut laid| {
            for found in [&mut laid.elongation, &mut laid.recess, &mut laid.area] {
                found.to_pct *= missed;
            }
            self.asked.over(&laid).min(FAILED)
        })
    }

    /// Takes over what both meshes say of a step.
    fn learn(&mut self, step: usize, laid: &EndLaid) {
        if let Some(rough) = self.roughly(step) {
            self.missed = laid.elongation.to_pct / rough.elongation.to_pct;
        }
    }

    /// The first step that the coarse mesh has within the limits, where the widest is.
    fn first_within(&mut self) -> Option<usize> {
        // What is over goes nearly straight with the logarithm of the bridge.
        let mouth = self.asked.case.section.mouth;
        let wide = |reach: &f64| (mouth + 2.0 * reach).ln();
        let wide: Vec<f64> = self.reaches.iter().map(wide).collect();
        if self.over(0) <= 0.0 {
            return Some(0);
        }
        if self.over(self.last()) > 0.0 {
            return None;
        }
        // What was laid before brackets it.
        let known: Vec<usize> = self.laid.iter().map(|known| known.0).collect();
        let known = known.into_iter().map(|step| (self.over(step), step));
        let (over, within): (Vec<_>, Vec<_>) = known.partition(|known| known.0 > 0.0);
        let (mut under, mut high) = *within.iter().min_by_key(|known| known.1)?;
        let below = over.iter().filter(|known| known.1 < high);
        let (mut over, mut low) = *below.max_by_key(|known| known.1)?;
        let mut before = None;
        while high - low > 1 {
            let straight = wide[low] + (wide[high] - wide[low]) * over / (over - under);
            let guess = wide.partition_point(|&at| at < straight);
            let step = guess.clamp(low + 1, high - 1);
            let found = self.over(step);
            // The end that stays twice in a row loses half its weight.
            let stays = before == Some(found > 0.0);
            before = Some(found > 0.0);
            if found > 0.0 {
                (low, over) = (step, found);
                under *= if stays { 0.5 } else { 1.0 };
            } else {
                (high, under) = (step, found);
                over *= if stays { 0.5 } else { 1.0 };
            }
        }
        Some(high)
    }

    /// A bridge that both meshes have within the limits: the first that is found, or, where
    /// `least`, that from which a narrower one is not.
    fn within(&mut self, least: bool) -> Option<EndLaid> {
        let mut best: Option<(usize, EndLaid)> = None;
        for _ in 0..ROUNDS {
            let Some(step) = self.first_within() else {
                break;
            };
            if best.is_some_and(|(known, _)| step >= known) {
                break;
            }
            let laid = self.asked.at(self.reaches[step], self.pad).ok()?;
            let before = self.missed;
            self.learn(step, &laid);
            if self.asked.keeps(&laid) {
                best = Some((step, laid));
                if !least {
                    break;
                }
            } else {
                self.missed = self.missed.max(before + MISSED);
            }
        }
        best.map(|(_, laid)| laid)
    }
}
