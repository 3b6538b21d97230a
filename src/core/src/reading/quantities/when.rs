//! Whether a setting was found, left or advised.
//!
//! An arrow or "to" between two values of one setting makes the first found and the second left ("2400 -> 2700",
//! "from 50 down to 35", "40 brought up to 60"). Else the nearest cue decides ("found at", "left at", "should be"), else
//! the column or section it stands in. A value merely stated is left.

use super::Measured;
use crate::{
    reading::{facts::When, lexer::Mark, read::Reading},
    trade::lexicon::{Cue, Lexicon, Role},
};
use std::ops::Range;

/// Tokens between two values of one setting that "to" may join.
const BETWEEN: usize = 8;

pub(super) fn settle(reading: &Reading<'_>, measured: &mut [Measured]) {
    let role = |m: &Measured| {
        reading
            .knowledge
            .lexicon
            .quantities
            .get(m.quantity)
            .map(|q| q.role)
    };
    for i in 0..measured.len() {
        let Some(item) = measured.get(i).cloned() else {
            continue;
        };
        if role(&item) != Some(Role::Setting) || item.when.is_some() {
            continue;
        }
        // A clean pressure is no setting that somebody changed.
        if reading
            .knowledge
            .lexicon
            .quantities
            .get(item.quantity)
            .is_some_and(|q| q.id == "clean-pressure")
        {
            continue;
        }
        let cue = by_cue(reading, &item);
        if let Some(place) = measured.get_mut(i) {
            place.when = cue;
        }
    }
    for i in 1..measured.len() {
        let (Some(first), Some(second)) = (measured.get(i - 1).cloned(), measured.get(i).cloned())
        else {
            continue;
        };
        let clean = reading
            .knowledge
            .lexicon
            .quantities
            .get(first.quantity)
            .is_some_and(|q| q.id == "clean-pressure");
        let setting =
            first.quantity == second.quantity && role(&first) == Some(Role::Setting) && !clean;
        if !setting || second.tokens.start < first.tokens.end {
            continue;
        }
        let Some(order) = joined(reading, &first, &second) else {
            continue;
        };
        let (one, two) = match order {
            Order::Forward => (When::Found, When::Left),
            Order::Backward => (When::Left, When::Found),
        };
        if let Some(place) = measured.get_mut(i - 1) {
            place.when = Some(one);
        }
        if let Some(place) = measured.get_mut(i)
            && !(place.when == Some(When::Advised) && order == Order::Forward)
        {
            place.when = Some(two);
        }
    }
}

/// Which of two values was met first.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Order {
    Forward,
    Backward,
}

/// Whether an arrow or words of change stand between two values, and which was met: "2400 to 2700", "2700 from 2400".
fn joined(reading: &Reading<'_>, first: &Measured, second: &Measured) -> Option<Order> {
    let between = first.tokens.end..second.tokens.start;
    let next = reading.words.tokens.get(second.tokens.start)?;
    if between.len() > BETWEEN || next.before >= Mark::Stop {
        return None;
    }
    if reading
        .words
        .slice(between.start..second.tokens.start + 1)
        .iter()
        .any(|t| t.before == Mark::Arrow)
    {
        return Some(Order::Forward);
    }
    let words: Vec<&str> = reading
        .words
        .slice(between)
        .iter()
        .map(|t| t.text.as_str())
        .collect();
    let last = words.iter().rev().copied().find(|w| {
        matches!(
            *w,
            "to" | "now"
                | "left"
                | "from"
                | "was"
                | "were"
                | "found"
                | "set"
                | "made"
                | "into"
                | "reset"
                | "put"
                | "changed"
                | "had"
                | "back"
        )
    })?;
    match last {
        // "104 found, 100 left": the word belongs to the number before the comma.
        "from" | "was" | "were" | "found" | "had" if next.before < Mark::Comma => {
            Some(Order::Backward)
        }
        "left" | "was" | "were"
            if next.before >= Mark::Comma
                && reading
                    .words
                    .slice(second.tokens.end..second.tokens.end + 1)
                    .iter()
                    .any(|t| matches!(t.text.as_str(), "found" | "before")) =>
        {
            Some(Order::Backward)
        }
        // A lone "set" or "back" far off joins nothing.
        "set" | "put" | "back" | "changed" | "made" => (words.len() <= 5).then_some(Order::Forward),
        _ => Some(Order::Forward),
    }
}

