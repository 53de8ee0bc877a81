//! `tautspan card`: one page for the installer.

use super::draw::file_stem;
use super::files::{FolderArgs, write_noted};
use super::handling::LayArgs;
use super::input::{BridgeArgs, OrderArgs, Tell};
use super::named::{Files, one};
use super::outcome::OutcomeArgs;
use super::{Outcome, note, out, out_json};
use anyhow::{Result, anyhow};
use tautspan::advice::OrderChoice;
use tautspan::card::{Asked, Card, PaperSize};
use tautspan::laydown::OrderName;
use tautspan::{Question, Side};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan card door.csv --film wrap-cast --length 900 --ends one-open
  tautspan card door.csv --film wrap-cast --length 36in --ends open --units in --paper letter
  tautspan card door.csv --film wrap-cast --bridge 150 --order deepest-first";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    bridge: BridgeArgs,
    /// Print this order instead of the recommended one; all but middle-push and one-way
    /// need a bridge
    #[arg(long, value_enum)]
    order: Option<OrderName>,
    /// Which side runs loose, for --order one-way [default: right]
    #[arg(long, value_enum)]
    loose: Option<Side>,
    #[command(flatten)]
    outcome: OutcomeArgs,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperSize,
    /// Print what the card says as JSON, and write no file
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    folder: FolderArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = question(args)?;
    let question = question.with_open_width()?;
    let (setting, section) = one(question)?;
    let asked = Asked {
        length: question.length()?,
        ends: setting.handling.as_ref().and_then(|h| h.bay.ends),
        gauge_tolerance: Some(question.survey().gauge_tolerance),
        typed: question.typed_tape().map(str::to_owned),
        units: question.print_units(),
        paper: args.paper,
    };
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let job = setting.job(&bed);
    let mut advice = tautspan::recommend(&job, &tautspan::builtin_films());
    job.widen_the_ends(&mut advice);
    job.hold_the_chosen(&mut advice);
    let given = question.order.is_some() || question.has_width();
    let fixed = given
        .then(|| setting.check_for_card(&job, &Files))
        .transpose()?;
    let card = Card::new(&setting.film, &advice, fixed.as_ref(), &asked)
        .ok_or_else(|| anyhow!("no order could be laid on this section at all"))?;
    let outcome = Outcome::unless_rough(advice.scatter.as_ref(), card.has_width);
    if args.json {
        out_json(&card)?;
        return Ok(outcome);
    }
    let stem = file_stem(recess.section().name());
    let html = card.html_with(&tautspan::figure::font_css());
    let drafts = [
        args.folder.draft(&format!("{stem}-card.html"), html),
        args.folder.draft(&format!("{stem}-card.pdf"), card.pdf()?),
    ];
    write_noted(&drafts, args.folder.force)?;
    let missing = tautspan::card::unprintable(&format!("{}{}", card.title, card.subtitle));
    if !missing.is_empty() {
        note(&format!(
            "the PDF's font has no `{missing}`: boxes stand there; the HTML shows them"
        ));
    }
    out(&summary(&card))?;
    Ok(outcome)
}

/// The question that the options ask.
fn question(args: &Args) -> Result<Question> {
    let ordered = OrderArgs {
        order: args.order.map(OrderChoice::Named),
        loose: args.loose,
        bridge: args.bridge.clone(),
    };
    let more: [&dyn Tell; 2] = [&args.outcome, &ordered];
    args.lay.question(&more, args.folder.force)
}

/// The three things one does, for the terminal.
fn summary(card: &Card) -> String {
    let mut text = format!("{}: {}\n", card.title, card.subtitle);
    for task in &card.tasks {
        text.push_str(&format!("  {}: {}\n", task.name, task.big));
        for line in &task.lines {
            text.push_str(&format!("    {line}\n"));
        }
    }
    text
}
