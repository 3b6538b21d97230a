//! `assertion.tsv`: the test kit of NegEx and ConText (Chapman et al. 2001; Harkema et al. 2009; Apache-2.0).
//!
//! Odd ids are there to build by, even ids to measure. A sentence that stands in both halves, with another phrase in
//! capitals, would be known before it is measured and counts in neither. The reader's own words, cues and scopes
//! decide; nothing here is of medicine.

use crate::cases::{FOLDER, Failure, read};
use padlore_core::{
    note::{Block, Layout},
    reading::{matcher, scope::Scopes},
    trade::{Knowledge, lexicon::Cue},
};
use std::collections::BTreeSet;

/// F1 of `Negated` on the even ids, in thousandths: the goal, and below which it must not fall.
const LEAST_F1: u32 = 960;

struct Row {
    id: u32,
    phrase: String,
    sentence: String,
    negated: bool,
    historical: bool,
}

fn rows() -> Result<Vec<Row>, Failure> {
    let text = std::fs::read_to_string(format!("{FOLDER}/assertion.tsv"))?;
    let mut out = Vec::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split('\t').collect();
        let [id, phrase, sentence, negation, temporality, ..] = cells.as_slice() else {
            return Err(format!("too few cells: {line}").into());
        };
        out.push(Row {
            id: id.parse()?,
            phrase: (*phrase).to_owned(),
            sentence: (*sentence).to_owned(),
            negated: *negation == "Negated",
            historical: *temporality == "Historical",
        });
    }
    Ok(out)
}

/// A sentence without what tells two of its rows apart.
fn key(sentence: &str) -> String {
    let words: Vec<&str> = sentence.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

/// The cues that act on the phrase; `None` where it does not stand in its sentence.
fn cues(row: &Row) -> Option<BTreeSet<Cue>> {
    let knowledge = Knowledge::built_in();
    let start = row.sentence.to_uppercase();
    // The phrase stands in capitals; where it does not stand at all, nothing can be asked.
    let phrase = row.phrase.to_uppercase();
    let at = row.sentence.find(&phrase).or_else(|| {
        (start.len() == row.sentence.len())
            .then(|| start.find(&phrase))
            .flatten()
    })?;
    let span = at..at + phrase.len();
    let words = read(&row.sentence);
    let found = matcher::find(&words, &knowledge.lexicon);
    let block = Block {
        layout: Layout::Paragraph,
        span: 0..row.sentence.len(),
        lines: vec![std::iter::once(0..row.sentence.len()).collect()],
        headings: Vec::new(),
    };
    let scopes = Scopes::new(&words, &found, &knowledge.lexicon, &[block]);
    let inside = |t: &usize| {
        words
            .tokens
            .get(*t)
            .is_some_and(|t| t.span.start < span.end && span.start < t.span.end)
    };
    let first = (0..words.tokens.len()).find(inside)?;
    let last = (0..words.tokens.len()).rev().find(inside)?;
    Some(scopes.on(&words, first..last + 1).collect())
}

#[derive(Default)]
struct Count {
    hit: u32,
    false_alarm: u32,
    missed: u32,
}

impl Count {
    fn add(&mut self, negated: bool, denied: bool) {
        match (negated, denied) {
            (true, true) => self.hit += 1,
            (false, true) => self.false_alarm += 1,
            (true, false) => self.missed += 1,
            (false, false) => {}
        }
    }

    /// In thousandths, rounded down.
    fn f1(&self) -> u32 {
        2000 * self.hit / (2 * self.hit + self.false_alarm + self.missed).max(1)
    }
}

#[test]
fn denial_of_published_sentences() -> Result<(), Failure> {
    let rows = rows()?;
    let half = |odd: bool| -> BTreeSet<String> {
        rows.iter()
            .filter(|r| (r.id % 2 == 1) == odd)
            .map(|r| key(&r.sentence))
            .collect()
    };
    let (odd, even) = (half(true), half(false));
    let (mut build, mut measure, mut misses) = (Count::default(), Count::default(), Vec::new());
    let (mut history, mut unplaced) = (Count::default(), 0);
    for row in &rows {
        let sentence = key(&row.sentence);
        if odd.contains(&sentence) && even.contains(&sentence) {
            continue;
        }
        let Some(cues) = cues(row) else {
            unplaced += 1;
            continue;
        };
        let denied = cues.contains(&Cue::Denied);
        let past = cues.contains(&Cue::Past) || cues.contains(&Cue::Earlier);
        if row.id % 2 == 0 {
            measure.add(row.negated, denied);
            history.add(row.historical, past);
        } else {
            build.add(row.negated, denied);
            if row.negated != denied {
                misses.push(format!("{} {} | {}", row.id, row.negated, row.sentence));
            }
        }
    }
    // Only sentences that are there to build by are ever shown.
    for miss in &misses {
        println!("odd id, read otherwise: {miss}");
    }
    for (name, count) in [("odd", &build), ("even", &measure)] {
        println!(
            "{name} ids: F1 of Negated {} (of 1000); {} hit, {} false alarms, {} missed",
            count.f1(),
            count.hit,
            count.false_alarm,
            count.missed
        );
    }
    // Too few and too much of medicine to aim at; shown so that nobody wonders.
    println!(
        "even ids: F1 of Historical {} (of 1000); {} hit, {} false alarms, {} missed",
        history.f1(),
        history.hit,
        history.false_alarm,
        history.missed
    );
    assert!(
        unplaced <= 12,
        "{unplaced} phrases do not stand in their sentences"
    );
    assert!(measure.hit + measure.missed > 100, "too few to measure by");
    assert!(
        measure.f1() >= LEAST_F1,
        "F1 {} of 1000 on the even ids",
        measure.f1()
    );
    Ok(())
}
