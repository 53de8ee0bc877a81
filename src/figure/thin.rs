//! Lay-downs of long scans with the rows that a picture can show: see [`crate::geometry::thin`].

use crate::advice::Check;
use crate::geometry::thin::{MANY, NEAR, points_to_draw, told_apart};
use std::borrow::Cow;

/// Difference of elongation that a line shows, points: half a pixel of a chart to 40 %. Less
/// is more rows than pixels, more shows as stairs.
const SEEN_POINTS: f64 = 0.05;

/// The same lay-downs, thinned where they have more rows than can be seen.
pub(super) fn to_draw(checks: &[Check]) -> Cow<'_, [Check]> {
    let long = |c: &Check| c.profile.len() > MANY || c.section.points.len() > MANY;
    if checks.iter().any(long) {
        Cow::Owned(checks.iter().map(thinned).collect())
    } else {
        Cow::Borrowed(checks)
    }
}

fn thinned(check: &Check) -> Check {
    let rows = &check.profile;
    let mut kept = told_apart(rows, |a, b| {
        (b.place.s_mm - a.place.s_mm).abs() >= NEAR
            || (b.elongation_pct - a.elongation_pct).abs() >= SEEN_POINTS
    });
    // The peak itself, so that what is over the limit is drawn as over it.
    let peak = (0..rows.len()).max_by(|&i, &j| {
        let [a, b] = [i, j].map(|k| rows[k].elongation_pct);
        a.total_cmp(&b)
    });
    if let Some((peak, Err(at))) = peak.map(|p| (p, kept.binary_search(&p))) {
        kept.insert(at, peak);
    }
    let mut drawn = check.clone();
    drawn.profile = kept.into_iter().map(|i| rows[i]).collect();
    drawn.section.points = points_to_draw(&check.section.points);
    drawn
}
