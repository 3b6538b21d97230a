//! Reads abbreviations, misspellings and misheard words as what they mean.
//!
//! Three steps, each weaker than the one before: the tables' own spellings (`brkr` is read `breaker`); what a
//! telephone mishears (`grown fault`), only in notes that show that they were spoken; and words that no wording and
//! no ordinary English knows, brought to the one trade word within a small edit distance. A word that ordinary
//! English knows is never changed in the last step: a flow is no glow, and a house no hose. Spans stay those of the
//! note.

use super::lexer::{Kind, Mark, Token};
use rustc_hash::FxHashMap;

/// A sequence of words and what it is read as.
type Rewrite = (Vec<String>, Vec<String>);

/// Sequences of words read as other sequences.
#[derive(Default)]
pub struct Rewrites {
    by_first: FxHashMap<String, Vec<Rewrite>>,
}

impl Rewrites {
    /// Adds one; the longest sequence wins where several fit.
    pub fn add(&mut self, from: &str, to: &str) {
        let cut = |text: &str| {
            text.split(' ')
                .filter(|w| !w.is_empty())
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        let (from, to) = (cut(from), cut(to));
        let Some(first) = from.first().cloned() else {
            return;
        };
        let list = self.by_first.entry(first).or_default();
        list.retain(|(known, _)| *known != from);
        list.push((from, to));
        list.sort_by_key(|(from, _)| std::cmp::Reverse(from.len()));
    }

    /// What a single word is read as.
    #[must_use]
    pub fn word(&self, word: &str) -> Option<String> {
        let list = self.by_first.get(word)?;
        list.iter()
            .find(|(from, _)| from.len() == 1)
            .map(|(_, to)| to.join(" "))
    }

    /// How many places of `tokens` a sequence fits, for deciding whether a note was spoken.
    #[must_use]
    pub fn fits(&self, tokens: &[Token]) -> usize {
        (0..tokens.len())
            .filter(|i| self.at(tokens, *i).is_some())
            .count()
    }

    fn at(&self, tokens: &[Token], i: usize) -> Option<&Rewrite> {
        let first = tokens.get(i)?;
        if first.kind == Kind::Date || first.kind == Kind::Money {
            return None;
        }
        self.by_first.get(&first.text)?.iter().find(|(from, _)| {
            from.iter().enumerate().all(|(k, word)| {
                tokens
                    .get(i + k)
                    .is_some_and(|t| t.text == *word && (k == 0 || t.before < Mark::Semicolon))
            })
        })
    }

    /// The tokens with every sequence replaced.
    #[must_use]
    pub fn apply(&self, tokens: Vec<Token>) -> Vec<Token> {
        if self.by_first.is_empty() {
            return tokens;
        }
        let mut out = Vec::with_capacity(tokens.len() + 8);
        let mut i = 0;
        while i < tokens.len() {
            let Some(token) = tokens.get(i) else { break };
            let Some((from, to)) = self.at(&tokens, i) else {
                out.push(token.clone());
                i += 1;
                continue;
            };
            let end = tokens
                .get(i + from.len() - 1)
                .map_or(token.span.end, |t| t.span.end);
            for (k, word) in to.iter().enumerate() {
                out.push(Token {
                    span: token.span.start..end,
                    text: word.clone(),
                    kind: Kind::Word,
                    before: if k == 0 { token.before } else { Mark::None },
                    label: false,
                    capitals: token.capitals,
                });
            }
            i += from.len();
        }
        out
    }
}

/// Least length of a word that is corrected at all, and from which two slips are forgiven. Below five letters
/// nearly every slip makes another word (common practice of spelling correction; from memory).
const CORRECTED_FROM: usize = 5;
const TWO_SLIPS_FROM: usize = 9;

/// Finds the trade word that an unknown word was meant to be.
#[derive(Default)]
pub struct Speller {
    /// Every trade word by each of its forms with one letter (long words: two) left out.
    deletions: FxHashMap<String, Vec<String>>,
}

impl Speller {
    /// A speller for these words.
    pub fn new<'w>(words: impl Iterator<Item = &'w str>) -> Self {
        let mut deletions: FxHashMap<String, Vec<String>> = FxHashMap::default();
        let mut words: Vec<&str> = words
            .filter(|w| w.chars().count() >= CORRECTED_FROM && w.chars().all(char::is_alphabetic))
            .collect();
        words.sort_unstable();
        words.dedup();
        for word in words {
            for form in forms(word) {
                deletions.entry(form).or_default().push(word.to_owned());
            }
        }
        Self { deletions }
    }

