//! A display list over plotters' SVG backend, and the way from there to SVG and PNG.
//!
//! plotters draws on whole numbers, so everything is drawn ten times too large and the
//! size is put right in the header. Text goes through usvg with the bundled font alone
//! and comes out as paths: the picture looks the same wherever it is opened.

use super::cividis::Rgb;
use super::place::{Box2, Pt};
use super::{FigureError, Paper, Picture};
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, OnceLock};

/// Drawn units in one unit of the picture.
const FINE: f64 = 10.0;
/// Units of the picture in a millimetre where it is true to scale: text as in print.
pub(super) const UNITS_PER_MM: f64 = 1380.0 / 180.0;
/// Height of a line of text over its em, as plotters and the bundled font have it.
const LINE: f64 = 1.24;
/// Ascenders above and descenders below the baseline, em.
const UP: f64 = 0.76;
const DOWN: f64 = 0.22;
pub(crate) const FONT: &str = "Tautspan Sans";
static REGULAR: &[u8] = include_bytes!("font/regular.ttf");
static SEMIBOLD: &[u8] = include_bytes!("font/semibold.ttf");

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

    fn style(self) -> FontStyle {
        if self == Self::Body {
            FontStyle::Normal
        } else {
            FontStyle::Bold
        }
    }

    /// Width of a line of text.
    pub(super) fn width(self, text: &str) -> f64 {
        let size = self.em() * LINE * FINE;
        let font = FontDesc::new(FontFamily::Name(FONT), size, self.style());
        font.layout_box(text)
            .map_or(0.0, |((left, _), (right, _))| {
                f64::from(right - left) / FINE
            })
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
enum Mark {
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
    marks: Vec<Mark>,
}

impl Canvas {
    pub(super) fn new(paper: Paper) -> Self {
        let (width, height) = paper.units();
        Self::sized(width, height)
    }

    /// A canvas of any size, in units of the picture.
    pub(super) fn sized(width: f64, height: f64) -> Self {
        register_fonts();
        let mut canvas = Self {
            width,
            height,
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

    /// What is wrong with the texts: two that touch, one on a line, one cut at an edge.
    #[cfg(test)]
    pub(super) fn faults(&self) -> Vec<String> {
        let texts: Vec<&Text> = self
            .marks
            .iter()
            .filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None })
            .collect();
        let mut faults = Vec::new();
        for (i, a) in texts.iter().enumerate() {
            let extent = a.extent();
            let edge = Box2 {
                left: 8.0,
                top: 8.0,
                right: self.width - 8.0,
                bottom: self.height - 8.0,
            };
            if !edge.holds(&extent) {
                faults.push(format!("`{}` is cut at an edge", a.words));
            }
            for b in &texts[i + 1..] {
                if extent.meets(&b.extent()) {
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

    /// Renders the picture, with the answer in words for those who cannot see it.
    pub(super) fn finish(
        self,
        paper: Paper,
        title: &str,
        described: &str,
    ) -> Result<Picture, FigureError> {
        let tree = self.tree(paper.size())?;
        let png = rasterize(&tree, paper)?;
        let written = paper.written((self.width, self.height));
        let svg = with_words(&written_out(&tree), paper.size(), written, title, described);
        Ok(Picture {
            svg,
            png,
            title: title.to_owned(),
        })
    }

    /// Renders the picture at true scale, as SVG in millimetres.
    pub(super) fn finish_true_to_scale(
        self,
        title: &str,
        described: &str,
    ) -> Result<String, FigureError> {
        let [w, h] = [self.width, self.height].map(|v| v / UNITS_PER_MM);
        let (width, height) = (format!("{w:.4}mm"), format!("{h:.4}mm"));
        let size = (width.as_str(), height.as_str());
        let written = (w / 25.4 * 96.0, h / 25.4 * 96.0);
        let tree = self.tree(size)?;
        Ok(with_words(
            &written_out(&tree),
            size,
            written,
            title,
            described,
        ))
    }

    /// Reads the drawing with the bundled font alone.
    fn tree(&self, size: (&str, &str)) -> Result<usvg::Tree, FigureError> {
        let raw = self.draw().map_err(FigureError::Draw)?;
        let sized = with_size(&raw, size, self.width, self.height);
        let options = usvg::Options {
            font_family: FONT.to_owned(),
            fontdb: Arc::clone(fonts()),
            ..usvg::Options::default()
        };
        usvg::Tree::from_str(&sized, &options).map_err(|e| FigureError::Render(e.to_string()))
    }

    fn draw(&self) -> Result<String, String> {
        let mut svg = String::new();
        let size = (pixels(self.width), pixels(self.height));
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        for mark in &self.marks {
            draw_mark(&area, mark).map_err(|e| e.to_string())?;
        }
        area.present().map_err(|e| e.to_string())?;
        drop(area);
        Ok(svg)
    }
}

type Area<'a> = DrawingArea<SVGBackend<'a>, plotters::coord::Shift>;
type DrawError = DrawingAreaErrorKind<std::io::Error>;

fn draw_mark(area: &Area<'_>, mark: &Mark) -> Result<(), DrawError> {
    let rgb = |c: &Rgb| RGBColor(c[0], c[1], c[2]);
    let all = |points: &[Pt]| points.iter().map(|&p| fine(p)).collect::<Vec<_>>();
    match mark {
        Mark::Fill(points, colour) => area.draw(&Polygon::new(all(points), rgb(colour).filled())),
        Mark::Stroke(points, colour, width) => area.draw(&PathElement::new(
            all(points),
            rgb(colour).stroke_width(pixels(*width)),
        )),
        Mark::Dot(at, colour, radius) => area.draw(&Circle::new(
            fine(*at),
            pixels(*radius),
            rgb(colour).filled(),
        )),
        Mark::Text(text) => draw_text(area, text),
    }
}

/// plotters centres a text half an `ex` (a quarter of an em, as usvg has it) under its point.
fn draw_text(area: &Area<'_>, text: &Text) -> Result<(), DrawError> {
    let em = text.size.em();
    let side = match text.side {
        Side::Left => HPos::Left,
        Side::Centre => HPos::Center,
        Side::Right => HPos::Right,
    };
    let style = FontDesc::new(FontFamily::Name(FONT), em * LINE * FINE, text.size.style())
        .color(&RGBColor(INK[0], INK[1], INK[2]))
        .pos(Pos::new(side, VPos::Center));
    let at = fine([text.at[0], text.at[1] - 0.25 * em]);
    area.draw_text(&text.words, &style, at)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a picture is some ten thousand drawn units wide; `as` saturates"
)]
fn fine(p: Pt) -> (i32, i32) {
    ((p[0] * FINE).round() as i32, (p[1] * FINE).round() as i32)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sizes are positive and small"
)]
fn pixels(v: f64) -> u32 {
    (v * FINE).round() as u32
}

/// Registers the font with plotters, once.
fn register_fonts() {
    static DONE: OnceLock<()> = OnceLock::new();
    DONE.get_or_init(|| {
        for (style, bytes) in [(FontStyle::Normal, REGULAR), (FontStyle::Bold, SEMIBOLD)] {
            // The bytes are fixed at build time and a test reads them.
            let _ = plotters::style::register_font(FONT, style, bytes);
        }
    });
}

/// The bundled font as `@font-face` rules with data URIs, for HTML that stands alone.
pub fn font_css() -> String {
    let face = |weight: u32, bytes: &[u8]| {
        format!(
            "@font-face {{ font-family: '{FONT}'; font-weight: {weight}; src: url(data:font/ttf;base64,{}) format('truetype'); }}\n",
            base64(bytes)
        )
    };
    face(400, REGULAR) + &face(600, SEMIBOLD)
}

/// Base 64 of RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits = three
            .iter()
            .fold(0_u32, |all, &b| (all << 8) | u32::from(b))
            << (8 * (3 - three.len()));
        for k in 0..4 {
            let digit = (bits >> (18 - 6 * k)) & 63;
            text.push(if k <= three.len() {
                char::from(DIGITS[digit as usize])
            } else {
                '='
            });
        }
    }
    text
}

/// The bundled fonts, and no others.
pub(crate) fn fonts() -> &'static Arc<usvg::fontdb::Database> {
    static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
    FONTS.get_or_init(|| {
        let mut db = usvg::fontdb::Database::new();
        db.load_font_data(REGULAR.to_vec());
        db.load_font_data(SEMIBOLD.to_vec());
        Arc::new(db)
    })
}

