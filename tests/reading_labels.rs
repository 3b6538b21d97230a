//! How well the reader reads: its facts against labels that people wrote by hand, for both halves of `tests/reading`.
//!
//! What counts, by category: the site (letters and digits), the date, the set of equipment kinds, symptoms with their
//! status, conditions with their symptom, settings with value and `when`, readings with value (each as often as it was
//! measured), causes with their status, fixes with part and status, the outcome. Numbers match within half a percent or
//! 0.05. Where a second person labelled a note (`NAME.second.json`), only what both say is asked for, and what one of
//! them says counts neither way; nor do ids that `kb/vocabulary.toml` does not have or lists under `[unscored]`.
//! Precision, recall and F1 are micro averages over all visits. The table is printed with `--nocapture`.
//!
//! The floors stand a little below the figures measured when they were set; whoever makes the reader better raises them.

#![allow(clippy::print_stdout)]
// the table is printed for whoever runs the test by hand
// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;
#[path = "reading_labels/scoring.rs"]
mod scoring;

use common::root;
use padlore::{json, notes};
use padlore_core::{
    note::{self, Conventions},
    reading::{self, facts::Facts},
    trade::Knowledge,
};
use scoring::{CATEGORIES, Figures, Ids, Tally, facts, paired};
use serde_json::Value;
use std::{
    fs,
    ops::Range,
    path::{Path, PathBuf},
};

/// The least F1 of each category, in the order of [`CATEGORIES`].
struct Floors([f64; 10]);

/// The learned part was fitted to this half: its figures say only that nothing broke.
const BUILD: Floors = Floors([0.98, 0.97, 0.88, 0.80, 0.60, 0.75, 0.80, 0.66, 0.78, 0.80]);
const ASIDE: Floors = Floors([0.93, 0.97, 0.86, 0.68, 0.51, 0.79, 0.86, 0.52, 0.56, 0.59]);
/// Snippets have no site, date and outcome of their own.
const SNIPPETS_ASIDE: Floors = Floors([0.0, 0.0, 0.88, 0.63, 0.50, 0.58, 0.73, 0.55, 0.51, 0.0]);

/// The labelled notes of a half.
fn labelled(half: &str) -> Vec<PathBuf> {
    let folder = root().join("tests/reading").join(half);
    let mut out: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| {
            p.extension().is_some_and(|e| e == "md") && p.with_extension("facts.json").exists()
        })
        .collect();
    out.sort();
    assert!(out.len() >= 60, "{half}: {} labelled notes", out.len());
    out
}

/// What the reader makes of a note.
fn read(path: &Path) -> (String, Vec<Facts>) {
    let text = notes::text(path).unwrap();
    let conventions = Conventions {
        order: None,
        today: Some(common::TODAY.parse().unwrap()),
    };
    let note = note::parse(&text, &notes::stem(path), &conventions);
    let facts = note
        .visits
        .iter()
        .map(|v| reading::read(&text, v, Knowledge::built_in()))
        .collect();
    (text, facts)
}

fn visits(path: &Path) -> Option<Vec<Value>> {
    let text = fs::read_to_string(path).ok()?;
    let value: Value =
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    Some(
        value
            .get("visits")
            .and_then(Value::as_array)
            .unwrap_or_else(|| panic!("{}: no visits", path.display()))
            .clone(),
    )
}

fn measure(half: &str) -> Figures {
    let ids = Ids::of(&root().join("kb/vocabulary.toml"));
    let mut tally = Tally::default();
    let notes = labelled(half);
    for path in &notes {
        let gold = visits(&path.with_extension("facts.json")).unwrap();
        let second = visits(&path.with_extension("second.json")).unwrap_or_else(|| gold.clone());
        let (text, read) = read(path);
        let said: Vec<Value> = read
            .iter()
            .map(|f| serde_json::to_value(json::facts::Visit::of(&text, f)).unwrap())
            .collect();
        let said = paired(&gold, said);
        let nothing = Value::Null;
        for (i, s) in said.iter().enumerate() {
            let (first, other) = (
                gold.get(i).unwrap_or(&nothing),
                second.get(i).unwrap_or(&nothing),
            );
            tally.add(
                &facts(first, &ids),
                &facts(other, &ids),
                &facts(s.as_ref().unwrap_or(&nothing), &ids),
            );
        }
    }
    let figures = tally.figures();
    println!("{half}: {} notes\n{figures}", notes.len());
    figures
}

/// A snippet's labels as a labelled visit.
fn as_visit(snippet: &Value) -> Value {
    let list = |key: &str| {
        snippet
            .get(key)
            .and_then(Value::as_array)
            .cloned()
            .unwrap_or_default()
    };
    let field = |row: &Value, n: usize| row.get(n).cloned().unwrap_or_default();
    let rows = |key: &str, names: &[&str]| -> Vec<Value> {
        list(key)
            .iter()
            .map(|row| {
                names
                    .iter()
                    .enumerate()
                    .map(|(n, name)| ((*name).to_owned(), field(row, n)))
                    .collect::<serde_json::Map<_, _>>()
                    .into()
            })
            .collect()
    };
    serde_json::json!({
        "equipment": list("equipment"),
        "symptoms": rows("symptoms", &["id", "status", "conditions"]),
        "settings": rows("settings", &["id", "value", "when"]),
        "readings": rows("readings", &["id", "value"]),
        "causes": rows("causes", &["id", "status"]),
        "fixes": rows("fixes", &["action", "part", "status"]),
    })
}

