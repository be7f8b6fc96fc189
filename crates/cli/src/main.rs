//! The command line: parses arguments, calls one function per command, returns the exit status.

mod args;
mod ask;
mod commands;
mod load;
mod show;

use args::Args;
use clap::Parser;
use std::process::ExitCode;

/// Nothing worse than a doubt, and nothing undecided that guards a danger or breach.
const CLEAN: u8 = 0;
/// Otherwise.
const FOUND: u8 = 1;
/// Could not read or run.
const FAILED: u8 = 2;

fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { FAILED } else { CLEAN });
        }
    };
    let json = args.json;
    match commands::run(args) {
        Ok(status) => ExitCode::from(status),
        Err(failure) => {
            show::failure(&failure, json);
            ExitCode::from(FAILED)
        }
    }
}