/// SVG with text as paths.
fn written_out(tree: &usvg::Tree) -> String {
    tree.to_string(&usvg::WriteOptions {
        preserve_text: false,
        coordinates_precision: 2,
        transforms_precision: 5,
        ..usvg::WriteOptions::default()
    })
}

/// Replaces the size in plotters' header by that of the paper.
fn with_size(svg: &str, (w, h): (&str, &str), width: f64, height: f64) -> String {
    let body = svg.split_once('>').map_or("", |(_, body)| body);
    format!(
        "<svg width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {} {}\" stroke-linejoin=\"round\" \
         xmlns=\"http://www.w3.org/2000/svg\">{body}",
        width * FINE,
        height * FINE
    )
}

/// Puts size, role, title and description into the SVG that usvg wrote.
fn with_words(
    svg: &str,
    (w, h): (&str, &str),
    // usvg has folded the view box into its coordinates; it writes at the size in pixels.
    (vw, vh): (f64, f64),
    title: &str,
    described: &str,
) -> String {
    let body = svg.split_once('>').map_or("", |(_, body)| body);
    format!(
        "<svg width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {vw} {vh}\" role=\"img\" \
         xmlns=\"http://www.w3.org/2000/svg\">\n<title>{}</title>\n<desc>{}</desc>{body}",
        escaped(title),
        escaped(described)
    )
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

fn rasterize(tree: &usvg::Tree, paper: Paper) -> Result<Vec<u8>, FigureError> {
    let (w, h) = paper.pixels();
    let mut map = tiny_skia::Pixmap::new(w, h)
        .ok_or_else(|| FigureError::Render(format!("no room for {w} x {h}")))?;
    let size = tree.size();
    #[expect(clippy::cast_precision_loss, reason = "a few thousand pixels")]
    let scale = tiny_skia::Transform::from_scale(w as f32 / size.width(), h as f32 / size.height());
    resvg::render(tree, scale, &mut map.as_mut());
    map.encode_png()
        .map_err(|e| FigureError::Render(e.to_string()))
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
    #[test]
    fn base64_gives_the_standard_test_vectors() {
        // Reference: RFC 4648, section 10.
        let cases = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in cases {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn the_widths_that_printed_sheets_break_lines_by_are_those_of_the_font() {
        // Reference: the bundled font as ab_glyph measures it; plotters rounds to a tenth
        // of a unit, and kerning is not in the table: 2 % on a line of text.
        use crate::card::metrics::Face;
        for (size, bold) in [(Type::Body, false), (Type::Value, true)] {
            for line in [
                "tape 25 mm out from the left lip",
                "0123456789 (0.5 %)",
                "QUARTZ jigs, WAVY folk; bench & pymx",
            ] {
                let face = Face {
                    em: size.em(),
                    bold,
                };
                let (table, drawn) = (face.width(line), size.width(line));
                assert!(
                    (table - drawn).abs() < 0.02 * drawn,
                    "{line}: {table} {drawn}"
                );
            }
        }
    }

    use super::*;

    #[test]
    fn the_width_measured_is_the_width_drawn() {
        // Reference: usvg's own layout of the same text, an independent shaper. It kerns
        // and measures ink (without side bearings): so up to 3 % or 0.2 em apart.
        register_fonts();
        for (size, weight) in [(Type::Body, 400), (Type::Title, 700)] {
            let words = "Deepest point first: 17.1\u{2009}% within −20 µm × ²";
            let em = size.em();
            let svg = format!(
                "<svg xmlns='http://www.w3.org/2000/svg' width='2000' height='100'><text x='0' y='60' \
                 font-family='{FONT}' font-weight='{weight}' font-size='{em}'>{words}</text></svg>"
            );
            let options = usvg::Options {
                fontdb: Arc::clone(fonts()),
                ..usvg::Options::default()
            };
            let tree = usvg::Tree::from_str(&svg, &options).unwrap();
            let drawn = f64::from(tree.root().abs_bounding_box().width());
            let measured = size.width(words);
            assert!(
                (measured - drawn).abs() < 0.03 * drawn + 0.2 * em,
                "{measured} against {drawn}"
            );
        }
    }

    #[test]
    fn figures_are_equally_wide() {
        register_fonts();
        for size in [Type::Title, Type::Body] {
            let one = size.width("1111111111");
            assert!((size.width("8888888888") - one).abs() < 0.2);
        }
    }

    #[test]
    fn long_names_wrap_and_long_words_are_cut() {
        register_fonts();
        let words = "rear left door lower moulding recess behind the sliding rail Aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";
        let lines = wrap(words, 300.0, Type::Body);
        assert!(lines.len() > 3);
        assert!(
            lines.iter().all(|l| Type::Body.width(l) <= 300.0),
            "{lines:?}"
        );
        assert_eq!(lines.concat().replace(' ', ""), words.replace(' ', ""));
    }

    #[test]
    fn both_fonts_together_stay_small() {
        assert!(REGULAR.len() + SEMIBOLD.len() <= 80_000);
    }
}
