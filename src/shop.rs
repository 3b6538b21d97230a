//! What a shop says about itself: `padlore.toml` at the top of its notes folder.

use padlore_core::note::{Conventions, DateOrder};
use serde::Deserialize;
use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

/// The file's name.
pub const FILE: &str = "padlore.toml";

/// The file as written; every key is optional.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ShopFile {
    /// The shop.
    #[serde(default)]
    pub shop: Shop,
    /// Other names that a site goes by.
    #[serde(default)]
    pub sites: BTreeMap<String, Vec<String>>,
}

/// The shop.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Shop {
    /// Its name.
    pub name: Option<String>,
    /// The order of day and month in its dates.
    pub date_order: Option<DateOrder>,
    /// `us` or `metric`.
    pub units: Option<String>,
    /// Its time zone, as in the zone database.
    pub zone: Option<String>,
    /// Folder of its own table entries, beside this file.
    pub kb: Option<PathBuf>,
    /// Days after a mend in which labour is free.
    pub guarantee_days: Option<u32>,
}

/// Why the file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ShopError {
    /// It cannot be opened.
    #[error("{path}: cannot be read: {source}")]
    Open {
        /// The file.
        path: PathBuf,
        /// The system's reason.
        source: std::io::Error,
    },
    /// It is no valid table.
    #[error("{path}:{line}: {text}; correct the line, or take it out")]
    Invalid {
        /// The file.
        path: PathBuf,
        /// Its line.
        line: usize,
        /// What is wrong.
        text: String,
    },
}

/// Reads `padlore.toml` of a notes folder; a folder without one is a shop without settings.
///
/// # Errors
/// Where the file is there and cannot be read.
pub fn read(notes: &Path) -> Result<ShopFile, ShopError> {
    let path = notes.join(FILE);
    let text = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            return Ok(ShopFile::default());
        }
        Err(source) => return Err(ShopError::Open { path, source }),
    };
    toml::from_str(&text).map_err(|error| {
        let line = error.span().map_or(1, |s| {
            text.get(..s.start)
                .unwrap_or_default()
                .matches('\n')
                .count()
                + 1
        });
        ShopError::Invalid {
            path,
            line,
            text: error.message().to_owned(),
        }
    })
}

impl ShopFile {
    /// How the shop's notes are to be read.
    #[must_use]
    pub fn conventions(&self, today: jiff::civil::Date) -> Conventions {
        Conventions {
            order: self.shop.date_order,
            today: Some(today),
        }
    }

    /// The name that a site goes by in the store.
    #[must_use]
    pub fn site<'a>(&'a self, name: &'a str) -> &'a str {
        let folded = fold(name);
        let known = self.sites.iter().find(|(site, others)| {
            fold(site) == folded || others.iter().any(|o| fold(o) == folded)
        });
        known.map_or(name, |(site, _)| site.as_str())
    }
}

/// A site's name with case and marks folded away, for comparing.
#[must_use]
pub fn fold(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}
