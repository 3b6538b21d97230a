//! Labelled visits to examples for the learned part.
//!
//! The candidates are those that the reader itself finds, so a model learns to decide exactly what it will be asked.

use super::{
    assemble::{causes, fixes, outcome, symptoms},
    facts::{CauseStatus, FixStatus},
    learned::{
        Example, NOTHING,
        spotting::{self, Bag, plain},
    },
    quantities,
    read::{Reading, reading},
};
use crate::{
    note::Visit,
    trade::{Knowledge, lexicon::Meaning},
};

/// What a person says a visit means, as far as models learn it.
#[derive(Clone, Debug, Default)]
pub struct Labels {
    /// Id and status.
    pub symptoms: Vec<(String, String)>,
    /// Symptom and condition.
    pub conditions: Vec<(String, String)>,
    /// Id and status.
    pub causes: Vec<(String, String)>,
    /// Action, part and status.
    pub fixes: Vec<(String, String, String)>,
    /// Settings and readings.
    pub quantities: Vec<quantities::judged::Given>,
    /// The outcome.
    pub outcome: Option<String>,
}

/// The models that are learned, in the order in which they must be: later ones look at what earlier ones decide.
pub const MODELS: [&str; 7] = [
    "number",
    "when",
    "symptom",
    "condition",
    "fix",
    "cause",
    "outcome",
];

impl Labels {
    /// What a spotter is to hear, as it names it.
    #[must_use]
    pub fn heard(&self) -> Vec<String> {
        let symptoms = self.symptoms.iter().map(|(id, _)| format!("symptom:{id}"));
        let causes = self.causes.iter().map(|(id, _)| format!("cause:{id}"));
        let conditions = self
            .conditions
            .iter()
            .map(|(_, id)| format!("condition:{id}"));
        let actions = self.fixes.iter().map(|(id, ..)| format!("action:{id}"));
        let mut out: Vec<String> = symptoms
            .chain(causes)
            .chain(conditions)
            .chain(actions)
            .collect();
        out.sort_unstable();
        out.dedup();
        out
    }
}

/// What one visit teaches a spotter. The tables must come without one.
#[must_use]
pub fn bag(note: &str, visit: &Visit, labels: &Labels, knowledge: &Knowledge) -> Bag {
    reading(note, visit, knowledge, |reading| {
        spotting::bag(
            reading.words,
            reading.found,
            &knowledge.lexicon,
            labels.heard(),
        )
    })
}

/// What the tables' wordings find in a visit, and how sure the spotter is of each label, as it names them.
#[must_use]
pub fn spotted(
    note: &str,
    visit: &Visit,
    knowledge: &Knowledge,
) -> (Vec<String>, Vec<(String, f32)>) {
    reading(note, visit, knowledge, |reading| {
        let lexicon = &knowledge.lexicon;
        let name = |means: Meaning| spotting::label(plain(means), lexicon);
        let mut ruled: Vec<String> = crate::reading::matcher::find(reading.words, lexicon)
            .hits
            .iter()
            .filter_map(|h| name(h.means))
            .collect();
        ruled.sort_unstable();
        ruled.dedup();
        let mut sure: std::collections::BTreeMap<String, f32> = std::collections::BTreeMap::new();
        for ((_, means), p) in &reading.found.heard {
            if let Some(name) = name(*means) {
                let best = sure.entry(name).or_default();
                *best = best.max(*p);
            }
        }
        (ruled, sure.into_iter().collect())
    })
}

/// The examples of one visit for one model.
#[must_use]
pub fn examples(
    note: &str,
    visit: &Visit,
    labels: &Labels,
    model: &str,
    knowledge: &Knowledge,
) -> Vec<Example> {
    reading(note, visit, knowledge, |reading| match model {
        "number" | "when" => quantities::judged::examples(reading, &labels.quantities, model),
        "symptom" => of_symptoms(reading, labels),
        "condition" => of_conditions(reading, labels),
        "cause" => of_causes(reading, labels),
        "fix" => of_fixes(reading, labels),
        "outcome" => of_outcome(reading, labels),
        _ => Vec::new(),
    })
}

