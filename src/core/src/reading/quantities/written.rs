//! The unit written beside a number.

use crate::reading::{
    lexer::{Mark, Token},
    units::unit,
    words::Words,
};

/// A unit with the token after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Written {
    /// The unit's own name.
    pub unit: &'static str,
    /// The first token after it.
    pub end: usize,
}

/// The unit that follows the number at `at`, read from the note's own letters where case decides.
#[must_use]
pub fn unit_after(words: &Words, note: &str, at: usize) -> Option<Written> {
    let number = words.tokens.get(at)?;
    let first = words.tokens.get(at + 1)?;
    if first.before > Mark::Hyphen {
        return None;
    }
    let attached = first.span.start == number.span.end;
    let raw = note.get(first.span.clone()).unwrap_or_default();
    let word = |k: usize| {
        words
            .tokens
            .get(at + k)
            .filter(|t| t.before <= Mark::Hyphen)
            .map(|t| t.text.as_str())
    };
    let (second, third) = (word(2), word(3));
    let found = |unit, length: usize| {
        Some(Written {
            unit,
            end: at + 1 + length,
        })
    };
    // "140 W": spelling reads a lone w as "with".
    if matches!(raw, "W") || (raw == "w" && attached) {
        return found("W", 1);
    }
    match first.text.as_str() {
        // "inches water column", "in hg", "inches of mercury"
        "in" | "inch" | "inches" => match (second, third) {
            (Some("hg" | "mercury" | "vac" | "vacuum" | "vacum"), _) => found("inHg", 2),
            (Some("of"), Some("mercury" | "vacuum" | "hg")) => found("inHg", 3),
            (Some("wc" | "h2o"), _) => found("inWC", 2),
            (Some("water"), Some("column")) => found("inWC", 3),
            (Some("of"), Some("water")) => found("inWC", 3),
            (Some("w"), Some("c")) => found("inWC", 3),
            _ if first.text != "in" || attached => found("in", 1),
            (Some("per" | "a" | "day"), _) => found("in", 1),
            _ => None,
        },
        "l" | "litre" | "litres" | "liter" | "liters" => match (second, third) {
            (Some("min" | "minute" | "m"), _) => found("L/min", 2),
            (Some("a" | "per"), Some("minute" | "min")) => found("L/min", 3),
            _ if attached || first.text.len() > 1 || raw == "L" => found("L", 1),
            _ => None,
        },
        "gal" | "gals" | "gallon" | "gallons" => match (second, third) {
            (Some("a" | "per"), Some("minute" | "min")) => found("gpm", 3),
            (Some("min" | "minute"), _) => found("gpm", 2),
            _ => found("gal", 1),
        },
        "m3" | "cubes" | "cube" => match (second, third) {
            (Some("h" | "hr" | "hour"), _) => found("m3/h", 2),
            (Some("a" | "an" | "per"), Some("hour" | "h" | "hr")) => found("m3/h", 3),
            _ => found("m3", 1),
        },
        "cubic" => match (second, third) {
            (Some("metres" | "meters" | "metre" | "meter"), Some("a" | "an" | "per")) => {
                found("m3/h", 4)
            }
            (Some("metres" | "meters"), _) => found("m3", 2),
            _ => None,
        },
        "mg" => match second {
            Some("l") => found("mg/L", 2),
            _ => None,
        },
        "g" => match second {
            Some("l") => found("g/L", 2),
            _ => None,
        },
        "mega" | "meg" | "megs" if matches!(second, Some("ohm" | "ohms" | "homes")) => {
            found("Mohm", 2)
        }
        "k" if matches!(second, Some("ohm" | "ohms")) => found("kohm", 2),
        "deg" | "degs" | "degree" | "degrees" => match second.and_then(unit) {
            Some(scale @ ("degF" | "degC")) => found(scale, 2),
            _ => found("deg", 1),
        },
        "micro" if matches!(second, Some("farad" | "farads")) => found("uF", 2),
        // Single letters are units where they touch the number or stand as capitals ("20 A", "243V", "38F").
        "a" | "v" | "w" | "f" | "c" | "h" | "s" | "m" => {
            let capital = raw.chars().all(char::is_uppercase) && !raw.is_empty();
            if attached || capital {
                unit(&first.text).and_then(|u| found(u, 1))
            } else {
                None
            }
        }
        "k" => {
            let thousand = attached || raw == "k";
            if thousand { found("kohm", 1) } else { None }
        }
        "pounds" | "lbs" => match (second, third) {
            // Pounds of a chemical are no pressure.
            (Some("of"), _) => None,
            _ => found("psi", 1),
        },
        "o" => None,
        text => unit(text)
            .filter(|u| !matches!(*u, "am" | "pm"))
            .and_then(|u| found(u, 1)),
    }
}

/// Whether a unit is one that no quantity has: the number measures something that notes do not record.
#[must_use]
pub fn foreign(words: &Words, at: usize) -> bool {
    let next: Option<&Token> = words
        .tokens
        .get(at + 1)
        .filter(|t| t.before <= Mark::Hyphen);
    next.is_some_and(|t| {
        matches!(
            t.text.as_str(),
            "lb" | "lbs"
                | "oz"
                | "ounce"
                | "ounces"
                | "bag"
                | "bags"
                | "year"
                | "years"
                | "yr"
                | "yrs"
                | "month"
                | "months"
                | "week"
                | "weeks"
                | "bucks"
                | "dollars"
                | "quid"
                | "kg"
                | "kilo"
                | "kilos"
                | "times"
                | "x"
                | "inch"
                | "gauge"
                | "awg"
                | "pole"
                | "port"
                | "step"
                | "steps"
                | "speed"
                | "way"
                | "ways"
                | "kids"
                | "people"
                | "sqft"
                | "square"
                | "sq"
                | "cartridges"
                | "grids"
                | "turns"
                | "turn"
                | "pumps"
                | "lights"
                | "screws"
                | "hp"
                | "horse"
                | "cycles"
                | "starts"
        )
    })
}
