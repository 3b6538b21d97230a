//! Cuts text into words, numbers and the marks between them.
//!
//! Marks are no tokens of their own: each token knows the strongest mark that stands before it. So wordings run over
//! commas and dashes, and only sentence ends and line ends stop them. Numbers keep their value; clock times, dates,
//! prices, phone numbers and codes are told apart here, because later stages must never take them for readings.
//! Spans are byte ranges of the note and always lie on character boundaries.

use std::ops::Range;

/// The strongest mark between a token and the one before it, weakest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// A blank or nothing.
    None,
    /// `/`
    Slash,
    /// `-` between words or numbers, without blanks.
    Hyphen,
    /// `,`
    Comma,
    /// A dash with blanks, or a long one.
    Dash,
    /// `=`
    Equals,
    /// `:`
    Colon,
    /// `(`, `)`, quotes.
    Bracket,
    /// `->`, `>`, `→`.
    Arrow,
    /// `;`
    Semicolon,
    /// The end of a table cell.
    Cell,
    /// `.`, `!`, `?`
    Stop,
    /// The end of a line that ends a statement.
    Line,
}

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A word.
    Word,
    /// A number; the value is as written.
    Number(f64),
    /// A clock time in minutes after midnight, as written (`7:30` is 450).
    Clock(u16),
    /// A calendar date.
    Date,
    /// An amount of money.
    Money,
    /// A phone number, part number or other mixture of letters and digits.
    Code,
}

/// A word, number or code.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    /// Bytes of the note.
    pub span: Range<usize>,
    /// Lower case, without apostrophes.
    pub text: String,
    /// What it is.
    pub kind: Kind,
    /// The strongest mark before it.
    pub before: Mark,
    /// `#` stood before the number, or it is an ordinal: it names a piece and measures nothing.
    pub label: bool,
    /// It was written all in capitals.
    pub capitals: bool,
}

impl Token {
    /// The number's value, where it is one.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        match self.kind {
            Kind::Number(value) => Some(value),
            _ => None,
        }
    }
}

/// Cuts `text`, whose first byte stands at `offset` in the note, and appends its tokens; the first one gets `first`
/// as the mark before it.
pub fn lex(text: &str, offset: usize, first: Mark, out: &mut Vec<Token>) {
    let mut lexer = Lexer {
        text,
        offset,
        at: 0,
        mark: first,
        blank: true,
        hash: false,
        money: false,
    };
    lexer.run(out);
}

struct Lexer<'t> {
    text: &'t str,
    offset: usize,
    at: usize,
    mark: Mark,
    blank: bool,
    hash: bool,
    money: bool,
}

