//! The learned part's say on numbers: which quantity each is, and of a setting whether it was found, left or advised.
//!
//! The rules decide first. A number with its rule's verdict, its unit, its size and the words, things and wordings
//! around it is then put to the model `number`; what the model names counts only where unit and size allow it. Of a
//! setting the model `when` says whether it was met, left or recommended. Without models the rules stand.

use super::{
    Measured,
    choose::{changes, named},
    fits::{Figure, fits},
    written,
};
use crate::{
    note::Layout,
    reading::{
        facts::When,
        learned::{Example, NOTHING},
        lexer::{Kind, Mark},
        read::Reading,
        words::Words,
    },
    trade::lexicon::{Cue, Role},
};
use std::ops::Range;

/// Words looked at on each side.
const AROUND: usize = 7;
/// Names of quantities are looked for so many tokens away.
const NAMED: usize = 32;
/// Words whose place counts.
const PLACED: usize = 3;

/// A number with what the rules make of it.
struct Figured {
    at: usize,
    figure: Figure,
    end: usize,
    /// The rules' quantity and value.
    ruled: Option<(usize, f64)>,
}

/// Puts every number to the models.
pub(super) fn settle(reading: &Reading<'_>, measured: &mut Vec<Measured>) {
    let models = &reading.knowledge.lexicon.models;
    if models.contains_key("number") {
        let figures = figures(reading, measured);
        let mut before: Option<usize> = None;
        for figured in &figures {
            let features = features(reading, figured, before, &figures);
            let choice = choose(reading, figured, &features);
            apply(measured, figured, choice);
            before = choice.map(|(q, _)| q).or(before);
        }
        measured.sort_by_key(|m| (m.tokens.start, m.quantity));
    }
    if models.contains_key("when") {
        for place in 0..measured.len() {
            let Some(item) = measured.get(place) else {
                break;
            };
            if !is_setting(reading, item) {
                continue;
            }
            let decided = reading.decide("when", || when_features(reading, item, measured, place));
            if let (Some(label), Some(item)) = (decided, measured.get_mut(place)) {
                item.when = named_when(&label).or(item.when);
            }
        }
    }
}

/// What the model makes of a number: a quantity that its unit and size allow, with the value.
fn choose(reading: &Reading<'_>, figured: &Figured, features: &[String]) -> Option<(usize, f64)> {
    let lexicon = &reading.knowledge.lexicon;
    let model = lexicon.models.get("number")?;
    for label in model.ranked(features) {
        if label == NOTHING {
            return None;
        }
        if let Some((quantity, value)) = figured.ruled
            && lexicon
                .quantities
                .get(quantity)
                .is_some_and(|q| q.id == *label)
        {
            return Some((quantity, value));
        }
        let fitting = lexicon
            .quantities
            .iter()
            .enumerate()
            .find(|(_, q)| q.id == *label);
        if let Some((place, quantity)) = fitting
            && let Some(value) = fits(reading, quantity, figured.figure)
        {
            return Some((place, value));
        }
    }
    None
}

fn apply(measured: &mut Vec<Measured>, figured: &Figured, choice: Option<(usize, f64)>) {
    match (figured.ruled, choice) {
        (Some((old, _)), Some((new, _))) if old == new => {}
        (ruled, choice) => {
            if ruled.is_some() {
                measured.retain(|m| m.tokens.start != figured.at || m.tokens.is_empty());
            }
            if let Some((quantity, value)) = choice {
                measured.push(Measured {
                    quantity,
                    value,
                    tokens: figured.at..figured.end,
                    when: None,
                });
            }
        }
    }
}

/// Every number of the visit that is put to the model: one that the rules give two meanings keeps both.
fn figures(reading: &Reading<'_>, measured: &[Measured]) -> Vec<Figured> {
    let mut out = Vec::new();
    for sentence in &reading.words.sentences {
        let layout = reading.visit.blocks.get(sentence.block).map(|b| &b.layout);
        if layout == Some(&Layout::Header) {
            continue;
        }
        for at in sentence.tokens.clone() {
            let Some(token) = reading.words.tokens.get(at) else {
                break;
            };
            let Kind::Number(value) = token.kind else {
                continue;
            };
            let ruled: Vec<&Measured> =
                measured.iter().filter(|m| m.tokens.contains(&at)).collect();
            if ruled.len() > 1 || ruled.first().is_some_and(|m| m.tokens.start != at) {
                continue;
            }
            let unit = written::unit_after(reading.words, reading.note, at)
                .filter(|w| w.end <= sentence.tokens.end);
            out.push(Figured {
                at,
                figure: Figure {
                    value,
                    unit: unit.map(|w| w.unit),
                },
                end: unit.map_or(at + 1, |w| w.end),
                ruled: ruled.first().map(|m| (m.quantity, m.value)),
            });
        }
    }
    out
}

