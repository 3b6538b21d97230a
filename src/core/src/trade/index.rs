//! Which wordings to try where.
//!
//! A wording can only match where all the elements stand that it cannot do without. Each wording is therefore entered
//! under its rarest such element. What stands at a token (a word's
//! stem, an exact form, a class, a thing, a number) is an *atom*, a small number; for a stretch of tokens the reader
//! notes for each atom the places where it stands, one bit a token. Whether a wording can match anywhere in the stretch
//! is then a few shifts and ands ([`PatternIndex::fits`], after Baeza-Yates and Gonnet 1992, Commun ACM 35(10):74,
//! for words in place of letters); only where it can is it matched step by step.

use super::wording::{Element, LONG_GAP, Wording, holds};
use rustc_hash::FxHashMap;

/// The number of an atom.
pub type Atom = u32;

/// A wording under an atom.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Its number.
    pub pattern: u32,
    /// An atom that must be near as well, or [`NONE`].
    pub other: Atom,
}

/// No atom.
pub const NONE: Atom = Atom::MAX;

/// A wording that may reach farther than so many tokens is not asked whether it fits.
pub const NEAR: usize = 48;

/// Wordings by their atoms.
#[derive(Default)]
pub struct PatternIndex {
    forms: FxHashMap<String, Atom>,
    classes: Atom,
    things: Atom,
    number: Atom,
    any_thing: Atom,
    count: usize,
    lists: Vec<Vec<Place>>,
    /// Where each pattern's steps begin in `steps`; one more than there are patterns.
    starts: Vec<u32>,
    steps: Vec<u32>,
}

/// How many terms, classes and things there are: their atoms follow each other.
#[derive(Clone, Copy, Debug)]
pub struct Counts {
    /// Terms, the unknown one counted.
    pub terms: usize,
    /// Classes.
    pub classes: usize,
    /// Things.
    pub things: usize,
    /// Tokens of the longest wording of a thing or class.
    pub longest: u8,
}