impl Lexer<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn raise(&mut self, mark: Mark) {
        self.mark = self.mark.max(mark);
    }

    fn run(&mut self, out: &mut Vec<Token>) {
        while let Some(c) = self.rest().chars().next() {
            if c.is_ascii_digit() || (c == '.' && self.starts_decimal()) {
                self.number(out);
                continue;
            }
            if let Some(value) = vulgar_fraction(c) {
                let start = self.at;
                self.at += c.len_utf8();
                match out.last_mut() {
                    Some(last)
                        if self.mark == Mark::None && last.span.end == self.offset + start =>
                    {
                        if let Kind::Number(whole) = last.kind {
                            last.kind = Kind::Number(whole + value);
                            last.span.end = self.offset + self.at;
                            continue;
                        }
                        self.push(out, start, Kind::Number(value));
                    }
                    _ => self.push(out, start, Kind::Number(value)),
                }
                continue;
            }
            if c.is_alphabetic() {
                self.word(out);
                continue;
            }
            self.mark_of(c, out);
        }
    }

    fn starts_decimal(&self) -> bool {
        let mut chars = self.rest().chars().skip(1);
        self.blank && chars.next().is_some_and(|c| c.is_ascii_digit())
    }

    /// A mark of inches (`3"`): right behind a digit, with no quotation open.
    fn closes_no_quotation(&self) -> bool {
        let before = self.text.get(..self.at).unwrap_or_default();
        before.ends_with(|c: char| c.is_ascii_digit() || vulgar_fraction(c).is_some())
            && before.matches('"').count() % 2 == 0
            && !before.contains('\u{201c}')
    }

    fn mark_of(&mut self, c: char, out: &mut Vec<Token>) {
        let next_blank = self.rest().chars().nth(1).is_none_or(char::is_whitespace);
        let was_blank = self.blank;
        self.blank = true;
        match c {
            '\n' => self.raise(Mark::None),
            c if c.is_whitespace() => {}
            '.' | '!' | '?' if c != '.' || next_blank || was_blank => self.raise(Mark::Stop),
            ',' => self.raise(Mark::Comma),
            ';' => self.raise(Mark::Semicolon),
            ':' => self.raise(Mark::Colon),
            '=' => self.raise(Mark::Equals),
            '/' => self.raise(Mark::Slash),
            '"' if !self.closes_no_quotation() => self.raise(Mark::Bracket),
            '(' | ')' | '[' | ']' | '\u{201c}' | '\u{201d}' => self.raise(Mark::Bracket),
            '\u{2192}' | '>' => self.raise(Mark::Arrow),
            '-' if self.rest().starts_with("->") => {
                self.raise(Mark::Arrow);
                self.at += 1;
            }
            '-' | '\u{2013}' | '\u{2212}' => {
                let digit_next = self
                    .rest()
                    .chars()
                    .nth(1)
                    .is_some_and(|n| n.is_ascii_digit());
                if was_blank && digit_next && c != '\u{2013}' {
                    // "-3 C": a sign, kept for the number that follows.
                    self.at += c.len_utf8();
                    let start = self.at;
                    self.number(out);
                    if let Some(last) = out.last_mut()
                        && last.span.start == self.offset + start
                        && let Kind::Number(value) = last.kind
                    {
                        last.kind = Kind::Number(-value);
                        last.span.start -= c.len_utf8();
                    }
                    return;
                }
                self.raise(if was_blank || next_blank {
                    Mark::Dash
                } else {
                    Mark::Hyphen
                });
            }
            '\u{2014}' => self.raise(Mark::Dash),
            '"' | '\u{2033}' if self.closes_no_quotation() => {
                let start = self.at;
                self.at += c.len_utf8();
                self.push_text(out, start, "inch".to_owned(), Kind::Word);
                return;
            }
            '#' => {
                self.hash = true;
                self.at += 1;
                return;
            }
            '$' | '\u{a3}' | '\u{20ac}' => {
                self.money = true;
                self.at += c.len_utf8();
                return;
            }
            '%' => {
                let start = self.at;
                self.at += 1;
                self.push_text(out, start, "percent".to_owned(), Kind::Word);
                return;
            }
            '\u{b0}' => {
                let start = self.at;
                self.at += c.len_utf8();
                let tail = self
                    .rest()
                    .chars()
                    .next()
                    .unwrap_or(' ')
                    .to_ascii_lowercase();
                let text = match tail {
                    'c' | 'f' => {
                        self.at += 1;
                        format!("deg{tail}")
                    }
                    _ => "deg".to_owned(),
                };
                self.push_text(out, start, text, Kind::Word);
                return;
            }
            '\u{3a9}' | '\u{2126}' => {
                let start = self.at;
                self.at += c.len_utf8();
                self.push_text(out, start, "ohm".to_owned(), Kind::Word);
                return;
            }
            '\u{b5}' | '\u{3bc}' => return self.word(out),
            '+' => {
                let start = self.at;
                self.at += 1;
                self.push_text(out, start, "plus".to_owned(), Kind::Word);
                return;
            }
            '&' => {
                let start = self.at;
                self.at += 1;
                self.push_text(out, start, "and".to_owned(), Kind::Word);
                return;
            }
            _ => {}
        }
        if !c.is_whitespace() {
            self.hash = false;
            self.money = false;
        }
        self.at += c.len_utf8();
    }

    fn word(&mut self, out: &mut Vec<Token>) {
        let start = self.at;
        let mut end = start;
        let mut digits = false;
        for (i, c) in self.rest().char_indices() {
            let inside = c.is_alphabetic()
                || matches!(c, '\'' | '\u{2019}' | '\u{b5}' | '\u{3bc}')
                || c.is_ascii_digit()
                || matches!(c, '\u{b2}' | '\u{b3}')
                || (c == '/' && start + i == end && self.text.get(start..end) == Some("w"));
            if !inside {
                break;
            }
            digits |= c.is_ascii_digit();
            end = start + i + c.len_utf8();
        }
        // "HX4-N", "TS-10K-20": a code goes on over hyphens while digits are about.
        let mut code_end = end;
        if self.text.get(start..end).is_some_and(|w| {
            w.chars()
                .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit())
        }) {
            let tail = self.text.get(end..).unwrap_or_default();
            let length = tail
                .char_indices()
                .take_while(|(_, c)| c.is_ascii_uppercase() || c.is_ascii_digit() || *c == '-')
                .map(|(i, c)| i + c.len_utf8())
                .last()
                .unwrap_or(0);
            let tail = tail.get(..length).unwrap_or_default().trim_end_matches('-');
            if tail.starts_with('-') && tail.bytes().any(|b| b.is_ascii_digit()) {
                code_end = end + tail.len();
                digits = true;
            }
        }
        let end = code_end;
        self.at = end;
        let raw = self.text.get(start..end).unwrap_or_default();
        let text: String = raw
            .chars()
            .filter(|c| !matches!(c, '\'' | '\u{2019}'))
            .map(plain_power)
            .flat_map(char::to_lowercase)
            .collect();
        let text = text.strip_suffix('/').map_or(text.clone(), str::to_owned);
        if text.is_empty() {
            return;
        }
        let short = text.chars().count() <= 3;
        let kind = if digits && (!short || raw.contains('-')) {
            Kind::Code
        } else {
            Kind::Word
        };
        self.push_text(out, start, text, kind);
    }

    fn number(&mut self, out: &mut Vec<Token>) {
        let start = self.at;
        let shape = shape(self.rest());
        self.at = start + shape.length;
        let raw = self
            .text
            .get(start..self.at)
            .unwrap_or_default()
            .to_lowercase();
        let mut kind = shape.kind;
        if self.money && !matches!(kind, Kind::Date) {
            kind = Kind::Money;
        }
        // "1st", "2nd": an ordinal names, it does not count.
        let tail = self
            .rest()
            .get(..2)
            .unwrap_or_default()
            .to_ascii_lowercase();
        let ordinal = matches!(tail.as_str(), "st" | "nd" | "rd" | "th")
            && !self
                .rest()
                .chars()
                .nth(2)
                .is_some_and(char::is_alphanumeric);
        if ordinal {
            self.at += 2;
        }
        let label = (self.hash || ordinal) && matches!(kind, Kind::Number(_));
        self.push_text(out, start, raw, kind);
        if let Some(last) = out.last_mut() {
            last.label = label;
            last.capitals = false;
        }
        // "2850RPM": the unit follows without a blank, as its own word.
        self.blank = false;
    }

    fn push(&mut self, out: &mut Vec<Token>, start: usize, kind: Kind) {
        let text = self.text.get(start..self.at).unwrap_or_default().to_owned();
        self.push_text(out, start, text, kind);
    }

    fn push_text(&mut self, out: &mut Vec<Token>, start: usize, text: String, kind: Kind) {
        let raw = self.text.get(start..self.at).unwrap_or_default();
        let capitals = raw.chars().filter(|c| c.is_alphabetic()).count() >= 2
            && !raw.chars().any(char::is_lowercase);
        let span = self.offset + start..self.offset + self.at;
        out.push(Token {
            span,
            text,
            kind,
            before: self.mark,
            label: false,
            capitals,
        });
        self.mark = Mark::None;
        self.blank = false;
        self.hash = false;
        self.money = false;
    }
}

