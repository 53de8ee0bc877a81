//! `tautspan demo`: the recesses of the Fernhill travelling library.

use super::files::{Draft, write_all};
use super::{Outcome, out};
use anyhow::Result;
use std::path::PathBuf;
use tautspan::DEMO_RECESSES;

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Folder to write to
    #[arg(value_name = "DIR", default_value = "fernhill")]
    folder: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let drafts: Vec<Draft> = DEMO_RECESSES
        .iter()
        .map(|(name, text)| Draft::new(args.folder.join(format!("{name}.csv")), *text))
        .collect();
    write_all(&drafts, args.force)?;
    let mut text = String::new();
    for draft in &drafts {
        text.push_str(&format!("{}\n", draft.path.display()));
    }
    text.push_str(&format!(
        "\nFive invented recesses of an invented van. Try:\n  tautspan recommend {} --film wrap-cast\n",
        args.folder.join("deep-channel.csv").display()
    ));
    out(&text)
}
