//! In which order to try things when one of them holds the fault.
//!
//! Actions are tried in turn; each one reached costs its check, and the one that holds the fault also costs its
//! repair. Where exactly one holds it, falling probability / cost is the best order there is (Kalagnanam and Henrion
//! 1990; Heckerman, Breese and Rommelse, "Decision-theoretic troubleshooting", Comm. ACM 38(3), 1995). Costs may be
//! minutes, money or any weighing of both with danger, as long as it is the same for all.

use super::{InferError, probability, weight};
use std::cmp::Ordering;

/// Something that can be looked at and, if it holds the fault, mended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Action {
    /// Probability that it holds the fault.
    pub probability: f64,
    /// Cost of looking, whatever is found.
    pub check_cost: f64,
    /// Further cost of mending it where it holds the fault.
    pub repair_cost: f64,
}

/// The fault lies in none of the actions, or they are given up: somebody else is sent for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elsewhere {
    /// Probability that no action holds the fault.
    pub probability: f64,
    /// Cost of giving the case up.
    pub cost: f64,
}

/// Actions in the order in which to try them.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Places in the given list. [`best_plan`] leaves out what is not worth trying.
    pub sequence: Vec<usize>,
    /// Expected cost until the fault is mended or given up.
    pub expected_cost: f64,
}

/// The order of least expected cost. Equal quotients keep the order given; what costs nothing to look at comes first.
///
/// # Errors
/// A probability outside 0..=1, a cost that is negative or not finite.
pub fn best_order(actions: &[Action]) -> Result<Order, InferError> {
    check(actions)?;
    let sequence = by_quotient(actions);
    let expected_cost = expected_cost(actions, &sequence)?;
    Ok(Order {
        sequence,
        expected_cost,
    })
}

/// Expected cost of trying all actions in the given order. Probability that the actions do not add up to 1 counts
/// as a fault that none of them holds, so all are looked at.
///
/// # Errors
/// [`InferError::NotAnOrder`] unless `sequence` has each action once; as [`best_order`].
pub fn expected_cost(actions: &[Action], sequence: &[usize]) -> Result<f64, InferError> {
    check(actions)?;
    let mut seen = vec![false; actions.len()];
    for &at in sequence {
        match seen.get_mut(at) {
            Some(flag) if !*flag => *flag = true,
            _ => return Err(InferError::NotAnOrder(actions.len())),
        }
    }
    if seen.contains(&false) {
        return Err(InferError::NotAnOrder(actions.len()));
    }
    let none = (1.0 - actions.iter().map(|action| action.probability).sum::<f64>()).max(0.0);
    Ok(costs(
        actions,
        sequence,
        Elsewhere {
            probability: none,
            cost: 0.0,
        },
    )
    .last()
    .copied()
    .unwrap_or(0.0))
}

/// The best way to go on where giving up is open at any time: actions by falling quotient until giving the case up is
/// expected to cost less than going on.
///
/// Without repair costs no other choice is better; with them it is the best among the beginnings of that order.
///
/// # Errors
/// As [`best_order`].
pub fn best_plan(actions: &[Action], elsewhere: Elsewhere) -> Result<Order, InferError> {
    check(actions)?;
    probability("the probability of elsewhere", elsewhere.probability)?;
    weight("the cost of giving up", elsewhere.cost)?;
    let mut sequence = by_quotient(actions);
    let mut best = (0, f64::INFINITY);
    for (tried, &cost) in costs(actions, &sequence, elsewhere).iter().enumerate() {
        if cost < best.1 {
            best = (tried, cost);
        }
    }
    sequence.truncate(best.0);
    Ok(Order {
        sequence,
        expected_cost: best.1,
    })
}

fn check(actions: &[Action]) -> Result<(), InferError> {
    for action in actions {
        probability("an action's probability", action.probability)?;
        weight("a cost of looking", action.check_cost)?;
        weight("a cost of mending", action.repair_cost)?;
    }
    Ok(())
}

fn by_quotient(actions: &[Action]) -> Vec<usize> {
    let mut sequence: Vec<usize> = (0..actions.len()).collect();
    // p/c > q/d as p·d > q·c, which also holds for costs of 0; what is neither likely nor costly comes last.
    let key = |a: &Action| {
        (
            a.check_cost == 0.0 && a.probability == 0.0,
            a.probability,
            a.check_cost,
        )
    };
    sequence.sort_by(
        |&a, &b| match (actions.get(a).map(key), actions.get(b).map(key)) {
            (Some((idle_a, p, c)), Some((idle_b, q, d))) => {
                idle_a.cmp(&idle_b).then((q * c).total_cmp(&(p * d)))
            }
            _ => Ordering::Equal,
        },
    );
    sequence
}

