//! What would do where no width does, in words.

use super::words;
use tautspan::{Alternative, FilmPiece, NoWidth, Seam, Side, Units};

/// Why no width works, in numbers.
pub(crate) fn no_width(none: &NoWidth, units: Units) -> String {
    let length = |mm: f64| words::length(mm, units);
    let mut lines = Vec::new();
    if let Some(least) = none.least_bridge_mm {
        lines.push(format!(
            "the plain rule needs {}; mouth {} and clear panel {} + {} give {}",
            length(least),
            length(none.mouth_mm),
            length(none.clear_left_mm),
            length(none.clear_right_mm),
            length(none.widest_bridge_mm)
        ));
    }
    let limit = format!("{} %", words::trimmed(none.limit_pct, 1));
    let at = none
        .peak_at
        .map_or_else(String::new, |p| format!(", {}", words::place(&p, units)));
    match none.cause.as_str() {
        "unsolved" => lines.push("the widest bridge could not be laid; see the notes".to_owned()),
        "tool" => lines.push(format!(
            "a gap of {} stays under the film, out of the tool's reach",
            length(none.gap_mm)
        )),
        _ => lines.push(format!(
            "at {} deepest point first peaks at {}{at}; the limit is {limit}",
            length(none.widest_bridge_mm),
            words::percent(none.peak_pct)
        )),
    }
    if let (Some(limit), Some(peak)) = (none.recess_limit_pct, none.recess_peak_pct) {
        lines.push(format!(
            "between the lips it peaks at {peak:.1} %; the limit there is {} %",
            words::trimmed(limit, 1)
        ));
    }
    let mut text = String::new();
    for (i, line) in lines.iter().enumerate() {
        let title = if i == 0 { "In numbers" } else { "" };
        text.push_str(&format!("  {title:<12}{line}\n"));
    }
    text
}

/// What would do, and what would not.
pub(crate) fn text(all: &[Alternative], units: Units) -> String {
    let mut does = String::new();
    let mut ruled_out = Vec::new();
    for option in all {
        if let Alternative::RuledOut { option, why } = option {
            ruled_out.push(format!("{}: {why}", name(option)));
            continue;
        }
        let (first, more) = lines(option, units);
        does.push_str(&format!("  - {first}\n"));
        for line in more {
            does.push_str(&format!("      {line}\n"));
        }
    }
    let mut text = String::new();
    if !does.is_empty() {
        text.push_str(&format!("\nWhat would do\n{does}"));
    }
    text.push_str(&words::list("What would not", &ruled_out));
    text.push_str(&words::list("Where film is cut or overlaps", &cutting(all)));
    text
}

/// What holds for every option with a cut or a seam, each once.
fn cutting(all: &[Alternative]) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for option in all {
        let (Alternative::ReliefCut {
            direction,
            cautions,
            ..
        }
        | Alternative::SeparateInlay {
            direction,
            cautions,
            ..
        }) = option
        else {
            continue;
        };
        let overlaps = format!("overlaps {direction}");
        for line in cautions.iter().chain([&overlaps]) {
            if !said.contains(line) {
                said.push(line.clone());
            }
        }
    }
    said
}

/// The trade's name of an option.
fn name(kind: &str) -> &str {
    match kind {
        "more-clear" => "more clear panel",
        "far-side-loose" => "far side loose",
        "film-class" => "another film class",
        "relief-cut" => "relief cut with an inlay strip",
        "separate-inlay" => "separate inlay",
        other => other,
    }
}

