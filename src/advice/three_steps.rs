//! A list of three steps, where it saves more than a tape's breadth against one press worked
//! outwards: a remark beside the recommended width.

use super::answer::{Recommendation, ThreeSteps};
use super::job::Job;
use super::order_search::search_order;
use crate::laydown::Order;

/// What a list must save, mm of bridge. Lower: a list to keep in mind for the breadth of a
/// tape; higher: half a hand's breadth of cleaning and masking is passed over.
const WORTH: f64 = 10.0;
/// Most widths that are tried; each is a search.
const MOST_WIDTHS: usize = 6;

/// Looks for a list of three steps that needs a bridge narrower by more than 10 mm, both for
/// the section as read. Even film with nothing dragging only: under other conditions a search
/// takes too long for a remark.
pub fn three_steps(job: &Job<'_>, answer: &Recommendation) -> Option<ThreeSteps> {
    let chosen = answer.recommended.as_ref()?;
    if chosen.order != Order::DeepestFirst.named() || !job.is_plain() {
        return None;
    }
    let step = job.step.mm();
    let as_read = answer.nominal_bridge_mm.unwrap_or(chosen.bridge_mm);
    let mut width = as_read - ((WORTH / step).floor() + 1.0) * step;
    let mut found = None;
    for _ in 0..MOST_WIDTHS {
        let Ok(bonds) = job.bed.bonds_for_bridge(width, job.split) else {
            break;
        };
        let Ok(search) = search_order(job, Some(bonds), 3) else {
            break;
        };
        if !search.within_limit {
            break;
        }
        found = Some(ThreeSteps {
            bridge_mm: search.bridge_mm,
            order: search.order,
            peak_pct: search.peak_pct,
            peak_off_pct: search.peak_off_pct,
        });
        width -= step;
    }
    found
}
