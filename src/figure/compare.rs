//! Film classes side by side: one row a class, one column an order, and in each cell the
//! peak as a bar against the class's own limit.
//!
//! Limits differ from class to class, so the bars are drawn as parts of the limit: all limit
//! ticks of a column stand under one another. What is beyond the limit is hatched and says
//! "over".

use super::canvas::{Canvas, Type};
use super::paper::{FigureError, Look};
use super::sheet::{self, MARGIN};
use super::words;
use crate::advice::{Comparison, ComparisonRow, Verdict};
use crate::draw::{BAND, INK, PANEL, Side};
use crate::draw::{Box2, Pt};
use crate::laydown::OrderName;
use crate::say::{Voice, sentence};

/// Orders with a column each.
const ORDERS: [OrderName; 3] = [
    OrderName::DeepestFirst,
    OrderName::EdgeFirst,
    OrderName::MiddlePush,
];
/// Most classes in one picture; the best are drawn, the rest are counted.
const MOST_FILMS: usize = 12;
/// Part of a bar's room at which the limit stands, and the multiple of it that fits.
const LIMIT_AT: f64 = 2.0 / 3.0;
/// Elongation from which a number says nothing more, percent.
const MOST_PERCENT: f64 = 999.0;
/// Least height of a class's row: a line of text and a bar.
const LEAST_HEIGHT: f64 = 46.0;
/// Gap between columns.
const GUTTER: f64 = 28.0;

/// Refuses a comparison that no picture can be drawn from.
pub(super) fn examine(answer: &Comparison) -> Result<(), FigureError> {
    if answer.rows.is_empty() {
        return Err(FigureError::Nothing {
            found: "no film class",
            expected: "at least one",
        });
    }
    for row in &answer.rows {
        sheet::positive("limit_pct", row.film.limit_pct)?;
        for v in [
            row.peak_pct,
            row.bridge_mm,
            row.cost_per_m,
            row.artwork_shift_mm,
        ] {
            sheet::finite("a number of a row", v.unwrap_or(0.0))?;
        }
    }
    Ok(())
}

/// The picture's title.
pub(super) fn answer(answer: &Comparison, voice: Voice) -> String {
    let Some(best) = answer.rows.first().filter(|_| answer.acceptable) else {
        let films = films(answer).len();
        return if films == 1 {
            format!("{} does in no order", sentence(&answer.rows[0].film.name))
        } else {
            format!("None of the {films} film classes does in any order")
        };
    };
    let order = best.order.map_or("", OrderName::word);
    let bridge = voice.length(best.bridge_mm.unwrap_or(0.0));
    match (films(answer).len(), best.cost_per_m) {
        (1, _) => format!("{} does: {bridge}, {order}", sentence(&best.film.name)),
        (_, Some(_)) => format!("Cheapest that does: {}, {bridge}, {order}", best.film.name),
        (_, None) => format!("Most margin: {}, {bridge}, {order}", best.film.name),
    }
}

/// The picture in words.
pub(super) fn described(answer: &Comparison, voice: Voice) -> String {
    let mut text = second_line(answer, voice);
    for row in &answer.rows {
        let order = row
            .order
            .map_or_else(String::new, |o| format!(", {}", o.word()));
        text += &format!(" {}{order}: {}.", row.film.name, row.verdict_words(voice));
    }
    text
}

/// What the picture is of, and what holds for every class.
fn second_line(answer: &Comparison, voice: Voice) -> String {
    let s = &answer.section;
    let kind = s.kind.word();
    let mut text = format!(
        "{}: {kind}, {} wide, {} deep, {}.",
        s.name,
        voice.length(s.mouth_mm),
        voice.length(s.depth_mm),
        answer.tool.name
    );
    if let Some(shift) = answer.rows.iter().find_map(|r| r.artwork_shift_mm) {
        text += &format!(
            " Far side loose: no stretch, but artwork moves by {}.",
            voice.length(shift)
        );
    }
    text
}

