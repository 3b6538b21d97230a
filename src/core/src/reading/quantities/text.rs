//! Settings and readings that are no plain number: switch patterns, gas, firmware, and those of [`super::hours`] and
//! [`super::states`].

use crate::{
    note::Layout,
    reading::{
        facts::{QuantityFact, Value, When},
        lexer::{Kind, Mark, Token},
        read::Reading,
    },
    trade::{lexicon::Cue, vocabulary::Section},
};
use std::ops::Range;

/// Switch patterns have from three to ten switches.
const SWITCHES: Range<usize> = 3..11;

pub(super) fn read(reading: &Reading<'_>) -> (Vec<QuantityFact>, Vec<QuantityFact>) {
    let (mut settings, mut readings) = (Vec::new(), Vec::new());
    for sentence in &reading.words.sentences {
        if reading
            .visit
            .blocks
            .get(sentence.block)
            .is_some_and(|b| b.layout == Layout::Header)
        {
            continue;
        }
        switches(reading, sentence.tokens.clone(), &mut settings);
        gas(reading, sentence.tokens.clone(), &mut settings);
        revision(reading, sentence.tokens.clone(), &mut settings);
        super::hours::hours(reading, sentence.tokens.clone(), &mut settings);
        super::states::valve(reading, sentence.tokens.clone(), &mut settings);
        super::states::labels(reading, sentence.tokens.clone(), &mut settings);
        super::states::continuity(reading, sentence.tokens.clone(), &mut readings);
    }
    (settings, readings)
}

pub(super) fn fact(
    reading: &Reading<'_>,
    id: &str,
    section: Section,
    text: String,
    tokens: &Range<usize>,
    when: When,
) -> Option<QuantityFact> {
    let entry = reading.knowledge.vocabulary.entry(section, id)?;
    let unit = entry
        .meaning
        .split(',')
        .next()
        .unwrap_or_default()
        .trim()
        .to_owned();
    let span = reading.words.bytes(tokens);
    Some(QuantityFact {
        id: entry.id.clone(),
        value: Value::Text(text),
        unit,
        when,
        on: None,
        state: None,
        span,
    })
}

pub(super) fn when(reading: &Reading<'_>, tokens: &Range<usize>) -> When {
    let column = column_when(reading, tokens.start);
    if let Some(when) = column {
        return when;
    }
    let mut best: Option<(usize, When)> = None;
    for scoped in reading.scopes.all() {
        let when = match scoped.cue {
            Cue::Found => When::Found,
            Cue::Left => When::Left,
            Cue::Advised => When::Advised,
            _ => continue,
        };
        if scoped.scope.start <= tokens.start && tokens.start < scoped.scope.end {
            let distance = tokens.start.abs_diff(scoped.source.end);
            if best.is_none_or(|(d, _)| distance < d) {
                best = Some((distance, when));
            }
        }
    }
    best.map_or(When::Left, |(_, when)| when)
}

/// What the column of a table says of a token in it.
pub(super) fn column_when(reading: &Reading<'_>, token: usize) -> Option<When> {
    let sentence = reading
        .words
        .sentences
        .get(reading.words.sentence_of(token))?;
    let block = reading.visit.blocks.get(sentence.block)?;
    let Layout::Row { header } = &block.layout else {
        return None;
    };
    let at = reading.words.tokens.get(token)?.span.start;
    let column = block
        .lines
        .iter()
        .position(|l| l.iter().any(|r| r.start <= at && at < r.end))?;
    super::when::of_heading(header.get(column)?, &reading.knowledge.lexicon)
}

fn switches(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let state = |t: &Token| matches!(t.text.as_str(), "on" | "off");
    let mut at = range.start;
    let mut runs: Vec<(Range<usize>, String)> = Vec::new();
    while at < range.end {
        let run = reading
            .words
            .slice(at..range.end)
            .iter()
            .enumerate()
            .take_while(|(k, t)| state(t) && (*k == 0 || t.before <= Mark::Comma))
            .count();
        if SWITCHES.contains(&run) {
            let text: Vec<&str> = reading
                .words
                .slice(at..at + run)
                .iter()
                .map(|t| t.text.as_str())
                .collect();
            runs.push((at..at + run, text.join(" ")));
        } else if run == 0
            && let Some(all) = all_of_them(reading, at, &range)
        {
            runs.push(all);
        }
        at += run.max(1);
    }
    let count = runs.len();
    for (i, (tokens, text)) in runs.iter().enumerate() {
        // Two patterns in one sentence are what was met and what was set, unless pieces are listed.
        let mut when = when(reading, tokens);
        if count == 2
            && i == 0
            && when == When::Left
            && column_when(reading, tokens.start).is_none()
        {
            let between = runs
                .get(1)
                .map(|(next, _)| tokens.end..next.start)
                .unwrap_or_default();
            let change = reading.words.slice(between).iter().any(|t| {
                t.before == Mark::Arrow
                    || matches!(
                        t.text.as_str(),
                        "needs" | "to" | "set" | "now" | "changed" | "should" | "wants" | "made"
                    )
            });
            if change {
                when = When::Found;
            }
        }
        if count == 2 && i == 1 && when == When::Advised {
            when = When::Left;
        }
        out.extend(fact(
            reading,
            "dip-switches",
            Section::Setting,
            text.clone(),
            tokens,
            when,
        ));
    }
}

