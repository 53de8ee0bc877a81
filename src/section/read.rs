//! Sections from CSV and their like; every fault at once, each with its line.
//!
//! Commas, semicolons, tabs or spaces part the columns: whichever of them makes columns of x
//! and y out of the header. What parts the columns stands in no number unless in quotes, so
//! that a comma in a number is a decimal one, the same in the whole file ([`Marks`]).

use super::Section;
use super::header::{Columns, HEADER, headless};
use super::lines::Lines;
use super::raw::{Raw, Typing};
use crate::fault::{Fault, Hint, Refused};

/// Reads a section from CSV whose header has the units; see [`read_csv_as`].
///
/// # Errors
/// [`Refused`] with every fault, each with its line.
///
/// # Example
/// ```
/// let door = tautspan::read_csv("door.csv", b"x_mm,y_mm\n-60,0\n0,-10\n60,0\n")?;
/// assert_eq!(door.line().points().len(), 3);
/// let e = tautspan::read_csv("door.csv", b"x_mm,y_mm\n-60,0\n0,-1O\n60,0\n").unwrap_err();
/// assert!(e.to_string().starts_with("door.csv:3: `y_mm`: found `-1O`, expected a number"));
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_csv(name: &str, bytes: &[u8]) -> Result<Section, Refused> {
    read_csv_as(name, bytes, Typing::default())
}

/// Reads a section from CSV.
///
/// The header names the columns x and y in any order and case, with their unit: `x_mm`,
/// `X (mm)`, `y [in]`, `x/cm`; further columns are ignored if the header names them. Columns
/// are parted by commas, semicolons, tabs or spaces; numbers have a decimal point or, where
/// commas do not part the columns (or in quotes), a comma. Lines that start with `#` are
/// comments, blank lines are skipped, a byte order mark and carriage returns are allowed.
///
/// A header `x,y` without units, and two columns of numbers without a header, are read in
/// `typing.units` with a note if they are said, and asked back if not.
///
/// # Arguments
/// * `name`: what messages call the file.
/// * `bytes`: its content, UTF-8; any bytes are safe.
/// * `typing`: units of a file that does not say its own, and how the readings lie.
///
/// # Errors
/// [`Refused`] with every fault, each with its line: a header that is missing or
/// names other columns, a line with too few or too many columns, a value that is not a
/// finite number or not UTF-8, decimal marks that are mixed or may part thousands, and all
/// that [`Section::new`] refuses. Beyond a thousand faults they are only counted.
///
/// # Example
/// ```
/// use tautspan::{Units, read_csv};
/// use tautspan::section::read_csv_as;
/// let door = read_csv_as("door.csv", b"Y;X\n0;-60\n-10,5;0\n0;60\n", Units::Mm.into())?;
/// assert_eq!(door.line(), read_csv("door", b"X (cm)\tY (cm)\n-6\t0\n0\t-1,05\n6\t0\n")?.line());
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_csv_as(name: &str, bytes: &[u8], typing: Typing) -> Result<Section, Refused> {
    let mut raw = Raw::default();
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        let fault = Fault::at(1, "a file in UTF-16", "UTF-8");
        raw.fault(fault.hint(Hint::SaveAsUtf8));
        return refused(name, raw);
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let (mut lines, columns) = match table(bytes, typing) {
        Ok(found) => found,
        Err(faults) => {
            raw.faults = faults;
            return refused(name, raw);
        }
    };
    raw.faults.extend(columns.faults.iter().cloned());
    raw.notes.extend(columns.note.clone());
    let mut more = columns.headless || lines.advance();
    while more {
        columns.read(&lines.line, &mut raw);
        more = lines.advance();
    }
    raw.section(name, typing)
}

/// The faults of a file without a readable line.
fn refused(name: &str, raw: Raw) -> Result<Section, Refused> {
    Err(Refused::new(name, raw.faults))
}

/// What may part columns, in the order it is tried.
const SEPARATORS: [u8; 4] = *b";\t, ";

/// Finds what parts the columns, and which are x and y.
fn table(bytes: &[u8], typing: Typing) -> Result<(Lines<'_>, Columns), Vec<Fault>> {
    let mut faults: Option<Vec<Fault>> = None;
    for separator in SEPARATORS {
        let mut lines = Lines::new(bytes, separator);
        if !lines.advance() {
            return Err(vec![Fault::whole("no lines but comments", HEADER)]);
        }
        let found = if headless(&lines.line) {
            Columns::without_header(&lines.line, typing)
        } else {
            Columns::find(&lines.line, typing)
        };
        match found {
            Ok(columns) => return Ok((lines, columns)),
            // The first that parts anything is what was meant.
            Err(found)
                if faults.is_none() && (lines.line.fields.len() > 1 || separator == b' ') =>
            {
                faults = Some(found);
            }
            Err(_) => {}
        }
    }
    Err(faults.unwrap_or_default())
}

