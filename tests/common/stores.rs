//! Stores against each other: what a store knows, put so that a store with a history can be compared to a fresh one.

use crate::common::{list, text};
use padlore::store::{Filter, Record, Store};
use padlore_core::{reading::question, trade::Knowledge};
use serde_json::Value;
use std::{collections::BTreeSet, fs, path::Path};

/// Questions whose answers are compared, scores to the last bit.
const QUESTIONS: [&str; 4] = [
    "breaker trips when cold",
    "pump hums capacitor",
    "cell shows low salt",
    "seal leaking lid o-ring -heater",
];

/// Name, size, content's hash, visits and problems of a file.
type KnownFile = (String, u64, String, usize, Vec<(usize, String)>);

/// Everything that a store knows, its own history and the files' times aside.
#[derive(Debug, PartialEq)]
pub struct Known {
    /// Every visit.
    pub records: Vec<Record>,
    /// Every file.
    pub files: Vec<KnownFile>,
    /// File, line and reason of what was refused.
    pub refused: Vec<(String, usize, String)>,
    /// The answers to [`QUESTIONS`].
    pub answers: Vec<String>,
}

impl Known {
    /// What the last commit of a store knows.
    pub fn of(folder: &Path, knowledge: &Knowledge) -> Self {
        let store = Store::open(folder)
            .expect("a sound store")
            .expect("a store");
        let files = store.state.files.iter().map(|(name, f)| {
            let problems = f
                .problems
                .iter()
                .map(|p| (p.line, p.reason.clone()))
                .collect();
            (name.clone(), f.size, f.hash.clone(), f.visits, problems)
        });
        let answers = QUESTIONS.iter().map(|words| {
            let question = question::understand(words, knowledge);
            format!(
                "{:#?}",
                store
                    .find(words, &question, &Filter::default(), 50)
                    .expect("an answer")
            )
        });
        Self {
            records: store.records().expect("its records"),
            files: files.collect(),
            refused: store
                .state
                .refused
                .iter()
                .map(|r| (r.file.clone(), r.line, r.reason.clone()))
                .collect(),
            answers: answers.collect(),
        }
    }
}

/// The commit's file as JSON.
pub fn meta(folder: &Path) -> Value {
    let text = fs::read_to_string(folder.join("meta.json")).expect("the commit's file");
    serde_json::from_str(&text).expect("its JSON")
}

/// Segment files in the folder whose segment no commit names, and files that the list of managed files lacks or has too
/// much: all of them must be empty in a store at rest.
pub fn left_over(folder: &Path) -> BTreeSet<String> {
    let meta = meta(folder);
    let named: BTreeSet<String> = list(&meta, "/segments")
        .iter()
        .map(|s| text(s, "/segment_id").replace('-', ""))
        .collect();
    let managed: BTreeSet<String> =
        serde_json::from_slice(&fs::read(folder.join(".managed.json")).expect("the list of files"))
            .expect("its JSON");
    let there: BTreeSet<String> = fs::read_dir(folder)
        .expect("the store")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    let of_segment = |name: &str| {
        name.split('.')
            .next()
            .is_some_and(|s| s.len() == 32 && s.bytes().all(|b| b.is_ascii_hexdigit()))
    };
    let orphans = there
        .iter()
        .filter(|n| of_segment(n) && !named.contains(n.split('.').next().unwrap_or_default()));
    let unmanaged = there
        .iter()
        .filter(|n| of_segment(n) && !managed.contains(*n));
    let gone = managed.iter().filter(|n| !there.contains(*n));
    orphans.chain(unmanaged).chain(gone).cloned().collect()
}
