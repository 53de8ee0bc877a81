//! The commands, one file each; what they share is in `input`, `words`, `files` and
//! `progress`.

mod ask;
mod card;
mod chart;
mod check;
mod compare;
mod demo;
mod draw;
mod ends;
mod files;
mod films;
mod handling;
mod heat_append;
mod heatlog;
mod input;
mod job;
mod length;
mod lesson;
mod man;
mod named;
mod new;
mod options;
mod order;
mod outcome;
mod own;
mod page;
mod progress;
mod recommend;
mod section;
mod serve;
mod sweep;
mod trial;
mod trial_end;
mod trial_press;
mod words;

use anyhow::Result;
use clap::{CommandFactory, Parser, Subcommand};
use std::io::Write;
use tautspan::advice::{CompareError, QuestionError};
use tautspan::fault::Refused;
use tautspan::laydown::{BondError, LayError};
use tautspan::say::Voice;
use tautspan::section::RecessError;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Done, and the answer is acceptable where the command judges.
    Acceptable,
    /// Done, and the answer is not acceptable.
    NotAcceptable,
    /// The readings are too rough to judge.
    TooRough,
}

impl Outcome {
    /// Acceptable or not, unless the readings are too rough to say.
    fn unless_rough(scatter: Option<&tautspan::advice::Scatter>, acceptable: bool) -> Self {
        if scatter.is_some_and(|s| s.too_rough) {
            return Self::TooRough;
        }
        Self::of(acceptable)
    }

    fn of(acceptable: bool) -> Self {
        words::when(acceptable, Self::Acceptable, Self::NotAcceptable)
    }
}

/// How far self-adhesive film is stretched over a recess, and the bridge width that keeps
/// it within its limit.
///
/// A section of the recess goes in (a CSV of points, a shape, or a few readings with tape
/// and rule); out comes how wide to leave the film unbonded across it, in which order to
/// press, and where the tape goes.
#[derive(Debug, Parser)]
#[command(
    name = "tautspan",
    version,
    after_help = "Start here:\n  tautspan demo                                   write the demo recesses to ./fernhill\n  tautspan recommend fernhill/deep-channel.csv --film wrap-cast\n  tautspan recommend --tape \"mouth=80,depth=25,tape=104\" --film wrap-cast\n\nData goes to stdout, the rest to stderr. Exit 0: done and acceptable; 1: done, not\nacceptable (sweep, draw, lesson and section show, and judge nothing: 0); 2: bad input or usage, or readings too rough to answer."
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// The main job: bridge width, order and tape positions for a section and a film class
    #[command(after_help = recommend::EXAMPLES)]
    Recommend(recommend::Args),
    /// One lay-down: the elongation for a given bridge and order
    #[command(after_help = check::EXAMPLES)]
    Check(check::Args),
    /// Peak elongation against bridge width, all orders, as a table
    #[command(after_help = sweep::EXAMPLES)]
    Sweep(sweep::Args),
    /// Film classes side by side on one section, in every order: width, peak, margin, cost;
    /// and what to do if none does
    #[command(after_help = compare::EXAMPLES)]
    Compare(compare::Args),
    /// The order of pressing with the lowest peak, as numbered steps
    #[command(after_help = order::EXAMPLES)]
    Order(order::Args),
    /// What the program sees in a section: lips, foot, depth, plain rule; convert to CSV
    #[command(after_help = section::EXAMPLES)]
    Section(section::Args),
    /// The record of post-heating: infrared readings corrected, pass or fail by place, gaps;
    /// and its next line
    #[command(after_help = heatlog::EXAMPLES)]
    Heatlog(heatlog::Args),
    /// List the film classes, show one, validate a file, or write one of your own
    #[command(after_help = new::FILM_EXAMPLES)]
    Films(films::Args<tautspan::FilmClass>),
    /// List the tools, show one, validate a file, or write one of your own
    #[command(after_help = new::TOOL_EXAMPLES)]
    Tools(films::Args<tautspan::Tool>),
    /// What trial pieces say: friction and limit of your own, from marks and what became of them
    #[command(after_help = trial::EXAMPLES)]
    Trial(trial::Args),
    /// Pictures: film on the panel, elongation and tension along it, peak against width, stages,
    /// where the film came from, and a stretched ruler for artwork
    #[command(after_help = draw::EXAMPLES)]
    Draw(draw::Args),
    /// Job card for the installer: one page, HTML and PDF
    #[command(after_help = card::EXAMPLES)]
    Card(card::Args),
    /// Chart for the bay wall: depth against mouth, the bridge width in each cell
    #[command(after_help = chart::EXAMPLES)]
    Chart(chart::Args),
    /// Lesson sheet: orders and widths, the curve, warmth, a 1:1 template, frames for slides
    #[command(after_help = lesson::EXAMPLES)]
    Lesson(lesson::Args),
    /// The page with the engine inside: one file that works without a network, or a folder
    #[command(after_help = page::EXAMPLES)]
    Page(page::Args),
    /// The same page from this program over HTTP, on this machine unless told otherwise
    #[command(after_help = serve::EXAMPLES)]
    Serve(serve::Args),
    /// Write the demo recesses of the Fernhill travelling library (an invented van)
    Demo(demo::Args),
    /// Print the completion script of a shell
    Completions {
        /// bash, elvish, fish, powershell or zsh
        shell: clap_complete::Shell,
    },
    /// Write the manual pages, one a command
    Man(man::Args),
}

