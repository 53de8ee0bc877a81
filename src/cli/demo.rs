//! `tautspan demo`: the recesses of the Fernhill travelling library.

use super::files::{Draft, write_all};
use super::{Outcome, out};
use anyhow::Result;
use std::path::PathBuf;
use tautspan::{DEMO_HEAT, DEMO_RECESSES};

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
        .chain([&DEMO_HEAT])
        .map(|(name, text)| Draft::new(args.folder.join(format!("{name}.csv")), *text))
        .collect();
    write_all(&drafts, args.force)?;
    let mut text = String::new();
    for draft in &drafts {
        text.push_str(&format!("{}\n", draft.path.display()));
    }
    text.push_str(&format!(
        "\nFive invented recesses of an invented van, and a record of post-heating. Try:\n  tautspan recommend {} --film wrap-cast\n  tautspan heatlog {} --film wrap-cast --length 900\n",
        args.folder.join("deep-channel.csv").display(),
        args.folder.join("sliding-door-heat.csv").display()
    ));
    out(&text)
}
