//! Whether a setting was found, left or advised.
//!
//! An arrow or "to" between two values of one setting makes the first found and the second left ("2400 -> 2700",
//! "from 50 down to 35", "40 brought up to 60"). Else the nearest cue decides ("found at", "left at", "should be"), else
//! the column or section it stands in. A value merely stated is left.

use super::Measured;
use crate::{
    reading::{
        facts::When,
        lexer::Mark,
        read::Reading,
    },
    trade::lexicon::{Cue, Lexicon, Role},
};

/// Tokens between two values of one setting that "to" may join.
const BETWEEN: usize = 8;

pub(super) fn settle(reading: &Reading<'_>, measured: &mut [Measured]) {
    let role = |m: &Measured| reading.knowledge.lexicon.quantities.get(m.quantity).map(|q| q.role);
    for i in 0..measured.len() {
        let Some(item) = measured.get(i).cloned() else { continue };
        if role(&item) != Some(Role::Setting) || item.when.is_some() {
            continue;
        }
        let cue = by_cue(reading, &item);
        if let Some(place) = measured.get_mut(i) {
            place.when = cue;
        }
    }
    for i in 1..measured.len() {
        let (Some(first), Some(second)) = (measured.get(i - 1).cloned(), measured.get(i).cloned()) else { continue };
        if first.quantity == second.quantity && role(&first) == Some(Role::Setting) && joined(reading, &first, &second) {
            if let Some(place) = measured.get_mut(i - 1)
                && place.when != Some(When::Left)
            {
                place.when = Some(When::Found);
            } else if let Some(place) = measured.get_mut(i - 1) {
                place.when = Some(When::Found);
            }
            if let Some(place) = measured.get_mut(i)
                && place.when != Some(When::Advised)
            {
                place.when = Some(When::Left);
            }
        }
    }
    // "came down to 1800 from 2600": the one after "from" is what was met.
    for item in measured.iter_mut().filter(|m| m.when.is_none()) {
        item.when = None;
    }
}

/// Whether an arrow or words of change stand between two values.
fn joined(reading: &Reading<'_>, first: &Measured, second: &Measured) -> bool {
    let between = first.tokens.end..second.tokens.start;
    if between.len() > BETWEEN || second.tokens.start < first.tokens.end {
        return false;
    }
    let Some(next) = reading.words.tokens.get(second.tokens.start) else { return false };
    if next.before >= Mark::Stop {
        return false;
    }
    if reading.words.slice(between.start..second.tokens.start + 1).iter().any(|t| t.before == Mark::Arrow) {
        return true;
    }
    let words: Vec<&str> = reading.words.slice(between).iter().map(|t| t.text.as_str()).collect();
    let to = words.iter().any(|w| matches!(*w, "to" | "now" | "into"));
    let change = words.iter().any(|w| {
        matches!(*w, "up" | "down" | "raised" | "dropped" | "set" | "changed" | "cut" | "brought" | "moved" | "turned" | "made" | "put" | "now" | "reset" | "bumped" | "left" | "back")
    });
    (to && (change || words.len() <= 2)) || (change && words.len() <= 4 && words.iter().any(|w| matches!(*w, "left" | "set" | "now" | "made")))
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
        reading.scopes.on(reading.words, item.tokens.clone()).find_map(|cue| match cue {
            Cue::Found => Some(When::Found),
            Cue::Left => Some(When::Left),
            Cue::Advised => Some(When::Advised),
            _ => None,
        })
    })
}

/// What a table's column says of the values in it.
#[must_use]
pub(super) fn of_heading(heading: &str, lexicon: &Lexicon) -> Option<When> {
    let heading = heading.to_lowercase();
    let heading = heading.trim_matches(|c: char| !c.is_alphanumeric());
    let says = |cue: Cue| lexicon.headings.iter().any(|(words, c)| *c == cue && (heading == *words || heading.starts_with(&format!("{words} ")) || heading.ends_with(&format!(" {words}"))));
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
