//! `vet`: the built-in tables are in order, and every fault in a shop's own table is named with file, line and entry while
//! everything else still serves.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{GOOD, Shop, count, list, text};
use serde_json::Value;
use std::{fs, sync::OnceLock};

#[test]
fn the_built_in_tables_are_in_order() {
    let shop = Shop::new();
    let run = shop.run(&["vet", "--json"]);
    let answer = run.json();
    assert!(list(&answer, "/problems").is_empty(), "{answer}");
    assert_eq!(run.code, 0, "{}", run.err);
    let plain = shop.run(&["vet"]);
    assert_eq!(
        (plain.code, plain.out.trim()),
        (0, "The tables are in order."),
        "{}",
        plain.err
    );
}

/// A wording that a shop adds and that labelled snippets do not bear out is shown with its table and line; one that they
/// bear out is not.
#[test]
fn a_wording_that_misleads_is_shown_with_its_table_and_line() {
    let table = "[breaker-trips]\nsay = [\"zorb\", \"glimp\"]\n";
    let (shop, own) = with_tables(&[("lexicon/symptoms/own.toml", table)]);
    let labelled = shop.beside("labelled");
    fs::create_dir_all(&labelled).unwrap();
    let right =
        r#"{"text": "NAME glimp, tripped again", "symptoms": [["breaker-trips", "present", []]]}"#;
    let wrong = r#"{"text": "NAME zorb, gate code 4471, as ever"}"#;
    let lines: Vec<String> = ["ena", "dwa", "trzy"]
        .iter()
        .flat_map(|n| [right.replace("NAME", n), wrong.replace("NAME", n)])
        .collect();
    fs::write(labelled.join("a.jsonl"), lines.join("\n")).unwrap();
    let labelled = labelled.to_str().unwrap();
    let run = shop.run(&["vet", "--json", "--kb", &own, "--labelled", labelled]);
    let answer = run.json();
    let shown = list(&answer, "/misleading");
    let [zorb] = shown.as_slice() else {
        panic!("one misleads: {answer}")
    };
    assert_eq!(text(zorb, "/text"), "zorb");
    assert_eq!(text(zorb, "/means"), "symptom:breaker-trips");
    assert_eq!((count(zorb, "/right"), count(zorb, "/wrong")), (0, 3));
    assert!(text(zorb, "/file").ends_with("own.toml"), "{zorb}");
    assert_eq!(count(zorb, "/line"), 1);
    assert!(!answer.to_string().contains("4471"), "{answer}");
    let person = shop.run(&["vet", "--kb", &own, "--labelled", labelled]);
    assert!(person.out.contains("`zorb` misleads"), "{}", person.out);
    // A folder without labels is said to be one, not taken for tables without fault.
    let empty = shop.beside("empty");
    fs::create_dir_all(&empty).unwrap();
    let run = shop.run(&["vet", "--labelled", empty.to_str().unwrap()]);
    assert_eq!(run.code, 2, "{}", run.out);
    assert!(run.err.contains("holds no labels"), "{}", run.err);
}

/// A shop whose own tables are these.
fn with_tables(files: &[(&str, &str)]) -> (Shop, String) {
    let shop = Shop::new();
    let own = shop.beside("own");
    for (name, table) in files {
        let path = own.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, table).unwrap();
    }
    let own = own.to_str().unwrap().to_owned();
    (shop, own)
}

/// What `vet` says of a shop's own tables, less what it says of the built-in ones alone: a fault there is the first test's.
fn own_problems(shop: &Shop, own: &str) -> Value {
    let mut answer = shop.run(&["vet", "--json", "--kb", own]).json();
    static BUILT_IN: OnceLock<Value> = OnceLock::new();
    let built_in = BUILT_IN.get_or_init(|| shop.run(&["vet", "--json"]).json());
    let known = list(built_in, "/problems");
    let all = answer
        .pointer_mut("/problems")
        .and_then(Value::as_array_mut)
        .unwrap();
    all.retain(|p| !known.contains(p));
    answer
}

/// Vets one table with one fault: exactly one problem, at that line, with these words.
fn check(file: &str, table: &str, line: u64, words: &[&str]) {
    let (shop, own) = with_tables(&[(file, table)]);
    let run = shop.run(&["vet", "--json", "--kb", &own]);
    assert_eq!(run.code, 1, "{file}: problems are exit code 1: {}", run.err);
    let answer = own_problems(&shop, &own);
    let [problem] = list(&answer, "/problems").as_slice() else {
        panic!("{file}: not one problem: {answer}")
    };
    assert_eq!(
        (text(problem, "/file"), count(problem, "/line")),
        (file, line),
        "{problem}"
    );
    for word in words {
        assert!(
            text(problem, "/text").contains(word),
            "{file}: `{word}` is not in {problem}"
        );
    }
    // For a person the same, filled to 80 columns.
    let plain = shop.run(&["vet", "--kb", &own]);
    assert_eq!(plain.code, 1);
    assert!(
        plain.out.contains(&format!("{file}:{line}: ")),
        "{}",
        plain.out
    );
    // Everything else still serves.
    shop.write("good.md", GOOD);
    let serves = shop.run(&["suspect", "breaker trips when cold", "--json", "--kb", &own]);
    assert_eq!(serves.code, 0, "{}", serves.err);
    assert!(
        !list(&serves.json(), "/causes").is_empty(),
        "{file}: {}",
        serves.out
    );
}

