//! The sentences of the card: what to warm, and what to do before, while laying, and after.
//!
//! Temperatures stand here only where the film class or the user gave them.

use super::source::{BLANK, Source, Task};
use crate::advice::{WarmAdvice, Warmed};
use crate::laydown::OrderName;
use crate::outcome::Ends;
use crate::say::{Say, sentence};
use crate::section::Kind;
use crate::told::when;

/// Mouths from which a bridge is wide, and its far side is warmed; common practice, no source.
const WIDE: f64 = 1.3;
/// Gap under the film from which the card warns, mm.
const GAP_SAID: f64 = 0.5;

/// The third of the three things.
pub(crate) fn warm(source: &Source<'_>) -> Task {
    let case = source.case;
    let step = case.section.kind == Kind::Step;
    let (big, place) = match &case.warm {
        Warmed::Mouth(_) if step => (
            "Lip to foot only",
            "the film between lip and foot, not the flats",
        ),
        Warmed::Mouth(_) => ("Mouth only", "the film between the lips, not the flats"),
        Warmed::Ranges(_) => (
            "Marked ranges",
            "the film in the ranges given, counted on the flat film from the left tape",
        ),
        Warmed::Flats(_) => ("Flats only", "the film over the flats, not the recess"),
        Warmed::Whole(_) => (
            "Whole bridge",
            "all of the free film evenly, from tape to tape",
        ),
    };
    let to = match &case.warm {
        Warmed::Whole(Some(c)) | Warmed::Mouth(c) | Warmed::Flats(c) => format!(
            "to {} in this calculation; film maker's figure {BLANK}",
            source.voice().celsius(*c)
        ),
        Warmed::Ranges(_) => format!(
            "{}; film maker's figure {BLANK}",
            case.warm.say(source.voice())
        ),
        Warmed::Whole(None) => format!("to {BLANK}\u{a0}°C, as the film maker says"),
    };
    let mut lines = vec![
        format!("{}, {to}", sentence(place)),
        "Read on the film. Hard to push: not warm enough; do not force it".to_owned(),
    ];
    lines.extend(mouth_only(source));
    Task {
        name: "Warm".to_owned(),
        big: big.to_owned(),
        lines,
        numbered: false,
    }
}

/// What a mouth warmed alone would need, while nobody has said which film is warmed.
fn mouth_only(source: &Source<'_>) -> Option<String> {
    let rows = if source.fixed {
        &[][..]
    } else {
        &source.advice.warmth
    };
    let row = rows.iter().find(|r| matches!(r.warm, Warmed::Mouth(_)))?;
    let needs = match (row.bridge_mm, &row.unknown) {
        (Some(mm), _) if (mm - source.case.bridge_mm).abs() < 0.05 => "the same width".to_owned(),
        (Some(mm), _) => format!("needs {}, not this width", source.length(mm)),
        (None, None) if row.advice == Some(WarmAdvice::FlatsToo) => {
            "no practical width; warm the flats too".to_owned()
        }
        (None, None) => "no width does".to_owned(),
        (None, Some(_)) => "not known".to_owned(),
    };
    Some(format!("With only the mouth warm: {needs}"))
}

/// Before laying.
pub(crate) fn before(source: &Source<'_>, has_width: bool) -> Vec<String> {
    let again = source.asked.gauge_tolerance.map_or_else(String::new, |t| {
        format!(
            "; more than {} off: ask for a new card",
            source.voice().tolerance(t.max(0.5))
        )
    });
    let mut all = vec![
        format!("Measure mouth and depth again at the worst place{again}."),
        format!("Take off what is in the way (trim, handles, lights, seals): {BLANK}{BLANK}"),
        "Clean, dry and degrease panel, walls and feet as the film maker says; let it flash off."
            .to_owned(),
        format!(
            "Panel {BLANK}\u{a0}°C, air {BLANK}\u{a0}°C; film maker's window {BLANK} to {BLANK}\u{a0}°C."
        ),
    ];
    if has_width {
        all.push(
            "Mark both tape lines from the lips, then measure tape to tape. A new blade in the knife."
                .to_owned(),
        );
    }
    all
}

