//! Settings and readings that are no plain number: switch patterns, clock times, gas, firmware, continuity.

use crate::{
    note::Layout,
    reading::{
        facts::{QuantityFact, Value, When},
        lexer::{Kind, Mark, Token},
        read::Reading,
    },
    trade::{
        lexicon::Cue,
        vocabulary::Section,
    },
};
use std::ops::Range;

/// Switch patterns have from three to ten switches.
const SWITCHES: Range<usize> = 3..11;

pub(super) fn read(reading: &Reading<'_>) -> (Vec<QuantityFact>, Vec<QuantityFact>) {
    let mut settings = Vec::new();
    for sentence in &reading.words.sentences {
        switches(reading, sentence.tokens.clone(), &mut settings);
        gas(reading, sentence.tokens.clone(), &mut settings);
        revision(reading, sentence.tokens.clone(), &mut settings);
        hours(reading, sentence.tokens.clone(), &mut settings);
    }
    (settings, Vec::new())
}

fn fact(reading: &Reading<'_>, id: &str, section: Section, text: String, tokens: &Range<usize>, when: When) -> Option<QuantityFact> {
    let entry = reading.knowledge.vocabulary.entry(section, id)?;
    let unit = entry.meaning.split(',').next().unwrap_or_default().trim().to_owned();
    let span = reading.words.bytes(tokens);
    Some(QuantityFact { id: entry.id.clone(), value: Value::Text(text), unit, when, on: None, state: None, span })
}

fn when(reading: &Reading<'_>, tokens: &Range<usize>) -> When {
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
fn column_when(reading: &Reading<'_>, token: usize) -> Option<When> {
    let sentence = reading.words.sentences.get(reading.words.sentence_of(token))?;
    let block = reading.visit.blocks.get(sentence.block)?;
    let Layout::Row { header } = &block.layout else { return None };
    let at = reading.words.tokens.get(token)?.span.start;
    let column = block.lines.iter().position(|l| l.iter().any(|r| r.start <= at && at < r.end))?;
    super::when::of_heading(header.get(column)?, &reading.knowledge.lexicon)
}

fn switches(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let state = |t: &Token| matches!(t.text.as_str(), "on" | "off");
    let mut at = range.start;
    let mut runs: Vec<(Range<usize>, String)> = Vec::new();
    while at < range.end {
        let run = reading.words.slice(at..range.end).iter().enumerate().take_while(|(k, t)| state(t) && (*k == 0 || t.before <= Mark::Comma)).count();
        if SWITCHES.contains(&run) {
            let text: Vec<&str> = reading.words.slice(at..at + run).iter().map(|t| t.text.as_str()).collect();
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
        if count == 2 && i == 0 && when == When::Left && column_when(reading, tokens.start).is_none() {
            let between = runs.get(1).map(|(next, _)| tokens.end..next.start).unwrap_or_default();
            let change = reading.words.slice(between).iter().any(|t| {
                t.before == Mark::Arrow || matches!(t.text.as_str(), "needs" | "to" | "set" | "now" | "changed" | "should" | "wants" | "made")
            });
            if change {
                when = When::Found;
            }
        }
        if count == 2 && i == 1 && when == When::Advised {
            when = When::Left;
        }
        out.extend(fact(reading, "dip-switches", Section::Setting, text.clone(), tokens, when));
    }
}

/// "dips all off": as many as the note's other patterns have, else four (common practice for addresses).
fn all_of_them(reading: &Reading<'_>, at: usize, range: &Range<usize>) -> Option<(Range<usize>, String)> {
    let word = |k: usize| reading.words.tokens.get(at + k).filter(|_| at + k < range.end).map(|t| t.text.as_str());
    let near_switches = (at.saturating_sub(4)..at).any(|t| reading.words.tokens.get(t).is_some_and(|t| matches!(t.text.as_str(), "dips" | "dip" | "switches" | "dipswitches")));
    match (word(0)?, word(1)?) {
        ("all", state @ ("on" | "off")) if near_switches => Some((at..at + 2, [state; 4].join(" "))),
        _ => None,
    }
}

fn gas(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else { break };
        let next = reading.words.tokens.get(at + 1).filter(|_| at + 1 < range.end).map(|t| t.text.as_str());
        let (kind, length) = match (token.text.as_str(), next) {
            ("natural", Some("gas")) => ("natural", 2),
            ("natural", _) if near_heater(reading, at, &range) => ("natural", 1),
            ("propane" | "lpg", _) => ("propane", 1),
            ("lp", Some("gas" | "tank" | "heater")) => ("propane", 1),
            ("ng", _) if near_heater(reading, at, &range) => ("natural", 1),
            _ => continue,
        };
        let tokens = at..at + length;
        let dropped = reading.scopes.on(reading.words, tokens.clone()).any(|c| matches!(c, Cue::Elsewhere | Cue::Denied | Cue::Planned | Cue::Wish));
        if !dropped && !out.iter().any(|f| f.id == "gas-type" && f.value == Value::Text(kind.to_owned())) {
            out.extend(fact(reading, "gas-type", Section::Setting, kind.to_owned(), &tokens, When::Left));
        }
    }
}

fn near_heater(reading: &Reading<'_>, at: usize, range: &Range<usize>) -> bool {
    let low = at.saturating_sub(8).max(range.start);
    reading.words.slice(low..(at + 8).min(range.end)).iter().any(|t| matches!(t.text.as_str(), "heater" | "heaters" | "heat" | "gas" | "boiler"))
}

fn revision(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let mut last: Option<usize> = None;
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else { break };
        if matches!(token.text.as_str(), "rev" | "firmware" | "fw" | "revision" | "version" | "software" | "ver") {
            last = Some(at);
            continue;
        }
        let Some(cue) = last else { continue };
        if at - cue > 9 {
            continue;
        }
        let text = match token.kind {
            Kind::Number(_) if token.text.contains('.') || at - cue <= 3 => token.text.clone(),
            Kind::Word | Kind::Code if is_revision(&token.text) => token.text.trim_start_matches(['v', 'r']).to_owned(),
            _ => continue,
        };
        let tokens = at..at + 1;
        let when = when(reading, &tokens);
        if when != When::Advised {
            out.extend(fact(reading, "firmware-revision", Section::Setting, text, &tokens, when));
        }
    }
}

