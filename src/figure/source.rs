//! Where the film came from: the flat film as a bar, under it the panel unrolled as another,
//! joined by lines at equal film ticks; what goes into the recess is shaded.

use super::canvas::{Canvas, Type};
use super::film_on_panel::{is_over, scale_bar, scale_bar_width, second_line};
use super::paper::{FigureError, Look};
use super::plan::film_step;
use super::ribbon::Sample;
use super::row::paint;
use super::sheet::{self, MARGIN};
use super::ticks::{joined, length_ticks, stepped};
use super::words;
use crate::advice::Check;
use crate::draw::Box2;
use crate::draw::{BAND, INK, Side, WHITE};
use crate::outcome::Source;
use crate::say::Voice;

/// Height of a bar.
const BAR: f64 = 26.0;
/// Column of the names of the bars.
const NAMES: f64 = 176.0;
/// Lines nearer than this cannot be told apart.
const NEAREST: f64 = 9.0;
/// Most orders one under the other.
pub(super) const MOST: usize = 2;
/// Height of an order without film.
const WORDY: f64 = 80.0;
/// Room above the film for its millimetres, and under the panel for its places.
const ABOVE: f64 = 46.0;
const BELOW: f64 = 46.0;

/// Refuses checks without their source.
pub(super) fn examine(checks: &[Check]) -> Result<(), FigureError> {
    sheet::examine(checks)?;
    if checks.len() > MOST {
        return Err(FigureError::TooMany {
            found: checks.len(),
            most: MOST,
        });
    }
    for source in checks.iter().filter_map(|c| c.source.as_ref()) {
        for row in &source.rows {
            for v in [row.film_mm, row.panel_mm, row.elongation_pct] {
                sheet::finite("a number of a source", v)?;
            }
        }
    }
    if checks
        .iter()
        .all(|c| c.source.is_none() && words::has_film(c))
    {
        return Err(FigureError::Nothing {
            found: "no source",
            expected: "checks with a profile",
        });
    }
    Ok(())
}

/// What the first order does to artwork: the picture's title.
pub(super) fn answer(checks: &[Check], voice: Voice) -> String {
    let first = checks.iter().find_map(|c| Some((c, c.source.as_ref()?)));
    match first {
        Some((check, source)) => {
            format!("{}: {}", words::order(&check.order), said(source, voice))
        }
        None => words::answer(checks, voice),
    }
}

