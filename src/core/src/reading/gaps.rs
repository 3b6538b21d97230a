//! What the notes say that nothing in the tables reads: frequent words, word pairs and sentences.
//!
//! [`Gaps`] goes over notes that are read and counts what no wording takes. A word that no table and no ordinary English
//! knows is counted; a pair of neighbouring words where at least one has a meaning in the tables or is no ordinary English;
//! a sentence in which nothing at all is read and one word is of that sort. Names (words that are never written small),
//! words of sites and people, words with figures in them (models, codes) and private pieces are left out.

use super::{
    facts::{Facts, Span},
    lexer::{Kind, Mark},
    private,
    read::Reading,
    spelling, units, unread,
    words::Sentence,
};
use crate::{
    note::{Layout, line_at},
    trade::{lexicon::Meaning, ordinary_words, terms::UNKNOWN},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// Something that is not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The words.
    pub text: String,
    /// How often they stand in the notes.
    pub count: usize,
    /// The first note that has them.
    pub file: String,
    /// Its line.
    pub line: usize,
}

/// What is not read, most frequent first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Frequent {
    /// Words.
    pub words: Vec<Gap>,
    /// Pairs of neighbouring words.
    pub pairs: Vec<Gap>,
    /// Sentences.
    pub sentences: Vec<Gap>,
}

/// Counts what is not read.
#[derive(Default)]
pub struct Gaps {
    words: FxHashMap<String, Counted>,
    pairs: FxHashMap<String, Counted>,
    sentences: FxHashMap<String, Counted>,
    /// Words that were seen with a small first letter.
    small: FxHashSet<String>,
    /// Words with a capital first letter inside a sentence, or strange ones with one at its start.
    capital: FxHashSet<String>,
    /// Words of sites and people.
    names: FxHashSet<String>,
}

struct Counted {
    gap: Gap,
    /// It seems to speak of a problem.
    trouble: bool,
    /// The words that carry meaning, and whether they have one in the tables or are strange.
    bearing: Vec<(String, bool)>,
}

/// How a word stands to what the tables and English know.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Known {
    /// A wording reads it here.
    Read,
    /// It carries no meaning: "the", a unit, a number.
    Idle,
    /// Ordinary English that no table uses.
    Ordinary,
    /// Some table uses it, and nothing reads it here.
    InTables,
    /// Neither tables nor English know it.
    Strange,
}

impl Known {
    /// It may carry meaning, and nothing reads it.
    fn bears(self) -> bool {
        !matches!(self, Known::Read | Known::Idle)
    }

    /// It has a meaning in the tables, or nobody knows it.
    fn tells(self) -> bool {
        matches!(self, Known::InTables | Known::Strange)
    }
}

impl Gaps {
    /// Takes names of sites and people, whose words are left out.
    pub fn name(&mut self, name: &str) {
        let words = name.split(|c: char| !c.is_alphanumeric());
        self.names
            .extend(words.filter(|w| !w.is_empty()).map(str::to_lowercase));
    }

    /// Counts what is not read in a visit of the note `file`.
    pub fn add(&mut self, file: &str, reading: &Reading<'_>, facts: &Facts) {
        facts.site.iter().for_each(|s| self.name(s));
        facts.tech.iter().for_each(|t| self.name(t));
        let words = reading.words;
        let known = known(reading, facts);
        let private = private::find(reading.note, words, &reading.visit.span);
        let hidden = |span: &Span| {
            private
                .iter()
                .any(|p| p.start < span.end && span.start < p.end)
        };
        for sentence in &words.sentences {
            let block = reading.visit.blocks.get(sentence.block);
            if block.is_some_and(|b| b.layout == Layout::Header) {
                continue;
            }
            self.sentence(file, reading, sentence, &known, &hidden);
            for at in sentence.tokens.clone() {
                let (Some(token), Some(how)) = (words.tokens.get(at), known.get(at).copied())
                else {
                    continue;
                };
                if hidden(&token.span) || token.kind != Kind::Word {
                    continue;
                }
                // English at the start of a sentence has a capital and is no name.
                let tells_name = at > sentence.tokens.start || how == Known::Strange;
                self.letter_case(reading.note, &token.span, &token.text, tells_name);
                let bearing = |at: usize| {
                    let token = words.tokens.get(at)?;
                    let how = known.get(at).copied()?;
                    let bears = token.kind == Kind::Word && how.bears() && !hidden(&token.span);
                    bears.then(|| (token.text.clone(), how.tells()))
                };
                let Some(own) = bearing(at) else { continue };
                if how == Known::Strange && token.text.len() > 2 {
                    let own = vec![own.clone()];
                    count(&mut self.words, file, reading, &token.span, own, false);
                }
                let next = words.tokens.get(at + 1);
                let next =
                    next.filter(|n| at + 1 < sentence.tokens.end && n.before <= Mark::Hyphen);
                if let (Some(next), Some(beside)) = (next, bearing(at + 1))
                    && (own.1 || beside.1)
                {
                    let span = token.span.start..next.span.end;
                    count(
                        &mut self.pairs,
                        file,
                        reading,
                        &span,
                        vec![own, beside],
                        false,
                    );
                }
            }
        }
    }

