//! Film classes and tools of one's own: numbers with their sources, written to a TOML file.

use super::files::{Draft, write_noted};
use super::{named, note};
use anyhow::{Context, Result, anyhow, bail};
use std::path::Path;
use tautspan::advice::Setting;
use tautspan::evidence::trial::Limit;
use tautspan::film::film_toml;
use tautspan::say::{Say, Voice};
use toml_edit::{DocumentMut, InlineTable, Item, value};

/// A number to be written.
#[derive(Debug)]
pub(crate) struct Change {
    pub(crate) key: &'static str,
    pub(crate) value: f64,
    pub(crate) source: String,
}

/// The numbers to write, with their sources, and what is left as it was.
#[derive(Debug, Default)]
pub(super) struct Written {
    pub(super) changes: Vec<Change>,
    pub(super) left: Vec<String>,
}

impl Written {
    /// A limit that was bracketed, down to a tenth: the safe way.
    pub(super) fn limit(&mut self, key: &'static str, limit: &Limit, of: &str, voice: Voice) {
        match limit.limit_pct {
            Some(pct) => self.changes.push(Change {
                key,
                value: (10.0 * pct).floor() / 10.0,
                source: format!("{of}: {}", voice.bracket(limit)[0]),
            }),
            None => {
                let left = format!("{key} is left as it was: every piece failed");
                self.left.push(left);
            }
        }
    }

    /// Writes the film class of a question to a file, where one is named.
    pub(super) fn save(&self, setting: &Setting, path: Option<&Path>, force: bool) -> Result<()> {
        let Some(path) = path else {
            return Ok(());
        };
        if self.changes.is_empty() {
            bail!(
                "nothing was written: the trial tells no number\n\nhint: `--design` says what would"
            );
        }
        let film = setting.question.film.as_deref().unwrap_or_default();
        let toml = changed(film, path, &self.changes)?;
        write_noted(&[Draft::new(path.to_owned(), toml)], force)?;
        self.left.iter().for_each(|words| note(words));
        let still = still_invented(path)?;
        if !still.is_empty() {
            note(&format!("still invented in it: {}", still.join(", ")));
        }
        Ok(())
    }
}

/// What is bracketed, a line each, the first with its title.
pub(super) fn bracketed(title: &str, said: &[String]) -> String {
    let title = |i: usize| if i == 0 { title } else { "" };
    let lines = said.iter().enumerate();
    lines
        .map(|(i, words)| format!("  {:<12}{words}\n", title(i)))
        .collect()
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
        .map_err(|refused| anyhow!("{}", refused.said(Voice::PLAIN)))?;
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
        number.say(Voice::PLAIN)
    });
    Ok(all.collect())
}
