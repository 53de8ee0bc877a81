//! `tautspan draw`: pictures.

use super::Outcome;
use super::files::{Draft, FolderArgs, write_noted};
use super::handling::LayArgs;
use super::input::OrderArgs;
use super::named::{Files, one};
use super::outcome::OutcomeArgs;
use anyhow::{Result, bail};
use std::path::{Path, PathBuf};
use tautspan::advice::{EndReport, Setting};
use tautspan::ends::LaidEnd;
use tautspan::figure::{
    Drawing, EndLook, FigureError, Look, Paper, elongation_along, end_above, end_fronts,
    end_rulers, film_on_panel, film_source_bars, laying_stages, peak_against_width,
    raw_against_read, reading_costs, stretched_ruler, tension_along,
};
use tautspan::laydown::OrderName;
use tautspan::say::{Say, Voice};
use tautspan::{Bonds, Check, Job, Order, Question, Side};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan draw door.csv --film wrap-cast                     at the recommended width, into out/
  tautspan draw door.csv --film wrap-cast --bridge 150 --figure film --out slides
  tautspan draw door.csv --film wrap-cast --order \"press 0, spread right, spread left\"
  tautspan draw door.csv --film print-cast --figure ruler     where panel millimetres come from, 1:1";

/// Names of the pictures, as in the file names.
const FIGURES: [&str; 12] = [
    "film",
    "elongation",
    "width",
    "stages",
    "source",
    "tension",
    "ruler",
    "reading",
    "costs",
    "end",
    "end-stages",
    "end-artwork",
];

/// Those that show one laying and that every class can fill.
pub(crate) const OF_ONE: [&str; 4] = ["film", "elongation", "stages", "source"];

/// Where the pictures of a command go, if it is to draw any.
#[derive(Debug, clap::Args)]
pub(crate) struct SaveArgs {
    /// Write pictures of the answer, SVG and PNG, into this folder
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Overwrite existing files
    #[arg(long)]
    pub(crate) force: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    outcome: OutcomeArgs,
    #[command(flatten)]
    order: OrderArgs,
    /// Which picture: film, elongation, width, stages, source, tension, ruler (SVG, true to
    /// scale), reading (points as measured under the section), costs (how much wider for 1 mm of
    /// each reading), end (a closed end from above), end-stages, end-artwork (a grid on flat film
    /// and laid); repeat for several [default:
    /// the first five, with --order but for width]
    #[arg(long, value_name = "NAME")]
    figure: Vec<String>,
    /// Size: a slide (1600 x 900) or the width of an A4 page
    #[arg(long, value_enum, default_value = "slide")]
    paper: Paper,
    #[command(flatten)]
    folder: FolderArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    if let Some(name) = args.figure.iter().find(|f| !FIGURES.contains(&f.as_str())) {
        bail!(
            "`--figure {name}` was found, but one of {} was expected",
            FIGURES.join(", ")
        );
    }
    let question = (args.lay).question(&[&args.outcome, &args.order], args.folder.force)?;
    if !question.has_width() {
        question.with_open_width()?;
    }
    let (setting, section) = one(&question)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let job = setting.job(&bed);
    let checks = match setting.bonds(&bed)? {
        _ if question.order.is_some() => vec![in_order(&setting, &job)?],
        Some(bonds) => [Order::DeepestFirst, Order::EdgeFirst]
            .into_iter()
            .map(|order| job.check(bonds, order, false))
            .collect::<Result<Vec<_>, _>>()?,
        None => tautspan::advice::recommend_width(&job).orders,
    };
    let mut names: Vec<&str> = args.figure.iter().map(String::as_str).collect();
    if names.is_empty() && question.order.is_some() {
        names.extend(OF_ONE);
    }
    let look = look(args.paper, &question);
    let mut files = pictures(&job, &checks, &names, look)?;
    if names.contains(&"reading") {
        files.push(("reading", raw_against_read(&recess, look)));
    }
    if names.contains(&"costs") {
        let advice = tautspan::advice::recommend_width(&job);
        files.push(("costs", reading_costs(&advice, look)?));
    }
    if let Some(first) = checks.first() {
        let bonds = Bonds::with_reach(&recess, first.reach_left_mm, first.reach_right_mm);
        let order = first.order.name.order(Side::Right);
        let reports = job.ends_laid(bonds, order, false);
        files.extend(ends(&job, &reports, &names, look)?);
    }
    save(
        &args.folder.out,
        recess.section().name(),
        &files,
        args.folder.force,
    )?;
    Ok(Outcome::Acceptable)
}

