//! What the last commit knew: the state of every file, kept in the commit itself.

use crate::notes::Refused;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The format of records and fields; another number rebuilds the store.
pub const FORMAT: u32 = 1;

/// A file as last read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileState {
    /// Bytes.
    pub size: u64,
    /// Modification time in nanoseconds since 1970.
    pub modified: i128,
    /// Hash of its content.
    pub hash: String,
    /// Visits in it.
    pub visits: usize,
    /// Fingerprint of the corrections that name it; empty where none does.
    #[serde(default)]
    pub corrections: String,
    /// What could not be understood in it, or in its corrections.
    pub problems: Vec<Refused>,
}

/// The state of a commit.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct State {
    /// The store's format.
    pub format: u32,
    /// Hash of the program's version and of the tables that read the notes.
    pub tables: String,
    /// What counted as today when it was made.
    pub as_of: String,
    /// Files by name.
    pub files: BTreeMap<String, FileState>,
    /// Files that were refused.
    pub refused: Vec<Refused>,
    /// What is wrong with `corrections.toml` beside what its notes tell.
    #[serde(default)]
    pub corrections: Vec<Refused>,
}

impl State {
    /// What could not be understood, in corrections and then in notes.
    pub fn problems(&self) -> impl Iterator<Item = &Refused> {
        let of_notes = self.files.values().flat_map(|f| &f.problems);
        self.corrections.iter().chain(of_notes)
    }

    /// Visits in all files.
    #[must_use]
    pub fn visits(&self) -> usize {
        self.files.values().map(|f| f.visits).sum()
    }
}
