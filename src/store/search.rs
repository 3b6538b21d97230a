//! Questions to the store: candidates by words and facts, ordered by the core's own scorer.

use super::{
    open::{Store, StoreError},
    record::Record,
};
use padlore_core::{
    finding::{self, Collection, Wanted},
    reading::question::Question,
};
use std::collections::BTreeMap;
use tantivy::{
    Searcher, SegmentReader, TantivyDocument, TantivyError, Term,
    collector::TopDocs,
    query::{BooleanQuery, FuzzyTermQuery, Occur, Query, TermQuery},
    schema::{Field, IndexRecordOption, Value},
};

/// Candidates that the scorer looks at.
const CANDIDATES: usize = 600;
/// A visit that answers less of the question than this is no answer.
const FLOOR: f64 = 0.22;
/// Beside a much better answer a weak one is noise.
const BESIDE_BEST: f64 = 0.45;

/// What hits must be.
#[derive(Clone, Debug, Default)]
pub struct Filter {
    /// A site, as named by the shop.
    pub site: Option<String>,
    /// A kind of equipment.
    pub equipment: Option<String>,
    /// A symptom that was present.
    pub symptom: Option<String>,
    /// A cause, confirmed or suspected.
    pub cause: Option<String>,
    /// An action that was done.
    pub fix: Option<String>,
    /// Who wrote it.
    pub tech: Option<String>,
    /// From this ISO date on.
    pub since: Option<String>,
    /// Up to this ISO date.
    pub until: Option<String>,
}

impl Filter {
    fn passes(&self, record: &Record) -> bool {
        let folded = |a: &str, b: &str| crate::shop::fold(a).contains(&crate::shop::fold(b));
        self.site.as_ref().is_none_or(|s| folded(&record.site, s))
            && self
                .equipment
                .as_ref()
                .is_none_or(|e| record.equipment.contains(e))
            && self
                .symptom
                .as_ref()
                .is_none_or(|s| record.symptoms.contains(s))
            && self
                .cause
                .as_ref()
                .is_none_or(|c| record.causes.contains(c) || record.suspected.contains(c))
            && self.fix.as_ref().is_none_or(|f| {
                record
                    .fixes
                    .iter()
                    .any(|(action, _, status)| action == f && status == "done")
            })
            && self.tech.as_ref().is_none_or(|t| folded(&record.tech, t))
            && self
                .since
                .as_ref()
                .is_none_or(|d| !record.date.is_empty() && record.date >= *d)
            && self
                .until
                .as_ref()
                .is_none_or(|d| !record.date.is_empty() && record.date <= *d)
    }
}

/// A past visit that answers.
#[derive(Clone, Debug)]
pub struct Hit {
    /// The visit.
    pub record: Record,
    /// How much of the question it answers, from 0 to 1.
    pub score: f64,
    /// Why.
    pub because: Vec<String>,
    /// Where it answers best.
    pub excerpt: finding::Excerpt,
}

/// Counts of what the hits have.
pub type Facets = BTreeMap<&'static str, BTreeMap<String, usize>>;

/// Past visits, best first.
#[derive(Clone, Debug, Default)]
pub struct Answer {
    /// Hits in all.
    pub total: usize,
    /// The best of them.
    pub hits: Vec<Hit>,
    /// Counts over all hits.
    pub facets: Facets,
}

struct Counts<'s> {
    searcher: &'s Searcher,
    body: Field,
    jobs: f64,
    mean_words: f64,
}

impl Collection for Counts<'_> {
    fn jobs(&self) -> f64 {
        self.jobs
    }

    fn mean_words(&self) -> f64 {
        self.mean_words
    }

    fn with_stem(&self, stem: &str) -> f64 {
        let term = Term::from_field_text(self.body, stem);
        self.searcher
            .segment_readers()
            .iter()
            .map(|r| f64::from(alive_with(r, &term).unwrap_or(0)))
            .sum()
    }
}

/// Visits of a segment that have a term. Visits that were taken out stay in a segment's own counts until it is merged, and
/// must not be counted: scores would depend on the store's history.
fn alive_with(reader: &SegmentReader, term: &Term) -> Option<u32> {
    let inverted = reader.inverted_index(term.field()).ok()?;
    match reader.alive_bitset() {
        None => inverted.doc_freq(term).ok(),
        Some(alive) => inverted
            .read_postings(term, IndexRecordOption::Basic)
            .ok()?
            .map(|p| p.doc_freq_given_deletes(alive)),
    }
}

/// Words of all visits of a segment that were not taken out, by the lengths that the index keeps (rounded, as in BM25).
fn alive_words(reader: &SegmentReader, field: Field) -> u64 {
    let lengths = reader.get_fieldnorms_reader(field);
    lengths.map_or(0, |l| {
        reader
            .doc_ids_alive()
            .map(|doc| u64::from(l.fieldnorm(doc)))
            .sum()
    })
}

