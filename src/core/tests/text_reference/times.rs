//! `time.json`: times of the day of Recognizers-Text (MIT).

use crate::cases::{Case, Failure, File, check, read};
use padlore_core::reading::clock;

#[test]
fn times_of_the_day() -> Result<(), Failure> {
    let file = File {
        name: "time.json",
        published: 92,
        left_out: LEFT_OUT,
        known: KNOWN,
        kept: 0.6,
    };
    check(&file, judge)
}

/// A bare number is a time only where words of a schedule ask for one, so the reader is asked at the place.
fn judge(case: &Case) -> Result<Option<String>, Failure> {
    let words = read(&case.input);
    let mut made = Vec::new();
    let mut right = true;
    for expected in &case.results {
        let span = expected.span(&case.input)?;
        let at = words.tokens.iter().position(|t| t.span.start == span.start);
        let time = at.and_then(|at| clock::at(&words.tokens, at));
        let Some(time) = time else {
            made.push("no time".to_owned());
            right = false;
            continue;
        };
        let minutes = time.minutes();
        let (hour, minute) = (minutes / 60 % 24, minutes % 60);
        // Seconds are read and dropped.
        let parts: Vec<&str> = expected
            .value
            .timex
            .trim_start_matches('T')
            .split(':')
            .collect();
        let wanted: (u16, u16) = (
            parts.first().unwrap_or(&"").parse()?,
            parts.get(1).unwrap_or(&"0").parse()?,
        );
        let bytes = words.bytes(&time.tokens);
        right &= (hour, minute) == wanted
            && case
                .input
                .get(bytes.end..span.end)
                .is_some_and(|rest| matches!(rest, "" | "."));
        made.push(format!("{hour:02}:{minute:02} {bytes:?}"));
    }
    Ok((!right).then(|| made.join(", ")))
}

/// Left out, with the reason.
const LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "a part of the day before the time, or none but that",
        &[
            "I'll be back in the afternoon at 7",
            "I'll be back afternoon at 7",
            "I'll be back afternoon 7:00",
            "I'll be back afternoon 7:00:05",
            "I'll be back afternoon seven pm",
            "midmorning",
            "mid-morning",
            "mid morning",
            "midafternoon",
            "mid-afternoon",
            "mid afternoon",
            "I'll be back afternoon 7:00:25",
            "I'll go back in the night five thirty",
        ],
    ),
    (
        "lunch is no time of the day",
        &[
            "I'll be back 12 lunchtime",
            "I'll be back 12 o'clock lunchtime",
            "I'll be back 11 o'clock lunchtime",
            "I'll be back 1 o'clock lunchtime",
            "I'll be back at lunchtime 11 o'clock",
            "I'll be back at lunchtime 12 o'clock",
        ],
    ),
    (
        "other countries' forms",
        &[
            "I'll be back at 7h01",
            "I'll be back at 10 H 10 pm.",
            "I'll be back at three min past 10 H 10 pm.",
        ],
    ),
    (
        "neither half of the day, or both",
        &["I'll be back at 7ampm"],
    ),
    (
        "\"eleven five\" is two numbers",
        &["I'll go back at eleven five"],
    ),
];

/// Read wrong, and known.
const KNOWN: &[&str] = &[];
