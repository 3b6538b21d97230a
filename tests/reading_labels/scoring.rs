//! Facts as comparable entries, and how two lists of them match.

use serde_json::Value;
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt, fs,
    path::Path,
};

/// What is scored, in the order of the table.
pub const CATEGORIES: [&str; 10] = [
    "site",
    "date",
    "equipment",
    "symptoms",
    "conditions",
    "settings",
    "readings",
    "causes",
    "fixes",
    "outcome",
];

/// The categories whose mean is the one figure of the reader.
const CORE: [&str; 6] = [
    "equipment",
    "symptoms",
    "settings",
    "readings",
    "causes",
    "fixes",
];

/// Ids that count, by section.
pub struct Ids(BTreeMap<String, BTreeSet<String>>);

impl Ids {
    /// The ids of a vocabulary, less those that it lists as unscored.
    pub fn of(path: &Path) -> Self {
        let table: toml::Table = toml::from_str(&fs::read_to_string(path).unwrap()).unwrap();
        let later = table.get("unscored").and_then(toml::Value::as_table);
        let sections = table
            .iter()
            .filter(|(name, _)| *name != "unscored")
            .filter_map(|(name, entries)| {
                let out = later
                    .and_then(|l| l.get(name))
                    .and_then(toml::Value::as_array);
                let unscored =
                    |id: &str| out.is_some_and(|o| o.iter().any(|v| v.as_str() == Some(id)));
                let ids = entries
                    .as_table()?
                    .keys()
                    .filter(|id| !unscored(id))
                    .cloned()
                    .collect();
                Some((name.clone(), ids))
            });
        Self(sections.collect())
    }

    fn counts(&self, section: &str, id: &str) -> bool {
        self.0
            .get(section)
            .unwrap_or_else(|| panic!("the vocabulary has no [{section}]"))
            .contains(id)
    }
}

/// A piece of an entry.
#[derive(Clone, Debug)]
pub enum Piece {
    /// Text, compared as it is.
    Text(String),
    /// A number, compared with a tolerance.
    Number(f64),
}

impl PartialEq for Piece {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Piece::Text(a), Piece::Text(b)) => a == b,
            // Half a percent of the label, or 0.05.
            (Piece::Number(a), Piece::Number(b)) => (a - b).abs() <= (0.005 * a.abs()).max(0.05),
            _ => false,
        }
    }
}

/// A comparable fact: id, value, status and so on.
pub type Entry = Vec<Piece>;

/// A visit's facts by category, in the order of [`CATEGORIES`].
pub type Bag = [Vec<Entry>; 10];

fn texts(pieces: &[&str]) -> Entry {
    pieces
        .iter()
        .map(|p| Piece::Text((*p).to_owned()))
        .collect()
}

fn string<'v>(value: &'v Value, key: &str) -> Option<&'v str> {
    value
        .get(key)
        .and_then(Value::as_str)
        .filter(|s| !s.is_empty())
}

fn listed<'v>(visit: &'v Value, key: &str) -> impl Iterator<Item = &'v Value> {
    visit
        .get(key)
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
}

fn once(out: &mut Vec<Entry>, entry: Entry) {
    if !out.iter().any(|e| format!("{e:?}") == format!("{entry:?}")) {
        out.push(entry);
    }
}

fn quantity(fact: &Value, section: &str, ids: &Ids) -> Option<Entry> {
    let id = string(fact, "id").filter(|id| ids.counts(section, id))?;
    let value = match fact.get("value")? {
        Value::Number(number) => Piece::Number(number.as_f64()?),
        Value::String(text) => Piece::Text(text.trim().to_lowercase()),
        other => Piece::Text(other.to_string().to_lowercase()),
    };
    Some(vec![Piece::Text(id.to_owned()), value])
}

/// A visit's facts as entries; a visit that is not there has none.
pub fn facts(visit: &Value, ids: &Ids) -> Bag {
    let [
        mut site,
        mut date,
        mut equipment,
        mut symptoms,
        mut conditions,
        mut settings,
        mut readings,
        mut causes,
        mut fixes,
        mut outcome,
    ] = Bag::default();
    if let Some(name) = string(visit, "site") {
        let bare: String = name
            .chars()
            .filter(|c| c.is_alphanumeric())
            .flat_map(char::to_lowercase)
            .collect();
        site.push(texts(&[&bare]));
    }
    date.extend(string(visit, "date").map(|d| texts(&[&d.trim().to_lowercase()])));
    outcome.extend(string(visit, "outcome").map(|o| texts(&[&o.trim().to_lowercase()])));
    for piece in listed(visit, "equipment") {
        let kind = piece
            .as_str()
            .or_else(|| string(piece, "kind"))
            .filter(|k| ids.counts("equipment", k));
        kind.into_iter()
            .for_each(|k| once(&mut equipment, texts(&[k])));
    }
    for fact in listed(visit, "symptoms") {
        let Some(id) = string(fact, "id").filter(|id| ids.counts("symptom", id)) else {
            continue;
        };
        once(
            &mut symptoms,
            texts(&[id, string(fact, "status").unwrap_or("present")]),
        );
        for condition in listed(fact, "conditions")
            .filter_map(Value::as_str)
            .filter(|c| ids.counts("condition", c))
        {
            once(&mut conditions, texts(&[id, condition]));
        }
    }
    for fact in listed(visit, "settings") {
        if let Some(mut entry) = quantity(fact, "setting", ids) {
            entry.push(Piece::Text(
                string(fact, "when").unwrap_or("left").to_owned(),
            ));
            once(&mut settings, entry);
        }
    }
    readings.extend(listed(visit, "readings").filter_map(|fact| quantity(fact, "reading", ids)));
    for fact in listed(visit, "causes") {
        let Some(id) = string(fact, "id").filter(|id| ids.counts("cause", id)) else {
            continue;
        };
        once(
            &mut causes,
            texts(&[id, string(fact, "status").unwrap_or("confirmed")]),
        );
    }
    for fact in listed(visit, "fixes") {
        let Some(action) = string(fact, "action").filter(|a| ids.counts("action", a)) else {
            continue;
        };
        once(
            &mut fixes,
            texts(&[
                action,
                string(fact, "part").unwrap_or_default(),
                string(fact, "status").unwrap_or("done"),
            ]),
        );
    }
    [
        site, date, equipment, symptoms, conditions, settings, readings, causes, fixes, outcome,
    ]
}

