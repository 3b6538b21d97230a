//! Start and stop times of a schedule: "8 to 4", "07:00-15:00", "on at nine off at eleven".

use super::text::{fact, when, word_is};
use crate::{
    reading::{
        clock::{self, Half, Time},
        facts::{QuantityFact, When},
        lexer::{Kind, Mark},
        read::Reading,
    },
    trade::{lexicon::Cue, vocabulary::Section},
};
use std::ops::Range;

/// Start and stop times: "8 to 4", "07:00-15:00", "9 am to 5 pm", "on at nine off at eleven".
pub(super) fn hours(reading: &Reading<'_>, range: Range<usize>, out: &mut Vec<QuantityFact>) {
    let mut at = range.start;
    let mut pairs: Vec<(u16, u16, Range<usize>)> = Vec::new();
    while at < range.end {
        let Some(first) = clock::at(&reading.words.tokens, at) else {
            at += 1;
            continue;
        };
        let mut next = first.tokens.end;
        // "06:00 > 10:00"
        let exact = matches!(
            reading.words.tokens.get(at).map(|t| t.kind),
            Some(Kind::Clock(_))
        );
        let dash = reading.words.tokens.get(next).is_some_and(|t| {
            matches!(t.before, Mark::Hyphen | Mark::Dash)
                || (exact && t.before == Mark::Arrow && t.kind != Kind::Word)
        });
        let to = word_is(
            reading,
            next,
            &["to", "til", "till", "until", "thru", "through"],
        );
        if to {
            next += 1;
        }
        let off_at = word_is(reading, next, &["off"])
            || (word_is(reading, next, &["and"]) && word_is(reading, next + 1, &["off"]));
        if off_at {
            next += if word_is(reading, next, &["and"]) {
                2
            } else {
                1
            };
            next += usize::from(word_is(reading, next, &["at"]));
        }
        if (to || dash || off_at)
            && next < range.end
            && let Some(second) = clock::at(&reading.words.tokens, next)
            && let Some((start, stop)) = span_of(
                &first,
                &second,
                scheduled(reading, &range, first.tokens.start),
                reading,
            )
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
            let changed = reading
                .words
                .slice(tokens.end..range.end)
                .iter()
                .take(6)
                .any(|t| {
                    matches!(
                        t.text.as_str(),
                        "now" | "left" | "changed" | "made" | "to" | "set" | "moved"
                    ) || t.before == Mark::Arrow
                });
            if changed {
                when = When::Found;
            }
        }
        let dropped = reading
            .scopes
            .on(reading.words, tokens.clone())
            .any(|c| matches!(c, Cue::Elsewhere | Cue::Past));
        if dropped {
            continue;
        }
        out.extend(fact(
            reading,
            "start-time",
            Section::Setting,
            hh_mm(start),
            &tokens,
            when,
        ));
        out.extend(fact(
            reading,
            "stop-time",
            Section::Setting,
            hh_mm(stop),
            &tokens,
            when,
        ));
    }
}

/// Whether words of a schedule stand shortly before a token, or right behind.
fn scheduled(reading: &Reading<'_>, range: &Range<usize>, at: usize) -> bool {
    let near = at.saturating_sub(7).max(range.start)..at;
    let strong = |w: &str| {
        matches!(
            w,
            "schedule"
                | "schedules"
                | "scheduled"
                | "timer"
                | "timeclock"
                | "clock"
                | "hours"
                | "runs"
                | "run"
                | "running"
                | "program"
                | "programmed"
                | "starts"
                | "trippers"
                | "tripper"
                | "time"
                | "switch"
                | "stays"
                | "circuit"
                | "window"
                | "daily"
        )
    };
    let right = |w: &str| {
        matches!(
            w,
            "filter" | "pump" | "on" | "spa" | "pool" | "cleaner" | "booster" | "lights" | "from"
        )
    };
    let advised = reading
        .scopes
        .on(reading.words, at..at + 1)
        .any(|c| c == Cue::Advised)
        && word_is(reading, at.saturating_sub(1), &["be", "hold", "read"]);
    let words = reading.words.slice(near.clone());
    let changed = words.iter().rev().take(3).any(|t| {
        matches!(
            t.text.as_str(),
            "up" | "down" | "turned" | "feeder" | "dial"
        )
    });
    !advised
        && !changed
        && (words.iter().any(|t| strong(&t.text))
            || words.iter().rev().take(2).any(|t| right(&t.text)))
}

/// A lone time is a start or stop where a verb of switching stands right before it.
fn single(reading: &Reading<'_>, clock: &Time, range: &Range<usize>, out: &mut Vec<QuantityFact>) {
    let before = |k: usize| {
        clock
            .tokens
            .start
            .checked_sub(k)
            .filter(|t| *t >= range.start)
            .and_then(|t| reading.words.tokens.get(t))
            .map(|t| t.text.as_str())
    };
    let exact = matches!(
        reading.words.tokens.get(clock.tokens.start).map(|t| t.kind),
        Some(Kind::Clock(_))
    ) || clock.half.is_some();
    if !exact {
        return;
    }
    let id = match (before(1), before(2)) {
        (Some("at"), Some("on" | "starts" | "start")) | (Some("start" | "starts"), _) => {
            "start-time"
        }
        (Some("at"), Some("off" | "stops" | "stop")) | (Some("stop" | "stops"), _) => "stop-time",
        _ => return,
    };
    let when = when(reading, &clock.tokens);
    out.extend(fact(
        reading,
        id,
        Section::Setting,
        hh_mm(clock.minutes()),
        &clock.tokens,
        when,
    ));
}

/// The two times of a run in minutes; `None` where the two numbers are no times.
fn span_of(
    first: &Time,
    second: &Time,
    scheduled: bool,
    reading: &Reading<'_>,
) -> Option<(u16, u16)> {
    let kind = |c: &Time| reading.words.tokens.get(c.tokens.start).map(|t| t.kind);
    let plain = |c: &Time| matches!(kind(c), Some(Kind::Number(_))) && c.half.is_none();
    if plain(first) && plain(second) {
        let sane = first.figures.is_multiple_of(15) && second.figures.is_multiple_of(15);
        let unit = super::written::unit_after(reading.words, reading.note, second.tokens.end - 1)
            .is_some()
            || super::written::foreign(reading.words, second.tokens.end - 1);
        if !scheduled || unit || !sane || first.figures == second.figures {
            return None;
        }
    }
    let mut start = first.minutes();
    let mut stop = second.minutes();
    // "8 to 4": a stop before its start on a twelve-hour clock is in the afternoon.
    if second.half.is_none() && stop <= start && stop < 720 {
        stop += 720;
    }
    if first.half.is_none()
        && second.half == Some(Half::Pm)
        && plain(first)
        && start < 720
        && start + 720 < stop
        && start < 6 * 60
    {
        start += 720;
    }
    Some((start, stop))
}

fn hh_mm(minutes: u16) -> String {
    let minutes = minutes % 1440;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}
