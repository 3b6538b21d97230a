//! Reads reference cases and compares answers with them.

use padlore_core::science::units::convert;
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// The reference data, seen from the crate.
pub const FOLDER: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../tests/reference/formulas"
);

/// Whatever goes wrong on the way to an answer.
pub type Failure = Box<dyn std::error::Error>;

/// One computed value.
#[derive(Debug)]
pub enum Got {
    /// A number and its unit.
    Number(f64, String),
    /// A word.
    Word(&'static str),
    /// Yes or no.
    Truth(bool),
}

/// Computed values by the name of the expected one.
pub type Answer = Result<Vec<(&'static str, Got)>, Failure>;

/// A number in a unit.
pub fn number(name: &'static str, value: f64, unit: &str) -> (&'static str, Got) {
    (name, Got::Number(value, unit.to_owned()))
}

/// A value that is deliberately not compared: case id, name of the expected value, reason.
pub type LeftOut<'a> = (&'a str, &'a str, &'a str);

/// One case of a file.
pub struct Case {
    /// Its id, unique over all files.
    pub id: String,
    /// The group of like cases.
    pub kind: String,
    /// What the file adds in words; may be empty.
    pub note: String,
    input: Map<String, Value>,
    /// The values to compare with.
    pub expected: Map<String, Value>,
    tolerance: Map<String, Value>,
    cross_check: Map<String, Value>,
}

/// Units of the files that say more than the unit: what is counted, or between which points.
const QUALIFIED: [(&str, &str); 22] = [
    ("mg/L as Cl2", "mg/L"),
    ("mg/L as N", "mg/L"),
    ("mg/L as C3N3O3", "mg/L"),
    ("mg/L as cyanuric acid", "mg/L"),
    ("mg/L as Cl2 (as monochloramine)", "mg/L"),
    ("lb Cl2", "lb"),
    ("g/h as Cl2", "g/h"),
    ("% by mass", "%"),
    ("% of equation", "%"),
    ("trade %", "%"),
    ("ft one way", "ft"),
    ("psia", "psi"),
    ("inWC gauge", "inWC"),
    ("V to earth", "V"),
    ("V across capacitor", "V"),
    ("V line to line", "V"),
    ("nF line to earth", "nF"),
    ("cells in series", "1"),
    ("ratio", "1"),
    ("mL of 10.0 mol/L HCl", "mL"),
    ("pint (US)", "pint (US)"),
    ("count", "1"),
];

fn plain(unit: &str) -> &str {
    QUALIFIED
        .iter()
        .find(|(qualified, _)| *qualified == unit)
        .map_or(unit, |(_, plain)| plain)
}

/// Converts where the units differ, so that units which only the files know (`1/K`) pass through unchanged.
fn into(value: f64, from: &str, to: &str) -> Result<f64, Failure> {
    let (from, to) = (plain(from), plain(to));
    if from == to {
        Ok(value)
    } else {
        Ok(convert(value, from, to)?)
    }
}

fn quantity<'c>(of: &'c Map<String, Value>, name: &str) -> Result<(&'c Value, &'c str), Failure> {
    let entry = of.get(name).ok_or_else(|| format!("no value `{name}`"))?;
    let value = entry
        .get("value")
        .ok_or_else(|| format!("`{name}` has no value"))?;
    let unit = entry
        .get("unit")
        .and_then(Value::as_str)
        .ok_or_else(|| format!("`{name}` has no unit"))?;
    Ok((value, unit))
}

impl Case {
    /// The input of a name, in a unit.
    pub fn input(&self, name: &str, unit: &str) -> Result<f64, Failure> {
        let (value, from) = quantity(&self.input, name)?;
        into(
            value
                .as_f64()
                .ok_or_else(|| format!("`{name}` is no number"))?,
            from,
            unit,
        )
    }

    /// The unit that the file gives an input in.
    pub fn unit(&self, name: &str) -> Result<&str, Failure> {
        quantity(&self.input, name).map(|(_, unit)| unit)
    }

