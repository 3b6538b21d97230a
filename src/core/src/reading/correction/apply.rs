//! What a person says, laid over what was read.

use super::{
    Act, Correction, CorrectionFault as Fault, CorrectionProblem, Stated, StatedQuantity, quoted,
};
use crate::{
    note::line_at,
    reading::facts::{
        CauseFact, CauseStatus, EquipmentFact, FactKind, Facts, FixFact, FixStatus, QuantityFact,
        Span, SymptomFact, SymptomStatus, Value, When,
    },
    trade::{Knowledge, vocabulary::Id},
};
use std::ops::Range;

/// What became of a note's corrections.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Applied {
    /// Those that do not hold, or not as they stand.
    pub problems: Vec<CorrectionProblem>,
    /// The words of those that hold: a person has looked at them.
    pub looked_at: Vec<Span>,
}

/// Applies the corrections of a note to the facts of its visits, in the file's order.
pub fn apply(
    note: &str,
    visits: &mut [Facts],
    corrections: &[&Correction],
    knowledge: &Knowledge,
) -> Applied {
    let mut out = Applied::default();
    for correction in corrections {
        let mut problem = |fault| {
            out.problems.push(CorrectionProblem {
                line: correction.at,
                fault,
            });
        };
        let (visit, place) = match find(note, visits, correction) {
            Ok(found) => found,
            Err(fault) => {
                problem(fault);
                continue;
            }
        };
        let Some(facts) = visits.get_mut(visit) else {
            continue;
        };
        let line = line_at(note, place.start);
        if !lines(note, &place).contains(&correction.line) {
            problem(Fault::Moved {
                words: correction.words.clone(),
                note: correction.note.clone(),
                found: line,
            });
        }
        match correction.act {
            Act::Add => add(facts, &correction.fact, &place, knowledge),
            Act::Drop if drop(note, facts, &correction.fact, &place) => {}
            Act::Drop => problem(Fault::Nothing {
                fact: correction.fact.to_string(),
                words: correction.words.clone(),
                note: correction.note.clone(),
                line,
            }),
        }
        out.looked_at.push(place);
    }
    out
}

/// The lines of a piece of a note.
fn lines(note: &str, span: &Span) -> std::ops::RangeInclusive<usize> {
    line_at(note, span.start)..=line_at(note, span.end.saturating_sub(1).max(span.start))
}

/// The visit and the place of a correction's words: on its line, else nearest to it in the same visit.
fn find(note: &str, visits: &[Facts], correction: &Correction) -> Result<(usize, Span), Fault> {
    let start = line_start(note, correction.line);
    let at_line = visits.iter().position(|v| v.span.contains(&start));
    let visit = match (visits, correction.visit) {
        // A note's head belongs to its only visit.
        ([_], None) => Some(0),
        (_, None) => at_line,
        (_, Some(day)) => {
            let of_day = |v: &Facts| v.date == Some(day);
            let on_line = at_line.filter(|v| visits.get(*v).is_some_and(of_day));
            let found = on_line.or_else(|| visits.iter().position(of_day));
            Some(found.ok_or_else(|| Fault::NoVisit {
                note: correction.note.clone(),
                visit: day,
            })?)
        }
    };
    let whole = 0..note.len();
    let part = match visits {
        [_] => whole.clone(),
        _ => visit
            .and_then(|v| visits.get(v))
            .map_or(0..0, |v| v.span.clone()),
    };
    let far = |span: &Span| {
        let lines = lines(note, span);
        lines
            .start()
            .saturating_sub(correction.line)
            .max(correction.line.saturating_sub(*lines.end()))
    };
    let nearest = quoted::find(note, &part, &correction.words)
        .into_iter()
        .min_by_key(far);
    match (visit, nearest) {
        (Some(visit), Some(span)) => Ok((visit, span)),
        _ => Err(Fault::Stale {
            words: correction.words.clone(),
            note: correction.note.clone(),
            elsewhere: quoted::find(note, &whole, &correction.words)
                .first()
                .map(|s| line_at(note, s.start)),
        }),
    }
}

/// The byte at which a line begins; past the last line, the end.
fn line_start(note: &str, line: usize) -> usize {
    note.split_inclusive('\n')
        .take(line.saturating_sub(1))
        .map(str::len)
        .sum()
}

/// Which facts of a list a dropping means, of those that fit what it states.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Reach {
    /// Said once a visit wherever it stands: those that rest on the words, else any of the visit.
    Visit,
    /// Said again and again: those that rest on the words, else those on their lines.
    Lines,
}

