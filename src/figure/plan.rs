//! Where the film on the panel is drawn: the panel line, one scale for all orders (equal
//! in x and y), and the rows.

use super::canvas::{Canvas, Type};
use super::ticks::INCH;
use super::words;
use crate::advice::{Check, Place};
use crate::draw::Side;
use crate::draw::{Box2, Pt};
use crate::say::Voice;
use crate::section::Units;

/// Ticks nearer than this cannot be told apart on a projector.
const NEAREST: f64 = 14.0;
/// Room above the flats for ribbon, posts and labels; below the deepest point for words,
/// and where there are none.
pub(super) const ABOVE: f64 = 80.0;
pub(super) const BELOW: f64 = 48.0;
pub(super) const BELOW_WORDLESS: f64 = 20.0;
/// Between two orders.
const BETWEEN: f64 = 16.0;
/// Column of headings beside the drawing.
pub(super) const COLUMN: f64 = 380.0;
/// Baseline of a heading beside the drawing, under the top of its row.
pub(super) const HEADING: f64 = 62.0;
/// Panel shown beyond the outer bond lines, as a part of the width between them.
const BEYOND: f64 = 0.08;

/// Whether lips and press are named in a row: where they are not as in the row above.
pub(super) fn has_words(checks: &[Check], i: usize) -> bool {
    i == 0 || {
        let (a, b) = (&checks[i], &checks[i - 1]);
        [
            (a.press, b.press),
            (a.lip_left, b.lip_left),
            (a.lip_right, b.lip_right),
        ]
        .iter()
        .any(|(p, q)| (p.s_mm - q.s_mm).abs() > 0.5)
    }
}

fn below(checks: &[Check], i: usize) -> f64 {
    if has_words(checks, i) {
        BELOW
    } else {
        BELOW_WORDLESS
    }
}

/// Unstretched film between ticks, where there is film.
pub(super) fn tick_step(checks: &[Check], scale: f64, units: Units) -> Option<f64> {
    let any = checks.iter().any(|c| c.profile.len() > 1);
    any.then(|| film_step(scale, NEAREST, units))
}

/// Film between two marks that stand `nearest` apart, mm: 5 mm or a quarter inch, or coarser.
pub(super) fn film_step(scale: f64, nearest: f64, units: Units) -> f64 {
    let steps = match units {
        Units::Mm | Units::Cm => [5.0, 10.0, 20.0, 50.0, 100.0, 200.0],
        Units::Inch => [0.25, 0.5, 1.0, 2.0, 4.0, 8.0].map(|inches| inches * INCH),
    };
    let apart = |s: &f64| s * scale >= nearest;
    steps.into_iter().find(apart).unwrap_or(steps[5])
}

/// The panel line of all orders, mm, a little beyond the outermost bond lines.
pub(super) struct Panel {
    pub(super) line: Vec<Pt>,
}

impl Panel {
    pub(super) fn around_all(checks: &[Check]) -> Self {
        let [left, right] = outer(checks);
        let pad = BEYOND * (right.x_mm - left.x_mm);
        Self::between(checks, [left, right], [left.x_mm - pad, right.x_mm + pad])
    }

    /// The same with so much more of the flats, mm, as far as they were surveyed.
    pub(super) fn widened(&self, checks: &[Check], by: f64) -> Self {
        let points = &checks[0].section.points;
        let ([from, to], [first, last]) = (self.ends(), [points[0], points[points.len() - 1]]);
        let [left, right] = [from - first[0], last[0] - to].map(|more| more.max(0.0));
        // What one side has not, the other gives.
        let left = left.min((by / 2.0).max(by - right)).max(0.0);
        let right = right.min(by - left).max(0.0);
        Self::between(checks, outer(checks), [from - left, to + right])
    }

    /// The panel line about the recess: a part of the mouth beyond each lip or foot.
    pub(super) fn about(checks: &[Check], part: f64) -> Self {
        let (first, mouth) = (&checks[0], checks[0].section.mouth_mm);
        let bonds = [first.bond_left, first.bond_right];
        let pad = BEYOND * (bonds[1].x_mm - bonds[0].x_mm);
        // As far as the film goes, and at least a little of both flats.
        let at_least = 0.2 * mouth;
        let left = first.lip_left.x_mm;
        let right = first.lip_right.x_mm;
        let from = (left - part * mouth)
            .max(bonds[0].x_mm - pad)
            .min(left - at_least);
        let to = (right + part * mouth)
            .min(bonds[1].x_mm + pad)
            .max(right + at_least);
        Self::between(checks, bonds, [from, to])
    }

