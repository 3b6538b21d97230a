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
    /// What could not be understood in it.
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
}

impl State {
    /// Visits in all files.
    #[must_use]
    pub fn visits(&self) -> usize {
        self.files.values().map(|f| f.visits).sum()
    }
}
