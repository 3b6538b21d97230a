//! Finds the wordings of the tables in a row of tokens.
//!
//! First every thing and every word class (longest wording first), then every other wording, sentence by sentence:
//! a wording is tried only where its rarest element stands. Work grows with the text's length, not with the number of
//! wordings: each try looks at a bounded number of tokens.

use super::{
    learned::spotting::Heard,
    lexer::{Kind, Mark},
    words::Words,
};
use crate::trade::{
    index::{Atom, NEAR, NONE, Stretch},
    lexicon::{Lexicon, Meaning},
    terms::UNKNOWN,
    wording::{Element, LONG_GAP},
};
use std::ops::Range;

/// A mention of a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThingMention {
    /// Its number in the lexicon.
    pub thing: u16,
    /// Its tokens.
    pub tokens: Range<usize>,
}

/// A wording found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit {
    /// What it means.
    pub means: Meaning,
    /// Its tokens, from the first to the last.
    pub tokens: Range<usize>,
    /// The thing that stands for `{*}` in it.
    pub slot: Option<usize>,
    /// Which of its tokens the wording names (bit 0 is the first); the others lie in its gaps.
    pub named: u64,
    /// The wording, by its number in the lexicon; none where the learned part heard it.
    pub wording: Option<u32>,
}

/// All that was found in a text.
#[derive(Default)]
pub struct Found {
    /// Things in order.
    pub things: Vec<ThingMention>,
    /// For each token the thing that begins there, by its place in `things`.
    pub thing_at: Vec<Option<usize>>,
    /// For each token the classes with a wording that begins there, and where each ends.
    pub classes_at: Vec<Vec<(u16, usize)>>,
    /// Wordings, in order of their first token.
    pub hits: Vec<Hit>,
    /// How sure the learned part is of a meaning in a sentence.
    pub heard: Heard,
}

impl Found {
    /// The wordings that begin at a token or after it.
    #[must_use]
    pub fn hits_from(&self, token: usize) -> &[Hit] {
        let from = self.hits.partition_point(|h| h.tokens.start < token);
        self.hits.get(from..).unwrap_or_default()
    }

    /// Brings the wordings into their order, each once.
    pub fn sort(&mut self) {
        self.hits
            .sort_by_key(|h| (h.tokens.start, h.tokens.end, h.means_order()));
        self.hits.dedup();
    }
}

/// Finds everything in `words`.
#[must_use]
pub fn find(words: &Words, lexicon: &Lexicon) -> Found {
    let count = words.tokens.len();
    let mut found = Found {
        thing_at: vec![None; count],
        classes_at: vec![Vec::new(); count],
        ..Found::default()
    };
    for sentence in &words.sentences {
        phrases(words, lexicon, sentence.tokens.clone(), &mut found);
    }
    patterns(words, lexicon, &mut found);
    found.sort();
    found
}

impl Hit {
    /// Whether the wording itself names a token (and not only passes over it).
    #[must_use]
    pub fn names(&self, token: usize) -> bool {
        token
            .checked_sub(self.tokens.start)
            .is_some_and(|bit| bit < 64 && self.named & (1 << bit) != 0)
    }

    fn means_order(&self) -> u32 {
        match self.means {
            Meaning::Symptom(n) => u32::from(n),
            Meaning::NoSymptom(n) => 500 + u32::from(n),
            Meaning::Condition(n) => 1000 + u32::from(n),
            Meaning::Cause(n, _) => 2000 + u32::from(n),
            Meaning::Action(n) => 3000 + u32::from(n),
            Meaning::Ending(n) => 4000 + u32::from(n),
            Meaning::Quantity(n) => 5000 + u32::from(n),
            Meaning::Cue(cue, acts) => 6000 + cue as u32 * 8 + acts as u32,
            Meaning::Outcome(check, outcome) => 10_000 + u32::from(check) * 16 + u32::from(outcome),
            Meaning::Stop(n) => 9000 + u32::from(n),
        }
    }
}