    /// The panel line between two abscissae; the survey is prolonged to the bond lines.
    fn between(checks: &[Check], [left, right]: [Place; 2], [from, to]: [f64; 2]) -> Self {
        let mut line = checks[0].section.points.clone();
        if let (Some(&first), Some(&last)) = (line.first(), line.last()) {
            if left.x_mm < first[0] - 1e-9 {
                line.insert(0, [left.x_mm, left.y_mm]);
            }
            if right.x_mm > last[0] + 1e-9 {
                line.push([right.x_mm, right.y_mm]);
            }
        }
        Self {
            line: window(&line, from, to),
        }
    }

    /// Lowest and highest ordinate.
    pub(super) fn span(&self) -> [f64; 2] {
        self.line
            .iter()
            .fold([f64::INFINITY, f64::NEG_INFINITY], |s, p| {
                [s[0].min(p[1]), s[1].max(p[1])]
            })
    }

    pub(super) fn ends(&self) -> [f64; 2] {
        [self.line[0][0], self.line[self.line.len() - 1][0]]
    }
}

/// The outermost bond lines.
fn outer(checks: &[Check]) -> [Place; 2] {
    let by_x = |a: &Place, b: &Place| a.x_mm.total_cmp(&b.x_mm);
    let lefts = checks.iter().map(|c| c.bond_left).min_by(by_x);
    let rights = checks.iter().map(|c| c.bond_right).max_by(by_x);
    [
        lefts.unwrap_or(checks[0].bond_left),
        rights.unwrap_or(checks[0].bond_right),
    ]
}

/// The line cut to, or prolonged to, two abscissae: along its end facet, level if that is a wall.
fn window(line: &[Pt], from: f64, to: f64) -> Vec<Pt> {
    let at = |x: f64, a: Pt, b: Pt| {
        let slope = (b[1] - a[1]) / (b[0] - a[0]);
        let beyond = x < a[0] || x > b[0];
        let end = if x < a[0] { a } else { b };
        if beyond && (slope.is_nan() || slope.abs() > 0.5) {
            [x, end[1]]
        } else {
            [x, a[1] + slope * (x - a[0])]
        }
    };
    let mut kept: Vec<Pt> = line
        .iter()
        .copied()
        .filter(|p| p[0] > from && p[0] < to)
        .collect();
    let last = line.len() - 1;
    let first_in = line
        .iter()
        .position(|p| p[0] > from)
        .unwrap_or(last)
        .clamp(1, last);
    let last_in = line
        .iter()
        .rposition(|p| p[0] < to)
        .unwrap_or(0)
        .min(last - 1);
    kept.insert(0, at(from, line[first_in - 1], line[first_in]));
    kept.push(at(to, line[last_in], line[last_in + 1]));
    kept
}

/// How headings and orders are arranged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layout {
    /// One under the other, headings beside the drawing.
    Beside,
    /// One under the other, headings above the drawing.
    Above,
    /// Side by side: narrow sections, which would be tiny one under the other.
    Columns,
}

/// Where one order is drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// Left end of the heading.
    pub(super) start: f64,
    /// Left and right end of the drawing.
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    /// Height of the heading above the drawing.
    pub(super) head: f64,
}

/// Scale and places of the orders.
pub(super) struct Plan {
    /// Picture units a millimetre.
    pub(super) scale: f64,
    pub(super) layout: Layout,
    /// One an order.
    pub(super) cells: Vec<Cell>,
    /// Height of the panel in each.
    pub(super) rise: f64,
    /// Width that headings may take.
    pub(super) heading: f64,
    /// Height that is missing: not more than 0 where all fits.
    pub(super) lack: f64,
}

/// Between two orders side by side.
const GUTTER: f64 = 48.0;
/// Room over a column for a second line of bond distances: the posts stand close.
pub(super) const SECOND: f64 = 36.0;
/// Side by side unless everything is drawn smaller than this part of what it is one under the
/// other, which compares better, place by place, but leaves half the picture empty beside a
/// deep recess.
const WORTH: f64 = 0.8;
/// What the large word of a verdict is higher than a line of text.
pub(super) const WORD: f64 = 14.0;

