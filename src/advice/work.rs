//! What the hands do in each order, places measured from the lips.

use super::answer::{Bearing, Doing, End, Onto, Start};
use super::job::Job;
use super::pressing::press_report;
use crate::laydown::{Act, Bed, Goal, Laydown, Order, Patch, Step, StepDone};
use crate::outcome::Ends;
use crate::section::{Kind, Mark, Side};

/// Distance below which a place is at a landmark, mm: what a steel rule shows.
const AT: f64 = 0.5;

/// What the hands do, step by step.
pub(super) fn work(job: &Job<'_>, laid: &Laydown) -> Vec<Doing> {
    let bed = job.bed;
    let step = bed.recess().kind() == Kind::Step;
    let spot = press_report(bed).spot;
    let at = (!spot.is_middle()).then_some(spot);
    let ends = job.handling.and_then(|h| h.bay.ends);
    let open_end = ends != Some(Ends::Closed);
    match laid.order() {
        Order::Custom => own_steps(bed, laid, &job.tool.name),
        Order::DeepestFirst if step => vec![Doing::BondOutside, Doing::PressFoot, Doing::UpAndOut],
        Order::DeepestFirst => vec![
            Doing::BondOutside,
            Doing::PressFirst { at },
            Doing::Outwards,
        ],
        Order::MiddlePush if step => vec![Doing::BondToLip, Doing::PressFoot, Doing::UpThenFlat],
        Order::MiddlePush => vec![
            Doing::BondFlats,
            Doing::PushIn { at, open_end },
            Doing::UpWalls,
        ],
        Order::EdgeFirst => vec![Doing::LayFlats, Doing::DownWalls, Doing::PressLast { at }],
        Order::OneWay { loose } => vec![
            Doing::LayFlat {
                side: loose.other(),
            },
            Doing::Across { loose },
            Doing::LayFlat { side: loose },
        ],
    }
}

/// The steps of a custom order; `tool`: what is pressed with.
fn own_steps(bed: &Bed<'_>, laid: &Laydown, tool: &str) -> Vec<Doing> {
    let Some(steps) = laid.steps() else {
        return Vec::new();
    };
    let stages = laid.stages();
    let pairs = steps.steps().iter().zip(stages).enumerate();
    // The first press says with what, and that all of the recess is meant.
    let first = stages.iter().position(is_press);
    pairs
        .map(|(i, (step, stage))| match stage.act {
            Act::Press { pad, .. } => press(bed, step, pad, (first == Some(i)).then_some(tool)),
            Act::Spread { from, to, .. } => spread(bed, laid, (i, stage), step, from, to),
        })
        .collect()
}

fn press(bed: &Bed<'_>, step: &Step, pad: (f64, f64), tool: Option<&str>) -> Doing {
    let middle = match step {
        Step::Press(spot) => bed.line().at_x(spot.x).filter(|_| spot.y.is_none()),
        Step::Spread { .. } => None,
    };
    let middle = middle.unwrap_or(0.5 * (pad.0 + pad.1));
    let moved = bed.recess().survey().press_offset != 0.0;
    let deepest = !moved && (middle - bed.press()).abs() <= AT;
    let spot = spot(bed, middle);
    Doing::Press {
        at: match (deepest, bed.recess().kind()) {
            (true, Kind::Step) => Onto::Foot,
            (true, Kind::Channel) => Onto::Deepest { spot },
            _ => Onto::Place { spot },
        },
        tool: tool.map(str::to_owned),
    }
}

fn spread(
    bed: &Bed<'_>,
    laid: &Laydown,
    (number, stage): (usize, &StepDone),
    step: &Step,
    from: f64,
    to: f64,
) -> Doing {
    let side = if to > from { Side::Right } else { Side::Left };
    let (patch, next) = match *step {
        Step::Spread { to, from } => (from, matches!(to, Goal::Next(_))),
        Step::Press(_) => (Patch::Pressed, false),
    };
    let start = match patch {
        Patch::Pressed if number > 0 && is_press(&laid.stages()[number - 1]) => Start::There,
        Patch::Pressed => Start::PressedLast,
        Patch::Flat(side) => Start::Tape { side },
        Patch::At(_) => match pressed_in(laid, number, from) {
            Some(step) => Start::Step { number: step + 1 },
            None => Start::Place {
                spot: spot(bed, from),
            },
        },
    };
    let far = stage
        .before
        .iter()
        .find(|o| from >= o.a && from <= o.b && to >= o.a && to <= o.b)
        .map_or(to, |o| if side == Side::Right { o.b } else { o.a });
    let whole = (to - far).abs() <= 0.0;
    let bond = side.pick(laid.bonds().0, laid.bonds().1);
    let spot = spot(bed, to);
    Doing::Spread {
        from: start,
        side,
        to: if whole && (far - bond).abs() <= 0.0 {
            End::Tape
        } else if whole && next {
            End::Meets { spot }
        } else {
            End::Stop { spot }
        },
    }
}

fn is_press(stage: &StepDone) -> bool {
    matches!(stage.act, Act::Press { .. })
}

/// The step before `number` whose pad the front at `from` has grown out of.
fn pressed_in(laid: &Laydown, number: usize, from: f64) -> Option<usize> {
    let stages = laid.stages();
    // The patch beside the front: from the next free span on that side to the front.
    let open = &stages[number].before;
    let (before, after) = (open.iter().map(|o| o.b), open.iter().map(|o| o.a));
    let low = before.filter(|&b| b <= from).fold(laid.bonds().0, f64::max);
    let high = after.filter(|&a| a >= from).fold(laid.bonds().1, f64::min);
    (0..number)
        .rev()
        .find(|&k| matches!(stages[k].act, Act::Press { pad, .. } if pad.0 >= low && pad.1 <= high))
}

/// Where a place is, from the nearer lip (a step: lip or foot).
fn spot(bed: &Bed<'_>, s: f64) -> Bearing {
    let (left, right) = bed.lips();
    let side = Side::smaller((s - left).abs(), (right - s).abs());
    let away = bed.line().at(s) - bed.line().at(side.pick(left, right));
    Bearing {
        from: match (bed.recess().lower(), side) {
            (Some(lower), side) if lower == side => Mark::Foot,
            (_, Side::Left) => Mark::LeftLip,
            (_, Side::Right) => Mark::RightLip,
        },
        right_mm: away.x,
        up_mm: away.y,
    }
}
