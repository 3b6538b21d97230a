//! What can go wrong with a command, and the exit code that it has.

use crate::{corrections::WriteError, notes::TextError, shop::ShopError, store::StoreError};
use std::{io, path::PathBuf, process::ExitCode};

/// Why a command did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// Standard output or a file could not be written.
    #[error("cannot write: {0}")]
    Write(#[from] io::Error),
    /// The shop's settings are broken.
    #[error(transparent)]
    Shop(#[from] ShopError),
    /// The store cannot be used.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// No notes folder.
    #[error(
        "no notes folder: name one with --notes DIR, set PADLORE_NOTES, or start below a folder that holds padlore.toml"
    )]
    NoNotes,
    /// A folder that is named is not there.
    #[error("{0}: no such folder")]
    NoFolder(PathBuf),
    /// A folder of tables cannot be read.
    #[error("{path}: cannot be read: {source}")]
    Tables {
        /// The folder or file.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// A note cannot be read.
    #[error("{path}: {source}")]
    Note {
        /// The note.
        path: PathBuf,
        /// Why.
        source: TextError,
    },
    /// A note is not in the notes folder.
    #[error(
        "{note}: is not in the notes folder {folder}; name a note that is, or another folder with --notes DIR"
    )]
    Elsewhere {
        /// The note.
        note: PathBuf,
        /// The folder.
        folder: PathBuf,
    },
    /// A correction says nothing that a note could mean.
    #[error("{0}; nothing was written")]
    Correction(String),
    /// A correction cannot be written.
    #[error(transparent)]
    Corrections(#[from] WriteError),
    /// JSON could not be made.
    #[error("cannot make JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// Wrong usage that clap cannot see.
    #[error("{0}")]
    Usage(String),
}

impl Failure {
    /// Whether the reader of the output went away.
    #[must_use]
    pub fn is_broken_pipe(&self) -> bool {
        match self {
            Failure::Write(error) => error.kind() == io::ErrorKind::BrokenPipe,
            Failure::Json(error) => error.io_error_kind() == Some(io::ErrorKind::BrokenPipe),
            _ => false,
        }
    }

    /// The exit code.
    #[must_use]
    pub fn code(&self) -> ExitCode {
        match self {
            Failure::Usage(_) => ExitCode::from(2),
            _ => ExitCode::from(1),
        }
    }
}
