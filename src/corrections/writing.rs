//! Writing a correction: the only code that writes into a notes folder, and into this one file alone.
//!
//! What others wrote stays as it is, comments too: the new entry is put behind it. The file is written aside, brought
//! to the disk and put in its place in one step, so that nobody ever sees half of it; two programs that write at once
//! take turns by a lock on the file, and what an editor saved in between is read again before anything is replaced.

use super::FILE;
use jiff::civil::Date;
use padlore_core::{note::line_at, reading::correction::Act};
use std::{
    fs::{self, File, OpenOptions},
    io::{self, Write},
    path::{Path, PathBuf},
};
use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value, value};

/// What a new file begins with.
const HEAD: &str = "\
# What our notes really mean, where padlore reads them wrong: one entry a correction, the words it rests on quoted.
# It wins over what is read, and holds until the entry is taken out. A later entry wins over an earlier one.
";
/// How often what somebody saved in between is read again, before giving up.
const TRIES: usize = 20;

/// An entry to be written.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The note, by its path below the notes folder.
    pub note: String,
    /// The line of the note.
    pub line: usize,
    /// Its words.
    pub words: String,
    /// The day of the visit, for a note of several.
    pub visit: Option<Date>,
    /// Drop or add.
    pub act: Act,
    /// The keys of the fact with their values, in order.
    pub fact: Vec<(&'static str, Value)>,
}

/// Why an entry was not written. Whatever it is, the file is as it was.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The system refuses.
    #[error("{path}: cannot be written ({source}); nothing was changed")]
    System {
        /// The file.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// What stands there is no TOML.
    #[error("{path}:{line}: {reason}; correct that first, nothing was changed")]
    Broken {
        /// The file.
        path: PathBuf,
        /// The line.
        line: usize,
        /// What is wrong with it.
        reason: String,
    },
    /// Somebody else writes it again and again.
    #[error("{path}: is being written by others all the time; nothing was changed, try again")]
    Busy {
        /// The file.
        path: PathBuf,
    },
}

impl Entry {
    fn table(&self) -> Table {
        let mut fact = InlineTable::new();
        for (key, value) in &self.fact {
            fact.insert(*key, value.clone());
        }
        let mut table = Table::new();
        table.insert("note", value(&self.note));
        table.insert("line", value(i64::try_from(self.line).unwrap_or(i64::MAX)));
        table.insert("words", value(&self.words));
        if let Some(day) = self.visit
            && let Ok(day) = day.to_string().parse::<toml_edit::Datetime>()
        {
            table.insert("visit", value(day));
        }
        let act = match self.act {
            Act::Drop => "drop",
            Act::Add => "add",
        };
        table.insert(act, value(fact));
        table
    }

    /// The entry as it is written.
    #[must_use]
    pub fn text(&self) -> String {
        let mut tables = ArrayOfTables::new();
        tables.push(self.table());
        let mut document = DocumentMut::new();
        document.insert("correction", Item::ArrayOfTables(tables));
        document.to_string()
    }
}

/// Puts an entry behind those of a notes folder's `corrections.toml`, which is made where there is none; the entry's line.
///
/// # Errors
/// Where the file cannot be written or holds something that is no TOML; it is then as it was.
pub fn append(notes: &Path, entry: &Entry) -> Result<usize, WriteError> {
    let path = notes.join(FILE);
    let system = |source| WriteError::System {
        path: path.clone(),
        source,
    };
    for _ in 0..TRIES {
        let (_lock, target) = lock(&path).map_err(system)?;
        let before = fs::read(&target).map_err(system)?;
        let text = std::str::from_utf8(&before).map_err(|error| WriteError::Broken {
            path: path.clone(),
            line: before
                .iter()
                .take(error.valid_up_to())
                .filter(|b| **b == b'\n')
                .count()
                + 1,
            reason: "this is not UTF-8 text".to_owned(),
        })?;
        let after = with(text, entry).map_err(|(line, reason)| WriteError::Broken {
            path: path.clone(),
            line,
            reason,
        })?;
        if replace(&target, &before, &after).map_err(system)? == Replaced::Yes {
            let head = after.rfind("[[correction]]").unwrap_or(0);
            return Ok(line_at(&after, head));
        }
    }
    Err(WriteError::Busy { path })
}