impl Store {
    /// Past visits that answer a question, at most `top` of them.
    ///
    /// # Errors
    /// Where the store cannot be read.
    pub fn find(
        &self,
        text: &str,
        question: &Question,
        filter: &Filter,
        top: usize,
    ) -> Result<Answer, StoreError> {
        let damaged = |e: TantivyError| StoreError::Damaged {
            path: self.folder.clone(),
            reason: e.to_string(),
        };
        let wanted = Wanted::of(text, question);
        let searcher = self.reader.searcher();
        let fields = self.opened.fields;
        let words: u64 = searcher
            .segment_readers()
            .iter()
            .map(|r| alive_words(r, fields.body))
            .sum();
        let jobs = searcher.num_docs() as f64;
        let counts = Counts {
            searcher: &searcher,
            body: fields.body,
            jobs,
            mean_words: words as f64 / jobs.max(1.0),
        };
        let asked = finding::Asked::new(&wanted, &counts);
        let query = self.candidates(&wanted, &counts);
        let found = searcher
            .search(&query, &TopDocs::with_limit(CANDIDATES).order_by_score())
            .map_err(damaged)?;
        let mut hits = Vec::new();
        for (_, address) in found {
            let document: TantivyDocument = searcher.doc(address).map_err(damaged)?;
            let json = document
                .get_first(fields.record)
                .and_then(|v| v.as_str().map(str::to_owned))
                .unwrap_or_default();
            let record: Record = serde_json::from_str(&json).map_err(|e| StoreError::Damaged {
                path: self.folder.clone(),
                reason: e.to_string(),
            })?;
            if !filter.passes(&record) {
                continue;
            }
            let Some(scored) = asked.score(&record.job()) else {
                continue;
            };
            if scored.score >= FLOOR {
                hits.push(Hit {
                    record,
                    score: scored.score,
                    because: scored.because,
                    excerpt: finding::Excerpt::default(),
                });
            }
        }
        hits.sort_by(|a, b| {
            b.score
                .total_cmp(&a.score)
                .then_with(|| b.record.date.cmp(&a.record.date))
                .then_with(|| a.record.file.cmp(&b.record.file))
                .then_with(|| a.record.line.cmp(&b.record.line))
        });
        let best = hits.first().map_or(0.0, |h| h.score);
        hits.retain(|h| h.score >= best * BESIDE_BEST);
        let facets = facets(&hits);
        let total = hits.len();
        hits.truncate(top);
        for hit in &mut hits {
            hit.excerpt = finding::excerpt(&wanted, &hit.record.text);
        }
        Ok(Answer {
            total,
            hits,
            facets,
        })
    }

    fn candidates(&self, wanted: &Wanted, counts: &Counts<'_>) -> BooleanQuery {
        let fields = self.opened.fields;
        let term = |field, text: &str| -> (Occur, Box<dyn Query>) {
            (
                Occur::Should,
                Box::new(TermQuery::new(
                    Term::from_field_text(field, text),
                    IndexRecordOption::WithFreqs,
                )),
            )
        };
        let mut clauses: Vec<(Occur, Box<dyn Query>)> = wanted
            .words
            .iter()
            .map(|w| term(fields.body, &w.stem))
            .collect();
        // A word that no visit has may be one of theirs with another ending or a slip: the scorer looks closer.
        for word in &wanted.words {
            let letters = word.stem.chars().count();
            if letters >= finding::ROOT && counts.with_stem(&word.stem) == 0.0 {
                let slips = u8::from(letters > finding::ROOT);
                let term = Term::from_field_text(fields.body, &word.stem);
                let near = FuzzyTermQuery::new_prefix(term, slips, true);
                clauses.push((Occur::Should, Box::new(near)));
            }
        }
        for phrase in &wanted.phrases {
            clauses.extend(
                finding::words_of(phrase)
                    .iter()
                    .map(|s| term(fields.body, s)),
            );
        }
        for (kind, ids) in [
            ("symptom", &wanted.symptoms),
            ("symptom", &wanted.guessed),
            ("condition", &wanted.conditions),
            ("equipment", &wanted.equipment),
            ("cause", &wanted.causes),
            ("part", &wanted.parts),
        ] {
            clauses.extend(
                ids.iter()
                    .map(|id| term(fields.fact, &format!("{kind}:{id}"))),
            );
        }
        BooleanQuery::new(clauses)
    }

    /// Every record, in order of file and line.
    ///
    /// # Errors
    /// Where the store cannot be read.
    pub fn records(&self) -> Result<Vec<Record>, StoreError> {
        let damaged = |reason: String| StoreError::Damaged {
            path: self.folder.clone(),
            reason,
        };
        let searcher = self.reader.searcher();
        let mut out = Vec::new();
        for reader in searcher.segment_readers() {
            let store = reader
                .get_store_reader(1)
                .map_err(|e| damaged(e.to_string()))?;
            for document in store.iter::<TantivyDocument>(reader.alive_bitset()) {
                let document = document.map_err(|e| damaged(e.to_string()))?;
                let json = document
                    .get_first(self.opened.fields.record)
                    .and_then(|v| v.as_str().map(str::to_owned))
                    .unwrap_or_default();
                out.push(
                    serde_json::from_str::<Record>(&json).map_err(|e| damaged(e.to_string()))?,
                );
            }
        }
        out.sort_by(|a, b| a.file.cmp(&b.file).then(a.line.cmp(&b.line)));
        Ok(out)
    }
}

fn facets(hits: &[Hit]) -> Facets {
    let mut out: Facets = ["cause", "equipment", "site", "symptom", "year"]
        .into_iter()
        .map(|k| (k, BTreeMap::new()))
        .collect();
    for hit in hits {
        let record = &hit.record;
        let year = record.date.get(..4).map(str::to_owned);
        let mut count = |kind: &'static str, id: &str| {
            if !id.is_empty() {
                *out.entry(kind)
                    .or_default()
                    .entry(id.to_owned())
                    .or_default() += 1;
            }
        };
        record.equipment.iter().for_each(|e| count("equipment", e));
        record.symptoms.iter().for_each(|s| count("symptom", s));
        record.causes.iter().for_each(|c| count("cause", c));
        count("site", &record.site);
        count("year", year.as_deref().unwrap_or_default());
    }
    out
}
