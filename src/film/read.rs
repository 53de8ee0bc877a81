//! TOML read into a profile so that a fault has its key and line.
//!
//! `serde` asks for one value after the other and says which it wants: a number, a text, a
//! table of these keys. A [`Reader`] answers from the spanned values of the file, and where
//! they do not fit, the fault is known here as data: no message of a library is taken apart.

use super::closest::closest;
use crate::fault::{Fault, Hint, Part, Phrase};
use serde::de::value::{MapAccessDeserializer, MapDeserializer, SeqDeserializer, StrDeserializer};
use serde::de::{
    DeserializeOwned, Deserializer, Error, Expected, IntoDeserializer, Unexpected, Visitor,
};
use std::collections::BTreeMap;
use std::fmt;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

/// Most characters of a value that a fault repeats.
const MOST_REPEATED: usize = 40;

/// Reads TOML into a profile; the fault of a file that does not fit says line and key.
pub(crate) fn read_toml<T: DeserializeOwned>(text: &str) -> Result<T, Fault> {
    // A file saved with a byte order mark is as good as one without.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let table = DeTable::parse(text).map_err(|e| not_toml(text, &e))?;
    let value = DeValue::Table(table.into_inner());
    let file = Reader {
        value: &value,
        at: 0,
        path: String::new(),
    };
    T::deserialize(file).map_err(|stop| {
        let (at, path) = stop.place.unwrap_or_default();
        let part = if path.is_empty() {
            Part::Whole
        } else {
            Part::Key(path)
        };
        stop.fault.placed(line_of(text, at)).of(part)
    })
}

/// The fault of a line that is not TOML at all.
fn not_toml(text: &str, error: &toml::de::Error) -> Fault {
    let line = line_of(text, error.span().map_or(0, |s| s.start));
    let words = text.lines().nth(line - 1).unwrap_or_default().trim();
    let digit = |b: u8| b.is_ascii_digit();
    let mut threes = words.as_bytes().windows(3);
    let comma = threes.any(|w| digit(w[0]) && w[1] == b',' && digit(w[2]));
    let expected = format!("valid TOML ({})", error.message());
    Fault::at(line, format!("`{words}`"), expected).hint(comma.then_some(Hint::WritePoint))
}

/// Adds to each fault the line of its key in the text.
pub(super) fn with_lines(text: &str, faults: Vec<Fault>) -> Vec<Fault> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut starts = BTreeMap::new();
    if let Ok(table) = DeTable::parse(text) {
        note_starts(table.get_ref(), "", &mut starts);
    }
    let ends: Vec<usize> = text.match_indices('\n').map(|(at, _)| at).collect();
    let placed = |fault: Fault| {
        let at = match &fault.at.part {
            Part::Key(key) => starts.get(key).copied(),
            _ => None,
        };
        fault.placed(1 + ends.partition_point(|&end| end < at.unwrap_or(0)))
    };
    faults.into_iter().map(placed).collect()
}

/// Notes at which byte the value of each key starts.
fn note_starts(table: &DeTable<'_>, path: &str, starts: &mut BTreeMap<String, usize>) {
    for (key, value) in table {
        let path = below(path, key.get_ref());
        match value.get_ref() {
            DeValue::Table(inner) => note_starts(inner, &path, starts),
            DeValue::Array(rows) => {
                let tables = rows.iter().map(|row| row.get_ref().as_table());
                for (i, inner) in tables.enumerate().filter_map(|(i, t)| Some((i, t?))) {
                    note_starts(inner, &row_of(&path, i), starts);
                }
            }
            _ => {}
        }
        starts.insert(path, value.span().start);
    }
}

/// Line of a byte of the text, from 1.
fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|b| *b == b'\n').count()
}

/// A key of a table.
fn below(path: &str, key: &str) -> String {
    let dot = if path.is_empty() { "" } else { "." };
    format!("{path}{dot}{key}")
}

/// A row of a list, counted from 0 here and from 1 for people.
fn row_of(path: &str, i: usize) -> String {
    format!("{path}[{}]", i + 1)
}

/// Why reading stopped, and where: a byte of the text and its key.
#[derive(Debug)]
struct Stop {
    fault: Box<Fault>,
    place: Option<(usize, String)>,
}

impl Stop {
    fn new(found: impl Into<Phrase>, expected: impl Into<Phrase>) -> Self {
        Self {
            fault: Box::new(Fault::whole(found, expected)),
            place: None,
        }
    }

    /// With the name that was meant, if one of those there are is near.
    fn meant(mut self, found: &str, known: &[&str]) -> Self {
        let near = closest(found, known.iter().copied());
        self.fault.hint = near.map(|name| Hint::Meant(name.to_owned()));
        self
    }
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.fault)
    }
}

impl std::error::Error for Stop {}

impl Error for Stop {
    fn custom<T: fmt::Display>(found: T) -> Self {
        Self::new(found.to_string(), "another value")
    }

    fn missing_field(name: &'static str) -> Self {
        Self::new(format!("no `{name}`"), "that key")
    }

    fn invalid_value(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::new(found.to_string(), expected.to_string())
    }

    fn unknown_variant(found: &str, known: &'static [&'static str]) -> Self {
        Self::new(format!("`{found}`"), one_of(known)).meant(found, known)
    }
}

/// Names to choose from.
fn one_of(known: &[&str]) -> String {
    format!("one of `{}`", known.join("`, `"))
}

/// A value of the file, the byte at which it starts and its key.
#[derive(Clone)]
struct Reader<'a, 'i> {
    value: &'a DeValue<'i>,
    at: usize,
    path: String,
}

