//! What an answer is asked for: a bed, a film class, a tool.

use super::answer::{
    FilmReport, Handled, Invented, LimitsPct, Notice, Place, PlainRule, SectionReport, ToolReport,
};
use super::assurance::Assurance;
use super::closed::ClosedEnds;
use super::handling::Handling;
use super::plain::plain_rule;
use super::tape_step::TapeStep;
use crate::film::{FilmClass, Tool};
use crate::laydown::{Bed, Bonds, Conditions, LayError, Laydown, MarchWorth, Order, Split};
use crate::told::Told;
use std::borrow::Cow;

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
    /// The closed ends of the recess; `None`: it runs out, or nothing was said.
    pub ends: Option<&'a ClosedEnds>,
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
            ends: None,
        }
    }
}

impl Job<'_> {
    /// The section as data.
    pub fn section_report(&self) -> SectionReport {
        let recess = self.bed.recess();
        let points = recess.section().line().points();
        SectionReport {
            name: recess.section().name().to_owned(),
            kind: recess.kind(),
            mouth_mm: recess.mouth(),
            depth_mm: recess.depth(),
            points: points.iter().map(|p| [p.x, p.y]).collect(),
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

    /// What was assumed, the model's own assumptions last.
    pub fn all_assumptions(&self) -> Vec<Notice> {
        let mut all = self.assumptions.to_vec();
        let section = self.bed.recess().assumptions().iter();
        all.extend(section.cloned().map(Notice::Section));
        all.push(Notice::Handled(self.handled()));
        if let Some(ends) = self.ends {
            let assumed = ends.ends.iter().any(|end| end.assumed);
            all.extend(assumed.then_some(Notice::EndsAssumed));
            let mm = ends.clear();
            all.extend(ends.clear_end.is_none().then_some(Notice::ClearEnd { mm }));
        } else if self.handling.is_none_or(|h| h.bay.ends.is_none()) {
            all.push(Notice::OpenEnds);
        }
        all.push(match self.ends {
            Some(_) => Notice::EndsModel,
            None => Notice::GoesOnAlike,
        });
        all
    }

    /// How film, lips and flats are taken to be.
    pub(super) fn handled(&self) -> Handled {
        self.handling
            .map_or_else(Handled::default, |h| h.assumption.clone())
    }

    /// Lays the film once.
    ///
    /// # Errors
    /// [`LayError`] if the bond lines cannot be, or the march does not converge.
    pub fn lay(&self, bonds: Bonds, order: Order) -> Result<Laydown, LayError> {
        self.bed.lay_under(bonds, order, &self.conditions())
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

    /// The bond lines an order takes for a total reach, mm: a middle push has none.
    pub(crate) fn bonds_for(&self, reach: f64, order: Order) -> Bonds {
        let reach = if order == Order::MiddlePush {
            0.0
        } else {
            reach
        };
        self.bed.bonds_for_reach(reach, self.split)
    }

    /// Why the class is not laid in a recess, if so.
    pub(super) fn not_for_recesses(&self, in_no_way: bool) -> Option<Notice> {
        let film = self.film.name.clone();
        (!self.film.recess).then_some(Notice::NotForRecesses { film, in_no_way })
    }

    /// Is a hot day of the class hotter than its film is made to bear?
    pub(super) fn hotter_than_service(&self) -> Option<Notice> {
        let film = self.film;
        let (hot, most) = film.hot_day_c.as_ref().zip(film.service_max_c.as_ref())?;
        (hot.value > most.value).then(|| Notice::HotterThanService {
            film: film.name.clone(),
            hot_day_c: hot.value,
            service_max_c: most.value,
        })
    }

    /// The same job with even film, nothing dragging.
    pub fn plain(self) -> Self {
        Self {
            handling: None,
            ..self
        }
    }

    /// A place of the bed as data.
    pub(super) fn place(&self, s: f64) -> Place {
        Place::on(self.bed, s)
    }

    /// The conditions of the laying.
    pub(crate) fn conditions(&self) -> Cow<'_, Conditions> {
        match self.handling {
            Some(handling) => Cow::Borrowed(&handling.conditions),
            None => Cow::Owned(Conditions::default()),
        }
    }

    /// Does an order keep the limits between these bond lines?
    pub(super) fn keeps_limits(&self, bonds: Bonds, order: Order) -> bool {
        let limits = Limits::of(self.film);
        (self.peaks(bonds, order)).is_ok_and(|peaks| limits.shortfall(peaks) <= 0.0)
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
