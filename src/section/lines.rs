//! The lines of a table with their true numbers, cut into columns; blank ones and comments
//! are passed over.

use super::number::quoted;
use crate::fault::Fault;
use csv::{ByteRecord, ReaderBuilder, Trim};

/// One line that is neither blank nor a comment.
#[derive(Debug, Default)]
pub(crate) struct Line {
    pub(crate) number: usize,
    pub(crate) fields: ByteRecord,
}

impl Line {
    /// The text of a column.
    pub(crate) fn text(&self, i: usize) -> Result<&str, Fault> {
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

/// The lines of a file, one after another in the same place.
pub(crate) struct Lines<'a> {
    source: Source<'a>,
    pub(crate) line: Line,
}

/// Where lines come from.
enum Source<'a> {
    /// Columns parted by one character.
    Csv(Box<Records<'a>>),
    /// Columns parted by white space, however much of it.
    Spaced { rest: &'a [u8], number: usize },
}

impl<'a> Lines<'a> {
    pub(crate) fn new(bytes: &'a [u8], separator: u8) -> Self {
        let source = if separator == b' ' {
            Source::Spaced {
                rest: bytes,
                number: 0,
            }
        } else {
            Source::Csv(Box::new(Records::new(bytes, separator)))
        };
        Self {
            source,
            line: Line::default(),
        }
    }

    /// Goes on to the next line; `false` at the end.
    pub(crate) fn advance(&mut self) -> bool {
        match &mut self.source {
            Source::Csv(records) => records.advance(&mut self.line),
            Source::Spaced { rest, number } => {
                while !rest.is_empty() {
                    let end = rest.iter().position(|&b| b == b'\n');
                    let (bytes, after) = rest.split_at(end.map_or(rest.len(), |end| end + 1));
                    (*rest, *number) = (after, *number + 1);
                    if words(*number, bytes, &mut self.line) {
                        return true;
                    }
                }
                false
            }
        }
    }
}

/// Cuts a line into its words; a bracket belongs to the word before it. `false` if it is
/// blank or a comment.
fn words(number: usize, bytes: &[u8], line: &mut Line) -> bool {
    line.number = number;
    line.fields.clear();
    let mut held: Vec<u8> = Vec::new();
    for word in bytes
        .split(u8::is_ascii_whitespace)
        .filter(|w| !w.is_empty())
    {
        if word.starts_with(b"#") && held.is_empty() {
            return false;
        }
        if !held.is_empty() && !word.starts_with(b"(") && !word.starts_with(b"[") {
            line.fields.push_field(&held);
            held.clear();
        }
        held.extend_from_slice(word);
    }
    if !held.is_empty() {
        line.fields.push_field(&held);
    }
    !line.fields.is_empty()
}

/// The records of a CSV file with the true numbers of their lines.
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
    fn new(bytes: &'a [u8], separator: u8) -> Self {
        let reader = ReaderBuilder::new()
            .delimiter(separator)
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

    /// Goes on to the next record; `false` at the end.
    fn advance(&mut self, line: &mut Line) -> bool {
        let fields = &mut line.fields;
        // Reading from memory into bytes cannot fail; a failure would end the file.
        while self.reader.read_byte_record(fields).unwrap_or(false) {
            let from = fields.position().map_or(0, csv::Position::byte);
            line.number = self.number_at(usize::try_from(from).unwrap_or(usize::MAX));
            let comment = fields.get(0).is_some_and(|f| f.starts_with(b"#"));
            if !comment && fields.iter().any(|f| !f.is_empty()) {
                return true;
            }
        }
        false
    }
}
