//! Dates as people write them in notes.
//!
//! `2025-06-13`, `13/6/25`, `3.2.26`, `June 12 2025`, `Thurs 11 Sept 2025`, `tues aug 27 2024`, `6/14`, and as they are
//! spoken: "June twelfth", "twenty second of June twenty twenty five". Whether a day or a month comes first in `3/4/25` is settled by the file as a whole ([`settle`]): a day above 12, a weekday named, the
//! file's name, the shop's own order; else by the units that the note is written in, and then it is unsure.

use crate::reading::{
    lexer::{Kind, Mark, Token, lex},
    numerals::{digit_word, tens_word},
};
use jiff::civil::{Date, Weekday};
use std::ops::Range;

/// Which of two numbers is the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DateOrder {
    /// 13/6/25.
    DayFirst,
    /// 6/13/25.
    MonthFirst,
}

/// A date as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Bytes of the text it was found in, a weekday beside it included.
    pub span: Range<usize>,
    /// The first and second number of a date whose order is open, else month and day.
    pub numbers: (i8, i8),
    /// Whether the order of the numbers is open.
    pub open: bool,
    /// The year, where it is written.
    pub year: Option<i16>,
    /// The weekday beside it.
    pub weekday: Option<Weekday>,
}

impl Written {
    /// The date with its numbers in that order; `default_year` where none is written. `None` where no calendar has it.
    #[must_use]
    pub fn date(&self, order: DateOrder, default_year: Option<i16>) -> Option<Date> {
        let (month, day) = match (self.open, order) {
            (false, _) | (true, DateOrder::MonthFirst) => self.numbers,
            (true, DateOrder::DayFirst) => (self.numbers.1, self.numbers.0),
        };
        Date::new(self.year.or(default_year)?, month, day).ok()
    }

    /// The order that this date alone shows: by a number above 12 or by its weekday.
    #[must_use]
    pub fn shows(&self) -> Option<DateOrder> {
        if !self.open || self.numbers.0 == self.numbers.1 {
            return None;
        }
        let month_first = self.numbers.0 <= 12;
        let day_first = self.numbers.1 <= 12;
        match (month_first, day_first) {
            (true, false) => Some(DateOrder::MonthFirst),
            (false, true) => Some(DateOrder::DayFirst),
            _ => {
                let weekday = self.weekday?;
                let fits = |order| {
                    self.date(order, None)
                        .is_some_and(|d| d.weekday() == weekday)
                };
                match (fits(DateOrder::MonthFirst), fits(DateOrder::DayFirst)) {
                    (true, false) => Some(DateOrder::MonthFirst),
                    (false, true) => Some(DateOrder::DayFirst),
                    _ => None,
                }
            }
        }
    }
}

/// The dates in a line, in order.
#[must_use]
pub fn find(text: &str) -> Vec<Written> {
    let mut tokens = Vec::new();
    lex(text, 0, Mark::None, &mut tokens);
    let mut out: Vec<Written> = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        match at(&tokens, i) {
            Some((mut written, n)) => {
                take_weekday(&tokens, i, i + n, &mut written);
                out.push(written);
                i += n;
            }
            None => i += 1,
        }
    }
    out
}

fn take_weekday(tokens: &[Token], start: usize, end: usize, written: &mut Written) {
    let before = start.checked_sub(1).and_then(|i| tokens.get(i));
    let after = tokens.get(end).filter(|t| t.before < Mark::Stop);
    for token in [before, after].into_iter().flatten() {
        if let Some(day) = weekday(&token.text) {
            written.weekday = Some(day);
            written.span =
                written.span.start.min(token.span.start)..written.span.end.max(token.span.end);
            return;
        }
    }
}

