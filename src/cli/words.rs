//! Numbers and lists as people read them.

use tautspan::{Check, Cost, Costs, Measure, PeakAt, Units, WidthRange, inch_words};

/// A length, with its unit.
pub(crate) fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Mm | Units::Cm => format!("{} mm", trimmed(mm, 1)),
        Units::Inch => format!("{} in", inch_words(mm)),
    }
}

/// How far off readings and hand are taken to be, in brackets after a share.
pub(crate) fn allowed(range: &WidthRange, units: Units) -> String {
    let all: Vec<String> = [
        ("+-", range.tolerance_mm, ""),
        ("press ", range.press_off_mm, " off"),
        ("tapes ", range.tapes_off_mm, " off"),
    ]
    .iter()
    .filter(|part| part.1 > 0.0)
    .map(|(what, mm, off)| format!("{what}{}{off}", fine(*mm, units)))
    .collect();
    if all.is_empty() {
        String::new()
    } else {
        format!(" ({})", all.join(", "))
    }
}

/// A small length: in inches, the nearest 64th of one, as on a steel rule, but not none.
fn fine(mm: f64, units: Units) -> String {
    if units != Units::Inch {
        return length(mm, units);
    }
    let parts = (mm / 25.4 * 64.0).round().max(1.0);
    let (mut parts, mut whole) = (parts, 64.0);
    while parts % 2.0 < 0.5 && whole > 1.0 {
        (parts, whole) = (parts / 2.0, whole / 2.0);
    }
    format!("{parts}/{whole} in")
}

/// What the depth costs, or where it costs nothing the dearest reading: "1 mm more depth: 6 mm
/// wider"; in inches, an eighth of one.
pub(crate) fn dearest(costs: &Costs, units: Units) -> Option<String> {
    let dear = |c: &(Measure, Cost)| c.1.wider_mm;
    let all = || costs.all().filter(|c| dear(c) >= 0.05);
    let depth = all().find(|c| c.0 == Measure::Depth);
    let dearest = depth.or_else(|| all().max_by(|a, b| dear(a).total_cmp(&dear(b))))?;
    Some(cost(dearest.0, dearest.1, units))
}

/// What one unit of a reading costs.
fn cost(measure: Measure, cost: Cost, units: Units) -> String {
    let (unit, times) = match units {
        _ if measure.is_angle() => ("1 degree", 1.0),
        Units::Mm | Units::Cm => ("1 mm", 1.0),
        Units::Inch => ("1/8 in", 3.175),
    };
    let more = match measure {
        Measure::Press => "off with the",
        _ if measure.is_angle() && cost.more => "steeper",
        _ if measure.is_angle() => "flatter",
        _ if cost.more => "more",
        _ => "less",
    };
    format!(
        "{unit} {more} {}: {} wider",
        measure.words(),
        length(times * cost.wider_mm, units)
    )
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
