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
            let ppm = water::mass_fraction_ppm(
                case.input("x", "mg/L")?,
                case.input("temperature", "degC")?,
            )?;
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
            let y = if from == "degF difference" {
                convert_difference(x, "degF", to)?
            } else {
                convert(x, from, to)?
            };
            Ok(vec![number("y", y, to)])
        }
        _ => unknown(case),
    }
}

/// Units that no case of the file holds: decimal prefixes, and ratios of units that it does hold.
#[test]
fn units_beside_the_file() -> Result<(), Failure> {
    for (value, from, to, expected) in [
        (1.0, "MPa", "kPa", 1000.0),
        (1.0, "hPa", "mbar", 1.0),
        (1.0, "mmHg", "Pa", 133.3224),
        (1000.0, "mmH2O", "mH2O", 1.0),
        (1.0, "mH2O", "Pa", 9806.65),
        (25.0, "degC", "K", 298.15),
        (1.0, "m3/s", "m3/h", 3600.0),
        (60.0, "gph", "gpm", 1.0),
        (1440.0, "gal/d", "gpm", 1.0),
        (60.0, "L/h", "L/min", 1.0),
        (24.0, "L/d", "L/h", 1.0),
        (1000.0, "mL/min", "L/min", 1.0),
        (60.0, "ft3/h", "ft3/min", 1.0),
        (60.0, "ft3/min", "ft3/s", 1.0),
        (1.0, "ft3/s", "L/s", 28.316_846_592),
        (22.0, "kgal", "gal", 22_000.0),
        (1.0, "imp gal", "L", 4.546_09),
        (1728.0, "in3", "ft3", 1.0),
        (1.0, "km", "m", 1000.0),
        (100.0, "cm", "m", 1.0),
        (1000.0, "um", "mm", 1.0),
        (144.0, "in2", "ft2", 1.0),
        (1.0, "cm2", "mm2", 100.0),
        (60.0, "ft/min", "ft/s", 1.0),
        (24.0, "in/d", "in/h", 1.0),
        (7.0, "in/wk", "in/d", 1.0),
        (25.4, "mm/d", "in/d", 1.0),
        (2.54, "cm/d", "in/d", 1.0),
        (7.0, "mm/wk", "mm/d", 1.0),
        (1.0, "in/d", "m/s", 0.0254 / 86_400.0),
        (1.0, "t", "kg", 1000.0),
        (1000.0, "mg", "g", 1.0),
        (24.0, "kg/d", "kg/h", 1.0),
        (1000.0, "g/h", "kg/h", 1.0),
        (24.0, "lb/d", "lb/h", 1.0),
        (3.2, "g/L", "ppm", 3200.0),
        (150.0, "ppb", "ppm", 0.15),
        (8.345_404_452, "lb/gal", "kg/m3", 1000.0),
        (1000.0, "uS/cm", "mS/cm", 1.0),
        (1.0, "S/m", "mS/cm", 10.0),
        (1.0, "wk", "h", 168.0),
        (1.0, "d", "min", 1440.0),
        (1500.0, "ms", "s", 1.5),
        (1000.0, "uA", "mA", 1.0),
        (1000.0, "mA", "A", 1.0),
        (1000.0, "mV", "V", 1.0),
        (1.0, "kV", "V", 1000.0),
        (10.0, "kohm", "ohm", 10_000.0),
        (1.0, "Gohm", "Mohm", 1000.0),
        (1.0, "Mohm", "kohm", 1000.0),
        (1000.0, "nF", "uF", 1.0),
        (1000.0, "pF", "nF", 1.0),
        (1.0, "kHz", "Hz", 1000.0),
        (1.0, "kBTU/h", "BTU/h", 1000.0),
        (1.0, "TR", "BTU/h", 12_000.0),
        (3600.0, "kJ", "kWh", 1.0),
        (1000.0, "Wh", "kWh", 1.0),
        (12.0, "lbf in", "lbf ft", 1.0),
        (1.0, "lbf ft", "N m", 1.355_817_948),
        (60.0, "rpm", "rad/s", std::f64::consts::TAU),
        (180.0, "degree", "rad", std::f64::consts::PI),
        (50.0, "percent", "1", 0.5),
        (7.4, "pH", "pH", 7.4),
    ] {
        let got = convert(value, from, to)?;
        assert!(
            (got / expected - 1.0).abs() < 1e-9,
            "{value} {from} is {got} {to}, expected {expected}"
        );
    }
    Ok(())
}
