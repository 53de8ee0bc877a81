//! `tautspan sweep`: peak against bridge width.

use super::handling::LayArgs;
use super::named::one;
use super::{Outcome, draw, out, out_as, words};
use anyhow::Result;
use tautspan::advice::Sweep;
use tautspan::laydown::OrderName;
use tautspan::say::Voice;

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan sweep door.csv --film wrap-cast
  tautspan sweep door.csv --film wrap-cast --csv > sweep.csv";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    /// Print the rows as JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Print the rows as CSV
    #[arg(long)]
    csv: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = args.lay.question(&[], args.save.force)?;
    let (setting, section) = one(question.with_open_width()?)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let job = super::ends::middle_alone(setting.job(&bed));
    let sweep = tautspan::sweep(&job);
    if let Some(folder) = &args.save.out {
        let files = draw::pictures(&job, &[], &["width"], draw::slide(&question))?;
        draw::save(folder, recess.section().name(), &files, args.save.force)?;
    }
    if args.csv {
        out(&csv(&sweep))?;
    } else {
        let voice = Voice::terminal(question.print_units());
        out_as(args.json, &sweep, |sweep| table(sweep, voice))?;
    }
    let scatter = tautspan::advice::Scatter::of(&job, None);
    Ok(Outcome::unless_rough(scatter.as_ref(), true))
}

fn csv(sweep: &Sweep) -> String {
    let mut text = "bridge_mm,order,peak_pct,recess_peak_pct,mean_pct\n".to_owned();
    let cell = |v: Option<f64>| v.map_or_else(String::new, |v| format!("{v:.6}"));
    for row in &sweep.rows {
        text.push_str(&format!(
            "{:.4},{},{},{},{:.6}\n",
            row.bridge_mm,
            row.order.name(),
            cell(row.peak_pct),
            cell(row.recess_peak_pct),
            row.mean_pct
        ));
    }
    text
}

fn table(sweep: &Sweep, voice: Voice) -> String {
    let limit = sweep.film.limit_pct;
    let mut text = format!(
        "{}, film {}: peak elongation, limit {}\n\n{:>12}{:>16}{:>14}{:>14}\n",
        sweep.section.name,
        sweep.film.name,
        voice.limit(limit),
        "bridge",
        "deepest first",
        "edge first",
        "plain rule"
    );
    for pair in sweep.rows.chunks(2) {
        let peak = |name: OrderName| {
            pair.iter()
                .find(|r| r.order == name)
                .map(|r| voice.peak(r.peak_pct))
                .unwrap_or_default()
        };
        text.push_str(&format!(
            "{:>12}{:>16}{:>14}{:>14}\n",
            voice.length(pair[0].bridge_mm),
            peak(OrderName::DeepestFirst),
            peak(OrderName::EdgeFirst),
            voice.percent(pair[0].mean_pct)
        ));
    }
    let feasible: Vec<String> = sweep
        .feasible
        .iter()
        .map(|[a, b]| format!("{} to {}", voice.length(*a), voice.length(*b)))
        .collect();
    text.push_str(&words::lines(
        "Within the limit, deepest point first",
        &feasible,
    ));
    text + &words::below(&sweep.warnings, &sweep.assumptions, &sweep.invented, voice)
}