fn phrases(words: &Words, lexicon: &Lexicon, sentence: Range<usize>, found: &mut Found) {
    let mut covered = sentence.start;
    for start in sentence.clone() {
        let mut node = 0;
        let mut thing = None;
        for end in start..sentence.end {
            let Some(token) = words.tokens.get(end) else {
                break;
            };
            // A phrase may run over a hyphen or slash, not over a comma or bracket.
            if end > start && token.before > Mark::Hyphen {
                break;
            }
            let term = words.terms.get(end).copied().unwrap_or(UNKNOWN);
            if term == UNKNOWN {
                break;
            }
            let Some(next) = lexicon.phrases.step(node, term) else {
                break;
            };
            node = next;
            if let Some(number) = lexicon.phrases.thing(node) {
                thing = Some((number, end + 1));
            }
            for class in lexicon.phrases.classes(node) {
                if let Some(list) = found.classes_at.get_mut(start) {
                    list.push((*class, end + 1));
                }
            }
        }
        if let Some((number, end)) = thing
            && start >= covered
        {
            if let Some(place) = found.thing_at.get_mut(start) {
                *place = Some(found.things.len());
            }
            found.things.push(ThingMention {
                thing: number,
                tokens: start..end,
            });
            covered = end;
        }
    }
}

/// What stands at each token, as atoms of the index.
struct Standing {
    starts: Vec<u32>,
    atoms: Vec<Atom>,
}

impl Standing {
    fn new(words: &Words, lexicon: &Lexicon, found: &Found) -> Self {
        let index = &lexicon.index;
        let mut out = Self {
            starts: Vec::with_capacity(words.tokens.len() + 1),
            atoms: Vec::with_capacity(words.tokens.len() * 2),
        };
        for (at, token) in words.tokens.iter().enumerate() {
            out.starts.push(place(out.atoms.len()));
            let term = words.terms.get(at).copied().unwrap_or(UNKNOWN);
            if term != UNKNOWN {
                out.atoms.push(term);
            }
            out.atoms.extend(index.form(&token.text));
            let mention = found.thing_at.get(at).copied().flatten();
            if let Some(mention) = mention.and_then(|t| found.things.get(t)) {
                out.atoms.extend(index.thing(mention.thing));
            }
            if matches!(token.kind, Kind::Number(_)) {
                out.atoms.push(index.number());
            }
            let classes = found.classes_at.get(at).into_iter().flatten();
            for (class, _) in classes {
                let atom = index.class(*class);
                if out.atoms.last() != Some(&atom) {
                    out.atoms.push(atom);
                }
            }
        }
        out.starts.push(place(out.atoms.len()));
        out
    }

    fn at(&self, tokens: Range<usize>) -> &[Atom] {
        let start = |n: usize| self.starts.get(n).map_or(0, |s| *s as usize);
        self.atoms
            .get(start(tokens.start)..start(tokens.end))
            .unwrap_or_default()
    }
}

fn place(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Sentences are worked through in stretches of so many tokens; with what is near on both sides they are 128.
const STRETCH: usize = 128 - 2 * NEAR;

/// A stretch of a sentence, and for each atom where it stands in it.
struct Places<'a> {
    found: &'a Found,
    /// The stretch's first token.
    first: usize,
    of: Vec<u128>,
}

impl Places<'_> {
    /// Marks where everything stands; what stands there, each once.
    fn enter(&mut self, standing: &Standing, tokens: Range<usize>) -> Vec<Atom> {
        self.first = tokens.start;
        let mut atoms = Vec::new();
        for (bit, at) in tokens.take(128).enumerate() {
            for atom in standing.at(at..at + 1) {
                if let Some(places) = self.of.get_mut(*atom as usize) {
                    if *places == 0 {
                        atoms.push(*atom);
                    }
                    *places |= 1 << bit;
                }
            }
        }
        atoms
    }

    fn clear(&mut self, standing: &Standing, tokens: Range<usize>) {
        for atom in standing.at(tokens) {
            if let Some(places) = self.of.get_mut(*atom as usize) {
                *places = 0;
            }
        }
    }
}

