//! The film on the panel, true to scale, one order under the other.
//!
//! Steps: choose the scale (`plan`), draw each order (`row`), then the note and the scale
//! of colours.

use super::canvas::{Canvas, Type};
use super::cividis::{STEPS, step_colour};
use super::paper::Look;
use super::plan::{Layout, Panel, Plan, has_words, lines, tick_step};
use super::ribbon::Sample;
use super::row::{Row, hatch, over_limit};
use super::sheet::{self, MARGIN};
use super::words;
use crate::advice::Check;
use crate::draw::Box2;
use crate::draw::{INK, Side};
use crate::say::Voice;

/// Draws the picture.
pub(super) fn draw(checks: &[Check], look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, checks))
}

fn drawn(canvas: &mut Canvas, checks: &[Check]) -> f64 {
    let voice = canvas.voice;
    let body = sheet::head(
        canvas,
        &words::answer(checks, voice),
        &second_line(checks, voice),
    );
    let merged = merged(checks);
    let checks = &merged[..];
    let panel = Panel::around_all(checks);
    let over = checks.iter().any(is_over);
    let bar = scale_bar_width(over);
    // The foot must be known before the scale, and its words name the step of the ticks.
    let longest = note(checks, Some(100.0), voice);
    let room = Box2 {
        top: body.top + 12.0,
        bottom: foot_room(canvas, &longest, bar),
        ..body
    };
    let plan = Plan::new(checks, &panel, room, voice);
    // More of the flats where there is room beside them.
    let panel = panel.widened(checks, plan.spare(&panel));
    let plan = Plan::new(checks, &panel, room, voice);
    let step = tick_step(checks, plan.scale, voice.units);
    let beside_bar = canvas.width - 2.0 * MARGIN - bar - 60.0;
    sheet::foot(canvas, &note(checks, step, voice), beside_bar);
    if step.is_some() {
        scale_bar(canvas, checks[0].film.limit_pct, over, bar);
    }
    for (i, check) in checks.iter().enumerate() {
        let alone = i == 0 || plan.layout == Layout::Columns;
        let labelled = alone || !same_bonds(check, &checks[i - 1]);
        let worded = alone || has_words(checks, i);
        Row {
            check,
            panel: &panel,
            plan: &plan,
            cell: plan.cells[i],
            step,
            labelled,
            worded,
        }
        .draw(canvas);
    }
    plan.lack
}

pub(super) fn second_line(checks: &[Check], voice: Voice) -> String {
    let first = &checks[0];
    let bridge = if one_bridge(checks) {
        format!(", bridge {}", voice.length(first.bridge_mm))
    } else {
        String::new()
    };
    format!("{}{bridge}", words::subject(first))
}

/// Orders laid alike are drawn once, with all their names.
fn merged(checks: &[Check]) -> Vec<Check> {
    let one = |(check, names): (&Check, Vec<String>)| {
        let mut check = check.clone();
        if names.len() > 1 {
            check.order.heading = Some(words::together(&names));
        }
        check
    };
    words::grouped(checks).into_iter().map(one).collect()
}

fn one_bridge(checks: &[Check]) -> bool {
    checks.iter().all(|c| same_bonds(c, &checks[0]))
}

fn same_bonds(a: &Check, b: &Check) -> bool {
    (a.bond_left.s_mm - b.bond_left.s_mm).abs() < 0.05
        && (a.bond_right.s_mm - b.bond_right.s_mm).abs() < 0.05
}

pub(super) fn is_over(check: &Check) -> bool {
    check
        .profile
        .iter()
        .any(|r| over_limit(r.elongation_pct, check))
}

