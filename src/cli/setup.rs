//! From what was typed to what it means: the notes folder, the shop, the tables, today.

use super::{args::Common, errors::Failure};
use crate::{
    corrections::{self, CorrectionsFile},
    shop::{self, ShopFile},
    store::{self, Rebuild, Store, StoreError},
};
use jiff::civil::Date;
use padlore_core::trade::{Knowledge, TableFile, built_in_files, built_in_learned};
use std::{
    env, fs,
    path::{Path, PathBuf},
};
use walkdir::WalkDir;

/// What a command works with.
pub struct Setup {
    /// The notes folder, where there is one.
    pub notes: Option<PathBuf>,
    /// What the shop says about itself.
    pub shop: ShopFile,
    /// What counts as today.
    pub today: Date,
    own_files: Vec<TableFile>,
    own: Option<Box<Knowledge>>,
}

impl Setup {
    /// Settles what was typed.
    ///
    /// # Errors
    /// Where a folder that is named is not there, or the shop's settings or tables cannot be read.
    pub fn new(common: &Common) -> Result<Self, Failure> {
        Self::with_notes(common, notes_folder(common)?)
    }

    /// The same for notes that are named one by one: where nothing says which folder they belong to, it is the nearest one
    /// above the first of them that holds padlore.toml or corrections.toml.
    ///
    /// # Errors
    /// As for [`Setup::new`].
    pub fn of_notes(common: &Common, files: &[PathBuf]) -> Result<Self, Failure> {
        let notes = notes_folder(common)?;
        let above = || {
            let first = fs::canonicalize(files.first()?).ok()?;
            let folder = first.ancestors().skip(1).find(|folder| {
                folder.join(shop::FILE).is_file() || folder.join(corrections::FILE).is_file()
            });
            folder.map(Path::to_owned)
        };
        Self::with_notes(common, notes.or_else(above))
    }

    fn with_notes(common: &Common, notes: Option<PathBuf>) -> Result<Self, Failure> {
        let shop = notes
            .as_deref()
            .map(shop::read)
            .transpose()?
            .unwrap_or_default();
        let today = common.today.unwrap_or_else(|| today(&shop));
        let beside = notes
            .as_deref()
            .zip(shop.shop.kb.as_deref())
            .map(|(folder, kb)| folder.join(kb));
        let kb = common.kb.clone().or(beside);
        let own_files = kb
            .as_deref()
            .map(table_files)
            .transpose()?
            .unwrap_or_default();
        let own = (!own_files.is_empty()).then(|| Box::new(Knowledge::with(&own_files)));
        Ok(Self {
            notes,
            shop,
            today,
            own_files,
            own,
        })
    }

    /// The tables.
    #[must_use]
    pub fn knowledge(&self) -> &Knowledge {
        self.own.as_deref().unwrap_or_else(|| Knowledge::built_in())
    }

    /// What the shop's people say that notes really mean.
    #[must_use]
    pub fn corrections(&self) -> CorrectionsFile {
        self.notes
            .as_deref()
            .map(|folder| corrections::read(folder, self.knowledge()))
            .unwrap_or_default()
    }

    /// A note's path below the notes folder, with `/`; `None` where it is not in there.
    #[must_use]
    pub fn name_below(&self, note: &Path) -> Option<String> {
        let folder = fs::canonicalize(self.notes.as_deref()?).ok()?;
        // The note's own folder is followed, the note itself is not: a link in the folder goes by its own name.
        let parent = note.parent().filter(|p| !p.as_os_str().is_empty());
        let parent = fs::canonicalize(parent.unwrap_or(Path::new("."))).ok()?;
        let full = parent.join(note.file_name()?);
        full.starts_with(&folder)
            .then(|| crate::notes::name_below(&folder, &full))
    }

    /// Whether there are any notes to answer from.
    #[must_use]
    pub fn has_notes(&self) -> bool {
        self.notes
            .as_deref()
            .is_some_and(|folder| !crate::notes::list(folder).0.is_empty())
    }

