//! The command-line program: see `tautspan --help`.

mod cli;

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let cli = cli::Cli::parse();
    match cli::run(&cli) {
        Ok(cli::Outcome::Acceptable) => ExitCode::SUCCESS,
        Ok(cli::Outcome::NotAcceptable) => ExitCode::from(1),
        Ok(cli::Outcome::TooRough) => ExitCode::from(2),
        Err(error) => {
            // A reader that has closed the pipe wants no more, and that is no fault.
            if cli::is_closed_pipe(&error) {
                return ExitCode::SUCCESS;
            }
            let _ = writeln!(std::io::stderr(), "error: {}", cli::told(&cli, &error));
            ExitCode::from(2)
        }
    }
}