/// Drops what fits; whether anything did.
fn drop(note: &str, facts: &mut Facts, stated: &Stated, place: &Span) -> bool {
    if let Stated::Outcome { id } = stated {
        let ends_so = facts.outcome.as_ref() == Some(id);
        if ends_so {
            facts.outcome = None;
            facts.corrected.removed(FactKind::Outcome, 0);
        }
        return ends_so;
    }
    let doomed = doomed(note, facts, stated, place);
    for (at, _) in doomed.iter().rev() {
        match stated.kind() {
            FactKind::Equipment => std::mem::drop(facts.equipment.remove(*at)),
            FactKind::Symptom => std::mem::drop(facts.symptoms.remove(*at)),
            FactKind::Setting => std::mem::drop(facts.settings.remove(*at)),
            FactKind::Reading => std::mem::drop(facts.readings.remove(*at)),
            FactKind::Cause => std::mem::drop(facts.causes.remove(*at)),
            FactKind::Fix => std::mem::drop(facts.fixes.remove(*at)),
            FactKind::Outcome => {}
        }
        facts.corrected.removed(stated.kind(), *at);
    }
    !doomed.is_empty()
}

/// The facts that a dropping means: the place of each in its list, and its words. An outcome has no words of its own.
fn doomed(note: &str, facts: &Facts, stated: &Stated, place: &Span) -> Vec<(usize, Span)> {
    match stated {
        Stated::Equipment {
            kind,
            label,
            maker,
            model,
        } => meant(note, place, Reach::Visit, &facts.equipment, |e| {
            (
                e.kind == *kind
                    && fits(label, &e.label)
                    && fits(maker, &e.maker)
                    && fits(model, &e.model),
                &e.span,
            )
        }),
        Stated::Symptom { id, status, on, .. } => {
            meant(note, place, Reach::Visit, &facts.symptoms, |s| {
                (
                    s.id == *id && status.is_none_or(|st| st == s.status) && fits(on, &s.on),
                    &s.span,
                )
            })
        }
        Stated::Setting { quantity, when } => {
            meant(note, place, Reach::Lines, &facts.settings, |q| {
                (is(quantity, q) && when.is_none_or(|w| w == q.when), &q.span)
            })
        }
        Stated::Reading { quantity, state } => {
            meant(note, place, Reach::Lines, &facts.readings, |q| {
                (is(quantity, q) && fits(state, &q.state), &q.span)
            })
        }
        Stated::Cause { id, status } => meant(note, place, Reach::Visit, &facts.causes, |c| {
            (
                c.id == *id && status.is_none_or(|st| st == c.status),
                &c.span,
            )
        }),
        Stated::Fix {
            action,
            part,
            status,
            on,
        } => meant(note, place, Reach::Visit, &facts.fixes, |f| {
            (
                f.action == *action
                    && f.part == *part
                    && status.is_none_or(|st| st == f.status)
                    && fits(on, &f.on),
                &f.span,
            )
        }),
        Stated::Outcome { .. } => Vec::new(),
    }
}

/// The words of the facts that a dropping would take away if it rested on the words at `place`.
#[must_use]
pub fn would_drop(note: &str, facts: &Facts, stated: &Stated, place: &Span) -> Vec<Span> {
    match stated {
        Stated::Outcome { id } if facts.outcome.as_ref() == Some(id) => vec![place.clone()],
        _ => doomed(note, facts, stated, place)
            .into_iter()
            .map(|(_, span)| span)
            .collect(),
    }
}

/// Those of a list that are stated and within reach.
fn meant<T>(
    note: &str,
    place: &Span,
    reach: Reach,
    list: &[T],
    fit: impl Fn(&T) -> (bool, &Span),
) -> Vec<(usize, Span)> {
    let those = |near: &dyn Fn(&Span) -> bool| -> Vec<(usize, Span)> {
        list.iter()
            .map(&fit)
            .enumerate()
            .filter(|(_, (fits, span))| *fits && near(span))
            .map(|(at, (_, span))| (at, span.clone()))
            .collect()
    };
    let touching = those(&|span| span.start < place.end && place.start < span.end);
    if !touching.is_empty() {
        return touching;
    }
    match reach {
        Reach::Visit => those(&|_| true),
        Reach::Lines => {
            let on = lines(note, place);
            those(&|span| on.contains(&line_at(note, span.start)))
        }
    }
}

/// Whether what is stated, where anything is, is what was read.
fn fits(stated: &Option<String>, read: &Option<String>) -> bool {
    stated.as_ref().is_none_or(|s| {
        read.as_ref()
            .is_some_and(|r| r.to_lowercase() == s.to_lowercase())
    })
}

fn is(stated: &StatedQuantity, read: &QuantityFact) -> bool {
    let same_value = stated
        .value
        .as_ref()
        .is_none_or(|value| same(value, &read.value));
    stated.id == read.id && same_value && fits(&stated.on, &read.on)
}

/// Values that a person would call the same: a converted one is shown rounded.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => (a - b).abs() <= 0.01_f64.max(1e-3 * b.abs()),
        _ => a == b,
    }
}

