//! Settings and readings that are a word: how a valve stands, whether a circuit is closed, what a circuit is labelled.

use super::text::{column_when, fact, when};
use crate::{
    note::Layout,
    reading::{
        facts::{QuantityFact, When},
        lexer::{Kind, Mark, Token},
        read::Reading,
    },
    trade::{lexicon::Cue, vocabulary::Section},
};
use std::ops::Range;

/// Words between a valve and how it stands.
const REACH: usize = 7;

/// How valves stand: "the waterfall valve stands open", "found the return valve half shut, opened it".
pub(super) fn valve(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let words = reading.words;
    let text = |at: usize| {
        words
            .tokens
            .get(at)
            .filter(|_| at < range.end)
            .map_or("", |t| t.text.as_str())
    };
    let mut valve: Option<usize> = None;
    for at in range.clone() {
        if matches!(text(at), "valve" | "valves" | "handle") && !drives(text(at.saturating_sub(1)))
        {
            valve = Some(at);
        }
        let (state, length) = match (text(at), text(at + 1)) {
            (
                "half" | "partly" | "partially" | "part" | "nearly" | "almost" | "mostly",
                "shut" | "closed" | "open",
            ) => (format!("{} {}", text(at), text(at + 1)), 2),
            ("open" | "shut" | "closed", _) => (text(at).to_owned(), 1),
            _ => continue,
        };
        let Some(named) = valve else { continue };
        let verb = text(at.saturating_sub(1));
        let stands = matches!(
            verb,
            "is" | "was"
                | "stands"
                | "stood"
                | "stays"
                | "left"
                | "sits"
                | "to"
                | "fully"
                | "wide"
                | "valve"
                | "again"
                | "found"
                | "handle"
                | "half"
        ) || column_when(reading, at).is_some()
            || matches!(words.tokens.get(at).map(|t| t.before), Some(Mark::Cell));
        if at - named > REACH || !stands {
            continue;
        }
        let tokens = at..at + length;
        let dropped = reading.scopes.on(words, tokens.clone()).any(|c| {
            matches!(
                c,
                Cue::Elsewhere | Cue::Denied | Cue::Possible | Cue::Planned | Cue::Advised
            )
        });
        if dropped {
            continue;
        }
        let mended = words
            .slice(at + length..(at + 14).min(words.tokens.len()))
            .iter()
            .any(|t| matches!(t.text.as_str(), "opened" | "closed" | "shut" | "turned"));
        let when = column_when(reading, at).unwrap_or(
            if mended && matches!(verb, "was" | "to" | "found" | "half") || verb == "found" {
                When::Found
            } else {
                When::Left
            },
        );
        out.extend(fact(
            reading,
            "valve-position",
            Section::Setting,
            state.clone(),
            &tokens,
            when,
        ));
        // "was half shut, opened it all the way"
        let opened = words
            .slice(at + length..(at + 14).min(words.tokens.len()))
            .iter()
            .position(|t| t.text == "opened");
        if when == When::Found
            && column_when(reading, at).is_none()
            && let Some(place) = opened
        {
            let tokens = at + length + place..at + length + place + 1;
            out.extend(fact(
                reading,
                "valve-position",
                Section::Setting,
                "open".to_owned(),
                &tokens,
                When::Left,
            ));
        }
        valve = None;
    }
    did(reading, &range, out);
}

/// "I have closed the waterfall valve".
fn did(reading: &Reading<'_>, range: &Range<usize>, out: &mut Vec<QuantityFact>) {
    let words = reading.words;
    for at in range.clone() {
        let Some(token) = words.tokens.get(at) else {
            break;
        };
        let state = match token.text.as_str() {
            "closed" | "shut" => "closed",
            "opened" | "reopened" => "open",
            _ => continue,
        };
        let object = words.slice(at + 1..(at + 5).min(range.end));
        let valve = object
            .iter()
            .position(|t| t.text == "valve" && t.before <= Mark::Hyphen);
        let article = object
            .first()
            .is_some_and(|t| matches!(t.text.as_str(), "the" | "that" | "his" | "her" | "off"));
        let gas = object.iter().any(|t| matches!(t.text.as_str(), "gas"));
        if let Some(place) = valve
            && article
            && !gas
            && !out.iter().any(|f| f.id == "valve-position")
        {
            let tokens = at..at + 2 + place;
            let dropped = reading.scopes.on(words, tokens.clone()).any(|c| {
                matches!(
                    c,
                    Cue::Elsewhere | Cue::Denied | Cue::Possible | Cue::Planned
                )
            });
            if !dropped {
                out.extend(fact(
                    reading,
                    "valve-position",
                    Section::Setting,
                    state.to_owned(),
                    &tokens,
                    When::Left,
                ));
            }
        }
    }
}

/// Valves whose position is a symptom or a part's work, no setting.
fn drives(before: &str) -> bool {
    matches!(
        before,
        "gas"
            | "check"
            | "reversing"
            | "relief"
            | "multiport"
            | "solar"
            | "service"
            | "svc"
            | "three-way"
    )
}

