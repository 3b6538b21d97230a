//! What a person says a note means: it wins over the reader, later entries over earlier ones, words are found again where
//! lines moved, and whatever cannot hold is told with its line and the way out, while all else holds.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

use padlore_core::{
    note::{self, Conventions},
    reading::{
        self,
        correction::{self, Applied, Corrections},
        facts::{FactKind, Facts, SymptomStatus, Value},
    },
    trade::Knowledge,
};

const NOTE: &str = "---
site: 4 Withy Lane
date: 2026-01-14
---
Breaker trips when cold, pump is fine.
The grey box let go again.
Filter at 22 psi, salt 3200 ppm.
Replaced the breaker.
";

const LOG: &str = "# 9 Osier Row

## 2025-06-03
Breaker trips when cold.
Nothing else.

## 2025-07-15
Breaker trips when cold.
All fine otherwise.
";

fn corrections(text: &str) -> Corrections {
    correction::read(text, Knowledge::built_in())
}

/// The note as read and corrected by these entries, all of which can be read.
fn corrected(note: &str, text: &str) -> (Vec<Facts>, Applied) {
    let read = corrections(text);
    assert_eq!(read.problems, [], "{text}");
    let parsed = note::parse(note, "note", &Conventions::default());
    let knowledge = Knowledge::built_in();
    let mut visits: Vec<Facts> = parsed
        .visits
        .iter()
        .map(|v| reading::read(note, v, knowledge))
        .collect();
    let applied = correction::apply(note, &mut visits, &read.of_note("a.md"), knowledge);
    (visits, applied)
}

/// One entry about `a.md`.
fn entry(line: usize, words: &str, rest: &str) -> String {
    format!("[[correction]]\nnote = \"a.md\"\nline = {line}\nwords = \"{words}\"\n{rest}\n\n")
}

/// The only visit of [`NOTE`], corrected by these entries, which all hold as they stand.
fn note_with(entries: &str) -> Facts {
    let (mut visits, applied) = corrected(NOTE, entries);
    assert_eq!(applied.problems, [], "{entries}");
    visits.pop().unwrap()
}

fn symptom(facts: &Facts, id: &str) -> Option<(SymptomStatus, Vec<String>, bool)> {
    let at = facts.symptoms.iter().position(|s| s.id == *id)?;
    let fact = &facts.symptoms[at];
    Some((
        fact.status,
        fact.conditions.iter().map(ToString::to_string).collect(),
        facts.corrected.holds(FactKind::Symptom, at),
    ))
}

#[test]
fn the_note_is_read_as_the_tests_below_need_it() {
    let facts = note_with("");
    assert_eq!(
        symptom(&facts, "breaker-trips"),
        Some((SymptomStatus::Present, vec!["cold".to_owned()], false))
    );
    assert!(
        facts
            .fixes
            .iter()
            .any(|f| f.action == "replaced" && f.part == "breaker")
    );
    assert_eq!(facts.readings.len(), 2);
    assert_eq!(facts.corrected, Facts::default().corrected);
}

#[test]
fn each_kind_can_be_dropped() {
    let all = [
        entry(5, "breaker trips", "drop = { symptom = \"breaker-trips\" }"),
        entry(
            8,
            "Replaced the breaker",
            "drop = { fix = \"replaced breaker\" }",
        ),
        entry(7, "22 psi", "drop = { reading = \"filter-pressure\" }"),
        entry(5, "pump", "drop = { equipment = \"pump\" }"),
    ];
    let facts = note_with(&all.concat());
    assert_eq!(symptom(&facts, "breaker-trips"), None);
    assert!(facts.fixes.is_empty(), "{:?}", facts.fixes);
    assert!(facts.equipment.iter().all(|e| e.kind != "pump"));
    let left: Vec<&str> = facts.readings.iter().map(|r| r.id.as_str()).collect();
    assert_eq!(left, ["salt"]);
}

