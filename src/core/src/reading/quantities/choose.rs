//! Which quantity a number is.
//!
//! Every number gets the quantity whose wording stands nearest, among those that its unit and its size allow; a unit
//! that means one quantity by itself decides where no wording does, and the thing that the talk is of tips the scales.
//! In a list ("FC 3 pH 7.6 TA 90") a wording serves the first number after it, and later numbers only while no other
//! wording comes. A number without a unit needs a wording close by: most bare numbers in a note measure nothing.

use super::{
    Measured, bare,
    context::{self, Degrees},
    fits::{Figure, fits},
    rows,
    written::{self, Written},
};
use crate::{
    note::Layout,
    reading::{
        lexer::{Kind, Mark, Token},
        read::Reading,
        words::Words,
    },
    trade::lexicon::{Meaning, Role},
};
use std::ops::Range;

/// A wording before a number reaches it over at most so many tokens.
const REACH: usize = 14;
/// Behind the number a wording must stand closer.
const REACH_BACK: usize = 4;
/// The least score at which a number without a unit is taken.
const BARE_LEAST: f64 = 4.6;
/// Words that only point at what is shown, whatever it is.
const POINTERS: &[&str] = &[
    "says",
    "said",
    "say",
    "reads",
    "read",
    "shows",
    "showed",
    "show",
    "showing",
    "display",
    "displays",
    "screen",
    "readout",
    "displayed",
    "thinks",
];

/// A wording of a quantity.
#[derive(Clone, Debug)]
pub(super) struct Named {
    /// The quantity's number.
    pub quantity: usize,
    /// Its tokens.
    pub tokens: Range<usize>,
    /// Its words stand together, with no gap.
    tight: bool,
    /// Numbers that are part of the wording itself ("set #").
    holds: Vec<usize>,
}

/// A number that may measure something.
#[derive(Clone, Debug)]
pub(super) struct Number {
    /// Its token.
    pub at: usize,
    /// As written.
    pub value: f64,
    /// Its unit.
    pub written: Option<Written>,
    /// The unit that it shares with the next or last number ("45 to 60 %").
    shared: Option<&'static str>,
}

impl Number {
    fn figure(&self) -> Figure {
        Figure {
            value: self.value,
            unit: self.written.map(|w| w.unit).or(self.shared),
        }
    }

    fn end(&self) -> usize {
        self.written.map_or(self.at + 1, |w| w.end)
    }
}

/// All numbers of the visit with their quantities.
pub(super) fn measured(reading: &Reading<'_>) -> Vec<Measured> {
    let mut out = Vec::new();
    for (index, sentence) in reading.words.sentences.iter().enumerate() {
        let block = reading.visit.blocks.get(sentence.block);
        match block.map(|b| &b.layout) {
            Some(Layout::Header) => {}
            Some(Layout::Row { header }) => rows::row(reading, index, header, &mut out),
            _ => sentence_numbers(reading, sentence.tokens.clone(), &[], &mut out),
        }
    }
    match &reading.visit.weather {
        Some((_, span)) => weather(reading, span, false, &mut out),
        None => weather(reading, &heading_lines(reading), true, &mut out),
    }
    out
}

/// The wordings of quantities in a range.
pub(super) fn named(reading: &Reading<'_>, range: &Range<usize>) -> Vec<Named> {
    let hits = reading.found.hits_from(range.start);
    let hits = hits
        .iter()
        .take_while(|h| h.tokens.start < range.end)
        .filter(|h| h.tokens.end <= range.end);
    let all: Vec<Named> = hits
        .filter_map(|h| match h.means {
            Meaning::Quantity(q) => {
                let holds = h
                    .tokens
                    .clone()
                    .filter(|t| {
                        h.names(*t)
                            && reading
                                .words
                                .tokens
                                .get(*t)
                                .is_some_and(|t| t.number().is_some())
                    })
                    .collect();
                Some(Named {
                    quantity: usize::from(q),
                    tokens: h.tokens.clone(),
                    tight: h.tokens.clone().all(|t| h.names(t)),
                    holds,
                })
            }
            _ => None,
        })
        .collect();
    // "freeze speed" is no speed of its own: a wording within a longer one of another quantity falls away.
    let within = |a: &Named, b: &Named| {
        b.tight
            && b.quantity != a.quantity
            && b.tokens.start <= a.tokens.start
            && a.tokens.end <= b.tokens.end
            && a.tokens.len() < b.tokens.len()
    };
    all.iter()
        .filter(|a| {
            let from = all.partition_point(|b| b.tokens.start + LONGEST < a.tokens.end);
            !all.iter()
                .skip(from)
                .take_while(|b| b.tokens.start <= a.tokens.start)
                .any(|b| within(a, b))
        })
        .cloned()
        .collect()
}

