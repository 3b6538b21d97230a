//! The store: after any edits it equals one built afresh, it commits nothing where nothing changed, and it says what is
//! wrong and what to do where it is damaged, held by another writer or made by other tables.

#![allow(clippy::type_complexity)] // a tuple of what a file is known by
// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;
#[path = "common/stores.rs"]
mod stores;

use common::{GOOD, Shop, count, list, text};
use padlore::{
    shop::ShopFile,
    store::{self, Ingested, Rebuild},
};
use padlore_core::trade::Knowledge;
use proptest::prelude::*;
use std::{
    cell::Cell,
    fs,
    path::{Path, PathBuf},
};
use stores::{Known, left_over, meta};
use tempfile::TempDir;

/// Notes of several kinds; `@` stands for a number. A log of two visits, a note without date, one with a broken head,
/// one in metric units, one with something private, and one that is refused are among them.
const TEMPLATES: [&str; 8] = [
    "---\nsite: @ Withy Lane\ndate: 2026-01-14\n---\nPump breaker trips on cold mornings. Replaced the breaker.\n",
    "---\nsite: @ Withy Lane\ndate: 2025-12-0@\n---\nPump hums and will not start. Capacitor read low, replaced the capacitor.\n",
    "# @ Osier Row\n\n## 2025-06-03\nSalt cell shows low salt. Cleaned the cell, salt 3@00 ppm.\n\n## 2025-07-15\nLow salt again. Replaced the cell.\n",
    "Lid o-ring leaking at @ Carr End, greased it, no more air in the basket.\n",
    "---\nsite: [@ Sallow Bank\ndate: 2026-02-02\n---\nHeater will not fire, pressure switch open. Cleaned the filter.\n",
    "---\nsite: @ Alder Holt\ndate: 2026-03-1@\n---\nFilter at 1.@ bar, clean 0.8. Backwashed. Gate code 44@1. Water 27 C.\n",
    "---\nsite: @ Alder Holt\ndate: 2026-04-0@\n---\nMotor seal leaking, breaker trips after rain. Quoted a new seal.\n",
    "",
];

fn note(template: usize, number: u8) -> String {
    TEMPLATES[template].replace('@', &number.to_string())
}

fn today() -> jiff::civil::Date {
    common::TODAY.parse().unwrap()
}

fn ingest(notes: &Path, folder: &Path, rebuild: Rebuild) -> Ingested {
    store::ingest(
        notes,
        folder,
        &ShopFile::default(),
        Knowledge::built_in(),
        "tables of this test",
        today(),
        rebuild,
    )
    .unwrap()
}

/// One thing that a person does to a folder of notes. Slots are numbers of files; where the slot is not as the edit
/// needs it, nothing happens.
#[derive(Clone, Debug)]
enum Edit {
    Write(usize, usize, u8),
    Delete(usize),
    Rename(usize, usize),
    Copy(usize, usize),
    Touch(usize),
    /// Brings the store up to date in between.
    Ingest,
}

const SLOTS: usize = 7;

fn edit() -> impl Strategy<Value = Edit> {
    let slot = 0..SLOTS;
    prop_oneof![
        5 => (slot.clone(), 0..TEMPLATES.len(), 1_u8..5).prop_map(|(s, t, n)| Edit::Write(s, t, n)),
        2 => slot.clone().prop_map(Edit::Delete),
        1 => (slot.clone(), slot.clone()).prop_map(|(a, b)| Edit::Rename(a, b)),
        1 => (slot.clone(), slot.clone()).prop_map(|(a, b)| Edit::Copy(a, b)),
        1 => slot.prop_map(Edit::Touch),
        3 => Just(Edit::Ingest),
    ]
}

/// A notes folder that is edited, with a clock of its own.
struct Desk {
    home: TempDir,
    clock: Cell<u64>,
}

impl Desk {
    fn new() -> Self {
        let home = TempDir::new().unwrap();
        fs::create_dir_all(home.path().join("notes/sites")).unwrap();
        Self {
            home,
            clock: Cell::new(0),
        }
    }