/// The classes, the best first, each with its rows.
fn films(answer: &Comparison) -> Vec<Vec<&ComparisonRow>> {
    let mut found: Vec<Vec<&ComparisonRow>> = Vec::new();
    for row in &answer.rows {
        match found.iter_mut().find(|f| f[0].film.name == row.film.name) {
            Some(film) => film.push(row),
            None => found.push(vec![row]),
        }
    }
    found
}

/// A number of things as a number to reckon with.
fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// Where the columns are.
struct Columns {
    film: [f64; 2],
    orders: [[f64; 2]; 3],
    cost: Option<[f64; 2]>,
}

impl Columns {
    fn new(body: &Box2, with_cost: bool) -> Self {
        let cost = with_cost.then_some(150.0);
        let film = 0.23 * body.width();
        let room = body.width() - film - cost.unwrap_or(0.0) - GUTTER;
        let one = room / 3.0;
        let left = body.left + film + GUTTER;
        let column = |i: f64| [left + one * i, left + one * (i + 1.0) - GUTTER];
        Self {
            film: [body.left, body.left + film],
            orders: [column(0.0), column(1.0), column(2.0)],
            cost: cost.map(|w| [body.right - w, body.right]),
        }
    }
}

/// Draws the picture.
pub(super) fn draw(comparison: &Comparison, look: Look) -> Canvas {
    let mut canvas = Canvas::new(look);
    let voice = canvas.voice;
    let body = sheet::head(
        &mut canvas,
        &answer(comparison, voice),
        &second_line(comparison, voice),
    );
    let all = films(comparison);
    let costs = |r: &ComparisonRow| r.verdict == Verdict::Does && r.cost_per_m.is_some();
    let with_cost = comparison.rows.iter().any(costs);
    let columns = Columns::new(&body, with_cost);
    let top = headings(&mut canvas, &columns, body.top + 34.0);
    let mut most = all.len().min(MOST_FILMS);
    // The note grows when classes are left out, and takes their room.
    let (note, bottom) = loop {
        let note = note(comparison, all.len() - most, voice);
        let lines = note
            .as_ref()
            .map_or(0, |n| Type::Body.wrap(n, body.width()).len());
        let bottom = body.bottom - 10.0 - count(lines) * Type::Body.leading();
        if most <= 1 || (bottom - top) / count(most) >= LEAST_HEIGHT {
            break (note, bottom);
        }
        most -= 1;
    };
    if let Some(note) = note {
        sheet::foot(&mut canvas, &note, body.width());
    }
    let shown = &all[..most];
    let height = ((bottom - top) / count(most)).min(120.0);
    let mut y = top;
    for (i, film) in shown.iter().enumerate() {
        let room = Box2 {
            left: MARGIN - 16.0,
            top: y,
            right: canvas.width - MARGIN + 16.0,
            bottom: y + height,
        };
        if i % 2 == 0 {
            canvas.fill(&room.corners(), BAND);
        }
        class(&mut canvas, &columns, film, &room);
        y += height;
    }
    canvas
}

/// The note at the foot: what is left out, what is invented.
fn note(comparison: &Comparison, left_out: usize, voice: Voice) -> Option<String> {
    let mut text = String::new();
    if left_out > 0 {
        text += &format!("{left_out} more classes are in the table. ");
    }
    match comparison.invented.len() {
        0 => {}
        1..=2 => text += &words::training(&comparison.invented, voice).unwrap_or_default(),
        n => {
            text += &format!(
                "Training numbers: {n} invented values decide, limits of the classes among them."
            );
        }
    }
    (!text.is_empty()).then_some(text)
}

/// Writes the heads of the columns; returns where the rows begin.
fn headings(canvas: &mut Canvas, columns: &Columns, y: f64) -> f64 {
    let below = y + Type::Body.leading();
    canvas.write("Film", [columns.film[0], y], Side::Left, Type::Value);
    canvas.write("limit", [columns.film[1], y], Side::Right, Type::Value);
    for (order, column) in ORDERS.iter().zip(columns.orders) {
        canvas.write(
            &words::order_name(*order),
            [column[0], y],
            Side::Left,
            Type::Value,
        );
        let x = limit_x(column);
        canvas.write("limit", [x, below], Side::Centre, Type::Body);
    }
    let (left, tick) = (columns.orders[0][0], limit_x(columns.orders[0]));
    let words = "bridge, peak";
    let end = tick - 0.5 * Type::Body.width("limit") - 8.0;
    if left + Type::Body.width(words) < end {
        canvas.write(words, [left, below], Side::Left, Type::Body);
    }
    if let Some(cost) = columns.cost {
        canvas.write("Cost", [cost[1], y], Side::Right, Type::Value);
        canvas.write("a metre", [cost[1], below], Side::Right, Type::Body);
    }
    below + 14.0
}

