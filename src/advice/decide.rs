//! Which width is taken: what was found for the section as read, widened until it is assured.

use super::assured::{Assured, assure};
use super::job::Job;
use super::reach::{Choice, Found, choose_by, impractical};
use super::scan::Scan;
use crate::laydown::Order;

/// What is recommended: what was found for the section as read, widened until it is assured.
pub(super) struct Decision {
    pub(super) found: Found,
    /// The width, where there is one that is assured (or nothing is to be).
    pub(super) choice: Option<Choice>,
    /// The width over the shapes that fit, where there is one for the section as read.
    pub(super) assured: Option<Assured>,
}

impl Decision {
    /// The highest share, percent, of an order that has a width for the section as read, but
    /// none that is assured.
    pub(super) fn missed(&self, order: Order) -> Option<f64> {
        let missed = self.assured.as_ref().filter(|a| !a.reached)?;
        let as_read = self.found.choice.is_some_and(|c| c.order == order);
        (as_read || missed.choice.order == order).then_some(missed.range.share_pct)
    }
}

/// Finds a width and assures it.
pub(super) fn decide(job: &Job<'_>) -> Decision {
    decide_by(job, Scan::Even)
}

/// The same with a scan of one's choice.
#[inline(never)]
pub(super) fn decide_by(job: &Job<'_>, scan: Scan) -> Decision {
    let mut found = choose_by(job, scan);
    let assured = assure(job, &found);
    let choice = match &assured {
        Some(assured) if assured.reached => Some(assured.choice),
        Some(_) => None,
        None => found.choice,
    };
    if let Some(mm) = choice.and_then(|c| impractical(job, c)) {
        found.impractical = Some(mm);
    }
    Decision {
        choice: choice.filter(|_| found.impractical.is_none()),
        found,
        assured,
    }
}
