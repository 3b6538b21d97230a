//! Everything that can be said of each cause on its own, folded into its prior before the sweep.
//!
//! Findings that were not seen, likelihoods and judgements multiply the chances of single causes, so they leave the
//! causes independent. What ties causes together is left over as [`Bit`]s: findings that were seen, of which each
//! wants some explanation, and soft evidence on findings.

use super::evidence::{Evidence, Judgement, Likelihood, Scope};
use super::network::{FindingIx, Network};
use super::wide::{Weight, Wide};
use super::{InferError, weight};
use std::collections::BTreeMap;

/// The chances of a cause being there and not, with everything folded in that concerns it alone. Sums to 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chance {
    pub(super) there: Wide,
    pub(super) not: Wide,
}

/// A question that causes answer together: was the finding made by anything?
#[derive(Clone, Debug)]
pub(super) struct Bit {
    /// Chance that nothing unlisted made it, 1 − leak.
    pub(super) rest: f64,
    /// Chance that something unlisted made it.
    pub(super) leak: f64,
    /// What a state counts in which nothing made it; at most 1.
    pub(super) unmade: f64,
    /// What a state counts in which something made it; at most 1, and 1 where `unmade` is not.
    pub(super) made: f64,
    /// Causes that can make it with their strength above 0, by rising cause.
    pub(super) edges: Vec<(usize, f64)>,
}

/// One case, ready for the sweep.
#[derive(Clone, Debug)]
pub(super) struct Folded {
    /// For each cause of the network.
    pub(super) chances: Vec<Chance>,
    /// What ties them together.
    pub(super) bits: Vec<Bit>,
    /// Natural logarithm of what was divided out of the weights.
    pub(super) log: f64,
    /// Weight of the state with none of the scope's causes, on the same scale as the sweep's total.
    pub(super) none: Wide,
}

/// Folds the evidence into the network's priors.
pub(super) fn fold(network: &Network, evidence: &Evidence) -> Result<Folded, InferError> {
    let mut chances: Vec<Chance> = network
        .priors()
        .iter()
        .map(|&p| Chance {
            there: Wide::new(p),
            not: Wide::new(1.0 - p),
        })
        .collect();
    for &(cause, likelihood) in &evidence.causes {
        network.check_cause(cause)?;
        let (present, absent) = checked(likelihood)?;
        if let Some(chance) = chances.get_mut(cause.0) {
            chance.there = chance.there * present;
            chance.not = chance.not * absent;
        }
    }
    let mut on_none = Wide::ONE;
    for judgement in &evidence.judgements {
        on_none = on_none * judge(network, &mut chances, judgement)?;
    }
    let mut observed = Vec::with_capacity(evidence.conditions.len());
    for &condition in &evidence.conditions {
        network.check_condition(condition)?;
        if !observed.contains(&condition.0) {
            observed.push(condition.0);
        }
    }

    let mut log = 0.0;
    let mut open = Vec::new();
    for (finding, (made, unmade)) in merged(network, evidence)? {
        let numbers = network.finding(finding)?;
        let rest = 1.0 - numbers.leak;
        if made == unmade {
            log += made.ln();
        } else if made.is_zero() {
            log += (unmade * Wide::new(rest)).ln();
            for (cause, strength) in numbers.strengths(&observed) {
                if let Some(chance) = chances.get_mut(cause) {
                    chance.there = chance.there * Wide::new(1.0 - strength);
                }
            }
        } else {
            let most = made.max(unmade);
            log += most.ln();
            open.push(Bit {
                rest,
                leak: numbers.leak,
                unmade: (unmade / most).to_f64(),
                made: (made / most).to_f64(),
                edges: numbers.strengths(&observed).collect(),
            });
        }
    }
    for chance in &mut chances {
        let sum = chance.there + chance.not;
        if sum.is_zero() {
            return Err(InferError::Impossible);
        }
        log += sum.ln();
        *chance = Chance {
            there: chance.there / sum,
            not: chance.not / sum,
        };
    }

    let mut none = Wide::ONE;
    let mut bits = Vec::with_capacity(open.len() + 1);
    for mut bit in open {
        bit.edges.retain(|edge| {
            chances
                .get(edge.0)
                .is_some_and(|chance| !chance.there.is_zero())
        });
        let by_leak = Wide::new(bit.rest * bit.unmade + bit.leak * bit.made);
        if bit.edges.is_empty() {
            log += by_leak.ln();
        } else {
            none = none * by_leak;
            bits.push(bit);
        }
    }
    let scope = in_scope(evidence.scope, &bits, &chances);
    for &cause in &scope {
        if let Some(chance) = chances.get(cause) {
            none = none * chance.not;
        }
    }
    if on_none != Wide::ONE {
        none = none * tie_none(&mut bits, &mut log, on_none, &scope);
    }
    if log == f64::NEG_INFINITY {
        return Err(InferError::Impossible);
    }
    Ok(Folded {
        chances,
        bits,
        log,
        none,
    })
}

