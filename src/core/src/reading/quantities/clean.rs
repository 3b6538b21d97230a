//! The pressure of a clean filter.
//!
//! "Clean" beside a number makes it the clean pressure: "16 psi (13 clean)", "clean is 14", "it's fourteen clean". A
//! figure that the note merely says to be the clean one ("thirteen pounds, which is what it reads when clean", "14,
//! call that clean") is the filter's pressure and its clean pressure both. "Filters clean 110 kPa" and "plates clean as
//! a whistle" speak of dirt: there the word follows its noun and no other pressure stands before.

use super::{
    Measured,
    fits::{Figure, fits},
    written,
};
use crate::reading::{
    lexer::{Kind, Mark, Token},
    read::Reading,
};
use std::ops::Range;

/// Words between "clean" and its number.
const FILLERS: &[&str] = &[
    "is", "was", "at", "mark", "number", "figure", "pressure", "reading", "of", "its", "it",
    "when", "on", "the", "tank", "this", "which", "thats", "that", "for", "to", "reads", "says",
    "one", "about", "around", "be", "being", "line", "sits", "runs",
];

/// Words by which a figure given is said to be the clean one.
const ECHOES: &[&str] = &[
    "that", "thats", "which", "same", "where", "call", "calling", "new", "right", "written",
    "marked", "wrote", "exactly", "again", "baseline", "season", "seasons", "so", "like", "just",
    "when", "with",
];

/// How far a figure is echoed.
const ECHO: usize = 14;

/// Finds clean pressures in the visit and takes their numbers from other quantities.
pub(super) fn settle(reading: &Reading<'_>, measured: &mut Vec<Measured>) {
    let quantities = &reading.knowledge.lexicon.quantities;
    let number_of = |id: &str| quantities.iter().position(|q| q.id == id);
    let (Some(clean), Some(pressure)) = (number_of("clean-pressure"), number_of("filter-pressure"))
    else {
        return;
    };
    let mut found: Vec<(Measured, bool)> = Vec::new();
    for at in 0..reading.words.tokens.len() {
        let Some(token) = reading.words.tokens.get(at) else {
            break;
        };
        if token.kind == Kind::Word && token.text == "clean" {
            let range = reading
                .words
                .sentences
                .get(reading.words.sentence_of(at))
                .map_or(at..at, |s| s.tokens.clone());
            found.extend(at_word(reading, at, &range, clean, pressure, measured));
        }
    }
    for (item, both) in found {
        let place = measured
            .iter()
            .position(|m| m.tokens.start == item.tokens.start);
        match place {
            Some(place) if both => measured.insert(place + 1, item),
            Some(place) => {
                if let Some(old) = measured.get_mut(place) {
                    *old = item;
                }
            }
            None => measured.push(item),
        }
    }
}

