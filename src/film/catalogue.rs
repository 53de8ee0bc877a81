//! The classes and tools that come with the program, and reading the user's own.

use super::class::FilmClass;
use super::fault::{FILM_HINT, FilmError, TOOL_HINT, ToolError, read_toml, with_lines};
use super::tool::Tool;

/// Name and text of each class that is built in, most stretchable first.
const FILMS: [(&str, &str); 5] = [
    (
        "recess-cast",
        include_str!("../../profiles/films/recess-cast.toml"),
    ),
    (
        "wrap-cast",
        include_str!("../../profiles/films/wrap-cast.toml"),
    ),
    (
        "print-cast",
        include_str!("../../profiles/films/print-cast.toml"),
    ),
    (
        "polymeric",
        include_str!("../../profiles/films/polymeric.toml"),
    ),
    (
        "monomeric",
        include_str!("../../profiles/films/monomeric.toml"),
    ),
];

/// Name and text of each tool that is built in; the first is the one taken unless told.
const TOOLS: [(&str, &str); 3] = [
    (
        "fingertip",
        include_str!("../../profiles/tools/fingertip.toml"),
    ),
    (
        "felt-edge",
        include_str!("../../profiles/tools/felt-edge.toml"),
    ),
    ("roller", include_str!("../../profiles/tools/roller.toml")),
];

/// The TOML of a class that is built in, to copy from.
pub fn film_toml(name: &str) -> Option<&'static str> {
    FILMS.iter().find(|f| f.0 == name).map(|f| f.1)
}

/// The TOML of a tool that is built in, to copy from.
pub fn tool_toml(name: &str) -> Option<&'static str> {
    TOOLS.iter().find(|t| t.0 == name).map(|t| t.1)
}

/// Reads a film class and checks it as a whole.
///
/// # Arguments
/// * `file`: name of the file, for messages only; nothing is opened.
/// * `text`: its TOML.
///
/// # Errors
/// [`FilmError::Unreadable`] with line and key for TOML that does not parse, an unknown
/// or missing key, or a wrong type; [`FilmError::Refused`] with every value that cannot be.
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
/// # Ok::<(), tautspan::film::FilmError>(())
/// ```
pub fn parse_film(file: &str, text: &str) -> Result<FilmClass, FilmError> {
    let film: FilmClass = read_toml(text).map_err(|stop| FilmError::Unreadable {
        file: file.to_owned(),
        fault: Box::new(stop.fault),
        hint: stop.hint.unwrap_or_else(|| FILM_HINT.to_owned()),
    })?;
    match film.faults() {
        faults if faults.is_empty() => Ok(film),
        faults => Err(FilmError::Refused {
            file: file.to_owned(),
            faults: with_lines(text, faults),
        }),
    }
}

/// Reads a tool and checks it as a whole.
///
/// # Arguments
/// * `file`: name of the file, for messages only; nothing is opened.
/// * `text`: its TOML.
///
/// # Errors
/// [`ToolError::Unreadable`] with line and key for TOML that does not parse, an unknown
/// or missing key, or a wrong type; [`ToolError::Refused`] with every value that cannot be.
pub fn parse_tool(file: &str, text: &str) -> Result<Tool, ToolError> {
    let tool: Tool = read_toml(text).map_err(|stop| ToolError::Unreadable {
        file: file.to_owned(),
        fault: Box::new(stop.fault),
        hint: stop.hint.unwrap_or_else(|| TOOL_HINT.to_owned()),
    })?;
    match tool.faults() {
        faults if faults.is_empty() => Ok(tool),
        faults => Err(ToolError::Refused {
            file: file.to_owned(),
            faults: with_lines(text, faults),
        }),
    }
}

/// Returns the names of the film classes that are built in, most stretchable first.
#[must_use]
pub fn film_names() -> Vec<&'static str> {
    FILMS.iter().map(|(name, _)| *name).collect()
}

/// Returns the names of the tools that are built in; the first is taken unless told.
#[must_use]
pub fn tool_names() -> Vec<&'static str> {
    TOOLS.iter().map(|(name, _)| *name).collect()
}

/// Returns every film class that is built in, in the order of [`film_names`].
#[must_use]
pub fn builtin_films() -> Vec<FilmClass> {
    FILMS
        .iter()
        .filter_map(|(name, _)| film_named(name))
        .collect()
}

/// Returns every tool that is built in, in the order of [`tool_names`].
#[must_use]
pub fn builtin_tools() -> Vec<Tool> {
    TOOLS
        .iter()
        .filter_map(|(name, _)| tool_named(name))
        .collect()
}

/// Returns a built-in film class by its name.
#[must_use]
pub fn film_named(name: &str) -> Option<FilmClass> {
    // A test reads every built-in file, so `None` means an unknown name.
    let (_, text) = FILMS.iter().find(|(known, _)| *known == name)?;
    parse_film(name, text).ok()
}

/// Returns a built-in tool by its name.
#[must_use]
pub fn tool_named(name: &str) -> Option<Tool> {
    let (_, text) = TOOLS.iter().find(|(known, _)| *known == name)?;
    parse_tool(name, text).ok()
}
