//! `vet`: what is wrong with the knowledge tables, and what the notes say that the tables do not read.

use super::{
    args::{self, Common},
    errors::Failure,
    labelled::read_folder,
    screen::{Screen, Tone, toned},
    setup::Setup,
};
use crate::{json, notes};
use padlore_core::{
    note,
    reading::{
        gaps::{Gap, Gaps},
        matcher,
        misleading::{Judged, Misleading},
        private, read, words,
    },
};
use serde::Serialize;
use std::{
    path::{Path, PathBuf},
    process::ExitCode,
};

#[derive(Serialize)]
struct Answer {
    schema: u32,
    problems: Vec<Problem>,
    /// What nothing in the tables reads, where there are notes.
    #[serde(skip_serializing_if = "Option::is_none")]
    unread: Option<Unread>,
    /// Wordings that mislead, where there are labelled texts.
    #[serde(skip_serializing_if = "Option::is_none")]
    misleading: Option<Vec<Wording>>,
}

/// A wording that is wrong at least as often as right.
#[derive(Serialize)]
struct Wording {
    file: String,
    line: usize,
    text: String,
    means: String,
    right: usize,
    wrong: usize,
    example: String,
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
    let misleading = if own.labelled.is_empty() {
        None
    } else {
        Some(misleading(&setup, &own.labelled)?)
    };
    if common.json {
        screen.json(&Answer {
            schema: json::SCHEMA,
            problems,
            unread,
            misleading,
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
        for wording in misleading.iter().flatten().take(own.top) {
            let Wording {
                file,
                line,
                text,
                means,
                right,
                wrong,
                example,
            } = wording;
            screen.filled(
                "",
                &format!("{file}:{line}: `{text}` misleads: {means} is right {right} times and wrong {wrong} times, as in \u{201c}{example}\u{201d}"),
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

/// A wording misleads that is wrong so often, and in this share of all.
const OFTEN: usize = 2;
const SHARE: f64 = 0.5;

/// The wordings that mislead in labelled texts.
fn misleading(setup: &Setup, folders: &[PathBuf]) -> Result<Vec<Wording>, Failure> {
    let knowledge = setup.knowledge();
    let mut counts = Misleading::default();
    for folder in folders {
        for item in read_folder(folder)? {
            for (visit, labels) in item.pairs() {
                let words = words::of_visit(&item.text, visit, knowledge);
                let found = matcher::find(&words, &knowledge.lexicon);
                let hidden = private::find(&item.text, &words, &visit.span);
                let first = visit.blocks.first().and_then(|b| b.lines.first());
                let first = first.and_then(|l| l.first());
                let text = first.map(|piece| private::masked(&item.text, piece, &hidden));
                let labels = labels.labels().heard();
                counts.add(
                    &found,
                    &knowledge.lexicon,
                    &labels,
                    &text.unwrap_or_default(),
                );
            }
        }
    }
    let worst = counts.worst(&knowledge.lexicon, OFTEN, SHARE);
    Ok(worst.into_iter().map(Wording::from).collect())
}

impl From<Judged> for Wording {
    fn from(judged: Judged) -> Self {
        let Judged {
            text,
            means,
            file,
            line,
            right,
            wrong,
            example,
        } = judged;
        Self {
            file,
            line,
            text,
            means,
            right,
            wrong,
            example,
        }
    }
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
