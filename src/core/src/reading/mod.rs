//! Text to facts: what a visit note says, with the place that says it.
//!
//! The road: [`lexer`] cuts a visit's blocks into words, numbers and marks; [`spelling`] reads abbreviations,
//! misspellings and misheard words as what they mean; [`numerals`] joins spoken numbers; [`matcher`] finds the
//! wordings of the tables; [`scope`] says whether a mention is denied, past, planned or another site's; the
//! assemblers build facts from mentions. Every fact keeps its place in the note. What a person says that a note means
//! ([`correction`]) comes last and wins.

pub mod assemble;
pub mod clock;
pub mod correction;
pub mod facts;
pub mod features;
pub mod gaps;
pub mod learned;
pub mod lexer;
pub mod matcher;
pub mod misleading;
pub mod numerals;
pub mod phones;
pub mod private;
pub mod quantities;
pub mod question;
pub mod read;
pub mod scope;
pub mod spelling;
pub mod train;
pub mod units;
pub mod unread;
pub mod words;

pub use read::read;
