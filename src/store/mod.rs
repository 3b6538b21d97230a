//! The index of the notes: tantivy, one document a visit, its facts beside the text.
//!
//! The notes are the truth; a store can be thrown away and built again. [`ingest`] brings it up to date: it compares the
//! folder with what the last commit knew (size and time first, then the content's hash), reads again only what changed
//! and makes one commit, whose payload holds the state of all files, so that one rename of tantivy's meta file commits
//! both. [`Store`] answers questions from the last commit, also while another process writes.

mod ingest;
mod open;
mod record;
mod search;
mod state;

pub use ingest::{Ingested, Rebuild, ingest};
pub use open::{Store, StoreError, default_folder};
pub use record::Record;
pub use search::{Answer, Facets, Filter, Hit};
pub use state::State;
