//! Which columns of a file are x and y, in which unit, and what stands in them.

use super::length::Unit;
use super::lines::Line;
use super::notice::SectionNotice;
use super::number::{quoted, slip, spelled};
use super::raw::{Raw, Typing};
use crate::fault::{Fault, Hint, Part};
use crate::geometry::Point;

/// What a header must be.
pub(super) const HEADER: &str = "the header `x_mm,y_mm` (or `_cm`, or `_in`, in both)";

/// Is there nothing but numbers in the first line?
pub(super) fn headless(line: &Line) -> bool {
    let number = |field: &[u8]| {
        let text = std::str::from_utf8(field).unwrap_or("?");
        spelled(text, 0).is_some()
    };
    line.fields.iter().all(number)
}

/// Where x and y stand in a line, and what is to be said of the header.
#[derive(Debug)]
pub(super) struct Columns {
    x: Axis,
    y: Axis,
    width: usize,
    /// Does the first line hold a point?
    pub(super) headless: bool,
    /// What was taken for granted.
    pub(super) note: Option<SectionNotice>,
    /// What is wrong with the header, although the lines below can be read.
    pub(super) faults: Vec<Fault>,
}

/// The column of one axis.
#[derive(Debug)]
struct Axis {
    column: usize,
    /// As messages call it: `x_mm`.
    name: String,
    unit: Unit,
}

impl Axis {
    fn new(axis: &str, column: usize, unit: Unit) -> Self {
        Self {
            column,
            name: format!("{axis}_{}", unit.name()),
            unit,
        }
    }
}

impl Columns {
    /// Takes two columns of numbers as x and y in the units that were said.
    pub(super) fn without_header(line: &Line, typing: Typing) -> Result<Self, Vec<Fault>> {
        let found = "no header above the first point";
        let (Some(units), 2) = (typing.units, line.fields.len()) else {
            let hint = (line.fields.len() == 2).then_some(Hint::SayUnits);
            return Err(vec![Fault::at(line.number, found, HEADER).hint(hint)]);
        };
        Ok(Self {
            x: Axis::new("x", 0, units.into()),
            y: Axis::new("y", 1, units.into()),
            width: 2,
            headless: true,
            note: Some(SectionNotice::UnitsTaken {
                headless: true,
                unit: units,
            }),
            faults: Vec::new(),
        })
    }

    /// Finds both columns in the header; faults alone if the lines below cannot be read.
    pub(super) fn find(header: &Line, typing: Typing) -> Result<Self, Vec<Fault>> {
        let mut faults = Vec::new();
        let mut names = Vec::new();
        for i in 0..header.fields.len() {
            match header.text(i) {
                Ok(text) => names.push(text.to_lowercase()),
                Err(fault) => {
                    faults.push(fault);
                    names.push("?".to_owned());
                }
            }
        }
        let unnamed = names.iter().filter(|n| n.is_empty()).count();
        if unnamed > 0 {
            let found = format!("{unnamed} of {} columns without a name", names.len());
            let expected = "a name for each, or no separator at the end";
            faults.push(Fault::at(header.number, found, expected));
        }
        let mut found = [None, None];
        for (axis, place) in ["x", "y"].into_iter().zip(&mut found) {
            match axis_column(axis, &names) {
                Ok(column) => *place = Some(column),
                Err(e) => faults.push(Fault::at(header.number, e, HEADER)),
            }
        }
        let [Some((x, unit)), Some((y, unit_y))] = found else {
            return Err(faults);
        };
        let name = |unit: Option<Unit>| unit.map_or("no unit", Unit::name);
        if unit != unit_y {
            let found = format!("x in {} and y in {}", name(unit), name(unit_y));
            faults.push(Fault::at(header.number, found, "the same unit in both"));
        }
        let (unit, note) = match (unit.or(unit_y), typing.units) {
            (Some(unit), _) => (unit, None),
            (None, Some(units)) => {
                let note = SectionNotice::UnitsTaken {
                    headless: false,
                    unit: units,
                };
                (units.into(), Some(note))
            }
            (None, None) => {
                let found = format!("no unit in the header {}", quoted(&names.join(",")));
                faults.push(Fault::at(header.number, found, HEADER).hint(Hint::SayUnits));
                (Unit::Mm, None)
            }
        };
        Ok(Self {
            x: Axis::new("x", x, unit),
            y: Axis::new("y", y, unit),
            width: names.len(),
            headless: false,
            note,
            faults,
        })
    }

