//! Is it so? Denied, past, possible, planned, declined, another site's.
//!
//! After NegEx and ConText (Chapman et al. 2001, J Biomed Inform 34:301; Harkema et al. 2009, J Biomed Inform 42:839):
//! a cue has a direction and a reach, and its reach ends at a word or mark that ends the clause. A cue whose words are
//! part of a wording ("wont start") does not act on it. Headings and unticked tasks act on all that stands below them.

use super::{
    lexer::Mark,
    matcher::{Found, Hit},
    words::Words,
};
use crate::{
    note::{Block, Layout},
    trade::lexicon::{Acts, Cue, Lexicon, Meaning},
};
use std::ops::Range;

/// Words that a cue reaches where its table names no number (Harkema et al. use the clause; terse notes run clauses
/// together, so it is bounded).
const REACH: usize = 7;

/// A cue with what it acts on.
#[derive(Clone, Debug)]
pub struct Scoped {
    /// The cue.
    pub cue: Cue,
    /// Its own tokens.
    pub source: Range<usize>,
    /// The tokens it acts on.
    pub scope: Range<usize>,
}

/// The cues of a text.
#[derive(Default)]
pub struct Scopes {
    cues: Vec<Scoped>,
    /// Cues that hold for a whole block, by its number.
    blocks: Vec<Vec<Cue>>,
    /// The block of each sentence.
    sentence_blocks: Vec<usize>,
    /// For each token the number of its clause.
    clauses: Vec<u32>,
}

/// Words that begin a new clause.
fn opens_clause(word: &str) -> bool {
    matches!(
        word,
        "but"
            | "so"
            | "then"
            | "because"
            | "cause"
            | "cuz"
            | "however"
            | "though"
            | "although"
            | "except"
            | "yet"
            | "still"
            | "since"
            | "until"
            | "til"
            | "while"
            | "when"
            | "whenever"
    )
}

/// Whether the token at `at` begins a new clause: by its own word, or as an "and" with a new subject or a verb of the
/// same subject behind it ("no leaks and it primes", "no leaks and is holding").
fn begins_clause(words: &Words, at: usize) -> bool {
    let word = |k: usize| words.tokens.get(k).map_or("", |t| t.text.as_str());
    let subject = matches!(
        word(at + 1),
        "he" | "she"
            | "it"
            | "its"
            | "i"
            | "im"
            | "we"
            | "they"
            | "there"
            | "theres"
            | "is"
            | "are"
            | "was"
            | "were"
            | "has"
            | "had"
            | "will"
            | "does"
            | "did"
    );
    // What somebody says is a clause of its own, mark or none: "wont work Kim says the box shows cold".
    let told = matches!(word(at), "says" | "said" | "reports" | "told");
    opens_clause(word(at)) || told || (word(at) == "and" && subject)
}

/// Words that carry nothing of their own: a denial's reach is counted over the others ("do not believe that it is the
/// motor" reaches the motor as "not the motor" does).
fn is_light(word: &str) -> bool {
    matches!(
        word,
        "a" | "an"
            | "the"
            | "any"
            | "of"
            | "to"
            | "that"
            | "this"
            | "its"
            | "his"
            | "her"
            | "is"
            | "are"
            | "was"
            | "were"
            | "be"
            | "been"
            | "being"
            | "has"
            | "have"
            | "had"
            | "having"
            | "or"
            | "nor"
    )
}

/// A bare "no" stands before what it denies; behind it ("leaks: no") only where no word follows.
fn is_determiner(words: &Words, cue: &Range<usize>, sentence: &Range<usize>) -> bool {
    let bare = cue.len() == 1 && words.tokens.get(cue.start).is_some_and(|t| t.text == "no");
    let followed = cue.end < sentence.end
        && words
            .tokens
            .get(cue.end)
            .is_some_and(|t| t.before <= Mark::Hyphen);
    bare && followed
}

/// The end of a list that begins at `start` ("wheezes, rales or rhonchi"): short pieces between commas, the last behind
/// an "or". A denial goes on over all of it, however many they are.
fn list_end(words: &Words, start: usize, end: usize) -> Option<usize> {
    const PIECE: usize = 4;
    const LONGEST: usize = 24;
    let (mut piece, mut last_piece) = (0, false);
    let end = end.min(start + LONGEST);
    for at in start..end {
        let token = words.tokens.get(at)?;
        let parted = at > start && (token.before > Mark::Comma || begins_clause(words, at));
        let over = last_piece && token.before == Mark::Comma && piece > 0;
        if parted || over {
            return last_piece.then_some(at);
        }
        if joins(&token.text) {
            (piece, last_piece) = (0, true);
            continue;
        }
        if token.before == Mark::Comma {
            piece = 0;
        }
        piece += usize::from(!is_light(&token.text));
        if piece > PIECE {
            return last_piece.then_some(at);
        }
    }
    last_piece.then_some(end)
}

