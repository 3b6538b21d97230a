//! The little language of wordings: how the tables say which words mean a thing.
//!
//! A wording is a sequence of elements in lower case, separated by blanks:
//!
//! | element | matches |
//! |---|---|
//! | `word` | that word in any inflection |
//! | `=word` | that form only |
//! | `a\|b\|c` | one of several words |
//! | `(two words\|three more words)` | one of several sequences |
//! | `word?`, `(…)?`, `<class>?` | the element or nothing |
//! | `{pump}`, `{breaker\|gfci-outlet}`, `{*}` | any wording of those things; of any thing |
//! | `<trip>` | a wording of the class |
//! | `#` | a number |
//! | `..`, `...` | up to four, up to nine words |
//! | `A & B` | both in one sentence, in either order, within nine words |
//!
//! What it does not do: negation, time and hearsay are the reader's business, never a wording's.

use super::terms::{Term, Terms};

/// Words that a `..` may stand for.
pub const SHORT_GAP: u8 = 4;
/// Words that a `...` may stand for, and the distance between the sides of `&`.
pub const LONG_GAP: u8 = 9;

/// One element of a wording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Element {
    /// One of these stems.
    Word(Vec<Term>),
    /// This very form, lower case.
    Form(String),
    /// A mention of one of these things; empty means of any thing.
    Thing(Vec<u16>),
    /// A wording of the class with this number.
    Class(u16),
    /// A number.
    Number,
    /// Up to so many words.
    Gap(u8),
    /// One of several sequences.
    Group(Vec<Vec<Element>>),
    /// The sequence or nothing.
    Maybe(Vec<Element>),
}

/// A wording: one or more sequences that must stand near each other, in any order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wording {
    /// The sides of `&`; one where there is no `&`.
    pub sides: Vec<Vec<Element>>,
}

/// Why a wording cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WordingError {
    /// Nothing stands in it, or only elements that may be left out.
    #[error(
        "the wording `{0}` would match anywhere: give it at least one word, thing, class or number"
    )]
    Empty(String),
    /// A bracket has no partner.
    #[error("the wording `{0}` has a bracket without its partner")]
    Bracket(String),
    /// `{name}` names nothing that is known.
    #[error(
        "the wording `{wording}` names the thing `{name}`, which is neither equipment nor part"
    )]
    Thing {
        /// The wording.
        wording: String,
        /// The unknown name.
        name: String,
    },
    /// `<name>` names no class.
    #[error(
        "the wording `{wording}` names the class `{name}`, which kb/lexicon/classes.toml lacks"
    )]
    Class {
        /// The wording.
        wording: String,
        /// The unknown name.
        name: String,
    },
}

/// What names mean while wordings are read.
pub struct Names<'a> {
    /// The number of a thing.
    pub thing: &'a dyn Fn(&str) -> Option<Vec<u16>>,
    /// The number of a class.
    pub class: &'a dyn Fn(&str) -> Option<u16>,
    /// Words that another spelling is read as, so that tables and notes agree.
    pub respell: &'a dyn Fn(&str) -> Option<String>,
}

/// Reads one wording; its words are learnt by `terms`.
///
/// # Errors
/// [`WordingError`] says what is wrong with it.
pub fn parse(text: &str, terms: &mut Terms, names: &Names<'_>) -> Result<Wording, WordingError> {
    let mut sides = Vec::new();
    for side in split_top(text, '&') {
        let elements = sequence(side.trim(), text, terms, names)?;
        if !elements.iter().any(holds) {
            return Err(WordingError::Empty(text.to_owned()));
        }
        sides.push(elements);
    }
    Ok(Wording { sides })
}

/// Whether an element must match at least one token.
#[must_use]
pub fn holds(element: &Element) -> bool {
    match element {
        Element::Gap(_) | Element::Maybe(_) => false,
        Element::Group(choices) => choices.iter().all(|choice| choice.iter().any(holds)),
        _ => true,
    }
}

fn sequence(
    text: &str,
    whole: &str,
    terms: &mut Terms,
    names: &Names<'_>,
) -> Result<Vec<Element>, WordingError> {
    let mut out = Vec::new();
    for piece in split_top(text, ' ') {
        let piece = piece.trim();
        if piece.is_empty() {
            continue;
        }
        let (body, optional) = match piece.strip_suffix('?') {
            Some(body) => (body, true),
            None => (piece, false),
        };
        let element = one(body, whole, terms, names)?;
        match element {
            None => {}
            Some(element) if optional => out.push(Element::Maybe(element)),
            Some(element) => out.extend(element),
        }
    }
    Ok(out)
}

