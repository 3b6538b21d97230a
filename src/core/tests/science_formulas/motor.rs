//! `motor.json`: power, leakage, protective devices, insulation, capacitors, supply.

use crate::cases::{Answer, Case, Failure, Got, check, number, unknown};
use padlore_core::science::motor::{
    Band, CLASS_A_TRIP_A, EQUIPMENT_PROTECTION_A, INSULATION_BASE, RCD_30_MA, Trip, Winding,
    capacitance_f, capacitor_current_a, class_a_trip, class_a_trip_time_s, input_of_shaft_power,
    insulation_at_40c, insulation_min_mohm, polarization_index, range_label, single_phase_power,
    supply_band, three_phase_power_w, tolerance_band, torque_n_m, total_leakage_a,
    voltage_unbalance, watts_of_horsepower,
};

#[test]
fn motor() -> Result<(), Failure> {
    check("motor.json", &[], answer)
}

fn answer(case: &Case) -> Answer {
    let volt = || case.input("voltage", "V");
    let ampere = || case.input("current", "A");
    let power_factor = || case.input("power_factor", "1");
    match case.kind.as_str() {
        "single-phase power" => {
            let power = single_phase_power(volt()?, ampere()?, power_factor()?)?;
            Ok(vec![
                number("power", power.active_w, "W"),
                number("apparent", power.apparent_va, "VA"),
                number("reactive", power.reactive_var, "var"),
            ])
        }
        "three-phase power" => Ok(vec![number(
            "power",
            three_phase_power_w(volt()?, ampere()?, power_factor()?)?,
            "W",
        )]),
        "input from shaft power" => {
            let shaft = watts_of_horsepower(case.input("shaft", "hp")?)?;
            let (input, current) = input_of_shaft_power(
                shaft,
                case.input("efficiency", "1")?,
                volt()?,
                power_factor()?,
            )?;
            Ok(vec![
                number("input", input, "W"),
                number("current", current, "A"),
            ])
        }
        "shaft torque" => {
            let torque = torque_n_m(case.input("shaft", "W")?, case.input("speed", "rpm")?)?;
            Ok(vec![
                number("torque", torque, "N m"),
                number("torque_lbft", torque, "N m"),
            ])
        }
        "filter leakage current" => {
            let farad = case.input("capacitance", "nF")? * 1e-9;
            let leakage = capacitor_current_a(farad, volt()?, case.input("frequency", "Hz")?)?;
            Ok(vec![number("leakage", leakage, "A")])
        }
        "capacitance that reaches a trip level" | "capacitance from running readings" => {
            let farad = capacitance_f(ampere()?, volt()?, case.input("frequency", "Hz")?)?;
            Ok(vec![number("capacitance", farad * 1e9, "nF")])
        }
        "leakage of several loads" => Ok(vec![number(
            "total",
            total_leakage_a(&case.list("parts", "A")?)?,
            "A",
        )]),
        "trip band" => Ok(vec![
            number("must_not_trip_below", CLASS_A_TRIP_A.0, "A"),
            number("must_trip_at", CLASS_A_TRIP_A.1, "A"),
        ]),
        "maximum trip time" => Ok(vec![number("time", class_a_trip_time_s(ampere()?)?, "s")]),
        "trip judgement" => {
            let verdict = match class_a_trip(ampere()?)? {
                Trip::MustNot => "must not trip",
                Trip::May => "may trip",
                Trip::Must => "must trip",
            };
            Ok(vec![("class_a", Got::Word(verdict))])
        }
        "equipment protection level" => Ok(vec![number("level", EQUIPMENT_PROTECTION_A, "A")]),
        "residual current device" => Ok(vec![
            number("rated", RCD_30_MA.rated_a, "A"),
            number("non_operating", RCD_30_MA.non_operating_a, "A"),
            number("time_at_rated", RCD_30_MA.time_at_rated_s, "s"),
            number("time_at_5x", RCD_30_MA.time_at_five_s, "s"),
        ]),
        "insulation resistance at 40 degC" => {
            let corrected = insulation_at_40c(
                case.input("reading", "Mohm")?,
                case.input("winding", "degC")?,
            )?;
            Ok(vec![number("corrected", corrected, "Mohm")])
        }
        "base temperature" => Ok(vec![
            number("base", INSULATION_BASE.0, "degC"),
            number("reading_after", INSULATION_BASE.1, "s"),
        ]),
        "minimum insulation resistance" => {
            let winding = match case.text("machine")? {
                "random-wound below 1 kV" => Winding::RandomWound,
                "form-wound and armature windings after about 1970" => Winding::FormWound,
                text if text.contains("kV + 1 (at 0.24 kV)") => Winding::Older { rated_v: 240.0 },
                other => return Err(format!("no winding for `{other}`").into()),
            };
            Ok(vec![number(
                "minimum",
                insulation_min_mohm(winding)?,
                "Mohm",
            )])
        }
        "polarization index" => {
            let index = polarization_index(
                case.input("r_1min", "Mohm")?,
                case.input("r_10min", "Mohm")?,
            )?;
            Ok(vec![number("polarization_index", index, "1")])
        }
        "capacitor tolerance" => {
            let reading = case.input("reading", "uF")?;
            let band = tolerance_band(
                case.input("rated", "uF")?,
                case.input("tolerance", "1")?,
                reading,
            )?;
            Ok(banded(band, reading, "uF"))
        }
        "start capacitor range label" => {
            let (low, high) = range_label(case.text("label")?).ok_or("no range label")?;
            Ok(vec![number("low", low, "uF"), number("high", high, "uF")])
        }
        "supply voltage deviation" => {
            let measured = case.input("measured", "V")?;
            Ok(banded(
                supply_band(measured, case.input("nameplate", "V")?)?,
                measured,
                "V",
            ))
        }
        "voltage unbalance" => {
            let lines = [
                case.input("ab", "V")?,
                case.input("bc", "V")?,
                case.input("ca", "V")?,
            ];
            Ok(vec![number("unbalance", voltage_unbalance(lines)?, "1")])
        }
        _ => unknown(case),
    }
}

fn banded(band: Band, reading: f64, unit: &str) -> Vec<(&'static str, Got)> {
    vec![
        number("low", band.low, unit),
        number("high", band.high, unit),
        number("deviation", band.deviation, "1"),
        ("within", Got::Truth(band.holds(reading))),
    ]
}

#[test]
fn impossible_readings_are_refused() {
    assert!(
        single_phase_power(230.0, 8.0, 1.1).is_err()
            && single_phase_power(230.0, -1.0, 0.9).is_err()
    );
    assert!(input_of_shaft_power(1100.0, 0.0, 230.0, 0.9).is_err());
    assert!(torque_n_m(1100.0, 0.0).is_err());
    assert!(
        capacitance_f(2.0, 0.0, 60.0).is_err() && capacitor_current_a(1e-9, 120.0, 0.0).is_err()
    );
    assert!(total_leakage_a(&[0.001, -0.001]).is_err());
    assert!(class_a_trip(-0.001).is_err() && class_a_trip(f64::NAN).is_err());
    assert!(insulation_at_40c(100.0, 500.0).is_err() && polarization_index(0.0, 100.0).is_err());
    assert!(tolerance_band(0.0, 0.06, 10.0).is_err() && supply_band(230.0, 0.0).is_err());
    assert!(
        voltage_unbalance([0.0; 3]).is_err()
            && voltage_unbalance([230.0, f64::NAN, 230.0]).is_err()
    );
}
