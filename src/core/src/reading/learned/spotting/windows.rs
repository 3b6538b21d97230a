//! Windows: clauses, and two or three that stand together, with what each has of words, things and wordings.

use super::{super::weights::Key, label};
use crate::{
    reading::{lexer::Kind, matcher::Found, scope, words::Words},
    trade::lexicon::Lexicon,
};
use rustc_hash::FxHashSet;
use std::ops::Range;

/// A clause longer than this is cut into pieces that overlap by half.
const PIECE: usize = 14;
/// Two clauses together are a window up to so many items, three up to the second number.
const TOGETHER: [usize; 2] = [26, 20];

/// The name of the feature that every window has.
pub const BIAS: &str = "-";

/// One word or thing of a window.
struct Item {
    name: String,
    /// The class that it is a word of, or the name again.
    class: String,
    tokens: Range<usize>,
}

/// What a window has: a kind and the places of the items that make it.
#[derive(Clone, Copy)]
pub(super) struct Feature {
    pub(super) key: Key,
    kind: Sort,
    items: [u32; 3],
}

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Sort {
    Bias,
    Word,
    Beside,
    Near,
    Three,
    Around,
    Hit,
}

impl Sort {
    fn prefix(self) -> &'static str {
        match self {
            Self::Bias => BIAS,
            Self::Word => "w ",
            Self::Beside => "b ",
            Self::Near => "n ",
            Self::Three => "t ",
            Self::Around => "x ",
            Self::Hit => "h ",
        }
    }
}

/// Stands in the last place of a feature's items where it is made of their classes, not of their names.
const CLASSES: u32 = u32::MAX;

/// The windows of a text with their features.
pub struct Windows {
    items: Vec<Item>,
    /// Names that stand for no token: wordings found.
    hits: Vec<(String, Range<usize>)>,
    pub(super) windows: Vec<Window>,
}

pub(super) struct Window {
    pub(super) tokens: Range<usize>,
    pub(super) sentence: usize,
    pub(super) features: Vec<Feature>,
}

impl Windows {
    /// The windows of a text.
    #[must_use]
    pub fn new(words: &Words, found: &Found, lexicon: &Lexicon) -> Self {
        let mut out = Self {
            items: Vec::new(),
            hits: Vec::new(),
            windows: Vec::new(),
        };
        for hit in &found.hits {
            if let Some(name) = label(hit.means, lexicon) {
                out.hits.push((name, hit.tokens.clone()));
            }
        }
        let clauses = scope::clauses(words);
        let mut before: Vec<u32> = Vec::new();
        for (number, sentence) in words.sentences.iter().enumerate() {
            let first = out.items.len();
            out.add_items(words, found, lexicon, &sentence.tokens);
            let pieces = out.pieces(first, &clauses);
            for span in together(&pieces) {
                out.add_window(number, span, &before);
            }
            before = (first..out.items.len())
                .filter(|i| out.items.get(*i).is_some_and(|i| i.name.starts_with('<')))
                .filter_map(|i| u32::try_from(i).ok())
                .take(2)
                .collect();
        }
        out
    }

    fn add_items(
        &mut self,
        words: &Words,
        found: &Found,
        lexicon: &Lexicon,
        sentence: &Range<usize>,
    ) {
        let mut at = sentence.start;
        while at < sentence.end {
            let mention = found
                .thing_at
                .get(at)
                .copied()
                .flatten()
                .and_then(|t| found.things.get(t));
            if let Some(mention) = mention
                && let Some(thing) = lexicon.things.get(usize::from(mention.thing))
            {
                let name = format!("<{}>", thing.id);
                self.items.push(Item {
                    class: name.clone(),
                    name,
                    tokens: mention.tokens.clone(),
                });
                at = mention.tokens.end.max(at + 1);
                continue;
            }
            if let Some(token) = words.tokens.get(at) {
                let name = match token.kind {
                    Kind::Word => lexicon.terms.stem(&token.text),
                    Kind::Number(_) => "#".to_owned(),
                    Kind::Clock(_) => "#clock".to_owned(),
                    Kind::Date => "#date".to_owned(),
                    Kind::Money => "#money".to_owned(),
                    Kind::Code => "#code".to_owned(),
                };
                let classes = found.classes_at.get(at).into_iter().flatten();
                let class = classes
                    .max_by_key(|(_, end)| *end)
                    .and_then(|(c, _)| lexicon.class_names.get(usize::from(*c)));
                self.items.push(Item {
                    class: class.map_or_else(|| name.clone(), |c| format!("[{c}]")),
                    name,
                    tokens: at..at + 1,
                });
            }
            at += 1;
        }
    }

    /// The clauses of the items from `first` on, long ones cut.
    fn pieces(&self, first: usize, clauses: &[u32]) -> Vec<Range<usize>> {
        let clause = |i: usize| {
            self.items
                .get(i)
                .and_then(|i| clauses.get(i.tokens.start))
                .copied()
        };
        let mut out: Vec<Range<usize>> = Vec::new();
        let mut from = first;
        for at in first..self.items.len() {
            let last = at + 1 == self.items.len();
            if !last && clause(at + 1) == clause(from) {
                continue;
            }
            let mut start = from;
            while at + 1 - start > PIECE {
                out.push(start..start + PIECE);
                start += PIECE / 2;
            }
            out.push(start..at + 1);
            from = at + 1;
        }
        out
    }

