//! A note's own lines with what was understood marked under the words.
//!
//! ```text
//!  7 | Breaker trips when cold, no leaks. Replaced the breaker.
//!    | ^^^^^^^^^^^^^^^^^^^^^^^ symptom: breaker-trips (cold)
//!    |                          ~~~~~~~~ symptom, denied: pump-leaks
//! ```
//!
//! Lines are wrapped to the width first and marked then, so that marks stay under their words at any width. A mark's label
//! stands beside it where there is room, else on the row below; marks share a row where they do not touch. Private pieces
//! stand as dots.

use crate::cli::screen::{Tone, toned};
use padlore_core::reading::{facts::Span, private::MASK};
use std::ops::Range;
use textwrap::core::display_width;

/// How a marked fact is meant, for its sign and its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meant {
    /// It is so.
    So,
    /// It is denied, past, planned or only thought of.
    NotSo,
}

/// What was understood from a run of a note.
#[derive(Clone, Debug)]
pub struct Mark {
    /// Its words.
    pub span: Span,
    /// What was understood, shortly.
    pub label: String,
    /// How it is meant.
    pub meant: Meant,
}

/// A character as it is shown.
struct Cell {
    /// Its byte in the note.
    at: usize,
    shown: char,
    width: usize,
}

/// A line of a note.
pub struct NoteLine<'n> {
    /// Its number, from 1.
    pub number: usize,
    /// Byte of the note at which it begins.
    pub start: usize,
    /// Its text without the line end.
    pub text: &'n str,
}

/// The rows that show a line with its marks, in `width` columns, the number in `digits` of them.
#[must_use]
pub fn rows(
    line: &NoteLine<'_>,
    marks: &[Mark],
    private: &[Span],
    width: usize,
    digits: usize,
) -> Vec<String> {
    let gutter = |number: &str| toned(Tone::Faint, &format!("{number:>digits$} |"));
    let room = width.saturating_sub(digits + 3).max(10);
    let cells = cells(line, private);
    let mut out = Vec::new();
    let mut number = line.number.to_string();
    let pieces = wrapped(&cells, room);
    for (place, piece) in pieces.iter().enumerate() {
        let end = pieces
            .get(place + 1)
            .and_then(|next| cells.get(next.start))
            .map_or(line.start + line.text.len(), |c| c.at);
        let mut shown = cells.get(piece.clone()).unwrap_or_default();
        while let [rest @ .., Cell { shown: ' ', .. }] = shown {
            shown = rest;
        }
        let text = coloured(shown, marks);
        out.push(format!("{} {text}", gutter(&number)).trim_end().to_owned());
        number.clear();
        let rows = mark_rows(shown, end, marks, room);
        out.extend(rows.iter().map(|row| format!("{} {row}", gutter(""))));
    }
    out
}

fn cells(line: &NoteLine<'_>, private: &[Span]) -> Vec<Cell> {
    let mut out = Vec::with_capacity(line.text.len());
    let mut hidden: Option<&Span> = None;
    for (at, char) in line.text.trim_end().char_indices() {
        let at = line.start + at;
        let now = private.iter().find(|p| p.contains(&at));
        if now.is_some() {
            if now != hidden {
                out.extend(MASK.chars().map(|c| cell(at, c)));
            }
        } else {
            match char {
                '\t' => out.extend([cell(at, ' '), cell(at, ' ')]),
                // A note must not move the cursor of a terminal.
                c if c.is_control() => out.push(cell(at, '\u{fffd}')),
                c => out.push(cell(at, c)),
            }
        }
        hidden = now;
    }
    out
}

fn cell(at: usize, shown: char) -> Cell {
    let width = display_width(shown.encode_utf8(&mut [0; 4]));
    Cell { at, shown, width }
}

/// The pieces of a line that fit into `room` columns, cut at blanks where there are any; at least one.
fn wrapped(cells: &[Cell], room: usize) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    let (mut start, mut column) = (0, 0);
    // Behind the last blank of the piece.
    let mut blank: Option<usize> = None;
    let mut at = 0;
    while let Some(cell) = cells.get(at) {
        if column + cell.width > room && at > start && cell.shown != ' ' {
            let end = blank.filter(|b| *b > start).unwrap_or(at);
            out.push(start..end);
            (start, at, column, blank) = (end, end, 0, None);
            continue;
        }
        column += cell.width;
        at += 1;
        if cell.shown == ' ' {
            blank = Some(at);
        }
    }
    out.push(start..cells.len());
    out
}

/// The text, its marked words in their colour.
fn coloured(cells: &[Cell], marks: &[Mark]) -> String {
    let tone = |cell: &Cell| {
        let over = |meant: Meant| {
            marks
                .iter()
                .any(|m| m.meant == meant && m.span.contains(&cell.at))
        };
        if over(Meant::So) {
            Some(Tone::Mark)
        } else if over(Meant::NotSo) {
            Some(Tone::Caution)
        } else {
            None
        }
    };
    let runs = cells.chunk_by(|a, b| tone(a) == tone(b));
    runs.map(|run| {
        let text: String = run.iter().map(|c| c.shown).collect();
        match run.first().and_then(tone) {
            Some(tone) => toned(tone, &text),
            None => text,
        }
    })
    .collect()
}

/// A piece of a row: its column, its text, its colour.
struct Piece {
    column: usize,
    text: String,
    tone: Tone,
}