/// The figures of all snippets of a half.
fn measure_snippets(half: &str) -> Figures {
    let ids = Ids::of(&root().join("kb/vocabulary.toml"));
    let mut tally = Tally::default();
    let mut count = 0;
    for entry in fs::read_dir(root().join("tests/reading/snippets").join(half)).unwrap() {
        let path = entry.unwrap().path();
        for (n, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
            let snippet: Value = serde_json::from_str(line)
                .unwrap_or_else(|e| panic!("{}:{}: {e}", path.display(), n + 1));
            let text = snippet.get("text").and_then(Value::as_str).unwrap();
            // A short first line would be taken for the site's name.
            let text = format!("Site: Snippet\nDate: 2026-03-02\n\n{text}\n");
            let note = note::parse(&text, "snippet", &Conventions::default());
            let visit = note.visits.first().unwrap();
            let read = reading::read(&text, visit, Knowledge::built_in());
            let mut said = serde_json::to_value(json::facts::Visit::of(&text, &read)).unwrap();
            for own in ["site", "date", "outcome"] {
                said.as_object_mut().unwrap().remove(own);
            }
            let gold = facts(&as_visit(&snippet), &ids);
            tally.add(&gold, &gold, &facts(&said, &ids));
            count += 1;
        }
    }
    assert!(count >= 400, "{half}: {count} snippets");
    let figures = tally.figures();
    println!("snippets, {half}: {count}\n{figures}");
    figures
}

#[test]
fn snippets_set_aside_are_read_no_worse_than_when_the_floors_were_set() {
    hold(
        "snippets aside",
        &measure_snippets("aside"),
        &SNIPPETS_ASIDE,
    );
}

fn check(half: &str, floors: &Floors) {
    hold(half, &measure(half), floors);
}

fn hold(half: &str, figures: &Figures, floors: &Floors) {
    let below: Vec<String> = CATEGORIES
        .iter()
        .zip(floors.0)
        .zip(&figures.rows)
        .filter(|((_, floor), row)| row.f1() < *floor)
        .map(|((name, floor), row)| format!("{name}: F1 {:.3} is below {floor}", row.f1()))
        .collect();
    assert!(below.is_empty(), "{half}: {}\n{figures}", below.join("; "));
    assert!(
        figures
            .rows
            .iter()
            .zip(floors.0)
            .all(|(r, floor)| r.gold() > 0 || floor == 0.0),
        "{half}: a category without labels measures nothing\n{figures}"
    );
}

#[test]
fn the_half_that_the_tables_were_built_by() {
    check("build", &BUILD);
}

#[test]
fn the_half_that_was_set_aside() {
    check("aside", &ASIDE);
}

/// The places of a visit's facts, with what they are.
fn places(visit: &Facts) -> Vec<(&'static str, Range<usize>)> {
    let mut out = Vec::new();
    out.extend(
        visit
            .equipment
            .iter()
            .map(|f| ("equipment", f.span.clone())),
    );
    out.extend(visit.symptoms.iter().map(|f| ("symptom", f.span.clone())));
    out.extend(visit.settings.iter().map(|f| ("setting", f.span.clone())));
    out.extend(visit.readings.iter().map(|f| ("reading", f.span.clone())));
    out.extend(visit.causes.iter().map(|f| ("cause", f.span.clone())));
    out.extend(visit.fixes.iter().map(|f| ("fix", f.span.clone())));
    out.extend(visit.private.iter().map(|s| ("private", s.clone())));
    out
}

/// Every labelled note with its visits.
fn all_read() -> Vec<(PathBuf, String, Vec<Facts>)> {
    let notes = ["build", "aside"].into_iter().flat_map(labelled);
    notes
        .map(|path| {
            let (text, facts) = read(&path);
            (path, text, facts)
        })
        .collect()
}

#[test]
fn reading_twice_gives_the_same() {
    for (path, _, first) in all_read() {
        assert!(
            read(&path).1 == first,
            "{}: read twice, it differs",
            path.display()
        );
    }
}

#[test]
fn every_fact_cuts_its_note() {
    for (path, text, visits) in all_read() {
        let name = path.display();
        for visit in &visits {
            assert!(
                text.get(visit.span.clone()).is_some(),
                "{name}: visit {:?}",
                visit.span
            );
            for (what, span) in places(visit) {
                assert!(
                    text.get(span.clone()).is_some(),
                    "{name}: {what} {span:?} does not cut the note"
                );
            }
            let mut end = visit.span.start;
            for span in &visit.private {
                let after = span.start >= end && span.end <= visit.span.end;
                assert!(after, "{name}: private {span:?} overlaps or lies outside");
                end = span.end;
            }
        }
    }
}

/// Known fault, held to fail still: some facts have no words of their own, so nothing leads to the line that says them.
#[test]
#[should_panic(expected = "facts without words")]
fn every_fact_has_its_words() {
    let mut empty = Vec::new();
    for (path, text, visits) in all_read() {
        for (what, span) in visits.iter().flat_map(places) {
            if text
                .get(span.clone())
                .is_some_and(|cut| cut.trim().is_empty())
            {
                empty.push(format!("{}: {what} {span:?}", path.display()));
            }
        }
    }
    assert!(
        empty.is_empty(),
        "{} facts without words:\n{}",
        empty.len(),
        empty.join("\n")
    );
}
