//! What would do where no width does.

use super::words;
use tautspan::Told;
use tautspan::advice::{Alternative, NoWidth};
use tautspan::say::{CUTTING, OptionWords, Voice};

/// Why no width works, in numbers.
pub(crate) fn no_width(none: &NoWidth, voice: Voice) -> String {
    let mut text = String::new();
    for (i, line) in none.lines(voice).iter().enumerate() {
        let title = if i == 0 { "In numbers" } else { "" };
        text.push_str(&format!("  {title:<12}{line}\n"));
    }
    text
}

/// What would do, and what would not.
pub(crate) fn text(all: &[Told<Alternative>], voice: Voice) -> String {
    let (mut does, mut ruled_out) = (String::new(), Vec::new());
    for option in all {
        match option.words(voice) {
            OptionWords::Does(first, more) => {
                does.push_str(&format!("  - {first}\n"));
                for line in more {
                    does.push_str(&format!("      {line}\n"));
                }
            }
            OptionWords::DoesNot(why) => ruled_out.push(why),
        }
    }
    let mut text = String::new();
    if !does.is_empty() {
        text.push_str(&format!("\nWhat would do\n{does}"));
    }
    text.push_str(&words::lines("What would not", &ruled_out));
    if all.iter().any(|option| option.is_cut()) {
        let cutting = CUTTING.map(str::to_owned);
        text.push_str(&words::lines("Where film is cut or overlaps", &cutting));
    }
    text
}
