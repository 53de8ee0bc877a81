//! A record of readings from CSV: every fault at once, each with its line.
//!
//! A record grows line by line and is never edited, so each line of the file stands for itself: a
//! quotation mark that is not closed spoils its own line alone. A reading that was wrong stays,
//! and a later line names its number under `corrects`.
//!
//! A line that was cut off while it was written is told from a faulty one by two signs together:
//! where it stands (the last of the file, without its line end; or before the mark
//! [`CUT_OFF`], which closes such a line), and how it ends (too few columns, or nothing amiss but
//! the last of them). It is set aside and said. Any other fault refuses the record.

use super::columns::{Columns, header};
use super::notice::HeatNotice;
use super::record::{Reading, Record};
use crate::fault::{Fault, Hint, Part, Refused};
use crate::section::{Marks, Unit, Units, quoted};
use csv::{ReaderBuilder, Trim};
use std::collections::BTreeMap;

/// The comment that closes a line that was cut off.
pub(super) const CUT_OFF: &str = "# cut-off above";
/// What may part columns, in the order it is tried.
const SEPARATORS: [u8; 3] = *b";\t,";

/// Reads a record.
///
/// The header names, in any order, the columns `place_mm` (`_cm`, `_in`), `reading_c` (`_f`),
/// `emissivity_set`, `surroundings_c` (`_f`) and `time` (ISO 8601 with its distance from UTC: see
/// [`Time`](super::Time)); and, if it likes, `line` (`floor`, `left-lip`, `right-lip`, ..),
/// `no` (a running number; counted from 1 where there is no such column), `corrects` (the number
/// of the reading that this line replaces) and `note`. Commas, semicolons or tabs part the
/// columns; blank lines and lines that start with `#` are passed over.
///
/// # Arguments
/// * `name`: what messages call the file.
/// * `bytes`: its content, UTF-8; any bytes are safe.
/// * `units`: units of places where the header has none.
///
/// # Errors
/// [`Refused`] with every fault, each with its line: a column that is missing or there twice, a
/// value that is no number or out of all range, a time without its distance from UTC, a number
/// that two readings have, a correction of a reading that is not above it or was replaced already.
///
/// # Example
/// ```
/// use tautspan::evidence::heat::read_record;
/// let text = "place_mm,reading_f,emissivity_set,surroundings_c,time\n\
///             0,212,0.95,20,2026-11-27T08:15:00+01:00\n";
/// let record = read_record("door.csv", text.as_bytes(), None)?;
/// assert_eq!(record.readings[0].reading_c, 100.0);
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_record(name: &str, bytes: &[u8], units: Option<Units>) -> Result<Record, Refused> {
    let file = File::read(bytes, units).map_err(|faults| Refused::new(name, faults))?;
    let (readings, mut faults) = (file.readings, file.faults);
    let mut notices = file.notices;
    faults.extend(file.marks.fault());
    faults.extend(faults_of_numbers(&readings));
    if readings.is_empty() && faults.is_empty() {
        faults.push(Fault::whole(
            "no reading",
            "a line for each under the header",
        ));
    }
    faults.sort_by_key(|fault| fault.at.place.unwrap_or(usize::MAX));
    notices.extend(unused(&file.columns));
    notices.extend(alike(&readings));
    notices.extend(out_of_order(&readings));
    let record = Record {
        name: name.to_owned(),
        readings,
        notices,
    };
    Refused::unless(name, faults, record)
}

/// A file cut into its lines, each read.
pub(super) struct File {
    pub(super) columns: Columns,
    pub(super) separator: u8,
    pub(super) readings: Vec<Reading>,
    /// The fields of the readings.
    pub(super) fields: Vec<Vec<String>>,
    pub(super) marks: Marks,
    pub(super) faults: Vec<Fault>,
    pub(super) notices: Vec<HeatNotice>,
    /// Was the last line cut off?
    pub(super) torn: bool,
}

