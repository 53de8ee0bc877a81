//! Numbers and sentences of the printed sheets.

use crate::advice::report::{Alternative, PeakAt};
use crate::section::{Side, Units, Zone, inch_words};

/// A length with its unit, held together by a no-break space.
pub(crate) fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Mm | Units::Cm => format!("{}\u{a0}mm", trimmed(mm, 1)),
        Units::Inch => format!("{}\u{a0}in", inches(mm)),
    }
}

/// A length in inches as a tape shows it, held together, without its unit.
pub(crate) fn inches(mm: f64) -> String {
    inch_words(mm)
        .replace(' ', "\u{a0}")
        .replace('-', "\u{2212}")
}

/// A number with at most `digits` decimals and a real minus sign.
pub(crate) fn trimmed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    match text.strip_prefix('-') {
        Some("0") => "0".to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text.to_owned(),
    }
}

/// A percentage with one decimal, or the words for a peak that is not finite.
pub(crate) fn percent(value: Option<f64>) -> String {
    match value {
        None => "not finite".to_owned(),
        Some(v) if v > 9999.0 => ">\u{a0}9999\u{a0}%".to_owned(),
        Some(v) => format!("{v:.1}\u{a0}%"),
    }
}

/// A percentage beside its limit: two decimals where one would hide that it is over.
pub(crate) fn percent_beside(value: Option<f64>, limit: f64) -> String {
    match value {
        Some(v) if v > limit && v < limit + 0.1 => format!("{v:.2}\u{a0}%"),
        _ => percent(value),
    }
}

/// The trade's name of an order.
pub(crate) fn order(name: &str) -> String {
    match name {
        "deepest-first" => "deepest point first",
        "edge-first" => "edges first",
        "middle-push" => "middle push",
        "one-way" => "one way, far side loose",
        other => other,
    }
    .to_owned()
}

/// The first letter large.
pub(crate) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// Where the peak is.
pub(crate) fn peak_place(at: Option<PeakAt>) -> &'static str {
    match at.map(|p| p.zone) {
        None => "",
        Some(Zone::Flat) => ", out on the flat",
        Some(Zone::Lip) => ", at the lip",
        Some(Zone::Wall) => ", on the wall",
        Some(Zone::Foot) => ", at the foot",
        Some(Zone::Floor) => ", on the floor",
        Some(Zone::Pad) => ", under the press",
    }
}

/// What else would do, for somebody in the bay; nothing of what would not.
pub(crate) fn alternative(a: &Alternative, units: Units) -> Option<String> {
    let length = |mm: f64| length(mm, units);
    Some(match a {
        Alternative::MoreClear {
            clear_left_mm,
            clear_right_mm,
            bridge_mm,
        } => format!(
            "more clear panel: {} to the left and {} to the right, for a bridge of {}",
            length(*clear_left_mm),
            length(*clear_right_mm),
            length(*bridge_mm)
        ),
        Alternative::FarSideLoose {
            artwork_shift_mm,
            loose,
            ..
        } => format!(
            "one way with the {} side loose: no stretch, artwork and sheet edge there move by {}; not at a closed end",
            match loose {
                Side::Left => "left",
                Side::Right => "right",
            },
            length(*artwork_shift_mm)
        ),
        Alternative::FilmClass {
            name, bridge_mm, ..
        } => format!("film class {name}: bridge {}", length(*bridge_mm)),
        Alternative::ReliefCut {
            strip_mm,
            overlap_mm,
            ..
        } => format!(
            "a relief cut and an inlay strip {} wide, {} of it overlap on each side; never cut on paint",
            length(*strip_mm),
            length(*overlap_mm)
        ),
        Alternative::SeparateInlay { piece_mm, .. } => format!(
            "a separate inlay {} wide, the flats trimmed where the recess begins; never cut on paint",
            length(*piece_mm)
        ),
        Alternative::LeaveBare { bare_mm } => {
            format!(
                "leave the recess bare: {} along the panel",
                length(*bare_mm)
            )
        }
        Alternative::RuledOut { .. } => return None,
    })
}

/// A note without what only helps at a keyboard: options in brackets, commands to run.
pub(crate) fn for_paper(note: &str) -> String {
    let mut text = note.replace("degC", "°C");
    while let Some(from) = text.find(" (`") {
        let Some(to) = text[from..].find(')') else {
            break;
        };
        text.replace_range(from..=from + to, "");
    }
    // A sentence's part that names a command or an option goes as a whole.
    let kept: Vec<&str> = text
        .split("; ")
        .map(|part| {
            part.split_once(", or choose `")
                .map_or(part, |(said, _)| said)
        })
        .filter_map(|part| match part.split_once(": see `") {
            Some((said, _)) => Some(said),
            None if part.contains('`') => None,
            None => Some(part),
        })
        .collect();
    if kept.is_empty() {
        text.replace('`', "")
    } else {
        kept.join("; ")
    }
}

/// Text for HTML and SVG.
pub(crate) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            // Control characters may stand in no XML.
            c if c.is_control() => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

/// The usual cautions.
pub(crate) const CAUTIONS: [&str; 4] = [
    "The film maker's instructions, local codes and licensed practice come before this card.",
    "Heat guns burn skin, crack cold glass and overheat paint; hot film sticks to skin. Gloves on.",
    "Ventilate: solvents and hot film give off fumes. No open flame near solvents.",
    "Never cut film on paint, nor near airbags, sensors and wiring. Blade sheathed when not in use.",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn options_and_commands_are_left_off_the_paper() {
        // Reference: by hand.
        let cases = [
            (
                "300 mm of clear panel beyond each lip (`--clear-left`, `--clear-right`)",
                "300 mm of clear panel beyond each lip",
            ),
            (
                "one temperature; a warm mouth stretches far more: see `tautspan check --warm mouth`",
                "one temperature; a warm mouth stretches far more",
            ),
            (
                "work the air towards an open end, or choose `--order middle-push`",
                "work the air towards an open end",
            ),
            (
                "film lifts; a smaller `--tip-radius` reaches deeper",
                "film lifts",
            ),
        ];
        for (note, paper) in cases {
            assert_eq!(for_paper(note), paper);
        }
    }

    #[test]
    fn numbers_carry_a_real_minus_and_no_idle_zeros() {
        assert_eq!(trimmed(-0.04, 1), "0");
        assert_eq!(trimmed(-1.50, 1), "\u{2212}1.5");
        assert_eq!(length(25.4, Units::Inch), "1\u{a0}in");
        // Reference: 125 mm are 78.7 sixteenths.
        assert_eq!(length(125.0, Units::Inch), "4\u{a0}15/16\u{a0}in");
        assert_eq!(length(-12.7, Units::Inch), "\u{2212}1/2\u{a0}in");
    }
}
