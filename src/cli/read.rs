//! `read`: what is understood from notes.

use super::{
    args::{self, Common},
    errors::Failure,
    screen::{Screen, Tone, toned},
    setup::Setup,
};
use crate::{
    corrections, json,
    notes::{self, Refused},
};
use padlore_core::{
    note,
    reading::{self, correction, facts::Facts},
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
        let mut read: Vec<Facts> = note
            .visits
            .iter()
            .map(|visit| reading::read(&text, visit, setup.knowledge()))
            .collect();
        if let Some(name) = setup.name_below(path) {
            let own = corrected.of_note(&name);
            let applied = correction::apply(&text, &mut read, &own, setup.knowledge());
            let left = applied.problems.iter().map(corrections::told);
            problems.extend(left.inspect(tell));
        }
        for facts in read {
            if common.json {
                visits.push(json::facts::Visit::of(&text, &facts));
            } else {
                show(screen, &path.display().to_string(), &text, &facts)?;
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

fn show(screen: &mut Screen, file: &str, text: &str, facts: &Facts) -> Result<(), Failure> {
    let date = facts
        .date
        .map_or_else(|| "no date".to_owned(), |d| d.to_string());
    let title = format!("{}, {date}", facts.site.as_deref().unwrap_or("no site"));
    screen.line(&toned(Tone::Heading, &title))?;
    let visit = json::facts::Visit::of(text, facts);
    let value = serde_json::to_value(&visit)?;
    for list in [
        "pieces", "symptoms", "settings", "readings", "causes", "fixes",
    ] {
        for fact in value
            .get(list)
            .and_then(|v| v.as_array())
            .into_iter()
            .flatten()
        {
            let get = |key: &str| {
                fact.get(key)
                    .map(|v| v.as_str().map_or_else(|| v.to_string(), str::to_owned))
                    .unwrap_or_default()
            };
            let what = match list {
                "pieces" => get("kind"),
                "symptoms" => format!("{} {}", get("status"), get("id")),
                "settings" => format!(
                    "{} {} {} {}",
                    get("when"),
                    get("id"),
                    get("value"),
                    get("unit")
                ),
                "readings" => format!("{} {} {}", get("id"), get("value"), get("unit")),
                "causes" => format!("{} {}", get("status"), get("id")),
                _ => format!("{} {} {}", get("status"), get("action"), get("part")),
            };
            let place = format!("{file}:{}", get("line"));
            screen.line(&format!(
                "  {list:<9} {what}  {} {}",
                toned(Tone::Mark, &format!("\u{201c}{}\u{201d}", get("text"))),
                toned(Tone::Faint, &place)
            ))?;
        }
    }
    screen.line(&format!(
        "  outcome   {}",
        visit.outcome.as_deref().unwrap_or("not said")
    ))?;
    screen.line("")?;
    Ok(())
}
