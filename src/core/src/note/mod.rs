//! Markdown and front matter to visits, blocks and spans.
//!
//! A note is one visit, or a running log of one site with a dated heading a visit. [`parse`] never fails: what cannot
//! be understood becomes a [`NoteProblem`] with its line, and everything else is still read. Nothing here knows the
//! trade: it tells which text belongs to which visit, and how it is laid out (paragraph, list, table, quote, heading),
//! because a table's header and a section's heading say what the text below them means.

pub mod blocks;
pub mod dates;
pub mod front;
mod visits;

pub use blocks::{Block, Layout};
pub use dates::DateOrder;
pub use visits::parse;

use jiff::civil::Date;
use std::ops::Range;

/// What the shop says about its notes, and what today is.
#[derive(Clone, Debug, Default)]
pub struct Conventions {
    /// The order of day and month where a date leaves it open.
    pub order: Option<DateOrder>,
    /// The newest date that a visit may have.
    pub today: Option<Date>,
}

/// A visit or a call.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum VisitKind {
    /// Someone was there.
    #[default]
    Visit,
    /// Someone rang.
    Call,
}

impl VisitKind {
    /// Its name in notes and JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            VisitKind::Visit => "visit",
            VisitKind::Call => "call",
        }
    }
}

/// One visit, as laid out in its note.
#[derive(Clone, Debug, Default)]
pub struct Visit {
    /// Line of the visit's dated heading, else 1.
    pub line: usize,
    /// Bytes of the note that belong to it.
    pub span: Range<usize>,
    /// The site as the note names it.
    pub site: Option<String>,
    /// The day, where the note or its file's name says it.
    pub date: Option<Date>,
    /// Day and month might be the other way round.
    pub date_unsure: bool,
    /// Visit or call.
    pub kind: VisitKind,
    /// Who was there.
    pub tech: Option<String>,
    /// The weather line, with its place in the note.
    pub weather: Option<(String, Range<usize>)>,
    /// What stands in it, in order.
    pub blocks: Vec<Block>,
}

/// A note as visits.
#[derive(Clone, Debug, Default)]
pub struct Note {
    /// At least one, unless the text is empty.
    pub visits: Vec<Visit>,
    /// What could not be understood.
    pub problems: Vec<NoteProblem>,
}

/// Something in a note that a person should look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteProblem {
    /// Line, from 1.
    pub line: usize,
    /// What it is.
    pub fault: NoteFault,
}

/// What can be wrong with a note.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoteFault {
    /// The front matter is no YAML.
    #[error(
        "the front matter is not valid YAML ({0}); its plain `key: value` lines were read. Correct it between the two `---` lines"
    )]
    FrontMatter(String),
    /// The front matter has no end.
    #[error(
        "the front matter begins with `---` and never ends; add a line `---` after its last key"
    )]
    FrontMatterOpen,
    /// A date that no calendar has.
    #[error("`{0}` is no date in the calendar; correct it")]
    ImpossibleDate(String),
    /// A date after today or before 1950.
    #[error(
        "the date {0} is after today or before 1950; the visit is kept and counts in no statistics"
    )]
    UnlikelyDate(Date),
    /// No date anywhere.
    #[error("no date found in the note or its file name; add `date: YYYY-MM-DD` at the top")]
    NoDate,
    /// No site anywhere.
    #[error("no site found in the note; add `site: NAME` at the top")]
    NoSite,
    /// Nothing in it.
    #[error("the note is empty")]
    Empty,
}

/// The line, from 1, in which byte `at` of `text` lies.
#[must_use]
pub fn line_at(text: &str, at: usize) -> usize {
    text.as_bytes()
        .get(..at.min(text.len()))
        .unwrap_or_default()
        .iter()
        .filter(|b| **b == b'\n')
        .count()
        + 1
}
