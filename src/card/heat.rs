//! The page behind the job card: was the recess post-heated, the strip, who read it with what,
//! every place, cautions.
//!
//! The first page has the verdict and as many places as there is room for, further pages the rest.

use super::html;
use super::leaf::{Block, Bullet, Grid, Type};
use super::print::{Printed, first_that_fits, print};
use super::source::Row;
use crate::draw::{PaperSize, PdfError, PdfPage, write_pdf};
use crate::evidence::heat::{HeatLine, HeatReport};
use crate::figure::{Drawing, FigureError, Look, Paper, post_heat_strip};
use crate::say::{HEAT_CAUTIONS, Voice, sentence};
use crate::section::Units;
use crate::told::when;

/// Height of the strip on the page, mm, most; a page that is too high has a smaller one.
const PICTURE: f64 = 110.0;
/// Height of a row of the table, mm: a line of its type with room to read.
const ROW: f64 = 5.2;
/// Rows of a further page: as many as the shorter paper holds.
const ROWS: usize = 42;

/// The record of post-heating on paper.
#[derive(Debug, Clone)]
pub struct HeatPage<'a> {
    report: &'a HeatReport,
    rows: [Vec<Row>; 2],
    strip: Drawing,
    voice: Voice,
    paper: PaperSize,
}

/// What one row of the table says, by line.
type Table = Vec<(String, Vec<(String, bool)>)>;

impl<'a> HeatPage<'a> {
    /// The page of a judged record.
    ///
    /// # Errors
    /// [`FigureError`] if the strip cannot be drawn.
    pub fn new(
        report: &'a HeatReport,
        units: Units,
        paper: PaperSize,
    ) -> Result<Self, FigureError> {
        let voice = Voice::paper(units);
        let look = Look {
            paper: Paper::Print,
            units,
        };
        let row = |(label, value): (&str, String)| Row {
            label: label.to_owned(),
            value,
        };
        let mut rows: Vec<Row> = voice.heat_rows(report).into_iter().map(row).collect();
        let second = rows.split_off(4);
        Ok(Self {
            report,
            rows: [rows, second],
            strip: post_heat_strip(report, look)?,
            voice,
            paper,
        })
    }

    fn title(&self) -> String {
        format!("{}, film {}", self.report.record, self.report.film)
    }

    /// The record as one HTML file; `css` as in [`Card::html_with`](super::Card::html_with).
    pub fn html_with(&self, css: &str) -> String {
        let all = self.table();
        let blocks = self.blocks(PICTURE, &all);
        html::written(
            &self.title(),
            &blocks,
            self.paper,
            1.0,
            &self.report.program,
            css,
        )
    }

    /// The record as a PDF: one page, and more where it has many places.
    ///
    /// # Errors
    /// [`PdfError`] if a page is refused; that is a fault of the program.
    pub fn pdf(&self) -> Result<Vec<u8>, PdfError> {
        let all = self.table();
        let title = format!("Post-heat record: {}", self.title());
        let program = &self.report.program;
        // All on one page if it fits with the strip at half its size or more; else some.
        let sizes = (0..=11).map(|k| (PICTURE - 5.0 * f64::from(k), all.len()));
        let fewer = (0..all.len()).rev().map(|n| (PICTURE, n));
        let tries: Vec<(f64, usize)> = sizes.chain(fewer).collect();
        let first = first_that_fits(&tries, self.paper, |(height, n)| {
            print(&self.blocks(height, &all[..n]), self.paper, 1.0, program)
        });
        let Some((first, (_, shown))) = first else {
            return write_pdf(&[], &title, program);
        };
        let further = all[shown..].chunks(ROWS).map(|rows| {
            let mut blocks = vec![Block::Title(self.title(), "Post-heat record")];
            blocks.extend(self.grid(rows));
            print(&blocks, self.paper, 1.0, program)
        });
        let page = |printed: Printed| PdfPage {
            svg: printed.scene.in_mm(self.paper.size(), &title),
            size: self.paper.size(),
        };
        let pages: Vec<PdfPage> = std::iter::once(first).chain(further).map(page).collect();
        write_pdf(&pages, &title, program)
    }

