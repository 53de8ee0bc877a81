//! The stretched ruler, at true scale: laid on the flat film or on its artwork, its upper
//! edge shows lengths of film, its lower edge where lengths of the panel come from.
//! What is stretched is bracketed, so that text can be kept off it.

use super::canvas::{Canvas, Type};
use super::cividis::{step_colour, step_of};
use super::drawing::Drawing;
use super::paper::{FigureError, UNITS_PER_MM};
use super::row::over_limit;
use super::sheet;
use super::ticks::INCH;
use super::ticks::joined;
use super::words;
use crate::advice::Check;
use crate::draw::{Box2, Pt};
use crate::draw::{INK, Side};
use crate::outcome::Source;
use crate::say::{Voice, lower};
use crate::section::Units;

/// Margin all round, mm.
const MARGIN: f64 = 8.0;
/// Least width of the ruler's sheet, mm: for its words.
const LEAST: f64 = 150.0;
/// Height of the ruler itself, mm.
const BAR: f64 = 7.0;
/// Lengths of a tick, mm: the finest, at halves (5 mm, quarters of an inch), where a number is.
const TICKS: [f64; 3] = [1.5, 2.5, 3.5];

/// The ticks of a unit: millimetres, or sixteenths of an inch.
struct Ticks {
    /// The finest, mm.
    step: f64,
    /// So many to a longer one, and to a number.
    longer: [i32; 2],
    /// Length of the bar to check the scale with, mm.
    check: f64,
}

impl Ticks {
    fn of(units: Units) -> Self {
        match units {
            Units::Mm | Units::Cm => Self {
                step: 1.0,
                longer: [5, 10],
                check: 100.0,
            },
            Units::Inch => Self {
                step: INCH / 16.0,
                longer: [4, 16],
                check: 4.0 * INCH,
            },
        }
    }

    /// Whether a number stands at the tick.
    fn numbered(&self, k: i32) -> bool {
        k % self.longer[1] == 0
    }

    /// Length of a tick.
    fn length(&self, k: i32) -> f64 {
        let longer = self.longer.iter().filter(|&n| k % n == 0);
        TICKS[longer.count()] * UNITS_PER_MM
    }

    /// The ticks between two places: which, and where, mm.
    fn between(&self, from: f64, to: f64) -> impl Iterator<Item = (i32, f64)> {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "sixteenths of an inch of a panel of at most 100 m"
        )]
        let ends = [
            (from / self.step - 1e-6).ceil() as i32,
            (to / self.step + 1e-6).floor() as i32,
        ];
        let step = self.step;
        (ends[0]..=ends[1]).map(move |k| (k, f64::from(k) * step))
    }
}

/// Draws the stretched ruler of one lay-down.
///
/// # Errors
/// [`FigureError::Nothing`] without a source (no profile was asked for, or no finite peak),
/// [`FigureError::Number`] if a number is not finite.
pub fn stretched_ruler(check: &Check, units: Units) -> Result<Drawing, FigureError> {
    sheet::examine(std::slice::from_ref(check))?;
    let Some(source) = check.source.as_ref().filter(|s| s.rows.len() > 1) else {
        return Err(FigureError::Nothing {
            found: "no source of the film",
            expected: "a check with a profile and a finite peak",
        });
    };
    let voice = Voice::picture(units);
    let title = title(check, voice);
    let canvas = draw(check, source, &title, voice);
    let said = [title, described(source, voice)];
    Ok(Drawing::at_full_size(canvas, said))
}

fn title(check: &Check, voice: Voice) -> String {
    format!(
        "Stretched ruler 1:1, {}, bridge {}",
        lower(&words::order(&check.order)),
        voice.length(check.bridge_mm)
    )
}

/// The ruler in words.
fn described(source: &Source, voice: Voice) -> String {
    let runs: Vec<String> = source
        .stretched_mm
        .iter()
        .map(|[a, b]| format!("{} to {}", voice.bare_length(*a), voice.length(*b)))
        .collect();
    let stretched = if runs.is_empty() {
        "Nowhere".to_owned()
    } else {
        format!("From {} of film", runs.join(", from "))
    };
    format!(
        "{stretched} it is stretched by more than {}. {} of film go into the recess; marks land up to {} further along; ink fades to {}.",
        voice.limit(source.stretched_over_pct),
        voice.length(source.film_in_recess_mm),
        voice.length(source.largest_shift_mm.abs()),
        voice.limit(source.least_ink_pct.round())
    )
}