/// Applies a judgement's ratios, and gives back what it says of none of the causes being there.
fn judge(
    network: &Network,
    chances: &mut [Chance],
    judgement: &Judgement,
) -> Result<Wide, InferError> {
    let other = Wide::new(weight("the ratio of the other causes", judgement.other)?);
    let mut named = vec![false; if other == Wide::ONE { 0 } else { chances.len() }];
    for &(cause, ratio) in &judgement.named {
        network.check_cause(cause)?;
        let ratio = Wide::new(weight("a likelihood ratio", ratio)?);
        if let Some(chance) = chances.get_mut(cause.0) {
            chance.there = chance.there * ratio;
        }
        if let Some(flag) = named.get_mut(cause.0) {
            *flag = true;
        }
    }
    for (chance, _) in chances.iter_mut().zip(&named).filter(|(_, named)| !**named) {
        chance.there = chance.there * other;
    }
    Ok(other)
}

/// The weights of each finding being made and not, whatever order the evidence came in.
fn merged(
    network: &Network,
    evidence: &Evidence,
) -> Result<BTreeMap<FindingIx, (Wide, Wide)>, InferError> {
    let mut findings = BTreeMap::new();
    for &(finding, likelihood) in &evidence.findings {
        network.finding(finding)?;
        let (present, absent) = checked(likelihood)?;
        let entry = findings.entry(finding).or_insert((Wide::ONE, Wide::ONE));
        *entry = (entry.0 * present, entry.1 * absent);
    }
    Ok(findings)
}

fn checked(likelihood: Likelihood) -> Result<(Wide, Wide), InferError> {
    Ok((
        Wide::new(weight("a likelihood", likelihood.if_present)?),
        Wide::new(weight("a likelihood", likelihood.if_absent)?),
    ))
}

/// Causes that "none of them" is about, by rising cause.
fn in_scope(scope: Scope, bits: &[Bit], chances: &[Chance]) -> Vec<usize> {
    let mut inside = vec![scope == Scope::All; chances.len()];
    for (cause, _) in bits.iter().flat_map(|bit| &bit.edges) {
        if let Some(flag) = inside.get_mut(*cause) {
            *flag = true;
        }
    }
    let able = |&(cause, chance): &(usize, &Chance)| {
        inside.get(cause) == Some(&true) && !chance.there.is_zero()
    };
    chances
        .iter()
        .enumerate()
        .filter(able)
        .map(|(cause, _)| cause)
        .collect()
}

/// Adds the question "is any cause of the scope there?", of which the answer no counts `on_none`. Gives back the
/// scale on which the state without them counts from now on.
fn tie_none(bits: &mut Vec<Bit>, log: &mut f64, on_none: Wide, scope: &[usize]) -> Wide {
    let most = on_none.max(Wide::ONE);
    if scope.is_empty() {
        *log += on_none.ln();
        return Wide::ONE;
    }
    *log += most.ln();
    let (unmade, made) = (on_none / most, Wide::ONE / most);
    bits.push(Bit {
        rest: 1.0,
        leak: 0.0,
        unmade: unmade.to_f64(),
        made: made.to_f64(),
        edges: scope.iter().map(|&cause| (cause, 1.0)).collect(),
    });
    unmade
}
