//! Elongation along the panel, and under it the line tension of the laid film: what pulls
//! at the adhesive.

use super::canvas::Canvas;
use super::chart::{self, Curve, Frame};
use super::elongation::{self, UNDER, across, origin, parted, placer};
use super::paper::{FigureError, Look};
use super::plot::axes;
use super::sheet;
use super::words;
use crate::advice::Check;
use crate::advice::Invented;
use crate::draw::Box2;
use crate::say::{Voice, lower};
use crate::told::add_new;

/// Part of the height that the elongation takes.
const UPPER: f64 = 0.53;
/// Room under the upper area for its numbers, and above the lower one for its name.
const BETWEEN: f64 = 48.0;
const ABOVE: f64 = 78.0;

/// Refuses checks whose tension is not known.
pub(super) fn examine(checks: &[Check]) -> Result<(), FigureError> {
    sheet::examine(checks)?;
    let tensions = checks.iter().flat_map(|c| &c.profile);
    let mut known = false;
    for tension in tensions.filter_map(|r| r.tension_n_per_mm) {
        sheet::finite("tension_n_per_mm", tension)?;
        known = true;
    }
    if known {
        Ok(())
    } else {
        Err(FigureError::Nothing {
            found: "no tension (a class without a modulus table, or no profile)",
            expected: "a class whose stiffness or tensile curve is known",
        })
    }
}

/// Largest tension of an order, N/mm.
fn most(check: &Check) -> Option<f64> {
    let tensions = check.profile.iter().filter_map(|r| r.tension_n_per_mm);
    tensions.reduce(f64::max)
}

/// Tension in words: always two decimals, so that values compare at a glance.
fn per_mm(n: f64, voice: Voice) -> String {
    format!("{}\u{2009}N/mm", voice.steady(n, 2))
}

/// At which temperature.
fn warm(check: &Check, voice: Voice) -> String {
    let celsius = check.force.as_ref().and_then(|f| f.temperature_c);
    celsius.map_or_else(String::new, |t| {
        format!(", film laid at {} °C", voice.number(t, 0))
    })
}

/// The largest tension of each order: the picture's title.
pub(super) fn answer(checks: &[Check], voice: Voice) -> String {
    let one = |c: &Check| most(c).map(|n| (words::order(&c.order), per_mm(n, voice)));
    let all: Vec<(String, String)> = checks.iter().filter_map(one).take(2).collect();
    match &all[..] {
        [a, b] => format!(
            "{} pulls with up to {}, {} with up to {}",
            a.0,
            a.1,
            lower(&b.0),
            b.1
        ),
        [a] => format!("{} pulls with up to {}", a.0, a.1),
        _ => String::new(),
    }
}

/// Every order with its largest tension, in words.
pub(super) fn described(checks: &[Check], voice: Voice) -> String {
    let one = |c: &Check| {
        let name = words::order(&c.order);
        match most(c) {
            Some(n) => format!(
                "{name}: tension up to {}{}.",
                per_mm(n, voice),
                warm(c, voice)
            ),
            None => format!("{name}: {}.", words::no_film(c, voice).unwrap_or_default()),
        }
    };
    checks.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// Least height of the lower area.
const LEAST: f64 = 80.0;

/// Draws the picture.
pub(super) fn draw(checks: &[Check], look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, checks))
}

fn drawn(canvas: &mut Canvas, checks: &[Check]) -> f64 {
    let voice = canvas.voice;
    let second = elongation::second_line(checks, voice);
    let second = format!(
        "{}{}.",
        second.trim_end_matches('.'),
        warm(&checks[0], voice)
    );
    let body = sheet::head(canvas, &answer(checks, voice), &second);
    let mut invented = checks[0].invented.clone();
    let more = checks[0].invented_in_force.iter();
    let stiffness: Vec<_> = more
        .filter(|i| matches!(i.0, Invented::Film { .. }))
        .cloned()
        .collect();
    add_new(&mut invented, &stiffness);
    let foot = words::training(&invented, voice).map_or(body.bottom, |note| {
        sheet::foot(canvas, &note, body.width()) - 6.0
    });
    let middle = body.top + UPPER * (foot - body.top);
    let upper = Box2 {
        bottom: middle,
        ..body
    };
    let above = elongation::frame(checks, upper, BETWEEN, voice);
    let below = Frame {
        area: Box2 {
            top: middle + ABOVE,
            bottom: foot - UNDER,
            ..above.area
        },
        top: 1.15 * checks.iter().filter_map(most).fold(1e-9, f64::max),
        ..above
    };
    let lack = (LEAST - below.area.height()) / (1.0 - UPPER);
    if lack < sheet::UNSEEN {
        elongation::plot(canvas, checks, &above, "");
        tensions(canvas, checks, &below);
    }
    lack
}

/// The lower frame.
fn tensions(canvas: &mut Canvas, checks: &[Check], frame: &Frame) {
    let voice = canvas.voice;
    let (origin, first) = (origin(checks), &checks[0]);
    let mut placer = placer(canvas, frame);
    let ends = [first.lip_left, first.lip_right].map(|p| p.s_mm - origin);
    chart::shade(canvas, frame, ends[0], ends[1]);
    let value = |n: f64| voice.number(n, 2);
    axes(canvas, frame, &across(voice), "line tension, N/mm", value);
    canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
    let mut all: Vec<Curve> = Vec::new();
    for (check, names) in words::grouped(checks) {
        let Some(most) = most(check) else { continue };
        let tension =
            |r: &crate::advice::ProfileRow| r.tension_n_per_mm.map(|n| [r.place.s_mm - origin, n]);
        let data: Vec<[f64; 2]> = check.profile.iter().filter_map(tension).collect();
        all.push(Curve {
            name: format!("{} {}", words::together(&names), per_mm(most, voice)),
            more: String::new(),
            order: Some(check.order.name),
            runs: parted(&data, frame),
        });
    }
    for curve in &all {
        curve.runs.iter().for_each(|run| placer.avoid_line(run));
    }
    chart::curves(canvas, &all, &mut placer);
}
