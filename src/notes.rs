//! The folder of notes: which files are notes, and their text.
//!
//! Nothing here writes. A file that cannot be read as a note is refused with its reason and line, and all others are
//! read. Links to files are followed; a link that leads back into its own folder is refused, and so is anything that
//! is no plain file (a pipe would block for ever).

use serde::Serialize;
use std::{
    fs::{self, Metadata},
    io::{self, Read},
    path::{Path, PathBuf},
};
use walkdir::WalkDir;

/// A note larger than this is no note (the largest running log of a site over ten years is under one megabyte).
pub const SIZE_MOST: u64 = 16 * 1024 * 1024;

/// A note's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteFile {
    /// Its path.
    pub path: PathBuf,
    /// Its path below the notes folder, with `/`.
    pub name: String,
    /// Bytes.
    pub size: u64,
    /// Modification time in nanoseconds since 1970.
    pub modified: i128,
}

/// A file that was not read.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, serde::Deserialize)]
pub struct Refused {
    /// The file, below the notes folder.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// Why, and what to do.
    pub reason: String,
}

/// Why a file's text cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum TextError {
    /// The system refuses.
    #[error("cannot be opened ({0}); check the file's permissions")]
    Open(#[from] io::Error),
    /// It is too large.
    #[error(
        "is {0} bytes, larger than any note (limit {SIZE_MOST}); split it, or move it out of the notes folder"
    )]
    TooLarge(u64),
    /// It is not UTF-8.
    #[error("is not UTF-8 text from byte {byte} on; save it as UTF-8")]
    NotUtf8 {
        /// The first byte that is none.
        byte: usize,
        /// Its line.
        line: usize,
    },
    /// It is empty.
    #[error("is empty; write the visit into it, or delete it")]
    Empty,
    /// It is no plain file.
    #[error("is no plain file (a pipe, socket or device); move it out of the notes folder")]
    NotAFile,
}

impl TextError {
    /// The line that it is about.
    #[must_use]
    pub fn line(&self) -> usize {
        match self {
            TextError::NotUtf8 { line, .. } => *line,
            _ => 1,
        }
    }
}

/// The notes below a folder, in order of their names, and what was refused.
#[must_use]
pub fn list(folder: &Path) -> (Vec<NoteFile>, Vec<Refused>) {
    let (mut files, mut refused) = (Vec::new(), Vec::new());
    let hidden = |e: &walkdir::DirEntry| {
        e.depth() > 0 && e.file_name().to_str().is_some_and(|n| n.starts_with('.'))
    };
    for entry in WalkDir::new(folder)
        .follow_links(true)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(|e| !hidden(e))
    {
        match entry {
            Ok(entry) => {
                let is_note = entry.path().extension().is_some_and(|e| {
                    e.eq_ignore_ascii_case("md") || e.eq_ignore_ascii_case("markdown")
                });
                if entry.file_type().is_dir() || !is_note {
                    continue;
                }
                let name = name_below(folder, entry.path());
                match entry.metadata() {
                    Ok(metadata) if metadata.is_file() => {
                        files.push(NoteFile {
                            path: entry.path().to_owned(),
                            name,
                            size: metadata.len(),
                            modified: modified(&metadata),
                        });
                    }
                    Ok(_) => refused.push(Refused {
                        file: name,
                        line: 1,
                        reason: TextError::NotAFile.to_string(),
                    }),
                    Err(error) => refused.push(Refused {
                        file: name,
                        line: 1,
                        reason: error.to_string(),
                    }),
                }
            }
            Err(error) => {
                let name = error
                    .path()
                    .map_or_else(|| ".".to_owned(), |p| name_below(folder, p));
                let reason = if error.loop_ancestor().is_some() {
                    "is a link that leads back into a folder above it; remove the link".to_owned()
                } else {
                    format!(
                        "cannot be read ({}); check its permissions",
                        error
                            .io_error()
                            .map_or_else(|| error.to_string(), ToString::to_string)
                    )
                };
                refused.push(Refused {
                    file: name,
                    line: 1,
                    reason,
                });
            }
        }
    }
    (files, refused)
}

/// A path below the notes folder, with `/`.
pub(crate) fn name_below(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap_or(path);
    below
        .components()
        .map(|c| c.as_os_str().to_string_lossy())
        .collect::<Vec<_>>()
        .join("/")
}

fn modified(metadata: &Metadata) -> i128 {
    let since = metadata
        .modified()
        .ok()
        .and_then(|t| t.duration_since(std::time::UNIX_EPOCH).ok());
    since.map_or(0, |d| i128::try_from(d.as_nanos()).unwrap_or(0))
}

/// The text of a file.
///
/// # Errors
/// [`TextError`] says why it cannot be had and what to do.
pub fn text(path: &Path) -> Result<String, TextError> {
    let metadata = fs::metadata(path)?;
    if !metadata.is_file() {
        return Err(TextError::NotAFile);
    }
    if metadata.len() > SIZE_MOST {
        return Err(TextError::TooLarge(metadata.len()));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(metadata.len()).unwrap_or(0));
    // The limit holds for a file that grows while it is read, too.
    fs::File::open(path)?
        .take(SIZE_MOST + 1)
        .read_to_end(&mut bytes)?;
    if bytes.is_empty() {
        return Err(TextError::Empty);
    }
    String::from_utf8(bytes).map_err(|error| {
        let byte = error.utf8_error().valid_up_to();
        let line = error
            .as_bytes()
            .get(..byte)
            .unwrap_or_default()
            .iter()
            .filter(|b| **b == b'\n')
            .count()
            + 1;
        TextError::NotUtf8 { byte, line }
    })
}

/// A file's name without folder and ending.
#[must_use]
pub fn stem(path: &Path) -> String {
    path.file_stem()
        .map(|s| s.to_string_lossy().into_owned())
        .unwrap_or_default()
}
