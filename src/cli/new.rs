//! What is asked of a film class or a tool of one's own, who lends what nobody measured, and
//! what is said of it afterwards.
//!
//! A class needs a limit: no other number can stand in for it. The elongation at break least of
//! all, and a limit of the catalogue would answer widths that nobody has tried; so without one
//! nothing is written. What else an answer may need (thickness, stiffness, peel, what lasts of them)
//! is lent by the class whose limit is nearest, marked as invented. Not lent is what is decided by
//! hand (temperatures of post-heating, recesses, air channels: blank on the card until they are
//! said), what lowers the limit, and money.

use super::ask::{Answers, Kind, Profile, Question, Written};
use super::{own, words};
use anyhow::Result;
use tautspan::fault::Refused;
use tautspan::film::{
    builtin_films, film_names, film_toml, parse_film, parse_tool, tool_names, tool_toml,
};
use tautspan::say::Voice;
use tautspan::{FilmClass, Tool, Units};
use toml_edit::DocumentMut;

pub(crate) const FILM_EXAMPLES: &str = "Examples:
  tautspan films wrap-cast                                show one
  tautspan films my-film.toml                             validate your own
  tautspan films --new my-film                            write your own: it asks
  tautspan films --new my-film --limit \"22: own trial\"    the same, a limit and no more
  tautspan films --new my-film --source \"maker's sheet, March 2026\" --limit 22 --thickness 80

Each number carries its source: `--source` for all that do not say it themselves behind a colon.
Answers are read from a pipe, too, a line each, in the order of the options.";

pub(crate) const TOOL_EXAMPLES: &str = "Examples:
  tautspan tools fingertip                                show one
  tautspan tools --new my-finger                          write your own: it asks how it measures
  tautspan tools --new my-finger --source \"ink on paper\" --pad 9 --contact-length 14
  tautspan recommend door.csv --film wrap-cast --tool my-finger.toml";

const fn asked(
    option: &'static str,
    key: &'static str,
    kind: Kind,
    after: Option<&'static str>,
    what: &'static str,
) -> Question {
    Question {
        option,
        key,
        kind,
        after,
        what,
    }
}

#[rustfmt::skip]
const FILM: [Question; 16] = [
    asked("source", "", Kind::Source, None, "where the numbers are from, as in: maker's sheet, March 2026"),
    asked("limit", "limit_pct", Kind::Number("%"), None, "most stretch to work with, %: what the maker recommends for laying, or your own trial's; not the elongation at break. Needed"),
    asked("break", "break_pct", Kind::Number("%"), None, "elongation at break, %: among the sheet's tensile properties. Kept, and never taken for the limit"),
    asked("break-test", "break_pct", Kind::Test, Some("break"), "how that was measured: standard and speed, as in: ISO 527-3, 100 mm/min"),
    asked("thickness", "thickness_um", Kind::Number("um"), None, "thickness of the film, um, without adhesive, liner and further layers"),
    asked("layer-thickness", "layers[1].thickness_um", Kind::Number("um"), None, "thickness of an overlaminate, um, where there is one"),
    asked("layer-limit", "layers[1].limit_pct", Kind::Number("%"), Some("layer-thickness"), "most stretch of the overlaminate, %; the lower of the two counts"),
    asked("peel-force", "peel.force_n", Kind::Number("N"), None, "force of the peel test, N: the 14 of 14 N/25 mm"),
    asked("peel-width", "peel.width_mm", Kind::Length, Some("peel-force"), "width of its strip, mm: the 25 of 14 N/25 mm"),
    asked("peel-angle", "peel.angle_deg", Kind::Number("deg"), Some("peel-force"), "its angle, deg: 180 is folded back"),
    asked("post-heat-min", "post_heat_min_c", Kind::Number("degC"), None, "least temperature of the film's surface in post-heating, degC"),
    asked("post-heat-max", "post_heat_max_c", Kind::Number("degC"), None, "most temperature of the film's surface in post-heating, degC"),
    asked("service-max", "service_max_c", Kind::Number("degC"), None, "most service temperature, degC: what the film bears for good"),
    asked("air-channels", "air_channels", Kind::YesNo, None, "has the adhesive channels that let air out, yes or no"),
    asked("recess", "recess", Kind::YesNo, None, "may it be laid in recesses, yes or no: sheets of flat-panel film say no"),
    asked("price", "price_per_m2", Kind::Number(""), None, "price of a square metre, in your own money"),
];

