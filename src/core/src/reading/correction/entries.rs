//! From the text of `corrections.toml` to corrections.
//!
//! The text is cut at its `[[correction]]` lines and each piece read by itself: a slip in one entry, even a missing
//! quote, leaves all others standing, and every fault has its own line.

use super::{
    Act, Correction, CorrectionFault as Fault, CorrectionProblem, Corrections, Stated,
    StatedQuantity,
};
use crate::{
    reading::{
        facts::{CauseStatus, FactKind, FixStatus, SymptomStatus, Value, When},
        units,
    },
    trade::{
        Knowledge,
        vocabulary::{Id, Section},
    },
};
use jiff::civil::Date;
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;

/// What may stand in a piece of the file: its one entry.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Piece {
    #[serde(default)]
    correction: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    note: Option<Spanned<String>>,
    line: Option<Spanned<toml::Value>>,
    words: Option<Spanned<String>>,
    visit: Option<Spanned<toml::Value>>,
    drop: Option<Spanned<Fact>>,
    add: Option<Spanned<Fact>>,
}

type Text = Option<Spanned<String>>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Fact {
    symptom: Text,
    cause: Text,
    fix: Text,
    setting: Text,
    reading: Text,
    equipment: Text,
    outcome: Text,
    status: Text,
    conditions: Option<Spanned<Vec<Spanned<String>>>>,
    value: Option<Spanned<toml::Value>>,
    unit: Text,
    when: Text,
    on: Text,
    state: Text,
    label: Text,
    maker: Text,
    model: Text,
}

/// A fault with the byte of the piece at which it stands.
struct Wrong {
    at: usize,
    fault: Fault,
}

/// Reads the text of `corrections.toml`.
#[must_use]
pub fn read(text: &str, knowledge: &Knowledge) -> Corrections {
    let mut out = Corrections::default();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    for (first_line, piece) in pieces(text) {
        let line_of = |at: usize| {
            first_line
                + piece
                    .get(..at.min(piece.len()))
                    .unwrap_or(piece)
                    .matches('\n')
                    .count()
        };
        let mut problem = |at: usize, fault: Fault| {
            out.problems.push(CorrectionProblem {
                line: line_of(at),
                fault,
            });
        };
        let read: Piece = match toml::from_str(piece) {
            Ok(read) => read,
            Err(error) => {
                let at = error.span().map_or(0, |s| s.start);
                problem(at, Fault::Unreadable(error.message().trim().to_owned()));
                continue;
            }
        };
        // An entry's line is that of its head; entries written as one list have none.
        let headed = piece.trim_start().starts_with("[[");
        for entry in &read.correction {
            let at = if headed {
                first_line
            } else {
                line_of(start_of(entry))
            };
            match correction(entry, at, knowledge) {
                Ok(correction) => out.entries.push(correction),
                Err(wrong) => problem(wrong.at, wrong.fault),
            }
        }
    }
    out
}

/// The pieces of the file, each with the number of its first line.
fn pieces(text: &str) -> Vec<(usize, &str)> {
    let mut starts = vec![(1, 0)];
    let mut at = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        if line.trim_start().starts_with("[[") && at > 0 {
            starts.push((number + 1, at));
        }
        at += line.len();
    }
    let ends = starts.iter().skip(1).map(|s| s.1).chain([text.len()]);
    starts
        .iter()
        .zip(ends)
        .map(|((line, start), end)| (*line, text.get(*start..end).unwrap_or_default()))
        .collect()
}

/// Where an entry begins, as far as its keys tell: the first of them.
fn start_of(entry: &Entry) -> usize {
    let spans: [Option<Range<usize>>; 6] = [
        entry.note.as_ref().map(Spanned::span),
        entry.line.as_ref().map(Spanned::span),
        entry.words.as_ref().map(Spanned::span),
        entry.visit.as_ref().map(Spanned::span),
        entry.drop.as_ref().map(Spanned::span),
        entry.add.as_ref().map(Spanned::span),
    ];
    spans
        .into_iter()
        .flatten()
        .map(|s| s.start)
        .min()
        .unwrap_or(0)
}

