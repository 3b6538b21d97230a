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
        .with_unit(i)
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

    /// A number whose unit stands among its words: the value, the words, and the unit.
    fn with_unit(&self, i: usize) -> Option<(f64, usize, &Token)> {
        self.inches(i).or_else(|| self.feet_and_inches(i))
    }

    /// "12 ft 2 in", "five feet and two inches", in feet.
    fn feet_and_inches(&self, i: usize) -> Option<(f64, usize, &Token)> {
        let figure = |k: usize| {
            let near = k == 0 || self.tokens.get(i + k)?.before <= Mark::Hyphen;
            let token = self.tokens.get(i + k).filter(|t| near && !t.label)?;
            token.number().or_else(|| digit_word(&token.text))
        };
        let word = |k: usize| self.word(i + k, First::No);
        let feet = figure(0)?;
        if !matches!(word(1)?, "ft" | "foot" | "feet") {
            return None;
        }
        let skip = usize::from(word(2) == Some("and"));
        let inches = figure(2 + skip).filter(|inches| (0.0..12.0).contains(inches))?;
        let ends = match word(3 + skip)? {
            "inch" | "inches" => true,
            // "2 ft 6 in the deep end" may be neither.
            "in" => !matches!(word(4 + skip), Some("the" | "a" | "all" | "this" | "one")),
            _ => false,
        };
        let unit = self.tokens.get(i + 1)?;
        ends.then_some((feet + inches / 12.0, 4 + skip, unit))
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
        if matches!(word, "minus" | "negative") {
            return self.below_zero(i);
        }
        if let Some(found) = self.part_of_many(i) {
            return Some(found);
        }
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
            let last = self.word(i + n - 1, First::Yes).and_then(scale_word);
            n += d;
            compound = true;
            match self.word(i + n, First::No).and_then(scale_word) {
                // "two and a half thousand", "one billion and a half million"
                Some(scale) if value < scale => {
                    value = (value + fraction) * scale;
                    n += 1;
                }
                Some(scale) => {
                    value += fraction * scale;
                    n += 1;
                }
                // "three million and a half"
                None => value += fraction * last.filter(|s| *s >= 1e6).unwrap_or(1.0),
            }
        } else if let Some(word) = self.word(i + n, First::No)
            && let Some(lower) = lower_word(word)
            && ((value < lower && n == 1) || (value > 1.0 && word.ends_with('s')))
        {
            return Some((value / lower, n + 1));
        } else if self.word(i + n, First::No).is_some_and(is_dozen) {
            return Some((value * 12.0, n + 1));
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

    /// "a dozen", "half a dozen", "quarter million".
    fn part_of_many(&self, i: usize) -> Option<(f64, usize)> {
        let word = |k: usize| self.word(i + k, if k == 0 { First::Yes } else { First::No });
        let part = match word(0)? {
            "a" if word(1) == Some("dozen") => return Some((12.0, 2)),
            "half" => 0.5,
            "quarter" => 0.25,
            _ => return None,
        };
        let skip = 1 + usize::from(word(1) == Some("a"));
        let many = match word(skip)? {
            "dozen" => 12.0,
            other => scale_word(other).filter(|scale| *scale > 100.0)?,
        };
        Some((part * many, skip + 1))
    }

    /// "minus five point five", "negative 5": not behind a number, where it takes away.
    fn below_zero(&self, i: usize) -> Option<(f64, usize)> {
        let takes_away = i
            .checked_sub(1)
            .and_then(|before| self.tokens.get(before))
            .is_some_and(|t| t.number().is_some());
        let next = self
            .tokens
            .get(i + 1)
            .filter(|t| !takes_away && t.before <= Mark::Hyphen && !t.label)
            .filter(|t| !matches!(t.text.as_str(), "minus" | "negative"))?;
        let (value, n) = self
            .number(i + 1)
            .or_else(|| next.number().map(|written| (written, 1)))
            .or_else(|| self.whole(i + 1))?;
        (value > 0.0).then_some((-value, n + 1))
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
        if self.word(i + 1, First::No).is_some_and(is_dozen) {
            return Some((written * 12.0, 2));
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
        self.scaled_digits(i, written)
    }

    /// "12 hundred", "3 hundred and 21", "4 thousand 3 hundred" where the number at `i` is in digits.
    fn scaled_digits(&self, i: usize, written: f64) -> Option<(f64, usize)> {
        let scale = scale_word(self.word(i + 1, First::No)?)?;
        let value = written * scale;
        let rest = self.tokens.get(i + 2).filter(|t| t.before == Mark::None);
        let rest = match rest.and_then(Token::number) {
            Some(digits) => self
                .word(i + 3, First::No)
                .and_then(scale_word)
                .filter(|next| *next < scale)
                .and_then(|_| self.scaled_digits(i + 2, digits)),
            None => self.and_digits(i + 2).or_else(|| {
                let (rest, n) = self.hundreds_rest(i + 2);
                (n > 0).then_some((rest, n))
            }),
        };
        // "3 million and a half"
        if scale >= 1e6
            && let Some((fraction, d)) = self.and_fraction(i + 2)
        {
            return Some((value + fraction * scale, d + 2));
        }
        Some(match rest.filter(|(rest, _)| *rest < scale) {
            Some((rest, n)) => (value + rest, n + 2),
            None => (value, 2),
        })
    }

    /// "and 21" after hundreds in digits; what counts on by itself ("and 2 hundred") is another number.
    fn and_digits(&self, i: usize) -> Option<(f64, usize)> {
        if self.word(i, First::No)? != "and" {
            return None;
        }
        let token = self.tokens.get(i + 1).filter(|t| t.before == Mark::None)?;
        let value = token.number().filter(|v| (1.0..100.0).contains(v))?;
        let plain = token.text.bytes().all(|b| b.is_ascii_digit());
        let counts_on = self
            .word(i + 2, First::No)
            .is_some_and(|w| scale_word(w).is_some() || w == "point");
        (plain && !counts_on).then_some((value, 2))
    }

    fn and_fraction(&self, i: usize) -> Option<(f64, usize)> {
        if self.word(i, First::No)? != "and" {
            return None;
        }
        let article = matches!(self.word(i + 1, First::No), Some("a" | "an" | "one"));
        if article {
            return match self.word(i + 2, First::No)? {
                "half" => Some((0.5, 3)),
                other => lower_word(other).map(|lower| (1.0 / lower, 3)),
            };
        }
        let heard = || Some((self.heard(i + 1)?, 1));
        let near = self.word(i + 1, First::No).is_some();
        let (upper, n) = self.two_digits(i + 1).filter(|_| near).or_else(heard)?;
        let lower = self.word(i + 1 + n, First::No).and_then(lower_word)?;
        (upper < lower).then_some((upper / lower, n + 2))
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
        self.whole_below(i, f64::INFINITY)
    }

    /// A whole number that nothing of `limit` or more multiplies.
    fn whole_below(&self, i: usize, limit: f64) -> Option<(f64, usize)> {
        let word = self.word(i, First::Yes)?;
        // "a hundred and thirteen", "hundred and six"
        if matches!(word, "a") && self.word(i + 1, First::No) == Some("hundred") {
            let (rest, n) = self.hundreds_rest(i + 2);
            return self.scaled(i, 100.0 + rest, n + 2, limit);
        }
        if word == "hundred" {
            let (rest, n) = self.hundreds_rest(i + 1);
            let (value, n) = self.scaled(i, 100.0 + rest, n + 1, limit)?;
            return (n > 1).then_some((value, n));
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
        self.scaled(i, value, n, limit)
    }

    /// "… thousand two hundred", "… million": what multiplies the number of `n` words at `i`, and what follows that.
    fn scaled(&self, i: usize, value: f64, n: usize, limit: f64) -> Option<(f64, usize)> {
        let scale = self.word(i + n, First::No).and_then(scale_word);
        let Some(scale) = scale.filter(|s| *s > 100.0) else {
            return Some((value, n));
        };
        if scale >= limit {
            return None;
        }
        let (mut value, mut n) = (value * scale, n + 1);
        let skip = usize::from(self.word(i + n, First::No) == Some("and"));
        let near = self
            .tokens
            .get(i + n)
            .is_some_and(|t| t.before <= Mark::Hyphen);
        if near
            && let Some((rest, m)) = self.whole_below(i + n + skip, scale)
            && rest < scale
            && !self.is_lower(i + n + skip + m, rest)
        {
            value += rest;
            n += m + skip;
        }
        Some((value, n))
    }

    /// Whether a word is the lower part of a fraction of which `upper` is the upper.
    fn is_lower(&self, i: usize, upper: f64) -> bool {
        let lower = self.word(i, First::No).and_then(|word| match word {
            "half" => Some(2.0),
            other => lower_word(other),
        });
        lower.is_some_and(|lower| upper < lower)
    }

    fn hundreds_rest(&self, i: usize) -> (f64, usize) {
        let skip = usize::from(self.word(i, First::No) == Some("and"));
        if self.word(i + skip, First::No).is_none() {
            return (0.0, 0);
        }
        let heard = self.heard(i + skip).filter(|_| skip == 1).map(|v| (v, 1));
        // "one hundred and three quarters", "three hundred and two hundred": the three and the two are of what follows.
        let counts_on = |rest: f64, n: usize| {
            self.word(i + skip + n, First::No) == Some("hundred")
                || (skip == 1 && self.is_lower(i + skip + n, rest))
        };
        match self
            .two_digits(i + skip)
            .or(heard)
            .filter(|(rest, n)| !counts_on(*rest, *n))
        {
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

fn is_dozen(word: &str) -> bool {
    matches!(word, "dozen" | "dozens" | "doz" | "dozs" | "dz" | "dzs")
}

/// The value of "hundred" and the like.
fn scale_word(word: &str) -> Option<f64> {
    Some(match word {
        "hundred" => 100.0,
        "thousand" | "grand" => 1000.0,
        "million" => 1e6,
        "billion" => 1e9,
        "trillion" => 1e12,
        _ => return None,
    })
}

pub(crate) fn digit_word(word: &str) -> Option<f64> {
    Some(match word {
        "zero" | "nought" | "naught" | "nil" => 0.0,
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

pub(crate) fn tens_word(word: &str) -> Option<f64> {
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
        "quarter" | "quarters" | "fourth" | "fourths" => 4.0,
        "fifth" | "fifths" => 5.0,
        "eighth" | "eighths" => 8.0,
        "ninth" | "ninths" => 9.0,
        "tenth" | "tenths" => 10.0,
        "hundredth" | "hundredths" => 100.0,
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
            ("two hundred and two thousand gallons", "202000 gallons"),
            ("two and a half thousand gallons", "2500 gallons"),
            ("3 hundred and 21, 4 thousand 3 hundred", "321 4300"),
            ("3 hundred and 2 hundred", "300 and 200"),
            ("one hundred and three quarters", "100.75"),
            ("two and fifty-four hundredths", "2.54"),
            ("half a dozen, three dozen", "6 36"),
            (
                "6 ft 3 in deep, 2 ft 6 in the shed",
                "6.25 ft deep 2 ft 6 in the shed",
            ),
            (
                "one second, the other two fifths",
                "one second the other 0.4",
            ),
            ("minus five point five, negative 5", "-5.5 -5"),
            ("240 minus 12 volts", "240 minus 12 volts"),
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
