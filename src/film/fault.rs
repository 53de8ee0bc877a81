//! What is wrong with a film class or a tool, with lines; and reading TOML so that it shows.

use super::closest::closest;
use serde::de::DeserializeOwned;
use std::fmt;
use toml::de::{DeTable, DeValue};

/// One fault of a profile: where, what was found, what was expected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProfileFault {
    /// Line of the file, from 1; `None` if the profile did not come from a file.
    pub line: Option<usize>,
    /// The key, such as `modulus[2].temperature_c` (rows count from 1); empty where the
    /// text could not be read that far.
    pub key: String,
    /// What was found.
    pub found: String,
    /// What was expected instead.
    pub expected: String,
}

impl fmt::Display for ProfileFault {
    /// `line: `key`: found …, expected …`, without what is not known.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "{line}: ")?;
        }
        if !self.key.is_empty() {
            write!(f, "`{}`: ", self.key)?;
        }
        write!(f, "found {}, expected {}", self.found, self.expected)
    }
}

/// Why a film class was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FilmError {
    /// The text is not a film class: TOML that does not parse, or keys that do not fit.
    #[error("{file}:{fault}")]
    Unreadable {
        /// Name of the file.
        file: String,
        /// The first fault; behind it the text could not be read.
        fault: Box<ProfileFault>,
        /// One thing to try.
        hint: String,
    },
    /// The class was read, but numbers or names in it cannot be.
    #[error("{}", listed(file, faults))]
    Refused {
        /// Name of the file.
        file: String,
        /// All faults, in the order of the fields; never empty.
        faults: Vec<ProfileFault>,
    },
}

/// Why a tool was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ToolError {
    /// The text is not a tool: TOML that does not parse, or keys that do not fit.
    #[error("{file}:{fault}")]
    Unreadable {
        /// Name of the file.
        file: String,
        /// The first fault; behind it the text could not be read.
        fault: Box<ProfileFault>,
        /// One thing to try.
        hint: String,
    },
    /// The tool was read, but numbers or names in it cannot be.
    #[error("{}", listed(file, faults))]
    Refused {
        /// Name of the file.
        file: String,
        /// All faults, in the order of the fields; never empty.
        faults: Vec<ProfileFault>,
    },
}

impl FilmError {
    /// Returns one thing to try.
    #[must_use]
    pub fn hint(&self) -> &str {
        match self {
            Self::Unreadable { hint, .. } => hint,
            Self::Refused { .. } => FILM_HINT,
        }
    }
}

impl ToolError {
    /// Returns one thing to try.
    #[must_use]
    pub fn hint(&self) -> &str {
        match self {
            Self::Unreadable { hint, .. } => hint,
            Self::Refused { .. } => TOOL_HINT,
        }
    }
}

/// What to try with a film class when nothing closer is known.
pub(super) const FILM_HINT: &str =
    "`tautspan films wrap-cast --toml` prints one that is valid, to copy from";
/// What to try with a tool when nothing closer is known.
pub(super) const TOOL_HINT: &str =
    "`tautspan tools fingertip --toml` prints one that is valid, to copy from";

/// One fault a line, each behind the name of the file.
fn listed(file: &str, faults: &[ProfileFault]) -> String {
    let line = |fault: &ProfileFault| match fault.line {
        Some(_) => format!("{file}:{fault}"),
        None => format!("{file}: {fault}"),
    };
    faults.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// A fault that stopped the reading, and what might mend it.
pub(crate) struct Stop {
    pub(crate) fault: ProfileFault,
    pub(crate) hint: Option<String>,
}

/// Reads TOML into a profile; a fault says line, key, what was found and expected.
pub(crate) fn read_toml<T: DeserializeOwned>(text: &str) -> Result<T, Stop> {
    // A file saved with a byte order mark is as good as one without.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    toml::from_str(text).map_err(|e| stop(text, &e))
}

/// Adds to each fault the line of its key in the text.
pub(super) fn with_lines(text: &str, faults: Vec<ProfileFault>) -> Vec<ProfileFault> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let Ok(table) = DeTable::parse(text) else {
        return faults;
    };
    faults
        .into_iter()
        .map(|fault| {
            let line = Some(line_of(text, place_of(table.get_ref(), &fault.key)));
            ProfileFault { line, ..fault }
        })
        .collect()
}