/// What a meter says of a circuit: "reads open on the meter", "limit on the meter, cold: closed".
pub(super) fn continuity(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let words = reading.words;
    let text = |at: usize| {
        words
            .tokens
            .get(at)
            .filter(|_| at < range.end)
            .map_or("", |t| t.text.as_str())
    };
    for at in range.clone() {
        let state = match text(at) {
            "open" => "open",
            "closed" => "closed",
            _ => continue,
        };
        let reads = (1..=2).any(|k| {
            at.checked_sub(k)
                .filter(|b| *b >= range.start)
                .is_some_and(|b| {
                    matches!(
                        text(b),
                        "reads"
                            | "read"
                            | "reading"
                            | "tests"
                            | "tested"
                            | "metered"
                            | "measures"
                            | "measured"
                            | "meters"
                            | "rings"
                            | "shows"
                            | "ohmed"
                            | "dead"
                    )
                })
        });
        let near = at.saturating_sub(8).max(range.start)..(at + 6).min(range.end);
        let meter = words.slice(near.clone()).iter().any(|t| {
            matches!(
                t.text.as_str(),
                "meter"
                    | "continuity"
                    | "ohmmeter"
                    | "ohms"
                    | "multimeter"
                    | "conductor"
                    | "unplugged"
                    | "lead"
                    | "leads"
                    | "terminals"
                    | "cold"
            )
        });
        let part = reading.found.things.iter().any(|m| {
            m.tokens.start >= near.start
                && m.tokens.end <= near.end
                && reading
                    .knowledge
                    .lexicon
                    .things
                    .get(usize::from(m.thing))
                    .is_some_and(|t| {
                        matches!(
                            t.id.as_str(),
                            "high-limit"
                                | "water-sensor"
                                | "air-sensor"
                                | "solar-sensor"
                                | "flow-switch"
                                | "pressure-switch"
                                | "fuse"
                                | "igniter"
                                | "heater-element"
                                | "motor"
                                | "cable"
                                | "defrost-sensor"
                                | "thermal-regulator"
                                | "comm-bus"
                                | "bonding-grid"
                                | "relay"
                                | "lamp"
                                | "light"
                                | "capacitor"
                        )
                    })
        });
        let marked = words
            .tokens
            .get(at)
            .is_some_and(|t| matches!(t.before, Mark::Colon | Mark::Equals | Mark::Cell));
        if !((reads && (meter || part)) || (marked && part)) {
            continue;
        }
        let tokens = at..at + 1;
        let dropped = reading.scopes.on(words, tokens.clone()).any(|c| {
            matches!(
                c,
                Cue::Elsewhere | Cue::Denied | Cue::Possible | Cue::Advised
            )
        });
        if !dropped {
            out.extend(fact(
                reading,
                "continuity",
                Section::Reading,
                state.to_owned(),
                &tokens,
                When::Left,
            ));
        }
    }
}

/// The labels of circuits: "labels typed in: SPA, JET, FALL", "| FILTER | 1 |" below a column of circuits.
pub(super) fn labels(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let words = reading.words;
    let block = words
        .sentences
        .get(words.sentence_of(range.start))
        .and_then(|s| reading.visit.blocks.get(s.block));
    if let Some(block) = block
        && let Layout::Row { header } = &block.layout
    {
        let column = header.iter().position(|h| {
            let h = h.to_lowercase();
            (h.contains("circuit") || h.contains("label"))
                && (h.contains("typed")
                    || h.contains("label")
                    || h.contains("name")
                    || header.iter().any(|o| o.to_lowercase().contains("addr")))
        });
        let Some(cell) = column.and_then(|c| block.lines.get(c)) else {
            return;
        };
        let inside = |t: &Token| {
            cell.iter()
                .any(|r| r.start <= t.span.start && t.span.start < r.end)
        };
        let first = range
            .clone()
            .find(|at| words.tokens.get(*at).is_some_and(inside));
        if let Some(first) = first {
            let end = (first..range.end)
                .find(|at| !words.tokens.get(*at).is_some_and(inside))
                .unwrap_or(range.end);
            push_label(reading, first..end, out);
        }
        return;
    }
    let text = |at: usize| {
        words
            .tokens
            .get(at)
            .filter(|_| at < range.end)
            .map_or("", |t| t.text.as_str())
    };
    let Some(start) = range.clone().find(|at| {
        matches!(
            text(*at),
            "label"
                | "labels"
                | "labelled"
                | "labeled"
                | "names"
                | "named"
                | "renamed"
                | "relabelled"
                | "relabeled"
        ) && (range.contains(&(at + 1)))
    }) else {
        return;
    };
    let mut at = start + 1;
    while matches!(
        text(at),
        "typed"
            | "in"
            | "as"
            | "them"
            | "it"
            | "are"
            | "the"
            | "circuits"
            | "circuit"
            | "typed-in"
            | "on"
            | "panel"
            | "to"
            | "is"
            | "at"
    ) && at < start + 6
    {
        at += 1;
    }
    while at < range.end
        && let Some(token) = words.tokens.get(at)
        && token.kind == Kind::Word
        && (token.capitals || token.text == "and")
    {
        if token.text != "and" {
            let mut end = at + 1;
            while words.tokens.get(end).is_some_and(|t| {
                end < range.end && t.before <= Mark::Hyphen && t.capitals && t.text != "and"
            }) {
                end += 1;
            }
            push_label(reading, at..end, out);
            at = end;
        } else {
            at += 1;
        }
    }
}

fn push_label(reading: &Reading<'_>, tokens: Range<usize>, out: &mut Vec<QuantityFact>) {
    let raw = reading
        .note
        .get(reading.words.bytes(&tokens))
        .unwrap_or_default()
        .to_lowercase();
    if !raw.is_empty()
        && raw
            .chars()
            .all(|c| c.is_alphanumeric() || c == ' ' || c == '-')
    {
        let when = when(reading, &tokens);
        out.extend(fact(
            reading,
            "circuit-label",
            Section::Setting,
            raw,
            &tokens,
            when,
        ));
    }
}
