//! How film, lips and flats are at the time of laying, and what can go wrong with that.

use super::BondError;
use super::steps::{Spot, Step};
use crate::fault::Fault;
use crate::film::StretchLaw;
use serde::{Deserialize, Serialize};

/// How film goes down at the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Laying {
    /// Rolled down
    ///
    /// At the tension it has in the free span.
    #[default]
    Rolled,
    /// Dabbed down square to the panel
    ///
    /// Free to slide until it is down: at that tension times the cosine of the angle between
    /// free film and panel.
    Dabbed,
}

impl Laying {
    /// The name used on the command line and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::Rolled => "rolled",
            Self::Dabbed => "dabbed",
        }
    }
}

/// A range of the unstretched film with a law of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmRange {
    /// Begin and end, mm from the left bond line along the unstretched film.
    pub from: f64,
    /// End.
    pub to: f64,
    /// Its stretch law.
    pub law: StretchLaw,
}

/// Which film has another temperature than the rest.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Warm {
    /// None: the whole bridge is alike.
    #[default]
    Whole,
    /// The film between the lips before pressing (a step: lip to foot) has this law.
    Mouth(StretchLaw),
    /// The film outside of that has this law.
    Flats(StretchLaw),
    /// Ranges of the film, left to right, not overlapping.
    Ranges(Vec<FilmRange>),
}

/// Conditions of the laying. The default is film of one temperature, nothing dragging,
/// rolled down: then the closed form is used.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Conditions {
    /// Friction coefficient of film that slides over a corner, 0 or more; 0. Raising it
    /// keeps stretch inside the recess.
    pub lip_friction: f64,
    /// Drag of film that slides along a facet it rests on, `MPa`, 0 or more; 0. Raising it
    /// ends the stretch nearer to the lip.
    pub drag: f64,
    /// Laying rule; rolled.
    pub laying: Laying,
    /// Stretch law of the film; its stiffness matters only against drag and other zones.
    pub law: StretchLaw,
    /// Film with another law; none.
    pub warm: Warm,
}

/// What the march saw on its way.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MarchReport {
    /// Steps of integration.
    pub steps: usize,
    /// Largest relative fall of the tension of film that rests beyond a front, 0 to 1: the
    /// march assumes that there is none. With drag, of film that had at least a tenth of
    /// the front's tension.
    pub fall: f64,
    /// Film held less film there was after the last step, relative.
    pub residual: f64,
    /// Where drag ends the stretch on the left and on the right, arc lengths, mm: the film
    /// beyond lies as it was.
    pub useful: (Option<f64>, Option<f64>),
    /// Film at the left and at the right bond line that had no tension at any step of
    /// deepest-first, mm: nothing depends on whether it is there.
    pub slack: (f64, f64),
}

/// Fall of the tension of resting film from which the march says nothing, a plain ratio:
/// most of what it had. The march lets such film slide back outwards, which drag and
/// friction would hinder, so that its peak is not that of the film. Lower refuses answers
/// that are off by less than the material is known to, higher names a width by them.
const MOST_FALL: f64 = 0.5;

/// What a march is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarchWorth {
    /// Its assumption holds well enough: the peak may be held against a limit.
    Verdict,
    /// Film that rests loses most of its tension on the way: the peak is none to go by.
    NoVerdict,
}

impl MarchReport {
    /// May the peak be held against a limit?
    pub fn worth(&self) -> MarchWorth {
        if self.fall <= MOST_FALL {
            MarchWorth::Verdict
        } else {
            MarchWorth::NoVerdict
        }
    }
}

/// Why there is no lay-down.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum LayError {
    /// The bond lines cannot be.
    Bonds(BondError),
    /// A condition cannot be.
    Condition {
        /// Its key in a question.
        key: &'static str,
        /// What was found; expected is a finite number, 0 or more.
        found: f64,
    },
    /// Ranges of film overlap or run back.
    Ranges {
        /// Begin, mm.
        from: f64,
        /// End, mm.
        to: f64,
    },
    /// A step of a custom order cannot be.
    Step(Box<Fault>),
    /// A custom order ends with film still free.
    StillFree {
        /// From where to where film is free.
        free: Vec<(Spot, Spot)>,
        /// A step that lays the first of it.
        next: Step,
    },
    /// Film slides both ways over a ridge, which the march cannot follow.
    Ridge,
    /// Film that rests loses most of its tension on the way, which the march leaves out.
    LosesTension {
        /// Largest fall, percent.
        percent: f64,
    },
    /// The tension of a span could not be found.
    NotConverged {
        /// Arc length of the front, mm.
        at: f64,
    },
    /// The steps became too many.
    Stalled {
        /// Arc length of the front, mm.
        at: f64,
        /// Steps taken.
        steps: usize,
    },
}

impl From<BondError> for LayError {
    fn from(error: BondError) -> Self {
        Self::Bonds(error)
    }
}

/// Film in zones with a law each, left to right, and the conditions it is laid under: what
/// the general march is for.
pub(super) struct Zoned<'a> {
    /// Where each ends, mm from the left bond line, and its law.
    pub(super) zones: Vec<(f64, &'a StretchLaw)>,
    pub(super) conditions: &'a Conditions,
}

impl Conditions {
    /// Film of one temperature, rolled down, nothing dragging: what the closed form lays.
    pub fn is_plain(&self) -> bool {
        self.lip_friction <= 0.0
            && self.drag <= 0.0
            && self.laying == Laying::Rolled
            && self.warm == Warm::Whole
    }

    /// Does friction or drag hold film that slides?
    pub(super) fn is_held(&self) -> bool {
        self.lip_friction > 0.0 || self.drag > 0.0
    }

    /// Refuses what cannot be.
    pub(super) fn inspect(&self) -> Result<(), LayError> {
        for (key, found) in [("lip_friction", self.lip_friction), ("drag_kpa", self.drag)] {
            if !(found.is_finite() && found >= 0.0) {
                return Err(LayError::Condition { key, found });
            }
        }
        if let Warm::Ranges(ranges) = &self.warm {
            let mut end = f64::NEG_INFINITY;
            for r in ranges {
                if !(r.from.is_finite() && r.to.is_finite() && end <= r.from && r.from < r.to) {
                    return Err(LayError::Ranges {
                        from: r.from,
                        to: r.to,
                    });
                }
                end = r.to;
            }
        }
        Ok(())
    }

    /// The film from left to right as zones with a law each, like neighbours joined.
    ///
    /// # Arguments
    /// * `taut`: unstretched film between the bond lines, mm.
    /// * `mouth`: the film between the lips before pressing, mm.
    pub(super) fn zones(&self, taut: f64, mouth: (f64, f64)) -> Vec<(f64, &StretchLaw)> {
        let mut zones: Vec<(f64, &StretchLaw)> = Vec::new();
        let mut add = |to: f64, law| {
            let to = to.clamp(0.0, taut);
            let from = zones.last().map_or(0.0, |z| z.0);
            if to - from <= 1e-12 * taut {
                return;
            }
            match zones.last_mut() {
                Some(last) if last.1 == law => last.0 = to,
                _ => zones.push((to, law)),
            }
        };
        match &self.warm {
            Warm::Whole => {}
            Warm::Mouth(inside) => {
                add(mouth.0, &self.law);
                add(mouth.1, inside);
            }
            Warm::Flats(outside) => {
                add(mouth.0, outside);
                add(mouth.1, &self.law);
                add(taut, outside);
            }
            Warm::Ranges(ranges) => {
                for r in ranges {
                    add(r.from, &self.law);
                    add(r.to, &r.law);
                }
            }
        }
        add(taut, &self.law);
        zones
    }
}
