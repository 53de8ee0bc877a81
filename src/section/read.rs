//! Sections from files and from typed points; every fault at once, each with its place.

use super::typed::{Typed, number, quoted};
use super::{Fault, Point, Section, SectionError, Units};
use csv::{ByteRecord, ReaderBuilder, Trim};

/// Headers of a column and the millimetres in its unit.
const UNITS: [(&str, f64); 3] = [("mm", 1.0), ("cm", 10.0), ("in", 25.4)];

/// What a header must be.
const HEADER: &str = "the header `x_mm,y_mm` (or `_cm`, or `_in`, in both)";

/// Reads a section from CSV.
///
/// The header names the columns: `x_mm,y_mm`, `x_cm,y_cm` or `x_in,y_in`; further columns
/// are ignored if the header names them. Lines that start with `#` are comments, blank
/// lines are skipped, a byte order mark and carriage returns are allowed.
///
/// # Arguments
/// * `name`: what messages call the file.
/// * `bytes`: its content, UTF-8; any bytes are safe.
///
/// # Errors
/// [`SectionError`] with every fault, each with its line: a header that is missing or
/// names other columns, a line with too few or too many columns, a value that is not a
/// finite number or not UTF-8, and all that [`Section::new`] refuses.
///
/// # Example
/// ```
/// let door = tautspan::read_csv("door.csv", b"x_mm,y_mm\n-60,0\n0,-10\n60,0\n")?;
/// assert_eq!(door.line().points().len(), 3);
/// let e = tautspan::read_csv("door.csv", b"x_mm,y_mm\n-60,0\n0,-1O\n60,0\n").unwrap_err();
/// assert!(e.to_string().starts_with("door.csv:3: found `y_mm` is `-1O`, expected a number"));
/// # Ok::<(), tautspan::SectionError>(())
/// ```
pub fn read_csv(name: &str, bytes: &[u8]) -> Result<Section, SectionError> {
    let refused = |faults| SectionError {
        name: name.to_owned(),
        faults,
    };
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        return Err(refused(vec![Fault::at(
            1,
            "a file in UTF-16",
            "UTF-8: save it as CSV UTF-8",
        )]));
    }
    let mut records = Records::new(bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes));
    let Some(header) = records.next() else {
        return Err(refused(vec![Fault::whole("no lines but comments", HEADER)]));
    };
    let (columns, mut faults) = Columns::find(&header);
    let Some(columns) = columns else {
        return Err(refused(faults));
    };
    let mut placed = Vec::new();
    for line in records {
        match columns.point(&line) {
            Ok(point) => placed.push((line.number, point)),
            Err(found) => faults.extend(found),
        }
    }
    Section::from_placed(name, &placed, faults)
}

/// One line of a CSV file that is neither blank nor a comment.
struct Line {
    number: usize,
    fields: ByteRecord,
}

impl Line {
    /// The text of a column.
    fn text(&self, i: usize) -> Result<&str, Fault> {
        let bytes = self.fields.get(i).unwrap_or_default();
        std::str::from_utf8(bytes).map_err(|_| {
            let found = quoted(&String::from_utf8_lossy(bytes));
            Fault::at(
                self.number,
                format!("bytes that are not UTF-8 in {found}"),
                "UTF-8 text",
            )
        })
    }
}

/// The lines of a CSV file with their true numbers.
///
/// The `csv` reader puts a record where the one before it ended, so that comments and
/// blank lines count to the record below them; `counted` skips over them.
struct Records<'a> {
    reader: csv::Reader<&'a [u8]>,
    bytes: &'a [u8],
    counted: usize,
    number: usize,
}