/// Expected cost of giving up after the first 0, 1, 2… actions of the sequence, each found not to hold the fault.
fn costs(actions: &[Action], sequence: &[usize], elsewhere: Elsewhere) -> Vec<f64> {
    // What is left is summed from the back, so that it never goes below 0 by rounding.
    let tried: Vec<&Action> = sequence.iter().filter_map(|&at| actions.get(at)).collect();
    let mut left = vec![elsewhere.probability; tried.len() + 1];
    for (at, action) in tried.iter().enumerate().rev() {
        left[at] = left[at + 1] + action.probability;
    }
    let mut spent = 0.0;
    let mut costs = Vec::with_capacity(left.len());
    for (at, &left) in left.iter().enumerate() {
        costs.push(spent + left * elsewhere.cost);
        if let Some(action) = tried.get(at) {
            spent += action.check_cost * left + action.repair_cost * action.probability;
        }
    }
    costs
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
    fn ties_and_free_looks_have_a_fixed_place() {
        let actions = [
            action(0.2, 10.0),
            action(0.0, 0.0),
            action(0.4, 20.0),
            action(0.1, 0.0),
            action(0.3, 5.0),
        ];
        let order = best_order(&actions).unwrap();
        assert_eq!(order.sequence, [3, 4, 0, 2, 1]);
        assert!((order.expected_cost - (0.9 * 5.0 + 0.6 * 10.0 + 0.4 * 20.0)).abs() < 1e-12);
    }

    #[test]
    fn refuses_what_is_no_order() {
        let actions = [action(0.5, 1.0), action(0.5, 2.0)];
        for bad in [&[0][..], &[0, 0], &[0, 2], &[0, 1, 1]] {
            assert_eq!(expected_cost(&actions, bad), Err(InferError::NotAnOrder(2)));
        }
        assert!(best_order(&[action(1.5, 1.0)]).is_err());
        assert!(best_order(&[action(0.5, -1.0)]).is_err());
        assert_eq!(
            best_order(&[]).unwrap(),
            Order {
                sequence: vec![],
                expected_cost: 0.0
            }
        );
    }

    #[test]
    fn gives_up_where_going_on_costs_more() {
        let actions = [action(0.6, 10.0), action(0.1, 40.0)];
        let plan = |cost| {
            best_plan(
                &actions,
                Elsewhere {
                    probability: 0.3,
                    cost,
                },
            )
            .unwrap()
        };
        assert_eq!(
            plan(5.0),
            Order {
                sequence: vec![],
                expected_cost: 5.0
            }
        );
        assert_eq!(plan(100.0).sequence, [0]);
        assert!((plan(100.0).expected_cost - (10.0 + 0.4 * 100.0)).abs() < 1e-12);
        assert_eq!(plan(1000.0).sequence, [0, 1]);
        assert!((plan(1000.0).expected_cost - (10.0 + 0.4 * 40.0 + 0.3 * 1000.0)).abs() < 1e-12);
    }

    proptest! {
        /// No order, and without repair costs no selection either, is cheaper than the one given.
        #[test]
        fn nothing_is_cheaper(
            raw in proptest::collection::vec((0.01_f64..1.0, 0.1_f64..50.0), 1..6),
            none in 0.0_f64..0.5,
            cost in 0.0_f64..300.0,
        ) {
            let sum: f64 = raw.iter().map(|r| r.0).sum::<f64>() / (1.0 - none);
            let actions: Vec<Action> = raw.iter().map(|&(p, c)| action(p / sum, c)).collect();
            let best = best_order(&actions).unwrap().expected_cost;
            let elsewhere = Elsewhere { probability: none, cost };
            let plan = best_plan(&actions, elsewhere).unwrap().expected_cost;
            let mut orders = vec![vec![]];
            let mut all = 0;
            while let Some(order) = orders.pop() {
                // An independent sum: walk through who may hold the fault, what is left out falls to giving up.
                let mut sum = none * cost;
                for (at, action) in actions.iter().enumerate() {
                    sum += if order.contains(&at) { 0.0 } else { action.probability * cost };
                }
                let mut spent = 0.0;
                for &at in &order {
                    let tried: &Action = &actions[at];
                    spent += tried.check_cost;
                    sum += tried.probability * spent;
                }
                let missed = 1.0 - order.iter().map(|&at| actions[at].probability).sum::<f64>();
                sum += missed * spent;
                prop_assert!(plan <= sum + 1e-9, "{plan} {sum} {order:?}");
                if order.len() == actions.len() {
                    all += 1;
                    let given = expected_cost(&actions, &order).unwrap();
                    prop_assert!((given - (sum - none * cost)).abs() < 1e-9);
                    prop_assert!(best <= given + 1e-9);
                }
                for next in (0..actions.len()).filter(|at| !order.contains(at)) {
                    orders.push([order.as_slice(), &[next]].concat());
                }
            }
            prop_assert_eq!(all, (1..=actions.len()).product::<usize>());
        }
    }
}
