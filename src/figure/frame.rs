//! One moment of a lay-down, alone in the picture, for slides that step through it.
//!
//! Panel, scale and places are those of the finished lay-down, so that frames laid over
//! each other differ in the film alone.

use super::canvas::Canvas;
use super::film_on_panel::{foot_room, is_over, scale_bar, scale_bar_width};
use super::paper::Look;
use super::place::Placer;
use super::plan::{Panel, Plan, tick_step};
use super::ribbon::{band, thinned};
use super::row::{GAP, RIBBON, Row};
use super::sheet::{self, MARGIN};
use super::words;
use crate::advice::{Check, Place, ProfileRow};
use crate::draw::{Box2, Pt};
use crate::draw::{INK, PANEL};
use crate::laydown::Moment;
use crate::say::Voice;

/// Height of the free film over the panel: the middle of the ribbon's band.
const FREE: f64 = GAP + RIBBON / 2.0;

/// Order, frame, and how far the free film is stretched.
pub(super) fn title(
    check: &Check,
    moment: &Moment,
    (k, n): (usize, usize),
    voice: Voice,
) -> String {
    let order = words::order(&check.order);
    let now = if moment.down.is_empty() {
        "bridged, nothing pressed yet".to_owned()
    } else if moment.free.is_empty() {
        let peak = check.peak_pct.unwrap_or_default();
        format!("down, highest elongation {}", voice.percent(peak))
    } else {
        format!(
            "the free film is stretched {}",
            voice.percent(free_pct(moment))
        )
    };
    format!("{order}, {k} of {n}: {now}")
}

pub(super) fn described(check: &Check, moment: &Moment, voice: Voice) -> String {
    let down: f64 = moment.down.iter().map(|d| d.1 - d.0).sum();
    format!(
        "{}: {} of {} of panel are covered.",
        words::subject(check),
        voice.length(down),
        voice.length(check.arc_mm)
    )
}

/// Largest elongation of the free film, percent.
fn free_pct(moment: &Moment) -> f64 {
    let most = moment.free.iter().map(|s| s.lambda).fold(1.0, f64::max);
    100.0 * (most - 1.0)
}

pub(super) fn draw(check: &Check, moment: &Moment, title: &str, look: Look) -> Canvas {
    let mut canvas = Canvas::new(look);
    let voice = canvas.voice;
    let second = format!(
        "{}, bridge {}",
        words::subject(check),
        voice.length(check.bridge_mm)
    );
    let body = sheet::head(&mut canvas, title, &second);
    let checks = std::slice::from_ref(check);
    let panel = Panel::around_all(checks);
    let over = is_over(check);
    let bar = scale_bar_width(over);
    let note = |step: f64| {
        format!(
            "A tick across the film every {} of unstretched film. {}",
            voice.length(step),
            words::training(&check.invented, voice).unwrap_or_default()
        )
    };
    // Frames of one lay-down share their room, however many lines a title takes.
    let room = Box2 {
        top: canvas.height * 0.24,
        bottom: foot_room(&canvas, &note(100.0), bar).min(canvas.height - 44.0 - 130.0),
        ..body
    };
    let plan = Plan::frame(&panel, room);
    let step = tick_step(checks, plan.scale, look.units);
    let note = step.map_or_else(String::new, note);
    let beside = canvas.width - 2.0 * MARGIN - bar - 60.0;
    sheet::foot(&mut canvas, note.trim(), beside);
    scale_bar(&mut canvas, check.film.limit_pct, over, bar);
    let row = Row {
        check,
        panel: &panel,
        plan: &plan,
        cell: plan.cells[0],
        step,
        labelled: true,
        worded: true,
    };
    let surface: Vec<Pt> = panel.line.iter().map(|p| row.at(p[0], p[1])).collect();
    let mut solid = surface.clone();
    solid.push([surface[surface.len() - 1][0], row.bottom()]);
    solid.push([surface[0][0], row.bottom()]);
    canvas.fill(&solid, PANEL);
    let mut placer = Placer::new(
        Box2 {
            left: MARGIN,
            top: room.top,
            right: canvas.width - MARGIN,
            bottom: row.bottom(),
        },
        7.0,
    );
    canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
    placer.avoid_line(&thinned(&surface));
    free(&mut canvas, &row, moment, &mut placer);
    for &(from, to) in &moment.down {
        laid(&mut canvas, &row, (from, to), &mut placer);
    }
    row.posts(&mut canvas, &mut placer);
    row.marks(&mut canvas, &surface, &mut placer);
    canvas
}

/// Film not yet laid.
fn free(canvas: &mut Canvas, row: &Row<'_>, moment: &Moment, placer: &mut Placer) {
    for span in &moment.free {
        let line: Vec<Pt> = span
            .path
            .iter()
            .map(|p| row.at(p.x, p.y))
            .map(|p| [p[0], p[1] - FREE])
            .collect();
        canvas.stroke(&line, INK, 4.0);
        placer.avoid_line(&thinned(&line));
    }
}

/// Film that is down between two places.
fn laid(canvas: &mut Canvas, row: &Row<'_>, (from, to): (f64, f64), placer: &mut Placer) {
    let part = Check {
        profile: cut(&row.check.profile, from, to),
        ..row.check.clone()
    };
    let film: Vec<Pt> = part.profile.iter().map(|r| row.place(r.place)).collect();
    if film.len() < 2 {
        return;
    }
    let samples = band(&film, GAP, GAP + RIBBON);
    Row {
        check: &part,
        panel: row.panel,
        plan: row.plan,
        cell: row.cell,
        step: row.step,
        labelled: false,
        worded: false,
    }
    .film(canvas, &samples, placer);
}

/// The rows of a profile between two arc lengths, with rows at both.
fn cut(rows: &[ProfileRow], from: f64, to: f64) -> Vec<ProfileRow> {
    let inside = |r: &&ProfileRow| r.place.s_mm > from + 1e-9 && r.place.s_mm < to - 1e-9;
    let mut kept: Vec<ProfileRow> = Vec::new();
    kept.extend(between(rows, from));
    kept.extend(rows.iter().filter(inside).copied());
    kept.extend(between(rows, to));
    kept
}

/// The row at an arc length.
fn between(rows: &[ProfileRow], s: f64) -> Option<ProfileRow> {
    let k = rows.partition_point(|r| r.place.s_mm < s);
    let (Some(b), Some(a)) = (rows.get(k), rows.get(k.saturating_sub(1))) else {
        return rows.last().copied();
    };
    let length = b.place.s_mm - a.place.s_mm;
    let t = if length > 0.0 {
        (s - a.place.s_mm) / length
    } else {
        0.0
    };
    let mix = |x: f64, y: f64| x + t * (y - x);
    Some(ProfileRow {
        place: Place {
            s_mm: s,
            x_mm: mix(a.place.x_mm, b.place.x_mm),
            y_mm: mix(a.place.y_mm, b.place.y_mm),
        },
        film_mm: mix(a.film_mm, b.film_mm),
        elongation_pct: mix(a.elongation_pct, b.elongation_pct),
        thickness_um: mix(a.thickness_um, b.thickness_um),
        tension_n_per_mm: a
            .tension_n_per_mm
            .zip(b.tension_n_per_mm)
            .map(|(a, b)| mix(a, b)),
    })
}