    /// Where the store lives.
    ///
    /// # Errors
    /// Where there is no notes folder, or no cache folder is known.
    pub fn store(&self, common: &Common) -> Result<PathBuf, Failure> {
        match &common.store {
            Some(folder) => Ok(folder.clone()),
            None => Ok(store::default_folder(self.notes()?)?),
        }
    }

    /// The store as last committed; where there is none yet, it is built.
    ///
    /// # Errors
    /// Where there is no notes folder, or the store cannot be used.
    pub fn open_store(&self, common: &Common) -> Result<Store, Failure> {
        let folder = self.store(common)?;
        if let Some(store) = Store::open(&folder)? {
            return Ok(store);
        }
        store::ingest(
            self.notes()?,
            &folder,
            &self.shop,
            self.knowledge(),
            &self.tables_hash(),
            self.today,
            Rebuild::Changed,
        )?;
        let damaged = || StoreError::Damaged {
            path: folder.clone(),
            reason: "it holds no commit".to_owned(),
        };
        Ok(Store::open(&folder)?.ok_or_else(damaged)?)
    }

    /// What the reading of notes depends on beside the notes: the program's version and the tables.
    #[must_use]
    pub fn tables_hash(&self) -> String {
        let mut hasher = blake3::Hasher::new();
        hasher.update(env!("CARGO_PKG_VERSION").as_bytes());
        for file in self.table_files() {
            hasher.update(file.path.as_bytes());
            hasher.update(file.text.as_bytes());
        }
        for (name, bytes) in built_in_learned() {
            hasher.update(name.as_bytes());
            hasher.update(bytes);
        }
        for (site, others) in &self.shop.sites {
            hasher.update(format!("{site}={others:?}").as_bytes());
        }
        hasher.update(format!("{:?}", self.shop.shop.date_order).as_bytes());
        hasher
            .finalize()
            .to_hex()
            .get(..16)
            .unwrap_or_default()
            .to_owned()
    }

    /// The text of all tables: the built-in ones, then the shop's own.
    #[must_use]
    pub fn table_files(&self) -> Vec<TableFile> {
        let mut files = built_in_files();
        files.extend(self.own_files.iter().cloned());
        files
    }

    /// The notes folder.
    ///
    /// # Errors
    /// Where there is none.
    pub fn notes(&self) -> Result<&Path, Failure> {
        self.notes.as_deref().ok_or(Failure::NoNotes)
    }
}

fn notes_folder(common: &Common) -> Result<Option<PathBuf>, Failure> {
    let named = common.notes.clone().or_else(|| {
        env::var_os("PADLORE_NOTES")
            .filter(|v| !v.is_empty())
            .map(PathBuf::from)
    });
    if let Some(folder) = named {
        return if folder.is_dir() {
            Ok(Some(folder))
        } else {
            Err(Failure::NoFolder(folder))
        };
    }
    let here = env::current_dir()?;
    Ok(here
        .ancestors()
        .find(|folder| folder.join(shop::FILE).is_file())
        .map(Path::to_owned))
}

/// Today in the shop's zone; in the machine's where it names none.
fn today(shop: &ShopFile) -> Date {
    let now = jiff::ZonedDateTime::now();
    let zoned = shop
        .shop
        .zone
        .as_deref()
        .and_then(|zone| now.in_tz(zone).ok());
    zoned.unwrap_or(now).date()
}

/// The shop's own tables below a folder.
fn table_files(folder: &Path) -> Result<Vec<TableFile>, Failure> {
    if !folder.is_dir() {
        return Err(Failure::NoFolder(folder.to_owned()));
    }
    let mut out = Vec::new();
    for entry in WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(|e| Failure::Tables {
            path: folder.to_owned(),
            source: e.into(),
        })?;
        if entry.file_type().is_file()
            && entry
                .path()
                .extension()
                .is_some_and(|e| e == "toml" || e == "tsv")
        {
            let text = fs::read_to_string(entry.path()).map_err(|source| Failure::Tables {
                path: entry.path().to_owned(),
                source,
            })?;
            let below = entry.path().strip_prefix(folder).unwrap_or(entry.path());
            out.push(TableFile {
                path: below.to_string_lossy().replace('\\', "/"),
                text,
            });
        }
    }
    Ok(out)
}
