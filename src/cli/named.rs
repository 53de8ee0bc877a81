//! What names in a question stand for: the catalogue, or files.

use anyhow::{Context, Result, anyhow, bail};
use std::io::{ErrorKind, Read};
use std::path::Path;
use tautspan::advice::{Names, OrderChoice, QuestionError, Setting};
use tautspan::film::{TensileCurve, film_names, parse_film, parse_tool, tool_names};
use tautspan::laydown::Steps;
use tautspan::say::Voice;
use tautspan::section::Typing;
use tautspan::{FilmClass, Question, Section, Tool, Units};

/// A path as a question holds it.
pub(crate) fn path_text(path: &Path) -> Result<String> {
    path.to_str().map(str::to_owned).ok_or_else(|| {
        anyhow!(
            "`{}` is no UTF-8, but such a path was expected\n\nhint: rename the file",
            path.display()
        )
    })
}

/// Most bytes of a file that are read: a million points with room to spare.
const MOST_BYTES: u64 = 256 << 20;

/// Reads a file, unless it has no end.
pub(crate) fn read_file(path: &Path) -> Result<Vec<u8>> {
    let failed = || format!("`{}` could not be read", path.display());
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path)
        .map_err(|e| match e.kind() {
            ErrorKind::NotFound => anyhow!(
                "no such file, but one was expected\n\nhint: is the path right? `tautspan demo` writes recesses to try"
            ),
            _ => e.into(),
        })
        .with_context(failed)?;
    file.take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .with_context(failed)?;
    if bytes.len() as u64 > MOST_BYTES {
        bail!(
            "`{}` is larger than 256 MiB, which no section or class is\n\nhint: is it the right file?",
            path.display()
        );
    }
    Ok(bytes)
}

/// Is the name meant as a file?
pub(crate) fn is_file(name: &str) -> bool {
    Path::new(name).exists() || name.contains(['/', '\\']) || name.ends_with(".toml")
}

/// The text of a file that a question names.
fn text_of(path: &Path) -> Result<String, QuestionError> {
    let bytes = read_file(path).map_err(unread)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A film class by name or file.
pub(crate) fn film(name: &str) -> Result<FilmClass, QuestionError> {
    match tautspan::film_named(name) {
        Some(class) => Ok(class),
        None if is_file(name) => Ok(parse_film(name, &text_of(Path::new(name))?)?),
        None => Err(unknown("film class", name, &film_names())),
    }
}

/// A tool by name or file.
pub(crate) fn tool(name: &str) -> Result<Tool, QuestionError> {
    match tautspan::tool_named(name) {
        Some(tool) => Ok(tool),
        None if is_file(name) => Ok(parse_tool(name, &text_of(Path::new(name))?)?),
        None => Err(unknown("tool", name, &tool_names())),
    }
}

fn unknown(what: &'static str, name: &str, names: &[&str]) -> QuestionError {
    QuestionError::Unknown {
        what,
        name: name.to_owned(),
        names: names.iter().map(|&name| name.to_owned()).collect(),
    }
}

/// What names stand for on the command line: the catalogue, or files.
pub(crate) struct Files;

/// An error of a file, for the question that named it.
fn unread(error: anyhow::Error) -> QuestionError {
    QuestionError::Unread(format!("{error:#}"))
}

impl Names for Files {
    fn film(&self, name: &str) -> Result<FilmClass, QuestionError> {
        film(name)
    }

    fn tool(&self, name: &str) -> Result<Tool, QuestionError> {
        tool(name)
    }

    fn recess(&self, name: &str) -> Result<String, QuestionError> {
        let all = tautspan::DEMO_RECESSES;
        match all.iter().find(|recess| recess.0 == name) {
            Some(recess) => Ok(recess.1.to_owned()),
            None => Err(unknown("recess", name, &all.map(|recess| recess.0))),
        }
    }

    fn file(&self, path: &str, typing: Typing) -> Result<Section, QuestionError> {
        let bytes = read_file(Path::new(path)).map_err(unread)?;
        let stem = Path::new(path).file_stem().map_or_else(
            || "section".to_owned(),
            |s| s.to_string_lossy().into_owned(),
        );
        Ok(tautspan::section::read_csv_as(path, &bytes, typing)?.named(&stem))
    }

    /// The curve's path counts from the folder of the class's file.
    fn curve(
        &self,
        film: &FilmClass,
        name: Option<&str>,
    ) -> Result<Option<TensileCurve>, QuestionError> {
        let Some(csv) = &film.tensile_csv else {
            return Ok(None);
        };
        let own = |name: &&str| is_file(name) && tautspan::film_named(name).is_none();
        let folder = name.filter(own).and_then(|name| Path::new(name).parent());
        let path = folder.unwrap_or(Path::new("")).join(csv);
        let text = std::fs::read_to_string(&path)
            .with_context(|| format!("`{}` could not be read", path.display()))
            .map_err(unread)?;
        let file = path.display().to_string();
        Ok(Some(TensileCurve::read(&file, &text, film.thickness())?))
    }

    fn steps(&self, text: &str) -> Result<Steps, QuestionError> {
        if OrderChoice::is_file(text) {
            let content = text_of(Path::new(text))?;
            return Ok(tautspan::laydown::read_steps_toml(text, &content)?);
        }
        Ok(tautspan::laydown::read_steps("--order", text)?)
    }

    fn key(&self, key: &str) -> String {
        Voice::terminal(Units::Mm).name(key)
    }
}

/// A question with its names resolved, and its one section.
pub(crate) fn one(question: &Question) -> Result<(Setting, Section)> {
    let mut setting = Setting::new(question, &Files)?;
    let readings = question.read(&Files)?;
    let told = setting.section(readings, setting.handling.as_ref());
    let (section, note) = told?;
    setting.assumptions.extend(note);
    Ok((setting, section))
}
