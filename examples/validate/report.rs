//! The page and the JSON.

use crate::checks::{Group, Row};
use crate::picture::Picture;
use crate::range::Effect;
use crate::scans::Scanned;
use serde_json::json;
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::Path;

const STYLE: &str = "
body { font: 16px/1.45 system-ui, sans-serif; max-width: 60rem; margin: 1rem auto; padding: 0 1rem; color: #1c1e24; background: #fff; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: right; padding: 2px 8px; border-bottom: 1px solid #dcdad3; vertical-align: top; }
th:first-child, td:first-child { text-align: left; }
figure { margin: 1.5rem 0; } figure svg { width: 100%; height: auto; }
summary { cursor: pointer; font-weight: 600; padding: 6px 0; }
.out { background: #a3122a; color: #fff; }
.source { color: #4c5059; }
.scroll { overflow-x: auto; }
";

/// Text in HTML.
fn text(words: &str) -> String {
    words
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

/// A number with as many digits as it takes to tell it from another that is out.
fn number(value: f64) -> String {
    if value == 0.0 || (1e-3..1e6).contains(&value.abs()) {
        let text = format!("{value:.7}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        format!("{value:.3e}")
    }
}

/// The part of its tolerance that the worst row of a group uses.
fn worst(rows: &[Row]) -> f64 {
    let part = |row: &Row| {
        if row.tolerance > 0.0 {
            row.error().abs() / row.tolerance
        } else {
            f64::from(u8::from(!row.holds()))
        }
    };
    rows.iter().map(part).fold(0.0, f64::max)
}

fn table(group: &Group) -> String {
    let mut html = String::from(
        "<div class=\"scroll\"><table><thead><tr><th>What</th><th>Expected</th><th>Computed</th><th>Off by</th><th>May be</th><th>Unit</th></tr></thead><tbody>",
    );
    for row in &group.rows {
        let class = if row.holds() { "" } else { " class=\"out\"" };
        let _ = write!(
            html,
            "<tr{class}><td>{}</td><td>{}</td><td>{}</td><td>{:.1e}</td><td>{:.1e}</td><td>{}</td></tr>",
            text(&row.what),
            number(row.expected),
            number(row.computed),
            row.error(),
            row.tolerance,
            row.unit
        );
    }
    html + "</tbody></table></div>"
}

/// Writes both, and each picture as a file, whole or not at all.
pub(crate) fn write(
    folder: &Path,
    groups: &[Group],
    range: &[Effect],
    scans: &[Scanned],
    pictures: &[Picture],
) -> io::Result<()> {
    let rows: usize = groups.iter().map(|g| g.rows.len()).sum();
    let out: usize = groups.iter().map(|g| g.misses().len()).sum();
    let mut html = format!(
        "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>Tautspan: validation</title><style>{STYLE}</style></head><body><h1>Tautspan: how right is it?</h1><p>{rows} values of {} sources; <strong>{out} out of tolerance</strong>. Written by <code>cargo run --release --example validate</code>, version {}. Each source unfolds to its values.</p><p>Published values of inner parts run with <code>cargo test</code> alone: JCGM 101:2008, clauses 9.2.2 and 9.2.3, for the draws, and NIST StRD Misra1a for the least squares of a trial. Outside this report: the model's limits, which the README states. Film classes are invented; measure your own.</p><h2>Values</h2><div class=\"scroll\"><table><thead><tr><th>Source</th><th>Standing</th><th>Values</th><th>Out</th><th>Worst, of its tolerance</th></tr></thead><tbody>",
        groups.len(),
        env!("CARGO_PKG_VERSION")
    );
    for group in groups {
        let out = group.misses().len();
        let _ = write!(
            html,
            "<tr{}><td>{}</td><td>{}</td><td>{}</td><td>{out}</td><td>{:.0}&nbsp;%</td></tr>",
            if out > 0 { " class=\"out\"" } else { "" },
            text(group.title),
            group.standing.word(),
            group.rows.len(),
            100.0 * worst(&group.rows)
        );
    }
    html += "</tbody></table></div><h2>Pictures</h2>";
    for picture in pictures {
        let _ = write!(
            html,
            "<figure id=\"{}\"><h3>{}</h3>{}<figcaption>{}</figcaption></figure>",
            picture.name,
            text(picture.title),
            picture.svg,
            text(&picture.words)
        );
    }
    html += "<h2>All values</h2>";
    for group in groups {
        let _ = write!(
            html,
            "<details{}><summary>{}</summary><p class=\"source\">{} ({}). Tolerance: {}.</p>{}</details>",
            if group.misses().is_empty() {
                ""
            } else {
                " open"
            },
            text(group.title),
            text(group.source),
            group.standing.word(),
            text(group.tolerance),
            table(group)
        );
    }
    html += "</body></html>\n";
    let data = json!({
        "program": concat!("tautspan ", env!("CARGO_PKG_VERSION")),
        "values": rows, "out": out, "groups": groups, "range_pct": range, "scans": scans,
    });
    fs::create_dir_all(folder)?;
    for picture in pictures {
        put(&folder.join(format!("{}.svg", picture.name)), &picture.svg)?;
    }
    put(&folder.join("validation.json"), &format!("{data:#}\n"))?;
    put(&folder.join("index.html"), &html)
}

/// Puts a file in its place once it is whole.
fn put(path: &Path, content: &str) -> io::Result<()> {
    let part = path.with_extension("part");
    fs::write(&part, content)?;
    fs::rename(part, path)
}
