//! `corrections.toml` at the top of a notes folder: the file itself. What it says and how it acts is the core's
//! ([`padlore_core::reading::correction`]).

mod writing;

pub use writing::{Entry, WriteError, append};

use crate::notes::{self, Refused, TextError};
use padlore_core::{
    reading::correction::{self, Correction, CorrectionProblem, Corrections},
    trade::Knowledge,
};
use std::{fs, io, path::Path};

/// The file's name.
pub const FILE: &str = "corrections.toml";

/// The file as read.
#[derive(Clone, Debug, Default)]
pub struct CorrectionsFile {
    /// The entries that can be read.
    pub entries: Vec<Correction>,
    /// What is wrong with the file or with single entries.
    pub problems: Vec<Refused>,
}

impl CorrectionsFile {
    /// The corrections of one note, by its path below the notes folder.
    #[must_use]
    pub fn of_note(&self, note: &str) -> Vec<&Correction> {
        self.entries.iter().filter(|c| c.note == note).collect()
    }

    /// What a note's reading depends on here: empty where no entry names it.
    #[must_use]
    pub fn fingerprint(&self, note: &str) -> String {
        let entries = self.of_note(note);
        if entries.is_empty() {
            return String::new();
        }
        let hash = blake3::hash(format!("{entries:?}").as_bytes()).to_hex();
        hash.get(..16).unwrap_or_default().to_owned()
    }

    /// The entries that name a note which is not among these; each as a problem.
    #[must_use]
    pub fn without_note<'n>(&self, notes: impl Iterator<Item = &'n str> + Clone) -> Vec<Refused> {
        self.entries
            .iter()
            .filter(|c| !notes.clone().any(|n| n == c.note))
            .map(|c| {
                let near = notes.clone().max_by(|a, b| {
                    strsim::jaro_winkler(&c.note, a).total_cmp(&strsim::jaro_winkler(&c.note, b))
                });
                let near = near.map_or_else(String::new, |n| format!("; the nearest is `{n}`"));
                Refused {
                    file: FILE.to_owned(),
                    line: c.at,
                    reason: format!(
                        "there is no note `{}`{near}; correct `note`, or take the entry out",
                        c.note
                    ),
                }
            })
            .collect()
    }
}

/// Reads the corrections of a notes folder; a folder without the file has none. Nothing here fails: what cannot be read
/// is told, and the rest holds.
#[must_use]
pub fn read(notes: &Path, knowledge: &Knowledge) -> CorrectionsFile {
    let path = notes.join(FILE);
    let text = match notes::text(&path) {
        Ok(text) => text,
        Err(TextError::Empty) => String::new(),
        Err(TextError::Open(error)) if error.kind() == io::ErrorKind::NotFound => {
            // A link that leads nowhere is a file that is missing, and no folder without corrections.
            if fs::symlink_metadata(&path).is_err() {
                return CorrectionsFile::default();
            }
            return unreadable(&TextError::Open(error));
        }
        Err(error) => return unreadable(&error),
    };
    let Corrections { entries, problems } = correction::read(&text, knowledge);
    CorrectionsFile {
        entries,
        problems: problems.iter().map(told).collect(),
    }
}

fn unreadable(error: &TextError) -> CorrectionsFile {
    CorrectionsFile {
        entries: Vec::new(),
        problems: vec![Refused {
            file: FILE.to_owned(),
            line: error.line(),
            reason: format!("{error}; until then no correction holds"),
        }],
    }
}

/// A correction's problem as it is told.
#[must_use]
pub fn told(problem: &CorrectionProblem) -> Refused {
    Refused {
        file: FILE.to_owned(),
        line: problem.line,
        reason: problem.fault.to_string(),
    }
}