/// Words that join a list, over which a denial goes on.
fn joins(word: &str) -> bool {
    matches!(word, "or" | "nor")
}

impl Scopes {
    /// The cues of `words`, with those that headings and tasks set.
    #[must_use]
    pub fn new(words: &Words, found: &Found, lexicon: &Lexicon, blocks: &[Block]) -> Self {
        let mut scopes = Self {
            clauses: clauses(words),
            ..Self::default()
        };
        scopes.blocks = blocks.iter().map(|b| block_cues(b, lexicon)).collect();
        scopes.sentence_blocks = words.sentences.iter().map(|s| s.block).collect();
        let is_cue = |h: &&Hit| matches!(h.means, Meaning::Cue(..));
        for sentence in &words.sentences {
            let range = sentence.tokens.clone();
            let hits: Vec<&Hit> = found
                .hits
                .iter()
                .filter(is_cue)
                .filter(|h| range.contains(&h.tokens.start))
                .collect();
            for hit in &hits {
                let Meaning::Cue(cue, acts) = hit.means else {
                    continue;
                };
                if matches!(acts, Acts::Not | Acts::Ends) {
                    continue;
                }
                let pseudo = hits.iter().any(|h| {
                    h.means == Meaning::Cue(cue, Acts::Not)
                        && h.tokens.start <= hit.tokens.start
                        && h.tokens.end >= hit.tokens.end
                });
                if pseudo {
                    continue;
                }
                let ends: Vec<usize> = hits
                    .iter()
                    .filter(|h| h.means == Meaning::Cue(cue, Acts::Ends))
                    .map(|h| h.tokens.start)
                    .collect();
                let reach = lexicon.reach.get(&cue).map_or(REACH, |r| usize::from(*r));
                let scope = match acts {
                    Acts::Before => {
                        scopes.forward(words, &range, hit.tokens.end, reach, cue, &ends)
                    }
                    // "panel blank, no lcd", "snapped in two, cleaned": what stands before the comma is another matter.
                    Acts::After
                        if matches!(cue, Cue::Denied | Cue::Good)
                            && words
                                .tokens
                                .get(hit.tokens.start)
                                .is_some_and(|t| t.before >= Mark::Comma) =>
                    {
                        continue;
                    }
                    Acts::After if is_determiner(words, &hit.tokens, &range) => continue,
                    Acts::After => scopes.backward(words, &range, hit.tokens.start, reach, &ends),
                    Acts::Around => scopes.around(words, &range, &hit.tokens),
                    Acts::Not | Acts::Ends => continue,
                };
                scopes.cues.push(Scoped {
                    cue,
                    source: hit.tokens.clone(),
                    scope,
                });
            }
        }
        scopes
    }

    fn forward(
        &self,
        words: &Words,
        sentence: &Range<usize>,
        start: usize,
        reach: usize,
        cue: Cue,
        ends: &[usize],
    ) -> Range<usize> {
        let denied = cue == Cue::Denied;
        let mut last = start;
        let mut counted = 0;
        while last < sentence.end && counted < reach {
            let token = words.tokens.get(last);
            let light = denied && token.is_some_and(|t| is_light(&t.text));
            counted += usize::from(!light);
            last += 1;
        }
        let listed = list_end(words, start, sentence.end).filter(|_| denied);
        last = last.max(listed.unwrap_or(last));
        let window = words.slice(start..last);
        let list = listed.is_some() || (denied && window.iter().any(|t| joins(&t.text)));
        let mut end = start;
        for (k, token) in window.iter().enumerate() {
            let at = start + k;
            let mark_ends = token.before >= Mark::Dash || (token.before == Mark::Comma && !list);
            if k > 0 && (mark_ends || begins_clause(words, at)) || ends.contains(&at) {
                break;
            }
            if k == 0 && token.before >= Mark::Semicolon {
                break;
            }
            end = at + 1;
        }
        start..end
    }

