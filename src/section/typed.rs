//! `key=value` text as people type it.
//!
//! Pairs are parted by commas, by semicolons or by white space; where commas do not part
//! them, they are decimal ones. A text is taken in the one way that makes pairs of all of it.

use super::length::length;
pub(crate) use super::number::quoted;
use super::number::{NotANumber, number};
use super::{LONGEST, Marks, Units};
use crate::fault::{Bit, Fault, Hint, Part, Phrase, Refused};

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
    /// Splits `text` into its pairs; `known` are the keys it may hold, with blanks between.
    pub(crate) fn split(text: &'a str, known: &str, units: Units) -> Self {
        let mut typed = Self::new(units);
        for part in parts(text) {
            typed.take(part, known);
        }
        typed.check_marks();
        typed
    }

    fn new(units: Units) -> Self {
        Self {
            pairs: Vec::new(),
            units,
            faults: Vec::new(),
        }
    }

    /// Takes `text` as a single pair, in which a comma can only be a decimal one; its mark is
    /// left to be judged with what follows.
    pub(crate) fn one(text: &'a str, known: &str, units: Units) -> Self {
        let mut typed = Self::new(units);
        if !text.trim().is_empty() {
            typed.take(text, known);
        }
        typed
    }

    /// Notes decimal marks that are mixed or may part thousands.
    fn check_marks(&mut self) {
        let mut marks = Marks::default();
        for (_, value) in &self.pairs {
            let mark = length(value, Units::Inch, true).map(|read| read.mark);
            if let Ok(mark) = mark.or_else(|_| number(degrees(value)).map(|read| read.mark)) {
                marks.see(None, mark, value);
            }
        }
        self.faults.extend(marks.fault());
    }

    /// Takes one `key=value`.
    fn take(&mut self, part: &'a str, known: &str) {
        let Some((key, value)) = part.split_once('=') else {
            let comma = part.bytes().all(|b| b.is_ascii_digit()) && !self.pairs.is_empty();
            let fault = Fault::whole(quoted(part), "`key=value`");
            self.faults
                .push(fault.hint(comma.then_some(Hint::DecimalList)));
            return;
        };
        let key = key.trim().to_ascii_lowercase().replace('_', "-");
        if !known.split(' ').any(|known| known == key) {
            let expected = format!("one of {}", known.replace(' ', ", "));
            self.fault(format!("the key {}", quoted(&key)), expected);
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
        let pair = self.pairs.iter().find(|(k, _)| k == key);
        pair.map(|&(_, value)| value)
    }

    /// Notes a fault.
    pub(crate) fn fault(&mut self, found: impl Into<Phrase>, expected: impl Into<Phrase>) {
        self.faults.push(Fault::whole(found, expected));
    }

    /// Notes a fault with one thing to try.
    pub(crate) fn hinted(
        &mut self,
        hint: Hint,
        found: impl Into<Phrase>,
        expected: impl Into<Phrase>,
    ) {
        self.faults.push(Fault::whole(found, expected).hint(hint));
    }

    /// Notes the fault of a key.
    pub(crate) fn note(&mut self, fault: Fault) {
        self.faults.push(fault);
    }

    /// Notes that what was given for a key could not be read.
    fn unread(&mut self, key: &str, text: &str, e: NotANumber) {
        let fault = e.fault(quoted(text));
        self.note(fault.of(Part::Key(key.to_owned())));
    }

    /// The length given for a key, mm; `None` if it is absent or faulty.
    pub(crate) fn length(&mut self, key: &str, least: Least) -> Option<f64> {
        let text = self.text(key)?;
        let value = match length(text, self.units, true) {
            Ok(read) => read.mm,
            Err(e) => {
                self.unread(key, text, e);
                return None;
            }
        };
        let expected = match least {
            Least::Positive if value <= 0.0 => "a length above zero",
            Least::Zero if value < 0.0 => "zero or more",
            _ if value.abs() > LONGEST => "at most 100 m",
            _ => return Some(value),
        };
        self.note(Fault::of_key(key, Bit::Length(value), expected));
        None
    }

    /// The length given for a key that must be there, mm.
    pub(crate) fn needed(&mut self, key: &str) -> Option<f64> {
        if !self.has(key) {
            self.note(Fault::of_key(key, "nothing", format!("`{key}=…`")));
        }
        self.length(key, Least::Positive)
    }

    /// The wall angle given for a key, degrees from the mouth line: above 0, at most 90.
    pub(crate) fn wall(&mut self, key: &str) -> Option<f64> {
        let text = self.text(key)?;
        let value = match number(degrees(text)) {
            Ok(read) => read.value,
            Err(e) => {
                self.unread(key, text, e);
                return None;
            }
        };
        let (expected, hint) = if value > 90.0 {
            ("at most 90 degrees", Some(Hint::SquareOff))
        } else if value <= 0.0 {
            let expected = "an angle above 0 degrees from the mouth line, 90 for a vertical wall";
            (expected, None)
        } else {
            return Some(value);
        };
        let found = [Bit::Number(value), " degrees".into()];
        self.note(Fault::of_key(key, found, expected).hint(hint));
        None
    }

    /// Has a fault been found?
    pub(crate) fn faulty(&self) -> bool {
        !self.faults.is_empty()
    }

    /// The faults as the error of the thing `name`.
    pub(crate) fn into_error(self, name: &str) -> Refused {
        Refused::new(name, self.faults)
    }
}

