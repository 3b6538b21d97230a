//! Symptoms with their status and the conditions that belong to them.

use crate::{
    reading::{
        facts::{QuantityFact, SymptomFact, SymptomStatus},
        features,
        lexer::Mark,
        matcher::Hit,
        read::Reading,
    },
    trade::{
        lexicon::{Cue, Meaning, Stands},
        vocabulary::Id,
    },
};

/// A condition in the sentence after a symptom belongs to it when it stands within so many tokens.
const NEXT_SENTENCE: usize = 12;

/// The symptoms of a visit, in order of their first mention; one entry an id and status.
#[must_use]
pub fn read(reading: &Reading<'_>) -> Vec<SymptomFact> {
    let lexicon = &reading.knowledge.lexicon;
    let mut out: Vec<SymptomFact> = Vec::new();
    let mut placed: Vec<(usize, usize)> = Vec::new();
    for hit in &reading.found.hits {
        let Some((id, ruled)) = candidate(reading, hit) else {
            continue;
        };
        let status = match reading.decide("symptom", || {
            features::of_hit(reading, hit, id.as_str(), verdict(ruled))
        }) {
            Some(label) => SymptomStatus::named(&label),
            None => ruled,
        };
        let Some(status) = status else { continue };
        let place = match out.iter().position(|s| s.id == *id && s.status == status) {
            Some(place) => place,
            None => {
                let on = lexicon.belongs.get(id).map(ToString::to_string);
                out.push(SymptomFact {
                    id: id.clone(),
                    status,
                    conditions: Vec::new(),
                    on,
                    span: reading.words.bytes(&hit.tokens),
                });
                out.len() - 1
            }
        };
        placed.push((place, hit.tokens.start));
    }
    attach_conditions(reading, &mut out, &placed);
    // After the cure "no more trips" is the outcome, no symptom that is absent.
    let present: Vec<Id> = out
        .iter()
        .filter(|s| s.status == SymptomStatus::Present)
        .map(|s| s.id.clone())
        .collect();
    out.retain(|s| s.status != SymptomStatus::Absent || !present.contains(&s.id));
    out
}

/// A mention that may be a symptom, with what the rules make of it.
#[must_use]
pub fn candidate<'r>(
    reading: &'r Reading<'_>,
    hit: &Hit,
) -> Option<(&'r Id, Option<SymptomStatus>)> {
    let (number, ruled) = match hit.means {
        Meaning::Symptom(number) if denied_as_a_whole(reading, hit) => {
            (number, Some(SymptomStatus::Absent))
        }
        Meaning::Symptom(number) => (number, status(reading, hit)),
        Meaning::NoSymptom(number) => (number, status(reading, hit).map(|_| SymptomStatus::Absent)),
        _ => return None,
    };
    reading
        .knowledge
        .lexicon
        .symptoms
        .get(usize::from(number))
        .map(|id| (id, ruled))
}

/// The rules' verdict as a word.
#[must_use]
pub fn verdict(status: Option<SymptomStatus>) -> &'static str {
    status.map_or("none", SymptomStatus::name)
}

/// Adds the symptoms that values show: the first reading of the visit decides, later ones are after the mend.
pub fn shown(
    reading: &Reading<'_>,
    settings: &[QuantityFact],
    readings: &[QuantityFact],
    out: &mut Vec<SymptomFact>,
) {
    for rule in &reading.knowledge.lexicon.shown {
        let first = |id: &Id| {
            readings
                .iter()
                .chain(settings)
                .find(|q| q.id == *id)
                .and_then(|q| q.value.number().map(|v| (v, &q.span)))
        };
        let (Some((value, span)), Some((against, _))) =
            (first(&rule.values.0), first(&rule.values.1))
        else {
            continue;
        };
        let least = (rule.share * against.abs()).max(rule.by);
        let stands = match rule.stands {
            Stands::Above => value - against >= least,
            Stands::Below => against - value >= least,
            Stands::Apart => (value - against).abs() >= least,
        };
        if stands
            && !out
                .iter()
                .any(|s| s.id == rule.symptom && s.status != SymptomStatus::Past)
        {
            let on = reading
                .knowledge
                .lexicon
                .belongs
                .get(&rule.symptom)
                .map(ToString::to_string);
            out.push(SymptomFact {
                id: rule.symptom.clone(),
                status: SymptomStatus::Present,
                conditions: Vec::new(),
                on,
                span: span.clone(),
            });
        }
    }
}

