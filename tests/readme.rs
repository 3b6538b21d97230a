//! What the README promises to a newcomer: its two commands are there and do what they say.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{Run, TODAY, bare, finish, root};
use std::fs;

/// The commands of the README's first block, remarks cut off.
fn first_block() -> Vec<String> {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let block = readme
        .split("```sh\n")
        .nth(1)
        .and_then(|b| b.split("```").next())
        .expect("a block of commands");
    block
        .lines()
        .map(|l| l.split('#').next().unwrap_or_default().trim().to_owned())
        .filter(|l| !l.is_empty())
        .collect()
}

/// Words of a command line; a README's first command needs no quotes.
fn words(command: &str) -> Vec<&str> {
    assert!(!command.contains(['"', '\'', '|', '>', '$']), "{command}");
    command.split_whitespace().collect()
}

fn run_first(extra: &[&str]) -> Run {
    let commands = first_block();
    let first = words(&commands[0]);
    let own = first
        .strip_prefix(["cargo", "run", "--release", "--"].as_slice())
        .expect("the built program's arguments follow `--`");
    let home = tempfile::tempdir().unwrap();
    let run = finish(bare(home.path()).args(own).args(extra).current_dir(root()));
    assert_eq!(run.code, 0, "{}", run.err);
    run
}

#[test]
fn two_commands_stand_first() {
    let commands = first_block();
    assert_eq!(commands.len(), 2, "{commands:?}");
    assert_eq!(words(&commands[1]), ["bash", "tests/all.sh"]);
    let all = fs::read_to_string(root().join("tests/all.sh")).unwrap();
    for part in [
        "cargo fmt --all --check",
        "cargo clippy --workspace --all-targets -- -D warnings",
        "cargo test --workspace",
    ] {
        assert!(
            all.lines().any(|l| l.trim() == part),
            "`{part}` is not run by tests/all.sh"
        );
    }
}

#[test]
fn the_first_command_answers() {
    let run = run_first(&["--today", TODAY]);
    let heading = |name: &str| {
        run.out
            .lines()
            .position(|l| l == name)
            .unwrap_or_else(|| panic!("no `{name}`: {}", run.out))
    };
    let (next, causes, jobs) = (
        heading("Next check"),
        heading("Likely causes"),
        heading("Past jobs"),
    );
    assert!(next < causes && causes < jobs, "{}", run.out);
    let lines: Vec<&str> = run.out.lines().collect();
    // The next check has its minutes, who may do it, and a caution.
    let check = lines[next..causes].join("\n");
    assert!(
        check.contains(" min, ") && check.contains("--found "),
        "{check}"
    );
    assert!(check.contains("Caution: "), "{check}");
    // Causes stand with percent, words and reasons, and something else among them.
    let shown = lines[causes..jobs].join("\n");
    assert!(
        shown.lines().filter(|l| l.contains(" % ")).count() >= 3,
        "{shown}"
    );
    assert!(
        shown.contains("times likelier") && shown.contains("% something else"),
        "{shown}"
    );
    // Every past job leads to a line of a note.
    let notes = root().join("notes-sample");
    let mut places = 0;
    for line in &lines[jobs..] {
        let Some((file, number)) = line
            .trim()
            .rsplit_once(':')
            .filter(|(f, _)| f.ends_with(".md"))
        else {
            continue;
        };
        let number: usize = number
            .parse()
            .unwrap_or_else(|_| panic!("no line number: {line}"));
        let note = fs::read_to_string(notes.join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
        let at = note
            .lines()
            .nth(number - 1)
            .unwrap_or_else(|| panic!("{file} has no line {number}"));
        assert!(!at.trim().is_empty(), "{file}:{number} is blank");
        places += 1;
    }
    assert!(places >= 2, "{}", run.out);
}

#[test]
fn the_first_commands_past_jobs_are_of_the_kind_asked_for() {
    let answer = run_first(&["--json", "--today", TODAY]).json();
    let hits = common::list(&answer, "/past_jobs");
    let first = hits.first().expect("a past job");
    let file = root()
        .join("notes-sample")
        .join(common::text(first, "/file"));
    let note = fs::read_to_string(file).unwrap().to_lowercase();
    assert!(
        ["trip", "pop", "kick"].iter().any(|w| note.contains(w)),
        "the best past job speaks of no trip: {first}"
    );
    let at = usize::try_from(common::count(first, "/at")).unwrap();
    assert!(
        at >= usize::try_from(common::count(first, "/line")).unwrap() && at <= note.lines().count(),
        "{first}"
    );
}

#[test]
fn files_and_options_that_the_readme_names_exist() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    for path in [
        "kb/lexicon/english.NOTICE",
        "kb/lexicon/english.txt",
        "notes-sample",
        "tests/all.sh",
    ] {
        assert!(readme.contains(path), "the README no longer names {path}");
        assert!(root().join(path).exists(), "{path}");
    }
    let help = ["suspect", "find", "ingest", "read", "correct", "vet"]
        .map(|c| finish(bare(root()).args([c, "--help"])).out)
        .concat();
    for word in readme.split_whitespace().filter_map(|w| {
        w.trim_matches(['`', '"', ',', '.', ')', '('])
            .strip_prefix("--")
    }) {
        let option = format!("--{}", word.split(['=', '`']).next().unwrap_or_default());
        if option != "--release" && option != "--" {
            assert!(
                help.contains(&option),
                "the README names {option}, which no command has"
            );
        }
    }
}