impl<'a> Records<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        let reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(Trim::All)
            .comment(Some(b'#'))
            .from_reader(bytes);
        Self {
            reader,
            bytes,
            counted: 0,
            number: 1,
        }
    }

    /// The number of the line that holds the first byte, from `from` on, of a record.
    fn number_at(&mut self, from: usize) -> usize {
        let mut start = from.min(self.bytes.len());
        loop {
            match self.bytes.get(start) {
                Some(b'\r' | b'\n') => start += 1,
                Some(b'#') => {
                    let rest = &self.bytes[start..];
                    start += rest.iter().position(|&b| b == b'\n').unwrap_or(rest.len());
                }
                _ => break,
            }
        }
        let passed = self.bytes.get(self.counted..start).unwrap_or_default();
        self.number += passed.iter().filter(|&&b| b == b'\n').count();
        self.counted = self.counted.max(start);
        self.number
    }
}

impl Iterator for Records<'_> {
    type Item = Line;

    fn next(&mut self) -> Option<Line> {
        loop {
            let mut fields = ByteRecord::new();
            // Reading from memory into bytes cannot fail; a failure would end the file.
            if !self.reader.read_byte_record(&mut fields).unwrap_or(false) {
                return None;
            }
            let from = fields.position().map_or(0, csv::Position::byte);
            let number = self.number_at(usize::try_from(from).unwrap_or(usize::MAX));
            let comment = fields.get(0).is_some_and(|f| f.starts_with(b"#"));
            if !comment && fields.iter().any(|f| !f.is_empty()) {
                return Some(Line { number, fields });
            }
        }
    }
}

/// Where x and y stand in a line.
struct Columns {
    x: usize,
    y: usize,
    unit: &'static str,
    in_mm: f64,
    width: usize,
}

impl Columns {
    /// Finds both columns in the header; `None` if the lines below cannot be read.
    fn find(header: &Line) -> (Option<Self>, Vec<Fault>) {
        let mut faults = Vec::new();
        let mut names = Vec::new();
        for i in 0..header.fields.len() {
            match header.text(i) {
                Ok(text) => names.push(text.to_ascii_lowercase()),
                Err(fault) => {
                    faults.push(fault);
                    names.push("?".to_owned());
                }
            }
        }
        if names.iter().all(|n| number(n).is_ok()) {
            faults.push(Fault::at(
                header.number,
                "no header above the first point",
                HEADER,
            ));
            return (None, faults);
        }
        let unnamed = names.iter().filter(|n| n.is_empty()).count();
        if unnamed > 0 {
            let found = format!("{unnamed} of {} columns without a name", names.len());
            faults.push(Fault::at(
                header.number,
                found,
                "a name for each, or no comma at the end",
            ));
        }
        let mut found = [None, None];
        for (axis, place) in ["x", "y"].into_iter().zip(&mut found) {
            match axis_column(axis, &names) {
                Ok(column) => *place = Some(column),
                Err(e) => faults.push(Fault::at(header.number, e, header_hint(&names))),
            }
        }
        let [Some((x, unit, in_mm)), Some((y, unit_y, _))] = found else {
            return (None, faults);
        };
        if unit != unit_y {
            let found = format!("x in {unit} and y in {unit_y}");
            faults.push(Fault::at(header.number, found, "the same unit in both"));
        }
        (
            Some(Self {
                x,
                y,
                unit,
                in_mm,
                width: names.len(),
            }),
            faults,
        )
    }

    /// Reads a line as a point, mm.
    fn point(&self, line: &Line) -> Result<Point, Vec<Fault>> {
        if line.fields.len() != self.width {
            return Err(vec![self.wrong_width(line)]);
        }
        let mut faults = Vec::new();
        let mut read = |i: usize, axis: &str| match self.value(line, i, axis) {
            Ok(value) => value,
            Err(fault) => {
                faults.push(fault);
                f64::NAN
            }
        };
        let point = Point::new(read(self.x, "x"), read(self.y, "y"));
        if faults.is_empty() {
            Ok(point)
        } else {
            Err(faults)
        }
    }

    /// One coordinate, mm.
    fn value(&self, line: &Line, i: usize, axis: &str) -> Result<f64, Fault> {
        let text = line.text(i)?;
        let found = || format!("`{axis}_{}` is {}", self.unit, quoted(text));
        let value =
            number(text).map_err(|e| Fault::at(line.number, found(), e.expected))? * self.in_mm;
        if value.is_finite() {
            Ok(value)
        } else {
            Err(Fault::at(line.number, found(), "a finite number"))
        }
    }