fn by_cue(reading: &Reading<'_>, item: &Measured) -> Option<When> {
    let mut best: Option<(usize, When)> = None;
    for scoped in reading.scopes.all() {
        let when = match scoped.cue {
            Cue::Found => When::Found,
            Cue::Left => When::Left,
            Cue::Advised => When::Advised,
            _ => continue,
        };
        if unit_of_number(reading, &scoped.source)
            || parted(reading, &scoped.source, &item.tokens)
            || overlaps(&scoped.source, &item.tokens)
        {
            continue;
        }
        if !(scoped.scope.start <= item.tokens.start && item.tokens.start < scoped.scope.end) {
            continue;
        }
        let distance = if scoped.source.end <= item.tokens.start {
            item.tokens.start - scoped.source.end
        } else {
            scoped.source.start.saturating_sub(item.tokens.end)
        };
        if best.is_none_or(|(d, _)| distance < d) {
            best = Some((distance, when));
        }
    }
    best.map(|(_, when)| when).or_else(|| {
        reading
            .scopes
            .on(reading.words, item.tokens.clone())
            .find_map(|cue| match cue {
                Cue::Found if best.is_none() && heading(reading, item, Cue::Found) => {
                    Some(When::Found)
                }
                Cue::Left if heading(reading, item, Cue::Left) => Some(When::Left),
                Cue::Advised if heading(reading, item, Cue::Advised) => Some(When::Advised),
                _ => None,
            })
    })
}

/// Whether a cue holds for the whole block of a value.
fn heading(reading: &Reading<'_>, item: &Measured, cue: Cue) -> bool {
    let own = reading.scopes.all().iter().any(|s| {
        s.cue == cue && s.scope.start < item.tokens.end && item.tokens.start < s.scope.end
    });
    !own && reading
        .scopes
        .on(reading.words, item.tokens.clone())
        .any(|c| c == cue)
}

/// "5 min": the word is a unit, and no "minimum".
pub(super) fn unit_of_number(reading: &Reading<'_>, source: &Range<usize>) -> bool {
    let word = reading.words.slice(source.clone());
    let number = source
        .start
        .checked_sub(1)
        .and_then(|b| reading.words.tokens.get(b))
        .is_some_and(|t| t.number().is_some());
    number
        && matches!(word, [only] if matches!(only.text.as_str(), "min" | "mins") && only.before <= Mark::Hyphen)
}

/// Whether a cue behind a value belongs to another: "15.2 A running, plate 24", "6.1 A against 11 on the plate".
fn parted(reading: &Reading<'_>, source: &Range<usize>, tokens: &Range<usize>) -> bool {
    if source.start < tokens.end {
        return false;
    }
    let between = reading.words.slice(tokens.end..source.start);
    let cue = reading.words.tokens.get(source.start);
    cue.is_some_and(|t| matches!(t.before, Mark::Comma | Mark::Dash | Mark::Semicolon))
        || between
            .iter()
            .any(|t| t.number().is_some() || matches!(t.text.as_str(), "against" | "vs" | "versus"))
}

fn overlaps(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}

/// Whether a value is only recommended or required.
pub(super) fn advised(reading: &Reading<'_>, tokens: &Range<usize>) -> bool {
    let own = |s: &&crate::reading::scope::Scoped| {
        s.cue == Cue::Advised && overlaps(&s.scope, tokens) && !overlaps(&s.source, tokens)
    };
    let mut acting = reading.scopes.all().iter().filter(own).peekable();
    if acting.peek().is_some() {
        return acting
            .any(|s| !unit_of_number(reading, &s.source) && !parted(reading, &s.source, tokens));
    }
    reading
        .scopes
        .on(reading.words, tokens.clone())
        .any(|c| c == Cue::Advised)
}

/// What a table's column says of the values in it.
#[must_use]
pub(super) fn of_heading(heading: &str, lexicon: &Lexicon) -> Option<When> {
    let heading = heading.to_lowercase();
    let heading = heading.trim_matches(|c: char| !c.is_alphanumeric());
    let says = |cue: Cue| {
        lexicon.headings.iter().any(|(words, c)| {
            *c == cue
                && (heading == *words
                    || heading.starts_with(&format!("{words} "))
                    || heading.ends_with(&format!(" {words}")))
        })
    };
    if says(Cue::Advised) {
        Some(When::Advised)
    } else if says(Cue::Found) {
        Some(When::Found)
    } else if says(Cue::Left) {
        Some(When::Left)
    } else {
        None
    }
}
