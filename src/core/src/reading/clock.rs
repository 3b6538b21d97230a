//! Times of the day: `7:30`, `8.10 pm`, "half past eight", "quarter to nine in the evening", "noon".
//!
//! A bare number can be a time and most are none, so nothing is searched for here: whoever has a reason to expect a
//! time (words of a schedule, a dash between two of them) asks at a token.

use super::lexer::{Kind, Mark, Token};
use std::ops::Range;

/// Which half of the day is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    /// Before noon.
    Am,
    /// After noon.
    Pm,
}

/// A time of the day as said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Time {
    /// Minutes after midnight by the figures alone: 420 for "7" and for "7 pm".
    pub figures: u16,
    /// The half of the day, where it is said.
    pub half: Option<Half>,
    /// Its tokens.
    pub tokens: Range<usize>,
}

impl Time {
    /// Minutes after midnight.
    #[must_use]
    pub fn minutes(&self) -> u16 {
        match self.half {
            Some(Half::Pm) if self.figures < 720 => self.figures + 720,
            Some(Half::Am) if (720..780).contains(&self.figures) => self.figures - 720,
            _ => self.figures,
        }
    }
}

/// The time that begins at token `at`, if its words can be one.
#[must_use]
pub fn at(tokens: &[Token], at: usize) -> Option<Time> {
    named(tokens, at)
        .or_else(|| from_the_hour(tokens, at))
        .or_else(|| figures(tokens, at))
}

/// The word at `at`, where no mark parts it from the token before.
fn word(tokens: &[Token], at: usize) -> Option<&str> {
    tokens
        .get(at)
        .filter(|t| t.before <= Mark::Hyphen)
        .map(|t| t.text.as_str())
}

/// "noon", "mid-day", "midnight".
fn named(tokens: &[Token], at: usize) -> Option<Time> {
    let first = tokens.get(at).filter(|t| t.kind == Kind::Word)?;
    let (text, end) = match (first.text.as_str(), word(tokens, at + 1)) {
        ("mid", Some("day")) => ("midday", at + 2),
        ("mid", Some("night")) => ("midnight", at + 2),
        (text, _) => (text, at + 1),
    };
    let (figures, half) = match text {
        "noon" | "midday" | "noonish" => (720, Half::Pm),
        "midnight" => (0, Half::Am),
        _ => return None,
    };
    Some(Time {
        figures,
        half: Some(half),
        tokens: at..end,
    })
}

/// "half past eight", "20 min past 9", "a quarter to one". Without a word of minutes "to" is a range: "8 to 4".
fn from_the_hour(tokens: &[Token], at: usize) -> Option<Time> {
    let first = tokens.get(at)?;
    let skip = usize::from(first.text == "a");
    let opens = if skip == 1 {
        word(tokens, at + 1)?
    } else {
        first.text.as_str()
    };
    let (minutes, mut next, sure) = match (opens, first.number()) {
        ("half", _) => (30, at + skip + 1, false),
        ("quarter", _) => (15, at + skip + 1, true),
        // "three quarters" is joined to a number before.
        (_, Some(0.75)) => (45, at + 1, false),
        (_, Some(value)) if value.fract() == 0.0 && (1.0..60.0).contains(&value) => {
            (value as u16, at + 1, false)
        }
        _ => return None,
    };
    let counted = matches!(
        word(tokens, next),
        Some("min" | "mins" | "minute" | "minutes")
    );
    next += usize::from(counted);
    let before_hour = match word(tokens, next)? {
        "past" => false,
        "to" if sure || counted => true,
        _ => return None,
    };
    let hour = figures(tokens, next + 1).filter(|t| t.tokens.start == next + 1)?;
    let total = if before_hour {
        // "quarter to one" is no quarter before nought.
        let whole = if hour.figures < 2 * 60 {
            hour.figures + 720
        } else {
            hour.figures
        };
        whole - minutes
    } else {
        hour.figures + minutes
    };
    Some(Time {
        figures: total,
        half: hour.half,
        tokens: at..hour.tokens.end,
    })
}

