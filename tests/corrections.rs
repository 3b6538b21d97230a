//! `corrections.toml` through the compiled program: `correct` writes it and loses nothing, `read` and `ingest` apply it, a
//! change of it reads the notes again that it names and no others, and what cannot hold is told while the rest does.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs, dead_code)]

mod common;
#[path = "common/stores.rs"]
mod stores;

use common::{Run, Shop, count, finish, list, picture, text};
use padlore_core::trade::Knowledge;
use serde_json::Value;
use std::{
    fs,
    process::{Child, Stdio},
};
use stores::Known;

const NOTE: &str = "---
site: 4 Withy Lane
date: 2026-01-14
---
Breaker trips when cold, pump is fine.
The grey box let go again.
Filter at 22 psi.
Replaced the breaker.
";

/// A shop with two notes that say the same.
fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("a.md", NOTE);
    shop.write("sites/b.md", NOTE.replace("4 Withy", "6 Withy"));
    shop
}

fn ok(run: Run) -> Run {
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    run
}

/// `correct` in the notes folder itself.
fn correct(shop: &Shop, arguments: &[&str]) -> Run {
    finish(
        shop.command(&[["correct"].as_slice(), arguments].concat())
            .current_dir(shop.notes()),
    )
}

fn file(shop: &Shop) -> String {
    fs::read_to_string(shop.notes().join("corrections.toml")).unwrap()
}

/// What is read from a note: its only visit.
fn read(shop: &Shop, note: &str) -> Value {
    let path = shop.notes().join(note);
    let run = ok(shop.run(&["read", path.to_str().unwrap(), "--json"]));
    let mut answer = run.json();
    assert_eq!(list(&answer, "/visits").len(), 1);
    answer["visits"][0].take()
}

/// `id` and `corrected` of every symptom of a visit.
fn symptoms(visit: &Value) -> Vec<(&str, bool)> {
    let corrected = |s: &Value| s.get("corrected") == Some(&Value::Bool(true));
    list(visit, "/symptoms")
        .iter()
        .map(|s| (text(s, "/id"), corrected(s)))
        .collect()
}

/// Files whose visits have a symptom, from the store.
fn found(shop: &Shop, symptom: &str) -> Vec<String> {
    let run = ok(shop.run(&["find", "box", "--symptom", symptom, "--json"]));
    let mut files: Vec<String> = list(&run.json(), "/hits")
        .iter()
        .map(|h| text(h, "/file").to_owned())
        .collect();
    files.sort();
    files
}

fn ingest(shop: &Shop) -> Value {
    ok(shop.run(&["ingest", "--json"])).json()
}

/// Added, changed and removed.
fn counts(answer: &Value) -> [u64; 3] {
    ["/added", "/changed", "/removed"].map(|p| count(answer, p))
}