    fn sentence(
        &mut self,
        file: &str,
        reading: &Reading<'_>,
        sentence: &Sentence,
        known: &[Known],
        hidden: &dyn Fn(&Span) -> bool,
    ) {
        let span = reading.words.bytes(&sentence.tokens);
        let own = known.get(sentence.tokens.clone()).unwrap_or_default();
        if own.contains(&Known::Read) || hidden(&span) {
            return;
        }
        let tokens = reading.words.slice(sentence.tokens.clone());
        let bearing: Vec<(String, bool)> = tokens
            .iter()
            .zip(own)
            .filter(|(_, how)| how.bears())
            .map(|(token, how)| (token.text.clone(), how.tells()))
            .collect();
        if bearing.len() < 2 || !bearing.iter().any(|(_, tells)| *tells) {
            return;
        }
        let trouble = unread::speaks(reading, &sentence.tokens);
        count(&mut self.sentences, file, reading, &span, bearing, trouble);
    }

    fn letter_case(&mut self, note: &str, span: &Span, word: &str, tells_name: bool) {
        let written = note.get(span.clone()).unwrap_or_default();
        let mut letters = written.chars().filter(|c| c.is_alphabetic());
        let capital = letters.next().is_some_and(char::is_uppercase);
        let all = capital && letters.all(char::is_uppercase);
        if !capital {
            self.small.insert(word.to_owned());
        } else if !all && tells_name {
            self.capital.insert(word.to_owned());
        }
    }

    /// The `most` most frequent of each sort; among equals those that seem to speak of a problem, then in the order of the
    /// notes.
    #[must_use]
    pub fn frequent(&self, most: usize) -> Frequent {
        let name = |word: &String| {
            self.names.contains(word) || self.capital.contains(word) && !self.small.contains(word)
        };
        let sorted = |counted: &FxHashMap<String, Counted>, keep: &dyn Fn(&Counted) -> bool| {
            let mut list: Vec<&Counted> = counted.values().filter(|c| keep(c)).collect();
            list.sort_by(|a, b| {
                let (x, y) = (&a.gap, &b.gap);
                y.count
                    .cmp(&x.count)
                    .then(b.trouble.cmp(&a.trouble))
                    .then_with(|| (&x.file, x.line, &x.text).cmp(&(&y.file, y.line, &y.text)))
            });
            list.truncate(most);
            list.into_iter().map(|c| c.gap.clone()).collect()
        };
        let nameless = |c: &Counted| !c.bearing.iter().any(|(word, _)| name(word));
        Frequent {
            words: sorted(&self.words, &nameless),
            pairs: sorted(&self.pairs, &nameless),
            // A name in a sentence says nothing against it, and nothing for it.
            sentences: sorted(&self.sentences, &|c| {
                let mut rest = c.bearing.iter().filter(|(word, _)| !name(word));
                rest.clone().count() >= 2 && rest.any(|(_, tells)| *tells)
            }),
        }
    }
}

fn count(
    counted: &mut FxHashMap<String, Counted>,
    file: &str,
    reading: &Reading<'_>,
    span: &Span,
    bearing: Vec<(String, bool)>,
    trouble: bool,
) {
    let words: Vec<&str> = bearing.iter().map(|(word, _)| word.as_str()).collect();
    let known = counted.entry(words.join(" ")).or_insert_with(|| {
        let written = reading.note.get(span.clone()).unwrap_or_default();
        Counted {
            gap: Gap {
                text: written.split_whitespace().collect::<Vec<_>>().join(" "),
                count: 0,
                file: file.to_owned(),
                line: line_at(reading.note, span.start),
            },
            trouble,
            bearing,
        }
    });
    known.gap.count += 1;
}