#[test]
fn each_kind_can_be_added_and_is_marked() {
    let all = [
        entry(
            6,
            "The grey box let go",
            "add = { symptom = \"no-power\", conditions = [\"wet\"] }",
        ),
        entry(
            6,
            "grey box",
            "add = { cause = \"breaker-worn\", status = \"suspected\" }",
        ),
        entry(
            8,
            "Replaced",
            "add = { fix = \"tightened terminal\", status = \"planned\", on = \"filter pump\" }",
        ),
        entry(
            7,
            "Filter at 22 psi",
            "add = { setting = \"pump-speed\", value = 2700, when = \"found\" }",
        ),
        entry(
            7,
            "Filter",
            "add = { reading = \"suction-vacuum\", value = 0.2, unit = \"bar\" }",
        ),
        entry(
            6,
            "box",
            "add = { equipment = \"controller\", label = \"grey box\" }",
        ),
        entry(8, "Replaced", "add = { outcome = \"monitoring\" }"),
    ];
    let facts = note_with(&all.concat());
    assert_eq!(
        symptom(&facts, "no-power"),
        Some((SymptomStatus::Present, vec!["wet".to_owned()], true))
    );
    let last = |kind: FactKind, length: usize| facts.corrected.holds(kind, length - 1);
    assert_eq!(facts.causes.last().unwrap().id, *"breaker-worn");
    assert!(last(FactKind::Cause, facts.causes.len()));
    let fix = facts.fixes.last().unwrap();
    assert_eq!(
        (fix.action.as_str(), fix.part.as_str(), fix.on.as_deref()),
        ("tightened", "terminal", Some("filter pump"))
    );
    assert!(last(FactKind::Fix, facts.fixes.len()));
    assert_eq!(facts.settings.last().unwrap().value, Value::Number(2700.0));
    assert!(last(FactKind::Setting, facts.settings.len()));
    let vacuum = facts.readings.last().unwrap();
    assert!(
        (vacuum.value.number().unwrap() - 5.906).abs() < 0.01,
        "{vacuum:?}"
    );
    assert_eq!(&NOTE[vacuum.span.clone()], "Filter");
    assert_eq!(
        facts.equipment.last().unwrap().label.as_deref(),
        Some("grey box")
    );
    assert_eq!(facts.outcome.as_ref().unwrap(), "monitoring");
    assert!(facts.corrected.holds(FactKind::Outcome, 0));
    // What the reader read itself bears no mark.
    assert!(!symptom(&facts, "breaker-trips").unwrap().2);
}

#[test]
fn a_stated_condition_takes_the_place_of_those_read() {
    let facts = note_with(&entry(
        5,
        "breaker trips",
        "add = { symptom = \"breaker-trips\", conditions = [\"wet\", \"at-start\"] }",
    ));
    let expected = vec!["wet".to_owned(), "at-start".to_owned()];
    assert_eq!(
        symptom(&facts, "breaker-trips"),
        Some((SymptomStatus::Present, expected, true))
    );
    assert_eq!(
        facts
            .symptoms
            .iter()
            .filter(|s| s.id == "breaker-trips")
            .count(),
        1
    );
}

#[test]
fn present_and_absent_cannot_both_hold() {
    let facts = note_with(&entry(
        5,
        "breaker trips",
        "add = { symptom = \"breaker-trips\", status = \"absent\" }",
    ));
    let of_it: Vec<SymptomStatus> = facts
        .symptoms
        .iter()
        .filter(|s| s.id == "breaker-trips")
        .map(|s| s.status)
        .collect();
    assert_eq!(of_it, [SymptomStatus::Absent]);
}

#[test]
fn a_later_entry_wins() {
    let add = entry(6, "grey box", "add = { symptom = \"no-power\" }");
    let drop = entry(6, "grey box", "drop = { symptom = \"no-power\" }");
    assert!(symptom(&note_with(&format!("{add}{drop}{add}")), "no-power").is_some());
    let facts = note_with(&format!("{add}{drop}"));
    assert_eq!(symptom(&facts, "no-power"), None);
    assert_eq!(
        facts.corrected,
        Facts::default().corrected,
        "no mark is left of what is gone"
    );
}

#[test]
fn marks_follow_their_facts() {
    let all = [
        entry(6, "grey box", "add = { symptom = \"no-power\" }"),
        entry(5, "breaker trips", "drop = { symptom = \"breaker-trips\" }"),
    ];
    let facts = note_with(&all.concat());
    assert!(symptom(&facts, "no-power").unwrap().2);
}

#[test]
fn narrowing_spares_what_was_not_meant() {
    let (visits, applied) = corrected(
        NOTE,
        &entry(
            5,
            "breaker trips",
            "drop = { symptom = \"breaker-trips\", status = \"past\" }",
        ),
    );
    assert!(symptom(&visits[0], "breaker-trips").is_some());
    assert_eq!(applied.problems.len(), 1);
    let facts = note_with(&entry(
        7,
        "22 psi",
        "drop = { reading = \"filter-pressure\", value = 22.004 }",
    ));
    assert!(facts.readings.iter().all(|r| r.id != "filter-pressure"));
}

