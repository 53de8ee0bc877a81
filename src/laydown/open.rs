//! A span of film between two places where it is down.

use crate::section::Side;

/// A free span as steps see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Gap {
    /// Ends, arc lengths on the bed, mm.
    pub(crate) a: f64,
    pub(crate) b: f64,
    /// ln lambda; where the march is used, at the front.
    pub(super) ln: f64,
}

/// A free span and the film in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Open {
    /// Ends, arc lengths on the bed, mm.
    pub(super) a: f64,
    pub(super) b: f64,
    /// Unstretched film in it and where that begins, mm from the left bond line.
    pub(super) film: f64,
    pub(super) at: f64,
    /// ln lambda; where the march is used, at the front.
    pub(super) ln: f64,
    /// To which end film that touches the panel in it has slid; only the march minds.
    pub(super) toward: Option<Side>,
    /// Did film next to its left and right end rest there before? Drag minds.
    pub(super) rested: (bool, bool),
    /// Tension at the end where the last step was, N/mm, likewise.
    pub(super) tension: Option<(Side, f64)>,
}

impl Open {
    /// A span with film from a place on, at ln lambda, with nothing for the march to mind.
    pub(super) fn new((a, b): (f64, f64), at: f64, film: f64, ln: f64) -> Self {
        Self {
            a,
            b,
            film,
            at,
            ln,
            toward: None,
            rested: (false, false),
            tension: None,
        }
    }
}
