//! Bringing the store up to date: the difference, in one commit.

use super::{
    open::{self, Opened, StoreError},
    record::Record,
    state::{FORMAT, FileState, State},
};
use crate::{
    corrections,
    notes::{self, Refused},
    shop::ShopFile,
};
use indicatif::{ProgressBar, ProgressStyle};
use jiff::civil::Date;
use padlore_core::{
    note,
    reading::{self, correction},
    trade::Knowledge,
};
use std::{
    fs,
    path::{Path, PathBuf},
    time::{Duration, Instant},
};
use tantivy::{
    IndexWriter, TantivyDocument, TantivyError, Term,
    directory::{Directory, INDEX_WRITER_LOCK, MmapDirectory, error::LockError},
    doc,
};

/// Memory of the writer in bytes, beside its one thread: the smallest that keeps segments few for a shop's history.
const WRITER_BYTES: usize = 50_000_000;
/// The file in which a writer says who it is.
const HOLDER: &str = "writer.pid";

/// Whether what is there is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rebuild {
    /// Only what changed is read again.
    Changed,
    /// Everything is thrown away first.
    Afresh,
}

/// What an ingest did.
#[derive(Clone, Debug)]
pub struct Ingested {
    /// The state of the new commit.
    pub state: State,
    /// Notes that are new.
    pub added: usize,
    /// Notes that changed.
    pub changed: usize,
    /// Notes that are gone.
    pub removed: usize,
    /// How long it took.
    pub took: Duration,
}

/// Brings the store in `folder` up to date with the notes.
///
/// # Errors
/// [`StoreError`] where the store cannot be opened or written. Notes that cannot be read are no error: they are refused
/// and listed in the state.
pub fn ingest(
    notes_folder: &Path,
    folder: &Path,
    shop: &ShopFile,
    knowledge: &Knowledge,
    tables: &str,
    today: Date,
    rebuild: Rebuild,
) -> Result<Ingested, StoreError> {
    let begun = Instant::now();
    if rebuild == Rebuild::Afresh {
        clear(folder)?;
    }
    let opened = open::open_or_create(folder)?;
    let mut writer = writer(&opened, folder)?;
    // The state is read under the lock: another writer may have committed since.
    let known = open::state_of(&opened.index, folder)?;
    let usable = known
        .as_ref()
        .is_some_and(|s| s.format == FORMAT && s.tables == tables);
    if usable {
        // A commit may name segments that are gone: building upon it would leave visits out without a word.
        open::reader(&opened.index, folder)?;
    }
    let index_error = |e: TantivyError| StoreError::Index {
        path: folder.to_owned(),
        source: e,
    };
    // A writer that was killed leaves files that no commit names; one of deletions stands in the way of this commit's own,
    // which gets the same name.
    writer.garbage_collect_files().wait().map_err(index_error)?;
    // The library gives a new writer's first operation the number of the last commit, and a merge that ends before this
    // commit takes it for a part of that one: a visit would be gone before its note is read again. An empty operation
    // takes the number.
    writer.run(Vec::new()).map_err(index_error)?;
    let old = if usable {
        known.clone().unwrap_or_default()
    } else {
        State::default()
    };
    if !usable {
        writer.delete_all_documents().map_err(index_error)?;
    }
    let (files, mut refused) = notes::list(notes_folder);
    let corrected = corrections::read(notes_folder, knowledge);
    let conventions = shop.conventions(today);
    let bar = progress(files.len());
    let mut state = State {
        format: FORMAT,
        tables: tables.to_owned(),
        as_of: today.to_string(),
        ..State::default()
    };
    let (mut added, mut changed) = (0, 0);
    for file in &files {
        bar.inc(1);
        // A note is read again when it changed, or what a person says that it means.
        let before = old.files.get(&file.name);
        let fingerprint = corrected.fingerprint(&file.name);
        let same_reading = before.filter(|b| b.corrections == fingerprint);
        if let Some(before) =
            same_reading.filter(|b| b.size == file.size && b.modified == file.modified)
        {
            state.files.insert(file.name.clone(), before.clone());
            continue;
        }
        let text = match notes::text(&file.path) {
            Ok(text) => text,
            Err(error) => {
                refused.push(Refused {
                    file: file.name.clone(),
                    line: error.line(),
                    reason: error.to_string(),
                });
                continue;
            }
        };
        let hash = blake3::hash(text.as_bytes()).to_hex().to_string();
        if let Some(before) = same_reading.filter(|b| b.hash == hash) {
            let same = FileState {
                size: file.size,
                modified: file.modified,
                ..before.clone()
            };
            state.files.insert(file.name.clone(), same);
            continue;
        }
        if before.is_some() {
            changed += 1;
            writer.delete_term(Term::from_field_text(opened.fields.file, &file.name));
        } else {
            added += 1;
        }
        let read = note::parse(&text, &notes::stem(&file.path), &conventions);
        let mut visits: Vec<_> = read
            .visits
            .iter()
            .map(|visit| reading::read(&text, visit, knowledge))
            .collect();
        let own = corrected.of_note(&file.name);
        let applied = correction::apply(&text, &mut visits, &own, knowledge);
        for facts in &visits {
            let site = facts.site.clone().unwrap_or_default();
            let record = Record::of(&file.name, shop.site(&site), &text, facts);
            writer
                .add_document(document(&opened, &record))
                .map_err(index_error)?;
        }
        let problems = read
            .problems
            .iter()
            .map(|p| Refused {
                file: file.name.clone(),
                line: p.line,
                reason: p.fault.to_string(),
            })
            .chain(applied.problems.iter().map(corrections::told))
            .collect();
        state.files.insert(
            file.name.clone(),
            FileState {
                size: file.size,
                modified: file.modified,
                hash,
                visits: visits.len(),
                corrections: fingerprint,
                problems,
            },
        );
    }
    bar.finish_and_clear();
    let gone: Vec<&String> = old
        .files
        .keys()
        .filter(|name| !state.files.contains_key(*name))
        .collect();
    for name in &gone {
        writer.delete_term(Term::from_field_text(opened.fields.file, name));
    }
    let removed = gone.len();
    state.corrections = corrected.problems.clone();
    state
        .corrections
        .extend(corrected.without_note(files.iter().map(|f| f.name.as_str())));
    state.corrections.sort();
    refused.sort();
    state.refused = refused;
    if known.as_ref() != Some(&state) {
        commit(&mut writer, &state, folder)?;
    }
    // What this commit no longer names goes now, not with the next one.
    writer.garbage_collect_files().wait().map_err(index_error)?;
    writer.wait_merging_threads().map_err(index_error)?;
    let _ = fs::remove_file(folder.join(HOLDER));
    Ok(Ingested {
        state,
        added,
        changed,
        removed,
        took: begun.elapsed(),
    })
}

