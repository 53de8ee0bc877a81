//! `tautspan card`: one page for the installer.

use super::draw::file_stem;
use super::files::{Draft, write_all};
use super::handling::HandlingArgs;
use super::input::{
    BridgeArgs, FilmArgs, OrderArg, Readings, SectionArgs, Setting, SideArg, SplitArg, order,
};
use super::length::{TypedLength, given};
use super::outcome::OutcomeArgs;
use super::{Outcome, note, out, out_json};
use anyhow::{Result, anyhow, bail};
use clap::ValueEnum;
use std::path::PathBuf;
use tautspan::{Asked, Bonds, Card, Check, Ends, Job, Order, PaperSize, Section, TapeFamily};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan card door.csv --film wrap-cast --length 900 --ends one-open
  tautspan card door.csv --film wrap-cast --length 36in --ends open --units in --paper letter
  tautspan card door.csv --film wrap-cast --bridge 150 --order deepest-first";

/// Size of the paper.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum PaperArg {
    /// 210 x 297 mm
    A4,
    /// 8.5 x 11 in
    Letter,
}

impl From<PaperArg> for PaperSize {
    fn from(paper: PaperArg) -> Self {
        match paper {
            PaperArg::A4 => Self::A4,
            PaperArg::Letter => Self::Letter,
        }
    }
}

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    section: SectionArgs,
    #[command(flatten)]
    film: FilmArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    #[command(flatten)]
    bridge: BridgeArgs,
    /// Print this order instead of the recommended one; all but middle-push and one-way
    /// need a bridge
    #[arg(long, value_enum)]
    order: Option<OrderArg>,
    /// Which side runs loose, for --order one-way
    #[arg(long, value_enum, default_value = "right")]
    loose: SideArg,
    /// Where the bridge grows
    #[arg(long, value_enum, default_value = "even")]
    split: SplitArg,
    /// Length of the recess along the panel [default: a blank on the card]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    length: Option<TypedLength>,
    #[command(flatten)]
    outcome: OutcomeArgs,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperArg,
    /// Print what the card says as JSON, and write no file
    #[arg(long)]
    json: bool,
    /// Folder to write to
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let mut setting = Setting::new(&args.section, &args.film, args.split)?;
    let mut handling = args
        .handling
        .for_any_width(&setting.film, args.film.folder())?;
    args.outcome.tell(&mut handling)?;
    let asked = asked(args, handling.bay.ends)?;
    setting.handling = Some(handling);
    let section = match args.section.read()? {
        Readings::One(section) => section,
        Readings::Family(family) => needs_most(args, &mut setting, &family)?,
    };
    let recess = setting.recess(&args.section, section)?;
    let bed = setting.bed(&recess);
    let job = setting.job(&bed);
    let advice = tautspan::recommend(&job, &tautspan::builtin_films());
    let fixed = fixed(args, &job)?;
    let card = Card::new(&setting.film, &advice, fixed.as_ref(), &asked)
        .ok_or_else(|| anyhow!("no order could be laid on this section at all"))?;
    if args.json {
        out_json(&card)?;
        return Ok(Outcome::unless_rough(
            advice.scatter.as_ref(),
            card.has_width,
        ));
    }
    let stem = file_stem(recess.section().name());
    let drafts = [
        Draft {
            path: args.out.join(format!("{stem}-card.html")),
            bytes: card.html_with(&tautspan::font_css()).into_bytes(),
        },
        Draft {
            path: args.out.join(format!("{stem}-card.pdf")),
            bytes: card.pdf()?,
        },
    ];
    write_all(&drafts, args.force)?;
    for draft in &drafts {
        note(&format!("wrote {}", draft.path.display()));
    }
    let missing = tautspan::unprintable(&format!("{}{}", card.title, card.subtitle));
    if !missing.is_empty() {
        note(&format!(
            "the PDF's font has no `{missing}`: boxes stand there; the HTML shows them"
        ));
    }
    out(&summary(&card))?;
    Ok(Outcome::unless_rough(
        advice.scatter.as_ref(),
        card.has_width,
    ))
}

/// What was asked, checked.
fn asked(args: &Args, ends: Option<Ends>) -> Result<Asked> {
    let units = args.section.units();
    let length = given(args.length.as_ref(), "--length", units)?;
    if let Some(length) = length
        && !(length > 0.0 && length <= 100_000.0)
    {
        bail!(
            "`--length` is {length} mm, but a length above 0 and at most 100000 mm was expected\n\nhint: measure the recess along the panel, from end to end"
        );
    }
    Ok(Asked {
        length,
        ends,
        gauge_tolerance: Some(args.section.survey()?.gauge_tolerance),
        units,
        paper: args.paper.into(),
    })
}

/// The lay-down fixed by `--order` and `--bridge`, if any.
fn fixed(args: &Args, job: &Job<'_>) -> Result<Option<Check>> {
    if args.order.is_none() && !args.bridge.is_given() {
        return Ok(None);
    }
    let order = order(args.order.unwrap_or(OrderArg::DeepestFirst), args.loose);
    let bonds = match args
        .bridge
        .bonds(job.bed, job.split, args.section.units())?
    {
        Some(_) if order == Order::MiddlePush => bail!(
            "`--order middle-push` with a bridge was found, but a middle push is bonded at the lips and takes no bridge\n\nhint: leave `--bridge` or the bond lines out, or choose `--order deepest-first`"
        ),
        Some(bonds) => bonds,
        None if order == Order::MiddlePush || order.feeds_in() => {
            Bonds::with_reach(job.bed.recess(), 0.0, 0.0)
        }
        None => bail!(
            "no bridge was given, but `--order {}` needs one\n\nhint: add `--bridge LENGTH`, or leave `--order` out for the recommended one",
            order.name()
        ),
    };
    Ok(Some(job.check(bonds, order, false)?))
}

/// Of the shapes that fit tape readings, the one that needs the widest bridge.
fn needs_most(args: &Args, setting: &mut Setting, family: &TapeFamily) -> Result<Section> {
    let mut most: Option<(f64, Section, String)> = None;
    for member in family.members() {
        let section = args.section.renamed(member.section.clone());
        let recess = setting.recess(&args.section, section.clone())?;
        let bed = setting.bed(&recess);
        let job = Job {
            assurance: None,
            ..setting.job(&bed)
        };
        let width = tautspan::recommend_width(&job).unrounded_bridge_mm;
        let width = width.unwrap_or(f64::INFINITY);
        if most.as_ref().is_none_or(|m| width > m.0) {
            most = Some((width, section, member.words.clone()));
        }
    }
    let (_, section, words) =
        most.ok_or_else(|| anyhow!("no shape fits the tape readings, but one was expected"))?;
    setting.assumptions.push(format!(
        "{} shapes fit the tape readings; the card is for the one that needs most: {words}",
        family.members().len()
    ));
    Ok(section)
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
