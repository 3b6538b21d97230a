//! Opening a store, and what can be wrong with one.

use super::state::{FORMAT, State};
use crate::shop;
use std::{
    fs, io,
    path::{Path, PathBuf},
};
use tantivy::{
    Index, IndexReader, ReloadPolicy, TantivyError,
    schema::{Field, IndexRecordOption, STORED, STRING, Schema, TextFieldIndexing, TextOptions},
};

/// Why a store cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// It is damaged or was made by something else.
    #[error(
        "{path}: the store cannot be read ({reason}); rebuild it with `padlore ingest --afresh`"
    )]
    Damaged {
        /// Its folder.
        path: PathBuf,
        /// What the library says.
        reason: String,
    },
    /// Another process writes to it.
    #[error(
        "{path}: another padlore is writing to the store (process {holder}); try again when it is done"
    )]
    Busy {
        /// Its folder.
        path: PathBuf,
        /// The process that holds the lock, as far as it said.
        holder: String,
    },
    /// Its folder cannot be written.
    #[error("{path}: the store cannot be written ({source}); name another folder with --store DIR")]
    Write {
        /// Its folder.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// No cache folder is known.
    #[error("no cache folder is known on this machine; name a folder with --store DIR")]
    NoFolder,
    /// The library refuses.
    #[error("{path}: the index refuses: {source}")]
    Index {
        /// Its folder.
        path: PathBuf,
        /// What the library says.
        source: TantivyError,
    },
}

/// The fields of a document.
#[derive(Clone, Copy)]
pub(super) struct Fields {
    pub file: Field,
    pub body: Field,
    pub fact: Field,
    pub record: Field,
}

/// The index with its fields.
pub(super) struct Opened {
    pub index: Index,
    pub fields: Fields,
}

pub(super) fn schema() -> (Schema, Fields) {
    let mut builder = Schema::builder();
    let stemmed = TextFieldIndexing::default()
        .set_tokenizer("en_stem")
        .set_index_option(IndexRecordOption::WithFreqsAndPositions);
    let fields = Fields {
        file: builder.add_text_field("file", STRING),
        body: builder.add_text_field("body", TextOptions::default().set_indexing_options(stemmed)),
        // Facts as `kind:id` ("symptom:breaker-trips"), for candidates and filters.
        fact: builder.add_text_field("fact", STRING),
        record: builder.add_text_field("record", STORED),
    };
    (builder.build(), fields)
}

/// Opens the index in a folder, or makes a new one where there is none.
pub(super) fn open_or_create(folder: &Path) -> Result<Opened, StoreError> {
    let write = |source| StoreError::Write {
        path: folder.to_owned(),
        source,
    };
    fs::create_dir_all(folder).map_err(write)?;
    if folder.join("meta.json").exists() {
        return open(folder);
    }
    let (schema, fields) = schema();
    let index = Index::create_in_dir(folder, schema).map_err(|e| StoreError::Index {
        path: folder.to_owned(),
        source: e,
    })?;
    Ok(Opened { index, fields })
}

pub(super) fn open(folder: &Path) -> Result<Opened, StoreError> {
    let damaged = |e: TantivyError| StoreError::Damaged {
        path: folder.to_owned(),
        reason: e.to_string(),
    };
    let index = Index::open_in_dir(folder).map_err(damaged)?;
    let (expected, fields) = schema();
    if index.schema() != expected {
        return Err(StoreError::Damaged {
            path: folder.to_owned(),
            reason: "it has other fields than this program's".to_owned(),
        });
    }
    Ok(Opened { index, fields })
}

pub(super) fn state_of(index: &Index, folder: &Path) -> Result<Option<State>, StoreError> {
    let damaged = |reason: String| StoreError::Damaged {
        path: folder.to_owned(),
        reason,
    };
    let metas = index.load_metas().map_err(|e| damaged(e.to_string()))?;
    metas
        .payload
        .map(|p| serde_json::from_str(&p).map_err(|e| damaged(e.to_string())))
        .transpose()
}

/// Opens every segment of the last commit.
pub(super) fn reader(index: &Index, folder: &Path) -> Result<IndexReader, StoreError> {
    let reader = index
        .reader_builder()
        .reload_policy(ReloadPolicy::Manual)
        .try_into();
    reader.map_err(|e: TantivyError| StoreError::Damaged {
        path: folder.to_owned(),
        reason: e.to_string(),
    })
}

/// A store open for questions.
pub struct Store {
    pub(super) folder: PathBuf,
    pub(super) opened: Opened,
    pub(super) reader: IndexReader,
    /// What the commit knew.
    pub state: State,
}

impl Store {
    /// Opens the last commit of the store in a folder; `None` where there is no store of this program's format yet.
    ///
    /// # Errors
    /// Where there is one and it cannot be read.
    pub fn open(folder: &Path) -> Result<Option<Self>, StoreError> {
        if !folder.join("meta.json").exists() {
            return Ok(None);
        }
        let opened = open(folder)?;
        let Some(state) = state_of(&opened.index, folder)?.filter(|s| s.format == FORMAT) else {
            return Ok(None);
        };
        let reader = reader(&opened.index, folder)?;
        Ok(Some(Self {
            folder: folder.to_owned(),
            opened,
            reader,
            state,
        }))
    }
}

/// Where the store of a notes folder lives: in the user's cache folder, one a notes folder.
///
/// # Errors
/// Where the machine names no home.
pub fn default_folder(notes: &Path) -> Result<PathBuf, StoreError> {
    use etcetera::BaseStrategy;
    let strategy = etcetera::choose_base_strategy().map_err(|_| StoreError::NoFolder)?;
    let full = fs::canonicalize(notes).unwrap_or_else(|_| notes.to_owned());
    let name = full
        .file_name()
        .map(|n| shop::fold(&n.to_string_lossy()))
        .unwrap_or_default();
    let hash = blake3::hash(full.to_string_lossy().as_bytes()).to_hex();
    Ok(strategy
        .cache_dir()
        .join("padlore")
        .join(format!("{name}-{}", hash.get(..12).unwrap_or_default())))
}
