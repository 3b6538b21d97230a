//! How likely each cause is, and why.
//!
//! A two-layer noisy-OR network with leak (Pearl 1988; Shwe et al. 1991): the causes of the tables above, the symptoms
//! looked at below. Conditions, checks, values and equipment are likelihood ratios on the causes. The posteriors are
//! exact ([`super::infer`]). "Because" of a cause is, for each piece of evidence, the log odds of the cause with it less
//! without it, all else kept. A ratio above 1 counts only for a cause that makes one of the symptoms present, where any
//! is: a dirty filter is no explanation of a dead remote, however dirty it is.

use super::{
    case::Case,
    evidence::{self, Piece, Source},
    infer::{CauseIx, Evidence, FindingIx, InferError, Likelihood, Network, Posteriors, infer},
};
use crate::trade::{
    Knowledge,
    vocabulary::{Id, Section},
};
use rustc_hash::FxHashMap;

/// P(symptom | no cause of the tables): what the tables do not know. Small beside the sum of prior times strength,
/// which is near 0.1 for the common symptoms (from memory).
const LEAK: f64 = 0.003;

/// A likely cause.
#[derive(Clone, Debug)]
pub struct Likely {
    /// Its number in the tables.
    pub cause: usize,
    /// Its posterior probability.
    pub probability: f64,
    /// What moved it: the piece's number, and log odds with it less without it; strongest first.
    pub because: Vec<(Reason, f64)>,
}

/// What a reason is.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// A symptom that is there.
    Present(Id),
    /// A symptom that is not there.
    Absent(Id),
    /// A piece of evidence, by its number in [`Ranking::pieces`].
    Piece(usize),
}

/// The answer.
#[derive(Clone, Debug, Default)]
pub struct Ranking {
    /// Causes, likeliest first.
    pub causes: Vec<Likely>,
    /// Probability that none of the tables' causes is at work.
    pub something_else: f64,
    /// The evidence beside the symptoms.
    pub pieces: Vec<Piece>,
}

/// Causes for which reasons are worked out.
const EXPLAINED: usize = 8;

struct Model<'k> {
    knowledge: &'k Knowledge,
    network: Network,
    findings: FxHashMap<Id, FindingIx>,
    makes_present: Vec<bool>,
}

/// Ranks the causes of a case.
///
/// # Errors
/// [`InferError`] where the tables hold numbers that are no probabilities (`vet` names them), or where more symptoms
/// are given at once than can be solved exactly.
pub fn rank(case: &Case, knowledge: &Knowledge) -> Result<Ranking, InferError> {
    let pieces = evidence::pieces(case, knowledge);
    let model = Model::new(case, knowledge)?;
    let whole = model.solve(case, &pieces, None)?;
    let mut order: Vec<usize> = (0..knowledge.causes.len())
        .filter(|i| model.considered(case, &pieces, *i))
        .collect();
    order.sort_by(|a, b| {
        whole
            .log_odds(CauseIx(*b))
            .total_cmp(&whole.log_odds(CauseIx(*a)))
            .then(a.cmp(b))
    });
    let explained: Vec<usize> = order.iter().copied().take(EXPLAINED).collect();
    let mut because: FxHashMap<usize, Vec<(Reason, f64)>> = FxHashMap::default();
    for reason in reasons(case, &pieces) {
        let Ok(without) = model.solve(case, &pieces, Some(&reason)) else {
            continue;
        };
        for cause in &explained {
            let moved = whole.log_odds(CauseIx(*cause)) - without.log_odds(CauseIx(*cause));
            if moved.is_finite() && moved.abs() > 0.05 {
                because
                    .entry(*cause)
                    .or_default()
                    .push((reason.clone(), moved));
            }
        }
    }
    let causes = order
        .iter()
        .map(|cause| {
            let mut because = because.remove(cause).unwrap_or_default();
            because.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
            Likely {
                cause: *cause,
                probability: whole.probability(CauseIx(*cause)),
                because,
            }
        })
        .collect();
    Ok(Ranking {
        causes,
        something_else: whole.none,
        pieces,
    })
}

