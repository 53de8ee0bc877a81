//! The next line of a record: what was typed, the rest from the line before.
//!
//! Nothing is changed of what stands. What is to be appended is one text, for one write: the line
//! end, and the mark, that close a line which was cut off; then the new line with its end.

use super::columns::{Column, Columns, Degrees, header};
use super::read::{CUT_OFF, File, read_record};
use super::record::{Reading, Record};
use super::time::Time;
use crate::fault::{Fault, Hint, Part, Refused};
use crate::section::{Marks, Typed, Unit, Units, length, number, quoted};
use csv::WriterBuilder;

/// Keys of what may be typed.
const KEYS: &str = "place reading emissivity surroundings time line note";

/// What is added, as it was typed.
#[derive(Debug, Clone, Copy)]
pub struct Adding<'a> {
    /// What messages call the text.
    pub called: &'a str,
    /// The text: `place=120, reading=96`.
    pub typed: &'a str,
    /// Units of bare lengths.
    pub units: Units,
    /// The number of the reading that this one replaces.
    pub correct: Option<u64>,
    /// The time where none was typed.
    pub now: Time,
}

/// What is to be appended to a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Appended {
    /// The text, its line end and all.
    pub text: String,
    /// The reading as it will be read.
    pub reading: Reading,
}

/// Returns the text that adds a reading to a record, and the reading.
///
/// `name` and `bytes` are those of the file as it stands; see [`read_record`]. What is typed is
/// `place` and `reading`, and if they have changed `emissivity` (as set), `surroundings`, `line`,
/// `time` and `note`; otherwise emissivity, surroundings and line are those of the last reading,
/// or of the one that is corrected, whose place holds too; the time is `now`. A temperature may have its unit, `96C` or `205F`; else it is in that of its column. An
/// empty file gets its header first.
///
/// # Errors
/// [`Refused`] with every fault of the file, or of what was typed.
pub fn append_reading(
    (name, bytes): (&str, &[u8]),
    adding: &Adding<'_>,
) -> Result<Appended, Refused> {
    let (units, correct) = (adding.units, adding.correct);
    let mut typed = Typed::split(adding.typed, KEYS, units);
    let empty = bytes.trim_ascii().is_empty();
    let fresh = header(
        Unit::from(units),
        typed.text("reading").is_some_and(fahrenheit),
    ) + "\n";
    let file = match File::read(if empty { fresh.as_bytes() } else { bytes }, Some(units)) {
        Ok(file) => file,
        Err(faults) => return Err(Refused::new(name, faults)),
    };
    let stood = if file.readings.is_empty() {
        Refused::unless(name, file.faults.clone(), None)?
    } else {
        Some(read_record(name, bytes, Some(units))?)
    };
    let before = before(&file, correct, &mut typed);
    let texts = Texts {
        columns: &file.columns,
        before: before.map(|i| file.fields[i].as_slice()),
        typed: &mut typed,
        units,
        comma: file.marks.comma(),
    };
    let next = stood.as_ref().map_or(1, next_number);
    let fields = texts.all(next, adding);
    if typed.faulty() {
        return Err(typed.into_error(adding.called));
    }
    let closing = match (bytes.is_empty() || bytes.ends_with(b"\n"), file.torn) {
        (true, _) => String::new(),
        (false, true) => format!("\n{CUT_OFF}\n"),
        (false, false) => "\n".to_owned(),
    };
    let head = if empty { fresh.as_str() } else { "" };
    let text = format!("{closing}{head}{}", line_of(&fields, file.separator));
    let checked = file.columns.read((1, 1), &fields, &mut Marks::default());
    if let Err(faults) = checked {
        let bare = |fault: Fault| fault.placed(None);
        let faults = faults.into_iter().map(bare).collect();
        return Err(Refused::new(adding.called, faults));
    }
    read_back((name, bytes), text, adding)
}

/// Is a temperature typed in Fahrenheit?
fn fahrenheit(text: &str) -> bool {
    degrees_of(text).1 == Some(Degrees::Fahrenheit)
}

/// A temperature without its unit, and the unit.
fn degrees_of(text: &str) -> (&str, Option<Degrees>) {
    let letter = |c: char| c.is_alphabetic() || c == '\u{b0}';
    let bare = text.trim_end_matches(letter);
    (bare.trim_end(), Degrees::named(&text[bare.len()..]))
}

/// The number of the next reading.
fn next_number(record: &Record) -> u64 {
    let numbers = record.readings.iter().map(|reading| reading.no);
    numbers.max().unwrap_or(0).saturating_add(1)
}

/// The reading that says what was not typed: the one that is corrected, else the last.
fn before(file: &File, correct: Option<u64>, typed: &mut Typed<'_>) -> Option<usize> {
    let Some(no) = correct else {
        return file.readings.len().checked_sub(1);
    };
    let found = file.readings.iter().position(|reading| reading.no == no);
    let by = file
        .readings
        .iter()
        .find(|reading| reading.corrects == Some(no));
    let expected = "the number of a reading that stands";
    if !file.columns.has(Column::Corrects) {
        let hint = Hint::StartRecord;
        typed.hinted(hint, "a correction", "a record with a column `corrects`");
    } else if let Some(by) = by {
        let found = format!("{no}, which reading {} replaces already", by.no);
        typed.note(Fault::whole(found, expected).hint(Hint::CorrectThat(by.no)));
    } else if found.is_none() {
        typed.fault(format!("no reading {no} to correct"), expected);
    }
    found
}

