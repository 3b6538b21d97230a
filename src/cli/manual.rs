//! `completions` and `man`: made from the same definition as the parser.

use super::{
    args::{self, Arguments},
    errors::Failure,
    screen::Screen,
};
use clap::CommandFactory;
use std::process::ExitCode;

/// Prints completions for a shell.
///
/// # Errors
/// Where the output takes no more.
pub fn completions(own: &args::Completions, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let mut out = Vec::new();
    clap_complete::generate(own.shell, &mut Arguments::command(), "padlore", &mut out);
    screen.bytes(&out)?;
    Ok(ExitCode::SUCCESS)
}

/// Prints the manual page in roff.
///
/// # Errors
/// Where the output takes no more.
pub fn page(screen: &mut Screen) -> Result<ExitCode, Failure> {
    let mut out = Vec::new();
    clap_mangen::Man::new(Arguments::command()).render(&mut out)?;
    screen.bytes(&out)?;
    Ok(ExitCode::SUCCESS)
}