#[test]
fn words_are_found_again_in_their_visit() {
    // Two lines were written above: the words moved from 6 to 8.
    let longer = NOTE.replace("Breaker trips", "Warm day.\nNobody home.\nBreaker trips");
    let (visits, applied) = corrected(
        &longer,
        &entry(
            6,
            "the grey box  LET go",
            "add = { symptom = \"no-power\" }",
        ),
    );
    assert!(symptom(&visits[0], "no-power").unwrap().2);
    let [problem] = applied.problems.as_slice() else {
        panic!("{applied:?}")
    };
    assert_eq!(problem.line, 1);
    let told = problem.fault.to_string();
    assert!(
        told.contains("line 8 of a.md") && told.contains("`line = 8`"),
        "{told}"
    );
}

#[test]
fn words_of_another_visit_are_not_taken() {
    let drop = "drop = { symptom = \"breaker-trips\" }";
    // Only the second visit is meant.
    let (visits, applied) = corrected(LOG, &entry(8, "Breaker trips when cold", drop));
    assert_eq!(applied.problems, []);
    assert!(symptom(&visits[0], "breaker-trips").is_some());
    assert_eq!(symptom(&visits[1], "breaker-trips"), None);
    // Words that only another visit has are gone from this one, and it is said where they stand.
    let (visits, applied) = corrected(
        LOG,
        &entry(4, "All fine otherwise", "add = { outcome = \"routine\" }"),
    );
    assert_eq!(visits[0].corrected, Facts::default().corrected);
    let [problem] = applied.problems.as_slice() else {
        panic!("{applied:?}")
    };
    let told = problem.fault.to_string();
    assert!(
        told.contains("no longer stands") && told.contains("`line = 9`"),
        "{told}"
    );
    // The day says which visit is meant, wherever the lines went.
    let (visits, applied) = corrected(
        LOG,
        &entry(
            4,
            "Breaker trips when cold",
            &format!("visit = 2025-07-15\n{drop}"),
        ),
    );
    assert!(symptom(&visits[0], "breaker-trips").is_some());
    assert_eq!(symptom(&visits[1], "breaker-trips"), None);
    assert!(
        applied.problems[0].fault.to_string().contains("`line = 8`"),
        "{applied:?}"
    );
    let (_, applied) = corrected(
        LOG,
        &entry(4, "Breaker trips", &format!("visit = 2025-07-16\n{drop}")),
    );
    assert!(
        applied.problems[0]
            .fault
            .to_string()
            .contains("no visit of 2025-07-16"),
        "{applied:?}"
    );
}

#[test]
fn a_correction_without_its_words_is_left_out_and_the_rest_holds() {
    let all = [
        entry(6, "the red box", "add = { symptom = \"no-power\" }"),
        entry(6, "grey bo", "add = { symptom = \"no-power\" }"),
        entry(
            8,
            "Replaced the breaker",
            "drop = { fix = \"replaced breaker\" }",
        ),
    ];
    let (visits, applied) = corrected(NOTE, &all.concat());
    assert_eq!(symptom(&visits[0], "no-power"), None);
    assert!(visits[0].fixes.is_empty());
    let lines: Vec<usize> = applied.problems.iter().map(|p| p.line).collect();
    assert_eq!(lines, [1, 7]);
    let told = applied.problems[0].fault.to_string();
    assert!(
        told.contains("the red box") && told.contains("take the entry out"),
        "{told}"
    );
}

#[test]
fn nothing_to_drop_is_told() {
    let (_, applied) = corrected(
        NOTE,
        &entry(6, "grey box", "drop = { reading = \"filter-pressure\" }"),
    );
    let told = applied.problems[0].fault.to_string();
    assert!(
        told.contains("reading filter-pressure") && told.contains("a.md:6"),
        "{told}"
    );
}

/// One entry with one fault: it is told at that line with these words, and the sound entry behind it still holds.
fn check_fault(text: &str, line: usize, words: &[&str]) {
    let sound = entry(8, "Replaced", "drop = { fix = \"replaced breaker\" }");
    let read = corrections(&format!("{text}\n{sound}"));
    let [problem] = read.problems.as_slice() else {
        panic!("not one problem: {:?}\n{text}", read.problems)
    };
    let told = problem.fault.to_string();
    assert_eq!(problem.line, line, "{told}\n{text}");
    for word in words {
        assert!(told.contains(word), "`{word}` is not in {told}");
    }
    assert_eq!(read.entries.len(), 1, "{text}");
}

