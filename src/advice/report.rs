//! The answers as data: what `--json` prints, what pictures, card and page read.
//!
//! Lengths are mm, elongations percent, thicknesses µm; every key carries its unit.
//! [`SCHEMA`] rises when a key changes its meaning, not when one is added.

use super::assured::WidthRange;
pub use super::inlay::{FilmPiece, Seam};
use super::press::PressReport;
use super::scatter::Scatter;
use crate::outcome::{Air, Force, Source};
use crate::section::{Kind, Side, Zone};
use serde::{Deserialize, Serialize};

/// Version of the JSON keys.
pub const SCHEMA: u32 = 1;

/// Name and version of this program, as written into each answer.
pub const PROGRAM: &str = concat!("tautspan ", env!("CARGO_PKG_VERSION"));

/// The section of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SectionReport {
    /// Name of the section.
    pub name: String,
    /// Channel or step.
    pub kind: Kind,
    /// Taut length lip to lip (channel) or lip to foot (step), mm.
    pub mouth_mm: f64,
    /// Largest distance below the mouth line, or level difference of a step, mm.
    pub depth_mm: f64,
    /// The surveyed points `[x, y]`, mm, left to right.
    pub points: Vec<[f64; 2]>,
}

/// The film class of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FilmReport {
    /// Name of the class.
    pub name: String,
    /// Limit of local elongation, percent.
    pub limit_pct: f64,
    /// Lower limit between the lips, percent, if the class has one.
    pub recess_limit_pct: Option<f64>,
    /// Where the limit comes from, in words.
    pub provenance: String,
}

/// The order of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OrderReport {
    /// `deepest-first`, `edge-first`, `middle-push`, `one-way` or `custom`.
    pub name: String,
    /// What the hands do, step by step.
    pub steps: Vec<String>,
}

/// The tool of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ToolReport {
    /// Name of the tool.
    pub name: String,
    /// Contact width along the panel in the section, mm.
    pub pad_mm: f64,
    /// Radius of the tip, mm.
    pub tip_radius_mm: f64,
    /// Contact length along the channel, mm, if known.
    pub contact_length_mm: Option<f64>,
}

/// A place on the panel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// Arc length along what the film is laid on, mm from the left end of the survey.
    pub s_mm: f64,
    /// Abscissa, mm.
    pub x_mm: f64,
    /// Ordinate, mm.
    pub y_mm: f64,
}

/// Where the film is stretched most.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PeakAt {
    /// The place.
    #[serde(flatten)]
    pub place: Place,
    /// Its zone.
    pub zone: Zone,
}

/// What the tip of the tool cannot touch between the bond lines.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OutOfReachReport {
    /// Area between panel and film, mm².
    pub area_mm2: f64,
    /// Largest distance between panel and film, mm.
    pub gap_mm: f64,
}

/// One point of the laid film.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ProfileRow {
    /// Where on the panel.
    #[serde(flatten)]
    pub place: Place,
    /// Position on the flat, unstretched film, mm from the left bond line.
    pub film_mm: f64,
    /// Local elongation, percent.
    pub elongation_pct: f64,
    /// Thickness of the stretched film, µm.
    pub thickness_um: f64,
    /// Line tension of the film as laid, N/mm, where its stiffness is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tension_n_per_mm: Option<f64>,
}

