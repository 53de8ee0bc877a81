//! Film classes and tools of one's own: numbers with their sources, written to a TOML file.

use super::named;
use anyhow::{Context, Result, anyhow, bail};
use std::path::Path;
use tautspan::film::film_toml;
use tautspan::say::Say;
use toml_edit::{DocumentMut, InlineTable, Item, value};

/// A number to be written.
pub(crate) struct Change {
    pub(crate) key: &'static str,
    pub(crate) value: f64,
    pub(crate) source: String,
}

/// The name of a class in a file of this name.
pub(crate) fn name_of(path: &Path) -> Result<String> {
    let stem = path
        .file_stem()
        .and_then(|s| s.to_str())
        .unwrap_or_default();
    let name: String = stem
        .to_ascii_lowercase()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    let name = name.trim_matches('-').to_owned();
    if name.is_empty() || path.extension().is_none_or(|e| e != "toml") {
        bail!(
            "found `{}`, expected the name of a TOML file, as in `my-wrap.toml`",
            path.display()
        );
    }
    Ok(name)
}

/// A number beside its source.
pub(crate) fn number(number: f64, source: &str) -> Item {
    let mut table = InlineTable::new();
    table.insert("value", number.into());
    table.insert("source", source.into());
    value(table)
}

/// A text of the catalogue without the comment that it begins with.
pub(crate) fn bare(text: &str) -> String {
    let lines = text.lines().skip_while(|line| line.starts_with('#'));
    lines.map(|line| format!("{line}\n")).collect()
}

/// A film class of the catalogue or of a file with numbers changed, under the name of the file
/// it is to be written to; comments and all else stay.
pub(crate) fn changed(film: &str, path: &Path, changes: &[Change]) -> Result<String> {
    let text = match film_toml(film) {
        Some(text) => format!(
            "# {}, from the class {film} of the catalogue: what is invented there still is here.\n{}",
            name_of(path)?,
            bare(text)
        ),
        None => String::from_utf8(named::read_file(Path::new(film))?)?,
    };
    let mut document: DocumentMut = text.parse().context("the class is no TOML")?;
    let folder = |of: &Path| of.parent().map(Path::to_owned).unwrap_or_default();
    if document.contains_key("tensile_csv") && folder(Path::new(film)) != folder(path) {
        bail!(
            "`{}` would lie in another folder than `{film}`, whose `tensile_csv` is named from there\n\nhint: write it beside `{film}`",
            path.display()
        );
    }
    document["name"] = value(name_of(path)?);
    for change in changes {
        document[change.key] = number(change.value, &change.source);
    }
    let text = document.to_string();
    let name = path.display().to_string();
    tautspan::film::parse_film(&name, &text)
        .map_err(|refused| anyhow!("{}", refused.said(tautspan::say::Voice::PLAIN)))?;
    Ok(text)
}

/// The numbers of a written class that decide and are invented still.
pub(crate) fn still_invented(path: &Path) -> Result<Vec<String>> {
    let film = named::film(&path.display().to_string())?;
    let all = film.invented_deciding().into_iter().map(|number| {
        let number = tautspan::advice::Invented::Film {
            film: film.name.clone(),
            number,
        };
        number.say(tautspan::say::Voice::PLAIN)
    });
    Ok(all.collect())
}
