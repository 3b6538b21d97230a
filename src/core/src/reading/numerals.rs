//! Joins spoken numbers: "twenty-eight fifty" is 2,850 and "seven point four" 7.4.
//!
//! People say motor speeds and voltages in pairs ("thirty four fifty", "one ninety eight"), decimals with "point",
//! and halves with "and a half". A telephone writes some of the words as others ("thirty too hundred", "forty ate"):
//! such words count as numbers only where a number's neighbours leave no other reading. "One" alone stays a word.

use super::lexer::{Kind, Mark, Token};
use rustc_hash::FxHashMap;

/// Words heard for numbers, with their values.
pub type Heard = FxHashMap<String, f64>;

/// What a reader of numbers must be told about other words.
pub struct Context<'a> {
    /// Words heard for numbers.
    pub heard: &'a Heard,
    /// Whether a word is a unit.
    pub unit: &'a dyn Fn(&str) -> bool,
    /// The note was spoken: "for degrees" may be four of them.
    pub spoken: bool,
}

/// The tokens with every spoken number joined into one number token.
#[must_use]
pub fn join(tokens: Vec<Token>, context: &Context<'_>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while let Some(token) = tokens.get(i) {
        if let Some((value, length, unit)) = (Parser {
            tokens: &tokens,
            context,
        })
        .inches(i)
        {
            let mut number = token.clone();
            number.span = token.span.start
                ..tokens
                    .get(i + length - 1)
                    .map_or(token.span.end, |t| t.span.end);
            number.kind = Kind::Number(value);
            out.push(number);
            let mut unit = unit.clone();
            unit.before = Mark::None;
            unit.span = out
                .last()
                .map_or(unit.span.clone(), |n| n.span.end..n.span.end);
            out.push(unit);
            i += length;
            continue;
        }
        let found = Parser {
            tokens: &tokens,
            context,
        }
        .number(i);
        match found {
            Some((value, length)) => {
                let end = tokens
                    .get(i + length - 1)
                    .map_or(token.span.end, |t| t.span.end);
                let mut joined = token.clone();
                joined.span = token.span.start..end;
                joined.kind = Kind::Number(value);
                out.push(joined);
                i += length;
            }
            None => {
                out.push(token.clone());
                i += 1;
            }
        }
    }
    out
}

struct Parser<'a> {
    tokens: &'a [Token],
    context: &'a Context<'a>,
}

