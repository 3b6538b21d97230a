//! `correct`: writes into `corrections.toml` what a line of a note really means.
//!
//! The entry is tried before it is written: its ids by the tables, its words by the note, and a dropping by what is read
//! there now, so that nothing is written that would be reported as wrong the next time.

use super::{
    args::{self, ActName, Common, KindName},
    errors::Failure,
    screen::Screen,
    setup::Setup,
};
use crate::{
    corrections::{self, Entry},
    json, notes,
};
use padlore_core::{
    note,
    reading::{
        self,
        correction::{self, Act, Correction},
        facts::{Facts, Span},
    },
};
use serde::Serialize;
use std::{
    path::{Path, PathBuf},
    process::ExitCode,
};
use toml_edit::Value;

/// A line longer than this says too much to stand for one fact: its words have to be named.
const LINE_LENGTH_MOST: usize = 120;

#[derive(Serialize)]
struct Answer<'a> {
    schema: u32,
    /// The file that was written, and the line of the new entry.
    file: &'static str,
    line: usize,
    note: &'a str,
    note_line: usize,
    words: &'a str,
    act: &'static str,
    /// The fact in plain words.
    fact: String,
}

/// A note that is to be corrected, as it is read now.
struct Target {
    /// Its path below the notes folder.
    name: String,
    line: usize,
    text: String,
    /// What is read from each visit, earlier corrections applied.
    visits: Vec<Facts>,
}

