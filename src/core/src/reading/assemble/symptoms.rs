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
    let (mut out, placed) = mentioned(reading);
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

/// The symptoms as they are mentioned, without their conditions, and each mention: the symptom's place and its token.
#[must_use]
pub fn mentioned(reading: &Reading<'_>) -> (Vec<SymptomFact>, Vec<(usize, usize)>) {
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
    (out, placed)
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

/// A condition spoken of near a symptom.
pub struct Pair<'r> {
    /// The words of the condition.
    pub hit: &'r Hit,
    /// The condition.
    pub condition: &'r Id,
    /// The symptom's place in the list.
    pub place: usize,
    /// The first token of the mention.
    pub token: usize,
    /// Whether the rules tie them.
    pub tied: Tied,
}

/// Whether the rules tie a condition to a symptom.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tied {
    /// They do.
    Yes,
    /// Another symptom is meant, or the words stand too far apart.
    No,
    /// The condition is denied, planned or another site's.
    Denied,
}

/// Conditions within so many tokens of a symptom may belong to it.
const PAIRED: usize = 40;

/// Every condition with the symptoms near it; of several mentions of a symptom the nearest.
#[must_use]
pub fn pairs<'r>(reading: &'r Reading<'_>, placed: &[(usize, usize)]) -> Vec<Pair<'r>> {
    let conditions = &reading.knowledge.lexicon.conditions;
    let mut out: Vec<Pair<'r>> = Vec::new();
    for hit in &reading.found.hits {
        let Meaning::Condition(number) = hit.means else {
            continue;
        };
        let Some(condition) = conditions.get(usize::from(number)) else {
            continue;
        };
        let denied = reading
            .scopes
            .on_hit(reading.words, hit)
            .any(|c| matches!(c, Cue::Denied | Cue::Elsewhere | Cue::Planned));
        let own = owners(reading, hit, placed);
        let mut near: Vec<(usize, usize, usize)> = placed
            .iter()
            .map(|(place, token)| (apart(hit, *token), *place, *token))
            .filter(|(far, ..)| *far <= PAIRED)
            .collect();
        near.sort_unstable();
        let mut taken = Vec::new();
        for (_, place, token) in near {
            if taken.contains(&place) {
                continue;
            }
            taken.push(place);
            let tied = match (denied, own.contains(&place)) {
                (true, _) => Tied::Denied,
                (false, true) => Tied::Yes,
                (false, false) => Tied::No,
            };
            out.push(Pair {
                hit,
                condition,
                place,
                token,
                tied,
            });
        }
    }
    out
}

/// Tokens between a condition and a symptom's first token.
fn apart(hit: &Hit, at: usize) -> usize {
    if at >= hit.tokens.end {
        at - hit.tokens.end
    } else {
        hit.tokens.start.saturating_sub(at)
    }
}

/// What the learned part looks at in a pair.
#[must_use]
pub fn pair_features(reading: &Reading<'_>, pair: &Pair<'_>, symptom: &SymptomFact) -> Vec<String> {
    let verdict = match pair.tied {
        Tied::Yes => "yes",
        Tied::No | Tied::Denied => "none",
    };
    let mut out = features::of_hit(reading, pair.hit, pair.condition.as_str(), verdict);
    let (hit, words) = (pair.hit, reading.words);
    let sentences = words
        .sentence_of(pair.token)
        .abs_diff(words.sentence_of(hit.tokens.start))
        .min(4);
    let clauses = reading
        .scopes
        .clause(pair.token)
        .abs_diff(reading.scopes.clause(hit.tokens.start))
        .min(4);
    let side = if pair.token >= hit.tokens.start {
        "after"
    } else {
        "before"
    };
    let far = match apart(hit, pair.token) {
        n @ 0..=3 => n,
        4..=6 => 5,
        7..=10 => 8,
        11..=16 => 13,
        17..=25 => 20,
        _ => 30,
    };
    let status = symptom.status.name();
    out.push(format!("tied={:?}", pair.tied));
    out.push(format!("sentences={sentences} side={side}"));
    out.push(format!(
        "sentences={sentences} clauses={clauses} side={side}"
    ));
    out.push(format!("far={far} side={side}"));
    out.push(format!("tied={:?} far={far}", pair.tied));
    out.push(format!("symptom={}", symptom.id));
    out.push(format!(
        "symptom={} condition={}",
        symptom.id, pair.condition
    ));
    out.push(format!("condition={} tied={:?}", pair.condition, pair.tied));
    out.push(format!(
        "condition={} sentences={sentences}",
        pair.condition
    ));
    out.push(format!("status={status}"));
    out.push(format!("status={status} tied={:?}", pair.tied));
    let between = if side == "after" {
        hit.tokens.end..pair.token
    } else {
        pair.token..hit.tokens.start
    };
    if between.len() <= 8 {
        out.extend(
            words
                .slice(between)
                .iter()
                .map(|t| format!("between {side} {}", t.text)),
        );
    }
    out
}

fn attach_conditions(
    reading: &Reading<'_>,
    symptoms: &mut [SymptomFact],
    placed: &[(usize, usize)],
) {
    for pair in pairs(reading, placed) {
        let Some(symptom) = symptoms.get_mut(pair.place) else {
            continue;
        };
        let decided = reading.decide("condition", || pair_features(reading, &pair, symptom));
        let tied = decided.map_or(pair.tied == Tied::Yes, |label| label == "yes");
        if tied
            && symptom.status != SymptomStatus::Absent
            && !symptom.conditions.contains(pair.condition)
        {
            symptom.conditions.push(pair.condition.clone());
        }
    }
}

/// The symptoms that a condition belongs to: the nearest in its sentence, with those that share its place; else the
/// last one of the sentence before.
fn owners(reading: &Reading<'_>, hit: &Hit, placed: &[(usize, usize)]) -> Vec<usize> {
    let sentence = reading.words.sentence_of(hit.tokens.start);
    let distance = |at: usize| apart(hit, at);
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
