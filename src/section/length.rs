//! Lengths as people type and read them: with their unit, or in the units they work in.
//!
//! `125`, `12.5cm`, `12,5 cm`, `6in`, `5/8in`, `3 1/8"`. A bare number is in the person's own
//! units; fractions are what an inch tape shows, halves to sixty-fourths, and need inches.

use super::number::{Mark, NotANumber, Spelled, quoted, slip, spelled};
use super::{Marks, Units};
use crate::fault::Fault;

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unit {
    Mm,
    Cm,
    M,
    Inch,
}

/// How units are spelled, in lower case.
const SPELLINGS: [(&str, Unit); 8] = [
    ("mm", Unit::Mm),
    ("cm", Unit::Cm),
    ("m", Unit::M),
    ("in", Unit::Inch),
    ("inch", Unit::Inch),
    ("inches", Unit::Inch),
    ("\"", Unit::Inch),
    ("″", Unit::Inch),
];

impl Unit {
    /// The unit of this spelling.
    pub(crate) fn of(text: &str) -> Option<Self> {
        let unit = SPELLINGS.iter().find(|s| s.0.eq_ignore_ascii_case(text))?;
        Some(unit.1)
    }

    /// Its usual short name.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::M => "m",
            Self::Inch => "in",
        }
    }

    /// Power of ten and factor that make it mm; one of them is plain.
    pub(crate) fn scale(self) -> (i32, f64) {
        match self {
            Self::Mm => (0, 1.0),
            Self::Cm => (1, 1.0),
            Self::M => (3, 1.0),
            Self::Inch => (0, 25.4),
        }
    }
}

impl From<Units> for Unit {
    fn from(units: Units) -> Self {
        match units {
            Units::Mm => Self::Mm,
            Units::Cm => Self::Cm,
            Units::Inch => Self::Inch,
        }
    }
}

/// A length as it was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TypedLength {
    /// The length, mm.
    pub(crate) mm: f64,
    /// What its last digit counts, mm; `None` for zero, which has no last digit.
    pub(crate) step: Option<f64>,
    /// Its decimal mark.
    pub(crate) mark: Mark,
}

impl Spelled {
    /// The number as a length in a unit of `factor` mm.
    pub(crate) fn in_unit(self, factor: f64) -> TypedLength {
        TypedLength {
            mm: self.value * factor,
            step: (self.value != 0.0).then(|| 10_f64.powi(self.last) * factor),
            mark: self.mark,
        }
    }
}

/// Reads one length; `spaced` allows a space between whole inches and their fraction, which
/// in a list would hide a separator that was left out.
///
/// # Errors
/// [`NotANumber`] with the likely slip.
pub(crate) fn length(text: &str, units: Units, spaced: bool) -> Result<TypedLength, NotANumber> {
    let text = text.trim();
    let letter = |c: char| c.is_alphabetic() || matches!(c, '"' | '″');
    let bare = text.trim_end_matches(letter);
    let unit = match &text[bare.len()..] {
        "" => Some(units.into()),
        suffix => Unit::of(suffix),
    };
    let refused = |expected: String| {
        Err(NotANumber {
            expected: expected.into(),
            hint: None,
        })
    };
    let bare = bare.trim_end();
    let Some(unit) = unit else {
        return Err(slip(text));
    };
    if bare.contains('/') {
        return match (fraction(bare, spaced), unit) {
            (Some((inches, of)), Unit::Inch) => Ok(TypedLength {
                mm: inches * 25.4,
                step: Some(25.4 / of),
                mark: Mark::None,
            }),
            (Some(_), _) => refused(format!("inches for a fraction, as in `{bare}in`")),
            (None, _) => {
                refused("an inch fraction as on a tape, as in `5/8in` or `3-1/8in`".into())
            }
        };
    }
    let (tens, factor) = unit.scale();
    match spelled(bare, tens) {
        Some(n) => Ok(n.in_unit(factor)),
        None => Err(slip(bare)),
    }
}

