//! Peak against bridge width, as data.

use super::invented::Invented;
use super::notice::Notice;
use super::parts::{FilmReport, PlainRule, SectionReport};
#[cfg(doc)]
use super::parts::{PROGRAM, SCHEMA};
use crate::laydown::OrderName;
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// One width and order of a sweep.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SweepRow {
    /// Bridge width, mm.
    pub bridge_mm: f64,
    /// Order.
    pub order: OrderName,
    /// Largest local elongation, percent; `None` if it is not finite.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips, percent.
    pub recess_peak_pct: Option<f64>,
    /// Mean elongation, percent: below it no order can go, so this is the plain rule.
    pub mean_pct: f64,
}

/// Peak against bridge width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Sweep {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// The section.
    pub section: SectionReport,
    /// The film class.
    pub film: FilmReport,
    /// The plain rule.
    pub plain_rule: PlainRule,
    /// Width for the section as read, rounded up, mm, if any.
    pub nominal_bridge_mm: Option<f64>,
    /// Width that is recommended, mm, if any: the assured one where readings leave doubt.
    pub recommended_bridge_mm: Option<f64>,
    /// Intervals of width within the limits, deepest first, mm.
    pub feasible: Vec<[f64; 2]>,
    /// One row a width and order, widths ascending.
    pub rows: Vec<SweepRow>,
    /// Numbers that decided and are invented.
    pub invented: Vec<Told<Invented>>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<Told<Notice>>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Told<Notice>>,
}