/// Millimetres of the sheet to units of the picture.
struct Sheet {
    /// Abscissa of film position 0, mm.
    zero: f64,
}

impl Sheet {
    fn x(&self, film: f64) -> f64 {
        (self.zero + film) * UNITS_PER_MM
    }
}

/// Where the film under a place of the panel (mm from the left bond line) came from.
fn film_under(check: &Check, panel: f64) -> f64 {
    let s = check.bond_left.s_mm + panel;
    let rows = &check.profile;
    let k = rows
        .partition_point(|r| r.place.s_mm < s)
        .clamp(1, rows.len() - 1);
    let (a, b) = (&rows[k - 1], &rows[k]);
    let run = b.place.s_mm - a.place.s_mm;
    let t = if run > 0.0 {
        (s - a.place.s_mm) / run
    } else {
        1.0
    };
    a.film_mm + t * (b.film_mm - a.film_mm)
}

pub(super) fn draw(check: &Check, source: &Source, title: &str, voice: Voice) -> Canvas {
    let (first, last) = (
        source.rows[0].film_mm,
        source.rows[source.rows.len() - 1].film_mm,
    );
    let width = (last - first + 2.0 * MARGIN).max(LEAST);
    let sheet = Sheet {
        zero: MARGIN - first,
    };
    let room = (width - 2.0 * MARGIN) * UNITS_PER_MM;
    let left = MARGIN * UNITS_PER_MM;
    let mut notes = vec![
        format!(
            "Upper edge: the flat film, {unit}. Lower edge: the panel, {unit}, where the film that lands there comes from.",
            unit = voice.unit()
        ),
        format!(
            "{}. Print at 100\u{2009}%, or lay under the artwork in its file.",
            words::subject(check)
        ),
        described(source, voice),
    ];
    notes.extend(words::training(&check.invented, voice));
    let lines = |text: &str, size: Type| {
        f64::from(u32::try_from(size.wrap(text, room).len()).unwrap_or(1)) * size.leading()
    };
    let head = left + lines(title, Type::Head);
    // Lengths of film, the ruler, lengths of panel, places, brackets, words.
    let top = head + 8.0 * UNITS_PER_MM;
    let below = top + (BAR + 25.0) * UNITS_PER_MM;
    let said: f64 = notes.iter().map(|n| lines(n, Type::Body)).sum();
    let height = below + 12.0 + said + (9.0 + MARGIN) * UNITS_PER_MM;
    let mut canvas = Canvas::sized(width * UNITS_PER_MM, height, voice);
    canvas.paragraph(title, [left, left + 20.0], room, Type::Head);
    bar(&mut canvas, check, &sheet, top);
    film_scale(&mut canvas, &sheet, [first, last], top);
    panel_scale(&mut canvas, check, &sheet, top + BAR * UNITS_PER_MM);
    places(
        &mut canvas,
        source,
        &sheet,
        top + (BAR + 9.0) * UNITS_PER_MM,
    );
    brackets(
        &mut canvas,
        source,
        &sheet,
        top + (BAR + 17.5) * UNITS_PER_MM,
    );
    let mut y = below + 12.0;
    for note in &notes {
        y = canvas.paragraph(note, [left, y], room, Type::Body);
    }
    scale_check(&mut canvas, [left, y + 2.0 * UNITS_PER_MM]);
    canvas
}

/// The bar in the colours of the film, and its outline.
fn bar(canvas: &mut Canvas, check: &Check, sheet: &Sheet, top: f64) {
    let bottom = top + BAR * UNITS_PER_MM;
    let limit = check.film.limit_pct;
    for w in check.profile.windows(2) {
        let mean = (w[0].elongation_pct + w[1].elongation_pct) / 2.0;
        let cell = Box2 {
            left: sheet.x(w[0].film_mm),
            top,
            right: sheet.x(w[1].film_mm) + 0.5,
            bottom,
        };
        canvas.fill(&cell.corners(), step_colour(step_of(mean / limit)));
        if over_limit(mean, check) {
            let (x, run) = (cell.left, cell.right - cell.left);
            canvas.stroke(&[[x, bottom], [x + run, top]], INK, 1.0);
        }
    }
    let rows = &check.profile;
    let (a, b) = (
        sheet.x(rows[0].film_mm),
        sheet.x(rows[rows.len() - 1].film_mm),
    );
    let outline: [Pt; 5] = [[a, top], [b, top], [b, bottom], [a, bottom], [a, top]];
    canvas.stroke(&outline, INK, 1.2);
}