/// An angle without its unit.
fn degrees(text: &str) -> &str {
    let bare = text.strip_suffix('°').or_else(|| text.strip_suffix("deg"));
    bare.unwrap_or(text)
}

/// Cuts a text into its pairs at semicolons; if there are none, at the white space before a
/// key where that makes pairs of all of it and commas do not; else at commas.
fn parts(text: &str) -> Vec<&str> {
    let pieces = |at: &[char]| -> Vec<&str> {
        let all = text.split(at).map(str::trim);
        all.filter(|part| !part.is_empty()).collect()
    };
    if text.contains(';') {
        return pieces(&[';', '\n']);
    }
    let (commas, spaces) = (pieces(&[',']), spaced_pairs(text));
    let all = |parts: &[&str]| parts.iter().all(|part| is_pair(part));
    if !all(&commas) && all(&spaces) {
        spaces
    } else {
        commas
    }
}

/// Is this one key, one equals sign and a value?
fn is_pair(part: &str) -> bool {
    part.split_once('=').is_some_and(|(key, value)| {
        let letter = |b: u8| b.is_ascii_alphabetic() || matches!(b, b'-' | b'_');
        key.trim().bytes().all(letter) && !value.trim().is_empty() && !value.contains('=')
    })
}

/// Cuts a text before each word that an equals sign follows.
fn spaced_pairs(text: &str) -> Vec<&str> {
    let mut cuts = vec![0];
    let mut last = text.find('=').unwrap_or(0);
    for (equals, _) in text.match_indices('=').skip(1) {
        let Some(cut) = text[last..equals].trim_end().rfind(char::is_whitespace) else {
            // Two equals signs in a word: no pairs, and no need to look on.
            return Vec::from([""]);
        };
        cuts.push(last + cut);
        last = equals;
    }
    cuts.push(text.len());
    cuts.windows(2)
        .filter_map(|w| text.get(w[0]..w[1]))
        .map(str::trim)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_are_parted_by_commas_semicolons_or_spaces() {
        for text in [
            "mouth=80.5,depth=3-1/8in,left=51",
            " Mouth = 80.5 , depth=3 1/8in , left = 51°",
            "mouth=80,5; depth=3 1/8\"; left=51",
            "mouth=80,5 depth=3 1/8 in left=51 deg",
            "mouth = 8,05cm depth = 79,375 left = 51",
        ] {
            let mut typed = Typed::split(text, "mouth depth left", Units::Mm);
            let read = (typed.needed("mouth"), typed.needed("depth"));
            assert_eq!(read, (Some(80.5), Some(79.375)), "{text}");
            assert_eq!(typed.wall("left"), Some(51.0), "{text}");
            assert!(!typed.faulty(), "{text}");
        }
    }

    #[test]
    fn pairs_that_can_be_taken_two_ways_are_asked_back() {
        for (text, word) in [
            ("mouth=80,5,depth=3", "by semicolons"),
            ("mouth=80 depth=25,left=51", "a number"),
            ("mouth=1,234; depth=25", "for the thousands"),
            ("mouth=80,5; depth=2.5", "one decimal mark"),
            ("mouth=80depth=25", "a number"),
            ("mouth=80, 5 depth=3", "one decimal mark"),
        ] {
            let mut typed = Typed::split(text, "mouth depth left", Units::Mm);
            typed.length("mouth", Least::Any);
            typed.length("depth", Least::Any);
            let e = typed.into_error("channel").to_string();
            assert!(e.contains(word), "{text}: {e}");
        }
    }

    #[test]
    fn unknown_repeated_and_broken_pairs_are_all_reported() {
        let typed = Typed::split("mouth=80,5,mouth=3,dept=2", "mouth depth", Units::Mm);
        let e = typed.into_error("channel");
        assert_eq!(e.faults.len(), 3);
        assert_eq!(e.faults[0].hint, Some(Hint::DecimalList));
        assert!(e.faults[1].to_string().contains("twice"));
        assert!(e.faults[2].to_string().contains("mouth, depth"));
    }
}
