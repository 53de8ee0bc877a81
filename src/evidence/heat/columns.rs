//! Which column of a record is what, in which unit, and a line of it as a reading.

use super::record::Reading;
use super::time::Time;
use crate::fault::{Fault, Hint, Part};
use crate::section::{LONGEST, Marks, Unit, Units, quoted, slip, spelled, unit_of};

/// The header that a new record has, a person's own units in it.
pub(super) fn header(length: Unit, fahrenheit: bool) -> String {
    let degrees = if fahrenheit { "f" } else { "c" };
    format!(
        "no,place_{},line,reading_{degrees},emissivity_set,surroundings_{degrees},time,corrects,note",
        length.name()
    )
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    Place,
    Reading,
    EmissivitySet,
    Surroundings,
    Time,
    Line,
    Number,
    Corrects,
    Note,
}

/// Names of the columns in lower case, and whether a record must have them.
const NAMES: [(&str, Column, bool); 9] = [
    ("place", Column::Place, true),
    ("reading", Column::Reading, true),
    ("emissivity_set", Column::EmissivitySet, true),
    ("surroundings", Column::Surroundings, true),
    ("time", Column::Time, true),
    ("line", Column::Line, false),
    ("no", Column::Number, false),
    ("corrects", Column::Corrects, false),
    ("note", Column::Note, false),
];

/// What a temperature may be, degC: a freezer to what no film outlives.
const TEMPERATURES: [f64; 2] = [-60.0, 500.0];

/// A temperature's unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Degrees {
    Celsius,
    Fahrenheit,
}

impl Degrees {
    pub(super) fn celsius(self, value: f64) -> f64 {
        match self {
            Self::Celsius => value,
            Self::Fahrenheit => (value - 32.0) / 1.8,
        }
    }

    pub(super) fn of_celsius(self, value: f64) -> f64 {
        match self {
            Self::Celsius => value,
            Self::Fahrenheit => 1.8 * value + 32.0,
        }
    }

    /// The unit of this spelling.
    pub(super) fn named(text: &str) -> Option<Self> {
        match text.trim().to_lowercase().as_str() {
            "c" | "degc" | "\u{b0}c" | "celsius" => Some(Self::Celsius),
            "f" | "degf" | "\u{b0}f" | "fahrenheit" => Some(Self::Fahrenheit),
            _ => None,
        }
    }
}

/// The columns of a record.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    /// The names of the header, in lower case.
    pub(super) names: Vec<String>,
    known: Vec<Option<Column>>,
    pub(super) length: Unit,
    pub(super) reading: Degrees,
    pub(super) surroundings: Degrees,
}

impl Columns {
    /// Finds the columns by their names; every fault of the header if one is amiss.
    pub(super) fn find(
        at: usize,
        fields: &[String],
        units: Option<Units>,
    ) -> Result<Self, Vec<Fault>> {
        let names: Vec<String> = fields.iter().map(|name| name.to_lowercase()).collect();
        let mut columns = Self {
            known: vec![None; names.len()],
            names,
            length: units.map_or(Unit::Mm, Unit::from),
            reading: Degrees::Celsius,
            surroundings: Degrees::Celsius,
        };
        let mut faults = Vec::new();
        for (name, column, needed) in NAMES {
            if let Err(fault) = columns.take(name, column, needed, units) {
                faults.push(fault.placed(at));
            }
        }
        if faults.is_empty() {
            Ok(columns)
        } else {
            Err(faults)
        }
    }

    /// Finds one column.
    fn take(
        &mut self,
        name: &str,
        column: Column,
        needed: bool,
        units: Option<Units>,
    ) -> Result<(), Fault> {
        let of = |found: &String| found.strip_prefix(name).and_then(|rest| fits(column, rest));
        let mut found = (0..self.names.len()).filter(|&i| of(&self.names[i]).is_some());
        let (first, second) = (found.next(), found.next());
        let example = format!("the header `{}`", header(Unit::Mm, false));
        let Some(i) = first else {
            let missing = format!("no column `{}`", wanted(name, column));
            return if needed {
                Err(Fault::whole(missing, example).hint(Hint::SayDegrees))
            } else {
                Ok(())
            };
        };
        if let Some(second) = second {
            let both = format!("`{}` and `{}`", self.names[i], self.names[second]);
            return Err(Fault::whole(both, "one of the two"));
        }
        match (column, of(&self.names[i])) {
            (Column::Place, Some(Named::Length(Some(unit)))) => self.length = unit,
            (Column::Place, _) if units.is_none() => {
                let bare = format!("no unit in `{}`", self.names[i]);
                return Err(Fault::whole(bare, "`place_mm`, `_cm` or `_in`").hint(Hint::SayUnits));
            }
            (Column::Reading, Some(Named::Degrees(degrees))) => self.reading = degrees,
            (Column::Surroundings, Some(Named::Degrees(degrees))) => self.surroundings = degrees,
            _ => {}
        }
        self.known[i] = Some(column);
        Ok(())
    }

    /// Is there such a column?
    pub(super) fn has(&self, column: Column) -> bool {
        self.known.contains(&Some(column))
    }

    /// The name of a column in the header.
    fn name(&self, column: Column) -> String {
        let found = self.known.iter().position(|known| *known == Some(column));
        found.map_or_else(String::new, |i| self.names[i].clone())
    }

    /// What each column holds.
    pub(super) fn known(&self) -> impl Iterator<Item = Option<Column>> {
        self.known.iter().copied()
    }

    /// Columns that nothing is read from.
    pub(super) fn unused(&self) -> Vec<String> {
        let named = self.names.iter().zip(&self.known);
        let unused = named.filter(|(name, known)| known.is_none() && !name.is_empty());
        unused.map(|(name, _)| name.clone()).collect()
    }

