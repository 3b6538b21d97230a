//! `suspect`: likely causes, the reasons, and the next check.

mod show;

use super::{
    args::{self, Common},
    errors::Failure,
    screen::Screen,
    setup::Setup,
};
use crate::{
    json::{self, facts::Scalar, find::JobHit, suspect as shape},
    store::{Filter, Hit},
};
use padlore_core::{
    diagnosis::{self, Case, Ranking, danger, next},
    reading::{
        facts::{QuantityFact, Value, When},
        question::{self, Question},
    },
    trade::{Knowledge, vocabulary::Section},
};
use std::process::ExitCode;

/// Causes shown at the most.
const CAUSES: usize = 12;
/// Checks shown at the most.
const CHECKS: usize = 6;
/// Past jobs shown at the most.
const PAST_JOBS: usize = 5;
/// `take_along` serves the causes that make up this share of the probability.
const TAKE_SHARE: f64 = 0.9;

/// Everything that is answered.
pub struct Answer<'k> {
    /// The tables.
    pub knowledge: &'k Knowledge,
    /// The question as read.
    pub question: Question,
    /// The ranking; empty where work must stop.
    pub ranking: Ranking,
    /// Past jobs like this one.
    pub jobs: Vec<Hit>,
    /// The JSON of it all.
    pub json: shape::Answer,
}

/// Runs `suspect`.
///
/// # Errors
/// Wrong usage, unreadable tables, or an output that takes no more.
pub fn run(common: &Common, own: &args::Suspect, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let setup = Setup::new(common)?;
    let words = own.words.join(" ");
    let mut answer = answer(&words, own, setup.knowledge())?;
    if answer.json.stop.is_none() && setup.has_notes() {
        let store = setup.open_store(common)?;
        let filter = Filter {
            site: own.site.as_deref().map(|s| setup.shop.site(s).to_owned()),
            ..Filter::default()
        };
        answer.jobs = store
            .find(&words, &answer.question, &filter, PAST_JOBS)?
            .hits;
        answer.json.past_jobs = answer.jobs.iter().map(JobHit::of).collect();
    }
    if common.json {
        screen.json(&answer.json)?;
    } else {
        show::answer(screen, &answer)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Works the answer out.
fn answer<'k>(
    words: &str,
    own: &args::Suspect,
    knowledge: &'k Knowledge,
) -> Result<Answer<'k>, Failure> {
    let question = question::understand(words, knowledge);
    let mut case = Case::of(&question);
    for found in &own.found {
        case.outcomes.push(outcome_named(found, knowledge)?);
    }
    for reading in &own.reading {
        case.readings.push(reading_named(reading, knowledge)?);
    }
    let stop = danger::stop(&question, knowledge);
    let rank = |case: &Case| {
        diagnosis::rank(case, knowledge).map_err(|e| Failure::Usage(format!("cannot rank: {e}")))
    };
    let ranking = rank(&case)?;
    let checks = next::checks(&case, &ranking, knowledge)
        .map_err(|e| Failure::Usage(format!("cannot rank the checks: {e}")))?;
    let json = shape(words, &question, &case, stop, &ranking, &checks, knowledge);
    Ok(Answer {
        knowledge,
        question,
        ranking,
        jobs: Vec::new(),
        json,
    })
}

fn outcome_named(text: &str, knowledge: &Knowledge) -> Result<(usize, usize), Failure> {
    let (check, outcome) = text
        .split_once('=')
        .ok_or_else(|| Failure::Usage(format!("`{text}`: write --found CHECK=OUTCOME")))?;
    let place = knowledge.checks.iter().position(|c| c.id == *check);
    let Some(place) = place else {
        let near = nearest(check, knowledge.checks.iter().map(|c| c.id.as_str()));
        return Err(Failure::Usage(format!(
            "`{check}` is no check; the nearest is `{near}`"
        )));
    };
    let outcomes = knowledge
        .checks
        .get(place)
        .map(|c| c.outcomes.as_slice())
        .unwrap_or_default();
    outcomes
        .iter()
        .position(|o| o.id == outcome)
        .map(|o| (place, o))
        .ok_or_else(|| {
            let known: Vec<&str> = outcomes.iter().map(|o| o.id.as_str()).collect();
            Failure::Usage(format!(
                "`{outcome}` is no outcome of `{check}`; they are: {}",
                known.join(", ")
            ))
        })
}

fn reading_named(text: &str, knowledge: &Knowledge) -> Result<QuantityFact, Failure> {
    let (id, value) = text
        .split_once('=')
        .ok_or_else(|| Failure::Usage(format!("`{text}`: write --reading ID=VALUE")))?;
    let Some(entry) = knowledge
        .vocabulary
        .entry(Section::Reading, id)
        .or_else(|| knowledge.vocabulary.entry(Section::Setting, id))
    else {
        let known = knowledge
            .vocabulary
            .of(Section::Reading)
            .iter()
            .map(|e| e.id.as_str());
        return Err(Failure::Usage(format!(
            "`{id}` is no reading; the nearest is `{}`",
            nearest(id, known)
        )));
    };
    let unit = entry
        .meaning
        .split(',')
        .next()
        .unwrap_or_default()
        .trim()
        .to_owned();
    let value = value
        .trim()
        .parse::<f64>()
        .map_or_else(|_| Value::Text(value.trim().to_lowercase()), Value::Number);
    Ok(QuantityFact {
        id: entry.id.clone(),
        value,
        unit,
        when: When::Left,
        on: None,
        state: None,
        span: 0..0,
    })
}

