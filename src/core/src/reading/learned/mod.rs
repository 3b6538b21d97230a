//! The small learned part of the reader, where rules reach their end.
//!
//! Two kinds of linear model, made by `padlore learn` from labelled notes and snippets, their weights in
//! `kb/learned/`: [`spotting`] hears what a clause speaks of where no wording of the tables matches, and [`deciding`]
//! says what becomes of a mention (present, absent, past, nothing). [`weights`] is how both are kept.

pub mod deciding;
pub mod spotting;
pub mod weights;

pub use deciding::{Example, Model, NOTHING};