    /// Reads a line as a point.
    pub(super) fn read(&self, line: &Line, raw: &mut Raw) {
        if line.fields.len() != self.width {
            raw.fault(self.wrong_width(line));
            return;
        }
        let x = value(&self.x, line, raw, false);
        let y = value(&self.y, line, raw, true);
        if let (Some(x), Some(y)) = (x, y) {
            raw.placed.push((line.number, Point::new(x, y)));
        }
    }

    /// The fault of a line with too few or too many columns.
    fn wrong_width(&self, line: &Line) -> Fault {
        let n = line.fields.len();
        let only = String::from_utf8_lossy(line.fields.get(0).unwrap_or_default());
        let hint = if n == 1 && only.contains(';') {
            Some(Hint::Separator(';'))
        } else if n == 1 && only.contains(',') {
            Some(Hint::Separator(','))
        } else if n == 1 && only.contains(char::is_whitespace) {
            Some(Hint::Separator(' '))
        } else if n == 2 * self.width {
            Some(Hint::DecimalColumns)
        } else if n == self.width + 1 && line.fields.get(n - 1).is_some_and(<[u8]>::is_empty) {
            Some(Hint::TrailingComma)
        } else {
            None
        };
        let found = format!("{n} column{}", if n == 1 { "" } else { "s" });
        let expected = format!("{} as in the header", self.width);
        Fault::at(line.number, found, expected).hint(hint)
    }
}

/// Reads one coordinate, mm.
fn value(axis: &Axis, line: &Line, raw: &mut Raw, height: bool) -> Option<f64> {
    let text = match line.text(axis.column) {
        Ok(text) => text,
        Err(fault) => {
            raw.fault(fault);
            return None;
        }
    };
    let (tens, factor) = axis.unit.scale();
    let read = spelled(text, tens).filter(|n| (n.value * factor).is_finite());
    let Some(read) = read else {
        let fault = match spelled(text, 0) {
            Some(_) => Fault::whole(quoted(text), "a finite number"),
            None => slip(text).fault(quoted(text)),
        };
        let fault = fault.of(Part::Key(axis.name.clone()));
        raw.fault(fault.placed(line.number));
        return None;
    };
    raw.see(line.number, text, &read.in_unit(factor), height);
    Some(read.value * factor)
}

/// The column of an axis and its unit, if the header has one; or what was found instead.
fn axis_column(axis: &str, names: &[String]) -> Result<(usize, Option<Unit>), String> {
    let mut found = names
        .iter()
        .enumerate()
        .filter_map(|(i, name)| Some((i, unit_of(name.strip_prefix(axis)?)?)));
    let header = || quoted(&names.join(","));
    match (found.next(), found.next()) {
        (Some(column), None) => Ok(column),
        (Some(_), Some(_)) => Err(format!("more than one column of {axis} in {}", header())),
        (None, _) => Err(format!("no column of {axis} in {}", header())),
    }
}

/// The unit behind the name of an axis: `_mm`, ` (mm)`, ` [in]`, `/cm`, ` in mm`, or none;
/// `None` if it names something else.
pub(crate) fn unit_of(rest: &str) -> Option<Option<Unit>> {
    let Some(first) = rest.chars().next() else {
        return Some(None);
    };
    if first.is_alphanumeric() {
        return None;
    }
    let marks = |c: char| c.is_whitespace() || "_-/.,:()[]{}".contains(c);
    let bare = rest.trim_matches(marks);
    let bare = bare.strip_prefix("in ").map_or(bare, str::trim);
    Unit::of(bare).map(Some)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unit_is_found_behind_the_name() {
        for (name, unit) in [
            ("", Some(None)),
            ("_mm", Some(Some(Unit::Mm))),
            (" (mm)", Some(Some(Unit::Mm))),
            ("[in]", Some(Some(Unit::Inch))),
            (" in inches", Some(Some(Unit::Inch))),
            ("/cm", Some(Some(Unit::Cm))),
            (" [\"]", Some(Some(Unit::Inch))),
            ("_um", None),
            ("1", None),
            ("mm", None),
            ("_raw_mm", None),
            ("-error", None),
        ] {
            assert_eq!(unit_of(name), unit, "x{name}");
        }
    }
}