impl Plan {
    /// Width that is left beside a panel line in its place, mm; it stands in the middle.
    pub(super) fn spare(&self, panel: &Panel) -> f64 {
        let ([from, to], cell) = (panel.ends(), self.cells[0]);
        2.0 * ((cell.right - cell.left) / self.scale - (to - from))
    }

    /// Tries headings beside and above, and orders side by side; takes what draws larger.
    pub(super) fn new(checks: &[Check], panel: &Panel, room: Box2, voice: Voice) -> Self {
        let ([low, high], [from, to]) = (panel.span(), panel.ends());
        let n = f64::from(u32::try_from(checks.len()).unwrap_or(1));
        let (width, height) = (to - from, (high - low).max(1e-6));
        let heads: Vec<f64> = checks
            .iter()
            .map(|c| heading_above(c, room.width(), voice))
            .collect();
        let fixed: f64 = (0..checks.len())
            .map(|i| ABOVE + below(checks, i))
            .sum::<f64>()
            + BETWEEN * (n - 1.0);
        let scale = |w: f64, h: f64| (w / width).min((h / n).max(20.0) / height);
        let beside = scale(room.width() - COLUMN - 40.0, room.height() - fixed);
        let above = scale(
            room.width(),
            room.height() - fixed - heads.iter().sum::<f64>(),
        );
        let column = (room.width() - GUTTER * (n - 1.0)) / n;
        let head = checks
            .iter()
            .map(|c| heading_of_column(c, column, voice))
            .fold(0.0, f64::max);
        let columns =
            (column / width).min((room.height() - head - ABOVE - BELOW).max(20.0) / height);
        let under = beside.max(above);
        if n > 1.0 && columns > WORTH * under {
            return Self::side_by_side(checks.len(), room, columns, [width, height], head);
        }
        let layout = if beside >= 0.97 * above {
            Layout::Beside
        } else {
            Layout::Above
        };
        let scale = if layout == Layout::Beside {
            beside
        } else {
            above
        };
        Self::stacked(checks, room, layout, scale, [width, height], &heads, voice)
    }

    /// One order alone, without a heading.
    pub(super) fn frame(panel: &Panel, room: Box2) -> Self {
        let ([low, high], [from, to]) = (panel.span(), panel.ends());
        let (width, height) = (to - from, (high - low).max(1e-6));
        let free = (room.height() - ABOVE - BELOW).max(20.0);
        let scale = (room.width() / width).min(free / height);
        let cell = Cell {
            start: room.left,
            left: room.left + (room.width() - scale * width) / 2.0,
            right: room.right,
            top: room.top + (free - scale * height) / 2.0,
            head: 0.0,
        };
        Self {
            scale,
            layout: Layout::Above,
            cells: vec![cell],
            rise: scale * height,
            heading: room.width(),
            lack: scale * height - free,
        }
    }

    fn side_by_side(
        count: usize,
        room: Box2,
        scale: f64,
        [width, height]: [f64; 2],
        head: f64,
    ) -> Self {
        let n = f64::from(u32::try_from(count).unwrap_or(1));
        let column = (room.width() - GUTTER * (n - 1.0)) / n;
        let rise = scale * height;
        let free = room.height() - head - ABOVE - BELOW - rise;
        let cells = (0..count)
            .map(|i| {
                let start =
                    room.left + f64::from(u32::try_from(i).unwrap_or(0)) * (column + GUTTER);
                Cell {
                    start,
                    left: start + (column - scale * width).max(0.0) / 2.0,
                    right: start + column,
                    top: room.top + (free / 2.0).clamp(0.0, 60.0),
                    head,
                }
            })
            .collect();
        Self {
            scale,
            layout: Layout::Columns,
            cells,
            rise,
            heading: column,
            lack: -free,
        }
    }

