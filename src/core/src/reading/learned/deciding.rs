//! A linear model that decides what rules alone decide badly.
//!
//! The rules find candidates (a wording that may be a symptom, a cause, a fix) and say what they would make of each; the
//! model weighs that together with the cues and the words around. Without a file of weights the rules decide. The
//! model is multinomial logistic regression: one weight a feature and label.

use super::weights::{Fitted, Key, Weights};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// The label of a candidate that is no fact.
pub const NOTHING: &str = "none";

/// Something to decide: its features and, for training, the right label.
#[derive(Clone, Debug, Default)]
pub struct Example {
    /// Features that are there.
    pub features: Vec<String>,
    /// The right label.
    pub label: String,
}

/// A model that gives one label to each thing it is asked about.
#[derive(Clone, Debug)]
pub struct Model(Weights);

impl Model {
    /// A model with these weights.
    #[must_use]
    pub fn new(weights: Weights) -> Self {
        Self(weights)
    }

    /// The label with the greatest score; `None` without labels. Ties go to the earlier label. [`NOTHING`] is chosen only
    /// where its probability is at least `sure`: to drop what the rules found takes more than a hunch.
    #[must_use]
    pub fn decide(&self, features: &[String]) -> Option<&str> {
        let labels = &self.0.labels;
        let scores = self.scores(features);
        let top = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let sum: f32 = scores.iter().map(|s| (s - top).exp()).sum();
        let mut best: Option<(usize, f32)> = None;
        for (i, score) in scores.iter().enumerate() {
            let nothing = labels.get(i).is_some_and(|l| l == NOTHING);
            if nothing && (score - top).exp() / sum >= self.0.sure {
                return Some(NOTHING);
            }
            if !nothing && best.is_none_or(|(_, s)| *score > s) {
                best = Some((i, *score));
            }
        }
        best.and_then(|(i, _)| labels.get(i)).map(String::as_str)
    }

    /// All labels, the greatest score first; [`NOTHING`] comes first where its probability is at least `sure`, else last.
    #[must_use]
    pub fn ranked(&self, features: &[String]) -> Vec<&str> {
        let scores = self.scores(features);
        let top = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let sum: f32 = scores.iter().map(|s| (s - top).exp()).sum();
        let rank = |(label, score): (&String, &f32)| match label == NOTHING {
            true if (score - top).exp() / sum >= self.0.sure => f32::INFINITY,
            true => f32::NEG_INFINITY,
            false => *score,
        };
        let mut order: Vec<(f32, &str)> = self
            .0
            .labels
            .iter()
            .zip(&scores)
            .map(|(l, s)| (rank((l, s)), l.as_str()))
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0));
        order.into_iter().map(|(_, l)| l).collect()
    }

    fn scores(&self, features: &[String]) -> Vec<f32> {
        let mut scores = vec![0.0_f32; self.0.labels.len()];
        for feature in features {
            for (label, weight) in self.0.of(Key::of(feature)).pairs() {
                if let Some(score) = scores.get_mut(label) {
                    *score += weight;
                }
            }
        }
        scores
    }
}

/// Rounds over the examples.
const ROUNDS: usize = 30;
/// First step of the descent (AdaGrad divides it by the gradients' history).
const STEP: f64 = 0.25;
/// Pull of each weight towards zero, each time its feature is seen: few examples, many words.
const PULL: f64 = 0.1;
/// Examples in which a feature must stand to be learned at all: what stood once teaches nothing.
const SEEN_FROM: usize = 3;
/// Weights smaller than this, all labels together, are not kept.
const KEPT_FROM: f64 = 0.08;

/// A single weight below this is written as none.
const LEAST: f64 = 0.05;