fn note(checks: &[Check], step: Option<f64>, voice: Voice) -> String {
    let ticks = step.map(|step| {
        format!(
            "Drawn true to scale. A tick across the film every {} of unstretched film: where ticks stand apart, it is stretched.",
            voice.length(step)
        )
    });
    let invented = words::training(&checks[0].invented, voice);
    [ticks, invented]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

/// Bottom of what stands over the note and the scale of colours.
pub(super) fn foot_room(canvas: &Canvas, note: &str, bar: f64) -> f64 {
    let width = canvas.width - 2.0 * MARGIN - bar - 60.0;
    canvas.height - 44.0 - lines(note, width, Type::Body).max(92.0) - 6.0
}

/// Width of one cell of the colour scale, and of the cell for what is over.
const CELL: f64 = 16.0;
const OVER: f64 = 96.0;
/// Parts of that cell, each hatched denser.
const OVER_PARTS: u32 = 12;

pub(super) fn scale_bar_width(over: bool) -> f64 {
    CELL * f64::from(u32::try_from(STEPS).unwrap_or(20))
        + if over { 30.0 + OVER } else { 24.0 }
        + 20.0
}

/// The colour scale at the bottom right: 0, the limit, and what is over it.
pub(super) fn scale_bar(canvas: &mut Canvas, limit: f64, over: bool, width: f64) {
    let voice = canvas.voice;
    let left = canvas.width - MARGIN - width;
    let (top, bottom) = (canvas.height - 44.0 - 52.0, canvas.height - 44.0 - 30.0);
    let mut x = left;
    for k in 0..STEPS {
        let cell = Box2 {
            left: x,
            top,
            right: x + CELL + if k + 1 < STEPS { 1.0 } else { 0.0 },
            bottom,
        };
        canvas.fill(&cell.corners(), step_colour(k));
        x += CELL;
    }
    let baseline = canvas.height - 44.0;
    canvas.write("elongation", [left, top - 12.0], Side::Left, Type::Body);
    canvas.write(&voice.limit(0.0), [left, baseline], Side::Left, Type::Body);
    let label = format!("limit {}", voice.limit(limit));
    canvas.stroke(&[[x, top - 6.0], [x, bottom + 6.0]], INK, 2.0);
    canvas.write(&label, [x, baseline], Side::Right, Type::Body);
    if over {
        let cell = Box2 {
            left: x + 24.0,
            top,
            right: x + 24.0 + OVER,
            bottom,
        };
        canvas.fill(&cell.corners(), step_colour(STEPS - 1));
        let samples: Vec<Sample> = (0..=OVER_PARTS)
            .map(|k| cell.left + OVER * f64::from(k) / f64::from(OVER_PARTS))
            .map(|x| Sample {
                segment: 0,
                part: 0.0,
                near: [x, bottom],
                far: [x, top],
            })
            .collect();
        // From just over the limit to twice the limit.
        let excess =
            |k: usize| f64::from(u32::try_from(k).unwrap_or(0)) / f64::from(OVER_PARTS - 1);
        hatch(canvas, &samples, excess);
        canvas.write(
            "over",
            [cell.centre()[0], baseline],
            Side::Centre,
            Type::Body,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;
    use crate::draw::Mark;

    #[test]
    fn channels_of_every_size_are_laid_out_without_a_touch() {
        for (name, checks) in sample::many_sizes() {
            for (n, look) in (1..=3).zip([Look::ALL[1], Look::ALL[3], Look::ALL[1]]) {
                let canvas = draw(&checks[..n], look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name}, {n} orders");
                assert!(canvas.finite(), "{name}");
            }
        }
    }

    #[test]
    fn no_text_touches_a_line_a_text_or_an_edge() {
        for (name, checks) in sample::all_checks() {
            for look in Look::ALL {
                let canvas = draw(&checks, look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {look:?}");
                assert!(canvas.finite(), "{name} {look:?}");
                let peaks = merged(&checks)
                    .iter()
                    .filter(|c| c.peak_pct.is_some())
                    .count();
                let said = canvas.said();
                let first = &checks[0];
                let large = |m: &&Mark| matches!(m, Mark::Text(t) if t.face == Type::Title.face() && (t.words == "within" || t.words == "over"));
                let with_film = merged(&checks)
                    .iter()
                    .filter(|c| words::has_film(c))
                    .count();
                let words_seen = canvas.scene.marks.iter().filter(large).count();
                assert_eq!(words_seen, with_film, "{name} {look:?}");
                for key in ["_pct", "_mm", "[["] {
                    assert!(!said.contains(key), "{name}: {said}");
                }
                let [left, right] = words::ends(first);
                for word in ["press", left, right, "limit"] {
                    assert!(said.contains(word), "{name} {look:?}: {word}");
                }
                for (reach, end) in [(first.reach_left_mm, left), (first.reach_right_mm, right)] {
                    let label = if reach < 0.05 {
                        format!("at the {end}")
                    } else {
                        format!("{} from the {end}", canvas.voice.length(reach))
                    };
                    assert!(said.contains(&label), "{name} {look:?}: {label}");
                }
                assert_eq!(
                    canvas.count_words("peak: ") + canvas.count_words("over: "),
                    peaks,
                    "{name} {look:?}"
                );
            }
        }
    }
}