/// One lay-down: a section, a film, a tool, bond lines and an order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Check {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// The section.
    pub section: SectionReport,
    /// The film class.
    pub film: FilmReport,
    /// The order.
    pub order: OrderReport,
    /// The tool.
    pub tool: ToolReport,
    /// Laying rule: `rolled` or `dabbed`.
    pub laying: String,
    /// Friction coefficient of the film on the lips.
    pub lip_friction: f64,
    /// Drag on film that slides over the flats, kPa.
    #[serde(default)]
    pub drag_kpa: f64,
    /// Which film is warmed, and to how many degC where that matters: `whole`, `mouth:80`.
    pub warm: String,
    /// Taut length between the bond lines, mm.
    pub bridge_mm: f64,
    /// Unbonded panel left of the left lip (or foot), mm.
    pub reach_left_mm: f64,
    /// Unbonded panel right of the right lip (or foot), mm.
    pub reach_right_mm: f64,
    /// Left bond line.
    pub bond_left: Place,
    /// Right bond line.
    pub bond_right: Place,
    /// Left lip; for a step that rises to the right, the foot.
    pub lip_left: Place,
    /// Right lip; for a step that falls to the right, the foot.
    pub lip_right: Place,
    /// Where the tool presses.
    pub press: Place,
    /// Panel between the bond lines as the tool can follow it, mm.
    pub arc_mm: f64,
    /// Arc less bridge, mm.
    pub extra_mm: f64,
    /// Film fed in from the loose side, mm: the shift of artwork and sheet edge there.
    pub fed_in_mm: f64,
    /// Extra over bridge, percent; 0 with the far side loose.
    pub mean_pct: f64,
    /// Largest local elongation, percent; `None` if it is not finite.
    pub peak_pct: Option<f64>,
    /// The peak grows without bound: edge-first into a sharp corner with no pad.
    pub no_finite_peak: bool,
    /// Largest elongation between the lips, percent.
    pub recess_peak_pct: Option<f64>,
    /// Elongation laid at the press, percent.
    pub deepest_pct: Option<f64>,
    /// Where the peak is first met, counted from the press outwards (edge-first: the press).
    pub peak_at: Option<PeakAt>,
    /// Peak at most the limit, and recess peak at most the recess limit.
    pub within_limit: bool,
    /// Limit less peak, percentage points (the smaller of both limits' margins).
    pub margin_pct: Option<f64>,
    /// Share of the shapes that fit the readings in which the limit is kept, percent; where
    /// readings were taken and it was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held_pct: Option<f64>,
    /// Peak over mean; `None` if either is not there or the mean is 0.
    pub order_penalty: Option<f64>,
    /// What the tool's tip leaves out of reach.
    pub out_of_reach: OutOfReachReport,
    /// The laid film: every vertex and at most 1 mm apart, both sides of a jump. Empty
    /// where the profile was not asked for, or the peak is not finite.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub profile: Vec<ProfileRow>,
    /// Trapped air, stage by stage; none if the peak is not finite.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air: Option<Air>,
    /// Force of the fingers, stage by stage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub force: Option<Force>,
    /// Where the film came from; where the profile was asked for and the peak is finite.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Source>,
    /// Numbers that decided and are invented; while there are any: training numbers.
    pub invented: Vec<String>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<String>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<String>,
}

/// One width and order of a sweep.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SweepRow {
    /// Bridge width, mm.
    pub bridge_mm: f64,
    /// Order.
    pub order: String,
    /// Largest local elongation, percent; `None` if it is not finite.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips, percent.
    pub recess_peak_pct: Option<f64>,
    /// Mean elongation, percent: below it no order can go, so this is the plain rule.
    pub mean_pct: f64,
}

/// The plain rule: bridge at least extra over limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlainRule {
    /// Arc less taut length of the bare section, mm; of a step, at the least bridge.
    pub extra_mm: f64,
    /// Least bridge at the film's limit, mm; `None` where no film was named.
    pub least_bridge_mm: Option<f64>,
}

/// What to do in the bay.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recommended {
    /// Order of pressing.
    pub order: String,
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
    #[serde(default)]
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

