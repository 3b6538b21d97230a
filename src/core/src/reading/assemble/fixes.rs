//! Fixes: what was done, is to be done, was declined or had been done before, and to which part.

use crate::{
    note::Layout,
    reading::{
        facts::{FixFact, FixStatus, QuantityFact, When},
        lexer::Mark,
        matcher::{Hit, ThingMention},
        read::Reading,
    },
    trade::{
        lexicon::{ActionObjects, Cue, Meaning, Sort},
        vocabulary::Id,
    },
};

/// The object of a verb stands within so many tokens after it, or before it.
const AFTER: usize = 7;
const BEFORE: usize = 6;

/// What may have been done to what.
pub struct Candidate<'r> {
    /// The words of doing.
    pub hit: &'r Hit,
    /// The action.
    pub action: &'r Id,
    /// The part or equipment.
    pub part: Id,
    /// Where the part is spoken of; `None` where it is only understood.
    pub mention: Option<&'r ThingMention>,
    /// What the rules make of the words of doing.
    pub ruled: Option<FixStatus>,
    /// How the rules see the part.
    pub object: Object,
}

/// How the rules see a part beside words of doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Object {
    /// It is the object.
    Chosen,
    /// It stands near and could be.
    Near,
    /// It stands near, and the action's table does not name it.
    Unlikely,
}

/// Things within so many tokens of words of doing are candidates, and so many of them.
const NEAR: usize = 12;
const MOST_NEAR: usize = 6;

/// The fixes of a visit; one entry an action, part and status.
#[must_use]
pub fn read(reading: &Reading<'_>) -> Vec<FixFact> {
    let mut out = Vec::new();
    for candidate in candidates(reading) {
        let by_rule = candidate
            .ruled
            .filter(|_| candidate.object == Object::Chosen);
        let decided = reading.decide("fix", || features(reading, &candidate));
        let Some(status) = decided.map_or(by_rule, |label| FixStatus::named(&label)) else {
            continue;
        };
        push(
            &mut out,
            FixFact {
                action: candidate.action.clone(),
                part: candidate.part,
                status,
                on: None,
                span: reading.words.bytes(&candidate.hit.tokens),
            },
        );
    }
    out
}

/// Everything that may be a fix: each mention of an action with the parts that the rules choose and those that stand near.
#[must_use]
pub fn candidates<'r>(reading: &'r Reading<'_>) -> Vec<Candidate<'r>> {
    let lexicon = &reading.knowledge.lexicon;
    let mut out: Vec<Candidate<'r>> = Vec::new();
    for hit in &reading.found.hits {
        let Meaning::Action(number) = hit.means else {
            continue;
        };
        let Some(action) = lexicon.actions.get(usize::from(number)) else {
            continue;
        };
        let objects = lexicon.objects.get(&number).cloned().unwrap_or_default();
        let ruled = status(reading, hit);
        let chosen = parts(reading, hit, &objects);
        let near = near(reading, hit);
        let mention_of = |part: &Id| near.iter().find(|(p, _)| p == part).map(|(_, m)| *m);
        for part in &chosen {
            out.push(Candidate {
                hit,
                action,
                part: part.clone(),
                mention: mention_of(part),
                ruled,
                object: Object::Chosen,
            });
        }
        for (part, mention) in &near {
            if chosen.contains(part) {
                continue;
            }
            let allowed = objects.only.is_empty() || objects.only.contains(part);
            let object = if allowed {
                Object::Near
            } else {
                Object::Unlikely
            };
            out.push(Candidate {
                hit,
                action,
                part: part.clone(),
                mention: Some(*mention),
                ruled,
                object,
            });
        }
    }
    out
}

/// The parts spoken of near words of doing, nearest first, each once.
fn near<'r>(reading: &'r Reading<'_>, hit: &Hit) -> Vec<(Id, &'r ThingMention)> {
    let sentence = reading.words.sentence_of(hit.tokens.start);
    let mut around: Vec<(usize, &ThingMention)> = reading
        .found
        .things
        .iter()
        .map(|m| (distance(hit, m), m))
        .filter(|(far, m)| {
            let here = reading.words.sentence_of(m.tokens.start);
            *far <= NEAR && (here == sentence || here + 1 == sentence)
        })
        .collect();
    around.sort_by_key(|(far, m)| (*far, m.tokens.start));
    let mut out: Vec<(Id, &ThingMention)> = Vec::new();
    for (_, mention) in around {
        if let Some(part) = part_of(reading, mention)
            && !out.iter().any(|(p, _)| *p == part)
        {
            out.push((part, mention));
        }
    }
    out.truncate(MOST_NEAR);
    out
}

fn distance(hit: &Hit, mention: &ThingMention) -> usize {
    if mention.tokens.start >= hit.tokens.end {
        mention.tokens.start - hit.tokens.end
    } else {
        hit.tokens.start.saturating_sub(mention.tokens.end)
    }
}

