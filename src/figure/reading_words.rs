//! What the picture of a section and its readings says.

use super::sight::Sight;
use crate::draw::Pt;
use crate::say::{Voice, sentence};
use crate::section::{self, Kind, Recess, SQUARED_SAID, TILT_SAID};
use crate::survey::{Reading, RoundedCorner};

/// Least spacing that two decimals of a millimetre show.
const LEAST_APART: f64 = 0.005;
/// Places nearer than this carry one label, mm.
const ONE_PLACE: f64 = 0.5;
/// A rounded corner within its radius, and this, of a lip or foot is that lip or foot, mm.
const AT_CORNER: f64 = 2.0;

fn degrees(v: f64, voice: Voice) -> String {
    format!("{}\u{b0}", voice.steady(v.abs(), 1))
}

/// A number of things.
pub(super) fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::INFINITY, f64::from)
}

/// What the section was read as, and how good the readings are: the title.
pub(super) fn answer(recess: &Recess, voice: Voice) -> String {
    let (width, depth) = (voice.length(recess.mouth()), voice.length(recess.depth()));
    let shape = match recess.kind() {
        // No line ends between a number and what it is.
        Kind::Channel => format!("a channel, {width}\u{a0}wide, {depth}\u{a0}deep"),
        Kind::Step => format!("a step, {depth}\u{a0}deep"),
    };
    let Some(reading) = recess.section().reading() else {
        return format!("Given as {shape}: a shape, no readings");
    };
    let dropped = match reading.slips.len() {
        0 => String::new(),
        n => format!(", {n} dropped"),
    };
    let kept = reading.raw.len() - reading.slips.len();
    let how = if reading.fitted {
        format!("each reading errs by {}", voice.fine(reading.noise_mm))
    } else if reading.turned {
        format!(
            "{kept} points, turned level by {}",
            degrees(reading.turned_deg, voice)
        )
    } else {
        format!("{kept} points, taken as they are")
    };
    format!("Read as {shape}: {how}{dropped}")
}

/// What was read, and what was done to it.
pub(super) fn second_line(recess: &Recess, sight: &Sight, voice: Voice) -> String {
    let section = recess.section();
    let mut parts = vec![section.name().to_owned()];
    match section.reading() {
        Some(reading) => {
            let apart = if reading.spacing_mm > LEAST_APART {
                format!(", some {} apart", voice.fine(reading.spacing_mm))
            } else {
                String::new()
            };
            parts.push(format!("{} readings{apart}", reading.raw.len()));
            if reading.turned_deg.abs() >= TILT_SAID {
                let angle = degrees(reading.turned_deg, voice);
                parts.push(if reading.turned {
                    format!("turned level by {angle}")
                } else {
                    format!("tilted by {angle} and left so")
                });
            }
        }
        None => parts.push(format!("{} corners", section.line().points().len())),
    }
    let points = section.line().points();
    let (all, seen) = (
        points[points.len() - 1].x - points[0].x,
        sight.to - sight.from,
    );
    if seen < all - 0.5 {
        parts.push(format!(
            "{} of {} shown",
            voice.length(seen),
            voice.length(all)
        ));
    }
    parts.join(", ")
}

/// What dots, line and crosses are.
pub(super) fn note(recess: &Recess, sight: &Sight, voice: Voice) -> String {
    let mut all = vec!["Drawn true to scale.".to_owned()];
    let Some(reading) = recess.section().reading() else {
        all.push("Dots: the corners of the shape.".to_owned());
        return all.join(" ");
    };
    let thinned = if sight.kept.len() < sight.kept_in_all {
        format!(", {} of {} drawn", sight.kept.len(), sight.kept_in_all)
    } else {
        String::new()
    };
    if reading.fitted {
        all.push(format!("Dots: readings{thinned}."));
        all.push(format!("Line: {} fitted to them.", pieces(reading)));
    } else {
        all.push(format!(
            "Dots: points as measured{thinned}; the section runs through them."
        ));
    }
    all.extend(crosses(reading, sight));
    if reading.squared_mm >= SQUARED_SAID {
        all.push(format!(
            "Walls that ran back by up to {} were squared off.",
            voice.fine(reading.squared_mm)
        ));
    }
    if reading.fitted && reading.noise_over_mm > 0.0 {
        all.push(format!(
            "Neighbours err alike over {}.",
            voice.length(reading.noise_over_mm)
        ));
    }
    all.join(" ")
}