/// Why no width works, in numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NoWidth {
    /// What stands in the way: `class` (not meant for recesses), `tool` (cannot get in),
    /// `plain-rule` (even the mean is over the limit at the widest bridge), `recess-limit`,
    /// `mouth-only` (a width does, but with the mouth alone warm it is beyond three mouths),
    /// `not-assured` (one does for the section as read, but in too few of the shapes that fit),
    /// `limit` or `unsolved` (the widest bridge could not be laid).
    pub cause: String,
    /// Least bridge by the plain rule, mm.
    pub least_bridge_mm: Option<f64>,
    /// Mouth, mm.
    pub mouth_mm: f64,
    /// Clear panel that a bridge can take to the left, mm.
    pub clear_left_mm: f64,
    /// Clear panel that a bridge can take to the right, mm.
    pub clear_right_mm: f64,
    /// Widest bridge, mm: mouth and clear panel.
    pub widest_bridge_mm: f64,
    /// Peak there, deepest first, percent.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips there, percent.
    pub recess_peak_pct: Option<f64>,
    /// Where the peak is.
    pub peak_at: Option<PeakAt>,
    /// Limit, percent.
    pub limit_pct: f64,
    /// Lower limit between the lips, percent, if the class has one.
    pub recess_limit_pct: Option<f64>,
    /// Largest gap that the tool's tip leaves under the film, mm.
    pub gap_mm: f64,
}

/// Something else that would do, or that would not and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Alternative {
    /// More clear panel, and how much on each side, mm.
    MoreClear {
        /// Clear panel needed beyond the left lip, mm.
        clear_left_mm: f64,
        /// Clear panel needed beyond the right lip, mm.
        clear_right_mm: f64,
        /// Bridge width it would make possible, mm.
        bridge_mm: f64,
    },
    /// Lay one-way with the far side loose.
    FarSideLoose {
        /// How far artwork and sheet edge beyond the recess move, mm.
        artwork_shift_mm: f64,
        /// The side that runs loose and moves: a step's lower one, else the one with less
        /// clear panel, where the sheet edge is nearer.
        loose: Side,
        /// How far artwork on the other side moves, mm.
        near_shift_mm: f64,
        /// Elongation of the film laid so, percent.
        peak_pct: f64,
        /// Where it cannot be done.
        not_where: Vec<String>,
    },
    /// Another class of the catalogue, under its own handling.
    FilmClass {
        /// Its name.
        name: String,
        /// Bridge width with it, mm.
        bridge_mm: f64,
        /// Its limit, percent.
        limit_pct: f64,
        /// Order of pressing.
        order: String,
        /// Peak elongation at that width, percent.
        peak_pct: Option<f64>,
        /// Limit less peak, percentage points.
        margin_pct: Option<f64>,
        /// Which film is warmed, and to how many degC where that matters.
        warm: String,
    },
    /// Cut the film over the recess and lay a strip in.
    ReliefCut {
        /// Width of the inlay strip, mm: arc less taut length (of a step: from its lip to one
        /// overlap beyond its foot) and two overlaps.
        strip_mm: f64,
        /// Each overlap, mm.
        overlap_mm: f64,
        /// Panel left bare between the cut edges, mm: arc less taut length.
        gap_mm: f64,
        /// The two seams, left and right.
        seams: Vec<Seam>,
        /// The pieces, left to right, each laid alone.
        pieces: Vec<FilmPiece>,
        /// Which film lies over which.
        direction: String,
        /// What has to be watched, in numbers.
        flags: Vec<String>,
        /// How not to cut.
        cautions: Vec<String>,
    },
    /// Lay the recess as a piece of its own, lip to lip, the film of the flats trimmed at
    /// the lips.
    SeparateInlay {
        /// Width of the piece laid from its middle outwards or one way, edges free, mm: arc
        /// and overlaps.
        piece_mm: f64,
        /// Width of the piece pushed in with its overlaps stuck first, mm: taut length and
        /// overlaps.
        pushed_piece_mm: f64,
        /// The two seams, left and right.
        seams: Vec<Seam>,
        /// The piece; `bonded_pct` is the peak of the middle push.
        pieces: Vec<FilmPiece>,
        /// Which film lies over which.
        direction: String,
        /// What has to be watched, in numbers.
        flags: Vec<String>,
        /// How not to cut.
        cautions: Vec<String>,
    },
    /// Leave the recess bare.
    LeaveBare {
        /// Panel left bare from lip to lip (a step: lip to foot), mm along the panel.
        bare_mm: f64,
    },
    /// Would not do here.
    RuledOut {
        /// The kind that is ruled out.
        option: String,
        /// Why.
        why: String,
    },
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
    pub answered_for: String,
    /// The one more reading that would narrow the range most, in words.
    pub narrow_by: Option<String>,
}

