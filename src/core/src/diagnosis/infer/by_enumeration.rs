//! The exact inference against the definition: random small networks with evidence of every sort, summed over all
//! states of the causes one by one. Shares no code with the sweep.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::{
    CauseIx, ConditionIx, Evidence, FindingIx, InferError, Judgement, Likelihood, Network, Scope,
    infer,
};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;

/// A network and evidence in plain numbers, drawn at random.
#[derive(Clone, Debug)]
struct Case {
    priors: Vec<f64>,
    /// Leak, strength from each cause, factor of the condition for each cause.
    findings: Vec<(f64, Vec<f64>, Vec<f64>)>,
    /// Finding by number, made and not.
    seen: Vec<(usize, f64, f64)>,
    /// Cause by number, there and not.
    likelihoods: Vec<(usize, f64, f64)>,
    /// Named causes with ratios, the others' ratio.
    judgements: Vec<(Vec<(usize, f64)>, f64)>,
    conditions: usize,
    scope: Scope,
}

/// Weight of every state, and the answers read off them.
struct Enumerated {
    total: f64,
    there: Vec<f64>,
    not: Vec<f64>,
    none: f64,
}

impl Case {
    fn strength(&self, finding: usize, cause: usize) -> f64 {
        let (_, strengths, factors) = &self.findings[finding];
        if self.conditions == 0 {
            strengths[cause]
        } else {
            (strengths[cause] * factors[cause]).min(1.0)
        }
    }

    /// What a finding counts in all: made and not made.
    fn counts(&self, finding: usize) -> Option<(f64, f64)> {
        let on_it: Vec<_> = self.seen.iter().filter(|s| s.0 == finding).collect();
        (!on_it.is_empty()).then(|| {
            on_it
                .iter()
                .fold((1.0, 1.0), |(a, b), s| (a * s.1, b * s.2))
        })
    }

    fn in_scope(&self, cause: usize) -> bool {
        let asks = |f: usize| {
            self.counts(f)
                .is_some_and(|(made, unmade)| made > 0.0 && made != unmade)
        };
        self.scope == Scope::All
            || (0..self.findings.len()).any(|f| asks(f) && self.strength(f, cause) > 0.0)
    }

    fn weight(&self, there: &[bool]) -> f64 {
        let mut weight = 1.0;
        for (&on, prior) in there.iter().zip(&self.priors) {
            weight *= if on { *prior } else { 1.0 - prior };
        }
        for &(cause, present, absent) in &self.likelihoods {
            weight *= if there[cause] { present } else { absent };
        }
        for finding in 0..self.findings.len() {
            let Some((made, unmade)) = self.counts(finding) else {
                continue;
            };
            // Made by leak or cause, one after the other: no subtraction, so that the yardstick is exact, too.
            let (mut by, mut by_none) = (self.findings[finding].0, 1.0 - self.findings[finding].0);
            for cause in (0..there.len()).filter(|&cause| there[cause]) {
                let strength = self.strength(finding, cause);
                by += by_none * strength;
                by_none *= 1.0 - strength;
            }
            weight *= by * made + by_none * unmade;
        }
        let none = !(0..there.len()).any(|cause| there[cause] && self.in_scope(cause));
        for (named, other) in &self.judgements {
            for cause in (0..there.len()).filter(|&cause| there[cause]) {
                weight *= named.iter().find(|n| n.0 == cause).map_or(*other, |n| n.1);
            }
            weight *= if none { *other } else { 1.0 };
        }
        weight
    }

    fn enumerated(&self) -> Enumerated {
        let n = self.priors.len();
        let mut sums = Enumerated {
            total: 0.0,
            there: vec![0.0; n],
            not: vec![0.0; n],
            none: 0.0,
        };
        for state in 0..1_usize << n {
            let there: Vec<bool> = (0..n).map(|cause| state >> cause & 1 == 1).collect();
            let weight = self.weight(&there);
            sums.total += weight;
            for (cause, &on) in there.iter().enumerate() {
                let sums = if on { &mut sums.there } else { &mut sums.not };
                sums[cause] += weight;
            }
            if !(0..n).any(|cause| there[cause] && self.in_scope(cause)) {
                sums.none += weight;
            }
        }
        sums
    }

