//! Exit codes and the shape of the JSON, by the contract: 0 done, 1 could not, 2 wrong usage; a reader of the output that
//! goes away is no error; `--json` prints one object with `"schema": 1`.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{GOOD, Run, Shop, bare, finish, list, root, text};
use serde_json::Value;
use std::{
    io::{BufRead, BufReader},
    process::Stdio,
};

fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    shop
}

fn check_usage(arguments: &[&str], words: &[&str]) {
    let run = shop().run(arguments);
    assert_eq!(run.code, 2, "{arguments:?}: {}", run.err);
    assert!(
        run.out.is_empty(),
        "{arguments:?}: messages go to standard error: {}",
        run.out
    );
    for word in words {
        assert!(
            run.err.contains(word),
            "{arguments:?}: `{word}` is not in {}",
            run.err
        );
    }
}

#[test]
fn wrong_usage_is_2() {
    check_usage(&["dig"], &["dig"]);
    check_usage(&["find"], &["WORDS"]);
    check_usage(&["read"], &["NOTE"]);
    check_usage(&["find", "breaker", "--colour", "red"], &["--colour"]);
    check_usage(
        &["find", "breaker", "--since", "2026-13-01"],
        &["--since", "2026-13-01"],
    );
    check_usage(&["find", "breaker", "--top", "many"], &["--top"]);
    check_usage(
        &["suspect", "trips", "--found", "nonsense"],
        &["--found CHECK=OUTCOME"],
    );
    check_usage(
        &["suspect", "trips", "--reading", "salt"],
        &["--reading ID=VALUE"],
    );
    let run = finish(&mut bare(shop().notes().as_path()));
    assert_eq!(run.code, 2, "no command at all: {}", run.err);
}

#[test]
fn an_unknown_id_is_2_and_names_the_nearest() {
    check_usage(
        &["find", "breaker", "--symptom", "breaker-tripz"],
        &["breaker-tripz", "nearest is `breaker-trips`"],
    );
    check_usage(
        &["find", "breaker", "--equipment", "pmup"],
        &["pmup", "nearest is `pump`"],
    );
    check_usage(
        &["find", "breaker", "--cause", "breaker-wron"],
        &["nearest is `breaker-worn`"],
    );
    check_usage(
        &["find", "breaker", "--fix", "replacd"],
        &["nearest is `replaced`"],
    );
    check_usage(
        &["suspect", "trips", "--found", "lift-motor-lead=holds"],
        &["nearest is `lift-motor-leads`"],
    );
    check_usage(
        &["suspect", "trips", "--found", "lift-motor-leads=held"],
        &["no outcome of `lift-motor-leads`", "holds"],
    );
    check_usage(
        &["suspect", "trips", "--reading", "slat=3200"],
        &["nearest is `salt`"],
    );
}

#[test]
fn help_and_version_are_0() {
    for arguments in [["--help"].as_slice(), &["--version"], &["find", "--help"]] {
        let run = finish(bare(shop().notes().as_path()).args(arguments));
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{arguments:?}");
        assert!(!run.out.is_empty(), "{arguments:?}");
    }
}

#[test]
fn no_notes_folder_is_1() {
    let empty = tempfile::tempdir().unwrap();
    for arguments in [["ingest"].as_slice(), &["find", "breaker"]] {
        let run = finish(bare(empty.path()).args(arguments).current_dir(empty.path()));
        assert_eq!(run.code, 1, "{arguments:?}: {}", run.err);
        assert!(
            run.err
                .contains("no notes folder: name one with --notes DIR"),
            "{}",
            run.err
        );
    }
    let run = finish(
        bare(empty.path())
            .args(["find", "breaker", "--notes"])
            .arg(empty.path().join("none")),
    );
    assert_eq!(run.code, 1);
    assert!(run.err.contains("none: no such folder"), "{}", run.err);
    let run = finish(
        bare(empty.path())
            .args(["vet", "--kb"])
            .arg(empty.path().join("none")),
    );
    assert_eq!(run.code, 1);
    assert!(run.err.contains("none: no such folder"), "{}", run.err);
}