fn at(tokens: &[Token], i: usize) -> Option<(Written, usize)> {
    let token = tokens.get(i)?;
    let next = |k: usize| tokens.get(i + k).filter(|t| t.before <= Mark::Dash);
    let whole = |t: &Token, most: f64| {
        t.number()
            .filter(|v| v.fract() == 0.0 && *v >= 1.0 && *v <= most)
            .map(|v| v as i16)
    };
    let year_of = |t: Option<&Token>| t.and_then(|t| whole(t, 2099.0)).filter(|y| *y >= 1950);
    let span =
        |n: usize| token.span.start..tokens.get(i + n - 1).map_or(token.span.end, |t| t.span.end);
    let made = |n: usize, month: i8, day: i16, year: Option<i16>| {
        let day = i8::try_from(day).ok()?;
        Some((
            Written {
                span: span(n),
                numbers: (month, day),
                open: false,
                year,
                weekday: None,
            },
            n,
        ))
    };
    if token.kind == Kind::Date {
        return numeric(&token.text).map(|(numbers, open, year)| {
            (
                Written {
                    span: token.span.clone(),
                    numbers,
                    open,
                    year: Some(year),
                    weekday: None,
                },
                1,
            )
        });
    }
    if let Some(month) = month(&token.text) {
        // "Oct. 2": the stop of an abbreviation ends nothing.
        let short = token.text.len() <= 4;
        let place = usize::from(next(1).is_some_and(|t| t.text == "the")) + 1;
        let first = tokens.get(i + place)?;
        if first.before > Mark::Dash && !(short && first.before == Mark::Stop && place == 1) {
            return None;
        }
        let (day, n) = day(tokens, i + place)?;
        let (year, more) = year(tokens, i + place + n);
        let tens = token_at(tokens, i + place).is_some_and(|t| tens_word(&t.text).is_some());
        if tens && n == 1 && year.is_none() && spoken(tokens, i + place + 1).is_some() {
            // "June twenty twenty five" is a month of a year.
            return None;
        }
        // "it may first trip": a word that is a verb as well needs more than one word of a day beside it.
        let verb = matches!(token.text.as_str(), "may" | "march" | "mar");
        let figure = token_at(tokens, i + place).is_some_and(|t| t.number().is_some());
        let dated = i
            .checked_sub(1)
            .and_then(|before| tokens.get(before))
            .is_some_and(|t| weekday(&t.text).is_some());
        if verb && !figure && n == 1 && year.is_none() && !dated {
            return None;
        }
        return made(place + n + more, month, day, year);
    }
    // "2019-sep-1"
    if let Some(year) = year_of(Some(token))
        && let Some(month) = next(1)
            .filter(|t| t.before != Mark::None)
            .and_then(|t| month(&t.text))
        && let Some(day) = next(2)
            .filter(|t| t.before != Mark::None)
            .and_then(|t| whole(t, 31.0))
    {
        return made(3, month, day, Some(year));
    }
    let (day, n) = day(tokens, i)?;
    // "12 of June 2025", "12 June"
    let of = next(n).is_some_and(|t| t.text == "of");
    if token.number().is_none() && !of {
        // "the second may be worn"
        return None;
    }
    let skip = n - 1 + usize::from(of);
    // "Dove Hollow 19, june 12": the number before the comma is no day.
    let beside = next(1 + skip).filter(|t| t.before <= Mark::Hyphen);
    let own_day = next(2 + skip).and_then(|t| whole(t, 31.0)).is_some()
        && short_year(tokens, i + 2 + skip).is_none();
    if let Some(month) = beside.and_then(|t| month(&t.text)).filter(|_| !own_day) {
        let (year, more) = year(tokens, i + 2 + skip);
        return made(2 + skip + more, month, day, year);
    }
    // "6/14"
    let day = whole(token, 31.0)?;
    let second = tokens.get(i + 1).filter(|t| t.before == Mark::Slash)?;
    let second = whole(second, 31.0)?;
    let closed = tokens.get(i + 2).is_none_or(|t| t.before != Mark::Slash);
    let unit = tokens.get(i + 2).is_some_and(|t| {
        t.before == Mark::None && matches!(t.text.as_str(), "in" | "inch" | "hp" | "psi")
    });
    if !closed || unit || day.min(second) > 12 {
        return None;
    }
    let numbers = (i8::try_from(day).ok()?, i8::try_from(second).ok()?);
    Some((
        Written {
            span: span(2),
            numbers,
            open: true,
            year: None,
            weekday: None,
        },
        2,
    ))
}

/// The token at `at`, where no mark but a comma or dash parts it from the one before.
fn token_at(tokens: &[Token], at: usize) -> Option<&Token> {
    tokens.get(at).filter(|t| t.before <= Mark::Dash)
}

/// A day of the month in figures or words, and how many tokens it takes: "12", "twelfth", "twenty-first", "thirty one".
fn day(tokens: &[Token], at: usize) -> Option<(i16, usize)> {
    let token = tokens.get(at)?;
    if let Some(value) = token.number() {
        return (value.fract() == 0.0 && (1.0..=31.0).contains(&value))
            .then_some((value as i16, 1));
    }
    let (value, n) = spoken(tokens, at)
        .filter(|(value, _)| *value <= 31)
        .or_else(|| Some((ordinal(&token.text)?, 1)))?;
    // "twenty first"
    if n == 1
        && matches!(value, 20 | 30)
        && let Some(unit) = token_at(tokens, at + 1).and_then(|t| ordinal(&t.text))
        && unit < 10
        && value + unit <= 31
    {
        return Some((value + unit, 2));
    }
    (1..=31).contains(&value).then_some((value, n))
}

