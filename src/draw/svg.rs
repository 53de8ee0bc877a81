//! A scene as SVG: the one writer for files, for PNG and PDF made of them, and for the page.

use super::scene::{BAND, INK, Mark, PANEL, Pen, READING, Rgb, Scene, Side, Text, WHITE};
use super::{Pt, escaped};
use std::fmt::Write;

/// Whose colours and type a drawing has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Style {
    /// Its own; numbers to a thousandth of its unit.
    Own,
    /// The page's: variables and classes of its style sheet, so that it is light or dark with
    /// the page; numbers to a tenth of a unit, finer than any screen.
    Page,
}

impl Style {
    fn number(self, v: f64) -> String {
        let text = match self {
            Self::Own => format!("{v:.3}"),
            Self::Page => format!("{v:.1}"),
        };
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }

    fn hue(self, colour: Rgb) -> String {
        let [r, g, b] = colour;
        let name = match (self, colour) {
            (Self::Page, INK) => "ink",
            (Self::Page, PANEL) => "panel",
            (Self::Page, BAND) => "grid",
            (Self::Page, WHITE) => "sheet",
            (Self::Page, READING) => "reading",
            _ => return format!("#{r:02x}{g:02x}{b:02x}"),
        };
        format!("var(--{name})")
    }

    /// A path's data through points.
    fn path(self, points: &[Pt]) -> String {
        let step = |(i, [x, y]): (usize, &Pt)| {
            let letter = if i == 0 { 'M' } else { 'L' };
            format!("{letter}{} {}", self.number(*x), self.number(*y))
        };
        points.iter().enumerate().map(step).collect()
    }

    fn line(self, points: &[Pt], pen: &Pen) -> String {
        let lengths: Vec<String> = pen.dash.iter().map(|&v| self.number(v)).collect();
        let dash = if lengths.is_empty() {
            String::new()
        } else {
            format!(" stroke-dasharray=\"{}\"", lengths.join(" "))
        };
        format!(
            "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{dash}/>",
            self.path(points),
            self.hue(pen.colour),
            self.number(pen.width)
        )
    }

    fn text(self, text: &Text) -> String {
        let anchor = match text.side {
            Side::Left => "start",
            Side::Centre => "middle",
            Side::Right => "end",
        };
        let looks = match (self, text.face.bold) {
            (Self::Page, false) => String::new(),
            (Self::Page, true) => " class=\"strong\"".to_owned(),
            (Self::Own, bold) => format!(
                " fill=\"{}\" font-size=\"{}\" font-weight=\"{}\"",
                self.hue(text.colour),
                self.number(text.face.em),
                if bold { 600 } else { 400 }
            ),
        };
        format!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\"{looks}>{}</text>",
            self.number(text.at[0]),
            self.number(text.at[1]),
            escaped(&text.words)
        )
    }
}

/// What stands around the marks: size, name and the answer in words.
#[derive(Debug, Clone, Default)]
pub(crate) struct Opening<'a> {
    /// Width and height as stated; `None` is as wide as there is room.
    pub(crate) stated: Option<[String; 2]>,
    /// Its ids begin with it, so that what it is called can be read out; may be empty.
    pub(crate) name: &'a str,
    /// Width and height in units of the drawing.
    pub(crate) view: [f64; 2],
    /// The answer.
    pub(crate) title: &'a str,
    /// The picture in words; may be empty.
    pub(crate) described: &'a str,
}

impl Opening<'_> {
    /// The opening tag with more attributes, title and description.
    pub(super) fn written(&self, more: &str) -> String {
        let [w, h] = self.view.map(|v| Style::Own.number(v));
        let stated = self.stated.as_ref().map_or_else(String::new, |[w, h]| {
            format!(" xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\"")
        });
        let id = |part: &str| match self.name {
            "" => String::new(),
            name => format!(" id=\"{name}-{part}\""),
        };
        let labelled = match self.name {
            "" => String::new(),
            name => format!(" aria-labelledby=\"{name}-title {name}-desc\""),
        };
        let described = if self.described.is_empty() {
            String::new()
        } else {
            format!("<desc{}>{}</desc>\n", id("desc"), escaped(self.described))
        };
        format!(
            "<svg{stated} viewBox=\"0 0 {w} {h}\" role=\"img\"{labelled} stroke-linejoin=\"round\"{more}>\n<title{}>{}</title>\n{described}",
            id("title"),
            escaped(self.title)
        )
    }
}

impl Scene {
    /// The drawing as SVG.
    pub(crate) fn svg(&self, opening: &Opening<'_>, style: Style) -> String {
        let mut out = opening.written(match style {
            Style::Own => " font-family=\"'Tautspan Sans', sans-serif\"",
            Style::Page => "",
        });
        self.write(&mut out, style);
        out.push_str("</svg>");
        out
    }

    fn write(&self, out: &mut String, style: Style) {
        let n = |v: f64| style.number(v);
        let mut marks = self.marks.iter().peekable();
        while let Some(mark) = marks.next() {
            match mark {
                Mark::Fill(outline, colour) => {
                    let (d, fill) = (style.path(outline), style.hue(*colour));
                    let _ = writeln!(out, "<path d=\"{d}Z\" fill=\"{fill}\"/>");
                }
                Mark::Stroke(points, pen) => {
                    let _ = writeln!(out, "{}", style.line(points, pen));
                }
                // Dots alike are one path: a scan has thousands. Some readers of PDF draw no line
                // of no length.
                Mark::Dot(at, colour, radius) => {
                    let dot = |[x, y]: Pt| format!("M{} {}h.01", n(x), n(y));
                    let mut d = dot(*at);
                    let alike = |next: &&Mark| matches!(next, Mark::Dot(_, c, r) if c == colour && r.total_cmp(radius).is_eq());
                    while let Some(Mark::Dot(at, ..)) = marks.next_if(alike) {
                        d.push_str(&dot(*at));
                    }
                    let _ = writeln!(
                        out,
                        "<path d=\"{d}\" stroke=\"{}\" stroke-width=\"{}\" stroke-linecap=\"round\"/>",
                        style.hue(*colour),
                        n(2.0 * radius)
                    );
                }
                Mark::Text(text) => {
                    let _ = writeln!(out, "{}", style.text(text));
                }
                Mark::Part(part, [x, y], scale, None) => {
                    let _ = writeln!(
                        out,
                        "<g transform=\"translate({} {}) scale({scale})\">",
                        n(*x),
                        n(*y)
                    );
                    part.write(out, style);
                    out.push_str("</g>\n");
                }
                Mark::Part(part, [x, y], scale, Some(window)) => {
                    let size = [window.width(), window.height()];
                    let _ = writeln!(
                        out,
                        "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"{} {} {} {}\">",
                        n(*x),
                        n(*y),
                        n(scale * size[0]),
                        n(scale * size[1]),
                        n(window.left),
                        n(window.top),
                        n(size[0]),
                        n(size[1])
                    );
                    part.write(out, style);
                    out.push_str("</svg>\n");
                }
            }
        }
    }
}