/// The features of a candidate.
#[must_use]
pub fn features(reading: &Reading<'_>, candidate: &Candidate<'_>) -> Vec<String> {
    let Candidate {
        hit,
        action,
        part,
        mention,
        ruled,
        object,
    } = candidate;
    let verdict = ruled.map_or("none", FixStatus::name);
    let shown = match object {
        Object::Chosen => verdict,
        _ => "none",
    };
    let mut out = crate::reading::features::of_hit(reading, hit, action.as_str(), shown);
    out.push(format!("verb={verdict}"));
    out.push(format!("object={object:?}"));
    out.push(format!("object={object:?} verb={verdict}"));
    out.push(format!("part={part}"));
    out.push(format!("part={part} object={object:?}"));
    out.push(format!("fix={action} {part}"));
    out.push(format!("fix={action} {part} object={object:?}"));
    out.push(format!("slot={}", hit.slot.is_some()));
    let Some(mention) = mention else {
        out.push("understood".to_owned());
        return out;
    };
    let far = match distance(hit, mention) {
        n @ 0..=3 => n,
        4..=5 => 4,
        6..=8 => 6,
        _ => 9,
    };
    let inside = mention.tokens.start < hit.tokens.end && hit.tokens.start < mention.tokens.end;
    let (side, between) = if inside {
        ("in", 0..0)
    } else if mention.tokens.start >= hit.tokens.end {
        ("after", hit.tokens.end..mention.tokens.start)
    } else {
        ("before", mention.tokens.end..hit.tokens.start)
    };
    out.push(format!("side={side}"));
    out.push(format!("side={side} far={far}"));
    out.push(format!("side={side} far={far} object={object:?}"));
    out.push(format!("action={action} side={side}"));
    let clauses = reading
        .scopes
        .clause(mention.tokens.start)
        .abs_diff(reading.scopes.clause(hit.tokens.start));
    out.push(format!("clauses={}", clauses.min(3)));
    out.push(format!(
        "clauses={} side={side} object={object:?}",
        clauses.min(3)
    ));
    let others = reading
        .found
        .hits
        .iter()
        .filter(|h| matches!(h.means, Meaning::Action(_)) && between.contains(&h.tokens.start))
        .count();
    out.push(format!("actions-between={}", others.min(2)));
    let things = reading
        .found
        .things
        .iter()
        .filter(|m| between.contains(&m.tokens.start))
        .count();
    out.push(format!("things-between={} side={side}", things.min(3)));
    if between.len() <= 4 {
        out.extend(
            reading
                .words
                .slice(between)
                .iter()
                .map(|t| format!("between {side} {}", t.text)),
        );
    }
    let last = mention.tokens.end;
    if let Some(next) = reading.words.tokens.get(last) {
        out.push(format!("behind-part {}", next.text));
    }
    if let Some(prior) = mention
        .tokens
        .start
        .checked_sub(1)
        .and_then(|t| reading.words.tokens.get(t))
    {
        out.push(format!("before-part {}", prior.text));
    }
    out
}

fn push(out: &mut Vec<FixFact>, fix: FixFact) {
    if !out
        .iter()
        .any(|f| f.action == fix.action && f.part == fix.part && f.status == fix.status)
    {
        out.push(fix);
    }
}

/// A changed setting is an adjustment of what it belongs to.
pub fn from_settings(reading: &Reading<'_>, settings: &[QuantityFact], out: &mut Vec<FixFact>) {
    let adjusted = Id::from("adjusted");
    for setting in settings.iter().filter(|s| s.when == When::Left) {
        let changed = settings
            .iter()
            .any(|s| s.id == setting.id && s.when == When::Found && s.value != setting.value);
        let quantity = reading
            .knowledge
            .lexicon
            .quantities
            .iter()
            .find(|q| q.id == setting.id);
        let part = quantity.and_then(|q| q.adjusts.clone()).or_else(|| {
            matches!(setting.id.as_str(), "start-time" | "stop-time")
                .then(|| Id::from("controller"))
        });
        if let Some(part) = part.filter(|_| changed) {
            push(
                out,
                FixFact {
                    action: adjusted.clone(),
                    part,
                    status: FixStatus::Done,
                    on: None,
                    span: setting.span.clone(),
                },
            );
        }
    }
}

/// Whether a mention was done; `None` where nobody did or will do it.
#[must_use]
pub fn status(reading: &Reading<'_>, hit: &Hit) -> Option<FixStatus> {
    let mut status = FixStatus::Done;
    for cue in reading.scopes.on_hit(reading.words, hit) {
        match cue {
            Cue::Elsewhere | Cue::Denied | Cue::Wish | Cue::Possible => return None,
            Cue::Declined => status = FixStatus::Declined,
            Cue::Planned if status == FixStatus::Done => status = FixStatus::Planned,
            Cue::Earlier if status == FixStatus::Done => status = FixStatus::Earlier,
            _ => {}
        }
    }
    // "Sensor ordered", "quoted a disconnect": the cue is part of the wording itself and still counts.
    let own = |cue: Cue| {
        reading.scopes.all().iter().any(|c| {
            c.cue == cue
                && c.source.start >= hit.tokens.start
                && c.source.end <= hit.tokens.end
                && c.source.clone().all(|t| hit.names(t))
        })
    };
    if status == FixStatus::Done {
        if own(Cue::Declined) {
            status = FixStatus::Declined;
        } else if own(Cue::Planned) {
            status = FixStatus::Planned;
        }
    }
    let task = reading
        .words
        .sentences
        .get(reading.words.sentence_of(hit.tokens.start))
        .and_then(|s| reading.visit.blocks.get(s.block));
    match task.map(|b| &b.layout) {
        Some(Layout::Task { ticked: false }) if status == FixStatus::Done => None,
        _ => Some(status),
    }
}

