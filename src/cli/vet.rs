//! `vet`: what is wrong with the knowledge tables.

use super::{
    args::{self, Common},
    errors::Failure,
    screen::Screen,
    setup::Setup,
};
use crate::json;
use serde::Serialize;
use std::process::ExitCode;

#[derive(Serialize)]
struct Answer {
    schema: u32,
    problems: Vec<Problem>,
}

#[derive(Serialize)]
struct Problem {
    file: String,
    line: usize,
    text: String,
}

/// Runs `vet`.
///
/// # Errors
/// Where the tables cannot be opened or the output takes no more.
pub fn run(common: &Common, _own: &args::Vet, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let setup = Setup::new(common)?;
    let problems: Vec<Problem> = setup
        .knowledge()
        .problems
        .iter()
        .map(|p| Problem {
            file: p.file.clone(),
            line: p.line,
            text: p.text.clone(),
        })
        .collect();
    let clean = problems.is_empty();
    if common.json {
        screen.json(&Answer {
            schema: json::SCHEMA,
            problems,
        })?;
    } else if clean {
        screen.line("The tables are in order.")?;
    } else {
        for problem in &problems {
            screen.filled(
                "",
                &format!("{}:{}: {}", problem.file, problem.line, problem.text),
                4,
            )?;
        }
    }
    Ok(if clean {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
