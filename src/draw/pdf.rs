//! Pages to PDF: each page's SVG, its text kept as text in the bundled font.

use super::{PaperSize, RenderError, Rendered};
use krilla::Document;
use krilla::geom::Size;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};

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
    pub(crate) size: [f64; 2],
}

/// Writes one page as a PDF.
pub(crate) fn one_page(
    svg: String,
    paper: PaperSize,
    title: &str,
    program: &str,
) -> Result<Vec<u8>, PdfError> {
    let size = paper.size();
    write_pdf(&[PdfPage { svg, size }], title, program)
}

/// Writes pages as one PDF.
pub(crate) fn write_pdf(
    pages: &[PdfPage],
    title: &str,
    program: &str,
) -> Result<Vec<u8>, PdfError> {
    let mut document = Document::new();
    document.set_metadata(
        Metadata::new()
            .title(title.to_owned())
            .creator(program.to_owned())
            .language("en".to_owned()),
    );
    for page in pages {
        let read = Rendered::read(&page.svg).map_err(|RenderError(e)| PdfError::Page(e))?;
        let (width, height) = (points(page.size[0]), points(page.size[1]));
        let refused = || PdfError::Page(format!("a page of {width} by {height} points"));
        let settings = PageSettings::from_wh(width, height).ok_or_else(refused)?;
        let size = Size::from_wh(width, height).ok_or_else(refused)?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        surface
            .draw_svg(read.tree(), size, SvgSettings::default())
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