fn pieces(reading: &Reading) -> String {
    let corners = match reading.rounded.len() {
        0 => String::new(),
        1 => ", 1 corner rounded,".to_owned(),
        n => format!(", {n} corners rounded,"),
    };
    format!("{} straight pieces{corners}", reading.pieces)
}

fn crosses(reading: &Reading, sight: &Sight) -> Option<String> {
    if reading.slips.is_empty() {
        return None;
    }
    let seen = reading.slips.len() - sight.beside;
    let mut more = Vec::new();
    if sight.dropped.len() < seen {
        more.push(format!("{} of {seen} drawn", sight.dropped.len()));
    }
    if sight.far_off > 0 {
        more.push(format!("{} further off than drawn", sight.far_off));
    }
    if sight.beside > 0 {
        more.push(format!("{} beside the picture", sight.beside));
    }
    let more = if more.is_empty() {
        String::new()
    } else {
        format!(", {}", more.join(", "))
    };
    Some(format!("Crosses: readings that were dropped{more}."))
}

/// How many were dropped, for the label at one of them.
pub(super) fn dropped(recess: &Recess) -> Option<String> {
    let slips = recess.section().reading()?.slips.len();
    (slips > 0).then(|| format!("{slips} dropped"))
}

/// What the line of the level says.
pub(super) fn level(reading: &Reading, voice: Voice) -> String {
    let angle = degrees(reading.turned_deg, voice);
    if reading.turned {
        format!("level as measured: {angle} off")
    } else {
        format!("level: the survey is {angle} off it")
    }
}

/// A place with its name.
pub(super) struct Mark {
    pub(super) at: Pt,
    pub(super) words: String,
    /// Named below the panel rather than above.
    pub(super) low: bool,
}

/// Lips, feet and press, left to right; those at one place together.
pub(super) fn marks(recess: &Recess, voice: Voice) -> Vec<Mark> {
    let mut marks: Vec<Mark> = Vec::new();
    let named = recess.landmarks().into_iter().filter_map(|l| {
        let deepest = matches!(
            l.name,
            section::Mark::DeepestFrom | section::Mark::DeepestTo
        );
        (!deepest).then(|| ([l.x_mm, l.y_mm], l.name.short()))
    });
    for (at, name) in named {
        match marks.last_mut() {
            Some(last) if apart(last.at, at) < ONE_PLACE => {
                last.words.push_str(", ");
                last.words.push_str(name);
            }
            _ => marks.push(Mark {
                at,
                words: name.to_owned(),
                low: name != "lip",
            }),
        }
    }
    for corner in rounded(recess) {
        let near = marks.iter_mut().find(|m| belongs(corner, m.at));
        if let Some(mark) = near.filter(|m| !m.words.contains("radius")) {
            mark.words.push_str(&format!(", {}", radius(corner, voice)));
        }
    }
    marks
}

/// Rounded corners that are neither lip nor foot.
pub(super) fn corners_apart(recess: &Recess, voice: Voice) -> Vec<(Pt, String)> {
    let marks = marks(recess, voice);
    rounded(recess)
        .iter()
        .filter(|c| !marks.iter().any(|m| belongs(c, m.at)))
        .map(|c| ([c.x_mm, c.y_mm], radius(c, voice)))
        .collect()
}

fn rounded(recess: &Recess) -> &[RoundedCorner] {
    recess.section().reading().map_or(&[], |r| &r.rounded)
}

fn belongs(corner: &RoundedCorner, at: Pt) -> bool {
    apart([corner.x_mm, corner.y_mm], at) < corner.radius_mm.max(AT_CORNER)
}

fn apart(a: Pt, b: Pt) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn radius(corner: &RoundedCorner, voice: Voice) -> String {
    format!("radius {}", voice.length(corner.radius_mm))
}

/// The picture in words, for whoever cannot see it.
pub(super) fn described(recess: &Recess, voice: Voice) -> String {
    let sight = Sight::of(recess);
    let places: Vec<String> = marks(recess, voice)
        .iter()
        .map(|m| format!("{} at x = {}", m.words, voice.length(m.at[0])))
        .collect();
    format!(
        "{}. {}. {}",
        sentence(&second_line(recess, &sight, voice)),
        sentence(&places.join("; ")),
        note(recess, &sight, voice)
    )
}