/// The small figures of "m²" and "m³" as plain ones.
fn plain_power(c: char) -> char {
    match c {
        '\u{b2}' => '2',
        '\u{b3}' => '3',
        other => other,
    }
}

fn vulgar_fraction(c: char) -> Option<f64> {
    Some(match c {
        '\u{bd}' => 0.5,
        '\u{bc}' => 0.25,
        '\u{be}' => 0.75,
        '\u{2153}' => 1.0 / 3.0,
        '\u{2154}' => 2.0 / 3.0,
        '\u{2155}' => 0.2,
        '\u{2156}' => 0.4,
        '\u{2157}' => 0.6,
        '\u{2158}' => 0.8,
        '\u{2159}' => 1.0 / 6.0,
        '\u{215a}' => 5.0 / 6.0,
        '\u{215b}' => 0.125,
        '\u{215c}' => 0.375,
        '\u{215d}' => 0.625,
        '\u{215e}' => 0.875,
        _ => return None,
    })
}

struct Shape {
    length: usize,
    kind: Kind,
}

/// A date, clock time or part number is no longer than this; a bound keeps a long row of figures from being looked
/// through once for each of them.
const LONGEST_RUN: usize = 64;

/// What the digits at the start of `text` are.
fn shape(text: &str) -> Shape {
    let run = text
        .bytes()
        .take(LONGEST_RUN)
        .take_while(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'/' | b':' | b'-'))
        .count();
    let run = text
        .get(..run)
        .unwrap_or_default()
        .trim_end_matches(['.', ',', '/', ':', '-']);
    let after = text.get(run.len()..).and_then(|t| t.chars().next());
    if let Some(length) = date_length(run) {
        return Shape {
            length,
            kind: Kind::Date,
        };
    }
    if let Some(shape) = clock(run) {
        return shape;
    }
    // Phone numbers and part numbers: two runs of digits or more around hyphens, at least seven digits in all,
    // or digits and letters around a hyphen ("88-2114B").
    if run.contains('-') {
        let digits = run.bytes().filter(u8::is_ascii_digit).count();
        let letters_follow = after.is_some_and(|c| c.is_ascii_uppercase())
            && !text
                .get(run.len()..)
                .is_some_and(|t| t.chars().nth(1).is_some_and(char::is_lowercase));
        // Two groups of four are a range of speeds.
        let range = run.len() == 9 && run.find('-') == Some(4) && !letters_follow;
        if run.bytes().all(|b| b.is_ascii_digit() || b == b'-')
            && !range
            && (digits >= 7 || (letters_follow && digits >= 5))
        {
            let tail = text.get(run.len()..).unwrap_or_default();
            let tail = tail
                .bytes()
                .take_while(|b| b.is_ascii_uppercase() || b.is_ascii_digit())
                .count();
            return Shape {
                length: run.len() + tail,
                kind: Kind::Code,
            };
        }
    }
    let bytes = text.as_bytes();
    let figures = |from: usize| {
        let tail = bytes.get(from..).unwrap_or_default();
        tail.iter().take_while(|b| b.is_ascii_digit()).count()
    };
    let mut length = figures(0);
    let mut digits: String = text.get(..length).unwrap_or_default().to_owned();
    // Thousands: "2,850", "1,234,567"; a narrow blank parts them too.
    let opens = length <= 3;
    while opens
        && let Some(mark) = text.get(length..).and_then(thousands_mark)
        && figures(length + mark) == 3
    {
        let group = length + mark;
        digits.push_str(text.get(group..group + 3).unwrap_or_default());
        length = group + 3;
    }
    // "40 000": a group of noughts is no reading of its own.
    if opens
        && length > 0
        && text.get(length..).is_some_and(|t| t.starts_with(" 000"))
        && figures(length + 1) == 3
        && !text.starts_with('0')
    {
        digits.push_str("000");
        length += 4;
    }
    if bytes.get(length) == Some(&b'.') && bytes.get(length + 1).is_some_and(u8::is_ascii_digit) {
        let decimals = figures(length + 1);
        digits.push('.');
        digits.push_str(
            text.get(length + 1..length + 1 + decimals)
                .unwrap_or_default(),
        );
        length += 1 + decimals;
    } else if bytes.get(length) == Some(&b'/') && length <= 2 {
        // "1/2": a fraction where the lower number is one that fractions have.
        let lower = figures(length + 1);
        let denominator: f64 = text
            .get(length + 1..length + 1 + lower)
            .unwrap_or_default()
            .parse()
            .unwrap_or(0.0);
        let numerator: f64 = digits.parse().unwrap_or(0.0);
        if matches!(denominator as u32, 2 | 3 | 4 | 8 | 16 | 32)
            && numerator < denominator
            && numerator > 0.0
        {
            return Shape {
                length: length + 1 + lower,
                kind: Kind::Number(numerator / denominator),
            };
        }
    }
    let value = digits.parse().unwrap_or(0.0);
    Shape {
        length: length.max(1),
        kind: Kind::Number(value),
    }
}