const CAUSE: &str = "[[cause]]
id = \"breaker-worn\"
name = \"the breaker is worn\"
why = \"It trips below its rating.\"
prior = 0.05
needs = [\"breaker\"]
hazard = \"electric\"
caution = \"Off and proved dead.\"
mend = [ {action=\"replaced\", part=\"breaker\", text=\"Replace it.\"} ]
source = \"common practice\"
[cause.makes]
breaker-trips = 0.7
";

const CHECK: &str = "[[check]]
id = \"own-look\"
text = \"Look at the breaker.\"
tool = \"eyes\"
minutes = 2
hazard = \"none\"
who = \"anyone\"
needs = [\"breaker\"]
for = [\"breaker-trips\"]
source = \"common practice\"
[[check.outcome]]
id = \"brown\"
text = \"It is brown\"
say = [\"breaker is brown\"]
speaks = { breaker-worn = 4 }
else = 1
[[check.outcome]]
id = \"clean\"
text = \"It is clean\"
speaks = { breaker-worn = 0.5 }
else = 1
";

#[test]
fn sound_tables_of_ones_own_have_no_problems() {
    let (shop, own) = with_tables(&[
        ("causes/own.toml", CAUSE),
        ("checks/own.toml", CHECK),
        (
            "lexicon/symptoms.toml",
            "[breaker-trips]\nsay = [\"the click box snorkled\"]\n",
        ),
    ]);
    let problems = own_problems(&shop, &own);
    assert!(list(&problems, "/problems").is_empty(), "{problems}");
    let answer = shop
        .run(&["suspect", "the click box snorkled", "--json", "--kb", &own])
        .json();
    assert_eq!(
        text(&answer, "/understood/symptoms/0/id"),
        "breaker-trips",
        "{answer}"
    );
    let found = shop.run(&[
        "suspect",
        "breaker trips",
        "--found",
        "own-look=brown",
        "--json",
        "--kb",
        &own,
    ]);
    assert_eq!(found.code, 0, "{}", found.err);
}

#[test]
fn faults_in_the_lexicon() {
    check(
        "lexicon/symptoms.toml",
        "# own words\n\n[breaker-tripz]\nsay = [\"snorkled\"]\n",
        3,
        &["breaker-tripz", "[symptom]"],
    );
    check(
        "lexicon/conditions.toml",
        "[when-it-snorkles]\nsay = [\"snorkled\"]\n",
        1,
        &["when-it-snorkles", "[condition]"],
    );
    check(
        "lexicon/symptoms.toml",
        "[breaker-trips]\non = \"braker\"\nsay = [\"snorkled\"]\n",
        1,
        &["braker", "[equipment]"],
    );
    check(
        "lexicon/symptoms.toml",
        "[breaker-trips]\nsay = [\"{braker} snorkled\"]\n",
        1,
        &["braker"],
    );
    check(
        "lexicon/symptoms.toml",
        "[breaker-trips]\nsay = [\"(snorkled\"]\n",
        1,
        &["(snorkled"],
    );
    check(
        "lexicon/equipment.toml",
        "[whirligig]\nsay = [\"whirligig\"]\n",
        1,
        &["whirligig", "neither equipment nor part"],
    );
    check(
        "lexicon/equipment.toml",
        "[pump]\nsay = [\"{breaker} mover\"]\n",
        1,
        &["plain words"],
    );
    check(
        "lexicon/actions.toml",
        "[snorkled]\nsay = [\"snorkled\"]\n",
        1,
        &["snorkled", "[action]"],
    );
    check(
        "lexicon/readings.toml",
        "[snorkle]\nsay = [\"snorkle\"]\n",
        1,
        &["snorkle", "[reading]"],
    );
    check(
        "lexicon/cues.toml",
        "[perhaps-not]\nbefore = [\"snorkled\"]\n",
        1,
        &["perhaps-not", "no cue"],
    );
}

#[test]
fn faults_in_causes() {
    let with = |from: &str, to: &str| {
        assert!(CAUSE.contains(from), "{from}");
        format!("# own causes\n{}", CAUSE.replacen(from, to, 1))
    };
    let entry = 3;
    check(
        "causes/own.toml",
        &with("breaker-worn", "breaker-wornout"),
        entry,
        &["breaker-wornout", "[cause]"],
    );
    check(
        "causes/own.toml",
        &with("prior = 0.05", "prior = 1.5"),
        entry,
        &["breaker-worn", "prior 1.5", "between 0 and 1"],
    );
    check(
        "causes/own.toml",
        &with("breaker-trips = 0.7", "breaker-trips = 7"),
        entry,
        &["breaker-worn", "breaker-trips", "with 7"],
    );
    check(
        "causes/own.toml",
        &with(
            "breaker-trips = 0.7",
            "breaker-trips = 0.7\nbreaker-snorkles = 0.2",
        ),
        entry,
        &["breaker-snorkles", "[symptom]"],
    );
    check(
        "causes/own.toml",
        &with("\"electric\"", "\"electrical\""),
        entry,
        &["electrical", "no hazard", "electric, gas"],
    );
    check(
        "causes/own.toml",
        &with("needs = [\"breaker\"]", "needs = [\"braker\"]"),
        entry,
        &["braker", "[equipment]"],
    );
    check(
        "causes/own.toml",
        &with("part=\"breaker\"", "part=\"braker\""),
        entry,
        &["braker", "neither part nor equipment"],
    );
    check(
        "causes/own.toml",
        &with("action=\"replaced\"", "action=\"swapped-out\""),
        entry,
        &["swapped-out", "[action]"],
    );
    check(
        "causes/own.toml",
        &with("[cause.makes]", "[cause.when]\ncold = 0\n[cause.makes]"),
        entry,
        &["cold", "greater than 0"],
    );
}

#[test]
fn faults_in_checks_and_bands() {
    let with = |from: &str, to: &str| {
        assert!(CHECK.contains(from), "{from}");
        CHECK.replacen(from, to, 1)
    };
    check(
        "checks/own.toml",
        &with("\"anyone\"", "\"nobody\""),
        2,
        &["nobody", "anyone, trained, electrical or gas"],
    );
    check(
        "checks/own.toml",
        &with("breaker-worn = 4", "breaker-wornout = 4"),
        2,
        &["breaker-wornout", "[cause]"],
    );
    check(
        "checks/own.toml",
        &with("breaker-worn = 4", "breaker-worn = -4"),
        2,
        &["breaker-worn", "greater than 0"],
    );
    check(
        "checks/own.toml",
        &with("\"breaker-trips\"", "\"breaker-tripz\""),
        2,
        &["breaker-tripz", "[symptom]"],
    );
    check(
        "checks/own.toml",
        &with("\"none\"", "\"sharp\""),
        2,
        &["sharp", "no hazard"],
    );
    let band = "\n[[band]]\nreading = \"salt\"\nname = \"salt low\"\nbelow = 2600\nspeaks = { cell-scaled = 5 }\nelse = 1\nsource = \"common practice\"\n";
    check(
        "bands/own.toml",
        &band.replacen("\"salt\"", "\"slat\"", 1),
        3,
        &["slat", "[reading]"],
    );
    check(
        "bands/own.toml",
        &band.replacen("below = 2600", "above = 3000\nbelow = 2600", 1),
        3,
        &["salt low", "empty"],
    );
}

#[test]
fn faults_in_toml_itself() {
    check(
        "causes/own.toml",
        "# own causes\n\n[[cause]\nid = \"breaker-worn\"\n",
        3,
        &["cannot be read"],
    );
    check(
        "lexicon/symptoms.toml",
        "[breaker-trips]\nsay = \"no list\"\n",
        2,
        &["cannot be read"],
    );
    check(
        "checks/own.toml",
        "[[check]]\nid = \"own-look\"\nminutes = \"two\"\n",
        3,
        &["cannot be read"],
    );
    check(
        "dangers.toml",
        "[caution]\nsharp = \"Mind the edges.\"\n",
        1,
        &["sharp", "no hazard"],
    );
}

#[test]
fn all_faults_of_several_tables_are_told_at_once() {
    let (shop, own) = with_tables(&[
        (
            "lexicon/symptoms.toml",
            "[breaker-tripz]\nsay = [\"x\"]\n\n[pump-snorkles]\nsay = [\"y\"]\n",
        ),
        ("causes/own.toml", &CAUSE.replacen("0.05", "5.0", 1)),
        (
            "checks/own.toml",
            &CHECK.replacen("\"anyone\"", "\"nobody\"", 1),
        ),
    ]);
    let answer = own_problems(&shop, &own);
    let places: Vec<(&str, u64)> = list(&answer, "/problems")
        .iter()
        .map(|p| (text(p, "/file"), count(p, "/line")))
        .collect();
    let expected = [
        ("causes/own.toml", 2),
        ("checks/own.toml", 2),
        ("lexicon/symptoms.toml", 1),
        ("lexicon/symptoms.toml", 4),
    ];
    assert_eq!(places, expected, "{answer}");
}

#[test]
fn the_shops_own_folder_is_taken_from_padlore_toml() {
    let shop = Shop::new();
    shop.write("padlore.toml", "[shop]\nkb = \"our-tables\"\n");
    shop.write(
        "our-tables/lexicon/symptoms.toml",
        "[breaker-tripz]\nsay = [\"x\"]\n",
    );
    let run = shop.run(&["vet", "--json"]);
    assert_eq!(run.code, 1, "{}", run.err);
    let told = |p: &Value| {
        text(p, "/file") == "lexicon/symptoms.toml" && text(p, "/text").contains("breaker-tripz")
    };
    assert!(
        list(&run.json(), "/problems").iter().any(told),
        "{}",
        run.out
    );
}
