//! A page as one HTML file: no script, nothing fetched, black on white, one printed page.
//!
//! Parts and columns are those of the printed page, whose size of type it takes over, so
//! that it fills one page in print too. On a narrow screen it is one column. The font is
//! the reader's own sans serif unless a style sheet brings one.

use super::leaf::{Block, Bullet, Grid, Type};
use super::print::{MARGIN, SECTION, points};
use super::source::Row;
use crate::draw::{Face, PaperSize, escaped};
use std::fmt::Write;

/// Writes parts, and a line at their foot, as a file; `css` is more of it.
pub(crate) fn written(
    title: &str,
    blocks: &[Block<'_>],
    paper: PaperSize,
    size: f64,
    foot: &str,
    css: &str,
) -> String {
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n<style>\n{css}{}</style>\n</head>\n<body>\n<main>\n",
        escaped(title),
        style(paper, size)
    );
    let width = paper.size()[0] - 2.0 * MARGIN;
    for block in blocks {
        write_block(&mut page, block, width, size);
    }
    let _ = write!(
        page,
        "<footer>{}</footer>\n</main>\n</body>\n</html>\n",
        escaped(foot)
    );
    page
}

fn write_block(page: &mut String, block: &Block<'_>, width: f64, size: f64) {
    let _ = match block {
        Block::Title(title, tag) => writeln!(
            page,
            "<header><h1>{}</h1><p class=\"tag\">{tag}</p></header>",
            escaped(title)
        ),
        Block::Text(kind, words) => {
            let (open, close) = match kind {
                Type::Big => ("p class=\"big\"", "p"),
                Type::Name => ("h2", "h2"),
                Type::Sub => ("p class=\"sub\"", "p"),
                Type::Body => ("p", "p"),
            };
            writeln!(page, "<{open}>{}</{close}>", escaped(words))
        }
        Block::Framed(words) => writeln!(page, "<p class=\"framed\">{}</p>", escaped(words)),
        Block::Bar => writeln!(page, "<hr>"),
        Block::Heading(words) => writeln!(page, "<h3>{}</h3>", escaped(words)),
        Block::List(bullet, items) => {
            let (open, close) = match bullet {
                Bullet::Number => ("ol", "ol"),
                Bullet::None => ("ul class=\"plain\"", "ul"),
                Bullet::Box => ("ul class=\"ticks\"", "ul"),
                Bullet::Dash => ("ul class=\"notes\"", "ul"),
            };
            let lines: String = items
                .iter()
                .map(|item| format!("<li>{}</li>", escaped(item)))
                .collect();
            writeln!(page, "<{open}>{lines}</{close}>")
        }
        Block::Rows(rows) => writeln!(page, "{}", table(rows)),
        Block::Columns(parts, columns) => {
            // By class: where the page shows it, no style may stand at an element.
            let uneven = if parts.len() > 1 { " uneven" } else { "" };
            let _ = writeln!(page, "<div class=\"columns{uneven}\">");
            for column in columns {
                page.push_str("<section>\n");
                for block in column {
                    write_block(page, block, width, size);
                }
                page.push_str("</section>\n");
            }
            writeln!(page, "</div>")
        }
        Block::Section(section) => {
            let face = Face::bold(points::DRAWING * size);
            let (drawing, height) = section.draw(width, SECTION * size, face);
            let svg = drawing.in_mm([width, height], &section.words());
            writeln!(page, "<figure>{svg}</figure>")
        }
        #[cfg(feature = "pdf")]
        Block::Picture(drawing, _) => {
            // As wide as there is room: the height is for paper.
            writeln!(page, "<figure>{}</figure>", drawing.svg())
        }
        Block::Grid(cells, _) => writeln!(page, "{}", grid(cells)),
        Block::Blanks(label, count, names) => {
            let names: String = names
                .iter()
                .map(|name| format!("<p><span>{}</span><i></i></p>", escaped(name)))
                .collect();
            writeln!(
                page,
                "<div class=\"blanks\"><p class=\"readings\"><span>{label}</span>{}</p><div class=\"three\">{names}</div></div>",
                "<i></i>".repeat(*count)
            )
        }
    };
}

fn table(rows: &[Row]) -> String {
    let row = |row: &Row| {
        let (label, value) = (escaped(&row.label), escaped(&row.value));
        format!("<tr><th scope=\"row\">{label}</th><td>{value}</td></tr>")
    };
    let rows: String = rows.iter().map(row).collect();
    format!("<table>{rows}</table>")
}

