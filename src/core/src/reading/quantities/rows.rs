//! Tables: a cell's quantity is named in its own words, in the row's first cell, or at the column's head.

use super::{
    Measured,
    choose::{named, numbers, outer_quantity, sentence_numbers},
    fits::Figure,
};
use crate::{
    reading::{facts::When, read::Reading, units::unit},
    trade::lexicon::Role,
};
use std::ops::Range;

/// The numbers of a row.
pub(super) fn row(
    reading: &Reading<'_>,
    sentence: usize,
    header: &[String],
    out: &mut Vec<Measured>,
) {
    let Some(place) = reading.words.sentences.get(sentence) else {
        return;
    };
    let range = place.tokens.clone();
    let cells = cells(reading, &range);
    let Some(label) = cells.first() else { return };
    if cells.len() == 1 {
        sentence_numbers(reading, range, &[], out);
        return;
    }
    let quantities = &reading.knowledge.lexicon.quantities;
    let mut told = named(reading, &label.1);
    // "SPA set": a place names less than what is set there.
    told.sort_by_key(|n| {
        reading.words.slice(n.tokens.clone()).iter().all(|t| {
            matches!(
                t.text.as_str(),
                "spa" | "pool" | "tub" | "solar" | "fall" | "filter" | "cleaner" | "jets"
            )
        })
    });
    let mut label_names: Vec<usize> = told.iter().map(|n| n.quantity).collect();
    // The label's own unit ("box, ppm", "cell, A") narrows what the row measures.
    let label_units: Vec<&'static str> = reading
        .words
        .slice(label.1.clone())
        .iter()
        .filter_map(|t| unit(&t.text))
        .collect();
    // "threshold" below a heading "Freeze".
    if let Some(heading) = reading
        .visit
        .blocks
        .get(place.block)
        .and_then(|b| b.headings.last())
    {
        label_names.extend(reading.names_in_text(heading));
    }
    let label_names = narrowed(reading, label_names, &label_units);
    let mut valued = false;
    for (column, cell) in cells.iter().skip(1) {
        let head = header.get(*column).map(String::as_str).unwrap_or_default();
        // A range, or a column that says what ought to be, measures nothing.
        if limits(reading, cell) || (valued && permits(head)) {
            continue;
        }
        let when = super::when::of_heading(head, &reading.knowledge.lexicon);
        let mut outer = if shows(head) {
            Vec::new()
        } else {
            reading.names_in_text(head)
        };
        outer.extend(&label_names);
        let before = out.len();
        cell_numbers(reading, cell, &outer, &label_units, out);
        let wanted = when == Some(When::Advised);
        for item in out.iter_mut().skip(before) {
            item.when = item.when.or(when);
        }
        valued |= out.len() > before;
        if wanted {
            let setting = |m: &Measured| {
                quantities
                    .get(m.quantity)
                    .is_some_and(|q| q.role == Role::Setting)
            };
            let kept: Vec<Measured> = out.drain(before..).filter(setting).collect();
            out.extend(kept);
        }
    }
}

/// Whether a cell gives a range or a bound: "2 to 4", "80-120", "below 0.5".
fn limits(reading: &Reading<'_>, cell: &Range<usize>) -> bool {
    let tokens = reading.words.slice(cell.clone());
    let bound = tokens.first().is_some_and(|t| {
        matches!(
            t.text.as_str(),
            "below"
                | "under"
                | "above"
                | "over"
                | "max"
                | "min"
                | "maximum"
                | "minimum"
                | "up"
                | "least"
                | "about"
        )
    });
    let range = match tokens {
        [a, b, ..] if a.number().is_some() && b.number().is_some() => matches!(
            b.before,
            crate::reading::lexer::Mark::Hyphen | crate::reading::lexer::Mark::Dash
        ),
        [a, to, b, ..] => a.number().is_some() && to.text == "to" && b.number().is_some(),
        _ => false,
    };
    bound || range
}

/// Whether a column's head says that what stands below it ought to be, or may be.
fn permits(head: &str) -> bool {
    let head = head.to_lowercase();
    [
        "permit", "allow", "limit", "range", "like", "guide", "requir", "should", "normal",
        "usual", "typical", "want", "target", "spec", "design", "ideal", "note", "remark", "aim",
        "plate", "rated", "nominal", "last",
    ]
    .iter()
    .any(|w| head.contains(w))
}

/// Whether a column's head only says that something was read.
fn shows(head: &str) -> bool {
    let head = head.to_lowercase();
    matches!(
        head.trim(),
        "reading"
            | "readings"
            | "value"
            | "measured"
            | "result"
            | "shows"
            | "display"
            | "test"
            | "today"
    )
}

fn cell_numbers(
    reading: &Reading<'_>,
    cell: &Range<usize>,
    outer: &[usize],
    units: &[&'static str],
    out: &mut Vec<Measured>,
) {
    let before = out.len();
    if let [unit] = units
        && let Some(number) = numbers(reading, cell)
            .into_iter()
            .find(|n| n.written.is_none() && n.at == cell.start)
        && let Some((quantity, value)) = outer_quantity(
            reading,
            Figure {
                value: number.value,
                unit: Some(unit),
            },
            outer,
        )
    {
        out.push(Measured {
            quantity,
            value,
            tokens: number.at..number.at + 1,
            when: None,
        });
        return;
    }
    sentence_numbers(reading, cell.clone(), outer, out);
    // A cell holds one value; what else stands in it is a remark, unless it names its own quantity.
    let first = out.get(before).map(|m| m.quantity);
    let found: Vec<Measured> = out.drain(before.min(out.len())..).collect();
    out.extend(
        found
            .into_iter()
            .enumerate()
            .filter(|(i, m)| *i == 0 || Some(m.quantity) != first)
            .map(|(_, m)| m),
    );
}

fn narrowed(reading: &Reading<'_>, names: Vec<usize>, units: &[&'static str]) -> Vec<usize> {
    let quantities = &reading.knowledge.lexicon.quantities;
    let has = |q: &usize| {
        quantities
            .get(*q)
            .is_some_and(|q| q.units.iter().any(|u| units.contains(&u.as_str())))
    };
    let narrowed: Vec<usize> = names.iter().copied().filter(has).collect();
    if narrowed.is_empty() { names } else { narrowed }
}

/// The cells of a row: column and tokens; empty cells are left out.
fn cells(reading: &Reading<'_>, range: &Range<usize>) -> Vec<(usize, Range<usize>)> {
    let Some(block) = reading
        .words
        .sentences
        .get(reading.words.sentence_of(range.start))
        .and_then(|s| reading.visit.blocks.get(s.block))
    else {
        return Vec::new();
    };
    let mut out: Vec<(usize, Range<usize>)> = Vec::new();
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else {
            break;
        };
        let column = block.lines.iter().position(|l| {
            l.iter()
                .any(|r| r.start <= token.span.start && token.span.start < r.end)
        });
        let Some(column) = column else { continue };
        match out.last_mut() {
            Some((last, tokens)) if *last == column => tokens.end = at + 1,
            _ => out.push((column, at..at + 1)),
        }
    }
    out
}