/// Runs `correct`.
///
/// # Errors
/// Wrong usage, a note that is not there or does not say the words, or a file that cannot be written.
pub fn run(common: &Common, own: &args::Correct, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let (path, line) = place(&own.place)?;
    let setup = Setup::of_notes(common, std::slice::from_ref(&path))?;
    let target = Target::read(&setup, &path, line)?;
    let act = match own.act {
        ActName::Drop => Act::Drop,
        ActName::Add => Act::Add,
    };
    let mut entry = Entry {
        note: target.name.clone(),
        line,
        words: own.words.clone().unwrap_or_else(|| "words".to_owned()),
        visit: target.day(),
        act,
        fact: fact(own)?,
    };
    let stated = tried(&entry, &setup)?;
    entry.words = target.words(own.words.as_deref(), &stated)?;
    // Written down and read again: what cannot be found by these words is not written.
    let correction = tried(&entry, &setup)?;
    let mut visits = target.visits.clone();
    let applied = correction::apply(&target.text, &mut visits, &[&correction], setup.knowledge());
    if let Some(problem) = applied.problems.first() {
        return Err(Failure::Correction(problem.fault.to_string()));
    }
    let at = corrections::append(setup.notes()?, &entry)?;
    let answer = Answer {
        schema: json::SCHEMA,
        file: corrections::FILE,
        line: at,
        note: &entry.note,
        note_line: line,
        words: &entry.words,
        act: match act {
            Act::Drop => "drop",
            Act::Add => "add",
        },
        fact: correction.fact.to_string(),
    };
    if common.json {
        screen.json(&answer)?;
    } else {
        let Answer {
            file,
            words,
            act,
            fact,
            note,
            ..
        } = &answer;
        screen.filled(
            "",
            &format!("{file}:{at}: {act} {fact}, by \u{201c}{words}\u{201d} ({note}:{line})"),
            4,
        )?;
        screen.filled("", "`padlore ingest` brings the index up to date.", 4)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// `NOTE:LINE`.
fn place(typed: &str) -> Result<(PathBuf, usize), Failure> {
    typed
        .rsplit_once(':')
        .and_then(|(note, line)| Some((note, line.parse::<usize>().ok().filter(|l| *l > 0)?)))
        .filter(|(note, _)| !note.is_empty())
        .map(|(note, line)| (PathBuf::from(note), line))
        .ok_or_else(|| {
            Failure::Usage(format!(
                "`{typed}`: write the note and its line as NOTE:LINE, as `read` shows them"
            ))
        })
}

/// The keys of the fact, as they are written.
fn fact(own: &args::Correct) -> Result<Vec<(&'static str, Value)>, Failure> {
    let usage = |text: &str| Failure::Usage(format!("`{}`: {text}", own.fact.join(" ")));
    let measured = matches!(own.kind, KindName::Setting | KindName::Reading);
    let mut out: Vec<(&'static str, Value)> = Vec::new();
    match (own.kind, own.fact.as_slice()) {
        (KindName::Fix, [action, part]) => out.push(("fix", format!("{action} {part}").into())),
        (KindName::Fix, _) => return Err(usage("write a fix as ACTION PART")),
        (KindName::Setting, [id, ..]) => out.push(("setting", id.as_str().into())),
        (KindName::Reading, [id, ..]) => out.push(("reading", id.as_str().into())),
        (KindName::Symptom, [id]) => out.push(("symptom", id.as_str().into())),
        (KindName::Cause, [id]) => out.push(("cause", id.as_str().into())),
        (KindName::Equipment, [id]) => out.push(("equipment", id.as_str().into())),
        (KindName::Outcome, [id]) => out.push(("outcome", id.as_str().into())),
        _ => return Err(usage("write one id")),
    }
    if measured {
        let (value, unit) = match own.fact.as_slice() {
            [_] => (None, None),
            [_, value] => (Some(value), None),
            [_, value, unit] => (Some(value), Some(unit)),
            _ => {
                return Err(usage(
                    "write ID VALUE UNIT, a value of several words in quotes",
                ));
            }
        };
        match value {
            Some(value) => out.push(("value", scalar(value))),
            None if matches!(own.act, ActName::Add) => {
                return Err(usage("write its value behind the id"));
            }
            None => {}
        }
        if let Some(unit) = unit {
            out.push(("unit", unit.as_str().into()));
        }
    }
    if let Some(status) = &own.status {
        out.push(("status", status.as_str().into()));
    }
    if !own.condition.is_empty() {
        out.push(("conditions", own.condition.iter().collect::<Value>()));
    }
    for (key, value) in [
        ("when", &own.when),
        ("on", &own.on),
        ("state", &own.state),
        ("label", &own.label),
        ("maker", &own.maker),
        ("model", &own.model),
    ] {
        if let Some(value) = value {
            out.push((key, value.as_str().into()));
        }
    }
    Ok(out)
}

/// A number where it is one.
fn scalar(text: &str) -> Value {
    if let Ok(whole) = text.parse::<i64>() {
        return whole.into();
    }
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => number.into(),
        _ => text.into(),
    }
}

/// The entry as the program will read it.
fn tried(entry: &Entry, setup: &Setup) -> Result<Correction, Failure> {
    let read = correction::read(&entry.text(), setup.knowledge());
    if let Some(problem) = read.problems.first() {
        return Err(Failure::Usage(problem.fault.to_string()));
    }
    let entry = read.entries.into_iter().next();
    entry.ok_or_else(|| Failure::Usage("the correction says nothing".to_owned()))
}

impl Target {
    fn read(setup: &Setup, path: &Path, line: usize) -> Result<Self, Failure> {
        let folder = setup.notes()?;
        // As typed, else below the notes folder.
        let path = if path.exists() {
            path.to_owned()
        } else {
            folder.join(path)
        };
        let text = notes::text(&path).map_err(|source| Failure::Note {
            path: path.clone(),
            source,
        })?;
        let name = setup.name_below(&path).ok_or_else(|| Failure::Elsewhere {
            note: path.clone(),
            folder: folder.to_owned(),
        })?;
        let conventions = setup.shop.conventions(setup.today);
        let note = note::parse(&text, &notes::stem(&path), &conventions);
        let mut visits: Vec<Facts> = note
            .visits
            .iter()
            .map(|visit| reading::read(&text, visit, setup.knowledge()))
            .collect();
        let earlier = setup.corrections();
        correction::apply(
            &text,
            &mut visits,
            &earlier.of_note(&name),
            setup.knowledge(),
        );
        let target = Self {
            name,
            line,
            text,
            visits,
        };
        if target.line_text().trim().is_empty() {
            let lines = target.text.lines().count();
            return Err(Failure::Correction(format!(
                "{}:{line}: there are no words on that line (the note has {lines} lines)",
                target.name
            )));
        }
        Ok(target)
    }

    fn line_start(&self) -> usize {
        self.text
            .split_inclusive('\n')
            .take(self.line - 1)
            .map(str::len)
            .sum()
    }

    fn line_text(&self) -> &str {
        self.text.lines().nth(self.line - 1).unwrap_or_default()
    }

    /// The visit that the line belongs to.
    fn visit(&self) -> Option<&Facts> {
        match self.visits.as_slice() {
            [only] => Some(only),
            several => several.iter().find(|v| v.span.contains(&self.line_start())),
        }
    }

    /// The visit's day, where it tells the visit from others of the note.
    fn day(&self) -> Option<jiff::civil::Date> {
        let day = self.visit()?.date?;
        let of_day = self.visits.iter().filter(|v| v.date == Some(day)).count();
        (self.visits.len() > 1 && of_day == 1).then_some(day)
    }

    /// The words that the correction rests on.
    fn words(&self, typed: Option<&str>, stated: &Correction) -> Result<String, Failure> {
        let shown = format!("{}:{}", self.name, self.line);
        if let Some(typed) = typed {
            return correction::on_line(&self.text, self.line, typed)
                .map(|_| typed.to_owned())
                .ok_or_else(|| {
                    Failure::Correction(format!(
                        "{shown}: \u{201c}{typed}\u{201d} does not stand on that line"
                    ))
                });
        }
        let start = self.line_start();
        let line = start..start + self.line_text().len();
        if stated.act == Act::Drop {
            let doomed = self.visit().map_or_else(Vec::new, |visit| {
                correction::would_drop(&self.text, visit, &stated.fact, &line)
            });
            let first = doomed.first().ok_or_else(|| {
                Failure::Correction(format!(
                    "{shown}: no {} is read there, so there is nothing to drop; `padlore read` shows what is",
                    stated.fact
                ))
            })?;
            // The very words that were misread, where they stand on that line.
            if line.start <= first.start && first.end <= line.end && *first != line {
                return Ok(self.words_at(first));
            }
        }
        let words = self.words_at(&line);
        if words.chars().count() > LINE_LENGTH_MOST {
            return Err(Failure::Usage(format!(
                "{shown}: the line is long; say with --words which of its words it is about"
            )));
        }
        Ok(words)
    }

    /// The words of a piece of the note, without marks at its ends; the longest piece of it that is not private.
    fn words_at(&self, span: &Span) -> String {
        let mut pieces = Vec::new();
        let mut at = span.start;
        let private = self.visits.iter().flat_map(|v| &v.private);
        for hidden in private.filter(|p| p.start < span.end && span.start < p.end) {
            pieces.push(at..hidden.start.max(at));
            at = hidden.end.min(span.end);
        }
        pieces.push(at..span.end);
        let longest = pieces.into_iter().rev().max_by_key(ExactSizeIterator::len);
        let text = longest.and_then(|p| self.text.get(p)).unwrap_or_default();
        text.trim_matches(|c: char| !c.is_alphanumeric()).to_owned()
    }
}
