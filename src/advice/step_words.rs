//! The steps of a custom order in plain words, places measured from the lips.

use crate::laydown::{Act, Bed, Goal, Laydown, Patch, Step, StepDone, side_word};
use crate::section::{Kind, Side};

/// Distance below which a place is at a landmark, mm: what a steel rule shows.
const AT: f64 = 0.5;

/// What the hands do, step by step.
///
/// # Arguments
/// * `tool`: what is pressed with, in words.
pub(crate) fn step_words(bed: &Bed<'_>, laid: &Laydown, tool: &str) -> Vec<String> {
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

fn press(bed: &Bed<'_>, step: &Step, pad: (f64, f64), tool: Option<&str>) -> String {
    let middle = match step {
        Step::Press(spot) => bed.line().at_x(spot.x).filter(|_| spot.y.is_none()),
        Step::Spread { .. } => None,
    };
    let middle = middle.unwrap_or(0.5 * (pad.0 + pad.1));
    let moved = bed.recess().survey().press_offset != 0.0;
    let deepest = !moved && (middle - bed.press()).abs() <= AT;
    let at = match (deepest, bed.recess().kind()) {
        (true, Kind::Step) => "into the foot".to_owned(),
        (true, Kind::Channel) => format!("on to the deepest part, {}", place_words(bed, middle)),
        _ => place_words(bed, middle),
    };
    let how = tool.map_or_else(String::new, |tool| {
        format!(", with the {tool}, all along the recess")
    });
    format!("press the film {at}{how}")
}

fn spread(
    bed: &Bed<'_>,
    laid: &Laydown,
    (number, stage): (usize, &StepDone),
    step: &Step,
    from: f64,
    to: f64,
) -> String {
    let side = if to > from { Side::Right } else { Side::Left };
    let (patch, next) = match *step {
        Step::Spread { to, from } => (from, matches!(to, Goal::Next(_))),
        Step::Press(_) => (Patch::Pressed, false),
    };
    let start = match patch {
        Patch::Pressed if number > 0 && is_press(&laid.stages()[number - 1]) => {
            "from there work".to_owned()
        }
        Patch::Pressed => "from the film pressed last work".to_owned(),
        Patch::Flat(side) => format!("from the {} tape work inwards,", side_word(side)),
        Patch::At(_) => match pressed_in(laid, number, from) {
            Some(step) => format!("from the film pressed in step {} work", step + 1),
            None => format!("from the film {} work", place_words(bed, from)),
        },
    };
    let far = stage
        .before
        .iter()
        .find(|o| from >= o.a && from <= o.b && to >= o.a && to <= o.b)
        .map_or(to, |o| if side == Side::Right { o.b } else { o.a });
    let whole = (to - far).abs() <= 0.0;
    let bond = if side == Side::Right {
        laid.bonds().1
    } else {
        laid.bonds().0
    };
    let end = if whole && (far - bond).abs() <= 0.0 {
        format!("on to the {} tape", side_word(side))
    } else if whole && next {
        format!(
            "until it meets the film that is down, {}",
            place_words(bed, to)
        )
    } else {
        format!("and stop {}", place_words(bed, to))
    };
    format!("{start} along the panel to the {}, {end}", side_word(side))
}

fn is_press(stage: &StepDone) -> bool {
    matches!(stage.act, Act::Press { .. })
}

/// The step before `number` whose pad the front at `from` has grown out of.
fn pressed_in(laid: &Laydown, number: usize, from: f64) -> Option<usize> {
    let stages = laid.stages();
    // The patch beside the front: from the next free span on that side to the front.
    let open = &stages[number].before;
    let low = open
        .iter()
        .map(|o| o.b)
        .filter(|&b| b <= from)
        .fold(laid.bonds().0, f64::max);
    let high = open
        .iter()
        .map(|o| o.a)
        .filter(|&a| a >= from)
        .fold(laid.bonds().1, f64::min);
    (0..number)
        .rev()
        .find(|&k| matches!(stages[k].act, Act::Press { pad, .. } if pad.0 >= low && pad.1 <= high))
}

/// Where a place is, measured level and plumb from the nearer lip: `12 mm right of the left
/// lip and 3 mm below it`.
pub(crate) fn place_words(bed: &Bed<'_>, s: f64) -> String {
    let p = bed.line().at(s);
    let (left, right) = bed.lips();
    let lower = bed.recess().lower();
    let (lip, side) = if (s - left).abs() <= (right - s).abs() {
        (left, Side::Left)
    } else {
        (right, Side::Right)
    };
    let name = match lower {
        Some(l) if l == side => "foot",
        Some(_) => "lip",
        None if side == Side::Left => "left lip",
        None => "right lip",
    };
    let away = p - bed.line().at(lip);
    let mm = |v: f64| {
        let v = v.abs();
        let text = format!("{v:.1}");
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    let along = if away.x < 0.0 { "left" } else { "right" };
    let up = if away.y < 0.0 { "below" } else { "above" };
    match (away.x.abs() < AT, away.y.abs() < AT) {
        (true, true) => format!("at the {name}"),
        (true, false) => format!("{} mm {up} the {name}", mm(away.y)),
        (false, true) => format!("{} mm {along} of the {name}", mm(away.x)),
        (false, false) => format!(
            "{} mm {along} of the {name} and {} mm {up} it",
            mm(away.x),
            mm(away.y)
        ),
    }
}
