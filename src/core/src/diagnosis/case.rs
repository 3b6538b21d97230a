//! What is known of one case, from wherever it came.

use crate::{
    reading::{
        facts::{CauseStatus, QuantityFact},
        question::Question,
    },
    trade::vocabulary::Id,
};

/// A cause that somebody has spoken of.
#[derive(Clone, Debug, PartialEq)]
pub struct Reported {
    /// The cause.
    pub cause: Id,
    /// What was said of it.
    pub status: CauseStatus,
}

/// What is known of a case.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Case {
    /// Symptoms that are there.
    pub present: Vec<Id>,
    /// Symptoms that are expressly not there.
    pub absent: Vec<Id>,
    /// When they happen.
    pub conditions: Vec<Id>,
    /// Kinds of equipment that are at hand.
    pub equipment: Vec<Id>,
    /// Kinds that are expressly not there.
    pub absent_equipment: Vec<Id>,
    /// Settings as known.
    pub settings: Vec<QuantityFact>,
    /// Readings, in the order taken.
    pub readings: Vec<QuantityFact>,
    /// Causes spoken of.
    pub reported: Vec<Reported>,
    /// Checks made: numbers of check and outcome in the tables.
    pub outcomes: Vec<(usize, usize)>,
}

impl Case {
    /// The case that a question tells.
    #[must_use]
    pub fn of(question: &Question) -> Self {
        Self {
            present: question.present().cloned().collect(),
            absent: question.absent().cloned().collect(),
            conditions: question.conditions.iter().map(|c| c.what.clone()).collect(),
            equipment: question.equipment.iter().map(|e| e.what.clone()).collect(),
            absent_equipment: question.absent_equipment.clone(),
            settings: question.settings.clone(),
            readings: question.readings.clone(),
            reported: question
                .causes
                .iter()
                .map(|c| Reported {
                    cause: c.what.0.clone(),
                    status: c.what.1,
                })
                .collect(),
            outcomes: question.outcomes.iter().map(|o| o.what).collect(),
        }
    }

    /// Whether there is anything to go by.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.present.is_empty() && self.outcomes.is_empty() && self.reported.is_empty()
    }
}
