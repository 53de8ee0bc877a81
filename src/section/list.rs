//! Lists of lengths, and how the marks between and within them are told apart.
//!
//! Every mark has one role in a list: semicolons separate, and then a comma is a decimal
//! one; without semicolons commas separate; where white space separates, commas are decimal
//! ones again. A list in which marks would change their role is refused, not mended.

use super::length::{TypedLength, length};
use super::number::{NotANumber, quoted, spelled};
use super::{Marks, Units};
use crate::fault::{Fault, Hint, Refused};

/// The fault of commas with a space behind some and none behind others, between digits: one
/// of them may be a decimal comma. Where all are tight, or all spaced, they all separate.
pub(super) fn uneven(text: &str) -> Option<Fault> {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    if text.contains(';') {
        return None;
    }
    let (mut tight, mut spaced) = (None, false);
    for (i, _) in text.match_indices(',') {
        let (before, behind) = (text[..i].chars().next_back(), text[i + 1..].chars().next());
        spaced |= behind.is_some_and(char::is_whitespace);
        if digit(before) && digit(behind) {
            tight = tight.or(Some(i));
        }
    }
    let i = tight.filter(|_| spaced && pieces(text).len() > text.matches(',').count())?;
    let from = text[..i].rfind(char::is_whitespace).map_or(0, |i| i + 1);
    let shown = text[from..]
        .split_whitespace()
        .next()?
        .trim_end_matches(',');
    let found = format!("{} among commas with a space behind them", quoted(shown));
    let expected = "a space behind every comma or behind none";
    Some(Fault::whole(found, expected).hint(Hint::DecimalList))
}

/// Cuts a list into its pieces; those that are empty or hold a second separator stay as they
/// are, to be refused with their number.
pub(super) fn pieces(text: &str) -> Vec<&str> {
    let text = text.trim();
    let cut = |at: char| -> Vec<&str> { text.split(at).map(str::trim).collect() };
    if text.contains(';') {
        return cut(';');
    }
    let words: Vec<&str> = text.split_whitespace().collect();
    if !text.contains(',') {
        return words;
    }
    let commas = cut(',');
    let apart = commas.iter().any(|p| p.contains(char::is_whitespace));
    if apart && words.iter().all(|w| spelled(w, 0).is_some()) {
        words
    } else {
        commas
    }
}

/// Reads one piece of a list.
pub(super) fn piece(text: &str, units: Units) -> Result<TypedLength, NotANumber> {
    length(text, units, false)
}

/// Reads a list of lengths, mm: `10,20,30`, `10; 12,5; 30`, `1/2in 3/4in`, `1cm 2cm`.
///
/// # Arguments
/// * `name`: what messages call the list.
/// * `text`: the lengths.
/// * `units`: what bare numbers are in.
///
/// # Errors
/// [`Refused`] with every fault, each with the number of its length.
///
/// # Example
/// ```
/// use tautspan::Units;
/// use tautspan::section::read_lengths;
/// assert_eq!(read_lengths("depths", "10; 12,5; 2cm", Units::Mm)?, [10.0, 12.5, 20.0]);
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_lengths(name: &str, text: &str, units: Units) -> Result<Vec<f64>, Refused> {
    let (mut lengths, mut faults) = (Vec::new(), Vec::new());
    let mut marks = Marks::default();
    for (i, text) in pieces(text).into_iter().enumerate() {
        match piece(text, units) {
            Ok(read) => {
                marks.see(Some(i + 1), read.mark, text);
                lengths.push(read.mm);
            }
            Err(e) => faults.push(e.fault(quoted(text)).placed(i + 1)),
        }
    }
    faults.extend(uneven(text));
    faults.extend(marks.fault());
    if lengths.is_empty() && faults.is_empty() {
        faults.push(Fault::whole("nothing", "a length"));
    }
    Refused::unless(name, faults, lengths)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_has_one_role_in_a_list() {
        let read = |text: &str| read_lengths("list", text, Units::Mm);
        let expected = vec![0.0, -2.5, -11.0];
        for text in [
            "0,-2.5,-11",
            "0, -2.5, -11",
            "0;-2,5;-11",
            "0; -2.5; -11",
            "0 -2,5 -11",
        ] {
            assert_eq!(read(text).unwrap(), expected, "{text}");
        }
        for text in [
            "0 -2.5,-11",
            "0;-2.5 -11",
            "0,,-11",
            "0;-2,5;",
            "0,5; 2.5; 3",
            "1,234; 2,345",
            "3 1/8in, 1in",
            "0, 0, -2,5",
            "0, 1,-2, 3,4",
            "",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
        assert_eq!(read("0,000; 1,234").unwrap(), [0.0, 1.234]);
    }
}
