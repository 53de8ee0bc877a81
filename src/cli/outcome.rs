//! What follows from a lay-down, as asked for and as printed: air, force, source.

use super::input::{Tell, put};
use super::words;
use anyhow::Result;
use tautspan::{Air, Bay, Ends, Force, Question, Source, Stage, Units, WayOut};

/// What is asked for air and force.
#[derive(Debug, clap::Args)]
pub(crate) struct OutcomeArgs {
    /// Whether the recess runs out at its ends, for the air [default: open]
    #[arg(long, value_enum)]
    ends: Option<Ends>,
    /// What a hand gives at most, N [default: 40, invented]
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    hand_force: Option<f64>,
}

impl Tell for OutcomeArgs {
    fn tell(&self, question: &mut Question, _units: Units) -> Result<()> {
        let mut bay = question.bay.take().unwrap_or_default();
        put(&mut bay.ends, self.ends);
        put(&mut bay.hand_force, self.hand_force);
        question.bay = Some(bay).filter(|bay| *bay != Bay::default());
        Ok(())
    }
}

/// A stage in words.
fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Bridged => "bridged",
        Stage::Pressed => "pressed",
        Stage::Flats => "flats down",
        Stage::Floor => "floor down",
        Stage::Wall => "wall down",
        Stage::FarWall => "far wall down",
        Stage::Step => "after a step",
        Stage::Down => "all down",
    }
}

/// Air in a metre of recess.
fn volume(cm3: f64) -> String {
    if cm3 >= 1000.0 {
        format!("{} l", words::trimmed(cm3 / 1000.0, 2))
    } else {
        format!("{} cm3", words::trimmed(cm3, 1))
    }
}

/// Trapped air in one line.
pub(crate) fn air_line(air: &Air) -> String {
    let shut = volume(air.shut_in_cm3_per_m);
    match air.way_out {
        Some(WayOut::Free) => "none shut in".to_owned(),
        Some(WayOut::Channels) => format!("{shut} a metre shut in; leaves by the air channels"),
        Some(WayOut::OpenEnd) => format!("{shut} a metre shut in; must be worked to an open end"),
        Some(WayOut::None) => format!("{shut} a metre shut in, with no way out"),
        None => format!("{shut} a metre shut in; air channels not known"),
    }
}

/// Force of the fingers in one line.
pub(crate) fn force_line(force: &Force, units: Units) -> String {
    let Some(largest) = force.largest_n else {
        let why = force.not_computed.as_deref();
        return format!("not computed: {}", why.unwrap_or("no reason given"));
    };
    let at = force.largest_at_x_mm.map_or_else(String::new, |x| {
        format!(" at x = {}", words::length(x, units))
    });
    let warm = force
        .temperature_c
        .map_or_else(String::new, |t| format!(", film at {t} degC"));
    let hand = format!(
        "a hand gives {} N{}",
        words::trimmed(force.hand_n, 1),
        if force.invented.iter().any(|i| i.starts_with("hand force")) {
            " (invented)"
        } else {
            ""
        }
    );
    format!("up to {} N{at}{warm}; {hand}", newtons(largest))
}

/// A force: one decimal below 10 N, where it matters.
fn newtons(n: f64) -> String {
    words::trimmed(n, usize::from(n < 9.95))
}

/// Air and force at every stage, as a table, and what follows for the air.
pub(crate) fn stages(air: &Air, force: &Force) -> String {
    if air.stages.is_empty() {
        return String::new();
    }
    let mut text = format!(
        "\n  {:<16}{:>16}{:>10}{:>10}\n",
        "Stage", "air, a metre", "shut in", "force"
    );
    for (k, a) in air.stages.iter().enumerate() {
        let shut: f64 = a
            .pockets
            .iter()
            .filter(|p| p.shut)
            .map(|p| p.cm3_per_m)
            .sum();
        let n = force.stages.get(k);
        text.push_str(&format!(
            "  {:<16}{:>16}{:>10}{:>10}\n",
            stage(a.stage),
            volume(a.cm3_per_m),
            if shut > 0.0 {
                volume(shut)
            } else {
                "-".to_owned()
            },
            n.map_or_else(|| "-".to_owned(), |f| format!("{} N", newtons(f.force_n)))
        ));
    }
    // What is a warning too stands among the notes.
    let noted = matches!(air.way_out, Some(WayOut::OpenEnd | WayOut::None));
    text.push_str(&words::list("Air", &air.follows[usize::from(noted)..]));
    text
}

/// Where the film came from in one line.
pub(crate) fn source_line(source: &Source, units: Units) -> String {
    format!(
        "{} of film go into the recess, {} {} than lay over it; a mark lands up to {} further along, ink fades to {:.0} %",
        words::length(source.film_in_recess_mm, units),
        words::length(source.drawn_in_mm.abs(), units),
        if source.drawn_in_mm < 0.0 {
            "less"
        } else {
            "more"
        },
        words::length(source.largest_shift_mm.abs(), units),
        source.least_ink_pct
    )
}
