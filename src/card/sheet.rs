//! A printed page in millimetres, written as SVG: text, lines, fills and other pictures.
//!
//! The one drawing surface of card, chart and lesson sheet. The page's own SVG becomes the
//! PDF; fragments of it (the dimensioned section) stand in the HTML.

use crate::figure::{Face, escaped};
use serde::{Deserialize, Serialize};
use std::fmt::Write;

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum PaperSize {
    /// 210 x 297 mm
    #[default]
    A4,
    /// 8.5 x 11 in
    Letter,
}

impl PaperSize {
    /// Width and height, mm.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// The name that style sheets use.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}

/// Which end of a line of text its point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// The text begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// What a drawing is made with: greys only, so that it survives a copier.
pub(crate) const INK: &str = "#000";
/// The solid panel.
pub(crate) const SOLID: &str = "#dcdcdc";

/// A page, or a piece of one, being drawn; mm, y down.
#[derive(Debug, Clone, Default)]
pub(crate) struct Sheet {
    marks: String,
}

impl Sheet {
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// One line of text with its point on the baseline.
    pub(crate) fn text(&mut self, at: (f64, f64), face: Face, anchor: Anchor, words: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = if face.bold { 600 } else { 400 };
        let _ = writeln!(
            self.marks,
            "<text x=\"{:.3}\" y=\"{:.3}\" font-size=\"{:.3}\" font-weight=\"{weight}\" text-anchor=\"{anchor}\">{}</text>",
            at.0,
            at.1,
            face.em,
            escaped(words)
        );
    }

    /// A paragraph from its top; returns the y below it.
    pub(crate) fn paragraph(&mut self, at: (f64, f64), width: f64, face: Face, words: &str) -> f64 {
        let mut y = at.1;
        for line in face.wrap(words, width) {
            self.text((at.0, y + face.em), face, Anchor::Start, &line);
            y += face.leading();
        }
        y
    }

    /// A line through points.
    pub(crate) fn line(&mut self, points: &[(f64, f64)], width: f64) {
        self.stroke(points, width, "");
    }

    /// A dashed line through points.
    pub(crate) fn dashed(&mut self, points: &[(f64, f64)], width: f64, dash: &str) {
        self.stroke(points, width, &format!(" stroke-dasharray=\"{dash}\""));
    }

    fn stroke(&mut self, points: &[(f64, f64)], width: f64, more: &str) {
        let _ = writeln!(
            self.marks,
            "<path d=\"{}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"{more}/>",
            path(points)
        );
    }

    /// A filled outline.
    pub(crate) fn fill(&mut self, points: &[(f64, f64)], colour: &str) {
        let _ = writeln!(
            self.marks,
            "<path d=\"{}Z\" fill=\"{colour}\"/>",
            path(points)
        );
    }

    /// A rectangle's outline.
    pub(crate) fn frame(&mut self, at: (f64, f64), size: (f64, f64), width: f64) {
        let (x, y) = at;
        let (right, bottom) = (x + size.0, y + size.1);
        self.line(
            &[(x, y), (right, y), (right, bottom), (x, bottom), (x, y)],
            width,
        );
    }

    /// A small filled arrow head at `tip`, pointing along `(dx, dy)`.
    pub(crate) fn arrow(&mut self, tip: (f64, f64), along: (f64, f64), size: f64) {
        let length = along.0.hypot(along.1).max(1e-9);
        let (ux, uy) = (along.0 / length, along.1 / length);
        let back = (tip.0 - size * ux, tip.1 - size * uy);
        let half = 0.32 * size;
        self.fill(
            &[
                tip,
                (back.0 - half * uy, back.1 + half * ux),
                (back.0 + half * uy, back.1 - half * ux),
            ],
            INK,
        );
    }

    /// Another sheet's marks, moved.
    pub(crate) fn put(&mut self, other: &Self, at: (f64, f64)) {
        let _ = writeln!(
            self.marks,
            "<g transform=\"translate({:.3} {:.3})\">\n{}</g>",
            at.0, at.1, other.marks
        );
    }

    /// Another SVG, scaled into a box of the page.
    #[cfg(feature = "pdf")]
    pub(crate) fn picture(&mut self, svg: &str, at: (f64, f64), size: (f64, f64)) {
        let (head, body) = svg.split_once('>').unwrap_or(("", ""));
        let view = head
            .split_once("viewBox=\"")
            .and_then(|(_, rest)| rest.split_once('"'))
            .map_or("0 0 1 1", |(view, _)| view);
        let _ = writeln!(
            self.marks,
            "<svg x=\"{:.3}\" y=\"{:.3}\" width=\"{:.3}\" height=\"{:.3}\" viewBox=\"{view}\">{body}",
            at.0, at.1, size.0, size.1
        );
    }

    /// A part of another sheet at its own scale: `from` its left end, `size` of the part.
    #[cfg(feature = "pdf")]
    pub(crate) fn part(&mut self, other: &Self, from: f64, at: (f64, f64), size: (f64, f64)) {
        let _ = writeln!(
            self.marks,
            "<svg x=\"{:.4}\" y=\"{:.4}\" width=\"{2:.4}\" height=\"{3:.4}\" viewBox=\"{from:.4} 0 {2:.4} {3:.4}\">{4}</svg>",
            at.0, at.1, size.0, size.1, other.marks
        );
    }

    /// The marks as an SVG of a given size, mm, with the answer in words.
    pub(crate) fn svg(&self, size: (f64, f64), title: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.3}mm\" height=\"{1:.3}mm\" viewBox=\"0 0 {0:.3} {1:.3}\" role=\"img\" font-family=\"'Tautspan Sans', sans-serif\">\n<title>{2}</title>\n{3}</svg>",
            size.0,
            size.1,
            escaped(title),
            self.marks
        )
    }
}

fn path(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (i, p) in points.iter().enumerate() {
        let _ = write!(d, "{}{:.4} {:.4}", if i == 0 { 'M' } else { 'L' }, p.0, p.1);
    }
    d
}
