//! From a display list to SVG and PNG, over plotters' SVG backend.
//!
//! plotters draws on whole numbers, so everything is drawn ten times too large and the
//! size is put right in the header. Text goes through usvg with the bundled font alone
//! and comes out as paths: the picture looks the same wherever it is opened.

use super::canvas::{Canvas, INK, Mark, Rgb, Side, Text, Type};
use super::escape::escaped;
use super::paper::{FigureError, Look, Paper, Picture};
use super::place::Pt;
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
pub(crate) const FONT: &str = "Tautspan Sans";
static REGULAR: &[u8] = include_bytes!("font/regular.ttf");
static SEMIBOLD: &[u8] = include_bytes!("font/semibold.ttf");

/// Weight of a type size.
fn style(size: Type) -> FontStyle {
    if size == Type::Body {
        FontStyle::Normal
    } else {
        FontStyle::Bold
    }
}

impl Canvas {
    pub(super) fn new(look: Look) -> Self {
        let (width, height) = look.paper.units();
        Self::sized(width, height, look.voice())
    }

    /// Renders the picture, with the answer in words for those who cannot see it.
    pub(super) fn finish(
        self,
        paper: Paper,
        title: &str,
        described: &str,
    ) -> Result<Picture, FigureError> {
        let [width, height] = [self.width, self.height].map(|v| paper.stated(v));
        let size = (width.as_str(), height.as_str());
        let tree = self.tree(size)?;
        let across = paper.pixels();
        let png = rasterize(&tree, [across, across * self.height / self.width])?;
        let written = (paper.written(self.width), paper.written(self.height));
        let svg = with_words(&written_out(&tree), size, written, title, described);
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
        register_fonts();
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
    let style = FontDesc::new(FontFamily::Name(FONT), em * LINE * FINE, style(text.size))
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

fn rasterize(tree: &usvg::Tree, size: [f64; 2]) -> Result<Vec<u8>, FigureError> {
    let [w, h] = size.map(|v| pixels(v / FINE));
    let mut map = tiny_skia::Pixmap::new(w, h)
        .ok_or_else(|| FigureError::Render(format!("no room for {w} x {h}")))?;
    let size = tree.size();
    #[expect(clippy::cast_precision_loss, reason = "a few thousand pixels")]
    let scale = tiny_skia::Transform::from_scale(w as f32 / size.width(), h as f32 / size.height());
    resvg::render(tree, scale, &mut map.as_mut());
    map.encode_png()
        .map_err(|e| FigureError::Render(e.to_string()))
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
    fn the_widths_that_lines_are_broken_by_are_those_of_the_font() {
        // Reference: the bundled font as ab_glyph measures it; plotters rounds to a tenth
        // of a unit, and kerning is not in the table: 2 % on a line of text.
        register_fonts();
        for size in [Type::Body, Type::Value] {
            for line in [
                "tape 25 mm out from the left lip",
                "0123456789 (0.5 %)",
                "QUARTZ jigs, WAVY folk; bench & pymx",
                "level as measured: \u{2212}3.0\u{b0} off, \u{b1}0.20 mm, 12\u{d7}",
            ] {
                let em = size.em() * LINE * FINE;
                let font = FontDesc::new(FontFamily::Name(FONT), em, style(size));
                let ((left, _), (right, _)) = font.layout_box(line).unwrap();
                let (table, drawn) = (size.width(line), f64::from(right - left) / FINE);
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
        for size in [Type::Title, Type::Body] {
            let one = size.width("1111111111");
            assert!((size.width("8888888888") - one).abs() < 0.2);
        }
    }

    #[test]
    fn both_fonts_together_stay_small() {
        assert!(REGULAR.len() + SEMIBOLD.len() <= 80_000);
    }
}