/// Abscissa of the limit in a column.
fn limit_x(column: [f64; 2]) -> f64 {
    column[0] + LIMIT_AT * (column[1] - column[0])
}

/// Draws one class.
fn class(canvas: &mut Canvas, columns: &Columns, rows: &[&ComparisonRow], room: &Box2) {
    let voice = canvas.voice;
    let first = rows[0];
    let limit = voice.limit(first.film.limit_pct);
    let limit_width = Type::Body.width(&limit) + 14.0;
    let lines = limited(
        &first.film.name,
        columns.film[1] - columns.film[0] - limit_width,
        room.height(),
    );
    let middle = 0.5 * (room.top + room.bottom);
    let lines_high = count(lines.len());
    let up = 0.35 * Type::Body.em();
    let first_line = middle + up - 0.5 * (lines_high - 1.0) * Type::Body.leading();
    let mut y = first_line;
    for line in &lines {
        canvas.write(line, [columns.film[0], y], Side::Left, size(first));
        y += Type::Body.leading();
    }
    canvas.write(
        &limit,
        [columns.film[1], first_line],
        Side::Right,
        Type::Body,
    );
    if first.order.is_none() {
        let left = columns.orders[0][0];
        let width = columns.orders[2][1] - left;
        let lines = limited(&first.verdict_words(voice), width, room.height());
        let lines_high = count(lines.len());
        let mut y = middle + up - 0.5 * (lines_high - 1.0) * Type::Body.leading();
        for line in lines {
            canvas.write(&line, [left, y], Side::Left, Type::Body);
            y += Type::Body.leading();
        }
        return;
    }
    for (order, column) in ORDERS.iter().zip(columns.orders) {
        if let Some(row) = rows.iter().find(|r| r.order == Some(*order)) {
            cell(canvas, row, column, middle, room.height());
        }
    }
    if let Some(cost) = columns.cost {
        if first.verdict != Verdict::Does {
            return;
        }
        let words = first
            .cost_per_m
            .map_or_else(|| "unknown".to_owned(), |cost| canvas.voice.steady(cost, 2));
        canvas.write(&words, [cost[1], middle + up], Side::Right, size(first));
    }
}

/// Rows that do stand out.
fn size(row: &ComparisonRow) -> Type {
    if row.verdict == Verdict::Does {
        Type::Value
    } else {
        Type::Body
    }
}

/// Text in as many lines as fit; the last ends in an ellipsis if something is left out.
fn limited(text: &str, width: f64, height: f64) -> Vec<String> {
    let size = Type::Value;
    let mut most = 1;
    let mut used = 2.0 * size.leading();
    while used <= height - 6.0 && most < 3 {
        most += 1;
        used += size.leading();
    }
    let mut lines = size.wrap(&breakable(text, width), width);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            while size.width(&format!("{last}…")) > width && !last.is_empty() {
                last.pop();
            }
            last.push('…');
        }
    }
    lines
}

/// A name wider than its column, with spaces after the hyphens at which it is to break.
fn breakable(name: &str, width: f64) -> String {
    let (mut all, mut line) = (String::new(), String::new());
    for part in name.split_inclusive('-') {
        if !line.is_empty() && Type::Value.width(&format!("{line}{part}")) > width {
            all.push(' ');
            line.clear();
        }
        line.push_str(part);
        all.push_str(part);
    }
    all
}

