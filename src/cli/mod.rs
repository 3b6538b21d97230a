//! The command line: one file a command.
//!
//! [`run`] turns arguments into one call and its result into an exit code. Every command writes to the [`Screen`] it is
//! given, so that a broken pipe is no error and tests see what a person sees.

mod args;
mod correct;
mod errors;
mod find;
mod ingest;
mod labelled;
mod learn;
mod manual;
mod read;
mod screen;
mod setup;
mod suspect;
mod vet;

pub use screen::Screen;

use args::{Arguments, Command};
use clap::Parser;
use errors::Failure;
use std::{ffi::OsString, process::ExitCode};

/// Runs the program with these arguments.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(args::with_minus_words(arguments)) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version go to standard output and are no error; wrong usage is 2.
            let _ = error.print();
            return if error.use_stderr() {
                ExitCode::from(2)
            } else {
                ExitCode::SUCCESS
            };
        }
    };
    let mut screen = Screen::standard();
    match command(&arguments, &mut screen)
        .and_then(|code| screen.flush().map(|()| code).map_err(Failure::from))
    {
        Ok(code) => code,
        Err(failure) if failure.is_broken_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("padlore: {failure}");
            failure.code()
        }
    }
}

fn command(arguments: &Arguments, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let common = &arguments.common;
    match &arguments.command {
        Command::Ingest(own) => ingest::run(common, own, screen),
        Command::Find(own) => find::run(common, own, screen),
        Command::Read(own) => read::run(common, own, screen),
        Command::Correct(own) => correct::run(common, own, screen),
        Command::Completions(own) => manual::completions(own, screen),
        Command::Man(_) => manual::page(screen),
        Command::Learn(own) => learn::run(common, own, screen),
        Command::Suspect(own) => suspect::run(common, own, screen),
        Command::Vet(own) => vet::run(common, own, screen),
    }
}
