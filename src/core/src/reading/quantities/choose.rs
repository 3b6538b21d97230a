//! Which quantity a number is.
//!
//! Every number gets the quantity whose wording stands nearest, among those that its unit and its size allow; a unit
//! that means one quantity by itself decides where no wording does. In a list ("FC 3 pH 7.6 TA 90") a wording serves
//! the first number after it, and later numbers only while no other wording comes.

use super::{
    Measured,
    written::{self, Written},
};
use crate::{
    note::Layout,
    reading::{
        facts::When,
        lexer::{Kind, Mark},
        read::Reading,
        units::convert,
    },
    trade::lexicon::{Meaning, Quantity, Role},
};
use std::ops::Range;

/// A wording that names a quantity reaches a number at most so many tokens away.
const REACH: usize = 9;
/// Behind the number a wording must stand closer.
const REACH_BACK: usize = 4;

/// A wording of a quantity.
#[derive(Clone, Debug)]
struct Named {
    quantity: usize,
    tokens: Range<usize>,
}

/// A number that may measure something.
#[derive(Clone, Debug)]
struct Number {
    at: usize,
    value: f64,
    written: Option<Written>,
}

/// All numbers of the visit with their quantities.
pub(super) fn measured(reading: &Reading<'_>) -> Vec<Measured> {
    let mut out = Vec::new();
    for (index, sentence) in reading.words.sentences.iter().enumerate() {
        let block = reading.visit.blocks.get(sentence.block);
        match block.map(|b| &b.layout) {
            Some(Layout::Header) => {}
            Some(Layout::Row { header }) => row(reading, index, header, &mut out),
            _ => sentence_numbers(reading, sentence.tokens.clone(), &[], &mut out),
        }
    }
    if let Some((_, span)) = &reading.visit.weather {
        weather(reading, span, &mut out);
    }
    out
}

fn named(reading: &Reading<'_>, range: &Range<usize>) -> Vec<Named> {
    let hits = reading.found.hits.iter().filter(|h| h.tokens.start >= range.start && h.tokens.end <= range.end);
    hits.filter_map(|h| match h.means {
        Meaning::Quantity(q) => Some(Named { quantity: usize::from(q), tokens: h.tokens.clone() }),
        _ => None,
    })
    .collect()
}

fn numbers(reading: &Reading<'_>, range: &Range<usize>) -> Vec<Number> {
    let mut out = Vec::new();
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else { break };
        let value = match token.kind {
            Kind::Number(value) => value,
            // "one amp"
            Kind::Word if token.text == "one" => 1.0,
            _ => continue,
        };
        let written = written::unit_after(reading.words, reading.note, at).filter(|w| w.end <= range.end);
        if token.label || (written.is_none() && (written::foreign(reading.words, at) || token.text == "one")) {
            continue;
        }
        let clock = reading.words.tokens.get(at + 1).is_some_and(|t| t.before <= Mark::Hyphen && matches!(t.text.as_str(), "am" | "pm" | "oclock"));
        if !clock {
            out.push(Number { at, value, written });
        }
    }
    out
}

/// Numbers of a sentence; `outer` are wordings that stand outside and hold for all of it (a column, a row's label).
fn sentence_numbers(reading: &Reading<'_>, range: Range<usize>, outer: &[usize], out: &mut Vec<Measured>) {
    let names = named(reading, &range);
    let numbers = numbers(reading, &range);
    let mut last: Option<(usize, usize)> = None;
    let mut served: Vec<usize> = Vec::new();
    for number in &numbers {
        let candidates = candidates(reading, number, &names, outer, last, &served);
        let Some((quantity, value, source)) = candidates else { continue };
        if let Some(source) = source {
            served.push(source);
        }
        let end = number.written.map_or(number.at + 1, |w| w.end);
        last = Some((quantity, number.at));
        out.push(Measured { quantity, value, tokens: number.at..end, when: None });
    }
}

