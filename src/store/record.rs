//! A visit as it is kept: its text without private pieces, and its facts.

use padlore_core::{
    finding::Job,
    note::line_at,
    reading::{
        facts::{CauseStatus, Facts, SymptomStatus},
        private,
    },
};
use serde::{Deserialize, Serialize};

/// A visit in the store.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Record {
    /// The note's file, below the notes folder.
    pub file: String,
    /// Line of the visit, as `read` says it.
    pub line: usize,
    /// Line on which its text begins.
    pub text_line: usize,
    /// The site's name by the shop's own list.
    pub site: String,
    /// ISO date; empty where none is known.
    pub date: String,
    /// `visit` or `call`.
    pub kind: String,
    /// Who wrote it.
    pub tech: String,
    /// Its text, private pieces masked.
    pub text: String,
    /// Kinds of equipment.
    pub equipment: Vec<String>,
    /// Symptoms that were present.
    pub symptoms: Vec<String>,
    /// Symptoms that were said not to be there.
    pub absent: Vec<String>,
    /// Conditions of any symptom.
    pub conditions: Vec<String>,
    /// Causes confirmed.
    pub causes: Vec<String>,
    /// Causes suspected.
    pub suspected: Vec<String>,
    /// Fixes as `action part status`.
    pub fixes: Vec<(String, String, String)>,
    /// How it ended.
    pub outcome: String,
}

impl Record {
    /// The record of a visit.
    #[must_use]
    pub fn of(file: &str, site: &str, note: &str, facts: &Facts) -> Self {
        let ids = |list: Vec<&padlore_core::trade::vocabulary::Id>| {
            let mut out: Vec<String> = Vec::new();
            for id in list {
                if !out.iter().any(|o| id == o.as_str()) {
                    out.push(id.to_string());
                }
            }
            out
        };
        let symptoms = |status: SymptomStatus| {
            ids(facts
                .symptoms
                .iter()
                .filter(|s| s.status == status)
                .map(|s| &s.id)
                .collect())
        };
        let causes = |status: CauseStatus| {
            ids(facts
                .causes
                .iter()
                .filter(|c| c.status == status)
                .map(|c| &c.id)
                .collect())
        };
        Self {
            file: file.to_owned(),
            line: facts.line,
            text_line: line_at(note, facts.span.start),
            site: site.to_owned(),
            date: facts.date.map(|d| d.to_string()).unwrap_or_default(),
            kind: facts.kind.name().to_owned(),
            tech: facts.tech.clone().unwrap_or_default(),
            text: private::masked(note, &facts.span, &facts.private),
            equipment: ids(facts.equipment.iter().map(|e| &e.kind).collect()),
            symptoms: symptoms(SymptomStatus::Present),
            absent: symptoms(SymptomStatus::Absent),
            conditions: ids(facts.symptoms.iter().flat_map(|s| &s.conditions).collect()),
            causes: causes(CauseStatus::Confirmed),
            suspected: causes(CauseStatus::Suspected),
            fixes: facts
                .fixes
                .iter()
                .map(|f| {
                    (
                        f.action.to_string(),
                        f.part.to_string(),
                        f.status.name().to_owned(),
                    )
                })
                .collect(),
            outcome: facts
                .outcome
                .as_ref()
                .map(ToString::to_string)
                .unwrap_or_default(),
        }
    }

    /// The record as the order of past jobs sees it.
    #[must_use]
    pub fn job(&self) -> Job<'_> {
        fn all(list: &[String]) -> Vec<&str> {
            list.iter().map(String::as_str).collect()
        }
        Job {
            text: &self.text,
            symptoms: all(&self.symptoms),
            absent: all(&self.absent),
            conditions: all(&self.conditions),
            equipment: all(&self.equipment),
            causes: self
                .causes
                .iter()
                .chain(&self.suspected)
                .map(String::as_str)
                .collect(),
            parts: self
                .fixes
                .iter()
                .map(|(_, part, _)| part.as_str())
                .collect(),
            actions: self
                .fixes
                .iter()
                .map(|(action, _, _)| action.as_str())
                .collect(),
        }
    }
}
