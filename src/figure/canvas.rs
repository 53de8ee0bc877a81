//! A display list: what a picture is drawn of, and how much room its texts take.
//!
//! Nothing here needs a font or a file, so that the page's engine lays a picture out as the
//! program does; `render` makes SVG and PNG files of it, `inline` SVG for the page.

use super::metrics::Face;
use super::place::{Box2, Pt};
use crate::say::Voice;

/// sRGB, 8 bits a channel.
pub(super) type Rgb = [u8; 3];

/// Ascenders above and descenders below the baseline, em.
const UP: f64 = 0.76;
const DOWN: f64 = 0.22;

/// Ink of text and thin lines.
pub(super) const INK: Rgb = [0x1c, 0x20, 0x24];
/// The panel, and whatever else only sets the scene.
pub(super) const PANEL: Rgb = [0xd3, 0xd4, 0xd3];
/// Light band behind a zone.
pub(super) const BAND: Rgb = [0xee, 0xef, 0xee];
/// Paper.
pub(super) const WHITE: Rgb = [0xff, 0xff, 0xff];

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

    /// Width and height of a line of text, from the ascenders to the descenders.
    pub(super) fn size_of(self, text: &str) -> [f64; 2] {
        [self.width(text), (UP + DOWN) * self.em()]
    }

    /// Width of a line of text.
    pub(super) fn width(self, text: &str) -> f64 {
        let face = Face {
            em: self.em(),
            bold: self != Self::Body,
        };
        face.width(text)
    }
}

/// Which end of a text its point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// The text begins there.
    Left,
    /// The text is centred there.
    Centre,
    /// The text ends there.
    Right,
}

/// One line of text with its point on the baseline.
#[derive(Debug, Clone)]
pub(super) struct Text {
    pub(super) words: String,
    pub(super) at: Pt,
    pub(super) side: Side,
    pub(super) size: Type,
}

impl Text {
    /// The box the text takes: from the ascenders to the descenders.
    pub(super) fn extent(&self) -> Box2 {
        let (w, em) = (self.size.width(&self.words), self.size.em());
        let left = match self.side {
            Side::Left => self.at[0],
            Side::Centre => self.at[0] - w / 2.0,
            Side::Right => self.at[0] - w,
        };
        Box2 {
            left,
            top: self.at[1] - UP * em,
            right: left + w,
            bottom: self.at[1] + DOWN * em,
        }
    }
}

#[derive(Debug, Clone)]
pub(super) enum Mark {
    Fill(Vec<Pt>, Rgb),
    Stroke(Vec<Pt>, Rgb, f64),
    Dot(Pt, Rgb, f64),
    Text(Text),
}

/// A picture being drawn; later marks cover earlier ones.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    pub(super) width: f64,
    pub(super) height: f64,
    /// How it speaks.
    pub(super) voice: Voice,
    pub(super) marks: Vec<Mark>,
}

impl Canvas {
    /// A canvas of any size, in units of the picture.
    pub(super) fn sized(width: f64, height: f64, voice: Voice) -> Self {
        let mut canvas = Self {
            width,
            height,
            voice,
            marks: Vec::new(),
        };
        canvas.fill(
            &Box2 {
                left: 0.0,
                top: 0.0,
                right: width,
                bottom: height,
            }
            .corners(),
            WHITE,
        );
        canvas
    }

    pub(super) fn fill(&mut self, points: &[Pt], colour: Rgb) {
        self.marks.push(Mark::Fill(points.to_vec(), colour));
    }

    pub(super) fn stroke(&mut self, points: &[Pt], colour: Rgb, width: f64) {
        self.marks
            .push(Mark::Stroke(points.to_vec(), colour, width));
    }

    pub(super) fn dot(&mut self, at: Pt, colour: Rgb, radius: f64) {
        self.marks.push(Mark::Dot(at, colour, radius));
    }

    pub(super) fn text(&mut self, text: Text) {
        self.marks.push(Mark::Text(text));
    }

    /// Writes a line of text and returns its box.
    pub(super) fn write(&mut self, words: &str, at: Pt, side: Side, size: Type) -> Box2 {
        let text = Text {
            words: words.to_owned(),
            at,
            side,
            size,
        };
        let extent = text.extent();
        self.text(text);
        extent
    }

    /// Writes a paragraph from its first baseline and returns the next free baseline.
    pub(super) fn paragraph(&mut self, words: &str, at: Pt, width: f64, size: Type) -> f64 {
        let mut y = at[1];
        for line in wrap(words, width, size) {
            self.write(&line, [at[0], y], Side::Left, size);
            y += size.leading();
        }
        y
    }

