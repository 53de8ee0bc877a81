//! SVG read with the bundled font alone, and drawn: text as paths, and PNG.
//!
//! Text comes out as paths: the picture looks the same wherever it is opened.

use super::Opening;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, OnceLock};

pub(super) const FONT: &str = "Tautspan Sans";
static REGULAR: &[u8] = include_bytes!("font/regular.ttf");
static SEMIBOLD: &[u8] = include_bytes!("font/semibold.ttf");

/// Why a drawing could not be rendered: what usvg or resvg said.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub(crate) struct RenderError(pub(crate) String);

/// A drawing that was read back.
#[derive(Debug)]
pub(crate) struct Rendered(usvg::Tree);

impl Rendered {
    /// Reads SVG with the bundled fonts, and no others.
    pub(crate) fn read(svg: &str) -> Result<Self, RenderError> {
        static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
        let fonts = FONTS.get_or_init(|| {
            let mut db = usvg::fontdb::Database::new();
            db.load_font_data(REGULAR.to_vec());
            db.load_font_data(SEMIBOLD.to_vec());
            Arc::new(db)
        });
        let options = usvg::Options {
            font_family: FONT.to_owned(),
            fontdb: Arc::clone(fonts),
            ..usvg::Options::default()
        };
        usvg::Tree::from_str(svg, &options)
            .map(Self)
            .map_err(|e| RenderError(e.to_string()))
    }

    /// The tree, for whoever draws it elsewhere.
    #[cfg(feature = "pdf")]
    pub(super) fn tree(&self) -> &usvg::Tree {
        &self.0
    }

    /// SVG with text as paths.
    pub(crate) fn svg(&self, opening: &Opening<'_>) -> String {
        let written = self.0.to_string(&usvg::WriteOptions {
            preserve_text: false,
            coordinates_precision: 2,
            transforms_precision: 5,
            ..usvg::WriteOptions::default()
        });
        // usvg has folded the view box into its coordinates, CSS pixels.
        let size = self.0.size();
        let opening = Opening {
            view: [size.width(), size.height()].map(f64::from),
            ..opening.clone()
        };
        let body = written.split_once('>').map_or("", |(_, body)| body);
        opening.written("") + body
    }

    /// PNG of this many pixels across.
    pub(crate) fn png(&self, across: f64) -> Result<Vec<u8>, RenderError> {
        let size = self.0.size();
        let [width, height] = [size.width(), size.height()];
        #[expect(clippy::cast_possible_truncation, reason = "a few thousand pixels")]
        let scale = across as f32 / width;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "positive and a few thousand pixels"
        )]
        let [w, h] = [width, height].map(|v| (v * scale).round() as u32);
        let mut map = tiny_skia::Pixmap::new(w, h)
            .ok_or_else(|| RenderError(format!("no room for {w} x {h}")))?;
        let scale = tiny_skia::Transform::from_scale(scale, scale);
        resvg::render(&self.0, scale, &mut map.as_mut());
        map.encode_png().map_err(|e| RenderError(e.to_string()))
    }
}

/// The bundled font as `@font-face` rules with data URIs, for HTML that stands alone.
pub fn font_css() -> String {
    let face = |weight: u32, bytes: &[u8]| {
        format!(
            "@font-face {{ font-family: '{FONT}'; font-weight: {weight}; src: url(data:font/ttf;base64,{}) format('truetype'); }}\n",
            STANDARD.encode(bytes)
        )
    };
    face(400, REGULAR) + &face(600, SEMIBOLD)
}

#[cfg(test)]
mod tests {
    use super::super::Face;
    use super::*;

    /// Width of a line as usvg lays it out, an independent shaper. It kerns and measures ink,
    /// without side bearings.
    fn drawn(face: Face, words: &str) -> f64 {
        let weight = if face.bold { 600 } else { 400 };
        let svg = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='2000' height='100'><text x='0' y='60' \
             font-family='{FONT}' font-weight='{weight}' font-size='{}'>{words}</text></svg>",
            face.em
        );
        let read = Rendered::read(&svg).unwrap();
        f64::from(read.tree().root().abs_bounding_box().width())
    }

    #[test]
    fn the_widths_that_lines_are_broken_by_are_those_of_the_font() {
        // Reference: usvg's layout of the bundled font: within 3 % and 0.2 em, see `drawn`.
        for bold in [false, true] {
            for words in [
                "tape 25 mm out from the left lip",
                "0123456789 (0.5 %)",
                "QUARTZ jigs, WAVY folk; bench ; pymx",
                "level as measured: \u{2212}3.0\u{b0} off, \u{b1}0.20 mm, 12\u{d7}",
                "Deepest point first: 17.1\u{2009}% within −20 µm × ²",
            ] {
                let face = Face { em: 25.0, bold };
                let (table, drawn) = (face.width(words), drawn(face, words));
                let most = 0.03 * drawn + 0.2 * face.em;
                assert!((table - drawn).abs() < most, "{words}: {table} {drawn}");
            }
        }
    }

    #[test]
    fn figures_are_equally_wide() {
        for bold in [false, true] {
            let face = Face { em: 46.0, bold };
            assert!((face.width("8888888888") - face.width("1111111111")).abs() < 0.2);
        }
    }

    #[test]
    fn both_fonts_together_stay_small() {
        assert!(REGULAR.len() + SEMIBOLD.len() <= 80_000);
    }
}
