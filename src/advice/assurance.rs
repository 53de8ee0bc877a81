//! What a width is to be assured against.

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