/// The rows of marks under a piece of a line that ends before byte `end`.
fn mark_rows(cells: &[Cell], end: usize, marks: &[Mark], room: usize) -> Vec<String> {
    /// Columns between what shares a row.
    const APART: usize = 2;
    let mut rows: Vec<Vec<Piece>> = Vec::new();
    for mark in marks {
        let Some((column, length)) = under(cells, &mark.span) else {
            continue;
        };
        let (sign, tone) = match mark.meant {
            Meant::So => ("^", Tone::Mark),
            Meant::NotSo => ("~", Tone::Caution),
        };
        let mut text = sign.repeat(length);
        // A mark that goes on below has its label there.
        let label = if mark.span.end <= end {
            mark.label.as_str()
        } else {
            ""
        };
        let beside = column + length + 1 + display_width(label) <= room;
        if beside && !label.is_empty() {
            text = format!("{text} {label}");
        }
        let (from, to) = (column, column + display_width(&text));
        let free = |row: &[Piece]| {
            row.iter().all(|p| {
                p.column + display_width(&p.text) + APART <= from || to + APART <= p.column
            })
        };
        let piece = Piece { column, text, tone };
        if !beside && !label.is_empty() {
            // The label stands right below its mark, alone.
            rows.push(vec![piece]);
            let start = column.min(room.saturating_sub(display_width(label)));
            for line in textwrap::wrap(label, room) {
                rows.push(vec![Piece {
                    column: start,
                    text: line.into_owned(),
                    tone,
                }]);
            }
            continue;
        }
        match rows.iter_mut().find(|row| free(row)) {
            Some(row) => row.push(piece),
            None => rows.push(vec![piece]),
        }
    }
    rows.into_iter().map(row).collect()
}

/// The column and width under which a run of the note stands in these cells; `None` where it does not.
fn under(cells: &[Cell], span: &Span) -> Option<(usize, usize)> {
    let first = cells.iter().position(|c| span.contains(&c.at))?;
    let last = cells
        .iter()
        .rposition(|c| span.contains(&c.at) && c.shown != ' ')?;
    let width = |range: Range<usize>| -> usize {
        let cells = cells.get(range).unwrap_or_default();
        cells.iter().map(|c| c.width).sum()
    };
    (first <= last).then(|| (width(0..first), width(first..last + 1)))
}

fn row(mut pieces: Vec<Piece>) -> String {
    pieces.sort_by_key(|p| p.column);
    let mut out = String::new();
    let mut column = 0;
    for piece in &pieces {
        out.push_str(&" ".repeat(piece.column.saturating_sub(column)));
        out.push_str(&toned(piece.tone, &piece.text));
        column = piece.column + display_width(&piece.text);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(row: &str) -> String {
        anstream::adapter::strip_str(row).to_string()
    }

    fn check(text: &str, marks: &[(&str, Meant, &str)], width: usize, expected: &[&str]) {
        let marks: Vec<Mark> = marks
            .iter()
            .map(|(words, meant, label)| {
                let start = text.find(words).unwrap_or_default();
                Mark {
                    span: start..start + words.len(),
                    label: (*label).to_owned(),
                    meant: *meant,
                }
            })
            .collect();
        let line = NoteLine {
            number: 7,
            start: 0,
            text,
        };
        let rows = rows(&line, &marks, &[], width, 2);
        let rows: Vec<String> = rows.iter().map(|r| plain(r)).collect();
        assert_eq!(rows, expected);
        for row in &rows {
            assert!(display_width(row) <= width, "{row:?} is wider than {width}");
        }
    }

    #[test]
    fn marks_stand_under_their_words() {
        check("plain words", &[], 40, &[" 7 | plain words"]);
        check(
            "Breaker trips, no leaks.",
            &[
                ("Breaker trips", Meant::So, "symptom: breaker-trips"),
                ("Breaker", Meant::So, "breaker"),
                ("no leaks", Meant::NotSo, "denied: leak"),
            ],
            60,
            &[
                " 7 | Breaker trips, no leaks.",
                "   | ^^^^^^^^^^^^^ symptom: breaker-trips",
                "   | ^^^^^^^ breaker",
                "   |                ~~~~~~~~ denied: leak",
            ],
        );
        // Wide characters take two columns, and marks that do not touch share a row.
        check(
            "水泵 hot, 水 low",
            &[("hot", Meant::So, "a"), ("low", Meant::So, "b")],
            40,
            &[" 7 | 水泵 hot, 水 low", "   |      ^^^ a   ^^^ b"],
        );
    }

    #[test]
    fn lines_wrap_and_labels_find_room() {
        check(
            "one two three breaker trips when it is cold",
            &[(
                "breaker trips when it is cold",
                Meant::So,
                "symptom: breaker-trips",
            )],
            30,
            &[
                " 7 | one two three breaker",
                "   |               ^^^^^^^",
                "   | trips when it is cold",
                "   | ^^^^^^^^^^^^^^^^^^^^^",
                "   | symptom: breaker-trips",
            ],
        );
        check(
            "\u{1b}[2Jtab\there",
            &[],
            40,
            &[" 7 | \u{fffd}[2Jtab  here"],
        );
    }

    #[test]
    fn private_pieces_stand_as_dots() {
        let line = NoteLine {
            number: 1,
            start: 10,
            text: "gate 6614 ok",
        };
        let rows = rows(
            &line,
            &[],
            &std::iter::once(15..19).collect::<Vec<_>>(),
            40,
            1,
        );
        assert_eq!(
            rows.iter().map(|r| plain(r)).collect::<Vec<_>>(),
            ["1 | gate \u{2022}\u{2022}\u{2022} ok"]
        );
    }
}