    /// The unit that the file expects a value in.
    pub fn expected_unit(&self, name: &str) -> Result<&str, Failure> {
        quantity(&self.expected, name).map(|(_, unit)| unit)
    }

    /// The input of a name, a text.
    pub fn text(&self, name: &str) -> Result<&str, Failure> {
        let (value, _) = quantity(&self.input, name)?;
        Ok(value
            .as_str()
            .ok_or_else(|| format!("`{name}` is no text"))?)
    }

    /// The input of a name, a list of numbers, in a unit.
    pub fn list(&self, name: &str, unit: &str) -> Result<Vec<f64>, Failure> {
        let (value, from) = quantity(&self.input, name)?;
        let list = value
            .as_array()
            .ok_or_else(|| format!("`{name}` is no list"))?;
        list.iter()
            .map(|v| into(v.as_f64().ok_or("no number in the list")?, from, unit))
            .collect()
    }

    /// Whether there is an input of this name.
    pub fn has(&self, name: &str) -> bool {
        self.input.contains_key(name)
    }

    /// Compares a value with the second route of the file, where that goes the way of the program and so must be met
    /// more closely than the first: within an absolute difference, in the file's unit.
    pub fn cross(&self, name: &str, got: f64, allowed: f64) -> Result<(), Failure> {
        let second = self
            .cross_check
            .get(name)
            .and_then(Value::as_f64)
            .ok_or_else(|| format!("no second `{name}`"))?;
        if (got - second).abs() <= allowed {
            Ok(())
        } else {
            Err(format!("second `{name}`: {got}, expected {second} ±{allowed:e}").into())
        }
    }

    /// Compares a value with the expected one more closely than the file asks, where both go the same way.
    pub fn closer(&self, name: &str, got: f64, relative: f64) -> Result<(), Failure> {
        let (expected, unit) = quantity(&self.expected, name)?;
        let expected = expected
            .as_f64()
            .ok_or_else(|| format!("`{name}` is no number"))?;
        if (got - expected).abs() <= relative * expected.abs() {
            Ok(())
        } else {
            Err(format!("`{name}`: {got}, expected {expected} {unit} to {relative:e}").into())
        }
    }

    /// What of an expected value is wrong with an answer.
    fn compare(&self, name: &str, got: &Got) -> Result<(), Failure> {
        let (expected, unit) = quantity(&self.expected, name)?;
        let wrong = |got: String| -> Result<(), Failure> {
            Err(format!("`{name}`: {got}, expected {expected} {unit}").into())
        };
        match got {
            Got::Word(word) if expected.as_str() == Some(word) => Ok(()),
            Got::Truth(truth) if expected.as_bool() == Some(*truth) => Ok(()),
            Got::Number(value, from) => {
                let expected = expected
                    .as_f64()
                    .ok_or_else(|| format!("`{name}`: expected {expected}, no number"))?;
                let value = into(*value, from, unit)?;
                let allowed = self.allowed(name, expected)?.max(rounding(expected));
                if (value - expected).abs() <= allowed {
                    Ok(())
                } else {
                    wrong(format!("{value}, allowed ±{allowed:e}"))
                }
            }
            _ => wrong(format!("{got:?}")),
        }
    }

    fn allowed(&self, name: &str, expected: f64) -> Result<f64, Failure> {
        let own = self
            .tolerance
            .get(name)
            .and_then(Value::as_object)
            .unwrap_or(&self.tolerance);
        match (
            own.get("abs").and_then(Value::as_f64),
            own.get("rel").and_then(Value::as_f64),
        ) {
            (Some(abs), None) => Ok(abs),
            (None, Some(rel)) => Ok(rel * expected.abs()),
            _ => Err(format!("`{name}` has no single tolerance").into()),
        }
    }
}