fn reasons(case: &Case, pieces: &[Piece]) -> Vec<Reason> {
    let present = case.present.iter().cloned().map(Reason::Present);
    let absent = case.absent.iter().cloned().map(Reason::Absent);
    present
        .chain(absent)
        .chain((0..pieces.len()).map(Reason::Piece))
        .collect()
}

impl<'k> Model<'k> {
    fn new(case: &Case, knowledge: &'k Knowledge) -> Result<Self, InferError> {
        let mut network = Network::new();
        let causes: Vec<CauseIx> = knowledge
            .causes
            .iter()
            .map(|c| network.add_cause(c.prior))
            .collect::<Result<_, _>>()?;
        let mut findings = FxHashMap::default();
        for symptom in case.present.iter().chain(&case.absent) {
            if findings.contains_key(symptom) {
                continue;
            }
            let finding = network.add_finding(LEAK)?;
            findings.insert(symptom.clone(), finding);
            for (cause, ix) in knowledge.causes.iter().zip(&causes) {
                if let Some(strength) = cause.makes.get(symptom) {
                    network.set_strength(finding, *ix, *strength)?;
                }
            }
        }
        let makes_present = knowledge
            .causes
            .iter()
            .map(|c| case.present.iter().any(|s| c.makes.contains_key(s)))
            .collect();
        Ok(Self {
            knowledge,
            network,
            findings,
            makes_present,
        })
    }

    /// Whether a cause is listed at all: it makes a symptom that is there, or, where none is, evidence names it.
    fn considered(&self, case: &Case, pieces: &[Piece], cause: usize) -> bool {
        if case.present.is_empty() {
            let speaks = |p: &Piece| {
                matches!(
                    p.source,
                    Source::Check(_) | Source::Value | Source::Reported(_)
                )
            };
            return pieces
                .iter()
                .any(|p| speaks(p) && p.ratios.get(&cause).is_some_and(|r| *r > 1.0));
        }
        self.makes_present.get(cause).copied().unwrap_or(false)
    }

    /// The posteriors, with one reason left out.
    fn solve(
        &self,
        case: &Case,
        pieces: &[Piece],
        without: Option<&Reason>,
    ) -> Result<Posteriors, InferError> {
        let mut evidence = Evidence::new();
        for symptom in &case.present {
            if without != Some(&Reason::Present(symptom.clone()))
                && let Some(finding) = self.findings.get(symptom)
            {
                evidence.present(*finding);
            }
        }
        for symptom in &case.absent {
            if without != Some(&Reason::Absent(symptom.clone()))
                && let Some(finding) = self.findings.get(symptom)
            {
                evidence.absent(*finding);
            }
        }
        let mut ratios = vec![1.0; self.knowledge.causes.len()];
        for (number, piece) in pieces.iter().enumerate() {
            if without == Some(&Reason::Piece(number)) {
                continue;
            }
            for (cause, ratio) in &piece.ratios {
                let speaks_for = *ratio > 1.0;
                let explains = case.present.is_empty()
                    || self.makes_present.get(*cause).copied().unwrap_or(false);
                if let Some(place) = ratios.get_mut(*cause)
                    && (explains || !speaks_for)
                {
                    *place *= ratio;
                }
            }
        }
        for (cause, ratio) in ratios.into_iter().enumerate() {
            if ratio != 1.0 {
                let likelihood = if ratio > 0.0 {
                    Likelihood::ratio(ratio)
                } else {
                    Likelihood::ABSENT
                };
                evidence.cause(CauseIx(cause), likelihood);
            }
        }
        infer(&self.network, &evidence)
    }
}

/// A reason in words.
#[must_use]
pub fn reason_text(reason: &Reason, ranking: &Ranking, knowledge: &Knowledge) -> String {
    let meaning = |id: &Id| {
        knowledge
            .vocabulary
            .meaning(Section::Symptom, id.as_str())
            .to_owned()
    };
    match reason {
        Reason::Present(id) => meaning(id),
        Reason::Absent(id) => format!("not: {}", meaning(id)),
        Reason::Piece(number) => ranking
            .pieces
            .get(*number)
            .map(|p| p.text.clone())
            .unwrap_or_default(),
    }
}
