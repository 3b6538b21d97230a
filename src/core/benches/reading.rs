//! How fast notes are read, in bytes a second, and whether the time grows with their length alone.
//!
//! The text is that of the sample notes and of the labelled notes that the tables were built by, over and over to some
//! megabytes. `stages` times one step after another, each with what the step before it made.

use divan::{Bencher, black_box, counter::BytesCount};
use padlore_core::{
    note::{self, Conventions, Note},
    reading::{question, read, scope::Scopes, words},
    trade::Knowledge,
};
use std::{fs, path::Path, sync::OnceLock};

fn main() {
    let _ = Knowledge::built_in();
    divan::main();
}

/// How often the notes are read over, to make some megabytes.
const OVER: usize = 16;

/// File stem and text of every note.
fn notes() -> &'static [(String, String)] {
    static NOTES: OnceLock<Vec<(String, String)>> = OnceLock::new();
    NOTES.get_or_init(|| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let mut out = Vec::new();
        for folder in ["notes-sample", "tests/reading/build"] {
            let files = fs::read_dir(root.join(folder))
                .into_iter()
                .flatten()
                .flatten();
            for path in files.map(|file| file.path()) {
                let stem = path
                    .file_stem()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned();
                if path.extension().is_some_and(|e| e == "md")
                    && let Ok(text) = fs::read_to_string(&path)
                {
                    out.push((stem, text));
                }
            }
        }
        out.sort();
        assert!(!out.is_empty(), "there are no notes to read");
        out
    })
}

fn bytes(notes: &[(String, String)]) -> BytesCount {
    BytesCount::new(notes.iter().map(|(_, text)| text.len()).sum::<usize>())
}

fn parsed(stem: &str, text: &str) -> Note {
    note::parse(text, stem, &Conventions::default())
}

/// Notes to facts, as ingest does it.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn notes_to_facts(bencher: Bencher<'_, '_>) {
    let notes = notes();
    let all = BytesCount::new(OVER * notes.iter().map(|(_, text)| text.len()).sum::<usize>());
    bencher.counter(all).bench(|| {
        for (stem, text) in (0..OVER).flat_map(|_| notes) {
            for visit in &parsed(stem, text).visits {
                black_box(read(text, visit, Knowledge::built_in()));
            }
        }
    });
}

/// One visit that is one, two and four times as long: the bytes a second must stay.
#[divan::bench(args = [1, 2, 4], sample_count = 3, sample_size = 1)]
fn one_long_visit(bencher: Bencher<'_, '_>, times: usize) {
    let blocks = notes().iter().map(|(_, text)| without_front(text));
    let body = blocks.collect::<Vec<_>>().join("\n\n");
    long(
        bencher,
        &format!("ran fine\n\n{}", [body.as_str()].repeat(times).join("\n\n")),
    );
}

/// The same as one terse sentence without an end.
#[divan::bench(args = [1, 2, 4], sample_count = 3, sample_size = 1)]
fn one_long_sentence(bencher: Bencher<'_, '_>, times: usize) {
    let words = notes()
        .iter()
        .flat_map(|(_, text)| text.split(|c: char| !c.is_alphanumeric()));
    let line = words
        .filter(|w| !w.is_empty())
        .take(4000)
        .collect::<Vec<_>>()
        .join(" ");
    long(bencher, &[line.as_str()].repeat(times).join(" "));
}

fn long(bencher: Bencher<'_, '_>, text: &str) {
    bencher.counter(BytesCount::of_str(text)).bench(|| {
        for visit in &parsed("note", text).visits {
            black_box(read(text, visit, Knowledge::built_in()));
        }
    });
}

/// A note without front matter and dated headings, so that many make one visit.
fn without_front(text: &str) -> String {
    let body = text
        .strip_prefix("---")
        .and_then(|rest| rest.split_once("\n---\n"))
        .map_or(text, |(_, body)| body);
    body.lines()
        .filter(|line| !line.starts_with('#'))
        .collect::<Vec<_>>()
        .join("\n")
}

#[divan::bench_group(sample_count = 10, sample_size = 1)]
mod stages {
    use super::*;
    use padlore_core::reading::matcher;

    /// For each visit: its note's text, and itself.
    fn visits() -> Vec<(&'static str, note::Visit)> {
        let all = notes().iter();
        all.flat_map(|(stem, text)| {
            parsed(stem, text)
                .visits
                .into_iter()
                .map(|v| (text.as_str(), v))
        })
        .collect()
    }

    #[divan::bench]
    fn a_layout(bencher: Bencher<'_, '_>) {
        bencher.counter(bytes(notes())).bench(|| {
            for (stem, text) in notes() {
                black_box(parsed(stem, text));
            }
        });
    }

    #[divan::bench]
    fn b_words(bencher: Bencher<'_, '_>) {
        let visits = visits();
        bencher.counter(bytes(notes())).bench(|| {
            for (text, visit) in &visits {
                black_box(words::of_visit(text, visit, Knowledge::built_in()));
            }
        });
    }

    #[divan::bench]
    fn c_wordings(bencher: Bencher<'_, '_>) {
        let knowledge = Knowledge::built_in();
        let visits = visits();
        let all: Vec<_> = visits
            .iter()
            .map(|(t, v)| words::of_visit(t, v, knowledge))
            .collect();
        bencher.counter(bytes(notes())).bench(|| {
            for words in &all {
                black_box(matcher::find(words, &knowledge.lexicon));
            }
        });
    }

    #[divan::bench]
    fn d_wordings_and_what_is_learned(bencher: Bencher<'_, '_>) {
        let knowledge = Knowledge::built_in();
        let visits = visits();
        let all: Vec<_> = visits
            .iter()
            .map(|(t, v)| words::of_visit(t, v, knowledge))
            .collect();
        bencher.counter(bytes(notes())).bench(|| {
            for words in &all {
                black_box(read::heard(words, knowledge));
            }
        });
    }

    #[divan::bench]
    fn e_scopes(bencher: Bencher<'_, '_>) {
        let knowledge = Knowledge::built_in();
        let visits = visits();
        let all: Vec<_> = visits
            .iter()
            .map(|(text, visit)| {
                let words = words::of_visit(text, visit, knowledge);
                let found = read::heard(&words, knowledge);
                (words, found, visit)
            })
            .collect();
        bencher.counter(bytes(notes())).bench(|| {
            for (words, found, visit) in &all {
                black_box(Scopes::new(words, found, &knowledge.lexicon, &visit.blocks));
            }
        });
    }

    #[divan::bench]
    fn f_everything(bencher: Bencher<'_, '_>) {
        let visits = visits();
        bencher.counter(bytes(notes())).bench(|| {
            for (text, visit) in &visits {
                black_box(read(text, visit, Knowledge::built_in()));
            }
        });
    }

    #[divan::bench]
    fn g_questions(bencher: Bencher<'_, '_>) {
        bencher.counter(bytes(notes())).bench(|| {
            for (_, text) in notes() {
                black_box(question::understand(text, Knowledge::built_in()));
            }
        });
    }
}
