//! A visit's facts as JSON.

use padlore_core::{
    note::line_at,
    reading::facts::{FactKind, Facts, QuantityFact, Value},
};
use serde::Serialize;
use std::ops::Range;

/// Where a fact stands, and its words.
#[derive(Clone, Debug, Serialize)]
pub struct Place {
    /// The words as written.
    pub text: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Place {
    /// The place of a byte range of a note.
    #[must_use]
    pub fn of(note: &str, span: &Range<usize>) -> Self {
        let start = span.start.min(note.len());
        let line_start = note
            .get(..start)
            .and_then(|t| t.rfind('\n'))
            .map_or(0, |p| p + 1);
        let column = note.get(line_start..start).map_or(0, |t| t.chars().count()) + 1;
        Self {
            text: note.get(span.clone()).unwrap_or_default().to_owned(),
            line: line_at(note, start),
            column,
        }
    }
}

/// A visit.
#[derive(Clone, Debug, Serialize)]
pub struct Visit {
    /// Line of its dated heading, else 1.
    pub line: usize,
    /// The site as the note names it.
    pub site: Option<String>,
    /// ISO date.
    pub date: Option<String>,
    /// Day and month might be the other way round.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub date_unsure: bool,
    /// `visit` or `call`.
    pub kind: &'static str,
    /// Who wrote it.
    pub tech: Option<String>,
    /// Kinds of equipment.
    pub equipment: Vec<String>,
    /// The same with their words and places.
    pub pieces: Vec<Piece>,
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// Settings.
    pub settings: Vec<Setting>,
    /// Readings.
    pub readings: Vec<Reading>,
    /// Causes.
    pub causes: Vec<Cause>,
    /// Fixes.
    pub fixes: Vec<Fix>,
    /// How it ended.
    pub outcome: Option<String>,
    /// A person said how it ended.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub outcome_corrected: bool,
    /// Sentences that seem to speak of a problem and from which nothing was read; private pieces as dots.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unread: Vec<Place>,
}

/// A piece of equipment.
#[derive(Clone, Debug, Serialize)]
pub struct Piece {
    kind: String,
    label: Option<String>,
    maker: Option<String>,
    model: Option<String>,
    /// It stands so because a person said it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    corrected: bool,
    #[serde(flatten)]
    place: Place,
}

/// A symptom.
#[derive(Clone, Debug, Serialize)]
pub struct Symptom {
    id: String,
    status: &'static str,
    conditions: Vec<String>,
    on: Option<String>,
    /// It stands so because a person said it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    corrected: bool,
    #[serde(flatten)]
    place: Place,
}

/// A setting.
#[derive(Clone, Debug, Serialize)]
pub struct Setting {
    id: String,
    value: Scalar,
    unit: String,
    when: &'static str,
    on: Option<String>,
    /// It stands so because a person said it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    corrected: bool,
    #[serde(flatten)]
    place: Place,
}

/// A reading.
#[derive(Clone, Debug, Serialize)]
pub struct Reading {
    id: String,
    value: Scalar,
    unit: String,
    on: Option<String>,
    state: Option<String>,
    /// It stands so because a person said it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    corrected: bool,
    #[serde(flatten)]
    place: Place,
}

/// A cause.
#[derive(Clone, Debug, Serialize)]
pub struct Cause {
    id: String,
    status: &'static str,
    /// It stands so because a person said it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    corrected: bool,
    #[serde(flatten)]
    place: Place,
}

/// A fix.
#[derive(Clone, Debug, Serialize)]
pub struct Fix {
    action: String,
    part: String,
    status: &'static str,
    on: Option<String>,
    /// It stands so because a person said it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    corrected: bool,
    #[serde(flatten)]
    place: Place,
}

/// A number or a text.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum Scalar {
    /// A whole number, shown without a decimal point.
    Whole(i64),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
}

impl std::fmt::Display for Scalar {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Scalar::Whole(value) => write!(f, "{value}"),
            Scalar::Number(value) => write!(f, "{value}"),
            Scalar::Text(text) => write!(f, "{text}"),
        }
    }
}

impl From<&Value> for Scalar {
    fn from(value: &Value) -> Self {
        match value {
            // Conversions leave digits that nobody measured: four decimals are kept.
            Value::Number(v) => {
                let rounded = (v * 1e4).round() / 1e4;
                if rounded.fract() == 0.0 && rounded.abs() < 1e15 {
                    Scalar::Whole(rounded as i64)
                } else {
                    Scalar::Number(rounded)
                }
            }
            Value::Text(text) => Scalar::Text(text.clone()),
        }
    }
}

impl Visit {
    /// The JSON of a visit's facts.
    #[must_use]
    pub fn of(note: &str, facts: &Facts) -> Self {
        let place = |span: &Range<usize>| Place::of(note, span);
        let corrected = |kind: FactKind, at: usize| facts.corrected.holds(kind, at);
        let reading = |(at, q): (usize, &QuantityFact)| Reading {
            id: q.id.to_string(),
            value: Scalar::from(&q.value),
            unit: q.unit.clone(),
            on: q.on.clone(),
            state: q.state.clone(),
            corrected: corrected(FactKind::Reading, at),
            place: place(&q.span),
        };
        Self {
            line: facts.line,
            site: facts.site.clone(),
            date: facts.date.map(|d| d.to_string()),
            date_unsure: facts.date_unsure,
            kind: facts.kind.name(),
            tech: facts.tech.clone(),
            equipment: facts.equipment.iter().map(|e| e.kind.to_string()).collect(),
            pieces: facts
                .equipment
                .iter()
                .enumerate()
                .map(|(at, e)| Piece {
                    kind: e.kind.to_string(),
                    label: e.label.clone(),
                    maker: e.maker.clone(),
                    model: e.model.clone(),
                    corrected: corrected(FactKind::Equipment, at),
                    place: place(&e.span),
                })
                .collect(),
            symptoms: facts
                .symptoms
                .iter()
                .enumerate()
                .map(|(at, s)| Symptom {
                    id: s.id.to_string(),
                    status: s.status.name(),
                    conditions: s.conditions.iter().map(ToString::to_string).collect(),
                    on: s.on.clone(),
                    corrected: corrected(FactKind::Symptom, at),
                    place: place(&s.span),
                })
                .collect(),
            settings: facts
                .settings
                .iter()
                .enumerate()
                .map(|(at, q)| Setting {
                    id: q.id.to_string(),
                    value: Scalar::from(&q.value),
                    unit: q.unit.clone(),
                    when: q.when.name(),
                    on: q.on.clone(),
                    corrected: corrected(FactKind::Setting, at),
                    place: place(&q.span),
                })
                .collect(),
            readings: facts.readings.iter().enumerate().map(reading).collect(),
            causes: facts
                .causes
                .iter()
                .enumerate()
                .map(|(at, c)| Cause {
                    id: c.id.to_string(),
                    status: c.status.name(),
                    corrected: corrected(FactKind::Cause, at),
                    place: place(&c.span),
                })
                .collect(),
            fixes: facts
                .fixes
                .iter()
                .enumerate()
                .map(|(at, f)| Fix {
                    action: f.action.to_string(),
                    part: f.part.to_string(),
                    status: f.status.name(),
                    on: f.on.clone(),
                    corrected: corrected(FactKind::Fix, at),
                    place: place(&f.span),
                })
                .collect(),
            outcome: facts.outcome.as_ref().map(ToString::to_string),
            outcome_corrected: corrected(FactKind::Outcome, 0),
            unread: Vec::new(),
        }
    }
}
