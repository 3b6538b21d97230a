//! Hears what a clause speaks of, where no wording of the tables matches it.
//!
//! A sentence is cut into clauses; each clause, and each two or three that stand together, is a *window*. A window's
//! features are its stems and things, pairs and triples of them, and what the tables' wordings found in it. One weight
//! a feature and label (a symptom, cause, condition or action) is learned from bags: a labelled note or snippet says
//! which labels it holds, not where. Where a label is heard, the words that speak for it become a mention like one of
//! a wording's, so that denial and time act on it all the same.

use super::weights::{Fitted, Key, Weights};
use crate::{
    reading::{
        lexer::Kind,
        matcher::{Found, Hit},
        scope,
        words::Words,
    },
    trade::lexicon::{Lexicon, Meaning, Spoken},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::{collections::BTreeMap, ops::Range};

/// The name of the spotter's file of weights.
pub const SPOTTING: &str = "spotting";

/// A clause longer than this is cut into pieces that overlap by half.
const PIECE: usize = 14;
/// Two clauses together are a window up to so many items, three up to the second number.
const TOGETHER: [usize; 2] = [26, 20];

/// One word or thing of a window.
struct Item {
    name: String,
    /// The class that it is a word of, or the name again.
    class: String,
    tokens: Range<usize>,
}

/// What a window has: a kind and the places of the items that make it.
#[derive(Clone, Copy)]
struct Feature {
    key: Key,
    kind: Sort,
    items: [u32; 3],
}

#[derive(Clone, Copy, PartialEq)]
enum Sort {
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
            Self::Bias => "-",
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
    windows: Vec<Window>,
}

struct Window {
    tokens: Range<usize>,
    sentence: usize,
    features: Vec<Feature>,
}

/// The label of a meaning that is heard.
#[must_use]
pub fn label(means: Meaning, lexicon: &Lexicon) -> Option<String> {
    let of = |kind: &str, ids: &[crate::trade::vocabulary::Id], n: u16| {
        ids.get(usize::from(n)).map(|id| format!("{kind}:{id}"))
    };
    match means {
        Meaning::Symptom(n) | Meaning::NoSymptom(n) => of("symptom", &lexicon.symptoms, n),
        Meaning::Cause(n, _) => of("cause", &lexicon.causes, n),
        Meaning::Condition(n) => of("condition", &lexicon.conditions, n),
        Meaning::Action(n) => of("action", &lexicon.actions, n),
        _ => None,
    }
}

fn meaning(label: &str, lexicon: &Lexicon) -> Option<Meaning> {
    let (kind, id) = label.split_once(':')?;
    let place = |ids: &[crate::trade::vocabulary::Id]| {
        ids.iter()
            .position(|i| *i == id)
            .and_then(|p| u16::try_from(p).ok())
    };
    match kind {
        "symptom" => place(&lexicon.symptoms).map(Meaning::Symptom),
        "cause" => place(&lexicon.causes).map(|n| Meaning::Cause(n, Spoken::Found)),
        "condition" => place(&lexicon.conditions).map(Meaning::Condition),
        "action" => place(&lexicon.actions).map(Meaning::Action),
        _ => None,
    }
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

    fn name_of(&self, feature: &Feature) -> String {
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
    fn tokens_of(&self, feature: &Feature) -> Vec<Range<usize>> {
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

/// A model that hears labels in windows.
#[derive(Clone, Debug)]
pub struct Spotter {
    weights: Weights,
    means: Vec<Option<Meaning>>,
}

/// How sure the model is of a label in a sentence.
pub type Heard = FxHashMap<(usize, Meaning), f32>;

impl Spotter {
    /// A model with these weights; labels that the lexicon does not know are never heard.
    #[must_use]
    pub fn new(weights: Weights, lexicon: &Lexicon) -> Self {
        let means = weights.labels.iter().map(|l| meaning(l, lexicon)).collect();
        Self { weights, means }
    }

    /// Adds to `found` what is heard in `words`, and says how sure it is of each meaning in each sentence.
    pub fn hear(&self, words: &Words, found: &mut Found, lexicon: &Lexicon) {
        let windows = Windows::new(words, found, lexicon);
        let count = self.weights.labels.len();
        let mut best: BTreeMap<(usize, usize), (f32, usize)> = BTreeMap::new();
        let mut scores = vec![0.0_f32; count];
        for (number, window) in windows.windows.iter().enumerate() {
            scores.fill(0.0);
            for feature in &window.features {
                for (label, weight) in self.weights.of(feature.key) {
                    if let Some(score) = scores.get_mut(label) {
                        *score += weight;
                    }
                }
            }
            for (label, score) in scores.iter().enumerate().filter(|(_, s)| **s > FAINT) {
                let place = best
                    .entry((window.sentence, label))
                    .or_insert((*score, number));
                if *score > place.0 {
                    *place = (*score, number);
                }
            }
        }
        let line = logit(self.weights.sure);
        for ((sentence, label), (score, number)) in best {
            let Some(means) = self.means.get(label).copied().flatten() else {
                continue;
            };
            found.heard.insert((sentence, plain(means)), sigmoid(score));
            if score < line {
                continue;
            }
            let Some(window) = windows.windows.get(number) else {
                continue;
            };
            let known = found.hits.iter().any(|h| {
                plain(h.means) == plain(means)
                    && h.tokens.start < window.tokens.end
                    && window.tokens.start < h.tokens.end
            });
            if known {
                continue;
            }
            if let Some(hit) = self.hit(&windows, window, label, means) {
                found.hits.push(hit);
            }
        }
        found.sort();
    }

    /// The words of a window that speak for a label.
    fn hit(&self, windows: &Windows, window: &Window, label: usize, means: Meaning) -> Option<Hit> {
        let mut votes: BTreeMap<usize, f32> = BTreeMap::new();
        for feature in &window.features {
            let weight = self
                .weights
                .of(feature.key)
                .find(|(l, _)| *l == label)
                .map_or(0.0, |(_, w)| w);
            if weight <= 0.0 {
                continue;
            }
            let tokens = windows.tokens_of(feature);
            let share = weight
                / tokens
                    .iter()
                    .map(ExactSizeIterator::len)
                    .sum::<usize>()
                    .max(1) as f32;
            for token in tokens.into_iter().flatten() {
                *votes.entry(token).or_default() += share;
            }
        }
        votes.retain(|token, _| window.tokens.contains(token));
        let most = votes.values().copied().fold(0.0_f32, f32::max);
        let named: Vec<usize> = votes
            .iter()
            .filter(|(_, v)| **v >= most * SPEAKS)
            .map(|(t, _)| *t)
            .collect();
        let (first, last) = (*named.first()?, *named.last()?);
        let bits = named
            .iter()
            .map(|t| t - first)
            .filter(|b| *b < 64)
            .fold(0, |bits, b| bits | (1_u64 << b));
        Some(Hit {
            means,
            tokens: first..last + 1,
            slot: None,
            named: bits,
        })
    }
}

/// Scores below this are not kept at all.
const FAINT: f32 = -3.0;
/// A token speaks for a label with at least this share of the loudest one's weight.
const SPEAKS: f32 = 0.35;

/// A meaning without the manner of speaking.
#[must_use]
pub fn plain(means: Meaning) -> Meaning {
    match means {
        Meaning::NoSymptom(n) => Meaning::Symptom(n),
        Meaning::Cause(n, _) => Meaning::Cause(n, Spoken::Found),
        other => other,
    }
}

fn sigmoid(score: f32) -> f32 {
    1.0 / (1.0 + (-score).exp())
}

fn logit(p: f32) -> f32 {
    (p / (1.0 - p)).ln()
}

/// A labelled text as the fitting sees it: windows of features, and the labels it holds.
pub struct Bag {
    /// The features of each window, by name.
    pub windows: Vec<Vec<String>>,
    /// Its labels.
    pub labels: Vec<String>,
}

/// The bag of a text.
#[must_use]
pub fn bag(words: &Words, found: &Found, lexicon: &Lexicon, labels: Vec<String>) -> Bag {
    let windows = Windows::new(words, found, lexicon);
    let named = windows
        .windows
        .iter()
        .map(|w| w.features.iter().map(|f| windows.name_of(f)).collect());
    Bag {
        windows: named.collect(),
        labels,
    }
}

/// Rounds over the bags.
const ROUNDS: usize = 16;
/// First step of the descent (AdaGrad).
const STEP: f32 = 0.3;
/// Pull of each weight towards zero, each time its feature is seen.
const PULL: f32 = 0.03;
/// Bags in which a feature must stand to be learned.
const SEEN_FROM: usize = 2;
/// A gradient smaller than this moves nothing.
const STILL: f32 = 0.02;
/// Where AdaGrad's sum of squares begins, so that the first small gradients make small steps.
const CALM: f32 = 0.2;
/// Weights smaller than this are not kept.
const KEPT_FROM: f32 = 0.3;
/// What a missed label weighs against one made up.
const MISSED: f32 = 1.5;
/// A label's score before anything speaks for it.
const BEFORE: f32 = -4.5;

/// Fits a spotter: logistic regression a label, over bags (a bag's score is its windows' scores weighed by softmax
/// where the label is there, its loudest window's where it is not: multiple-instance learning after Dietterich et al.
/// 1997, Artif Intell 89:31). Deterministic.
#[must_use]
pub fn fit(bags: &[&Bag], sure: f32, made: &str) -> Fitted {
    let mut labels: Vec<&str> = bags
        .iter()
        .flat_map(|b| &b.labels)
        .map(String::as_str)
        .collect();
    labels.sort_unstable();
    labels.dedup();
    let count = labels.len();
    let (names, rows) = indexed(bags);
    let mut weights = vec![0.0_f32; names.len() * count];
    let mut history = vec![CALM; names.len() * count];
    if let Some(bias) = names.iter().position(|n| *n == Sort::Bias.prefix()) {
        weights
            .iter_mut()
            .skip(bias * count)
            .take(count)
            .for_each(|w| *w = BEFORE);
    }
    let held: Vec<Vec<bool>> = bags
        .iter()
        .map(|b| {
            labels
                .iter()
                .map(|l| b.labels.iter().any(|o| o == l))
                .collect()
        })
        .collect();
    for round in 0..ROUNDS {
        let order: Vec<usize> = if round % 2 == 0 {
            (0..bags.len()).collect()
        } else {
            (0..bags.len()).rev().collect()
        };
        for bag in order {
            let (Some(windows), Some(held)) = (rows.get(bag), held.get(bag)) else {
                continue;
            };
            step(windows, held, count, &mut weights, &mut history);
        }
    }
    let mut out = BTreeMap::new();
    for (place, name) in names.iter().enumerate() {
        let row = weights.iter().skip(place * count).take(count);
        let pairs: Vec<(u16, f32)> = row
            .enumerate()
            .filter(|(_, w)| w.abs() >= KEPT_FROM)
            .map(|(l, w)| {
                (
                    u16::try_from(l).unwrap_or(u16::MAX),
                    (w * 100.0).round() / 100.0,
                )
            })
            .collect();
        if !pairs.is_empty() {
            out.insert((*name).to_owned(), pairs);
        }
    }
    Fitted {
        labels: labels.into_iter().map(str::to_owned).collect(),
        sure,
        made: made.to_owned(),
        rows: out,
    }
}

type Rows = Vec<Vec<Vec<u32>>>;

/// Features by number, and each bag's windows in numbers.
fn indexed<'b>(bags: &[&'b Bag]) -> (Vec<&'b str>, Rows) {
    let mut seen: FxHashMap<&str, (usize, usize)> = FxHashMap::default();
    for (number, bag) in bags.iter().enumerate() {
        for feature in bag.windows.iter().flatten() {
            let entry = seen.entry(feature).or_insert((0, usize::MAX));
            if entry.1 != number {
                *entry = (entry.0 + 1, number);
            }
        }
    }
    let mut names: Vec<&str> = seen
        .iter()
        .filter(|(_, (n, _))| *n >= SEEN_FROM)
        .map(|(f, _)| *f)
        .collect();
    names.sort_unstable();
    let places: FxHashMap<&str, u32> = names
        .iter()
        .enumerate()
        .map(|(i, n)| (*n, u32::try_from(i).unwrap_or(u32::MAX)))
        .collect();
    let row = |w: &Vec<String>| {
        w.iter()
            .filter_map(|f| places.get(f.as_str()).copied())
            .collect()
    };
    let rows = bags
        .iter()
        .map(|b| b.windows.iter().map(row).collect())
        .collect();
    (names, rows)
}

fn step(
    windows: &[Vec<u32>],
    held: &[bool],
    count: usize,
    weights: &mut [f32],
    history: &mut [f32],
) {
    let mut scores = vec![0.0_f32; windows.len() * count];
    for (window, row) in windows.iter().zip(scores.chunks_exact_mut(count)) {
        for feature in window {
            let from = *feature as usize * count;
            if let Some(own) = weights.get(from..from + count) {
                row.iter_mut().zip(own).for_each(|(s, w)| *s += w);
            }
        }
    }
    let mut moves: Vec<(usize, usize, f32)> = Vec::new();
    for (label, there) in held.iter().enumerate() {
        let of = |w: usize| {
            scores
                .get(w * count + label)
                .copied()
                .unwrap_or(f32::NEG_INFINITY)
        };
        let top = (0..windows.len()).map(of).fold(f32::NEG_INFINITY, f32::max);
        if *there {
            let total: f32 = (0..windows.len()).map(|w| (of(w) - top).exp()).sum();
            let shares: Vec<f32> = (0..windows.len())
                .map(|w| (of(w) - top).exp() / total)
                .collect();
            let score: f32 = shares.iter().enumerate().map(|(w, a)| a * of(w)).sum();
            let pull = (sigmoid(score) - 1.0) * MISSED;
            moves.extend(
                shares
                    .iter()
                    .enumerate()
                    .filter(|(_, a)| **a > 0.05)
                    .map(|(w, a)| (w, label, a * pull)),
            );
        } else {
            moves.extend(
                (0..windows.len())
                    .filter(|w| of(*w) > top - 1e-6 || of(*w) > -1.0)
                    .map(|w| (w, label, sigmoid(of(w)))),
            );
        }
    }
    for (window, label, gradient) in moves.into_iter().filter(|m| m.2.abs() > STILL) {
        for feature in windows.get(window).into_iter().flatten() {
            let at = *feature as usize * count + label;
            if let (Some(weight), Some(past)) = (weights.get_mut(at), history.get_mut(at)) {
                *past += gradient * gradient;
                let step = STEP / past.sqrt();
                let moved = *weight - step * gradient;
                // L1: what is not borne out again and again goes back to nothing.
                *weight = moved.signum() * (moved.abs() - step * PULL).max(0.0);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // a test may stop at what it did not expect
    use super::*;
    use crate::{reading::matcher, reading::words, trade::Knowledge};

    fn bag_of(text: &str, labels: &[&str]) -> Bag {
        let knowledge = Knowledge::built_in();
        let words = words::of_question(text, knowledge);
        let found = matcher::find(&words, &knowledge.lexicon);
        let labels = labels.iter().map(|l| (*l).to_owned()).collect();
        bag(&words, &found, &knowledge.lexicon, labels)
    }

    fn spotter() -> Spotter {
        let mut bags = Vec::new();
        for start in ["the", "that", "his", "her", "our", "this"] {
            bags.push(bag_of(
                &format!("{start} glorp is zonked, rang about it"),
                &["symptom:pump-noisy"],
            ));
            bags.push(bag_of(
                &format!("{start} glorp is sweet, rang about it"),
                &[],
            ));
            bags.push(bag_of(&format!("{start} snark stood there"), &[]));
        }
        let all: Vec<&Bag> = bags.iter().collect();
        let fitted = fit(&all, 0.1, "test");
        assert_eq!(
            fitted,
            fit(&all, 0.1, "test"),
            "the same bags, the same weights"
        );
        let weights = Weights::new(fitted.to_bytes().into()).unwrap();
        Spotter::new(weights, &Knowledge::built_in().lexicon)
    }

    #[test]
    fn the_same_bags_give_the_same_weights_and_nothing_is_heard_in_nothing() {
        let knowledge = Knowledge::built_in();
        let words = words::of_question("", knowledge);
        let mut found = matcher::find(&words, &knowledge.lexicon);
        spotter().hear(&words, &mut found, &knowledge.lexicon);
        assert!(found.hits.is_empty());
        let bag = bag_of("the pump is loud, rang about it", &[]);
        assert!(bag.windows.iter().flatten().any(|f| f == "w <pump>"));
        assert!(bag.windows.iter().flatten().any(|f| f.starts_with("b ")));
    }
}