impl PatternIndex {
    /// Enters all wordings. The side of `&` that a wording is entered under is put first in it.
    #[must_use]
    pub fn new<'w>(wordings: impl Iterator<Item = &'w mut Wording>, counts: Counts) -> Self {
        let wordings: Vec<&mut Wording> = wordings.collect();
        let number = |n: usize| Atom::try_from(n).unwrap_or(NONE);
        let mut index = Self {
            classes: number(counts.terms),
            things: number(counts.terms + counts.classes),
            number: number(counts.terms + counts.classes + counts.things),
            any_thing: number(counts.terms + counts.classes + counts.things) + 1,
            count: counts.terms + counts.classes + counts.things + 2,
            ..Self::default()
        };
        for element in wordings.iter().flat_map(|w| w.sides.iter().flatten()) {
            index.learn_forms(element);
        }
        let mut named = vec![0_u32; index.count];
        for element in wordings.iter().flat_map(|w| w.sides.iter().flatten()) {
            index.count_names(element, &mut named);
        }
        index.lists = vec![Vec::new(); index.count];
        for (place, wording) in wordings.into_iter().enumerate() {
            index.starts.push(number(index.steps.len()));
            index.enter(number(place), wording, &named, counts.longest);
        }
        index.starts.push(number(index.steps.len()));
        index
    }

    /// How many atoms there are.
    #[must_use]
    pub fn atoms(&self) -> usize {
        self.count
    }

    /// The atom of a class.
    #[must_use]
    pub fn class(&self, class: u16) -> Atom {
        self.classes + Atom::from(class)
    }

    /// The atoms of a thing: itself, and any.
    #[must_use]
    pub fn thing(&self, thing: u16) -> [Atom; 2] {
        [self.things + Atom::from(thing), self.any_thing]
    }

    /// The atom of a number.
    #[must_use]
    pub fn number(&self) -> Atom {
        self.number
    }

    /// The atom of an exact form, where a wording names it.
    #[must_use]
    pub fn form(&self, form: &str) -> Option<Atom> {
        self.forms.get(form).copied()
    }

    /// The wordings entered under an atom.
    #[must_use]
    pub fn under(&self, atom: Atom) -> &[Place] {
        self.lists.get(atom as usize).map_or(&[], Vec::as_slice)
    }

    /// Where in a stretch a wording may begin, as far as that can be told without matching it: never leaves out a place
    /// where it does.
    pub fn starts(&self, pattern: u32, stretch: &impl Stretch) -> u128 {
        let at = |n: u32| self.starts.get(n as usize).map_or(0, |s| *s as usize);
        let steps = self.steps.get(at(pattern)..at(pattern + 1));
        let Some(mut steps) = steps else {
            return u128::MAX;
        };
        let mut starts = None;
        // Each side of a wording: its length, then its steps.
        while let Some((length, rest)) = steps.split_first() {
            let (side, others) = rest.split_at(rest.len().min(*length as usize));
            if self.run(side, u128::MAX, stretch) == 0 {
                return 0;
            }
            starts = starts.or_else(|| Some(first(side, stretch)));
            steps = others;
        }
        starts.unwrap_or(u128::MAX)
    }

    fn learn_forms(&mut self, element: &Element) {
        match element {
            Element::Form(form) => {
                let next = Atom::try_from(self.count).unwrap_or(NONE);
                if !self.forms.contains_key(form) {
                    self.forms.insert(form.clone(), next);
                    self.count += 1;
                }
            }
            Element::Group(choices) => choices.iter().flatten().for_each(|e| self.learn_forms(e)),
            Element::Maybe(inner) => inner.iter().for_each(|e| self.learn_forms(e)),
            _ => {}
        }
    }

    fn count_names(&self, element: &Element, named: &mut [u32]) {
        match element {
            Element::Group(choices) => choices
                .iter()
                .flatten()
                .for_each(|e| self.count_names(e, named)),
            Element::Maybe(inner) => inner.iter().for_each(|e| self.count_names(e, named)),
            _ => {
                for atom in self.choices_of(element) {
                    if let Some(count) = named.get_mut(atom as usize) {
                        *count += 1;
                    }
                }
            }
        }
    }

    /// The atoms of which one must be there for an element to match; none where it can match without.
    fn choices_of(&self, element: &Element) -> Vec<Atom> {
        match element {
            Element::Word(terms) => terms.clone(),
            Element::Form(form) => self.form(form).into_iter().collect(),
            Element::Class(class) => vec![self.class(*class)],
            Element::Thing(things) if things.is_empty() => vec![self.any_thing],
            Element::Thing(things) => things
                .iter()
                .map(|t| self.things + Atom::from(*t))
                .collect(),
            Element::Number => vec![self.number],
            Element::Group(choices) => {
                let firsts: Option<Vec<Vec<Atom>>> = choices
                    .iter()
                    .map(|c| c.iter().find(|e| holds(e)).map(|e| self.choices_of(e)))
                    .collect();
                firsts.unwrap_or_default().concat()
            }
            Element::Gap(_) | Element::Maybe(_) => Vec::new(),
        }
    }

    /// What looking under these atoms costs: how much is named by wordings is common in notes too.
    fn cost(&self, atoms: &[Atom], named: &[u32]) -> u64 {
        atoms
            .iter()
            .map(|atom| {
                let named = u64::from(named.get(*atom as usize).copied().unwrap_or(0));
                let often = match *atom {
                    a if a == self.any_thing => ANY_THING,
                    a if a == self.number => NUMBER,
                    a if (self.things..self.number).contains(&a) => THING,
                    a if (self.classes..self.things).contains(&a) => CLASS,
                    _ => 1,
                };
                often + named
            })
            .sum()
    }

    fn enter(&mut self, pattern: u32, wording: &mut Wording, named: &[u32], longest: u8) {
        let mut needs: Vec<(u64, usize, usize, Vec<Atom>)> = Vec::new();
        for (side, elements) in wording.sides.iter().enumerate() {
            for (place, element) in elements.iter().enumerate().filter(|(_, e)| holds(e)) {
                let choices = self.choices_of(element);
                if !choices.is_empty() {
                    needs.push((self.cost(&choices, named), side, place, choices));
                }
            }
        }
        needs.sort();
        let mut needs = needs.into_iter();
        let Some((_, side, _, under)) = needs.next() else {
            return;
        };
        let other = needs
            .find_map(|(_, _, _, choices)| match choices.as_slice() {
                [only] => Some(*only),
                _ => None,
            })
            .unwrap_or(NONE);
        for atom in under {
            if let Some(list) = self.lists.get_mut(atom as usize)
                && list.last().is_none_or(|p| p.pattern != pattern)
            {
                list.push(Place { pattern, other });
            }
        }
        wording.sides.swap(0, side);
        let whole: usize = wording
            .sides
            .iter()
            .map(|s| lengths(s.iter(), longest).1 + usize::from(LONG_GAP))
            .sum();
        if whole <= NEAR {
            for side in &wording.sides {
                let steps = self.compiled(side);
                self.steps.push(size(steps.len()));
                self.steps.extend(steps);
            }
        }
    }

    /// The steps of a sequence: see [`run`].
    fn compiled(&self, elements: &[Element]) -> Vec<u32> {
        let mut out = Vec::new();
        for element in elements {
            match element {
                Element::Gap(most) => out.push(GAP | u32::from(*most)),
                Element::Maybe(inner) => {
                    let steps = self.compiled(inner);
                    out.push(MAYBE | size(steps.len()));
                    out.extend(steps);
                }
                Element::Group(choices) => {
                    let choices: Vec<Vec<u32>> = choices.iter().map(|c| self.compiled(c)).collect();
                    let all: usize = choices.iter().map(|c| c.len() + 1).sum();
                    out.push(GROUP | size(all));
                    for steps in choices {
                        out.push(size(steps.len()));
                        out.extend(steps);
                    }
                }
                _ => {
                    let atoms = self.choices_of(element);
                    let long = matches!(element, Element::Class(_) | Element::Thing(_));
                    if let [only] = atoms.as_slice() {
                        out.push(if long { LONG } else { ONE } | only);
                    } else {
                        out.push(if long { ANY_LONG } else { ANY } | size(atoms.len()));
                        out.extend(atoms);
                    }
                }
            }
        }
        out
    }
}

