//! `tautspan serve`: the page from the native engine, over HTTP.

use super::{Outcome, note, out};
use anyhow::{Context, Result};
use std::net::SocketAddr;

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan serve                           on this machine only: http://127.0.0.1:8474/
  tautspan serve --listen 127.0.0.1:0      on any free port, which is printed
  tautspan serve --listen 0.0.0.0:8474     for phones in the same room, too

It keeps nothing, reads and writes no file, and asks no other host for anything. There is no
password and no encryption: beyond this machine, use it in a network you trust. Stop it with
Ctrl-C.";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Address and port to listen on; loopback, unless you say otherwise
    #[arg(long, value_name = "ADDR:PORT", default_value = "127.0.0.1:8474")]
    listen: SocketAddr,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    if !args.listen.ip().is_loopback() {
        note(
            "anybody who reaches this machine's address can use the page: no password, no encryption",
        );
    }
    tautspan::page::serve(args.listen, |address| {
        let _ = out(&format!("http://{address}/\n"));
    })
    .with_context(|| {
        format!(
            "`{}` cannot be listened on\n\nhint: another program may have the port; `--listen 127.0.0.1:0` takes a free one",
            args.listen
        )
    })?;
    Ok(Outcome::Acceptable)
}
