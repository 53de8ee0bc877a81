//! Numbers as people type them: one strict grammar for every reader, and the slips it names.
//!
//! A number is a sign, digits with at most one decimal mark, and an exponent: `-12.5`,
//! `-12,5`, `1e-3`. Whether a comma may stand in it is decided where the text is cut into
//! numbers: a comma that separates never gets here. Two things no single number can tell are
//! told by all of one text together, see [`Marks`]: that the mark is the same throughout,
//! and that a comma before three digits, `1,234`, is a decimal comma and parts no thousands.
//! Refused, never guessed: thousands separators, doubled signs, a whole number that begins
//! with a zero (`05`, a dropped mark), letters, infinity.

use crate::fault::{Fault, Hint, Phrase, Slip};

/// Most characters of somebody's text that a message repeats.
const MOST_REPEATED: usize = 40;

/// A number that could not be read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NotANumber {
    /// What was expected.
    pub(crate) expected: Phrase,
    /// The likely slip.
    pub(crate) hint: Option<Hint>,
}

impl NotANumber {
    /// The fault of what was found in its place.
    pub(crate) fn fault(self, found: impl Into<Phrase>) -> Fault {
        Fault::whole(found, self.expected).hint(self.hint)
    }
}

/// The decimal mark of one number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// A whole number.
    None,
    /// A point.
    Point,
    /// A comma that can only be a decimal one.
    Comma,
    /// A comma that may part thousands: `1,234`.
    Doubtful,
}

/// A number as it was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spelled {
    /// Its value, times the power of ten asked for.
    pub(crate) value: f64,
    /// Its decimal mark.
    pub(crate) mark: Mark,
    /// Power of ten of its last digit that is not a zero behind the mark.
    pub(crate) last: i32,
}

/// Reads a number and multiplies it by `10^tens` before it is rounded, so that 1.23 cm and
/// 12.3 mm are the same to the last bit; `None` if it is not one.
pub(crate) fn spelled(text: &str, tens: i32) -> Option<Spelled> {
    let (sign, body) = text.split_at(usize::from(text.starts_with(['+', '-'])));
    let (mantissa, power) = match body.find(['e', 'E']) {
        Some(i) => (&body[..i], exponent(&body[i + 1..])?),
        None => (body, 0),
    };
    let at = mantissa.find([',', '.']);
    let (whole, part) = at.map_or((mantissa, ""), |i| (&mantissa[..i], &mantissa[i + 1..]));
    let digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(part) || whole.len() + part.len() == 0 {
        return None;
    }
    let padded = whole.len() > 1 && whole.starts_with('0');
    let mark = match at.map(|i| mantissa.as_bytes()[i]) {
        None if padded => return None,
        None => Mark::None,
        Some(b'.') => Mark::Point,
        Some(_) if whole.is_empty() || part.is_empty() => return None,
        Some(_) if part.len() == 3 && whole.len() <= 3 && !whole.starts_with('0') => Mark::Doubtful,
        Some(_) => Mark::Comma,
    };
    let comma = matches!(mark, Mark::Comma | Mark::Doubtful);
    let value: f64 = if tens == 0 && !comma {
        text.parse().ok()?
    } else {
        format!("{sign}{whole}.{part}e{}", power + tens)
            .parse()
            .ok()?
    };
    let decimals = i32::try_from(part.trim_end_matches('0').len()).unwrap_or(i32::MAX / 2);
    value.is_finite().then_some(Spelled {
        value,
        mark,
        last: power + tens - decimals,
    })
}

