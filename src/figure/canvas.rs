//! A picture being drawn: a scene with a size, a voice, and three sizes of type.

use super::paper::Look;
use crate::draw::{Box2, Face, INK, Mark, Pt, Rgb, Scene, Side, Text, WHITE};
use crate::say::Voice;

/// The three type sizes, in units of the picture (pixels of a slide).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Type {
    /// The answer.
    Title,
    /// Headings.
    Head,
    /// Everything else.
    Body,
    /// As large as the body, and semibold: values and names within a picture.
    Value,
}

impl Type {
    /// Em in units of the picture.
    pub(super) fn em(self) -> f64 {
        match self {
            Self::Title => 46.0,
            Self::Head => 31.0,
            Self::Body | Self::Value => 25.0,
        }
    }

    /// Distance of two lines of a paragraph.
    pub(super) fn leading(self) -> f64 {
        self.em() * 1.3
    }

    /// The type as the scene has it.
    pub(super) fn face(self) -> Face {
        Face {
            em: self.em(),
            bold: self != Self::Body,
        }
    }

    /// Width and height of a line of text, from the ascenders to the descenders.
    pub(super) fn size_of(self, text: &str) -> [f64; 2] {
        self.face().size_of(text)
    }

    /// Width of a line of text.
    pub(super) fn width(self, text: &str) -> f64 {
        self.face().width(text)
    }

    /// A line of text in the picture's ink.
    pub(super) fn text(self, words: String, at: Pt, side: Side) -> Text {
        Text {
            words,
            at,
            side,
            face: self.face(),
            colour: INK,
        }
    }

    /// Breaks a text at spaces into lines of at most `width`; a longer word is cut.
    pub(super) fn wrap(self, text: &str, width: f64) -> Vec<String> {
        self.face().wrap(text, width)
    }
}

/// A picture being drawn.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    pub(super) width: f64,
    pub(super) height: f64,
    /// How it speaks.
    pub(super) voice: Voice,
    pub(super) scene: Scene,
}

impl Canvas {
    /// A canvas of the usual size.
    pub(super) fn new(look: Look) -> Self {
        let (width, height) = look.paper.units();
        Self::sized(width, height, look.voice())
    }

    /// A canvas of any size, in units of the picture.
    pub(super) fn sized(width: f64, height: f64, voice: Voice) -> Self {
        let mut canvas = Self {
            width,
            height,
            voice,
            scene: Scene::default(),
        };
        let all = Box2 {
            left: 0.0,
            top: 0.0,
            right: width,
            bottom: height,
        };
        canvas.fill(&all.corners(), WHITE);
        canvas
    }

    pub(super) fn fill(&mut self, points: &[Pt], colour: Rgb) {
        self.scene.fill(points, colour);
    }

    pub(super) fn stroke(&mut self, points: &[Pt], colour: Rgb, width: f64) {
        self.scene.stroke(points, colour, width);
    }

    pub(super) fn dot(&mut self, at: Pt, colour: Rgb, radius: f64) {
        self.scene.dot(at, colour, radius);
    }

    /// Writes a line of text and returns its box.
    pub(super) fn write(&mut self, words: &str, at: Pt, side: Side, size: Type) -> Box2 {
        self.scene.text(size.text(words.to_owned(), at, side))
    }

    /// Writes a paragraph from its first baseline and returns the next free baseline.
    pub(super) fn paragraph(&mut self, words: &str, at: Pt, width: f64, size: Type) -> f64 {
        let mut y = at[1];
        for line in size.wrap(words, width) {
            self.write(&line, [at[0], y], Side::Left, size);
            y += size.leading();
        }
        y
    }

    /// Writes a line of text into the box found for it; without one it is left out.
    pub(super) fn put(&mut self, words: &str, place: Option<Box2>, size: Type) {
        if let Some(extent) = place {
            let at = [extent.centre()[0], extent.bottom - size.face().drop()];
            self.write(words, at, Side::Centre, size);
        }
    }

