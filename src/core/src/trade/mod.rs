//! What the trade knows, as tables that a technician can read and correct.
//!
//! The tables lie in `kb/` and are compiled into the program; a shop's own folder is laid over them. [`Knowledge`] is
//! all of it, checked: the permanent ids ([`vocabulary`]), the words for them ([`wording`], [`lexicon`]), and causes
//! with their checks ([`causes`]). A fault in a table is a [`TableProblem`] with file, line and entry; the entry is
//! left out and the rest still serves.

pub mod causes;
pub mod index;
pub mod lexicon;
mod load;
pub mod raw;
pub mod terms;
pub mod vocabulary;
pub mod wording;

use causes::{Band, Cause, Check, Compare, Stop};
use lexicon::Lexicon;
use std::{fmt, sync::OnceLock};
use vocabulary::Vocabulary;

/// Every table with its path below `kb/`.
static BUILT_IN: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/tables.rs"));
/// The learned weights by name.
static LEARNED: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/learned.rs"));

/// The tables, read and checked.
pub struct Knowledge {
    /// The permanent ids.
    pub vocabulary: Vocabulary,
    /// Words and their meanings.
    pub lexicon: Lexicon,
    /// Causes, in the order of the tables.
    pub causes: Vec<Cause>,
    /// Checks and observations.
    pub checks: Vec<Check>,
    /// Measured evidence by band.
    pub bands: Vec<Band>,
    /// Values against each other.
    pub compares: Vec<Compare>,
    /// What stops work.
    pub stops: Vec<Stop>,
    /// The usual caution of each hazard.
    pub cautions: Vec<(Hazard, String)>,
    /// What is wrong with the tables.
    pub problems: Vec<TableProblem>,
}

/// What the work can do to a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Hazard {
    /// Electric shock, arc.
    Electric,
    /// Gas, carbon monoxide.
    Gas,
    /// Chlorine, acid, fumes.
    Chemical,
    /// A filter or line under pressure.
    Pressure,
    /// Suction that holds a person.
    Entrapment,
    /// Water or metal that burns.
    Scald,
    /// Nothing beyond ordinary care.
    None,
}

impl Hazard {
    /// All of them.
    pub const ALL: [Hazard; 7] = [
        Hazard::Electric,
        Hazard::Gas,
        Hazard::Chemical,
        Hazard::Pressure,
        Hazard::Entrapment,
        Hazard::Scald,
        Hazard::None,
    ];

    /// Its name in tables and JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Hazard::Electric => "electric",
            Hazard::Gas => "gas",
            Hazard::Chemical => "chemical",
            Hazard::Pressure => "pressure",
            Hazard::Entrapment => "entrapment",
            Hazard::Scald => "scald",
            Hazard::None => "none",
        }
    }

    /// The hazard of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|h| h.name() == name)
    }
}

/// Who may do a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Who {
    /// Anyone.
    Anyone,
    /// A trained technician.
    Trained,
    /// A qualified electrical person.
    Electrical,
    /// A licensed gas fitter.
    Gas,
}

impl Who {
    /// Its name in tables and JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Who::Anyone => "anyone",
            Who::Trained => "trained",
            Who::Electrical => "electrical",
            Who::Gas => "gas",
        }
    }

    /// The person of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Who::Anyone, Who::Trained, Who::Electrical, Who::Gas]
            .into_iter()
            .find(|w| w.name() == name)
    }
}

/// A fault in a table.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TableProblem {
    /// The file, as named when loaded.
    pub file: String,
    /// Its line, from 1.
    pub line: usize,
    /// What is wrong, with the entry and what to do.
    pub text: String,
}

impl fmt::Display for TableProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.file, self.line, self.text)
    }
}

/// A table's text with the name that faults are shown under (`lexicon/symptoms.toml`).
#[derive(Clone, Debug)]
pub struct TableFile {
    /// Path below the folder of tables; it decides what the table is.
    pub path: String,
    /// Its text.
    pub text: String,
}

impl Knowledge {
    /// The built-in tables.
    pub fn built_in() -> &'static Self {
        static KNOWLEDGE: OnceLock<Knowledge> = OnceLock::new();
        KNOWLEDGE.get_or_init(|| Self::with(&[]))
    }

    /// The built-in tables with a shop's own laid over them: its wordings are added, its causes, checks and dangers
    /// take the place of those with the same id.
    #[must_use]
    pub fn with(own: &[TableFile]) -> Self {
        let mut files = built_in_files();
        files.extend_from_slice(own);
        load::load(&files, LEARNED)
    }

    /// Only these tables.
    #[must_use]
    pub fn from_files(files: &[TableFile]) -> Self {
        load::load(files, &[])
    }

    /// The cause with that id.
    #[must_use]
    pub fn cause(&self, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|c| c.id == *id)
    }

    /// The check with that id.
    #[must_use]
    pub fn check(&self, id: &str) -> Option<&Check> {
        self.checks.iter().find(|c| c.id == *id)
    }

    /// The usual caution of a hazard.
    #[must_use]
    pub fn caution(&self, hazard: Hazard) -> Option<&str> {
        self.cautions
            .iter()
            .find(|(h, _)| *h == hazard)
            .map(|(_, text)| text.as_str())
    }
}

/// The tables that are compiled in.
#[must_use]
pub fn built_in_files() -> Vec<TableFile> {
    let file = |(path, text): &(&str, &str)| TableFile {
        path: (*path).to_owned(),
        text: (*text).to_owned(),
    };
    BUILT_IN.iter().map(file).collect()
}

/// The learned weights that are compiled in, by name, as bytes.
#[must_use]
pub fn built_in_learned() -> &'static [(&'static str, &'static [u8])] {
    LEARNED
}

/// Ordinary English words, sorted, one a line: never taken for misspelt trade words.
#[must_use]
pub fn ordinary_words() -> &'static str {
    let list = BUILT_IN
        .iter()
        .find(|(path, _)| *path == "lexicon/english.txt");
    list.map_or("", |(_, text)| text)
}
