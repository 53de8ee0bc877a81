//! Pages to PDF: each page's SVG, its text kept as text in the bundled font.

use super::chart::Chart;
use super::model::Card;
use krilla::Document;
use krilla::geom::Size;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};
use resvg::usvg;
use std::sync::Arc;

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// Why a PDF could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PdfError {
    /// usvg refused a page.
    #[error("a page could not be read back: {0}")]
    Page(String),
    /// krilla refused the document.
    #[error("the PDF could not be written: {0}")]
    Write(String),
}

/// A page: its SVG and its size, mm.
#[derive(Debug, Clone)]
pub(crate) struct PdfPage {
    pub(crate) svg: String,
    pub(crate) size: (f64, f64),
}

impl Card {
    /// The card as a PDF of one page.
    ///
    /// # Errors
    /// [`PdfError`] if a page is refused; that is a fault of the program.
    pub fn pdf(&self) -> Result<Vec<u8>, PdfError> {
        let page = PdfPage {
            svg: self.page_svg(),
            size: self.paper.size(),
        };
        write(&[page], &format!("Job card: {}", self.title), &self.program)
    }
}

impl Chart {
    /// The chart as a PDF of one page.
    ///
    /// # Errors
    /// [`PdfError`] if a page is refused; that is a fault of the program.
    pub fn pdf(&self) -> Result<Vec<u8>, PdfError> {
        let page = PdfPage {
            svg: self.page_svg(),
            size: self.paper.size(),
        };
        write(
            &[page],
            &format!("Bridge widths: {}", self.film.name),
            &self.program,
        )
    }
}

/// Characters of a text that the bundled font lacks, each once: the PDF shows boxes there.
pub fn unprintable(text: &str) -> String {
    let known = |c: char| {
        matches!(c, ' '..='~' | '\u{a0}'..='\u{17f}')
            || "λμ\u{2009}–—‘’‚“”„•…\u{202f}€−≈≤≥".contains(c)
    };
    let mut found = String::new();
    for c in text.chars().filter(|&c| !known(c)) {
        if !found.contains(c) {
            found.push(c);
        }
    }
    found
}

/// Writes pages as one PDF.
pub(crate) fn write(pages: &[PdfPage], title: &str, program: &str) -> Result<Vec<u8>, PdfError> {
    let mut document = Document::new();
    document.set_metadata(
        Metadata::new()
            .title(title.to_owned())
            .creator(program.to_owned())
            .language("en".to_owned()),
    );
    let options = usvg::Options {
        font_family: crate::figure::FONT.to_owned(),
        fontdb: Arc::clone(crate::figure::fonts()),
        ..usvg::Options::default()
    };
    for page in pages {
        let tree =
            usvg::Tree::from_str(&page.svg, &options).map_err(|e| PdfError::Page(e.to_string()))?;
        let (width, height) = (points(page.size.0), points(page.size.1));
        let refused = || PdfError::Page(format!("a page of {width} by {height} points"));
        let settings = PageSettings::from_wh(width, height).ok_or_else(refused)?;
        let size = Size::from_wh(width, height).ok_or_else(refused)?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        surface
            .draw_svg(&tree, size, SvgSettings::default())
            .ok_or_else(refused)?;
        surface.finish();
        sheet.finish();
    }
    document
        .finish()
        .map_err(|e| PdfError::Write(format!("{e:?}")))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "paper sizes; single precision is what a PDF is written in"
)]
fn points(mm: f64) -> f32 {
    (mm * POINTS) as f32
}
