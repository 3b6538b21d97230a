//! A question as finding sees it: words, phrases in quotes, words after a minus, and the facts that it names.

use crate::{
    reading::{facts::CauseStatus, question::Question},
    trade::vocabulary::Id,
};
use rust_stemmers::{Algorithm, Stemmer};

/// A word of the question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Word {
    /// Its stem.
    pub stem: String,
    /// As typed.
    pub text: String,
    /// It is part of something that was understood as a fact.
    pub understood: bool,
}

/// What a question wants.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Words that carry meaning.
    pub words: Vec<Word>,
    /// Phrases in quotes, lower case.
    pub phrases: Vec<String>,
    /// Words after a minus, lower case.
    pub without: Vec<String>,
    /// Ids of symptoms that a wording says.
    pub symptoms: Vec<String>,
    /// Ids of symptoms that are only heard in the words.
    pub guessed: Vec<String>,
    /// Ids of conditions.
    pub conditions: Vec<String>,
    /// Kinds of equipment.
    pub equipment: Vec<String>,
    /// Ids of causes.
    pub causes: Vec<String>,
    /// Ids of parts.
    pub parts: Vec<String>,
    /// Ids of actions.
    pub actions: Vec<String>,
}

/// Words that say nothing of a job.
fn idle(word: &str) -> bool {
    matches!(
        word,
        "the"
            | "a"
            | "an"
            | "and"
            | "or"
            | "of"
            | "in"
            | "on"
            | "at"
            | "to"
            | "for"
            | "with"
            | "is"
            | "are"
            | "was"
            | "were"
            | "be"
            | "it"
            | "its"
            | "that"
            | "this"
            | "there"
            | "when"
            | "while"
            | "by"
            | "from"
            | "as"
            | "but"
            | "so"
            | "we"
            | "i"
            | "he"
            | "she"
            | "they"
            | "you"
            | "my"
            | "our"
            | "his"
            | "her"
            | "their"
            | "has"
            | "have"
            | "had"
            | "do"
            | "does"
            | "did"
            | "not"
            | "no"
            | "any"
            | "some"
            | "what"
            | "which"
            | "who"
            | "where"
            | "how"
            | "why"
            | "if"
            | "then"
            | "than"
            | "into"
            | "up"
            | "down"
            | "out"
            | "off"
            | "over"
            | "after"
            | "before"
            | "w"
            | "n"
            | "s"
            | "t"
            | "d"
            | "seen"
            | "ever"
            | "all"
            | "just"
            | "only"
            | "still"
            | "again"
            | "them"
            | "me"
            | "us"
            | "been"
            | "would"
            | "could"
            | "can"
            | "will"
            | "wont"
            | "dont"
    )
}

impl Wanted {
    /// What a question wants, from its text and what was understood from it.
    #[must_use]
    pub fn of(text: &str, question: &Question) -> Self {
        let mut out = Self::default();
        let mut plain = String::with_capacity(text.len());
        for (i, part) in text.split('"').enumerate() {
            if i % 2 == 1 && !part.trim().is_empty() {
                out.phrases.push(part.trim().to_lowercase());
            }
            // Positions stay those of the text: a quote becomes a blank.
            plain.push_str(part);
            plain.push(' ');
        }
        let spans: Vec<_> = question
            .symptoms
            .iter()
            .map(|s| s.span.clone())
            .chain(question.conditions.iter().map(|s| s.span.clone()))
            .chain(question.equipment.iter().map(|s| s.span.clone()))
            .chain(question.causes.iter().map(|s| s.span.clone()))
            .chain(question.parts.iter().map(|s| s.span.clone()))
            .collect();
        let mut at = 0;
        for piece in plain.split_inclusive(char::is_whitespace) {
            let start = at;
            at += piece.len();
            let bare = piece.trim();
            if let Some(gone) = bare
                .strip_prefix(['-', '\u{2212}'])
                .filter(|g| g.chars().next().is_some_and(char::is_alphabetic))
            {
                out.without.push(gone.to_lowercase());
                continue;
            }
            for (offset, word) in pieces(bare) {
                let lower = word.to_lowercase();
                if idle(&lower) {
                    continue;
                }
                let place = start + offset;
                let understood = spans.iter().any(|s| s.start <= place && place < s.end);
                let stem = stem(&lower);
                if !out.words.iter().any(|w| w.stem == stem) {
                    out.words.push(Word {
                        stem,
                        text: lower,
                        understood,
                    });
                }
            }
        }
        let (guessed, said): (Vec<&Id>, Vec<&Id>) = question
            .present()
            .partition(|id| question.guessed.contains(*id));
        out.symptoms = said.into_iter().map(ToString::to_string).collect();
        out.guessed = guessed.into_iter().map(ToString::to_string).collect();
        out.conditions = question
            .conditions
            .iter()
            .map(|c| c.what.to_string())
            .collect();
        out.equipment = question
            .equipment
            .iter()
            .map(|c| c.what.to_string())
            .collect();
        out.causes = question
            .causes
            .iter()
            .filter(|c| c.what.1 != CauseStatus::RuledOut)
            .map(|c| c.what.0.to_string())
            .collect();
        out.parts = question.parts.iter().map(|p| p.what.to_string()).collect();
        for list in [&mut out.parts, &mut out.causes] {
            list.sort_unstable();
            list.dedup();
        }
        out
    }

    /// Whether nothing is wanted.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
            && self.phrases.is_empty()
            && self.symptoms.is_empty()
            && self.guessed.is_empty()
            && self.equipment.is_empty()
    }
}

fn pieces(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '\''))
        .filter(|w| !w.is_empty())
        .map(move |w| (w.as_ptr() as usize - text.as_ptr() as usize, w))
}

/// The stem of a lower-case word, as the index stems.
#[must_use]
pub fn stem(word: &str) -> String {
    Stemmer::create(Algorithm::English).stem(word).into_owned()
}

/// The stems of a text, in order.
#[must_use]
pub fn words_of(text: &str) -> Vec<String> {
    let stemmer = Stemmer::create(Algorithm::English);
    let lower = text.to_lowercase();
    lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(|w| stemmer.stem(w).into_owned())
        .collect()
}