fn correction(entry: &Entry, at: usize, knowledge: &Knowledge) -> Result<Correction, Wrong> {
    let start = start_of(entry);
    let missing = |key, example| Wrong {
        at: start,
        fault: Fault::Missing { key, example },
    };
    let note = entry
        .note
        .as_ref()
        .ok_or_else(|| missing("note", "\"the note's file, below the notes folder\""))?;
    let line = entry.line.as_ref().ok_or_else(|| missing("line", "1"))?;
    let words = entry
        .words
        .as_ref()
        .ok_or_else(|| missing("words", "\"the words of the note that it rests on\""))?;
    if !words.get_ref().contains(char::is_alphanumeric) {
        return Err(Wrong {
            at: words.span().start,
            fault: value(words.get_ref(), "quotation", "words of the note"),
        });
    }
    let number = line
        .get_ref()
        .as_integer()
        .and_then(|l| usize::try_from(l).ok());
    let line = number.filter(|l| *l > 0).ok_or_else(|| Wrong {
        at: line.span().start,
        fault: value(
            &shown(line.get_ref()),
            "line",
            "the note's line, a number from 1",
        ),
    })?;
    let visit = entry.visit.as_ref().map(day).transpose()?;
    let (act, fact) = match (&entry.drop, &entry.add) {
        (Some(fact), None) => (Act::Drop, fact),
        (None, Some(fact)) => (Act::Add, fact),
        _ => {
            return Err(Wrong {
                at: start,
                fault: Fault::OneAct,
            });
        }
    };
    let reader = FactReader {
        act,
        fact: fact.get_ref(),
        at: fact.span().start,
        knowledge,
    };
    Ok(Correction {
        note: below(note.get_ref()),
        line,
        words: words
            .get_ref()
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" "),
        visit,
        act,
        fact: reader.stated()?,
        at,
    })
}

/// A note's path as the notes folder names it.
fn below(path: &str) -> String {
    let path = path.trim().replace('\\', "/");
    path.strip_prefix("./").unwrap_or(&path).to_owned()
}

fn day(written: &Spanned<toml::Value>) -> Result<Date, Wrong> {
    let text = shown(written.get_ref());
    text.parse().map_err(|_| Wrong {
        at: written.span().start,
        fault: value(&text, "day", "it as YYYY-MM-DD"),
    })
}

fn value(value: &str, what: &'static str, wanted: &str) -> Fault {
    Fault::Value {
        value: value.to_owned(),
        what,
        wanted: wanted.to_owned(),
    }
}

