//! The JSON that others rely on, as its own set of shapes (`"schema": 1`).
//!
//! A field is never renamed or given another meaning under one number; inner types may change freely.

pub mod facts;
pub mod find;
pub mod suspect;

/// The number of the shapes.
pub const SCHEMA: u32 = 1;