/// Where the air goes.
fn exit(source: &Source<'_>) -> String {
    let channels = source.film.air_channels;
    let way = match source.asked.ends {
        Some(Ends::Open) => format!("Work the air towards an open end; mark which: {BLANK}"),
        Some(Ends::OneOpen) => "Work from the closed end towards the open end".to_owned(),
        Some(Ends::Closed) => match channels {
            Some(true) => {
                "Both ends closed: air leaves through the film's channels only".to_owned()
            }
            _ => "Both ends closed: air has no way out; take film with air channels, or make a trial piece first"
                .to_owned(),
        },
        None => format!("Air leaves at the open end, if there is one; mark which: {BLANK}"),
    };
    match channels {
        Some(false) => {
            format!("{way}. No air channels: what stays is lifted and laid again, not pierced.")
        }
        Some(true) => format!("{way}."),
        None => format!("{way}. Air channels in the film: {BLANK}"),
    }
}

/// While laying.
pub(crate) fn during(source: &Source<'_>, has_width: bool) -> Vec<String> {
    let case = source.case;
    if !has_width {
        return vec!["Nothing is laid over the recess from this card.".to_owned()];
    }
    let deepest = matches!(
        case.order.name,
        OrderName::DeepestFirst | OrderName::MiddlePush
    );
    let wide = case.bridge_mm > WIDE * case.section.mouth_mm;
    let mut all =
        vec!["Warm the free film lightly until it hangs flat and taut, without waves.".to_owned()];
    if deepest {
        all.push(
            "First press: one unhurried stroke along the whole recess; keep the film warm."
                .to_owned(),
        );
    }
    if source.film.air_channels == Some(true) && wide {
        all.push("Warm the far side too: the give then comes from the flat.".to_owned());
    }
    all.push(exit(source));
    all.push(
        "Keep the film off what is not yet pressed; once it sticks it does not slide.".to_owned(),
    );
    if deepest {
        all.push(
            format!(
                "Film touched down on a wall{} before the deepest part was pressed: lift it and start again.",
                when(case.order.name == OrderName::MiddlePush, "", " or flat")
            ),
        );
    }
    if case.out_of_reach.gap_mm >= GAP_SAID {
        all.push(format!(
            "This tool leaves up to {} free in the corners: go over them with a smaller tip, film warm.",
            source.length(case.out_of_reach.gap_mm)
        ));
    }
    all.push("Creases or whitening: stop, warm, lift, lay again.".to_owned());
    all
}

/// After laying.
pub(crate) fn after(source: &Source<'_>, has_width: bool) -> Vec<String> {
    if !has_width {
        return vec!["Record what was decided, and by whom.".to_owned()];
    }
    let film = source.film;
    let least = film.post_heat_min_c.as_ref().map_or_else(
        || format!("Post-heat to at least {BLANK}\u{a0}°C, as the film maker says"),
        |n| format!("Post-heat to at least {}", source.voice().celsius(n.value)),
    );
    let emissivity = film.emissivity.as_ref().map_or_else(
        || format!("Emissivity set: {BLANK}"),
        |n| format!("Set emissivity {}", source.voice().number(n.value, 2)),
    );
    let spot = match source.case.section.kind {
        Kind::Channel => "the spot inside the floor, not over a lip",
        Kind::Step => "the spot on wall and foot, not over the lip",
    };
    vec![
        "A narrow roller into each foot; look along the floor for air, split it small, work it out.".to_owned(),
        format!("{least}, all film that was stretched: floor, walls, lips and flats to the tapes."),
        format!("Read the film's surface, gun away, {spot}. {emissivity}."),
        "Look again after a day, and after the first hot day: feet and lips first.".to_owned(),
        "Lifted and clean: re-heat, press down, post-heat again. Lifted twice at one place, or dirt or a crease under it: cut it out over a strip, never on paint, and inlay.".to_owned(),
    ]
}