/// The clean pressure that the word at `at` tells of, and whether its number stays the filter's pressure too.
fn at_word(
    reading: &Reading<'_>,
    at: usize,
    range: &Range<usize>,
    clean: usize,
    pressure: usize,
    measured: &[Measured],
) -> Option<(Measured, bool)> {
    let tokens = |r: Range<usize>| reading.words.slice(r);
    let pressure_before = |limit: usize| {
        measured.iter().rev().find(|m| {
            m.quantity == pressure
                && m.tokens.start >= range.start
                && m.tokens.end <= limit
                && m.tokens.start + ECHO >= limit
        })
    };
    // "13 clean", "0.7 bar when clean"
    let mut back = at;
    while back > range.start
        && tokens(back..at + 1)
            .first()
            .is_some_and(|t| t.before < Mark::Comma)
        && back + 4 > at
        && tokens(back - 1..back)
            .first()
            .is_some_and(|t| FILLERS.contains(&t.text.as_str()))
    {
        back -= 1;
    }
    let before = number_ending(reading, back, range);
    let joined = tokens(back..back + 1)
        .first()
        .is_some_and(|t| t.before < Mark::Comma);
    let after = number_after(reading, at, range);
    if let Some((number, end)) = before
        && joined
        && let Some(value) = value(reading, clean, number)
    {
        // "22 psi clean is 14": the word belongs to the number behind, which "is" joins to it.
        let owned = after.is_some_and(|(n, _)| {
            value_fits(reading, clean, n)
                && back == at
                && (n > at + 1
                    || reading
                        .words
                        .tokens
                        .get(n)
                        .is_some_and(|t| t.before <= Mark::Hyphen))
        });
        if !owned {
            let item = Measured {
                quantity: clean,
                value,
                tokens: number..end,
                when: None,
            };
            let relative = tokens(back..at)
                .iter()
                .any(|t| matches!(t.text.as_str(), "which" | "that" | "thats"));
            return Some((item, relative));
        }
    }
    // "clean is 14", "clean 95", "clean mark 0.7 bar"
    if let Some((number, end)) = after
        && let Some(value) = value(reading, clean, number)
    {
        let direct = number == at + 1;
        let noun = direct
            && at > range.start
            && tokens(at..at + 1)
                .first()
                .is_some_and(|t| t.before <= Mark::Hyphen)
            && thing_ends(reading, at);
        let other = pressure_before(at).is_some();
        if !noun || other {
            return Some((
                Measured {
                    quantity: clean,
                    value,
                    tokens: number..end,
                    when: None,
                },
                false,
            ));
        }
    }
    // "14 psi, call that clean", "(clean, written on the tank)"
    let earlier = pressure_before(at)?;
    let between = tokens(earlier.tokens.end..at);
    let around = tokens(earlier.tokens.end..(at + 4).min(range.end));
    let said = around.iter().any(|t| {
        ECHOES.contains(&t.text.as_str()) || matches!(t.text.as_str(), "mark" | "number" | "figure")
    });
    let bracket = tokens(at..at + 1)
        .first()
        .is_some_and(|t| matches!(t.before, Mark::Bracket | Mark::Comma | Mark::Equals))
        && between.is_empty();
    let counted = between.iter().any(|t| matches!(t.kind, Kind::Number(_)));
    let verb = tokens(at + 1..(at + 2).min(range.end))
        .first()
        .is_some_and(|t| {
            t.before <= Mark::Hyphen
                && matches!(
                    t.text.as_str(),
                    "as" | "and" | "the" | "it" | "them" | "water" | "up"
                )
        });
    if counted || verb || !(said || bracket) {
        return None;
    }
    Some((
        Measured {
            quantity: clean,
            ..earlier.clone()
        },
        true,
    ))
}

/// The number, with its unit, that ends right before `end`: its token and the token after it.
fn number_ending(
    reading: &Reading<'_>,
    end: usize,
    range: &Range<usize>,
) -> Option<(usize, usize)> {
    (1..=3)
        .filter_map(|k| end.checked_sub(k))
        .take_while(|n| *n >= range.start)
        .find_map(|n| {
            reading.words.tokens.get(n).and_then(Token::number)?;
            let unit = written::unit_after(reading.words, reading.note, n).map_or(n + 1, |w| w.end);
            (unit == end).then_some((n, end))
        })
}

/// The number behind "clean", over words that join it.
fn number_after(reading: &Reading<'_>, at: usize, range: &Range<usize>) -> Option<(usize, usize)> {
    let mut next = at + 1;
    while next < range.end && next < at + 6 {
        let token = reading.words.tokens.get(next)?;
        if token.before >= Mark::Comma && !matches!(token.before, Mark::Equals | Mark::Colon) {
            return None;
        }
        if token.number().is_some() {
            let end =
                written::unit_after(reading.words, reading.note, next).map_or(next + 1, |w| w.end);
            return Some((next, end));
        }
        if !FILLERS.contains(&token.text.as_str()) {
            return None;
        }
        next += 1;
    }
    None
}

fn value(reading: &Reading<'_>, clean: usize, number: usize) -> Option<f64> {
    let value = reading
        .words
        .tokens
        .get(number)
        .filter(|t| !t.label)
        .and_then(Token::number)?;
    let unit = written::unit_after(reading.words, reading.note, number).map(|w| w.unit);
    if unit.is_none() && written::foreign(reading.words, number) {
        return None;
    }
    fits(
        reading,
        reading.knowledge.lexicon.quantities.get(clean)?,
        Figure { value, unit },
    )
}

fn value_fits(reading: &Reading<'_>, clean: usize, number: usize) -> bool {
    value(reading, clean, number).is_some()
}

fn thing_ends(reading: &Reading<'_>, at: usize) -> bool {
    reading.found.things.iter().any(|m| m.tokens.end == at)
}