/// Draws one picture of an end.
type Round = fn(&EndLook<'_>, Look) -> Result<Drawing, FigureError>;

/// Draws the pictures of the first closed end that can be laid: all that are named, or, where
/// none is, the one from above.
pub(crate) fn ends(
    job: &Job<'_>,
    reports: &[(EndReport, Option<LaidEnd>)],
    names: &[&str],
    look: Look,
) -> Result<Vec<(&'static str, Drawing)>> {
    let all = [
        ("end", end_above as Round),
        ("end-stages", end_fronts),
        ("end-artwork", end_rulers),
    ];
    let named = |name: &str| names.contains(&name) || (names.is_empty() && name == "end");
    let wanted: Vec<_> = all.into_iter().filter(|(name, _)| named(name)).collect();
    if wanted.is_empty() || (names.is_empty() && job.ends.is_none()) {
        return Ok(Vec::new());
    }
    let laid = reports
        .iter()
        .find_map(|(end, laid)| Some((end, laid.as_ref()?)));
    let Some((end, laid)) = laid else {
        let why = reports.iter().find_map(|(end, _)| end.unknown.as_ref());
        let why = why.map_or_else(
            || "no end is closed".to_owned(),
            |w| w.say(Voice::terminal(look.units)),
        );
        bail!(
            "there is no picture of an end: {why}\n\nhint: say how it ends, as in `--end-left rounded`"
        );
    };
    let shown = EndLook::of(job, end, laid);
    let drawn = wanted.into_iter();
    drawn
        .map(|(name, draw)| Ok((name, draw(&shown, look)?)))
        .collect()
}

/// How pictures of a question look.
pub(crate) fn look(paper: Paper, question: &Question) -> Look {
    let units = question.print_units();
    Look { paper, units }
}

/// How they look where no paper is asked for.
pub(crate) fn slide(question: &Question) -> Look {
    look(Paper::Slide, question)
}

/// The order asked for, at the width asked for, else at the recommended one.
fn in_order(setting: &Setting, job: &Job<'_>) -> Result<Check> {
    let (order, steps) = setting.order(&Files)?;
    let own_width = order == Order::MiddlePush || order.feeds_in();
    if !setting.question.has_width()
        && !own_width
        && let Some(best) = tautspan::advice::recommend_width(job).recommended
    {
        let recess = job.bed.recess();
        let bonds = Bonds::with_reach(recess, best.reach_left_mm, best.reach_right_mm);
        return Ok(match &steps {
            Some(steps) => job.check_steps(bonds, steps, true)?,
            None => job.check(bonds, order, true)?,
        });
    }
    Ok(setting.check(job, &Files, true)?)
}

/// Draws one picture of lay-downs.
type Along = fn(&[Check], Look) -> Result<Drawing, FigureError>;

/// Draws the pictures asked for (if none is named, those that every class can fill), for the
/// lay-downs given.
pub(crate) fn pictures(
    job: &Job<'_>,
    checks: &[Check],
    names: &[&str],
    look: Look,
) -> Result<Vec<(&'static str, Drawing)>> {
    let wanted = |name: &str| names.is_empty() || names.contains(&name);
    let recess = job.bed.recess();
    let mut full = Vec::with_capacity(checks.len());
    for check in checks {
        // The same lay-down again, with its profile.
        let order = match check.order.name {
            OrderName::EdgeFirst => Order::EdgeFirst,
            OrderName::MiddlePush => Order::MiddlePush,
            OrderName::OneWay | OrderName::Custom => {
                full.push(check.clone());
                continue;
            }
            OrderName::DeepestFirst => Order::DeepestFirst,
        };
        let bonds = Bonds::with_reach(recess, check.reach_left_mm, check.reach_right_mm);
        full.push(job.check(bonds, order, true)?);
    }
    let mut files = Vec::new();
    // Two sources fit one under the other: first those that are within the limit.
    let mut two = full.clone();
    two.sort_by_key(|c| !c.within_limit);
    two.truncate(2);
    for (name, asked, draw, checks) in [
        ("film", wanted("film"), film_on_panel as Along, &full),
        ("elongation", wanted("elongation"), elongation_along, &full),
        ("stages", wanted("stages"), laying_stages, &full),
        ("source", wanted("source"), film_source_bars, &two),
        ("tension", names.contains(&"tension"), tension_along, &full),
    ] {
        if asked && !full.is_empty() {
            files.push((name, draw(checks, look)?));
        }
    }
    if names.contains(&"ruler") {
        // One lay-down has one ruler: the first within the limit, or the first of all.
        let drawn = full.iter().filter(|c| c.source.is_some());
        let Some(one) = drawn.min_by_key(|c| !c.within_limit) else {
            bail!(
                "no order has a finite peak, so there is no ruler\n\nhint: give the tool's `--pad`"
            );
        };
        files.push(("ruler", stretched_ruler(one, look.units)?));
    }
    if wanted("width") {
        files.push(("width", peak_against_width(&tautspan::sweep(job), look)?));
    }
    Ok(files)
}

/// Writes pictures as `<section>-<figure>.svg` and `.png`.
pub(crate) fn save(
    folder: &Path,
    section: &str,
    files: &[(&str, Drawing)],
    force: bool,
) -> Result<()> {
    let safe = file_stem(section);
    let mut drafts = Vec::new();
    for (name, drawing) in files {
        let picture = drawing.picture()?;
        let path = |end: &str| folder.join(format!("{safe}-{name}.{end}"));
        drafts.push(Draft::new(path("svg"), picture.svg));
        // A ruler is SVG alone: pixels have no scale.
        drafts.extend(picture.png.map(|bytes| Draft::new(path("png"), bytes)));
    }
    write_noted(&drafts, force)
}

/// A section's name may hold anything; a file's name keeps what every system allows.
pub(crate) fn file_stem(section: &str) -> String {
    let allowed = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    section
        .chars()
        .map(|c| if allowed(c) { c } else { '-' })
        .collect()
}
