//! Where a recess is pressed, as a hand finds it; the same recess pressed elsewhere.

use super::answer::{Place, PressAt, PressReport, PressSpot};
use super::assurance::SLIP;
use super::job::Job;
use crate::geometry::Point;
use crate::laydown::Bed;
use crate::section::{Kind, Recess, Side, Survey};
use crate::told::when;

/// Difference of two walls below which neither is the steeper one, rad (5 degrees).
const STEEPER: f64 = 0.087;

/// Where a recess is pressed.
pub(super) fn press_report(bed: &Bed<'_>) -> PressReport {
    PressReport {
        place: Place::on(bed, bed.press()),
        spot: press_spot(bed),
        middle_bridge_mm: None,
    }
}

/// The same as a hand finds it.
fn press_spot(bed: &Bed<'_>) -> PressSpot {
    let recess = bed.recess();
    let offset = recess.survey().press_offset;
    let mut report = PressSpot {
        offset_mm: offset,
        at: PressAt::Middle,
        steeper: steeper(recess),
        nearer_foot: None,
        from_foot_mm: None,
    };
    if recess.kind() == Kind::Step {
        report.at = when(offset == 0.0, PressAt::Foot, PressAt::Floor);
        return report;
    }
    // The tool's edge is in the foot, as near as a hand presses.
    let at_foot = 0.5 * bed.pad() + SLIP;
    if let (Some(left), Some(right)) = recess.feet() {
        let press = recess.press();
        let (a, b) = ((press - left).abs(), (right - press).abs());
        let side = Side::smaller(a, b);
        report.nearer_foot = Some(side);
        report.from_foot_mm = Some(a.min(b));
        report.at = if offset == 0.0 {
            PressAt::Middle
        } else if a.min(b) <= at_foot {
            side.pick(PressAt::LeftFoot, PressAt::RightFoot)
        } else {
            PressAt::Floor
        };
    } else if offset != 0.0 {
        report.at = PressAt::Floor;
    }
    report
}

/// The steeper wall of a channel, lip to foot, if one is.
fn steeper(recess: &Recess) -> Option<Side> {
    let (Some(left), Some(right)) = recess.feet() else {
        return None;
    };
    let (panel, lips) = (recess.panel(), recess.outer());
    let steep = |lip: f64, foot: f64| {
        let (a, b): (Point, Point) = (panel.at(lip), panel.at(foot));
        (a.y - b.y).abs().atan2((b.x - a.x).abs())
    };
    let lead = steep(lips.0, left) - steep(lips.1, right);
    (recess.kind() == Kind::Channel && lead.abs() >= STEEPER).then(|| Side::smaller(-lead, 0.0))
}

/// The recess of a job pressed elsewhere, mm along the panel from the middle.
pub(super) fn pressed(job: &Job<'_>, offset: f64) -> Option<Recess> {
    let recess = job.bed.recess();
    let survey = Survey {
        press_offset: offset,
        ..*recess.survey()
    };
    Recess::find(recess.section().clone(), survey).ok()
}

/// Where a hand told to press as on `bed` presses in `drawn`, arc length on its panel, mm:
/// in the middle of its deepest part or in its foot; or as far from the nearer foot.
pub(super) fn press_in(bed: &Bed<'_>, drawn: &Recess) -> f64 {
    let (known, report) = (bed.recess(), press_report(bed));
    if matches!(report.spot.at, PressAt::Middle | PressAt::Foot) || std::ptr::eq(known, drawn) {
        return drawn.press();
    }
    let foot = |r: &Recess| report.spot.nearer_foot?.pick(r.feet().0, r.feet().1);
    match (foot(known), foot(drawn)) {
        (Some(a), Some(b)) => b + (known.press() - a),
        _ => drawn.press() + known.survey().press_offset,
    }
}
