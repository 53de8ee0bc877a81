//! Numbers and lists as people read them.

use tautspan::{Check, PeakAt, Units, inch_words};

/// A length, with its unit.
pub(crate) fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Mm | Units::Cm => format!("{} mm", trimmed(mm, 1)),
        Units::Inch => format!("{} in", inch_words(mm)),
    }
}

/// A number with at most `digits` decimals, without trailing zeros.
pub(crate) fn trimmed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Elongation beyond which a number says nothing more, percent.
const MOST_PERCENT: f64 = 9999.0;

/// A percentage, or the words for a peak that is not finite.
pub(crate) fn percent(value: Option<f64>) -> String {
    match value {
        None => "not finite".to_owned(),
        Some(v) if v > MOST_PERCENT => format!("> {MOST_PERCENT:.0} %"),
        Some(v) => format!("{v:.1} %"),
    }
}

/// A percentage, or other words where there is none.
pub(crate) fn percent_or(value: Option<f64>, none: &str) -> String {
    value.map_or_else(|| none.to_owned(), |v| percent(Some(v)))
}

/// Where the peak is.
pub(crate) fn peak_place(check: &Check, units: Units) -> String {
    check.peak_at.map_or_else(String::new, |p| place(&p, units))
}

/// Where a peak is.
pub(crate) fn place(p: &PeakAt, units: Units) -> String {
    let zone = format!("{:?}", p.zone).to_lowercase();
    let at = match units {
        Units::Mm | Units::Cm => format!("x = {} mm", trimmed(p.place.x_mm, 1)),
        Units::Inch => format!("x = {} in", inch_words(p.place.x_mm)),
    };
    if zone == "pad" {
        format!("under the press, {at}")
    } else {
        format!("at the {zone}, {at}")
    }
}

/// The trade's name of an order.
pub(crate) fn order(name: &str) -> &str {
    match name {
        "deepest-first" => "deepest point first",
        "edge-first" => "edges first",
        "middle-push" => "middle push",
        "one-way" => "one way, far side loose",
        "custom" => "steps of your own",
        other => other,
    }
}

/// Which film is warm, from its name in JSON: `mouth:80`.
pub(crate) fn warm(name: &str) -> String {
    let (zone, celsius) = match name.split_once(':') {
        Some((zone, celsius)) => (zone, Some(celsius)),
        None => (name, None),
    };
    let zone = match zone {
        "whole" => "whole bridge",
        "mouth" => "mouth only",
        "flats" => "flats only",
        ranges => ranges,
    };
    celsius.map_or_else(|| zone.to_owned(), |c| format!("{zone} at {c} degC"))
}

/// A titled list, or nothing if it is empty.
pub(crate) fn list(title: &str, items: &[String]) -> String {
    if items.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{title}\n");
    for item in items {
        text.push_str(&format!("  - {item}\n"));
    }
    text
}

/// The line that says which deciding numbers are invented.
pub(crate) fn training(invented: &[String]) -> String {
    if invented.is_empty() {
        return String::new();
    }
    format!(
        "\nTraining numbers: invented values decide here ({}). Measure your own before you rely on it.\n",
        invented.join("; ")
    )
}

/// The usual cautions, shown where an answer is acted on.
pub(crate) const CAUTIONS: &str = "
Before work: read the film maker's instructions; they and local codes come first. Heat guns
burn skin and crack cold glass; ventilate against fumes and solvents; never cut film on
paint or near airbags, sensors and wiring. Try it on a trial piece.
";
