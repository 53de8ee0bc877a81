//! `tautspan man`: the manual pages, one a command.

use super::files::{Draft, write_noted};
use super::{Cli, Outcome};
use anyhow::Result;
use clap::CommandFactory;
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Folder to write to, such as one named man1 in a folder of MANPATH
    #[arg(value_name = "DIR", default_value = "man1")]
    folder: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let mut whole = Cli::command();
    whole.build();
    let mut drafts = Vec::new();
    for command in std::iter::once(&whole).chain(whole.get_subcommands()) {
        let name = match command.get_name() {
            "help" => continue,
            "tautspan" => "tautspan".to_owned(),
            name => format!("tautspan-{name}"),
        };
        let mut page = Vec::new();
        clap_mangen::Man::new(command.clone()).render(&mut page)?;
        drafts.push(Draft::new(args.folder.join(format!("{name}.1")), page));
    }
    write_noted(&drafts, args.force)?;
    Ok(Outcome::Acceptable)
}
