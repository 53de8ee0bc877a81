//! The card on one page: where each part stands, at the largest size at which all fits.
//!
//! Parts from the top: name, training numbers, the three things one does, the dimensioned
//! section, numbers, before / during / after, limits and cautions, blanks. Everything is
//! laid out at a size; while it is too high for the page the size goes down, and at the
//! smallest one the longest lists are cut with a line that says so.

use super::model::Card;
use super::sheet::{Anchor, Sheet};
use super::source::{Row, Task};
use crate::figure::Face;
use crate::say::sentence;

/// Margin of the page, mm.
pub(crate) const MARGIN: f64 = 11.0;
/// Sizes tried, as parts of the full size: at the least one the smallest text has 7.2 pt.
const SIZES: [f64; 9] = [1.0, 0.97, 0.94, 0.91, 0.88, 0.85, 0.82, 0.79, 0.76];
/// Between two columns, mm.
const GUTTER: f64 = 5.0;

/// A card that has been laid out.
pub(crate) struct Laid {
    /// The page's SVG.
    pub(crate) svg: String,
    /// The size it took, a part of the full one.
    pub(crate) size: f64,
    /// How many warnings and how many assumptions stand on it.
    pub(crate) notes: (usize, usize),
}

impl Card {
    /// The printed page as SVG, its text as text in `Tautspan Sans` or a sans serif: what
    /// the PDF shows.
    pub fn page_svg(&self) -> String {
        lay(self).svg
    }
}

/// Lays a card out on its page.
pub(crate) fn lay(card: &Card) -> Laid {
    let page = card.paper.size();
    let room = page.1 - 2.0 * MARGIN;
    let at = |size: f64, notes: (usize, usize)| {
        let mut page = Page::new(card, size, notes);
        page.draw();
        page
    };
    let all = usize::MAX;
    let sizes = SIZES.iter().map(|&s| (s, (all, all)));
    let least = SIZES[SIZES.len() - 1];
    // Notes are cut only where even the smallest type does not fit them, what was seen last.
    let assumed = [6, 4, 3, 2, 1, 0].map(|n| (least, (all, n)));
    let seen = [6, 4, 3, 2, 1, 0].map(|n| (least, (n, 0)));
    let tries: Vec<_> = sizes.chain(assumed).chain(seen).collect();
    let mut last = None;
    for &(size, notes) in &tries {
        let page = at(size, notes);
        let fits = page.y <= room + MARGIN;
        last = Some((page, size, notes));
        if fits {
            break;
        }
    }
    let (mut drawn, size, notes) = last.unwrap_or_else(|| (at(least, (0, 0)), least, (0, 0)));
    drawn.foot(page.1 - MARGIN + 4.0);
    Laid {
        svg: drawn.sheet.svg(page, &format!("Job card: {}", card.title)),
        size,
        notes,
    }
}

/// The first `most` notes, and how many more there are.
pub(crate) fn cut_notes(notes: &[String], most: usize) -> Vec<String> {
    let mut kept: Vec<String> = notes.iter().take(most).cloned().collect();
    if notes.len() > most {
        kept.push(format!(
            "and {} more, as the answer itself says",
            notes.len() - most
        ));
    }
    kept
}

/// A page under way.
struct Page<'a> {
    card: &'a Card,
    sheet: Sheet,
    size: f64,
    notes: (usize, usize),
    y: f64,
    left: f64,
    width: f64,
}

impl<'a> Page<'a> {
    fn new(card: &'a Card, size: f64, notes: (usize, usize)) -> Self {
        let (width, _) = card.paper.size();
        Self {
            card,
            sheet: Sheet::new(),
            size,
            notes,
            y: MARGIN,
            left: MARGIN,
            width: width - 2.0 * MARGIN,
        }
    }

    fn body(&self) -> Face {
        Face::text(9.5 * self.size)
    }

    fn strong(&self) -> Face {
        Face::bold(9.5 * self.size)
    }

    fn gap(&mut self, mm: f64) {
        self.y += mm * self.size;
    }

    fn draw(&mut self) {
        self.head();
        self.tasks();
        self.section();
        self.numbers();
        self.lists();
        self.notes();
        self.blanks();
    }

