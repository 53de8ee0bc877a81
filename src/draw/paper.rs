//! Sizes of paper, and what printed pages draw with: black ink, so that they survive a copier.

use super::scene::{BLACK, Scene, Side, Text};
use super::{Face, Opening, Pt, Style};
use serde::{Deserialize, Serialize};

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
    pub fn size(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
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

impl Scene {
    /// One line of text with its point on the baseline.
    pub(crate) fn print(&mut self, at: Pt, face: Face, side: Side, words: &str) {
        self.text(Text {
            words: words.to_owned(),
            at,
            side,
            face,
            colour: BLACK,
        });
    }

    /// A paragraph from its top; returns the y below it.
    pub(crate) fn paragraph(&mut self, at: Pt, width: f64, face: Face, words: &str) -> f64 {
        let mut y = at[1];
        for line in face.wrap(words, width) {
            self.print([at[0], y + face.em], face, Side::Left, &line);
            y += face.leading();
        }
        y
    }

    /// A black line through points.
    pub(crate) fn line(&mut self, points: &[Pt], width: f64) {
        self.stroke(points, BLACK, width);
    }

    /// A rectangle's outline.
    pub(crate) fn frame(&mut self, at: Pt, size: [f64; 2], width: f64) {
        let [x, y] = at;
        let (right, bottom) = (x + size[0], y + size[1]);
        self.line(
            &[[x, y], [right, y], [right, bottom], [x, bottom], [x, y]],
            width,
        );
    }

    /// A small filled arrow head at `tip`, pointing along `(dx, dy)`.
    pub(crate) fn arrow(&mut self, tip: Pt, along: Pt, size: f64) {
        let length = along[0].hypot(along[1]).max(1e-9);
        let (ux, uy) = (along[0] / length, along[1] / length);
        let back = [tip[0] - size * ux, tip[1] - size * uy];
        let half = 0.32 * size;
        let head = [
            tip,
            [back[0] - half * uy, back[1] + half * ux],
            [back[0] + half * uy, back[1] - half * ux],
        ];
        self.fill(&head, BLACK);
    }

    /// A page or a piece of one as SVG in millimetres.
    pub(crate) fn in_mm(&self, size: [f64; 2], title: &str) -> String {
        let opening = Opening {
            stated: Some(size.map(|v| format!("{v:.3}mm"))),
            name: "",
            view: size,
            title,
            described: "",
        };
        self.svg(&opening, Style::Own)
    }
}