impl Stretch for Places<'_> {
    fn places(&self, atom: Atom) -> u128 {
        self.of.get(atom as usize).copied().unwrap_or(0)
    }

    fn lengths(&self, class: Option<u16>, place: u32) -> u32 {
        let at = self.first + place as usize;
        let bit = |end: usize| {
            u32::try_from(end.saturating_sub(at + 1))
                .map_or(0, |n| 1_u32.checked_shl(n).unwrap_or(0))
        };
        let Some(class) = class else {
            let mention = self.found.thing_at.get(at).copied().flatten();
            return mention
                .and_then(|t| self.found.things.get(t))
                .map_or(0, |t| bit(t.tokens.end));
        };
        let classes = self.found.classes_at.get(at).into_iter().flatten();
        classes
            .filter(|(c, _)| *c == class)
            .fold(0, |all, (_, end)| all | bit(*end))
    }
}

fn patterns(words: &Words, lexicon: &Lexicon, found: &mut Found) {
    let standing = Standing::new(words, lexicon, found);
    let mut all: Vec<Hit> = Vec::new();
    let mut places = Places {
        found,
        first: 0,
        of: vec![0; lexicon.index.atoms()],
    };
    for sentence in &words.sentences {
        let sentence = sentence.tokens.clone();
        let limit = Limit {
            words,
            found: places.found,
            lexicon_end: sentence.end,
        };
        let mut hits: Vec<(Hit, bool)> = Vec::new();
        for start in sentence.clone().step_by(STRETCH) {
            let end = (start + STRETCH).min(sentence.end);
            let near =
                start.saturating_sub(NEAR).max(sentence.start)..(end + NEAR).min(sentence.end);
            let atoms = places.enter(&standing, near.clone());
            let own =
                (u128::MAX >> (STRETCH - (end - start)) >> (128 - STRETCH)) << (start - near.start);
            for atom in atoms {
                for place in lexicon.index.under(atom) {
                    if place.other != NONE && places.places(place.other) == 0 {
                        continue;
                    }
                    let starts = lexicon.index.starts(place.pattern, &places) & own;
                    if starts != 0 {
                        limit.try_from(
                            lexicon,
                            place.pattern,
                            (near.start, starts),
                            &sentence,
                            &mut hits,
                        );
                    }
                }
            }
            places.clear(&standing, near);
        }
        keep(hits, &mut all);
    }
    found.hits.extend(all);
}

/// Drops what a veto takes back, and shorter hits within longer ones of the same meaning.
fn keep(mut hits: Vec<(Hit, bool)>, out: &mut Vec<Hit>) {
    let overlaps = |a: &Range<usize>, b: &Range<usize>| a.start < b.end && b.start < a.end;
    hits.sort_by_key(|(h, veto)| {
        (
            h.means_order(),
            !*veto,
            std::cmp::Reverse(h.tokens.len()),
            // Of two over the same words the one that names more of them: a word that it only passes over could be taken
            // for a cue.
            std::cmp::Reverse(h.named.count_ones()),
            h.tokens.start,
        )
    });
    let mut kept: Vec<(Hit, bool)> = Vec::new();
    for (hit, veto) in hits {
        let taken = kept
            .iter()
            .rev()
            .take_while(|(k, _)| k.means == hit.means)
            .any(|(k, _)| overlaps(&k.tokens, &hit.tokens));
        if !taken {
            kept.push((hit, veto));
        }
    }
    out.extend(kept.into_iter().filter(|(_, veto)| !veto).map(|(h, _)| h));
}

struct Limit<'a> {
    words: &'a Words,
    found: &'a Found,
    lexicon_end: usize,
}

/// Where a match stands so far.
#[derive(Clone, Copy)]
struct At {
    token: usize,
    slot: Option<usize>,
    /// Token that bit 0 of `named` stands for.
    base: usize,
    named: u64,
}

impl At {
    /// The same, having named the tokens up to `end`.
    fn name(self, end: usize) -> Self {
        let bits = (self.token..end)
            .filter_map(|t| t.checked_sub(self.base))
            .filter(|b| *b < 64);
        Self {
            token: end,
            named: bits.fold(self.named, |named, bit| named | (1 << bit)),
            ..self
        }
    }
}