/// The parts that an action was done to.
fn parts(reading: &Reading<'_>, hit: &Hit, objects: &ActionObjects) -> Vec<Id> {
    let allowed = |id: &Id| objects.only.is_empty() || objects.only.contains(id);
    if let Some(mention) = hit.slot.and_then(|s| reading.found.things.get(s)) {
        let mut parts: Vec<Id> = part_of(reading, mention)
            .into_iter()
            .filter(&allowed)
            .collect();
        parts.extend(listed(reading, mention).into_iter().filter(&allowed));
        if !parts.is_empty() {
            return parts;
        }
    }
    let within = reading
        .found
        .things
        .iter()
        .filter(|m| m.tokens.start >= hit.tokens.start && m.tokens.end <= hit.tokens.end);
    if let Some(part) = within.filter_map(|m| part_of(reading, m)).find(&allowed) {
        return vec![part];
    }
    let sentence = reading
        .words
        .sentences
        .get(reading.words.sentence_of(hit.tokens.start))
        .map(|s| s.tokens.clone())
        .unwrap_or_default();
    let after = reading.found.things.iter().find(|m| {
        m.tokens.start >= hit.tokens.end
            && m.tokens.start <= hit.tokens.end + AFTER
            && m.tokens.end <= sentence.end
    });
    let clear = |m: &ThingMention| {
        let gap = hit.tokens.end..m.tokens.start;
        !reading
            .words
            .slice(gap.start..gap.end + 1)
            .iter()
            .any(|t| t.before >= Mark::Dash || (t.before == Mark::Comma && gap.len() > 3))
            && !reading
                .words
                .slice(gap)
                .iter()
                .any(|t| matches!(t.text.as_str(), "but" | "so" | "then" | "because"))
    };
    if let Some(mention) = after.filter(|m| clear(m)) {
        let mut parts: Vec<Id> = part_of(reading, mention)
            .into_iter()
            .filter(&allowed)
            .collect();
        if !parts.is_empty() {
            parts.extend(listed(reading, mention).into_iter().filter(&allowed));
            return parts;
        }
    }
    let before = reading.found.things.iter().rev().filter(|m| {
        m.tokens.end <= hit.tokens.start
            && m.tokens.start >= sentence.start
            && m.tokens.end + BEFORE >= hit.tokens.start
    });
    if let Some(part) = before.filter_map(|m| part_of(reading, m)).find(&allowed) {
        return vec![part];
    }
    if let Some(default) = objects.default.clone() {
        return settle(reading, default).into_iter().collect();
    }
    // "swapped it": the last thing spoken of before.
    let last = reading
        .found
        .things
        .iter()
        .rev()
        .filter(|m| m.tokens.end <= hit.tokens.start && m.tokens.end + 20 >= hit.tokens.start);
    last.filter_map(|m| part_of(reading, m))
        .find(&allowed)
        .into_iter()
        .collect()
}

/// Things listed right behind one: "new lamp and gasket", "cell, tee and union".
fn listed(reading: &Reading<'_>, first: &ThingMention) -> Vec<Id> {
    let mut out = Vec::new();
    let mut end = first.tokens.end;
    for mention in reading
        .found
        .things
        .iter()
        .filter(|m| m.tokens.start >= first.tokens.end)
    {
        let between: Vec<&str> = reading
            .words
            .slice(end..mention.tokens.start)
            .iter()
            .map(|t| t.text.as_str())
            .collect();
        let comma = reading
            .words
            .tokens
            .get(mention.tokens.start)
            .is_some_and(|t| t.before == Mark::Comma);
        let joined = match between.as_slice() {
            [] => comma,
            ["and" | "plus"] | ["and", "new" | "the" | "its" | "a"] => true,
            _ => false,
        };
        if !joined {
            break;
        }
        out.extend(part_of(reading, mention));
        end = mention.tokens.end;
    }
    out
}

fn part_of(reading: &Reading<'_>, mention: &ThingMention) -> Option<Id> {
    let thing = reading
        .knowledge
        .lexicon
        .things
        .get(usize::from(mention.thing))?;
    match &thing.sort {
        Sort::Unstated(choices) => {
            super::equipment::settled(reading, choices).or_else(|| choices.first().cloned())
        }
        _ => Some(thing.id.clone()),
    }
}

/// A part id, or a generic name settled to a kind.
fn settle(reading: &Reading<'_>, id: Id) -> Option<Id> {
    let things = &reading.knowledge.lexicon.things;
    match things.iter().find(|t| t.id == id).map(|t| &t.sort) {
        Some(Sort::Unstated(choices)) => super::equipment::settled(reading, choices),
        _ => Some(id),
    }
}
