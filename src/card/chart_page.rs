//! The chart on paper: HTML and the printed page.

use super::chart::{Chart, ChartCell, ChartGrid};
use super::html;
use super::layout::MARGIN;
use super::sheet::{Anchor, Sheet};
use crate::figure::{Face, escaped};
use crate::laydown::OrderName;
use crate::say::{CAUTIONS, Say, Voice};
use crate::section::{Kind, Units};
use std::fmt::Write;

/// Width of the column with the plain rule, mm.
const BESIDE: f64 = 50.0;

impl Chart {
    /// How the chart speaks.
    fn voice(&self) -> Voice {
        Voice::paper(self.units)
    }

    fn length(&self, mm: f64) -> String {
        self.voice().bare_length(mm)
    }

    fn unit(&self, mm: f64) -> String {
        self.voice().length(mm)
    }

    /// What stands in a cell: the width with a letter for the order, or a word.
    fn cell(&self, cell: &ChartCell) -> String {
        match (cell.bridge_mm, cell.order, cell.why) {
            (Some(mm), order, None) => {
                let mark = match order {
                    Some(OrderName::MiddlePush) => "\u{a0}p",
                    Some(OrderName::EdgeFirst) => "\u{a0}e",
                    _ => "",
                };
                format!("{}{mark}", self.length(mm))
            }
            (.., Some(why)) => why.word().to_owned(),
            _ => "?".to_owned(),
        }
    }

    fn title(&self) -> String {
        format!(
            "Bridge width in {}: {}, {}",
            if self.units == Units::Inch {
                "inches"
            } else {
                "mm"
            },
            self.film.name,
            self.tool
        )
    }

    fn subtitle(&self) -> String {
        let kept = match self.assured_pct {
            Some(share) => format!(
                "kept in {} of what gauge and hand allow",
                self.voice().share(share)
            ),
            None => "nominal widths".to_owned(),
        };
        let recess = self.film.recess_limit_pct.map_or_else(String::new, |l| {
            format!(" ({} between the lips)", self.voice().limit(l))
        });
        format!(
            "Limit {}{recess}, {kept}. Taken: {}. {} of clear panel on each side, level flats, deepest point first unless marked.",
            self.voice().limit(self.film.limit_pct),
            self.handling.say(self.voice()),
            self.unit(self.clear_mm)
        )
    }

    fn training(&self) -> Option<String> {
        let training = self.voice().training(&self.invented)?;
        Some(format!(
            "{training}. Measure your own before you rely on this chart."
        ))
    }

    fn heading(&self, grid: &ChartGrid) -> (String, &'static str, &'static str) {
        let radii = format!(
            "lip radius {}, foot radius {}",
            self.unit(self.lip_radius_mm),
            self.unit(self.foot_radius_mm)
        );
        match grid.kind {
            Kind::Channel => (
                format!(
                    "Channel: walls at {}° from the mouth line, {radii}",
                    self.voice().number(self.wall_deg, 1)
                ),
                "mouth between the corners",
                "depth",
            ),
            Kind::Step => (
                format!("Step: {radii}; width from the lip, out on the lower flat"),
                "run of the wall",
                "drop",
            ),
        }
    }

    /// The plain rule, step by step.
    fn plain_rule(&self) -> Vec<String> {
        let factor = 100.0 / self.film.limit_pct;
        let mut all = vec![
            "1. Press the tape along the recess from flat to flat, into every corner: reading A."
                .to_owned(),
            "2. Pull it taut between the same two marks: reading B.".to_owned(),
            "3. Extra = A − B.".to_owned(),
            format!(
                "4. Bridge at least extra × {}, whatever the order.",
                self.voice().number(factor, 1)
            ),
        ];
        if let Some((cell, extra, plain)) = self.example() {
            let b = cell.across_mm;
            all.push(format!(
                "Here: mouth {}, depth {}: A {}, B {}, extra {}, so at least {}; the chart says {}.",
                self.length(b),
                self.length(cell.depth_mm),
                self.length(b + extra),
                self.length(b),
                self.length(extra),
                self.length(plain),
                self.cell(cell)
            ));
        }
        all.push(
            "The chart says how much more the order of pressing takes. Between two sizes take the wider one."
                .to_owned(),
        );
        all
    }

    /// A channel with a width, near the middle of its grid.
    fn example(&self) -> Option<(&ChartCell, f64, f64)> {
        let grid = self.grids.iter().find(|g| g.kind == Kind::Channel)?;
        let half = grid.cells.len() / 2 + grid.across_mm.len() / 2;
        let fits = |c: &&ChartCell| c.order == Some(OrderName::DeepestFirst);
        let cell = grid.cells[half..].iter().chain(&grid.cells).find(fits)?;
        Some((cell, cell.extra_mm?, cell.plain_mm?))
    }