/// No wording that is all of one piece covers more tokens.
const LONGEST: usize = 32;

/// The numbers of a range that may measure something.
pub(super) fn numbers(reading: &Reading<'_>, range: &Range<usize>) -> Vec<Number> {
    let names = named(reading, range);
    let begins = |at: usize| names.iter().any(|n| n.tokens.start == at);
    let mut out = Vec::new();
    for at in range.clone() {
        let Some(token) = reading.words.tokens.get(at) else {
            break;
        };
        let value = match token.kind {
            Kind::Number(value) => value,
            // "one amp"
            Kind::Word if token.text == "one" => 1.0,
            _ => continue,
        };
        let written =
            written::unit_after(reading.words, reading.note, at).filter(|w| w.end <= range.end);
        let clock = reading.words.tokens.get(at + 1).is_some_and(|t| {
            t.before <= Mark::Hyphen && matches!(t.text.as_str(), "am" | "pm" | "oclock")
        });
        if token.label || clock || spec(reading, at, token, written) {
            continue;
        }
        if written.is_none()
            && (token.text == "one"
                || written::foreign(reading.words, at)
                || bare::measures_nothing(reading.words, reading.note, at, value, begins))
        {
            continue;
        }
        out.push(Number {
            at,
            value,
            written,
            shared: None,
        });
    }
    share_units(reading, &mut out, &names);
    out
}

/// Whether a figure is what a thing is made for: "24 V transformer", "6 kW element", "on a 40".
fn spec(reading: &Reading<'_>, at: usize, token: &Token, written: Option<Written>) -> bool {
    let article = at
        .checked_sub(1)
        .and_then(|b| reading.words.tokens.get(b))
        .is_some_and(|t| token.before == Mark::None && matches!(t.text.as_str(), "a" | "an"));
    let Some(written) = written else {
        return article;
    };
    if !matches!(written.unit, "V" | "W" | "kW" | "uF" | "A" | "hp") {
        return false;
    }
    let thing = reading
        .found
        .thing_at
        .get(written.end)
        .copied()
        .flatten()
        .and_then(|t| reading.found.things.get(t));
    let joined = reading
        .words
        .tokens
        .get(written.end)
        .is_some_and(|t| t.before <= Mark::Hyphen);
    let id = |thing: u16| {
        reading
            .knowledge
            .lexicon
            .things
            .get(usize::from(thing))
            .map_or("", |t| t.id.as_str())
    };
    // A breaker's rating is a setting; of other things amperes are a size only beside a fuse.
    let sized =
        |thing: u16| written.unit != "A" || matches!(id(thing), "fuse" | "transformer" | "pump");
    let one = reading.words.tokens.get(written.end).is_some_and(|t| {
        joined
            && matches!(
                t.text.as_str(),
                "one" | "model" | "unit" | "supply" | "feed" | "wire"
            )
    });
    token.number().is_some_and(|v| v.fract() == 0.0)
        && (one
            || thing.is_some_and(|t| joined && sized(t.thing))
            || (article && written.unit != "A"))
}

