//! One visit read: all stages in order.

use super::{
    assemble::{causes, equipment, fixes, outcome, symptoms},
    facts::{Corrected, Facts},
    matcher::{self, Found},
    private, quantities,
    scope::Scopes,
    words::{self, Words},
};
use crate::{
    note::Visit,
    trade::{Knowledge, lexicon::Meaning},
};

/// What the assemblers read from: the words of a visit with all that was found in them.
pub struct Reading<'a> {
    /// The note's text.
    pub note: &'a str,
    /// The visit as laid out.
    pub visit: &'a Visit,
    /// The tables.
    pub knowledge: &'a Knowledge,
    /// Its words.
    pub words: &'a Words,
    /// Things and wordings.
    pub found: &'a Found,
    /// Cues and what they act on.
    pub scopes: &'a Scopes,
    /// The note is written in metric units.
    pub metric: bool,
}

impl Reading<'_> {
    /// What a learned model decides; `None` where there is no such model, and the rules decide.
    pub fn decide(&self, model: &str, features: impl FnOnce() -> Vec<String>) -> Option<String> {
        let model = self.knowledge.lexicon.models.get(model)?;
        model.decide(&features()).map(str::to_owned)
    }

    /// The quantities that a short text outside the visit's words names (a table's head).
    #[must_use]
    pub fn names_in_text(&self, text: &str) -> Vec<usize> {
        if text.is_empty() {
            return Vec::new();
        }
        let words = words::of_question(text, self.knowledge);
        let found = matcher::find(&words, &self.knowledge.lexicon);
        found
            .hits
            .iter()
            .filter_map(|h| match h.means {
                Meaning::Quantity(q) => Some(usize::from(q)),
                _ => None,
            })
            .collect()
    }
}

/// Everything that the tables' wordings find in a text and what the learned part hears in it.
#[must_use]
pub fn heard(words: &Words, knowledge: &Knowledge) -> Found {
    let mut found = matcher::find(words, &knowledge.lexicon);
    if let Some(spotter) = &knowledge.lexicon.spotter {
        spotter.hear(words, &mut found, &knowledge.lexicon);
    }
    found
}

/// Calls `with` with everything that a visit's words hold.
pub fn reading<T>(
    note: &str,
    visit: &Visit,
    knowledge: &Knowledge,
    with: impl FnOnce(&Reading<'_>) -> T,
) -> T {
    let words = words::of_visit(note, visit, knowledge);
    let found = heard(&words, knowledge);
    let scopes = Scopes::new(&words, &found, &knowledge.lexicon, &visit.blocks);
    let metric = is_metric(&words);
    with(&Reading {
        note,
        visit,
        knowledge,
        words: &words,
        found: &found,
        scopes: &scopes,
        metric,
    })
}

/// Everything that is read from a visit.
#[must_use]
pub fn read(note: &str, visit: &Visit, knowledge: &Knowledge) -> Facts {
    reading(note, visit, knowledge, facts)
}

/// The facts of a visit whose words are already found.
#[must_use]
pub fn facts(reading: &Reading<'_>) -> Facts {
    let (note, visit) = (reading.note, reading.visit);
    let (settings, readings) = quantities::read(reading);
    let mut symptoms = symptoms::read(reading);
    symptoms::shown(reading, &settings, &readings, &mut symptoms);
    let mut fixes = fixes::read(reading);
    fixes::from_settings(reading, &settings, &mut fixes);
    let causes = causes::read(reading, &symptoms, &fixes);
    let equipment = equipment::read(reading);
    let outcome = outcome::read(reading, &symptoms, &causes, &fixes);
    Facts {
        line: visit.line,
        site: visit.site.clone(),
        date: visit.date,
        date_unsure: visit.date_unsure,
        kind: visit.kind,
        tech: visit.tech.clone(),
        span: visit.span.clone(),
        equipment,
        symptoms,
        settings,
        readings,
        causes,
        fixes,
        outcome,
        private: private::find(note, reading.words, &visit.span),
        corrected: Corrected::default(),
    }
}

/// Whether a visit's units are metric: more of them than of the others.
fn is_metric(words: &Words) -> bool {
    let (mut metric, mut us) = (0, 0);
    for token in &words.tokens {
        match token.text.as_str() {
            "kpa" | "bar" | "degc" | "mm" | "litre" | "litres" | "lpm" | "mil" | "m3" => {
                metric += 1
            }
            "psi" | "degf" | "gpm" | "inch" | "inches" | "gallon" | "gallons" | "fahrenheit" => {
                us += 1
            }
            _ => {}
        }
    }
    metric > us
}
