//! Words and their meanings, ready for the reader.

use super::{index::PatternIndex, terms::Terms, vocabulary::Id, wording::Wording};
use crate::reading::{
    learned::{Model, spotting::Spotter},
    numerals::Heard,
    spelling::{Rewrites, Speller},
};
use rustc_hash::FxHashMap;
use std::ops::Range;

/// What sort of thing a mention may be of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sort {
    /// A kind of equipment.
    Equipment,
    /// A part; it may speak for these kinds of equipment.
    Part(Vec<Id>),
    /// Equipment of a kind that is not said: one of these.
    Unstated(Vec<Id>),
}

/// A thing that can be mentioned.
#[derive(Clone, Debug)]
pub struct Thing {
    /// Its id; for an unstated kind the generic name (`heater`).
    pub id: Id,
    /// What sort it is.
    pub sort: Sort,
}

/// A setting or reading with its units.
#[derive(Clone, Debug)]
pub struct Quantity {
    /// Its id.
    pub id: Id,
    /// Setting or reading.
    pub role: Role,
    /// The vocabulary's unit.
    pub unit: String,
    /// Units it is written in.
    pub units: Vec<String>,
    /// The unit taken where none is written.
    pub bare: Option<String>,
    /// Units that alone mean it.
    pub own: Vec<String>,
    /// Least and greatest sensible value in the vocabulary's unit.
    pub range: (f64, f64),
    /// What a change of it is a fix of.
    pub adjusts: Option<Id>,
}

/// An action's objects.
#[derive(Clone, Debug, Default)]
pub struct ActionObjects {
    /// The part meant where none is named.
    pub default: Option<Id>,
    /// The only parts it can be done to; empty means any.
    pub only: Vec<Id>,
}

/// Whether a quantity is chosen or measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Chosen.
    Setting,
    /// Measured.
    Reading,
}

/// Words that change what a mention means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cue {
    /// It is denied.
    Denied,
    /// It was before this visit.
    Past,
    /// It is only thought of.
    Possible,
    /// It is to be done later.
    Planned,
    /// The customer said no.
    Declined,
    /// It is at another site, or general talk.
    Elsewhere,
    /// It was done before this visit or by others.
    Earlier,
    /// It explains: what follows is why.
    Because,
    /// It was looked at and is good.
    Good,
    /// What was met on arrival.
    Found,
    /// What was left.
    Left,
    /// What is recommended or required.
    Advised,
    /// The mention is of something new to be bought or wished for.
    Wish,
}

impl Cue {
    /// All of them with their names in `kb/lexicon/cues.toml`.
    pub const ALL: [(Cue, &'static str); 13] = [
        (Cue::Denied, "denied"),
        (Cue::Past, "past"),
        (Cue::Possible, "possible"),
        (Cue::Planned, "planned"),
        (Cue::Declined, "declined"),
        (Cue::Elsewhere, "elsewhere"),
        (Cue::Earlier, "earlier"),
        (Cue::Because, "because"),
        (Cue::Good, "good"),
        (Cue::Found, "found"),
        (Cue::Left, "left"),
        (Cue::Advised, "advised"),
        (Cue::Wish, "wish"),
    ];
}

/// Where a cue acts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Acts {
    /// On what follows.
    Before,
    /// On what stands before.
    After,
    /// On the whole sentence.
    Around,
    /// It only looks like a cue.
    Not,
    /// It ends the reach.
    Ends,
}

/// How a cause's wording speaks of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Spoken {
    /// It names the cause.
    Names,
    /// It shows the state that means the cause.
    Found,
    /// It says that the cause was looked at and is not it.
    Cleared,
}

/// What a wording means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Meaning {
    /// The symptom with that number.
    Symptom(u16),
    /// The symptom with that number, said not to be there.
    NoSymptom(u16),
    /// The condition with that number.
    Condition(u16),
    /// The cause with that number.
    Cause(u16, Spoken),
    /// The action with that number.
    Action(u16),
    /// The outcome of a visit with that number.
    Ending(u16),
    /// The quantity with that number.
    Quantity(u16),
    /// A cue.
    Cue(Cue, Acts),
    /// Outcome of a check, by their numbers.
    Outcome(u16, u16),
    /// The danger with that number.
    Stop(u16),
}

/// A wording with its meaning.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// The wording.
    pub wording: Wording,
    /// What it means.
    pub means: Meaning,
    /// Where it matches, the meaning is taken back.
    pub veto: bool,
    /// As the table writes it.
    pub text: String,
    /// The table's file, by its number in [`Lexicon::files`].
    pub file: u16,
    /// The line of its entry.
    pub line: u32,
}

/// Plain sequences of words, each with what it is a wording of.
#[derive(Default)]
pub struct Phrases {
    next: FxHashMap<(u32, u32), u32>,
    nodes: u32,
    longest: usize,
    things: FxHashMap<u32, u16>,
    classes: FxHashMap<u32, Vec<u16>>,
}

/// What a sequence of words is a wording of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phrase {
    /// Of a thing.
    Thing(u16),
    /// Of a class.
    Class(u16),
}

