//! `read` for a person: the note's own lines with marks under the words, at a narrow and at a wide width, and what was left
//! unread with the command that says what it means. The pictures lie in `tests/snapshots`; after a change of the reader that
//! is meant, `INSTA_UPDATE=always cargo test --test read_person` draws them anew, and the difference is to be looked at.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{Shop, TODAY, bare, finish, list, root, text};

/// What `read` shows of notes of the sample, at that width.
fn shown(notes: &[&str], columns: usize) -> String {
    let home = tempfile::tempdir().unwrap();
    let run = finish(
        bare(home.path())
            .arg("read")
            .args(notes)
            .args(["--notes", ".", "--today", TODAY])
            .env("COLUMNS", columns.to_string())
            .current_dir(root().join("notes-sample")),
    );
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    for line in run.out.lines() {
        // A file's name cannot be broken.
        let command = line.starts_with("  padlore correct ");
        assert!(
            command || line.chars().count() <= columns,
            "wider than {columns}: {line}"
        );
        assert_eq!(line.trim_end(), line, "blanks at the end");
    }
    assert!(
        !run.out.contains('\u{1b}'),
        "no colours where there is no terminal"
    );
    run.out
}

#[test]
fn a_terse_note_at_60_columns() {
    insta::assert_snapshot!(shown(&["2024-01-10-bobbin-street-5.md"], 60));
}

#[test]
fn a_terse_note_at_100_columns() {
    insta::assert_snapshot!(shown(&["2024-01-10-bobbin-street-5.md"], 100));
}

#[test]
fn a_note_with_a_gate_code_at_60_columns() {
    insta::assert_snapshot!(shown(&["2024-11-19-sawpit-hill-77.md"], 60));
}

#[test]
fn a_note_with_a_gate_code_at_100_columns() {
    insta::assert_snapshot!(shown(&["2024-11-19-sawpit-hill-77.md"], 100));
}

#[test]
fn every_note_of_the_sample_keeps_to_the_width_and_shows_no_code() {
    let mut notes: Vec<String> = std::fs::read_dir(root().join("notes-sample"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.ends_with(".md"))
        .collect();
    notes.sort();
    let notes: Vec<&str> = notes.iter().map(String::as_str).collect();
    for columns in [40, 60, 132] {
        let out = shown(&notes, columns);
        assert!(
            out.contains('\u{2022}'),
            "the sample has private pieces, and they stand as dots"
        );
        for code in ["3302", "555-0141", "555-0162", "555-0133"] {
            assert!(!out.contains(code), "{code} is shown: {out}");
        }
    }
}

const NOTE: &str = "---
site: 4 Withy Lane
date: 2026-01-14
weather: 34 F
---
No leaks. Breaker tripped last year.
The grey thing by the fence is faulty again.
Will replace the filter gauge next visit.
";

fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("a.md", NOTE);
    shop
}

/// `read` of the note, from the notes folder.
fn read(shop: &Shop, arguments: &[&str]) -> common::Run {
    let run = finish(
        shop.command(&[["read", "a.md"].as_slice(), arguments].concat())
            .current_dir(shop.notes()),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    run
}

#[test]
fn what_is_not_so_is_marked_otherwise() {
    let shop = shop();
    let out = read(&shop, &[]).out;
    let marks = |words: &str| -> String {
        let line = out
            .lines()
            .find(|l| l.contains(words))
            .unwrap_or_else(|| panic!("no `{words}` in {out}"));
        line.chars()
            .filter(|c| matches!(c, '^' | '~'))
            .take(1)
            .collect()
    };
    assert_eq!(marks("symptom, denied: "), "~");
    assert_eq!(marks("symptom, past: breaker-trips"), "~");
    assert_eq!(marks("fix, planned: replaced pressure-gauge"), "~");
    assert_eq!(marks("equipment: breaker"), "^");
    // A fact of the note's head is shown with its line.
    let run = finish(
        shop.command(&[
            "correct",
            "a.md:4",
            "add",
            "reading",
            "air-temperature",
            "34",
        ])
        .current_dir(shop.notes()),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    let out = read(&shop, &[]).out;
    assert!(
        out.contains("4 | weather: 34 F")
            && out.contains("reading: air-temperature 34 degF [corrected]"),
        "{out}"
    );
}

#[test]
fn what_was_left_unread_is_listed_until_a_person_says_what_it_means() {
    let shop = shop();
    let sentence = "The grey thing by the fence is faulty again";
    let out = read(&shop, &[]).out;
    let (_, left) = out
        .split_once("left unread")
        .unwrap_or_else(|| panic!("nothing left unread: {out}"));
    assert!(left.contains("line 7 \u{201c}The grey thing"), "{left}");
    assert!(
        left.contains("padlore correct a.md:7 add symptom ID"),
        "{left}"
    );
    let answer = read(&shop, &["--json"]).json();
    let unread = list(&answer, "/visits/0/unread");
    assert_eq!(unread.len(), 1);
    assert_eq!(text(&unread[0], "/text"), sentence);
    // The command as it is shown, with an id.
    let run = finish(
        shop.command(&[
            "correct",
            "a.md:7",
            "add",
            "symptom",
            "pump-noisy",
            "--words",
            "is faulty",
        ])
        .current_dir(shop.notes()),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    let out = read(&shop, &[]).out;
    assert!(!out.contains("left unread"), "{out}");
    assert!(out.contains("symptom: pump-noisy [corrected]"), "{out}");
    // A person who says that there is nothing in it has looked at it, too.
    let run = finish(
        shop.command(&["correct", "a.md:7", "drop", "symptom", "pump-noisy"])
            .current_dir(shop.notes()),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(!read(&shop, &[]).out.contains("left unread"));
}

#[test]
fn words_of_a_terminal_do_nothing() {
    let shop = Shop::new();
    shop.write(
        "a.md",
        "---\nsite: 4 Withy Lane\ndate: 2026-01-14\n---\nBreaker \u{1b}[2Jtrips when cold.\u{7}\n",
    );
    let out = read(&shop, &[]).out;
    assert!(!out.contains(['\u{1b}', '\u{7}']), "{out:?}");
}
