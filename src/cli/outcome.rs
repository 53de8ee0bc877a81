//! What follows from a lay-down, as asked for and as printed: air, force, source.

use super::input::{Tell, put};
use super::words;
use anyhow::Result;
use tautspan::outcome::{Air, Ends, Force, WayOut};
use tautspan::say::Voice;
use tautspan::{Bay, Question, Units};

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

/// Air and force at every stage, as a table, and what follows for the air.
pub(crate) fn stages(air: &Air, force: &Force, voice: Voice) -> String {
    if air.stages.is_empty() {
        return String::new();
    }
    let mut text = format!(
        "\n  {:<16}{:>16}{:>10}{:>10}\n",
        "Stage", "air, a metre", "shut in", "force"
    );
    for (k, a) in air.stages.iter().enumerate() {
        let shut = a.pockets.iter().filter(|p| p.shut);
        let shut: f64 = shut.map(|p| p.cm3_per_m).sum();
        let none = || "-".to_owned();
        let shut = Some(shut).filter(|shut| *shut > 0.0);
        text.push_str(&format!(
            "  {:<16}{:>16}{:>10}{:>10}\n",
            a.stage.word(),
            voice.volume(a.cm3_per_m),
            shut.map_or_else(none, |shut| voice.volume(shut)),
            (force.stages.get(k)).map_or_else(none, |f| voice.newtons(f.force_n))
        ));
    }
    // What is a warning too stands among the notes.
    if !matches!(air.way_out, Some(WayOut::OpenEnd | WayOut::None)) {
        text.push_str(&words::list("Air", &[&air.follows], voice));
    }
    text
}
