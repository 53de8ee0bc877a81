//! What a width is to be assured against.

use super::answer::Invented;
use crate::film::{Number, Tool};

/// How far off a hand presses, mm: invented. Smaller: a place is taken that only a jig could
/// hit; larger: the middle of a floor wins where its foot is better.
pub(super) const SLIP: f64 = 3.0;

/// What is to be assured, against what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assurance {
    /// Share of the draws in which the limit is kept, 0.5 to 0.99; 0.95. Higher: wider.
    pub share: f64,
    /// 95 % half width of where lips, feet and deepest zone are read, in x and in y, mm; 0 for
    /// a shape that is what was typed. Noise found in the readings counts where it is larger.
    pub tolerance: f64,
    /// 95 % half width of how far off the press is, mm along the panel; 3, invented.
    pub press_off: f64,
    /// 95 % half width of how far off each tape is, mm along the panel; 1, invented.
    pub tapes_off: f64,
}

impl Assurance {
    /// What is usual, as far off as the hand with this tool was measured to be.
    pub fn by_hand(tool: &Tool) -> Self {
        let usual = Self::default();
        let or = |measured: &Option<Number>, usual| measured.as_ref().map_or(usual, |n| n.value);
        Self {
            press_off: or(&tool.press_off_mm, usual.press_off),
            tapes_off: or(&tool.tapes_off_mm, usual.tapes_off),
            ..usual
        }
    }
}

/// How far off the hand is, as far as nobody measured it with this tool.
pub(crate) fn guessed_hand(tool: &Tool, press_mm: f64, tapes_mm: f64) -> Option<Invented> {
    let guessed = |number: &Option<Number>, mm: f64| match number {
        Some(number) if !number.is_invented() => 0.0,
        _ => mm,
    };
    let press_mm = guessed(&tool.press_off_mm, press_mm);
    let tapes_mm = guessed(&tool.tapes_off_mm, tapes_mm);
    (press_mm > 0.0 || tapes_mm > 0.0).then_some(Invented::HandOff { press_mm, tapes_mm })
}

impl Default for Assurance {
    fn default() -> Self {
        Self {
            share: 0.95,
            tolerance: 0.5,
            press_off: SLIP,
            tapes_off: 1.0,
        }
    }
}