    /// What the marks mean.
    fn legend() -> [&'static str; 6] {
        [
            "p: bonded at the lips, a middle push; the width is the mouth's.",
            "e: edges first alone does, at any width; deepest first does not.",
            "over: no width keeps the limit; see the card for what would do.",
            "card: a width does for the shape itself, but not for all that gauge and hand allow; measure, and have a card made.",
            "tool: the tool does not get in.",
            "–: no such shape.",
        ]
    }

    /// What the chart leaves out.
    fn notes() -> Vec<&'static str> {
        let mut all = vec![
            "Not within a bridge width of a closed end: trial piece there. Not in it: ends and corners, creases, creep, time at temperature. Measure the recess and have a card made where a width is tight.",
        ];
        all.extend(CAUTIONS);
        all
    }

    /// The chart as one HTML file; `css` as in [`Card::html_with`](super::Card::html_with).
    pub fn html_with(&self, css: &str) -> String {
        let style = format!(
            "@page {{ size: {}; margin: {MARGIN}mm; }}
body {{ margin: 0; background: #fff; color: #000; font: 9pt/1.28 'Tautspan Sans', system-ui, sans-serif; font-variant-numeric: tabular-nums; }}
main {{ max-width: {:.1}mm; margin: 0 auto; }}
h1 {{ font-size: 17pt; margin: 0; }} h2 {{ font-size: 10.5pt; margin: 3mm 0 1mm; }} p {{ margin: 0 0 1mm; }}
.training {{ border: 0.4mm solid #000; padding: 0.6mm 2.5mm; font-weight: 600; }}
.beside {{ display: grid; grid-template-columns: minmax(0, 1fr) {BESIDE}mm; gap: 5mm; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ border: 0.2mm solid #000; text-align: center; padding: 1.4mm 0.5mm; }}
td {{ font-size: 11pt; font-weight: 600; white-space: nowrap; }} td.word {{ font-weight: 400; font-size: 9pt; }}
caption {{ text-align: left; }}
@media screen and (max-width: 45em) {{ main {{ padding: 4mm; }} body {{ font-size: 16px; }} .beside {{ grid-template-columns: minmax(0, 1fr); }} .grid {{ overflow-x: auto; }} }}
",
            self.paper.name(),
            self.paper.size().0 - 2.0 * MARGIN
        );
        let mut page = html::head(&self.title(), &style, css);
        let _ = write!(
            page,
            "<main>\n<h1>{}</h1>\n<p>{}</p>\n",
            escaped(&self.title()),
            escaped(&self.subtitle())
        );
        if let Some(training) = self.training() {
            let _ = writeln!(page, "<p class=\"training\">{}</p>", escaped(&training));
        }
        page.push_str("<div class=\"beside\"><div>\n");
        for grid in &self.grids {
            self.table(&mut page, grid);
        }
        page.push_str("</div><div><h2>Plain rule</h2>");
        for line in self.plain_rule() {
            let _ = write!(page, "<p>{}</p>", escaped(&line));
        }
        page.push_str("<h2>Marks</h2>");
        for line in Self::legend() {
            let _ = write!(page, "<p>{line}</p>");
        }
        page.push_str("</div></div>\n<h2>Limits and cautions</h2>");
        for line in Self::notes() {
            let _ = write!(page, "<p>{}</p>", escaped(line));
        }
        let _ = writeln!(page, "<p>{}</p></main>\n</body>\n</html>", self.program);
        page
    }

    fn table(&self, page: &mut String, grid: &ChartGrid) {
        let (heading, across, down) = self.heading(grid);
        let _ = write!(
            page,
            "<div class=\"grid\"><h2>{}</h2><table><caption>{down} down, {across} across</caption><tr><th>{}</th>",
            escaped(&heading),
            self.voice().unit()
        );
        for &x in &grid.across_mm {
            let _ = write!(page, "<th scope=\"col\">{}</th>", self.length(x));
        }
        page.push_str("</tr>\n");
        for (depth, row) in grid.rows() {
            let _ = write!(page, "<tr><th scope=\"row\">{}</th>", self.length(depth));
            for cell in row {
                let class = if cell.why.is_some() {
                    " class=\"word\""
                } else {
                    ""
                };
                let _ = write!(page, "<td{class}>{}</td>", escaped(&self.cell(cell)));
            }
            page.push_str("</tr>\n");
        }
        page.push_str("</table></div>\n");
    }

    /// The printed page as SVG.
    pub fn page_svg(&self) -> String {
        let size = self.paper.size();
        let mut sheet = Sheet::new();
        let width = size.0 - 2.0 * MARGIN;
        let body = Face::text(9.0);
        let mut y = sheet.paragraph((MARGIN, MARGIN), width, Face::bold(17.0), &self.title());
        y = sheet.paragraph((MARGIN, y), width, body, &self.subtitle()) + 1.5;
        if let Some(training) = self.training() {
            let top = y;
            y = sheet.paragraph(
                (MARGIN + 2.5, top + 0.8),
                width - 5.0,
                Face::bold(9.0),
                &training,
            ) + 1.2;
            sheet.frame((MARGIN, top), (width, y - top), 0.4);
            y += 2.5;
        }
        let notes = Self::notes();
        let lines: usize = notes.iter().map(|n| body.wrap(n, width).len()).sum();
        let foot = size.1 - MARGIN - (lines + 2) as f64 * body.leading() - 3.0;
        self.beside(&mut sheet, (MARGIN + width - BESIDE, y));
        let rows: usize = self.grids.iter().map(|g| g.depths_mm.len() + 1).sum();
        let heads = self.grids.len() as f64 * 14.5;
        let height = ((foot - y - heads) / rows.max(1) as f64).clamp(4.0, 12.5);
        for grid in &self.grids {
            y = self.grid(&mut sheet, grid, (MARGIN, y), width - BESIDE - 5.0, height);
        }
        let mut y = foot;
        sheet.line(&[(MARGIN, y), (MARGIN + width, y)], 0.3);
        y += 0.8;
        for note in notes {
            y = sheet.paragraph((MARGIN, y), width, body, note);
        }
        sheet.paragraph((MARGIN, y), width, Face::text(7.0), &self.program);
        sheet.svg(size, &self.title())
    }

    /// Plain rule and marks.
    fn beside(&self, sheet: &mut Sheet, at: (f64, f64)) {
        let (body, bold) = (Face::text(9.0), Face::bold(10.5));
        let mut y = sheet.paragraph(at, BESIDE, bold, "Plain rule, two tape readings") + 0.8;
        for line in self.plain_rule() {
            y = sheet.paragraph((at.0, y), BESIDE, body, &line) + 0.8;
        }
        y = sheet.paragraph((at.0, y + 3.0), BESIDE, bold, "Marks") + 0.8;
        for line in Self::legend() {
            y = sheet.paragraph((at.0, y), BESIDE, body, line) + 0.8;
        }
    }

    fn grid(
        &self,
        sheet: &mut Sheet,
        grid: &ChartGrid,
        at: (f64, f64),
        width: f64,
        height: f64,
    ) -> f64 {
        let (heading, across, down) = self.heading(grid);
        let mut y = sheet.paragraph(at, width, Face::bold(9.5), &heading);
        let small = Face::text(8.5);
        y = sheet.paragraph(
            (at.0, y),
            width,
            small,
            &format!("{down} down, {across} across, {}", self.voice().unit()),
        ) + 0.8;
        let (n, rows) = (grid.across_mm.len() as f64, grid.depths_mm.len() as f64);
        let head = 14.0;
        let cell = (width - head) / n.max(1.0);
        let strong = Face::bold((2.2 * cell).clamp(7.0, 12.0).min(2.2 * height));
        let middle = |y: f64, face: Face| y + 0.5 * height + 0.36 * face.em;
        let (left, right, top) = (at.0, at.0 + width, y);
        let bottom = top + height * (rows + 1.0);
        for k in 0..=grid.depths_mm.len() + 1 {
            let y = top + k as f64 * height;
            sheet.line(&[(left, y), (right, y)], if k == 1 { 0.5 } else { 0.2 });
        }
        for k in 0..=grid.across_mm.len() {
            let x = left + head + k as f64 * cell;
            sheet.line(&[(x, top), (x, bottom)], if k == 0 { 0.5 } else { 0.2 });
        }
        sheet.line(&[(left, top), (left, bottom)], 0.2);
        let label = Face::text(10.0);
        for (k, &x) in grid.across_mm.iter().enumerate() {
            let at = (left + head + (k as f64 + 0.5) * cell, middle(top, label));
            sheet.text(at, label, Anchor::Middle, &self.length(x));
        }
        for (i, (depth, row)) in grid.rows().enumerate() {
            let y = top + (i as f64 + 1.0) * height;
            sheet.text(
                (left + 0.5 * head, middle(y, label)),
                label,
                Anchor::Middle,
                &self.length(depth),
            );
            for (k, c) in row.iter().enumerate() {
                let face = if c.why.is_some() { small } else { strong };
                let at = (left + head + (k as f64 + 0.5) * cell, middle(y, face));
                sheet.text(at, face, Anchor::Middle, &self.cell(c));
            }
        }
        bottom + 4.0
    }
}

impl ChartGrid {
    /// Each depth with its row of cells.
    fn rows(&self) -> impl Iterator<Item = (f64, &[ChartCell])> {
        let n = self.across_mm.len().max(1);
        self.depths_mm.iter().copied().zip(self.cells.chunks(n))
    }
}