/// Sizes that differ in what people measure.
const SIZES: [f64; 24] = [
    0.1, 0.31, 1.01, 3.1, 6.1, 6.9, 8.5, 12.1, 16.1, 20.1, 30.1, 40.1, 60.1, 85.0, 110.1, 150.1,
    220.0, 260.0, 420.0, 800.0, 1700.0, 2550.0, 3500.0, 6500.0,
];

fn features(
    reading: &Reading<'_>,
    figured: &Figured,
    before: Option<usize>,
    all: &[Figured],
) -> Vec<String> {
    let lexicon = &reading.knowledge.lexicon;
    let words = reading.words;
    let id = |q: usize| lexicon.quantities.get(q).map_or("", |q| q.id.as_str());
    let rule = figured.ruled.map_or(NOTHING, |(q, _)| id(q));
    let unit = figured.figure.unit.unwrap_or("bare");
    let value = figured.figure.value;
    let size = SIZES.partition_point(|s| *s <= value.abs());
    let whole = if value.fract() == 0.0 {
        "whole"
    } else {
        "part"
    };
    let mut out = vec![
        "base".to_owned(),
        format!("rule={rule}"),
        format!("unit={unit}"),
        format!("size={size} {whole}"),
        format!("unit={unit} size={size}"),
        format!("rule={rule} size={size}"),
        format!("rule={rule} unit={unit}"),
    ];
    let token = words.tokens.get(figured.at);
    if let Some(token) = token {
        out.push(format!("mark={:?}", token.before));
        if token.label {
            out.push("label".to_owned());
        }
    }
    let sentence = words.sentence_of(figured.at);
    let range = sentence_around(words, figured.at);
    let word = |at: usize| word_in(words, &range, at);
    for k in 1..=AROUND {
        if let Some(w) = figured.at.checked_sub(k).and_then(&word) {
            out.push(format!("before {w}"));
            if k <= PLACED {
                out.push(format!("b{k} {w}"));
                out.push(format!("b{k} {w} unit={unit}"));
                if k == 1 {
                    out.push(format!("b1 {w} rule={rule}"));
                    out.push(format!("b1 {w} size={size}"));
                }
            }
        }
        if let Some(w) = word(figured.end + k - 1) {
            out.push(format!("after {w}"));
            if k <= PLACED {
                out.push(format!("a{k} {w}"));
                if k == 1 {
                    out.push(format!("a1 {w} rule={rule}"));
                    out.push(format!("a1 {w} unit={unit}"));
                    out.push(format!("a1 {w} size={size}"));
                }
            }
        }
    }
    if let (Some(a), Some(b)) = (
        figured.at.checked_sub(2).and_then(&word),
        figured.at.checked_sub(1).and_then(&word),
    ) {
        out.push(format!("bb {a} {b}"));
    }
    let can = lexicon
        .quantities
        .iter()
        .filter(|q| fits(reading, q, figured.figure).is_some());
    out.extend(can.map(|q| format!("can={}", q.id)));
    let near =
        figured.at.saturating_sub(NAMED).max(range.start)..(figured.end + NAMED).min(range.end);
    let names = named(reading, &near);
    let prior = names
        .iter()
        .filter(|n| n.tokens.end <= figured.at)
        .max_by_key(|n| n.tokens.end);
    let next = names
        .iter()
        .filter(|n| n.tokens.start >= figured.end)
        .min_by_key(|n| n.tokens.start);
    if let Some(name) = prior {
        let far = (figured.at - name.tokens.end).min(6);
        out.push(format!("name-before={}", id(name.quantity)));
        out.push(format!("name-before={} far={far}", id(name.quantity)));
        out.push(format!("name-before={} unit={unit}", id(name.quantity)));
    }
    if let Some(name) = next {
        let far = (name.tokens.start - figured.end).min(5);
        out.push(format!("name-after={} far={far}", id(name.quantity)));
    }
    let kind = |thing: u16| {
        lexicon
            .things
            .get(usize::from(thing))
            .map_or("", |t| t.id.as_str())
    };
    let things = &reading.found.things;
    if let Some(thing) = things.iter().rev().find(|m| m.tokens.end <= figured.at) {
        let near = words.sentence_of(thing.tokens.start) == sentence;
        out.push(format!("thing-before={} {near}", kind(thing.thing)));
        out.push(format!(
            "thing-before={} unit={unit} size={size}",
            kind(thing.thing)
        ));
    }
    if let Some(thing) = things
        .iter()
        .find(|m| m.tokens.start >= figured.end && m.tokens.start < range.end)
    {
        out.push(format!(
            "thing-after={} {}",
            kind(thing.thing),
            thing.tokens.start == figured.end
        ));
    }
    if let Some(before) = before {
        out.push(format!("last={}", id(before)));
        let chained = all
            .iter()
            .rev()
            .find(|f| f.end <= figured.at)
            .is_some_and(|f| changes(words, f.end, figured.at));
        out.push(format!("last={} chained={chained}", id(before)));
        out.push(format!("last={} unit={unit} size={size}", id(before)));
    }
    for cue in cues(reading, figured.at..figured.end) {
        out.push(format!("cue={cue:?}"));
        out.push(format!("cue={cue:?} rule={rule}"));
    }
    if let Some(block) = words
        .sentences
        .get(sentence)
        .and_then(|s| reading.visit.blocks.get(s.block))
    {
        let row = matches!(block.layout, Layout::Row { .. });
        out.push(format!("row={row}"));
        out.push(format!("row={row} rule={rule}"));
        if let Some(heading) = block.headings.last() {
            out.extend(
                heading
                    .to_lowercase()
                    .split_whitespace()
                    .take(3)
                    .map(|w| format!("heading {w}")),
            );
        }
    }
    out.push(format!("metric={} unit={unit}", reading.metric));
    out
}

