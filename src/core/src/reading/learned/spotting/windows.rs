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

impl Feature {
    const BIAS: Self = Self {
        key: Key::of(BIAS),
        kind: Sort::Bias,
        items: [0; 3],
    };

    /// The first and the last of its items.
    pub(super) fn reach(&self) -> (usize, usize) {
        let [a, b, c] = self.items;
        (a as usize, if c == CLASSES { b } else { b.max(c) } as usize)
    }
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
    pub(super) sentences: Vec<Sentence>,
}

/// A sentence's windows, and the features of which each window has those within it.
pub(super) struct Sentence {
    pub(super) number: usize,
    /// In the order of their first items.
    pub(super) features: Vec<Feature>,
    /// Of the sentence before.
    pub(super) around: Vec<Feature>,
    pub(super) windows: Vec<Window>,
}

pub(super) struct Window {
    pub(super) tokens: Range<usize>,
    /// Its items.
    pub(super) span: Range<usize>,
    /// Wordings in it.
    pub(super) hits: Vec<Feature>,
}

impl Sentence {
    /// The features of a window, each once.
    pub(super) fn of<'s>(&'s self, window: &'s Window) -> impl Iterator<Item = &'s Feature> {
        let mut seen = FxHashSet::default();
        let within = self.features.iter().filter(|f| {
            let (first, last) = f.reach();
            window.span.start <= first && last < window.span.end
        });
        std::iter::once(&Feature::BIAS)
            .chain(within)
            .chain(&self.around)
            .chain(&window.hits)
            .filter(move |f| seen.insert(f.key))
    }
}

impl Windows {
    /// The windows of a text.
    #[must_use]
    pub fn new(words: &Words, found: &Found, lexicon: &Lexicon) -> Self {
        let mut out = Self {
            items: Vec::new(),
            hits: Vec::new(),
            sentences: Vec::new(),
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
            let around = before.iter().map(|a| Feature {
                key: Key::of(Sort::Around.prefix())
                    .and(out.items.get(*a as usize).map_or("", |i| i.name.as_str())),
                kind: Sort::Around,
                items: [*a; 3],
            });
            let around = around.collect();
            let features = out.features(first);
            let windows = together(&out.pieces(first, &clauses));
            let windows = windows.into_iter().map(|span| out.window(span)).collect();
            out.sentences.push(Sentence {
                number,
                features,
                around,
                windows,
            });
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

    /// What the items from `first` on and their pairs and triples are features of.
    fn features(&self, first: usize) -> Vec<Feature> {
        let name = |i: usize| self.items.get(i).map_or("", |i| i.name.as_str());
        let class = |i: usize| self.items.get(i).map_or("", |i| i.class.as_str());
        let n = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
        let end = self.items.len();
        let mut features = Vec::with_capacity((end - first) * 10);
        let mut push =
            |kind: Sort, key: Key, items: [u32; 3]| features.push(Feature { key, kind, items });
        for a in first..end {
            push(
                Sort::Word,
                Key::of(Sort::Word.prefix()).and(name(a)),
                [n(a), n(a), n(a)],
            );
            let head = |kind: Sort| Key::of(kind.prefix()).and(name(a)).and(" ");
            let beside = head(Sort::Beside);
            let near = head(Sort::Near);
            if a + 1 < end {
                push(
                    Sort::Beside,
                    beside.and(name(a + 1)),
                    [n(a), n(a + 1), n(a + 1)],
                );
            }
            for b in (a + 2..end).take(3) {
                push(Sort::Near, near.and(name(b)), [n(a), n(b), n(b)]);
            }
            if class(a) != name(a) {
                push(
                    Sort::Word,
                    Key::of(Sort::Word.prefix()).and(class(a)),
                    [n(a), n(a), CLASSES],
                );
            }
            for (b, kind) in
                (a + 1..end)
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
            if a + 2 < end {
                push(
                    Sort::Three,
                    head(Sort::Three).and(name(a + 1)).and(" ").and(name(a + 2)),
                    [n(a), n(a + 1), n(a + 2)],
                );
            }
        }
        features
    }

    fn window(&self, span: Range<usize>) -> Window {
        let first = self.items.get(span.start).map_or(0, |i| i.tokens.start);
        let last = self
            .items
            .get(span.end.saturating_sub(1))
            .map_or(0, |i| i.tokens.end);
        let hits = self.hits.iter().enumerate();
        let hits = hits.filter(|(_, (_, tokens))| tokens.start < last && first < tokens.end);
        Window {
            tokens: first..last,
            hits: hits
                .map(|(place, (name, _))| Feature {
                    key: Key::of(Sort::Hit.prefix()).and(name),
                    kind: Sort::Hit,
                    items: [u32::try_from(place).unwrap_or(u32::MAX); 3],
                })
                .collect(),
            span,
        }
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
