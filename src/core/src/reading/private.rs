//! Private pieces of a note: gate and alarm codes, phone numbers, e-mail, where a key lies, card numbers.
//!
//! They are split off while reading, kept in a field of their own and never enter the index of words. The rule errs on
//! the side of hiding: a number beside "gate" or "code" is a code.

use super::{
    lexer::{Kind, Mark},
    phones,
    words::Words,
};
use std::ops::Range;

/// What stands in the place of a private piece.
pub const MASK: &str = "\u{2022}\u{2022}\u{2022}";

/// Words beside which a number is a code.
fn guards(word: &str) -> bool {
    matches!(
        word,
        "gate"
            | "code"
            | "codes"
            | "alarm"
            | "lockbox"
            | "lock"
            | "box"
            | "keypad"
            | "combo"
            | "combination"
            | "pin"
            | "padlock"
            | "keysafe"
            | "safe"
            | "passcode"
            | "entry"
    )
}

/// Byte ranges of the private pieces of a visit, in order, not overlapping.
#[must_use]
pub fn find(note: &str, words: &Words, visit: &Range<usize>) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = Vec::new();
    for (at, token) in words.tokens.iter().enumerate() {
        match token.kind {
            Kind::Number(value)
                if value.fract() == 0.0
                    && token.text.len() >= 3
                    && token.text.bytes().all(|b| b.is_ascii_digit())
                    && guarded(words, at) =>
            {
                out.push(extended(note, token.span.clone()));
            }
            Kind::Word if matches!(token.text.as_str(), "key" | "keys") && hides(words, at) => {
                let end = words
                    .tokens
                    .iter()
                    .skip(at)
                    .take(9)
                    .take_while(|t| t.span == token.span || t.before < Mark::Comma)
                    .last();
                out.push(token.span.start..end.map_or(token.span.end, |t| t.span.end));
            }
            _ => {}
        }
    }
    let text = note.get(visit.clone()).unwrap_or_default();
    let numbers = phones::find(text).into_iter();
    out.extend(numbers.map(|r| visit.start + r.start..visit.start + r.end));
    out.extend(emails(note, visit));
    out.sort_by_key(|r| (r.start, r.end));
    let mut merged: Vec<Range<usize>> = Vec::new();
    for range in out {
        match merged.last_mut() {
            Some(last) if range.start <= last.end => last.end = last.end.max(range.end),
            _ => merged.push(range),
        }
    }
    merged
}

/// A piece of a note with every private piece of it replaced by dots. A private piece that runs over a line end keeps the
/// line end, so that lines stay countable.
#[must_use]
pub fn masked(note: &str, piece: &Range<usize>, private: &[Range<usize>]) -> String {
    let mut out = String::with_capacity(piece.len());
    let mut at = piece.start;
    for hidden in private {
        let (start, end) = (hidden.start.max(at), hidden.end.min(piece.end));
        if start >= end {
            continue;
        }
        out.push_str(note.get(at..start).unwrap_or_default());
        out.push_str(MASK);
        let lines = note
            .get(start..end)
            .unwrap_or_default()
            .matches('\n')
            .count();
        out.extend(std::iter::repeat_n('\n', lines));
        at = end;
    }
    out.push_str(note.get(at..piece.end).unwrap_or_default());
    out
}

/// A guard word within the three words before, in the same statement, and nothing that makes it a measurement.
fn guarded(words: &Words, at: usize) -> bool {
    let low = at.saturating_sub(3);
    let near = words.slice(low..at).iter().any(|t| guards(&t.text));
    let salt_box = words.slice(low..at).iter().any(|t| {
        matches!(
            t.text.as_str(),
            "salt" | "says" | "reads" | "shows" | "ppm" | "error" | "fault"
        )
    });
    let measured = words.tokens.get(at + 1).is_some_and(|t| {
        super::units::unit(&t.text).is_some() && t.before == Mark::None && t.text != "in"
    });
    near && !salt_box && !measured
}

/// Whether a key's hiding place follows.
fn hides(words: &Words, at: usize) -> bool {
    words
        .slice(at + 1..(at + 6).min(words.tokens.len()))
        .iter()
        .any(|t| {
            matches!(
                t.text.as_str(),
                "under" | "behind" | "above" | "inside" | "hangs" | "hidden" | "lies" | "beneath"
            )
        })
}

/// A code's marks: `0912#`, `*2291`.
fn extended(note: &str, span: Range<usize>) -> Range<usize> {
    let after = note
        .get(span.end..)
        .and_then(|t| t.chars().next())
        .is_some_and(|c| matches!(c, '#' | '*'));
    let before = note
        .get(..span.start)
        .and_then(|t| t.chars().next_back())
        .is_some_and(|c| matches!(c, '#' | '*'));
    span.start - usize::from(before)..span.end + usize::from(after)
}

/// Whether letters behind an `@` name a host: parts between dots, the last of two letters or more.
fn is_host(text: &str) -> bool {
    let host = text.trim_end_matches(['.', '-']);
    let last = host.rsplit_once('.').map(|(_, last)| last);
    !host.contains('_')
        && last.is_some_and(|l| l.chars().count() > 1 && l.chars().all(char::is_alphabetic))
}

fn emails(note: &str, visit: &Range<usize>) -> Vec<Range<usize>> {
    let text = note.get(visit.clone()).unwrap_or_default();
    let part = |c: char| c.is_alphanumeric() || matches!(c, '.' | '_' | '-' | '+');
    let mut out = Vec::new();
    for (at, _) in text.match_indices('@') {
        let start = text
            .get(..at)
            .unwrap_or_default()
            .char_indices()
            .rev()
            .take_while(|(_, c)| part(*c))
            .last()
            .map(|(i, _)| i);
        let tail = text.get(at + 1..).unwrap_or_default();
        let length = tail
            .char_indices()
            .take_while(|(_, c)| part(*c))
            .last()
            .map(|(i, c)| i + c.len_utf8());
        if let (Some(start), Some(length)) = (start, length)
            && tail.get(..length).is_some_and(is_host)
        {
            let end = at
                + 1
                + tail
                    .get(..length)
                    .unwrap_or_default()
                    .trim_end_matches('.')
                    .len();
            out.push(visit.start + start..visit.start + end);
        }
    }
    out
}
