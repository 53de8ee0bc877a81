//! Text as it was typed or pasted, without a word on what it is.
//!
//! Points, the heights of a comb and tables have their readers, those of the command line;
//! here is only told which of them a text is for: by its first line that is no comment.

use super::{Section, Typing, read_comb, read_csv_as, read_points};
use crate::fault::Refused;

/// Reads points, the heights of a comb gauge (`pitch=5: ..`) or a table with a header.
///
/// # Errors
/// Those of the reader; a table that does not say its units is asked back.
pub fn read_pasted(text: &str, typing: Typing) -> Result<Section, Refused> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().map(str::trim).find(|line| !is_aside(line));
    match first {
        Some(line) if is_comb(line) => read_comb("comb", &without_asides(text), typing),
        Some(line) if is_table(line) => read_csv_as("table", text.as_bytes(), typing),
        _ => read_points("points", &without_asides(text), typing),
    }
}

/// A blank line or a comment.
fn is_aside(line: &str) -> bool {
    line.is_empty() || line.starts_with('#')
}

fn is_comb(line: &str) -> bool {
    let start: String = line.chars().take(5).collect();
    start.eq_ignore_ascii_case("pitch")
}

/// A header has words where a point has numbers with at most a unit; and only a table puts
/// its fields in quotes.
fn is_table(line: &str) -> bool {
    let axis = |c: char| matches!(c.to_ascii_lowercase(), 'x' | 'y');
    let digit = |c: char| c.is_ascii_digit();
    line.starts_with('"')
        || line.contains(axis)
        || (line.contains(char::is_alphabetic) && !line.contains(digit))
}

/// The lines that are read.
fn without_asides(text: &str) -> String {
    let lines = text.lines().filter(|line| !is_aside(line.trim()));
    lines.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::Units;

    const PLAIN: &str = "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0";

    #[test]
    fn the_same_section_is_read_from_every_notation() {
        let expected = read_points("p", PLAIN, Units::Mm).unwrap();
        for text in [
            PLAIN,
            "-60\t0\n-40\t0\n-20\t-12,5\n20\t-12,5\n40\t0\n60\t0\n",
            "# gauge\r\n-60;0\r\n-40;0\r\n-20;-12,5\r\n20;-12,5\r\n40;0\r\n60;0\r\n",
            "X (cm)\tY (cm)\n-6\t0\n-4\t0\n-2\t-1,25\n2\t-1,25\n4\t0\n6\t0\n",
            "\u{feff}\"y_mm\";\"x_mm\"\n0;-60\n0;-40\n\"-12,5\";-20\n-12,5;20\n0;40\n0;60\n",
            "-6cm,0 -4cm,0 -2cm,-1.25cm 2cm,-1.25cm 4cm,0 6cm,0",
        ] {
            let read = read_pasted(text, Typing::default()).unwrap();
            assert_eq!(read.line(), expected.line(), "{text}");
        }
        let comb = read_pasted("Pitch=20: 0 0 -12.5 -12.5 0 0", Typing::default()).unwrap();
        assert_eq!(comb.line().points().len(), 6);
        let cm = Typing::from(Units::Cm);
        let read = read_pasted("-6;0 -4;0 -2;-1,25 2;-1,25 4;0 6;0", cm).unwrap();
        assert_eq!(read.line(), expected.line());
        assert!((read.last_digit() - 0.1).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_told_apart_is_asked_back() {
        for (text, words) in [
            ("x,y\n0,0\n1,-1\n2,0\n", "no unit in the header"),
            ("Place;Height\n0;0\n1;-1\n2;0\n", "header"),
            ("-60\t0\n0\t-1,234\n60\t0", "thousands"),
            ("60,0 0,-10 -60,0", "right to left"),
            ("-60,0 0,-1O 60,0", "-1O"),
            ("", "found"),
        ] {
            let e = read_pasted(text, Typing::default())
                .unwrap_err()
                .to_string();
            assert!(e.contains(words), "{text}: {e}");
        }
    }
}