/// Numbers that stand together share a unit written once: "45 to 60 %", "310 / 290 / 0.04 Mohm".
fn share_units(reading: &Reading<'_>, numbers: &mut [Number], names: &[Named]) {
    for i in (1..numbers.len()).rev() {
        let (Some(first), Some(second)) = (numbers.get(i - 1).cloned(), numbers.get(i).cloned())
        else {
            continue;
        };
        let unit = second.written.map(|w| w.unit).or(second.shared);
        let named_before = names
            .iter()
            .any(|n| n.tokens.end == first.at && !points(reading.words, n))
            && !changes(reading.words, first.end(), second.at);
        if first.written.is_none()
            && unit.is_some()
            && !named_before
            && (changes(reading.words, first.end(), second.at)
                || listed(reading.words, first.end(), second.at))
            && let Some(first) = numbers.get_mut(i - 1)
        {
            first.shared = unit;
        }
    }
    for i in 1..numbers.len() {
        let (Some(first), Some(second)) = (numbers.get(i - 1).cloned(), numbers.get(i).cloned())
        else {
            continue;
        };
        let unit = first.written.map(|w| w.unit).or(first.shared);
        if second.written.is_none()
            && second.shared.is_none()
            && unit.is_some()
            && changes(reading.words, first.end(), second.at)
            && let Some(second) = numbers.get_mut(i)
        {
            second.shared = unit;
        }
    }
}

/// Whether nothing but words of change stand from one number to the next: "2400 -> 2700", "5 °C, left 3".
pub(super) fn changes(words: &Words, from: usize, to: usize) -> bool {
    let between = words.slice(from..to);
    let Some(next) = words.tokens.get(to) else {
        return false;
    };
    if between.len() > 6
        || next.before >= Mark::Stop
        || between.iter().any(|t| t.before >= Mark::Semicolon)
    {
        return false;
    }
    if between.is_empty() {
        return next.before == Mark::Arrow;
    }
    let word = |t: &Token| {
        matches!(
            t.text.as_str(),
            "to" | "now"
                | "left"
                | "from"
                | "down"
                | "up"
                | "back"
                | "is"
                | "it"
                | "at"
                | "was"
                | "set"
                | "then"
                | "and"
                | "a"
                | "the"
                | "i"
                | "made"
                | "put"
                | "brought"
                | "cut"
                | "dropped"
                | "raised"
                | "moved"
                | "turned"
                | "changed"
                | "reset"
                | "bumped"
                | "into"
                | "so"
                | "came"
                | "went"
                | "found"
                | "after"
                | "before"
                | "on"
                | "for"
                | "again"
                | "went-to"
                | "knocked"
                | "took"
                | "running"
        )
    };
    let change = |t: &Token| {
        matches!(
            t.text.as_str(),
            "to" | "now" | "left" | "from" | "set" | "into" | "was" | "made" | "after" | "found"
        )
    };
    between.iter().all(word)
        && (between.iter().any(change)
            || between
                .iter()
                .chain([next])
                .any(|t| t.before == Mark::Arrow))
}

/// Whether nothing but a comma, a slash or "and" stands between two numbers, or the label of the next.
fn listed(words: &Words, from: usize, to: usize) -> bool {
    let join = |t: &Token| matches!(t.text.as_str(), "and" | "or" | "&" | "on" | "then") || t.label;
    let Some(next) = words.tokens.get(to) else {
        return false;
    };
    to - from <= 2
        && words.slice(from..to).iter().all(join)
        && next.before < Mark::Semicolon
        && (to > from || next.before > Mark::None)
}

/// Numbers of a sentence; `outer` are wordings that stand outside and hold for all of it (a column, a row's label).
pub(super) fn sentence_numbers(
    reading: &Reading<'_>,
    range: Range<usize>,
    outer: &[usize],
    out: &mut Vec<Measured>,
) {
    let numbers = numbers(reading, &range);
    let mut names = named(reading, &range);
    // A number's own unit names nothing more.
    names.retain(|n| {
        !numbers.iter().any(|m| {
            m.written
                .is_some_and(|w| m.at < n.tokens.start && n.tokens.end <= w.end)
        })
    });
    let mut last: Option<(usize, usize)> = None;
    let mut served: Vec<usize> = Vec::new();
    for (i, number) in numbers.iter().enumerate() {
        let chain = last
            .filter(|(_, end)| {
                changes(reading.words, *end, number.at) || listed(reading.words, *end, number.at)
            })
            .map(|(q, _)| q);
        let mut choice = Choice {
            reading,
            number,
            numbers: &numbers,
            place: i,
            best: None,
        };
        choice.by_names(&names, &served);
        choice.by_others(outer, chain);
        choice.by_unit(&names);
        choice.carried(out, range.start);
        let Some(best) = choice.best else { continue };
        served.extend(best.source);
        last = Some((best.quantity, number.end()));
        out.push(Measured {
            quantity: best.quantity,
            value: best.value,
            tokens: number.at..number.end(),
            when: None,
        });
    }
}