/// The label of an id: the rules' verdict where a person gives the id that status, else any status a person gives it.
fn label(given: &[(String, String)], id: &str, ruled: &str) -> String {
    let of_id: Vec<&str> = given
        .iter()
        .filter(|(i, _)| i == id)
        .map(|(_, s)| s.as_str())
        .collect();
    if of_id.contains(&ruled) {
        ruled.to_owned()
    } else {
        of_id.first().map_or("none".to_owned(), |s| (*s).to_owned())
    }
}

fn of_symptoms(reading: &Reading<'_>, labels: &Labels) -> Vec<Example> {
    let mut out = Vec::new();
    for hit in &reading.found.hits {
        let Some((id, ruled)) = symptoms::candidate(reading, hit) else {
            continue;
        };
        let verdict = symptoms::verdict(ruled);
        out.push(Example {
            features: super::features::of_hit(reading, hit, id.as_str(), verdict),
            label: label(&labels.symptoms, id.as_str(), verdict),
        });
    }
    out
}

fn of_conditions(reading: &Reading<'_>, labels: &Labels) -> Vec<Example> {
    let (facts, placed) = symptoms::mentioned(reading);
    symptoms::pairs(reading, &placed)
        .into_iter()
        .filter_map(|pair| {
            let symptom = facts.get(pair.place)?;
            let said = labels
                .conditions
                .iter()
                .any(|(s, c)| *s == symptom.id.as_str() && *c == pair.condition.as_str());
            Some(Example {
                features: symptoms::pair_features(reading, &pair, symptom),
                label: if said {
                    "yes".to_owned()
                } else {
                    NOTHING.to_owned()
                },
            })
        })
        .collect()
}

fn of_causes(reading: &Reading<'_>, labels: &Labels) -> Vec<Example> {
    let mut out = Vec::new();
    for hit in &reading.found.hits {
        let Meaning::Cause(number, spoken) = hit.means else {
            continue;
        };
        let Some(id) = reading.knowledge.lexicon.causes.get(usize::from(number)) else {
            continue;
        };
        let ruled = causes::status(reading, hit, spoken);
        let verdict = ruled.map_or("none", CauseStatus::name);
        out.push(Example {
            features: causes::features(reading, hit, id, spoken, ruled),
            label: label(&labels.causes, id.as_str(), verdict),
        });
    }
    out
}

fn of_fixes(reading: &Reading<'_>, labels: &Labels) -> Vec<Example> {
    let mut out = Vec::new();
    for candidate in fixes::candidates(reading) {
        let (action, part) = (candidate.action, &candidate.part);
        let of_pair: Vec<(String, String)> = labels
            .fixes
            .iter()
            .filter(|(a, p, _)| *a == action.as_str() && *p == part.as_str())
            .map(|(a, _, s)| (a.clone(), s.clone()))
            .collect();
        let verdict = candidate.ruled.map_or("none", FixStatus::name);
        out.push(Example {
            features: fixes::features(reading, &candidate),
            label: label(&of_pair, action.as_str(), verdict),
        });
    }
    out
}

fn of_outcome(reading: &Reading<'_>, labels: &Labels) -> Vec<Example> {
    let Some(label) = labels.outcome.clone() else {
        return Vec::new();
    };
    let (settings, readings) = quantities::read(reading);
    let mut symptoms = symptoms::read(reading);
    symptoms::shown(reading, &settings, &readings, &mut symptoms);
    let mut fixes = fixes::read(reading);
    fixes::from_settings(reading, &settings, &mut fixes);
    let causes = causes::read(reading, &symptoms, &fixes);
    let ruled = outcome::ruled(reading, &symptoms, &causes, &fixes);
    vec![Example {
        features: outcome::features(reading, &symptoms, &causes, &fixes, ruled),
        label,
    }]
}
