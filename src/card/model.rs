//! What the job card says: one model, from an answer and what was asked in the bay.
//!
//! HTML and PDF only lay it out; every word and number on the paper is decided here. A
//! number nobody has given is a field to fill in, never a guess. A width stands bare only
//! where it holds: not within a bridge width of a closed end, and not at all on a channel
//! so short that it is nowhere further from one.

use super::drawing::Dimensions;
use super::rows;
use super::source::{Asked, ROUNDING, Row, Source, Task, elsewhere, tape_to_tape};
use super::steps;
use crate::advice::{Check, EndReport, PROGRAM, Recommendation, SCHEMA};
use crate::draw::PaperSize;
use crate::film::FilmClass;
use crate::laydown::OrderName;
use crate::outcome::Ends;
use crate::say::{CAUTIONS, Say, sentence};
use crate::section::Kind;
use serde::{Deserialize, Serialize};

/// A job card. Lengths in its text are in `units`, numbers under `_mm` keys in mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Card {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// Name of the section.
    pub title: String,
    /// Kind, size, film and tool in one line.
    pub subtitle: String,
    /// The paper it is laid out for.
    pub paper: PaperSize,
    /// `mm` or `in`, of the text.
    pub units: String,
    /// Whether it tells an installer to lay film at a width.
    pub has_width: bool,
    /// Bridge width, mm, if there is one.
    pub bridge_mm: Option<f64>,
    /// Distance from a closed end within which the width does not hold, mm; `None` where
    /// both ends are open, or there is no width.
    pub not_within_mm: Option<f64>,
    /// The dimensioned section.
    pub drawing: Dimensions,
    /// Tape positions, order, what to warm.
    pub tasks: [Task; 3],
    /// Which invented numbers decide.
    pub training: Option<String>,
    /// What was measured.
    pub measured: Vec<Row>,
    /// The numbers of the answer.
    pub numbers: Vec<Row>,
    /// To do before.
    pub before: Vec<String>,
    /// To do while laying.
    pub during: Vec<String>,
    /// To do after.
    pub after: Vec<String>,
    /// What was seen that matters for the width.
    pub warnings: Vec<String>,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// What the model leaves out.
    pub limits: Vec<String>,
    /// The usual cautions.
    pub cautions: Vec<String>,
    /// Blanks at the foot: lot, date, signatures.
    pub fields: Vec<String>,
    /// Number of blanks for post-heat readings.
    pub readings: usize,
}

impl Card {
    /// Writes the card of a recommendation, or of a case fixed by hand.
    ///
    /// # Arguments
    /// * `film`: the class; what it lacks becomes a blank.
    /// * `advice`: the answer for the section, this film and a tool.
    /// * `fixed`: a lay-down to print instead of the recommended one.
    /// * `asked`: length and ends of the recess, units, paper.
    ///
    /// `None` if the recommendation carries no lay-down at all, and none was fixed.
    pub fn new(
        film: &FilmClass,
        advice: &Recommendation,
        fixed: Option<&Check>,
        asked: &Asked,
    ) -> Option<Self> {
        let named = advice.recommended.as_ref().and_then(|r| {
            let mut orders = advice.orders.iter();
            orders.find(|o| o.order.name == r.order)
        });
        let case = fixed.or(named).or(advice.orders.first())?;
        let source = Source {
            film,
            advice,
            case,
            asked,
            fixed: fixed.is_some(),
        };
        let refusal = source.refusal();
        let has_width = refusal.is_none();
        let seen = if fixed.is_some() {
            &case.warnings
        } else {
            &advice.warnings
        };
        Some(Self {
            schema: SCHEMA,
            program: PROGRAM.to_owned(),
            title: case.section.name.clone(),
            subtitle: subtitle(&source),
            paper: asked.paper,
            units: source.voice().unit().to_owned(),
            has_width,
            bridge_mm: has_width.then_some(case.bridge_mm),
            not_within_mm: source.not_within().filter(|_| has_width),
            drawing: Dimensions::new(case, asked.units, has_width),
            tasks: tasks(&source, refusal.as_deref()),
            training: training(&source),
            measured: rows::measured(&source),
            numbers: rows::numbers(&source, has_width),
            before: steps::before(&source, has_width),
            during: steps::during(&source, has_width),
            after: steps::after(&source, has_width),
            warnings: source
                .voice()
                .all(seen.iter().filter(|w| !elsewhere(w, has_width))),
            assumptions: rows::assumptions(&source, has_width),
            limits: limits(&source),
            cautions: CAUTIONS.map(str::to_owned).to_vec(),
            fields: FIELDS.map(str::to_owned).to_vec(),
            readings: 5,
        })
    }
}

/// What the model leaves out.
fn limits(source: &Source<'_>) -> Vec<String> {
    let (alike, and) = match source.ends().iter().any(|end| end.laid().is_some()) {
        true => ("between its ends, which may be a quarter off", ""),
        false => ("along the recess", "ends and corners, "),
    };
    vec![
        format!(
            "Computed for one section that goes on alike {alike}. Not in it: {and}creases, creep, adhesive chemistry, time at temperature, ink."
        ),
        "A trial piece at the worst place stays good practice.".to_owned(),
    ]
}

/// Blanks at the foot.
const FIELDS: [&str; 6] = [
    "Vehicle and panel",
    "Film lot number",
    "Date",
    "Laid by",
    "Checked by",
    "Deviations",
];