impl Parser<'_> {
    /// The word at `i`, if it follows without a mark that ends a number (`first` words may follow any).
    fn word(&self, i: usize, first: First) -> Option<&str> {
        let token = self.tokens.get(i)?;
        let joined = first == First::Yes || token.before <= Mark::Hyphen;
        (token.kind == Kind::Word && joined).then_some(token.text.as_str())
    }

    fn heard(&self, i: usize) -> Option<f64> {
        self.word(i, First::No)
            .and_then(|w| self.context.heard.get(w).copied())
    }

    fn small(&self, i: usize, first: First) -> Option<f64> {
        self.word(i, first).and_then(digit_word)
    }

    /// "an inch and a half", "half an inch", "three quarters of an inch": the value, the words, and the unit among them.
    fn inches(&self, i: usize) -> Option<(f64, usize, &Token)> {
        let inch = |at: usize| {
            self.tokens
                .get(at)
                .filter(|_| matches!(self.word(at, First::No), Some("inch" | "inches")))
        };
        let opens = self.word(i, First::Yes)?;
        let whole = if matches!(opens, "a" | "an") {
            Some(1.0)
        } else {
            digit_word(opens)
        };
        if let Some(whole) = whole
            && let Some(unit) = inch(i + 1)
        {
            return match self.and_fraction(i + 2) {
                Some((fraction, n)) => Some((whole + fraction, 2 + n, unit)),
                None if matches!(opens, "a" | "an") => Some((1.0, 2, unit)),
                None => None,
            };
        }
        let (upper, at) = match whole {
            Some(upper) if self.word(i + 1, First::No).and_then(lower_word).is_some() => {
                (upper, i + 1)
            }
            Some(_) if opens == "a" && self.word(i + 1, First::No) == Some("half") => (1.0, i + 1),
            None => (1.0, i),
            Some(_) => return None,
        };
        let lower = match self.word(at, First::Yes)? {
            "half" => 2.0,
            other => lower_word(other)?,
        };
        let skip = match (self.word(at + 1, First::No), self.word(at + 2, First::No)) {
            (Some("of"), Some("a" | "an")) => 2,
            (Some("a" | "an" | "of"), _) => 1,
            _ => 0,
        };
        let unit = inch(at + 1 + skip)?;
        (upper < lower).then_some((upper / lower, at + 2 + skip - i, unit))
    }

    /// "p h seven five": two digits after the name of pH.
    fn ph_digits(&self, i: usize) -> Option<(f64, usize)> {
        let named = self
            .tokens
            .get(i.checked_sub(1)?)
            .is_some_and(|t| matches!(t.text.as_str(), "ph" | "h" | "is" | "was" | "aitch"))
            && (i.saturating_sub(4)..i).any(|k| {
                self.tokens.get(k).is_some_and(|t| {
                    matches!(t.text.as_str(), "ph" | "aitch")
                        || (t.text == "p" && self.tokens.get(k + 1).is_some_and(|n| n.text == "h"))
                })
            });
        let whole = self
            .small(i, First::Yes)
            .filter(|v| (6.0..=8.0).contains(v))?;
        let tenth = match self.word(i + 1, First::No)? {
            "oh" | "o" => 0.0,
            other => digit_word(other).filter(|v| *v < 10.0)?,
        };
        let more = self
            .word(i + 2, First::No)
            .is_some_and(|w| matches!(w, "point" | "hundred" | "thousand"));
        (named && !more).then_some((whole + tenth / 10.0, 2))
    }

    fn number(&self, i: usize) -> Option<(f64, usize)> {
        if let Some(found) = self.ph_digits(i) {
            return Some(found);
        }
        if let Some(written) = self.tokens.get(i).and_then(Token::number) {
            return self.after_digits(i, written);
        }
        let word = self.word(i, First::Yes)?;
        if word == "point" {
            let (decimals, n) = self.decimals(i + 1)?;
            // "point" is a noun too; a decimal needs nothing before it that counts.
            return Some((decimals, n + 1));
        }
        let (mut value, mut n) = self.whole(i)?;
        let mut compound = n > 1;
        if self.word(i + n, First::No) == Some("point")
            && let Some((decimals, d)) = self.decimals(i + n + 1)
        {
            value += decimals;
            n += d + 1;
            compound = true;
        } else if let Some((fraction, d)) = self.and_fraction(i + n) {
            value += fraction;
            n += d;
            compound = true;
        } else if let Some(lower) = self.word(i + n, First::No).and_then(lower_word)
            && value < lower
            && n == 1
        {
            return Some((value / lower, n + 1));
        }
        // "that one", "one of them": a word, until a unit shows that it counts.
        if !compound
            && word == "one"
            && !self
                .tokens
                .get(i + 1)
                .is_some_and(|t| (self.context.unit)(&t.text))
        {
            return None;
        }
        if !compound
            && self.context.heard.contains_key(word)
            && digit_word(word).is_none()
            && tens_word(word).is_none()
        {
            let unit = self
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.before == Mark::None && (self.context.unit)(&t.text));
            if !(unit && self.context.spoken) {
                return None;
            }
        }
        Some((value, n))
    }

    /// "8 point two", "1 and a half", "12 hundred" after a number in digits.
    fn after_digits(&self, i: usize, written: f64) -> Option<(f64, usize)> {
        if self.word(i + 1, First::No) == Some("point") {
            let (decimals, d) = self.decimals(i + 2)?;
            return Some((written + decimals, d + 2));
        }
        if let Some((fraction, d)) = self.and_fraction(i + 1) {
            return Some((written + fraction, d + 1));
        }
        if let Some(next) = self.tokens.get(i + 1)
            && next.before == Mark::None
            && let Kind::Number(fraction) = next.kind
            && fraction > 0.0
            && fraction < 1.0
            && next.text.contains('/')
            && written.fract() == 0.0
        {
            return Some((written + fraction, 2));
        }
        match self.word(i + 1, First::No) {
            Some("hundred") => Some((written * 100.0, 2)),
            Some("thousand" | "grand") => Some((written * 1000.0, 2)),
            _ => None,
        }
    }

    fn and_fraction(&self, i: usize) -> Option<(f64, usize)> {
        if self.word(i, First::No)? != "and" {
            return None;
        }
        let article = matches!(self.word(i + 1, First::No), Some("a" | "an" | "one"));
        if article {
            return match self.word(i + 2, First::No)? {
                "half" => Some((0.5, 3)),
                "quarter" => Some((0.25, 3)),
                "eighth" => Some((0.125, 3)),
                "third" => Some((1.0 / 3.0, 3)),
                _ => None,
            };
        }
        let upper = self.small(i + 1, First::No).or_else(|| self.heard(i + 1))?;
        let lower = self.word(i + 2, First::No).and_then(lower_word)?;
        (upper < lower).then_some((upper / lower, 3))
    }

    /// A digit after "point"; "oh" is a nought there.
    fn decimal(&self, i: usize) -> Option<f64> {
        let oh = matches!(self.word(i, First::No), Some("oh" | "o"));
        if oh {
            Some(0.0)
        } else {
            self.small(i, First::No)
        }
    }

    fn decimals(&self, i: usize) -> Option<(f64, usize)> {
        let (mut value, mut scale, mut n) = (0.0, 0.1, 0);
        loop {
            let token = self.tokens.get(i + n);
            if let Some(Kind::Number(written)) = token.map(|t| t.kind)
                && n == 0
                && written.fract() == 0.0
                && token.is_some_and(|t| t.before == Mark::None)
            {
                let digits = token.map_or(1, |t| t.text.len());
                return Some((written / 10_f64.powi(i32::try_from(digits).unwrap_or(1)), 1));
            }
            if n == 0
                && let Some((two, used)) = self.two_digits(i)
                && two >= 10.0
            {
                return Some((two / 100.0, used));
            }
            let Some(digit) = self.decimal(i + n).or_else(|| self.heard(i + n)) else {
                break;
            };
            if digit >= 10.0 {
                break;
            }
            // A second "digit" that is a heard preposition is one ("point five to the deck").
            if n > 0 && self.decimal(i + n).is_none() {
                break;
            }
            value += digit * scale;
            scale /= 10.0;
            n += 1;
        }
        (n > 0).then_some((value, n))
    }

    /// A number below one hundred.
    fn two_digits(&self, i: usize) -> Option<(f64, usize)> {
        let word = self.word(i, First::Yes)?;
        if let Some(tens) = tens_word(word) {
            let unit = self
                .small(i + 1, First::No)
                .filter(|u| (1.0..10.0).contains(u))
                .or_else(|| self.heard(i + 1));
            // "forty to sixty": a range, not forty-two.
            let ranged = self
                .word(i + 1, First::No)
                .is_some_and(|w| matches!(w, "to" | "for"))
                && (self
                    .word(i + 2, First::No)
                    .is_some_and(|w| tens_word(w).is_some() || digit_word(w).is_some())
                    || !self.context.spoken);
            return Some(match unit.filter(|_| !ranged) {
                Some(unit) => (tens + unit, 2),
                None => (tens, 1),
            });
        }
        // "nine teen", "for teen": a telephone parts them.
        if self.word(i + 1, First::No) == Some("teen")
            && let Some(unit) = digit_word(word)
                .or_else(|| self.context.heard.get(word).copied())
                .filter(|v| (4.0..10.0).contains(v))
        {
            return Some((unit + 10.0, 2));
        }
        digit_word(word).map(|v| (v, 1))
    }

    fn whole(&self, i: usize) -> Option<(f64, usize)> {
        let word = self.word(i, First::Yes)?;
        // "a hundred and thirteen", "hundred and six"
        if matches!(word, "a") && self.word(i + 1, First::No) == Some("hundred") {
            let (rest, n) = self.hundreds_rest(i + 2);
            return Some((100.0 + rest, n + 2));
        }
        if word == "hundred" {
            let (rest, n) = self.hundreds_rest(i + 1);
            return (n > 0).then_some((100.0 + rest, n + 1));
        }
        let (mut value, mut n) = match self.two_digits(i) {
            Some(found) => found,
            None => {
                let heard = self.context.heard.get(word).copied()?;
                // A heard word opens a number only before one that can be nothing else.
                let next = self.word(i + 1, First::No)?;
                let preposition = matches!(word, "to" | "for");
                let opens = matches!(next, "hundred" | "thousand" | "point")
                    || (!preposition && (tens_word(next).is_some() || matches!(next, "oh")));
                if !(opens || (self.context.unit)(next)) {
                    return None;
                }
                (heard, 1)
            }
        };
        match self.word(i + n, First::No) {
            Some("hundred") => {
                let (rest, m) = self.hundreds_rest(i + n + 1);
                value = value * 100.0 + rest;
                n += m + 1;
            }
            Some("thousand" | "grand") => {
                value *= 1000.0;
                n += 1;
                let skip = usize::from(self.word(i + n, First::No) == Some("and"));
                if let Some((rest, m)) = self.whole(i + n + skip)
                    && rest < 1000.0
                    && self
                        .tokens
                        .get(i + n)
                        .is_some_and(|t| t.before <= Mark::Hyphen)
                {
                    value += rest;
                    n += m + skip;
                }
                return Some((value, n));
            }
            Some("oh" | "o" | "zero") if (1.0..100.0).contains(&value) => {
                if let Some(unit) = self
                    .small(i + n + 1, First::No)
                    .or_else(|| self.heard(i + n + 1))
                    && unit < 10.0
                {
                    return Some((value * 100.0 + unit, n + 2));
                }
            }
            Some(next) if (1.0..100.0).contains(&value) => {
                // Pairs: "twenty eight fifty", "one ninety eight", "two ten".
                let two = tens_word(next).is_some() || digit_word(next).is_some_and(|v| v >= 10.0);
                if two && let Some((low, m)) = self.two_digits(i + n) {
                    return Some((value * 100.0 + low, n + m));
                }
            }
            _ => {}
        }
        Some((value, n))
    }

    fn hundreds_rest(&self, i: usize) -> (f64, usize) {
        let skip = usize::from(self.word(i, First::No) == Some("and"));
        if self.word(i + skip, First::No).is_none() {
            return (0.0, 0);
        }
        let heard = self.heard(i + skip).filter(|_| skip == 1).map(|v| (v, 1));
        match self.two_digits(i + skip).or(heard) {
            // "a hundred and two" counts on; "a hundred two" too, but "hundred one" with no "and" is rare and kept.
            Some((rest, n)) => (rest, n + skip),
            None => (0.0, 0),
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum First {
    Yes,
    No,
}

fn digit_word(word: &str) -> Option<f64> {
    Some(match word {
        "zero" | "nought" | "nil" => 0.0,
        "one" => 1.0,
        "two" => 2.0,
        "three" => 3.0,
        "four" => 4.0,
        "five" => 5.0,
        "six" => 6.0,
        "seven" => 7.0,
        "eight" => 8.0,
        "nine" => 9.0,
        "ten" => 10.0,
        "eleven" => 11.0,
        "twelve" => 12.0,
        "thirteen" => 13.0,
        "fourteen" => 14.0,
        "fifteen" => 15.0,
        "sixteen" => 16.0,
        "seventeen" => 17.0,
        "eighteen" => 18.0,
        "nineteen" => 19.0,
        _ => return None,
    })
}

fn tens_word(word: &str) -> Option<f64> {
    Some(match word {
        "twenty" => 20.0,
        "thirty" => 30.0,
        "forty" | "fourty" => 40.0,
        "fifty" => 50.0,
        "sixty" => 60.0,
        "seventy" => 70.0,
        "eighty" => 80.0,
        "ninety" => 90.0,
        _ => return None,
    })
}

fn lower_word(word: &str) -> Option<f64> {
    Some(match word {
        "halves" => 2.0,
        "third" | "thirds" => 3.0,
        "quarter" | "quarters" => 4.0,
        "eighth" | "eighths" => 8.0,
        "tenth" | "tenths" => 10.0,
        "sixteenth" | "sixteenths" => 16.0,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::lexer::lex;

    fn show(text: &str, spoken: bool) -> String {
        let heard: Heard = [
            ("won", 1.0),
            ("to", 2.0),
            ("too", 2.0),
            ("tree", 3.0),
            ("for", 4.0),
            ("ate", 8.0),
        ]
        .map(|(w, v)| (w.to_owned(), v))
        .into_iter()
        .collect();
        let unit = |w: &str| matches!(w, "rpm" | "degrees" | "foot" | "am" | "volts" | "minutes");
        let mut tokens = Vec::new();
        lex(text, 0, Mark::None, &mut tokens);
        let joined = join(
            tokens,
            &Context {
                heard: &heard,
                unit: &unit,
                spoken,
            },
        );
        let show = |t: &Token| match t.kind {
            Kind::Number(v) => format!("{}", (v * 1e6).round() / 1e6),
            _ => t.text.clone(),
        };
        joined.iter().map(show).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn spoken_numbers() {
        for (text, expected) in [
            ("at twenty-eight fifty rpm", "at 2850 rpm"),
            ("thirty four fifty", "3450"),
            ("twenty one hundred", "2100"),
            ("one ninety eight", "198"),
            ("two oh eight", "208"),
            ("a hundred and thirteen on", "113 on"),
            ("seven point four five", "7.45"),
            ("point six", "0.6"),
            ("thirteen and a half", "13.5"),
            ("1 1/2", "1.5"),
            ("three eighths", "0.375"),
            ("eleven thousand gallons", "11000 gallons"),
            ("eighteen thousand two hundred", "18200"),
            ("the old one is fine", "the old one is fine"),
            ("one of two grids", "one of 2 grids"),
            ("from forty to sixty", "from 40 to 60"),
            ("free three P H seven", "free 3 p h 7"),
            ("P H seven five alkalinity ninety", "p h 7.5 alkalinity 90"),
            ("rev three point oh eight", "rev 3.08"),
            ("lost an inch and an eighth a day", "lost 1.125 inch a day"),
            (
                "half an inch, three quarters of an inch",
                "0.5 inch 0.75 inch",
            ),
            (
                "filter is nine teen clean is for teen",
                "filter is 19 clean is 14",
            ),
        ] {
            assert_eq!(show(text, false), expected, "{text}");
        }
    }

    #[test]
    fn misheard_numbers_in_a_spoken_note() {
        for (text, expected) in [
            ("thirty too hundred", "3200"),
            ("forty ate gallons", "48 gallons"),
            ("too forty tree volts", "243 volts"),
            ("for degrees in to out", "4 degrees in to out"),
            ("six point too amps", "6.2 amps"),
            ("at ate am thirty for", "at 8 am 34"),
            ("twenty tree by the people", "23 by the people"),
            ("it went to one ninety ate", "it went to 198"),
            ("twelve thousand for hundred", "12400"),
        ] {
            assert_eq!(show(text, true), expected, "{text}");
        }
    }
}
