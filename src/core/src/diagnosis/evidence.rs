//! From a case to pieces of evidence: each a likelihood ratio for each cause, with its words.
//!
//! A symptom works through the network itself; everything else (a condition, a check's outcome, a measured value, a
//! cause already ruled out, equipment at hand) is a ratio for each cause, so that evidence of every sort enters by one
//! door and can be shown.

use super::case::Case;
use crate::{
    reading::facts::{CauseStatus, QuantityFact, Value},
    trade::{
        Knowledge,
        causes::{Cause, Compare, Margin, Only, Relation, Speaks},
        vocabulary::{Id, Section},
    },
};
use rustc_hash::FxHashMap;

/// A cause that was looked at and is not it, unless the one who looked was wrong: one in twenty-five (common practice
/// of second visits; from memory).
const RULED_OUT: f64 = 0.04;
/// A cause that the question itself names as found.
const NAMED: f64 = 12.0;
/// A cause that somebody thinks of.
const THOUGHT_OF: f64 = 1.6;
/// A cause whose equipment is at hand against one whose equipment nobody spoke of.
const SPOKEN_OF: f64 = 1.5;
const NOT_SPOKEN_OF: f64 = 0.75;
/// Another kind of the same sort is at hand (a heat pump where the cause needs a gas heater).
const OTHER_KIND: f64 = 0.06;

/// Where a piece of evidence comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// A symptom that is there or not, by its id.
    Symptom(Id),
    /// A condition.
    Condition(Id),
    /// Equipment at hand, or not.
    Equipment,
    /// A measured or set value.
    Value,
    /// An outcome of a check, by the check's id.
    Check(Id),
    /// A cause that somebody spoke of.
    Reported(Id),
    /// The shop's own jobs.
    Jobs,
}

/// One piece of evidence.
#[derive(Clone, Debug)]
pub struct Piece {
    /// What it is, for a person.
    pub text: String,
    /// Where it comes from.
    pub source: Source,
    /// Ratio for each cause that it touches, by the cause's number in the tables.
    pub ratios: FxHashMap<usize, f64>,
}

/// All evidence of a case beside its symptoms.
#[must_use]
pub fn pieces(case: &Case, knowledge: &Knowledge) -> Vec<Piece> {
    let mut out = Vec::new();
    equipment(case, knowledge, &mut out);
    for condition in &case.conditions {
        let ratios = ratios_of(knowledge, |c| c.when.get(condition).copied());
        let text = knowledge
            .vocabulary
            .meaning(Section::Condition, condition.as_str())
            .to_owned();
        out.push(Piece {
            text,
            source: Source::Condition(condition.clone()),
            ratios,
        });
    }
    for (check, outcome) in &case.outcomes {
        let Some(check) = knowledge.checks.get(*check) else {
            continue;
        };
        let Some(outcome) = check.outcomes.get(*outcome) else {
            continue;
        };
        let text = if outcome.text.is_empty() {
            format!("{}: {}", check.id, outcome.id)
        } else {
            outcome.text.clone()
        };
        out.push(Piece {
            text,
            source: Source::Check(check.id.clone()),
            ratios: spoken(knowledge, &outcome.speaks),
        });
    }
    for reported in &case.reported {
        let ratio = match reported.status {
            CauseStatus::RuledOut => RULED_OUT,
            CauseStatus::Confirmed => NAMED,
            CauseStatus::Suspected => THOUGHT_OF,
        };
        let text = match reported.status {
            CauseStatus::RuledOut => "looked at, and not it",
            CauseStatus::Confirmed => "said to be found",
            CauseStatus::Suspected => "thought of",
        };
        let ratios = ratios_of(knowledge, |c| (c.id == reported.cause).then_some(ratio));
        out.push(Piece {
            text: text.to_owned(),
            source: Source::Reported(reported.cause.clone()),
            ratios,
        });
    }
    values(case, knowledge, &mut out);
    out
}

fn ratios_of(
    knowledge: &Knowledge,
    ratio: impl Fn(&Cause) -> Option<f64>,
) -> FxHashMap<usize, f64> {
    knowledge
        .causes
        .iter()
        .enumerate()
        .filter_map(|(i, c)| ratio(c).map(|r| (i, r)))
        .filter(|(_, r)| *r != 1.0)
        .collect()
}