/// What stands where in a stretch of at most 128 tokens.
pub trait Stretch {
    /// Where an atom stands: bit 0 is the stretch's first token.
    fn places(&self, atom: Atom) -> u128;
    /// How many tokens a class at a place may cover, or, where no class is named, the thing there: bit 0 is one token.
    fn lengths(&self, class: Option<u16>, place: u32) -> u32;
}

/// The upper four bits of a step say what it is, the lower ones which atom, or how many steps or atoms follow.
const KIND: u32 = 0xf << 28;
const ONE: u32 = 0;
const LONG: u32 = 1 << 28;
const ANY: u32 = 2 << 28;
const ANY_LONG: u32 = 3 << 28;
const GAP: u32 = 4 << 28;
const MAYBE: u32 = 5 << 28;
const GROUP: u32 = 6 << 28;

fn size(n: usize) -> u32 {
    u32::try_from(n).map_or(!KIND, |n| n & !KIND)
}

impl PatternIndex {
    /// Where a sequence may end that begins at one of `starts`.
    fn run(&self, mut steps: &[u32], mut starts: u128, stretch: &impl Stretch) -> u128 {
        while let Some((step, rest)) = steps.split_first() {
            steps = rest;
            let number = step & !KIND;
            match step & KIND {
                ONE => starts = (starts & stretch.places(number)) << 1,
                LONG => starts = self.over(starts, number, stretch),
                GAP => {
                    for _ in 0..number {
                        starts |= starts << 1;
                    }
                }
                kind => {
                    let (own, after) = steps.split_at(steps.len().min(number as usize));
                    steps = after;
                    starts = match kind {
                        ANY => {
                            let places =
                                own.iter().fold(0, |all, atom| all | stretch.places(*atom));
                            (starts & places) << 1
                        }
                        ANY_LONG => own
                            .iter()
                            .fold(0, |all, atom| all | self.over(starts, *atom, stretch)),
                        MAYBE => starts | self.run(own, starts, stretch),
                        _ => {
                            let (mut all, mut own) = (0, own);
                            while let Some((length, rest)) = own.split_first() {
                                let (choice, others) =
                                    rest.split_at(rest.len().min(*length as usize));
                                all |= self.run(choice, starts, stretch);
                                own = others;
                            }
                            all
                        }
                    };
                }
            }
            if starts == 0 {
                return 0;
            }
        }
        starts
    }

    /// Where a thing or class may end that begins at one of `starts`.
    fn over(&self, starts: u128, atom: Atom, stretch: &impl Stretch) -> u128 {
        let class = (self.classes..self.things)
            .contains(&atom)
            .then(|| u16::try_from(atom - self.classes).unwrap_or(u16::MAX));
        let (mut at, mut ends) = (starts & stretch.places(atom), 0);
        while at != 0 {
            let place = at.trailing_zeros();
            let mut lengths = stretch.lengths(class, place);
            while lengths != 0 {
                let length = lengths.trailing_zeros() + 1;
                ends |= 1_u128.checked_shl(place + length).unwrap_or(0);
                lengths &= lengths - 1;
            }
            at &= at - 1;
        }
        ends
    }
}

