//! `temperature.json`: temperatures of Recognizers-Text (MIT).

use crate::cases::{Case, Failure, File, check, read, same};
use padlore_core::reading::quantities::written::unit_after;

#[test]
fn temperatures() -> Result<(), Failure> {
    let file = File {
        name: "temperature.json",
        published: 43,
        left_out: LEFT_OUT,
        known: KNOWN,
        kept: 0.6,
    };
    check(&file, judge)
}

fn judge(case: &Case) -> Result<Option<String>, Failure> {
    let words = read(&case.input);
    let mut made = Vec::new();
    for (at, token) in words.tokens.iter().enumerate() {
        let Some(value) = token.number() else {
            continue;
        };
        let Some(unit) = unit_after(&words, &case.input, at) else {
            continue;
        };
        if matches!(unit.unit, "degF" | "degC" | "deg") {
            made.push((words.bytes(&(at..unit.end)), value, unit.unit));
        }
    }
    // A unit that stands alone is no measurement.
    let expected: Vec<_> = case
        .results
        .iter()
        .filter(|e| e.resolution.value.is_some())
        .collect();
    let mut right = made.len() == expected.len();
    for (expected, (span, value, unit)) in expected.iter().zip(&made) {
        let number = expected.number().ok_or("a temperature without a value")?;
        let named = match expected.resolution.unit.as_deref() {
            Some("F") => "degF",
            Some("C") => "degC",
            _ => "deg",
        };
        // The published text takes the full stop of "deg." along.
        let text = expected.span(&case.input)?;
        right &= text.start == span.start
            && case
                .input
                .get(span.end..text.end)
                .is_some_and(|rest| matches!(rest, "" | "."))
            && same(*value, number)
            && named == *unit;
    }
    Ok((!right).then(|| format!("{made:?}")))
}

/// Left out, with the reason.
const LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "degrees of an angle: which degrees are meant is decided later, by what they are said of",
        &["turn a 45 degrees angle", "Rotate 90°"],
    ),
    (
        "a capital C or F behind a number is a temperature in a note, whatever it is in the news",
        &[
            "Operating profit and funds from operations for 2020 were $765 million or 14.7C/ per security.",
            "When must 13F be filed?",
        ],
    ),
    (
        "a dash with blanks is no sign",
        &["how to convert - 20 degrees fahrenheit to celsius"],
    ),
];

/// Read wrong, and known.
const KNOWN: &[&str] = &["34.9 centigrate to farenheit"];