/// Reads the digits behind an `e`, three at most.
fn exponent(text: &str) -> Option<i32> {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let plain = (1..=3).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// Reads a finite number, white space around it allowed.
///
/// # Errors
/// [`NotANumber`] with the likely slip.
pub(crate) fn number(text: &str) -> Result<Spelled, NotANumber> {
    let text = text.trim();
    spelled(text, 0).ok_or_else(|| slip(text))
}

/// Reads one number as a person types it, either decimal mark.
///
/// # Errors
/// [`Fault`] with the likely slip; `1,234` is asked back.
///
/// # Example
/// ```
/// use tautspan::section::read_number;
/// assert_eq!(read_number(" 12,5 ")?, 12.5);
/// assert!(read_number("1O").is_err() && read_number("1,234").is_err());
/// # Ok::<(), tautspan::fault::Fault>(())
/// ```
pub fn read_number(text: &str) -> Result<f64, Fault> {
    let read = number(text).map_err(|e| e.fault(quoted(text.trim())))?;
    let mut marks = Marks::default();
    marks.see(None, read.mark, text.trim());
    marks.fault().map_or(Ok(read.value), Err)
}

/// What was expected instead of `text`, and which slip would explain it.
pub(crate) fn slip(text: &str) -> NotANumber {
    let reads = |mended: &str| spelled(mended.trim(), 0).is_some();
    let without = |marks: &[char]| text.replace(marks, "");
    let signs = text.len() - text.trim_start_matches(['+', '-']).len();
    let unit_off =
        text.trim_end_matches(|c: char| c.is_alphabetic() || matches!(c, '"' | '″' | '°' | '%'));
    if text.parse::<f64>().is_ok_and(|v| !v.is_finite()) {
        return NotANumber {
            expected: "a finite number".into(),
            hint: None,
        };
    }
    let slip = if text.is_empty() {
        Some(Slip::Nothing)
    } else if reads(&text.replace(['O', 'o'], "0")) {
        Some(Slip::LetterO)
    } else if reads(&text.replace(['l', 'I'], "1")) {
        Some(Slip::LetterOne)
    } else if signs > 1 && reads(&text[signs - 1..]) {
        Some(Slip::Signs)
    } else if reads(&text.replace(['−', '–', '—'], "-")) {
        Some(Slip::Dash)
    } else if text.contains(';') {
        Some(Slip::Semicolon)
    } else if text.len() > 1 && reads(text.trim_start_matches(['-', '+', '0'])) {
        Some(Slip::MarkLeftOut)
    } else if text.contains(char::is_whitespace) && text.split_whitespace().all(reads) {
        Some(Slip::Apart)
    } else if reads(unit_off) {
        Some(Slip::Unit)
    } else if reads(&without(&[',', '.', '\'', '’', ' '])) {
        Some(Slip::Marks)
    } else {
        None
    };
    NotANumber {
        expected: "a number".into(),
        hint: slip.map(Hint::Slip),
    }
}

/// Returns the text in backticks, cut short and with control characters escaped.
pub(crate) fn quoted(text: &str) -> String {
    let mut shown: String = text
        .chars()
        .take(MOST_REPEATED)
        .flat_map(char::escape_debug)
        .collect();
    if text.chars().nth(MOST_REPEATED).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}

/// One decimal mark among the numbers of a text: how many have it, and the first of them.
#[derive(Debug, Default)]
struct Seen {
    count: usize,
    first: Option<(Option<usize>, String)>,
}

/// The decimal marks of all the numbers of one text.
#[derive(Debug, Default)]
pub(crate) struct Marks {
    points: Seen,
    commas: Seen,
    /// Is there a comma that can only be a decimal one?
    sure: bool,
}

impl Marks {
    /// Takes note of a number at a line or position, `None` where there is only one.
    pub(crate) fn see(&mut self, place: Option<usize>, mark: Mark, text: &str) {
        let seen = match mark {
            Mark::None => return,
            Mark::Point => &mut self.points,
            Mark::Comma | Mark::Doubtful => &mut self.commas,
        };
        self.sure |= mark == Mark::Comma;
        seen.count += 1;
        if seen.first.is_none() {
            seen.first = Some((place, text.to_owned()));
        }
    }

    /// Is there a decimal comma?
    pub(crate) fn comma(&self) -> bool {
        self.commas.count > 0
    }

    /// What is wrong with them together: two marks mixed, or nothing but commas that may
    /// part thousands.
    pub(crate) fn fault(&self) -> Option<Fault> {
        let (place, comma) = self.commas.first.as_ref()?;
        if let Some((other, point)) = &self.points.first {
            let at = |place: &Option<usize>| place.map_or_else(String::new, |p| format!(" at {p}"));
            let fault = Fault::whole(
                format!(
                    "decimal commas ({}, first {}{}) beside decimal points ({}, first {}{})",
                    self.commas.count,
                    quoted(comma),
                    at(place),
                    self.points.count,
                    quoted(point),
                    at(other)
                ),
                "one decimal mark throughout, and nothing between thousands",
            );
            return Some(fault.placed(*place.max(other)));
        }
        if self.sure {
            return None;
        }
        let fault = Fault::whole(
            format!(
                "{}, which may be a decimal comma or part thousands",
                quoted(comma)
            ),
            format!(
                "`{}` for the decimal, `{}` for the thousands",
                comma.replace(',', "."),
                comma.replace(',', "")
            ),
        );
        Some(fault.placed(*place))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_in_a_number_is_named() {
        for (text, word) in [
            ("1O.5", "letter O"),
            ("l2", "letter in place of a one"),
            ("--5", "sign too many"),
            ("-+5", "sign too many"),
            ("05", "mark left out"),
            ("-005", "mark left out"),
            ("1 5", "separator left out"),
            ("1,5,0", "one decimal mark"),
            ("1.234,5", "nothing between thousands"),
            ("1'234", "nothing between thousands"),
            ("1;5", "semicolon"),
            ("−3", "hyphen"),
            ("3 kg", "unit"),
            ("", "left out"),
            ("inf", "finite"),
            ("NaN", "finite"),
            ("1e999", "finite"),
            ("5,", "a number"),
            (",5", "a number"),
            ("abc", "a number"),
        ] {
            let e = number(text).unwrap_err();
            let said = e.fault("it").to_string();
            assert!(said.contains(word), "{text}: {said}");
        }
    }

    #[test]
    fn either_mark_is_read_and_the_last_digit_known() {
        for (text, value, mark, last) in [
            ("-12.50", -12.5, Mark::Point, -1),
            ("-12,50", -12.5, Mark::Comma, -1),
            ("0,125", 0.125, Mark::Comma, -3),
            ("1,125", 1.125, Mark::Doubtful, -3),
            ("1234,125", 1234.125, Mark::Comma, -3),
            ("+7", 7.0, Mark::None, 0),
            (".5", 0.5, Mark::Point, -1),
            ("5.", 5.0, Mark::Point, 0),
            ("1.5e-3", 0.0015, Mark::Point, -4),
        ] {
            let n = number(text).unwrap();
            assert_eq!((n.value, n.mark, n.last), (value, mark, last), "{text}");
        }
    }

    #[test]
    fn tens_are_taken_before_rounding() {
        // Multiplied after rounding, 0.07 * 10 is 0.7000000000000001.
        for (cm, mm) in [("1.1", 11.0_f64), ("0.07", 0.7), ("-2,03", -20.3)] {
            assert_eq!(spelled(cm, 1).unwrap().value.to_bits(), mm.to_bits());
        }
    }

    #[test]
    fn a_comma_before_three_digits_is_decided_by_its_fellows() {
        let fault = |texts: &[&str]| {
            let mut marks = Marks::default();
            for (i, text) in texts.iter().enumerate() {
                marks.see(Some(i), spelled(text, 0).unwrap().mark, text);
            }
            marks.fault().map(|f| (f.at.place, f.expected.to_string()))
        };
        let (place, expected) = fault(&["0", "1,234", "2,345"]).unwrap();
        assert_eq!(place, Some(1));
        assert!(expected.contains("`1.234`") && expected.contains("`1234`"));
        assert_eq!(fault(&["0,000", "1,234"]), None);
        assert_eq!(fault(&["1.234", "2.345", "7"]), None);
        assert!(
            fault(&["1,5", "2.5"])
                .unwrap()
                .1
                .contains("one decimal mark")
        );
    }
}
