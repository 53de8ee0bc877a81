//! A picture within the page: SVG whose colours are the page's own, light or dark, and whose
//! text is in its font.
//!
//! The page gives the width in ems of its text; a unit of the picture is a twenty-fifth of
//! an em, so that the body text is as large as the page's. Title and note are left to the
//! page, which sets them as paragraphs.

use super::canvas::{BAND, Canvas, INK, Mark, PANEL, Rgb, Side, Text, Type, WHITE};
use super::escape::escaped;
use super::place::Pt;
use super::reading;
use super::reading_words as said;
use super::sight::Sight;
use super::view::READING;
use crate::say::{Voice, sentence};
use crate::section::{Recess, Units};
use std::fmt::Write;

/// Narrowest and widest picture, ems. Narrower: its labels have no room; wider: nobody asks.
const WIDTH: [f64; 2] = [16.0, 120.0];
/// Width below which only the recess is seen, ems: that of a phone held upright. Narrower:
/// labels of a long survey crowd; wider: less of it is seen than there is room for.
const NARROW: f64 = 32.0;
/// Tallest picture, ems: section and strip together on one screen of a laptop.
const TALLEST: f64 = 28.0;

/// A picture for the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Inline {
    /// The answer.
    pub(crate) title: String,
    /// What its marks are.
    pub(crate) note: String,
    /// The drawing, with title and description.
    pub(crate) svg: String,
}

/// Draws raw against read, `width` ems wide.
pub(crate) fn inline_reading(recess: &Recess, width: f64) -> Inline {
    let voice = Voice::picture(Units::Mm);
    let sight = if width < NARROW {
        Sight::near(recess)
    } else {
        Sight::of(recess)
    };
    let em = Type::Body.em();
    let size = [width.clamp(WIDTH[0], WIDTH[1]) * em, TALLEST * em];
    let canvas = reading::draw_alone(recess, &sight, voice, size);
    let title = said::answer(recess, voice);
    let svg = svg(&canvas, "read", &title, &said::described(recess, voice));
    Inline {
        title,
        note: format!(
            "{}. {}",
            sentence(&said::second_line(recess, &sight, voice)),
            said::note(recess, &sight, voice)
        ),
        svg,
    }
}

/// The drawing as SVG; `name` makes the ids of its title and description.
fn svg(canvas: &Canvas, name: &str, title: &str, described: &str) -> String {
    let mut out = format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"{name}-title {name}-desc\" \
         stroke-linejoin=\"round\"><title id=\"{name}-title\">{}</title><desc id=\"{name}-desc\">{}</desc>",
        number(canvas.width),
        number(canvas.height),
        escaped(title),
        escaped(described)
    );
    let mut marks = canvas.marks.iter().peekable();
    while let Some(mark) = marks.next() {
        match mark {
            Mark::Fill(points, colour) => {
                let (d, fill) = (path(points), hue(*colour));
                push(&mut out, format_args!("<path d=\"{d}Z\" fill=\"{fill}\"/>"));
            }
            Mark::Stroke(points, colour, width) => {
                let (d, stroke, width) = (path(points), hue(*colour), number(*width));
                push(
                    &mut out,
                    format_args!(
                        "<path d=\"{d}\" fill=\"none\" stroke=\"{stroke}\" stroke-width=\"{width}\"/>"
                    ),
                );
            }
            // Dots alike are one path: a scan has thousands.
            Mark::Dot(at, colour, radius) => {
                let mut d = dot(*at);
                let alike = |next: &&Mark| matches!(next, Mark::Dot(_, c, r) if c == colour && r.total_cmp(radius).is_eq());
                while let Some(Mark::Dot(at, ..)) = marks.next_if(alike) {
                    d.push_str(&dot(*at));
                }
                let (stroke, width) = (hue(*colour), number(2.0 * radius));
                push(
                    &mut out,
                    format_args!(
                        "<path d=\"{d}\" stroke=\"{stroke}\" stroke-width=\"{width}\" stroke-linecap=\"round\"/>"
                    ),
                );
            }
            Mark::Text(text) => push(&mut out, format_args!("{}", written(text))),
        }
    }
    out.push_str("</svg>");
    out
}

/// Adds to a text, which cannot fail.
fn push(out: &mut String, words: std::fmt::Arguments<'_>) {
    let _ = out.write_fmt(words);
}

fn written(text: &Text) -> String {
    let anchor = match text.side {
        Side::Left => "start",
        Side::Centre => "middle",
        Side::Right => "end",
    };
    let kind = if text.size == Type::Body {
        ""
    } else {
        "strong"
    };
    format!(
        "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" class=\"{kind}\">{}</text>",
        number(text.at[0]),
        number(text.at[1]),
        escaped(&text.words)
    )
}

/// A colour as the page names it.
fn hue(colour: Rgb) -> String {
    let name = match colour {
        INK => "ink",
        PANEL => "panel",
        BAND => "grid",
        WHITE => "sheet",
        READING => "reading",
        [r, g, b] => return format!("rgb({r},{g},{b})"),
    };
    format!("var(--{name})")
}

fn path(points: &[Pt]) -> String {
    let mut d = String::new();
    for (i, [x, y]) in points.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        push(
            &mut d,
            format_args!("{letter}{} {}", number(*x), number(*y)),
        );
    }
    d
}

fn dot([x, y]: Pt) -> String {
    format!("M{} {}h0", number(x), number(y))
}

/// A tenth of a unit is finer than any screen.
fn number(v: f64) -> String {
    let text = format!("{v:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}