/// Adds a fact, or brings the one that says the same to what is stated.
fn add(facts: &mut Facts, stated: &Stated, place: &Span, knowledge: &Knowledge) {
    let span = place.clone();
    let marked = match stated {
        Stated::Equipment {
            kind,
            label,
            maker,
            model,
        } => {
            let known = facts.equipment.iter().position(|e| e.kind == *kind);
            let at = known.unwrap_or_else(|| {
                facts.equipment.push(EquipmentFact {
                    kind: kind.clone(),
                    label: None,
                    maker: None,
                    model: None,
                    span,
                });
                facts.equipment.len() - 1
            });
            if let Some(fact) = facts.equipment.get_mut(at) {
                set(&mut fact.label, label);
                set(&mut fact.maker, maker);
                set(&mut fact.model, model);
            }
            at
        }
        Stated::Symptom {
            id,
            status,
            conditions,
            on,
        } => add_symptom(
            facts,
            SymptomFact {
                id: id.clone(),
                status: status.unwrap_or(SymptomStatus::Present),
                conditions: Vec::new(),
                on: knowledge.lexicon.belongs.get(id).map(ToString::to_string),
                span,
            },
            conditions.as_deref(),
            on,
        ),
        Stated::Setting { quantity, when } => {
            let when = when.unwrap_or(When::Left);
            add_quantity(&mut facts.settings, quantity, when, &None, span)
        }
        Stated::Reading { quantity, state } => {
            add_quantity(&mut facts.readings, quantity, When::Left, state, span)
        }
        Stated::Cause { id, status } => {
            let status = status.unwrap_or(CauseStatus::Confirmed);
            // A cause has one status a visit.
            let known = facts.causes.iter().position(|c| c.id == *id);
            let at = known.unwrap_or_else(|| {
                facts.causes.push(CauseFact {
                    id: id.clone(),
                    status,
                    span: span.clone(),
                });
                facts.causes.len() - 1
            });
            if let Some(fact) = facts.causes.get_mut(at) {
                fact.status = status;
                fact.span = span;
            }
            at
        }
        Stated::Fix {
            action,
            part,
            status,
            on,
        } => {
            let status = status.unwrap_or(FixStatus::Done);
            let known = facts
                .fixes
                .iter()
                .position(|f| f.action == *action && f.part == *part && f.status == status);
            let at = known.unwrap_or_else(|| {
                facts.fixes.push(FixFact {
                    action: action.clone(),
                    part: part.clone(),
                    status,
                    on: None,
                    span,
                });
                facts.fixes.len() - 1
            });
            if let Some(fact) = facts.fixes.get_mut(at) {
                set(&mut fact.on, on);
            }
            at
        }
        Stated::Outcome { id } => {
            facts.outcome = Some(id.clone());
            0
        }
    };
    facts.corrected.mark(stated.kind(), marked);
}

/// Adds a symptom; its opposite, which cannot hold as well, goes.
fn add_symptom(
    facts: &mut Facts,
    symptom: SymptomFact,
    conditions: Option<&[Id]>,
    on: &Option<String>,
) -> usize {
    let opposite = match symptom.status {
        SymptomStatus::Present => Some(SymptomStatus::Absent),
        SymptomStatus::Absent => Some(SymptomStatus::Present),
        SymptomStatus::Past => None,
    };
    while let Some(at) = facts
        .symptoms
        .iter()
        .position(|s| s.id == symptom.id && Some(s.status) == opposite)
    {
        facts.symptoms.remove(at);
        facts.corrected.removed(FactKind::Symptom, at);
    }
    let known = facts
        .symptoms
        .iter()
        .position(|s| s.id == symptom.id && s.status == symptom.status);
    let at = known.unwrap_or_else(|| {
        facts.symptoms.push(symptom);
        facts.symptoms.len() - 1
    });
    if let Some(fact) = facts.symptoms.get_mut(at) {
        if let Some(conditions) = conditions {
            fact.conditions = conditions.to_vec();
        }
        set(&mut fact.on, on);
    }
    at
}

fn add_quantity(
    list: &mut Vec<QuantityFact>,
    stated: &StatedQuantity,
    when: When,
    state: &Option<String>,
    span: Range<usize>,
) -> usize {
    let known = list.iter().position(|q| {
        q.id == stated.id
            && q.when == when
            && stated.value.as_ref().is_some_and(|v| same(v, &q.value))
            && fits(&stated.on, &q.on)
    });
    let at = known.unwrap_or_else(|| {
        list.push(QuantityFact {
            id: stated.id.clone(),
            value: stated.value.clone().unwrap_or(Value::Text(String::new())),
            unit: stated.unit.clone(),
            when,
            on: None,
            state: None,
            span: span.clone(),
        });
        list.len() - 1
    });
    if let Some(fact) = list.get_mut(at) {
        set(&mut fact.on, &stated.on);
        set(&mut fact.state, state);
        // What was read from a note's head has no words of its own.
        if fact.span.is_empty() {
            fact.span = span;
        }
    }
    at
}

/// What is stated takes the place of what was read; what is not leaves it.
fn set(read: &mut Option<String>, stated: &Option<String>) {
    if stated.is_some() {
        read.clone_from(stated);
    }
}