/// A number below one hundred in words.
fn spoken(tokens: &[Token], at: usize) -> Option<(i16, usize)> {
    let word = token_at(tokens, at).filter(|t| t.kind == Kind::Word)?;
    let Some(tens) = tens_word(&word.text) else {
        return digit_word(&word.text).map(|v| (v as i16, 1));
    };
    let unit = tokens
        .get(at + 1)
        .filter(|t| t.before <= Mark::Hyphen)
        .and_then(|t| digit_word(&t.text))
        .filter(|v| (1.0..10.0).contains(v));
    Some(unit.map_or((tens as i16, 1), |unit| ((tens + unit) as i16, 2)))
}

/// The value of "first" to "thirtieth".
fn ordinal(word: &str) -> Option<i16> {
    const NAMES: [&str; 20] = [
        "first",
        "second",
        "third",
        "fourth",
        "fifth",
        "sixth",
        "seventh",
        "eighth",
        "ninth",
        "tenth",
        "eleventh",
        "twelfth",
        "thirteenth",
        "fourteenth",
        "fifteenth",
        "sixteenth",
        "seventeenth",
        "eighteenth",
        "nineteenth",
        "twentieth",
    ];
    if word == "thirtieth" {
        return Some(30);
    }
    let place = NAMES.iter().position(|name| *name == word)?;
    i16::try_from(place + 1).ok()
}

/// The year after day and month, and how many tokens it takes: "2025", "23", "twenty twenty five", "two thousand and
/// eighteen", "nineteen ninety nine".
fn year(tokens: &[Token], at: usize) -> (Option<i16>, usize) {
    let likely = |y: &i16| (1950..=2099).contains(y);
    if let Some(value) = token_at(tokens, at).and_then(Token::number)
        && value.fract() == 0.0
        && value <= 2099.0
        && likely(&(value as i16))
    {
        return (Some(value as i16), 1);
    }
    if let Some(year) = short_year(tokens, at) {
        return (Some(year), 1);
    }
    let Some((high, n)) = spoken(tokens, at) else {
        return (None, 0);
    };
    let word = |k: usize| token_at(tokens, at + k).map(|t| t.text.as_str());
    let (year, n) = if high == 2 && word(n) == Some("thousand") {
        let skip = n + 1 + usize::from(word(n + 1) == Some("and"));
        match spoken(tokens, at + skip) {
            Some((low, m)) => (2000 + low, skip + m),
            None => (2000, n + 1),
        }
    } else {
        match spoken(tokens, at + n) {
            Some((low, m)) if low >= 10 => (high * 100 + low, n + m),
            _ => return (None, 0),
        }
    };
    if likely(&year) {
        (Some(year), n)
    } else {
        (None, 0)
    }
}

/// "oct 2 23": two digits that end the line or the phrase are a year of this century.
fn short_year(tokens: &[Token], at: usize) -> Option<i16> {
    let token = tokens
        .get(at)
        .filter(|t| t.before == Mark::None && t.text.len() == 2 && !t.label)?;
    let value = token.number().filter(|v| (10.0..=49.0).contains(v))?;
    let ends = tokens.get(at + 1).is_none_or(|t| t.before >= Mark::Comma);
    ends.then_some(2000 + value as i16)
}

fn numeric(text: &str) -> Option<((i8, i8), bool, i16)> {
    let parts: Vec<&str> = text.split(['/', '-', '.']).collect();
    let [a, b, c] = parts.as_slice() else {
        return None;
    };
    if a.len() == 4 {
        return Some(((b.parse().ok()?, c.parse().ok()?), false, a.parse().ok()?));
    }
    let year: i16 = c.parse().ok()?;
    // Two figures are of this century, or of the last where they are from its second half.
    let year = match (c.len(), year) {
        (2, 50..) => 1900 + year,
        (2, _) => 2000 + year,
        _ => year,
    };
    Some(((a.parse().ok()?, b.parse().ok()?), true, year))
}

