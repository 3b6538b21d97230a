//! Cases of Recognizers-Text (MIT), in its own form, and how a file of them is judged.

use padlore_core::{
    reading::words::{self, Words},
    trade::Knowledge,
};
use serde::Deserialize;
use std::{collections::BTreeSet, ops::Range};

/// The reference data, seen from the crate.
pub const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/text");

/// Whatever goes wrong on the way to an answer.
pub type Failure = Box<dyn std::error::Error>;

/// One input with all that is to be found in it.
#[derive(Deserialize)]
pub struct Case {
    /// The text.
    pub input: String,
    /// What stands in it, in order; may be nothing.
    pub results: Vec<Expected>,
}

/// One thing to be found.
#[derive(Deserialize)]
pub struct Expected {
    /// Its words, in some cases in lower case.
    #[serde(rename = "Text")]
    text: String,
    /// Its first character.
    #[serde(rename = "Start")]
    start: Option<usize>,
    /// What it means: numbers, units, private pieces.
    #[serde(rename = "Resolution", default)]
    pub resolution: Resolution,
    /// What it means: dates and times.
    #[serde(rename = "Value", default)]
    pub value: Moment,
}

/// A number with its unit.
#[derive(Deserialize, Default)]
pub struct Resolution {
    /// The value in figures; a unit that stands alone has none.
    pub value: Option<String>,
    /// The unit's name.
    pub unit: Option<String>,
}

/// A date or time.
#[derive(Deserialize, Default)]
pub struct Moment {
    /// In the notation of TIMEX3: `XXXX-10-02`, `T08:40`.
    #[serde(rename = "Timex", default)]
    pub timex: String,
}

impl Expected {
    /// Its bytes in the input; data that disagree with themselves are a failure.
    pub fn span(&self, input: &str) -> Result<Range<usize>, Failure> {
        let lower = input.to_lowercase();
        let start = match self.start {
            Some(characters) => input
                .char_indices()
                .map(|(at, _)| at)
                .chain([input.len()])
                .nth(characters),
            None => lower.find(&self.text.to_lowercase()),
        }
        .ok_or_else(|| format!("{input}: no place of {}", self.text))?;
        let length: usize = input
            .get(start..)
            .unwrap_or_default()
            .chars()
            .take(self.text.chars().count())
            .map(char::len_utf8)
            .sum();
        Ok(start..start + length)
    }

    /// The value as a number.
    pub fn number(&self) -> Option<f64> {
        self.resolution.value.as_deref()?.parse().ok()
    }
}

/// A file of cases and what is known of how the reader does on it.
pub struct File<'a> {
    /// Its name.
    pub name: &'a str,
    /// Cases in the published file; those that were not copied count as left out.
    pub published: usize,
    /// Cases left out: a reason, and the inputs that it holds for.
    pub left_out: &'a [(&'a str, &'a [&'a str])],
    /// Inputs that are read wrong, known and not hidden.
    pub known: &'a [&'a str],
    /// Least share kept of the cases published.
    pub kept: f64,
}

/// Least share of the kept cases that must be read as expected.
const RIGHT: f64 = 0.95;

/// Asks `judge` about every kept case; it says what the reader made of it where that is not what is expected.
pub fn check(
    file: &File<'_>,
    judge: impl Fn(&Case) -> Result<Option<String>, Failure>,
) -> Result<(), Failure> {
    let text = std::fs::read_to_string(format!("{FOLDER}/{}", file.name))?;
    let cases: Vec<Case> = serde_json::from_str(&text)?;
    let inputs: BTreeSet<&str> = cases.iter().map(|case| case.input.as_str()).collect();
    let left_out: Vec<&str> = file
        .left_out
        .iter()
        .flat_map(|(_, i)| *i)
        .copied()
        .collect();
    for listed in left_out.iter().chain(file.known) {
        assert!(
            inputs.contains(listed),
            "{}: {listed:?} is no case",
            file.name
        );
    }
    let mut distinct = BTreeSet::new();
    for listed in left_out.iter().chain(file.known) {
        assert!(
            distinct.insert(listed),
            "{}: {listed:?} is listed twice",
            file.name
        );
    }
    let (mut kept, mut right, mut faults) = (0_u32, 0_u32, Vec::new());
    for case in cases
        .iter()
        .filter(|case| !left_out.contains(&case.input.as_str()))
    {
        kept += 1;
        let known = file.known.contains(&case.input.as_str());
        match judge(case)? {
            None => {
                right += 1;
                if known {
                    faults.push(format!(
                        "{:?} is read right now: strike it from `known`",
                        case.input
                    ));
                }
            }
            Some(made) if !known => faults.push(format!("{:?}: {made}", case.input)),
            Some(_) => {}
        }
    }
    let share = |part: u32, whole: f64| f64::from(part) / whole;
    let kept_share = share(kept, file.published as f64);
    let right_share = share(right, f64::from(kept));
    println!(
        "{}: {kept} of {} kept ({:.1} %), {right} of them right ({:.1} %)",
        file.name,
        file.published,
        kept_share * 100.0,
        right_share * 100.0
    );
    assert!(faults.is_empty(), "{}:\n{}", file.name, faults.join("\n"));
    assert!(kept_share >= file.kept, "{}: too few cases kept", file.name);
    assert!(right_share >= RIGHT, "{}: too few cases right", file.name);
    Ok(())
}

/// The words of a text as the reader sees them.
pub fn read(text: &str) -> Words {
    words::of_question(text, Knowledge::built_in())
}

/// Whether two numbers are the same but for the digits that the data print.
pub fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 + 1e-11 * b.abs()
}