/// Whether a wording only points at what is shown.
fn points(words: &Words, name: &Named) -> bool {
    name.tokens.len() == 1
        && words
            .slice(name.tokens.clone())
            .iter()
            .any(|t| POINTERS.contains(&t.text.as_str()))
}

/// Whether a sentence speaks of gas: "standing" and "static" alone do not.
fn about_gas(reading: &Reading<'_>, at: usize) -> bool {
    let range = reading
        .words
        .sentences
        .get(reading.words.sentence_of(at))
        .map_or(at..at, |s| s.tokens.clone());
    reading.words.slice(range).iter().any(|t| {
        matches!(
            t.text.as_str(),
            "gas"
                | "manifold"
                | "propane"
                | "natural"
                | "inlet"
                | "regulator"
                | "manometer"
                | "lit"
        )
    })
}

struct Best {
    score: f64,
    quantity: usize,
    value: f64,
    source: Option<usize>,
}

struct Choice<'a> {
    reading: &'a Reading<'a>,
    number: &'a Number,
    numbers: &'a [Number],
    place: usize,
    best: Option<Best>,
}

impl Choice<'_> {
    fn offer(&mut self, score: f64, quantity: usize, source: Option<usize>) {
        let Some(entry) = self.reading.knowledge.lexicon.quantities.get(quantity) else {
            return;
        };
        let Some(value) = fits(self.reading, entry, self.number.figure()) else {
            return;
        };
        if self.best.as_ref().is_none_or(|b| score > b.score) {
            self.best = Some(Best {
                score,
                quantity,
                value,
                source,
            });
        }
    }

    fn by_names(&mut self, names: &[Named], served: &[usize]) {
        let topics = context::topics(self.reading, self.number.at);
        let bare = self.number.figure().unit.is_none();
        let late =
            if bare && bare::like_a_time(self.reading.words, self.number.at, self.number.value) {
                2.5
            } else {
                0.0
            };
        for (i, name) in names.iter().enumerate() {
            let Some(quantity) = self.reading.knowledge.lexicon.quantities.get(name.quantity)
            else {
                continue;
            };
            let near = if name.holds.contains(&self.number.at) {
                Some(9.0)
            } else if name.tokens.contains(&self.number.at) {
                Some(5.0)
            } else if name.tokens.end <= self.number.at {
                self.before(name, served.contains(&i), bare)
            } else {
                self.behind(name, bare)
            };
            let Some(near) = near else { continue };
            let own = if self
                .number
                .figure()
                .unit
                .is_some_and(|u| quantity.own.iter().any(|o| o == u))
            {
                0.5
            } else {
                0.0
            };
            let length = name.tokens.len().min(4) as f64 * 0.25;
            let pointer = points(self.reading.words, name);
            if bare && quantity.id == "gas-pressure" && !about_gas(self.reading, self.number.at) {
                continue;
            }
            let topic = topics
                .iter()
                .position(|t| context::belongs(quantity.id.as_str(), t))
                .map_or(0.0, |p| if p == 0 { 1.3 } else { 0.7 });
            let score = near + own + length + topic - if pointer { 1.6 } else { 0.0 } - late;
            if !bare || score >= BARE_LEAST {
                self.offer(score, name.quantity, Some(i));
            }
        }
    }

    /// The score of a wording before the number; `None` where it does not reach.
    fn before(&self, name: &Named, used: bool, bare: bool) -> Option<f64> {
        let from = name.tokens.end;
        let to = self.number.at;
        if to - from > REACH {
            return None;
        }
        let mut cost = 0.0;
        for at in from..=to {
            let token = self.reading.words.tokens.get(at)?;
            cost += match token.before {
                Mark::Comma => {
                    if bare {
                        1.3
                    } else {
                        0.7
                    }
                }
                Mark::Dash | Mark::Bracket | Mark::Slash => {
                    if bare {
                        0.9
                    } else {
                        0.4
                    }
                }
                Mark::Semicolon | Mark::Stop | Mark::Line => return None,
                _ => 0.0,
            };
            if at < to {
                cost += match token.text.as_str() {
                    "is" | "was" | "at" | "it" | "on" | "to" | "the" | "a" | "of" | "up"
                    | "down" | "from" | "set" | "were" | "be" | "in" | "its" | "about" | "just"
                    | "now" | "only" | "around" | "reads" | "says" => 0.25,
                    "and" => 0.6,
                    "but" | "so" | "then" | "because" | "while" | "when" => 1.2,
                    _ if matches!(token.kind, Kind::Number(_)) => 1.2,
                    _ => {
                        if bare {
                            0.75
                        } else {
                            0.5
                        }
                    }
                };
            }
        }
        let used = if used { 1.4 } else { 0.0 };
        let score = 8.0 - cost - used;
        (score > 0.5).then_some(score)
    }

    /// The score of a wording behind the number.
    fn behind(&self, name: &Named, bare: bool) -> Option<f64> {
        let start = self.number.end();
        let between = name.tokens.start.checked_sub(start)?;
        if between > REACH_BACK {
            return None;
        }
        let tokens = self.reading.words.slice(start..name.tokens.start + 1);
        let crossed = tokens.iter().any(|t| {
            t.before >= Mark::Comma && t.before != Mark::Bracket
                || matches!(t.text.as_str(), "and" | "but" | "so")
        });
        if crossed {
            return None;
        }
        // "FC 3 pH 7.6": the wording behind belongs to its own number.
        let next = self.numbers.get(self.place + 1);
        let taken = next.is_some_and(|n| {
            n.at >= name.tokens.end
                && n.at - name.tokens.end <= 2
                && self
                    .reading
                    .words
                    .slice(name.tokens.end..n.at + 1)
                    .iter()
                    .all(|t| {
                        t.before < Mark::Comma
                            || t.before == Mark::Equals
                            || t.before == Mark::Colon
                    })
                && self
                    .reading
                    .knowledge
                    .lexicon
                    .quantities
                    .get(name.quantity)
                    .is_some_and(|q| fits(self.reading, q, n.figure()).is_some())
        });
        let inside = next.is_some_and(|n| name.tokens.contains(&n.at));
        // "on the screen", "on my thermometer" say outright whose figure it is.
        let told = name.tight && name.tokens.len() >= 2 && between == 0;
        let penalty = if taken || inside { 3.5 } else { 0.0 }
            + if told {
                -1.0
            } else if bare {
                1.2
            } else {
                0.0
            };
        Some(7.0 - between as f64 * 1.2 - penalty)
    }

    fn by_others(&mut self, outer: &[usize], chain: Option<usize>) {
        for quantity in outer {
            self.offer(6.0, *quantity, None);
        }
        // "8.1, 8.2 and 8.0 amps", "found 5.5, left 2.5"
        if let Some(quantity) = chain {
            let change = self
                .place
                .checked_sub(1)
                .and_then(|p| self.numbers.get(p))
                .is_some_and(|p| changes(self.reading.words, p.end(), self.number.at));
            self.offer(if change { 7.4 } else { 5.0 }, quantity, None);
        }
    }

    /// What an earlier sentence or clause was of goes on: "Freeze threshold stood at 48 F. Set it to 36.", "hosed, 14 now".
    fn carried(&mut self, done: &[Measured], sentence: usize) {
        let words = self.reading.words;
        let at = self.number.at;
        let Some(last) = done
            .last()
            .filter(|m| m.tokens.end <= at && m.tokens.end > 0)
        else {
            return;
        };
        let block = |token: usize| {
            words
                .sentences
                .get(words.sentence_of(token))
                .map(|s| s.block)
        };
        let sentences = words
            .sentence_of(at)
            .saturating_sub(words.sentence_of(last.tokens.start));
        if sentences > 1 || block(last.tokens.start) != block(at) {
            return;
        }
        let Some(quantity) = self.reading.knowledge.lexicon.quantities.get(last.quantity) else {
            return;
        };
        let word = |k: usize| {
            at.checked_sub(k)
                .filter(|b| *b >= sentence)
                .and_then(|b| words.tokens.get(b))
                .map_or("", |t| t.text.as_str())
        };
        let next = words
            .tokens
            .get(self.number.end())
            .map_or("", |t| t.text.as_str());
        let setting = match (word(1), word(2)) {
            (
                "to" | "at" | "on",
                "it" | "set" | "left" | "back" | "down" | "up" | "them" | "that" | "returned"
                | "reset",
            )
            | ("left" | "now" | "it", _) => true,
            _ => next == "now",
        };
        let reading = next == "now"
            || matches!(word(1), "now" | "after")
            || (matches!(next, "after" | "again") && sentences == 0);
        let goes_on = match quantity.role {
            Role::Setting => setting,
            Role::Reading => reading && !matches!(&*quantity.unit, "ppm" | "pH"),
        };
        let size = self.number.figure().unit.is_some()
            || last.value <= 0.0
            || (0.3..=3.0).contains(&(self.number.value / last.value));
        if goes_on && size {
            self.offer(4.9, last.quantity, None);
        } else if self.number.figure().unit.is_none()
            && quantity.id == "ph"
            && matches!(word(1), "says" | "say" | "reads" | "shows" | "now")
        {
            self.offer(6.9, last.quantity, None);
        }
    }

    fn by_unit(&mut self, names: &[Named]) {
        let Some(unit) = self.number.figure().unit else {
            return self.like_a_speed();
        };
        let topics = context::topics(self.reading, self.number.at);
        let quantities = &self.reading.knowledge.lexicon.quantities;
        if matches!(unit, "degF" | "degC" | "deg") {
            let chemistry = names
                .iter()
                .filter_map(|n| quantities.get(n.quantity))
                .any(|q| {
                    matches!(
                        q.id.as_str(),
                        "ph" | "free-chlorine" | "total-alkalinity" | "combined-chlorine"
                    )
                });
            let id = match context::degrees(self.reading, self.number.at, chemistry) {
                Degrees::Air => "air-temperature",
                Degrees::Water => "water-temperature",
            };
            if let Some(quantity) = quantities.iter().position(|q| q.id == id) {
                self.offer(2.0, quantity, None);
            }
            return;
        }
        for (i, quantity) in quantities.iter().enumerate() {
            let own = quantity.own.iter().any(|u| u == unit);
            let bare_size = fits(
                self.reading,
                quantity,
                Figure {
                    value: self.number.value,
                    unit: None,
                },
            )
            .is_some()
                || unit != "V";
            let topic = topics
                .iter()
                .position(|t| context::belongs(quantity.id.as_str(), t));
            let reading = quantity.role == Role::Reading;
            let score = match (own, topic) {
                (true, Some(0)) => 3.2,
                (true, Some(_)) => 2.8,
                (true, None) => 2.0,
                (false, Some(place))
                    if bare_size && reading && quantity.units.iter().any(|u| u == unit) =>
                {
                    if place == 0 { 3.0 } else { 2.5 }
                }
                // Volts tell by their size: low ones are of a control circuit.
                (false, None)
                    if unit == "V"
                        && quantity.id.as_str() == "control-voltage"
                        && (10.0..=40.0).contains(&self.number.value) =>
                {
                    2.4
                }
                (false, None)
                    if unit == "ohm"
                        && quantity.id.as_str() == "sensor-resistance"
                        && self.number.value >= 1000.0 =>
                {
                    2.0
                }
                _ => continue,
            };
            self.offer(score - i as f64 * 1e-4, i, None);
        }
    }
}

