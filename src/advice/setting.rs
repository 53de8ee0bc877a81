//! A question with its names resolved: film, tool and handling, for one section after another.

use super::answer::{Check, Notice};
use super::assurance::Assurance;
use super::assured::held_pct;
use super::closed::ClosedEnds;
use super::handling::Handling;
use super::job::Job;
use super::press::pressed_best;
use super::question::{Names, OrderChoice, Question, Readings};
use super::question_error::QuestionError;
use super::width::recommend_width;
use crate::film::{FilmClass, Tool};
use crate::laydown::{Bed, Bonds, Order, Steps};
use crate::section::{Recess, Section, Side};

/// Everything but the section.
#[derive(Debug, Clone)]
pub struct Setting {
    /// What was asked.
    pub question: Question,
    /// The film class.
    pub film: FilmClass,
    /// The tool.
    pub tool: Tool,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Notice>,
    /// How film, lips and flats are.
    pub handling: Option<Handling>,
    /// What the width is to be assured against.
    pub assurance: Assurance,
    /// The closed ends of the recess.
    pub ends: Option<ClosedEnds>,
}

impl Setting {
    /// Resolves the names in a question.
    ///
    /// # Errors
    /// A name is not known, or a number is out of range.
    pub fn new(question: &Question, names: &dyn Names) -> Result<Self, QuestionError> {
        let film = question.film(names)?;
        let tool = question.tool(names)?;
        let handling = question.handling(&film, question.film.as_deref(), names)?;
        let assurance = question.assurance(&tool)?;
        Ok(Self {
            question: question.clone(),
            film,
            tool,
            assumptions: question.assumptions(),
            handling: Some(handling),
            assurance,
            ends: question.closed_ends()?,
        })
    }

    /// The bed of a recess for the tool.
    pub fn bed<'a>(&self, recess: &'a Recess) -> Bed<'a> {
        Bed::new(recess, self.tool.pad(), self.tool.tip_radius())
    }

    /// The job on a bed.
    pub fn job<'a>(&'a self, bed: &'a Bed<'a>) -> Job<'a> {
        Job {
            step: self.question.print_units().into(),
            bed,
            film: &self.film,
            tool: &self.tool,
            split: self.question.split.unwrap_or_default(),
            assumptions: &self.assumptions,
            handling: self.handling.as_ref(),
            assurance: Some(self.assurance),
            ends: self.ends.as_ref(),
        }
    }

    /// One section to answer for, and what to say of it: of the shapes behind tape readings the
    /// one that needs the widest bridge, for which [`recommend_family`](super::recommend_family)
    /// answers too. `handling`: how film, lips and flats are in that choice.
    ///
    /// # Errors
    /// As [`Question::recess`].
    pub fn section(
        &self,
        readings: Readings,
        handling: Option<&Handling>,
    ) -> Result<(Section, Option<Notice>), QuestionError> {
        let family = match readings {
            Readings::One(section) => return Ok((self.question.named(section), None)),
            Readings::Family(family) => family,
        };
        // Ranges of warm film count from a bond line, and here none stands yet.
        let handling = handling.filter(|_| self.question.with_open_width().is_ok());
        let mut most = (f64::NEG_INFINITY, family.nominal_member());
        for member in family.members() {
            let recess = self.question.recess(member.section.clone())?;
            let bed = self.bed(&recess);
            let job = Job {
                handling,
                assurance: None,
                ..self.job(&bed)
            };
            let width = recommend_width(&job).unrounded_bridge_mm;
            let width = width.unwrap_or(f64::INFINITY);
            if width > most.0 {
                most = (width, member);
            }
        }
        let note = Notice::OneShape {
            count: family.members().len(),
            widest: true,
            film: None,
            shape: most.1.shape(),
        };
        Ok((self.question.named(most.1.section.clone()), Some(note)))
    }

    /// The recess of a section, pressed at the best place unless it was said where.
    ///
    /// # Errors
    /// As [`Question::recess`].
    pub fn recess(&self, section: Section) -> Result<Recess, QuestionError> {
        Ok(self.pressed(self.question.recess(section)?))
    }

    /// A recess pressed at the best place unless it was said where.
    pub fn pressed(&self, recess: Recess) -> Recess {
        if !self.question.seeks_press() {
            return recess;
        }
        let best = pressed_best(&self.job(&self.bed(&recess)));
        best.unwrap_or(recess)
    }

    /// Bond lines that were given, by place or by width.
    ///
    /// # Errors
    /// One without its fellow or beside a width, or bond lines that cannot be.
    pub fn bonds(&self, bed: &Bed<'_>) -> Result<Option<Bonds>, QuestionError> {
        let asked = &self.question;
        let split = asked.split.unwrap_or_default();
        let lines = (asked.bond_left_x_mm, asked.bond_right_x_mm);
        Ok(match (lines, asked.bridge_mm) {
            ((Some(left), Some(right)), None) => Some(Bonds::at_x(bed.recess(), left, right)?),
            ((None, None), Some(bridge)) => Some(bed.bonds_for_bridge(bridge, split)?),
            ((None, None), None) => None,
            _ => return Err(QuestionError::LoneBond),
        })
    }

    /// The order asked for, and its steps if it is a list of them.
    ///
    /// # Errors
    /// The steps cannot be read.
    pub fn order(&self, names: &dyn Names) -> Result<(Order, Option<Steps>), QuestionError> {
        let loose = self.question.loose.unwrap_or(Side::Right);
        Ok(match &self.question.order {
            None => (Order::DeepestFirst, None),
            Some(OrderChoice::Named(name)) => (name.order(loose), None),
            Some(OrderChoice::Steps(text)) => (Order::Custom, Some(names.steps(text)?)),
        })
    }

    /// Lays the film once, by the order and at the bond lines asked for.
    ///
    /// # Errors
    /// A middle push with a bridge, another order without one, or film that cannot be laid.
    pub fn check(
        &self,
        job: &Job<'_>,
        names: &dyn Names,
        with_profile: bool,
    ) -> Result<Check, QuestionError> {
        self.laid(job, names, with_profile, false)
    }

    /// The same for a card, with the least bridge round each closed end that keeps the limits.
    ///
    /// # Errors
    /// As [`Setting::check`].
    pub fn check_for_card(&self, job: &Job<'_>, names: &dyn Names) -> Result<Check, QuestionError> {
        self.laid(job, names, true, true)
    }

    fn laid(
        &self,
        job: &Job<'_>,
        names: &dyn Names,
        with_profile: bool,
        widen: bool,
    ) -> Result<Check, QuestionError> {
        let (order, steps) = self.order(names)?;
        if order == Order::MiddlePush && self.question.has_width() {
            return Err(QuestionError::PushWithBridge);
        }
        let bonds = match self.bonds(job.bed)? {
            Some(bonds) => bonds,
            None if order == Order::MiddlePush || order.feeds_in() => {
                Bonds::with_reach(job.bed.recess(), 0.0, 0.0)
            }
            None => return Err(QuestionError::NoBridge(order)),
        };
        let mut check = match &steps {
            Some(steps) => job.check_steps(bonds, steps, with_profile)?,
            None => {
                let mut check = job.check(bonds, order, with_profile)?;
                check.held_pct = held_pct(job, bonds, order);
                check
            }
        };
        job.round_the_ends(bonds, order, widen, &mut check);
        Ok(check)
    }
}
