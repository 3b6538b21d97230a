//! `vet` over notes: frequent words, word pairs and sentences that nothing in the tables reads, most frequent first.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{Shop, count, list, text};
use serde_json::Value;
use std::fs;

fn note(site: &str, day: u8, body: &str) -> String {
    format!("---\nsite: {site}\ndate: 2026-01-{day:02}\ntech: Ines\n---\n{body}\n")
}

fn shop() -> Shop {
    let shop = Shop::new();
    shop.write(
        "a.md",
        note(
            "4 Withy Lane",
            5,
            "Breaker trips when cold.\nThe snorkler is gronky. Gate code 4711 snibbed.",
        ),
    );
    shop.write(
        "b.md",
        note(
            "6 Withy Lane",
            6,
            "Replaced the breaker.\nSnorkler gronky again, the customer was in the kitchen.",
        ),
    );
    shop.write(
        "c.md",
        note(
            "8 Quenby Row",
            7,
            "Salt 3200 ppm. Quenby people were home. A snorkler, they say.",
        ),
    );
    shop.write("d.md", "");
    shop
}

fn vet(shop: &Shop, arguments: &[&str]) -> Value {
    let run = shop.run(&[["vet", "--json"].as_slice(), arguments].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    run.json()
}

fn texts(answer: &Value, pointer: &str) -> Vec<(String, u64)> {
    list(answer, pointer)
        .iter()
        .map(|g| (text(g, "/text").to_lowercase(), count(g, "/count")))
        .collect()
}

#[test]
fn what_no_table_reads_is_listed_most_frequent_first() {
    let shop = shop();
    let answer = vet(&shop, &[]);
    assert_eq!(
        count(&answer, "/unread/notes"),
        3,
        "a note that is refused is not gone over"
    );
    let words = texts(&answer, "/unread/words");
    assert_eq!(
        words[..2],
        [("snorkler".to_owned(), 3), ("gronky".to_owned(), 2)],
        "{words:?}"
    );
    let first = &list(&answer, "/unread/words")[0];
    assert_eq!((text(first, "/file"), count(first, "/line")), ("a.md", 7));
    for counts in ["/unread/words", "/unread/pairs", "/unread/sentences"] {
        let list = texts(&answer, counts);
        assert!(
            list.windows(2).all(|w| w[0].1 >= w[1].1),
            "{counts}: {list:?}"
        );
    }
    assert!(texts(&answer, "/unread/pairs").contains(&("snorkler gronky".to_owned(), 1)));
    // "is" carries no meaning: the two sentences are one.
    let sentences = texts(&answer, "/unread/sentences");
    assert!(
        sentences.iter().any(|(s, _)| s.contains("gronky")),
        "{sentences:?}"
    );
}

#[test]
fn what_is_read_and_what_means_nothing_here_is_left_out() {
    let answer = vet(&shop(), &["--top", "1000"]);
    let words: Vec<String> = texts(&answer, "/unread/words")
        .into_iter()
        .map(|w| w.0)
        .collect();
    // Of the tables, of ordinary English, of sites and people, private.
    for word in [
        "breaker", "kitchen", "people", "quenby", "withy", "ines", "4711",
    ] {
        assert!(!words.iter().any(|w| w == word), "{word}: {words:?}");
    }
    let all = answer["unread"].to_string();
    assert!(!all.contains("4711"), "{all}");
    for sentence in texts(&answer, "/unread/sentences") {
        assert!(!sentence.0.contains("breaker"), "{sentence:?}");
    }
}

#[test]
fn a_table_that_reads_them_takes_them_off_the_list() {
    let shop = shop();
    let own = shop.beside("own");
    fs::create_dir_all(own.join("lexicon")).unwrap();
    fs::write(
        own.join("lexicon/symptoms.toml"),
        "[breaker-trips]\nsay = [\"snorkler .. gronky\"]\n",
    )
    .unwrap();
    let answer = vet(&shop, &["--kb", own.to_str().unwrap()]);
    let words = texts(&answer, "/unread/words");
    assert!(!words.iter().any(|w| w.0 == "gronky"), "{words:?}");
}

#[test]
fn for_a_person_the_same_within_the_width() {
    let shop = shop();
    let run = shop.run(&["vet", "--top", "2"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        run.out.starts_with("The tables are in order.\n"),
        "{}",
        run.out
    );
    let lines: Vec<&str> = run.out.lines().collect();
    let at = lines
        .iter()
        .position(|l| *l == "Words of 3 notes that no table reads")
        .expect(&run.out);
    assert!(
        lines[at + 1]
            .trim_start()
            .starts_with("3  snorkler  a.md:7"),
        "{}",
        run.out
    );
    assert!(lines[at + 3].is_empty(), "--top 2 shows two: {}", run.out);
    assert!(lines.iter().all(|l| l.chars().count() <= 80), "{}", run.out);
}

#[test]
fn a_folder_without_notes_has_nothing_unread() {
    let run = Shop::new().run(&["vet"]);
    assert_eq!(run.out.trim(), "The tables are in order.");
}