/// Draws the peak of one order.
fn cell(canvas: &mut Canvas, row: &ComparisonRow, column: [f64; 2], middle: f64, height: f64) {
    if row.verdict == Verdict::SameAsMiddlePush {
        let at = [column[0], middle + 0.35 * Type::Body.em()];
        canvas.write("no reach needed", at, Side::Left, Type::Body);
        return;
    }
    if row.verdict == Verdict::NotKnown {
        let at = [column[0], middle + 0.35 * Type::Body.em()];
        canvas.write("not known", at, Side::Left, Type::Body);
        return;
    }
    let thick = (0.2 * height).clamp(9.0, 18.0);
    let gap = if height < 60.0 { 8.0 } else { 10.0 };
    let block = 0.8 * Type::Body.em() + gap + thick;
    let base = middle - 0.5 * block + 0.8 * Type::Body.em();
    let words = cell_words(row, column[1] - column[0], canvas.voice);
    canvas.write(&words, [column[0], base], Side::Left, size(row));
    let (top, bottom) = (base + gap, base + gap + thick);
    let limit = limit_x(column);
    let track = bar([column[0], column[1]], [top, bottom]);
    canvas.fill(&track, PANEL);
    let part = row
        .peak_pct
        .map_or(f64::INFINITY, |peak| part_of_limit(row, peak));
    let end = (column[0] + part * (limit - column[0])).min(column[1]);
    let inside = end.min(limit);
    canvas.fill(&bar([column[0], inside], [top, bottom]), INK);
    if end > limit {
        hatch(canvas, [limit, end], [top, bottom], 8.0);
    }
    canvas.stroke(&[[limit, top], [limit, bottom + 5.0]], INK, 2.5);
}

/// The peak as a part of the limit; of the nearer one, if the class has two.
fn part_of_limit(row: &ComparisonRow, peak: f64) -> f64 {
    let all = peak / row.film.limit_pct;
    match (row.film.recess_limit_pct, row.recess_peak_pct) {
        (Some(limit), Some(peak)) => all.max(peak / limit),
        _ => all,
    }
}

/// Bridge and peak, and that it is over, if it is; the bridge to whole millimetres where
/// there is no room for a decimal, and no word where there is none for it: the bar is hatched.
fn cell_words(row: &ComparisonRow, width: f64, voice: Voice) -> String {
    let bridge = row.bridge_mm.unwrap_or(0.0);
    let peak = match row.peak_pct {
        None => "no finite peak".to_owned(),
        Some(v) if v > MOST_PERCENT => format!("> {}", voice.limit(MOST_PERCENT)),
        Some(v) => voice.beside(v, row.film.limit_pct),
    };
    let over = if row.verdict == Verdict::Over {
        " over"
    } else {
        ""
    };
    let exact = format!("{}, {peak}{over}", voice.length(bridge));
    let short = format!("{}, {peak}{over}", voice.width(bridge));
    let fits = |words: &String| size(row).width(words) <= width;
    [exact, short]
        .into_iter()
        .find(fits)
        .unwrap_or_else(|| format!("{}, {peak}", voice.width(bridge)))
}

/// Corners of a bar.
fn bar([left, right]: [f64; 2], [top, bottom]: [f64; 2]) -> [Pt; 4] {
    Box2 {
        left,
        top,
        right,
        bottom,
    }
    .corners()
}