/// A value as a person wrote it, quotes aside.
fn shown(value: &toml::Value) -> String {
    match value {
        toml::Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

struct FactReader<'e> {
    act: Act,
    fact: &'e Fact,
    /// Where the fact begins.
    at: usize,
    knowledge: &'e Knowledge,
}

impl FactReader<'_> {
    fn stated(&self) -> Result<Stated, Wrong> {
        let fact = self.fact;
        let named: Vec<(FactKind, &Spanned<String>)> = [
            (FactKind::Equipment, &fact.equipment),
            (FactKind::Symptom, &fact.symptom),
            (FactKind::Setting, &fact.setting),
            (FactKind::Reading, &fact.reading),
            (FactKind::Cause, &fact.cause),
            (FactKind::Fix, &fact.fix),
            (FactKind::Outcome, &fact.outcome),
        ]
        .into_iter()
        .filter_map(|(kind, id)| id.as_ref().map(|id| (kind, id)))
        .collect();
        let [(kind, id)] = named.as_slice() else {
            return Err(Wrong {
                at: self.at,
                fault: Fault::OneFact {
                    act: match self.act {
                        Act::Drop => "drop",
                        Act::Add => "add",
                    },
                },
            });
        };
        match kind {
            FactKind::Equipment => {
                self.only(*kind, &["label", "maker", "model"])?;
                Ok(Stated::Equipment {
                    kind: self.id(Section::Equipment, id)?,
                    label: text(&fact.label),
                    maker: text(&fact.maker),
                    model: text(&fact.model),
                })
            }
            FactKind::Symptom => {
                self.only(*kind, &["status", "conditions", "on"])?;
                Ok(Stated::Symptom {
                    id: self.id(Section::Symptom, id)?,
                    status: named_as(
                        &fact.status,
                        SymptomStatus::named,
                        "status of a symptom",
                        "present, absent or past",
                    )?,
                    conditions: self.conditions()?,
                    on: text(&fact.on),
                })
            }
            FactKind::Setting => {
                self.only(*kind, &["value", "unit", "when", "on"])?;
                Ok(Stated::Setting {
                    quantity: self.quantity(Section::Setting, id)?,
                    when: named_as(
                        &fact.when,
                        When::named,
                        "time of a setting",
                        "found, left or advised",
                    )?,
                })
            }
            FactKind::Reading => {
                self.only(*kind, &["value", "unit", "state", "on"])?;
                Ok(Stated::Reading {
                    quantity: self.quantity(Section::Reading, id)?,
                    state: text(&fact.state),
                })
            }
            FactKind::Cause => {
                self.only(*kind, &["status"])?;
                Ok(Stated::Cause {
                    id: self.id(Section::Cause, id)?,
                    status: named_as(
                        &fact.status,
                        CauseStatus::named,
                        "status of a cause",
                        "confirmed, suspected or ruled-out",
                    )?,
                })
            }
            FactKind::Fix => {
                self.only(*kind, &["status", "on"])?;
                let (action, part) = self.fix(id)?;
                Ok(Stated::Fix {
                    action,
                    part,
                    status: named_as(
                        &fact.status,
                        FixStatus::named,
                        "status of a fix",
                        "done, planned, declined or earlier",
                    )?,
                    on: text(&fact.on),
                })
            }
            FactKind::Outcome => {
                self.only(*kind, &[])?;
                Ok(Stated::Outcome {
                    id: self.id(Section::Outcome, id)?,
                })
            }
        }
    }

    /// Refuses keys that say nothing of such a fact: they would be passed over without a word.
    fn only(&self, kind: FactKind, allowed: &[&str]) -> Result<(), Wrong> {
        let fact = self.fact;
        let given: [(&'static str, Option<usize>); 10] = [
            ("status", at(&fact.status)),
            ("conditions", at(&fact.conditions)),
            ("value", at(&fact.value)),
            ("unit", at(&fact.unit)),
            ("when", at(&fact.when)),
            ("on", at(&fact.on)),
            ("state", at(&fact.state)),
            ("label", at(&fact.label)),
            ("maker", at(&fact.maker)),
            ("model", at(&fact.model)),
        ];
        for (key, at) in given {
            if let Some(at) = at
                && !allowed.contains(&key)
            {
                return Err(Wrong {
                    at,
                    fault: Fault::Idle {
                        key,
                        kind: kind.name(),
                    },
                });
            }
        }
        Ok(())
    }

    fn id(&self, section: Section, written: &Spanned<String>) -> Result<Id, Wrong> {
        let typed = written.get_ref().trim();
        let vocabulary = &self.knowledge.vocabulary;
        vocabulary.id(section, typed).ok_or_else(|| {
            unknown(
                typed,
                written.span().start,
                section.name(),
                vocabulary.of(section).iter().map(|e| e.id.as_str()),
            )
        })
    }

    fn conditions(&self) -> Result<Option<Vec<Id>>, Wrong> {
        let Some(list) = &self.fact.conditions else {
            return Ok(None);
        };
        list.get_ref()
            .iter()
            .map(|c| self.id(Section::Condition, c))
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// `replaced breaker`: what was done, and to what.
    fn fix(&self, written: &Spanned<String>) -> Result<(Id, Id), Wrong> {
        let text = written.get_ref();
        let start = written.span().start;
        let [action, part] = text.split_whitespace().collect::<Vec<_>>()[..] else {
            return Err(Wrong {
                at: start,
                fault: value(
                    text,
                    "fix",
                    "what was done and to what, such as \"replaced breaker\"",
                ),
            });
        };
        let vocabulary = &self.knowledge.vocabulary;
        let done = vocabulary.id(Section::Action, action).ok_or_else(|| {
            let known = vocabulary.of(Section::Action).iter().map(|e| e.id.as_str());
            unknown(action, start, "action", known)
        })?;
        let things = &self.knowledge.lexicon.things;
        let to = things.iter().find(|t| t.id == part).map(|t| t.id.clone());
        let to = to.ok_or_else(|| {
            let known = things.iter().map(|t| t.id.as_str());
            unknown(part, start, "part or equipment", known)
        })?;
        Ok((done, to))
    }

    fn quantity(&self, section: Section, id: &Spanned<String>) -> Result<StatedQuantity, Wrong> {
        let fact = self.fact;
        let known = self.id(section, id)?;
        let quantity = self
            .knowledge
            .lexicon
            .quantities
            .iter()
            .find(|q| q.id == known);
        // What is measured has its units in the table; what is a text has none.
        let target = quantity.and_then(|q| q.units.first()).map(String::as_str);
        let meaning = self.knowledge.vocabulary.meaning(section, known.as_str());
        let unit = quantity.map_or_else(
            || meaning.split(',').next().unwrap_or_default().trim(),
            |q| q.unit.as_str(),
        );
        let unit = unit.to_owned();
        let value = match (&fact.value, self.act) {
            (Some(written), _) => Some(self.value(&known, written, target, &unit)?),
            (None, Act::Drop) => None,
            (None, Act::Add) => {
                return Err(Wrong {
                    at: self.at,
                    fault: Fault::Missing {
                        key: "value",
                        example: "the number or text",
                    },
                });
            }
        };
        Ok(StatedQuantity {
            id: known,
            value,
            unit,
            on: text(&fact.on),
        })
    }

    fn value(
        &self,
        id: &Id,
        written: &Spanned<toml::Value>,
        target: Option<&str>,
        unit: &str,
    ) -> Result<Value, Wrong> {
        let start = written.span().start;
        let text = shown(written.get_ref());
        let text = text.trim();
        let Some(target) = target else {
            if unit == "HH:MM" {
                return clock(text).map(Value::Text).ok_or_else(|| Wrong {
                    at: start,
                    fault: value(text, "time", "it as HH:MM on the 24-hour clock"),
                });
            }
            return Ok(Value::Text(text.to_lowercase()));
        };
        let number = text.parse::<f64>().ok().filter(|n| n.is_finite());
        let number = number.ok_or_else(|| Wrong {
            at: start,
            fault: value(text, "number", "the number alone, and its unit as `unit`"),
        })?;
        let Some(written) = &self.fact.unit else {
            return Ok(Value::Number(number));
        };
        let typed = written.get_ref().trim();
        let from = if typed == target || typed == unit {
            target
        } else {
            units::unit(&typed.to_lowercase()).unwrap_or(typed)
        };
        let converted = units::convert(number, from, target);
        converted.map(Value::Number).ok_or_else(|| Wrong {
            at: written.span().start,
            fault: Fault::Unit {
                unit: typed.to_owned(),
                id: id.clone(),
                wanted: unit.to_owned(),
            },
        })
    }
}

/// `7:30` as `07:30`.
fn clock(text: &str) -> Option<String> {
    let (hours, minutes) = text.split_once(':')?;
    let (h, m): (u8, u8) = (hours.parse().ok()?, minutes.get(..2)?.parse().ok()?);
    (h < 24 && m < 60).then(|| format!("{h:02}:{m:02}"))
}

fn at<T>(value: &Option<Spanned<T>>) -> Option<usize> {
    value.as_ref().map(|v| v.span().start)
}

fn text(value: &Text) -> Option<String> {
    value.as_ref().map(|v| v.get_ref().trim().to_owned())
}

fn named_as<T>(
    written: &Text,
    named: fn(&str) -> Option<T>,
    what: &'static str,
    wanted: &str,
) -> Result<Option<T>, Wrong> {
    let Some(written) = written else {
        return Ok(None);
    };
    let typed = written.get_ref().trim();
    named(typed).map(Some).ok_or_else(|| Wrong {
        at: written.span().start,
        fault: value(typed, what, wanted),
    })
}

fn unknown<'a>(
    id: &str,
    at: usize,
    section: &'static str,
    known: impl Iterator<Item = &'a str>,
) -> Wrong {
    let near = known
        .max_by(|a, b| strsim::jaro_winkler(id, a).total_cmp(&strsim::jaro_winkler(id, b)))
        .unwrap_or_default()
        .to_owned();
    Wrong {
        at,
        fault: Fault::UnknownId {
            id: id.to_owned(),
            section,
            near,
        },
    }
}
