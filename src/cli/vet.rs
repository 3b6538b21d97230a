//! `vet`: what is wrong with the knowledge tables, and what the notes say that the tables do not read.

use super::{
    args::{self, Common},
    errors::Failure,
    screen::{Screen, Tone, toned},
    setup::Setup,
};
use crate::{json, notes};
use padlore_core::{
    note,
    reading::{
        gaps::{Gap, Gaps},
        read,
    },
};
use serde::Serialize;
use std::{path::Path, process::ExitCode};

#[derive(Serialize)]
struct Answer {
    schema: u32,
    problems: Vec<Problem>,
    /// What nothing in the tables reads, where there are notes.
    #[serde(skip_serializing_if = "Option::is_none")]
    unread: Option<Unread>,
}

#[derive(Serialize)]
struct Unread {
    /// Notes that were gone over.
    notes: usize,
    words: Vec<Entry>,
    pairs: Vec<Entry>,
    sentences: Vec<Entry>,
}

/// Something unread with its first place.
#[derive(Serialize)]
struct Entry {
    text: String,
    count: usize,
    file: String,
    line: usize,
}

impl From<Gap> for Entry {
    fn from(gap: Gap) -> Self {
        let Gap {
            text,
            count,
            file,
            line,
        } = gap;
        Self {
            text,
            count,
            file,
            line,
        }
    }
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
pub fn run(common: &Common, own: &args::Vet, screen: &mut Screen) -> Result<ExitCode, Failure> {
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
    let unread = setup
        .notes
        .as_deref()
        .map(|folder| unread(folder, &setup, own.top));
    if common.json {
        screen.json(&Answer {
            schema: json::SCHEMA,
            problems,
            unread,
        })?;
    } else {
        if clean {
            screen.line("The tables are in order.")?;
        }
        for problem in &problems {
            screen.filled(
                "",
                &format!("{}:{}: {}", problem.file, problem.line, problem.text),
                4,
            )?;
        }
        if let Some(unread) = unread {
            show(screen, &unread)?;
        }
    }
    Ok(if clean {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

/// What the notes say that nothing in the tables reads. Notes that cannot be read are `ingest`'s to tell.
fn unread(folder: &Path, setup: &Setup, most: usize) -> Unread {
    let conventions = setup.shop.conventions(setup.today);
    let mut gaps = Gaps::default();
    for (site, others) in &setup.shop.sites {
        gaps.name(site);
        others.iter().for_each(|other| gaps.name(other));
    }
    let mut count = 0;
    for file in notes::list(folder).0 {
        let Ok(text) = notes::text(&file.path) else {
            continue;
        };
        count += 1;
        let note = note::parse(&text, &notes::stem(&file.path), &conventions);
        for visit in &note.visits {
            read::reading(&text, visit, setup.knowledge(), |reading| {
                gaps.add(&file.name, reading, &read::facts(reading));
            });
        }
    }
    let frequent = gaps.frequent(most);
    let entries = |gaps: Vec<Gap>| gaps.into_iter().map(Entry::from).collect();
    Unread {
        notes: count,
        words: entries(frequent.words),
        pairs: entries(frequent.pairs),
        sentences: entries(frequent.sentences),
    }
}

fn show(screen: &mut Screen, unread: &Unread) -> Result<(), Failure> {
    for (what, list) in [
        ("Words", &unread.words),
        ("Word pairs", &unread.pairs),
        ("Sentences", &unread.sentences),
    ] {
        if list.is_empty() {
            continue;
        }
        screen.line("")?;
        let heading = format!("{what} of {} notes that no table reads", unread.notes);
        screen.filled("", &toned(Tone::Heading, &heading), 2)?;
        for entry in list {
            let place = toned(Tone::Faint, &format!("{}:{}", entry.file, entry.line));
            let count = format!("{:>5}  ", entry.count);
            screen.filled(&count, &format!("{}  {place}", entry.text), 9)?;
        }
    }
    Ok(())
}
