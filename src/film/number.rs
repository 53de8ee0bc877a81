//! A number of a profile beside its source, and the ranges it may lie in.

use crate::fault::{Bit, Fault, Part, Phrase};
use serde::{Deserialize, Serialize};

/// A number and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    expecting = "a number with its source, `{ value = 20.0, source = \"…\" }`"
)]
pub struct Number {
    /// The number, in the unit its key names.
    pub value: f64,
    /// Where it comes from: a standard, a test report, `common practice, no source` or
    /// `invented for the demo`. Empty only in a profile that has not been checked.
    #[serde(default)]
    pub source: String,
}

impl Number {
    /// Whether the number is made up: its source begins with `invented`, in any case.
    #[must_use]
    pub fn is_invented(&self) -> bool {
        let word = "invented";
        self.source
            .trim_start()
            .get(..word.len())
            .is_some_and(|s| s.eq_ignore_ascii_case(word))
    }
}

/// The values a number may take, and the same in words.
#[derive(Debug, Clone, Copy)]
pub(super) struct Range {
    admits: fn(f64) -> bool,
    words: &'static str,
}

/// A limit of elongation, percent. 300 % is beyond any film: more is a slip of the keyboard.
pub(super) const LIMIT: Range = Range {
    admits: |v| v > 0.0 && v <= 300.0,
    words: "a number above 0 and at most 300 percent",
};
/// An elongation at break, percent. The softest films reach 600 %: more is a slip.
pub(super) const BREAK: Range = Range {
    admits: |v| v > 0.0 && v <= 1000.0,
    words: "a number above 0 and at most 1000 percent",
};
/// A size or stiffness that cannot be nothing.
pub(super) const POSITIVE: Range = Range {
    admits: |v| v > 0.0 && v.is_finite(),
    words: "a finite number above 0",
};
/// A size, price or time that can be nothing.
pub(super) const NOT_NEGATIVE: Range = Range {
    admits: |v| v >= 0.0 && v.is_finite(),
    words: "a finite number, 0 or more",
};
/// A fraction of the whole.
pub(super) const FACTOR: Range = Range {
    admits: |v| v > 0.0 && v <= 1.0,
    words: "a number above 0 and at most 1",
};
/// A peel angle, degrees.
pub(super) const ANGLE: Range = Range {
    admits: |v| v > 0.0 && v <= 180.0,
    words: "a number above 0 and at most 180 degrees",
};
/// A temperature film can meet, degC: from a van in an arctic winter to charred film.
pub(super) const TEMPERATURE: Range = Range {
    admits: |v| (-60.0..=300.0).contains(&v),
    words: "a number from -60 to 300 degC",
};

/// Collects the faults of one profile.
#[derive(Debug, Default)]
pub(super) struct Inspection {
    pub(super) faults: Vec<Fault>,
}

impl Inspection {
    /// Notes one fault of `key`.
    pub(super) fn note(
        &mut self,
        key: impl Into<String>,
        found: impl Into<Phrase>,
        expected: impl Into<Phrase>,
    ) {
        let fault = Fault::whole(found, expected);
        self.faults.push(fault.of(Part::Key(key.into())));
    }

    /// Checks a bare value against its range.
    pub(super) fn value(&mut self, key: &str, value: f64, range: Range) {
        if !(range.admits)(value) {
            self.note(key, [Bit::Number(value)], range.words);
        }
    }

    /// Checks a number against its range, and that it has a source.
    pub(super) fn number(&mut self, key: &str, number: &Number, range: Range) {
        self.value(key, number.value, range);
        if number.source.trim().is_empty() {
            let expected = "where the number comes from, if only `invented for the demo`";
            self.note(key, "no `source`", expected);
        }
    }

    /// Checks a number that may be missing.
    pub(super) fn optional(&mut self, key: &str, number: &Option<Number>, range: Range) {
        if let Some(number) = number {
            self.number(key, number, range);
        }
    }

    /// Checks the name of a class or a tool, which is also an argument of the command line.
    pub(super) fn name(&mut self, name: &str) {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if name.is_empty() || name.starts_with('-') || !name.chars().all(plain) {
            let expected = "small letters, digits and hyphens, as in `wrap-cast`";
            self.note("name", format!("`{name}`"), expected);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(source: &str) -> Number {
        Number {
            value: 1.0,
            source: source.to_owned(),
        }
    }

    #[test]
    fn invented_is_told_by_the_first_word_in_any_case() {
        assert!(number("invented for the demo").is_invented());
        assert!(number("Invented").is_invented());
        assert!(!number("common practice, no source").is_invented());
        assert!(!number("not invented").is_invented());
        assert!(!number("").is_invented());
        assert!(!number("µµµµµ").is_invented());
    }

    #[test]
    fn no_range_admits_nan_or_infinity() {
        for range in [
            LIMIT,
            BREAK,
            POSITIVE,
            NOT_NEGATIVE,
            FACTOR,
            ANGLE,
            TEMPERATURE,
        ] {
            for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                assert!(!(range.admits)(value), "{value} against {}", range.words);
            }
        }
    }

    #[test]
    fn ranges_include_and_exclude_the_ends_they_say() {
        assert!((LIMIT.admits)(300.0) && !(LIMIT.admits)(0.0) && !(LIMIT.admits)(300.1));
        assert!((FACTOR.admits)(1.0) && !(FACTOR.admits)(0.0));
        assert!((ANGLE.admits)(180.0) && !(ANGLE.admits)(0.0) && !(ANGLE.admits)(181.0));
        assert!((NOT_NEGATIVE.admits)(0.0) && !(POSITIVE.admits)(0.0));
    }
}
