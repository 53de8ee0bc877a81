//! Answers a question of the page: JSON in, JSON out.
//!
//! Every question carries all that its answer rests on; nothing is kept from one to the
//! next. The answers are the structs that the command line prints with `--json`
//! ([`crate::Check`], [`crate::Recommendation`], [`crate::Sweep`], [`crate::SectionSeen`]),
//! and for the moving picture those of `laying`. What cannot be answered is
//! `{"error": {"message", "hint", "faults", "request"}}`; `request` is true where the
//! request itself could not be read.
//!
//! The page must answer while a finger waits, and a server must not be kept busy, so
//! sections are smaller here than on the command line: see the constants.

use super::ask::{Ask, Request, SectionText};
use super::catalogue::Catalogue;
use super::laying::{card, moments, orders, warmth};
use super::pasted::read_pasted;
use super::reading::readings;
use crate::advice::{
    Handling, Job, SectionFault, SectionSeen, faults, held_pct, pressed_best, recommend, sweep,
    three_steps,
};
use crate::film::{FilmClass, Number, Tool, closest};
use crate::laydown::{Bed, Bonds, Order};
use crate::section::{Recess, Section, SectionError, TapeFamily};
use crate::section::{read_comb, read_csv, read_csv_as, read_points, read_shape, read_tape};
use serde::Serialize;
use std::fmt::Display;

/// Most points of a section; a finger drags no more, and a lay-down of that many takes
/// some milliseconds.
const MOST_POINTS: usize = 20_000;
/// Most points where the general march is needed, which takes longer.
const MOST_MARCHED: usize = 2_000;
/// Longest section, mm: wider than any vehicle's side is high.
const LONGEST: f64 = 10_000.0;
/// Most clear panel on a side, mm.
const MOST_CLEAR: f64 = 3_000.0;
/// Largest pad and tip radius, mm.
const LARGEST_TOOL: f64 = 1_000.0;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Failure {
    /// What was found, and what was expected.
    pub(super) message: String,
    /// One thing to try.
    pub(super) hint: Option<String>,
    /// Faults of the section, each with its place.
    pub(super) faults: Vec<SectionFault>,
    /// The request could not be read at all.
    pub(super) request: bool,
}

impl Failure {
    /// From an error whose text may end in a hint.
    pub(super) fn of(error: impl Display) -> Self {
        let text = error.to_string();
        let (message, hint) = match text.split_once("\n\nhint: ") {
            Some((message, hint)) => (message.to_owned(), Some(hint.to_owned())),
            None => (text, None),
        };
        Self {
            message,
            hint,
            faults: Vec::new(),
            request: false,
        }
    }
}

impl From<SectionError> for Failure {
    fn from(error: SectionError) -> Self {
        Self {
            faults: faults(&error),
            ..Self::of(error)
        }
    }
}

/// `{"error": ..}`.
#[derive(Serialize)]
struct Refusal {
    error: Failure,
}

/// Answers one question of the page.
///
/// # Arguments
/// * `catalogue`: what names of films, tools and recesses stand for.
/// * `request`: a JSON object with `ask` (`catalogue`, `section`, `reading`, `check`,
///   `recommend`, `sweep`, `orders`, `moments`, `warmth` or `card`) and what the answer rests on: `section`
///   (`{"shape": ".."}`, `tape`, `points`, `comb`, `csv`, `text` or `demo`), what typed numbers
///   mean (`units`, `depths`, `leftwards`), `film`, `bridge_mm`, `order`, `tool`, `bay` and so
///   on, as on the command line.
///
/// # Example
/// ```
/// let asked = r#"{"ask": "check", "film": "wrap-cast", "bridge_mm": 150, "pad_mm": 0,
///   "tip_radius_mm": 0, "section": {"shape": "channel:mouth=80,floor=40,depth=25"}}"#;
/// let catalogue = tautspan::Catalogue::builtin();
/// let check: tautspan::Check = serde_json::from_str(&tautspan::answer(&catalogue, asked))?;
/// assert!((check.peak_pct.unwrap() - 17.0956).abs() < 1e-4);
/// assert!(tautspan::answer(&catalogue, "{}").contains("missing field `ask`"));
/// # Ok::<(), serde_json::Error>(())
/// ```
pub fn answer(catalogue: &Catalogue, request: &str) -> String {
    answered(catalogue, request).0
}

