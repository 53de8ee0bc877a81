//! The card's tables: what was measured, the numbers of the answer, what was assumed.

use super::source::{BLANK, Row, Source, elsewhere};
use crate::advice::Check;
use crate::laydown::OrderName;
use crate::outcome::Air;
use crate::say::Voice;
use crate::section::Kind;
use crate::told::when;

/// A label with its value.
fn row(label: &str, value: impl Into<String>) -> Row {
    Row {
        label: label.to_owned(),
        value: value.into(),
    }
}

/// What was measured; what nobody said is a blank.
pub(crate) fn measured(source: &Source<'_>) -> Vec<Row> {
    let s = &source.case.section;
    let plain = source.advice.plain_rule;
    let labels = if source.asked.typed.is_some() {
        ["Mouth of that shape", "Its depth", "Tape along it"]
    } else {
        [
            "Mouth, lip to lip",
            "Depth under the mouth",
            "Tape pressed along, lip to lip",
        ]
    };
    let typed = source.asked.typed.iter().flat_map(|typed| {
        let shape = "the one that needs most".to_owned();
        [
            row("Read on tape and rule", typed.clone()),
            row("Shape of those that fit", shape),
        ]
    });
    let found = match s.kind {
        Kind::Channel => vec![
            row(labels[0], source.length(s.mouth_mm)),
            row(labels[1], source.length(s.depth_mm)),
            row(labels[2], source.length(s.mouth_mm + plain.extra_mm)),
            row("Extra panel", source.length(plain.extra_mm)),
        ],
        Kind::Step => vec![
            row("Lip to foot", source.length(s.mouth_mm)),
            row("Drop", source.length(s.depth_mm)),
            row(
                "Extra panel at this bridge",
                source.length(source.case.extra_mm),
            ),
        ],
    };
    let mut rows: Vec<Row> = typed.chain(found).collect();
    rows.push(row(
        "Gauge tolerance",
        source.asked.gauge_tolerance.map_or_else(
            || BLANK.to_owned(),
            |t| source.voice().give_or_take(&source.voice().tolerance(t)),
        ),
    ));
    rows.push(row(
        "Length of the recess",
        source
            .asked
            .length
            .map_or_else(|| BLANK.to_owned(), |l| source.length(l)),
    ));
    rows.push(row(
        "Its ends",
        source.asked.ends.map_or_else(
            || "open / one open / closed".to_owned(),
            |e| e.word().to_owned(),
        ),
    ));
    rows
}

