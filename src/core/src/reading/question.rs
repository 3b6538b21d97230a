//! A question typed on site, read by the same words as a note.

use super::{
    assemble::{causes, symptoms},
    facts::{CauseStatus, QuantityFact, Span, SymptomStatus},
    lexer::Kind,
    quantities,
    read::Reading,
    scope::Scopes,
    spelling, words,
};
use crate::{
    note::{Block, Layout, Visit},
    trade::{
        Knowledge,
        lexicon::{Cue, Meaning, Sort},
        ordinary_words,
        terms::UNKNOWN,
        vocabulary::Id,
    },
};

/// Something said, with its words in the question.
#[derive(Clone, Debug, PartialEq)]
pub struct Said<T> {
    /// What.
    pub what: T,
    /// Its bytes in the question.
    pub span: Span,
}

/// What is understood from a question.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Question {
    /// Symptoms with their status.
    pub symptoms: Vec<Said<(Id, SymptomStatus)>>,
    /// Those of them that no wording of the tables says: the learned part heard them.
    pub guessed: Vec<Id>,
    /// Conditions.
    pub conditions: Vec<Said<Id>>,
    /// Kinds of equipment that are at hand.
    pub equipment: Vec<Said<Id>>,
    /// Kinds that are expressly not there.
    pub absent_equipment: Vec<Id>,
    /// Parts spoken of.
    pub parts: Vec<Said<Id>>,
    /// Settings.
    pub settings: Vec<QuantityFact>,
    /// Readings.
    pub readings: Vec<QuantityFact>,
    /// Causes that the question names, with what it says of them.
    pub causes: Vec<Said<(Id, CauseStatus)>>,
    /// Outcomes of checks, by the numbers of check and outcome.
    pub outcomes: Vec<Said<(usize, usize)>>,
    /// Dangers, by their number.
    pub stops: Vec<Said<usize>>,
    /// Words that nothing understood.
    pub unknown: Vec<String>,
}

impl Question {
    /// The symptoms that are present.
    pub fn present(&self) -> impl Iterator<Item = &Id> {
        self.symptoms
            .iter()
            .filter(|s| s.what.1 == SymptomStatus::Present)
            .map(|s| &s.what.0)
    }

    /// The symptoms that are expressly absent.
    pub fn absent(&self) -> impl Iterator<Item = &Id> {
        self.symptoms
            .iter()
            .filter(|s| s.what.1 == SymptomStatus::Absent)
            .map(|s| &s.what.0)
    }
}

