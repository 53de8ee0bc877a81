//! What an answer is asked for: a bed, a film class, a tool.

use super::answer::{
    Check, FilmReport, Handled, Invented, LimitsPct, Notice, OrderReport, OutOfReachReport,
    PROGRAM, PeakAt, Place, PlainRule, ProfileRow, SCHEMA, SectionReport, TensionLoss, ToolReport,
};
use super::assured::Assurance;
use super::follows::tensions;
use super::handling::Handling;
use super::plain::plain_rule;
use super::tape_step::TapeStep;
use super::work::work;
use crate::film::StretchLaw;
use crate::film::{FilmClass, Tool};
use crate::laydown::{
    Bed, Bonds, Conditions, LayError, Laydown, MarchWorth, Order, Sample, Split, Steps,
};
use crate::outcome::{Air, Ends, Force, WayOut, film_source, stages};
use crate::section::Side;
use crate::told::{Told, add_new};

/// Spacing of the profile, mm.
const PROFILE_SPACING: f64 = 1.0;
/// Gap from which a tip that cannot reach is worth a warning, mm.
const WORTH_A_WARNING: f64 = 1.0;
/// Fall of an outer tension from which it is worth a note, and a warning, relative.
const FALL_NOTED: f64 = 1e-3;
const FALL_WARNED: f64 = 0.02;

/// One recess, one film class, one tool.
#[derive(Debug, Clone, Copy)]
pub struct Job<'a> {
    /// The recess as the tool's tip can press film on to it.
    pub bed: &'a Bed<'a>,
    /// The film class.
    pub film: &'a FilmClass,
    /// The tool; its pad and tip are those of `bed`.
    pub tool: &'a Tool,
    /// Where a growing bridge grows.
    pub split: Split,
    /// The step of width that a tape can show.
    pub step: TapeStep,
    /// Assumptions the caller made where nothing was said.
    pub assumptions: &'a [Notice],
    /// How film, lips and flats are; `None`: one temperature, nothing dragging, rolled.
    pub handling: Option<&'a Handling>,
    /// What the width is to be assured against; `None`: the section is what it is, and pressed
    /// and taped exactly.
    pub assurance: Option<Assurance>,
}

impl<'a> Job<'a> {
    /// A job of which nothing more is said: even split, steps of 5 mm, nothing dragging, the
    /// section taken for exact.
    pub fn new(bed: &'a Bed<'a>, film: &'a FilmClass, tool: &'a Tool) -> Self {
        Self {
            bed,
            film,
            tool,
            split: Split::default(),
            step: TapeStep::default(),
            assumptions: &[],
            handling: None,
            assurance: None,
        }
    }
}

