//! `date.json`: dates that name their day, of Recognizers-Text (MIT).

use crate::cases::{Case, Failure, File, check};
use padlore_core::note::{DateOrder, dates};

#[test]
fn dates_that_name_their_day() -> Result<(), Failure> {
    let file = File {
        name: "date.json",
        published: 137,
        left_out: LEFT_OUT,
        known: KNOWN,
        kept: 0.0,
    };
    check(&file, judge)
}

fn judge(case: &Case) -> Result<Option<String>, Failure> {
    let made: Vec<_> = dates::find(&case.input)
        .into_iter()
        .map(|w| {
            // Numbers whose order is open are month first, as in the data, unless they cannot be.
            let day_first = w.shows() == Some(DateOrder::DayFirst);
            let (month, day) = if day_first {
                (w.numbers.1, w.numbers.0)
            } else {
                w.numbers
            };
            (w.span, w.year, month, day)
        })
        .collect();
    let mut right = made.len() == case.results.len();
    for (expected, (span, year, month, day)) in case.results.iter().zip(&made) {
        let year = year.map_or("XXXX".to_owned(), |y| format!("{y:04}"));
        right &= expected.span(&case.input)? == *span
            && expected.value.timex == format!("{year}-{month:02}-{day:02}");
    }
    Ok((!right).then(|| format!("{made:?}")))
}

/// Left out, with the reason.
const LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "a month and its day in one word",
        &["I'll go back Oct2", "I'll go back October2"],
    ),
    (
        "two numbers around a dot, a hyphen or a comma are readings or an address",
        &[
            "I'll go back on 4.22",
            "I'll go back on 4-22",
            "I'll go back in 4.22",
            "I'll go back 08/12,2015",
            "I'll go back 08/12,15",
        ],
    ),
    (
        "a full stop after a whole word or a day ends a sentence",
        &["I'll go back October. 2", "16. Nov. 2016"],
    ),
    (
        "years before 1950: no visit was then",
        &[
            "We had a meeting 5 December 1391",
            "on September 10, nineteen zero one",
        ],
    ),
    (
        "a day of a month that is not named",
        &[
            "I'll go back on 15",
            "I went back for the 27",
            "I went back for the 27th",
            "I went back for the 27.",
            "I went back for the 27!",
            "I went back for the 27 .",
            "I went back for the 21st",
            "I went back for the 22nd",
            "I went back for the second",
            "I went back for the twenty second",
            "I went back for the thirty",
            "I went back Thursday the 21st",
            "I went back Friday the 22nd",
            "I went back Saturday the 23rd",
            "I went back Friday the 15th",
            "I went back Thursday the twenty first",
            "I went back Friday the twenty second",
            "I went back Friday the fifteen",
            "I went back 20th of next month",
            "I went back 31st of this month",
            "We had a meeting the 20th of next month",
            "I'll see you the first Friday of next month",
        ],
    ),
    (
        "days told by the day that is now: a note's own day is the only one it needs",
        &[
            "i'll go back monday january 12th, 2016",
            "I'll go back on Friday",
            "I'll go back |Friday",
            "I'll go back today",
            "I'll go back tomorrow",
            "I'll go back tmrw",
            "I'll go back yesterday",
            "I'll go back the day before yesterday",
            "I'll go back the day after tomorrow",
            "I'll go back the day after tmrw",
            "The day after tomorrow",
            "I'll go back the next day",
            "I'll go back next day",
            "I'll go back this Friday",
            "I'll go back next Sunday",
            "I'll go back last Sunday",
            "I'll go back this week Friday",
            "I'll go back next week Sunday",
            "I'll go back last week Sunday",
            "I'll go back last day",
            "I'll go back the last day",
            "I'll go back the day",
            "I'll go back the first friday of july",
            "I'll go back the first friday in this month",
            "I'll go back next week on Friday",
            "I'll go back on Friday next week",
            "What does my day look like?",
            "I'll go back this day",
            "I'll go back past day",
            "I'll go back two weeks from now",
            "who did I email a month ago",
            "who did I email few months ago?",
            "who did I email a few days ago?",
            "I'll go back second Sunday",
            "I'll go back first Sunday",
            "I'll go back third Tuesday",
            "I'll go back fifth Sunday",
            "I went back two days ago",
            "I went back two years ago",
            "We had a meeting 1 month 21 days ago",
            "I left here 2 years 1 month 21 days ago",
            "I will leve here 2 years 21 days later",
            "I left here 1 month 2 years 21 days ago",
            "We had a meeting 1 month and 21 days ago",
            "We had a meeting 1 month, 21 days ago",
            "monday, jan twenty two, 2018",
            "on sunday jan twenty one two thousand and eighteen",
            "So, make it the second Monday of next month?",
            "I came back the third Wednesday of previous month",
            "I'll go travelling Tuesday next week",
            "Handle homework on Sunday of next week",
            "I'll go back two days from tomorrow.",
            "I'll go back four days from yesterday.",
            "Are you available two sundays from now?",
            "Are you available two monday later?",
            "Are you available two days after today?",
            "Are you available three weeks from tomorrow?",
            "Where were you two days before yesterday?",
            "I will leave in 3 weeks",
        ],
    ),
];

/// Read wrong, and known.
const KNOWN: &[&str] = &[];