/// Strokes a bar with slanting lines so far apart, and its outline.
pub(super) fn hatch(
    canvas: &mut Canvas,
    [left, right]: [f64; 2],
    [top, bottom]: [f64; 2],
    step: f64,
) {
    let tall = bottom - top;
    let mut x = left - tall;
    while x < right {
        // From (x, bottom) up to (x + tall, top), cut at the sides.
        let from = if x < left {
            [left, bottom - (left - x)]
        } else {
            [x, bottom]
        };
        let to = if x + tall > right {
            [right, bottom - (right - x)]
        } else {
            [x + tall, top]
        };
        canvas.stroke(&[from, to], INK, 2.0);
        x += step;
    }
    let mut outline = bar([left, right], [top, bottom]).to_vec();
    outline.push(outline[0]);
    canvas.stroke(&outline, INK, 2.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::{Candidate, Site, compare};
    use crate::film::{FilmClass, builtin_films, tool_named};
    use crate::laydown::{Bed, Split};
    use crate::section::{Recess, Survey, Units, read_shape};

    const LONG: &str = "a-film-with-a-very-long-name-as-typed-by-somebody-in-a-hurry-";

    fn compared(films: Vec<FilmClass>, section: &str) -> Comparison {
        let name = "rear left door lower moulding recess behind the sliding rail";
        let section = read_shape(section, Units::Mm).unwrap().named(name);
        let recess = Recess::find(section, Survey::default()).unwrap();
        let tool = tool_named("fingertip").unwrap();
        let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
        let site = Site {
            step: crate::advice::TapeStep::default(),
            press: crate::advice::PressPlace::AsGiven,
            bed: &bed,
            tool: &tool,
            split: Split::Even,
            assumptions: &[],
            assurance: None,
            ends: None,
        };
        let candidates: Vec<Candidate> = films
            .into_iter()
            .map(|film| Candidate {
                film,
                handling: None,
                unknown: None,
                recess: None,
            })
            .collect();
        compare(&site, &candidates, None, &[]).unwrap()
    }

    /// Many classes with limits of 3 to 90 %, long names among them.
    fn many(n: usize) -> Vec<FilmClass> {
        let all = builtin_films();
        (0..n)
            .map(|i| {
                let mut film = all[i % all.len()].clone();
                film.limit_pct.value = 3.0 + 7.9 * count(i);
                film.name = if i % 3 == 0 {
                    format!("{LONG}{i}")
                } else {
                    format!("{}-{i}", film.name)
                };
                if i % 4 == 1 {
                    film.price_per_m2 = None;
                }
                film
            })
            .collect()
    }

    #[test]
    fn nothing_touches_or_is_cut_with_1_5_12_and_14_classes() {
        let keep = std::env::var_os("TAUTSPAN_PICTURES").map(std::path::PathBuf::from);
        for n in [1, 2, 5, 9, 12, 14] {
            for (k, shape) in [
                "channel:mouth=80,floor=40,depth=25,lip-radius=3",
                "step:drop=12,wall=45",
            ]
            .into_iter()
            .enumerate()
            {
                let answer = compared(many(n), shape);
                examine(&answer).unwrap();
                for look in Look::ALL {
                    let canvas = draw(&answer, look);
                    assert_eq!(
                        canvas.faults(),
                        Vec::<String>::new(),
                        "{n} {shape} {look:?}"
                    );
                    assert!(canvas.finite());
                    let said = canvas.said();
                    if n != 12 {
                        assert_eq!(said.contains("more classes are"), n > 12, "{said}");
                    }
                    if let Some(dir) = &keep {
                        let picture = super::super::films_compared(&answer, look).unwrap();
                        let file = dir.join(format!("compare-{n}-{k}-{look:?}.png"));
                        std::fs::write(file, picture.picture().unwrap().png.unwrap()).unwrap();
                    }
                }
            }
        }
    }

    #[test]
    fn the_bars_part_of_a_class_with_two_limits_is_the_nearer_one() {
        let mut film = many(2).remove(1);
        film.recess_limit_pct = Some(film.limit_pct.clone());
        film.recess_limit_pct.as_mut().unwrap().value = 5.0;
        let mut row = compared(vec![film], "channel:mouth=80,floor=40,depth=25")
            .rows
            .remove(0);
        (row.film.limit_pct, row.recess_peak_pct) = (20.0, Some(4.0));
        // Reference: by hand; 10/20 = 0.5 of the limit, 4/5 = 0.8 of that between the lips.
        assert!((part_of_limit(&row, 10.0) - 0.8).abs() < 1e-12);
    }

    #[test]
    fn where_no_class_does_the_title_says_so() {
        let mut film = many(1).remove(0);
        film.limit_pct.value = 1.0;
        let one = compared(vec![film.clone()], "channel:mouth=80,floor=40,depth=25");
        assert!(
            answer(&one, Voice::picture(Units::Mm)).ends_with("does in no order"),
            "{}",
            answer(&one, Voice::picture(Units::Mm))
        );
        let mut other = film.clone();
        other.name = "other".to_owned();
        let two = compared(vec![film, other], "channel:mouth=80,floor=40,depth=25");
        assert_eq!(
            answer(&two, Voice::picture(Units::Mm)),
            "None of the 2 film classes does in any order"
        );
    }
}
