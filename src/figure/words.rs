//! Names and answers as people read them in the pictures.

use super::numbers::VOICE;
pub(super) use super::numbers::{mm, number, percent, upper};
use crate::advice::{Check, Invented, Notice, OrderReport};
use crate::laydown::OrderName;
use crate::outcome::SourceMark;
use crate::say::Say;
pub(super) use crate::say::lower;
use crate::section::{Kind, Zone};
use crate::told::Told;

/// An elongation that was computed: always one decimal, so that values compare at a glance.
pub(super) fn elongation(v: f64) -> String {
    VOICE.percent(v)
}

/// An elongation beside its limit: more decimals where one would hide that it is over.
pub(super) fn elongation_beside(v: f64, limit: f64) -> String {
    VOICE.beside(v, limit)
}

/// The names of orders laid alike, as one heading.
pub(super) fn together(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => {
            let rest: Vec<String> = rest.iter().map(|n| lower(n)).collect();
            upper(&format!("{} and {}", rest.join(", "), lower(last)))
        }
        _ => names.concat(),
    }
}

/// What the picture is of: section, film and tool, as their makers spell them.
pub(super) fn subject(check: &Check) -> String {
    format!(
        "{}, film {}, {}",
        check.section.name, check.film.name, check.tool.name
    )
}

/// Orders laid alike, each group by its first and with all its names.
pub(super) fn grouped(checks: &[Check]) -> Vec<(&Check, Vec<String>)> {
    let mut found: Vec<(&Check, Vec<String>)> = Vec::new();
    for check in checks {
        let name = order(&check.order);
        match found.iter_mut().find(|(c, _)| alike(c, check)) {
            Some((_, names)) => names.push(name),
            None => found.push((check, vec![name])),
        }
    }
    found
}

/// Whether two orders end with the same film on the panel: to 0.01 % everywhere.
fn alike(a: &Check, b: &Check) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 0.01;
    a.profile.len() > 1
        && a.profile.len() == b.profile.len()
        && near(a.peak_pct.unwrap_or(-1.0), b.peak_pct.unwrap_or(-1.0))
        && a.within_limit == b.within_limit
        && a.profile.iter().zip(&b.profile).all(|(p, q)| {
            near(p.place.s_mm, q.place.s_mm) && near(p.elongation_pct, q.elongation_pct)
        })
}

/// What an order is called as a heading.
pub(super) fn order(order: &OrderReport) -> String {
    order
        .heading
        .clone()
        .unwrap_or_else(|| order_name(order.name))
}

/// An order's name as a heading.
pub(super) fn order_name(order: OrderName) -> String {
    upper(order.word())
}

/// Where a place is, in words.
pub(super) fn at_zone(zone: Zone) -> &'static str {
    match zone {
        Zone::Flat => "on the flat",
        Zone::Lip => "at the lip",
        Zone::Wall => "on the wall",
        Zone::Foot => "at the foot",
        Zone::Floor => "on the floor",
        Zone::Pad => "at the press",
    }
}

/// The verdict on one order.
pub(super) fn verdict(check: &Check) -> String {
    VOICE.verdict(check)
}

/// Why there is no film to draw, if there is none.
pub(super) fn no_film(check: &Check) -> Option<String> {
    if check.no_finite_peak || check.peak_pct.is_none() {
        Some(Notice::NoFinitePeak.say(VOICE))
    } else if check.profile.len() < 2 {
        Some("the elongation along the panel was not computed".to_owned())
    } else {
        None
    }
}

/// The answer of several orders in one sentence: the title of their pictures.
pub(super) fn answer(checks: &[Check]) -> String {
    let list = |checks: &[&Check]| {
        let names: Vec<String> = checks.iter().map(|c| lower(&order(&c.order))).collect();
        upper(&match names.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            _ => names.concat(),
        })
    };
    let (within, over): (Vec<&Check>, Vec<&Check>) = checks.iter().partition(|c| c.within_limit);
    let same = over.iter().all(|c| verdict(c) == verdict(over[0]));
    match (within.first(), over.first()) {
        (Some(one), None) => format!("{}: {}", list(&within), verdict(one)),
        (Some(one), Some(_)) if over.len() > 1 => {
            format!("{}: {}; the others: over", list(&within), verdict(one))
        }
        (Some(one), Some(_)) => format!(
            "{}: {}; {}: over",
            list(&within),
            verdict(one),
            lower(&list(&over))
        ),
        (None, Some(one)) if same => format!("{}: {}", list(&over), verdict(one)),
        (None, Some(one)) => format!(
            "{}: over the limit of {}",
            list(&over),
            percent(one.film.limit_pct)
        ),
        (None, None) => String::new(),
    }
}

/// Every order with its peak and verdict, for whoever cannot see the picture.
pub(super) fn described(checks: &[Check]) -> String {
    let lines: Vec<String> = checks
        .iter()
        .map(|c| {
            let place = c.peak_at.map_or("", |p| at_zone(p.zone));
            match c.peak_pct {
                Some(peak) => format!(
                    "{}, bridge {}: peak {} {place}, {}.",
                    order(&c.order),
                    mm(c.bridge_mm),
                    elongation_beside(peak, c.film.limit_pct),
                    verdict(c)
                ),
                None => format!(
                    "{}, bridge {}: {}.",
                    order(&c.order),
                    mm(c.bridge_mm),
                    no_film(c).unwrap_or_default()
                ),
            }
        })
        .collect();
    lines.join(" ")
}

/// Places of one mark, in short: sides are seen.
pub(super) fn short_marks(marks: &[SourceMark]) -> String {
    let short = |mark: &SourceMark| match mark {
        SourceMark::LeftBond | SourceMark::RightBond => "bond line",
        SourceMark::Of(mark) => mark.short(),
    };
    marks.iter().map(short).collect::<Vec<_>>().join(", ")
}

/// Lip or foot: what the left and the right end of the mouth are.
pub(super) fn ends(check: &Check) -> [&'static str; 2] {
    match check.section.kind {
        Kind::Channel => ["lip", "lip"],
        Kind::Step if check.lip_left.y_mm < check.lip_right.y_mm => ["foot", "lip"],
        Kind::Step => ["lip", "foot"],
    }
}

/// The invented numbers behind the answer, or nothing.
pub(super) fn training(invented: &[Told<Invented>]) -> Option<String> {
    let all = VOICE.all(invented);
    (!all.is_empty()).then(|| format!("Training numbers, invented: {}.", all.join(", ")))
}
