//! Sentences that seem to speak of a problem and from which nothing was read.
//!
//! No table knows every wording. A sentence that holds a word of trouble (`kb/lexicon/trouble.toml`), is not denied and
//! not of another site, and on which no fact rests is shown to a person, who can say what it means.

use super::{
    facts::{Facts, Span},
    read::Reading,
};
use crate::{note::Layout, trade::lexicon::Cue};
use std::ops::Range;

/// The sentences of a visit that seem to speak of a problem, read or not.
#[must_use]
pub fn troubled(reading: &Reading<'_>) -> Vec<Span> {
    let words = reading.words;
    let sentences = words.sentences.iter().filter(|s| {
        let block = reading.visit.blocks.get(s.block);
        block.is_none_or(|b| b.layout != Layout::Header) && speaks(reading, &s.tokens)
    });
    sentences.map(|s| words.bytes(&s.tokens)).collect()
}

/// Whether a run of tokens holds a word of trouble that is meant.
#[must_use]
pub fn speaks(reading: &Reading<'_>, tokens: &Range<usize>) -> bool {
    let lexicon = &reading.knowledge.lexicon;
    let stems: Vec<String> = reading
        .words
        .slice(tokens.clone())
        .iter()
        .map(|t| lexicon.terms.stem(&t.text))
        .collect();
    lexicon.trouble.find(&stems).any(|found| {
        let own = tokens.start + found.start..tokens.start + found.end;
        !set_aside(reading, own)
    })
}

fn set_aside(reading: &Reading<'_>, tokens: Range<usize>) -> bool {
    reading
        .scopes
        .on(reading.words, tokens)
        .any(|cue| matches!(cue, Cue::Denied | Cue::Good | Cue::Elsewhere | Cue::Wish))
}

/// Those of the troubled sentences on which no fact rests and at which no person has looked. That equipment is named
/// says nothing of its trouble.
#[must_use]
pub fn left(troubled: &[Span], facts: &Facts, looked_at: &[Span]) -> Vec<Span> {
    let symptoms = facts.symptoms.iter().map(|f| &f.span);
    let settings = facts.settings.iter().map(|f| &f.span);
    let readings = facts.readings.iter().map(|f| &f.span);
    let causes = facts.causes.iter().map(|f| &f.span);
    let fixes = facts.fixes.iter().map(|f| &f.span);
    let read: Vec<&Span> = symptoms
        .chain(settings)
        .chain(readings)
        .chain(causes)
        .chain(fixes)
        .chain(looked_at)
        .collect();
    troubled
        .iter()
        .filter(|t| !read.iter().any(|r| r.start < t.end && t.start < r.end))
        .cloned()
        .collect()
}