    /// The fault of a line with too few or too many columns.
    fn wrong_width(&self, line: &Line) -> Fault {
        let n = line.fields.len();
        let only = String::from_utf8_lossy(line.fields.get(0).unwrap_or_default());
        let hint = if n == 1 && only.contains(';') {
            "; semicolons in place of commas?"
        } else if n == 1 && only.contains(char::is_whitespace) {
            "; spaces or tabs in place of commas?"
        } else if n == 2 * self.width {
            "; decimal commas? write points"
        } else if n == self.width + 1 && line.fields.get(n - 1).is_some_and(<[u8]>::is_empty) {
            "; leave out the comma at the end"
        } else {
            ""
        };
        let found = format!("{n} column{}", if n == 1 { "" } else { "s" });
        Fault::at(
            line.number,
            found,
            format!("{} as in the header{hint}", self.width),
        )
    }
}

/// The column of an axis, its unit and the millimetres in it; or what was found instead.
fn axis_column(axis: &str, names: &[String]) -> Result<(usize, &'static str, f64), String> {
    let mut found = names.iter().enumerate().filter_map(|(i, name)| {
        let unit = name.strip_prefix(axis)?.strip_prefix('_')?;
        let &(unit, in_mm) = UNITS.iter().find(|u| u.0 == unit)?;
        Some((i, unit, in_mm))
    });
    match (found.next(), found.next()) {
        (Some(column), None) => Ok(column),
        (Some(_), Some(_)) => Err(format!(
            "more than one column of {axis} in {}",
            quoted(&names.join(","))
        )),
        (None, _) => Err(format!(
            "no column of {axis} in {}",
            quoted(&names.join(","))
        )),
    }
}

/// What was expected of a header with these names.
fn header_hint(names: &[String]) -> String {
    if names.len() == 1 && names[0].contains(';') {
        format!("{HEADER}; semicolons in place of commas?")
    } else if names.iter().any(|n| n == "x" || n == "y") {
        format!("{HEADER}; the unit belongs in the name")
    } else {
        HEADER.to_owned()
    }
}

/// Reads a section from typed points `x,y x,y ..`, apart by white space or semicolons.
///
/// # Arguments
/// * `name`: what messages call the section.
/// * `text`: the points, left to right.
/// * `units`: what they are typed in.
///
/// # Errors
/// [`SectionError`] with every fault, each with the number of its point.
///
/// # Example
/// ```
/// let v = tautspan::read_points("v", "-60,0 0,-12 60,0", tautspan::Units::Mm)?;
/// assert_eq!(v.line().points()[1].y, -12.0);
/// # Ok::<(), tautspan::SectionError>(())
/// ```
pub fn read_points(name: &str, text: &str, units: Units) -> Result<Section, SectionError> {
    let mut placed = Vec::new();
    let mut faults = Vec::new();
    let tokens = text
        .split(|c: char| c == ';' || c.is_whitespace())
        .filter(|t| !t.is_empty());
    for (i, token) in tokens.enumerate() {
        match pair(token) {
            Ok((x, y)) => placed.push((i + 1, Point::new(x * units.in_mm(), y * units.in_mm()))),
            Err(expected) => faults.push(Fault::at(i + 1, quoted(token), expected)),
        }
    }
    Section::from_placed(name, &placed, faults)
}

/// Reads `x,y`; or says what was expected.
fn pair(token: &str) -> Result<(f64, f64), String> {
    let parts: Vec<&str> = token.split(',').collect();
    match parts[..] {
        [x, y] if x.is_empty() || y.is_empty() => {
            Err("`x,y` without a space beside the comma".to_owned())
        }
        [x, y] => {
            let read = |t| number(t).map_err(|e| e.expected);
            Ok((read(x)?, read(y)?))
        }
        [_] => Err("a point `x,y`".to_owned()),
        [_, _, _, _] => Err("a point `x,y`; decimal commas? write points".to_owned()),
        _ => Err("a point `x,y`, apart from the next by a space".to_owned()),
    }
}

