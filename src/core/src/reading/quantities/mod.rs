//! Settings and readings: numbers with what they measure.
//!
//! For each number: the unit beside it ([`written`]), the wordings near it that name a quantity, and what the unit means
//! by itself decide which quantity it is ([`choose`]); cues, arrows and table columns decide whether a setting was found,
//! left or advised ([`when`]). Numbers that only look like measurements (prices, addresses, part numbers, targets) never
//! become facts. Text settings (switch patterns, clock times, gas, firmware) are read by [`text`].

mod bare;
mod choose;
mod clean;
mod context;
mod fits;
mod hours;
pub mod judged;
mod rows;
mod states;
mod text;
mod when;
pub mod written;

use super::{
    facts::{QuantityFact, Value, When},
    read::Reading,
};
use crate::trade::lexicon::{Cue, Role};
use std::ops::Range;

/// A number with its quantity, before it is known what becomes of it.
#[derive(Clone, Debug)]
pub struct Measured {
    /// Number of the quantity in the lexicon.
    pub quantity: usize,
    /// The value in the vocabulary's unit.
    pub value: f64,
    /// The number and its unit.
    pub tokens: Range<usize>,
    /// Said of a setting by its own words or by an arrow.
    pub when: Option<When>,
}

/// Settings and readings of a visit.
pub fn read(reading: &Reading<'_>) -> (Vec<QuantityFact>, Vec<QuantityFact>) {
    let (text_settings, text_readings) = text::read(reading);
    let mut measured = ruled(reading);
    judged::settle(reading, &mut measured);
    take_back(reading, &text_settings, &mut measured);
    let (mut settings, mut readings) = (Vec::new(), Vec::new());
    for item in &measured {
        let Some(quantity) = reading.knowledge.lexicon.quantities.get(item.quantity) else {
            continue;
        };
        let cues: Vec<Cue> = reading
            .scopes
            .on(reading.words, item.tokens.clone())
            .collect();
        if cues.contains(&Cue::Elsewhere) {
            continue;
        }
        let advised = when::advised(reading, &item.tokens);
        let fact = QuantityFact {
            id: quantity.id.clone(),
            value: Value::Number(item.value),
            unit: quantity.unit.clone(),
            when: item.when.unwrap_or(When::Left),
            on: None,
            state: None,
            span: reading.words.bytes(&item.tokens),
        };
        match quantity.role {
            Role::Reading => {
                let stale = cues.contains(&Cue::Past) || cues.contains(&Cue::Wish);
                if !advised && !stale && item.when != Some(When::Advised) {
                    readings.push(fact);
                }
            }
            Role::Setting => {
                if cues.contains(&Cue::Past) && item.when.is_none() {
                    continue;
                }
                settings.push(fact);
            }
        }
    }
    settings.extend(text_settings);
    readings.extend(text_readings);
    settings.sort_by_key(|f| f.span.start);
    readings.sort_by_key(|f| f.span.start);
    dedup(&mut settings);
    (settings, readings)
}

/// What the rules alone make of the numbers.
fn ruled(reading: &Reading<'_>) -> Vec<Measured> {
    let (text_settings, _) = text::read(reading);
    let mut measured = choose::measured(reading);
    take_back(reading, &text_settings, &mut measured);
    clean::settle(reading, &mut measured);
    when::settle(reading, &mut measured);
    measured
}

/// The figures of a clock time, a switch pattern or a revision are taken.
fn take_back(reading: &Reading<'_>, text_settings: &[QuantityFact], measured: &mut Vec<Measured>) {
    measured.retain(|m| {
        let span = reading.words.bytes(&m.tokens);
        m.tokens.is_empty()
            || !text_settings.iter().any(|f| {
                matches!(&*f.unit, "HH:MM") && f.span.start < span.end && span.start < f.span.end
            })
    });
}

/// One setting is counted once, whatever it is said of.
fn dedup(settings: &mut Vec<QuantityFact>) {
    let mut seen: Vec<(String, String, When)> = Vec::new();
    settings.retain(|s| {
        let key = (s.id.to_string(), format!("{:?}", s.value), s.when);
        let fresh = !seen.contains(&key);
        if fresh {
            seen.push(key);
        }
        fresh
    });
}
