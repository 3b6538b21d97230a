//! The next check: what tells most for the least time and danger.
//!
//! The value of a check is its expected saving (Heckerman, Breese and Rommelse 1995): the expected cost of mending by
//! the present probabilities, less that after the check, less the check's own cost. Cost is minutes, weighed up where
//! the check is dangerous or needs a licensed person, so that safe and cheap comes before dangerous.

use super::{
    case::Case,
    infer::{Action, Elsewhere, InferError, OutcomeGiven, expected_saving},
    rank::Ranking,
};
use crate::trade::{Hazard, Knowledge, Who, causes::Check};

/// Causes that the plan looks at.
const PLANNED: usize = 12;
/// Minutes that a mend takes where the table does not say (common practice: a part swapped).
const MEND_MINUTES: f64 = 30.0;
/// Minutes to look for a cause by going at it without a check.
const LOOK_MINUTES: f64 = 25.0;
/// Minutes that giving up costs: another visit.
const ANOTHER_VISIT_MINUTES: f64 = 240.0;

/// A check with what it is worth.
#[derive(Clone, Debug)]
pub struct Next {
    /// Its number in the tables.
    pub check: usize,
    /// Expected saving in weighed minutes.
    pub saving: f64,
    /// Probability of each of its outcomes.
    pub outcomes: Vec<f64>,
    /// Causes that its outcomes speak of, likeliest first, by number.
    pub tells_apart: Vec<usize>,
}

/// How much dearer a hazard makes a minute.
fn danger(hazard: Hazard) -> f64 {
    match hazard {
        Hazard::None => 1.0,
        Hazard::Pressure | Hazard::Scald | Hazard::Chemical => 1.4,
        Hazard::Entrapment => 1.6,
        Hazard::Electric => 1.8,
        Hazard::Gas => 2.2,
    }
}

/// How much dearer a licensed person's minute is: someone else has to be sent for.
fn person(who: Who) -> f64 {
    match who {
        Who::Anyone => 1.0,
        Who::Trained => 1.1,
        Who::Electrical => 1.6,
        Who::Gas => 2.0,
    }
}

/// The cost of a check in weighed minutes.
#[must_use]
pub fn cost(check: &Check) -> f64 {
    check.minutes * danger(check.hazard) * person(check.who)
}

/// The checks worth making, best first.
///
/// # Errors
/// [`InferError`] where the tables hold numbers that are none.
pub fn checks(
    case: &Case,
    ranking: &Ranking,
    knowledge: &Knowledge,
) -> Result<Vec<Next>, InferError> {
    let planned: Vec<usize> = ranking
        .causes
        .iter()
        .take(PLANNED)
        .map(|l| l.cause)
        .collect();
    let actions: Vec<Action> = ranking
        .causes
        .iter()
        .take(PLANNED)
        .map(|l| Action {
            probability: l.probability.clamp(1e-9, 1.0),
            check_cost: LOOK_MINUTES,
            repair_cost: MEND_MINUTES,
        })
        .collect();
    if actions.is_empty() {
        return Ok(Vec::new());
    }
    let elsewhere = Elsewhere {
        probability: ranking.something_else.clamp(1e-9, 1.0),
        cost: ANOTHER_VISIT_MINUTES,
    };
    let mut out = Vec::new();
    for (number, check) in knowledge.checks.iter().enumerate() {
        if !sensible(case, check, knowledge, &planned)
            || case.outcomes.iter().any(|(made, _)| *made == number)
        {
            continue;
        }
        let outcomes: Vec<OutcomeGiven> = check
            .outcomes
            .iter()
            .map(|o| {
                let ratio = |cause: &usize| {
                    knowledge
                        .causes
                        .get(*cause)
                        .and_then(|c| o.speaks.causes.get(&c.id))
                        .copied()
                        .unwrap_or(o.speaks.other)
                };
                OutcomeGiven {
                    actions: planned.iter().map(|c| ratio(c).max(1e-6)).collect(),
                    elsewhere: o.speaks.other.max(1e-6),
                }
            })
            .collect();
        let saving = expected_saving(&actions, elsewhere, cost(check), &outcomes)?;
        let named = |cause: &usize| {
            knowledge.causes.get(*cause).is_some_and(|c| {
                check
                    .outcomes
                    .iter()
                    .any(|o| o.speaks.causes.contains_key(&c.id))
            })
        };
        let tells_apart: Vec<usize> = planned.iter().copied().filter(|c| named(c)).collect();
        out.push(Next {
            check: number,
            saving: saving.saving,
            outcomes: saving.outcomes,
            tells_apart,
        });
    }
    out.sort_by(|a, b| b.saving.total_cmp(&a.saving).then(a.check.cmp(&b.check)));
    Ok(out)
}

/// Whether a check is one that a person would be sent to make for this case.
fn sensible(case: &Case, check: &Check, knowledge: &Knowledge, planned: &[usize]) -> bool {
    let asked = check.ask && check.outcomes.len() >= 2;
    let fits = check.symptoms.is_empty() || check.symptoms.iter().any(|s| case.present.contains(s));
    let gone = check
        .needs
        .iter()
        .any(|choice| choice.iter().all(|k| case.absent_equipment.contains(k)));
    let tells = planned.iter().take(5).any(|c| {
        knowledge.causes.get(*c).is_some_and(|c| {
            check
                .outcomes
                .iter()
                .any(|o| o.speaks.causes.contains_key(&c.id))
        })
    });
    asked && fits && !gone && tells
}