    /// The trade word within the distance allowed, where exactly one is nearest.
    #[must_use]
    pub fn correct(&self, word: &str) -> Option<&str> {
        let length = word.chars().count();
        if length < CORRECTED_FROM || !word.chars().all(char::is_alphabetic) {
            return None;
        }
        let allowed = if length >= TWO_SLIPS_FROM { 2 } else { 1 };
        let mut best: Option<(usize, &str)> = None;
        let mut tie = false;
        for form in forms(word) {
            for candidate in self.deletions.get(&form).into_iter().flatten() {
                // People get the first letter right; a changed one is another word (bleed, plead).
                if candidate.chars().next() != word.chars().next() {
                    continue;
                }
                let distance = transposition_distance(word, candidate);
                if distance > allowed {
                    continue;
                }
                match best {
                    Some((d, w)) if d < distance || w == candidate => {}
                    Some((d, _)) if d == distance => tie = true,
                    _ => {
                        best = Some((distance, candidate));
                        tie = false;
                    }
                }
            }
        }
        best.filter(|_| !tie).map(|(_, word)| word)
    }
}

/// The word and its forms with one letter left out; with two for long words.
fn forms(word: &str) -> Vec<String> {
    let letters: Vec<char> = word.chars().collect();
    let without = |letters: &[char], i: usize| -> Vec<char> {
        letters
            .iter()
            .enumerate()
            .filter(|(k, _)| *k != i)
            .map(|(_, c)| *c)
            .collect()
    };
    let mut out = vec![word.to_owned()];
    for i in 0..letters.len() {
        let one = without(&letters, i);
        if letters.len() >= TWO_SLIPS_FROM {
            out.extend((i..one.len()).map(|k| without(&one, k).into_iter().collect::<String>()));
        }
        out.push(one.into_iter().collect());
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// Optimal string alignment distance: insertions, deletions, changes and swaps of neighbours count one each
/// (Damerau 1964, in the restricted form).
fn transposition_distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let width = b.len() + 1;
    let mut rows = vec![vec![0_usize; width]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[i - 1][j] + 1)
                .min(rows[i][j - 1] + 1)
                .min(rows[i - 1][j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = least;
        }
    }
    rows[a.len()][b.len()]
}

/// Whether a sorted list of words, one a line, holds `word`: ordinary English that no correction touches.
#[must_use]
pub fn listed(sorted_lines: &str, word: &str) -> bool {
    let (mut low, mut high) = (0, sorted_lines.len());
    let bytes = sorted_lines.as_bytes();
    while low < high {
        let mid = low.midpoint(high);
        let start = bytes
            .get(..mid)
            .and_then(|b| b.iter().rposition(|c| *c == b'\n'))
            .map_or(0, |p| p + 1);
        let end = bytes
            .get(mid..)
            .and_then(|b| b.iter().position(|c| *c == b'\n'))
            .map_or(bytes.len(), |p| mid + p);
        let line = sorted_lines.get(start..end).unwrap_or_default();
        match line.cmp(word) {
            std::cmp::Ordering::Equal => return true,
            std::cmp::Ordering::Less => low = end + 1,
            std::cmp::Ordering::Greater => high = start.saturating_sub(1).max(low),
        }
        if high <= low && line != word {
            return sorted_lines.get(low..).and_then(|t| t.split('\n').next()) == Some(word)
                && low < sorted_lines.len();
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::lexer::lex;

    #[test]
    fn slips_are_mended_and_other_words_left() {
        let speller =
            Speller::new(["breaker", "tripping", "controller", "bearing", "igniter"].into_iter());
        for (word, expected) in [
            ("braker", Some("breaker")),
            ("breakr", Some("breaker")),
            ("triping", Some("tripping")),
            ("contoller", Some("controller")),
            ("controler", Some("controller")),
            ("ignitor", Some("igniter")),
            ("hearing", None),
            ("bear", None),
            ("tamales", None),
        ] {
            assert_eq!(speller.correct(word), expected, "{word}");
        }
    }

    #[test]
    fn the_longest_sequence_is_read() {
        let mut rewrites = Rewrites::default();
        rewrites.add("vsp", "variable speed pump");
        rewrites.add("pee aitch", "ph");
        rewrites.add("pee", "p");
        let mut tokens = Vec::new();
        lex("the vsp pee aitch 7", 0, Mark::None, &mut tokens);
        let words: Vec<String> = rewrites.apply(tokens).into_iter().map(|t| t.text).collect();
        assert_eq!(words, ["the", "variable", "speed", "pump", "ph", "7"]);
    }

    #[test]
    fn listed_words() {
        let list = "bear\nhouse\nhouses\ntree\n";
        for word in ["bear", "house", "houses", "tree"] {
            assert!(listed(list, word), "{word}");
        }
        for word in ["be", "hous", "zoo", "a", "trees", ""] {
            assert!(!listed(list, word), "{word}");
        }
    }
}