/// What an outcome speaks: every cause by its ratio against the causes that are not named.
fn spoken(knowledge: &Knowledge, speaks: &Speaks) -> FxHashMap<usize, f64> {
    let other = if speaks.other > 0.0 {
        speaks.other
    } else {
        1.0
    };
    ratios_of(knowledge, |c| speaks.causes.get(&c.id).map(|r| r / other))
}

fn equipment(case: &Case, knowledge: &Knowledge, out: &mut Vec<Piece>) {
    if case.equipment.is_empty() && case.absent_equipment.is_empty() {
        return;
    }
    let families = families(knowledge);
    let ratio = |cause: &Cause| {
        let mut ratio = 1.0;
        for choice in &cause.needs {
            if choice.iter().all(|k| case.absent_equipment.contains(k)) {
                return Some(0.0);
            }
            if choice.iter().any(|k| case.equipment.contains(k)) {
                ratio *= SPOKEN_OF;
            } else if choice.iter().any(|k| {
                families
                    .iter()
                    .any(|f| f.contains(k) && case.equipment.iter().any(|e| f.contains(e)))
            }) {
                ratio *= OTHER_KIND;
            } else {
                ratio *= NOT_SPOKEN_OF;
            }
        }
        Some(ratio)
    };
    out.push(Piece {
        text: "the equipment spoken of".to_owned(),
        source: Source::Equipment,
        ratios: ratios_of(knowledge, ratio),
    });
}

/// Sorts of equipment of which a site usually has one kind: the kinds that a generic name stands for.
fn families(knowledge: &Knowledge) -> Vec<Vec<Id>> {
    let lexicon = &knowledge.lexicon;
    lexicon
        .things
        .iter()
        .filter_map(|t| match &t.sort {
            crate::trade::lexicon::Sort::Unstated(kinds)
                if matches!(t.id.as_str(), "heater" | "filter" | "cleaner") =>
            {
                Some(kinds.clone())
            }
            _ => None,
        })
        .collect()
}

fn counts(only: &Only, case: &Case) -> bool {
    (only.symptoms.is_empty() || only.symptoms.iter().any(|s| case.present.contains(s)))
        && (only.equipment.is_empty() || only.equipment.iter().any(|k| case.equipment.contains(k)))
}

fn values(case: &Case, knowledge: &Knowledge, out: &mut Vec<Piece>) {
    let all: Vec<&QuantityFact> = case.readings.iter().chain(&case.settings).collect();
    let number = |q: &QuantityFact| match q.value {
        Value::Number(v) => Some(v),
        Value::Text(_) => None,
    };
    for band in &knowledge.bands {
        if !counts(&band.only, case) {
            continue;
        }
        let hit = all.iter().any(|q| {
            q.id == band.of && number(q).is_some_and(|v| v >= band.above && v < band.below)
        });
        if hit {
            out.push(Piece {
                text: band.name.clone(),
                source: Source::Value,
                ratios: spoken(knowledge, &band.speaks),
            });
        }
    }
    for compare in &knowledge.compares {
        if counts(&compare.only, case) && stands(compare, &all) {
            out.push(Piece {
                text: compare.name.clone(),
                source: Source::Value,
                ratios: spoken(knowledge, &compare.speaks),
            });
        }
    }
}

/// Whether the two values of a comparison are known and stand so.
fn stands(compare: &Compare, all: &[&QuantityFact]) -> bool {
    let values = |id: &Id| -> Vec<f64> {
        all.iter()
            .filter(|q| q.id == *id)
            .filter_map(|q| q.value.number())
            .collect()
    };
    let (a, b) = (values(&compare.a), values(&compare.b));
    let pair = if compare.a == compare.b {
        a.first().copied().zip(a.get(1).copied())
    } else {
        a.first().copied().zip(b.first().copied())
    };
    let Some((first, second)) = pair else {
        return false;
    };
    let margin = match compare.margin {
        Margin::Share(share) => share * second.abs(),
        Margin::By(by) => by,
    };
    match compare.relation {
        Relation::Near => (first - second).abs() <= margin,
        Relation::Above => first - second > margin,
        Relation::Below => second - first > margin,
        Relation::Drop => {
            let margin = match compare.margin {
                Margin::Share(share) => share * first.abs(),
                Margin::By(by) => by,
            };
            first - second > margin
        }
    }
}