/// Whether a wording that says "not there" overlaps this one.
fn denied_as_a_whole(reading: &Reading<'_>, hit: &Hit) -> bool {
    let Meaning::Symptom(number) = hit.means else {
        return false;
    };
    reading.found.hits.iter().any(|h| {
        h.means == Meaning::NoSymptom(number)
            && h.tokens.start < hit.tokens.end
            && hit.tokens.start < h.tokens.end
    })
}

/// The status of a mention; `None` where it is no fact of this visit.
#[must_use]
pub fn status(reading: &Reading<'_>, hit: &Hit) -> Option<SymptomStatus> {
    let mut status = SymptomStatus::Present;
    for cue in reading.scopes.on_hit(reading.words, hit) {
        match cue {
            Cue::Elsewhere | Cue::Wish | Cue::Planned => return None,
            Cue::Possible if conditional(reading, hit) => return None,
            Cue::Denied => status = SymptomStatus::Absent,
            Cue::Past if status == SymptomStatus::Present => status = SymptomStatus::Past,
            _ => {}
        }
    }
    Some(status)
}

/// Whether a mention stands behind an "if": doubt about a cause is no doubt about a symptom.
fn conditional(reading: &Reading<'_>, hit: &Hit) -> bool {
    let low = hit.tokens.start.saturating_sub(6);
    reading
        .words
        .slice(low..hit.tokens.start)
        .iter()
        .rev()
        .take_while(|t| t.before < Mark::Stop)
        .any(|t| matches!(t.text.as_str(), "if" | "unless" | "should"))
}

fn attach_conditions(
    reading: &Reading<'_>,
    symptoms: &mut [SymptomFact],
    placed: &[(usize, usize)],
) {
    let conditions = &reading.knowledge.lexicon.conditions;
    for hit in &reading.found.hits {
        let Meaning::Condition(number) = hit.means else {
            continue;
        };
        let Some(id) = conditions.get(usize::from(number)) else {
            continue;
        };
        let cues: Vec<Cue> = reading.scopes.on_hit(reading.words, hit).collect();
        if cues.contains(&Cue::Denied)
            || cues.contains(&Cue::Elsewhere)
            || cues.contains(&Cue::Planned)
        {
            continue;
        }
        for place in owners(reading, hit, placed) {
            if let Some(symptom) = symptoms.get_mut(place)
                && symptom.status != SymptomStatus::Absent
                && !symptom.conditions.contains(id)
            {
                symptom.conditions.push(id.clone());
            }
        }
    }
}

/// The symptoms that a condition belongs to: the nearest in its sentence, with those that share its place; else the
/// last one of the sentence before.
fn owners(reading: &Reading<'_>, hit: &Hit, placed: &[(usize, usize)]) -> Vec<usize> {
    let sentence = reading.words.sentence_of(hit.tokens.start);
    let distance = |at: usize| {
        if at >= hit.tokens.end {
            at - hit.tokens.end
        } else {
            hit.tokens.start.saturating_sub(at)
        }
    };
    let here: Vec<&(usize, usize)> = placed
        .iter()
        .filter(|(_, at)| reading.words.sentence_of(*at) == sentence)
        .collect();
    if let Some(nearest) = here.iter().map(|(_, at)| distance(*at)).min() {
        if nearest > 16 {
            return Vec::new();
        }
        return here
            .iter()
            .filter(|(_, at)| distance(*at) <= nearest + 2)
            .map(|(place, _)| *place)
            .collect();
    }
    let block = |s: usize| reading.words.sentences.get(s).map(|s| s.block);
    let before = placed.iter().rev().find(|(_, at)| *at < hit.tokens.start);
    match before {
        Some((place, at))
            if reading.words.sentence_of(*at) + 1 == sentence
                && block(sentence) == block(sentence.saturating_sub(1))
                && hit.tokens.start - at <= NEXT_SENTENCE =>
        {
            vec![*place]
        }
        _ => Vec::new(),
    }
}