/// The sources in words.
pub(super) fn described(checks: &[Check], voice: Voice) -> String {
    let one = |c: &Check| {
        let said = match &c.source {
            Some(source) => format!("{}, {}", taken(source, voice), said(source, voice)),
            None => words::no_film(c, voice).unwrap_or_default(),
        };
        format!("{}: {said}.", words::order(&c.order))
    };
    checks.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// Shift and ink.
fn said(source: &Source, voice: Voice) -> String {
    format!(
        "marks land up to {} further along, ink fades to {}",
        voice.length(source.largest_shift_mm.abs()),
        voice.limit(source.least_ink_pct.round())
    )
}

/// Film in the recess.
fn taken(source: &Source, voice: Voice) -> String {
    let drawn = source.drawn_in_mm;
    let more = if drawn.abs() < 0.05 {
        "as much as lay over it".to_owned()
    } else {
        format!(
            "{} {} than lay over it",
            voice.length(drawn.abs()),
            if drawn < 0.0 { "less" } else { "more" }
        )
    };
    format!(
        "{} of film in the recess, {more}",
        voice.length(source.film_in_recess_mm)
    )
}

/// Draws the picture.
pub(super) fn draw(checks: &[Check], look: Look) -> Canvas {
    let mut canvas = Canvas::new(look);
    let voice = canvas.voice;
    let body = sheet::head(
        &mut canvas,
        &answer(checks, voice),
        &second_line(checks, voice),
    );
    let over = checks.iter().any(is_over);
    let bar = scale_bar_width(over);
    let scale = scale(checks, body.width() - NAMES);
    let step = film_step(scale, NEAREST, look.units);
    let width = canvas.width - 2.0 * MARGIN - bar - 60.0;
    let foot = sheet::foot(&mut canvas, &note(checks, step, voice), width);
    scale_bar(&mut canvas, checks[0].film.limit_pct, over, bar);
    let bottom = foot.min(canvas.height - 44.0 - 92.0) - 14.0;
    let count = |drawn: bool| {
        let n = checks
            .iter()
            .filter(|c| c.source.is_some() == drawn)
            .count();
        f64::from(u32::try_from(n).unwrap_or(0))
    };
    let height = (bottom - body.top - WORDY * count(false)) / count(true).max(1.0);
    let mut top = body.top;
    for check in checks {
        let drawn = check.source.is_some();
        let room = Box2 {
            top,
            bottom: top + height.min(330.0),
            ..body
        };
        row(&mut canvas, check, room, scale, step);
        top += if drawn { height.min(360.0) } else { WORDY };
    }
    canvas
}

/// Picture units a millimetre: the longest film or panel of all fills the width.
fn scale(checks: &[Check], width: f64) -> f64 {
    let ends = checks.iter().filter_map(|c| c.source.as_ref()).map(|s| {
        let ([low, high], rows) = (span(s), &s.rows);
        let panel = rows.iter().map(|r| r.panel_mm).fold(0.0, f64::max);
        (high.max(panel)) - low.min(0.0)
    });
    width / ends.fold(1e-6, f64::max)
}

/// First and last position on the film, mm.
fn span(source: &Source) -> [f64; 2] {
    let first = source.rows.first().map_or(0.0, |r| r.film_mm);
    [first, source.rows.last().map_or(0.0, |r| r.film_mm)]
}

fn note(checks: &[Check], step: f64, voice: Voice) -> String {
    let lines = format!(
        "A line every {} of film. A mark's shift counts from the left bond line: how much further along the panel it lands than film that does not stretch.",
        voice.length(step)
    );
    [Some(lines), words::training(&checks[0].invented, voice)]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

/// One order.
fn row(canvas: &mut Canvas, check: &Check, room: Box2, scale: f64, step: f64) {
    let voice = canvas.voice;
    let y = room.top + Type::Head.em();
    let name = words::order(&check.order);
    let extent = canvas.write(&name, [room.left, y], Side::Left, Type::Head);
    let from = extent.right + 24.0;
    let words = match &check.source {
        Some(source) => taken(source, voice),
        None => words::no_film(check, voice).unwrap_or_default(),
    };
    let after = canvas.paragraph(&words, [from, y], room.right - from, Type::Body);
    let Some(source) = &check.source else { return };
    let [low, _] = span(source);
    let zero = room.left + NAMES - low.min(0.0) * scale;
    let x = |mm: f64| zero + mm * scale;
    let film = after - Type::Body.leading() + 12.0 + ABOVE;
    let panel = (room.bottom - BELOW - BAR).max(film + BAR + 30.0);
    shade(canvas, check, source, [film, panel], &x);
    bars(canvas, check, source, [film, panel], &x, room.left);
    let [first, last] = span(source);
    for mm in stepped(first, last, step) {
        let line = [[x(mm), film + BAR], [x(panel_over(check, mm)), panel]];
        canvas.stroke(&line, INK, 1.4);
    }
    let most = ((last - first) * scale / 90.0).min(14.0);
    for mm in length_ticks(first, last, most, voice.units) {
        canvas.stroke(&[[x(mm), film - 9.0], [x(mm), film]], INK, 1.5);
        let words = voice.bare_length(mm);
        canvas.write(&words, [x(mm), film - 18.0], Side::Centre, Type::Body);
    }
    places(
        canvas,
        source,
        panel + BAR,
        &x,
        [room.left + NAMES, room.right],
    );
}

/// Where on the panel a place of the film lands, mm from the left bond line.
fn panel_over(check: &Check, film: f64) -> f64 {
    let rows = &check.profile;
    let k = rows.partition_point(|r| r.film_mm < film);
    let k = k.clamp(1, rows.len() - 1);
    let (a, b) = (&rows[k - 1], &rows[k]);
    let run = b.film_mm - a.film_mm;
    let t = if run > 0.0 {
        (film - a.film_mm) / run
    } else {
        1.0
    };
    a.place.s_mm + t * (b.place.s_mm - a.place.s_mm) - check.bond_left.s_mm
}

/// The film that goes into the recess, from bar to bar.
fn shade(
    canvas: &mut Canvas,
    check: &Check,
    source: &Source,
    [film, panel]: [f64; 2],
    x: &impl Fn(f64) -> f64,
) {
    let left = check.bond_left.s_mm;
    let row = |s: f64| {
        let near = |r: &&crate::outcome::SourceRow| (r.panel_mm - (s - left)).abs() < 1e-6;
        source.rows.iter().find(near)
    };
    let from = check.lip_left.s_mm.max(left);
    let to = check.lip_right.s_mm.min(check.bond_right.s_mm);
    if let (Some(a), Some(b)) = (row(from), row(to)) {
        let band = [
            [x(a.film_mm), film - 4.0],
            [x(b.film_mm), film - 4.0],
            [x(b.film_mm), film + BAR],
            [x(b.panel_mm), panel],
            [x(b.panel_mm), panel + BAR + 4.0],
            [x(a.panel_mm), panel + BAR + 4.0],
            [x(a.panel_mm), panel],
            [x(a.film_mm), film + BAR],
        ];
        canvas.fill(&band, BAND);
    }
}

/// Both bars: flat film white, the panel in the colours of the film on it.
fn bars(
    canvas: &mut Canvas,
    check: &Check,
    source: &Source,
    [film, panel]: [f64; 2],
    x: &impl Fn(f64) -> f64,
    left: f64,
) {
    let flat = format!("flat film, {}", canvas.voice.unit());
    for (words, y) in [(&*flat, film), ("panel", panel)] {
        let at = [left, y + BAR / 2.0 + Type::Body.em() * 0.35];
        canvas.write(words, at, Side::Left, Type::Value);
    }
    let [first, last] = span(source);
    let flat = Box2 {
        left: x(first),
        top: film,
        right: x(last),
        bottom: film + BAR,
    };
    canvas.fill(&flat.corners(), WHITE);
    let [a, b, c, d] = flat.corners();
    canvas.stroke(&[a, b, c, d, a], INK, 1.5);
    let rows = &check.profile;
    let samples: Vec<Sample> = rows
        .iter()
        .enumerate()
        .map(|(segment, r)| {
            let x = x(r.place.s_mm - check.bond_left.s_mm);
            Sample {
                segment,
                part: 0.0,
                near: [x, panel + BAR],
                far: [x, panel],
            }
        })
        .collect();
    let pct: Vec<f64> = rows.iter().map(|r| r.elongation_pct).collect();
    let limit = check.film.limit_pct;
    paint(canvas, &samples, &pct, limit, |_| limit);
}

/// The named places under the panel.
fn places(
    canvas: &mut Canvas,
    source: &Source,
    y: f64,
    x: &impl Fn(f64) -> f64,
    [left, right]: [f64; 2],
) {
    let mut groups = Vec::new();
    for row in &source.rows {
        if row.marks.is_empty() {
            continue;
        }
        let x = x(row.panel_mm);
        canvas.stroke(&[[x, y], [x, y + 9.0]], INK, 2.0);
        let short = words::short_marks(&row.marks);
        let half = Type::Body.width(&short) / 2.0;
        let centre = x.max(left + half).min(right - half);
        groups.push((centre, centre, short));
    }
    for (from, to, word) in joined(groups) {
        let half = Type::Body.width(&word) / 2.0;
        let centre = ((from + to) / 2.0).max(left + half).min(right - half);
        canvas.write(&word, [centre, y + 36.0], Side::Centre, Type::Body);
    }
}
