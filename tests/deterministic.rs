//! Same notes, same tables, same `--today`: the same output byte for byte, `seconds` aside, from any store.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{Shop, root};
use std::fs;

/// A shop with a copy of the sample's notes, written in the order of `backwards`.
fn copy(backwards: bool) -> Shop {
    let shop = Shop::new();
    let mut names: Vec<_> = fs::read_dir(root().join("notes-sample"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    names.sort();
    if backwards {
        names.reverse();
    }
    for path in names {
        fs::copy(&path, shop.notes().join(path.file_name().unwrap())).unwrap();
    }
    shop
}

const QUESTIONS: [&[&str]; 9] = [
    &["find", "trips when cold", "--json"],
    &[
        "find",
        "heater wont stay lit \"pressure switch\"",
        "--json",
        "--top",
        "50",
    ],
    &["find", "pump", "--json", "--top", "1000"],
    &[
        "find",
        "salt low",
        "--equipment",
        "salt-cell",
        "--since",
        "2024-01-01",
    ],
    &["suspect", "trips when cold", "--json"],
    &[
        "suspect",
        "vs pump trips the gfi on frosty mornings, meg 300 so the motor is good",
        "--json",
    ],
    &[
        "suspect",
        "salt box says low",
        "--reading",
        "salt=3200",
        "--json",
    ],
    &["suspect", "heater lights and drops out"],
    &["suspect", "tingle from the ladder", "--json"],
];

/// The output of every question, and of `read` over every note by its name.
fn answers(shop: &Shop) -> Vec<String> {
    let mut out = Vec::new();
    for question in QUESTIONS {
        let run = shop.run(question);
        assert_eq!(run.code, 0, "{question:?}: {}", run.err);
        assert!(!run.out.trim().is_empty(), "{question:?}");
        out.push(run.out);
    }
    let mut names: Vec<_> = fs::read_dir(shop.notes())
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    names.retain(|n| n.to_string_lossy().ends_with(".md"));
    names.sort();
    let run = common::finish(
        shop.command(&["read", "--json"])
            .args(&names)
            .current_dir(shop.notes()),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    out.push(run.out);
    out
}

/// The JSON of an ingest, its time taken out of the text itself.
fn ingested(shop: &Shop, arguments: &[&str]) -> String {
    let run = shop.run(&[["ingest", "--json"].as_slice(), arguments].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    let (head, tail) = run.out.split_once("\"seconds\":").unwrap();
    let rest = tail.trim_start_matches(|c: char| {
        c.is_ascii_digit() || matches!(c, '.' | 'e' | 'E' | '-' | '+')
    });
    format!("{head}{rest}")
}

#[test]
fn two_fresh_stores_answer_alike() {
    let (one, other) = (copy(false), copy(true));
    assert_eq!(ingested(&one, &[]), ingested(&other, &[]));
    let (first, second) = (answers(&one), answers(&other));
    for (a, b) in first.iter().zip(&second) {
        assert!(a == b, "two fresh stores differ:\n{a}\n{b}");
    }
    assert_eq!(first.len(), QUESTIONS.len() + 1);
    // The same store asked again, and the same folder read afresh.
    assert!(
        answers(&one) == first,
        "one store answers differently the second time"
    );
    assert_eq!(
        ingested(&one, &["--afresh"]),
        ingested(&other, &["--afresh"])
    );
    assert!(
        answers(&one) == first,
        "a store built afresh answers differently"
    );
}
