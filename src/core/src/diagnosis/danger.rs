//! Danger first.
//!
//! What must stop work (a shock felt, gas smelt, a carbon-monoxide alarm, fumes, a broken drain cover, the wish to
//! bypass a protection) is answered before and instead of a ranking. Beside a ranking stand the usual cautions of the
//! hazards that its likely causes and next checks carry, and no others: a list of every hazard warns of nothing.

use super::{case::Case, rank::Ranking};
use crate::{
    reading::question::Question,
    trade::{Hazard, Knowledge, causes::Stop, lexicon::Meaning},
};

/// A hazard is shown when causes that carry it hold at least this share of the probability.
const SHARE_SHOWN: f64 = 0.22;
/// Causes looked at for hazards.
const CAUSES_SHOWN: usize = 5;

/// What stops work in a question, the gravest first (the order of the table).
#[must_use]
pub fn stop<'k>(question: &Question, knowledge: &'k Knowledge) -> Option<&'k Stop> {
    let by_words = question.stops.iter().map(|s| s.what).min();
    let by_symptom = knowledge.stops.iter().position(|s| {
        s.symptoms
            .iter()
            .any(|id| question.present().any(|p| p == id))
    });
    let number = [by_words, by_symptom].into_iter().flatten().min()?;
    knowledge.stops.get(number)
}

/// The cautions that belong to a ranking, gravest share first.
#[must_use]
pub fn cautions(
    case: &Case,
    ranking: &Ranking,
    next: Option<Hazard>,
    knowledge: &Knowledge,
) -> Vec<(Hazard, String)> {
    let mut shares: Vec<(Hazard, f64)> = Vec::new();
    let top: Vec<_> = ranking.causes.iter().take(CAUSES_SHOWN).collect();
    let sum: f64 = top.iter().map(|l| l.probability).sum();
    for likely in &top {
        let Some(cause) = knowledge.causes.get(likely.cause) else {
            continue;
        };
        if cause.hazard == Hazard::None || sum <= 0.0 {
            continue;
        }
        let share = likely.probability / sum;
        match shares.iter_mut().find(|(h, _)| *h == cause.hazard) {
            Some((_, total)) => *total += share,
            None => shares.push((cause.hazard, share)),
        }
    }
    if let Some(hazard) = next.filter(|h| *h != Hazard::None) {
        match shares.iter_mut().find(|(h, _)| *h == hazard) {
            Some((_, total)) => *total += 1.0,
            None => shares.push((hazard, 1.0)),
        }
    }
    let _ = case;
    shares.retain(|(_, share)| *share >= SHARE_SHOWN);
    shares.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    shares
        .into_iter()
        .filter_map(|(h, _)| knowledge.caution(h).map(|text| (h, text.to_owned())))
        .collect()
}

/// Whether a wording means a danger.
#[must_use]
pub fn is_stop(means: Meaning) -> bool {
    matches!(means, Meaning::Stop(_))
}