    fn backward(
        &self,
        words: &Words,
        sentence: &Range<usize>,
        end: usize,
        reach: usize,
        ends: &[usize],
    ) -> Range<usize> {
        let first = end.saturating_sub(reach).max(sentence.start);
        let mut start = end;
        for at in (first..end).rev() {
            let Some(token) = words.tokens.get(at) else {
                break;
            };
            if ends.contains(&at) || begins_clause(words, at) {
                break;
            }
            start = at;
            if token.before >= Mark::Comma && token.before != Mark::Bracket {
                break;
            }
        }
        start..end
    }

    /// The clause around a cue, or the whole sentence where that is short.
    fn around(
        &self,
        words: &Words,
        sentence: &Range<usize>,
        source: &Range<usize>,
    ) -> Range<usize> {
        const SHORT_SENTENCE: usize = 28;
        if sentence.len() <= SHORT_SENTENCE {
            return sentence.clone();
        }
        let low = source.start.saturating_sub(REACH * 2).max(sentence.start);
        let high = (source.end + REACH * 2).min(sentence.end);
        let opens = |at: usize| {
            words.tokens.get(at).is_some_and(|t| {
                opens_clause(&t.text) || t.text == "and" || t.before >= Mark::Comma
            })
        };
        let start = (low..source.start)
            .rev()
            .find(|at| opens(*at))
            .unwrap_or(low);
        let end = (source.end..high).find(|at| opens(*at)).unwrap_or(high);
        start..end
    }

    /// The cues that act on a wording found.
    pub fn on_hit<'s>(&'s self, words: &Words, hit: &'s Hit) -> impl Iterator<Item = Cue> + 's {
        let block = self.block_cues(words.sentence_of(hit.tokens.start));
        let own = self.cues.iter().filter(|c| {
            let named_by_hit = c.source.clone().any(|t| hit.names(t));
            let touches = hit
                .tokens
                .clone()
                .any(|t| hit.names(t) && c.scope.contains(&t));
            !named_by_hit && touches
        });
        own.map(|c| c.cue).chain(block.iter().copied())
    }

    /// The cues that act on a run of tokens.
    pub fn on<'s>(&'s self, words: &Words, tokens: Range<usize>) -> impl Iterator<Item = Cue> + 's {
        let block = self.block_cues(words.sentence_of(tokens.start));
        let own = self.cues.iter().filter(move |c| {
            c.scope.start < tokens.end
                && tokens.start < c.scope.end
                && !(c.source.start < tokens.end && tokens.start < c.source.end)
        });
        own.map(|c| c.cue).chain(block.iter().copied())
    }

    /// Whether a cue acts on a wording.
    #[must_use]
    pub fn acts(&self, words: &Words, hit: &Hit, cue: Cue) -> bool {
        self.on_hit(words, hit).any(|c| c == cue)
    }

    /// Every cue with its scope, in order.
    #[must_use]
    pub fn all(&self) -> &[Scoped] {
        &self.cues
    }

    /// The number of a token's clause; clauses are numbered through the text.
    #[must_use]
    pub fn clause(&self, token: usize) -> u32 {
        self.clauses.get(token).copied().unwrap_or(u32::MAX)
    }

    fn block_cues(&self, sentence: usize) -> &[Cue] {
        let block = self
            .sentence_blocks
            .get(sentence)
            .copied()
            .unwrap_or(usize::MAX);
        self.blocks.get(block).map_or(&[], Vec::as_slice)
    }
}

/// For each token the number of its clause.
pub(super) fn clauses(words: &Words) -> Vec<u32> {
    let mut clause = 0;
    words
        .tokens
        .iter()
        .map(|t| {
            if t.before >= Mark::Comma || opens_clause(&t.text) || t.text == "and" {
                clause += 1;
            }
            clause
        })
        .collect()
}

/// What a block's headings and its task mark say of all of it.
fn block_cues(block: &Block, lexicon: &Lexicon) -> Vec<Cue> {
    let mut out = Vec::new();
    let fold = |h: &str| {
        h.to_lowercase()
            .trim_matches(|c: char| !c.is_alphanumeric())
            .to_owned()
    };
    // The innermost heading that says something decides.
    for heading in block.headings.iter().rev().map(|h| fold(h)) {
        let cue = lexicon
            .headings
            .iter()
            .find(|(words, _)| heading == *words || heading.starts_with(&format!("{words} ")));
        if let Some((_, cue)) = cue {
            out.push(*cue);
            break;
        }
    }
    if block.layout == (Layout::Task { ticked: false }) {
        out.push(Cue::Possible);
    }
    out
}
