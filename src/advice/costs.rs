//! What a millimetre costs: how much wider the bridge must be for 1 mm or 1 degree more or
//! less of each reading, and which reading would narrow the answer most.
//!
//! Given a job and the width found for it. Each reading is changed by one of its units, both
//! ways, the other corners staying where they are, and the width is looked for again: finite
//! differences, deepest first with even film and nothing dragging, since a closed form
//! answers that in microseconds. With warmth, friction or drag widths are taken to move in
//! proportion to the answer's.

use super::answer::{Cost, Costs, Measure};
use super::assurance::Assurance;
use super::draws::{Corner, Outline, Role, corners, same_recess};
use super::job::{Job, Limits};
use super::pressing::press_in;
use super::reach::{Choice, feasible_reaches, least_reach};
use crate::geometry::Vector;
use crate::laydown::{Bed, Order};
use crate::section::{Kind, Recess, Survey};

/// The reading whose error moves the width most: what its unit costs, times how far off a
/// tolerance of the corners can put it.
pub(super) fn narrows_most(costs: &Costs, job: &Job<'_>, tolerance: f64) -> Option<Measure> {
    let recess = job.bed.recess();
    let off = |m: Measure| match m {
        Measure::Press => 0.0,
        Measure::LeftWall | Measure::RightWall => {
            let wall = wall_length(recess, m == Measure::LeftWall).unwrap_or(f64::INFINITY);
            (std::f64::consts::SQRT_2 * tolerance / wall)
                .atan()
                .to_degrees()
        }
        _ => std::f64::consts::SQRT_2 * tolerance,
    };
    let mut most = (0.0, None);
    for (measure, cost) in costs.all() {
        let moved = off(measure) * cost.wider_mm;
        if moved > most.0 {
            most = (moved, Some(measure));
        }
    }
    most.1
}

/// Length of a wall, lip to foot, mm.
fn wall_length(recess: &Recess, left: bool) -> Option<f64> {
    let (lips, feet) = (recess.outer(), recess.feet());
    let wall = |lip: f64, foot: Option<f64>| Some((lip - foot?).abs());
    if left {
        wall(lips.0, feet.0)
    } else {
        wall(lips.1, feet.1)
    }
}

/// Clear panel that a changed reading may take beyond what there is, mm: more than any unit of
/// a reading asks for. More: a longer scan where flats are not level.
const ROOM: f64 = 100.0;

/// What each reading costs.
pub(super) fn per_mm(
    job: &Job<'_>,
    choice: Choice,
    assurance: &Assurance,
    tolerance: f64,
) -> Costs {
    let plain = job.plain();
    let roomy = with_room(job.bed.recess());
    let recess = roomy.as_ref().unwrap_or(job.bed.recess());
    let corners = corners(recess, tolerance);
    // All vertices: on level flats the width is one root, on nearly level ones a scan.
    let outline = Outline::of(recess, &corners, 0.0);
    let width = |by: &[Vector], off: f64| {
        let other = same_recess(recess, &outline.moved(&corners, by))?;
        let bed = Bed::new(&other, job.tool.pad(), job.tool.tip_radius());
        let bed = bed.pressed_at(press_in(job.bed, &other) + off);
        plain_width(&Job { bed: &bed, ..plain })
    };
    let still = vec![Vector::zeros(); corners.len()];
    let Some(now) = width(&still, 0.0) else {
        return Costs::default();
    };
    let answer = job.bed.bridge_for_reach(choice.reach, job.split);
    let scale = if job.is_plain() {
        1.0
    } else {
        (answer / now).max(1.0)
    };
    let cost = |more: Option<f64>, less: Option<f64>| {
        let wider = |w: Option<f64>| w.map_or(0.0, |w| scale * (w - now));
        Cost {
            more: wider(more) >= wider(less),
            wider_mm: wider(more).max(wider(less)).max(0.0),
        }
    };
    let of = |measure: Measure| {
        let [more, less] = [1.0, -1.0].map(|sign| changed(recess, &corners, measure, sign));
        let there = more.is_some() || less.is_some();
        let width = |by: Option<Vec<Vector>>| width(&by?, 0.0);
        there.then(|| cost(width(more), width(less)))
    };
    let off = cost(width(&still, 1.0), width(&still, -1.0));
    Costs {
        depth: of(Measure::Depth),
        mouth: of(Measure::Mouth),
        floor: of(Measure::Floor),
        left_wall: of(Measure::LeftWall),
        right_wall: of(Measure::RightWall),
        press: (assurance.press_off > 0.0).then_some(Cost { more: true, ..off }),
    }
}

/// The recess with more clear panel, so that a reading that needs a wider bridge has one.
fn with_room(recess: &Recess) -> Option<Recess> {
    let survey = recess.survey();
    let roomy = Survey {
        clear_left: survey.clear_left + ROOM,
        clear_right: survey.clear_right + ROOM,
        ..*survey
    };
    Recess::find(recess.section().clone(), roomy).ok()
}

/// The least width of the plain job, unrounded, mm.
pub(super) fn plain_width(job: &Job<'_>) -> Option<f64> {
    let order = Order::DeepestFirst;
    let intervals = feasible_reaches(job, Limits::of(job.film), order, &mut Vec::new());
    least_reach(job, order, &intervals).map(|(r, _)| job.bed.bridge_for_reach(r, job.split))
}

/// How each corner moves, mm, where a reading is one unit more (or less); `None` where the
/// recess has no such reading.
fn changed(
    recess: &Recess,
    corners: &[Corner],
    measure: Measure,
    sign: f64,
) -> Option<Vec<Vector>> {
    let channel = recess.kind() == Kind::Channel;
    let at = |role: Role| corners.iter().position(|c| c.roles.contains(&role));
    let mut by = vec![Vector::zeros(); corners.len()];
    match measure {
        Measure::Depth => {
            let lips = [Role::LeftLip, Role::RightLip];
            let lip = |c: &Corner| c.roles.iter().any(|r| lips.contains(r));
            for (_, by) in corners.iter().zip(&mut by).filter(|(c, _)| !lip(c)) {
                by.y = -sign;
            }
        }
        Measure::Mouth | Measure::Floor => {
            let (a, b) = if measure == Measure::Mouth {
                (at(Role::LeftLip)?, at(Role::RightLip)?)
            } else {
                (at(Role::LeftFoot)?, at(Role::RightFoot)?)
            };
            if !channel || a == b {
                return None;
            }
            (by[a].x, by[b].x) = (-0.5 * sign, 0.5 * sign);
        }
        Measure::LeftWall | Measure::RightWall => {
            let (lip, foot, other) = match measure {
                Measure::LeftWall => (Role::LeftLip, Role::LeftFoot, Role::RightFoot),
                _ => (Role::RightLip, Role::RightFoot, Role::LeftFoot),
            };
            let (lip, foot, other) = (at(lip)?, at(foot)?, at(other));
            if lip == foot || other == Some(foot) {
                return None;
            }
            let line = recess.section().line();
            let run = line.at(corners[foot].s) - line.at(corners[lip].s);
            let angle = (-run.y).atan2(run.x.abs()) + sign.to_radians();
            if angle <= 0.0 || angle > std::f64::consts::FRAC_PI_2 {
                return None;
            }
            let to = -run.y / angle.tan();
            by[foot].x = run.x.signum() * (to - run.x.abs());
        }
        Measure::Press => return None,
    }
    Some(by)
}