/// Hits, what was missed and what is too much, of a list that is asked for and one that is said.
fn matched(asked: &[Entry], said: &[Entry]) -> (usize, Vec<Entry>, Vec<Entry>) {
    let (mut hits, mut missed, mut extra) = (0, Vec::new(), said.to_vec());
    for entry in asked {
        match extra.iter().position(|e| entry == e) {
            Some(place) => {
                extra.remove(place);
                hits += 1;
            }
            None => missed.push(entry.clone()),
        }
    }
    (hits, missed, extra)
}

/// What two people both labelled, and what only one of them did.
fn agreed(first: &[Entry], second: &[Entry]) -> (Vec<Entry>, Vec<Entry>) {
    let (_, only_first, only_second) = matched(first, second);
    let mut rest = only_first.clone();
    let mut both = Vec::new();
    for entry in first {
        match rest
            .iter()
            .position(|e| format!("{e:?}") == format!("{entry:?}"))
        {
            Some(place) => drop(rest.remove(place)),
            None => both.push(entry.clone()),
        }
    }
    (both, [only_first, only_second].concat())
}

/// Visits that were read, in the order of the labelled ones: by line, then by date, then in order; those that are left
/// over stand at the end.
pub fn paired(gold: &[Value], said: Vec<Value>) -> Vec<Option<Value>> {
    let mut left = said;
    let mut out: Vec<Option<Value>> = vec![None; gold.len()];
    let fits: [fn(&Value, &Value) -> bool; 3] = [
        |g, s| s.get("line") == g.get("line"),
        |g, s| s.get("date") == g.get("date"),
        |_, _| true,
    ];
    for fits in fits {
        for (labelled, place) in gold.iter().zip(&mut out) {
            if place.is_none()
                && let Some(found) = left.iter().position(|s| fits(labelled, s))
            {
                *place = Some(left.remove(found));
            }
        }
    }
    out.extend(left.into_iter().map(Some));
    out
}

/// Counts of one category.
#[derive(Clone, Copy, Debug, Default)]
pub struct Row {
    hits: usize,
    missed: usize,
    extra: usize,
}

impl Row {
    /// Labels that are asked for.
    pub fn gold(&self) -> usize {
        self.hits + self.missed
    }

    fn share(&self, of: usize) -> f64 {
        if self.hits + of == 0 {
            1.0
        } else {
            self.hits as f64 / (self.hits + of) as f64
        }
    }

    /// The harmonic mean of precision and recall.
    pub fn f1(&self) -> f64 {
        let (precision, recall) = (self.share(self.extra), self.share(self.missed));
        if precision + recall > 0.0 {
            2.0 * precision * recall / (precision + recall)
        } else {
            0.0
        }
    }
}

/// Counts over visits.
#[derive(Default)]
pub struct Tally([Row; 10]);

impl Tally {
    /// Counts a visit: what one person labelled, what another did, what was read.
    pub fn add(&mut self, first: &Bag, second: &Bag, said: &Bag) {
        for (k, row) in self.0.iter_mut().enumerate() {
            let (asked, open_to_debate) = agreed(&first[k], &second[k]);
            let (hits, missed, extra) = matched(&asked, &said[k]);
            let (_, _, extra) = matched(&open_to_debate, &extra);
            row.hits += hits;
            row.missed += missed.len();
            row.extra += extra.len();
        }
    }

    /// The table.
    pub fn figures(self) -> Figures {
        Figures { rows: self.0 }
    }
}

/// The table of a half.
pub struct Figures {
    /// Rows in the order of [`CATEGORIES`].
    pub rows: [Row; 10],
}

impl fmt::Display for Figures {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{:<12}{:>10}{:>8}{:>8}{:>7}",
            "category", "precision", "recall", "F1", "gold"
        )?;
        let (mut sum, mut of) = (0.0, 0.0);
        for (name, row) in CATEGORIES.iter().zip(&self.rows) {
            let (precision, recall) = (row.share(row.extra), row.share(row.missed));
            writeln!(
                f,
                "{name:<12}{precision:>10.3}{recall:>8.3}{:>8.3}{:>7}",
                row.f1(),
                row.gold()
            )?;
            if CORE.contains(name) {
                sum += row.f1();
                of += 1.0;
            }
        }
        writeln!(f, "mean F1 of {}: {:.3}", CORE.join(", "), sum / of)
    }
}