/// Where the first step of a sequence may stand; everywhere, where it is none that must be there.
fn first(steps: &[u32], stretch: &impl Stretch) -> u128 {
    let Some((step, rest)) = steps.split_first() else {
        return u128::MAX;
    };
    let number = step & !KIND;
    match step & KIND {
        ONE | LONG => stretch.places(number),
        ANY | ANY_LONG => {
            let atoms = rest.iter().take(number as usize);
            atoms.fold(0, |all, atom| all | stretch.places(*atom))
        }
        _ => u128::MAX,
    }
}

/// How often things of a sort stand in notes, against a word that few wordings name (counted on the sample notes).
const THING: u64 = 60;
const CLASS: u64 = 60;
const NUMBER: u64 = 2000;
const ANY_THING: u64 = 4000;

/// The fewest and the most tokens that elements may cover.
fn lengths<'e>(elements: impl Iterator<Item = &'e Element>, longest: u8) -> (usize, usize) {
    elements.fold((0, 0), |(low, high), element| {
        let (least, most) = match element {
            Element::Word(_) | Element::Form(_) | Element::Number => (1, 1),
            Element::Thing(_) | Element::Class(_) => (1, usize::from(longest)),
            Element::Gap(most) => (0, usize::from(*most)),
            Element::Maybe(inner) => (0, lengths(inner.iter(), longest).1),
            Element::Group(choices) => {
                let all = choices.iter().map(|c| lengths(c.iter(), longest));
                all.fold((usize::MAX, 0), |(l, h), (least, most)| {
                    (l.min(least), h.max(most))
                })
            }
        };
        (low + least, high + most)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // a wording that cannot be read must fail the test
    use super::*;
    use crate::trade::{
        terms::Terms,
        wording::{Names, parse},
    };

    fn index(texts: &[&str]) -> (PatternIndex, Vec<Wording>, Terms) {
        let mut terms = Terms::default();
        let names = Names {
            thing: &|name| (name == "pump").then(|| vec![1]),
            class: &|name| (name == "trip").then_some(0),
            respell: &|_| None,
        };
        let mut wordings: Vec<Wording> = texts
            .iter()
            .map(|t| parse(t, &mut terms, &names).unwrap())
            .collect();
        let counts = Counts {
            terms: terms.len(),
            classes: 1,
            things: 2,
            longest: 3,
        };
        let index = PatternIndex::new(wordings.iter_mut(), counts);
        (index, wordings, terms)
    }

    #[test]
    fn a_wording_is_entered_under_its_rarest_element() {
        let (index, _, terms) = index(&[
            "the door",
            "the lid",
            "{pump} on? the .. grating",
            "the gate",
        ]);
        let [place] = index.under(terms.of("grating")) else {
            panic!("once under its rarest word")
        };
        assert_eq!(place.pattern, 2);
        assert!(index.under(terms.of("the")).is_empty());
    }

    /// One token a word; `pump` is the thing, two tokens long.
    struct Row<'a>(Vec<&'a str>, &'a Terms, &'a PatternIndex);

    impl Stretch for Row<'_> {
        fn places(&self, atom: Atom) -> u128 {
            let stands =
                |w: &str| self.1.of(w) == atom || (w == "pump" && self.2.thing(1).contains(&atom));
            self.0
                .iter()
                .enumerate()
                .filter(|(_, w)| stands(w))
                .fold(0, |all, (i, _)| all | 1 << i)
        }

        fn lengths(&self, _: Option<u16>, _: u32) -> u32 {
            0b10
        }
    }

    #[test]
    fn what_cannot_match_does_not_fit() {
        let (index, _, terms) = index(&["{pump} on? the .. (grating|small lid)", "a lid & {*}"]);
        let starts = |pattern, text: &str| {
            index.starts(pattern, &Row(text.split(' ').collect(), &terms, &index))
        };
        let fits = |pattern, text: &str| starts(pattern, text) != 0;
        assert_eq!(starts(0, "so pump motor on the rusty old grating"), 0b10);
        assert!(fits(0, "pump motor the small lid"));
        assert!(!fits(0, "pump motor on a grating"));
        assert!(!fits(0, "pump motor the lid"));
        assert!(!fits(0, "pump motor the one two three four five grating"));
        assert!(fits(1, "pump motor has a lid"));
        assert!(!fits(1, "lid a pump motor"));
    }

    #[test]
    fn the_side_that_is_looked_up_comes_first() {
        let (index, wordings, terms) = index(&["the one & grating", "the other one"]);
        assert_eq!(index.under(terms.of("grating")).len(), 1);
        assert_eq!(
            wordings[0].sides[0],
            vec![Element::Word(vec![terms.of("grating")])]
        );
    }
}