    fn stacked(
        checks: &[Check],
        room: Box2,
        layout: Layout,
        scale: f64,
        [width, height]: [f64; 2],
        heads: &[f64],
        voice: Voice,
    ) -> Self {
        let n = f64::from(u32::try_from(checks.len()).unwrap_or(1));
        let is_beside = layout == Layout::Beside;
        let left = if is_beside {
            room.left + COLUMN + 40.0
        } else {
            room.left
        };
        let spare = (room.right - left - scale * width).max(0.0);
        let rise = scale * height;
        let rows: Vec<f64> = (0..checks.len())
            .map(|i| {
                let drawn = ABOVE + rise + below(checks, i);
                if is_beside {
                    drawn.max(column_height(&checks[i], voice))
                } else {
                    drawn + heads[i]
                }
            })
            .collect();
        let free = room.height() - rows.iter().sum::<f64>() - BETWEEN * (n - 1.0);
        let gap = BETWEEN + (free / n).clamp(0.0, 60.0);
        let mut top = room.top + ((free - (gap - BETWEEN) * (n - 1.0)) / 2.0).clamp(0.0, 80.0);
        let mut cells = Vec::new();
        for (i, row) in rows.into_iter().enumerate() {
            cells.push(Cell {
                start: room.left,
                left: left + spare / 2.0,
                right: room.right,
                top,
                head: if is_beside { 0.0 } else { heads[i] },
            });
            top += row + gap;
        }
        Self {
            scale,
            layout,
            cells,
            rise,
            heading: if is_beside { COLUMN } else { room.width() },
            lack: -free,
        }
    }
}

/// The verdict as its large word, within or over, and what it is said of; without film, why.
pub(super) fn verdict(check: &Check, voice: Voice) -> [String; 2] {
    let said = words::no_film(check, voice).unwrap_or_else(|| voice.verdict(check));
    match said.split_once(' ') {
        Some((word @ ("within" | "over"), of)) => [word.to_owned(), of.to_owned()],
        _ => [String::new(), said],
    }
}

/// Width of the large word with the room after it.
fn word_width(word: &str) -> f64 {
    if word.is_empty() {
        0.0
    } else {
        Type::Title.width(word) + 12.0
    }
}

/// Writes the verdict, `width` wide; returns where its last line ends.
pub(super) fn write_verdict(canvas: &mut Canvas, said: &[String; 2], at: Pt, width: f64) -> Pt {
    let [word, of] = said;
    let from = at[0] + word_width(word);
    if !word.is_empty() {
        canvas.write(word, at, Side::Left, Type::Title);
    }
    let room = at[0] + width - from;
    let last = Type::Body.wrap(of, room).pop().unwrap_or_default();
    let after = canvas.paragraph(of, [from, at[1]], room, Type::Body);
    [from + Type::Body.width(&last), after - Type::Body.leading()]
}

/// Height of so many lines of a text.
pub(super) fn lines(words: &str, width: f64, size: Type) -> f64 {
    let n = size.wrap(words, width).len();
    f64::from(u32::try_from(n).unwrap_or(1)) * size.leading()
}

/// Height of the verdict, from the baseline before to its last.
pub(super) fn verdict_height([word, of]: &[String; 2], width: f64) -> f64 {
    let first = if word.is_empty() { 0.0 } else { WORD };
    first + lines(of, width - word_width(word), Type::Body)
}

/// Height of name and verdict on one line above the drawing.
fn heading_above(check: &Check, width: f64, voice: Voice) -> f64 {
    let start = Type::Head.width(&words::order(&check.order)) + 24.0;
    verdict_height(&verdict(check, voice), width - start) + 16.0
}

/// Height of name and verdict over a column, and a line for what finds no other place.
fn heading_of_column(check: &Check, width: f64, voice: Voice) -> f64 {
    lines(&words::order(&check.order), width, Type::Head)
        + verdict_height(&verdict(check, voice), width)
        + Type::Body.leading()
        + SECOND
}

fn column_height(check: &Check, voice: Voice) -> f64 {
    // One line more, should the peak find no place in the drawing.
    let under = verdict_height(&verdict(check, voice), COLUMN) + Type::Body.leading();
    let name = lines(&words::order(&check.order), COLUMN, Type::Head);
    HEADING + name + under - Type::Head.em()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_panel_goes_on_level_beyond_a_wall_and_along_a_flat() {
        let wall = window(
            &[[0.0, 0.0], [1.0, -10.0], [2.0, -10.0], [30.0, -13.0]],
            -5.0,
            40.0,
        );
        assert!((wall[0][0] + 5.0).abs() < 1e-12 && wall[0][1].abs() < 1e-12);
        // Reference: by hand, slope -3/28 from (30, -13) over 10 mm.
        assert!((wall[wall.len() - 1][1] + 13.0 + 30.0 / 28.0).abs() < 1e-12);
    }
}