/// The best quantity for a number: its number, the value in its unit, and the wording that named it.
fn candidates(
    reading: &Reading<'_>,
    number: &Number,
    names: &[Named],
    outer: &[usize],
    last: Option<(usize, usize)>,
    served: &[usize],
) -> Option<(usize, f64, Option<usize>)> {
    let quantities = &reading.knowledge.lexicon.quantities;
    let mut best: Option<(f64, usize, f64, Option<usize>)> = None;
    let mut offer = |score: f64, quantity: usize, value: f64, source: Option<usize>| {
        if best.as_ref().is_none_or(|(s, ..)| score > *s) {
            best = Some((score, quantity, value, source));
        }
    };
    for (i, name) in names.iter().enumerate() {
        let Some(quantity) = quantities.get(name.quantity) else { continue };
        let Some(value) = fits(reading, quantity, number) else { continue };
        let length = name.tokens.len() as f64;
        let own = if number.written.is_some_and(|w| quantity.own.iter().any(|o| o == w.unit)) { 0.5 } else { 0.0 };
        // The name holds the number itself: "two grids" is no such, but "freeze .. set 38" is.
        let score = if name.tokens.contains(&number.at) {
            9.0
        } else if name.tokens.end <= number.at {
            let between = number.at - name.tokens.end;
            let crossed = crossed(reading, name.tokens.end, number.at);
            if between > REACH && number.written.is_none() || between > REACH * 2 || crossed >= 2.0 {
                continue;
            }
            let used = if served.contains(&i) { 1.5 } else { 0.0 };
            8.0 - between as f64 * 0.6 - crossed * 1.5 - used
        } else {
            let start = number.written.map_or(number.at + 1, |w| w.end);
            let between = name.tokens.start.saturating_sub(start);
            let crossed = crossed(reading, number.at, name.tokens.start);
            if between > REACH_BACK || crossed >= 1.0 {
                continue;
            }
            // "52 gpm flow", "3.1 mA leakage", "13 clean": close behind is as good as before.
            let unit_less = if number.written.is_none() { 1.5 } else { 0.0 };
            7.0 - between as f64 * 1.2 - unit_less
        };
        offer(score + own + length * 0.25, name.quantity, value, Some(i));
    }
    for quantity_number in outer {
        let Some(quantity) = quantities.get(*quantity_number) else { continue };
        if let Some(value) = fits(reading, quantity, number) {
            offer(6.0, *quantity_number, value, None);
        }
    }
    // The next number of a list: "8.1, 8.2 and 8.0 amps", "#1 180 #2 210".
    if let Some((quantity_number, at)) = last
        && number.at - at <= 6
        && let Some(quantity) = quantities.get(quantity_number)
        && let Some(value) = fits(reading, quantity, number)
    {
        offer(3.5, quantity_number, value, None);
    }
    if let Some(written) = number.written {
        for (i, quantity) in quantities.iter().enumerate() {
            if quantity.own.iter().any(|u| u == written.unit)
                && let Some(value) = fits(reading, quantity, number)
            {
                let nudge = if quantity.role == Role::Reading { 0.0 } else { 0.01 };
                offer(2.0 + nudge - i as f64 * 1e-4, i, value, None);
            }
        }
    }
    best.map(|(_, quantity, value, source)| (quantity, value, source))
}

/// How strongly the words between a name and a number part them.
fn crossed(reading: &Reading<'_>, from: usize, to: usize) -> f64 {
    (from..to.saturating_add(1).min(reading.words.tokens.len()))
        .filter(|at| *at > from || from == to)
        .filter_map(|at| reading.words.tokens.get(at))
        .map(|t| match t.before {
            Mark::Comma => 0.5,
            Mark::Dash | Mark::Bracket => 0.3,
            Mark::Cell => 0.2,
            Mark::Semicolon | Mark::Stop | Mark::Line => 3.0,
            _ if matches!(t.text.as_str(), "but" | "so" | "then") => 0.6,
            _ if t.text == "and" => 0.2,
            _ => 0.0,
        })
        .sum()
}

/// The number's value as that quantity, in the vocabulary's unit; `None` where unit or size do not fit.
fn fits(reading: &Reading<'_>, quantity: &Quantity, number: &Number) -> Option<f64> {
    let inside = |v: f64| v >= quantity.range.0 && v <= quantity.range.1;
    let target = quantity.units.first().map_or(quantity.unit.as_str(), String::as_str);
    let unit = match number.written.map(|w| w.unit) {
        Some("deg") if target == "degF" => bare_degrees(reading, number.value),
        Some(unit) if quantity.units.iter().any(|u| u == unit) => unit,
        Some(_) => return None,
        None => {
            let bare = quantity.bare.as_deref()?;
            match bare {
                "degF" => bare_degrees(reading, number.value),
                // Salt in grams a litre is a small number: "salt 3.2".
                "ppm" if quantity.units.iter().any(|u| u == "g/L") && number.value < 50.0 => "g/L",
                _ if target == "pH" => "pH",
                _ => match_bare(bare, target, &quantity.units, reading.metric, number.value),
            }
        }
    };
    let value = if target == "pH" && number.value >= 60.0 && number.value <= 89.0 && number.written.is_none() {
        number.value / 10.0
    } else if unit == target || (target == "integer" && unit == "integer") || (target == "dial") {
        number.value
    } else if matches!((unit, target), ("mg/L", "ppm") | ("integer" | "percent", _)) {
        number.value
    } else if (unit, target) == ("g/L", "ppm") {
        number.value * 1000.0
    } else if quantity.id == "temperature-rise" && unit == "degC" {
        // A difference has no zero point.
        number.value * 1.8
    } else {
        convert(number.value, unit, target)?
    };
    if target == "integer" && value.fract() != 0.0 {
        return None;
    }
    inside(value).then_some(value)
}

/// Degrees without a letter are those of the note's other units.
fn bare_degrees(reading: &Reading<'_>, value: f64) -> &'static str {
    if reading.metric && value <= 45.0 { "degC" } else { "degF" }
}

/// The unit of a number without one: the quantity's usual one, or in a metric note its metric one.
fn match_bare<'q>(bare: &'q str, target: &'q str, units: &'q [String], metric: bool, value: f64) -> &'q str {
    if !metric || bare != target {
        return bare;
    }
    match bare {
        "psi" if units.iter().any(|u| u == "kPa") && value >= 40.0 => "kPa",
        "psi" if units.iter().any(|u| u == "bar") && value <= 3.5 => "bar",
        "gpm" if value >= 60.0 => "L/min",
        _ => bare,
    }
}