/// "dips all off": as many as the note's other patterns have, else four (common practice for addresses).
fn all_of_them(
    reading: &Reading<'_>,
    at: usize,
    range: &Range<usize>,
) -> Option<(Range<usize>, String)> {
    let word = |k: usize| {
        reading
            .words
            .tokens
            .get(at + k)
            .filter(|_| at + k < range.end)
            .map(|t| t.text.as_str())
    };
    let near_switches =
        (at.saturating_sub(4)..at).any(|t| {
            reading.words.tokens.get(t).is_some_and(|t| {
                matches!(t.text.as_str(), "dips" | "dip" | "switches" | "dipswitches")
            })
        });
    match (word(0)?, word(1)?) {
        ("all", state @ ("on" | "off")) if near_switches => {
            Some((at..at + 2, [state; 4].join(" ")))
        }
        _ => None,
    }
}

fn gas(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else {
            break;
        };
        let next = reading
            .words
            .tokens
            .get(at + 1)
            .filter(|_| at + 1 < range.end)
            .map(|t| t.text.as_str());
        let (kind, length) = match (token.text.as_str(), next) {
            ("natural", Some("gas")) => ("natural", 2),
            ("natural", _) if near_heater(reading, at, &range) => ("natural", 1),
            ("propane" | "lpg", _) => ("propane", 1),
            ("lp", Some("gas" | "tank" | "heater")) => ("propane", 1),
            ("ng", _) if near_heater(reading, at, &range) => ("natural", 1),
            _ => continue,
        };
        let tokens = at..at + length;
        let dropped = reading
            .scopes
            .on(reading.words, tokens.clone())
            .any(|c| matches!(c, Cue::Elsewhere | Cue::Denied | Cue::Planned | Cue::Wish));
        if !dropped
            && !out
                .iter()
                .any(|f| f.id == "gas-type" && f.value == Value::Text(kind.to_owned()))
        {
            out.extend(fact(
                reading,
                "gas-type",
                Section::Setting,
                kind.to_owned(),
                &tokens,
                When::Left,
            ));
        }
    }
}

fn near_heater(reading: &Reading<'_>, at: usize, range: &Range<usize>) -> bool {
    let low = at.saturating_sub(8).max(range.start);
    reading
        .words
        .slice(low..(at + 8).min(range.end))
        .iter()
        .any(|t| {
            matches!(
                t.text.as_str(),
                "heater" | "heaters" | "heat" | "gas" | "boiler"
            )
        })
}

fn revision(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let from = out.len();
    let mut last: Option<usize> = None;
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else {
            break;
        };
        if matches!(
            token.text.as_str(),
            "rev" | "firmware" | "fw" | "revision" | "version" | "software" | "ver"
        ) {
            last = Some(at);
            continue;
        }
        let Some(cue) = last else { continue };
        if at - cue > 9 {
            continue;
        }
        let text = match token.kind {
            Kind::Number(value) if token.text.contains('.') || value.fract() != 0.0 => {
                // A spoken number has its words for text.
                if token.text.starts_with(|c: char| c.is_ascii_digit()) {
                    token.text.clone()
                } else {
                    format!("{value}")
                }
            }
            Kind::Number(_)
                if at - cue <= 2 && token.text.starts_with(|c: char| c.is_ascii_digit()) =>
            {
                token.text.clone()
            }
            Kind::Word | Kind::Code if is_revision(&token.text) => {
                token.text.trim_start_matches(['v', 'r']).to_owned()
            }
            _ => continue,
        };
        let tokens = at..at + 1;
        let when = when(reading, &tokens);
        if when != When::Advised {
            out.extend(fact(
                reading,
                "firmware-revision",
                Section::Setting,
                text,
                &tokens,
                when,
            ));
        }
    }
    loaded(reading, &range, out, from);
    out.retain(|f| f.id != "firmware-revision" || f.when != When::Advised);
}

/// Two revisions in one sentence: the one loaded is what was left, the other what was met.
fn loaded(reading: &Reading<'_>, range: &Range<usize>, out: &mut [QuantityFact], from: usize) {
    let Some([first, second]) = out.get_mut(from..) else {
        return;
    };
    let words = reading.words.slice(range.clone());
    let loads = words.iter().any(|t| {
        matches!(
            t.text.as_str(),
            "loaded"
                | "load"
                | "updated"
                | "update"
                | "flashed"
                | "now"
                | "to"
                | "upgraded"
                | "brought"
                | "left"
                | "installed"
        )
    });
    let asks = words.iter().any(|t| {
        matches!(
            t.text.as_str(),
            "asks" | "wants" | "needs" | "sheet" | "available" | "newer" | "there"
        )
    });
    if loads && !asks {
        first.when = When::Found;
        second.when = When::Left;
    } else if asks {
        second.when = When::Advised;
    }
}

fn is_revision(text: &str) -> bool {
    let digits = text.trim_start_matches(['v', 'r']);
    !digits.is_empty()
        && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && digits.bytes().any(|b| b.is_ascii_digit())
}

/// Whether a token is one of some words.
pub(super) fn word_is(reading: &Reading<'_>, at: usize, words: &[&str]) -> bool {
    reading
        .words
        .tokens
        .get(at)
        .is_some_and(|t| words.contains(&t.text.as_str()))
}