#[test]
fn a_correction_is_written_and_wins() {
    let shop = shop();
    assert_eq!(symptoms(&read(&shop, "a.md")), [("breaker-trips", false)]);
    let before = picture(&shop.notes());
    let run = ok(correct(
        &shop,
        &["a.md:6", "add", "symptom", "no-power", "--condition", "wet"],
    ));
    assert!(
        run.out.contains("corrections.toml:4: add symptom no-power"),
        "{}",
        run.out
    );
    ok(correct(
        &shop,
        &[
            "a.md:5",
            "drop",
            "symptom",
            "breaker-trips",
            "--words",
            "Breaker trips",
        ],
    ));
    let visit = read(&shop, "a.md");
    assert_eq!(symptoms(&visit), [("no-power", true)]);
    let fact = &list(&visit, "/symptoms")[0];
    assert_eq!(fact["conditions"], serde_json::json!(["wet"]));
    assert_eq!(
        (
            text(fact, "/text"),
            count(fact, "/line"),
            count(fact, "/column")
        ),
        ("The grey box let go again", 6, 1)
    );
    // The other note, which says the same words, is not meant.
    assert_eq!(
        symptoms(&read(&shop, "sites/b.md")),
        [("breaker-trips", false)]
    );
    // The file is for people: an entry a correction, the words quoted, nothing else in the folder touched.
    assert!(
        file(&shop).ends_with(
            "\n[[correction]]
note = \"a.md\"
line = 6
words = \"The grey box let go again\"
add = { symptom = \"no-power\", conditions = [\"wet\"] }

[[correction]]
note = \"a.md\"
line = 5
words = \"Breaker trips\"
drop = { symptom = \"breaker-trips\" }
"
        ),
        "{}",
        file(&shop)
    );
    let mut after = picture(&shop.notes());
    after
        .remove(&shop.notes().join("corrections.toml"))
        .unwrap();
    after.remove(&shop.notes());
    let mut before = before;
    before.remove(&shop.notes());
    assert_eq!(
        after, before,
        "`correct` writes corrections.toml and nothing else"
    );
}

#[test]
fn each_kind_of_fact_can_be_said() {
    let shop = shop();
    for arguments in [
        ["a.md:8", "drop", "fix", "replaced", "breaker"].as_slice(),
        &[
            "a.md:8",
            "add",
            "fix",
            "tightened",
            "terminal",
            "--status",
            "planned",
        ],
        &["a.md:7", "drop", "reading", "filter-pressure"],
        &[
            "a.md:7",
            "add",
            "reading",
            "filter-pressure",
            "1.2",
            "bar",
            "--state",
            "running",
        ],
        &[
            "a.md:7",
            "add",
            "setting",
            "pump-speed",
            "2700",
            "rpm",
            "--when",
            "found",
        ],
        &[
            "a.md:6",
            "add",
            "cause",
            "breaker-worn",
            "--status",
            "suspected",
            "--words",
            "grey box",
        ],
        &[
            "a.md:6",
            "add",
            "equipment",
            "controller",
            "--label",
            "the grey box",
        ],
        &["a.md:8", "add", "outcome", "monitoring"],
    ] {
        ok(correct(&shop, arguments));
    }
    let visit = read(&shop, "a.md");
    let only = |list_name: &str, key: &str| -> Vec<String> {
        list(&visit, list_name)
            .iter()
            .filter(|f| f.get("corrected") == Some(&Value::Bool(true)))
            .map(|f| f[key].to_string().replace('"', ""))
            .collect()
    };
    assert_eq!(list(&visit, "/fixes").len(), 1, "{visit}");
    assert_eq!(
        (only("/fixes", "part"), only("/fixes", "status")),
        (vec!["terminal".to_owned()], vec!["planned".to_owned()])
    );
    assert_eq!(only("/readings", "value"), ["17.4045"]);
    assert_eq!(only("/settings", "when"), ["found"]);
    assert_eq!(only("/causes", "status"), ["suspected"]);
    assert_eq!(only("/causes", "text"), ["grey box"]);
    assert_eq!(only("/pieces", "label"), ["the grey box"]);
    assert_eq!(
        (text(&visit, "/outcome"), &visit["outcome_corrected"]),
        ("monitoring", &Value::Bool(true))
    );
}

#[test]
fn only_the_notes_that_it_names_are_read_again() {
    let shop = shop();
    assert_eq!(counts(&ingest(&shop)), [2, 0, 0]);
    ok(correct(&shop, &["a.md:6", "add", "symptom", "no-power"]));
    assert_eq!(counts(&ingest(&shop)), [0, 1, 0]);
    assert_eq!(found(&shop, "no-power"), ["a.md"]);
    assert_eq!(counts(&ingest(&shop)), [0, 0, 0]);
    // It survives a new reading of the note, and of everything.
    shop.write("a.md", NOTE.replace("22 psi", "24 psi"));
    assert_eq!(counts(&ingest(&shop)), [0, 1, 0]);
    assert_eq!(found(&shop, "no-power"), ["a.md"]);
    ok(shop.run(&["ingest", "--afresh"]));
    assert_eq!(found(&shop, "no-power"), ["a.md"]);
    // Taken out, the note means what the reader reads.
    fs::write(shop.notes().join("corrections.toml"), "# none left\n").unwrap();
    assert_eq!(counts(&ingest(&shop)), [0, 1, 0]);
    assert_eq!(found(&shop, "no-power"), [""; 0]);
    assert_eq!(found(&shop, "breaker-trips"), ["a.md", "sites/b.md"]);
}

#[test]
fn a_store_with_corrections_equals_one_built_afresh() {
    let shop = shop();
    ingest(&shop);
    for arguments in [
        ["a.md:6", "add", "symptom", "no-power"].as_slice(),
        &["sites/b.md:5", "drop", "symptom", "breaker-trips"],
        &["a.md:6", "drop", "symptom", "no-power"],
        &["sites/b.md:6", "add", "symptom", "pump-hums"],
    ] {
        ok(correct(&shop, arguments));
        ingest(&shop);
    }
    let kept = Known::of(&shop.store(), Knowledge::built_in());
    ok(shop.run(&["ingest", "--afresh"]));
    assert_eq!(kept, Known::of(&shop.store(), Knowledge::built_in()));
    assert_eq!(found(&shop, "pump-hums"), ["sites/b.md"]);
    assert_eq!(found(&shop, "no-power"), [""; 0]);
}

/// A shop with these corrections: the problem is told at that line with these words, by `ingest` and by `read`, in JSON and
/// for a person, and the sound correction that is put behind them holds.
fn check_told(entries: &str, line: u64, words: &[&str]) {
    let shop = shop();
    let sound = "[[correction]]\nnote = \"a.md\"\nline = 6\nwords = \"grey box\"\nadd = { symptom = \"no-power\" }\n";
    shop.write("corrections.toml", format!("{entries}\n{sound}"));
    let note = shop.notes().join("a.md");
    for arguments in [["ingest"].as_slice(), &["read", note.to_str().unwrap()]] {
        let run = ok(shop.run(&[arguments, &["--json"]].concat()));
        let answer = run.json();
        let [problem] = list(&answer, "/problems").as_slice() else {
            panic!("not one problem: {answer}")
        };
        assert_eq!(
            (text(problem, "/file"), count(problem, "/line")),
            ("corrections.toml", line),
            "{problem}"
        );
        let told = ok(shop.run(arguments)).err;
        for word in words {
            assert!(
                text(problem, "/reason").contains(word),
                "`{word}` is not in {problem}"
            );
            assert!(told.contains(word), "`{word}` is not in {told}");
        }
        assert!(
            told.contains(&format!("corrections.toml:{line}: ")),
            "{told}"
        );
    }
    assert_eq!(found(&shop, "no-power"), ["a.md"], "the sound one holds");
}

#[test]
fn what_cannot_hold_is_told_and_the_rest_does() {
    let entry = |rest: &str| format!("# ours\n[[correction]]\nnote = \"a.md\"\nline = 5\n{rest}\n");
    check_told(
        &entry("words = \"Breaker trips\ndrop = {}"),
        5,
        &["cannot be read"],
    );
    check_told(
        &entry("words = \"Breaker trips\"\ndrop = { symptom = \"breaker-tripz\" }"),
        6,
        &["nearest is `breaker-trips`"],
    );
    check_told(
        &entry("words = \"Braker trips\"\ndrop = { symptom = \"breaker-trips\" }"),
        2,
        &["no longer stands", "take the entry out"],
    );
    check_told(
        &entry("words = \"grey box\"\nadd = { symptom = \"pump-hums\" }"),
        2,
        &["stands on line 6", "write `line = 6`"],
    );
    check_told(
        &entry("words = \"Breaker trips\"\ndrop = { symptom = \"pump-hums\" }"),
        2,
        &["nothing to drop"],
    );
}

#[test]
fn a_note_that_is_not_there_is_told_by_ingest() {
    let shop = shop();
    shop.write(
        "corrections.toml",
        "[[correction]]\nnote = \"site/b.md\"\nline = 5\nwords = \"Breaker\"\ndrop = { outcome = \"fixed\" }\n",
    );
    let answer = ingest(&shop);
    let problem = &list(&answer, "/problems")[0];
    assert_eq!(count(problem, "/line"), 1);
    assert!(
        text(problem, "/reason").contains("the nearest is `sites/b.md`"),
        "{problem}"
    );
    // The note comes back under its name.
    shop.write("site/b.md", NOTE);
    let answer = ingest(&shop);
    assert!(
        list(&answer, "/problems")
            .iter()
            .all(|p| !text(p, "/reason").contains("no note")),
        "{answer}"
    );
}

#[test]
fn a_file_that_cannot_be_read_is_told_and_notes_still_are() {
    let shop = shop();
    shop.write("corrections.toml", b"# ours\n[[correction]]\n\xff\n");
    let answer = ingest(&shop);
    assert_eq!(count(&answer, "/notes"), 2);
    let problem = &list(&answer, "/problems")[0];
    assert_eq!(
        (text(problem, "/file"), count(problem, "/line")),
        ("corrections.toml", 3)
    );
    assert!(text(problem, "/reason").contains("UTF-8"), "{problem}");
    let run = correct(&shop, &["a.md:6", "add", "symptom", "no-power"]);
    assert_eq!(run.code, 1, "{}", run.out);
    assert!(
        run.err.contains("corrections.toml:3: ") && run.err.contains("nothing was changed"),
        "{}",
        run.err
    );
    assert_eq!(
        fs::read(shop.notes().join("corrections.toml")).unwrap(),
        b"# ours\n[[correction]]\n\xff\n"
    );
}

#[test]
fn what_others_wrote_is_kept() {
    let shop = shop();
    let own = "# Thad's remarks\n\n[[correction]]      # not what it looks like\nnote='a.md'\nline   = 5\nwords = \"Breaker trips\"\ndrop = {symptom = \"breaker-trips\"} # see the next visit\n\n# to be asked: the grey box\n";
    shop.write("corrections.toml", own);
    ok(correct(&shop, &["a.md:6", "add", "symptom", "no-power"]));
    let text = file(&shop);
    assert!(text.starts_with(own), "{text}");
    assert_eq!(text.matches("[[correction]]").count(), 2, "{text}");
    assert_eq!(symptoms(&read(&shop, "a.md")), [("no-power", true)]);
    // What is broken is left alone.
    let broken = format!("{text}\n[[correction]]\nnote = \"a.md\n");
    shop.write("corrections.toml", &broken);
    let run = correct(&shop, &["a.md:6", "add", "symptom", "pump-hums"]);
    assert_eq!(run.code, 1);
    let line = broken.lines().count();
    assert!(
        run.err.contains(&format!("corrections.toml:{line}: ")),
        "{}",
        run.err
    );
    assert_eq!(file(&shop), broken);
}

#[test]
fn programs_that_write_at_once_lose_nothing() {
    let shop = shop();
    let ids = [
        "no-power",
        "pump-hums",
        "pump-stops",
        "pump-noisy",
        "pump-leaks",
        "high-pressure",
        "low-pressure",
        "outlet-trips",
    ];
    let children: Vec<Child> = ids
        .iter()
        .map(|id| {
            shop.command(&["correct", "a.md:6", "add", "symptom", id])
                .current_dir(shop.notes())
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    for child in children {
        let run = Run::from(child.wait_with_output().unwrap());
        assert_eq!(run.code, 0, "{}", run.err);
    }
    let visit = read(&shop, "a.md");
    let mut there: Vec<&str> = symptoms(&visit)
        .iter()
        .filter(|s| s.1)
        .map(|s| s.0)
        .collect();
    there.sort_unstable();
    let mut wanted = ids;
    wanted.sort_unstable();
    assert_eq!(there, wanted, "{}", file(&shop));
    let left: Vec<_> = fs::read_dir(shop.notes())
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    assert_eq!(left.len(), 3, "nothing is left beside the notes: {left:?}");
}

#[cfg(unix)]
#[test]
fn a_link_and_the_rights_of_the_file_are_kept() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let shop = shop();
    let real = shop.beside("shared.toml");
    fs::write(&real, "# shared\n").unwrap();
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
    symlink(&real, shop.notes().join("corrections.toml")).unwrap();
    ok(correct(&shop, &["a.md:6", "add", "symptom", "no-power"]));
    assert!(
        fs::symlink_metadata(shop.notes().join("corrections.toml"))
            .unwrap()
            .is_symlink()
    );
    assert_eq!(
        fs::metadata(&real).unwrap().permissions().mode() & 0o777,
        0o640
    );
    assert!(fs::read_to_string(&real).unwrap().contains("no-power"));
}

/// Arguments of `correct` that write nothing: the exit code and the words of the message.
fn check_refused(arguments: &[&str], code: i32, words: &[&str]) {
    let shop = shop();
    shop.write(
        "long.md",
        format!(
            "---\nsite: 8 Withy Lane\n---\n{} and the box let go.\n",
            "so it went on and on".repeat(8)
        ),
    );
    let before = picture(&shop.notes());
    let run = correct(&shop, arguments);
    assert_eq!(run.code, code, "{arguments:?}: {}{}", run.out, run.err);
    for word in words {
        assert!(
            run.err.contains(word),
            "{arguments:?}: `{word}` is not in {}",
            run.err
        );
    }
    assert_eq!(
        picture(&shop.notes()),
        before,
        "{arguments:?}: something was written"
    );
}

#[test]
fn what_would_not_hold_is_not_written() {
    check_refused(&["a.md", "add", "symptom", "no-power"], 2, &["NOTE:LINE"]);
    check_refused(&["a.md:0", "add", "symptom", "no-power"], 2, &["NOTE:LINE"]);
    check_refused(&["a.md:6", "put", "symptom", "no-power"], 2, &["put"]);
    check_refused(
        &["a.md:6", "add", "symptom", "no-powr"],
        2,
        &["no symptom", "nearest is `no-power`"],
    );
    check_refused(
        &[
            "a.md:6", "add", "symptom", "no-power", "--status", "perhaps",
        ],
        2,
        &["present, absent or past"],
    );
    check_refused(&["a.md:6", "add", "fix", "replaced"], 2, &["ACTION PART"]);
    check_refused(&["a.md:6", "add", "reading", "salt"], 2, &["value"]);
    check_refused(
        &["a.md:6", "add", "reading", "salt", "3", "psi"],
        2,
        &["`psi` is no unit of salt"],
    );
    check_refused(
        &["a.md:6", "add", "outcome", "fixed", "--when", "found"],
        2,
        &["`when` says nothing"],
    );
    check_refused(
        &["long.md:4", "add", "symptom", "no-power"],
        2,
        &["--words"],
    );
    check_refused(
        &["a.md:6", "add", "symptom", "no-power", "--words", "red box"],
        1,
        &["does not stand on that line"],
    );
    check_refused(
        &["a.md:6", "drop", "reading", "filter-pressure"],
        1,
        &["nothing to drop"],
    );
    check_refused(
        &["a.md:99", "add", "symptom", "no-power"],
        1,
        &["no words on that line", "8 lines"],
    );
    check_refused(
        &["none.md:1", "add", "symptom", "no-power"],
        1,
        &["none.md", "cannot be opened"],
    );
}

#[test]
fn a_note_outside_of_the_folder_is_not_corrected() {
    let shop = shop();
    let other = shop.beside("other.md");
    fs::write(&other, NOTE).unwrap();
    let place = format!("{}:6", other.display());
    let run = shop.run(&["correct", &place, "add", "symptom", "no-power"]);
    assert_eq!(run.code, 1);
    assert!(run.err.contains("not in the notes folder"), "{}", run.err);
    assert!(!shop.notes().join("corrections.toml").exists());
}

#[test]
fn json_and_private_pieces() {
    let shop = Shop::new();
    shop.write("log.md", "# 9 Osier Row\n\n## 2025-06-03\nGate code 4711, box hums then.\n\n## 2025-07-15\nSame box.\n");
    let run = ok(correct(
        &shop,
        &["log.md:4", "add", "symptom", "pump-hums", "--json"],
    ));
    let answer = run.json();
    assert_eq!(count(&answer, "/schema"), 1);
    assert_eq!(
        (text(&answer, "/file"), count(&answer, "/line")),
        ("corrections.toml", 4)
    );
    assert_eq!(
        (text(&answer, "/note"), count(&answer, "/note_line")),
        ("log.md", 4)
    );
    assert_eq!(text(&answer, "/words"), "box hums then");
    let written = file(&shop);
    assert!(
        !written.contains("4711"),
        "a gate code is not copied: {written}"
    );
    assert!(
        written.contains("visit = 2025-06-03"),
        "the visit is told in a log of several: {written}"
    );
}

#[test]
fn a_note_finds_its_corrections_from_anywhere() {
    let shop = shop();
    ok(correct(&shop, &["a.md:6", "add", "symptom", "no-power"]));
    // No folder is named and none lies above where the program is started: the note's own folder tells.
    let run = finish(
        common::bare(&shop.beside("cache"))
            .arg("read")
            .arg(shop.notes().join("sites/../a.md"))
            .arg("--json")
            .current_dir(shop.beside("")),
    );
    let answer = ok(run).json();
    assert_eq!(
        symptoms(&answer["visits"][0]),
        [("breaker-trips", false), ("no-power", true)]
    );
}
