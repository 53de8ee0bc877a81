//! Answers a question of the page: JSON in, JSON out.
//!
//! Every question carries all that its answer rests on; nothing is kept from one to the
//! next. The answers are the structs that the command line prints with `--json`
//! ([`crate::Check`], [`crate::Recommendation`], [`crate::advice::Sweep`], [`crate::advice::SectionSeen`]),
//! and for the moving picture those of `laying`. What cannot be answered is
//! `{"error": {"message", "hint", "setting", "faults", "request"}}`; `request` is true where the
//! request itself could not be read.
//!
//! The page must answer while a finger waits, and a server must not be kept busy, so
//! sections are smaller here than on the command line: see the constants.

use super::ask::{Ask, Request};
use super::catalogue::Catalogue;
use super::failure::{Failure, bounded};
use super::laying::{card, chart, ends, moments, orders, steps, warmth};
use super::reading::readings;
use crate::advice::{
    Handling, Notice, Question, QuestionError, Readings, SectionSeen, Setting, recommend,
    recommend_family, recommend_width, sweep, three_steps,
};
use crate::say::faults::Said;
use crate::say::{Voice, told_in};
use crate::section::{Recess, Section, TapeFamily};
use serde::Serialize;

/// Most points of a section; a finger drags no more, and a lay-down of that many takes
/// some milliseconds.
const MOST_POINTS: usize = 20_000;

/// Most points where the general march is needed, which takes longer.
const MOST_MARCHED: usize = 2_000;

/// Longest section, mm: wider than any vehicle's side is high.
const LONGEST: f64 = 10_000.0;

/// Most clear panel on a side, mm.
const MOST_CLEAR: f64 = 3_000.0;

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
///   `recommend`, `sweep`, `orders`, `moments`, `warmth`, `card`, `steps` or `chart`) and what the
///   answer rests on: `section`
///   (`{"shape": ".."}`, `tape`, `points`, `comb`, `csv`, `text` or `demo`), what typed numbers
///   mean (`units`, `depths`, `leftwards`), `film`, `bridge_mm`, `order`, `tool`, `bay` and so
///   on, as on the command line.
///
/// # Example
/// ```
/// let asked = r#"{"ask": "check", "film": "wrap-cast", "bridge_mm": 150, "pad_mm": 0,
///   "tip_radius_mm": 0, "section": {"shape": "channel:mouth=80,floor=40,depth=25"}}"#;
/// let catalogue = tautspan::page::Catalogue::builtin();
/// let check: tautspan::Check = serde_json::from_str(&tautspan::page::answer(&catalogue, asked))?;
/// assert!((check.peak_pct.unwrap() - 17.0956).abs() < 1e-4);
/// assert!(tautspan::page::answer(&catalogue, "{}").contains("missing field `ask`"));
/// # Ok::<(), serde_json::Error>(())
/// ```
pub fn answer(catalogue: &Catalogue, request: &str) -> String {
    answered(catalogue, request).0
}