/// What to do where warming one zone gives no practical width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WarmAdvice {
    /// Only a bridge beyond three mouths would do with the mouth alone warm: warm the flats too.
    FlatsToo,
}

/// The answer with one zone of the film warmed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WarmthRow {
    /// Which film is warmed, and to how many degC where that matters: `whole`, `mouth:80`.
    pub warm: String,
    /// Order; `None` if no width does.
    pub order: Option<String>,
    /// Bridge width rounded up to 5 mm, mm; `None` if none does.
    pub bridge_mm: Option<f64>,
    /// Peak elongation at that width, percent.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips at that width, percent.
    #[serde(default)]
    pub recess_peak_pct: Option<f64>,
    /// What to do where no practical width does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub advice: Option<WarmAdvice>,
    /// Why it could not be computed, if so.
    pub unknown: Option<String>,
}

impl WarmthRow {
    /// A row that could not be computed.
    pub(crate) fn unknown(warm: &str, why: &str) -> Self {
        Self {
            warm: warm.to_owned(),
            order: None,
            bridge_mm: None,
            peak_pct: None,
            recess_peak_pct: None,
            advice: None,
            unknown: Some(why.to_owned()),
        }
    }
}

/// The main job's answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
    #[serde(default)]
    pub press: Option<PressReport>,
    /// Edges first stay within the limits at this width too: a remark.
    #[serde(default)]
    pub edges_first_too: bool,
    /// A step laid through with one side loose: no bridge, if artwork may move.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laid_through: Option<LaidThrough>,
    /// A list of three steps that saves more than 10 mm of bridge; looked for where the film
    /// is of one temperature and nothing drags, see [`three_steps`](super::three_steps).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub three_steps: Option<ThreeSteps>,
    /// A width that does on paper and that nobody would lay, mm: with the mouth alone warm,
    /// beyond three mouths.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub impractical_bridge_mm: Option<f64>,
    /// What decided the width: `limit`, `recess-limit`, `mouth` (even the narrowest
    /// bridge will do), or `none` when there is no width.
    pub decided_by: String,
    /// Why, in words.
    pub reason: String,
    /// The orders at the recommended width (or the widest there is), without profile.
    pub orders: Vec<Check>,
    /// Why there is no width, in numbers; `None` where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_width: Option<NoWidth>,
    /// What else would do; only where no width does, or where asked for.
    pub alternatives: Vec<Alternative>,
    /// The whole bridge warmed beside the mouth alone and the flats alone, while it has not been said which is
    /// (`--warm`); the answer is for the whole bridge then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub warmth: Vec<WarmthRow>,
    /// Range of the answer over the shapes that tape readings leave open.
    pub family: Option<FamilyReport>,
    /// How far the answer can be off because the readings err; none for clean ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scatter: Option<Scatter>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<String>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<String>,
    /// Numbers that decided and are invented.
    pub invented: Vec<String>,
}

/// Peak against bridge width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
    #[serde(default)]
    pub recommended_bridge_mm: Option<f64>,
    /// Intervals of width within the limits, deepest first, mm.
    pub feasible: Vec<[f64; 2]>,
    /// One row a width and order, widths ascending.
    pub rows: Vec<SweepRow>,
    /// Numbers that decided and are invented.
    pub invented: Vec<String>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<String>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<String>,
}
