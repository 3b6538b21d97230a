//! Dates as people write them in notes.
//!
//! `2025-06-13`, `13/6/25`, `3.2.26`, `June 12 2025`, `Thurs 11 Sept 2025`, `tues aug 27 2024`, `6/14`. Whether a day or
//! a month comes first in `3/4/25` is settled by the file as a whole ([`settle`]): a day above 12, a weekday named, the
//! file's name, the shop's own order; else by the units that the note is written in, and then it is unsure.

use crate::reading::lexer::{Kind, Mark, Token, lex};
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
        let day = next(1).and_then(|t| whole(t, 31.0))?;
        let year = year_of(next(2)).or_else(|| short_year(tokens, i + 2));
        return made(if year.is_some() { 3 } else { 2 }, month, day, year);
    }
    let day = whole(token, 31.0)?;
    // "12 of June 2025", "12 June"
    let skip = usize::from(next(1).is_some_and(|t| t.text == "of"));
    // "Dove Hollow 19, june 12": the number before the comma is no day.
    let beside = next(1 + skip).filter(|t| t.before <= Mark::Hyphen);
    let own_day = next(2 + skip).and_then(|t| whole(t, 31.0)).is_some()
        && short_year(tokens, i + 2 + skip).is_none();
    if let Some(month) = beside.and_then(|t| month(&t.text)).filter(|_| !own_day) {
        let year = year_of(next(2 + skip)).or_else(|| short_year(tokens, i + 2 + skip));
        return made(if year.is_some() { 3 } else { 2 } + skip, month, day, year);
    }
    // "6/14"
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
    let year = if c.len() == 2 { 2000 + year } else { year };
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