/// Reads a section from the heights of a comb gauge, `pitch=5: 0,0,-2,-11,..`.
///
/// The heights stand `pitch` apart, the first at x = 0; they are separated by commas,
/// semicolons or white space.
///
/// # Arguments
/// * `name`: what messages call the section.
/// * `text`: pitch and heights, left to right, y out of the panel.
/// * `units`: what both are typed in.
///
/// # Errors
/// [`SectionError`] with every fault, each with the number of its height.
///
/// # Example
/// ```
/// let step = tautspan::read_comb("step", "pitch=5: 0,0,-6,-6", tautspan::Units::Mm)?;
/// assert_eq!(step.line().points()[2], tautspan::Point::new(10.0, -6.0));
/// # Ok::<(), tautspan::SectionError>(())
/// ```
pub fn read_comb(name: &str, text: &str, units: Units) -> Result<Section, SectionError> {
    let Some((head, body)) = text.split_once(':') else {
        let fault = Fault::whole(quoted(text), "`pitch=5: 0,0,-2,..`");
        return Err(SectionError {
            name: name.to_owned(),
            faults: vec![fault],
        });
    };
    let mut typed = Typed::split(head, &["pitch"], units);
    let pitch = typed.needed("pitch").unwrap_or(1.0);
    let mut faults = if typed.faulty() {
        typed.into_error(name).faults
    } else {
        Vec::new()
    };
    let mut placed = Vec::new();
    let mut x = 0.0;
    for (i, height) in heights(body).enumerate() {
        match number(height) {
            Ok(y) => placed.push((i + 1, Point::new(x * pitch, y * units.in_mm()))),
            Err(e) => faults.push(Fault::at(
                i + 1,
                format!("the height {}", quoted(height)),
                e.expected,
            )),
        }
        x += 1.0;
    }
    Section::from_placed(name, &placed, faults)
}

/// Splits heights at commas and semicolons, and at the white space within.
fn heights(body: &str) -> impl Iterator<Item = &str> {
    body.trim().split([',', ';']).flat_map(|part| {
        let part = part.trim();
        // Nothing between two commas is kept, to be refused with its number.
        let empty = part.is_empty().then_some("");
        part.split_whitespace().chain(empty)
    })
}

