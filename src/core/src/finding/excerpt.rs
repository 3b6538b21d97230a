//! The place of a visit that answers best, cut short.

use super::wanted::{Wanted, stem};
use std::ops::Range;

/// An excerpt with the words that match marked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Excerpt {
    /// The text, on one line.
    pub text: String,
    /// Line of the visit's text on which it begins, from 0.
    pub line: usize,
    /// Byte ranges of the matching words in `text`.
    pub marks: Vec<Range<usize>>,
}

/// Longest excerpt, in bytes, cut at a word.
const LONGEST: usize = 150;

/// The line of `text` with the most of what is wanted, cut around it.
#[must_use]
pub fn excerpt(wanted: &Wanted, text: &str) -> Excerpt {
    let is_wanted = |word: &str| {
        let stem = stem(&word.to_lowercase());
        wanted.words.iter().any(|w| w.stem == stem)
    };
    let mut best: Option<(usize, usize, &str)> = None;
    for (number, line) in text.lines().enumerate() {
        let count = line
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty() && is_wanted(w))
            .count();
        let heading = line.trim_start().starts_with('#');
        if !line.trim().is_empty()
            && best.is_none_or(|(c, _, b)| {
                count > c || (count == c && c == 0 && (b.trim_start().starts_with('#') && !heading))
            })
        {
            best = Some((count, number, line));
        }
    }
    let Some((_, number, line)) = best else {
        return Excerpt::default();
    };
    let words: Vec<(usize, &str)> = line
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(|w| (w.as_ptr() as usize - line.as_ptr() as usize, w))
        .collect();
    let first = words
        .iter()
        .find(|(_, w)| is_wanted(w))
        .map_or(0, |(at, _)| *at);
    let start = words
        .iter()
        .rev()
        .find(|(at, _)| *at + LONGEST / 4 <= first)
        .map_or(0, |(at, _)| *at);
    let end = words
        .iter()
        .rev()
        .find(|(at, w)| at + w.len() <= start + LONGEST)
        .map_or(line.len(), |(at, w)| at + w.len());
    let end = if end + 2 >= line.len() {
        line.len()
    } else {
        end
    };
    let cut = line.get(start..end).unwrap_or(line);
    let lead = if start > 0 { "\u{2026}" } else { "" };
    let tail = if end < line.len() { "\u{2026}" } else { "" };
    let trimmed = cut.trim();
    let shift = lead.len() as isize - (start + (cut.len() - cut.trim_start().len())) as isize;
    let marks = words
        .iter()
        .filter(|(at, w)| *at >= start && at + w.len() <= end && is_wanted(w))
        .filter_map(|(at, w)| {
            let from = usize::try_from(*at as isize + shift).ok()?;
            Some(from..from + w.len())
        })
        .collect();
    Excerpt {
        text: format!("{lead}{trimmed}{tail}"),
        line: number,
        marks,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{reading::question, trade::Knowledge};

    #[test]
    fn marks_cut_the_words() {
        let wanted = Wanted::of(
            "spider gasket",
            &question::understand("spider gasket", Knowledge::built_in()),
        );
        let text = "# Elm\n\nAll quiet.\nWater ran to waste, so the top came off and a new spider gasket went in, glued, and it is dry since.\n";
        let found = excerpt(&wanted, text);
        assert_eq!(found.line, 3);
        let marked: Vec<&str> = found
            .marks
            .iter()
            .filter_map(|m| found.text.get(m.clone()))
            .collect();
        assert_eq!(marked, ["spider", "gasket"]);
    }
}
