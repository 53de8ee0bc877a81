//! `tautspan lesson`: the lesson sheet.

use super::draw::file_stem;
use super::files::{Draft, write_all};
use super::handling::HandlingArgs;
use super::input::{FilmArgs, SectionArgs, SplitArgs, Tell};
use super::named::one;
use super::{Outcome, note};
use anyhow::{Result, bail};
use std::path::PathBuf;
use tautspan::advice::Notice;
use tautspan::card::{LessonSpec, PaperSize};
use tautspan::say::{Say, Voice};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan lesson door.csv --film wrap-cast
  tautspan lesson door.csv --film wrap-cast --frames 12 --paper letter";

/// Most frames of a series.
const MOST: usize = 200;

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) section: SectionArgs,
    #[command(flatten)]
    film: FilmArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    #[command(flatten)]
    split: SplitArgs,
    /// Pictures of the lay-down, step by step, as a PNG series for slides; 0 for none
    #[arg(long, value_name = "N", default_value_t = 8)]
    frames: usize,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperSize,
    /// Folder to write to
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    if args.frames == 1 || args.frames > MOST {
        bail!(
            "`--frames` is {}, but 0, or 2 to {MOST} were expected\n\nhint: the first frame shows the film bridged, the last one down",
            args.frames
        );
    }
    let parts: [&dyn Tell; 3] = [&args.film, &args.handling, &args.split];
    let question = args.section.question(&parts, args.force)?;
    let (setting, section) = one(question.with_open_width()?)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let spec = LessonSpec {
        paper: args.paper,
        frames: args.frames,
        units: question.print_units(),
    };
    let lesson = tautspan::card::lesson(&setting.job(&bed), &spec)?;
    let stem = file_stem(recess.section().name());
    let mut drafts = vec![Draft {
        path: args.out.join(format!("{stem}-lesson.pdf")),
        bytes: lesson.pdf,
    }];
    for (k, frame) in lesson.frames.into_iter().enumerate() {
        let name = format!("{stem}-lesson-frame-{:03}.png", k + 1);
        drafts.push(Draft {
            path: args.out.join(name),
            bytes: frame.picture()?.png.unwrap_or_default(),
        });
    }
    write_all(&drafts, args.force)?;
    for draft in &drafts {
        note(&format!("wrote {}", draft.path.display()));
    }
    for left_out in &lesson.notes {
        note(&format!("note: {left_out}"));
    }
    let scatter = tautspan::advice::Scatter::of(&setting.job(&bed), None);
    if let Some(rough) = scatter.as_ref().filter(|s| s.too_rough) {
        let rough = Notice::Scatter(rough.clone());
        let voice = Voice::terminal(question.print_units());
        note(&format!("note: {}", rough.say(voice)));
    }
    Ok(Outcome::unless_rough(scatter.as_ref(), true))
}