/// The answer, and whether the request could be read.
pub(super) fn answered(catalogue: &Catalogue, request: &str) -> (String, bool) {
    match serde_json::from_str::<Request>(request) {
        Ok(request) => {
            let answer = reply(catalogue, &request);
            (
                answer.unwrap_or_else(|error| json(&Refusal { error })),
                true,
            )
        }
        Err(error) => {
            let error = Failure {
                request: true,
                hint: Some(
                    "a JSON object with `ask` is expected, as the documentation of `answer` has it"
                        .to_owned(),
                ),
                ..Failure::of(format!("the request cannot be read: {error}"))
            };
            (json(&Refusal { error }), false)
        }
    }
}

/// An answer as text.
fn json(answer: &impl Serialize) -> String {
    // The structs hold numbers, texts and lists of them: nothing that JSON cannot say.
    serde_json::to_string(answer).unwrap_or_else(|error| {
        format!("{{\"error\":{{\"message\":\"the answer cannot be written: {error}\"}}}}")
    })
}

/// The answer to a question that could be read.
fn reply(catalogue: &Catalogue, request: &Request) -> Result<String, Failure> {
    if request.ask == Ask::Catalogue {
        return Ok(json(catalogue));
    }
    let section = match section(catalogue, request)? {
        Given::One(section) => section,
        Given::Family(family) if request.ask == Ask::Recommend => {
            return Setting::new(catalogue, request)?.family(&family);
        }
        Given::Family(family) => family.nominal_member().section.clone(),
    };
    let section = match &request.name {
        Some(name) => section.named(name),
        None => section,
    };
    let recess = find(section, request)?;
    if request.ask == Ask::Section {
        return Ok(json(&SectionSeen::of(
            &recess,
            recess.assumptions().to_vec(),
        )));
    }
    if request.ask == Ask::Reading {
        return Ok(json(&readings(&recess, request)?));
    }
    let points = recess.panel().points().len();
    let setting = Setting::new(catalogue, request)?.bounded(points)?;
    let recess = setting.pressed(recess);
    let bed = setting.bed(&recess);
    let job = setting.job(&bed);
    Ok(match request.ask {
        Ask::Recommend => {
            let mut answer = recommend(&job, &catalogue.films);
            answer.three_steps = three_steps(&job, &answer);
            json(&answer)
        }
        Ask::Sweep => json(&sweep(&job)),
        Ask::Orders => json(&orders(&job, request)?),
        Ask::Moments => json(&moments(&job, request)?),
        Ask::Warmth => json(&warmth(&job, request)?),
        Ask::Card => json(&card(&job, &setting.film, request)?),
        Ask::Check | Ask::Section | Ask::Reading | Ask::Catalogue => {
            let (bonds, order) = check_bonds(&job, request)?;
            let mut check = job.check(bonds, order, true).map_err(Failure::of)?;
            check.held_pct = held_pct(&job, bonds, order);
            json(&check)
        }
    })
}

/// What was given as a section.
enum Given {
    One(Section),
    Family(TapeFamily),
}

/// Reads the section.
fn section(catalogue: &Catalogue, request: &Request) -> Result<Given, Failure> {
    let typing = request.typing();
    let units = typing.units.unwrap_or_default();
    let turned = typing.depths || typing.leftwards;
    let read = match &request.section {
        Some(SectionText::Shape(_) | SectionText::Tape(_) | SectionText::Demo(_)) if turned => {
            return Err(Failure::of(
                "`depths` or `leftwards` was found beside a shape, tape readings or a demo recess, but they turn typed heights\n\nhint: leave them out",
            ));
        }
        None => {
            return Err(Failure::of(
                "no section was given\n\nhint: give `section`, for example {\"shape\": \"channel:mouth=80,floor=40,depth=25\"}",
            ));
        }
        Some(SectionText::Tape(text)) => return Ok(Given::Family(read_tape(text, units)?)),
        Some(SectionText::Shape(text)) => read_shape(text, units),
        Some(SectionText::Points(text)) => read_points("points", text, typing),
        Some(SectionText::Comb(text)) => read_comb("comb", text, typing),
        Some(SectionText::Csv(text)) => read_csv_as("section", text.as_bytes(), typing),
        Some(SectionText::Text(text)) => read_pasted(text, typing),
        Some(SectionText::Demo(name)) => {
            let Some(recess) = catalogue.recesses.iter().find(|r| r.name == *name) else {
                let names = catalogue.recesses.iter().map(|r| r.name.as_str());
                return Err(unknown("recess", name, names));
            };
            read_csv(name, recess.csv.as_bytes()).map(|s| s.named(name))
        }
    };
    let section = read?;
    let (points, length) = (section.line().points().len(), section.line().end());
    if points > MOST_POINTS || length > LONGEST {
        return Err(Failure::of(format!(
            "a section of {points} points and {length:.0} mm was found, but the page takes at most {MOST_POINTS} points and {LONGEST:.0} mm\n\nhint: the command line takes a million points"
        )));
    }
    Ok(Given::One(section))
}