impl Choice<'_> {
    /// "back up to 2400", "left it 1,800": a round figure of that size after a word of setting is a speed, where the note has speeds.
    fn like_a_speed(&mut self) {
        let words = self.reading.words;
        let value = self.number.value;
        if !(1000.0..=3450.0).contains(&value)
            || value % 50.0 != 0.0
            || !words
                .tokens
                .iter()
                .any(|t| matches!(t.text.as_str(), "rpm" | "rpms" | "speed" | "speeds"))
                && !self.pumps()
        {
            return;
        }
        let before = self
            .number
            .at
            .checked_sub(1)
            .and_then(|b| words.tokens.get(b))
            .map_or("", |t| t.text.as_str());
        let chained = self
            .numbers
            .get(self.place + 1)
            .is_some_and(|n| changes(words, self.number.end(), n.at));
        if matches!(
            before,
            "to" | "at" | "it" | "on" | "from" | "now" | "left" | "above" | "runs" | "in"
        ) || chained
        {
            let quantities = &self.reading.knowledge.lexicon.quantities;
            if let Some(quantity) = quantities.iter().position(|q| q.id == "pump-speed") {
                self.offer(4.0, quantity, None);
            }
        }
    }

    /// Whether the visit speaks of a pump.
    fn pumps(&self) -> bool {
        let id = |thing: u16| {
            self.reading
                .knowledge
                .lexicon
                .things
                .get(usize::from(thing))
                .map_or("", |t| t.id.as_str())
        };
        self.reading
            .found
            .things
            .iter()
            .any(|m| matches!(id(m.thing), "pump" | "booster-pump" | "drive"))
    }
}

