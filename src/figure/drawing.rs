//! A picture that is drawn, and the files that are made of it.

use super::canvas::Canvas;
#[cfg(feature = "figures")]
use super::paper::FigureError;
#[cfg(feature = "pdf")]
use super::paper::UNITS_PER_MM;
use super::paper::{Look, Paper};
#[cfg(feature = "pdf")]
use crate::draw::Scene;
use crate::draw::{Opening, Style};

/// A picture, drawn and not yet written.
#[derive(Debug, Clone)]
pub struct Drawing {
    canvas: Canvas,
    /// What it is for; `None`: to be measured on, at full size.
    paper: Option<Paper>,
    title: String,
    described: String,
}

impl Drawing {
    pub(super) fn new(canvas: Canvas, look: Look, [title, described]: [String; 2]) -> Self {
        Self {
            canvas,
            paper: Some(look.paper),
            title,
            described,
        }
    }

    /// A drawing at full size on paper, which pixels cannot show.
    pub(super) fn at_full_size(canvas: Canvas, [title, described]: [String; 2]) -> Self {
        Self {
            canvas,
            paper: None,
            title,
            described,
        }
    }

    /// See [`Canvas::faults`]; and what is not finite.
    #[cfg(test)]
    pub(super) fn faults(&self) -> Vec<String> {
        let mut faults = self.canvas.faults();
        if !self.canvas.finite() {
            faults.push("a number is not finite".to_owned());
        }
        faults
    }

    /// The answer: the picture's title.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// The drawing as SVG, its text as text in `Tautspan Sans` or a sans serif.
    pub fn svg(&self) -> String {
        self.canvas.scene.svg(&self.opening(), Style::Own)
    }

    fn opening(&self) -> Opening<'_> {
        let view = [self.canvas.width, self.canvas.height];
        let paper = self.paper.unwrap_or(Paper::Print);
        Opening {
            stated: Some(view.map(|v| paper.stated(v))),
            name: "",
            view,
            title: &self.title,
            described: &self.described,
        }
    }

    /// The drawing with its scale to millimetres, and its size on paper, mm.
    #[cfg(feature = "pdf")]
    pub(crate) fn on_paper(&self) -> (Scene, f64, [f64; 2]) {
        let size = [self.canvas.width, self.canvas.height].map(|v| v / UNITS_PER_MM);
        (self.canvas.scene.clone(), 1.0 / UNITS_PER_MM, size)
    }

    /// Writes the picture: SVG with text as paths, and PNG.
    ///
    /// # Errors
    /// [`FigureError::Render`] if the drawing is refused; that is a fault of the program.
    #[cfg(feature = "figures")]
    pub fn picture(&self) -> Result<Picture, FigureError> {
        let read = crate::draw::Rendered::read(&self.svg())?;
        let png = self.paper.map(|paper| read.png(paper.pixels()));
        Ok(Picture {
            svg: read.svg(&self.opening()),
            png: png.transpose()?,
            title: self.title.clone(),
        })
    }
}

/// A finished picture.
#[cfg(feature = "figures")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// SVG, text as paths, with `<title>` and `<desc>`.
    pub svg: String,
    /// PNG of the same drawing; none of what is true to scale on paper alone.
    pub png: Option<Vec<u8>>,
    /// The answer: the picture's title.
    pub title: String,
}
