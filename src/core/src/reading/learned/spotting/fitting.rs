//! Fitting a spotter to bags: labelled texts that say which labels they hold, not where.

use super::{
    super::weights::Fitted,
    sigmoid,
    windows::{BIAS, Windows},
};
use crate::{
    reading::{matcher::Found, words::Words},
    trade::lexicon::Lexicon,
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

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
    let named = windows.sentences.iter().flat_map(|sentence| {
        let names = |window| {
            let features = sentence.of(window);
            features.map(|f| windows.name_of(f)).collect()
        };
        sentence.windows.iter().map(names)
    });
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
    if let Some(bias) = names.iter().position(|n| *n == BIAS) {
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
