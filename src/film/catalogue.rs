//! The classes and tools that come with the program, and reading the user's own.

use super::class::FilmClass;
use super::read::{read_toml, with_lines};
use super::tool::Tool;
use crate::fault::{Fault, Hint, Refused};
use serde::de::DeserializeOwned;

/// Text of each class that is built in, most stretchable first.
const FILMS: [&str; 5] = [
    include_str!("../../profiles/films/recess-cast.toml"),
    include_str!("../../profiles/films/wrap-cast.toml"),
    include_str!("../../profiles/films/print-cast.toml"),
    include_str!("../../profiles/films/polymeric.toml"),
    include_str!("../../profiles/films/monomeric.toml"),
];

/// Text of each tool that is built in; the first is the one taken unless told.
const TOOLS: [&str; 3] = [
    include_str!("../../profiles/tools/fingertip.toml"),
    include_str!("../../profiles/tools/felt-edge.toml"),
    include_str!("../../profiles/tools/roller.toml"),
];

/// The name that a built-in text states.
fn name_in(text: &'static str) -> &'static str {
    let mut lines = text
        .lines()
        .filter_map(|line| line.strip_prefix("name = \""));
    lines.next().map_or("", |name| name.trim_end_matches('"'))
}

/// The built-in text of a name.
fn named(texts: &[&'static str], name: &str) -> Option<&'static str> {
    texts.iter().copied().find(|text| name_in(text) == name)
}

/// The TOML of a class that is built in, to copy from.
pub fn film_toml(name: &str) -> Option<&'static str> {
    named(&FILMS, name)
}

/// The TOML of a tool that is built in, to copy from.
pub fn tool_toml(name: &str) -> Option<&'static str> {
    named(&TOOLS, name)
}

/// Reads a film class and checks it as a whole.
///
/// # Arguments
/// * `file`: name of the file, for messages only; nothing is opened.
/// * `text`: its TOML.
///
/// # Errors
/// [`Refused`] with line and key: one fault for TOML that does not parse, an unknown or
/// missing key, or a wrong type; else every value that cannot be.
///
/// # Example
/// ```
/// let text = r#"
/// name = "my-film"
/// limit_pct = { value = 20.0, source = "own test" }
/// thickness_um = { value = 90.0, source = "own test" }
/// "#;
/// let film = tautspan::film::parse_film("my-film.toml", text)?;
/// assert_eq!(film.limit(), 0.2);
/// assert!(film.invented_deciding().is_empty());
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn parse_film(file: &str, text: &str) -> Result<FilmClass, Refused> {
    parse(file, text, FilmClass::faults, &Hint::CopyFilm)
}

/// Reads a tool and checks it as a whole.
///
/// # Arguments
/// * `file`: name of the file, for messages only; nothing is opened.
/// * `text`: its TOML.
///
/// # Errors
/// As [`parse_film`].
pub fn parse_tool(file: &str, text: &str) -> Result<Tool, Refused> {
    parse(file, text, Tool::faults, &Hint::CopyTool)
}

/// Reads a profile and checks it; `hint` is tried where nothing closer is known.
fn parse<T: DeserializeOwned>(
    file: &str,
    text: &str,
    check: impl Fn(&T) -> Vec<Fault>,
    hint: &Hint,
) -> Result<T, Refused> {
    let refused = |faults: Vec<Fault>| {
        let hinted = |fault: Fault| {
            let near = fault.hint.clone();
            fault.hint(near.or_else(|| Some(hint.clone())))
        };
        Refused::new(file, faults.into_iter().map(hinted).collect())
    };
    let read: T = read_toml(text).map_err(|fault| refused(vec![fault]))?;
    match check(&read) {
        faults if faults.is_empty() => Ok(read),
        faults => Err(refused(with_lines(text, faults))),
    }
}

/// Returns the names of the film classes that are built in, most stretchable first.
#[must_use]
pub fn film_names() -> Vec<&'static str> {
    FILMS.map(name_in).to_vec()
}

/// Returns the names of the tools that are built in; the first is taken unless told.
#[must_use]
pub fn tool_names() -> Vec<&'static str> {
    TOOLS.map(name_in).to_vec()
}

/// Returns every film class that is built in, in the order of [`film_names`].
#[must_use]
pub fn builtin_films() -> Vec<FilmClass> {
    film_names().into_iter().filter_map(film_named).collect()
}

/// Returns every tool that is built in, in the order of [`tool_names`].
#[must_use]
pub fn builtin_tools() -> Vec<Tool> {
    tool_names().into_iter().filter_map(tool_named).collect()
}

/// Returns a built-in film class by its name.
#[must_use]
pub fn film_named(name: &str) -> Option<FilmClass> {
    // A test reads every built-in file, so `None` means an unknown name.
    parse_film(name, film_toml(name)?).ok()
}

/// Returns a built-in tool by its name.
#[must_use]
pub fn tool_named(name: &str) -> Option<Tool> {
    parse_tool(name, tool_toml(name)?).ok()
}
