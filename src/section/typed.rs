//! Numbers and `key=value` text as people type them, with a hint where a slip is plain.

use super::{Fault, LONGEST, SectionError, Units};

/// Most characters of somebody's text that a message repeats.
const MOST_REPEATED: usize = 40;

/// A number that could not be read: what to say was expected, with a hint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NotANumber {
    /// What was expected, and the likely slip.
    pub(crate) expected: String,
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

/// Reads a finite number, white space around it allowed.
///
/// # Errors
/// [`NotANumber`] with the likely slip: the letter O or l, a decimal comma, a semicolon, a
/// dash for a minus sign, a unit behind the number, infinity or NaN.
pub(crate) fn number(text: &str) -> Result<f64, NotANumber> {
    let text = text.trim();
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        Ok(_) => Err(NotANumber {
            expected: "a finite number".to_owned(),
        }),
        Err(_) => Err(NotANumber {
            expected: slip(text),
        }),
    }
}

/// Says what was expected instead of `text`, and which slip would explain it.
fn slip(text: &str) -> String {
    let reads = |mended: &str| mended.trim().parse::<f64>().is_ok_and(f64::is_finite);
    let unit_off =
        text.trim_end_matches(|c: char| c.is_alphabetic() || matches!(c, '"' | '°' | '%'));
    let hint = if text.is_empty() {
        "nothing stands here"
    } else if reads(&text.replace(['O', 'o'], "0")) {
        "the letter O in place of a zero?"
    } else if reads(&text.replace(['l', 'I'], "1")) {
        "a letter in place of a one?"
    } else if reads(&text.replace(',', ".")) {
        "a decimal comma? write a point"
    } else if text.contains(';') {
        "a semicolon in place of a comma?"
    } else if reads(&text.replace(['−', '–', '—'], "-")) {
        "a dash in place of a minus sign? write a hyphen"
    } else if reads(unit_off) {
        "leave the unit out"
    } else {
        return "a number".to_owned();
    };
    format!("a number; {hint}")
}

/// Returns a length of `mm` in the person's own units, rounded to what a rule shows.
pub(crate) fn length_words(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => format!("{} mm", trimmed(format!("{mm:.2}"))),
        Units::Inch => format!("{} in", trimmed(format!("{:.3}", mm / units.in_mm()))),
    }
}

/// As [`length_words`], rounded down, so that the length named is one that fits.
pub(crate) fn most_words(mm: f64, units: Units) -> String {
    let step = match units {
        Units::Mm => 0.01,
        Units::Inch => 0.001 * units.in_mm(),
    };
    length_words(((mm / step + 1e-6).floor() * step).max(0.0), units)
}

/// Drops the zeros behind a decimal point.
fn trimmed(text: String) -> String {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// What a length must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Least {
    /// Above zero.
    Positive,
    /// Zero or more.
    Zero,
    /// Any sign.
    Any,
}

/// `key=value` pairs, with the faults found in them so far.
#[derive(Debug)]
pub(crate) struct Typed<'a> {
    pairs: Vec<(String, &'a str)>,
    units: Units,
    faults: Vec<Fault>,
}

impl<'a> Typed<'a> {
    /// Splits `text` at its commas; `known` are the keys it may hold.
    pub(crate) fn split(text: &'a str, known: &[&str], units: Units) -> Self {
        let mut typed = Self {
            pairs: Vec::new(),
            units,
            faults: Vec::new(),
        };
        for part in text
            .split(',')
            .map(str::trim)
            .filter(|part| !part.is_empty())
        {
            typed.take(part, known);
        }
        typed
    }

    /// Takes one `key=value`.
    fn take(&mut self, part: &'a str, known: &[&str]) {
        let Some((key, value)) = part.split_once('=') else {
            let comma = part.bytes().all(|b| b.is_ascii_digit()) && !self.pairs.is_empty();
            let hint = if comma {
                "; a decimal comma? write a point"
            } else {
                ""
            };
            self.fault(quoted(part), format!("`key=value`{hint}"));
            return;
        };
        let key = key.trim().to_ascii_lowercase().replace('_', "-");
        if !known.contains(&key.as_str()) {
            self.fault(
                format!("the key {}", quoted(&key)),
                format!("one of {}", known.join(", ")),
            );
        } else if self.has(&key) {
            self.fault(format!("the key {} twice", quoted(&key)), "each key once");
        } else {
            self.pairs.push((key, value.trim()));
        }
    }

