//! Lists as a terminal shows them.

use tautspan::Told;
use tautspan::advice::{EndReport, FilmReport, Invented, Notice, SectionReport};
use tautspan::say::{Say, Voice, sentence};

/// A titled list of lines, or nothing if there are none.
pub(crate) fn lines(title: &str, items: &[String]) -> String {
    if items.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{title}\n");
    for item in items {
        text.push_str(&format!("  - {item}\n"));
    }
    text
}

/// A titled list of what is to be said, each thing once.
pub(crate) fn list<T: Say>(title: &str, items: &[T], voice: Voice) -> String {
    lines(title, &voice.all(items))
}

/// Of two things the one that fits.
pub(crate) fn when<T>(is: bool, yes: T, no: T) -> T {
    if is { yes } else { no }
}

/// A section in one line: its name, what it is, its size.
pub(crate) fn section(s: &SectionReport, voice: Voice) -> String {
    let (kind, wide, deep) = (
        s.kind.word(),
        voice.length(s.mouth_mm),
        voice.length(s.depth_mm),
    );
    format!("{}: {kind}, {wide} wide, {deep} deep", s.name)
}

/// A numbered list of what is to be said.
pub(crate) fn numbered<'a, T: Say + 'a>(
    items: impl IntoIterator<Item = &'a T>,
    voice: Voice,
) -> String {
    let lines = items.into_iter().enumerate();
    lines
        .map(|(i, item)| format!("  {}. {}\n", i + 1, item.say(voice)))
        .collect()
}

/// What stands below every answer: notes, assumptions, and which deciding numbers are invented.
pub(crate) fn below(
    warnings: &[Told<Notice>],
    assumptions: &[Told<Notice>],
    invented: &[Told<Invented>],
    voice: Voice,
) -> String {
    list("Note", warnings, voice)
        + &list("Assumed", assumptions, voice)
        + &training(invented, voice)
}

/// The line that says which deciding numbers are invented.
fn training(invented: &[Told<Invented>], voice: Voice) -> String {
    voice
        .training(invented)
        .map_or_else(String::new, |training| {
            format!("\n{training}. Measure your own before you rely on it.\n")
        })
}

/// The usual cautions, shown where an answer is acted on.
pub(crate) const CAUTIONS: &str = "
Before work: read the film maker's instructions; they and local codes come first. Heat guns
burn skin and crack cold glass; ventilate against fumes and solvents; never cut film on
paint or near airbags, sensors and wiring. Try it on a trial piece.
";

/// The closed ends, each with what is known of it.
pub(crate) fn ends(ends: &[EndReport], film: &FilmReport, voice: Voice) -> String {
    let mut text = String::new();
    for end in ends {
        let mut name = sentence(end.end.word());
        for (label, words) in voice.end_rows(end, film) {
            text.push_str(&format!("  {name:<12}{}: {words}\n", label.to_lowercase()));
            name.clear();
        }
    }
    text
}
