//! A table with named columns, as a spreadsheet writes it, its faults with their lines.

use crate::fault::{Fault, Hint, Part};
use crate::film::closest;
use crate::section::{Line, Lines, Unit, number, quoted};

/// A column that a table may have.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    /// Its name without a unit.
    pub(super) name: &'static str,
    /// Units its name may end in, `_mm` and the like; none if it has no unit.
    pub(super) units: &'static [&'static str],
}

/// Units of a length.
pub(super) const LENGTH: &[&str] = &["mm", "cm", "in"];

/// Where the known columns stand.
#[derive(Debug)]
pub(super) struct Columns {
    known: &'static [Known],
    /// Place and unit of each known column.
    at: Vec<Option<(usize, &'static str)>>,
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
    needed: &[&'static str],
    mut take: impl FnMut(&Row<'_>) -> Result<(), Vec<Fault>>,
) -> Result<(), Vec<Fault>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().find(|line| {
        let line = line.trim();
        !line.is_empty() && !line.starts_with('#')
    });
    let header = header.unwrap_or_default();
    let separator = [b';', b'\t']
        .into_iter()
        .find(|&c| header.contains(char::from(c)));
    let mut lines = Lines::new(text.as_bytes(), separator.unwrap_or(b','));
    if !lines.advance() {
        let names: Vec<String> = known.iter().map(Known::shown).collect();
        let expected = format!("the header, of {}", names.join(", "));
        return Err(vec![Fault::whole("an empty table", expected)]);
    }
    let columns = Columns::find(&lines.line, known, needed)?;
    let mut faults = Vec::new();
    while lines.advance() {
        let row = Row {
            columns: &columns,
            line: &lines.line,
        };
        let width = columns.width();
        if row.line.fields.len() > width.max(lines.line.fields.len().min(width)) {
            let found = format!("{} columns", row.line.fields.len());
            let fault = Fault::at(row.line.number, found, format!("{width}, as in the header"));
            faults.push(fault.hint(Hint::TrailingComma));
        } else if let Err(found) = take(&row) {
            faults.extend(found);
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

impl Known {
    /// The column as a header has it.
    fn shown(&self) -> String {
        match self.units.first() {
            Some(unit) => format!("`{}_{unit}`", self.name),
            None => format!("`{}`", self.name),
        }
    }

    /// The unit in which a header names this column.
    fn unit_in(&self, header: &str) -> Option<&'static str> {
        if self.units.is_empty() {
            return (header == self.name).then_some("");
        }
        let unit = header.strip_prefix(self.name)?.strip_prefix('_')?;
        self.units.iter().copied().find(|&known| known == unit)
    }
}

impl Columns {
    fn find(
        header: &Line,
        known: &'static [Known],
        needed: &[&'static str],
    ) -> Result<Self, Vec<Fault>> {
        let mut faults = Vec::new();
        let mut at = vec![None; known.len()];
        for i in 0..header.fields.len() {
            let name = match header.text(i) {
                Ok(name) => name.to_ascii_lowercase(),
                Err(fault) => {
                    faults.push(fault);
                    continue;
                }
            };
            let found = known.iter().enumerate();
            let mut found = found.filter_map(|(k, column)| Some((k, column.unit_in(&name)?)));
            match found.next() {
                Some((k, unit)) if at[k].is_none() => at[k] = Some((i, unit)),
                Some(_) => {
                    let found = format!("`{name}` a second time");
                    faults.push(Fault::at(header.number, found, "each column once"));
                }
                None => {
                    let names: Vec<String> = known.iter().map(Known::shown).collect();
                    let bare: Vec<&str> = names.iter().map(|n| n.trim_matches('`')).collect();
                    let meant = closest(&name, bare).map(|m| Hint::Meant(m.to_owned()));
                    let found = format!("the column {}", quoted(&name));
                    let expected = format!("one of {}", names.join(", "));
                    faults.push(Fault::at(header.number, found, expected).hint(meant));
                }
            }
        }
        for name in needed {
            let missing = known
                .iter()
                .zip(&at)
                .find(|(k, at)| k.name == *name && at.is_none());
            if let Some((column, _)) = missing {
                let found = format!("no column {}", column.shown());
                faults.push(Fault::at(header.number, found, "it in the header"));
            }
        }
        if faults.is_empty() {
            Ok(Self { known, at })
        } else {
            Err(faults)
        }
    }

    /// Columns of the header.
    fn width(&self) -> usize {
        let last = self.at.iter().flatten().map(|column| column.0 + 1);
        last.max().unwrap_or(0)
    }
}

impl Row<'_> {
    /// Its line in the file.
    pub(super) fn line(&self) -> usize {
        self.line.number
    }

    fn place(&self, name: &str) -> Option<(usize, &'static str, String)> {
        let columns = self.columns.known.iter().zip(&self.columns.at);
        let mut named = columns.filter(|(known, _)| known.name == name);
        let (known, at) = named.next()?;
        let (i, unit) = (*at)?;
        let shown = known.shown();
        Some((i, unit, shown))
    }

    /// The text of a column; none where it is empty or there is no such column.
    pub(super) fn text(&self, name: &str) -> Result<Option<&str>, Fault> {
        let Some((i, ..)) = self.place(name) else {
            return Ok(None);
        };
        Ok(Some(self.line.text(i)?).filter(|text| !text.is_empty()))
    }

    /// The number of a column, in the unit of the column.
    pub(super) fn number(&self, name: &str) -> Result<Option<(f64, &'static str)>, Fault> {
        let Some(text) = self.text(name)? else {
            return Ok(None);
        };
        let unit = self.place(name).map_or("", |place| place.1);
        match number(text) {
            Ok(read) => Ok(Some((read.value, unit))),
            Err(no) => Err(self.of(name, no.fault(quoted(text)))),
        }
    }

    /// The length of a column, mm.
    pub(super) fn length(&self, name: &str) -> Result<Option<f64>, Fault> {
        let read = self.number(name)?;
        Ok(read.map(|(value, unit)| {
            let (tens, factor) = Unit::of(unit).unwrap_or(Unit::Mm).scale();
            value * factor * 10_f64.powi(tens)
        }))
    }

    /// The same fault of this row's column.
    pub(super) fn of(&self, name: &str, fault: Fault) -> Fault {
        let place = self.place(name).map_or_else(|| name.to_owned(), |p| p.2);
        let key = place.trim_matches('`').to_owned();
        fault.placed(self.line.number).of(Part::Key(key))
    }
}