/// The order of day and month for a file, and whether that is sure.
#[must_use]
pub fn settle(
    dates: &[Written],
    file_date: Option<Date>,
    shop: Option<DateOrder>,
    metric: bool,
) -> (DateOrder, bool) {
    if let Some(order) = dates.iter().find_map(Written::shows) {
        return (order, true);
    }
    if let Some(date) = file_date {
        let fits = |order| {
            dates
                .iter()
                .any(|w| w.open && w.date(order, None) == Some(date))
        };
        match (fits(DateOrder::MonthFirst), fits(DateOrder::DayFirst)) {
            (true, false) => return (DateOrder::MonthFirst, true),
            (false, true) => return (DateOrder::DayFirst, true),
            _ => {}
        }
    }
    match shop {
        Some(order) => (order, true),
        None if metric => (DateOrder::DayFirst, false),
        None => (DateOrder::MonthFirst, false),
    }
}

/// The month of an English name or its abbreviation, 1 to 12.
#[must_use]
pub fn month(word: &str) -> Option<i8> {
    const NAMES: [&str; 12] = [
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
    ];
    if word.len() < 3 {
        return None;
    }
    if word == "sept" {
        return Some(9);
    }
    let place = NAMES
        .iter()
        .position(|name| *name == word || (word.len() == 3 && name.starts_with(word)))?;
    i8::try_from(place + 1).ok()
}

/// The weekday of an English name or its abbreviation.
#[must_use]
pub fn weekday(word: &str) -> Option<Weekday> {
    Some(match word {
        "monday" | "mon" => Weekday::Monday,
        "tuesday" | "tues" | "tue" => Weekday::Tuesday,
        "wednesday" | "weds" | "wed" => Weekday::Wednesday,
        "thursday" | "thurs" | "thur" | "thu" => Weekday::Thursday,
        "friday" | "fri" => Weekday::Friday,
        "saturday" | "sat" => Weekday::Saturday,
        "sunday" | "sun" => Weekday::Sunday,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, order: DateOrder, expected: &[&str]) {
        let found: Vec<String> = find(text)
            .iter()
            .map(|w| {
                w.date(order, Some(2026))
                    .map_or("none".to_owned(), |d| d.to_string())
            })
            .collect();
        assert_eq!(found, expected, "{text}");
    }

    #[test]
    fn forms() {
        use DateOrder::{DayFirst, MonthFirst};
        check(
            "Garrick 18 Pondside - June 12 2025 (voice)",
            MonthFirst,
            &["2025-06-12"],
        );
        check("Thurs 11 Sept 2025 (dictated)", MonthFirst, &["2025-09-11"]);
        check("fri 13/6/25 arr 2.15", DayFirst, &["2025-06-13"]);
        check("3.2.26", MonthFirst, &["2026-03-02"]);
        check(
            "Greasewood Dr 74, thursday may 16 2024",
            MonthFirst,
            &["2024-05-16"],
        );
        check("tues aug 27 2024", MonthFirst, &["2024-08-27"]);
        check("2025-11-13", MonthFirst, &["2025-11-13"]);
        check("6/14 back again", MonthFirst, &["2026-06-14"]);
        check(
            "Dove Hollow 19, june 12th 2025",
            MonthFirst,
            &["2025-06-12"],
        );
        check("oct 2 23", MonthFirst, &["2023-10-02"]);
        check("05/05/89", MonthFirst, &["1989-05-05"]);
        check("Oct. 2 the pump", MonthFirst, &["2026-10-02"]);
        check("2019-sep-1", MonthFirst, &["2019-09-01"]);
    }

    #[test]
    fn spoken_forms() {
        use DateOrder::MonthFirst;
        check(
            "june twelfth twenty twenty five",
            MonthFirst,
            &["2025-06-12"],
        );
        check(
            "may sixteen twenty twenty four",
            MonthFirst,
            &["2024-05-16"],
        );
        check(
            "the twenty second of june 2017",
            MonthFirst,
            &["2017-06-22"],
        );
        check(
            "jan twenty one two thousand and eighteen",
            MonthFirst,
            &["2018-01-21"],
        );
        check("june twenty twenty five", MonthFirst, &[]);
        check("the second may be worn, it may first trip", MonthFirst, &[]);
        check("1/2 inch pipe, 3/4 hp", MonthFirst, &[]);
        check("2/30/25", MonthFirst, &["none"]);
    }

    #[test]
    fn order_is_settled_by_the_file() {
        let settle_text = |text: &str, metric| settle(&find(text), None, None, metric);
        assert_eq!(
            settle_text("3/4/25 and 14/4/25", false),
            (DateOrder::DayFirst, true)
        );
        assert_eq!(
            settle_text("thu 4/3/25", false),
            (DateOrder::MonthFirst, true)
        );
        assert_eq!(settle_text("3/4/25", true), (DateOrder::DayFirst, false));
        assert_eq!(settle_text("3/4/25", false), (DateOrder::MonthFirst, false));
    }
}