    fn notes(&self) -> PathBuf {
        self.home.path().join("notes")
    }

    fn slot(&self, slot: usize) -> PathBuf {
        // The stem of a file may give its date.
        let names = [
            "a.md",
            "sites/b.md",
            "2026-05-01-c.md",
            "sites/d.markdown",
            "e.md",
            "2025-01-02.md",
            "a.MD",
        ];
        self.notes().join(names[slot])
    }

    fn stamp(&self, path: &Path) {
        self.clock.set(self.clock.get() + 1);
        common::set_time(path, self.clock.get());
    }

    fn apply(&self, edit: &Edit) {
        match *edit {
            Edit::Write(slot, template, number) => {
                fs::write(self.slot(slot), note(template, number)).unwrap();
                self.stamp(&self.slot(slot));
            }
            Edit::Delete(slot) => drop(fs::remove_file(self.slot(slot))),
            // The times of a renamed file stay what they were, as on any file system.
            Edit::Rename(from, to) => drop(fs::rename(self.slot(from), self.slot(to))),
            Edit::Copy(from, to) => {
                if from != to && fs::copy(self.slot(from), self.slot(to)).is_ok() {
                    self.stamp(&self.slot(to));
                }
            }
            Edit::Touch(slot) => {
                if self.slot(slot).exists() {
                    self.stamp(&self.slot(slot));
                }
            }
            Edit::Ingest => drop(ingest(
                &self.notes(),
                &self.home.path().join("kept"),
                Rebuild::Changed,
            )),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_edits_end_where_a_fresh_store_begins(edits in prop::collection::vec(edit(), 4..28)) {
        let desk = Desk::new();
        for edit in &edits {
            desk.apply(edit);
        }
        let (kept, fresh) = (desk.home.path().join("kept"), desk.home.path().join("fresh"));
        ingest(&desk.notes(), &kept, Rebuild::Changed);
        let first = ingest(&desk.notes(), &fresh, Rebuild::Changed);
        prop_assert_eq!(first.added, first.state.files.len());
        let (kept_known, fresh_known) = (Known::of(&kept, Knowledge::built_in()), Known::of(&fresh, Knowledge::built_in()));
        prop_assert_eq!(&kept_known, &fresh_known);
        prop_assert_eq!(kept_known.records.len(), first.state.visits());
        prop_assert!(left_over(&kept).is_empty(), "{:?}", left_over(&kept));
        // Nothing changed since: nothing is committed.
        let before = fs::read(kept.join("meta.json")).unwrap();
        let again = ingest(&desk.notes(), &kept, Rebuild::Changed);
        prop_assert_eq!((again.added, again.changed, again.removed), (0, 0, 0));
        prop_assert_eq!(fs::read(kept.join("meta.json")).unwrap(), before);
        // Afresh over the old one comes to the same.
        ingest(&desk.notes(), &kept, Rebuild::Afresh);
        prop_assert_eq!(&Known::of(&kept, Knowledge::built_in()), &fresh_known);
    }
}

#[test]
fn counts_of_what_changed() {
    let shop = Shop::new();
    let counts = |shop: &Shop| {
        let answer = shop.run(&["ingest", "--json"]).json();
        ["/notes", "/visits", "/added", "/changed", "/removed"].map(|p| count(&answer, p))
    };
    assert_eq!(counts(&shop), [0, 0, 0, 0, 0]);
    shop.write("a.md", note(0, 1));
    let log = shop.write("log.md", note(2, 1));
    assert_eq!(counts(&shop), [2, 3, 2, 0, 0]);
    shop.write(
        "log.md",
        note(2, 2) + "\n## 2025-08-20\nAll good, salt 3300 ppm.\n",
    );
    assert_eq!(counts(&shop), [2, 4, 0, 1, 0]);
    common::set_time(&log, 7);
    assert_eq!(
        counts(&shop),
        [2, 4, 0, 0, 0],
        "a new time alone is no change"
    );
    fs::rename(&log, shop.notes().join("log-of-osier-row.md")).unwrap();
    assert_eq!(counts(&shop), [2, 4, 1, 0, 1]);
    fs::remove_file(shop.notes().join("a.md")).unwrap();
    assert_eq!(counts(&shop), [1, 3, 0, 0, 1]);
    shop.write("log-of-osier-row.md", b"\xff");
    assert_eq!(
        counts(&shop),
        [0, 0, 0, 0, 1],
        "a note that can no longer be read is gone from the store"
    );
}

#[test]
fn ingest_twice_commits_nothing_new() {
    let shop = Shop::new();
    for number in 1..4 {
        shop.write(&format!("{number}.md"), note(usize::from(number), number));
    }
    shop.write("refused.md", "");
    assert_eq!(shop.run(&["ingest"]).code, 0);
    let (bytes, stamp) = (
        fs::read(shop.store().join("meta.json")).unwrap(),
        meta(&shop.store()).get("opstamp").cloned(),
    );
    let time = fs::metadata(shop.store().join("meta.json"))
        .unwrap()
        .modified()
        .unwrap();
    assert_eq!(shop.run(&["ingest"]).code, 0);
    assert_eq!(fs::read(shop.store().join("meta.json")).unwrap(), bytes);
    assert_eq!(meta(&shop.store()).get("opstamp").cloned(), stamp);
    assert_eq!(
        fs::metadata(shop.store().join("meta.json"))
            .unwrap()
            .modified()
            .unwrap(),
        time,
        "the commit's file was not even written"
    );
}

/// Damages a store, and expects a message that names the way out from every command, and that the way out works.
fn check_damage(damage: impl Fn(&Path)) {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    assert_eq!(shop.run(&["ingest"]).code, 0);
    let sound = shop.run(&["find", "breaker trips", "--json"]).json();
    damage(&shop.store());
    for arguments in [
        ["ingest"].as_slice(),
        &["find", "breaker trips"],
        &["suspect", "breaker trips"],
    ] {
        let run = shop.run(arguments);
        assert_eq!(run.code, 1, "{arguments:?}: {}{}", run.out, run.err);
        assert!(
            run.err.contains("padlore ingest --afresh"),
            "{arguments:?}: {}",
            run.err
        );
        assert!(
            run.err.contains(shop.store().to_str().unwrap()),
            "{arguments:?}: {}",
            run.err
        );
    }
    let run = shop.run(&["ingest", "--afresh", "--json"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(count(&run.json(), "/added"), 1);
    assert_eq!(shop.run(&["find", "breaker trips", "--json"]).json(), sound);
    assert_eq!(left_over(&shop.store()), std::collections::BTreeSet::new());
}

#[test]
fn a_damaged_store_names_the_way_out() {
    check_damage(|store| fs::write(store.join("meta.json"), "{ not a commit").unwrap());
    check_damage(|store| fs::write(store.join("meta.json"), "").unwrap());
    check_damage(|store| {
        fs::write(
            store.join("meta.json"),
            "{\"segments\":[],\"schema\":[],\"opstamp\":0}",
        )
        .unwrap()
    });
    // A commit that names segments which are gone.
    check_damage(|store| {
        for entry in fs::read_dir(store).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            if name.split('.').next().unwrap().len() == 32 {
                fs::remove_file(&path).unwrap();
            }
        }
    });
    // A payload that is none of this program's.
    check_damage(|store| {
        let mut commit = meta(store);
        commit["payload"] = serde_json::Value::from("{\"format\": \"of another day\"}");
        fs::write(store.join("meta.json"), commit.to_string()).unwrap();
    });
}

#[test]
fn afresh_leaves_other_files_in_the_folder() {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    assert_eq!(shop.run(&["ingest"]).code, 0);
    fs::write(shop.store().join("letter.txt"), "keep").unwrap();
    fs::create_dir(shop.store().join("photos")).unwrap();
    fs::write(
        shop.store().join(".tmpAb3x9Q"),
        "left by a writer that was killed",
    )
    .unwrap();
    assert_eq!(shop.run(&["ingest", "--afresh"]).code, 0);
    assert_eq!(
        fs::read_to_string(shop.store().join("letter.txt")).unwrap(),
        "keep"
    );
    assert!(shop.store().join("photos").is_dir());
    assert!(!shop.store().join(".tmpAb3x9Q").exists());
}

#[test]
fn a_second_writer_is_told_who_writes() {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    assert_eq!(shop.run(&["ingest"]).code, 0);
    let before = fs::read(shop.store().join("meta.json")).unwrap();
    let index = tantivy::Index::open_in_dir(shop.store()).unwrap();
    let writer: tantivy::IndexWriter = index.writer_with_num_threads(1, 20_000_000).unwrap();
    fs::write(shop.store().join("writer.pid"), "4711").unwrap();
    shop.write("later.md", GOOD.replace("4 Withy", "6 Withy"));
    for arguments in [["ingest"].as_slice(), &["ingest", "--afresh"]] {
        let run = shop.run(arguments);
        assert_eq!(run.code, 1, "{arguments:?}: {}", run.out);
        assert!(
            run.err
                .contains("another padlore is writing to the store (process 4711)"),
            "{arguments:?}: {}",
            run.err
        );
        assert!(run.err.contains("try again"), "{arguments:?}: {}", run.err);
        assert_eq!(
            fs::read(shop.store().join("meta.json")).unwrap(),
            before,
            "{arguments:?}: the other's store was touched"
        );
    }
    // Questions are answered from the last commit meanwhile.
    let answer = shop.run(&["find", "breaker trips", "--json"]);
    assert_eq!(answer.code, 0, "{}", answer.err);
    assert_eq!(list(&answer.json(), "/hits").len(), 1);
    drop(writer);
    let run = shop.run(&["ingest", "--json"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(count(&run.json(), "/added"), 1);
}

#[test]
fn a_store_made_by_other_tables_is_rebuilt() {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    shop.write(
        "odd.md",
        "---\nsite: 8 Withy Lane\ndate: 2026-01-20\n---\nThe click box snorkled all night.\n",
    );
    let own = shop.beside("own");
    fs::create_dir_all(own.join("lexicon")).unwrap();
    fs::write(
        own.join("lexicon/symptoms.toml"),
        "[breaker-trips]\nsay = [\"click box snorkled\"]\n",
    )
    .unwrap();
    let added = |arguments: &[&str]| count(&shop.run(arguments).json(), "/added");
    let with_own = ["ingest", "--json", "--kb", own.to_str().unwrap()];
    let odd_trips = || {
        let answer = shop
            .run(&[
                "find",
                "breaker trips",
                "--symptom",
                "breaker-trips",
                "--json",
            ])
            .json();
        list(&answer, "/hits")
            .iter()
            .any(|h| text(h, "/file") == "odd.md")
    };
    assert_eq!(added(&["ingest", "--json"]), 2);
    assert!(!odd_trips());
    assert_eq!(added(&with_own), 2, "other tables read every note again");
    assert!(odd_trips(), "the shop's own wording is read");
    assert_eq!(added(&with_own), 0);
    assert_eq!(added(&["ingest", "--json"]), 2);
    assert!(!odd_trips());
    assert_eq!(left_over(&shop.store()), std::collections::BTreeSet::new());
}

#[test]
fn a_store_of_another_format_is_rebuilt() {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    assert_eq!(shop.run(&["ingest"]).code, 0);
    let mut commit = meta(&shop.store());
    let payload = text(&commit, "/payload").replacen("\"format\":1", "\"format\":999", 1);
    assert!(payload.contains("999"));
    commit["payload"] = serde_json::Value::from(payload);
    fs::write(shop.store().join("meta.json"), commit.to_string()).unwrap();
    let answer = shop.run(&["find", "breaker trips", "--json"]);
    assert_eq!(answer.code, 0, "{}", answer.err);
    assert_eq!(list(&answer.json(), "/hits").len(), 1, "{}", answer.out);
}