/// The numbers of the answer.
pub(crate) fn numbers(source: &Source<'_>, has_width: bool) -> Vec<Row> {
    let case = source.case;
    let voice = source.voice();
    let limit = match case.film.recess_limit_pct {
        Some(recess) => format!(
            "{}, {} between the lips",
            voice.limit(case.film.limit_pct),
            voice.limit(recess)
        ),
        None => voice.limit(case.film.limit_pct),
    };
    let place = case
        .peak_at
        .map_or_else(String::new, |p| format!(", {}", p.zone.place()));
    let peak = format!("{}{place}", voice.peak(case.peak_pct));
    let mut rows = Vec::new();
    if has_width {
        rows.push(row("Bridge width", source.length(case.bridge_mm)));
        if !source.fixed
            && let Some(bare) = source.advice.unrounded_bridge_mm
            && (bare - case.bridge_mm).abs() >= 0.05
        {
            let label = if source.advice.range.is_some() {
                "As read, before rounding up"
            } else {
                "before rounding up"
            };
            rows.push(row(label, source.length(bare)));
        }
        let assured = source.advice.range.as_ref().map(|r| r.share_pct);
        if let Some(share) = when(source.fixed, case.held_pct, assured) {
            let share = voice.share(share);
            let share = format!("{share} of what the readings allow");
            rows.push(row("Limit kept in", share));
        }
        rows.push(row("Highest elongation", peak));
        rows.push(row("Limit of the film", limit));
        rows.push(row(
            "Margin",
            case.margin_pct
                .map_or_else(|| "none".to_owned(), |m| voice.points(m)),
        ));
        rows.push(row("Mean elongation", voice.percent(case.mean_pct)));
        for end in source.ends() {
            let Some(laid) = end.laid() else { continue };
            let name = end.end.word();
            rows.push(row(
                &format!("Round the {name}"),
                format!(
                    "{}{}, area {}",
                    voice.doubted(&laid.elongation),
                    when(end.within_limit, "", " over"),
                    voice.share(laid.area.pct)
                ),
            ));
        }
    } else {
        rows.push(row("Limit of the film", limit));
    }
    let plain = source.advice.plain_rule;
    rows.push(row(
        "Plain rule: bridge at least",
        plain
            .least_bridge_mm
            .map_or_else(|| BLANK.to_owned(), |b| voice.at_least(b)),
    ));
    // A tip that leaves corners free needs less than the bare panel's extra.
    if has_width
        && case.section.kind == Kind::Channel
        && (case.extra_mm - plain.extra_mm).abs() >= 0.1
    {
        rows.push(row(
            "the same, as the tool reaches it",
            voice.at_least(case.extra_mm / case.film.limit_pct * 100.0),
        ));
    }
    if has_width {
        rows.extend(force(case, voice));
        rows.extend(hold(case, voice));
        rows.extend(case.air.as_ref().and_then(|a| air(a, voice)));
    }
    let other = source
        .advice
        .orders
        .iter()
        .find(|o| o.order.name == OrderName::EdgeFirst && o.order.name != case.order.name);
    if let Some(edge) = other.filter(|_| has_width && !source.fixed) {
        rows.push(row(
            "The same, edges first",
            format!(
                "{}{}",
                voice.peak_beside(edge.peak_pct, case.film.limit_pct),
                if edge.within_limit { "" } else { ": over" }
            ),
        ));
    }
    rows
}

/// How hard a finger must press.
fn force(case: &Check, voice: Voice) -> Option<Row> {
    let force = case.force.as_ref()?;
    let n = force.largest_n?;
    let warm = force
        .temperature_c
        .map_or_else(String::new, |t| format!(", film at {}", voice.celsius(t)));
    Some(row(
        "Force of one finger, up to",
        format!("{}{warm}", voice.effort(force.effort, n)),
    ))
}

/// Whether the film stays down.
fn hold(case: &Check, voice: Voice) -> Option<Row> {
    let hold = case.hold.as_ref()?;
    let (ratio, at) = (hold.ratio?, hold.states.last()?.zone.place());
    let beside = match hold.let_go_ratio {
        Some(let_go) => format!("a trial piece let go at {}", voice.times(let_go)),
        None => "a ranking".to_owned(),
    };
    let times = voice.times(ratio);
    Some(row(
        "Hold over pull, hot day",
        format!("{times}, {beside}; least {at}"),
    ))
}

/// How much air is shut in, if any is.
fn air(air: &Air, voice: Voice) -> Option<Row> {
    let shut = air.shut_in_cm3_per_m;
    (shut > 0.5).then(|| row("Air shut in, a metre of recess", voice.volume(shut)))
}

/// What was assumed, the unasked questions first.
pub(crate) fn assumptions(source: &Source<'_>, has_width: bool) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let open = source.asked.length.is_none() || source.asked.ends.is_none();
    if has_width && open {
        let missing = match (source.asked.length, source.asked.ends) {
            (None, None) => "length and ends of the recess were not given",
            (None, _) => "the length of the recess was not given",
            _ => "the ends of the recess were not given",
        };
        all.push(format!(
            "{missing}: the width stands for places more than {} from any closed end",
            source.length(source.case.bridge_mm)
        ));
    }
    let assumed = source.case.assumptions.iter();
    let own = assumed.filter(|a| !elsewhere(a, has_width));
    all.extend(source.voice().all(own));
    all
}