#[rustfmt::skip]
const TOOL: [Question; 6] = [
    asked("source", "", Kind::Source, None, "how it was measured, as in: ink on paper, 2026-03-14"),
    asked("pad", "pad_mm", Kind::Length, None, "contact width across the recess, mm: ink the tool (a gloved fingertip, too), press it on paper as hard as on film, and measure the print across"),
    asked("contact-length", "contact_length_mm", Kind::Length, None, "contact length along the recess, mm: the same print, measured along"),
    asked("tip-radius", "tip_radius_mm", Kind::Length, None, "radius of the tip, mm: the round template or coin (half its diameter) whose edge it follows without light between"),
    asked("press-off", "press_off_mm", Kind::Length, None, "how far off the mark you press, mm: ten presses on a drawn line with ink on the tool, the second largest miss"),
    asked("tapes-off", "tapes_off_mm", Kind::Length, None, "how far off the mark you lay a tape, mm: ten tapes on a drawn line, the second largest miss"),
];

/// Keys that a class of the catalogue lends.
const LENT: [&str; 9] = [
    "name",
    "limit_pct",
    "thickness_um",
    "modulus",
    "peel",
    "long_term_factor",
    "stress_left",
    "hot_day_c",
    "emissivity",
];
/// The class of the catalogue that lends its layer.
const LAYERED: &str = "print-cast";

/// Numbers that were lent or made up, by key, and what would replace them.
#[rustfmt::skip]
const INSTEAD: [(&str, &str); 11] = [
    ("limit_pct", "limit: strips of the film over a recess (`tautspan trial`)"),
    ("thickness_um", "thickness: the sheet's (`--thickness`); it counts where stiffness does"),
    ("layers", "overlaminate: thickness and limit of its own sheet (`--layer-thickness`, `--layer-limit`), modulus in the file"),
    ("modulus", "stiffness: a tensile curve of the film (`tensile_csv` in the file); it counts where film is warm in parts or drags, and for force"),
    ("peel", "peel test: the sheet's (`--peel-force`, `--peel-width`, `--peel-angle`); only rankings rest on it"),
    ("long_term_factor", "what lasts of the peel: no sheet has it; only rankings rest on it"),
    ("stress_left", "what post-heating leaves of the tension: no sheet has it; only rankings rest on it"),
    ("hot_day_c", "panel on a hot day: an infrared thermometer on a dark panel in the sun, in the file"),
    ("pad_mm", "contact width: ink on paper (`--pad`)"),
    ("tip_radius_mm", "radius of the tip: round templates or coins (`--tip-radius`)"),
    ("contact_length_mm", "contact length: ink on paper (`--contact-length`); it counts for force"),
];

/// Keys that are not in the file, and what that leaves open.
#[rustfmt::skip]
const FILM_OPEN: [(&str, &str); 5] = [
    ("post_heat_min_c", "temperatures of post-heating: blank on the card, and no record of it passes (`--post-heat-min`, `--post-heat-max`)"),
    ("air_channels", "air channels: whether shut-in air gets out stays open (`--air-channels`)"),
    ("recess", "whether it may be laid in recesses: taken to be so (`--recess`)"),
    ("service_max_c", "service temperature: no word where a hot day is beyond it (`--service-max`)"),
    ("price_per_m2", "price: no cost in `compare` (`--price`, and `[minutes_per_m]` in the file)"),
];
#[rustfmt::skip]
const TOOL_OPEN: [(&str, &str); 2] = [
    ("press_off_mm", "how far off you press: an invented number is taken (`--press-off`)"),
    ("tapes_off_mm", "how far off you lay a tape: an invented number is taken (`--tapes-off`)"),
];

/// The TOML of a name of the catalogue, its numbers marked as lent.
fn lent(toml: Option<&str>, lender: &str) -> DocumentMut {
    let text = own::bare(toml.unwrap_or_default());
    let text = text.replace(
        "\"invented for the demo\"",
        &format!("\"invented, of {lender}\""),
    );
    // A test reads every text of the catalogue.
    text.parse().unwrap_or_default()
}