/// A row of a table: each cell's quantity is named in its own words, in the row's first cell, or at the column's head.
fn row(reading: &Reading<'_>, sentence: usize, header: &[String], out: &mut Vec<Measured>) {
    let Some(range) = reading.words.sentences.get(sentence).map(|s| s.tokens.clone()) else { return };
    let cells = cells(reading, &range);
    let Some(label) = cells.first() else { return };
    let label_names: Vec<usize> = named(reading, &label.1).iter().map(|n| n.quantity).collect();
    // The label's own unit ("box, ppm", "cell, A") narrows what the row measures.
    let label_units: Vec<&'static str> =
        reading.words.slice(label.1.clone()).iter().filter_map(|t| super::super::units::unit(&t.text)).collect();
    for (place, (column, cell)) in cells.iter().enumerate() {
        let head = header.get(*column).map(String::as_str).unwrap_or_default();
        let column_when = super::when::of_heading(head, &reading.knowledge.lexicon);
        let mut outer: Vec<usize> = Vec::new();
        if place > 0 {
            outer.extend(reading.names_in_text(head));
            outer.extend(narrowed(reading, &label_names, &label_units));
        }
        let before = out.len();
        if place == 0 && cells.len() > 1 {
            // The label's own numbers are sizes and names ("14 AWG, 2 in"), not measurements.
            continue;
        }
        cell_numbers(reading, cell, &outer, &label_units, out);
        for item in out.iter_mut().skip(before) {
            item.when = item.when.or(column_when);
        }
        let unwanted = column_when == Some(When::Advised);
        if unwanted {
            out.truncate(before);
        }
    }
    if cells.len() == 1 {
        sentence_numbers(reading, range, &[], out);
    }
}

fn cell_numbers(reading: &Reading<'_>, cell: &Range<usize>, outer: &[usize], units: &[&'static str], out: &mut Vec<Measured>) {
    let before = out.len();
    sentence_numbers(reading, cell.clone(), outer, out);
    if out.len() == before
        && let [unit] = units
        && let Some(number) = numbers(reading, cell).into_iter().find(|n| n.written.is_none())
    {
        let number = Number { written: Some(Written { unit, end: number.at + 1 }), ..number };
        if let Some((quantity, value, _)) = candidates(reading, &number, &[], outer, None, &[]) {
            out.push(Measured { quantity, value, tokens: number.at..number.at + 1, when: None });
        }
    }
}

fn narrowed(reading: &Reading<'_>, names: &[usize], units: &[&'static str]) -> Vec<usize> {
    if units.is_empty() {
        return names.to_vec();
    }
    let quantities = &reading.knowledge.lexicon.quantities;
    let has = |q: &usize| quantities.get(*q).is_some_and(|q| q.units.iter().any(|u| units.contains(&u.as_str())));
    let narrowed: Vec<usize> = names.iter().copied().filter(has).collect();
    if narrowed.is_empty() { names.to_vec() } else { narrowed }
}

/// The cells of a row: column and tokens; empty cells are left out.
fn cells(reading: &Reading<'_>, range: &Range<usize>) -> Vec<(usize, Range<usize>)> {
    let Some(block) = reading.words.sentences.get(reading.words.sentence_of(range.start)).and_then(|s| reading.visit.blocks.get(s.block))
    else {
        return Vec::new();
    };
    let mut out: Vec<(usize, Range<usize>)> = Vec::new();
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else { break };
        let column = block.lines.iter().position(|l| l.iter().any(|r| r.start <= token.span.start && token.span.start < r.end));
        let Some(column) = column else { continue };
        match out.last_mut() {
            Some((last, tokens)) if *last == column => tokens.end = at + 1,
            _ => out.push((column, at..at + 1)),
        }
    }
    out
}

/// An air temperature in the weather line.
fn weather(reading: &Reading<'_>, span: &Range<usize>, out: &mut Vec<Measured>) {
    let quantities = &reading.knowledge.lexicon.quantities;
    let Some(quantity) = quantities.iter().position(|q| q.id == "air-temperature") else { return };
    let text = reading.note.get(span.clone()).unwrap_or_default();
    let words = super::super::words::of_question(text, reading.knowledge);
    for at in 0..words.tokens.len() {
        let Some(value) = words.tokens.get(at).and_then(super::super::lexer::Token::number) else { continue };
        let written = written::unit_after(&words, text, at);
        if !matches!(written.map(|w| w.unit), None | Some("degF" | "degC" | "deg")) || written::foreign(&words, at) {
            continue;
        }
        let number = Number { at, value, written };
        if let Some(value) = quantities.get(quantity).and_then(|q| fits(reading, q, &number)) {
            // The weather line is no part of the blocks; its place is given by an empty range at the visit's start.
            out.push(Measured { quantity, value, tokens: 0..0, when: None });
            return;
        }
    }
}