/// The known id nearest to what was typed.
pub(super) fn nearest<'a>(typed: &str, known: impl Iterator<Item = &'a str>) -> &'a str {
    known
        .max_by(|a, b| strsim::jaro_winkler(typed, a).total_cmp(&strsim::jaro_winkler(typed, b)))
        .unwrap_or_default()
}

fn shape(
    words: &str,
    question: &Question,
    case: &Case,
    stop: Option<&padlore_core::trade::causes::Stop>,
    ranking: &Ranking,
    checks: &[next::Next],
    knowledge: &Knowledge,
) -> shape::Answer {
    let id_of = |cause: usize| {
        knowledge
            .causes
            .get(cause)
            .map(|c| c.id.to_string())
            .unwrap_or_default()
    };
    let next_hazard = checks
        .first()
        .and_then(|n| knowledge.checks.get(n.check))
        .map(|c| c.hazard);
    let mut cautions: Vec<shape::Danger> = danger::cautions(case, ranking, next_hazard, knowledge)
        .into_iter()
        .map(|(hazard, text)| shape::Danger {
            hazard: hazard.name(),
            text,
        })
        .collect();
    if let Some(stop) = stop
        && !cautions.iter().any(|c| c.hazard == stop.hazard.name())
    {
        let text = knowledge
            .caution(stop.hazard)
            .unwrap_or_default()
            .to_owned();
        cautions.insert(
            0,
            shape::Danger {
                hazard: stop.hazard.name(),
                text,
            },
        );
    }
    shape::Answer {
        schema: json::SCHEMA,
        understood: understood(words, question, case, knowledge),
        stop: stop.map(|s| shape::Danger {
            hazard: s.hazard.name(),
            text: s.text.clone(),
        }),
        causes: ranking
            .causes
            .iter()
            .take(CAUSES)
            .filter_map(|l| {
                let cause = knowledge.causes.get(l.cause)?;
                let because = l
                    .because
                    .iter()
                    .map(|(reason, moved)| shape::Because {
                        evidence: diagnosis::rank::reason_text(reason, ranking, knowledge),
                        log_odds: *moved,
                    })
                    .collect();
                Some(shape::Cause {
                    id: cause.id.to_string(),
                    name: cause.name.clone(),
                    probability: l.probability,
                    because,
                    jobs: 0,
                })
            })
            .collect(),
        something_else: ranking.something_else,
        checks: checks
            .iter()
            .take(CHECKS)
            .filter_map(|n| {
                let check = knowledge.checks.get(n.check)?;
                let outcomes = check
                    .outcomes
                    .iter()
                    .zip(&n.outcomes)
                    .map(|(o, p)| shape::Outcome {
                        id: o.id.clone(),
                        text: o.text.clone(),
                        probability: *p,
                    })
                    .collect();
                Some(shape::Check {
                    id: check.id.to_string(),
                    text: check.text.clone(),
                    tool: check.tool.clone(),
                    minutes: check.minutes,
                    hazard: check.hazard.name(),
                    who: check.who.name(),
                    outcomes,
                    tells_apart: n.tells_apart.iter().map(|c| id_of(*c)).collect(),
                    expected: check.expected.clone(),
                    saves_minutes: n.saving,
                })
            })
            .collect(),
        take_along: take_along(ranking, knowledge),
        cautions,
        past_jobs: Vec::new(),
    }
}

fn understood(
    words: &str,
    question: &Question,
    case: &Case,
    knowledge: &Knowledge,
) -> shape::Understood {
    let text =
        |span: &std::ops::Range<usize>| words.get(span.clone()).unwrap_or_default().to_owned();
    shape::Understood {
        symptoms: question
            .symptoms
            .iter()
            .map(|s| shape::Symptom {
                id: s.what.0.to_string(),
                status: s.what.1.name(),
                text: text(&s.span),
            })
            .collect(),
        conditions: case.conditions.iter().map(ToString::to_string).collect(),
        equipment: case.equipment.iter().map(ToString::to_string).collect(),
        readings: case
            .readings
            .iter()
            .map(|r| shape::Reading {
                id: r.id.to_string(),
                value: Scalar::from(&r.value),
                unit: r.unit.clone(),
            })
            .collect(),
        found: case
            .outcomes
            .iter()
            .filter_map(|(check, outcome)| {
                let check = knowledge.checks.get(*check)?;
                Some(shape::Found {
                    check: check.id.to_string(),
                    outcome: check.outcomes.get(*outcome)?.id.clone(),
                })
            })
            .collect(),
        causes: case
            .reported
            .iter()
            .map(|r| shape::Named {
                id: r.cause.to_string(),
                status: r.status.name(),
            })
            .collect(),
        unknown: question.unknown.clone(),
    }
}

/// Parts and tools for the causes that make up nine tenths, commonest first.
fn take_along(ranking: &Ranking, knowledge: &Knowledge) -> Vec<shape::Take> {
    let total: f64 = ranking.causes.iter().map(|l| l.probability).sum();
    let mut out: Vec<shape::Take> = Vec::new();
    let mut sum = 0.0;
    for likely in &ranking.causes {
        if sum >= TAKE_SHARE * total || total <= 0.0 {
            break;
        }
        sum += likely.probability;
        let Some(cause) = knowledge.causes.get(likely.cause) else {
            continue;
        };
        for what in &cause.take {
            match out.iter_mut().find(|t| t.what == *what) {
                Some(take) => take.causes.push(cause.id.to_string()),
                None => out.push(shape::Take {
                    what: what.clone(),
                    causes: vec![cause.id.to_string()],
                }),
            }
        }
    }
    out
}
