//! Finds a note's words again by a quotation of them.
//!
//! Case, the kind of quotation mark and of dash, emphasis marks and the width of blanks are folded away, and line ends
//! are blanks: a person who copies words from a screen still names the same words.

use crate::note::line_at;
use std::ops::Range;

/// A character with the bytes of the note that it stands for.
struct Folded {
    char: char,
    bytes: Range<usize>,
}

/// Where `words` stand in a part of a note, in order; they begin and end where words do.
#[must_use]
pub fn find(note: &str, part: &Range<usize>, words: &str) -> Vec<Range<usize>> {
    let text = folded(note.get(part.clone()).unwrap_or_default(), part.start);
    let wanted: Vec<char> = folded(words.trim(), 0).iter().map(|f| f.char).collect();
    let (Some(first), Some(last)) = (wanted.first(), wanted.last()) else {
        return Vec::new();
    };
    let joined = |a: Option<&Folded>, b: char| {
        b.is_alphanumeric() && a.is_some_and(|a| a.char.is_alphanumeric())
    };
    let mut out = Vec::new();
    for (at, window) in text.windows(wanted.len()).enumerate() {
        let same = window.iter().zip(&wanted).all(|(a, b)| a.char == *b);
        if !same {
            continue;
        }
        let before = at.checked_sub(1).and_then(|b| text.get(b));
        if joined(before, *first) || joined(text.get(at + wanted.len()), *last) {
            continue;
        }
        if let (Some(a), Some(b)) = (window.first(), window.last()) {
            out.push(a.bytes.start..b.bytes.end);
        }
    }
    out
}

/// Where `words` stand so that they touch that line of a note.
#[must_use]
pub fn on_line(note: &str, line: usize, words: &str) -> Option<Range<usize>> {
    find(note, &(0..note.len()), words)
        .into_iter()
        .find(|span| (line_at(note, span.start)..=line_at(note, span.end)).contains(&line))
}

fn folded(text: &str, offset: usize) -> Vec<Folded> {
    let mut out: Vec<Folded> = Vec::with_capacity(text.len());
    for (at, char) in text.char_indices() {
        let bytes = offset + at..offset + at + char.len_utf8();
        let char = match char {
            '*' | '`' => continue,
            '\u{2018}' | '\u{2019}' => '\'',
            '\u{201c}' | '\u{201d}' => '"',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            c if c.is_whitespace() => ' ',
            c => c.to_lowercase().next().unwrap_or(c),
        };
        match out.last_mut() {
            Some(last) if char == ' ' && last.char == ' ' => last.bytes.end = bytes.end,
            _ => out.push(Folded { char, bytes }),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(note: &str, words: &str, found: &[&str]) {
        let spans = find(note, &(0..note.len()), words);
        let texts: Vec<&str> = spans.iter().map(|s| &note[s.clone()]).collect();
        assert_eq!(texts, found, "{words:?} in {note:?}");
    }

    #[test]
    fn words_are_found_as_a_person_quotes_them() {
        check("The GF20 popped", "the gf20 POPPED", &["The GF20 popped"]);
        check(
            "it  **trips**\nwhen cold",
            "it trips when cold",
            &["it  **trips**\nwhen cold"],
        );
        check("she\u{2019}s out", "she's out", &["she\u{2019}s out"]);
        check("one trip, two trips, no trip", "trip", &["trip", "trip"]);
        check("läuft heiß", "LÄUFT", &["läuft"]);
    }

    #[test]
    fn other_words_are_not() {
        check("it trips", "it tripped", &[]);
        check("it trips", " ", &[]);
        check("it", "it trips when cold", &[]);
        check("tripped", "trip", &[]);
    }
}
