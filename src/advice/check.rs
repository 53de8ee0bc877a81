//! A lay-down as an answer: its numbers, what follows from it, and what it has to say.

use super::answer::{
    Check, Invented, Notice, OrderReport, OutOfReachReport, PROGRAM, PeakAt, Place, ProfileRow,
    SCHEMA, TensionLoss,
};
use super::follows::tensions;
use super::job::{Job, Limits, told};
use super::work::work;
use crate::film::StretchLaw;
use crate::laydown::{Bonds, LayError, Laydown, MarchWorth, Order, Sample, Steps};
use crate::outcome::{Air, Ends, Force, WayOut, film_source, stages};
use crate::section::Side;
use crate::told::add_new;

/// Spacing of the profile, mm.
const PROFILE_SPACING: f64 = 1.0;
/// Gap under the tip, and way of a bond line into the recess, worth a warning, mm: what a hand
/// sees. Less warns of every rounded foot; more keeps silent on film that bridges.
const WORTH_A_WARNING: f64 = 1.0;
/// Fall of an outer tension from which it is worth a note, and a warning, relative.
const FALL_NOTED: f64 = 1e-3;
const FALL_WARNED: f64 = 0.02;

impl Job<'_> {
    /// The same, and those behind a force that is more than a hand gives.
    fn all_invented(&self, force: &Force) -> Vec<Invented> {
        let mut all = self.invented();
        if force.within_hand == Some(false) {
            add_new(&mut all, &self.invented_in_force(force));
        }
        all
    }

    /// Lays the film once and reports it.
    ///
    /// # Errors
    /// [`LayError`] if the bond lines cannot be, or the march does not converge.
    pub fn check(&self, bonds: Bonds, order: Order, with_profile: bool) -> Result<Check, LayError> {
        Ok(self.report(bonds, &self.lay(bonds, order)?, with_profile))
    }

    /// Lays the film once by a list of steps and reports it.
    ///
    /// # Errors
    /// [`LayError`] if bond lines or steps cannot be, film stays free, or the march does
    /// not converge.
    pub fn check_steps(
        &self,
        bonds: Bonds,
        steps: &Steps,
        with_profile: bool,
    ) -> Result<Check, LayError> {
        let laid = self.bed.lay_steps(bonds, steps, &self.conditions())?;
        Ok(self.report(bonds, &laid, with_profile))
    }

    /// A lay-down as data.
    fn report(&self, bonds: Bonds, laid: &Laydown, with_profile: bool) -> Check {
        let recess = self.bed.recess();
        let peak = laid.peak(self.bed);
        let percent = |lambda: f64| 100.0 * (lambda - 1.0);
        let peak_pct = peak.map(|p| percent(p.lambda));
        let recess_peak_pct = laid.recess_peak().map(percent);
        let limits = Limits::of(self.film);
        let peaks = peak.map(|p| p.lambda).zip(laid.recess_peak());
        let margin_pct = peaks.map(|peaks| -100.0 * limits.excess(peaks));
        let mean = laid.mean();
        let penalty = peak
            .filter(|_| mean > 1e-9)
            .map(|p| (p.lambda - 1.0) / mean);
        let reach = bonds.reach(recess);
        let away = self.bed.out_of_reach(laid.bonds().0, laid.bonds().1);
        let rows = with_profile.then(|| laid.profile(self.bed, PROFILE_SPACING));
        let rows = rows.unwrap_or_default();
        let lips = self.bed.lips();
        let stiff = self.stiff(None);
        let laws = stiff.as_ref().ok().map(|s| laid.laws(self.bed, &s.0));
        let tensions = laws.map(|laws| tensions(&rows, &laws));
        let tension = |k: usize| tensions.as_ref().and_then(|t| t.get(k).copied());
        let stages = stages(laid, self.bed);
        let air = laid
            .is_finite()
            .then(|| self.air(laid, &stages, with_profile));
        let force = self.force(bonds, laid, &stages, &stiff);
        let hold = with_profile.then(|| self.hold(laid));
        let conditions = self.conditions();
        Check {
            schema: SCHEMA,
            program: PROGRAM.to_owned(),
            section: self.section_report(),
            film: self.film_report(),
            order: OrderReport {
                name: laid.order().named(),
                heading: None,
                steps: told(work(self, laid)),
            },
            tool: self.tool_report(),
            laying: conditions.laying,
            lip_friction: conditions.lip_friction,
            drag_kpa: 1000.0 * conditions.drag,
            warm: self.handled().warm,
            bridge_mm: laid.bridge(),
            reach_left_mm: reach.0,
            reach_right_mm: reach.1,
            bond_left: self.place(laid.bonds().0),
            bond_right: self.place(laid.bonds().1),
            lip_left: self.place(lips.0),
            lip_right: self.place(lips.1),
            press: self.place(laid.press()),
            arc_mm: laid.arc(),
            extra_mm: laid.extra(),
            fed_in_mm: laid.fed_in(),
            mean_pct: 100.0 * mean,
            peak_pct,
            no_finite_peak: !laid.is_finite(),
            recess_peak_pct,
            deepest_pct: laid.at_press().map(percent),
            peak_at: peak.map(|p| PeakAt {
                place: self.place(p.s),
                zone: p.zone,
            }),
            within_limit: margin_pct.is_some_and(|m| m >= 0.0)
                && self.film.recess
                && !self.creases(laid)
                && laid
                    .march()
                    .is_none_or(|r| r.worth() == MarchWorth::Verdict),
            margin_pct,
            held_pct: None,
            order_penalty: penalty,
            out_of_reach: OutOfReachReport {
                area_mm2: away.area,
                gap_mm: away.gap,
            },
            profile: (rows.iter().enumerate())
                .map(|(k, r)| self.row(r, tension(k)))
                .collect(),
            source: with_profile.then(|| film_source(laid, self.bed)).flatten(),
            ends: Vec::new(),
            invented: told(self.all_invented(&force)),
            warnings: told(self.check_warnings(laid, away.gap, air.as_ref(), &force)),
            air,
            invented_in_force: told(self.invented_in_force(&force)),
            force: Some(force),
            invented_in_hold: told(
                hold.as_ref()
                    .map_or_else(Vec::new, |h| self.invented_in_hold(h)),
            ),
            hold,
            assumptions: told(self.all_assumptions()),
        }
    }

    /// A sample as data. Thickness is that of the film over its local stretch.
    fn row(&self, sample: &Sample, tension: Option<f64>) -> ProfileRow {
        ProfileRow {
            place: Place {
                s_mm: sample.s,
                x_mm: sample.point.x,
                y_mm: sample.point.y,
            },
            film_mm: sample.film,
            elongation_pct: 100.0 * (sample.lambda - 1.0),
            thickness_um: 1000.0 * self.film.thickness() / sample.lambda,
            tension_n_per_mm: tension,
        }
    }

    /// Warnings of one lay-down.
    fn check_warnings(
        &self,
        laid: &Laydown,
        gap_mm: f64,
        air: Option<&Air>,
        force: &Force,
    ) -> Vec<Notice> {
        let section = self.bed.recess().warnings().iter();
        let mut all: Vec<Notice> = section.cloned().map(Notice::Section).collect();
        if !laid.is_finite() {
            all.push(Notice::NoFinitePeak);
        }
        if gap_mm >= WORTH_A_WARNING {
            all.push(Notice::OutOfReach {
                tool: self.tool.name.clone(),
                gap_mm,
            });
        }
        let (bonds, lips) = (laid.bonds(), self.bed.lips());
        for (side, inside_mm) in [
            (Side::Left, bonds.0 - lips.0),
            (Side::Right, lips.1 - bonds.1),
        ] {
            if inside_mm >= WORTH_A_WARNING {
                all.push(Notice::BondInside { side, inside_mm });
            }
        }
        all.extend(self.march_warnings(laid));
        let force = force.follows.iter();
        all.extend(force.map(|f| Notice::Force {
            notice: f.0.clone(),
        }));
        all.extend(air.and_then(|a| self.air_warning(laid, a)));
        if self.creases(laid) {
            all.push(Notice::CreasesAtClosedEnd);
        }
        let ends = self.handling.and_then(|h| h.bay.ends);
        if self.ends.is_none() && ends.is_some_and(|ends| ends != Ends::Open) {
            all.push(Notice::NearClosedEnd {
                within_mm: laid.bridge(),
            });
        }
        all.extend(self.not_for_recesses(false));
        all
    }

    /// Does film feed in towards two closed ends?
    fn creases(&self, laid: &Laydown) -> bool {
        let ends = self.handling.and_then(|h| h.bay.ends);
        laid.order().feeds_in() && ends == Some(Ends::Closed)
    }

    /// Where shut-in air does not leave by itself.
    fn air_warning(&self, laid: &Laydown, air: &Air) -> Option<Notice> {
        if !matches!(air.way_out, Some(WayOut::OpenEnd | WayOut::None)) {
            return None;
        }
        let (left, right) = laid.bonds();
        let over_flats = right - left > self.bed.lips().1 - self.bed.lips().0 + 1e-6;
        Some(Notice::Air {
            film: self.film.name.clone(),
            notice: air.follows.0,
            push_helps: laid.order() == Order::DeepestFirst && over_flats,
        })
    }

    /// What the general march has to say.
    fn march_warnings(&self, laid: &Laydown) -> Vec<Notice> {
        let mut all = Vec::new();
        let Some(report) = laid.march() else {
            return all;
        };
        if report.fall >= FALL_NOTED {
            all.push(Notice::LosesTension {
                pct: 100.0 * report.fall,
                then: if report.worth() == MarchWorth::NoVerdict {
                    TensionLoss::NoVerdict
                } else if report.fall <= FALL_WARNED {
                    TensionLoss::NoMatter
                } else {
                    TensionLoss::MayDiffer
                },
            });
        }
        let (left, right) = self.bed.lips();
        let held = [
            (Side::Left, report.useful.0.map(|s| left - s)),
            (Side::Right, report.useful.1.map(|s| s - right)),
        ];
        all.extend(held.into_iter().filter_map(|(side, reach)| {
            let reach_mm = reach.filter(|r| *r >= 0.0)?;
            Some(Notice::DragHolds { side, reach_mm })
        }));
        if let (Some(StretchLaw::Curve(curve)), Some(peak)) = (
            self.handling.map(|h| &h.conditions.law),
            laid.peak(self.bed),
        ) && peak.lambda - 1.0 > curve.tested_to()
        {
            all.push(Notice::BeyondTested {
                tested_pct: 100.0 * curve.tested_to(),
            });
        }
        all
    }
}
