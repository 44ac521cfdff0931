//! The command-line program: parse, run, write, exit.

mod cli;
mod commands;
mod ending;
mod laying_out;
mod naming;
mod opening;
mod option_files;
mod terminal;
mod writing;

use std::process::ExitCode;

fn main() -> ExitCode {
    commands::run(cli::parse().command)
}
