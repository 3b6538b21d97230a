//! The answers of `ingest` and `find` as JSON.

use crate::{
    notes::Refused,
    store::{Answer, Facets, Hit, Ingested},
};
use serde::Serialize;
use std::collections::BTreeMap;

/// The answer of `ingest`.
#[derive(Debug, Serialize)]
pub struct IngestAnswer {
    schema: u32,
    notes: usize,
    visits: usize,
    added: usize,
    changed: usize,
    removed: usize,
    refused: Vec<Refused>,
    /// What could not be understood in notes that were read.
    problems: Vec<Refused>,
    seconds: f64,
}

impl IngestAnswer {
    /// The JSON of an ingest.
    #[must_use]
    pub fn of(done: &Ingested) -> Self {
        Self {
            schema: super::SCHEMA,
            notes: done.state.files.len(),
            visits: done.state.visits(),
            added: done.added,
            changed: done.changed,
            removed: done.removed,
            refused: done.state.refused.clone(),
            problems: done.state.problems().cloned().collect(),
            seconds: done.took.as_secs_f64(),
        }
    }
}

/// The answer of `find`.
#[derive(Debug, Serialize)]
pub struct FindAnswer {
    schema: u32,
    total: usize,
    as_of: String,
    hits: Vec<JobHit>,
    facets: BTreeMap<&'static str, Vec<Count>>,
}

/// A past visit.
#[derive(Debug, Serialize)]
pub struct JobHit {
    file: String,
    line: usize,
    at: usize,
    site: String,
    date: Option<String>,
    score: f64,
    excerpt: String,
    because: Vec<String>,
    causes: Vec<String>,
    fixes: Vec<String>,
    outcome: String,
}

#[derive(Debug, Serialize)]
struct Count {
    id: String,
    count: usize,
}

impl JobHit {
    /// The JSON of a hit.
    #[must_use]
    pub fn of(hit: &Hit) -> Self {
        let record = &hit.record;
        Self {
            file: record.file.clone(),
            line: record.line,
            at: record.text_line + hit.excerpt.line,
            site: record.site.clone(),
            date: Some(record.date.clone()).filter(|d| !d.is_empty()),
            score: (hit.score * 1e4).round() / 1e4,
            excerpt: hit.excerpt.text.clone(),
            because: hit.because.clone(),
            causes: record.causes.clone(),
            fixes: record
                .fixes
                .iter()
                .filter(|f| f.2 == "done")
                .map(|(action, part, _)| format!("{action} {part}"))
                .collect(),
            outcome: record.outcome.clone(),
        }
    }
}

impl FindAnswer {
    /// The JSON of an answer.
    #[must_use]
    pub fn of(answer: &Answer, as_of: &str) -> Self {
        Self {
            schema: super::SCHEMA,
            total: answer.total,
            as_of: as_of.to_owned(),
            hits: answer.hits.iter().map(JobHit::of).collect(),
            facets: counts(&answer.facets),
        }
    }
}

/// Facets, most frequent first, then by name.
fn counts(facets: &Facets) -> BTreeMap<&'static str, Vec<Count>> {
    let sorted = |ids: &BTreeMap<String, usize>| {
        let mut list: Vec<Count> = ids
            .iter()
            .map(|(id, count)| Count {
                id: id.clone(),
                count: *count,
            })
            .collect();
        list.sort_by(|a, b| b.count.cmp(&a.count).then(a.id.cmp(&b.id)));
        list
    };
    facets
        .iter()
        .map(|(kind, ids)| (*kind, sorted(ids)))
        .collect()
}
