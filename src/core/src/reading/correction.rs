//! What a person says a note really means.
//!
//! `corrections.toml` at the top of a notes folder holds one entry a correction:
//!
//! ```toml
//! [[correction]]
//! note = "2026-01-14-withy-lane.md"      # below the notes folder
//! line = 6
//! words = "the grey box let go again"    # the note's own words, on that line
//! add = { symptom = "breaker-trips", status = "present", conditions = ["cold"] }
//!
//! [[correction]]
//! note = "2026-01-14-withy-lane.md"
//! line = 9
//! words = "no trips"
//! drop = { symptom = "breaker-trips" }
//! ```
//!
//! Each says one fact, in the ids of the vocabulary, and the words that it rests on: lines move when a note is written
//! on, and words that stand elsewhere in the same visit are found again. [`entries`] reads the file, [`quoted`] finds
//! the words, [`apply`] changes the facts of a note's visits. Entries act in the order of the file, so that a later one
//! wins; one that cannot hold is told with its line and what to do, and all others hold.

mod apply;
mod entries;
mod quoted;

pub use apply::{Applied, apply, would_drop};
pub use entries::read;
pub use quoted::on_line;

use super::facts::{CauseStatus, FactKind, FixStatus, SymptomStatus, Value, When};
use crate::trade::vocabulary::Id;
use jiff::civil::Date;

/// What `corrections.toml` says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Corrections {
    /// The entries that can be read, in the file's order.
    pub entries: Vec<Correction>,
    /// What is wrong with the others.
    pub problems: Vec<CorrectionProblem>,
}

impl Corrections {
    /// The corrections of one note, by its path below the notes folder, with `/`.
    #[must_use]
    pub fn of_note(&self, note: &str) -> Vec<&Correction> {
        self.entries.iter().filter(|c| c.note == note).collect()
    }
}

/// One correction.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// The note, by its path below the notes folder, with `/`.
    pub note: String,
    /// The note's line on which the words stood.
    pub line: usize,
    /// The note's words that it rests on.
    pub words: String,
    /// The day of the visit meant, where the note is a log of several and the entry says it.
    pub visit: Option<Date>,
    /// What to do.
    pub act: Act,
    /// The fact.
    pub fact: Stated,
    /// Line of its entry in `corrections.toml`.
    pub at: usize,
}

/// What a correction does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// The note does not say that.
    Drop,
    /// The note says that.
    Add,
}

/// A fact as a person states it. What is left open is filled in when it is added, and anything when it is dropped.
#[derive(Clone, Debug, PartialEq)]
pub enum Stated {
    /// A kind of equipment.
    Equipment {
        /// The kind.
        kind: Id,
        /// Its label.
        label: Option<String>,
        /// Its maker.
        maker: Option<String>,
        /// Its model.
        model: Option<String>,
    },
    /// A symptom.
    Symptom {
        /// Its id.
        id: Id,
        /// Whether it was there.
        status: Option<SymptomStatus>,
        /// When it happens; these take the place of those that were read.
        conditions: Option<Vec<Id>>,
        /// On which equipment.
        on: Option<String>,
    },
    /// A setting.
    Setting {
        /// Which, and its value.
        quantity: StatedQuantity,
        /// When it had it.
        when: Option<When>,
    },
    /// A reading.
    Reading {
        /// Which, and its value.
        quantity: StatedQuantity,
        /// The reading's state.
        state: Option<String>,
    },
    /// A cause.
    Cause {
        /// Its id.
        id: Id,
        /// How sure it is.
        status: Option<CauseStatus>,
    },
    /// A fix.
    Fix {
        /// What was done.
        action: Id,
        /// To what.
        part: Id,
        /// Whether it was.
        status: Option<FixStatus>,
        /// On which equipment.
        on: Option<String>,
    },
    /// How the visit ended.
    Outcome {
        /// Its id.
        id: Id,
    },
}

/// A setting or reading as a person states it.
#[derive(Clone, Debug, PartialEq)]
pub struct StatedQuantity {
    /// Its id.
    pub id: Id,
    /// The value in the vocabulary's unit.
    pub value: Option<Value>,
    /// The vocabulary's unit.
    pub unit: String,
    /// On which equipment.
    pub on: Option<String>,
}

impl Stated {
    /// What sort of fact it is.
    #[must_use]
    pub fn kind(&self) -> FactKind {
        match self {
            Stated::Equipment { .. } => FactKind::Equipment,
            Stated::Symptom { .. } => FactKind::Symptom,
            Stated::Setting { .. } => FactKind::Setting,
            Stated::Reading { .. } => FactKind::Reading,
            Stated::Cause { .. } => FactKind::Cause,
            Stated::Fix { .. } => FactKind::Fix,
            Stated::Outcome { .. } => FactKind::Outcome,
        }
    }
}

