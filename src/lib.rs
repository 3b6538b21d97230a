//! padlore at the rim: files, terminal, index.
//!
//! The core ([`padlore_core`]) turns text into facts and facts into answers; this crate opens the notes ([`notes`]),
//! reads the shop's own settings ([`shop`]) and what its people say that notes really mean ([`corrections`]), keeps the index ([`store`]), shapes the JSON that others rely on
//! ([`json`]) and talks to a person ([`cli`]).

pub mod cli;
pub mod corrections;
pub mod json;
pub mod notes;
pub mod shop;
pub mod store;
