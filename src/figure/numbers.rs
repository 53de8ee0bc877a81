//! Numbers as people read them in the pictures.

pub(super) use crate::say::sentence as upper;
use crate::say::{Medium, Voice};
use crate::section::Units;

/// How pictures speak.
pub(super) const VOICE: Voice = Voice {
    units: Units::Mm,
    medium: Medium::Picture,
};

/// A number with at most `digits` decimals, no trailing zeros, a real minus sign.
pub(super) fn number(v: f64, digits: usize) -> String {
    VOICE.number(v, digits)
}

/// Percent with at most one decimal.
pub(super) fn percent(v: f64) -> String {
    VOICE.limit(v)
}

/// Millimetres with at most one decimal.
#[cfg(feature = "figures")]
pub(super) fn mm(v: f64) -> String {
    VOICE.length(v)
}