/// `7:30`, `7`, `730`, `7.30 pm`, "seven o'clock", "8 in the evening".
fn figures(tokens: &[Token], at: usize) -> Option<Time> {
    let token = tokens.get(at)?;
    let figures = match token.kind {
        Kind::Clock(minutes) => minutes,
        Kind::Number(value) if value >= 0.0 && !token.label => number(value, &token.text)?,
        _ => return None,
    };
    let mut end = at + 1;
    end += usize::from(word(tokens, end) == Some("ish"));
    let oclock = word(tokens, end) == Some("oclock");
    end += usize::from(oclock);
    let (half, length) = half(tokens, end, figures);
    Some(Time {
        figures,
        half,
        tokens: at..end + length,
    })
}

/// The half of the day that follows a time, and its words.
fn half(tokens: &[Token], at: usize, figures: u16) -> (Option<Half>, usize) {
    let part = |k: usize| part_of_day(word(tokens, k), figures);
    match word(tokens, at) {
        Some("am") => (Some(Half::Am), 1),
        Some("pm") => (Some(Half::Pm), 1),
        Some(letter @ ("a" | "p")) => {
            let half = if letter == "a" { Half::Am } else { Half::Pm };
            // "p.m.", "p. m."
            let dotted = tokens
                .get(at + 1)
                .is_some_and(|t| t.text == "m" && t.before <= Mark::Stop);
            (Some(half), 1 + usize::from(dotted))
        }
        Some("noon") => (Some(Half::Pm), 1),
        Some("midnight") => (Some(Half::Am), 1),
        Some("in") if word(tokens, at + 1) == Some("the") => match part(at + 2) {
            Some(half) => (Some(half), 3),
            None => (None, 0),
        },
        Some("at") => match part(at + 1).filter(|_| word(tokens, at + 1) == Some("night")) {
            Some(half) => (Some(half), 2),
            None => (None, 0),
        },
        _ => match part(at) {
            Some(half) => (Some(half), 1),
            None => (None, 0),
        },
    }
}

fn part_of_day(word: Option<&str>, figures: u16) -> Option<Half> {
    Some(match word? {
        "morning" => Half::Am,
        "afternoon" | "evening" => Half::Pm,
        // Twelve and the small hours are of the new day.
        "night" if figures < 5 * 60 || (720..780).contains(&figures) => Half::Am,
        "night" => Half::Pm,
        _ => return None,
    })
}

/// `7`, `730`, `1015`, `7.30` as a time of day.
fn number(value: f64, text: &str) -> Option<u16> {
    if text.contains('.') {
        let (hours, minutes) = text.split_once('.')?;
        let (h, m): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
        return (h < 24 && m < 60 && minutes.len() == 2).then(|| h * 60 + m);
    }
    if value.fract() != 0.0 {
        return None;
    }
    let whole = value as u16;
    match whole {
        0..=24 => Some(whole * 60),
        100..=2359 if whole % 100 < 60 => Some(whole / 100 * 60 + whole % 100),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::lexer::lex;

    #[test]
    fn forms() {
        for (text, expected) in [
            ("7:30", Some((450, 1))),
            ("7.30pm", Some((1170, 2))),
            ("12 a.m. sharp", Some((0, 3))),
            ("half past 8 at night", Some((1230, 5))),
            ("quarter to 1 pm", Some((765, 4))),
            ("12 in the night", Some((0, 4))),
            ("8 to 4", Some((480, 1))),
            ("10 past 9", Some((550, 3))),
            ("mid-day", Some((720, 2))),
            ("28 psi", None),
            ("half full", None),
            ("01487.40", None),
        ] {
            let mut tokens = Vec::new();
            lex(text, 0, Mark::None, &mut tokens);
            let made = at(&tokens, 0).map(|t| (t.minutes(), t.tokens.end));
            assert_eq!(made, expected, "{text}");
        }
    }
}