/// Reads `5/8`, `3-1/8` or, if `spaced`, `3 1/8`: the inches and the denominator.
fn fraction(text: &str, spaced: bool) -> Option<(f64, f64)> {
    let (sign, body) = match text.strip_prefix('-') {
        Some(body) => (-1.0, body),
        None => (1.0, text),
    };
    let (whole, part) = match body.rfind(|c: char| c == '-' || (spaced && c.is_whitespace())) {
        Some(i) if body[i..].starts_with('-') => (&body[..i], &body[i + 1..]),
        Some(i) => (body[..i].trim_end(), body[i..].trim_start()),
        None => ("", body),
    };
    let count = |t: &str| -> Option<f64> {
        let plain = t.len() <= 4 && !t.starts_with('0') && t.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| t.parse().ok()).flatten()
    };
    let whole = match (whole, part.len() < body.len()) {
        ("", false) => 0.0,
        (whole, _) => count(whole)?,
    };
    let (n, d) = part.split_once('/')?;
    let (n, d) = (count(n)?, count(d)?);
    let halves = [2.0, 4.0, 8.0, 16.0, 32.0, 64.0].contains(&d);
    (halves && n < d).then_some((sign * (whole + n / d), d))
}

/// Reads a length, mm: `125`, `12.5cm`, `12,5 cm`, `6in`, `5/8in`, `3 1/8"`.
///
/// # Arguments
/// * `text`: the length.
/// * `units`: what a bare number is in.
///
/// # Errors
/// [`Fault`] with the likely slip; `1,234` is asked back, and so is a fraction that is
/// not of an inch.
///
/// # Example
/// ```
/// use tautspan::Units;
/// use tautspan::section::read_length;
/// assert_eq!(read_length("6in", Units::Mm)?, 6.0 * 25.4);
/// assert_eq!(read_length("3 1/8", Units::Inch)?, 3.125 * 25.4);
/// assert_eq!(read_length("12,5 cm", Units::Inch)?, 125.0);
/// assert!(read_length("1,234", Units::Mm).is_err());
/// # Ok::<(), tautspan::fault::Fault>(())
/// ```
pub fn read_length(text: &str, units: Units) -> Result<f64, Fault> {
    let read = length(text, units, true).map_err(|e| e.fault(quoted(text)))?;
    let mut marks = Marks::default();
    marks.see(None, read.mark, text.trim());
    match marks.fault() {
        None => Ok(read.mm),
        Some(fault) => Err(fault),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_carries_its_unit_or_is_in_ones_own() {
        for (text, units, mm) in [
            ("125", Units::Mm, 125.0),
            ("6", Units::Inch, 6.0 * 25.4),
            ("6in", Units::Mm, 6.0 * 25.4),
            ("6 Inches", Units::Mm, 6.0 * 25.4),
            ("12.5cm", Units::Inch, 125.0),
            ("12,5 cm", Units::Mm, 125.0),
            ("1.2m", Units::Mm, 1200.0),
            ("-3.5 MM", Units::Inch, -3.5),
            ("5/8in", Units::Mm, 15.875),
            ("3 1/8\"", Units::Mm, 79.375),
            ("-3-1/8", Units::Inch, -79.375),
        ] {
            assert_eq!(read_length(text, units), Ok(mm), "{text}");
        }
    }

    #[test]
    fn a_length_that_is_not_plain_is_asked_back() {
        for (text, word) in [
            ("1,234", "`1.234` for the decimal"),
            ("3 1/8", "inches for a fraction"),
            ("3 1/8 cm", "inches for a fraction"),
            ("3 1/5in", "as on a tape"),
            ("3 9/8in", "as on a tape"),
            ("0 1/8in", "as on a tape"),
            ("-/8in", "as on a tape"),
            ("-1/8 1/8in", "as on a tape"),
            ("3 kg", "write mm, cm, m or in"),
            ("1O mm", "letter O"),
            ("1.5.0in", "one decimal mark"),
            ("mm", "left out"),
            ("12 5", "separator left out"),
        ] {
            let e = read_length(text, Units::Mm).unwrap_err();
            assert!(e.to_string().contains(word), "{text}: {e}");
        }
        assert!(length("3 1/8in", Units::Mm, false).is_err());
        assert!(length("3-1/8in", Units::Mm, false).is_ok());
    }
}
