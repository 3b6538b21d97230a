//! What a check is worth before it is made: the expected cost of going on without it, less that of going on with
//! what it may show and the check's own cost (Heckerman, Breese and Rommelse 1995).
//!
//! [`expected_saving`] takes the actions as holding one fault between them: a handful of products for each check,
//! fit for ranking all checks there are. [`expected_saving_exact`] infers anew for each outcome, several faults at
//! once and all evidence included; it is for the few checks that lead.

use super::evidence::{Evidence, Judgement, Likelihood};
use super::exact::{Posteriors, infer};
use super::network::{CauseIx, Network};
use super::order::{Action, Elsewhere, best_plan};
use super::{InferError, probability, weight};

/// One outcome of a check under the single-fault view.
#[derive(Clone, Debug, PartialEq)]
pub struct OutcomeGiven {
    /// For each action, how probable the outcome is where that action holds the fault; on any common scale.
    pub actions: Vec<f64>,
    /// How probable it is where none of them does.
    pub elsewhere: f64,
}

/// What a check is expected to save.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// Expected saving, the check's own cost taken off; below 0 where the check is not worth its cost.
    pub saving: f64,
    /// Probability of each outcome, in the order given.
    pub outcomes: Vec<f64>,
}

/// The expected saving of a check where one of the actions, or something elsewhere, holds the fault. Probabilities
/// are scaled to sum to 1. Likelihoods are scaled for each action so that its outcomes sum to 1: something is seen
/// whatever holds the fault, so making the check by itself speaks for nothing, and ignoring its own cost it never
/// costs.
///
/// # Errors
/// Numbers out of range; [`InferError::Mismatch`] where an outcome has not one likelihood for each action;
/// [`InferError::Impossible`] where no outcome is possible under some action or all probabilities are 0.
pub fn expected_saving(
    actions: &[Action],
    elsewhere: Elsewhere,
    check_cost: f64,
    outcomes: &[OutcomeGiven],
) -> Result<Saving, InferError> {
    weight("a check's cost", check_cost)?;
    for outcome in outcomes {
        if outcome.actions.len() != actions.len() {
            return Err(InferError::Mismatch {
                given: outcome.actions.len(),
                actions: actions.len(),
            });
        }
        for &likelihood in outcome.actions.iter().chain([&outcome.elsewhere]) {
            weight("an outcome's likelihood", likelihood)?;
        }
    }
    let (actions, elsewhere) = scaled(actions, elsewhere)?;
    let now = best_plan(&actions, elsewhere)?.expected_cost;
    let mut sums = vec![0.0; actions.len()];
    for outcome in outcomes {
        sums.iter_mut()
            .zip(&outcome.actions)
            .for_each(|(sum, likelihood)| *sum += likelihood);
    }
    let sum_elsewhere: f64 = outcomes.iter().map(|outcome| outcome.elsewhere).sum();
    let mut then = 0.0;
    let mut chances = Vec::with_capacity(outcomes.len());
    for outcome in outcomes {
        let mut after = actions.clone();
        for ((action, &likelihood), &sum) in after.iter_mut().zip(&outcome.actions).zip(&sums) {
            action.probability = joint(action.probability, likelihood, sum)?;
        }
        let none = joint(elsewhere.probability, outcome.elsewhere, sum_elsewhere)?;
        let chance: f64 = after.iter().map(|action| action.probability).sum::<f64>() + none;
        chances.push(chance);
        if chance > 0.0 {
            // The plan's cost is linear in the probabilities, so the joint ones give chance × cost.
            then += best_plan(
                &after,
                Elsewhere {
                    probability: none.min(1.0),
                    cost: elsewhere.cost,
                },
            )?
            .expected_cost;
        }
    }
    if outcomes.is_empty() {
        then = now;
    }
    Ok(Saving {
        saving: now - then - check_cost,
        outcomes: chances,
    })
}

/// P(fault there and outcome).
fn joint(probability: f64, likelihood: f64, sum: f64) -> Result<f64, InferError> {
    if probability == 0.0 {
        Ok(0.0)
    } else if sum > 0.0 {
        Ok(probability * (likelihood / sum))
    } else {
        Err(InferError::Impossible)
    }
}

