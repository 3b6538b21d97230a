//! Labelled visits to examples for the learned part.
//!
//! The candidates are those that the reader itself finds, so a model learns to decide exactly what it will be asked.

use super::{
    assemble::{causes, fixes, outcome, symptoms},
    facts::{CauseStatus, FixStatus},
    learned::Example,
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
    /// Id and status.
    pub causes: Vec<(String, String)>,
    /// Action, part and status.
    pub fixes: Vec<(String, String, String)>,
    /// The outcome.
    pub outcome: Option<String>,
}

/// The models that are learned, in the order in which they must be: later ones look at what earlier ones decide.
pub const MODELS: [&str; 4] = ["symptom", "fix", "cause", "outcome"];

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
        "symptom" => of_symptoms(reading, labels),
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
    for (hit, action, part, ruled) in fixes::candidates(reading) {
        let of_pair: Vec<(String, String)> = labels
            .fixes
            .iter()
            .filter(|(a, p, _)| *a == action.as_str() && *p == part.as_str())
            .map(|(a, _, s)| (a.clone(), s.clone()))
            .collect();
        let verdict = ruled.map_or("none", FixStatus::name);
        out.push(Example {
            features: fixes::features(reading, hit, action, &part, ruled),
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