    /// Reads a line's fields as a reading; `count` is its number where no column has it.
    pub(super) fn read(
        &self,
        (at, count): (usize, u64),
        fields: &[String],
        marks: &mut Marks,
    ) -> Result<Reading, Vec<Fault>> {
        let mut line = Fields {
            columns: self,
            at,
            fields,
            marks,
            faults: Vec::new(),
        };
        if fields.len() != self.names.len() {
            return Err(vec![line.wrong_width()]);
        }
        let reading = Reading {
            at,
            place_mm: line.place(),
            reading_c: line.temperature(Column::Reading, self.reading),
            emissivity_set: line.emissivity(),
            surroundings_c: line.temperature(Column::Surroundings, self.surroundings),
            time: line.time(),
            line: line.text(Column::Line).to_lowercase().replace(' ', "-"),
            no: line.whole(Column::Number).unwrap_or(count),
            corrects: line.whole(Column::Corrects),
            note: line.text(Column::Note).to_owned(),
        };
        if line.faults.is_empty() {
            Ok(reading)
        } else {
            Err(line.faults)
        }
    }
}

/// What the name of a column says of its unit.
enum Named {
    Plain,
    Length(Option<Unit>),
    Degrees(Degrees),
}

/// What stands behind a column's name, if it is one.
fn fits(column: Column, rest: &str) -> Option<Named> {
    let marks = |c: char| c.is_whitespace() || "_-/.,:()[]{}".contains(c);
    match column {
        Column::Place => unit_of(rest).map(Named::Length),
        Column::Reading | Column::Surroundings if rest.starts_with(marks) => {
            Degrees::named(rest.trim_matches(marks)).map(Named::Degrees)
        }
        Column::Reading | Column::Surroundings => None,
        _ => rest.is_empty().then_some(Named::Plain),
    }
}

/// A column's name as a record writes it.
fn wanted(name: &str, column: Column) -> String {
    match column {
        Column::Place => format!("{name}_mm"),
        Column::Reading | Column::Surroundings => format!("{name}_c"),
        _ => name.to_owned(),
    }
}

/// The fields of a line, and the faults found in them so far.
struct Fields<'a> {
    columns: &'a Columns,
    at: usize,
    fields: &'a [String],
    marks: &'a mut Marks,
    faults: Vec<Fault>,
}

impl Fields<'_> {
    fn text(&self, column: Column) -> &str {
        let mut known = self.columns.known();
        let field = known.position(|known| known == Some(column));
        field.map_or("", |i| &self.fields[i])
    }

    /// Notes a fault of a column.
    fn fault(&mut self, column: Column, fault: Fault) {
        let key = Part::Key(self.columns.name(column));
        self.faults.push(fault.of(key).placed(self.at));
    }

    /// A number, its last digits so many powers of ten further left; 0 and a fault if it is none.
    fn number(&mut self, column: Column, tens: i32) -> f64 {
        let text = self.text(column).to_owned();
        match spelled(&text, tens) {
            Some(read) => {
                self.marks.see(Some(self.at), read.mark, &text);
                read.value
            }
            None => {
                self.fault(column, slip(&text).fault(quoted(&text)));
                f64::NAN
            }
        }
    }

    /// Notes a number that was read and cannot be.
    fn inside(&mut self, column: Column, value: f64, fits: bool, expected: &'static str) -> f64 {
        if !value.is_nan() && !fits {
            let found = quoted(self.text(column));
            self.fault(column, Fault::whole(found, expected));
        }
        value
    }

    fn place(&mut self) -> f64 {
        let (tens, factor) = self.columns.length.scale();
        let place = factor * self.number(Column::Place, tens);
        let fits = (0.0..=LONGEST).contains(&place);
        let expected = "a place from the left end on, 0 to 100 m";
        self.inside(Column::Place, place, fits, expected)
    }

    fn temperature(&mut self, column: Column, degrees: Degrees) -> f64 {
        let value = degrees.celsius(self.number(column, 0));
        let fits = (TEMPERATURES[0]..=TEMPERATURES[1]).contains(&value);
        let expected = match degrees {
            Degrees::Celsius => "-60 to 500 degC",
            Degrees::Fahrenheit => "-76 to 932 degF",
        };
        self.inside(column, value, fits, expected)
    }

    fn emissivity(&mut self) -> f64 {
        let value = self.number(Column::EmissivitySet, 0);
        let expected = "a number above 0 and at most 1";
        self.inside(
            Column::EmissivitySet,
            value,
            value > 0.0 && value <= 1.0,
            expected,
        )
    }

    fn time(&mut self) -> Time {
        let text = self.text(Column::Time).to_owned();
        Time::read(&text).unwrap_or_else(|| {
            let expected = "a time with its distance from UTC";
            let fault = Fault::whole(quoted(&text), expected).hint(Hint::ZonedTime);
            self.fault(Column::Time, fault);
            Time::utc(0)
        })
    }

    /// A whole number; none where the field is empty and may be.
    fn whole(&mut self, column: Column) -> Option<u64> {
        let text = self.text(column).to_owned();
        if !self.columns.has(column) || (text.is_empty() && column == Column::Corrects) {
            return None;
        }
        let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        let read = plain.then(|| text.parse().ok()).flatten();
        if read.is_none() {
            self.fault(column, Fault::whole(quoted(&text), "a whole number"));
        }
        read
    }

    /// The fault of a line with too few or too many columns.
    fn wrong_width(&self) -> Fault {
        let (n, wide) = (self.fields.len(), self.columns.names.len());
        let found = format!("{n} column{}", if n == 1 { "" } else { "s" });
        let fault = Fault::at(self.at, found, format!("{wide} as in the header"));
        fault.hint((n > wide).then_some(Hint::DecimalColumns))
    }
}
