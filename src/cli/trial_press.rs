//! `tautspan trial --press`: presses measured on a scale.

use super::named::Files;
use super::own::{Change, Written};
use super::words;
use anyhow::{Result, bail};
use tautspan::Job;
use tautspan::advice::Setting;
use tautspan::evidence::trial::{PressReport, judge_press, read_loads};
use tautspan::laydown::OrderName;
use tautspan::say::{Say, Voice};

/// Judges the loads of a lay-down.
pub(super) fn judged(
    loads: &[String],
    (setting, job): (&Setting, &Job<'_>),
    voice: Voice,
) -> Result<(PressReport, OrderName)> {
    let loads = read_loads("--press", loads)?;
    if !setting.question.has_width() {
        bail!(
            "no bridge, but that of the piece on the scale was expected\n\nhint: `--bridge 120`, as the tapes were"
        );
    }
    let bay = setting.question.bay.clone().unwrap_or_default();
    if bay.warm_c.is_none() && bay.curve.is_none() && !setting.film.modulus.is_empty() {
        bail!(
            "no temperature of the film, but that of the presses was expected: what it pulls with depends on it most\n\nhint: `--warm whole:20`, in degC, as it was on the scale"
        );
    }
    let check = setting.check(job, &Files, false)?;
    let press = judge_press(&check, &loads);
    let press = press.map_err(|why| anyhow::anyhow!("found {}", why.say(voice)))?;
    Ok((press, check.order.name))
}

/// What it says.
pub(super) fn text(
    (press, order): &(PressReport, OrderName),
    (setting, section): (&Setting, &str),
    voice: Voice,
) -> String {
    let mut text = format!(
        "Presses of {} over {section}, {}\n\n",
        setting.film.name,
        order.word()
    );
    for (title, said) in voice.press_rows(press) {
        text.push_str(&format!("  {title:<12}{said}\n"));
    }
    text.push_str(&words::lines("Note", &voice.press_notes(press)));
    let tool = &setting.tool;
    let assumed = [format!(
        "pressed with the {}: `--tool` for another; the factor holds for it",
        tool.name
    )];
    text + &words::lines("Assumed", &assumed) + words::CAUTIONS
}

/// What presses write.
pub(super) fn written(press: &PressReport, section: &str, tool: &str, voice: Voice) -> Written {
    let said = voice.press_factor(press);
    let mut written = Written::default();
    if press.wide {
        let left = format!("force_factor is left as it was: {said}, too wide");
        written.left.push(left);
    } else {
        written.changes.push(Change {
            key: "force_factor",
            value: (1000.0 * press.factor).round() / 1000.0,
            source: format!("own trial on a scale over {section} with {tool}: {said}"),
        });
    }
    written
}