impl Profile for FilmClass {
    const COMMAND: &'static str = "films";
    const QUESTIONS: &'static [Question] = &FILM;
    const NEEDED: Option<&'static str> = Some("limit");
    const MISSING: &'static str = "no limit, but one was expected, and nothing was written; an elongation at break is none: film in a recess fails far below it\n\nhint: the most stretch that the maker recommends, `--limit 22 --source \"maker's sheet, March 2026\"`; or measure it: `tautspan trial RECESS --film wrap-cast --design` says which strips to lay";

    fn names() -> Vec<&'static str> {
        film_names()
    }

    fn read(file: &str, text: &str) -> Result<Self, Refused> {
        parse_film(file, text)
    }

    fn lent(answers: &Answers) -> (&'static str, DocumentMut) {
        let limit = answers.number("limit").unwrap_or_default();
        let off = |film: &Self| (film.limit_pct.value - limit).abs();
        let names = film_names().into_iter().zip(builtin_films());
        let nearest = names.min_by(|a, b| off(&a.1).total_cmp(&off(&b.1)));
        let lender = nearest.map_or(LAYERED, |(name, _)| name);
        let mut document = lent(film_toml(lender), lender);
        document.retain(|key, _| LENT.contains(&key));
        if answers.below("layers") {
            document["layers"] = lent(film_toml(LAYERED), LAYERED)["layers"].clone();
        }
        (lender, document)
    }
}

impl Profile for Tool {
    const COMMAND: &'static str = "tools";
    const QUESTIONS: &'static [Question] = &TOOL;
    const NEEDED: Option<&'static str> = None;
    const MISSING: &'static str = "no number, but one at least was expected; nothing was written\n\nhint: `--pad 9 --source \"ink on paper\"`; at a terminal `tautspan tools --new NAME` asks";

    fn names() -> Vec<&'static str> {
        tool_names()
    }

    fn read(file: &str, text: &str) -> Result<Self, Refused> {
        parse_tool(file, text)
    }

    fn lent(_: &Answers) -> (&'static str, DocumentMut) {
        let lender = tool_names()[0];
        let mut document = lent(tool_toml(lender), lender);
        document.remove("summary");
        (lender, document)
    }
}

/// What is said below a profile that was written; `open` are the keys that it may lack.
fn below<P: Profile>(written: &Written<P>, open: &[(&str, &str)]) -> Result<String> {
    let keys = written.invented()?;
    let invented = |key: &str| keys.iter().any(|k| k == key);
    let (known, instead): (Vec<&str>, Vec<&str>) =
        INSTEAD.into_iter().filter(|(key, _)| invented(key)).unzip();
    let mut invented: Vec<String> = instead.into_iter().map(str::to_owned).collect();
    let others = keys.iter().filter(|key| !known.contains(&key.as_str()));
    invented.extend(others.map(|key| format!("`{key}`")));
    let open = open
        .iter()
        .filter(|(key, _)| !written.document.contains_key(key));
    let open: Vec<String> = open.map(|(_, words)| (*words).to_owned()).collect();
    let title = format!(
        "Invented still, as {} has it: where one decides, an answer says “training numbers”",
        written.lender
    );
    Ok(words::lines(&title, &invented) + &words::lines("Not said", &open))
}

/// What is said of a film class that was written.
pub(crate) fn of_film(written: &Written<FilmClass>) -> Result<String> {
    let voice = Voice::terminal(Units::Mm);
    let mut text = below(written, &FILM_OPEN)?;
    if let Some(most) = &written.profile.break_pct {
        text.push_str(&format!(
            "\nThe elongation at break, {}, is of a strip pulled apart between grips. Laid in a recess film\nlifts, whitens or tears weeks later, far below it: the limit in use is {}, and strips over\na recess of your own say whether that holds.\n",
            voice.limit(most.value),
            voice.limit(100.0 * written.profile.limit())
        ));
    }
    let path = written.path.display();
    text.push_str(&format!(
        "\nNext\n  tautspan recommend RECESS --film {path}\n  tautspan trial RECESS --film {path} --design     the strips that measure limit and friction\n"
    ));
    Ok(text)
}

/// What is said of a tool that was written.
pub(crate) fn of_tool(written: &Written<Tool>) -> Result<String> {
    let path = written.path.display();
    let next = format!("\nNext\n  tautspan recommend RECESS --film wrap-cast --tool {path}\n");
    Ok(below(written, &TOOL_OPEN)? + &next)
}