/// `symptom breaker-trips`, `fix replaced breaker`.
impl std::fmt::Display for Stated {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} ", self.kind().name())?;
        match self {
            Stated::Equipment { kind: id, .. }
            | Stated::Symptom { id, .. }
            | Stated::Cause { id, .. }
            | Stated::Outcome { id } => write!(f, "{id}"),
            Stated::Fix { action, part, .. } => write!(f, "{action} {part}"),
            Stated::Setting { quantity, .. } | Stated::Reading { quantity, .. } => {
                write!(f, "{}", quantity.id)?;
                match &quantity.value {
                    Some(Value::Number(value)) => write!(f, " {value} {}", quantity.unit),
                    Some(Value::Text(text)) => write!(f, " {text}"),
                    None => Ok(()),
                }
            }
        }
    }
}

/// An entry that does not hold, or not as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct CorrectionProblem {
    /// Line in `corrections.toml`, from 1.
    pub line: usize,
    /// What it is.
    pub fault: CorrectionFault,
}

/// What can be wrong with a correction. What is told of after a semicolon is what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CorrectionFault {
    /// The entry is no TOML, or has a key that is not known.
    #[error("this entry cannot be read ({0}); correct it, or take it out")]
    Unreadable(String),
    /// A key is missing.
    #[error("this entry has no `{key}`; add `{key} = {example}`")]
    Missing {
        /// The key.
        key: &'static str,
        /// What could stand there.
        example: &'static str,
    },
    /// A key has a value that it cannot have.
    #[error("`{value}` is no {what}; write {wanted}")]
    Value {
        /// As written.
        value: String,
        /// What it should be.
        what: &'static str,
        /// What may stand there.
        wanted: String,
    },
    /// It neither drops nor adds, or both.
    #[error(
        "an entry says one thing; write either `drop = {{ … }}` or `add = {{ … }}`, and a second entry for the other"
    )]
    OneAct,
    /// It names no fact, or several.
    #[error(
        "`{act}` names one fact; write one of symptom, cause, fix, setting, reading, equipment or outcome, and a second entry for another"
    )]
    OneFact {
        /// `drop` or `add`.
        act: &'static str,
    },
    /// A key that says nothing of such a fact.
    #[error("`{key}` says nothing of a fact of kind {kind}; take it out")]
    Idle {
        /// The key.
        key: &'static str,
        /// The fact's kind.
        kind: &'static str,
    },
    /// An id that no table knows.
    #[error("`{id}` is no {section}; the nearest is `{near}`")]
    UnknownId {
        /// As written.
        id: String,
        /// What it should be.
        section: &'static str,
        /// The nearest known id.
        near: String,
    },
    /// A unit in which that is not measured.
    #[error("`{unit}` is no unit of {id}; give the value in {wanted}")]
    Unit {
        /// As written.
        unit: String,
        /// The setting or reading.
        id: Id,
        /// The vocabulary's unit.
        wanted: String,
    },
    /// No visit of that day.
    #[error("`{note}` has no visit of {visit}; correct the day, or take `visit` out")]
    NoVisit {
        /// The note.
        note: String,
        /// The day.
        visit: Date,
    },
    /// The words stand on another line of the visit; the correction holds.
    #[error(
        "\u{201c}{words}\u{201d} stands on line {found} of {note} now, and the correction is taken for there; write `line = {found}`"
    )]
    Moved {
        /// The words.
        words: String,
        /// The note.
        note: String,
        /// Where they stand.
        found: usize,
    },
    /// The words are gone from the note.
    #[error(
        "\u{201c}{words}\u{201d} no longer stands in that visit of {note}, and the correction is left out; quote the words that it rests on now, or take the entry out{}",
        hint(*.elsewhere)
    )]
    Stale {
        /// The words.
        words: String,
        /// The note.
        note: String,
        /// A line of another visit of the note on which they stand.
        elsewhere: Option<usize>,
    },
    /// Nothing of the kind is read there.
    #[error(
        "nothing to drop: no {fact} is read from \u{201c}{words}\u{201d} ({note}:{line}); correct the id or the line, or take the entry out"
    )]
    Nothing {
        /// The fact as stated.
        fact: String,
        /// The words.
        words: String,
        /// The note.
        note: String,
        /// Where the words stand.
        line: usize,
    },
}

fn hint(line: Option<usize>) -> String {
    line.map_or_else(String::new, |line| {
        format!(" (another visit has them on line {line}: if that is meant, write `line = {line}`)")
    })
}