/// Puts an error of the TOML reader into the words of a person with a text editor.
fn stop(text: &str, error: &toml::de::Error) -> Stop {
    let at = error.span().map_or(0, |s| s.start);
    let line = line_of(text, at);
    let Ok(table) = DeTable::parse(text) else {
        return not_toml(
            text.lines().nth(line - 1).unwrap_or_default(),
            line,
            error.message(),
        );
    };
    let (found, expected) = error
        .message()
        .split_once(", expected ")
        .unwrap_or((error.message(), ""));
    let hint = mend(found, expected);
    let (found, expected) = match quoted(found) {
        Some(name) if found.starts_with("missing field") => {
            (format!("no `{name}`"), "that key".to_owned())
        }
        Some(name) if found.starts_with("unknown field") => {
            (format!("the unknown key `{name}`"), expected.to_owned())
        }
        _ => (plain_found(found), plain_type(expected)),
    };
    let key = key_at(table.get_ref(), at);
    Stop {
        fault: ProfileFault {
            line: Some(line),
            key,
            found,
            expected,
        },
        hint,
    }
}

/// The fault of a line that is not TOML at all.
fn not_toml(words: &str, line: usize, message: &str) -> Stop {
    let fault = ProfileFault {
        line: Some(line),
        key: String::new(),
        found: format!("`{}`", words.trim()),
        expected: format!("valid TOML ({message})"),
    };
    let comma = message.starts_with("extra comma");
    let hint = comma.then(|| "write numbers with a point, `1.5`, not with a comma".to_owned());
    Stop { fault, hint }
}

/// The first name between backquotes.
fn quoted(words: &str) -> Option<&str> {
    words.split('`').nth(1)
}

/// What the TOML reader found, in plain words.
fn plain_found(found: &str) -> String {
    match found.trim_start_matches("invalid type: ") {
        "map" => "one table".to_owned(),
        "sequence" => "a list".to_owned(),
        other => other.to_owned(),
    }
}

/// Rust's types in plain words.
fn plain_type(expected: &str) -> String {
    match expected {
        "" => "what the list of keys in profiles/films/README.md says",
        "f64" => "a number",
        "a string" => "words in quotes",
        "a boolean" => "`true` or `false`",
        "a sequence" => "a list of tables, each under its name in `[[..]]`",
        "a map" => "a table",
        other => other,
    }
    .to_owned()
}

/// What might mend the fault: the key that was meant, or how a number is written.
fn mend(found: &str, expected: &str) -> Option<String> {
    if found.starts_with("unknown field") {
        let known = expected.split('`').skip(1).step_by(2);
        return closest(quoted(found)?, known).map(|key| format!("did you mean `{key}`?"));
    }
    let bare = expected.starts_with("a number with its source");
    bare.then(|| "put the source beside it: `{ value = 20.0, source = \"own test\" }`".to_owned())
}

/// Line of a byte of the text, from 1.
fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|b| *b == b'\n').count()
}

/// Byte at which the value of a key starts, or that of the nearest table around it.
fn place_of(table: &DeTable<'_>, key: &str) -> usize {
    let mut at = 0;
    let mut here: Option<&DeTable<'_>> = Some(table);
    for step in key.split('.') {
        let (name, row) = split_row(step);
        let Some(mut value) = here.and_then(|t| t.get(name)) else {
            break;
        };
        if let (Some(row), DeValue::Array(rows)) = (row, value.get_ref()) {
            let Some(inside) = rows.get(row) else { break };
            value = inside;
        }
        at = value.span().start;
        here = value.get_ref().as_table();
    }
    at
}

/// Splits `modulus[2]` into the name and the row counted from 0.
fn split_row(step: &str) -> (&str, Option<usize>) {
    let Some((name, rest)) = step.split_once('[') else {
        return (step, None);
    };
    let row = rest.trim_end_matches(']').parse::<usize>().ok();
    (name, row.and_then(|r| r.checked_sub(1)))
}

/// The key whose value contains a byte of the text, as deep as it goes.
fn key_at(table: &DeTable<'_>, at: usize) -> String {
    let mut key = String::new();
    for (name, value) in table {
        let inner = match value.get_ref() {
            DeValue::Table(inner) => key_at(inner, at),
            DeValue::Array(rows) => key_in_rows(rows, at),
            _ => String::new(),
        };
        if value.span().contains(&at) || !inner.is_empty() {
            let dot = if inner.is_empty() || inner.starts_with('[') {
                ""
            } else {
                "."
            };
            key = format!("{}{dot}{inner}", name.get_ref());
        }
    }
    key
}

/// The row, and the key in it, that contains a byte of the text.
fn key_in_rows(rows: &toml::de::DeArray<'_>, at: usize) -> String {
    for (i, row) in rows.iter().enumerate() {
        let inner = row
            .get_ref()
            .as_table()
            .map(|t| key_at(t, at))
            .unwrap_or_default();
        if !inner.is_empty() {
            return format!("[{}].{inner}", i + 1);
        }
        if row.span().contains(&at) {
            return format!("[{}]", i + 1);
        }
    }
    String::new()
}
