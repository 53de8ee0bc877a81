//! Friction, drag and warmth that the marks of trial pieces tell, with their errors.
//!
//! A mark at F of the flat film lies at S(F; p) along the panel, p the unknowns. All marks of a
//! piece may be off together by where the tape was hooked on, o, known to [`ORIGIN`]; each is
//! read to the mark's error e:
//!
//! ```text
//! r_i = (S_i - measured_i - o)/e     r_o = o/ORIGIN     o of the least sum, in closed form
//! ```
//!
//! Unknowns come in one at a time, the one that takes most of the sum first, and only if it is
//! off zero by more than its 95 % error. One that stays out has left no trace (its upper bound is
//! said), or cannot be told from one that is in: their errors go together by more than
//! [`ALIKE`], or it explains the marks as well in its place.
//!
//! An unknown cannot be below zero; its fit may, by f(-p) = 2 f(0) - f(p), so that errors keep
//! their meaning there, and is cut off afterwards. The scatter of the marks counts, or the stated
//! error where the scatter is less.

use super::least_squares::{Fit, NoFit, fit, student};
use super::marks::Piece;
use crate::film::StretchLaw;
use crate::laydown::{Bed, Bonds, Conditions, Laydown, Order, Warm};
use serde::{Deserialize, Serialize};

/// How far a whole piece's marks may be off together, mm, standard deviation: the hook of a
/// tape. Less takes a slipped hook for friction, more gives away what the marks of the flats tell.
pub(super) const ORIGIN: f64 = 1.0;
/// Correlation from which two unknowns are one.
const ALIKE: f64 = 0.95;

/// An unknown of the laying.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unknown {
    /// Friction coefficient of film on the lips.
    LipFriction,
    /// Drag of film over the flats, kPa.
    Drag,
    /// How much softer the warm zone was than its law says, natural logarithm of the ratio.
    Warmth,
}

impl Unknown {
    /// First guess, and the step that shows in the marks and is yet small.
    fn start(self) -> (f64, f64) {
        match self {
            Self::LipFriction => (0.1, 0.01),
            Self::Drag => (0.5, 0.05),
            Self::Warmth => (0.05, 0.02),
        }
    }

    /// May it be below zero?
    fn signed(self) -> bool {
        self == Self::Warmth
    }

    fn set(self, conditions: &mut Conditions, value: f64) {
        match self {
            Self::LipFriction => conditions.lip_friction = value,
            Self::Drag => conditions.drag = value / 1000.0,
            Self::Warmth => {
                if let Warm::Mouth(law) | Warm::Flats(law) = &mut conditions.warm
                    && let StretchLaw::NeoHookean(stiffness) = law
                {
                    *stiffness *= (-value).exp();
                }
            }
        }
    }
}

/// What was laid: all but the unknowns.
#[derive(Debug, Clone)]
pub struct Case<'a> {
    /// The recess as the tool reaches it.
    pub bed: &'a Bed<'a>,
    /// The order of pressing.
    pub order: Order,
    /// What is known of the laying.
    pub known: Conditions,
    /// The laying as it was computed before there was a trial.
    pub before: Conditions,
    /// What is to be found.
    pub unknown: Vec<Unknown>,
    /// Error of a mark's place, mm, standard deviation.
    pub mark_error: f64,
}

/// A piece with its bond lines.
#[derive(Debug, Clone)]
pub struct Laid {
    /// Marks and what became of it.
    pub piece: Piece,
    /// Its bond lines.
    pub bonds: Bonds,
}

/// Why an unknown was not told.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum NotTold {
    /// It has left no trace: at most this, in 95 of 100 trials.
    NoTrace {
        /// In its unit.
        at_most: f64,
    },
    /// It cannot be told from another.
    Alike {
        /// Which.
        other: Unknown,
        /// What it would be in place of the other.
        instead: f64,
    },
    /// Nothing that was marked depends on it.
    NoEffect,
}

/// What the marks say of an unknown.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Which.
    pub unknown: Unknown,
    /// Its value; zero where it was not told.
    pub value: f64,
    /// Its standard error.
    pub error: f64,
    /// From and to, 95 %.
    pub between: [f64; 2],
    /// Why it was not told, if so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_told: Option<NotTold>,
}

/// Why there is nothing told at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum FitError {
    /// Too few marks: those there are, and those needed.
    TooFew {
        /// Marks there are.
        found: usize,
        /// Marks needed.
        needed: usize,
    },
    /// Film could not be laid as it was said.
    NotLaid,
    /// The search did not end.
    NoEnd,
}

/// What the marks say.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) told: Vec<Told>,
    /// Unknowns that are told, and the fit of them.
    pub(super) set: Vec<Unknown>,
    pub(super) fit: Option<Fit>,
    /// Scatter of the marks about the fit, mm.
    pub(super) scatter: f64,
}