/// Lengths of film above the ruler, at even distances.
fn film_scale(canvas: &mut Canvas, sheet: &Sheet, [first, last]: [f64; 2], top: f64) {
    let voice = canvas.voice;
    let ticks = Ticks::of(voice.units);
    for (k, mm) in ticks.between(first, last) {
        let (x, up) = (sheet.x(mm), ticks.length(k));
        canvas.stroke(&[[x, top - up], [x, top]], INK, 1.2);
        if ticks.numbered(k) {
            let at = [x, top - TICKS[2] * UNITS_PER_MM - 8.0];
            canvas.write(&voice.bare_length(mm), at, Side::Centre, Type::Body);
        }
    }
}

/// Lengths of panel under the ruler, where the film on them came from.
fn panel_scale(canvas: &mut Canvas, check: &Check, sheet: &Sheet, bottom: f64) {
    let voice = canvas.voice;
    let end = check.bond_right.s_mm - check.bond_left.s_mm;
    let mut free = f64::NEG_INFINITY;
    let ticks = Ticks::of(voice.units);
    for (k, mm) in ticks.between(0.0, end) {
        let (x, down) = (sheet.x(film_under(check, mm)), ticks.length(k));
        canvas.stroke(&[[x, bottom], [x, bottom + down]], INK, 1.2);
        let words = voice.bare_length(mm);
        let half = Type::Body.width(&words) / 2.0;
        // Where the film is stretched far, not every number has room.
        if ticks.numbered(k) && x - half > free {
            let at = [x, bottom + TICKS[2] * UNITS_PER_MM + 25.0];
            canvas.write(&words, at, Side::Centre, Type::Body);
            free = x + half + 8.0;
        }
    }
}

/// Bond lines, lips, feet and press.
fn places(canvas: &mut Canvas, source: &Source, sheet: &Sheet, y: f64) {
    let mut groups = Vec::new();
    let edge = canvas.width - 10.0;
    for row in source.rows.iter() {
        if row.marks.is_empty() {
            continue;
        }
        let x = sheet.x(row.film_mm);
        let mark = words::short_marks(&row.marks);
        let half = Type::Value.width(&mark) / 2.0;
        canvas.fill(&[[x - 6.0, y + 12.0], [x, y], [x + 6.0, y + 12.0]], INK);
        let x = x.max(10.0 + half).min(edge - half);
        groups.push((x, x, mark));
    }
    for (from, to, word) in joined(groups) {
        let half = Type::Value.width(&word) / 2.0;
        let x = ((from + to) / 2.0).max(10.0 + half).min(edge - half);
        canvas.write(&word, [x, y + 38.0], Side::Centre, Type::Value);
    }
}

/// Brackets under what is stretched.
fn brackets(canvas: &mut Canvas, source: &Source, sheet: &Sheet, y: f64) {
    let voice = canvas.voice;
    for [from, to] in &source.stretched_mm {
        let (a, b) = (sheet.x(*from), sheet.x(*to));
        let line = [[a, y - 8.0], [a, y], [b, y], [b, y - 8.0]];
        canvas.stroke(&line, INK, 3.0);
    }
    let longest = source
        .stretched_mm
        .iter()
        .max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
    let words = format!(
        "stretched by more than {}: keep text off",
        voice.limit(source.stretched_over_pct)
    );
    if let Some([from, to]) = longest {
        let half = Type::Value.width(&words) / 2.0 + 10.0;
        let x = ((sheet.x(*from) + sheet.x(*to)) / 2.0).clamp(half, canvas.width - half);
        canvas.write(&words, [x, y + 32.0], Side::Centre, Type::Value);
    }
}

/// A bar to measure.
fn scale_check(canvas: &mut Canvas, [x, y]: Pt) {
    let voice = canvas.voice;
    let check = Ticks::of(voice.units).check;
    let end = x + check * UNITS_PER_MM;
    for line in [
        [[x, y], [end, y]],
        [[x, y - 8.0], [x, y + 8.0]],
        [[end, y - 8.0], [end, y + 8.0]],
    ] {
        canvas.stroke(&line, INK, 1.5);
    }
    let words = format!("{}: measure it", voice.length(check));
    canvas.write(&words, [x, y + 34.0], Side::Left, Type::Body);
}
