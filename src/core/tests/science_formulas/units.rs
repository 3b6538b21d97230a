//! `units.json`: NIST SP 811, ASTM B258, and definitions.

use crate::cases::{Answer, Case, Failure, check, number, unknown};
use padlore_core::science::units::{convert, convert_difference};
use padlore_core::science::voltage_drop::Awg;
use padlore_core::science::water;

#[test]
fn units() -> Result<(), Failure> {
    check("units.json", &[], answer)
}

fn answer(case: &Case) -> Answer {
    match case.kind.as_str() {
        "wire gauge" => {
            let gauge: Awg = case.text("awg")?.parse()?;
            Ok(vec![
                number("diameter", gauge.diameter_mm(), "mm"),
                number("area", gauge.area_mm2(), "mm2"),
                number("circular_mils", gauge.circular_mils(), "cmil"),
            ])
        }
        "concentration" if case.has("temperature") => {
            let ppm = water::mass_fraction_ppm(case.input("x", "mg/L")?, case.input("temperature", "degC")?)?;
            Ok(vec![number("y", ppm, "ppm(mass)")])
        }
        "concentration" if case.has("volume") => {
            let grams = water::mass_g(case.input("volume", "m3")?, case.input("x", "mg/L")?)?;
            Ok(vec![number("y", grams, "g")])
        }
        "factor"
        | "temperature point"
        | "temperature difference"
        | "hardness"
        | "alkalinity"
        | "concentration"
        | "printed factor" => {
            let (from, to) = (case.unit("x")?, case.expected_unit("y")?);
            let x = case.input("x", from)?;
            // The appendix states this one in kelvin, which is a unit of points as well as of differences.
            let y = if from == "degF difference" { convert_difference(x, "degF", to)? } else { convert(x, from, to)? };
            Ok(vec![number("y", y, to)])
        }
        _ => unknown(case),
    }
}