/// The answer, and whether the request could be read.
pub(super) fn answered(catalogue: &Catalogue, request: &str) -> (String, bool) {
    match serde_json::from_str::<Request>(request) {
        Ok(request) => {
            let answer = told_in(request.question.print_units(), || {
                reply(catalogue, &request)
            });
            (
                answer.unwrap_or_else(|error| json(&Refusal { error })),
                true,
            )
        }
        Err(error) => {
            let found = format!("a request that cannot be read ({error})");
            let said = Said::new(found, "a JSON object with `ask`");
            let hint = "the documentation of `answer` has what it may hold".to_owned();
            let error = Failure {
                request: true,
                ..said.hint(hint).into()
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

/// The answer to a request that could be read.
fn reply(catalogue: &Catalogue, request: &Request) -> Result<String, Failure> {
    if request.ask == Ask::Catalogue {
        return Ok(json(catalogue));
    }
    let question = &request.question;
    let why = |error: QuestionError| Failure::why(&error, question);
    if request.ask == Ask::Chart {
        return Ok(json(&chart(catalogue, question).map_err(why)?));
    }
    let (section, note) = match question.read(catalogue).map_err(why)? {
        Readings::Family(family) if request.ask == Ask::Recommend => {
            let round = request.round_ends != Some(false);
            return family_answer(catalogue, question, &family, round);
        }
        readings @ Readings::Family(_) if !matches!(request.ask, Ask::Section | Ask::Reading) => {
            let setting = Setting::new(question, catalogue).map_err(why)?;
            // What follows a finger is not kept waiting for the march.
            let handling = matches!(request.ask, Ask::Check | Ask::Sweep | Ask::Card)
                .then_some(setting.handling.as_ref())
                .flatten();
            setting.section(readings, handling).map_err(why)?
        }
        readings => readings.one(),
    };
    let section = question.named(small(section)?);
    let recess = find(section, question)?;
    if request.ask == Ask::Section {
        let assumed = recess.assumptions().iter().cloned().map(Notice::Section);
        return Ok(json(&SectionSeen::of(&recess, assumed.collect())));
    }
    if request.ask == Ask::Reading {
        return Ok(json(&readings(&recess, request)?));
    }
    if request.ask != Ask::Check {
        question.with_open_width().map_err(why)?;
    }
    let mut setting = Setting::new(question, catalogue).map_err(why)?;
    setting.assumptions.extend(note);
    let points = recess.panel().points().len();
    bound(&mut setting, points, request.ask)?;
    let recess = setting.pressed(recess);
    let bed = setting.bed(&recess);
    let job = setting.job(&bed);
    Ok(match request.ask {
        Ask::Recommend => {
            let mut answer = recommend(&job, &catalogue.films);
            if request.round_ends != Some(false) {
                job.widen_the_ends(&mut answer);
            }
            job.hold_the_chosen(&mut answer);
            answer.three_steps = three_steps(&job, &answer);
            json(&answer)
        }
        Ask::Sweep => json(&sweep(&job)),
        Ask::Orders => json(&orders(catalogue, &setting, &job).map_err(why)?),
        Ask::Moments => json(&moments(catalogue, &setting, &job, request.frames).map_err(why)?),
        Ask::Warmth => json(&warmth(&setting, &job).map_err(why)?),
        Ask::End => json(&ends(&setting, &job, request.width_em).map_err(why)?),
        Ask::Card => json(&card(&setting, &job).map_err(why)?),
        Ask::Steps => json(&steps(&setting, &job).map_err(why)?),
        Ask::Check | Ask::Section | Ask::Reading | Ask::Catalogue | Ask::Chart => {
            json(&setting.check(&job, catalogue, true).map_err(why)?)
        }
    })
}

/// A section, unless it is more than the page takes.
fn small(section: Section) -> Result<Section, Failure> {
    let (points, length) = (section.line().points().len(), section.line().end());
    if points > MOST_POINTS || length > LONGEST {
        let said = Said::new(
            format!(
                "a section of {points} points and {}",
                Voice::PLAIN.length(length)
            ),
            format!(
                "at most {MOST_POINTS} points and {} on the page",
                Voice::PLAIN.length(LONGEST)
            ),
        );
        let hint = "the command line takes a million points".to_owned();
        return Err(said.hint(hint).into());
    }
    Ok(section)
}

/// Finds the recess, within the bounds of the page.
fn find(section: Section, question: &Question) -> Result<Recess, Failure> {
    let survey = question.survey();
    for (key, value) in [
        ("clear_left_mm", survey.clear_left),
        ("clear_right_mm", survey.clear_right),
    ] {
        bounded(key, value, MOST_CLEAR, question)?;
    }
    let recess = question.recess(section);
    recess.map_err(|e| Failure::why(&e, question))
}

/// Refuses what would keep the page waiting; a long scan is answered without the rows of
/// other warmth, which need the general march.
fn bound(setting: &mut Setting, points: usize, ask: Ask) -> Result<(), Failure> {
    if points <= MOST_MARCHED {
        return Ok(());
    }
    let plain = |h: &Handling| h.conditions.is_plain();
    if ask == Ask::Warmth || !setting.handling.as_ref().is_none_or(plain) {
        let said = Said::new(
            format!("a section of {points} points"),
            format!("at most {MOST_MARCHED} with warm zones, friction or drag on the page"),
        );
        let hint = "thin the scan out, or use the command line".to_owned();
        return Err(said.hint(hint).into());
    }
    setting.handling = None;
    Ok(())
}

/// The answer for the shape of a family that needs most, with the family's range.
fn family_answer(
    catalogue: &Catalogue,
    question: &Question,
    family: &TapeFamily,
    round_ends: bool,
) -> Result<String, Failure> {
    let setting = question
        .with_open_width()
        .and_then(|question| Setting::new(question, catalogue))
        .map_err(|e| Failure::why(&e, question))?;
    let (_, answer) = recommend_family(family, |section, assured| {
        let recess = find(question.named(section), question)?;
        let bed = setting.bed(&recess);
        let mut job = setting.job(&bed);
        if !assured {
            job.assurance = None;
            return Ok(recommend_width(&job));
        }
        let mut answer = recommend(&job, &catalogue.films);
        if round_ends {
            job.widen_the_ends(&mut answer);
        }
        job.hold_the_chosen(&mut answer);
        Ok::<_, Failure>(answer)
    })?;
    Ok(json(&answer))
}
