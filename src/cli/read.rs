//! `read`: what is understood from notes.

mod marks;
mod show;

use super::{
    args::{self, Common},
    errors::Failure,
    screen::Screen,
    setup::Setup,
};
use crate::{
    corrections, json,
    notes::{self, Refused},
};
use padlore_core::{
    note,
    reading::{correction, facts::Facts, read, unread},
};
use serde::Serialize;
use std::process::ExitCode;

#[derive(Serialize)]
struct Answer {
    schema: u32,
    visits: Vec<json::facts::Visit>,
    refused: Vec<Refused>,
    /// What could not be understood in notes that were read.
    problems: Vec<Refused>,
}

/// Runs `read`.
///
/// # Errors
/// Where the shop's settings or tables cannot be read, or the output takes no more.
pub fn run(common: &Common, own: &args::Read, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let setup = Setup::of_notes(common, &own.files)?;
    let corrected = setup.corrections();
    let conventions = setup.shop.conventions(setup.today);
    let (mut visits, mut refused, mut problems) = (Vec::new(), Vec::new(), Vec::new());
    let tell = |problem: &Refused| {
        let Refused { file, line, reason } = problem;
        eprintln!("padlore: {file}:{line}: {reason}");
    };
    corrected.problems.iter().for_each(tell);
    problems.extend(corrected.problems.iter().cloned());
    for path in &own.files {
        let told = |line: usize, reason: String| Refused {
            file: path.display().to_string(),
            line,
            reason,
        };
        let text = match notes::text(path) {
            Ok(text) => text,
            Err(error) => {
                eprintln!("padlore: {}:{}: {error}", path.display(), error.line());
                refused.push(told(error.line(), error.to_string()));
                continue;
            }
        };
        let note = note::parse(&text, &notes::stem(path), &conventions);
        for problem in &note.problems {
            eprintln!(
                "padlore: {}:{}: {}",
                path.display(),
                problem.line,
                problem.fault
            );
            problems.push(told(problem.line, problem.fault.to_string()));
        }
        let (mut visited, troubled): (Vec<Facts>, Vec<_>) = note
            .visits
            .iter()
            .map(|visit| {
                read::reading(&text, visit, setup.knowledge(), |reading| {
                    (read::facts(reading), unread::troubled(reading))
                })
            })
            .unzip();
        let mut looked_at = Vec::new();
        if let Some(name) = setup.name_below(path) {
            let own = corrected.of_note(&name);
            let applied = correction::apply(&text, &mut visited, &own, setup.knowledge());
            let left = applied.problems.iter().map(corrections::told);
            problems.extend(left.inspect(tell));
            looked_at = applied.looked_at;
        }
        for (facts, troubled) in visited.iter().zip(&troubled) {
            let left = unread::left(troubled, facts, &looked_at);
            if common.json {
                let mut visit = json::facts::Visit::of(&text, facts);
                visit.unread = left
                    .iter()
                    .map(|span| json::facts::Place {
                        text: show::sentence(&text, facts, span),
                        ..json::facts::Place::of(&text, span)
                    })
                    .collect();
                visits.push(visit);
            } else {
                show::visit(screen, &path.display().to_string(), &text, facts, &left)?;
            }
        }
    }
    // Some notes refused beside others that were read is no failure: they are listed.
    let code = if refused.len() == own.files.len() {
        ExitCode::FAILURE
    } else {
        ExitCode::SUCCESS
    };
    if common.json {
        screen.json(&Answer {
            schema: json::SCHEMA,
            visits,
            refused,
            problems,
        })?;
    }
    Ok(code)
}