/// How far a value of the files may lie from the number that it was rounded from: they keep ten digits, so 25.55555556
/// is off by up to half of its last one. No tolerance can be finer.
fn rounding(expected: f64) -> f64 {
    if expected == 0.0 {
        0.0
    } else {
        0.5 * 10_f64.powf(expected.abs().log10().floor() - 9.0)
    }
}

/// The cases of a file.
pub fn load(file: &str) -> Result<Vec<Case>, Failure> {
    let text = std::fs::read_to_string(format!("{FOLDER}/{file}"))?;
    let Value::Array(list) = serde_json::from_str(&text)? else {
        return Err("expected a list of cases".into());
    };
    list.into_iter()
        .map(|case| {
            let text = |name: &str| case.get(name).and_then(Value::as_str).map(str::to_owned);
            let map = |name: &str| case.get(name).and_then(Value::as_object).cloned();
            let found = Case {
                id: text("id").ok_or("a case has no id")?,
                kind: text("kind").ok_or("a case has no kind")?,
                note: text("note").unwrap_or_default(),
                input: map("input").ok_or("a case has no input")?,
                expected: map("expected").ok_or("a case expects nothing")?,
                tolerance: map("tolerance").ok_or("a case has no tolerance")?,
                cross_check: map("cross_check").unwrap_or_default(),
            };
            if found.expected.is_empty() || text("source").is_none_or(|source| source.is_empty()) {
                return Err(format!("{} expects nothing or names no source", found.id).into());
            }
            Ok(found)
        })
        .collect()
}

/// Compares every expected value of every case of a file with an answer, and tells all that is wrong at once.
pub fn check(
    file: &str,
    left_out: &[LeftOut<'_>],
    answer: impl Fn(&Case) -> Answer,
) -> Result<(), Failure> {
    let cases = load(file)?;
    assert!(!cases.is_empty(), "{file} holds no case");
    let mut wrong = Vec::new();
    let mut unused: BTreeSet<_> = left_out.iter().map(|&(id, name, _)| (id, name)).collect();
    for case in &cases {
        let got = match answer(case) {
            Ok(got) => got,
            Err(error) => {
                wrong.push(format!("{} ({}): {error}", case.id, case.kind));
                continue;
            }
        };
        for name in case.expected.keys() {
            if unused.remove(&(case.id.as_str(), name.as_str())) {
                continue;
            }
            let result = match got.iter().find(|(known, _)| known == name) {
                Some((_, got)) => case.compare(name, got),
                None => Err(format!("`{name}` was not answered").into()),
            };
            if let Err(error) = result {
                wrong.push(format!("{} ({}): {error}", case.id, case.kind));
            }
        }
    }
    wrong.extend(
        unused
            .iter()
            .map(|(id, name)| format!("{id}: `{name}` is left out but not there")),
    );
    assert!(
        wrong.is_empty(),
        "{} of {file}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    Ok(())
}

/// The error for a kind that a module does not know.
pub fn unknown(case: &Case) -> Answer {
    Err(format!("no answer for the kind `{}`", case.kind).into())
}

/// The comparison itself: it must tell right from wrong.
#[test]
fn a_wrong_value_is_noticed() -> Result<(), Failure> {
    let cases = load("units.json")?;
    let case = cases
        .iter()
        .find(|case| case.id == "unit.psi-to-kPa.1")
        .ok_or("the case is gone")?;
    let compare = |name, value, unit| case.compare(name, &number("y", value, unit).1);
    assert!(compare("y", 6.894_757_293, "kPa").is_ok());
    assert!(compare("y", 6_894.757_293, "Pa").is_ok());
    assert!(compare("y", 6.894_758, "kPa").is_err());
    assert!(compare("y", f64::NAN, "kPa").is_err());
    assert!(compare("y", 6.894_757_293, "psi").is_err());
    assert!(compare("z", 6.894_757_293, "kPa").is_err());
    assert!(case.compare("y", &Got::Truth(true)).is_err());
    assert!(case.compare("y", &Got::Word("6.894757293")).is_err());
    Ok(())
}