/// Fits a model by stochastic gradient descent with adaptive steps (Duchi, Hazan and Singer 2011, J Mach Learn Res
/// 12:2121) and L2 pull. Deterministic: the examples are taken in the order given, forwards and backwards in turn.
#[must_use]
pub fn fit(examples: &[Example], sure: f32, made: &str) -> Fitted {
    let mut labels: Vec<String> = examples.iter().map(|e| e.label.clone()).collect();
    labels.sort_unstable();
    labels.dedup();
    let count = labels.len();
    let mut seen: FxHashMap<&str, usize> = FxHashMap::default();
    examples
        .iter()
        .flat_map(|e| &e.features)
        .for_each(|f| *seen.entry(f.as_str()).or_default() += 1);
    let mut index: FxHashMap<&str, usize> = FxHashMap::default();
    for example in examples {
        for feature in example
            .features
            .iter()
            .filter(|f| seen.get(f.as_str()).is_some_and(|n| *n >= SEEN_FROM))
        {
            let next = index.len();
            index.entry(feature.as_str()).or_insert(next);
        }
    }
    let rows: Vec<(Vec<usize>, usize)> = examples
        .iter()
        .map(|e| {
            let features = e
                .features
                .iter()
                .filter_map(|f| index.get(f.as_str()).copied())
                .collect();
            (
                features,
                labels.iter().position(|l| *l == e.label).unwrap_or(0),
            )
        })
        .collect();
    let mut weights = vec![vec![0.0_f64; count]; index.len()];
    let mut history = vec![vec![1e-6_f64; count]; index.len()];
    for round in 0..ROUNDS {
        let order: Box<dyn Iterator<Item = &(Vec<usize>, usize)>> = if round % 2 == 0 {
            Box::new(rows.iter())
        } else {
            Box::new(rows.iter().rev())
        };
        for (features, label) in order {
            let shares = softmax(features, &weights, count);
            for feature in features {
                let (Some(row), Some(past)) =
                    (weights.get_mut(*feature), history.get_mut(*feature))
                else {
                    continue;
                };
                for (k, ((weight, sum), share)) in row.iter_mut().zip(past).zip(&shares).enumerate()
                {
                    let gradient = share - f64::from(u8::from(k == *label)) + PULL * *weight;
                    *sum += gradient * gradient;
                    *weight -= STEP * gradient / sum.sqrt();
                }
            }
        }
    }
    let mut rows = BTreeMap::new();
    for (feature, place) in index {
        let Some(row) = weights.get(place) else {
            continue;
        };
        if row.iter().map(|w| w.abs()).sum::<f64>() < KEPT_FROM {
            continue;
        }
        let pairs = row.iter().enumerate().filter(|(_, w)| w.abs() >= LEAST);
        rows.insert(
            feature.to_owned(),
            pairs
                .map(|(label, w)| {
                    (
                        u16::try_from(label).unwrap_or(u16::MAX),
                        (*w * 100.0).round() as f32 / 100.0,
                    )
                })
                .collect(),
        );
    }
    Fitted {
        labels,
        sure,
        made: made.to_owned(),
        rows,
    }
}

fn softmax(features: &[usize], weights: &[Vec<f64>], count: usize) -> Vec<f64> {
    let mut scores = vec![0.0; count];
    for feature in features {
        if let Some(row) = weights.get(*feature) {
            scores.iter_mut().zip(row).for_each(|(s, w)| *s += w);
        }
    }
    let top = scores.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = scores.iter().map(|s| (s - top).exp()).sum();
    scores.iter().map(|s| (s - top).exp() / sum).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn learns_what_separates() {
        let example = |features: &[&str], label: &str| Example {
            features: features.iter().map(|f| (*f).to_owned()).collect(),
            label: label.to_owned(),
        };
        let mut examples = Vec::new();
        for i in 0..20 {
            examples.push(example(
                &["base", "no", &format!("noise{}", i / 3)],
                "absent",
            ));
            examples.push(example(&["base", &format!("noise{}", i / 3)], "present"));
        }
        let model = fit(&examples, 0.5, "test");
        let weights = Weights::new(model.to_bytes().into()).map(Model::new);
        let decide = |features: &[&str]| {
            let features: Vec<String> = features.iter().map(|f| (*f).to_owned()).collect();
            weights.as_ref()?.decide(&features).map(str::to_owned)
        };
        assert_eq!(decide(&["base", "no"]).as_deref(), Some("absent"));
        assert_eq!(decide(&["base", "never-seen"]).as_deref(), Some("present"));
        assert_eq!(
            model,
            fit(&examples, 0.5, "test"),
            "the same examples give the same model"
        );
    }
}