/// Opens and locks the file; the path is that of the file itself where it is a link.
fn lock(path: &Path) -> io::Result<(File, PathBuf)> {
    loop {
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)?;
        file.lock()?;
        // Whoever had the lock before may have put another file in its place.
        let ours = same_file::Handle::from_file(file.try_clone()?)?;
        match same_file::Handle::from_path(path) {
            Ok(there) if there == ours => return Ok((file, fs::canonicalize(path)?)),
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error),
        }
    }
}

/// The text with the entry behind all others; else the line that is wrong, and why.
fn with(text: &str, entry: &Entry) -> Result<String, (usize, String)> {
    let text = if text.trim().is_empty() { HEAD } else { text };
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| {
        let line = error.span().map_or(1, |s| line_at(text, s.start));
        (line, error.message().trim().to_owned())
    })?;
    // A remark at the end of the file stays where it stands: before the new entry.
    let mut before = document.trailing().as_str().unwrap_or_default().to_owned();
    document.set_trailing("");
    if !before.is_empty() && !before.ends_with('\n') {
        before.push('\n');
    }
    before.push('\n');
    let mut table = entry.table();
    table.decor_mut().set_prefix(before);
    let entries = document
        .entry("correction")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    match entries {
        Item::ArrayOfTables(entries) => entries.push(table),
        _ => {
            let line = text.find("correction").map_or(1, |at| line_at(text, at));
            return Err((
                line,
                "`correction` is written as a list; write each entry under a line `[[correction]]`"
                    .to_owned(),
            ));
        }
    }
    Ok(document.to_string())
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Replaced {
    Yes,
    /// It had changed: nothing was done.
    Changed,
}

/// Puts `after` in the place of `before`.
fn replace(target: &Path, before: &[u8], after: &str) -> io::Result<Replaced> {
    let folder = target.parent().unwrap_or(Path::new("."));
    let mut aside = tempfile::Builder::new()
        .prefix(".corrections-")
        .suffix(".toml")
        .tempfile_in(folder)?;
    aside.write_all(after.as_bytes())?;
    aside
        .as_file()
        .set_permissions(fs::metadata(target)?.permissions())?;
    aside.as_file().sync_all()?;
    if fs::read(target)? != before {
        return Ok(Replaced::Changed);
    }
    aside.persist(target).map_err(|error| error.error)?;
    // The folder's own entry comes to the disk where the system lets a folder be opened.
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(Replaced::Yes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> Entry {
        Entry {
            note: "a.md".to_owned(),
            line: 3,
            words: "the \"grey\" box".to_owned(),
            visit: "2026-01-14".parse().ok(),
            act: Act::Add,
            fact: vec![("symptom", "breaker-trips".into())],
        }
    }

    const WRITTEN: &str = "[[correction]]
note = \"a.md\"
line = 3
words = 'the \"grey\" box'
visit = 2026-01-14
add = { symptom = \"breaker-trips\" }
";

    fn check(before: &str, after: &str) {
        assert_eq!(with(before, &entry()), Ok(after.to_owned()));
    }

    #[test]
    fn the_new_entry_stands_behind_all_that_is_there() {
        assert_eq!(entry().text(), WRITTEN);
        check("", &format!("{HEAD}\n{WRITTEN}"));
        let own = "# mine\n\n[[correction]] # why not\nnote   = \"b.md\"   # the log\nline = 1\nwords = \"x\"\ndrop = {fix=\"replaced breaker\"}\n";
        check(own, &format!("{own}\n{WRITTEN}"));
        check(
            &format!("{own}\n# the end"),
            &format!("{own}\n# the end\n\n{WRITTEN}"),
        );
        check(
            &format!("{own}\n{WRITTEN}"),
            &format!("{own}\n{WRITTEN}\n{WRITTEN}"),
        );
    }

    #[test]
    fn what_is_no_toml_is_left_alone() {
        let broken = "[[correction]]\nnote = \"b.md\nline = 1\n";
        assert_eq!(with(broken, &entry()).map_err(|e| e.0), Err(2));
        let list = "\ncorrection = []\n";
        assert_eq!(with(list, &entry()).map_err(|e| e.0), Err(2));
    }
}