/// Probabilities scaled to sum to 1.
fn scaled(
    actions: &[Action],
    elsewhere: Elsewhere,
) -> Result<(Vec<Action>, Elsewhere), InferError> {
    for action in actions {
        probability("an action's probability", action.probability)?;
    }
    probability("the probability of elsewhere", elsewhere.probability)?;
    let sum = actions.iter().map(|action| action.probability).sum::<f64>() + elsewhere.probability;
    if sum <= 0.0 {
        return Err(InferError::Impossible);
    }
    let share = |p: f64| (p / sum).min(1.0);
    let actions = actions
        .iter()
        .map(|a| Action {
            probability: share(a.probability),
            ..*a
        })
        .collect();
    Ok((
        actions,
        Elsewhere {
            probability: share(elsewhere.probability),
            ..elsewhere
        },
    ))
}

/// A cause as something that can be looked at and mended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repair {
    /// The cause.
    pub cause: CauseIx,
    /// Cost of looking whether it is there.
    pub check_cost: f64,
    /// Further cost of mending it where it is.
    pub repair_cost: f64,
}

/// A check and what it may show.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Its cost.
    pub cost: f64,
    /// What may be seen, one of them in each case.
    pub outcomes: Vec<Outcome>,
}

/// What an outcome adds to the evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How probable it is where nothing that it speaks for or against is there; for a check whose likelihoods are
    /// probabilities by themselves, 1.
    pub base: f64,
    /// Likelihoods of single causes.
    pub causes: Vec<(CauseIx, Likelihood)>,
    /// Ratios of many causes.
    pub judgements: Vec<Judgement>,
}