    /// Writes a line of text into the box found for it; without one it is left out.
    pub(super) fn put(&mut self, words: &str, place: Option<Box2>, size: Type) {
        if let Some(extent) = place {
            let at = [extent.centre()[0], extent.bottom - DOWN * size.em()];
            self.write(words, at, Side::Centre, size);
        }
    }

    /// Boxes of all texts so far.
    pub(super) fn texts(&self) -> Vec<Box2> {
        self.marks
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
    pub(super) fn has_words(&self, words: &str) -> bool {
        self.marks.iter().any(
            |m| matches!(m, Mark::Text(t) if t.size == Type::Value && t.words.starts_with(words)),
        )
    }

    /// Everything written, in the order of writing.
    #[cfg(test)]
    pub(super) fn said(&self) -> String {
        let words = |m: &Mark| match m {
            Mark::Text(t) => Some(t.words.clone()),
            _ => None,
        };
        self.marks
            .iter()
            .filter_map(words)
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// Values or names within the picture that begin with these words.
    #[cfg(test)]
    pub(super) fn count_words(&self, words: &str) -> usize {
        let fits = |m: &&Mark| matches!(m, Mark::Text(t) if t.size == Type::Value && t.words.starts_with(words));
        self.marks.iter().filter(fits).count()
    }

    /// What is wrong with the texts: two that touch, one on a line, one cut at an edge, one
    /// that something lies over.
    #[cfg(test)]
    pub(super) fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        for (i, mark) in self.marks.iter().enumerate() {
            let Mark::Text(a) = mark else { continue };
            let (extent, later) = (a.extent(), &self.marks[i + 1..]);
            let over = |m: &Mark| match m {
                Mark::Fill(area, _) => extent.covered_by(area),
                Mark::Dot(at, _, radius) => extent.grown(*radius).holds_point(*at),
                Mark::Stroke(..) | Mark::Text(_) => false,
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
            for mark in &self.marks {
                if let Mark::Stroke(line, _, width) = mark {
                    let room = extent.grown(width / 2.0);
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
        self.marks.iter().all(|m| match m {
            Mark::Fill(p, _) | Mark::Stroke(p, ..) => p.iter().flatten().all(|v| v.is_finite()),
            Mark::Dot(p, ..) => p.iter().all(|v| v.is_finite()),
            Mark::Text(t) => t.at.iter().all(|v| v.is_finite()),
        })
    }
}

/// Draws a line with its dash.
pub(super) fn dashed(canvas: &mut Canvas, line: &[Pt], colour: Rgb, dash: &[f64], width: f64) {
    if dash.is_empty() {
        canvas.stroke(line, colour, width);
        return;
    }
    let (mut k, mut left, mut piece) = (0, dash[0], Vec::new());
    for w in line.windows(2) {
        let length = (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
        let mut done = 0.0;
        while length - done > 1e-9 {
            let step = left.min(length - done);
            let on = |s: f64| {
                [
                    w[0][0] + (w[1][0] - w[0][0]) * s / length,
                    w[0][1] + (w[1][1] - w[0][1]) * s / length,
                ]
            };
            if k % 2 == 0 {
                if piece.is_empty() {
                    piece.push(on(done));
                }
                piece.push(on(done + step));
            }
            done += step;
            left -= step;
            if left <= 1e-9 {
                if piece.len() > 1 {
                    canvas.stroke(&piece, colour, width);
                }
                piece.clear();
                k = (k + 1) % dash.len();
                left = dash[k];
            }
        }
    }
    if piece.len() > 1 {
        canvas.stroke(&piece, colour, width);
    }
}

/// Breaks a text at spaces into lines of at most `width`; a longer word is cut.
pub(super) fn wrap(words: &str, width: f64, size: Type) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words
        .split(' ')
        .filter(|w| !w.is_empty())
        .flat_map(|w| cut(w, width, size))
    {
        let longer = if line.is_empty() {
            word.clone()
        } else {
            format!("{line} {word}")
        };
        if line.is_empty() || size.width(&longer) <= width {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Cuts a word into pieces of at most `width`.
fn cut(word: &str, width: f64, size: Type) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for c in word.chars() {
        let last = pieces.len() - 1;
        pieces[last].push(c);
        if size.width(&pieces[last]) > width && pieces[last].chars().count() > 1 {
            pieces[last].pop();
            pieces.push(c.to_string());
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_wrap_and_long_words_are_cut() {
        let words = "rear left door lower moulding recess behind the sliding rail Aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";
        let lines = wrap(words, 300.0, Type::Body);
        assert!(lines.len() > 3);
        assert!(
            lines.iter().all(|l| Type::Body.width(l) <= 300.0),
            "{lines:?}"
        );
        assert_eq!(lines.concat().replace(' ', ""), words.replace(' ', ""));
    }
}