/// Writes a section as CSV, mm, with as many digits as bring back the same numbers.
///
/// # Example
/// ```
/// let v = tautspan::read_points("v", "-60,0 0,-0.1 60,0", tautspan::Units::Mm)?;
/// assert_eq!(tautspan::section::write_csv(&v), "x_mm,y_mm\n-60,0\n0,-0.1\n60,0\n");
/// # Ok::<(), tautspan::fault::Refused>(())
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
    use super::super::raw::MOST_FAULTS;
    use super::super::{Point, Units};
    use super::*;
    use crate::section::SectionNotice;

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
        let places: Vec<_> = faults.iter().map(|f| f.at.place).collect();
        assert_eq!(places, [Some(7), Some(8), Some(9), Some(10)]);
        assert!(
            faults[0].to_string().contains("`1O.5`") || faults[0].to_string().contains("`-1O.5`")
        );
        assert!(faults[0].to_string().contains("letter O"));
        assert!(faults[1].to_string().contains("comma at the end"));
        assert!(faults[2].to_string().contains("finite"));
        assert!(faults[3].to_string().contains("decimal commas"));
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
            ("x;y\n0;0\n", "the units"),
            ("x,y\n0,0\n", "the units"),
            ("0;0\n1;0\n2;0\n", "the units"),
            ("x_mm;y\n0;0\n1;1\n2;0\n", "same unit"),
            ("x_mm,y_mm,x\n0,0,0\n", "x_mm,y_mm"),
            ("x_mm,y_cm\n0,0\n1,1\n2,0\n", "same unit"),
            ("x_mm,y_mm,\n0,0,\n1,1,\n2,0,\n", "a name for each"),
            ("x_mm,x_mm,y_mm\n0,0,0\n", "x_mm,y_mm"),
            ("", "x_mm,y_mm"),
        ] {
            let faults = refused(text);
            let found = faults.iter().any(|f| f.to_string().contains(word));
            assert!(found, "{text:?}: {faults:?}");
        }
    }

    #[test]
    fn bytes_that_are_not_utf8_are_named() {
        let e = read_csv("a", b"x_mm,y_mm\n0,0\n\xff,1\n2,0\n3,0\n").unwrap_err();
        assert_eq!(e.faults[0].at.place, Some(3));
        assert!(e.faults[0].to_string().contains("not UTF-8"));
        let e = read_csv("a", b"\xff\xfex\0_\0").unwrap_err();
        assert!(e.faults[0].to_string().contains("UTF-16"));
    }

    #[test]
    fn semicolons_in_a_line_are_named() {
        let faults = refused("x_mm,y_mm\n0;0\n1;0\n");
        assert_eq!(faults.len(), 2);
        assert!(faults[0].to_string().contains("semicolons"));
    }

    /// The same seven points as any program may write them.
    #[test]
    fn one_section_in_every_notation_is_read_alike() {
        let plain = "-60,0\n-40.5,0\n-20,-12.25\n0,-12.5\n20,-12.25\n40.5,0\n60,0";
        let rows = || plain.lines().map(|line| line.split_once(',').unwrap());
        let expected = read_csv("a", format!("x_mm,y_mm\n{plain}").as_bytes()).unwrap();
        let comma = |text: &str| text.replace('.', ",");
        for (separator, header, decimal_comma) in [
            (";", "X (mm);Y (mm)", true),
            (";", "x [mm];y [mm]", false),
            ("\t", "x_mm\ty_mm", true),
            ("  ", "X (mm)  Y (mm)", true),
            (" ", "x/mm y/mm", false),
            (", ", "\"x in mm\", y_mm", false),
        ] {
            for (end, mark) in [("\n", ""), ("\r\n", "\u{feff}# scan\r\n\r\n")] {
                let mut text = format!("{mark}{header}{end}");
                for (x, y) in rows() {
                    let line = format!("{x}{separator}{y}{end}");
                    text.push_str(&if decimal_comma { comma(&line) } else { line });
                }
                let read = read_csv("a", text.as_bytes()).unwrap();
                assert_eq!(read, expected, "{text}");
            }
        }
        let quoted = "y_mm,note,x_mm\n\"0,0\",a,\"-60,0\"\n\"-12,5\",b,0\n0,c,60\n";
        let read = read_csv("a", quoted.as_bytes()).unwrap();
        assert_eq!(read.line().points()[1], Point::new(0.0, -12.5));
    }

    #[test]
    fn marks_that_cannot_be_told_apart_are_asked_back_with_their_line() {
        for (text, line, word) in [
            (
                "x_mm;y_mm\n1,234;0\n2,345;-1,125\n3,456;0\n",
                2,
                "for the thousands",
            ),
            ("x_mm;y_mm\n0;0\n1,5;-1\n2.5;0\n", 4, "one decimal mark"),
            (
                "x_mm;y_mm\n0;0\n1.234,5;-1\n2000;0\n",
                3,
                "nothing between thousands",
            ),
            (
                "x_mm\ty_mm\n0\t0\n1 234\t-1\n2000\t0\n",
                3,
                "separator left out",
            ),
            ("x_mm,y_mm\n0,0\n1,-05\n2,0\n", 3, "mark left out"),
            ("x_mm,y_mm\n0,0\n1,--5\n2,0\n", 3, "sign too many"),
        ] {
            let faults = refused(text);
            assert_eq!(faults[0].at.place, Some(line), "{text}: {faults:?}");
            assert!(faults[0].to_string().contains(word), "{text}: {faults:?}");
        }
    }

    #[test]
    fn a_file_without_units_is_read_in_those_that_were_said_and_says_so() {
        for text in ["x,y\n0,0\n1,-2\n2,0\n", "0,0\n1,-2\n2,0\n"] {
            let read = read_csv_as("a", text.as_bytes(), Units::Inch.into()).unwrap();
            assert_eq!(read.line().points()[1], Point::new(25.4, -50.8), "{text}");
            let taken = SectionNotice::UnitsTaken {
                headless: text.starts_with('0'),
                unit: Units::Inch,
            };
            assert_eq!(read.warnings(), [taken], "{text}");
            assert!(refused(text)[0].hint == Some(Hint::SayUnits));
        }
    }

    #[test]
    fn more_faults_than_anybody_mends_are_counted() {
        let text = format!("x_mm,y_mm\n{}", "a,b\n".repeat(3000));
        let faults = refused(&text);
        assert_eq!(faults.len(), MOST_FAULTS + 1);
        assert!(faults[MOST_FAULTS].to_string().contains("5000 more"));
    }
}