/// Finds the recess, within the bounds of the page.
fn find(section: Section, request: &Request) -> Result<Recess, Failure> {
    let survey = request.survey();
    for (key, value) in [
        ("clear_left_mm", survey.clear_left),
        ("clear_right_mm", survey.clear_right),
    ] {
        bounded(key, value, MOST_CLEAR)?;
    }
    Recess::find(section, survey).map_err(Failure::of)
}

/// A number from 0 to `most`.
pub(super) fn bounded(key: &str, value: f64, most: f64) -> Result<f64, Failure> {
    if (0.0..=most).contains(&value) {
        return Ok(value);
    }
    Err(Failure::of(format!(
        "`{key}` is {value}, but a number from 0 to {most} was expected"
    )))
}

fn unknown<'a>(what: &str, name: &str, names: impl Iterator<Item = &'a str>) -> Failure {
    let names: Vec<&str> = names.collect();
    let hint = closest(name, names.iter().copied())
        .map_or_else(String::new, |n| format!("\n\nhint: did you mean `{n}`?"));
    Failure::of(format!(
        "{what} `{name}` is not in the catalogue, which has: {}{hint}",
        names.join(", ")
    ))
}

/// Everything but the recess.
struct Setting<'a> {
    request: &'a Request,
    others: &'a [FilmClass],
    film: FilmClass,
    tool: Tool,
    assumptions: Vec<String>,
    handling: Option<Handling>,
}

impl<'a> Setting<'a> {
    fn new(catalogue: &'a Catalogue, request: &'a Request) -> Result<Self, Failure> {
        let film = film(catalogue, request)?;
        let said = request.bay.clone().unwrap_or_default();
        if let Some(mu) = said.lip_friction {
            bounded("lip_friction", mu, 100.0)?;
        }
        if let Some(kpa) = said.drag_kpa {
            bounded("drag_kpa", kpa, 1e6)?;
        }
        if let Some(newton) = said.hand_force_n {
            bounded("hand_force_n", newton, 1e4)?;
        }
        if let Some(percent) = request.assure_pct.filter(|p| !(50.0..=99.0).contains(p)) {
            return Err(Failure::of(format!(
                "`assure_pct` is {percent}, but a share from 50 to 99 % was expected"
            )));
        }
        let handling = Some(Handling::new(&film, &said.bay()).map_err(Failure::of)?);
        Ok(Self {
            request,
            others: &catalogue.films,
            tool: tool(catalogue, request)?,
            film,
            assumptions: assumptions(request),
            handling,
        })
    }

    fn bed<'b>(&self, recess: &'b Recess) -> Bed<'b> {
        Bed::new(recess, self.tool.pad(), self.tool.tip_radius())
    }

    /// The recess pressed at the best place, unless it was said where.
    fn pressed(&self, recess: Recess) -> Recess {
        let tape = matches!(self.request.section, Some(SectionText::Tape(_)));
        if self.request.press_offset_mm.is_some() || tape {
            return recess;
        }
        let best = pressed_best(&self.job(&self.bed(&recess)));
        best.unwrap_or(recess)
    }

    fn job<'b>(&'b self, bed: &'b Bed<'b>) -> Job<'b> {
        Job {
            step: self.request.typing().units.unwrap_or_default().into(),
            bed,
            film: &self.film,
            tool: &self.tool,
            split: self.request.split(),
            assumptions: &self.assumptions,
            handling: self.handling.as_ref(),
            assurance: Some(self.request.assurance()),
        }
    }

    /// Refuses what would keep the page waiting; a long scan is answered without the rows of
    /// other warmth, which need the general march.
    fn bounded(mut self, points: usize) -> Result<Self, Failure> {
        if points <= MOST_MARCHED {
            return Ok(self);
        }
        let plain = |h: &Handling| h.conditions.is_plain();
        if self.request.ask == Ask::Warmth || !self.handling.as_ref().is_none_or(plain) {
            return Err(Failure::of(format!(
                "a section of {points} points was found, but with warm zones, friction or drag the page takes at most {MOST_MARCHED}\n\nhint: thin the scan out, or use the command line"
            )));
        }
        self.handling = None;
        Ok(self)
    }

    /// The answer for the shape of a family that needs most, with the family's range.
    fn family(&self, family: &TapeFamily) -> Result<String, Failure> {
        let (_, answer) = crate::advice::recommend_family(family, |section, assured| {
            let section = match &self.request.name {
                Some(name) => section.named(name),
                None => section,
            };
            let recess = find(section, self.request)?;
            let bed = self.bed(&recess);
            let mut job = self.job(&bed);
            if !assured {
                job.assurance = None;
            }
            Ok::<_, Failure>(recommend(&job, self.others))
        })?;
        Ok(json(&answer))
    }
}

