//! `limits.json`: published ranges and rules. They are no formulas; what of them `science` states is compared here, the
//! rest is left to the tables that hold rules, and only its shape is checked.

use crate::cases::{Case, Failure, LeftOut, check, load, number};
use padlore_core::science::motor::CLASS_A_TRIP_A;
use padlore_core::science::saturation::TABLE_BAND;
use padlore_core::science::units::{Quantity, find};

/// Ids of the cases that a constant of `science` states.
const STATED: [&str; 2] = ["limit.ny.si", "limit.ul943"];

/// Kinds that are left out, each with its reason.
const LEFT_OUT: [(&str, &str); 3] = [
    (
        "acceptable range",
        "chosen by a code for a place and use: an entry of the rule tables, no law of nature",
    ),
    (
        "electrical rule",
        "a requirement of the National Electrical Code: an entry of the rule tables",
    ),
    (
        "entrapment",
        "a requirement of federal law: an entry of the rule tables",
    ),
];

#[test]
fn limits_stated_here() -> Result<(), Failure> {
    let cases = load("limits.json")?;
    let mut left: Vec<LeftOut<'_>> = Vec::new();
    for case in cases
        .iter()
        .filter(|case| !STATED.contains(&case.id.as_str()))
    {
        let (_, reason) = LEFT_OUT
            .iter()
            .find(|(kind, _)| *kind == case.kind)
            .ok_or(format!("{} is new", case.kind))?;
        left.extend(
            case.expected
                .keys()
                .map(|name| (case.id.as_str(), name.as_str(), *reason)),
        );
    }
    check("limits.json", &left, |case| {
        let (min, max, unit) = match case.id.as_str() {
            "limit.ny.si" => (TABLE_BAND.0, TABLE_BAND.1, "1"),
            "limit.ul943" => (CLASS_A_TRIP_A.0, CLASS_A_TRIP_A.1, "A"),
            _ => return Ok(vec![]),
        };
        Ok(vec![number("min", min, unit), number("max", max, unit)])
    })
}

/// What the rule tables take from here must be usable: a bound at least, in order, in a unit that is known.
#[test]
fn every_range_has_ordered_bounds_in_a_known_unit() -> Result<(), Failure> {
    let ranges: Vec<Case> = load("limits.json")?
        .into_iter()
        .filter(|case| case.kind == "acceptable range")
        .collect();
    assert!(ranges.len() > 60, "{} ranges", ranges.len());
    for case in ranges
        .iter()
        .filter(|case| case.id != "limit.a112.blocking")
    {
        let bound = |name: &str| {
            case.expected
                .get(name)
                .and_then(|bound| bound["value"].as_f64())
        };
        let (min, max) = (bound("min"), bound("max"));
        assert!(min.is_some() || max.is_some(), "{}", case.id);
        assert!(
            min.unwrap_or(f64::NEG_INFINITY) <= max.unwrap_or(f64::INFINITY),
            "{}",
            case.id
        );
        let unit = case.unit("parameter")?;
        let known = find(unit).map(|unit| unit.quantity());
        assert!(known.is_some() || unit == "ratio", "{}: {unit}", case.id);
        if case.text("parameter")? == "water temperature" {
            assert_eq!(known, Some(Quantity::Temperature), "{}", case.id);
        }
    }
    Ok(())
}