impl File {
    /// Reads all lines; the faults of a file without a usable header.
    pub(super) fn read(bytes: &[u8], units: Option<Units>) -> Result<Self, Vec<Fault>> {
        if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
            let fault = Fault::at(1, "a file in UTF-16", "UTF-8");
            return Err(vec![fault.hint(Hint::SaveAsUtf8)]);
        }
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let closed = bytes.is_empty() || bytes.ends_with(b"\n");
        let mut lines: Vec<&[u8]> = bytes.split(|&b| b == b'\n').collect();
        if closed {
            lines.pop();
        }
        let said = |line: &&[u8]| !line.trim_ascii().is_empty() && !line.starts_with(b"#");
        let mut rest = (1..)
            .zip(lines.iter().copied())
            .filter(|(_, line)| said(line));
        let Some((at, head)) = rest.next() else {
            let expected = format!("the header `{}`", header(Unit::Mm, false));
            return Err(vec![Fault::whole("no line but comments", expected)]);
        };
        let (separator, columns) = head_of(at, head, units)?;
        let mut file = Self {
            columns,
            separator,
            readings: Vec::new(),
            fields: Vec::new(),
            marks: Marks::default(),
            faults: Vec::new(),
            notices: Vec::new(),
            torn: false,
        };
        for (at, line) in rest {
            let open = !closed && at == lines.len();
            let marked = lines
                .get(at)
                .is_some_and(|next| next.starts_with(CUT_OFF.as_bytes()));
            file.take(at, line, open, marked);
        }
        Ok(file)
    }

    /// Reads one line.
    fn take(&mut self, at: usize, line: &[u8], open: bool, marked: bool) {
        let (fields, mut faults) = cut(at, line, self.separator);
        let count = self.readings.len() as u64 + 1;
        let read = if faults.is_empty() {
            self.columns.read((at, count), &fields, &mut self.marks)
        } else {
            Err(std::mem::take(&mut faults))
        };
        match read {
            Ok(reading) => {
                self.readings.push(reading);
                self.fields.push(fields);
                if open {
                    self.notices.push(HeatNotice::Unclosed { line: at });
                }
            }
            Err(found) if (open || marked) && self.cut_off(fields.len(), &found) => {
                self.torn = open;
                self.notices.push(HeatNotice::CutOff { line: at });
            }
            Err(found) => self.faults.extend(found),
        }
    }

    /// Do the faults of a line say that its end is missing?
    fn cut_off(&self, width: usize, faults: &[Fault]) -> bool {
        let names = &self.columns.names;
        let last = names.last().map(|name| Part::Key(name.clone()));
        let of_end = |fault: &Fault| Some(&fault.at.part) == last.as_ref();
        width < names.len() || (width == names.len() && faults.iter().all(of_end))
    }
}

/// The separator of a header and its columns.
fn head_of(at: usize, head: &[u8], units: Option<Units>) -> Result<(u8, Columns), Vec<Fault>> {
    let used = SEPARATORS
        .into_iter()
        .find(|&s| cut(at, head, s).0.len() > 1);
    let separator = used.unwrap_or(b',');
    let (fields, faults) = cut(at, head, separator);
    if faults.is_empty() {
        Columns::find(at, &fields, units).map(|columns| (separator, columns))
    } else {
        Err(faults)
    }
}

/// Cuts a line into its fields; its fault if it is no text, or a quotation mark is not closed.
fn cut(at: usize, line: &[u8], separator: u8) -> (Vec<String>, Vec<Fault>) {
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(line);
    let record = reader.byte_records().next().and_then(Result::ok);
    let record = record.unwrap_or_default();
    let texts = record
        .iter()
        .map(|field| String::from_utf8_lossy(field).into_owned());
    let fields: Vec<String> = texts.collect();
    let mut faults = Vec::new();
    if std::str::from_utf8(line).is_err() {
        let found = quoted(&String::from_utf8_lossy(line));
        let found = format!("bytes that are not UTF-8 in {found}");
        faults.push(Fault::at(at, found, "UTF-8 text"));
    }
    if line.iter().filter(|&&b| b == b'"').count() % 2 == 1 {
        let found = "a quotation mark that is not closed";
        faults.push(Fault::at(at, found, "one at each end of a text"));
    }
    (fields, faults)
}

/// Numbers that two readings have, and corrections of what is not above or does not stand.
fn faults_of_numbers(readings: &[Reading]) -> Vec<Fault> {
    let mut faults = Vec::new();
    let (mut lines, mut replaced) = (BTreeMap::new(), BTreeMap::new());
    for reading in readings {
        let (at, no) = (reading.at, reading.no);
        if let Some(before) = lines.get(&no) {
            let found = format!("the number {no}, which line {before} has");
            faults.push(Fault::at(at, found, "another for each reading").of(key("no")));
        }
        if let Some(old) = reading.corrects {
            let above = lines.contains_key(&old);
            let before: Option<usize> = replaced.insert(old, at);
            let found = match before {
                Some(line) => Some(format!("{old}, which line {line} replaces already")),
                None if !above => Some(format!("{old}, which no line above has")),
                None => None,
            };
            let expected = "the number of a reading above that stands";
            let fault = |found| Fault::at(at, found, expected).of(key("corrects"));
            faults.extend(found.map(fault));
        }
        lines.entry(no).or_insert(at);
    }
    faults
}

fn key(column: &str) -> Part {
    Part::Key(column.to_owned())
}

/// Columns that nothing is read from.
fn unused(columns: &Columns) -> Option<HeatNotice> {
    let columns = columns.unused();
    (!columns.is_empty()).then_some(HeatNotice::Unused { columns })
}

/// Lines that say the same.
fn alike(readings: &[Reading]) -> Option<HeatNotice> {
    let mut seen = BTreeMap::new();
    let mut lines = Vec::new();
    for r in readings {
        let numbers = [r.place_mm, r.reading_c].map(f64::to_bits);
        let first = seen
            .entry((&r.line, numbers, r.time.utc_ms))
            .or_insert(r.at);
        if *first != r.at {
            lines.push((*first, r.at));
        }
    }
    (!lines.is_empty()).then_some(HeatNotice::Alike { lines })
}

/// Readings that are earlier than the one above them.
fn out_of_order(readings: &[Reading]) -> Option<HeatNotice> {
    let pairs = readings.windows(2);
    let earlier = pairs.filter(|w| w[1].time.utc_ms < w[0].time.utc_ms);
    let lines: Vec<usize> = earlier.map(|w| w[1].at).collect();
    (!lines.is_empty()).then_some(HeatNotice::OutOfOrder { lines })
}