fn subtitle(source: &Source<'_>) -> String {
    let s = &source.case.section;
    let kind = sentence(s.kind.word());
    let tool = &source.case.tool;
    let tip = if tool.tip_radius_mm > 0.0 {
        format!(", tip radius {}", source.length(tool.tip_radius_mm))
    } else {
        String::new()
    };
    let across = match s.kind {
        Kind::Channel => "wide",
        Kind::Step => "lip to foot",
    };
    format!(
        "{kind} {} {across}, {} deep. Film {}, tool {}{tip}",
        source.length(s.mouth_mm),
        source.length(s.depth_mm),
        source.case.film.name,
        source.case.tool.name
    )
}

/// The line on invented numbers.
fn training(source: &Source<'_>) -> Option<String> {
    let invented = if source.fixed {
        &source.case.invented
    } else {
        &source.advice.invented
    };
    let training = source.voice().training(invented)?;
    Some(format!(
        "{training}. Measure your own before you rely on this card."
    ))
}

fn tasks(source: &Source<'_>, refusal: Option<&str>) -> [Task; 3] {
    match refusal {
        Some(why) => refused(source, why),
        None => [tape(source), press(source), steps::warm(source)],
    }
}

/// What stands in place of the three things where there is no width.
fn refused(source: &Source<'_>, why: &str) -> [Task; 3] {
    let task = |name: &str, big: &str, lines: Vec<String>| Task {
        name: name.to_owned(),
        big: big.to_owned(),
        lines,
        numbered: false,
    };
    let mut options: Vec<String> = source
        .advice
        .alternatives
        .iter()
        .filter_map(|a| a.brief(source.voice()))
        .collect();
    if let Some(r) = source.advice.recommended.as_ref().filter(|_| source.fixed) {
        options.insert(
            0,
            format!(
                "{} at a bridge of {}, as recommended: make a card of that",
                r.order.word(),
                source.length(r.bridge_mm)
            ),
        );
    }
    if options.is_empty() {
        options = vec![
            "a trial piece over the end, with the recess's own ends".to_owned(),
            "a separate inlay for the recess, seams on its flats".to_owned(),
            "leave the recess bare".to_owned(),
        ];
    }
    [
        task(
            "Stop",
            "No width",
            // A class's name keeps its small letter.
            vec![if why.starts_with(&source.case.film.name) {
                format!("The film class {why}")
            } else {
                sentence(why)
            }],
        ),
        task(
            "Do not",
            "Not in one piece",
            vec!["Do not lay film over this recess between two tapes from this card.".to_owned()],
        ),
        task(
            "What would do",
            "Decide first",
            options.iter().map(|o| sentence(o)).collect(),
        ),
    ]
}

fn tape(source: &Source<'_>) -> Task {
    let case = source.case;
    let [left, right] = Dimensions::ends(case);
    let side = |reach: f64, end: &str, side: &str| {
        if reach.abs() < 0.05 {
            format!("{side} tape right at the {end}")
        } else if reach < 0.0 {
            format!("{side} tape {} inside the {end}", source.length(-reach))
        } else {
            format!("{side} tape {} out from the {end}", source.length(reach))
        }
    };
    let mut lines = vec![
        side(case.reach_left_mm, left, "Left"),
        side(case.reach_right_mm, right, "Right"),
    ];
    if let Some(away) = source.not_within() {
        let ends = match source.asked.ends {
            Some(Ends::OneOpen) => "the closed end",
            Some(_) => "either closed end",
            None => "a closed end",
        };
        lines.push(format!(
            "Not within {} of {ends}; trial piece there",
            source.length(away)
        ));
    }
    lines.extend(source.ends().iter().flat_map(|end| round(source, end)));
    lines.extend(source.ends().iter().flat_map(|end| stop(source, end)));
    lines.extend(short(source));
    Task {
        name: "Tape".to_owned(),
        big: format!("{} tape to tape", source.length(tape_to_tape(case))),
        lines,
        numbered: false,
    }
}

/// Where to tape round a closed end.
fn round(source: &Source<'_>, end: &EndReport) -> Option<String> {
    let laid = end.laid().filter(|_| end.within_limit)?;
    let voice = source.voice();
    let name = sentence(end.end.word());
    Some(if laid.side_reach_mm > end.middle?.side_reach_mm + 0.5 {
        format!(
            "{name}, {}: side tapes {} out, end tape {} beyond its lip",
            voice.end_holds(laid),
            voice.width(laid.side_reach_mm),
            voice.width(laid.end_reach_mm)
        )
    } else {
        format!(
            "{name}: end tape {} beyond its lip",
            voice.width(laid.end_reach_mm)
        )
    })
}

/// Where the press line stops at a closed end.
fn stop(source: &Source<'_>, end: &EndReport) -> Option<String> {
    let deepest = source.case.order.name != OrderName::EdgeFirst;
    let known = deepest && end.within_limit && end.middle.is_some();
    known.then(|| {
        format!(
            "{}: stop the press line {} short of its foot",
            sentence(end.end.word()),
            source.voice().width(end.press_stop_mm)
        )
    })
}

/// What a short recess means while its ends are not known.
fn short(source: &Source<'_>) -> Option<String> {
    let length = source
        .asked
        .length
        .filter(|_| source.asked.ends.is_none())?;
    let bridge = source.case.bridge_mm + ROUNDING;
    let closed = if length <= bridge {
        "If an end is closed"
    } else if length <= 2.0 * bridge {
        "If both ends are closed"
    } else {
        return None;
    };
    Some(format!(
        "{closed}: no width, the recess is only {} long",
        source.length(length)
    ))
}

fn press(source: &Source<'_>) -> Task {
    Task {
        name: "Press".to_owned(),
        big: sentence(source.case.order.name.word()),
        lines: source
            .case
            .order
            .steps
            .iter()
            .map(|s| sentence(&s.say(source.voice())))
            .collect(),
        numbered: true,
    }
}
