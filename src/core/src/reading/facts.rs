//! What is read out of a visit: typed facts, each with its place in the note.

use crate::{note::VisitKind, trade::vocabulary::Id};
use jiff::civil::Date;
use std::{collections::BTreeSet, ops::Range};

/// What sort of fact a fact is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FactKind {
    /// A kind of equipment at hand.
    Equipment,
    /// A symptom.
    Symptom,
    /// A setting.
    Setting,
    /// A reading.
    Reading,
    /// A cause.
    Cause,
    /// A fix.
    Fix,
    /// How the visit ended.
    Outcome,
}

impl FactKind {
    /// All of them.
    pub const ALL: [FactKind; 7] = [
        FactKind::Equipment,
        FactKind::Symptom,
        FactKind::Setting,
        FactKind::Reading,
        FactKind::Cause,
        FactKind::Fix,
        FactKind::Outcome,
    ];

    /// The kind of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.name() == name)
    }

    /// Its name where a person writes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            FactKind::Equipment => "equipment",
            FactKind::Symptom => "symptom",
            FactKind::Setting => "setting",
            FactKind::Reading => "reading",
            FactKind::Cause => "cause",
            FactKind::Fix => "fix",
            FactKind::Outcome => "outcome",
        }
    }
}

/// A value of a setting or reading, in the vocabulary's unit.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number.
    Number(f64),
    /// Lower-case text.
    Text(String),
}

impl Value {
    /// The number, where it is one.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        match self {
            Value::Number(value) => Some(*value),
            Value::Text(_) => None,
        }
    }
}

/// Whether a symptom was there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SymptomStatus {
    /// Observed or reported for this visit.
    Present,
    /// Expressly said not to occur.
    Absent,
    /// Only an earlier time.
    Past,
}

impl SymptomStatus {
    /// The status of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::Present, Self::Absent, Self::Past]
            .into_iter()
            .find(|s| s.name() == name)
    }

    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            SymptomStatus::Present => "present",
            SymptomStatus::Absent => "absent",
            SymptomStatus::Past => "past",
        }
    }
}

/// How sure a cause is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CauseStatus {
    /// Found, and the mend or a test bears it out.
    Confirmed,
    /// Thought likely.
    Suspected,
    /// Looked at, not it.
    RuledOut,
}

impl CauseStatus {
    /// The status of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::Confirmed, Self::Suspected, Self::RuledOut]
            .into_iter()
            .find(|s| s.name() == name)
    }

    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            CauseStatus::Confirmed => "confirmed",
            CauseStatus::Suspected => "suspected",
            CauseStatus::RuledOut => "ruled-out",
        }
    }
}

/// Whether a fix was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FixStatus {
    /// On this visit.
    Done,
    /// Quoted, ordered, next visit.
    Planned,
    /// The customer said no.
    Declined,
    /// Before this visit, or by another trade.
    Earlier,
}

impl FixStatus {
    /// The status of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::Done, Self::Planned, Self::Declined, Self::Earlier]
            .into_iter()
            .find(|s| s.name() == name)
    }

    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            FixStatus::Done => "done",
            FixStatus::Planned => "planned",
            FixStatus::Declined => "declined",
            FixStatus::Earlier => "earlier",
        }
    }
}

/// When a setting had its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum When {
    /// Met on arrival.
    Found,
    /// At the end of the visit, or merely stated.
    Left,
    /// Recommended, not set.
    Advised,
}

impl When {
    /// The time of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::Found, Self::Left, Self::Advised]
            .into_iter()
            .find(|w| w.name() == name)
    }

    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            When::Found => "found",
            When::Left => "left",
            When::Advised => "advised",
        }
    }
}

/// Where a fact stands in its note.
pub type Span = Range<usize>;

/// A kind of equipment at hand.
#[derive(Clone, Debug, PartialEq)]
pub struct EquipmentFact {
    /// Its kind.
    pub kind: Id,
    /// Its label, such as `filter pump`, where one is said.
    pub label: Option<String>,
    /// Its maker, where one is said.
    pub maker: Option<String>,
    /// Its model, where one is said.
    pub model: Option<String>,
    /// The first mention.
    pub span: Span,
}

/// A symptom.
#[derive(Clone, Debug, PartialEq)]
pub struct SymptomFact {
    /// Its id.
    pub id: Id,
    /// Whether it was there.
    pub status: SymptomStatus,
    /// When it happens.
    pub conditions: Vec<Id>,
    /// On which equipment: its kind, or its label.
    pub on: Option<String>,
    /// Its words.
    pub span: Span,
}

/// A setting or a reading.
#[derive(Clone, Debug, PartialEq)]
pub struct QuantityFact {
    /// Its id.
    pub id: Id,
    /// The value in the vocabulary's unit.
    pub value: Value,
    /// The vocabulary's unit.
    pub unit: String,
    /// For a setting: when.
    pub when: When,
    /// On which equipment.
    pub on: Option<String>,
    /// A reading's state where it is said (`running`, `standing`, `before`, `after`).
    pub state: Option<String>,
    /// The value as written.
    pub span: Span,
}

/// A cause.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseFact {
    /// Its id.
    pub id: Id,
    /// How sure it is.
    pub status: CauseStatus,
    /// Its words.
    pub span: Span,
}

/// A fix.
#[derive(Clone, Debug, PartialEq)]
pub struct FixFact {
    /// What was done.
    pub action: Id,
    /// To which part or equipment.
    pub part: Id,
    /// Whether it was.
    pub status: FixStatus,
    /// On which equipment, where a label is said.
    pub on: Option<String>,
    /// Its words.
    pub span: Span,
}

/// What is read out of one visit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// Line of the visit's dated heading, else 1.
    pub line: usize,
    /// The site as the note names it.
    pub site: Option<String>,
    /// The day.
    pub date: Option<Date>,
    /// Day and month might be the other way round.
    pub date_unsure: bool,
    /// Visit or call.
    pub kind: VisitKind,
    /// Who was there.
    pub tech: Option<String>,
    /// Bytes of the note that belong to the visit.
    pub span: Span,
    /// Equipment.
    pub equipment: Vec<EquipmentFact>,
    /// Symptoms.
    pub symptoms: Vec<SymptomFact>,
    /// Settings.
    pub settings: Vec<QuantityFact>,
    /// Readings.
    pub readings: Vec<QuantityFact>,
    /// Causes.
    pub causes: Vec<CauseFact>,
    /// Fixes.
    pub fixes: Vec<FixFact>,
    /// How it ended.
    pub outcome: Option<Id>,
    /// Private pieces of text: codes, phone numbers, where a key lies.
    pub private: Vec<Span>,
    /// Which of the facts stand as they do because a person said so.
    pub corrected: Corrected,
}

/// Facts that a person corrected, each by its kind and its place in the list of that kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Corrected(BTreeSet<(FactKind, usize)>);

impl Corrected {
    /// Whether the fact at that place was corrected; the outcome's place is 0.
    #[must_use]
    pub fn holds(&self, kind: FactKind, place: usize) -> bool {
        self.0.contains(&(kind, place))
    }

    /// Marks the fact at that place.
    pub fn mark(&mut self, kind: FactKind, place: usize) {
        self.0.insert((kind, place));
    }

    /// Follows the removal of the fact at that place: those behind it move up.
    pub fn removed(&mut self, kind: FactKind, place: usize) {
        self.0 = std::mem::take(&mut self.0)
            .into_iter()
            .filter(|mark| *mark != (kind, place))
            .map(|(k, p)| (k, if k == kind && p > place { p - 1 } else { p }))
            .collect();
    }
}
