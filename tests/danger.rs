//! Danger first: questions that must stop work, with their hazard, and questions that only sound like it.
//!
//! `danger/stop.toml` and `danger/free.toml` hold the questions; those that are answered wrongly today stand in
//! `danger/known.toml` with the reason, and are held to be wrong still, so that the file shrinks when the reader grows.
//! What counts as danger: common practice of the trade, and the sources that `kb/dangers.toml` names beside each entry.

// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;

use common::{GOOD, Shop, list, root, text};
use padlore_core::{
    diagnosis::danger,
    reading::question,
    trade::{Hazard, Knowledge},
};
use serde::Deserialize;
use std::{collections::BTreeMap, fs};

/// Questions by the hazard that they must stop with.
#[derive(Deserialize)]
struct Stops(BTreeMap<String, Vec<String>>);

/// Questions that must not stop, by what they sound like.
#[derive(Deserialize)]
struct Free(BTreeMap<String, Vec<String>>);

#[derive(Deserialize)]
struct Known {
    #[serde(default)]
    known: Vec<KnownWrong>,
}

/// A question that is answered wrongly today.
#[derive(Deserialize)]
struct KnownWrong {
    ask: String,
    /// What the answer must be: a hazard, or `none`.
    must: String,
    /// What it is today.
    is: String,
    reason: String,
}

fn table<T: for<'de> Deserialize<'de>>(name: &str) -> T {
    let path = root().join("tests/danger").join(name);
    toml::from_str(&fs::read_to_string(&path).unwrap())
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The hazard that a question stops with, or `none`.
fn stops_with(ask: &str) -> &'static str {
    let knowledge = Knowledge::built_in();
    danger::stop(&question::understand(ask, knowledge), knowledge)
        .map_or("none", |s| s.hazard.name())
}

/// Every question with the answer that it must have.
fn questions() -> Vec<(String, String)> {
    let Stops(stops) = table("stop.toml");
    let Free(free) = table("free.toml");
    let stops = stops
        .into_iter()
        .flat_map(|(hazard, asks)| asks.into_iter().map(move |a| (a, hazard.clone())));
    let free = free.into_values().flatten().map(|a| (a, "none".to_owned()));
    stops.chain(free).collect()
}

#[test]
fn the_tables_of_questions_are_sound() {
    let all = questions();
    let stop = all.iter().filter(|(_, must)| must != "none").count();
    assert!(stop >= 60, "{stop} questions must stop");
    assert!(
        all.len() - stop >= 60,
        "{} questions must not",
        all.len() - stop
    );
    for (ask, must) in &all {
        assert!(Hazard::named(must).is_some(), "{must}: {ask}");
        assert_eq!(
            all.iter().filter(|(other, _)| other == ask).count(),
            1,
            "asked twice: {ask}"
        );
    }
    for known in table::<Known>("known.toml").known {
        assert!(
            all.contains(&(known.ask.clone(), known.must.clone())),
            "known.toml: not among the questions: {}",
            known.ask
        );
        assert!(
            !known.reason.is_empty() && known.must != known.is,
            "known.toml: {}",
            known.ask
        );
    }
}

#[test]
fn every_question_stops_or_not_as_it_must() {
    let known = table::<Known>("known.toml").known;
    let mut wrong = Vec::new();
    for (ask, must) in questions() {
        let is = stops_with(&ask);
        match known.iter().find(|k| k.ask == ask) {
            Some(k) if is == must => {
                wrong.push(format!("right now, take it out of known.toml: {}", k.ask))
            }
            Some(k) if is != k.is => wrong.push(format!(
                "known.toml says `{}` and it is `{is}`: {ask}",
                k.is
            )),
            None if is != must => wrong.push(format!("must be `{must}` and is `{is}`: {ask}")),
            Some(_) | None => {}
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn case_and_full_stops_change_nothing() {
    for (ask, _) in questions() {
        let is = stops_with(&ask);
        assert_eq!(
            stops_with(&format!("{ask}.")),
            is,
            "with a full stop: {ask}"
        );
        assert_eq!(
            stops_with(&format!("  {ask} ")),
            is,
            "between blanks: {ask}"
        );
    }
}

#[test]
fn the_program_stops_before_and_instead_of_a_ranking() {
    let shop = Shop::new();
    shop.write("good.md", GOOD);
    for ask in [
        "i smell gas at the heater, it wont light",
        "swimmer felt a tingle on the ladder, breaker trips",
    ] {
        let plain = shop.run(&["suspect", ask]);
        assert_eq!(plain.code, 0, "{}", plain.err);
        assert!(plain.out.starts_with("STOP "), "{}", plain.out);
        for not in ["Likely causes", "Next check", "Past jobs", "Take along"] {
            assert!(
                !plain.out.contains(not),
                "`{not}` stands beside a stop: {}",
                plain.out
            );
        }
        let answer = shop.run(&["suspect", ask, "--json"]).json();
        assert_eq!(text(&answer, "/stop/hazard"), stops_with(ask));
        assert!(
            text(&answer, "/stop/text").starts_with("Stop. "),
            "{answer}"
        );
        assert!(list(&answer, "/past_jobs").is_empty(), "{answer}");
        let hazard = text(&answer, "/stop/hazard");
        assert!(
            list(&answer, "/cautions")
                .iter()
                .any(|c| text(c, "/hazard") == hazard),
            "its caution is there: {answer}"
        );
    }
    assert!(!shop.store().exists(), "a stop asks no store");
}