/// The length of a mark that parts thousands: a comma, or a blank that no line breaks at.
fn thousands_mark(text: &str) -> Option<usize> {
    let mark = text.chars().next()?;
    matches!(mark, ',' | '\u{202f}' | '\u{2009}').then(|| mark.len_utf8())
}

/// The length of a date such as `2025-06-13`, `13/6/25`, `3.2.26` at the start of `run`.
fn date_length(run: &str) -> Option<usize> {
    for mark in ['/', '-', '.'] {
        let end = run
            .find(|c: char| !c.is_ascii_digit() && c != mark)
            .unwrap_or(run.len());
        let text = run.get(..end)?;
        let parts: Vec<&str> = text.split(mark).collect();
        let [a, b, c] = parts.as_slice() else {
            continue;
        };
        let length_ok = |p: &str| matches!(p.len(), 1 | 2);
        let value = |p: &str| p.parse::<u32>().unwrap_or(99);
        let year_last = length_ok(a) && length_ok(b) && matches!(c.len(), 2 | 4);
        let year_first = a.len() == 4 && length_ok(b) && length_ok(c);
        if (year_last
            && (1..=31).contains(&value(a))
            && (1..=31).contains(&value(b))
            && value(a).min(value(b)) <= 12)
            || (year_first && (1..=12).contains(&value(b)) && (1..=31).contains(&value(c)))
        {
            return Some(text.len());
        }
    }
    None
}