/// The expected saving of a check by exact inference after each outcome. An outcome's probability is its base times
/// what it changes the probability of the evidence by, scaled so that the outcomes' sum to 1. The repairs then share
/// the fault in proportion to their posteriors, with [`Posteriors::none`] for something elsewhere, which costs
/// `elsewhere_cost`.
///
/// Where the likelihoods are probabilities (each cause's outcomes sum to 1) the outcomes' probabilities are exact;
/// with ratios they are as good as the bases.
///
/// # Errors
/// As [`infer`], but an impossible outcome is skipped; numbers out of range; [`InferError::Impossible`] where no
/// outcome is possible or no repair has a posterior above 0.
pub fn expected_saving_exact(
    network: &Network,
    evidence: &Evidence,
    repairs: &[Repair],
    elsewhere_cost: f64,
    check: &Check,
) -> Result<Saving, InferError> {
    weight("a check's cost", check.cost)?;
    let going_on = |posteriors: &Posteriors| -> Result<f64, InferError> {
        let actions: Vec<Action> = repairs
            .iter()
            .map(|repair| Action {
                probability: posteriors.probability(repair.cause),
                check_cost: repair.check_cost,
                repair_cost: repair.repair_cost,
            })
            .collect();
        let (actions, elsewhere) = scaled(
            &actions,
            Elsewhere {
                probability: posteriors.none,
                cost: elsewhere_cost,
            },
        )?;
        Ok(best_plan(&actions, elsewhere)?.expected_cost)
    };
    let before = infer(network, evidence)?;
    let now = going_on(&before)?;
    let mut weights = Vec::with_capacity(check.outcomes.len());
    let mut costs = Vec::with_capacity(check.outcomes.len());
    for outcome in &check.outcomes {
        let base = weight("an outcome's base", outcome.base)?;
        let mut known = evidence.clone();
        for &(cause, likelihood) in &outcome.causes {
            known.cause(cause, likelihood);
        }
        for judgement in &outcome.judgements {
            known.judge(judgement.clone());
        }
        match infer(network, &known) {
            Ok(after) => {
                weights.push(base * (after.log_evidence - before.log_evidence).exp());
                costs.push(going_on(&after)?);
            }
            Err(InferError::Impossible) => {
                weights.push(0.0);
                costs.push(0.0);
            }
            Err(error) => return Err(error),
        }
    }
    if check.outcomes.is_empty() {
        return Ok(Saving {
            saving: -check.cost,
            outcomes: Vec::new(),
        });
    }
    let sum: f64 = weights.iter().sum();
    if sum <= 0.0 {
        return Err(InferError::Impossible);
    }
    let outcomes: Vec<f64> = weights.iter().map(|weight| weight / sum).collect();
    let then: f64 = outcomes
        .iter()
        .zip(&costs)
        .map(|(chance, cost)| chance * cost)
        .sum();
    Ok(Saving {
        saving: now - then - check.cost,
        outcomes,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn action(probability: f64, check_cost: f64) -> Action {
        Action {
            probability,
            check_cost,
            repair_cost: 0.0,
        }
    }

    #[test]
    fn a_check_that_names_the_fault_saves_the_wrong_looks() {
        let actions = [action(0.5, 20.0), action(0.5, 20.0)];
        let nowhere = Elsewhere {
            probability: 0.0,
            cost: 1000.0,
        };
        let outcomes = [[1.0, 0.0], [0.0, 1.0]].map(|given| OutcomeGiven {
            actions: given.to_vec(),
            elsewhere: 0.5,
        });
        let saving = expected_saving(&actions, nowhere, 4.0, &outcomes).unwrap();
        // Without: 20 + 0.5 × 20; with: 4 + 20.
        assert!((saving.saving - 6.0).abs() < 1e-12);
        assert_eq!(saving.outcomes, [0.5, 0.5]);
    }

    #[test]
    fn a_check_that_tells_nothing_saves_nothing() {
        let actions = [action(0.3, 20.0), action(0.2, 5.0)];
        let elsewhere = Elsewhere {
            probability: 0.5,
            cost: 60.0,
        };
        let outcomes = [0.25, 0.75].map(|p| OutcomeGiven {
            actions: vec![p; 2],
            elsewhere: p,
        });
        let saving = expected_saving(&actions, elsewhere, 3.0, &outcomes).unwrap();
        assert!((saving.saving + 3.0).abs() < 1e-12);
        assert!((saving.outcomes[0] - 0.25).abs() < 1e-12);
        assert_eq!(
            expected_saving(&actions, elsewhere, 3.0, &[])
                .unwrap()
                .saving,
            -3.0
        );
    }

    #[test]
    fn refuses_outcomes_that_do_not_fit() {
        let actions = [action(0.3, 20.0), action(0.7, 5.0)];
        let elsewhere = Elsewhere {
            probability: 0.0,
            cost: 1.0,
        };
        let saving = |given: Vec<f64>| {
            expected_saving(
                &actions,
                elsewhere,
                1.0,
                &[OutcomeGiven {
                    actions: given,
                    elsewhere: 1.0,
                }],
            )
        };
        assert_eq!(
            saving(vec![1.0]),
            Err(InferError::Mismatch {
                given: 1,
                actions: 2
            })
        );
        assert_eq!(saving(vec![1.0, 0.0]), Err(InferError::Impossible));
        assert!(matches!(
            saving(vec![1.0, -1.0]),
            Err(InferError::NotAWeight { .. })
        ));
        assert_eq!(
            expected_saving(&[action(0.0, 1.0)], elsewhere, 1.0, &[]),
            Err(InferError::Impossible)
        );
    }

    /// With one finding that needs a cause and rare causes, the exact answer comes close to the single-fault one.
    #[test]
    fn exact_and_single_fault_agree_on_rare_causes() {
        let mut network = Network::new();
        let causes = [3e-6, 5e-6, 2e-6].map(|prior| network.add_cause(prior).unwrap());
        let finding = network.add_finding(1e-6).unwrap();
        for cause in causes {
            network.set_strength(finding, cause, 1.0).unwrap();
        }
        let mut evidence = Evidence::new();
        evidence.present(finding);
        let repairs = [30.0, 40.0, 25.0].map(|cost| cost + 0.5);
        let repairs: Vec<Repair> = causes
            .iter()
            .zip(repairs)
            .map(|(&cause, check_cost)| Repair {
                cause,
                check_cost,
                repair_cost: 10.0,
            })
            .collect();
        let likely = [0.9, 0.1];
        let check = Check {
            cost: 2.0,
            outcomes: likely
                .iter()
                .map(|&p| Outcome {
                    base: 1.0,
                    causes: vec![(
                        causes[1],
                        Likelihood {
                            if_present: p,
                            if_absent: 1.0 - p,
                        },
                    )],
                    judgements: vec![],
                })
                .collect(),
        };
        let exact = expected_saving_exact(&network, &evidence, &repairs, 90.0, &check).unwrap();
        let posteriors = infer(&network, &evidence).unwrap();
        let actions: Vec<Action> = repairs
            .iter()
            .map(|r| Action {
                probability: posteriors.probability(r.cause),
                check_cost: r.check_cost,
                repair_cost: r.repair_cost,
            })
            .collect();
        let outcomes: Vec<OutcomeGiven> = likely
            .iter()
            .map(|&p| OutcomeGiven {
                actions: vec![1.0 - p, p, 1.0 - p],
                elsewhere: 1.0 - p,
            })
            .collect();
        let elsewhere = Elsewhere {
            probability: posteriors.none,
            cost: 90.0,
        };
        let single = expected_saving(&actions, elsewhere, 2.0, &outcomes).unwrap();
        assert!(single.saving > 1.0, "{}", single.saving);
        assert!(
            (exact.saving - single.saving).abs() < 1e-3,
            "{exact:?} {single:?}"
        );
        assert!((exact.outcomes[0] - single.outcomes[0]).abs() < 1e-4);
        assert!(
            (exact.outcomes[0]
                - (0.9 * posteriors.probability(causes[1])
                    + 0.1 * (1.0 - posteriors.probability(causes[1]))))
            .abs()
                < 1e-12
        );
    }

    #[test]
    fn an_impossible_outcome_is_skipped() {
        let mut network = Network::new();
        let causes = [0.1, 0.2].map(|prior| network.add_cause(prior).unwrap());
        let finding = network.add_finding(0.0).unwrap();
        network.set_strength(finding, causes[0], 0.5).unwrap();
        let mut evidence = Evidence::new();
        evidence.present(finding);
        let outcome = |if_present: f64| Outcome {
            base: 1.0,
            causes: vec![(
                causes[0],
                Likelihood {
                    if_present,
                    if_absent: 1.0 - if_present,
                },
            )],
            judgements: vec![],
        };
        let check = Check {
            cost: 1.0,
            outcomes: vec![outcome(1.0), outcome(0.0)],
        };
        let repairs = [Repair {
            cause: causes[0],
            check_cost: 10.0,
            repair_cost: 0.0,
        }];
        let saving = expected_saving_exact(&network, &evidence, &repairs, 50.0, &check).unwrap();
        assert_eq!(saving.outcomes, [1.0, 0.0]);
        assert!((saving.saving + 1.0).abs() < 1e-12);
    }

    proptest! {
        /// Knowing more never costs, and cannot save more than knowing all.
        #[test]
        fn information_is_never_worth_less_than_nothing(
            raw in proptest::collection::vec((0.01_f64..1.0, 0.1_f64..50.0, 0.0_f64..50.0), 1..7),
            mending in prop_oneof![Just(0.0), Just(1.0)],
            none in 0.0_f64..1.0,
            cost in 0.0_f64..300.0,
            likely in proptest::collection::vec(proptest::collection::vec(0.01_f64..1.0, 8), 1..4),
        ) {
            let sum = raw.iter().map(|r| r.0).sum::<f64>() + none;
            let actions: Vec<Action> = raw
                .iter()
                .map(|&(p, check_cost, repair)| Action { probability: p / sum, check_cost, repair_cost: repair * mending })
                .collect();
            let elsewhere = Elsewhere { probability: none / sum, cost };
            let outcomes: Vec<OutcomeGiven> = likely
                .iter()
                .map(|row| OutcomeGiven { actions: row[..actions.len()].to_vec(), elsewhere: row[7] })
                .collect();
            let saving = expected_saving(&actions, elsewhere, 0.0, &outcomes).unwrap();
            prop_assert!((saving.outcomes.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            let now = best_plan(&actions, elsewhere).unwrap().expected_cost;
            let all_known: f64 = elsewhere.probability * cost
                + actions.iter().map(|a| a.probability * (a.check_cost + a.repair_cost).min(cost)).sum::<f64>();
            prop_assert!(saving.saving <= now - all_known + 1e-9, "{} {}", saving.saving, now - all_known);
            // The order by quotient ignores repair costs, so a plan with them may be short of the best by itself.
            if mending == 0.0 {
                prop_assert!(saving.saving >= -1e-9, "{}", saving.saving);
            }
        }
    }
}
