//! Networks of noisy-OR with leak, with evidence of every sort.

use super::{ExpectedSet, Sets, Tolerance, cases, close, posterior};
use padlore_core::diagnosis::infer::{
    CauseIx, ConditionIx, Evidence, FindingIx, Likelihood, Network, Posteriors, infer,
};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};

#[derive(Deserialize)]
pub struct CauseData {
    id: String,
    prior: f64,
}

#[derive(Deserialize)]
pub struct FindingData {
    id: String,
    leak: f64,
    strengths: BTreeMap<String, f64>,
    #[serde(default)]
    condition_factors: BTreeMap<String, BTreeMap<String, f64>>,
}

#[derive(Deserialize)]
pub struct NetworkData {
    causes: Vec<CauseData>,
    pub findings: Vec<FindingData>,
    #[serde(default)]
    conditions: Vec<String>,
}

/// A network with the places of its ids.
pub struct Built {
    pub network: Network,
    causes: HashMap<String, CauseIx>,
    findings: HashMap<String, FindingIx>,
    conditions: HashMap<String, ConditionIx>,
}

impl NetworkData {
    pub fn build(&self) -> Built {
        let mut network = Network::new();
        let causes: HashMap<_, _> = self
            .causes
            .iter()
            .map(|c| (c.id.clone(), network.add_cause(c.prior).unwrap()))
            .collect();
        let conditions: HashMap<_, _> = self
            .conditions
            .iter()
            .map(|id| (id.clone(), network.add_condition()))
            .collect();
        let mut findings = HashMap::new();
        for data in &self.findings {
            let finding = network.add_finding(data.leak).unwrap();
            for (cause, strength) in &data.strengths {
                network
                    .set_strength(finding, causes[cause], *strength)
                    .unwrap();
            }
            for (condition, factors) in &data.condition_factors {
                for (cause, factor) in factors {
                    network
                        .set_condition_factor(
                            finding,
                            conditions[condition],
                            causes[cause],
                            *factor,
                        )
                        .unwrap();
                }
            }
            findings.insert(data.id.clone(), finding);
        }
        Built {
            network,
            causes,
            findings,
            conditions,
        }
    }
}

/// Compares all posteriors and the log evidence.
fn compare(
    at: &str,
    built: &Built,
    found: &Posteriors,
    expected: &ExpectedSet,
    tolerance: &Tolerance,
) {
    assert_eq!(expected.posterior.len(), built.causes.len(), "{at}");
    for (cause, &value) in &expected.posterior {
        posterior(
            &format!("{at} {cause}"),
            found.probability(built.causes[cause]),
            value,
            tolerance,
        );
    }
    close(
        at,
        found.log_evidence,
        expected.log_evidence,
        tolerance.log_evidence_abs.unwrap(),
    );
}

#[derive(Deserialize)]
struct EvidenceSet {
    id: String,
    present: Vec<String>,
    absent: Vec<String>,
}

#[derive(Deserialize)]
struct NetworksInput {
    #[serde(flatten)]
    network: NetworkData,
    evidence_sets: Vec<EvidenceSet>,
}

#[test]
fn networks_of_noisy_or_with_leak() {
    for case in cases::<NetworksInput, Sets<ExpectedSet>>("networks") {
        let built = case.input.network.build();
        assert_eq!(
            case.input.evidence_sets.len(),
            case.expected.sets.len(),
            "{}",
            case.id
        );
        for (set, expected) in case.input.evidence_sets.iter().zip(&case.expected.sets) {
            assert_eq!(set.id, expected.id, "{}", case.id);
            let mut evidence = Evidence::new();
            for finding in &set.present {
                evidence.present(built.findings[finding]);
            }
            for finding in &set.absent {
                evidence.absent(built.findings[finding]);
            }
            let at = format!("{} {}", case.id, set.id);
            compare(
                &at,
                &built,
                &infer(&built.network, &evidence).unwrap(),
                expected,
                &case.tolerance,
            );
        }
    }
}

#[derive(Deserialize)]
struct CheckData {
    cause: String,
    outcomes: Vec<String>,
    if_present: Vec<f64>,
    if_absent: Vec<f64>,
    observed: Option<String>,
}

#[derive(Deserialize)]
struct Soft {
    on: String,
    likelihood_ratio: f64,
}

#[derive(Deserialize)]
struct ExtrasInput {
    #[serde(flatten)]
    network: NetworkData,
    conditions_observed: Vec<String>,
    checks: Vec<CheckData>,
    soft: Vec<Soft>,
    present: Vec<String>,
    absent: Vec<String>,
}

#[test]
fn checks_soft_evidence_and_conditions() {
    for case in cases::<ExtrasInput, ExpectedSet>("extras") {
        let built = case.input.network.build();
        let mut evidence = Evidence::new();
        for condition in &case.input.conditions_observed {
            evidence.condition(built.conditions[condition]);
        }
        for check in &case.input.checks {
            let Some(observed) = &check.observed else {
                continue;
            };
            let at = check
                .outcomes
                .iter()
                .position(|outcome| outcome == observed)
                .unwrap();
            let (if_present, if_absent) = (check.if_present[at], check.if_absent[at]);
            evidence.cause(
                built.causes[&check.cause],
                Likelihood {
                    if_present,
                    if_absent,
                },
            );
        }
        for soft in &case.input.soft {
            let ratio = Likelihood::ratio(soft.likelihood_ratio);
            match built.causes.get(&soft.on) {
                Some(&cause) => evidence.cause(cause, ratio),
                None => evidence.finding(built.findings[&soft.on], ratio),
            };
        }
        for finding in &case.input.present {
            evidence.present(built.findings[finding]);
        }
        for finding in &case.input.absent {
            evidence.absent(built.findings[finding]);
        }
        compare(
            &case.id,
            &built,
            &infer(&built.network, &evidence).unwrap(),
            &case.expected,
            &case.tolerance,
        );
    }
}
