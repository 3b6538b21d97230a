//! A visit's text as one row of tokens, cut into sentences, ready for matching.
//!
//! A sentence here is a run of tokens with no sentence end between: a terse line, a list item, a table row, a clause
//! up to a full stop. Each knows the block it stands in. The lines of a paragraph that was wrapped at a width are one
//! sentence; the lines of a terse note are one each.

use super::{
    lexer::{Kind, Mark, Token, lex},
    numerals::{self, Context},
    spelling,
};
use crate::{
    note::{Block, Layout, Visit},
    trade::{Knowledge, ordinary_words, terms::UNKNOWN},
};
use std::ops::Range;

/// Lines at least this long, most of them, are a paragraph wrapped at a width.
const WRAPPED_FROM: usize = 58;

/// A run of tokens without a sentence end.
#[derive(Clone, Debug)]
pub struct Sentence {
    /// Its tokens.
    pub tokens: Range<usize>,
    /// The block it stands in, by its number in the visit.
    pub block: usize,
}

/// The tokens of a visit.
#[derive(Default)]
pub struct Words {
    /// All tokens in order.
    pub tokens: Vec<Token>,
    /// The term of each.
    pub terms: Vec<u32>,
    /// Its sentences in order.
    pub sentences: Vec<Sentence>,
}

impl Words {
    /// The tokens of a range of numbers.
    #[must_use]
    pub fn slice(&self, range: Range<usize>) -> &[Token] {
        self.tokens.get(range).unwrap_or_default()
    }

    /// Bytes of the note from the first to the last token of a range.
    #[must_use]
    pub fn bytes(&self, range: &Range<usize>) -> Range<usize> {
        let tokens = self.slice(range.clone());
        match (tokens.first(), tokens.last()) {
            (Some(first), Some(last)) => first.span.start..last.span.end,
            _ => 0..0,
        }
    }

    /// The sentence that holds a token.
    #[must_use]
    pub fn sentence_of(&self, token: usize) -> usize {
        self.sentences.partition_point(|s| s.tokens.end <= token)
    }
}

/// The words of a visit.
#[must_use]
pub fn of_visit(note: &str, visit: &Visit, knowledge: &Knowledge) -> Words {
    let mut raw: Vec<(Token, usize)> = Vec::new();
    for (number, block) in visit.blocks.iter().enumerate() {
        let mut tokens = Vec::new();
        lex_block(note, block, &mut tokens);
        raw.extend(tokens.into_iter().map(|t| (t, number)));
    }
    finish(raw, knowledge)
}

/// The words of a question: one line that somebody typed.
#[must_use]
pub fn of_question(text: &str, knowledge: &Knowledge) -> Words {
    let mut tokens = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        lex(line, at, Mark::Line, &mut tokens);
        at += line.len();
    }
    finish(tokens.into_iter().map(|t| (t, 0)).collect(), knowledge)
}

fn lex_block(note: &str, block: &Block, out: &mut Vec<Token>) {
    let table = matches!(block.layout, Layout::Row { .. } | Layout::Header);
    let lengths: Vec<usize> = (0..block.lines.len())
        .map(|i| block.line_text(note, i).chars().count())
        .collect();
    let long = lengths.iter().filter(|l| **l >= WRAPPED_FROM).count();
    let wrapped = !table && lengths.len() > 1 && long * 2 > lengths.len() - 1;
    let mut last_ended = true;
    for (i, line) in block.lines.iter().enumerate() {
        let mut first = if table && i > 0 {
            Mark::Cell
        } else {
            Mark::Line
        };
        let text = block.line_text(note, i);
        let continues = text
            .trim_start()
            .chars()
            .next()
            .is_some_and(|c| c.is_lowercase() || c.is_ascii_digit() || c == '(');
        if i > 0 && wrapped && (continues || !last_ended) {
            first = Mark::None;
        }
        for piece in line {
            if let Some(text) = note.get(piece.clone()) {
                lex(text, piece.start, first, out);
                first = Mark::None;
            }
        }
        last_ended = text.trim_end().ends_with(['.', '!', '?', ':', ';']);
    }
}

fn finish(raw: Vec<(Token, usize)>, knowledge: &Knowledge) -> Words {
    let lexicon = &knowledge.lexicon;
    // The block of a token is found again by its place, since rewriting keeps spans.
    let mut starts: Vec<(usize, usize)> = Vec::new();
    for (token, block) in &raw {
        if starts.last().is_none_or(|(_, b)| b != block) {
            starts.push((token.span.start, *block));
        }
    }
    let tokens: Vec<Token> = raw.into_iter().map(|(t, _)| t).collect();
    let spoken = lexicon.heard.fits(&tokens) >= 2;
    let mut tokens = lexicon.rewrites.apply(tokens);
    if spoken {
        tokens = lexicon.rewrites.apply(lexicon.heard.apply(tokens));
    }
    let unit = |w: &str| super::units::unit(w).is_some();
    let mut tokens = numerals::join(
        tokens,
        &Context {
            heard: &lexicon.heard_numbers,
            unit: &unit,
            spoken,
        },
    );
    let mut terms = Vec::with_capacity(tokens.len());
    for token in &mut tokens {
        terms.push(term(token, knowledge));
    }
    let mut sentences: Vec<Sentence> = Vec::new();
    for (i, token) in tokens.iter().enumerate() {
        if i == 0 || token.before >= Mark::Stop || token.before == Mark::Semicolon {
            let place = starts.partition_point(|(start, _)| *start <= token.span.start);
            let block = place
                .checked_sub(1)
                .and_then(|p| starts.get(p))
                .map_or(0, |(_, b)| *b);
            sentences.push(Sentence {
                tokens: i..i + 1,
                block,
            });
        } else if let Some(last) = sentences.last_mut() {
            last.tokens.end = i + 1;
        }
    }
    Words {
        tokens,
        terms,
        sentences,
    }
}

/// The term of a token; a misspelt trade word is brought to the one that was meant.
fn term(token: &mut Token, knowledge: &Knowledge) -> u32 {
    let lexicon = &knowledge.lexicon;
    match token.kind {
        Kind::Word | Kind::Number(_) => {}
        _ => return UNKNOWN,
    }
    let term = lexicon.terms.of(&token.text);
    if term != UNKNOWN || token.kind != Kind::Word {
        return term;
    }
    let ordinary =
        spelling::listed(ordinary_words(), &token.text) || lexicon.ordinary.contains(&token.text);
    if ordinary {
        return UNKNOWN;
    }
    match lexicon.speller.correct(&token.text) {
        Some(word) => {
            let term = lexicon.terms.of(word);
            word.clone_into(&mut token.text);
            term
        }
        None => UNKNOWN,
    }
}