/// The sentence that holds a token.
fn sentence_around(words: &Words, at: usize) -> Range<usize> {
    words
        .sentences
        .get(words.sentence_of(at))
        .map_or(0..0, |s| s.tokens.clone())
}

/// A word of a sentence; any number, date or code is `#`.
fn word_in<'w>(words: &'w Words, sentence: &Range<usize>, at: usize) -> Option<&'w str> {
    let token = words.tokens.get(at).filter(|_| sentence.contains(&at))?;
    Some(match token.kind {
        Kind::Word => token.text.as_str(),
        _ => "#",
    })
}

fn cues(reading: &Reading<'_>, tokens: Range<usize>) -> Vec<Cue> {
    let mut cues: Vec<Cue> = reading.scopes.on(reading.words, tokens).collect();
    cues.sort_unstable();
    cues.dedup();
    cues
}

fn is_setting(reading: &Reading<'_>, item: &Measured) -> bool {
    reading
        .knowledge
        .lexicon
        .quantities
        .get(item.quantity)
        .is_some_and(|q| q.role == Role::Setting)
}

fn named_when(label: &str) -> Option<When> {
    match label {
        "found" => Some(When::Found),
        "left" => Some(When::Left),
        "advised" => Some(When::Advised),
        _ => None,
    }
}

fn when_name(when: When) -> &'static str {
    match when {
        When::Found => "found",
        When::Left => "left",
        When::Advised => "advised",
    }
}