fn clock(run: &str) -> Option<Shape> {
    let (hours, rest) = run.split_once(':')?;
    let minutes = rest.get(..2)?;
    if hours.len() > 2 || !minutes.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let (h, m): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
    if h > 24 || m > 59 {
        return None;
    }
    // Seconds are part of the time, and nothing needs them.
    let seconds = rest.get(2..5).is_some_and(|s| {
        let digits = s.strip_prefix(':').unwrap_or_default();
        digits.len() == 2 && digits.bytes().all(|b| b.is_ascii_digit())
    });
    Some(Shape {
        length: hours.len() + if seconds { 6 } else { 3 },
        kind: Kind::Clock(h * 60 + m),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn show(text: &str) -> String {
        let mut out = Vec::new();
        lex(text, 0, Mark::None, &mut out);
        let show = |t: &Token| match t.kind {
            Kind::Word => t.text.clone(),
            Kind::Number(v) if t.label => format!("#{v}"),
            Kind::Number(v) => format!("{v}"),
            Kind::Clock(m) => format!("{:02}:{:02}", m / 60, m % 60),
            Kind::Date => "date".to_owned(),
            Kind::Money => "money".to_owned(),
            Kind::Code => format!("<{}>", t.text),
        };
        for token in &out {
            assert!(text.get(token.span.clone()).is_some(), "{token:?}");
        }
        out.iter().map(show).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn numbers_and_what_only_looks_like_them() {
        for (text, expected) in [
            ("2,850 rpm", "2850 rpm"),
            ("2850RPM", "2850 rpm"),
            ("1.9 bar, 190 kPa", "1.9 bar 190 kpa"),
            ("38F -3 °C 27\u{b0}C", "38 f -3 degc 27 degc"),
            ("1/2 inch 7\u{bd} .5", "0.5 inch 7.5 0.5"),
            ("1,234,567.5 40\u{202f}000 22,24", "1234567.5 40000 22 24"),
            ("40 000 litres, 12 340", "40000 litres 12 340"),
            ("7:30a 16:05 7:56:30pm", "07:30 a 16:05 07:56 pm"),
            ("on 3.2.26 and 13/6/25, 2025-06-13", "on date and date date"),
            ("$1,260 for #3, 2nd one", "money for #3 #2 one"),
            (
                "call 555-0148 part 88-2114B TS-10K-20 E04",
                "call <555-0148> part <88-2114b> <ts-10k-20> e04",
            ),
            ("35% w/ the won't", "35 percent w the wont"),
            ("addr 1-2, 1750-3450 rpm", "addr 1 2 1750 3450 rpm"),
            ("3\" low, 40 he said", "3 inch low 40 he said"),
            ("62 m\u{b3}/h", "62 m3 h"),
        ] {
            assert_eq!(show(text), expected, "{text}");
        }
    }

    #[test]
    fn marks_between() {
        let mut out = Vec::new();
        lex("20 -> 30, a. b; c", 0, Mark::Line, &mut out);
        let marks: Vec<Mark> = out.iter().map(|t| t.before).collect();
        assert_eq!(
            marks,
            [
                Mark::Line,
                Mark::Arrow,
                Mark::Comma,
                Mark::Stop,
                Mark::Semicolon
            ]
        );
    }
}
