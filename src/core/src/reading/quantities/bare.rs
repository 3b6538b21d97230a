//! Numbers that measure nothing: counts, names of pieces, days, times of day.
//!
//! What stands right beside a number tells: "2 grids", "relay 3", "11 June", "by 4". A unit settles the matter before
//! any of these is asked.

use crate::reading::{
    lexer::{Kind, Mark, Token},
    words::Words,
};

/// Words after which a small whole number names a piece.
const PIECES: &[&str] = &[
    "relay", "circuit", "step", "stage", "block", "zone", "aux", "unit", "room", "apt", "lot",
    "number", "page", "phase", "visit", "job", "ticket", "invoice", "type", "model", "row", "lane",
    "light", "valve", "item", "port", "channel", "box", "bay", "floor", "door", "house", "villa",
    "unit", "button", "pin", "fuse", "pump", "speed", "breaker", "schedule", "heater", "leg",
];

/// Words after which any number is a name or a code.
const CODES: &[&str] = &[
    "x", "gate", "code", "key", "keypad", "lockbox", "serial", "sn", "model", "part", "invoice",
    "ticket", "room", "po", "alarm", "no", "order",
];

/// Nouns that are counted, beside plurals.
const COUNTED: &[&str] = &[
    "of",
    "x",
    "people",
    "kids",
    "men",
    "gal",
    "qt",
    "quart",
    "pint",
    "cup",
    "cups",
    "scoop",
    "lb",
    "oz",
    "bag",
    "pail",
    "bucket",
    "jug",
    "tab",
    "tabs",
    "tablet",
    "year",
    "yr",
    "month",
    "week",
    "wk",
    "wks",
    "day",
    "night",
    "nights",
    "am",
    "pm",
    "oclock",
    "th",
    "st",
    "nd",
    "rd",
    "bucks",
    "dollars",
    "quid",
    "euro",
    "grand",
    "hp",
    "horse",
    "more",
    "new",
    "old",
    "other",
    "different",
    "inch",
    "foot",
    "wire",
    "pole",
    "year-old",
    "thirty",
    "kw",
    "awg",
    "gauge",
    "sq",
    "square",
    "cycles",
    "starts",
    "tries",
    "times",
    "minute",
    "second",
    "hour",
    "mile",
    "miles",
    "blocks",
    "half",
    "quarter",
    "third",
    "turn",
    "turns",
    "swings",
    "laps",
    "lights",
    "pieces",
    "strands",
    "ton",
    "story",
    "page",
    "phase",
    "speed",
    "point",
    "port",
    "percent-off",
    "and-a-half",
    "off-season",
    "watt",
    "apiece",
    "each-way",
    "left-over",
    "missing",
    "fifty",
];

/// Words that end in `s` and count nothing.
const NO_PLURALS: &[&str] = &[
    "is",
    "was",
    "its",
    "this",
    "has",
    "says",
    "reads",
    "runs",
    "plus",
    "across",
    "as",
    "us",
    "yes",
    "works",
    "stays",
    "looks",
    "shows",
    "drops",
    "holds",
    "does",
    "goes",
    "less",
    "always",
    "thats",
    "whats",
    "hes",
    "shes",
    "afterwards",
    "towards",
    "sits",
    "comes",
    "gets",
    "makes",
    "heres",
    "theres",
    "needs",
    "wants",
    "steps",
    "press",
    "gas",
    "lets",
    "pass",
    "keeps",
    "returns",
    "draws",
    "pulls",
    "starts",
    "stops",
];

const MONTHS: &[&str] = &[
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "jan",
    "feb",
    "mar",
    "apr",
    "jun",
    "jul",
    "aug",
    "sep",
    "sept",
    "oct",
    "nov",
    "dec",
];

const DAYS: &[&str] = &[
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "mon",
    "tue",
    "tues",
    "wed",
    "thu",
    "thur",
    "thurs",
    "fri",
    "sat",
    "sun",
];

/// Whether the unitless number at `at` measures nothing; `named` tells of a token whether a quantity's wording begins there.
pub(super) fn measures_nothing(
    words: &Words,
    note: &str,
    at: usize,
    value: f64,
    named: impl Fn(usize) -> bool,
) -> bool {
    let joined = |t: &&Token| t.before <= Mark::Hyphen && t.kind == Kind::Word;
    let next = words.tokens.get(at + 1).filter(joined);
    let here = words.tokens.get(at);
    let joined_here = here.is_some_and(|t| t.before <= Mark::Hyphen);
    let previous = at
        .checked_sub(1)
        .and_then(|b| words.tokens.get(b))
        .filter(|t| joined_here && t.kind == Kind::Word)
        .map(|t| t.text.as_str());
    let whole = value.fract() == 0.0;
    if let Some(previous) = previous {
        let piece = PIECES.contains(&previous) && whole && (0.0..=8.0).contains(&value);
        let day = (MONTHS.contains(&previous) || DAYS.contains(&previous))
            && whole
            && (1.0..=31.0).contains(&value);
        let year = matches!(previous, "in" | "since" | "from" | "back" | "of" | "year")
            && whole
            && (1950.0..=2035.0).contains(&value)
            && here.is_some_and(|t| t.text.len() == 4);
        if piece || day || (CODES.contains(&previous) && whole) || (year && previous != "from") {
            return true;
        }
    }
    let Some(next) = next else { return false };
    let word = next.text.as_str();
    if MONTHS.contains(&word) && whole && (1.0..=31.0).contains(&value) {
        return true;
    }
    if COUNTED.contains(&word) {
        return !named(at + 1);
    }
    let raw = note.get(next.span.clone()).unwrap_or_default();
    let plural = word.len() > 3
        && word.ends_with('s')
        && !word.ends_with("ss")
        && !NO_PLURALS.contains(&word)
        && !raw.contains(['\'', '\u{2019}']);
    plural && whole && !named(at + 1)
}

/// Whether the unitless number at `at` is said like a time of day: "by 4", "at nine".
pub(super) fn like_a_time(words: &Words, at: usize, value: f64) -> bool {
    let joined = words
        .tokens
        .get(at)
        .is_some_and(|t| t.before <= Mark::Hyphen);
    let previous = at
        .checked_sub(1)
        .and_then(|b| words.tokens.get(b))
        .filter(|_| joined)
        .map(|t| t.text.as_str());
    let preposition = previous.is_some_and(|p| {
        matches!(
            p,
            "by" | "til"
                | "till"
                | "until"
                | "around"
                | "about"
                | "past"
                | "before"
                | "after"
                | "since"
                | "every"
                | "another"
                | "only"
        )
    });
    preposition && value.fract() == 0.0 && value <= 12.0
}
