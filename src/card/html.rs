//! The card as one HTML file: no script, nothing fetched, black on white, one printed page.
//!
//! Parts and columns are those of the printed layout, whose size of type it takes over, so
//! that it fills one page in print too. On a narrow screen it is one column. The font is
//! the reader's own sans serif unless a style sheet (see [`Card::html_with`]) brings one.

use super::layout::{MARGIN, cut_notes, lay};
use super::model::Card;
use super::source::Row;
use crate::figure::{Face, escaped};
use crate::say::sentence;
use std::fmt::Write;

impl Card {
    /// The card as HTML, in the reader's own font.
    pub fn html(&self) -> String {
        self.html_with("")
    }

    /// The card as HTML with more CSS, such as an `@font-face` for `Tautspan Sans`.
    pub fn html_with(&self, css: &str) -> String {
        let laid = lay(self);
        let mut page = head(&self.title, &style(self, laid.size), css);
        let _ = write!(
            page,
            "<main>\n<header><h1>{}</h1><p class=\"tag\">Job card</p></header>\n<p class=\"sub\">{}</p>\n",
            escaped(&self.title),
            escaped(&self.subtitle)
        );
        if let Some(training) = &self.training {
            let _ = writeln!(page, "<p class=\"training\">{}</p>", escaped(training));
        }
        self.tasks(&mut page);
        let width = self.paper.size().0 - 2.0 * MARGIN;
        let (drawing, height) =
            self.drawing
                .draw(width, 70.0 * laid.size, Face::bold(10.0 * laid.size));
        page.push_str("<figure>");
        page.push_str(&drawing.svg((width, height), &self.drawing.words()));
        page.push_str("</figure>\n<div class=\"two\">\n");
        table(&mut page, "Numbers", &self.numbers);
        table(&mut page, "Measured", &self.measured);
        page.push_str("</div>\n<div class=\"three\">\n");
        list(&mut page, "Before", &self.before, "ticks");
        list(&mut page, "During", &self.during, "ticks");
        list(&mut page, "After", &self.after, "ticks");
        page.push_str("</div>\n<div class=\"two\">\n");
        let cautions = [
            cut_notes(&self.warnings, laid.notes.0),
            self.cautions.clone(),
        ]
        .concat();
        let limits = [
            self.limits.clone(),
            cut_notes(&self.assumptions, laid.notes.1),
        ]
        .concat();
        list(&mut page, "Cautions", &cautions, "notes");
        list(&mut page, "Limits and assumptions", &limits, "notes");
        page.push_str("</div>\n");
        self.blanks(&mut page);
        let _ = writeln!(
            page,
            "<footer>{}</footer>\n</main>\n</body>\n</html>",
            escaped(&self.program)
        );
        page
    }

    fn tasks(&self, page: &mut String) {
        page.push_str("<div class=\"three tasks\">\n");
        for (i, task) in self.tasks.iter().enumerate() {
            let kind = if task.numbered { "ol" } else { "ul" };
            let _ = write!(
                page,
                "<section><h2>{}&ensp;{}</h2><p class=\"big\">{}</p><{kind}>",
                i + 1,
                escaped(&task.name),
                escaped(&task.big)
            );
            for line in &task.lines {
                let _ = write!(page, "<li>{}</li>", escaped(line));
            }
            let _ = writeln!(page, "</{kind}></section>");
        }
        page.push_str("</div>\n");
    }

    fn blanks(&self, page: &mut String) {
        page.push_str("<div class=\"blanks\"><p class=\"readings\"><span>Post-heat readings, place and °C:</span>");
        for _ in 0..self.readings {
            page.push_str("<i></i>");
        }
        page.push_str("</p><div class=\"three\">");
        for name in &self.fields {
            let _ = write!(page, "<p><span>{}</span><i></i></p>", escaped(name));
        }
        page.push_str("</div></div>\n");
    }
}

/// Everything up to the body.
pub(crate) fn head(title: &str, style: &str, css: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n<style>\n{css}{style}</style>\n</head>\n<body>\n",
        escaped(title)
    )
}

fn table(page: &mut String, name: &str, rows: &[Row]) {
    let _ = write!(page, "<section><h3>{name}</h3><table>");
    for row in rows {
        let _ = write!(
            page,
            "<tr><th scope=\"row\">{}</th><td>{}</td></tr>",
            escaped(&row.label),
            escaped(&row.value)
        );
    }
    page.push_str("</table></section>\n");
}

