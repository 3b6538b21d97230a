//! Hears what a clause speaks of, where no wording of the tables matches it.
//!
//! A sentence is cut into clauses; each clause, and each two or three that stand together, is a *window*. A window's
//! features are its stems and things, pairs and triples of them, and what the tables' wordings found in it. One weight
//! a feature and label (a symptom, cause, condition or action) is learned from bags: a labelled note or snippet says
//! which labels it holds, not where. Where a label is heard, the words that speak for it become a mention like one of
//! a wording's, so that denial and time act on it all the same.

mod fitting;
mod windows;

pub use fitting::{Bag, bag, fit};
pub use windows::{BIAS, Windows};

use super::weights::{Key, Row, Weights};
use crate::{
    reading::{
        matcher::{Found, Hit},
        words::Words,
    },
    trade::lexicon::{Lexicon, Meaning, Spoken},
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;
use windows::{Sentence, Window};

/// The name of the spotter's file of weights.
pub const SPOTTING: &str = "spotting";

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
        let mut best: BTreeMap<(usize, usize), Best<'_>> = BTreeMap::new();
        let mut scores = vec![0.0_f32; self.weights.labels.len()];
        for sentence in &windows.sentences {
            let known = self.known(sentence);
            // For each different feature of the sentence the window that had it last.
            let mut had = vec![usize::MAX; known.len()];
            for (number, window) in sentence.windows.iter().enumerate() {
                scores.fill(0.0);
                let mut add = |row: Row<'_>| {
                    for (label, weight) in row.pairs() {
                        if let Some(score) = scores.get_mut(label) {
                            *score += weight;
                        }
                    }
                };
                add(self.bias());
                let from = known.partition_point(|k| k.first < window.span.start);
                for feature in known.iter().skip(from) {
                    if feature.first >= window.span.end {
                        break;
                    }
                    if let Some(had) = had.get_mut(feature.different)
                        && feature.last < window.span.end
                        && std::mem::replace(had, number) != number
                    {
                        add(feature.row);
                    }
                }
                for (place, feature) in sentence.around.iter().chain(&window.hits).enumerate() {
                    let mut before = sentence.around.iter().chain(&window.hits).take(place);
                    if before.all(|b| b.key != feature.key) {
                        add(self.weights.of(feature.key));
                    }
                }
                for (label, score) in scores.iter().enumerate().filter(|(_, s)| **s > FAINT) {
                    let now = Best {
                        score: *score,
                        sentence,
                        window,
                    };
                    let place = best.entry((sentence.number, label)).or_insert(now);
                    if *score > place.score {
                        *place = now;
                    }
                }
            }
        }
        let line = logit(self.weights.sure);
        for ((number, label), heard) in best {
            let Some(means) = self.means.get(label).copied().flatten() else {
                continue;
            };
            found
                .heard
                .insert((number, plain(means)), sigmoid(heard.score));
            if heard.score < line {
                continue;
            }
            let window = heard.window;
            let known = found.hits.iter().any(|h| {
                plain(h.means) == plain(means)
                    && h.tokens.start < window.tokens.end
                    && window.tokens.start < h.tokens.end
            });
            if known {
                continue;
            }
            if let Some(hit) = self.hit(&windows, &heard, label, means) {
                found.hits.push(hit);
            }
        }
        found.sort();
    }

    fn bias(&self) -> Row<'_> {
        self.weights.of(Key::of(BIAS))
    }

    /// A sentence's features that the model knows, in the order of their first items.
    fn known(&self, sentence: &Sentence) -> Vec<Known<'_>> {
        let mut different: FxHashMap<Key, usize> = FxHashMap::default();
        let rows = sentence.features.iter().filter_map(|feature| {
            let row = self.weights.of(feature.key);
            if row.is_empty() {
                return None;
            }
            let next = different.len();
            let different = *different.entry(feature.key).or_insert(next);
            let (first, last) = feature.reach();
            Some(Known {
                row,
                first,
                last,
                different,
            })
        });
        rows.collect()
    }

    /// The words of a window that speak for a label.
    fn hit(
        &self,
        windows: &Windows,
        heard: &Best<'_>,
        label: usize,
        means: Meaning,
    ) -> Option<Hit> {
        let window = heard.window;
        let mut votes: BTreeMap<usize, f32> = BTreeMap::new();
        for feature in heard.sentence.of(window) {
            let row = self.weights.of(feature.key);
            let weight = row
                .pairs()
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
            wording: None,
        })
    }
}

/// A feature that the model knows.
struct Known<'s> {
    row: Row<'s>,
    first: usize,
    last: usize,
    /// The same for features with the same key.
    different: usize,
}

/// The window of a sentence in which a label is heard best.
#[derive(Clone, Copy)]
struct Best<'w> {
    score: f32,
    sentence: &'w Sentence,
    window: &'w Window,
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

    #[test]
    fn what_tells_labels_apart_is_heard_and_named() {
        let knowledge = Knowledge::built_in();
        let spotter = spotter();
        let hear = |text: &str| {
            let words = words::of_question(text, knowledge);
            let mut found = matcher::find(&words, &knowledge.lexicon);
            spotter.hear(&words, &mut found, &knowledge.lexicon);
            let noisy =
                |m: Meaning| label(m, &knowledge.lexicon).as_deref() == Some("symptom:pump-noisy");
            let sure = found.heard.iter().filter(|((_, m), _)| noisy(*m));
            let sure = sure.map(|(_, p)| *p).fold(0.0, f32::max);
            let hit = found.hits.iter().find(|h| noisy(h.means)).cloned();
            (sure, hit)
        };
        let (sure, hit) = hear("your glorp is zonked, rang about it");
        assert!(sure > 0.1, "{sure}");
        // "zonked" is what tells it from a glorp that is sweet.
        assert!(hit.is_some_and(|h| h.names(3)));
        let (other, hit) = hear("your glorp is sweet, rang about it");
        assert!(other < sure / 2.0, "{other} beside {sure}");
        assert_eq!(hit, None);
    }
}
