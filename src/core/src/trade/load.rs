//! From the tables' text to checked [`Knowledge`].
//!
//! Files are read in this order: ids, spellings, classes and things, then everything whose wordings name them. A
//! fault becomes a problem with its place; the entry that has it is left out and all others still serve.

use super::{
    Hazard, Knowledge, TableFile, TableProblem, Who,
    causes::{Band, Cause, Check, Compare, Margin, Mend, Only, Outcome, Relation, Speaks, Stop},
    index::{Counts, PatternIndex},
    lexicon::{
        ActionObjects, Acts, Cue, Lexicon, Meaning, Pattern, Phrase, Quantity, Role, Shown, Sort,
        Spoken, Stands, Thing,
    },
    raw,
    vocabulary::{Id, Section, Vocabulary},
    wording::{self, Element, Names},
};
use crate::reading::{
    learned::{
        Model,
        spotting::{SPOTTING, Spotter},
        weights::{Fitted, Weights},
    },
    spelling::Speller,
};
use rustc_hash::FxHashMap;
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, hash_map::Entry};
use toml::Spanned;

/// The table kinds below `lexicon/`; a table is `lexicon/KIND.toml` or any file in `lexicon/KIND/`.
fn kind(path: &str) -> &str {
    let path = path.strip_suffix(".toml").unwrap_or(path);
    let mut parts = path.split('/');
    match (parts.next(), parts.next()) {
        (Some("lexicon"), Some(kind)) => kind,
        (Some(first), _) => first,
        _ => "",
    }
}

fn line_of(text: &str, at: usize) -> usize {
    text.get(..at).unwrap_or(text).matches('\n').count() + 1
}

pub(super) fn load(files: &[TableFile], learned: &[(&str, &'static [u8])]) -> Knowledge {
    let mut loader = Loader::new(files);
    loader.vocabulary();
    loader.spelling();
    loader.names();
    loader.phrases();
    loader.wordings();
    loader.quantities();
    loader.shown();
    loader.cues();
    loader.trouble();
    loader.causes();
    loader.checks();
    loader.bands();
    loader.stops();
    loader.models(learned);
    loader.finish()
}

struct Loader<'f> {
    files: &'f [TableFile],
    vocabulary: Vocabulary,
    lexicon: Lexicon,
    thing_numbers: FxHashMap<String, u16>,
    class_numbers: FxHashMap<String, u16>,
    causes: Vec<Cause>,
    checks: Vec<Check>,
    bands: Vec<Band>,
    compares: Vec<Compare>,
    stops: Vec<Stop>,
    cautions: Vec<(Hazard, String)>,
    problems: Vec<TableProblem>,
}

/// Where an entry stands.
#[derive(Clone, Copy)]
struct At<'f> {
    file: &'f TableFile,
    line: usize,
}

impl<'f> Loader<'f> {
    fn new(files: &'f [TableFile]) -> Self {
        Self {
            files,
            vocabulary: Vocabulary::default(),
            lexicon: Lexicon::default(),
            thing_numbers: FxHashMap::default(),
            class_numbers: FxHashMap::default(),
            causes: Vec::new(),
            checks: Vec::new(),
            bands: Vec::new(),
            compares: Vec::new(),
            stops: Vec::new(),
            cautions: Vec::new(),
            problems: Vec::new(),
        }
    }

    fn of_kind(&self, wanted: &'static str) -> impl Iterator<Item = &'f TableFile> + use<'f> {
        self.files
            .iter()
            .filter(move |f| !f.path.ends_with(".txt") && kind(&f.path) == wanted)
    }

    fn read<T: DeserializeOwned>(&mut self, file: &'f TableFile) -> Option<T> {
        match toml::from_str(&file.text) {
            Ok(value) => Some(value),
            Err(error) => {
                let line = error.span().map_or(1, |s| line_of(&file.text, s.start));
                self.problem(
                    At { file, line },
                    format!("the table cannot be read: {}", error.message()),
                );
                None
            }
        }
    }

    fn problem(&mut self, at: At<'_>, text: String) {
        self.problems.push(TableProblem {
            file: at.file.path.clone(),
            line: at.line,
            text,
        });
    }