impl Limit<'_> {
    /// Tries a wording from each of `starts`: the token that bit 0 stands for, and the bits.
    fn try_from(
        &self,
        lexicon: &Lexicon,
        number: u32,
        (first, mut starts): (usize, u128),
        sentence: &Range<usize>,
        hits: &mut Vec<(Hit, bool)>,
    ) {
        let Some(pattern) = lexicon.patterns.get(number as usize) else {
            return;
        };
        while starts != 0 {
            let start = first + starts.trailing_zeros() as usize;
            starts &= starts - 1;
            if let Some((tokens, slot, named)) =
                self.wording(&pattern.wording.sides, start, sentence.start)
            {
                let hit = Hit {
                    means: pattern.means,
                    tokens,
                    slot,
                    named,
                    wording: Some(number),
                };
                hits.push((hit, pattern.veto));
            }
        }
    }

    /// Matches all sides of a wording, the first from `start`: tokens, slot and which tokens it names.
    fn wording(
        &self,
        sides: &[Vec<Element>],
        start: usize,
        sentence_start: usize,
    ) -> Option<(Range<usize>, Option<usize>, u64)> {
        let [first, rest @ ..] = sides else {
            return None;
        };
        let base = if rest.is_empty() {
            start
        } else {
            start
                .saturating_sub(usize::from(LONG_GAP))
                .max(sentence_start)
        };
        let mut end = self.sequence(
            first,
            At {
                token: start,
                slot: None,
                base,
                named: 0,
            },
        )?;
        if end.token == start {
            return None;
        }
        let mut tokens = start..end.token;
        for side in rest {
            let gap = usize::from(LONG_GAP);
            let low = tokens.start.saturating_sub(gap).max(sentence_start);
            let high = (tokens.end + gap).min(self.lexicon_end);
            let other = (low..high).filter(|s| !tokens.contains(s)).find_map(|s| {
                let end = self.sequence(side, At { token: s, ..end })?;
                (end.token > s && (end.token <= tokens.start || s >= tokens.end))
                    .then_some((s, end))
            });
            let (s, found) = other?;
            end = found;
            tokens = tokens.start.min(s)..tokens.end.max(end.token);
        }
        let shift = tokens.start.saturating_sub(base);
        Some((
            tokens,
            end.slot,
            end.named
                .checked_shr(u32::try_from(shift).unwrap_or(64))
                .unwrap_or(0),
        ))
    }

    fn sequence(&self, elements: &[Element], at: At) -> Option<At> {
        let Some((first, rest)) = elements.split_first() else {
            return Some(at);
        };
        match first {
            Element::Gap(most) => (0..=usize::from(*most)).find_map(|skip| {
                let token = at.token + skip;
                (token <= self.lexicon_end)
                    .then(|| self.sequence(rest, At { token, ..at }))
                    .flatten()
            }),
            Element::Maybe(inner) => self
                .sequence(inner, at)
                .filter(|end| end.token > at.token)
                .and_then(|end| self.sequence(rest, end))
                .or_else(|| self.sequence(rest, at)),
            Element::Group(choices) => choices.iter().find_map(|c| {
                self.sequence(c, at)
                    .and_then(|end| self.sequence(rest, end))
            }),
            Element::Class(class) => self
                .found
                .classes_at
                .get(at.token)?
                .iter()
                .rev()
                .filter(|(c, end)| c == class && *end <= self.lexicon_end)
                .find_map(|(_, end)| self.sequence(rest, at.name(*end))),
            _ => self.one(first, at).and_then(|end| self.sequence(rest, end)),
        }
    }

    fn one(&self, element: &Element, at: At) -> Option<At> {
        if at.token >= self.lexicon_end {
            return None;
        }
        let token = self.words.tokens.get(at.token)?;
        let next = at.name(at.token + 1);
        match element {
            Element::Word(terms) => {
                let term = self.words.terms.get(at.token).copied()?;
                (term != UNKNOWN && terms.contains(&term)).then_some(next)
            }
            Element::Form(form) => (token.text == *form).then_some(next),
            Element::Number => matches!(token.kind, Kind::Number(_)).then_some(next),
            Element::Thing(things) => {
                let place = self.found.thing_at.get(at.token).copied().flatten()?;
                let mention = self.found.things.get(place)?;
                let any = things.is_empty();
                let end = at.name(mention.tokens.end);
                (any || things.contains(&mention.thing)).then_some(At {
                    slot: if any { Some(place) } else { at.slot },
                    ..end
                })
            }
            Element::Gap(_) | Element::Maybe(_) | Element::Group(_) | Element::Class(_) => None,
        }
    }
}