fn list(page: &mut String, name: &str, items: &[String], class: &str) {
    let _ = write!(page, "<section><h3>{name}</h3><ul class=\"{class}\">");
    for item in items {
        let _ = write!(page, "<li>{}</li>", escaped(&sentence(item)));
    }
    page.push_str("</ul></section>\n");
}

fn style(card: &Card, size: f64) -> String {
    let pt = |points: f64| points * size;
    format!(
        "@page {{ size: {page}; margin: {MARGIN}mm {MARGIN}mm 8mm; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; background: #fff; color: #000; font: {body:.2}pt/1.28 'Tautspan Sans', system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }}
main {{ max-width: {width:.1}mm; margin: 0 auto; }}
h1, h2, h3, p, ul, ol, figure {{ margin: 0; padding: 0; }}
h1 {{ font-size: {h1:.2}pt; font-weight: 600; }}
h2, h3 {{ font-size: {h3:.2}pt; font-weight: 600; }}
h3 {{ border-top: 0.3mm solid #000; padding-top: 0.4mm; }}
header {{ display: flex; justify-content: space-between; gap: 8mm; align-items: baseline; }}
.tag {{ font-size: {tag:.2}pt; font-weight: 600; white-space: nowrap; }}
.sub {{ font-size: {h3:.2}pt; }}
.training {{ border: 0.4mm solid #000; padding: 0.6mm 2.5mm; margin: 1.2mm 0 0; font-weight: 600; }}
.two, .three {{ display: grid; gap: 0 5mm; grid-template-columns: repeat(2, minmax(0, 1fr)); margin-top: 1.6mm; }}
.three {{ grid-template-columns: repeat(3, minmax(0, 1fr)); }}
.tasks {{ border-top: 0.8mm solid #000; padding-top: 1mm; font-size: {line:.2}pt; }}
.big {{ font-size: {big:.2}pt; line-height: 1.2; font-weight: 600; }}
.tasks ul, .ticks, .notes {{ list-style: none; }}
.tasks ol {{ padding-left: 1.5em; }}
.ticks li, .notes li {{ position: relative; padding-left: 1.35em; }}
.ticks li::before {{ content: ''; position: absolute; left: 0; top: 0.28em; width: 0.72em; height: 0.72em; border: 0.25mm solid #000; }}
.notes li::before {{ content: '–'; position: absolute; left: 0; }}
figure svg {{ display: block; width: 100%; height: auto; margin-top: 1.5mm; }}
table {{ border-collapse: collapse; width: 100%; }}
th {{ text-align: left; font-weight: 400; padding: 0; vertical-align: top; }}
td {{ text-align: right; font-weight: 600; padding: 0; vertical-align: top; }}
.blanks {{ border-top: 0.3mm solid #000; margin-top: 1.6mm; }}
.blanks p {{ display: flex; gap: 1.5mm; align-items: end; height: 2em; }}
.blanks i {{ flex: 1; border-bottom: 0.25mm solid #000; }}
.blanks .readings i {{ margin-right: 1.5mm; }}
.blanks .three {{ margin: 0; }}
footer {{ font-size: 7pt; margin-top: 1mm; }}
@media screen {{ main {{ padding: 4mm; max-width: {screen:.1}mm; }} }}
@media screen and (max-width: 45em) {{ body {{ font-size: 16px; }} .two, .three {{ grid-template-columns: minmax(0, 1fr); }} .blanks p.readings {{ flex-wrap: wrap; height: auto; }} .blanks .readings i {{ height: 2em; min-width: 3em; }} h2, h3, .tasks, .sub, .tag {{ font-size: 1.1rem; }} .big {{ font-size: 1.7rem; }} h1 {{ font-size: 1.5rem; }} section {{ margin-top: 0.7em; }} footer {{ font-size: 0.8rem; }} }}
",
        page = card.paper.name(),
        body = pt(9.5),
        width = card.paper.size().0 - 2.0 * MARGIN,
        screen = card.paper.size().0 - 2.0 * MARGIN + 8.0,
        h1 = pt(17.0),
        h3 = pt(10.5),
        tag = pt(11.0),
        line = pt(11.0),
        big = pt(18.0),
    )
}