    fn engine(&self) -> (Network, Evidence) {
        let (mut network, mut evidence) = (Network::new(), Evidence::new());
        for &prior in &self.priors {
            network.add_cause(prior).unwrap();
        }
        let condition = network.add_condition();
        for (leak, strengths, factors) in &self.findings {
            let finding = network.add_finding(*leak).unwrap();
            for (cause, (&strength, &factor)) in strengths.iter().zip(factors).enumerate().rev() {
                network
                    .set_strength(finding, CauseIx(cause), strength)
                    .unwrap();
                network
                    .set_condition_factor(finding, condition, CauseIx(cause), factor)
                    .unwrap();
            }
        }
        for &(finding, if_present, if_absent) in &self.seen {
            evidence.finding(
                FindingIx(finding),
                Likelihood {
                    if_present,
                    if_absent,
                },
            );
        }
        for &(cause, if_present, if_absent) in &self.likelihoods {
            evidence.cause(
                CauseIx(cause),
                Likelihood {
                    if_present,
                    if_absent,
                },
            );
        }
        for (named, other) in &self.judgements {
            let named = named
                .iter()
                .map(|&(cause, ratio)| (CauseIx(cause), ratio))
                .collect();
            evidence.judge(Judgement {
                named,
                other: *other,
            });
        }
        for _ in 0..self.conditions {
            evidence.condition(ConditionIx(0));
        }
        evidence.scope(self.scope);
        (network, evidence)
    }
}

/// Probabilities: everyday ones, rare ones, and both certainties.
fn chance() -> impl Strategy<Value = f64> {
    prop_oneof![6 => 0.001..0.999, 3 => (1.0..9.0).prop_map(|x: f64| 10.0_f64.powf(-x)), 1 => select(vec![0.0, 1.0])]
}

/// Likelihoods and ratios.
fn ratio() -> impl Strategy<Value = f64> {
    prop_oneof![4 => 0.01..20.0, 2 => Just(1.0), 1 => select(vec![0.0, 1e-12, 1e9])]
}

fn strength() -> impl Strategy<Value = f64> {
    prop_oneof![2 => Just(0.0), 3 => chance()]
}

fn case() -> impl Strategy<Value = Case> {
    (1_usize..8, 1_usize..7).prop_flat_map(|(causes, findings)| {
        let hard = select(vec![(1.0, 0.0), (1.0, 0.0), (0.0, 1.0)]);
        let likelihood = prop_oneof![3 => hard, 1 => (ratio(), ratio())];
        let cause = 0..causes;
        let named = proptest::collection::btree_map(cause.clone(), ratio(), 0..=causes);
        (
            vec(chance(), causes),
            vec(
                (chance(), vec(strength(), causes), vec(strength(), causes)),
                findings,
            ),
            vec(
                (0..findings, likelihood).prop_map(|(f, (made, unmade))| (f, made, unmade)),
                0..=findings,
            ),
            vec((cause, ratio(), ratio()), 0..3),
            vec(
                (named.prop_map(|map| map.into_iter().collect()), ratio()),
                0..3,
            ),
            0_usize..3,
            select(vec![Scope::Explaining, Scope::All]),
        )
            .prop_map(
                |(priors, findings, seen, likelihoods, judgements, conditions, scope)| Case {
                    priors,
                    findings,
                    seen,
                    likelihoods,
                    judgements,
                    conditions,
                    scope,
                },
            )
    })
}

/// Whether two sums of non-negative terms are equal but for rounding.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-11 * b.abs()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, ..ProptestConfig::default() })]

    #[test]
    fn every_answer_equals_the_sum_over_all_states(case in case()) {
        let sums = case.enumerated();
        let (network, evidence) = case.engine();
        if sums.total == 0.0 {
            prop_assert_eq!(infer(&network, &evidence), Err(InferError::Impossible));
        } else {
            let answer = infer(&network, &evidence).unwrap();
            prop_assert!((answer.log_evidence - sums.total.ln()).abs() < 1e-10);
            for cause in 0..case.priors.len() {
                let (there, not) = (sums.there[cause], sums.not[cause]);
                let found = answer.probability(CauseIx(cause));
                prop_assert!(same(found, there / sums.total), "{cause}: {found:e} {:e}", there / sums.total);
                let odds = answer.log_odds(CauseIx(cause));
                prop_assert!(odds == (there / not).ln() || (odds - (there / not).ln()).abs() < 1e-10, "{odds}");
            }
            prop_assert!(same(answer.none, sums.none / sums.total), "{:e} {:e}", answer.none, sums.none / sums.total);
        }
    }

    /// The arithmetic that is used far below the range of doubles gives what doubles give within it.
    #[test]
    fn both_arithmetics_agree(case in case()) {
        let (network, evidence) = case.engine();
        if let Ok(folded) = super::fold::fold(&network, &evidence) {
            let plan = super::plan::plan(&folded.bits, folded.chances.len()).unwrap();
            let plain = super::sweep::sweep::<f64>(&plan, &folded.chances, &folded.bits);
            let wide = super::sweep::sweep::<super::wide::Wide>(&plan, &folded.chances, &folded.bits);
            prop_assert!(same(plain.total.to_f64(), wide.total.to_f64()));
            for (a, b) in plain.splits.iter().zip(&wide.splits) {
                prop_assert!(same(a.there.to_f64(), b.there.to_f64()) && same(a.not.to_f64(), b.not.to_f64()));
            }
        }
    }
}
