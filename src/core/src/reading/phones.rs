//! Phone numbers in a note's text.
//!
//! Read from the text itself and not from its tokens, because a phone number runs over marks that part everything else
//! in a note. What looks like nothing else (a plus, an area code in brackets, three groups around hyphens, seven
//! figures or more in one) is a phone number anywhere; groups parted by blanks or strokes are one only where a word
//! of telephones stands before them, since readings in a row look the same.

use std::ops::Range;

/// Figures of a phone number, least and most (E.164 allows 15, a trunk prefix comes on top).
const FIGURES: (usize, usize) = (7, 16);

/// Bytes before a number in which a word of telephones makes one of it.
const NEAR: usize = 48;

/// Marks between two groups of a phone number.
const BETWEEN: [&str; 18] = [
    " ", "-", ".", "/", ")", ") ", ")-", ").", " (", "(", "- ", " -", " - ", "/ ", ")(", ") (",
    " ) ", "-(",
];

/// Byte ranges of the phone numbers in `text`, in order.
#[must_use]
pub fn find(text: &str) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = Vec::new();
    let mut at = 0;
    let bytes = text.as_bytes();
    while let Some(byte) = bytes.get(at) {
        if !(byte.is_ascii_digit() || matches!(byte, b'+' | b'(')) {
            at += 1;
            continue;
        }
        let run = Run::at(text, at);
        match run
            .as_ref()
            .filter(|_| opens(text, at))
            .and_then(|run| phone(text, run))
        {
            Some(end) => {
                let end = end + extension(text, end);
                out.push(at..end);
                at = end;
            }
            // What was no phone number from its first figure is none from its second.
            None => at = run.map_or(at + 1, |run| run.first_end.max(at + 1)),
        }
    }
    out
}

/// A row of groups of figures with the marks between them.
struct Run<'t> {
    start: usize,
    /// A plus or brackets open it.
    plus: bool,
    bracket: bool,
    groups: Vec<Range<usize>>,
    marks: Vec<&'t str>,
    /// End of its first group.
    first_end: usize,
}

impl<'t> Run<'t> {
    fn at(text: &'t str, start: usize) -> Option<Self> {
        let figures = |from: usize| {
            let tail = text.as_bytes().get(from..).unwrap_or_default();
            let length = tail.iter().take_while(|b| b.is_ascii_digit()).count();
            (length > 0).then_some(from..from + length)
        };
        let head = text.get(start..)?;
        let bracket = head.starts_with('(');
        let rest = head.trim_start_matches(['(', ' ']);
        let plus = rest.starts_with('+');
        let skip = head.len() - rest.len() + usize::from(plus);
        // "( 19 )" and no more blanks than one.
        if skip > 3 {
            return None;
        }
        let first = figures(start + skip)?;
        let first_end = first.end;
        let (mut groups, mut marks) = (vec![first], Vec::new());
        let mut count = first_end - start;
        while let Some(end) = groups.last().map(|g| g.end)
            && count <= 2 * FIGURES.1
        {
            let tail = text.get(end..).unwrap_or_default();
            let mark = BETWEEN
                .iter()
                .filter(|m| tail.starts_with(**m))
                .filter_map(|m| Some((m, figures(end + m.len())?)))
                .max_by_key(|(m, _)| m.len());
            let Some((mark, group)) = mark else { break };
            count += group.len();
            marks.push(*mark);
            groups.push(group);
        }
        Some(Self {
            start,
            plus,
            bracket,
            groups,
            marks,
            first_end,
        })
    }

    /// How many figures its first groups have.
    fn lengths(&self, count: usize) -> Vec<usize> {
        self.groups
            .iter()
            .take(count)
            .map(ExactSizeIterator::len)
            .collect()
    }
}

/// Whether a number may begin at `at`: not within a code, behind a sign of reckoning or the figures of another number.
fn opens(text: &str, at: usize) -> bool {
    let before = text.get(..at).unwrap_or_default();
    let mut back = before.chars().rev();
    let (last, but_one) = (back.next(), back.next());
    let figure = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let marked = text.get(at..).is_some_and(|t| t.starts_with(['+', '(']));
    match last {
        None => true,
        Some(c) if c.is_alphabetic() => marked,
        Some(c) if c.is_ascii_digit() => false,
        Some('.' | ',' | ':' | '/') => !figure(but_one),
        Some('*' | '=' | '^' | '+' | '(' | '$') => false,
        // "-2208960000" is a number below nought, "E-151673398" a code, "OFFICE-1(516)…" neither.
        Some('-') => match but_one {
            Some(c) if c.is_whitespace() => false,
            Some(c) if c.is_alphanumeric() => {
                marked || text.get(at..at + 2).is_some_and(|t| t.ends_with('('))
            }
            None => false,
            Some(_) => true,
        },
        Some(_) => true,
    }
}

/// The end of the phone number that the run begins with, if it does.
fn phone(text: &str, run: &Run<'_>) -> Option<usize> {
    let end_of = |count: usize| run.groups.get(count - 1).map(|g| g.end);
    // Ten figures as three, three and four: whatever follows is no part of it.
    for count in [3, 4] {
        let lengths = run.lengths(count);
        let lengths = if count == 4 {
            lengths.get(1..).unwrap_or_default()
        } else {
            &lengths
        };
        let country = count == 3 || run.groups.first().is_some_and(|g| g.len() == 1);
        let blanks = run.marks.iter().take(count - 1).all(|m| *m == " ");
        let known = !blanks || run.bracket || run.plus || announced(text, run.start);
        if *lengths == [3, 3, 4] && country && known {
            return end_of(count).filter(|end| closes(text, *end));
        }
    }
    // Seven as three and four around a hyphen, too, where a blank follows.
    let local = run.lengths(2) == [3, 4] && run.marks.first() == Some(&"-");
    if local && run.marks.get(1).is_none_or(|m| m.starts_with(' ')) {
        return end_of(2).filter(|end| closes(text, *end));
    }
    let announced = announced(text, run.start);
    (1..=run.groups.len()).rev().find_map(|count| {
        let figures: usize = run.lengths(count).iter().sum();
        let end = end_of(count)?;
        let fits = (FIGURES.0..=FIGURES.1).contains(&figures)
            && (announced || looks_like(text, run, count, figures));
        (fits && closes(text, end) && !is_date(text.get(run.start..end)?)).then_some(end)
    })
}

