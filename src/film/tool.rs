//! A tool that presses film down: its pad and its tip.

use super::deciding::ToolNumber;
use super::number::{Inspection, NOT_NEGATIVE, Number, POSITIVE};
use crate::fault::Fault;
use serde::{Deserialize, Serialize};

/// A tool, as its TOML states it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, expecting = "a tool")]
pub struct Tool {
    /// Name: small letters, digits and hyphens.
    pub name: String,
    /// What it is, in a few words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// Contact width along the panel in the section, mm; 0 is a point.
    pub pad_mm: Number,
    /// Radius of the tip, mm; 0 reaches into every corner.
    pub tip_radius_mm: Number,
    /// Contact length along the channel, mm; only the finger force needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact_length_mm: Option<Number>,
    /// How far off the marked line a hand presses with it, 95 % half width, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub press_off_mm: Option<Number>,
    /// How far off the marked line the same hand lays a tape, 95 % half width, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tapes_off_mm: Option<Number>,
}

impl Tool {
    /// Returns the contact width along the panel in the section, mm.
    #[must_use]
    pub fn pad(&self) -> f64 {
        self.pad_mm.value
    }

    /// Returns the radius of the tip, mm.
    #[must_use]
    pub fn tip_radius(&self) -> f64 {
        self.tip_radius_mm.value
    }

    /// Returns the contact length along the channel, mm, if it is known.
    #[must_use]
    pub fn contact_length(&self) -> Option<f64> {
        self.contact_length_mm.as_ref().map(|n| n.value)
    }

    /// Returns which of the numbers that decide a width are invented, such as
    /// `tool fingertip: pad_mm`.
    #[must_use]
    pub fn invented_deciding(&self) -> Vec<ToolNumber> {
        [
            (&self.pad_mm, ToolNumber::Pad),
            (&self.tip_radius_mm, ToolNumber::TipRadius),
        ]
        .into_iter()
        .filter(|(number, _)| number.is_invented())
        .map(|(_, which)| which)
        .collect()
    }

    /// Returns every fault of the tool, in the order of the fields; empty if there is none.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        let mut see = Inspection::default();
        see.name(&self.name);
        see.number("pad_mm", &self.pad_mm, NOT_NEGATIVE);
        see.number("tip_radius_mm", &self.tip_radius_mm, NOT_NEGATIVE);
        see.optional("contact_length_mm", &self.contact_length_mm, POSITIVE);
        see.optional("press_off_mm", &self.press_off_mm, NOT_NEGATIVE);
        see.optional("tapes_off_mm", &self.tapes_off_mm, NOT_NEGATIVE);
        see.faults
    }
}
