//! What is known of a closed end, as data.

use super::notice::Notice;
use crate::ends::{EndKind, EndText, Trapezoid};
use crate::laydown::OrderName;
use crate::section::Zone;
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// Which end along the vehicle, seen from the outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WhichEnd {
    /// The left one.
    Left,
    /// The right one.
    Right,
    /// Both, which are alike.
    Both,
    /// The closed one; it was not said which.
    Closed,
}

/// A closed end as it was said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClosedEnd {
    /// Which.
    pub which: WhichEnd,
    /// What was said of it.
    pub text: EndText,
    /// Was that assumed?
    pub assumed: bool,
}

/// A percentage with what it may be because film is not one law.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Doubted {
    /// As computed, percent.
    pub pct: f64,
    /// At least, percent.
    pub from_pct: f64,
    /// At most, percent: what is held against a limit.
    pub to_pct: f64,
    /// What two meshes differ by, percentage points.
    pub mesh_pct: f64,
}

/// A place of an end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EndPlace {
    /// Across, from the middle of the recess, mm; the other side is alike.
    pub across_mm: f64,
    /// Along the recess, inwards from the tip of the end's lip, mm.
    pub inside_mm: f64,
    /// Out of the panel, mm.
    pub up_mm: f64,
    /// Where on the panel.
    pub zone: Zone,
}

/// Film laid round a closed end at one bridge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EndLaid {
    /// Bridge width at the end's sides, mm.
    pub bridge_mm: f64,
    /// Free film beyond the lips at the sides, mm.
    pub side_reach_mm: f64,
    /// Free film beyond the end's lip, mm.
    pub end_reach_mm: f64,
    /// Greatest elongation.
    pub elongation: Doubted,
    /// Where.
    pub at: EndPlace,
    /// Greatest elongation between the lips.
    pub recess: Doubted,
    /// Greatest gain of area, percent: what thins film and fades ink.
    pub area: Doubted,
    /// Where.
    pub area_at: EndPlace,
    /// Elongation in the middle of the recess at this bridge, percent.
    pub middle_pct: f64,
    /// How far from the tip of the end's lip inwards the end is felt, mm.
    pub felt_mm: f64,
    /// Part of its width that film has too much of where it creases most, percent; none creases.
    pub crease_pct: Option<f64>,
    /// Where.
    pub crease_at: Option<EndPlace>,
}

/// A pad that would do where the tool's does not.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WiderPad {
    /// Contact width, mm.
    pub pad_mm: f64,
    /// Bridge round the end with it, mm.
    pub bridge_mm: f64,
}

/// What is known of a closed end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct EndReport {
    /// Which end.
    pub end: WhichEnd,
    /// Its shape.
    #[serde(rename = "shape")]
    pub kind: EndKind,
    /// Was the shape assumed?
    pub assumed: bool,
    /// Plan radius of its lip (a square end: of the corners), mm.
    pub radius_mm: f64,
    /// From its lip to its foot along the recess, mm.
    pub run_mm: f64,
    /// Plan radius at its foot, mm.
    pub foot_radius_mm: f64,
    /// How far short of its foot the press line stops, mm.
    pub press_stop_mm: f64,
    /// The trapezoid that stands for the section near the end.
    pub section: Trapezoid,
    /// Peak of the section in the middle, percent; deepest first at the bridge of `middle`.
    pub section_peak_pct: Option<f64>,
    /// Peak of the trapezoid there, percent.
    pub trapezoid_peak_pct: Option<f64>,
    /// Order of pressing.
    pub order: OrderName,
    /// The end with the bridge of the middle.
    pub middle: Option<EndLaid>,
    /// The same with film held by the lip, where friction, drag or a warm mouth hold it: the
    /// truth lies between.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held: Option<EndLaid>,
    /// The end with the least bridge that keeps the limits, where one was sought and found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wide: Option<EndLaid>,
    /// Was such a bridge sought?
    pub sought: bool,
    /// What a wider pad would need, where the tool's needs much more than the middle or has no
    /// bridge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pad: Option<WiderPad>,
    /// Gain of area edges first, at most, by rule, percent.
    pub edges_first_area_pct: Option<f64>,
    /// Are the class's limits kept round the end, at the bridge that is said for it?
    pub within_limit: bool,
    /// Why there is no number, if so.
    pub unknown: Option<Told<Notice>>,
}

impl EndReport {
    /// An end of which nothing is known yet.
    pub(crate) fn unknown_yet(end: &ClosedEnd, order: OrderName) -> Self {
        Self {
            end: end.which,
            kind: end.text.kind,
            assumed: end.assumed,
            radius_mm: 0.0,
            run_mm: 0.0,
            foot_radius_mm: 0.0,
            press_stop_mm: 0.0,
            section: Trapezoid {
                mouth: 0.0,
                floor: 0.0,
                depth: 0.0,
            },
            section_peak_pct: None,
            trapezoid_peak_pct: None,
            order,
            middle: None,
            held: None,
            wide: None,
            sought: false,
            pad: None,
            edges_first_area_pct: None,
            within_limit: false,
            unknown: None,
        }
    }

    /// What is said of the end: with the bridge of its own, or else with the middle's.
    pub fn laid(&self) -> Option<&EndLaid> {
        self.wide.as_ref().or(self.middle.as_ref())
    }
}