/// Whether the first groups of a run are a phone number with no word that says so.
fn looks_like(text: &str, run: &Run<'_>, count: usize, figures: usize) -> bool {
    let lengths = run.lengths(count);
    let marks = run.marks.get(..count - 1).unwrap_or_default();
    let first = run
        .groups
        .first()
        .and_then(|g| text.get(g.clone()))
        .unwrap_or_default();
    let all = |wanted: &str| !marks.is_empty() && marks.iter().all(|m| *m == wanted);
    if run.plus {
        return figures >= 8;
    }
    let area = marks
        .first()
        .is_some_and(|m| m.starts_with(')') || *m == " ) ");
    if run.bracket && area {
        return lengths.first().is_some_and(|l| (2..=5).contains(l));
    }
    // One group, groups around hyphens (but two of four are a range of speeds), and the trunk prefix or an international
    // one before groups.
    count == 1
        || (all("-") && *lengths != [4, 4])
        || (all(".") && *lengths == [3, 3, 4])
        || (first.starts_with("00") && figures >= 10)
        || (first.starts_with('0') && first.len() >= 3 && figures >= 9 && all(" "))
}

/// Whether a number may end at `end`.
fn closes(text: &str, end: usize) -> bool {
    let after = text.get(end..).unwrap_or_default();
    let mut ahead = after.chars();
    let (next, second) = (ahead.next(), ahead.next());
    let figure = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    match next {
        // Letters go on with it, but for those of an extension.
        Some(c) if c.is_alphanumeric() => extension(text, end) > 0,
        Some('%' | '*' | '=' | '^') => false,
        Some(')') => true,
        Some('-' | '.' | ',' | ':' | '/') => !figure(second),
        _ => true,
    }
}

/// The length of " ext. 123", "x123" at `end`.
fn extension(text: &str, end: usize) -> usize {
    let tail = text.get(end..).unwrap_or_default();
    let word = tail.trim_start_matches(' ');
    let lower: String = word.chars().take(9).flat_map(char::to_lowercase).collect();
    let name = ["extension", "ext.", "ext", "x"]
        .into_iter()
        .find(|n| lower.starts_with(n));
    let Some(name) = name else { return 0 };
    let rest = word.get(name.len()..).unwrap_or_default();
    let digits = rest.trim_start_matches(' ');
    let length = digits.bytes().take_while(u8::is_ascii_digit).count();
    let ends = !digits
        .get(length..)
        .is_some_and(|t| t.starts_with(char::is_alphanumeric));
    let near = tail.len() - word.len() <= 1 && rest.len() - digits.len() <= 1;
    if near && ends && (1..=6).contains(&length) {
        tail.len() - digits.len() + length
    } else {
        0
    }
}

/// Whether a word of telephones stands before a place, in the same line and sentence.
fn announced(text: &str, at: usize) -> bool {
    let mut low = at.saturating_sub(NEAR);
    while !text.is_char_boundary(low) {
        low += 1;
    }
    let before = text.get(low..at).unwrap_or_default();
    let line = before
        .rsplit(['\n', ';', '!', '?'])
        .next()
        .unwrap_or_default();
    let sentence = line.rsplit(". ").next().unwrap_or_default().to_lowercase();
    sentence.split(|c: char| !c.is_alphanumeric()).any(|word| {
        matches!(
            word,
            "phone"
                | "phones"
                | "telephone"
                | "tel"
                | "mobile"
                | "mob"
                | "fax"
                | "landline"
                | "ring"
                | "call"
                | "text"
                | "sms"
                | "number"
        )
    })
}

/// Whether figures around hyphens or strokes are a date.
fn is_date(text: &str) -> bool {
    let mut tokens = Vec::new();
    super::lexer::lex(text, 0, super::lexer::Mark::None, &mut tokens);
    tokens
        .first()
        .is_some_and(|t| t.kind == super::lexer::Kind::Date)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_are_no_phone_numbers() {
        for text in [
            "rpm 1500 2200 2850 3450",
            "L1 L2 240 241 and 2850 rpm",
            "2025-06-13 salt 3200",
            "1750-3450 rpm",
            "0.000000012",
            "salt cell 2800 3100",
            "part 91a-677-0060",
        ] {
            assert_eq!(find(text), Vec::<Range<usize>>::new(), "{text}");
        }
    }

    #[test]
    fn phone_numbers_are_found_to_their_end() {
        for (text, expected) in [
            ("call 555-0148 2850 rpm", "555-0148"),
            ("ring (541) 754-3010 x12.", "(541) 754-3010 x12"),
            ("tel 0412 345 678, gate", "0412 345 678"),
            ("+61 412 345 678 240V", "+61 412 345 678"),
        ] {
            let found: Vec<&str> = find(text).into_iter().filter_map(|r| text.get(r)).collect();
            assert_eq!(found, [expected], "{text}");
        }
    }
}
