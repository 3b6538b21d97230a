//! The core of padlore: text and values in, values out.
//!
//! A note's text becomes visits ([`note`]), visits become facts ([`reading`]) by the shop's knowledge tables
//! ([`trade`]), facts answer questions ([`finding`], [`diagnosis`]); [`science`] holds the formulas that all of them
//! use. Nothing here opens a file, asks the clock, starts a thread or knows the index: the crate lacks what it would
//! need for that, so the compiler keeps it so, and the same code runs on a phone as WebAssembly.

pub mod diagnosis;
pub mod finding;
pub mod note;
pub mod reading;
pub mod science;
pub mod trade;