impl Phrases {
    /// Adds a sequence of terms.
    pub fn add(&mut self, terms: &[u32], phrase: Phrase) {
        let mut node = 0;
        self.longest = self.longest.max(terms.len());
        for term in terms {
            let fresh = self.nodes + 1;
            let to = *self.next.entry((node, *term)).or_insert(fresh);
            self.nodes = self.nodes.max(to);
            node = to;
        }
        match phrase {
            // The first table to claim words keeps them; `vet` reports the second.
            Phrase::Thing(thing) => {
                self.things.entry(node).or_insert(thing);
            }
            Phrase::Class(class) => self.classes.entry(node).or_default().push(class),
        }
    }

    /// Tokens of the longest sequence.
    #[must_use]
    pub fn longest(&self) -> usize {
        self.longest
    }

    /// The node after `term` from `node`; 0 is the root.
    #[must_use]
    pub fn step(&self, node: u32, term: u32) -> Option<u32> {
        self.next.get(&(node, term)).copied()
    }

    /// The thing whose wording ends at `node`.
    #[must_use]
    pub fn thing(&self, node: u32) -> Option<u16> {
        self.things.get(&node).copied()
    }

    /// The classes with a wording that ends at `node`.
    #[must_use]
    pub fn classes(&self, node: u32) -> &[u16] {
        self.classes.get(&node).map_or(&[], Vec::as_slice)
    }
}

/// How a value stands to another where the two show a symptom.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// Greater.
    Above,
    /// Less.
    Below,
    /// Either.
    Apart,
}

/// A symptom that two values of one visit show: a filter pressure far above the clean one is a high pressure, a displayed
/// temperature away from the measured one a wrong temperature.
#[derive(Clone, Debug)]
pub struct Shown {
    /// The symptom.
    pub symptom: Id,
    /// The value that shows it, and the one it is set against.
    pub values: (Id, Id),
    /// How they stand.
    pub stands: Stands,
    /// Least difference as a share of the second.
    pub share: f64,
    /// Least difference in the unit.
    pub by: f64,
}

/// Words by which a sentence seems to speak of a problem, as rows of stems.
#[derive(Default)]
pub struct Trouble {
    /// Words of trouble.
    pub words: Vec<Vec<String>>,
    /// What looks like it and is none.
    pub not: Vec<Vec<String>>,
}

impl Trouble {
    /// The words of trouble in a row of stems, by their places.
    pub fn find<'s>(&'s self, stems: &'s [String]) -> impl Iterator<Item = Range<usize>> + 's {
        fn rows<'s>(
            rows: &'s [Vec<String>],
            stems: &'s [String],
        ) -> impl Iterator<Item = Range<usize>> + 's {
            (0..stems.len()).flat_map(move |at| {
                let rest = stems.get(at..).unwrap_or_default();
                let fit = rows.iter().filter(move |row| rest.starts_with(row));
                fit.map(move |row| at..at + row.len())
            })
        }
        let not: Vec<Range<usize>> = rows(&self.not, stems).collect();
        rows(&self.words, stems).filter(move |words| {
            !not.iter()
                .any(|n| n.start <= words.start && words.end <= n.end)
        })
    }
}

/// Everything that the reader knows about words.
#[derive(Default)]
pub struct Lexicon {
    /// The book of stems.
    pub terms: Terms,
    /// Things, equipment first, in the vocabulary's order.
    pub things: Vec<Thing>,
    /// Ids of symptoms, by the numbers of their meanings.
    pub symptoms: Vec<Id>,
    /// The equipment that a symptom belongs to.
    pub belongs: FxHashMap<Id, Id>,
    /// Symptoms that values show.
    pub shown: Vec<Shown>,
    /// Ids of conditions.
    pub conditions: Vec<Id>,
    /// Ids of causes.
    pub causes: Vec<Id>,
    /// Ids of actions.
    pub actions: Vec<Id>,
    /// What each action is done to, by the action's number.
    pub objects: FxHashMap<u16, ActionObjects>,
    /// Ids of outcomes of a visit.
    pub endings: Vec<Id>,
    /// Quantities.
    pub quantities: Vec<Quantity>,
    /// Names of word classes, by their numbers.
    pub class_names: Vec<String>,
    /// Wordings of things and classes.
    pub phrases: Phrases,
    /// All other wordings.
    pub patterns: Vec<Pattern>,
    /// Files that wordings stand in.
    pub files: Vec<String>,
    /// Which of them to try where.
    pub index: PatternIndex,
    /// Words that a cue's reach takes; by cue.
    pub reach: FxHashMap<Cue, u8>,
    /// Headings under which a cue holds, lower case.
    pub headings: Vec<(String, Cue)>,
    /// Spellings read as others.
    pub rewrites: Rewrites,
    /// What a telephone hears for other words.
    pub heard: Rewrites,
    /// What a telephone hears for numbers.
    pub heard_numbers: Heard,
    /// Ordinary words that are no misspelling, beside the list of English.
    pub ordinary: Vec<String>,
    /// Corrects misspelt trade words.
    pub speller: Speller,
    /// Words by which a sentence seems to speak of a problem.
    pub trouble: Trouble,
    /// Learned models by name.
    pub models: FxHashMap<String, Model>,
    /// Hears what no wording matches.
    pub spotter: Option<Spotter>,
}