fn when_features(
    reading: &Reading<'_>,
    item: &Measured,
    all: &[Measured],
    place: usize,
) -> Vec<String> {
    let words = reading.words;
    let rule = item.when.map_or("left", when_name);
    let id = reading
        .knowledge
        .lexicon
        .quantities
        .get(item.quantity)
        .map_or("", |q| q.id.as_str());
    let mut out = vec![
        "base".to_owned(),
        format!("rule={rule}"),
        format!("said={}", item.when.is_some()),
        format!("id={id}"),
        format!("id={id} rule={rule}"),
    ];
    let range = sentence_around(words, item.tokens.start);
    let word = |at: usize| word_in(words, &range, at);
    for k in 1..=AROUND {
        if let Some(w) = item.tokens.start.checked_sub(k).and_then(&word) {
            out.push(format!("before {w}"));
            if k <= PLACED {
                out.push(format!("b{k} {w}"));
            }
        }
        if let Some(w) = word(item.tokens.end + k - 1) {
            out.push(format!("after {w}"));
            if k <= PLACED {
                out.push(format!("a{k} {w}"));
            }
        }
    }
    for cue in cues(reading, item.tokens.clone()) {
        out.push(format!("cue={cue:?}"));
        out.push(format!("cue={cue:?} rule={rule}"));
    }
    let same = |m: &&Measured| m.quantity == item.quantity;
    let earlier = all.iter().take(place).filter(same).count();
    let later = all.iter().skip(place + 1).filter(same).count();
    out.push(format!("earlier={} later={}", earlier.min(2), later.min(2)));
    let differs = all
        .iter()
        .filter(same)
        .any(|m| (m.value - item.value).abs() > 1e-9);
    out.push(format!(
        "differs={differs} earlier={} later={}",
        earlier.min(2),
        later.min(2)
    ));
    let mark = words
        .tokens
        .get(item.tokens.start)
        .map_or(Mark::None, |t| t.before);
    let behind = words
        .tokens
        .get(item.tokens.end)
        .map_or(Mark::None, |t| t.before);
    out.push(format!("mark={mark:?} behind={}", behind == Mark::Arrow));
    if let Some(block) = words
        .sentences
        .get(words.sentence_of(item.tokens.start))
        .and_then(|s| reading.visit.blocks.get(s.block))
    {
        out.push(format!(
            "row={}",
            matches!(block.layout, Layout::Row { .. })
        ));
        if let Some(heading) = block.headings.last() {
            out.extend(
                heading
                    .to_lowercase()
                    .split_whitespace()
                    .take(3)
                    .map(|w| format!("heading {w}")),
            );
        }
    }
    out
}

/// Settings and readings as a person gives them: the id, the value, and of a setting when it held.
pub type Given = (String, f64, Option<String>);

/// Close enough to be the same value: half a percent or 0.05.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= (0.005 * b.abs()).max(0.05)
}

/// What the numbers of a labelled visit teach: for the model `number` or `when`.
#[must_use]
pub fn examples(reading: &Reading<'_>, given: &[Given], model: &str) -> Vec<Example> {
    let mut measured = super::ruled(reading);
    if model == "when" {
        settle(reading, &mut measured);
        return (0..measured.len())
            .filter_map(|place| {
                let item = measured.get(place).filter(|m| is_setting(reading, m))?;
                let id = &reading.knowledge.lexicon.quantities.get(item.quantity)?.id;
                let whens: Vec<&str> = given
                    .iter()
                    .filter(|(i, v, _)| *id == i.as_str() && same(item.value, *v))
                    .filter_map(|(_, _, when)| when.as_deref())
                    .collect();
                let rule = item.when.map_or("left", when_name);
                let label = if whens.contains(&rule) {
                    rule
                } else {
                    whens.first()?
                };
                Some(Example {
                    features: when_features(reading, item, &measured, place),
                    label: label.to_owned(),
                })
            })
            .collect();
    }
    let quantities = &reading.knowledge.lexicon.quantities;
    let figures = figures(reading, &measured);
    let mut before = None;
    let mut out = Vec::new();
    for figured in &figures {
        let features = features(reading, figured, before, &figures);
        let right = |place: usize, value: f64| {
            quantities.get(place).is_some_and(|q| {
                given
                    .iter()
                    .any(|(id, v, _)| q.id == id.as_str() && same(value, *v))
            })
        };
        let ruled = figured.ruled.filter(|(q, v)| right(*q, *v));
        let label = ruled.or_else(|| {
            let mut fitting = quantities
                .iter()
                .enumerate()
                .filter_map(|(place, q)| fits(reading, q, figured.figure).map(|v| (place, v)));
            fitting.find(|(place, value)| right(*place, *value))
        });
        before = label.map(|(q, _)| q).or(before);
        out.push(Example {
            features,
            label: label
                .and_then(|(q, _)| quantities.get(q))
                .map_or(NOTHING.to_owned(), |q| q.id.to_string()),
        });
    }
    out
}