/// The texts of a new line.
struct Texts<'a, 't> {
    columns: &'a Columns,
    before: Option<&'a [String]>,
    typed: &'a mut Typed<'t>,
    units: Units,
    /// Has the record decimal commas?
    comma: bool,
}

impl Texts<'_, '_> {
    fn all(mut self, next: u64, adding: &Adding<'_>) -> Vec<String> {
        let (correct, now) = (adding.correct, adding.now);
        let known: Vec<Option<Column>> = self.columns.known().collect();
        for (key, column) in [("line", Column::Line), ("note", Column::Note)] {
            if self.typed.has(key) && !self.columns.has(column) {
                let expected = "a record with such a column";
                let found = format!("`{key}`");
                self.typed.hinted(Hint::StartRecord, found, expected);
            }
        }
        let field = |(i, column): (usize, &Option<Column>)| {
            let before = self.before.map(|fields| fields[i].clone());
            match column {
                Some(Column::Place) => self.place(before.filter(|_| correct.is_some())),
                Some(Column::Reading) => self.degrees("reading", self.columns.reading, None),
                Some(Column::Surroundings) => {
                    self.degrees("surroundings", self.columns.surroundings, before)
                }
                Some(Column::EmissivitySet) => self.emissivity(before),
                Some(Column::Time) => self.said("time").unwrap_or_else(|| now.to_string()),
                Some(Column::Line) => self.said("line").or(before).unwrap_or_default(),
                Some(Column::Number) => next.to_string(),
                Some(Column::Corrects) => correct.map_or_else(String::new, |no| no.to_string()),
                Some(Column::Note) => self.said("note").unwrap_or_default(),
                None => String::new(),
            }
        };
        known.iter().enumerate().map(field).collect()
    }

    /// What was typed for a key, on one line.
    fn said(&self, key: &str) -> Option<String> {
        let text = self.typed.text(key)?;
        Some(text.replace(char::is_control, " "))
    }

    /// A number as the record writes it.
    fn number(&self, value: f64) -> String {
        // To a billionth: all that is measured, and nothing that a change of units leaves.
        let text = ((value * 1e9).round() / 1e9).to_string();
        if self.comma {
            text.replace('.', ",")
        } else {
            text
        }
    }

    fn missing(&mut self, key: &'static str) -> String {
        self.typed
            .note(Fault::of_key(key, "nothing", format!("`{key}=..`")));
        String::new()
    }

    fn place(&mut self, before: Option<String>) -> String {
        let Some(text) = self.typed.text("place") else {
            return before.unwrap_or_else(|| self.missing("place"));
        };
        match length(text, self.units, true) {
            Ok(read) => {
                let (tens, factor) = self.columns.length.scale();
                self.number(read.mm / factor / 10_f64.powi(tens))
            }
            Err(e) => {
                let fault = e.fault(quoted(text));
                self.unread("place", fault)
            }
        }
    }

    fn degrees(&mut self, key: &'static str, column: Degrees, before: Option<String>) -> String {
        let Some(text) = self.typed.text(key) else {
            return before.unwrap_or_else(|| self.missing(key));
        };
        let (bare, unit) = degrees_of(text);
        match number(bare) {
            Ok(read) => {
                let celsius = unit.unwrap_or(column).celsius(read.value);
                self.number(column.of_celsius(celsius))
            }
            Err(e) => self.unread(key, e.fault(quoted(text))),
        }
    }

    fn emissivity(&mut self, before: Option<String>) -> String {
        let Some(text) = self.typed.text("emissivity") else {
            return before.unwrap_or_else(|| self.missing("emissivity"));
        };
        match number(text) {
            Ok(read) => self.number(read.value),
            Err(e) => self.unread("emissivity", e.fault(quoted(text))),
        }
    }

    fn unread(&mut self, key: &str, fault: Fault) -> String {
        self.typed.note(fault.of(Part::Key(key.to_owned())));
        String::new()
    }
}

/// Fields as a line.
fn line_of(fields: &[String], separator: u8) -> String {
    let mut writer = WriterBuilder::new()
        .delimiter(separator)
        .from_writer(Vec::new());
    // Writing into memory cannot fail.
    let written = writer.write_record(fields).is_ok();
    let bytes = writer.into_inner().ok().filter(|_| written);
    let bytes = bytes.unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

/// The text, once the record with it has been read.
fn read_back(
    (name, bytes): (&str, &[u8]),
    text: String,
    adding: &Adding<'_>,
) -> Result<Appended, Refused> {
    let whole = [bytes, text.as_bytes()].concat();
    let mut record = read_record(name, &whole, Some(adding.units))?;
    let reading = record.readings.pop().ok_or_else(|| {
        let fault = Fault::whole(quoted(&text), "a reading");
        Refused::new(adding.called, vec![fault])
    })?;
    Ok(Appended { text, reading })
}