fn is_revision(text: &str) -> bool {
    let digits = text.trim_start_matches(['v', 'r']);
    !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.') && digits.bytes().any(|b| b.is_ascii_digit())
}

/// A clock time with the token after it.
struct Clock {
    minutes: u16,
    half: Option<Half>,
    tokens: Range<usize>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Half {
    Am,
    Pm,
}

fn clock(reading: &Reading<'_>, at: usize) -> Option<Clock> {
    let token = reading.words.tokens.get(at)?;
    let (minutes, mut end) = match token.kind {
        Kind::Clock(minutes) => (minutes, at + 1),
        Kind::Number(value) if value >= 0.0 && !token.label => (number_clock(value, &token.text)?, at + 1),
        Kind::Word if token.text == "noon" || token.text == "midday" => return Some(Clock { minutes: 720, half: Some(Half::Pm), tokens: at..at + 1 }),
        Kind::Word if token.text == "midnight" => return Some(Clock { minutes: 0, half: Some(Half::Am), tokens: at..at + 1 }),
        _ => return None,
    };
    let next = reading.words.tokens.get(end).filter(|t| t.before <= Mark::Hyphen).map(|t| t.text.as_str());
    let half = match next {
        Some("am" | "a") => Some(Half::Am),
        Some("pm" | "p") => Some(Half::Pm),
        _ => None,
    };
    if half.is_some() {
        end += 1;
    }
    Some(Clock { minutes, half, tokens: at..end })
}

/// `7`, `730`, `1015`, `7.30` as a time of day.
fn number_clock(value: f64, text: &str) -> Option<u16> {
    if text.contains('.') {
        let (hours, minutes) = text.split_once('.')?;
        let (h, m): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
        return (h < 24 && m < 60 && minutes.len() == 2).then_some(h * 60 + m);
    }
    if value.fract() != 0.0 {
        return None;
    }
    let whole = value as u16;
    match whole {
        0..=24 => Some(whole * 60),
        100..=2359 if whole % 100 < 60 => Some(whole / 100 * 60 + whole % 100),
        _ => None,
    }
}

fn word_is(reading: &Reading<'_>, at: usize, words: &[&str]) -> bool {
    reading.words.tokens.get(at).is_some_and(|t| words.contains(&t.text.as_str()))
}

/// Start and stop times: "8 to 4", "07:00-15:00", "9 am to 5 pm", "on at nine off at eleven".
fn hours(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let scheduled = reading.words.slice(range.clone()).iter().any(|t| {
        matches!(
            t.text.as_str(),
            "schedule" | "schedules" | "scheduled" | "timer" | "timeclock" | "clock" | "hours" | "runs" | "run" | "running" | "program" | "programmed" | "starts" | "start" | "stop" | "stops" | "on" | "off" | "trippers" | "tripper" | "panel" | "filter" | "pump" | "stays" | "circuit" | "time"
        )
    });
    let mut at = range.start;
    let mut pairs: Vec<(u16, u16, Range<usize>)> = Vec::new();
    while at < range.end {
        let Some(first) = clock(reading, at) else {
            at += 1;
            continue;
        };
        let mut next = first.tokens.end;
        let dash = reading.words.tokens.get(next).is_some_and(|t| matches!(t.before, Mark::Hyphen | Mark::Dash));
        let to = word_is(reading, next, &["to", "til", "till", "until", "thru", "through"]);
        if to {
            next += 1;
        }
        let off_at = word_is(reading, next, &["off"]) || (word_is(reading, next, &["and"]) && word_is(reading, next + 1, &["off"]));
        if off_at {
            next += if word_is(reading, next, &["and"]) { 2 } else { 1 };
            next += usize::from(word_is(reading, next, &["at"]));
        }
        if (to || dash || off_at) && next < range.end
            && let Some(second) = clock(reading, next)
            && let Some((start, stop)) = span_of(&first, &second, scheduled, reading)
        {
            pairs.push((start, stop, first.tokens.start..second.tokens.end));
            at = second.tokens.end;
            continue;
        }
        single(reading, &first, &range, out);
        at = first.tokens.end;
    }
    let count = pairs.len();
    for (i, (start, stop, tokens)) in pairs.into_iter().enumerate() {
        let mut when = when(reading, &tokens);
        if count == 2 && i == 0 && when == When::Left {
            // "noon to nine, now five to nine": the first of two that change words part is what was met.
            let changed = reading.words.slice(tokens.end..range.end).iter().take(6).any(|t| matches!(t.text.as_str(), "now" | "left" | "changed" | "made" | "to" | "set" | "moved") || t.before == Mark::Arrow);
            if changed {
                when = When::Found;
            }
        }
        let dropped = reading.scopes.on(reading.words, tokens.clone()).any(|c| matches!(c, Cue::Elsewhere | Cue::Past));
        if dropped {
            continue;
        }
        out.extend(fact(reading, "start-time", Section::Setting, hh_mm(start), &tokens, when));
        out.extend(fact(reading, "stop-time", Section::Setting, hh_mm(stop), &tokens, when));
    }
}

/// A lone time is a start or stop where a verb of switching stands right before it.
fn single(reading: &Reading<'_>, clock: &Clock, range: &Range<usize>, out: &mut Vec<QuantityFact>) {
    let before = |k: usize| clock.tokens.start.checked_sub(k).filter(|t| *t >= range.start).and_then(|t| reading.words.tokens.get(t)).map(|t| t.text.as_str());
    let exact = matches!(reading.words.tokens.get(clock.tokens.start).map(|t| t.kind), Some(Kind::Clock(_))) || clock.half.is_some();
    if !exact {
        return;
    }
    let id = match (before(1), before(2)) {
        (Some("at"), Some("on" | "starts" | "start")) | (Some("start" | "starts"), _) => "start-time",
        (Some("at"), Some("off" | "stops" | "stop")) | (Some("stop" | "stops"), _) => "stop-time",
        _ => return,
    };
    let when = when(reading, &clock.tokens);
    out.extend(fact(reading, id, Section::Setting, hh_mm(minutes_of(clock)), &clock.tokens, when));
}

fn minutes_of(clock: &Clock) -> u16 {
    let hour12 = clock.minutes < 13 * 60;
    match clock.half {
        Some(Half::Pm) if clock.minutes < 720 && hour12 => clock.minutes + 720,
        Some(Half::Am) if (720..780).contains(&clock.minutes) => clock.minutes - 720,
        _ => clock.minutes,
    }
}

/// The two times of a run in minutes; `None` where the two numbers are no times.
fn span_of(first: &Clock, second: &Clock, scheduled: bool, reading: &Reading<'_>) -> Option<(u16, u16)> {
    let kind = |c: &Clock| reading.words.tokens.get(c.tokens.start).map(|t| t.kind);
    let plain = |c: &Clock| matches!(kind(c), Some(Kind::Number(_))) && c.half.is_none();
    if plain(first) && plain(second) {
        let sane = first.minutes.is_multiple_of(15) && second.minutes.is_multiple_of(15);
        let unit = super::written::unit_after(reading.words, reading.note, second.tokens.end - 1).is_some()
            || super::written::foreign(reading.words, second.tokens.end - 1);
        if !scheduled || unit || !sane || first.minutes == second.minutes {
            return None;
        }
    }
    let mut start = minutes_of(first);
    let mut stop = minutes_of(second);
    // "8 to 4": a stop before its start on a twelve-hour clock is in the afternoon.
    if second.half.is_none() && stop <= start && stop < 720 {
        stop += 720;
    }
    if first.half.is_none() && second.half == Some(Half::Pm) && plain(first) && start < 720 && start + 720 < stop && start < 6 * 60 {
        start += 720;
    }
    Some((start, stop))
}

fn hh_mm(minutes: u16) -> String {
    let minutes = minutes % 1440;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}