impl Job<'_> {
    /// The section as data.
    pub fn section_report(&self) -> SectionReport {
        let recess = self.bed.recess();
        SectionReport {
            name: recess.section().name().to_owned(),
            kind: recess.kind(),
            mouth_mm: recess.mouth(),
            depth_mm: recess.depth(),
            points: recess
                .section()
                .line()
                .points()
                .iter()
                .map(|p| [p.x, p.y])
                .collect(),
        }
    }

    /// The film class as data.
    pub fn film_report(&self) -> FilmReport {
        FilmReport {
            name: self.film.name.clone(),
            limit_pct: 100.0 * self.film.limit(),
            recess_limit_pct: self.film.recess_limit().map(|l| 100.0 * l),
            provenance: self.film.limit_source().to_owned(),
        }
    }

    /// The tool as data.
    pub(super) fn tool_report(&self) -> ToolReport {
        ToolReport {
            name: self.tool.name.clone(),
            pad_mm: self.tool.pad(),
            tip_radius_mm: self.tool.tip_radius(),
            contact_length_mm: self.tool.contact_length(),
        }
    }

    /// The plain rule: bridge at least extra over limit.
    pub fn plain_rule(&self) -> PlainRule {
        plain_rule(self.bed.recess(), self.film.limit())
    }

    /// Numbers that decide and are invented.
    pub fn invented(&self) -> Vec<Invented> {
        let film = self.film.invented_deciding().into_iter();
        let film = film.map(|number| Invented::Film {
            film: self.film.name.clone(),
            number,
        });
        let tool = self.tool.invented_deciding().into_iter();
        let tool = tool.map(|number| Invented::Tool {
            tool: self.tool.name.clone(),
            number,
        });
        let handling = self.handling.iter().flat_map(|h| h.invented.clone());
        film.chain(tool).chain(handling).collect()
    }

    /// The same, and those behind a force that is more than a hand gives.
    fn all_invented(&self, force: &Force) -> Vec<Invented> {
        let mut all = self.invented();
        if force.within_hand == Some(false) {
            add_new(&mut all, &self.invented_in_force(force));
        }
        all
    }

    /// What was assumed, the model's own assumptions last.
    pub fn all_assumptions(&self) -> Vec<Notice> {
        let mut all = self.assumptions.to_vec();
        let section = self.bed.recess().assumptions().iter();
        all.extend(section.cloned().map(Notice::Section));
        all.push(Notice::Handled(self.handled()));
        if self.handling.is_none_or(|h| h.bay.ends.is_none()) {
            all.push(Notice::OpenEnds);
        }
        all.push(Notice::GoesOnAlike);
        all
    }

    /// How film, lips and flats are taken to be.
    pub(super) fn handled(&self) -> Handled {
        self.handling
            .map_or_else(Handled::default, |h| h.assumption.clone())
    }

    /// Lays the film once and reports it.
    ///
    /// # Errors
    /// [`LayError`] if the bond lines cannot be, or the march does not converge.
    pub fn check(&self, bonds: Bonds, order: Order, with_profile: bool) -> Result<Check, LayError> {
        Ok(self.report(bonds, &self.lay(bonds, order)?, with_profile))
    }

    /// Lays the film once.
    ///
    /// # Errors
    /// [`LayError`] if the bond lines cannot be, or the march does not converge.
    pub fn lay(&self, bonds: Bonds, order: Order) -> Result<Laydown, LayError> {
        match self.handling {
            Some(handling) => self.bed.lay_under(bonds, order, &handling.conditions),
            None => Ok(self.bed.lay(bonds, order)?),
        }
    }

    /// Is the film of one temperature, rolled down, with nothing dragging?
    pub(crate) fn is_plain(&self) -> bool {
        self.handling.is_none_or(|h| h.conditions.is_plain())
    }

    /// Peak and recess peak (stretch ratios) of an order, infinite if not finite.
    ///
    /// # Errors
    /// As [`Job::lay`], and [`LayError::LosesTension`] where the march is no verdict.
    pub(crate) fn peaks(&self, bonds: Bonds, order: Order) -> Result<(f64, f64), LayError> {
        if order == Order::DeepestFirst && self.is_plain() {
            let (left, right) = (self.bed.locate(bonds.left), self.bed.locate(bonds.right));
            return Ok(self.bed.deepest_first_peaks(left, right));
        }
        let laid = self.lay(bonds, order)?;
        if let Some(report) = laid.march().filter(|r| r.worth() == MarchWorth::NoVerdict) {
            return Err(LayError::LosesTension {
                percent: 100.0 * report.fall,
            });
        }
        let peak = laid.peak(self.bed).map_or(f64::INFINITY, |p| p.lambda);
        Ok((peak, laid.recess_peak().unwrap_or(f64::INFINITY)))
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
        let usual = Conditions::default();
        let conditions = self.handling.map_or(&usual, |h| &h.conditions);
        let laid = self.bed.lay_steps(bonds, steps, conditions)?;
        Ok(self.report(bonds, &laid, with_profile))
    }

    /// The bond lines an order takes for a total reach, mm: a middle push has none.
    pub(crate) fn bonds_for(&self, reach: f64, order: Order) -> Bonds {
        let reach = if order == Order::MiddlePush {
            0.0
        } else {
            reach
        };
        self.bed.bonds_for_reach(reach, self.split)
    }

    /// A place of the bed as data.
    pub(super) fn place(&self, s: f64) -> Place {
        let p = self.bed.line().at(s);
        Place {
            s_mm: s,
            x_mm: p.x,
            y_mm: p.y,
        }
    }

    /// A lay-down as data.
    fn report(&self, bonds: Bonds, laid: &Laydown, with_profile: bool) -> Check {
        let recess = self.bed.recess();
        let peak = laid.peak(self.bed);
        let percent = |lambda: f64| 100.0 * (lambda - 1.0);
        let peak_pct = peak.map(|p| percent(p.lambda));
        let recess_peak_pct = laid.recess_peak().map(percent);
        let limits = Limits::of(self.film);
        let margin_pct = match (peak, laid.recess_peak()) {
            (Some(p), Some(r)) => Some(-100.0 * limits.excess((p.lambda, r))),
            _ => None,
        };
        let mean = laid.mean();
        let penalty = peak
            .filter(|_| mean > 1e-9)
            .map(|p| (p.lambda - 1.0) / mean);
        let reach = bonds.reach(recess);
        let away = self.bed.out_of_reach(laid.bonds().0, laid.bonds().1);
        let rows = if with_profile {
            laid.profile(self.bed, PROFILE_SPACING)
        } else {
            Vec::new()
        };
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
        let usual = Conditions::default();
        let conditions = self.handling.map_or(&usual, |h| &h.conditions);
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
            profile: rows
                .iter()
                .enumerate()
                .map(|(k, r)| self.row(r, tension(k)))
                .collect(),
            source: if with_profile {
                film_source(laid, self.bed)
            } else {
                None
            },
            invented: told(self.all_invented(&force)),
            warnings: told(self.check_warnings(laid, away.gap, air.as_ref(), &force)),
            air,
            invented_in_force: told(self.invented_in_force(&force)),
            force: Some(force),
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
        all.extend(self.march_warnings(laid));
        let force = force.follows.iter();
        all.extend(force.map(|f| Notice::Force {
            notice: f.0.clone(),
        }));
        all.extend(air.and_then(|a| self.air_warning(laid, a)));
        let ends = self.handling.and_then(|h| h.bay.ends);
        if ends.is_some_and(|ends| ends != Ends::Open) {
            all.push(Notice::NearClosedEnd {
                within_mm: laid.bridge(),
            });
        }
        if !self.film.recess {
            all.push(Notice::NotForRecesses {
                film: self.film.name.clone(),
                in_no_way: false,
            });
        }
        all
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

/// Values as an answer carries them.
pub(super) fn told<T>(all: Vec<T>) -> Vec<Told<T>> {
    all.into_iter().map(Told).collect()
}

/// Limits of a film class, plain ratios.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits {
    pub(crate) all: f64,
    pub(crate) recess: Option<f64>,
}

