//! `tautspan page`: the page as a file or a folder.

use super::files::{Draft, write_all};
use super::{Outcome, out};
use anyhow::Result;
use std::path::PathBuf;

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan page                       out/tautspan.html: send it, or open it from disk
  tautspan page --out slides --force  into another folder, over what is there
  tautspan page --site site           a folder for any web host; works offline after a visit

The file holds the whole engine, the demo catalogue and the font, and asks the network for
nothing. Some phones run no script from a file on the phone itself: for them put the folder
of --site on a web host, or use `tautspan serve` in the same room.";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Folder to write tautspan.html to
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Write a folder for a static web host instead of the one file
    #[arg(long, value_name = "DIR", conflicts_with = "out")]
    site: Option<PathBuf>,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let drafts = match &args.site {
        Some(folder) => tautspan::page::page_folder()
            .into_iter()
            .map(|file| Draft::new(folder.join(file.name), file.bytes))
            .collect(),
        None => vec![Draft::new(
            args.out.join("tautspan.html"),
            tautspan::page::page_file(),
        )],
    };
    write_all(&drafts, args.force)?;
    let lines = drafts
        .iter()
        .map(|d| format!("{}  {} kB\n", d.path.display(), d.bytes.len() / 1000));
    out(&lines.collect::<String>())
}