#[test]
fn suspect_without_notes_answers_from_the_table() {
    let empty = tempfile::tempdir().unwrap();
    let run = finish(
        bare(empty.path())
            .args(["suspect", "breaker trips when cold", "--json"])
            .current_dir(empty.path()),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    let answer = run.json();
    assert!(!list(&answer, "/causes").is_empty(), "{answer}");
    assert!(list(&answer, "/past_jobs").is_empty(), "{answer}");
}

#[test]
fn the_folder_comes_from_the_environment_or_from_padlore_toml_above() {
    let shop = shop();
    shop.write("padlore.toml", "");
    shop.write("sites/deep/other.md", GOOD.replace("4 Withy", "6 Withy"));
    let hits = |run: Run| {
        assert_eq!(run.code, 0, "{}", run.err);
        list(&run.json(), "/hits").len()
    };
    let cache = shop.beside("cache");
    assert_eq!(
        hits(finish(
            bare(&cache)
                .args(["find", "breaker trips", "--json"])
                .env("PADLORE_NOTES", shop.notes())
        )),
        2
    );
    assert_eq!(
        hits(finish(
            bare(&cache)
                .args(["find", "breaker trips", "--json"])
                .current_dir(shop.notes().join("sites/deep"))
        )),
        2
    );
    assert!(
        cache.join("padlore").is_dir(),
        "the default store lies in the user's cache folder"
    );
}

#[test]
fn a_store_folder_that_cannot_be_made_is_1() {
    let shop = shop();
    std::fs::write(shop.store(), "a file where the store should be").unwrap();
    let run = shop.run(&["ingest"]);
    assert_eq!(run.code, 1);
    assert!(
        run.err.contains("cannot be written") && run.err.contains("--store DIR"),
        "{}",
        run.err
    );
}

#[test]
fn json_is_one_object_with_schema_1() {
    let shop = shop();
    let note = shop.notes().join("good.md");
    let commands: [&[&str]; 6] = [
        &["ingest"],
        &["find", "breaker trips"],
        &["read", note.to_str().unwrap()],
        &["suspect", "breaker trips when cold"],
        &["suspect", "got a shock from the water"],
        &["vet"],
    ];
    let keys: [&[&str]; 6] = [
        &[
            "notes", "visits", "added", "changed", "removed", "refused", "seconds",
        ],
        &["total", "as_of", "hits", "facets"],
        &["visits"],
        &[
            "understood",
            "stop",
            "causes",
            "something_else",
            "checks",
            "take_along",
            "cautions",
            "past_jobs",
        ],
        &[
            "understood",
            "stop",
            "causes",
            "something_else",
            "checks",
            "take_along",
            "cautions",
            "past_jobs",
        ],
        &["problems"],
    ];
    for (arguments, keys) in commands.iter().zip(keys) {
        let run = shop.run(&[arguments, ["--json"].as_slice()].concat());
        assert_eq!(
            run.out.trim_end().lines().count(),
            1,
            "{arguments:?}: {}",
            run.out
        );
        let answer = run.json();
        assert_eq!(
            answer.get("schema"),
            Some(&Value::from(1)),
            "{arguments:?}: {answer}"
        );
        for key in keys {
            assert!(
                answer.get(key).is_some(),
                "{arguments:?}: no `{key}` in {answer}"
            );
        }
    }
}

#[test]
fn plain_output_has_no_colours_and_keeps_to_80_columns() {
    let shop = shop();
    for arguments in [
        ["suspect", "breaker trips when cold"],
        ["find", "breaker trips"],
    ] {
        let run = shop.run(&arguments);
        assert_eq!(run.code, 0, "{}", run.err);
        assert!(!run.out.contains('\u{1b}'), "{}", run.out);
        for line in run.out.lines() {
            assert!(line.chars().count() <= 80, "{arguments:?}: {line}");
        }
    }
}

/// Runs `read` over the sample's notes (far more than a pipe holds), reads `lines` of it, closes the pipe, and waits.
fn check_closing(lines: usize, json: &[&str]) {
    let shop = Shop::new();
    let mut notes: Vec<_> = std::fs::read_dir(root().join("notes-sample"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "md"))
        .collect();
    notes.sort();
    let mut child = bare(&shop.beside("cache"))
        .arg("read")
        .args(&notes)
        .args(&notes)
        .args(json)
        .current_dir(shop.notes())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    for _ in 0..lines {
        let mut line = String::new();
        assert!(out.read_line(&mut line).unwrap() > 0);
    }
    drop(out);
    let run = Run::from(child.wait_with_output().unwrap());
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        !run.err.contains("panic")
            && !run.err.contains("cannot write")
            && !run.err.contains("pipe"),
        "{}",
        run.err
    );
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    check_closing(0, &[]);
    check_closing(3, &[]);
    check_closing(0, &["--json"]);
}

#[test]
fn answers_come_from_the_last_commit() {
    let shop = shop();
    let first = shop.run(&["find", "breaker trips", "--json"]).json();
    assert_eq!(text(&first, "/as_of"), common::TODAY);
    shop.write("later.md", GOOD.replace("4 Withy", "6 Withy"));
    let second = shop.run(&["find", "breaker trips", "--json"]).json();
    assert_eq!(
        first, second,
        "`find` does not ingest where there is a store"
    );
    assert_eq!(shop.run(&["ingest"]).code, 0);
    let third = shop.run(&["find", "breaker trips", "--json"]).json();
    assert_eq!(list(&third, "/hits").len(), 2, "{third}");
}
