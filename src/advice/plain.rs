//! The plain rule: two tape readings give the extra, and the bridge must be at least
//! extra over limit.
//!
//! Between two fixed bond lines no order can have a peak below the mean, which is extra
//! over bridge. On level flats the extra does not depend on the bridge. On a step it
//! grows with the bridge, so the least bridge is the one from which on the mean stays
//! within the limit, and the extra is the one there.

use super::answer::PlainRule;
use super::scan::{Scan, feasible};
use crate::geometry::taut_length;
use crate::section::Recess;

/// The plain rule of a recess, for a limit given as a plain ratio.
pub fn plain_rule(recess: &Recess, limit: f64) -> PlainRule {
    let whole = recess.extra();
    let simple = PlainRule {
        extra_mm: whole,
        least_bridge_mm: Some(whole / limit),
    };
    let Some(lower) = recess.lower() else {
        return simple;
    };
    let (outer, most) = (recess.outer(), recess.reach_limit());
    let most = lower.pick(most.0, most.1);
    let lengths = |reach: f64| {
        let (left, right) = lower.pick((outer.0 - reach, outer.1), (outer.0, outer.1 + reach));
        let taut = taut_length(recess.panel(), left, right);
        (taut, right - left - taut)
    };
    let excess = |reach: f64| {
        let (taut, extra) = lengths(reach);
        extra / taut - limit
    };
    match feasible(excess, most, f64::INFINITY, Scan::Even).last() {
        Some(&(from, to)) if to >= most => {
            let (taut, extra) = lengths(from);
            PlainRule {
                extra_mm: extra.max(0.0),
                least_bridge_mm: Some(taut),
            }
        }
        _ => simple,
    }
}
