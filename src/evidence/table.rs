//! A table with named columns, as a spreadsheet writes it, its faults with their lines.
//!
//! Columns are parted by semicolons, tabs or commas, whichever the header has first in that
//! order. Names are read as those of a section's columns are (`flat_mm`, `flat (mm)`), numbers too.

use crate::fault::{Fault, Hint, Part};
use crate::film::closest;
use crate::section::{Line, Lines, Marks, Unit, number, quoted, unit_of};
use std::cell::RefCell;

/// A column that a table may have.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    /// Its name, without a unit where it is a length.
    pub(super) name: &'static str,
    /// Does it hold lengths, whose unit its name ends in?
    pub(super) length: bool,
}

/// Where the known columns stand.
#[derive(Debug)]
struct Columns {
    known: &'static [Known],
    /// Place and unit of each known column.
    at: Vec<Option<(usize, Unit)>>,
    /// Columns of the header.
    width: usize,
    /// Decimal marks, of which a table has one.
    marks: RefCell<Marks>,
}

/// A row of a table.
pub(super) struct Row<'a> {
    columns: &'a Columns,
    line: &'a Line,
}

/// Reads a table; `take` is handed each row and says what is wrong with it.
///
/// # Errors
/// Every fault, with its line.
pub(super) fn read(
    text: &str,
    known: &'static [Known],
    mut take: impl FnMut(&Row<'_>) -> Result<(), Vec<Fault>>,
) -> Result<(), Vec<Fault>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let blank = |line: &&str| line.is_empty() || line.starts_with('#');
    let header = text.lines().map(str::trim).find(|line| !blank(line));
    let Some(header) = header else {
        let expected = format!("the header, of {}", names(known));
        return Err(vec![Fault::whole("an empty table", expected)]);
    };
    let separator = [b';', b'\t', b',']
        .into_iter()
        .find(|&c| header.contains(char::from(c)));
    let mut lines = Lines::new(text.as_bytes(), separator.unwrap_or(b','));
    lines.advance();
    let columns = Columns::find(&lines.line, known)?;
    let mut faults = Vec::new();
    while lines.advance() {
        let row = Row {
            columns: &columns,
            line: &lines.line,
        };
        let found = row.line.fields.len();
        if found > columns.width {
            let expected = format!("{} as in the header", columns.width);
            let fault = Fault::at(row.line(), format!("{found} columns"), expected);
            faults.push(fault.hint(Hint::DecimalColumns));
        } else if let Err(found) = take(&row) {
            faults.extend(found);
        }
    }
    faults.extend(columns.marks.into_inner().fault());
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// Columns as a header has them.
fn names(known: &[Known]) -> String {
    let all: Vec<String> = known.iter().map(|k| format!("`{}`", k.shown())).collect();
    all.join(", ")
}

impl Known {
    /// A column of words or of plain numbers.
    pub(super) const fn word(name: &'static str) -> Self {
        let length = false;
        Self { name, length }
    }

    /// A column of lengths.
    pub(super) const fn length(name: &'static str) -> Self {
        let length = true;
        Self { name, length }
    }

    /// The column as a header has it.
    fn shown(&self) -> String {
        let unit = if self.length { "_mm" } else { "" };
        format!("{}{unit}", self.name)
    }

    /// The unit in which a header names this column, mm of one that is no length. `None`: it
    /// names another, or a length without its unit.
    fn unit_in(&self, header: &str) -> Option<Unit> {
        let rest = header.strip_prefix(self.name)?;
        if self.length {
            return unit_of(rest)?;
        }
        rest.is_empty().then_some(Unit::Mm)
    }
}

impl Columns {
    fn find(header: &Line, known: &'static [Known]) -> Result<Self, Vec<Fault>> {
        let mut faults = Vec::new();
        let width = header.fields.len();
        let mut at = vec![None; known.len()];
        for i in 0..width {
            let name = match header.text(i) {
                Ok(name) => name.to_lowercase(),
                Err(fault) => {
                    faults.push(fault);
                    continue;
                }
            };
            let all = known.iter().enumerate();
            let named = all.filter_map(|(k, column)| Some((k, column.unit_in(&name)?)));
            match named.min_by_key(|(k, _)| *k) {
                Some((k, unit)) if at[k].is_none() => at[k] = Some((i, unit)),
                Some(_) => {
                    let found = format!("`{name}` a second time");
                    faults.push(Fault::at(header.number, found, "each column once"));
                }
                None => {
                    let shown: Vec<String> = known.iter().map(Known::shown).collect();
                    let meant = closest(&name, shown.iter().map(String::as_str));
                    let meant = meant.map(|name| Hint::Meant(name.to_owned()));
                    let found = format!("the column {}", quoted(&name));
                    let expected = format!("one of {}", names(known));
                    faults.push(Fault::at(header.number, found, expected).hint(meant));
                }
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        Ok(Self {
            known,
            at,
            width,
            marks: RefCell::default(),
        })
    }
}

impl Row<'_> {
    /// Its line in the file.
    pub(super) fn line(&self) -> usize {
        self.line.number
    }

    /// The text and the unit of a column; none where it is empty or there is no such column.
    fn cell(&self, name: &str) -> Result<Option<(&str, Unit)>, Fault> {
        let k = self
            .columns
            .known
            .iter()
            .position(|known| known.name == name);
        let Some((i, unit)) = k.and_then(|k| self.columns.at[k]) else {
            return Ok(None);
        };
        let text = self.line.text(i)?;
        Ok(Some((text, unit)).filter(|_| !text.is_empty()))
    }

    /// The text of a column.
    pub(super) fn text(&self, name: &str) -> Result<Option<&str>, Fault> {
        Ok(self.cell(name)?.map(|(text, _)| text))
    }

    /// The number of a column; of a length, mm.
    pub(super) fn number(&self, name: &str) -> Result<Option<f64>, Fault> {
        let Some((text, unit)) = self.cell(name)? else {
            return Ok(None);
        };
        let read = number(text).map_err(|no| self.of(name, no.fault(quoted(text))))?;
        let mut marks = self.columns.marks.borrow_mut();
        marks.see(Some(self.line()), read.mark, text);
        let (tens, factor) = unit.scale();
        Ok(Some(read.value * factor * 10_f64.powi(tens)))
    }

    /// The same fault of this row's column.
    pub(super) fn of(&self, name: &str, fault: Fault) -> Fault {
        let known = self.columns.known.iter().find(|known| known.name == name);
        let key = known.map_or_else(|| name.to_owned(), Known::shown);
        fault.placed(self.line()).of(Part::Key(key))
    }
}