/// Runs a command.
pub(crate) fn run(cli: &Cli) -> Result<Outcome> {
    match (&cli.command, cli.command.work()) {
        (Command::Chart(_), _) => progress::start("filling in the chart"),
        (_, Some((words, _))) => progress::start(words),
        _ => {}
    }
    let outcome = answer(cli);
    progress::stop();
    outcome
}

fn answer(cli: &Cli) -> Result<Outcome> {
    match &cli.command {
        Command::Recommend(args) => recommend::run(args),
        Command::Check(args) => check::run(args),
        Command::Sweep(args) => sweep::run(args),
        Command::Compare(args) => compare::run(args),
        Command::Order(args) => order::run(args),
        Command::Section(args) => section::run(args),
        Command::Heatlog(args) => heatlog::run(args),
        Command::Films(args) => films::films(args),
        Command::Tools(args) => films::tools(args),
        Command::Trial(args) => trial::run(args),
        Command::Draw(args) => draw::run(args),
        Command::Card(args) => card::run(args),
        Command::Chart(args) => chart::run(args),
        Command::Lesson(args) => lesson::run(args),
        Command::Page(args) => page::run(args),
        Command::Serve(args) => serve::run(args),
        Command::Demo(args) => demo::run(args),
        Command::Man(args) => man::run(args),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Cli::command(), "tautspan", &mut script);
            out(&String::from_utf8_lossy(&script))
        }
    }
}

/// Prints to stdout.
fn out(text: &str) -> Result<Outcome> {
    progress::stop();
    let mut stdout = std::io::stdout().lock();
    stdout.write_all(text.as_bytes())?;
    stdout.flush()?;
    Ok(Outcome::Acceptable)
}

/// Prints a note to stderr.
fn note(text: &str) {
    progress::stop();
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// Prints an answer as JSON or in words.
fn out_as<T: serde::Serialize>(
    json: bool,
    answer: &T,
    text: impl Fn(&T) -> String,
) -> Result<Outcome> {
    if json {
        out_json(answer)
    } else {
        out(&text(answer))
    }
}

/// Prints an answer as JSON.
fn out_json(answer: &impl serde::Serialize) -> Result<Outcome> {
    let mut text = serde_json::to_string_pretty(answer)?;
    text.push('\n');
    out(&text)
}

impl Command {
    /// What a command that lays film is at while it takes its time, and its section.
    fn work(&self) -> Option<(&'static str, &input::SectionArgs)> {
        Some(match self {
            Self::Recommend(args) => ("looking for the bridge width", &args.lay.section),
            Self::Check(args) => ("laying the film", &args.lay.section),
            Self::Sweep(args) => ("laying the film at every width", &args.lay.section),
            Self::Compare(args) => ("comparing film classes", &args.section),
            Self::Order(args) => ("searching for the best order", &args.lay.section),
            Self::Section(args) => ("reading the section", &args.section),
            Self::Trial(args) => ("fitting the trial", &args.lay.section),
            Self::Draw(args) => ("drawing", &args.lay.section),
            Self::Card(args) => ("making the card", &args.lay.section),
            Self::Lesson(args) => ("making the lesson sheet", &args.lay.section),
            _ => return None,
        })
    }
}

/// An error in the words of a terminal.
pub(crate) fn told(cli: &Cli, error: &anyhow::Error) -> String {
    let units = match &cli.command {
        Command::Heatlog(args) => Some(args.units()),
        command => command.work().map(|(_, section)| section.units()),
    };
    let to = Voice::terminal(units.unwrap_or_default());
    let said = (error.downcast_ref().map(|e: &QuestionError| e.said(to)))
        .or_else(|| error.downcast_ref().map(|e: &Refused| e.said(to)))
        .or_else(|| error.downcast_ref().map(|e: &RecessError| e.said(to)))
        .or_else(|| error.downcast_ref().map(|e: &BondError| e.said(to)))
        .or_else(|| error.downcast_ref().map(|e: &LayError| e.said(to)))
        .or_else(|| error.downcast_ref().map(|e: &CompareError| e.said(to)));
    said.map_or_else(|| format!("{error:#}"), |said| said.to_string())
}

/// Was the error a reader that went away?
pub(crate) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .downcast_ref::<std::io::Error>()
        .is_some_and(|e| e.kind() == std::io::ErrorKind::BrokenPipe)
}
