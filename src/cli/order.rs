//! `tautspan order`: the order of pressing with the lowest peak.

use super::handling::LayArgs;
use super::input::BridgeArgs;
use super::named::one;
use super::{Outcome, draw, out_as, words};
use anyhow::{Result, bail};
use tautspan::advice::{LONGEST_SEARCH, MOST_STEPS, OrderSearch, search_order};
use tautspan::say::Voice;
use tautspan::{Bonds, Order};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan order door.csv --film wrap-cast                  at the recommended width
  tautspan order door.csv --film wrap-cast --bridge 110
  tautspan order door.csv --film wrap-cast --bridge 110 --most-steps 5 --json";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    bridge: BridgeArgs,
    /// Steps of the order at most, from 3 to 12
    #[arg(long, value_name = "N", default_value_t = MOST_STEPS)]
    most_steps: usize,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    if !(3..=LONGEST_SEARCH).contains(&args.most_steps) {
        bail!(
            "`--most-steps` is {}, but a number from 3 to {LONGEST_SEARCH} was expected\n\nhint: leave it out for {MOST_STEPS}; deepest first alone takes 3",
            args.most_steps
        );
    }
    let question = args.lay.question(&[&args.bridge], args.save.force)?;
    if !question.has_width() {
        question.with_open_width()?;
    }
    let (setting, section) = one(&question)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let job = super::ends::middle_alone(setting.job(&bed));
    let bonds = setting.bonds(&bed)?;
    let search = search_order(&job, bonds, args.most_steps)?;
    if let Some(folder) = &args.save.out {
        let plain = job.plain();
        let bonds = Bonds::with_reach(&recess, search.reach_left_mm, search.reach_right_mm);
        let steps = tautspan::laydown::read_steps("order", &search.order)?;
        let checks = [
            plain.check_steps(bonds, &steps, true)?,
            plain.check(bonds, Order::DeepestFirst, false)?,
        ];
        let names = ["film", "elongation"];
        let files = draw::pictures(&plain, &checks, &names, draw::slide(&question))?;
        let name = format!("{}-order", recess.section().name());
        draw::save(folder, &name, &files, args.save.force)?;
    }
    let voice = Voice::terminal(question.print_units());
    out_as(args.json, &search, |search| text(search, voice))?;
    let scatter = tautspan::advice::Scatter::of(&job, None);
    Ok(Outcome::unless_rough(scatter.as_ref(), search.within_limit))
}

fn text(s: &OrderSearch, voice: Voice) -> String {
    let length = |mm: f64| voice.length(mm);
    let mut text = format!(
        "{}: order with the lowest peak, bridge {}, film {}\n\n",
        s.section.name,
        length(s.bridge_mm),
        s.film.name
    );
    let limit = s.film.limit_pct;
    let verdict = |peak: f64| {
        let side = if peak <= limit { "within" } else { "over" };
        format!("{side} the limit of {}", voice.limit(limit))
    };
    let even = match s.under {
        None => verdict(s.peak_pct),
        Some(_) => "with even heat and nothing dragging".to_owned(),
    };
    text.push_str(&format!(
        "  Peak           {}: {even}\n",
        voice.beside(s.peak_pct, limit)
    ));
    text.push_str(&format!(
        "  Mean           {}: no order can be below it; this one is {} above\n",
        voice.percent(s.mean_pct),
        voice.points(s.above_mean_points)
    ));
    text.push_str(&format!(
        "  Deepest first  {}\n  Edges first    {}\n",
        voice.peak(s.deepest_first_pct),
        voice.peak(s.edge_first_pct)
    ));
    if let Some(off) = s.peak_off_pct {
        text.push_str(&format!(
            "  {:<15}{} at worst, with one press or turn that far off\n",
            format!("{} off", voice.tolerance(3.0)),
            voice.percent(off)
        ));
    }
    if let Some(under) = &s.under {
        let judged = under
            .peak_pct
            .map_or_else(|| "not known".to_owned(), verdict);
        let computed =
            |v: Option<f64>| v.map_or_else(|| "not computed".to_owned(), |v| voice.percent(v));
        text.push_str(&format!(
            "  As handled     {}: {judged}; deepest first {}\n",
            computed(under.peak_pct),
            computed(under.deepest_first_pct),
        ));
    }
    text.push_str(&format!(
        "  Tapes          {} and {} out on the left and right\n\nSteps\n",
        length(s.reach_left_mm),
        length(s.reach_right_mm)
    ));
    text.push_str(&words::numbered(
        s.steps.iter().map(|step| &step.doing),
        voice,
    ));
    text.push_str(&format!("\nTo lay it again:  --order \"{}\"\n", s.order));
    let rows = s.by_steps.iter().map(|r| {
        let steps = if r.steps == 1 { "step" } else { "steps" };
        format!("{} {steps}: {}", r.steps, voice.percent(r.peak_pct))
    });
    text.push_str(&words::lines("Lowest peak with", &rows.collect::<Vec<_>>()));
    text.push_str(&words::below(
        &s.warnings,
        &s.assumptions,
        &s.invented,
        voice,
    ));
    text + words::CAUTIONS
}
