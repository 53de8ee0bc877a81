//! `tautspan lesson`: the lesson sheet.

use super::draw::file_stem;
use super::files::{FolderArgs, write_noted};
use super::handling::LayArgs;
use super::named::one;
use super::{Outcome, note};
use anyhow::{Result, bail};
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
    pub(super) lay: LayArgs,
    /// Pictures of the lay-down, step by step, as a PNG series for slides; 0 for none
    #[arg(long, value_name = "N", default_value_t = 8)]
    frames: usize,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperSize,
    #[command(flatten)]
    folder: FolderArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    if args.frames == 1 || args.frames > MOST {
        bail!(
            "`--frames` is {}, but 0, or 2 to {MOST} were expected\n\nhint: the first frame shows the film bridged, the last one down",
            args.frames
        );
    }
    let question = args.lay.question(&[], args.folder.force)?;
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
    let mut drafts = vec![args.folder.draft(&format!("{stem}-lesson.pdf"), lesson.pdf)];
    for (k, frame) in lesson.frames.into_iter().enumerate() {
        let name = format!("{stem}-lesson-frame-{:03}.png", k + 1);
        let png = frame.picture()?.png.unwrap_or_default();
        drafts.push(args.folder.draft(&name, png));
    }
    write_noted(&drafts, args.folder.force)?;
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
