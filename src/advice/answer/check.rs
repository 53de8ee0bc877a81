//! One lay-down as data.

use super::end::EndReport;
use super::handled::Warmed;
use super::invented::Invented;
use super::notice::Notice;
use super::parts::{
    FilmReport, OrderReport, OutOfReachReport, PeakAt, Place, SectionReport, ToolReport,
};
#[cfg(doc)]
use super::parts::{PROGRAM, SCHEMA};
use crate::laydown::Laying;
use crate::outcome::{Air, Force, Hold, Source};
use crate::told::Told;
use serde::{Deserialize, Serialize};

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
#[non_exhaustive]
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
    /// Laying rule.
    pub laying: Laying,
    /// Friction coefficient of the film on the lips.
    pub lip_friction: f64,
    /// Drag on film that slides over the flats, kPa.
    #[serde(default)]
    pub drag_kpa: f64,
    /// Which film is warmed, and to how many degC where that matters: `whole`, `mouth:80`.
    pub warm: Warmed,
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
    /// Peak at most the limit, recess peak at most the recess limit, film meant for recesses,
    /// and nothing that makes the peak no verdict (`warnings` say it).
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
    /// Numbers behind the force that are invented.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub invented_in_force: Vec<Told<Invented>>,
    /// Whether it stays down, a ranking; where the profile was asked for, or the order is the
    /// recommended one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold: Option<Hold>,
    /// Numbers behind the hold that are invented.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub invented_in_hold: Vec<Told<Invented>>,
    /// Where the film came from; where the profile was asked for and the peak is finite.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Source>,
    /// The closed ends of the recess; what they say is in `within_limit` too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ends: Vec<EndReport>,
    /// Numbers that decided and are invented; while there are any: training numbers.
    pub invented: Vec<Told<Invented>>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<Told<Notice>>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Told<Notice>>,
}
