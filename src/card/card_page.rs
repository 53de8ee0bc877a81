//! The card on one page: three things one does, the dimensioned section, numbers, before,
//! during and after, limits and cautions, blanks.
//!
//! At the largest size at which all fits; at the smallest one the longest lists are cut with
//! a line that says so. The HTML takes over the size of the printed page.

use super::html;
use super::leaf::{Block, Bullet, Type};
use super::model::Card;
use super::print::{Printed, first_that_fits, print};
use crate::say::sentence;

/// Sizes tried, as parts of the full size: at the least one the smallest text has 7.2 pt.
const SIZES: [f64; 9] = [1.0, 0.97, 0.94, 0.91, 0.88, 0.85, 0.82, 0.79, 0.76];

/// The size, and how many warnings and assumptions stand on the card.
type Try = (f64, [usize; 2]);

impl Card {
    /// The printed page as SVG, its text as text in `Tautspan Sans` or a sans serif: what
    /// the PDF shows.
    pub fn page_svg(&self) -> String {
        self.laid().map_or_else(String::new, |(page, _)| {
            page.scene.in_mm(self.paper.size(), &self.name())
        })
    }

    /// The card as a PDF of one page.
    ///
    /// # Errors
    /// [`PdfError`](super::PdfError) if the page is refused; that is a fault of the program.
    #[cfg(feature = "pdf")]
    pub fn pdf(&self) -> Result<Vec<u8>, super::PdfError> {
        crate::draw::one_page(self.page_svg(), self.paper, &self.name(), &self.program)
    }

    /// The card as HTML, in the reader's own font.
    pub fn html(&self) -> String {
        self.html_with("")
    }

    /// The card as HTML with more CSS, such as an `@font-face` for `Tautspan Sans`.
    pub fn html_with(&self, css: &str) -> String {
        let (size, notes) = self.laid().map_or((1.0, [0, 0]), |(_, tried)| tried);
        let blocks = self.blocks(notes);
        let foot = &self.program;
        html::written(&self.title, &blocks, self.paper, size, foot, css)
    }

    fn name(&self) -> String {
        format!("Job card: {}", self.title)
    }

    /// The page and what was tried last: the first that fits. Notes are cut only where even
    /// the smallest type does not fit them, what was seen last.
    fn laid(&self) -> Option<(Printed, Try)> {
        let least = SIZES[SIZES.len() - 1];
        let all = usize::MAX;
        let sizes = SIZES.map(|size| (size, [all, all]));
        let fewer = [6, 4, 3, 2, 1, 0];
        let assumed = fewer.map(|n| (least, [all, n]));
        let seen = fewer.map(|n| (least, [n, 0]));
        let tries: Vec<Try> = sizes.into_iter().chain(assumed).chain(seen).collect();
        first_that_fits(&tries, self.paper, |(size, notes)| {
            print(&self.blocks(notes), self.paper, size, &self.program)
        })
    }

    /// What stands on the page, top to bottom.
    fn blocks(&self, [warnings, assumptions]: [usize; 2]) -> Vec<Block<'_>> {
        let list = |name: &str, bullet: Bullet, items: &[String]| {
            vec![
                Block::Heading(name.to_owned()),
                Block::List(bullet, items.iter().map(|i| sentence(i)).collect()),
            ]
        };
        let rows = |name: &str, rows| vec![Block::Heading(name.to_owned()), Block::Rows(rows)];
        let task = |(i, task): (usize, &super::Task)| {
            let bullet = if task.numbered {
                Bullet::Number
            } else {
                Bullet::None
            };
            vec![
                Block::Text(Type::Name, format!("{} {}", i + 1, task.name)),
                Block::Text(Type::Big, task.big.clone()),
                Block::List(bullet, task.lines.clone()),
            ]
        };
        let cautions = [cut_notes(&self.warnings, warnings), self.cautions.clone()].concat();
        let limits = [
            self.limits.clone(),
            cut_notes(&self.assumptions, assumptions),
        ]
        .concat();
        let mut blocks = vec![
            Block::Title(self.title.clone(), "Job card"),
            Block::Text(Type::Sub, self.subtitle.clone()),
        ];
        blocks.extend(self.training.clone().map(Block::Framed));
        blocks.extend([
            Block::Bar,
            Block::Columns(&[], self.tasks.iter().enumerate().map(task).collect()),
            Block::Section(&self.drawing),
            Block::Columns(
                &[],
                vec![
                    rows("Numbers", &self.numbers),
                    rows("Measured", &self.measured),
                ],
            ),
            Block::Columns(
                &[],
                vec![
                    list("Before", Bullet::Box, &self.before),
                    list("During", Bullet::Box, &self.during),
                    list("After", Bullet::Box, &self.after),
                ],
            ),
            Block::Columns(
                &[],
                vec![
                    list("Cautions", Bullet::Dash, &cautions),
                    list("Limits and assumptions", Bullet::Dash, &limits),
                ],
            ),
            Block::Blanks(
                "Post-heat readings, place and °C:",
                self.readings,
                &self.fields,
            ),
        ]);
        blocks
    }
}

/// The first `most` notes, and how many more there are.
fn cut_notes(notes: &[String], most: usize) -> Vec<String> {
    let mut kept: Vec<String> = notes.iter().take(most).cloned().collect();
    if notes.len() > most {
        kept.push(format!(
            "and {} more, as the answer itself says",
            notes.len() - most
        ));
    }
    kept
}
