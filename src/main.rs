//! The program: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    padlore::cli::run(std::env::args_os())
}