/// An option: its first line, and what goes below it.
fn lines(option: &Alternative, units: Units) -> (String, Vec<String>) {
    let length = |mm: f64| words::length(mm, units);
    match option {
        Alternative::MoreClear {
            clear_left_mm,
            clear_right_mm,
            bridge_mm,
        } => (
            format!(
                "more clear panel: needs {} clear to the left and {} to the right, for a bridge of {}",
                length(*clear_left_mm),
                length(*clear_right_mm),
                length(*bridge_mm)
            ),
            Vec::new(),
        ),
        Alternative::FarSideLoose {
            artwork_shift_mm,
            loose,
            near_shift_mm,
            peak_pct,
            not_where,
        } => {
            let (far, near) = sides(*loose);
            let first = format!(
                "far side loose (`--order one-way --loose {far}`): from the {near} flat over the recess, film feeding in from the {far}, stretch about {peak_pct:.0} %"
            );
            let mut more = vec![format!(
                "artwork and sheet edge on the {far} move by {} towards the recess, on the {near} by {}",
                length(*artwork_shift_mm),
                length(*near_shift_mm)
            )];
            more.extend(not_where.iter().map(|w| format!("not {w}")));
            (first, more)
        }
        Alternative::FilmClass {
            name,
            bridge_mm,
            limit_pct,
            order,
            peak_pct,
            warm,
            ..
        } => (
            format!(
                "film class {name} (limit {} %): bridge {}, {}, peak {}, {} warmed",
                words::trimmed(*limit_pct, 1),
                length(*bridge_mm),
                words::order(order),
                words::percent(*peak_pct),
                words::warm(warm)
            ),
            Vec::new(),
        ),
        Alternative::ReliefCut {
            strip_mm,
            overlap_mm,
            gap_mm,
            seams,
            pieces,
            flags,
            ..
        } => {
            let first = format!(
                "relief cut and an inlay strip {} wide: a gap of {} and {} of overlap on each side",
                length(*strip_mm),
                length(*gap_mm),
                length(*overlap_mm)
            );
            let mut more: Vec<String> = seams
                .iter()
                .map(|s| seam(s, "cut edge", "strip", units))
                .collect();
            more.push(alone(pieces, units));
            more.extend(flags.iter().map(|f| format!("watch: {f}")));
            (first, more)
        }
        Alternative::SeparateInlay {
            piece_mm,
            pushed_piece_mm,
            seams,
            pieces,
            flags,
            ..
        } => {
            let first = format!(
                "separate inlay, the film of the flats trimmed where the recess begins: a piece {} wide laid with its edges free ({} if pushed in with its overlaps stuck first)",
                length(*piece_mm),
                length(*pushed_piece_mm)
            );
            let mut more: Vec<String> = seams
                .iter()
                .map(|s| seam(s, "film of the flat ends", "inlay", units))
                .collect();
            more.push(alone(pieces, units));
            more.extend(flags.iter().map(|f| format!("watch: {f}")));
            (first, more)
        }
        Alternative::LeaveBare { bare_mm } => (
            format!(
                "leave the recess bare: {} of panel, measured along it; the film ends on the flats",
                length(*bare_mm)
            ),
            Vec::new(),
        ),
        Alternative::RuledOut { option, why } => (format!("{option}: {why}"), Vec::new()),
    }
}

/// The far and the near side.
fn sides(loose: Side) -> (&'static str, &'static str) {
    match loose {
        Side::Left => ("left", "right"),
        Side::Right => ("right", "left"),
    }
}

/// A seam in words.
fn seam(seam: &Seam, edge: &str, over: &str, units: Units) -> String {
    let length = |mm: f64| words::length(mm, units);
    let side = sides(seam.side).0;
    let zone = |z| format!("{z:?}").to_lowercase();
    let (mm, end) = (seam.from_lip_mm, &seam.counted_from);
    let lip = if mm.abs() < 0.05 {
        format!("at the {end}")
    } else if mm > 0.0 {
        format!("{} in from its {end}", length(mm))
    } else {
        format!("{} beyond its {end}", length(-mm))
    };
    let foot = seam
        .from_foot_mm
        .filter(|_| end != "foot")
        .map_or_else(String::new, |mm| {
            format!(", {} from the nearest foot", length(mm))
        });
    format!(
        "{side}: {edge} on the {}, x = {}, {lip}{foot}; the {over} ends {} beyond, on the {}",
        zone(seam.zone),
        length(seam.edge.x_mm),
        length(seam.overlap_mm),
        zone(seam.over_zone)
    )
}

/// The pieces, each laid alone.
fn alone(pieces: &[FilmPiece], units: Units) -> String {
    let each: Vec<String> = pieces
        .iter()
        .map(|p| {
            format!(
                "{} {} of film, stretched about {:.0} %",
                p.name,
                words::length(p.film_mm, units),
                p.free_pct
            )
        })
        .collect();
    format!("laid alone with an edge free: {}", each.join("; "))
}
