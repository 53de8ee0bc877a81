//! The main job's answer as data.

use super::alternative::{Alternative, NoWidth};
use super::check::Check;
use super::end::EndReport;
use super::handled::Warmed;
use super::invented::Invented;
use super::notice::Notice;
use super::parts::{FilmReport, PlainRule, SectionReport};
#[cfg(doc)]
use super::parts::{PROGRAM, SCHEMA};
use super::press::PressReport;
use super::range::WidthRange;
use super::scatter::Scatter;
use crate::laydown::OrderName;
use crate::section::{MemberShape, Narrower, Side};
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// What to do in the bay.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recommended {
    /// Order of pressing.
    pub order: OrderName,
    /// Bridge width, mm.
    pub bridge_mm: f64,
    /// Unbonded panel beyond the left lip, mm.
    pub reach_left_mm: f64,
    /// Unbonded panel beyond the right lip, mm.
    pub reach_right_mm: f64,
    /// Distance between the two tapes, measured straight, mm.
    pub tape_to_tape_mm: f64,
    /// Peak elongation, percent.
    pub peak_pct: f64,
    /// Mean elongation, percent.
    pub mean_pct: f64,
    /// Largest elongation between the lips, percent.
    pub recess_peak_pct: Option<f64>,
}

/// A step laid on down the wall with its lower side loose: it stretches nothing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LaidThrough {
    /// The lower side, which runs loose.
    pub loose: Side,
    /// How far artwork and sheet edge there move, mm.
    pub artwork_shift_mm: f64,
}

/// A list of three steps that needs a narrower bridge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ThreeSteps {
    /// Bridge width it needs, mm, in steps of a tape.
    pub bridge_mm: f64,
    /// The steps, as `check --order` takes them.
    pub order: String,
    /// Peak elongation there, percent.
    pub peak_pct: f64,
    /// Peak with one press or turn 3 mm off, at worst, percent.
    pub peak_off_pct: Option<f64>,
}

/// What the family of shapes behind tape readings does to the answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FamilyReport {
    /// Smallest nominal width over the family, mm; `None` if a member has none.
    pub from_mm: Option<f64>,
    /// Largest nominal width over the family, mm; `None` if a member has none.
    pub to_mm: Option<f64>,
    /// Number of shapes that fit.
    pub members: usize,
    /// The shape the answer is given for: the one that needs most.
    pub answered_for: Told<MemberShape>,
    /// The one more reading that would narrow the range most.
    pub narrow_by: Option<Told<Narrower>>,
}

/// What decided a width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecidedBy {
    /// The limit of the film.
    Limit,
    /// Its limit between the lips.
    RecessLimit,
    /// Even the narrowest bridge does.
    Mouth,
    /// There is no width.
    None,
}

/// What to do where warming one zone gives no practical width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WarmAdvice {
    /// Only a bridge beyond three mouths would do with the mouth alone warm: warm the flats too.
    FlatsToo,
}

/// The answer with one zone of the film warmed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct WarmthRow {
    /// Which film is warmed, and to how many degC where that matters: `whole`, `mouth:80`.
    pub warm: Warmed,
    /// Order; `None` if no width does.
    pub order: Option<OrderName>,
    /// Bridge width rounded up to 5 mm, mm; `None` if none does.
    pub bridge_mm: Option<f64>,
    /// Peak elongation at that width, percent.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips at that width, percent.
    pub recess_peak_pct: Option<f64>,
    /// What to do where no practical width does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub advice: Option<WarmAdvice>,
    /// Why it could not be computed, if so.
    pub unknown: Option<Told<Notice>>,
}

impl WarmthRow {
    /// A row that could not be computed.
    pub(crate) fn unknown(warm: Warmed, why: String) -> Self {
        let unknown = Some(Told(Notice::NotKnown { why }));
        Self {
            warm,
            unknown,
            ..Self::default()
        }
    }
}

/// The main job's answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Recommendation {
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
    /// Width for the section as read, rounded up to a step of a tape, mm.
    pub nominal_bridge_mm: Option<f64>,
    /// That width itself, mm.
    pub unrounded_bridge_mm: Option<f64>,
    /// Width that keeps the limit in the share of the shapes asked for, rounded up, mm: what is
    /// recommended; `None` where there is none, or nothing was to be assured.
    pub assured_bridge_mm: Option<f64>,
    /// The width over all the shapes that fit the readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub range: Option<WidthRange>,
    /// Intervals of width within the limits, deepest first, mm.
    pub feasible: Vec<[f64; 2]>,
    /// What to do, or nothing.
    pub recommended: Option<Recommended>,
    /// The step of width that a tape can show, mm.
    #[serde(default)]
    pub width_step_mm: f64,
    /// Where to press, and the width from the middle beside it.
    pub press: Option<Told<PressReport>>,
    /// Edges first stay within the limits at this width too: a remark.
    #[serde(default)]
    pub edges_first_too: bool,
    /// A step laid through with one side loose: no bridge, if artwork may move.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laid_through: Option<LaidThrough>,
    /// A list of three steps that saves more than 10 mm of bridge; looked for where the film
    /// is of one temperature and nothing drags, see [`three_steps`](crate::advice::three_steps).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub three_steps: Option<ThreeSteps>,
    /// A width that does on paper and that nobody would lay, mm: with the mouth alone warm,
    /// beyond three mouths.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub impractical_bridge_mm: Option<f64>,
    /// What decided the width.
    pub decided_by: DecidedBy,
    /// Why.
    pub reason: Told<Notice>,
    /// The orders at the recommended width (or the widest there is), without profile.
    pub orders: Vec<Check>,
    /// Why there is no width, in numbers; `None` where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_width: Option<NoWidth>,
    /// What else would do; only where no width does, or where asked for.
    pub alternatives: Vec<Told<Alternative>>,
    /// The whole bridge warmed beside the mouth alone and the flats alone, while it has not been said which is
    /// (`--warm`); the answer is for the whole bridge then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub warmth: Vec<WarmthRow>,
    /// The closed ends of the recess, each with the bridge round it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ends: Vec<EndReport>,
    /// Range of the answer over the shapes that tape readings leave open.
    pub family: Option<FamilyReport>,
    /// How far the answer can be off because the readings err; none for clean ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scatter: Option<Scatter>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<Told<Notice>>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Told<Notice>>,
    /// Numbers that decided and are invented.
    pub invented: Vec<Told<Invented>>,
}