    /// What stands on the first page, its strip so high, mm.
    fn blocks(&self, height: f64, rows: &[(String, Vec<(String, bool)>)]) -> Vec<Block<'_>> {
        let (report, voice) = (self.report, self.voice);
        let list = |name: &str, bullet: Bullet, items: Vec<String>| {
            let items: Vec<String> = items.iter().map(|i| sentence(i)).collect();
            let heading = Block::Heading(name.to_owned());
            if items.is_empty() {
                Vec::new()
            } else {
                vec![heading, Block::List(bullet, items)]
            }
        };
        let mut blocks = vec![
            Block::Title(self.title(), "Post-heat record"),
            Block::Text(Type::Big, sentence(&voice.heat_verdict(report))),
        ];
        let training = voice.training(&report.invented);
        blocks.extend(training.map(|words| Block::Framed(format!("{words}."))));
        blocks.push(Block::Bar);
        blocks.push(Block::Picture(&self.strip, height));
        let gaps = report
            .lines
            .iter()
            .flat_map(|line| self.gaps(line))
            .collect();
        blocks.push(Block::Columns(
            &[],
            self.rows
                .iter()
                .map(|rows| vec![Block::Rows(rows)])
                .collect(),
        ));
        blocks.extend(self.grid(rows));
        let notes = [voice.all(&report.warnings), voice.all(&report.assumptions)].concat();
        let cautions = HEAT_CAUTIONS.map(str::to_owned).to_vec();
        let mut beside = list("Without a reading", Bullet::Box, gaps);
        beside.extend(list("Notes and assumptions", Bullet::Dash, notes));
        let columns = vec![list("Cautions", Bullet::Dash, cautions), beside];
        blocks.push(Block::Columns(&[], columns));
        blocks
    }

    /// The gaps of a line.
    fn gaps(&self, line: &HeatLine) -> Vec<String> {
        let name = self.voice.heat_line(line);
        let gap = |gap| {
            format!(
                "{name}: {}",
                self.voice.heat_gap(gap, self.report.spacing_mm)
            )
        };
        line.gaps.iter().map(gap).collect()
    }

    /// Every place as a row: where, then line, reading, film, least, verdict, time, note.
    fn table(&self) -> Table {
        let voice = self.voice;
        let bounds = voice.heat_bounds(self.report);
        let lines = self.report.lines.iter();
        let rows = lines.flat_map(|line| line.places.iter().map(move |place| (line, place)));
        let row = rows.map(|(line, place)| {
            let [read, film, least] = voice.heat_cells(place, &bounds);
            let time = place.time.to_string();
            // Month to minute: the year and the distance from UTC stand in the rows above.
            let time = time.get(5..16).unwrap_or(&time).replace('T', " ");
            let cells = [
                (voice.heat_line(line), false),
                (read, true),
                (film, true),
                (least, true),
                (place.verdict.word().to_owned(), false),
                (time, false),
            ];
            (voice.bare_length(place.place_mm), cells.to_vec())
        });
        row.collect()
    }

    /// Rows as a table; nothing without rows.
    fn grid(&self, rows: &[(String, Vec<(String, bool)>)]) -> Option<Block<'_>> {
        let all = self.report.places().count();
        let of = when(
            rows.len() < all,
            format!("; {} of {all} places", rows.len()),
            String::new(),
        );
        let heads = [
            self.voice.unit(),
            "line",
            "read",
            "film",
            "at least",
            "verdict",
            "time",
        ];
        let grid = Grid {
            caption: format!(
                "Each place from the left end, \u{b0}C: as read, corrected for emissivity, the least it can have been{of}"
            ),
            heads: heads.map(str::to_owned).to_vec(),
            rows: rows.to_vec(),
        };
        (!rows.is_empty()).then_some(Block::Grid(grid, ROW))
    }
}
