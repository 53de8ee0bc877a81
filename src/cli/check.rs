//! `tautspan check`: one lay-down.

use super::handling::LayArgs;
use super::input::OrderArgs;
use super::named::{Files, one};
use super::outcome::{self, OutcomeArgs};
use super::{Outcome, draw, note, out, out_as, words};
use anyhow::{Result, bail};
use tautspan::advice::{Notice, OrderChoice, Scatter};
use tautspan::laydown::OrderName;
use tautspan::say::{Say, Voice};
use tautspan::{Check, Told, Units};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan check door.csv --film wrap-cast --bridge 150 --order deepest-first
  tautspan check door.csv --film wrap-cast --bridge 6in --clear-left 12in
  tautspan check door.csv --film wrap-cast --order middle-push
  tautspan check door.csv --film wrap-cast --bridge 150 --warm mouth:80 --lip pencil
  tautspan check door.csv --film wrap-cast --bond-left -75 --bond-right 60 --order edge-first --json
  tautspan check door.csv --film wrap-cast --bridge 150 --order \"press 0, press -18, press 18, spread left from -18, spread right from -18, spread left from 18, spread right\"";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    outcome: OutcomeArgs,
    #[command(flatten)]
    order: OrderArgs,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    /// Print where the film came from as CSV, a row every 5 mm of film and at landmarks
    #[arg(long, conflicts_with = "json")]
    source_csv: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = (args.lay).question(&[&args.outcome, &args.order], args.save.force)?;
    let units = question.print_units();
    let (setting, section) = one(&question)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let job = setting.job(&bed);
    if units == Units::Inch && matches!(question.order, Some(OrderChoice::Steps(_))) {
        note(
            "the steps of `--order` are in mm, as `tautspan order` prints them, whatever `--units` says",
        );
    }
    let mut check = setting.check(&job, &Files, true)?;
    let scatter = Scatter::of(&job, None);
    if let Some(scatter) = &scatter {
        let range = Notice::Scatter(scatter.clone());
        check.warnings.push(Told(range));
        check.within_limit &= !scatter.too_rough;
    }
    if let Some(folder) = &args.save.out {
        let (one, look) = (std::slice::from_ref(&check), draw::slide(&question));
        let files = draw::pictures(&job, one, &draw::OF_ONE, look)?;
        draw::save(folder, recess.section().name(), &files, args.save.force)?;
    }
    if args.source_csv {
        let Some(source) = &check.source else {
            bail!(
                "the peak is not finite, so where the film came from is not known\n\nhint: give the tool's `--pad`, or choose `--order deepest-first`"
            );
        };
        out(&source.to_csv())?;
    } else {
        out_as(args.json, &check, |check| {
            text(check, Voice::terminal(units))
        })?;
    }
    Ok(Outcome::unless_rough(scatter.as_ref(), check.within_limit))
}

fn text(c: &Check, voice: Voice) -> String {
    let length = |mm: f64| voice.length(mm);
    let mut text = format!(
        "{}: {}, bridge {}, film {}\n\n",
        c.section.name,
        c.order.name.word(),
        length(c.bridge_mm),
        c.film.name
    );
    match c.peak_pct {
        Some(peak) => text.push_str(&format!(
            "  Peak      {}, {}: {}\n",
            voice.beside(peak, c.film.limit_pct),
            c.peak_at.map_or_else(String::new, |p| p.say(voice)),
            voice.verdict(c)
        )),
        None => text.push_str("  Peak      not finite: over any limit\n"),
    }
    if let (Some(limit), Some(peak)) = (c.film.recess_limit_pct, c.recess_peak_pct) {
        text.push_str(&format!(
            "  Recess    {}: {} the limit of {} between the lips\n",
            voice.beside(peak, limit),
            if peak <= limit { "within" } else { "over" },
            voice.limit(limit)
        ));
    }
    if let Some(margin) = c.margin_pct {
        text.push_str(&format!(
            "  Margin    {}: {}\n",
            voice.points(margin),
            words::when(c.within_limit, "acceptable", "not acceptable")
        ));
    }
    if let Some(held) = c.held_pct {
        text.push_str(&format!(
            "  Held      limit kept in {} of what the readings allow; the verdict is for the section as read\n",
            voice.share(held)
        ));
    }
    text.push_str(&format!("  Mean      {}", voice.percent(c.mean_pct)));
    if let Some(times) = c.order_penalty.map(|p| voice.steady(p, 2)) {
        text.push_str(&format!("; the order puts the peak at {times} times that"));
    }
    text.push('\n');
    if let Some(deepest) = c.deepest_pct {
        text.push_str(&format!("  At press  {}\n", voice.percent(deepest)));
    }
    text.push_str(&format!(
        "  Extra     {}: panel {} under film {}\n",
        length(c.extra_mm),
        length(c.arc_mm),
        length(c.bridge_mm)
    ));
    if c.fed_in_mm > 0.0 {
        text.push_str(&format!(
            "  Fed in    {} of film from the loose side: artwork and sheet edge move by that\n",
            length(c.fed_in_mm)
        ));
    }
    text.push_str(&format!(
        "  Reach     {} to the left, {} to the right\n",
        length(c.reach_left_mm),
        length(c.reach_right_mm)
    ));
    text.push_str(&words::ends(&c.ends, &c.film, voice));
    text.push_str(&follows(c, voice));
    if c.order.name == OrderName::Custom {
        text.push_str("\nSteps\n");
        text.push_str(&words::numbered(&c.order.steps, voice));
    }
    text.push_str(&words::below(
        &c.warnings,
        &c.assumptions,
        &c.invented,
        voice,
    ));
    text + words::CAUTIONS
}

/// Air, force, hold and source.
fn follows(c: &Check, voice: Voice) -> String {
    let mut text = String::new();
    let air = c.air.as_ref().map(|air| air.say(voice));
    let air = air.unwrap_or_else(|| "not computed: the peak is not finite".to_owned());
    text.push_str(&format!("  Air       {air}\n"));
    if let Some(force) = voice.force(c) {
        text.push_str(&format!("  Force     {force}\n"));
    }
    if let Some(hold) = &c.hold {
        text.push_str(&format!("  Hold      {}\n", voice.hold(hold)));
    }
    if let Some(source) = &c.source {
        text.push_str(&format!("  Film      {}\n", source.say(voice)));
    }
    if let (Some(air), Some(force)) = (&c.air, &c.force) {
        text.push_str(&outcome::stages(air, force, voice));
    }
    text
}