fn one(
    body: &str,
    whole: &str,
    terms: &mut Terms,
    names: &Names<'_>,
) -> Result<Option<Vec<Element>>, WordingError> {
    let bracket = || WordingError::Bracket(whole.to_owned());
    Ok(Some(match body {
        "" => return Ok(None),
        ".." => vec![Element::Gap(SHORT_GAP)],
        "..." => vec![Element::Gap(LONG_GAP)],
        "#" => vec![Element::Number],
        // Notes write it for "and"; the lexer reads it as a word.
        "+" => vec![Element::Word(vec![terms.learn("plus")])],
        _ if body.starts_with('(') => {
            let inner = body
                .strip_prefix('(')
                .and_then(|b| b.strip_suffix(')'))
                .ok_or_else(bracket)?;
            let choices = split_top(inner, '|')
                .into_iter()
                .map(|c| sequence(c.trim(), whole, terms, names))
                .collect::<Result<Vec<_>, _>>()?;
            vec![Element::Group(choices)]
        }
        _ if body.contains('|') && !body.starts_with('{') && !body.starts_with('<') => {
            let choices = split_top(body, '|');
            // "cool(s|ed)": the bar stands within a bracket that is glued to a word.
            if choices.len() < 2 {
                return Err(bracket());
            }
            let choices = choices
                .into_iter()
                .map(|c| sequence(c.trim(), whole, terms, names))
                .collect::<Result<Vec<_>, _>>()?;
            match plain_words(&choices) {
                Some(words) => vec![Element::Word(words)],
                None => vec![Element::Group(choices)],
            }
        }
        _ if body.starts_with('{') => {
            let inner = body
                .strip_prefix('{')
                .and_then(|b| b.strip_suffix('}'))
                .ok_or_else(bracket)?;
            if inner == "*" {
                return Ok(Some(vec![Element::Thing(Vec::new())]));
            }
            let mut things = Vec::new();
            for name in inner.split('|').map(str::trim) {
                let found = (names.thing)(name).ok_or_else(|| WordingError::Thing {
                    wording: whole.to_owned(),
                    name: name.to_owned(),
                })?;
                things.extend(found);
            }
            vec![Element::Thing(things)]
        }
        _ if body.starts_with('<') => {
            let name = body
                .strip_prefix('<')
                .and_then(|b| b.strip_suffix('>'))
                .ok_or_else(bracket)?;
            let class = (names.class)(name).ok_or_else(|| WordingError::Class {
                wording: whole.to_owned(),
                name: name.to_owned(),
            })?;
            vec![Element::Class(class)]
        }
        _ if body.starts_with('=') => vec![Element::Form(fold(body.trim_start_matches('=')))],
        _ if body.contains(['(', ')', '{', '}', '<', '>']) => return Err(bracket()),
        // "ground-fault" in a table is two words, as it is in a note; digits stand alone as they do there.
        word => {
            let mut out = Vec::new();
            if !word.chars().any(char::is_alphanumeric) {
                return Err(WordingError::Empty(whole.to_owned()));
            }
            for part in fold(word)
                .split(|c: char| !c.is_alphanumeric())
                .filter(|p| !p.is_empty())
            {
                let respelt = (names.respell)(part);
                for part in respelt.as_deref().unwrap_or(part).split(' ') {
                    out.push(Element::Word(vec![terms.learn(part)]));
                }
            }
            out
        }
    }))
}

fn plain_words(choices: &[Vec<Element>]) -> Option<Vec<Term>> {
    let mut words = Vec::new();
    for choice in choices {
        match choice.as_slice() {
            [Element::Word(terms)] => words.extend(terms),
            _ => return None,
        }
    }
    Some(words)
}

/// Lower case, without apostrophes, as words of notes are folded.
#[must_use]
pub fn fold(word: &str) -> String {
    word.chars()
        .filter(|c| !matches!(c, '\'' | '\u{2019}' | '\u{2018}'))
        .flat_map(char::to_lowercase)
        .collect()
}

/// Splits at `at` where it stands outside all brackets.
fn split_top(text: &str, at: char) -> Vec<&str> {
    let (mut depth, mut start, mut out) = (0_i32, 0, Vec::new());
    for (i, c) in text.char_indices() {
        match c {
            '(' | '{' | '<' => depth += 1,
            ')' | '}' | '>' => depth -= 1,
            _ if c == at && depth == 0 => {
                out.push(text.get(start..i).unwrap_or_default());
                start = i + c.len_utf8();
            }
            _ => {}
        }
    }
    out.push(text.get(start..).unwrap_or_default());
    out
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // a test that cannot read its own text must fail
    use super::*;

    fn read(text: &str) -> Result<Wording, WordingError> {
        let names = Names {
            thing: &|name| (name == "pump").then(|| vec![7]),
            class: &|name| (name == "trip").then_some(3),
            respell: &|word| (word == "pmp").then(|| "pump".to_owned()),
        };
        parse(text, &mut Terms::default(), &names)
    }

    #[test]
    fn elements_of_every_sort() {
        let wording = read("{pump} .. <trip> (at start|cold|hot)? # & pmp").unwrap();
        assert_eq!(wording.sides.len(), 2);
        let [a, b] = wording.sides.as_slice() else {
            panic!("two sides")
        };
        assert_eq!(a[0], Element::Thing(vec![7]));
        assert_eq!(a[1], Element::Gap(SHORT_GAP));
        assert_eq!(a[2], Element::Class(3));
        assert!(
            matches!(&a[3], Element::Maybe(inner) if matches!(&inner[0], Element::Group(c) if c.len() == 3))
        );
        assert_eq!(a[4], Element::Number);
        assert!(matches!(&b[0], Element::Word(_)));
    }

    #[test]
    fn faults_are_named() {
        assert!(
            matches!(read("{pmup} trips"), Err(WordingError::Thing { name, .. }) if name == "pmup")
        );
        assert!(matches!(read("<tirp>"), Err(WordingError::Class { .. })));
        assert!(matches!(read("(a|b"), Err(WordingError::Bracket(_))));
        assert!(matches!(read("cool(s|ed)"), Err(WordingError::Bracket(_))));
        assert!(matches!(read("(a -> b|c)"), Err(WordingError::Bracket(_))));
        assert!(matches!(read(".. word?"), Err(WordingError::Empty(_))));
    }
}