impl Case<'_> {
    /// Film laid with these values, cut off at what can be.
    pub(super) fn lay(&self, set: &[Unknown], values: &[f64], bonds: Bonds) -> Option<Laydown> {
        let mut conditions = self.known.clone();
        for (unknown, &value) in set.iter().zip(values) {
            unknown.set(
                &mut conditions,
                if unknown.signed() {
                    value
                } else {
                    value.max(0.0)
                },
            );
        }
        self.lay_under(&conditions, bonds)
    }

    /// Film laid under these conditions.
    pub(super) fn lay_under(&self, conditions: &Conditions, bonds: Bonds) -> Option<Laydown> {
        let laid = self.bed.lay_under(bonds, self.order, conditions).ok()?;
        laid.is_finite().then_some(laid)
    }

    /// Where the marks of a piece lie with these values, mm from the left bond line.
    pub(super) fn places(&self, set: &[Unknown], values: &[f64], laid: &Laid) -> Option<Vec<f64>> {
        let below = set
            .iter()
            .zip(values)
            .position(|(u, v)| !u.signed() && *v < 0.0);
        if let Some(k) = below {
            let at = |value: f64| {
                let mut values = values.to_vec();
                values[k] = value;
                self.places(set, &values, laid)
            };
            let (zero, other) = (at(0.0)?, at(-values[k])?);
            return Some(zero.iter().zip(other).map(|(z, o)| 2.0 * z - o).collect());
        }
        let down = self.lay(set, values, laid.bonds)?;
        let (left, right) = down.bonds();
        let film = down.film_ends()?;
        let place = |flat: f64| {
            // Beyond the bond lines film lies as it was.
            Some(if flat <= film.0 {
                flat - film.0
            } else if flat >= film.1 {
                right - left + flat - film.1
            } else {
                down.place_of(flat)? - left
            })
        };
        laid.piece
            .marks
            .iter()
            .map(|mark| place(mark.flat_mm))
            .collect()
    }

    /// How far a piece's marks are off together, mm: measured less predicted.
    pub(super) fn origin(&self, laid: &Laid, places: &[f64]) -> f64 {
        let off = laid.piece.marks.iter().zip(places);
        let off: f64 = off.map(|(mark, place)| mark.panel_mm - place).sum();
        #[expect(clippy::cast_precision_loss, reason = "some tens of marks")]
        let count = places.len() as f64;
        off / (count + (self.mark_error / ORIGIN).powi(2))
    }

    fn residuals(&self, set: &[Unknown], values: &[f64], pieces: &[Laid]) -> Option<Vec<f64>> {
        let mut all = Vec::new();
        for laid in pieces.iter().filter(|laid| !laid.piece.marks.is_empty()) {
            let places = self.places(set, values, laid)?;
            let origin = self.origin(laid, &places);
            let marks = laid.piece.marks.iter().zip(&places);
            all.extend(
                marks.map(|(mark, place)| (mark.panel_mm - place - origin) / self.mark_error),
            );
            all.push(origin / ORIGIN);
        }
        Some(all)
    }

    fn fit(&self, set: &[Unknown], pieces: &[Laid]) -> Result<Fit, NoFit> {
        let (start, steps): (Vec<f64>, Vec<f64>) = set.iter().map(|u| u.start()).unzip();
        let count = pieces
            .iter()
            .filter(|laid| !laid.piece.marks.is_empty())
            .count();
        let mut found = fit(
            &|values| self.residuals(set, values, pieces),
            &start,
            &steps,
        )?;
        // An origin a piece is found too.
        found.free = found
            .free
            .checked_sub(count)
            .filter(|&free| free > 0)
            .ok_or(NoFit::TooFew)?;
        Ok(found)
    }

    /// Finds what the marks tell.
    pub(super) fn find(&self, pieces: &[Laid]) -> Result<Found, FitError> {
        let marked = pieces.iter().filter(|laid| !laid.piece.marks.is_empty());
        let (count, marks) =
            marked.fold((0, 0), |(n, m), laid| (n + 1, m + laid.piece.marks.len()));
        let needed = count + self.unknown.len() + 1;
        if marks < needed.max(super::marks::FEWEST) {
            return Err(FitError::TooFew {
                found: marks,
                needed: needed.max(super::marks::FEWEST),
            });
        }
        let plain = self.residuals(&[], &[], pieces).ok_or(FitError::NotLaid)?;
        let plain: f64 = plain.iter().map(|r| r * r).sum();
        let (mut set, mut best): (Vec<Unknown>, Option<Fit>) = (Vec::new(), None);
        loop {
            let tried = self
                .unknown
                .iter()
                .filter(|u| !set.contains(u))
                .filter_map(|&unknown| {
                    let with = [&set[..], &[unknown]].concat();
                    let fit = self.fit(&with, pieces).ok()?;
                    let last = set.len();
                    let clear = interval(&fit, last).is_some_and(|(value, error)| {
                        value.abs() > student(fit.free) * error && (unknown.signed() || value > 0.0)
                    });
                    let alike = (0..last).any(|k| fit.correlation(k, last).abs() > ALIKE);
                    (clear && !alike).then_some((with, fit))
                });
            let least = tried.min_by(|a, b| a.1.sum.total_cmp(&b.1.sum));
            match least {
                Some((with, fit)) => (set, best) = (with, Some(fit)),
                None => break,
            }
        }
        let free = best.as_ref().map_or(marks - count, |fit| fit.free);
        #[expect(clippy::cast_precision_loss, reason = "some tens of marks")]
        let scatter =
            (best.as_ref().map_or(plain, |fit| fit.sum) / free as f64).sqrt() * self.mark_error;
        let told =
            self.unknown
                .iter()
                .map(|&unknown| match set.iter().position(|&u| u == unknown) {
                    Some(k) => in_set(unknown, best.as_ref(), k),
                    None => self.left_out(unknown, &set, best.as_ref(), pieces),
                });
        Ok(Found {
            told: told.collect(),
            set,
            fit: best,
            scatter,
        })
    }

    /// What is said of an unknown that stays out.
    fn left_out(
        &self,
        unknown: Unknown,
        set: &[Unknown],
        best: Option<&Fit>,
        pieces: &[Laid],
    ) -> Told {
        let mut said = Told {
            unknown,
            value: 0.0,
            error: 0.0,
            between: [0.0, f64::INFINITY],
            not_told: Some(NotTold::NoEffect),
        };
        let with = [set, &[unknown]].concat();
        let last = set.len();
        let joint = self.fit(&with, pieces).ok();
        // In place of each that is in.
        for (k, &other) in set.iter().enumerate() {
            let mut swapped = set.to_vec();
            swapped[k] = unknown;
            let alone = self.fit(&swapped, pieces).ok();
            let as_well = alone.as_ref().zip(best).is_some_and(|(alone, best)| {
                let clear = student(best.free).powi(2) * counted(best);
                alone.at[k] > 0.0 && alone.sum - best.sum < clear
            });
            let together = joint
                .as_ref()
                .is_none_or(|fit| fit.correlation(k, last).abs() > ALIKE);
            if let Some(alone) = alone.filter(|alone| alone.at[k] > 0.0 && (as_well || together)) {
                said.not_told = Some(NotTold::Alike {
                    other,
                    instead: alone.at[k],
                });
                return said;
            }
        }
        let Some((fit, (value, error))) = joint
            .as_ref()
            .and_then(|fit| Some((fit, interval(fit, last)?)))
        else {
            return said;
        };
        let at_most = value.max(0.0) + student(fit.free) * error;
        said.error = error;
        said.between[1] = at_most;
        said.not_told = Some(NotTold::NoTrace { at_most });
        said
    }
}