impl<'a, 'i> Reader<'a, 'i> {
    fn new(value: &'a Spanned<DeValue<'i>>, path: String) -> Self {
        Self {
            value: value.get_ref(),
            at: value.span().start,
            path,
        }
    }

    /// The fault of a value that is of another kind.
    fn other(&self, expected: impl Into<Phrase>) -> Stop {
        let shown = |text: &str| text.chars().take(MOST_REPEATED).collect::<String>();
        let found = match self.value {
            DeValue::String(text) => format!("string {:?}", shown(text)),
            DeValue::Integer(number) => format!("integer `{}`", shown(number.as_str())),
            DeValue::Float(number) => format!("number `{}`", shown(number.as_str())),
            DeValue::Boolean(value) => format!("`{value}`"),
            DeValue::Datetime(_) => "a date".to_owned(),
            DeValue::Array(_) => "a list".to_owned(),
            DeValue::Table(_) => "one table".to_owned(),
        };
        Stop::new(found, expected)
    }

    /// A stop inside of this value, which has its place unless one deeper has.
    fn placed<T>(&self, read: Result<T, Stop>) -> Result<T, Stop> {
        read.map_err(|mut stop| {
            stop.place
                .get_or_insert_with(|| (self.at, self.path.clone()));
            stop
        })
    }

    /// Gives the value if it is of the kind that is wanted.
    fn give<'de, V: Visitor<'de>>(
        self,
        fits: impl Fn(&DeValue<'i>) -> bool,
        expected: impl Into<Phrase>,
        v: V,
    ) -> Result<V::Value, Stop> {
        if fits(self.value) {
            self.deserialize_any(v)
        } else {
            self.placed(Err(self.other(expected)))
        }
    }

    /// Refuses a table with a key that is not known.
    fn known(&self, table: &DeTable<'_>, names: &[&str]) -> Result<(), Stop> {
        let unknown = |key: &&Spanned<DeString<'_>>| !names.contains(&key.get_ref().as_ref());
        let Some(key) = table.keys().find(unknown) else {
            return Ok(());
        };
        let found = format!("the unknown key `{}`", key.get_ref());
        let mut stop = Stop::new(found, one_of(names)).meant(key.get_ref(), names);
        stop.place = Some((key.span().start, self.path.clone()));
        Err(stop)
    }

    /// The keys of a table with what stands under them.
    fn keys(&self, table: &'a DeTable<'i>) -> impl Iterator<Item = (&'a str, Self)> {
        table.iter().map(|(key, value)| {
            let key = key.get_ref().as_ref();
            (key, Self::new(value, below(&self.path, key)))
        })
    }
}

impl<'de> IntoDeserializer<'de, Stop> for Reader<'_, '_> {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for Reader<'_, '_> {
    type Error = Stop;

    fn deserialize_any<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        let unreadable = || self.other("a number that can be held");
        self.placed(match self.value {
            DeValue::String(text) => v.visit_str(text),
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                .map_err(|_| unreadable())
                .and_then(|number| v.visit_i64(number)),
            DeValue::Float(number) => (number.as_str().parse())
                .map_err(|_| unreadable())
                .and_then(|number| v.visit_f64(number)),
            DeValue::Boolean(value) => v.visit_bool(*value),
            DeValue::Datetime(_) => Err(self.other("a number, words or a table")),
            DeValue::Array(rows) => {
                let row = |(i, row)| Reader::new(row, row_of(&self.path, i));
                v.visit_seq(SeqDeserializer::new(rows.iter().enumerate().map(row)))
            }
            DeValue::Table(table) => v.visit_map(MapDeserializer::new(self.keys(table))),
        })
    }

    fn deserialize_f64<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        let number = |value: &DeValue<'_>| value.is_float() || value.is_integer();
        self.give(number, "a number", v)
    }

    fn deserialize_u64<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        self.give(DeValue::is_integer, "a whole number", v)
    }

    fn deserialize_bool<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        self.give(DeValue::is_bool, "`true` or `false`", v)
    }

    fn deserialize_string<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        self.give(DeValue::is_str, "words in quotes", v)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        let expected = "a list of tables, each under its name in `[[..]]`";
        self.give(DeValue::is_array, expected, v)
    }

    fn deserialize_map<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        self.give(DeValue::is_table, "a table", v)
    }

    fn deserialize_option<V: Visitor<'de>>(self, v: V) -> Result<V::Value, Stop> {
        self.placed(v.visit_some(self.clone()))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        v: V,
    ) -> Result<V::Value, Stop> {
        let Some(table) = self.value.as_table() else {
            let mut stop = self.other((&v as &dyn Expected).to_string());
            stop.fault.hint = (name == "Number").then_some(Hint::BringSource);
            return self.placed(Err(stop));
        };
        self.known(table, fields)?;
        self.deserialize_any(v)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _name: &'static str,
        variants: &'static [&'static str],
        v: V,
    ) -> Result<V::Value, Stop> {
        self.placed(match self.value {
            DeValue::String(word) => v.visit_enum(StrDeserializer::new(word)),
            DeValue::Table(table) if table.len() == 1 => {
                self.known(table, variants)?;
                let keys = MapDeserializer::new(self.keys(table));
                v.visit_enum(MapAccessDeserializer::new(keys))
            }
            DeValue::Table(table) => {
                let found = format!("{} keys", table.len());
                Err(Stop::new(found, one_of(variants)))
            }
            _ => Err(self.other(one_of(variants))),
        })
    }

    serde::forward_to_deserialize_any! {
        i8 i16 i32 i64 i128 u8 u16 u32 u128 f32 char str bytes byte_buf unit unit_struct
        newtype_struct tuple tuple_struct identifier ignored_any
    }
}