/// The quantity and value of a figure that only outer wordings name.
pub(super) fn outer_quantity(
    reading: &Reading<'_>,
    figure: Figure,
    outer: &[usize],
) -> Option<(usize, f64)> {
    let quantities = &reading.knowledge.lexicon.quantities;
    let named = outer.iter().copied();
    let owned = quantities
        .iter()
        .enumerate()
        .filter(|(_, q)| figure.unit.is_some_and(|u| q.own.iter().any(|o| o == u)))
        .map(|(i, _)| i);
    named.chain(owned).find_map(|q| {
        quantities
            .get(q)
            .and_then(|entry| fits(reading, entry, figure))
            .map(|v| (q, v))
    })
}

/// The lines above a visit's first block: its site and day, and at times the weather.
fn heading_lines(reading: &Reading<'_>) -> Range<usize> {
    let span = reading.visit.span.clone();
    let end = reading
        .visit
        .blocks
        .iter()
        .map(|b| b.span.start)
        .filter(|s| *s >= span.start)
        .min()
        .unwrap_or(span.end)
        .min(span.end);
    span.start..end
}

/// An air temperature in the weather line, or in the lines above the first block, where only degrees count.
fn weather(reading: &Reading<'_>, span: &Range<usize>, degrees: bool, out: &mut Vec<Measured>) {
    let quantities = &reading.knowledge.lexicon.quantities;
    let Some((quantity, entry)) = quantities
        .iter()
        .enumerate()
        .find(|(_, q)| q.id == "air-temperature")
    else {
        return;
    };
    let text = reading.note.get(span.clone()).unwrap_or_default();
    let words = crate::reading::words::of_question(text, reading.knowledge);
    for at in 0..words.tokens.len() {
        let Some(value) = words.tokens.get(at).and_then(Token::number) else {
            continue;
        };
        let unit = written::unit_after(&words, text, at).map(|w| w.unit);
        let temperature =
            matches!(unit, Some("degF" | "degC" | "deg")) || (unit.is_none() && !degrees);
        if !temperature || written::foreign(&words, at) {
            continue;
        }
        if let Some(value) = fits(reading, entry, Figure { value, unit }) {
            // The weather line is no part of the blocks; its place is given by an empty range at the visit's start.
            out.push(Measured {
                quantity,
                value,
                tokens: 0..0,
                when: None,
            });
            return;
        }
    }
}