/// Variance of a residual that is counted: at least that of the stated error, 1.
fn counted(fit: &Fit) -> f64 {
    fit.variance().max(1.0)
}

/// Value and standard error of a parameter.
fn interval(fit: &Fit, k: usize) -> Option<(f64, f64)> {
    let error = (counted(fit) * fit.spread[(k, k)]).sqrt();
    error.is_finite().then_some((fit.at[k], error))
}

fn in_set(unknown: Unknown, best: Option<&Fit>, k: usize) -> Told {
    let found = best.and_then(|fit| Some((fit.free, interval(fit, k)?)));
    let (free, (value, error)) = found.unwrap_or((0, (0.0, f64::INFINITY)));
    let reach = student(free) * error;
    let least = if unknown.signed() {
        f64::NEG_INFINITY
    } else {
        0.0
    };
    Told {
        unknown,
        value,
        error,
        between: [(value - reach).max(least), value + reach],
        not_told: None,
    }
}

impl Found {
    /// The values of what is told, cut off at what can be.
    pub(super) fn values(&self) -> Vec<f64> {
        let all = self.fit.as_ref().map_or(&[][..], |fit| &fit.at[..]);
        all.to_vec()
    }

    /// Standard error of a number that depends on the told values, from its values at steps off
    /// them.
    pub(super) fn error_of(&self, of: impl Fn(&[f64]) -> Option<f64>) -> Option<f64> {
        let Some(fit) = &self.fit else {
            return Some(0.0);
        };
        let slope = |k: usize| {
            let step = self.set[k].start().1;
            // Two steps that both can be.
            let middle = if self.set[k].signed() {
                fit.at[k]
            } else {
                fit.at[k].max(step)
            };
            let moved = |by: f64| {
                let mut at = fit.at.clone();
                at[k] = middle + by;
                of(&at)
            };
            Some((moved(step)? - moved(-step)?) / (2.0 * step))
        };
        let slopes: Option<Vec<f64>> = (0..fit.at.len()).map(slope).collect();
        let slopes = nalgebra::DVector::from_vec(slopes?);
        let spread = slopes.dot(&(&fit.spread * &slopes));
        Some((counted(fit) * spread).max(0.0).sqrt())
    }
}