fn grid(grid: &Grid) -> String {
    let heads: String = grid
        .heads
        .iter()
        .map(|head| format!("<th scope=\"col\">{}</th>", escaped(head)))
        .collect();
    let cell = |(words, number): &(String, bool)| {
        let class = if *number { "" } else { " class=\"word\"" };
        format!("<td{class}>{}</td>", escaped(words))
    };
    let row = |(name, cells): &(String, Vec<(String, bool)>)| {
        let cells: String = cells.iter().map(cell).collect();
        format!("<tr><th scope=\"row\">{}</th>{cells}</tr>\n", escaped(name))
    };
    let rows: String = grid.rows.iter().map(row).collect();
    // Long words in many columns: in print as small as the printed page has them.
    let longest = (grid.rows.iter().flat_map(|r| &r.1))
        .map(|c| c.0.chars().count())
        .max();
    let letters = longest.unwrap_or(0) * grid.heads.len();
    let fine = if letters > 60 { " fine" } else { "" };
    format!(
        "<div class=\"grid{fine}\"><table><caption>{}</caption><tr>{heads}</tr>\n{rows}</table></div>",
        escaped(&grid.caption)
    )
}

fn style(paper: PaperSize, size: f64) -> String {
    let pt = |points: f64| format!("{:.2}pt", points * size);
    let width = paper.size()[0] - 2.0 * MARGIN;
    format!(
        "@page {{ size: {page}; margin: {MARGIN}mm {MARGIN}mm 8mm; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; background: #fff; color: #000; font: {body}/1.28 'Tautspan Sans', system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }}
main {{ max-width: {width:.1}mm; margin: 0 auto; }}
h1, h2, h3, p, ul, ol, figure, hr {{ margin: 0; padding: 0; }}
h1 {{ font-size: {title}; font-weight: 600; }}
h2, h3 {{ font-size: {name}; font-weight: 600; }}
h3 {{ border-top: 0.3mm solid #000; padding-top: 0.4mm; }}
hr {{ border: 0; border-top: 0.8mm solid #000; margin-top: 1.6mm; }}
header {{ display: flex; justify-content: space-between; gap: 8mm; align-items: baseline; }}
.tag {{ font-size: {tag}; font-weight: 600; white-space: nowrap; }}
.sub {{ font-size: {name}; }}
.framed {{ border: 0.4mm solid #000; padding: 0.6mm 2.5mm; margin: 1.2mm 0 0; font-weight: 600; }}
.columns {{ display: grid; gap: 0 5mm; grid-auto-flow: column; grid-auto-columns: minmax(0, 1fr); margin-top: 1.6mm; }}
.uneven {{ grid-template-columns: minmax(0, 8fr) minmax(0, 3fr); }}
hr + .columns {{ margin-top: 1mm; }}
.big {{ font-size: {big}; line-height: 1.2; font-weight: 600; }}
ul {{ list-style: none; }}
ol, .plain {{ font-size: {task}; }}
ol {{ padding-left: 1.5em; }}
.ticks li, .notes li {{ position: relative; padding-left: 1.35em; }}
.ticks li::before {{ content: ''; position: absolute; left: 0; top: 0.28em; width: 0.72em; height: 0.72em; border: 0.25mm solid #000; }}
.notes li::before {{ content: '–'; position: absolute; left: 0; }}
figure svg {{ display: block; width: 100%; height: auto; margin-top: 1.5mm; }}
table {{ border-collapse: collapse; width: 100%; }}
caption {{ text-align: left; }}
th {{ text-align: left; font-weight: 400; padding: 0; vertical-align: top; }}
td {{ text-align: right; font-weight: 600; padding: 0; vertical-align: top; }}
.grid {{ overflow-x: auto; margin-bottom: 2mm; }}
.grid th, .grid td {{ border: 0.2mm solid #000; text-align: center; padding: 1.4mm 0.5mm; }}
.grid td {{ font-size: 11pt; white-space: nowrap; }} .grid td.word {{ font-weight: 400; font-size: 9pt; }}
@media print {{ .grid {{ overflow: visible; }} .fine th, .fine td {{ font-size: 6.5pt; }} }}
.blanks {{ border-top: 0.3mm solid #000; margin-top: 1.6mm; }}
.blanks p {{ display: flex; gap: 1.5mm; align-items: end; height: 2em; }}
.blanks i {{ flex: 1; border-bottom: 0.25mm solid #000; }}
.blanks .readings i {{ margin-right: 1.5mm; }}
.three {{ display: grid; gap: 0 5mm; grid-template-columns: repeat(3, minmax(0, 1fr)); }}
footer {{ font-size: 7pt; margin-top: 1mm; }}
@media screen {{ main {{ padding: 4mm; max-width: {screen:.1}mm; }} }}
@media screen and (max-width: 45em) {{ body {{ font-size: 16px; }} .columns {{ grid-auto-flow: row; }} .uneven, .three {{ grid-template-columns: minmax(0, 1fr); }} .blanks p.readings {{ flex-wrap: wrap; height: auto; }} .blanks .readings i {{ height: 2em; min-width: 3em; }} h2, h3, ol, .plain, .sub, .tag {{ font-size: 1.1rem; }} .big {{ font-size: 1.7rem; }} h1 {{ font-size: 1.5rem; }} section {{ margin-top: 0.7em; }} footer {{ font-size: 0.8rem; }} }}
",
        page = paper.name(),
        body = pt(points::BODY),
        screen = width + 8.0,
        title = pt(points::TITLE),
        name = pt(points::NAME),
        tag = pt(points::TAG),
        task = pt(points::TASK),
        big = pt(points::BIG),
    )
}