    fn head(&mut self) {
        let title = Face::bold(17.0 * self.size);
        let tag = Face::bold(11.0 * self.size);
        self.sheet.text(
            (self.left + self.width, self.y + title.em),
            tag,
            Anchor::End,
            "Job card",
        );
        let room = self.width - tag.width("Job card") - 8.0;
        let mut lines = title.wrap(&self.card.title, room);
        if lines.len() > 2 {
            lines.truncate(2);
            let last = &mut lines[1];
            while title.width(last) > room - title.em {
                last.pop();
            }
            last.push('…');
        }
        for line in lines {
            self.sheet
                .text((self.left, self.y + title.em), title, Anchor::Start, &line);
            self.y += title.leading();
        }
        let sub = Face::text(10.5 * self.size);
        self.y = self
            .sheet
            .paragraph((self.left, self.y), self.width, sub, &self.card.subtitle);
        self.gap(1.5);
        if let Some(training) = &self.card.training {
            let face = self.strong();
            let top = self.y;
            let inner = self.width - 5.0;
            self.y = self
                .sheet
                .paragraph((self.left + 2.5, top + 0.8), inner, face, training)
                + 1.2;
            self.sheet
                .frame((self.left, top), (self.width, self.y - top), 0.4);
            self.gap(2.0);
        }
    }

    /// Left end and width of column `i` of `n`.
    fn column(&self, i: usize, n: usize) -> (f64, f64) {
        let count = n as f64;
        let width = (self.width - GUTTER * (count - 1.0)) / count;
        (self.left + i as f64 * (width + GUTTER), width)
    }

    fn tasks(&mut self) {
        self.sheet.line(
            &[(self.left, self.y), (self.left + self.width, self.y)],
            0.8,
        );
        self.gap(1.5);
        let top = self.y;
        let mut bottom = top;
        let card = self.card;
        for (i, task) in card.tasks.iter().enumerate() {
            bottom = bottom.max(self.task(i, task, top));
        }
        self.y = bottom;
        self.gap(2.0);
    }

    fn task(&mut self, i: usize, task: &Task, top: f64) -> f64 {
        let (x, width) = self.column(i, 3);
        let (name, big, line) = (
            Face::bold(10.5 * self.size),
            Face::bold(18.0 * self.size),
            Face::text(11.0 * self.size),
        );
        let head = format!("{}  {}", i + 1, task.name);
        let mut y = self.sheet.paragraph((x, top), width, name, &head);
        y = self.sheet.paragraph((x, y), width, big, &task.big) + 0.5;
        for (k, words) in task.lines.iter().enumerate() {
            let number = task.numbered.then(|| format!("{}.", k + 1));
            y = self.item(x, y, width, line, number.as_deref(), words);
        }
        y
    }

    /// A line of a list with a number, or nothing, before it.
    fn item(
        &mut self,
        x: f64,
        y: f64,
        width: f64,
        face: Face,
        mark: Option<&str>,
        words: &str,
    ) -> f64 {
        let indent = if mark.is_some() { 1.5 * face.em } else { 0.0 };
        if let Some(mark) = mark {
            self.sheet.text((x, y + face.em), face, Anchor::Start, mark);
        }
        self.sheet
            .paragraph((x + indent, y), width - indent, face, words)
            + 0.12 * face.em
    }

    fn section(&mut self) {
        let face = Face::bold(10.0 * self.size);
        let (drawing, height) = self.card.drawing.draw(self.width, 70.0 * self.size, face);
        self.sheet.put(&drawing, (self.left, self.y));
        self.y += height;
        self.gap(3.0);
    }

    fn heading(&mut self, x: f64, y: f64, width: f64, words: &str) -> f64 {
        let face = Face::bold(10.5 * self.size);
        self.sheet.line(&[(x, y), (x + width, y)], 0.3);
        self.sheet.paragraph((x, y + 0.6), width, face, words) + 0.4
    }

    fn numbers(&mut self) {
        let top = self.y;
        let card = self.card;
        let mut bottom = top;
        for (i, (name, rows)) in [("Numbers", &card.numbers), ("Measured", &card.measured)]
            .into_iter()
            .enumerate()
        {
            let (x, width) = self.column(i, 2);
            let mut y = self.heading(x, top, width, name);
            for row in rows {
                y = self.row(x, y, width, row);
            }
            bottom = bottom.max(y);
        }
        self.y = bottom;
        self.gap(2.5);
    }