impl Limits {
    pub(crate) fn of(film: &FilmClass) -> Self {
        Self {
            all: film.limit(),
            recess: film.recess_limit(),
        }
    }

    /// How far peak and recess peak (stretch ratios) are beyond the limits; at most 0 is
    /// within.
    pub(crate) fn excess(&self, (peak, recess_peak): (f64, f64)) -> f64 {
        let all = peak - 1.0 - self.all;
        self.recess
            .map_or(all, |limit| all.max(recess_peak - 1.0 - limit))
    }

    /// The same sign as [`Limits::excess`], written in reciprocals: the peak falls about as
    /// one over the bridge, so this is nearly straight in the reach and a root is near.
    pub(crate) fn shortfall(&self, (peak, recess_peak): (f64, f64)) -> f64 {
        let one = |lambda: f64, limit: f64| 1.0 / limit - 1.0 / (lambda - 1.0).max(1e-12);
        let all = one(peak, self.all);
        self.recess
            .map_or(all, |limit| all.max(one(recess_peak, limit)))
    }

    /// The same in percent.
    pub(crate) fn pct(&self) -> LimitsPct {
        LimitsPct {
            all_pct: 100.0 * self.all,
            recess_pct: self.recess.map(|l| 100.0 * l),
        }
    }

    /// The limit of film between the lips.
    pub(crate) fn inside(&self) -> f64 {
        self.recess.map_or(self.all, |limit| self.all.min(limit))
    }

    /// Does the limit between the lips decide?
    pub(crate) fn recess_decides(&self, (peak, recess_peak): (f64, f64)) -> bool {
        self.recess
            .is_some_and(|limit| recess_peak - limit > peak - self.all)
    }
}
