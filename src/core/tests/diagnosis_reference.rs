//! The inference against data made outside it: every case of every `*.json` in `tests/reference/diagnosis` at the
//! root of the project, whose README tells how they were made and where each comes from. The kind of a case is read
//! off its form, so a further file of the same forms can be dropped in.

#![allow(clippy::unwrap_used, reason = "a fault in the data fails the test")]

#[path = "diagnosis_reference/binary.rs"]
mod binary;
#[path = "diagnosis_reference/calibration.rs"]
mod calibration;
#[path = "diagnosis_reference/networks.rs"]
mod networks;
#[path = "diagnosis_reference/published.rs"]
mod published;

use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::path::Path;

#[derive(Deserialize)]
struct Raw {
    id: String,
    source: String,
    input: serde_json::Value,
    expected: serde_json::Value,
    tolerance: serde_json::Value,
}

struct Case<I, E> {
    id: String,
    input: I,
    expected: E,
    tolerance: Tolerance,
}

/// How close is close enough, by what is compared; a key that the data do not know here is refused.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tolerance {
    posterior_abs: Option<f64>,
    posterior_rel: Option<f64>,
    log_evidence_abs: Option<f64>,
    probability_abs: Option<f64>,
    cost_rel: Option<f64>,
    ece_abs: Option<f64>,
    brier_abs: Option<f64>,
    log_loss_abs: Option<f64>,
    bin_count: Option<u64>,
    bin_mean_abs: Option<f64>,
}

/// The form of a case; `input.kind` where it has one.
fn kind(case: &Raw) -> &str {
    let has = |key: &str| case.input.get(key).is_some();
    match case.input.get("kind").and_then(|kind| kind.as_str()) {
        Some(kind) => kind,
        None if has("cases") => "calibration",
        None if has("evidence_sets") => "networks",
        None if has("checks") => "extras",
        None => "unknown",
    }
}

fn everything() -> Vec<Raw> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/diagnosis");
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ext| ext == "json"))
        .collect();
    files.sort();
    let read = |path: &std::path::PathBuf| -> Vec<Raw> {
        let text = std::fs::read_to_string(path).unwrap();
        serde_json::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
    };
    files.iter().flat_map(read).collect()
}

/// All cases of one kind; at least one.
fn cases<I: DeserializeOwned, E: DeserializeOwned>(wanted: &str) -> Vec<Case<I, E>> {
    fn part<T: DeserializeOwned>(id: &str, value: serde_json::Value) -> T {
        serde_json::from_value(value).unwrap_or_else(|error| panic!("{id}: {error}"))
    }
    let found: Vec<_> = everything()
        .into_iter()
        .filter(|raw| kind(raw) == wanted)
        .map(|raw| Case {
            input: part(&raw.id, raw.input),
            expected: part(&raw.id, raw.expected),
            tolerance: part(&raw.id, raw.tolerance),
            id: raw.id,
        })
        .collect();
    assert!(!found.is_empty(), "no case of kind {wanted}");
    found
}

fn close(at: &str, found: f64, expected: f64, absolute: f64) {
    assert!(
        (found - expected).abs() <= absolute,
        "{at}: {found:e}, expected {expected:e}"
    );
}

/// Absolute and, where given, relative tolerance hold together.
fn posterior(at: &str, found: f64, expected: f64, tolerance: &Tolerance) {
    close(at, found, expected, tolerance.posterior_abs.unwrap());
    if let Some(relative) = tolerance.posterior_rel {
        close(at, found, expected, relative * expected.abs());
    }
}

#[test]
fn every_case_is_of_a_kind_that_is_tested() {
    let tested = [
        "networks",
        "extras",
        "calibration",
        "binary-network",
        "soft-evidence",
        "noisy-or-table",
        "repair-order",
    ];
    for case in everything() {
        assert!(
            tested.contains(&kind(&case)),
            "{}: kind {}",
            case.id,
            kind(&case)
        );
        assert!(!case.source.is_empty(), "{}: no source", case.id);
    }
}

/// What is expected of each evidence set, and figures as printed in the source.
#[derive(Deserialize)]
struct Sets<S> {
    sets: Vec<S>,
    #[serde(default)]
    quoted: Vec<Quoted>,
}

#[derive(Deserialize)]
struct ExpectedSet {
    #[serde(default)]
    id: String,
    log_evidence: f64,
    posterior: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
struct Quoted {
    set: String,
    node: String,
    value: f64,
    rounding: f64,
}