/// For each token what is known of it.
fn known(reading: &Reading<'_>, facts: &Facts) -> Vec<Known> {
    let (words, lexicon) = (reading.words, &reading.knowledge.lexicon);
    let mut out: Vec<Known> = words
        .tokens
        .iter()
        .zip(&words.terms)
        .map(|(token, term)| {
            let text = token.text.as_str();
            let figures = text.bytes().any(|b| b.is_ascii_digit());
            if token.kind != Kind::Word || figures || idle(text) || units::unit(text).is_some() {
                return Known::Idle;
            }
            if *term != UNKNOWN {
                return Known::InTables;
            }
            let listed = |word: &str| {
                spelling::listed(ordinary_words(), word)
                    || lexicon.ordinary.iter().any(|o| o == word)
            };
            // "she's", "pump's": known by what stands before the mark.
            let written = reading.note.get(token.span.clone()).unwrap_or_default();
            let stem = written.split(['\'', '\u{2019}']).next().unwrap_or_default();
            if listed(text) || stem.len() < written.len() && listed(&stem.to_lowercase()) {
                Known::Ordinary
            } else {
                Known::Strange
            }
        })
        .collect();
    let mut read = |at: usize, how: Known| {
        if let Some(known) = out.get_mut(at).filter(|k| **k != Known::Read) {
            *known = how;
        }
    };
    for hit in &reading.found.hits {
        // A cue reads nothing by itself: it says how something else is to be taken.
        let how = match hit.means {
            Meaning::Cue(..) => Known::Idle,
            _ => Known::Read,
        };
        for at in hit.tokens.clone().filter(|t| hit.names(*t)) {
            read(at, how);
        }
    }
    for mention in &reading.found.things {
        mention.tokens.clone().for_each(|at| read(at, Known::Read));
    }
    let symptoms = facts.symptoms.iter().map(|f| &f.span);
    let settings = facts.settings.iter().map(|f| &f.span);
    let readings = facts.readings.iter().map(|f| &f.span);
    let causes = facts.causes.iter().map(|f| &f.span);
    let fixes = facts.fixes.iter().map(|f| &f.span);
    for span in symptoms
        .chain(settings)
        .chain(readings)
        .chain(causes)
        .chain(fixes)
    {
        let start = words.tokens.partition_point(|t| t.span.end <= span.start);
        let end = words.tokens.partition_point(|t| t.span.start < span.end);
        (start..end).for_each(|at| read(at, Known::Read));
    }
    out
}

/// English words that only hold others together or say little, and short forms of them; sorted.
#[rustfmt::skip]
const IDLE: &[&str] = &[
    "about", "above", "after", "again", "all", "also", "although", "am", "an", "and", "another",
    "any", "anyone", "anything", "apr", "april", "are", "around", "as", "at", "aug", "august",
    "ave", "be", "because", "been", "before", "being", "below", "between", "both", "but", "by",
    "came", "can", "cannot", "cant", "come", "comes", "could", "couldnt", "ct", "dec", "december",
    "did", "didnt", "do", "does", "doesnt", "doing", "done", "dont", "down", "dr", "during", "each",
    "either", "else", "even", "ever", "every", "feb", "february", "few", "for", "fri", "friday",
    "from", "get", "gets", "getting", "give", "go", "goes", "going", "gone", "got", "had", "has",
    "hasnt", "have", "havent", "having", "he", "hello", "her", "here", "hers", "hi", "him", "his",
    "how", "id", "if", "ill", "im", "in", "into", "is", "isnt", "it", "its", "ive", "jan",
    "january", "jr", "jul", "july", "jun", "june", "just", "keep", "kept", "last", "lets", "like",
    "ll", "look", "looked", "looks", "made", "make", "makes", "many", "mar", "march", "may",
    "maybe", "me", "might", "mine", "mon", "monday", "more", "most", "mr", "mrs", "ms", "much",
    "must", "my", "myself", "never", "new", "next", "no", "nor", "not", "nothing", "nov",
    "november", "now", "oct", "october", "of", "off", "ok", "okay", "on", "once", "one", "only",
    "onto", "or", "other", "our", "ours", "out", "over", "own", "per", "please", "pls", "plus",
    "put", "puts", "quite", "rather", "rd", "re", "really", "said", "same", "sat", "saturday",
    "say", "says", "see", "seen", "sep", "sept", "september", "she", "shes", "should", "since",
    "so", "some", "someone", "something", "soon", "st", "still", "such", "sun", "sunday", "take",
    "taken", "takes", "than", "thanks", "that", "thats", "the", "their", "them", "then", "there",
    "theres", "these", "they", "theyre", "thing", "things", "think", "this", "those", "though",
    "through", "thu", "thur", "thurs", "thursday", "till", "to", "today", "told", "tomorrow", "too",
    "took", "tue", "tues", "tuesday", "two", "under", "until", "up", "upon", "us", "use", "used",
    "ve", "very", "via", "want", "wants", "was", "wasnt", "way", "we", "wed", "wednesday", "well",
    "went", "were", "werent", "weve", "what", "whats", "when", "where", "which", "while", "who",
    "why", "will", "with", "without", "wont", "would", "wouldnt", "yay", "yes", "yesterday", "yet",
    "you", "your", "yours",
];

fn idle(word: &str) -> bool {
    word.len() < 2 || IDLE.binary_search(&word).is_ok()
}

#[cfg(test)]
mod tests {
    use super::IDLE;

    #[test]
    fn the_list_of_idle_words_can_be_searched() {
        assert!(IDLE.is_sorted());
    }
}