    /// Label at the left, value at the right; a long value under the label.
    fn row(&mut self, x: f64, y: f64, width: f64, row: &Row) -> f64 {
        let (label, value) = (self.body(), self.strong());
        let fits = label.width(&row.label) + value.width(&row.value) + 2.0 <= width;
        let below = self.sheet.paragraph((x, y), width, label, &row.label);
        let top = if fits { y } else { below };
        let mut end = below;
        for (i, line) in value.wrap(&row.value, width).iter().enumerate() {
            let base = top + value.em + i as f64 * value.leading();
            self.sheet.text((x + width, base), value, Anchor::End, line);
            end = end.max(base - value.em + value.leading());
        }
        end
    }

    fn lists(&mut self) {
        let top = self.y;
        let card = self.card;
        let mut bottom = top;
        let lists = [
            ("Before", &card.before),
            ("During", &card.during),
            ("After", &card.after),
        ];
        for (i, (name, items)) in lists.into_iter().enumerate() {
            let (x, width) = self.column(i, 3);
            let mut y = self.heading(x, top, width, name);
            for words in items {
                y = self.ticked(x, y, width, words);
            }
            bottom = bottom.max(y);
        }
        self.y = bottom;
        self.gap(2.0);
    }

    /// An item with a box to tick.
    fn ticked(&mut self, x: f64, y: f64, width: f64, words: &str) -> f64 {
        let face = self.body();
        let side = 0.72 * face.em;
        self.sheet
            .frame((x, y + 0.28 * face.em), (side, side), 0.25);
        let indent = 1.35 * face.em;
        self.sheet
            .paragraph((x + indent, y), width - indent, face, words)
            + 0.18 * face.em
    }

    fn notes(&mut self) {
        let top = self.y;
        let card = self.card;
        let face = self.body();
        let left: Vec<String> = [
            cut_notes(&card.warnings, self.notes.0),
            card.cautions.clone(),
        ]
        .concat();
        let right: Vec<String> = [
            card.limits.clone(),
            cut_notes(&card.assumptions, self.notes.1),
        ]
        .concat();
        let mut bottom = top;
        for (i, (name, items)) in [("Cautions", left), ("Limits and assumptions", right)]
            .into_iter()
            .enumerate()
        {
            let (x, width) = self.column(i, 2);
            let mut y = self.heading(x, top, width, name);
            for words in &items {
                y = self.item(x, y, width, face, Some("–"), &sentence(words));
            }
            bottom = bottom.max(y);
        }
        self.y = bottom;
        self.gap(2.0);
    }

    /// Blanks for readings, lot and signatures.
    fn blanks(&mut self) {
        let face = self.body();
        let line = 2.0 * face.em;
        let end = self.left + self.width;
        self.sheet.line(&[(self.left, self.y), (end, self.y)], 0.3);
        self.y += line;
        let label = "Post-heat readings, place and °C:";
        let from = self.left + face.width(label) + 2.0;
        self.sheet
            .text((self.left, self.y), face, Anchor::Start, label);
        let count = self.card.readings.max(1) as f64;
        let wide = (end - from) / count;
        for k in 0..self.card.readings {
            let x = from + k as f64 * wide;
            self.sheet
                .line(&[(x, self.y + 0.6), (x + wide - 3.0, self.y + 0.6)], 0.25);
        }
        let card = self.card;
        for pair in card.fields.chunks(3) {
            self.y += line;
            for (i, name) in pair.iter().enumerate() {
                let (x, width) = self.column(i, 3);
                self.sheet.text((x, self.y), face, Anchor::Start, name);
                let from = x + face.width(name) + 1.5;
                self.sheet
                    .line(&[(from, self.y + 0.6), (x + width, self.y + 0.6)], 0.25);
            }
        }
        self.y += 0.8;
    }

    /// The line under everything.
    fn foot(&mut self, y: f64) {
        let face = Face::text(7.0);
        let words = &self.card.program;
        self.sheet.text((self.left, y), face, Anchor::Start, words);
    }
}