    fn add_window(&mut self, sentence: usize, span: Range<usize>, before: &[u32]) {
        let name = |i: usize| self.items.get(i).map_or("", |i| i.name.as_str());
        let class = |i: usize| self.items.get(i).map_or("", |i| i.class.as_str());
        let n = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
        let mut features = vec![Feature {
            key: Key::of(Sort::Bias.prefix()),
            kind: Sort::Bias,
            items: [0; 3],
        }];
        let mut push =
            |kind: Sort, key: Key, items: [u32; 3]| features.push(Feature { key, kind, items });
        for a in span.clone() {
            push(
                Sort::Word,
                Key::of(Sort::Word.prefix()).and(name(a)),
                [n(a), n(a), n(a)],
            );
            let head = |kind: Sort| Key::of(kind.prefix()).and(name(a)).and(" ");
            if a + 1 < span.end {
                push(
                    Sort::Beside,
                    head(Sort::Beside).and(name(a + 1)),
                    [n(a), n(a + 1), n(a + 1)],
                );
            }
            for b in (a + 2..span.end).take(3) {
                push(
                    Sort::Near,
                    head(Sort::Near).and(name(b)),
                    [n(a), n(b), n(b)],
                );
            }
            if class(a) != name(a) {
                push(
                    Sort::Word,
                    Key::of(Sort::Word.prefix()).and(class(a)),
                    [n(a), n(a), CLASSES],
                );
            }
            for (b, kind) in
                (a + 1..span.end)
                    .take(4)
                    .zip([Sort::Beside, Sort::Near, Sort::Near, Sort::Near])
            {
                if class(a) != name(a) || class(b) != name(b) {
                    push(
                        kind,
                        Key::of(kind.prefix()).and(class(a)).and(" ").and(class(b)),
                        [n(a), n(b), CLASSES],
                    );
                }
            }
            if a + 2 < span.end {
                push(
                    Sort::Three,
                    head(Sort::Three).and(name(a + 1)).and(" ").and(name(a + 2)),
                    [n(a), n(a + 1), n(a + 2)],
                );
            }
        }
        for a in before {
            push(
                Sort::Around,
                Key::of(Sort::Around.prefix()).and(name(*a as usize)),
                [*a; 3],
            );
        }
        let first = self.items.get(span.start).map_or(0, |i| i.tokens.start);
        let last = self
            .items
            .get(span.end.saturating_sub(1))
            .map_or(0, |i| i.tokens.end);
        for (place, (name, tokens)) in self.hits.iter().enumerate() {
            if tokens.start < last && first < tokens.end {
                push(
                    Sort::Hit,
                    Key::of(Sort::Hit.prefix()).and(name),
                    [n(place); 3],
                );
            }
        }
        let mut seen = FxHashSet::default();
        features.retain(|f| seen.insert(f.key));
        self.windows.push(Window {
            tokens: first..last,
            sentence,
            features,
        });
    }

    pub(super) fn name_of(&self, feature: &Feature) -> String {
        let name = |i: u32| self.items.get(i as usize).map_or("", |i| i.name.as_str());
        let [a, b, c] = feature.items;
        let prefix = feature.kind.prefix();
        if c == CLASSES {
            let class = |i: u32| self.items.get(i as usize).map_or("", |i| i.class.as_str());
            return if feature.kind == Sort::Word {
                format!("{prefix}{}", class(a))
            } else {
                format!("{prefix}{} {}", class(a), class(b))
            };
        }
        match feature.kind {
            Sort::Bias => prefix.to_owned(),
            Sort::Word | Sort::Around => format!("{prefix}{}", name(a)),
            Sort::Beside | Sort::Near => format!("{prefix}{} {}", name(a), name(b)),
            Sort::Three => format!("{prefix}{} {} {}", name(a), name(b), name(c)),
            Sort::Hit => format!(
                "{prefix}{}",
                self.hits.get(a as usize).map_or("", |(n, _)| n.as_str())
            ),
        }
    }

    /// The tokens that a feature rests on.
    pub(super) fn tokens_of(&self, feature: &Feature) -> Vec<Range<usize>> {
        let tokens = |i: u32| {
            self.items
                .get(i as usize)
                .map_or(0..0, |i| i.tokens.clone())
        };
        match feature.kind {
            Sort::Bias | Sort::Around => Vec::new(),
            Sort::Hit => self
                .hits
                .get(feature.items[0] as usize)
                .map(|(_, t)| t.clone())
                .into_iter()
                .collect(),
            _ => feature
                .items
                .iter()
                .filter(|i| **i != CLASSES)
                .map(|i| tokens(*i))
                .collect(),
        }
    }
}

/// Each piece, each two and each three together, as far as they are short enough.
fn together(pieces: &[Range<usize>]) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = pieces.to_vec();
    for (more, most) in TOGETHER.iter().enumerate() {
        for run in pieces.windows(more + 2) {
            if let (Some(first), Some(last)) = (run.first(), run.last())
                && last.end - first.start <= *most
            {
                out.push(first.start..last.end);
            }
        }
    }
    out
}