/// The film class.
fn film(catalogue: &Catalogue, request: &Request) -> Result<FilmClass, Failure> {
    if let Some(class) = &request.film_class {
        if let Some(fault) = class.faults().first() {
            return Err(Failure::of(fault));
        }
        return Ok(class.clone());
    }
    let names = || catalogue.films.iter().map(|f| f.name.as_str());
    let Some(name) = &request.film else {
        return Err(Failure::of(format!(
            "no film class was given\n\nhint: give `film`, one of: {}",
            names().collect::<Vec<_>>().join(", ")
        )));
    };
    let class = catalogue.films.iter().find(|f| f.name == *name);
    class
        .cloned()
        .ok_or_else(|| unknown("film class", name, names()))
}

/// The tool, with what was put in place of its numbers.
fn tool(catalogue: &Catalogue, request: &Request) -> Result<Tool, Failure> {
    let names = || catalogue.tools.iter().map(|t| t.name.as_str());
    let name = request.tool.as_deref().unwrap_or("fingertip");
    let found = catalogue.tools.iter().find(|t| t.name == name);
    let mut tool = found
        .cloned()
        .ok_or_else(|| unknown("tool", name, names()))?;
    let given = |key: &str, value: f64| {
        let value = bounded(key, value, LARGEST_TOOL)?;
        let source = format!("given by {key}");
        Ok::<_, Failure>(Number { value, source })
    };
    if let Some(pad) = request.pad_mm {
        tool.pad_mm = given("pad_mm", pad)?;
    }
    if let Some(radius) = request.tip_radius_mm {
        tool.tip_radius_mm = given("tip_radius_mm", radius)?;
    }
    Ok(tool)
}

/// What was assumed because it was not said.
fn assumptions(request: &Request) -> Vec<String> {
    let usual = request.survey();
    match (request.clear_left_mm, request.clear_right_mm) {
        (None, None) => vec![format!(
            "{:.0} mm of clear panel beyond each lip",
            usual.clear_left
        )],
        (None, _) => vec![format!(
            "{:.0} mm of clear panel to the left",
            usual.clear_left
        )],
        (_, None) => vec![format!(
            "{:.0} mm of clear panel to the right",
            usual.clear_right
        )],
        _ => Vec::new(),
    }
}

/// Bond lines that were given, by place or by width.
pub(super) fn bonds(job: &Job<'_>, request: &Request) -> Result<Option<Bonds>, Failure> {
    match (
        request.bond_left_x_mm,
        request.bond_right_x_mm,
        request.bridge_mm,
    ) {
        (Some(left), Some(right), None) => Bonds::at_x(job.bed.recess(), left, right)
            .map(Some)
            .map_err(Failure::of),
        (None, None, Some(bridge)) => job
            .bed
            .bonds_for_bridge(bridge, job.split)
            .map(Some)
            .map_err(Failure::of),
        (None, None, None) => Ok(None),
        _ => Err(Failure::of(
            "a bond line without its fellow, or beside `bridge_mm`, was found\n\nhint: give `bridge_mm`, or both `bond_left_x_mm` and `bond_right_x_mm`",
        )),
    }
}

/// Bond lines and order of a single lay-down, as `tautspan check` takes them.
fn check_bonds(job: &Job<'_>, request: &Request) -> Result<(Bonds, Order), Failure> {
    let order = request.order();
    match (bonds(job, request)?, order) {
        (Some(_), Order::MiddlePush) => Err(Failure::of(
            "a middle push with a bridge was found, but a middle push is bonded at the lips and takes no bridge\n\nhint: leave `bridge_mm` out, or choose the order `deepest-first`",
        )),
        (Some(bonds), _) => Ok((bonds, order)),
        (None, Order::MiddlePush | Order::OneWay { .. }) => {
            Ok((Bonds::with_reach(job.bed.recess(), 0.0, 0.0), order))
        }
        (None, _) => Err(Failure::of(format!(
            "no bridge was given, but the order `{}` needs one\n\nhint: give `bridge_mm`; the question `recommend` finds the width",
            order.name()
        ))),
    }
}