    /// Was the key given?
    pub(crate) fn has(&self, key: &str) -> bool {
        self.text(key).is_some()
    }

    /// The text given for a key.
    pub(crate) fn text(&self, key: &str) -> Option<&'a str> {
        self.pairs
            .iter()
            .find(|(k, _)| k == key)
            .map(|&(_, value)| value)
    }

    /// The person's units.
    pub(crate) fn units(&self) -> Units {
        self.units
    }

    /// Notes a fault.
    pub(crate) fn fault(&mut self, found: impl Into<String>, expected: impl Into<String>) {
        self.faults.push(Fault::whole(found, expected));
    }

    /// The number given for a key, as typed; `None` if it is absent or faulty.
    fn number(&mut self, key: &str) -> Option<f64> {
        let text = self.text(key)?;
        match number(text) {
            Ok(value) => Some(value),
            Err(e) => {
                self.fault(format!("`{key}` is {}", quoted(text)), e.expected);
                None
            }
        }
    }

    /// The length given for a key, mm; `None` if it is absent or faulty.
    pub(crate) fn length(&mut self, key: &str, least: Least) -> Option<f64> {
        let value = self.number(key)? * self.units.in_mm();
        let expected = match least {
            Least::Positive if value <= 0.0 => "a length above zero",
            Least::Zero if value < 0.0 => "zero or more",
            _ if value.abs() > LONGEST => "at most 100 m",
            _ => return Some(value),
        };
        self.fault(
            format!("`{key}` is {}", length_words(value, self.units)),
            expected,
        );
        None
    }

    /// The length given for a key that must be there, mm.
    pub(crate) fn needed(&mut self, key: &str) -> Option<f64> {
        if !self.has(key) {
            self.fault(format!("no `{key}`"), format!("`{key}=…`"));
        }
        self.length(key, Least::Positive)
    }

    /// The wall angle given for a key, degrees from the mouth line: above 0, at most 90.
    pub(crate) fn wall(&mut self, key: &str) -> Option<f64> {
        let value = self.number(key)?;
        let expected = if value > 90.0 {
            "at most 90 degrees: undercuts are not supported yet, square the wall off as vertical"
        } else if value <= 0.0 {
            "an angle above 0 degrees from the mouth line, 90 for a vertical wall"
        } else {
            return Some(value);
        };
        self.fault(format!("`{key}` is {value} degrees"), expected);
        None
    }

    /// Has a fault been found?
    pub(crate) fn faulty(&self) -> bool {
        !self.faults.is_empty()
    }

    /// The faults as the error of the thing `name`.
    pub(crate) fn into_error(self, name: &str) -> SectionError {
        SectionError {
            name: name.to_owned(),
            faults: self.faults,
        }
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
            ("1,5", "decimal comma"),
            ("1;5", "semicolon"),
            ("−3", "hyphen"),
            ("3 mm", "unit"),
            ("", "nothing"),
            ("inf", "finite"),
            ("NaN", "finite"),
            ("1e999", "finite"),
            ("abc", "a number"),
        ] {
            let e = number(text).unwrap_err();
            assert!(e.expected.contains(word), "{text}: {}", e.expected);
        }
    }

    #[test]
    fn the_largest_that_fits_is_never_rounded_up() {
        assert_eq!(most_words(12.349, Units::Mm), "12.34 mm");
        assert_eq!(most_words(12.0, Units::Mm), "12 mm");
        assert_eq!(most_words(25.4, Units::Inch), "1 in");
    }

    #[test]
    fn unknown_repeated_and_broken_pairs_are_all_reported() {
        let typed = Typed::split("mouth=80,5,mouth=3,dept=2", &["mouth", "depth"], Units::Mm);
        let e = typed.into_error("channel");
        assert_eq!(e.faults.len(), 3);
        assert!(e.faults[0].expected.contains("decimal comma"));
        assert!(e.faults[1].found.contains("twice"));
        assert!(e.faults[2].expected.contains("mouth, depth"));
    }
}