/// Reads a question.
#[must_use]
pub fn understand(text: &str, knowledge: &Knowledge) -> Question {
    let lexicon = &knowledge.lexicon;
    let words = words::of_question(text, knowledge);
    let found = super::read::heard(&words, knowledge);
    let block = Block {
        layout: Layout::Paragraph,
        span: 0..text.len(),
        lines: vec![std::iter::once(0..text.len()).collect()],
        headings: Vec::new(),
    };
    let visit = Visit {
        line: 1,
        span: 0..text.len(),
        blocks: vec![block],
        ..Visit::default()
    };
    let scopes = Scopes::new(&words, &found, lexicon, &visit.blocks);
    let reading = Reading {
        note: text,
        visit: &visit,
        knowledge,
        words: &words,
        found: &found,
        scopes: &scopes,
        metric: false,
    };
    let mut out = Question::default();
    let (settings, readings) = quantities::read(&reading);
    let mut facts = symptoms::read(&reading);
    symptoms::shown(&reading, &settings, &readings, &mut facts);
    out.symptoms = facts
        .into_iter()
        .map(|fact| Said {
            what: (fact.id, fact.status),
            span: fact.span,
        })
        .collect();
    out.guessed = guessed(&out.symptoms, &reading);
    out.settings = settings;
    out.readings = readings;
    let mut covered = vec![false; words.tokens.len()];
    for hit in &found.hits {
        hit.tokens.clone().filter(|t| hit.names(*t)).for_each(|t| {
            if let Some(place) = covered.get_mut(t) {
                *place = true;
            }
        });
        let span = words.bytes(&hit.tokens);
        let denied = scopes.acts(&words, hit, Cue::Denied);
        match hit.means {
            Meaning::Condition(number) if !denied => {
                if let Some(id) = lexicon.conditions.get(usize::from(number))
                    && !out.conditions.iter().any(|c| c.what == *id)
                {
                    out.conditions.push(Said {
                        what: id.clone(),
                        span,
                    });
                }
            }
            // Who asks has not found the cause: what is only heard in the words, not said by a wording, is a guess.
            Meaning::Cause(number, spoken) if hit.wording.is_some() => {
                let id = lexicon.causes.get(usize::from(number));
                if let (Some(id), Some(status)) = (id, causes::status(&reading, hit, spoken)) {
                    match out.causes.iter_mut().find(|c| c.what.0 == *id) {
                        Some(known) if status == CauseStatus::RuledOut => known.what.1 = status,
                        Some(_) => {}
                        None => out.causes.push(Said {
                            what: (id.clone(), status),
                            span,
                        }),
                    }
                }
            }
            Meaning::Outcome(check, outcome) if !denied => {
                let pair = (usize::from(check), usize::from(outcome));
                if !out.outcomes.iter().any(|o| o.what.0 == pair.0) {
                    out.outcomes.push(Said { what: pair, span });
                }
            }
            Meaning::Stop(number) if !denied => {
                let number = usize::from(number);
                if !out.stops.iter().any(|s| s.what == number) {
                    out.stops.push(Said { what: number, span });
                }
            }
            _ => {}
        }
    }
    for mention in &found.things {
        for t in mention.tokens.clone() {
            if let Some(place) = covered.get_mut(t) {
                *place = true;
            }
        }
        let Some(thing) = lexicon.things.get(usize::from(mention.thing)) else {
            continue;
        };
        let span = words.bytes(&mention.tokens);
        let gone = mention
            .tokens
            .start
            .checked_sub(1)
            .and_then(|t| words.tokens.get(t))
            .is_some_and(|t| matches!(t.text.as_str(), "no" | "without"))
            && !found.hits.iter().any(|h| {
                matches!(h.means, Meaning::Symptom(_)) && h.tokens.contains(&mention.tokens.start)
            });
        match &thing.sort {
            Sort::Equipment if gone => out.absent_equipment.push(thing.id.clone()),
            Sort::Equipment => {
                if !out.equipment.iter().any(|e| e.what == thing.id) {
                    out.equipment.push(Said {
                        what: thing.id.clone(),
                        span,
                    });
                }
            }
            Sort::Part(_) => out.parts.push(Said {
                what: thing.id.clone(),
                span,
            }),
            Sort::Unstated(_) => {}
        }
    }
    for (at, token) in words.tokens.iter().enumerate() {
        let known = covered.get(at).copied().unwrap_or(false)
            || words.terms.get(at).copied().unwrap_or(UNKNOWN) != UNKNOWN;
        let word = token.kind == Kind::Word && token.text.len() > 2;
        if word
            && !known
            && !spelling::listed(ordinary_words(), &token.text)
            && !out.unknown.contains(&token.text)
        {
            out.unknown.push(token.text.clone());
        }
    }
    out
}

/// The symptoms that are only heard, said by no wording and shown by no value.
fn guessed(symptoms: &[Said<(Id, SymptomStatus)>], reading: &Reading<'_>) -> Vec<Id> {
    let lexicon = &reading.knowledge.lexicon;
    let said = |id: &Id| {
        let of_id = reading.found.hits.iter().filter(|h| match h.means {
            Meaning::Symptom(n) | Meaning::NoSymptom(n) => {
                lexicon.symptoms.get(usize::from(n)) == Some(id)
            }
            _ => false,
        });
        of_id.map(|h| h.wording.is_some()).reduce(|a, b| a || b)
    };
    let all = symptoms.iter().map(|s| &s.what.0);
    all.filter(|id| said(id) == Some(false)).cloned().collect()
}
