//! Published examples: testimony, the table of a noisy-OR, orders of repair.

use super::{Sets, cases, close, posterior};
use padlore_core::diagnosis::infer::{
    Action, Evidence, InferError, Likelihood, Network, best_order, expected_cost, infer,
};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct TestimonyInput {
    prior_burglary: f64,
    alarm_given_burglary: f64,
    alarm_given_none: f64,
    evidence_sets: Vec<TestimonySet>,
}

#[derive(Deserialize)]
struct TestimonySet {
    id: String,
    alarm: Option<bool>,
    alarm_likelihood_ratio: Option<f64>,
}

#[derive(Deserialize)]
struct TestimonyExpected {
    id: String,
    posterior: BTreeMap<String, f64>,
}

#[test]
fn published_testimony_as_soft_evidence() {
    for case in cases::<TestimonyInput, Sets<TestimonyExpected>>("soft-evidence") {
        let input = &case.input;
        let mut network = Network::new();
        let burglary = network.add_cause(input.prior_burglary).unwrap();
        let leak = input.alarm_given_none;
        let alarm = network.add_finding(leak).unwrap();
        network
            .set_strength(
                alarm,
                burglary,
                (input.alarm_given_burglary - leak) / (1.0 - leak),
            )
            .unwrap();
        assert_eq!(
            input.evidence_sets.len(),
            case.expected.sets.len(),
            "{}",
            case.id
        );
        for (set, expected) in input.evidence_sets.iter().zip(&case.expected.sets) {
            assert_eq!(set.id, expected.id, "{}", case.id);
            let heard = match (set.alarm, set.alarm_likelihood_ratio) {
                (Some(true), None) => Likelihood::PRESENT,
                (Some(false), None) => Likelihood::ABSENT,
                (None, Some(ratio)) => Likelihood::ratio(ratio),
                _ => panic!("{} {}: one of alarm and ratio", case.id, set.id),
            };
            let mut evidence = Evidence::new();
            evidence.finding(alarm, heard);
            let found = infer(&network, &evidence).unwrap().probability(burglary);
            posterior(
                &format!("{} {}", case.id, set.id),
                found,
                expected.posterior["Burglary"],
                &case.tolerance,
            );
        }
    }
}

#[derive(Deserialize)]
struct TableInput {
    leak: f64,
    strengths: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
struct Table {
    table: Vec<BTreeMap<String, serde_json::Value>>,
}

#[test]
fn published_noisy_or_table() {
    for case in cases::<TableInput, Table>("noisy-or-table") {
        for row in &case.expected.table {
            let mut network = Network::new();
            let finding = network.add_finding(case.input.leak).unwrap();
            for (cause, &strength) in &case.input.strengths {
                let there = row[cause].as_bool().unwrap();
                let cause = network.add_cause(f64::from(u8::from(there))).unwrap();
                network.set_strength(finding, cause, strength).unwrap();
            }
            let chance = |likelihood| {
                let mut evidence = Evidence::new();
                evidence.finding(finding, likelihood);
                match infer(&network, &evidence) {
                    Err(InferError::Impossible) => 0.0,
                    answer => answer.unwrap().log_evidence.exp(),
                }
            };
            for (column, likelihood) in [
                ("fever", Likelihood::PRESENT),
                ("no_fever", Likelihood::ABSENT),
            ] {
                let expected = row[column].as_f64().unwrap();
                close(
                    &case.id,
                    chance(likelihood),
                    expected,
                    case.tolerance.probability_abs.unwrap(),
                );
            }
        }
    }
}

#[derive(Deserialize)]
struct RepairInput {
    actions: Vec<ActionData>,
}

#[derive(Deserialize)]
struct ActionData {
    id: String,
    probability: f64,
    check_cost: f64,
    repair_cost: f64,
}

#[derive(Deserialize)]
struct RepairExpected {
    order: Vec<String>,
    expected_cost: f64,
    worst_cost: f64,
    cost_in_listed_order: f64,
}

#[test]
fn orders_of_repair() {
    for case in cases::<RepairInput, RepairExpected>("repair-order") {
        let actions: Vec<Action> = case
            .input
            .actions
            .iter()
            .map(|a| Action {
                probability: a.probability,
                check_cost: a.check_cost,
                repair_cost: a.repair_cost,
            })
            .collect();
        let near = |found: f64, expected: f64| {
            close(
                &case.id,
                found,
                expected,
                case.tolerance.cost_rel.unwrap() * expected,
            )
        };
        let best = best_order(&actions).unwrap();
        let ids: Vec<&String> = best
            .sequence
            .iter()
            .map(|&at| &case.input.actions[at].id)
            .collect();
        assert_eq!(
            ids,
            case.expected.order.iter().collect::<Vec<_>>(),
            "{}",
            case.id
        );
        near(best.expected_cost, case.expected.expected_cost);
        // The worst order is the best one backwards.
        let worst: Vec<usize> = best.sequence.iter().rev().copied().collect();
        near(
            expected_cost(&actions, &worst).unwrap(),
            case.expected.worst_cost,
        );
        let listed: Vec<usize> = (0..actions.len()).collect();
        near(
            expected_cost(&actions, &listed).unwrap(),
            case.expected.cost_in_listed_order,
        );
    }
}
