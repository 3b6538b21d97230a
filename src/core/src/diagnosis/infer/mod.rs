//! Inference: from what was seen to how probable each cause is, in numbers alone.
//!
//! The model has two layers. **Causes** are there or not, independently, each with a prior. A **finding** is seen
//! where at least one of the causes that are there makes it (each by its own *strength*, independently of the
//! others) or where something unlisted does (the finding's *leak*):
//!
//! > P(seen | causes) = 1 − (1 − leak) × product over the causes that are there of (1 − strength)
//!
//! This is the noisy-OR with leak (Pearl, *Probabilistic Reasoning in Intelligent Systems*, 1988; Shwe et al.,
//! *Methods of Information in Medicine* 30, 1991). [`Network`] holds the numbers, [`Evidence`] what is known of one
//! case, [`infer`] answers with the exact probability of every cause.
//!
//! [`best_order`] and [`best_plan`] say in which order to try things, [`expected_saving`] and
//! [`expected_saving_exact`] what a further check is worth before it is made. Nothing here knows what a cause or a
//! finding stands for: both are numbers in the order in which they were added.

#[cfg(test)]
mod by_enumeration;
mod evidence;
mod exact;
mod fold;
mod network;
mod order;
mod plan;
mod sweep;
mod value;
mod wide;

pub use evidence::{Evidence, Judgement, Likelihood, Scope};
pub use exact::{Posteriors, infer};
pub use network::{CauseIx, ConditionIx, FindingIx, Network};
pub use order::{Action, Elsewhere, Order, best_order, best_plan, expected_cost};
pub use value::{
    Check, Outcome, OutcomeGiven, Repair, Saving, expected_saving, expected_saving_exact,
};

/// Why an inference, an order or a value could not be worked out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InferError {
    /// A cause that the network does not have.
    #[error("no cause {0} in this network")]
    UnknownCause(usize),
    /// A finding that the network does not have.
    #[error("no finding {0} in this network")]
    UnknownFinding(usize),
    /// A condition that the network does not have.
    #[error("no condition {0} in this network")]
    UnknownCondition(usize),
    /// A probability outside 0..=1.
    #[error("{what} is {value}, not a probability")]
    NotAProbability {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// A likelihood, factor or cost that is negative, infinite or not a number.
    #[error("{what} is {value}, not a finite number of at least 0")]
    NotAWeight {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// The network gives this evidence the probability 0.
    #[error("the evidence contradicts itself: it has probability 0")]
    Impossible,
    /// More findings hang together than an exact answer has room for.
    #[error("{open} findings hang together, an exact answer has room for {limit}")]
    TooWide {
        /// How many would have to be held open at once.
        open: usize,
        /// How many there is room for.
        limit: usize,
    },
    /// An order that names an action twice, not at all, or one that is not there.
    #[error("not an order of all {0} actions")]
    NotAnOrder(usize),
    /// Likelihoods of a check's outcomes that do not match the actions in number.
    #[error("an outcome is given for {given} actions, there are {actions}")]
    Mismatch {
        /// Likelihoods given.
        given: usize,
        /// Actions there are.
        actions: usize,
    },
}

/// Refuses what is not a probability.
fn probability(what: &'static str, value: f64) -> Result<f64, InferError> {
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        Err(InferError::NotAProbability { what, value })
    }
}

/// Refuses what is negative, infinite or not a number.
fn weight(what: &'static str, value: f64) -> Result<f64, InferError> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(InferError::NotAWeight { what, value })
    }
}
