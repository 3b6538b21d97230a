//! Words as small numbers.
//!
//! Every wording of the tables is cut into words, each word brought to its stem (Snowball English), and each stem
//! given a number, its *term*. A note's words are looked up in the same book, so comparing words is comparing
//! numbers. Words that no wording uses have the term [`UNKNOWN`].

use rust_stemmers::{Algorithm, Stemmer};
use rustc_hash::FxHashMap;

/// The number of a stem.
pub type Term = u32;

/// The term of every word that no wording uses.
pub const UNKNOWN: Term = 0;

/// The book of stems.
pub struct Terms {
    stems: FxHashMap<String, Term>,
    /// Words already stemmed, so that common words are not stemmed again.
    words: FxHashMap<String, Term>,
    stemmer: Stemmer,
}

impl Default for Terms {
    fn default() -> Self {
        Self {
            stems: FxHashMap::default(),
            words: FxHashMap::default(),
            stemmer: Stemmer::create(Algorithm::English),
        }
    }
}

impl Terms {
    /// The term of a lower-case word of a wording; a new stem gets the next number.
    pub fn learn(&mut self, word: &str) -> Term {
        let stem = self.stem(word);
        let next = Term::try_from(self.stems.len() + 1).unwrap_or(Term::MAX);
        let term = *self.stems.entry(stem).or_insert(next);
        self.words.insert(word.to_owned(), term);
        term
    }

    /// The term of a lower-case word of a note; [`UNKNOWN`] when no wording uses its stem.
    #[must_use]
    pub fn of(&self, word: &str) -> Term {
        if let Some(term) = self.words.get(word) {
            return *term;
        }
        self.stems.get(&self.stem(word)).copied().unwrap_or(UNKNOWN)
    }

    /// Whether a wording uses this very word (not only its stem).
    #[must_use]
    pub fn has_word(&self, word: &str) -> bool {
        self.words.contains_key(word)
    }

    /// Every word as it stands in the wordings, in no order.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.words.keys().map(String::as_str)
    }

    /// How many terms there are, [`UNKNOWN`] counted.
    #[must_use]
    pub fn len(&self) -> usize {
        self.stems.len() + 1
    }

    /// Whether no wording has been learnt.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.stems.is_empty()
    }

    /// The stem of a lower-case word.
    #[must_use]
    pub fn stem(&self, word: &str) -> String {
        // Short words and words with digits have no inflection that is worth folding ("is", "e04").
        if word.len() <= 2 || word.bytes().any(|b| b.is_ascii_digit()) {
            return word.to_owned();
        }
        self.stemmer.stem(word).into_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inflections_share_a_term() {
        let mut terms = Terms::default();
        let trip = terms.learn("trip");
        for word in ["trips", "tripped", "tripping"] {
            assert_eq!(terms.of(word), trip, "{word}");
        }
        assert_eq!(terms.of("tripod"), UNKNOWN);
    }
}
