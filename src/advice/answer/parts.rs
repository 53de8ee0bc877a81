//! What several answers share: section, film, tool, places.
//!
//! Lengths are mm, elongations percent, thicknesses µm; every key carries its unit.
//! [`SCHEMA`] rises when a key changes its meaning, not when one is added.

use super::doing::Doing;
use crate::laydown::{Bed, OrderName};
use crate::section::{Kind, Zone};
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// Version of the JSON keys.
pub const SCHEMA: u32 = 2;

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
    /// Its name.
    pub name: OrderName,
    /// What a picture calls it in place of its name.
    #[serde(skip)]
    pub heading: Option<String>,
    /// What the hands do, step by step.
    pub steps: Vec<Told<Doing>>,
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

impl Place {
    /// A place of a bed, by its arc length, mm.
    pub(crate) fn on(bed: &Bed<'_>, s_mm: f64) -> Self {
        let p = bed.line().at(s_mm);
        Self {
            s_mm,
            x_mm: p.x,
            y_mm: p.y,
        }
    }
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

/// The plain rule: bridge at least extra over limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlainRule {
    /// Arc less taut length of the bare section, mm; of a step, at the least bridge.
    pub extra_mm: f64,
    /// Least bridge at the film's limit, mm; `None` where no film was named.
    pub least_bridge_mm: Option<f64>,
}