    /// Boxes of all texts so far.
    pub(super) fn texts(&self) -> Vec<Box2> {
        self.scene
            .marks
            .iter()
            .filter_map(|m| {
                if let Mark::Text(t) = m {
                    Some(t.extent())
                } else {
                    None
                }
            })
            .collect()
    }

    /// Whether a value or name within the picture begins with these words.
    #[cfg(feature = "figures")]
    pub(super) fn has_words(&self, words: &str) -> bool {
        self.scene.marks.iter().any(
            |m| matches!(m, Mark::Text(t) if t.face == Type::Value.face() && t.words.starts_with(words)),
        )
    }

    /// Everything written, in the order of writing.
    #[cfg(test)]
    pub(super) fn said(&self) -> String {
        let words = |m: &Mark| match m {
            Mark::Text(t) => Some(t.words.clone()),
            _ => None,
        };
        self.scene
            .marks
            .iter()
            .filter_map(words)
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// Values or names within the picture that begin with these words.
    #[cfg(test)]
    pub(super) fn count_words(&self, words: &str) -> usize {
        let fits = |m: &&Mark| matches!(m, Mark::Text(t) if t.face == Type::Value.face() && t.words.starts_with(words));
        self.scene.marks.iter().filter(fits).count()
    }

    /// What is wrong with the texts: two that touch, one on a line, one cut at an edge, one
    /// that something lies over.
    #[cfg(test)]
    pub(super) fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        for (i, mark) in self.scene.marks.iter().enumerate() {
            let Mark::Text(a) = mark else { continue };
            let (extent, later) = (a.extent(), &self.scene.marks[i + 1..]);
            let over = |m: &Mark| match m {
                Mark::Fill(area, _) => extent.covered_by(area),
                Mark::Dot(at, _, radius) => extent.grown(*radius).holds_point(*at),
                Mark::Stroke(..) | Mark::Text(_) | Mark::Part(..) => false,
            };
            if later.iter().any(over) {
                faults.push(format!("something lies over `{}`", a.words));
            }
            let edge = Box2 {
                left: 8.0,
                top: 8.0,
                right: self.width - 8.0,
                bottom: self.height - 8.0,
            };
            if !edge.holds(&extent) {
                faults.push(format!("`{}` is cut at an edge", a.words));
            }
            for mark in later {
                if let Mark::Text(b) = mark
                    && extent.meets(&b.extent())
                {
                    faults.push(format!("`{}` touches `{}`", a.words, b.words));
                }
            }
            for mark in &self.scene.marks {
                if let Mark::Stroke(line, pen) = mark {
                    let room = extent.grown(pen.width / 2.0);
                    if line.windows(2).any(|w| room.crossed_by(w[0], w[1])) {
                        faults.push(format!("`{}` touches a line", a.words));
                    }
                }
            }
        }
        faults
    }

    /// Every coordinate is finite.
    #[cfg(test)]
    pub(super) fn finite(&self) -> bool {
        self.scene.marks.iter().all(|m| match m {
            Mark::Fill(p, _) | Mark::Stroke(p, ..) => p.iter().flatten().all(|v| v.is_finite()),
            Mark::Dot(p, ..) => p.iter().all(|v| v.is_finite()),
            Mark::Text(t) => t.at.iter().all(|v| v.is_finite()),
            Mark::Part(part, ..) => part.marks.is_empty(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_wrap_and_long_words_are_cut() {
        let words = "rear left door lower moulding recess behind the sliding rail Aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";
        let lines = Type::Body.wrap(words, 300.0);
        assert!(lines.len() > 3);
        assert!(
            lines.iter().all(|l| Type::Body.width(l) <= 300.0),
            "{lines:?}"
        );
        assert_eq!(lines.concat().replace(' ', ""), words.replace(' ', ""));
    }
}