fn commit(writer: &mut IndexWriter, state: &State, folder: &Path) -> Result<(), StoreError> {
    let index_error = |e: TantivyError| StoreError::Index {
        path: folder.to_owned(),
        source: e,
    };
    let payload = serde_json::to_string(state).map_err(|e| StoreError::Damaged {
        path: folder.to_owned(),
        reason: e.to_string(),
    })?;
    let mut prepared = writer.prepare_commit().map_err(index_error)?;
    prepared.set_payload(&payload);
    prepared.commit().map_err(index_error)?;
    Ok(())
}

fn writer(opened: &Opened, folder: &Path) -> Result<IndexWriter, StoreError> {
    match opened.index.writer_with_num_threads(1, WRITER_BYTES) {
        Ok(writer) => {
            fs::write(folder.join(HOLDER), std::process::id().to_string()).map_err(|source| {
                StoreError::Write {
                    path: folder.to_owned(),
                    source,
                }
            })?;
            Ok(writer)
        }
        Err(TantivyError::LockFailure(LockError::LockBusy, _)) => Err(busy(folder)),
        Err(source) => Err(StoreError::Index {
            path: folder.to_owned(),
            source,
        }),
    }
}

fn busy(folder: &Path) -> StoreError {
    let holder = fs::read_to_string(folder.join(HOLDER)).unwrap_or_else(|_| "unknown".to_owned());
    StoreError::Busy {
        path: folder.to_owned(),
        holder,
    }
}

fn document(opened: &Opened, record: &Record) -> TantivyDocument {
    let fields = opened.fields;
    let json = serde_json::to_string(record).unwrap_or_default();
    let mut document = doc!(fields.file => record.file.as_str(), fields.body => record.text.as_str(), fields.record => json);
    let mut fact = |kind: &str, ids: &[String]| {
        for id in ids {
            document.add_text(fields.fact, format!("{kind}:{id}"));
        }
    };
    fact("symptom", &record.symptoms);
    fact("condition", &record.conditions);
    fact("equipment", &record.equipment);
    fact("cause", &record.causes);
    fact("cause", &record.suspected);
    fact(
        "part",
        &record.fixes.iter().map(|f| f.1.clone()).collect::<Vec<_>>(),
    );
    fact(
        "fix",
        &record.fixes.iter().map(|f| f.0.clone()).collect::<Vec<_>>(),
    );
    document
}

/// Removes what a store consists of; anything else in the folder is left, so that a wrong `--store` destroys nothing.
fn clear(folder: &Path) -> Result<(), StoreError> {
    let write = |source| StoreError::Write {
        path: folder.to_owned(),
        source,
    };
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(write(error)),
    };
    // Not under the feet of another writer: its lock is held while files go, and the lock's own file stays.
    let directory = MmapDirectory::open(folder).map_err(|e| write(std::io::Error::other(e)))?;
    let _lock = directory
        .acquire_lock(&INDEX_WRITER_LOCK)
        .map_err(|error| match error {
            LockError::LockBusy => busy(folder),
            other => write(std::io::Error::other(other)),
        })?;
    // The commit's file first and the list of files last: one that is killed in between leaves no commit that names files
    // which are gone, and no file that nobody knows of.
    let mut turns: [Vec<PathBuf>; 3] = Default::default();
    let [first, then, last] = &mut turns;
    for entry in entries {
        let path = entry.map_err(write)?.path();
        let name = path
            .file_name()
            .and_then(|n| n.to_str())
            .unwrap_or_default();
        let stem = name.split('.').next().unwrap_or_default();
        match name {
            "meta.json" => first.push(path),
            ".managed.json" | HOLDER => last.push(path),
            _ if stem.len() == 32 && stem.bytes().all(|b| b.is_ascii_hexdigit()) => then.push(path),
            // Half a commit's file of a writer that was killed.
            _ if name.len() == 10 && name.starts_with(".tmp") => then.push(path),
            _ => {}
        }
    }
    for path in turns.iter().flatten() {
        fs::remove_file(path).map_err(write)?;
    }
    Ok(())
}

fn progress(files: usize) -> ProgressBar {
    // Few files are read before a bar could be seen.
    const SHOWN_FROM: usize = 200;
    if files < SHOWN_FROM {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(files as u64);
    if let Ok(style) = ProgressStyle::with_template("reading notes {bar:30} {pos}/{len} {eta}") {
        bar.set_style(style);
    }
    bar
}