#[test]
fn each_fault_has_its_line_and_the_way_out() {
    let fact = |rest: &str| entry(5, "breaker", rest);
    check_fault(
        "[[correction]]\nnote = \"a.md\nline = 1\n",
        2,
        &["cannot be read", "take it out"],
    );
    check_fault("[[correction]]\nnote = \"a.md\"\nlien = 1\n", 3, &["lien"]);
    check_fault("[[corrections]]\nnote = \"a.md\"\n", 1, &["corrections"]);
    check_fault(
        "[[correction]]\nline = 5\nwords = \"x\"\n",
        2,
        &["no `note`", "add `note ="],
    );
    check_fault(
        "[[correction]]\nnote = \"a.md\"\nline = 5\ndrop = { fix = \"replaced pump\" }\n",
        2,
        &["no `words`"],
    );
    check_fault(
        "[[correction]]\nnote = \"a.md\"\nline = 0\nwords = \"x\"\n",
        3,
        &["`0` is no line"],
    );
    check_fault(
        &entry(5, "..", "drop = { outcome = \"fixed\" }"),
        4,
        &["words of the note"],
    );
    check_fault(&fact(""), 2, &["either `drop", "or `add"]);
    check_fault(
        &fact("add = { outcome = \"fixed\" }\ndrop = { outcome = \"routine\" }"),
        2,
        &["a second entry"],
    );
    check_fault(
        &fact("add = { status = \"past\" }"),
        5,
        &["`add` names one fact"],
    );
    check_fault(
        &fact("add = { symptom = \"breaker-tripz\" }"),
        5,
        &[
            "`breaker-tripz` is no symptom",
            "nearest is `breaker-trips`",
        ],
    );
    check_fault(
        &fact("add = { symptom = \"breaker-trips\", conditions = [\"colt\"] }"),
        5,
        &["nearest is `cold`"],
    );
    check_fault(
        &fact("add = { symptom = \"breaker-trips\", status = \"done\" }"),
        5,
        &["present, absent or past"],
    );
    check_fault(
        &fact("add = { cause = \"breaker-worm\" }"),
        5,
        &["nearest is `breaker-worn`"],
    );
    check_fault(
        &fact("add = { fix = \"replaced\" }"),
        5,
        &["replaced breaker"],
    );
    check_fault(
        &fact("add = { fix = \"replacd breaker\" }"),
        5,
        &["is no action", "`replaced`"],
    );
    check_fault(
        &fact("add = { fix = \"replaced braker\" }"),
        5,
        &["is no part or equipment", "`breaker`"],
    );
    check_fault(&fact("add = { reading = \"salt\" }"), 5, &["no `value`"]);
    check_fault(
        &fact("add = { reading = \"salt\", value = \"lots\" }"),
        5,
        &["`lots` is no number"],
    );
    check_fault(
        &fact("add = { reading = \"salt\", value = 3, unit = \"psi\" }"),
        5,
        &["`psi` is no unit of salt", "ppm"],
    );
    check_fault(
        &fact("add = { setting = \"start-time\", value = \"25:00\" }"),
        5,
        &["HH:MM"],
    );
    check_fault(
        &fact("add = { outcome = \"fixed\", status = \"done\" }"),
        5,
        &["`status` says nothing of a fact of kind outcome"],
    );
    check_fault(
        &fact("visit = \"last week\"\nadd = { outcome = \"fixed\" }"),
        5,
        &["YYYY-MM-DD"],
    );
}

#[test]
fn the_file_may_be_written_in_several_ways() {
    let read = corrections(
        "\u{feff}# ours\n\n[[correction]]\nnote = './sites\\a.md'\nline = 2 # the log\nwords = '''\nit\n  trips'''\n[correction.add]\nsetting = \"start-time\"\nvalue = \"7:30\"\n",
    );
    assert_eq!(read.problems, []);
    let [one] = read.entries.as_slice() else {
        panic!("{read:?}")
    };
    assert_eq!(
        (one.note.as_str(), one.words.as_str(), one.at),
        ("sites/a.md", "it trips", 3)
    );
    assert_eq!(one.fact.to_string(), "setting start-time 07:30");
    assert_eq!(corrections("").entries, []);
    assert_eq!(corrections("# nothing yet\n").problems, []);
    let list = corrections(
        "correction = [\n  { note = \"a.md\", line = 1, words = \"x\", drop = { outcome = \"fixed\" } },\n]\n",
    );
    assert_eq!((list.entries.len(), list.problems.len()), (1, 0));
    assert_eq!(list.entries[0].at, 2);
}
