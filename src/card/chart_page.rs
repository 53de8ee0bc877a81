//! The chart on paper: HTML and the printed page.

use super::chart::{Chart, ChartCell, ChartGrid, EndFactors};
use super::html;
use super::leaf::{Block, Grid, Type};
use super::print::{first_that_fits, print};
use crate::laydown::OrderName;
use crate::say::{CAUTIONS, Say, Voice};
use crate::section::{Kind, Units};

/// Widths of the grids and of the plain rule beside them, in parts.
const BESIDE: [f64; 2] = [8.0, 3.0];
/// Size of its type, a part of a page's full one: the body has 9 pt.
const SIZE: f64 = 0.95;
/// Height of a row, mm, most; a page that is too high has lower ones.
const TALLEST: f64 = 12.5;

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
            "Not within a bridge width of a closed end: have a card made for it, and lay a trial piece there. Not in it: corners, creases, creep, time at temperature. Measure the recess and have a card made where a width is tight.",
        ];
        all.extend(CAUTIONS);
        all
    }

    /// The chart as one HTML file; `css` as in [`Card::html_with`](super::Card::html_with).
    pub fn html_with(&self, css: &str) -> String {
        let blocks = self.blocks(TALLEST);
        html::written(&self.title(), &blocks, self.paper, SIZE, &self.program, css)
    }

    /// The printed page as SVG.
    pub fn page_svg(&self) -> String {
        let heights: Vec<f64> = (0..=34).map(|k| TALLEST - 0.25 * f64::from(k)).collect();
        let page = first_that_fits(&heights, self.paper, |height| {
            print(&self.blocks(height), self.paper, SIZE, &self.program)
        });
        page.map_or_else(String::new, |(page, _)| {
            page.scene.in_mm(self.paper.size(), &self.title())
        })
    }

    /// The chart as a PDF of one page.
    ///
    /// # Errors
    /// [`PdfError`](super::PdfError) if the page is refused; that is a fault of the program.
    #[cfg(feature = "pdf")]
    pub fn pdf(&self) -> Result<Vec<u8>, super::PdfError> {
        let title = format!("Bridge widths: {}", self.film.name);
        crate::draw::one_page(self.page_svg(), self.paper, &title, &self.program)
    }

    /// What stands on the page, its rows this high, mm.
    fn blocks(&self, height: f64) -> Vec<Block<'_>> {
        let text = |words: &str| Block::Text(Type::Body, words.to_owned());
        let name = |words: &str| Block::Text(Type::Name, words.to_owned());
        let grids = self.grids.iter().flat_map(|grid| {
            let (heading, cells) = self.grid(grid);
            [Block::Text(Type::Name, heading), Block::Grid(cells, height)]
        });
        let ends = self.ends.iter().flat_map(|ends| self.factors(ends, height));
        let grids = grids.chain(ends);
        let rule = self.plain_rule();
        let mut beside = vec![name("Plain rule, two tape readings")];
        beside.extend(rule.iter().map(|line| text(line)));
        beside.push(name("Marks"));
        beside.extend(Self::legend().map(text));
        let mut blocks = vec![
            Block::Title(self.title(), "Chart"),
            Block::Text(Type::Sub, self.subtitle()),
        ];
        blocks.extend(self.training().map(Block::Framed));
        blocks.push(Block::Columns(&BESIDE, vec![grids.collect(), beside]));
        blocks.push(Block::Heading("Limits and cautions".to_owned()));
        blocks.extend(Self::notes().into_iter().map(text));
        blocks
    }

    /// What a closed end adds: heading and grid.
    fn factors(&self, ends: &EndFactors, height: f64) -> [Block<'_>; 2] {
        let (voice, unit) = (self.voice(), self.voice().unit());
        let mut heads = vec![unit.to_owned()];
        heads.extend(ends.mouths_mm.iter().map(|&x| self.length(x)));
        let row = |(depth, factors): (f64, &[Option<f64>])| {
            let cell = |f: &Option<f64>| match f {
                Some(f) => (format!("\u{d7}{}", voice.steady(*f, 1)), true),
                None => ("\u{2013}".to_owned(), false),
            };
            (self.length(depth), factors.iter().map(cell).collect())
        };
        let n = ends.mouths_mm.len().max(1);
        let rows = ends.depths_mm.iter().copied().zip(ends.factors.chunks(n));
        let caption = format!("depth down, mouth across, {unit}");
        let heading = format!(
            "Round a closed, rounded end: times the middle's stretch, at a bridge of {} mouths; a quarter more or less",
            voice.number(ends.bridge_mouths, 0)
        );
        let rows = rows.map(row).collect();
        let grid = Grid {
            caption,
            heads,
            rows,
        };
        [Block::Text(Type::Name, heading), Block::Grid(grid, height)]
    }

    /// A grid's heading and its cells.
    fn grid(&self, grid: &ChartGrid) -> (String, Grid) {
        let (heading, across, down) = self.heading(grid);
        let unit = self.voice().unit();
        let mut heads = vec![unit.to_owned()];
        heads.extend(grid.across_mm.iter().map(|&x| self.length(x)));
        let row = |(depth, cells): (f64, &[ChartCell])| {
            let cells = cells.iter().map(|c| (self.cell(c), c.why.is_none()));
            (self.length(depth), cells.collect())
        };
        let caption = format!("{down} down, {across} across, {unit}");
        let rows = grid.rows().map(row).collect();
        let cells = Grid {
            caption,
            heads,
            rows,
        };
        (heading, cells)
    }
}

impl ChartGrid {
    /// Each depth with its row of cells.
    fn rows(&self) -> impl Iterator<Item = (f64, &[ChartCell])> {
        let n = self.across_mm.len().max(1);
        self.depths_mm.iter().copied().zip(self.cells.chunks(n))
    }
}
