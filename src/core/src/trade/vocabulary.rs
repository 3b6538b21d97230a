//! The permanent ids: what every table, fact and report calls a thing.
//!
//! Ids stand in `kb/vocabulary.toml` by section (`[equipment]`, `[symptom]`, …), each with its meaning in plain
//! words. A shop may add ids; none is ever renamed.

use rustc_hash::FxHashMap;
use serde::Serialize;
use std::{fmt, sync::Arc};

/// A permanent id, such as `breaker-trips`.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(Arc<str>);

impl Id {
    /// The id as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Id {
    fn from(text: &str) -> Self {
        Self(Arc::from(text))
    }
}

impl std::borrow::Borrow<str> for Id {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl PartialEq<str> for Id {
    fn eq(&self, other: &str) -> bool {
        &*self.0 == other
    }
}

impl PartialEq<&str> for Id {
    fn eq(&self, other: &&str) -> bool {
        &*self.0 == *other
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl Serialize for Id {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> serde::Deserialize<'de> for Id {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Ok(Self::from(String::deserialize(deserializer)?.as_str()))
    }
}

/// The sections of the vocabulary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Section {
    /// Kinds of equipment.
    Equipment,
    /// Parts below the level of equipment.
    Part,
    /// What someone sees, hears or reads before knowing why.
    Symptom,
    /// When a symptom happens.
    Condition,
    /// What someone chooses.
    Setting,
    /// What someone measures.
    Reading,
    /// What someone did to a part.
    Action,
    /// How a visit ended.
    Outcome,
    /// Why.
    Cause,
    /// A finding of the audit.
    Rule,
}

impl Section {
    /// Every section, in the order of the file.
    pub const ALL: [Section; 10] = [
        Section::Equipment,
        Section::Part,
        Section::Symptom,
        Section::Condition,
        Section::Setting,
        Section::Reading,
        Section::Action,
        Section::Outcome,
        Section::Cause,
        Section::Rule,
    ];

    /// The section's name in the file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Section::Equipment => "equipment",
            Section::Part => "part",
            Section::Symptom => "symptom",
            Section::Condition => "condition",
            Section::Setting => "setting",
            Section::Reading => "reading",
            Section::Action => "action",
            Section::Outcome => "outcome",
            Section::Cause => "cause",
            Section::Rule => "rule",
        }
    }
}

/// One id with its meaning.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The id.
    pub id: Id,
    /// Its meaning in plain words.
    pub meaning: String,
}

/// All ids by section, in the order of the file.
#[derive(Default)]
pub struct Vocabulary {
    entries: FxHashMap<Section, Vec<Entry>>,
    places: FxHashMap<(Section, Id), usize>,
}

impl Vocabulary {
    /// Adds an id; one that stands already gets the new meaning.
    pub fn add(&mut self, section: Section, id: &str, meaning: &str) {
        let id = Id::from(id);
        let list = self.entries.entry(section).or_default();
        match self.places.get(&(section, id.clone())) {
            Some(place) => {
                if let Some(entry) = list.get_mut(*place) {
                    meaning.clone_into(&mut entry.meaning);
                }
            }
            None => {
                self.places.insert((section, id.clone()), list.len());
                list.push(Entry {
                    id,
                    meaning: meaning.to_owned(),
                });
            }
        }
    }

    /// The entries of a section.
    #[must_use]
    pub fn of(&self, section: Section) -> &[Entry] {
        self.entries.get(&section).map_or(&[], Vec::as_slice)
    }

    /// The id in that section, where it is known.
    #[must_use]
    pub fn id(&self, section: Section, text: &str) -> Option<Id> {
        self.entry(section, text).map(|entry| entry.id.clone())
    }

    /// The entry in that section, where it is known.
    #[must_use]
    pub fn entry(&self, section: Section, text: &str) -> Option<&Entry> {
        let place = *self.places.get(&(section, Id::from(text)))?;
        self.of(section).get(place)
    }

    /// The meaning of an id, or the id itself where it has none.
    #[must_use]
    pub fn meaning<'a>(&'a self, section: Section, id: &'a str) -> &'a str {
        self.entry(section, id)
            .map_or(id, |entry| entry.meaning.as_str())
    }
}
