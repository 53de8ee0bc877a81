//! A comparison as data: what `compare --json` prints.

use crate::advice::answer::{
    Alternative, EndReport, FilmReport, Invented, NoWidth, Notice, PeakAt, SectionReport,
    ToolReport, Warmed,
};
#[cfg(doc)]
use crate::advice::answer::{PROGRAM, SCHEMA};
use crate::laydown::OrderName;
use crate::outcome::{Effort, ForceNotice, WayOut};
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// How a row came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Verdict {
    /// Within the limits.
    Does,
    /// Within the limits with no reach: the same as the class's middle push.
    SameAsMiddlePush,
    /// Stretches nothing, if artwork and sheet edge may move.
    OnCondition,
    /// Over a limit at every width.
    Over,
    /// The tool cannot get in.
    OutOfReach,
    /// The class is not meant for recesses.
    NotForRecesses,
    /// It could not be computed.
    NotKnown,
}

/// One class in one order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ComparisonRow {
    /// The film class.
    pub film: FilmReport,
    /// Order; `None` where no order was looked at.
    pub order: Option<OrderName>,
    /// How it came out.
    pub verdict: Verdict,
    /// Why.
    pub why: Told<Notice>,
    /// Is this what [`recommend`](crate::recommend) takes for the class?
    pub recommended: bool,
    /// Whether the readings are too rough to say a width for this class.
    #[serde(default)]
    pub too_rough: bool,
    /// Which film is warmed, and to how many degC where that matters.
    pub warm: Option<Warmed>,
    /// Bridge width, mm; `None` one-way, which takes none.
    pub bridge_mm: Option<f64>,
    /// Unbonded panel beyond the left lip or foot, mm.
    pub reach_left_mm: Option<f64>,
    /// Unbonded panel beyond the right lip or foot, mm.
    pub reach_right_mm: Option<f64>,
    /// Shift of artwork and sheet edge on the loose side, mm; one-way alone.
    pub artwork_shift_mm: Option<f64>,
    /// Largest local elongation, percent; `None` if it is not finite or not known.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips, percent.
    pub recess_peak_pct: Option<f64>,
    /// Where the peak is.
    pub peak_at: Option<PeakAt>,
    /// Limit less peak, percentage points (the smaller of both limits' margins).
    pub margin_pct: Option<f64>,
    /// Margin that the readings need, points: what one gauge tolerance more depth adds to the
    /// peak, at least half a point; of rows that do.
    pub margin_needed_pct: Option<f64>,
    /// Does, with that margin.
    #[serde(default)]
    pub sure: bool,
    /// Share of the shapes that fit the readings in which the limit is kept, percent: of the
    /// row that is recommended, and of one that is not assured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held_pct: Option<f64>,
    /// The closed ends of the recess, each with the bridge round it; of rows that do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ends: Vec<EndReport>,
    /// Was it laid, so that air and force could be looked at?
    pub laid: bool,
    /// Where the air goes; `None`: not known, or not laid.
    pub air: Option<WayOut>,
    /// Largest force of the fingers, N; `None` if it is not computed.
    pub force_n: Option<f64>,
    /// How hard that is.
    #[serde(default)]
    pub effort: Option<Effort>,
    /// Hold ratio on a hot day after post-heating; `None` where it is not known, or nothing pulls.
    #[serde(default)]
    pub hold_ratio: Option<f64>,
    /// Rank among the rows by it, 1 for the row that holds best.
    #[serde(default)]
    pub hold_rank: Option<usize>,
    /// Is that force at most what a hand gives?
    pub within_hand: Option<bool>,
    /// Why there is no force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_force: Option<Told<ForceNotice>>,
    /// Least temperature of the film's surface when post-heated, degC, if the class says.
    pub post_heat_min_c: Option<f64>,
    /// Film that covers the panel common to all rows, mm wide before it is stretched.
    pub film_mm: Option<f64>,
    /// Price, in the user's money a square metre, if the class says.
    pub price_per_m2: Option<f64>,
    /// Minutes to lay a metre of recess in this order, if the class says.
    pub minutes_per_m: Option<f64>,
    /// Cost, in the user's money a metre of recess; see [`compare`](crate::compare).
    pub cost_per_m: Option<f64>,
    /// Why the cost is not known, if so.
    pub cost_unknown: Option<Told<Notice>>,
}

/// Film classes and orders on one recess, the best first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Comparison {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// The section.
    pub section: SectionReport,
    /// The tool.
    pub tool: ToolReport,
    /// Arc less taut length of the bare section, mm.
    pub extra_mm: f64,
    /// Widest bridge, mm: mouth and clear panel.
    pub widest_bridge_mm: f64,
    /// Rows, the best first.
    pub rows: Vec<ComparisonRow>,
    /// Does any class in any order, without a condition? Then the first row does: with the
    /// margin that readings need, if any does with it.
    pub acceptable: bool,
    /// Rate, in the user's money an hour, if it counts.
    pub rate_per_h: Option<f64>,
    /// Panel that every row is charged for, arc length, mm; `None` if no row does.
    pub covered_mm: Option<f64>,
    /// The class that `no_width` and `alternatives` are for: the nearest miss.
    pub alternatives_for: Option<String>,
    /// Why that class has no width, in numbers.
    pub no_width: Option<NoWidth>,
    /// What else would do; only where no class does.
    pub alternatives: Vec<Told<Alternative>>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<Told<Notice>>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Told<Notice>>,
    /// Numbers that decided and are invented.
    pub invented: Vec<Told<Invented>>,
}