    fn place(file: &'f TableFile, key: &Spanned<String>) -> At<'f> {
        At {
            file,
            line: line_of(&file.text, key.span().start),
        }
    }

    fn vocabulary(&mut self) {
        for file in self.of_kind("vocabulary") {
            let Some(table) = self.read::<toml::Table>(file) else {
                continue;
            };
            // The file's order is the order of the ids, so the text is read line by line beside the parsed table.
            for section in Section::ALL {
                let Some(entries) = table.get(section.name()).and_then(toml::Value::as_table)
                else {
                    continue;
                };
                let mut keyed: Vec<(usize, &String, &str)> = entries
                    .iter()
                    .map(|(id, meaning)| {
                        (
                            key_place(&file.text, section, id),
                            id,
                            meaning.as_str().unwrap_or_default(),
                        )
                    })
                    .collect();
                keyed.sort_unstable();
                for (_, id, meaning) in keyed {
                    self.vocabulary.add(section, id, meaning);
                }
            }
        }
        let ids = |v: &Vocabulary, s| v.of(s).iter().map(|e| e.id.clone()).collect::<Vec<_>>();
        let lexicon = &mut self.lexicon;
        lexicon.symptoms = ids(&self.vocabulary, Section::Symptom);
        lexicon.conditions = ids(&self.vocabulary, Section::Condition);
        lexicon.causes = ids(&self.vocabulary, Section::Cause);
        lexicon.actions = ids(&self.vocabulary, Section::Action);
        lexicon.endings = ids(&self.vocabulary, Section::Outcome);
        for id in ids(&self.vocabulary, Section::Equipment) {
            lexicon.things.push(Thing {
                id,
                sort: Sort::Equipment,
            });
        }
        for id in ids(&self.vocabulary, Section::Part) {
            lexicon.things.push(Thing {
                id,
                sort: Sort::Part(Vec::new()),
            });
        }
    }

    fn spelling(&mut self) {
        for file in self.of_kind("spelling") {
            let Some(table) = self.read::<raw::Spelling>(file) else {
                continue;
            };
            for (from, to) in &table.read {
                self.lexicon.rewrites.add(from, to);
            }
            for (from, to) in &table.heard {
                self.lexicon.heard.add(from, to);
            }
            self.lexicon.heard_numbers.extend(table.heard_number);
            self.lexicon.ordinary.extend(table.ordinary);
        }
    }

    fn names(&mut self) {
        for file in self.of_kind("generic") {
            let Some(table) = self.read::<raw::ById<raw::Say>>(file) else {
                continue;
            };
            for (key, entry) in &table {
                let kinds = entry
                    .one_of
                    .iter()
                    .filter_map(|k| self.vocabulary.id(Section::Equipment, k))
                    .collect();
                let id = Id::from(key.get_ref().as_str());
                self.lexicon.things.push(Thing {
                    id,
                    sort: Sort::Unstated(kinds),
                });
            }
        }
        for (number, thing) in self.lexicon.things.iter().enumerate() {
            self.thing_numbers.insert(
                thing.id.to_string(),
                u16::try_from(number).unwrap_or(u16::MAX),
            );
        }
        for file in self.of_kind("classes") {
            let Some(table) = self.read::<raw::ById<Vec<String>>>(file) else {
                continue;
            };
            for key in table.keys() {
                let next = u16::try_from(self.class_numbers.len()).unwrap_or(u16::MAX);
                if let Entry::Vacant(free) = self.class_numbers.entry(key.get_ref().clone()) {
                    self.lexicon.class_names.push(free.key().clone());
                    free.insert(next);
                }
            }
        }
    }

    fn parse(&mut self, text: &str, at: At<'_>) -> Option<wording::Wording> {
        let (things, classes) = (&self.thing_numbers, &self.class_numbers);
        let generic: &Vec<Thing> = &self.lexicon.things;
        let rewrites = &self.lexicon.rewrites;
        let names = Names {
            // A kind also stands for mentions that leave the kind open: "{gas-heater}" takes "heater".
            thing: &|name| {
                let number = *things.get(name)?;
                let open = generic.iter().enumerate().filter(
                    |(_, t)| matches!(&t.sort, Sort::Unstated(k) if k.iter().any(|k| k == name)),
                );
                Some(
                    std::iter::once(number)
                        .chain(open.filter_map(|(i, _)| u16::try_from(i).ok()))
                        .collect(),
                )
            },
            class: &|name| classes.get(name).copied(),
            respell: &|word| rewrites.word(word),
        };
        match wording::parse(text, &mut self.lexicon.terms, &names) {
            Ok(wording) => Some(wording),
            Err(error) => {
                self.problem(at, error.to_string());
                None
            }
        }
    }

    /// Things and classes: sequences of plain words.
    fn phrases(&mut self) {
        for name in ["equipment", "parts", "generic"] {
            for file in self.of_kind(name) {
                let Some(table) = self.read::<raw::ById<raw::Say>>(file) else {
                    continue;
                };
                for (key, entry) in &table {
                    let at = Self::place(file, key);
                    let Some(number) = self.thing_numbers.get(key.get_ref()).copied() else {
                        self.problem(
                            at,
                            format!(
                                "`{}` is neither equipment nor part: see vocabulary.toml",
                                key.get_ref()
                            ),
                        );
                        continue;
                    };
                    let tells: Vec<Id> = entry
                        .tells
                        .iter()
                        .filter_map(|k| self.vocabulary.id(Section::Equipment, k))
                        .collect();
                    if let Some(Thing {
                        sort: Sort::Part(known),
                        ..
                    }) = self.lexicon.things.get_mut(usize::from(number))
                    {
                        known.extend(tells);
                    }
                    self.phrase(&entry.say, Phrase::Thing(number), at);
                }
            }
        }
        for file in self.of_kind("classes") {
            let Some(table) = self.read::<raw::ById<Vec<String>>>(file) else {
                continue;
            };
            for (key, say) in &table {
                if let Some(number) = self.class_numbers.get(key.get_ref()).copied() {
                    self.phrase(say, Phrase::Class(number), Self::place(file, key));
                }
            }
        }
    }

    fn phrase(&mut self, say: &[String], phrase: Phrase, at: At<'_>) {
        for text in say {
            let Some(wording) = self.parse(text, at) else {
                continue;
            };
            let [side] = wording.sides.as_slice() else {
                self.problem(
                    at,
                    format!("`{text}`: a thing or class is worded by plain words, without `&`"),
                );
                continue;
            };
            match expand(side) {
                Some(sequences) => sequences
                    .iter()
                    .for_each(|s| self.lexicon.phrases.add(s, phrase)),
                None => self.problem(
                    at,
                    format!("`{text}`: a thing or class is worded by plain words alone"),
                ),
            }
        }
    }

    fn pattern(&mut self, text: &str, means: Meaning, veto: bool, at: At<'_>) {
        if let Some(wording) = self.parse(text, at) {
            let files = &mut self.lexicon.files;
            if files.last() != Some(&at.file.path) {
                files.push(at.file.path.clone());
            }
            let file = u16::try_from(files.len().saturating_sub(1)).unwrap_or(u16::MAX);
            self.lexicon.patterns.push(Pattern {
                wording,
                means,
                veto,
                text: text.to_owned(),
                file,
                line: u32::try_from(at.line).unwrap_or(u32::MAX),
            });
        }
    }

    fn say(&mut self, table: &'static str, section: Section, means: fn(u16) -> Meaning) {
        let ids: FxHashMap<String, u16> = self
            .vocabulary
            .of(section)
            .iter()
            .enumerate()
            .map(|(i, e)| (e.id.to_string(), u16::try_from(i).unwrap_or(u16::MAX)))
            .collect();
        for file in self.of_kind(table) {
            let Some(entries) = self.read::<raw::ById<raw::Say>>(file) else {
                continue;
            };
            for (key, entry) in &entries {
                let at = Self::place(file, key);
                let Some(number) = ids.get(key.get_ref()).copied() else {
                    self.problem(
                        at,
                        format!(
                            "`{}` is no id of [{}] in vocabulary.toml",
                            key.get_ref(),
                            section.name()
                        ),
                    );
                    continue;
                };
                if let Some(on) = &entry.on {
                    match self.vocabulary.id(Section::Equipment, on) {
                        Some(on) => {
                            self.lexicon
                                .belongs
                                .insert(Id::from(key.get_ref().as_str()), on);
                        }
                        None => self.problem(at, format!("`{on}` is no id of [equipment]")),
                    }
                }
                for text in &entry.say {
                    self.pattern(text, means(number), false, at);
                }
                for text in &entry.not {
                    self.pattern(text, means(number), true, at);
                }
                for text in &entry.absent {
                    self.pattern(text, Meaning::NoSymptom(number), false, at);
                }
                if section == Section::Cause {
                    for text in &entry.found {
                        self.pattern(text, Meaning::Cause(number, Spoken::Found), false, at);
                    }
                    for text in &entry.cleared {
                        self.pattern(text, Meaning::Cause(number, Spoken::Cleared), false, at);
                    }
                }
            }
        }
    }

    fn wordings(&mut self) {
        self.say("symptoms", Section::Symptom, Meaning::Symptom);
        self.say("conditions", Section::Condition, Meaning::Condition);
        self.say("causes-said", Section::Cause, |n| {
            Meaning::Cause(n, Spoken::Names)
        });
        self.actions();
        self.say("outcomes", Section::Outcome, Meaning::Ending);
    }

    /// The id of a part, a kind of equipment or a generic name.
    fn thing_id(&mut self, text: &str, at: At<'_>) -> Option<Id> {
        let known = self.thing_numbers.contains_key(text);
        if !known {
            self.problem(at, format!("`{text}` is neither part nor equipment"));
        }
        known.then(|| Id::from(text))
    }

    fn actions(&mut self) {
        for file in self.of_kind("actions") {
            let Some(table) = self.read::<raw::ById<raw::Action>>(file) else {
                continue;
            };
            for (key, entry) in &table {
                let at = Self::place(file, key);
                let place = self
                    .lexicon
                    .actions
                    .iter()
                    .position(|a| *a == *key.get_ref().as_str());
                let Some(number) = place.and_then(|p| u16::try_from(p).ok()) else {
                    self.problem(at, format!("`{}` is no id of [action]", key.get_ref()));
                    continue;
                };
                let default = entry.default.as_deref().and_then(|d| self.thing_id(d, at));
                let only = entry
                    .only
                    .iter()
                    .filter_map(|o| self.thing_id(o, at))
                    .collect();
                self.lexicon
                    .objects
                    .insert(number, ActionObjects { default, only });
                for text in &entry.say {
                    self.pattern(text, Meaning::Action(number), false, at);
                }
                for text in &entry.not {
                    self.pattern(text, Meaning::Action(number), true, at);
                }
            }
        }
    }

    fn quantities(&mut self) {
        for (name, section, role) in [
            ("settings", Section::Setting, Role::Setting),
            ("readings", Section::Reading, Role::Reading),
        ] {
            for file in self.of_kind(name) {
                let Some(table) = self.read::<raw::ById<raw::Quantity>>(file) else {
                    continue;
                };
                for (key, entry) in &table {
                    let at = Self::place(file, key);
                    let Some(known) = self.vocabulary.entry(section, key.get_ref()).cloned() else {
                        self.problem(
                            at,
                            format!("`{}` is no id of [{}]", key.get_ref(), section.name()),
                        );
                        continue;
                    };
                    let unit = unit_of(&known.meaning).to_owned();
                    let adjusts = entry.adjusts.as_deref().map(Id::from);
                    let number = u16::try_from(self.lexicon.quantities.len()).unwrap_or(u16::MAX);
                    self.lexicon.quantities.push(Quantity {
                        id: known.id.clone(),
                        role,
                        unit,
                        units: entry.units.clone(),
                        bare: entry.unit.clone(),
                        own: entry.own.clone(),
                        range: (
                            entry.least.unwrap_or(f64::NEG_INFINITY),
                            entry.most.unwrap_or(f64::INFINITY),
                        ),
                        adjusts,
                    });
                    for text in &entry.say {
                        self.pattern(text, Meaning::Quantity(number), false, at);
                    }
                }
            }
        }
    }

    fn shown(&mut self) {
        for file in self.of_kind("shown") {
            let Some(table) = self.read::<raw::ById<Vec<raw::Shown>>>(file) else {
                continue;
            };
            for (key, entries) in &table {
                let at = Self::place(file, key);
                let Some(symptom) = self.id(Section::Symptom, key.get_ref(), at) else {
                    continue;
                };
                for entry in entries {
                    let (Some(a), Some(b)) = (
                        self.measured(&entry.value, at),
                        self.measured(&entry.against, at),
                    ) else {
                        continue;
                    };
                    let stands = match entry.relation.as_str() {
                        "above" => Stands::Above,
                        "below" => Stands::Below,
                        "apart" => Stands::Apart,
                        other => {
                            self.problem(
                                at,
                                format!("`{other}` is no relation: use above, below or apart"),
                            );
                            continue;
                        }
                    };
                    let (share, by) = (entry.share.unwrap_or(0.0), entry.by.unwrap_or(0.0));
                    self.lexicon.shown.push(Shown {
                        symptom: symptom.clone(),
                        values: (a, b),
                        stands,
                        share,
                        by,
                    });
                }
            }
        }
    }

    /// Rows of words as rows of stems.
    fn stems(&mut self, file: &'f TableFile, rows: &[Spanned<String>]) -> Vec<Vec<String>> {
        let mut out = Vec::with_capacity(rows.len());
        for words in rows {
            let row: Vec<String> = words
                .get_ref()
                .split_whitespace()
                .map(|w| self.lexicon.terms.stem(w))
                .collect();
            if row.is_empty() {
                self.problem(Self::place(file, words), "words are missing".to_owned());
            } else {
                out.push(row);
            }
        }
        out
    }

    fn trouble(&mut self) {
        for file in self.of_kind("trouble") {
            let Some(table) = self.read::<raw::Trouble>(file) else {
                continue;
            };
            let words = self.stems(file, &table.words);
            self.lexicon.trouble.words.extend(words);
            let not = self.stems(file, &table.not);
            self.lexicon.trouble.not.extend(not);
        }
    }

    fn cues(&mut self) {
        for file in self.of_kind("cues") {
            let Some(table) = self.read::<raw::ById<raw::Cue>>(file) else {
                continue;
            };
            for (key, entry) in &table {
                let at = Self::place(file, key);
                let Some((cue, _)) = Cue::ALL
                    .into_iter()
                    .find(|(_, name)| *name == key.get_ref().as_str())
                else {
                    self.problem(at, format!("`{}` is no cue", key.get_ref()));
                    continue;
                };
                for (list, acts) in [
                    (&entry.before, Acts::Before),
                    (&entry.after, Acts::After),
                    (&entry.around, Acts::Around),
                    (&entry.not, Acts::Not),
                    (&entry.ends, Acts::Ends),
                ] {
                    for text in list {
                        self.pattern(text, Meaning::Cue(cue, acts), false, at);
                    }
                }
                if let Some(reach) = entry.reach {
                    self.lexicon.reach.insert(cue, reach);
                }
                self.lexicon
                    .headings
                    .extend(entry.headings.iter().map(|h| (h.to_lowercase(), cue)));
            }
        }
    }

    fn id(&mut self, section: Section, text: &str, at: At<'_>) -> Option<Id> {
        let id = self.vocabulary.id(section, text);
        if id.is_none() {
            self.problem(
                at,
                format!(
                    "`{text}` is no id of [{}] in vocabulary.toml",
                    section.name()
                ),
            );
        }
        id
    }

    fn ids(&mut self, section: Section, texts: &[String], at: At<'_>) -> Vec<Id> {
        texts
            .iter()
            .filter_map(|t| self.id(section, t, at))
            .collect()
    }

    fn needs(&mut self, texts: &[String], at: At<'_>) -> Vec<Vec<Id>> {
        texts
            .iter()
            .map(|choice| {
                let kinds: Vec<String> = choice.split('|').map(|k| k.trim().to_owned()).collect();
                self.ids(Section::Equipment, &kinds, at)
            })
            .filter(|kinds| !kinds.is_empty())
            .collect()
    }

    fn hazard(&mut self, text: &str, at: At<'_>) -> Hazard {
        Hazard::named(text).unwrap_or_else(|| {
            let names: Vec<&str> = Hazard::ALL.iter().map(|h| h.name()).collect();
            self.problem(
                at,
                format!("`{text}` is no hazard: use one of {}", names.join(", ")),
            );
            Hazard::None
        })
    }

    fn odds(
        &mut self,
        section: Section,
        table: &BTreeMap<String, f64>,
        at: At<'_>,
    ) -> FxHashMap<Id, f64> {
        let mut out = FxHashMap::default();
        for (id, value) in table {
            if !(value.is_finite() && *value > 0.0) {
                self.problem(
                    at,
                    format!("`{id}` = {value}: a likelihood ratio is greater than 0"),
                );
                continue;
            }
            if let Some(id) = self.id(section, id, at) {
                out.insert(id, *value);
            }
        }
        out
    }

    fn speaks(&mut self, causes: &BTreeMap<String, f64>, other: f64, at: At<'_>) -> Speaks {
        Speaks {
            causes: self.odds(Section::Cause, causes, at),
            other,
        }
    }

    fn causes(&mut self) {
        for file in self.of_kind("causes") {
            let Some(table) = self.read::<raw::CauseFile>(file) else {
                continue;
            };
            for entry in table.cause {
                let at = Self::place(file, &entry.id);
                let Some(id) = self.id(Section::Cause, entry.id.get_ref(), at) else {
                    continue;
                };
                let inside = |p: f64| p > 0.0 && p < 1.0;
                if !inside(entry.prior) {
                    self.problem(
                        at,
                        format!("`{id}`: the prior {} is not between 0 and 1", entry.prior),
                    );
                    continue;
                }
                let mut makes = FxHashMap::default();
                for (symptom, strength) in &entry.makes {
                    if !inside(*strength) {
                        self.problem(at, format!("`{id}` makes `{symptom}` with {strength}, which is not between 0 and 1"));
                    } else if let Some(symptom) = self.id(Section::Symptom, symptom, at) {
                        makes.insert(symptom, *strength);
                    }
                }
                let mut mends = Vec::new();
                for mend in &entry.mend {
                    let Some(action) = self.id(Section::Action, &mend.action, at) else {
                        continue;
                    };
                    let part = self
                        .vocabulary
                        .id(Section::Part, &mend.part)
                        .or_else(|| self.vocabulary.id(Section::Equipment, &mend.part));
                    match part {
                        Some(part) => mends.push(Mend {
                            action,
                            part,
                            text: mend.text.clone(),
                        }),
                        None => self
                            .problem(at, format!("`{}` is neither part nor equipment", mend.part)),
                    }
                }
                let cause = Cause {
                    needs: self.needs(&entry.needs, at),
                    hazard: self.hazard(&entry.hazard, at),
                    when: self.odds(Section::Condition, &entry.when, at),
                    id,
                    name: entry.name,
                    why: entry.why,
                    prior: entry.prior,
                    weight: entry.weight,
                    caution: entry.caution,
                    mends,
                    take: entry.take,
                    source: entry.source,
                    makes,
                    place: (file.path.clone(), at.line),
                };
                match self.causes.iter_mut().find(|c| c.id == cause.id) {
                    Some(known) => *known = cause,
                    None => self.causes.push(cause),
                }
            }
        }
    }

    fn checks(&mut self) {
        for file in self.of_kind("checks") {
            let Some(table) = self.read::<raw::CheckFile>(file) else {
                continue;
            };
            for entry in table.check {
                let at = Self::place(file, &entry.id);
                let who = Who::named(&entry.who).unwrap_or_else(|| {
                    self.problem(
                        at,
                        format!(
                            "`{}` may do nothing: use anyone, trained, electrical or gas",
                            entry.who
                        ),
                    );
                    Who::Electrical
                });
                let id = Id::from(entry.id.get_ref().as_str());
                let known = self.checks.iter().position(|c| c.id == id);
                let number = u16::try_from(known.unwrap_or(self.checks.len())).unwrap_or(u16::MAX);
                if known.is_some() {
                    self.lexicon.patterns.retain(
                        |p| !matches!(p.means, Meaning::Outcome(check, _) if check == number),
                    );
                }
                let mut outcomes: Vec<Outcome> = Vec::new();
                for outcome in &entry.outcome {
                    let place = u16::try_from(outcomes.len()).unwrap_or(u16::MAX);
                    for text in &outcome.say {
                        self.pattern(text, Meaning::Outcome(number, place), false, at);
                    }
                    let speaks = self.speaks(&outcome.speaks, outcome.other, at);
                    outcomes.push(Outcome {
                        id: outcome.id.clone(),
                        text: outcome.text.clone(),
                        speaks,
                    });
                }
                let check = Check {
                    id,
                    text: entry.text,
                    tool: entry.tool,
                    minutes: entry.minutes,
                    hazard: self.hazard(&entry.hazard, at),
                    who,
                    needs: self.needs(&entry.needs, at),
                    symptoms: self.ids(Section::Symptom, &entry.symptoms, at),
                    caution: entry.caution,
                    ask: entry.ask,
                    expected: entry.expected,
                    source: entry.source,
                    outcomes,
                    place: (file.path.clone(), at.line),
                };
                match known.and_then(|k| self.checks.get_mut(k)) {
                    Some(place) => *place = check,
                    None => self.checks.push(check),
                }
            }
        }
    }

    fn measured(&mut self, text: &str, at: At<'_>) -> Option<Id> {
        let id = self
            .vocabulary
            .id(Section::Reading, text)
            .or_else(|| self.vocabulary.id(Section::Setting, text));
        if id.is_none() {
            self.problem(at, format!("`{text}` is no id of [reading] or [setting]"));
        }
        id
    }

    fn only(&mut self, symptoms: &[String], equipment: &[String], at: At<'_>) -> Only {
        Only {
            symptoms: self.ids(Section::Symptom, symptoms, at),
            equipment: self.ids(Section::Equipment, equipment, at),
        }
    }

    fn bands(&mut self) {
        for file in self.of_kind("bands") {
            let Some(table) = self.read::<raw::BandFile>(file) else {
                continue;
            };
            for entry in table.band {
                let at = Self::place(file, &entry.reading);
                let Some(of) = self.measured(entry.reading.get_ref(), at) else {
                    continue;
                };
                let band = Band {
                    of,
                    name: entry.name,
                    above: entry.above.unwrap_or(f64::NEG_INFINITY),
                    below: entry.below.unwrap_or(f64::INFINITY),
                    only: self.only(&entry.symptoms, &entry.equipment, at),
                    speaks: self.speaks(&entry.speaks, entry.other, at),
                    source: entry.source,
                    place: (file.path.clone(), at.line),
                };
                if band.above >= band.below {
                    self.problem(
                        at,
                        format!(
                            "the band `{}` is empty: above {} and below {}",
                            band.name, band.above, band.below
                        ),
                    );
                    continue;
                }
                self.bands.push(band);
            }
            for entry in table.compare {
                let at = Self::place(file, &entry.a);
                let (Some(a), Some(b)) = (
                    self.measured(entry.a.get_ref(), at),
                    self.measured(&entry.b, at),
                ) else {
                    continue;
                };
                let relation = match entry.relation.as_str() {
                    "near" => Relation::Near,
                    "above" => Relation::Above,
                    "below" => Relation::Below,
                    "drop" => Relation::Drop,
                    other => {
                        self.problem(
                            at,
                            format!("`{other}` is no relation: use near, above, below or drop"),
                        );
                        continue;
                    }
                };
                let margin = match (entry.within, entry.by) {
                    (_, Some(by)) => Margin::By(by),
                    (Some(share), None) => Margin::Share(share),
                    (None, None) => Margin::Share(0.0),
                };
                let compare = Compare {
                    a,
                    b,
                    relation,
                    margin,
                    name: entry.name,
                    only: self.only(&entry.symptoms, &entry.equipment, at),
                    speaks: self.speaks(&entry.speaks, entry.other, at),
                    source: entry.source,
                    place: (file.path.clone(), at.line),
                };
                self.compares.push(compare);
            }
        }
    }

    fn stops(&mut self) {
        for file in self.of_kind("dangers") {
            let Some(table) = self.read::<raw::StopFile>(file) else {
                continue;
            };
            for (name, text) in &table.caution {
                let hazard = self.hazard(name, At { file, line: 1 });
                self.cautions.retain(|(known, _)| *known != hazard);
                self.cautions.push((hazard, text.clone()));
            }
            for entry in table.stop {
                let at = Self::place(file, &entry.id);
                let id = Id::from(entry.id.get_ref().as_str());
                let known = self.stops.iter().position(|s| s.id == id);
                let number = u16::try_from(known.unwrap_or(self.stops.len())).unwrap_or(u16::MAX);
                for text in &entry.say {
                    self.pattern(text, Meaning::Stop(number), false, at);
                }
                for text in &entry.not {
                    self.pattern(text, Meaning::Stop(number), true, at);
                }
                let stop = Stop {
                    id,
                    hazard: self.hazard(&entry.hazard, at),
                    symptoms: self.ids(Section::Symptom, &entry.symptoms, at),
                    text: entry.text,
                    source: entry.source,
                };
                match known.and_then(|k| self.stops.get_mut(k)) {
                    Some(place) => *place = stop,
                    None => self.stops.push(stop),
                }
            }
        }
    }

    /// The learned part; what a shop's own tables bring takes the place of the built-in.
    fn models(&mut self, built_in: &[(&str, &'static [u8])]) {
        for (name, bytes) in built_in {
            if let Some(weights) = Weights::new((*bytes).into()) {
                self.model(name, weights);
            }
        }
        for file in self.of_kind("learned") {
            let name = file.path.rsplit('/').next().unwrap_or_default();
            let Some(name) = name.strip_suffix(".tsv") else {
                continue;
            };
            match Fitted::from_text(&file.text) {
                Ok(fitted) => {
                    if let Some(weights) = Weights::new(fitted.to_bytes().into()) {
                        self.model(name, weights);
                    }
                }
                Err(fault) => self.problem(
                    At {
                        file,
                        line: fault.line,
                    },
                    fault.what,
                ),
            }
        }
    }

    fn model(&mut self, name: &str, weights: Weights) {
        if name == SPOTTING {
            self.lexicon.spotter = Some(Spotter::new(weights, &self.lexicon));
        } else {
            self.lexicon
                .models
                .insert(name.to_owned(), Model::new(weights));
        }
    }

    fn finish(mut self) -> Knowledge {
        let lexicon = &mut self.lexicon;
        let counts = Counts {
            terms: lexicon.terms.len(),
            classes: lexicon.class_names.len(),
            things: lexicon.things.len(),
            longest: u8::try_from(lexicon.phrases.longest()).unwrap_or(u8::MAX),
        };
        lexicon.index =
            PatternIndex::new(lexicon.patterns.iter_mut().map(|p| &mut p.wording), counts);
        lexicon.speller = Speller::new(lexicon.terms.words());
        self.problems.sort();
        Knowledge {
            vocabulary: self.vocabulary,
            lexicon: self.lexicon,
            causes: self.causes,
            checks: self.checks,
            bands: self.bands,
            compares: self.compares,
            stops: self.stops,
            cautions: self.cautions,
            problems: self.problems,
        }
    }
}

/// The unit that a quantity's meaning begins with ("degF across the heater" is degF).
fn unit_of(meaning: &str) -> &str {
    let unit = meaning.split(',').next().unwrap_or_default().trim();
    let unit = [" across ", " above ", " while ", " for "]
        .iter()
        .fold(unit, |u, cut| u.split(cut).next().unwrap_or(u));
    unit.trim()
}

/// Where a key stands in its section of the vocabulary's text, so that ids keep the file's order.
fn key_place(text: &str, section: Section, id: &str) -> usize {
    let start = text.find(&format!("[{}]", section.name())).unwrap_or(0);
    let rest = text.get(start..).unwrap_or_default();
    rest.find(&format!("\n{id} ="))
        .map_or(usize::MAX, |p| start + p)
}

/// Every sequence of terms that a side of plain words stands for.
fn expand(side: &[Element]) -> Option<Vec<Vec<u32>>> {
    let mut out = vec![Vec::new()];
    for element in side {
        let choices: Vec<Vec<u32>> = match element {
            Element::Word(terms) => terms.iter().map(|t| vec![*t]).collect(),
            Element::Group(choices) => choices
                .iter()
                .map(|c| expand(c))
                .collect::<Option<Vec<_>>>()?
                .concat(),
            Element::Maybe(inner) => {
                let mut choices = expand(inner)?;
                choices.push(Vec::new());
                choices
            }
            _ => return None,
        };
        out = out
            .iter()
            .flat_map(|head| {
                choices
                    .iter()
                    .map(move |tail| head.iter().chain(tail).copied().collect::<Vec<u32>>())
            })
            .collect();
    }
    Some(out)
}