/// Writes a section as CSV, mm, with as many digits as bring back the same numbers.
///
/// # Example
/// ```
/// let v = tautspan::read_points("v", "-60,0 0,-0.1 60,0", tautspan::Units::Mm)?;
/// assert_eq!(tautspan::write_csv(&v), "x_mm,y_mm\n-60,0\n0,-0.1\n60,0\n");
/// # Ok::<(), tautspan::SectionError>(())
/// ```
pub fn write_csv(section: &Section) -> String {
    let mut text = String::from("x_mm,y_mm\n");
    for p in section.line().points() {
        text.push_str(&format!("{},{}\n", p.x, p.y));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn refused(text: &str) -> Vec<Fault> {
        read_csv("door.csv", text.as_bytes()).unwrap_err().faults
    }

    #[test]
    fn comments_blanks_mark_and_carriage_returns_are_read_over() {
        let text = "\u{feff}# a door\r\n\r\nx_mm,y_mm\r\n# flat\r\n-10,0\r\n0, -5\r\n,\r\n10,0\r\n";
        let section = read_csv("door.csv", text.as_bytes()).unwrap();
        assert_eq!(section.line().points()[1], Point::new(0.0, -5.0));
        assert!(section.warnings().is_empty());
    }

    #[test]
    fn a_letter_in_a_number_names_its_line() {
        let faults =
            refused("# one\n\nx_mm,y_mm\n-10,0\n\n# two\n0,-1O.5\n10,0,\n20,inf\n1,5,0,0\n");
        let places: Vec<_> = faults.iter().map(|f| f.place).collect();
        assert_eq!(places, [Some(7), Some(8), Some(9), Some(10)]);
        assert!(faults[0].found.contains("`1O.5`") || faults[0].found.contains("`-1O.5`"));
        assert!(faults[0].expected.contains("letter O"));
        assert!(faults[1].expected.contains("comma at the end"));
        assert!(faults[2].expected.contains("finite"));
        assert!(faults[3].expected.contains("decimal commas"));
    }

    #[test]
    fn both_numbers_of_a_line_are_reported() {
        assert_eq!(refused("x_mm,y_mm\na,b\n0,0\n1,0\n2,0\n").len(), 2);
    }

    #[test]
    fn units_scale_and_columns_are_found_by_name() {
        let text = b"note,y_in,x_in\n\"left, flat\",0,-1\nfoot,-0.5,0\nright,0,1\n";
        let points = read_csv("door.csv", text).unwrap().line().points().to_vec();
        assert_eq!(points[0], Point::new(-25.4, 0.0));
        assert_eq!(points[1], Point::new(0.0, -12.7));
        let text = b"x_cm,y_cm\n-1,0\n0,-0.5\n1,0\n";
        let points = read_csv("a", text).unwrap().line().points().to_vec();
        assert_eq!(points[1], Point::new(0.0, -5.0));
    }

    #[test]
    fn headers_that_do_not_serve_say_why() {
        for (text, word) in [
            ("0,0\n1,0\n2,0\n", "x_mm,y_mm"),
            ("x;y\n0;0\n", "semicolons"),
            ("x,y\n0,0\n", "unit belongs"),
            ("x_mm,y_cm\n0,0\n1,1\n2,0\n", "same unit"),
            ("x_mm,y_mm,\n0,0,\n1,1,\n2,0,\n", "a name for each"),
            ("x_mm,x_mm,y_mm\n0,0,0\n", "x_mm,y_mm"),
            ("", "x_mm,y_mm"),
        ] {
            let faults = refused(text);
            assert!(
                faults.iter().any(|f| f.expected.contains(word)),
                "{text:?}: {faults:?}"
            );
        }
    }

    #[test]
    fn bytes_that_are_not_utf8_are_named() {
        let e = read_csv("a", b"x_mm,y_mm\n0,0\n\xff,1\n2,0\n3,0\n").unwrap_err();
        assert_eq!(e.faults[0].place, Some(3));
        assert!(e.faults[0].found.contains("not UTF-8"));
        let e = read_csv("a", b"\xff\xfex\0_\0").unwrap_err();
        assert!(e.faults[0].found.contains("UTF-16"));
    }

    #[test]
    fn semicolons_in_a_line_are_named() {
        let faults = refused("x_mm,y_mm\n0;0\n1;0\n");
        assert_eq!(faults.len(), 2);
        assert!(faults[0].expected.contains("semicolons"));
    }

    #[test]
    fn typed_points_name_the_number_of_a_fault() {
        let section = read_points("p", " -1,0;0,-1  1,0\n", Units::Inch).unwrap();
        assert_eq!(section.line().points()[2], Point::new(25.4, 0.0));
        let e = read_points("p", "0,0 1, 0 2,5,1,0 3", Units::Mm).unwrap_err();
        let places: Vec<_> = e.faults.iter().map(|f| f.place).collect();
        assert_eq!(places, [Some(2), Some(3), Some(4), Some(5)]);
    }

    #[test]
    fn a_comb_stands_at_its_pitch() {
        let section = read_comb("c", "pitch=0.5: 0, 0 -1;-1", Units::Inch).unwrap();
        let last = section.line().points()[3];
        assert_relative_eq!(
            (last - Point::new(38.1, -25.4)).norm(),
            0.0,
            epsilon = 1e-12
        );
        let e = read_comb("c", "pich=5: 0,,1O", Units::Mm).unwrap_err();
        assert_eq!(e.faults.len(), 4);
    }
}
