//! A display list: what a picture or a printed page is drawn of.

use super::{Box2, Face, Pt};

/// sRGB, 8 bits a channel.
pub(crate) type Rgb = [u8; 3];

/// Ink of text and thin lines on a screen.
pub(crate) const INK: Rgb = [0x1c, 0x20, 0x24];
/// Ink on paper.
pub(crate) const BLACK: Rgb = [0, 0, 0];
/// The panel, and whatever else only sets the scene.
pub(crate) const PANEL: Rgb = [0xd3, 0xd4, 0xd3];
/// Light band behind a zone.
pub(crate) const BAND: Rgb = [0xee, 0xef, 0xee];
/// Paper.
pub(crate) const WHITE: Rgb = [0xff, 0xff, 0xff];
/// Ink of readings: lighter than the section's line on them, also in grey.
pub(crate) const READING: Rgb = [0x4f, 0x86, 0xc6];

/// Which end of a text its point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// The text begins there.
    Left,
    /// The text is centred there.
    Centre,
    /// The text ends there.
    Right,
}

/// One line of text with its point on the baseline.
#[derive(Debug, Clone)]
pub(crate) struct Text {
    pub(crate) words: String,
    pub(crate) at: Pt,
    pub(crate) side: Side,
    pub(crate) face: Face,
    pub(crate) colour: Rgb,
}

impl Text {
    /// The box the text takes: from the ascenders to the descenders.
    pub(crate) fn extent(&self) -> Box2 {
        let [w, _] = self.face.size_of(&self.words);
        let left = match self.side {
            Side::Left => self.at[0],
            Side::Centre => self.at[0] - w / 2.0,
            Side::Right => self.at[0] - w,
        };
        Box2 {
            left,
            top: self.at[1] - self.face.rise(),
            right: left + w,
            bottom: self.at[1] + self.face.drop(),
        }
    }
}

/// What a line is drawn with.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pen {
    pub(crate) colour: Rgb,
    pub(crate) width: f64,
    /// Lengths on and off; none is a full line.
    pub(crate) dash: &'static [f64],
}

#[derive(Debug, Clone)]
pub(crate) enum Mark {
    Fill(Vec<Pt>, Rgb),
    Stroke(Vec<Pt>, Pen),
    Dot(Pt, Rgb, f64),
    Text(Text),
    /// Another drawing at a place and a scale; of a window in it, that alone is seen.
    Part(Scene, Pt, f64, Option<Box2>),
}

/// A drawing under way, y down; later marks cover earlier ones.
#[derive(Debug, Clone, Default)]
pub(crate) struct Scene {
    pub(crate) marks: Vec<Mark>,
}

impl Scene {
    /// A filled outline.
    pub(crate) fn fill(&mut self, outline: &[Pt], colour: Rgb) {
        self.marks.push(Mark::Fill(outline.to_vec(), colour));
    }

    /// A line through points.
    pub(crate) fn stroke(&mut self, points: &[Pt], colour: Rgb, width: f64) {
        self.dashed(points, colour, &[], width);
    }

    /// A line of dashes: lengths on and off.
    pub(crate) fn dashed(&mut self, points: &[Pt], colour: Rgb, dash: &'static [f64], width: f64) {
        let pen = Pen {
            colour,
            width,
            dash,
        };
        self.marks.push(Mark::Stroke(points.to_vec(), pen));
    }

    pub(crate) fn dot(&mut self, at: Pt, colour: Rgb, radius: f64) {
        self.marks.push(Mark::Dot(at, colour, radius));
    }

    /// Writes a line of text and returns its box.
    pub(crate) fn text(&mut self, text: Text) -> Box2 {
        let extent = text.extent();
        self.marks.push(Mark::Text(text));
        extent
    }

    /// Another drawing, moved and scaled; of a window in it, that alone.
    pub(crate) fn put(&mut self, part: Self, at: Pt, scale: f64, window: Option<Box2>) {
        self.marks.push(Mark::Part(part, at, scale, window));
    }
}
