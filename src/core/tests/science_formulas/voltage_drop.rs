//! `voltage-drop.json`: table resistances, drop, and a second road by resistivity.

use crate::cases::{Answer, Case, Failure, check, number, unknown};
use padlore_core::science::units::convert;
use padlore_core::science::voltage_drop::{
    ADVISED_DROP, Awg, Conductor, Make, Run, copper, measured_resistance,
};

#[test]
fn voltage_drop() -> Result<(), Failure> {
    check("voltage-drop.json", &[], answer)
}

fn conductor(case: &Case, make: Option<Make>) -> Result<Conductor, Failure> {
    let size = case.input("size", "AWG")?;
    let gauge: Awg = format!("{size}").parse()?;
    Ok(copper(gauge, make).ok_or("no such conductor")?)
}

/// A resistance in Ω/m as the files have it.
fn per_kft(ohm_per_m: f64) -> Result<f64, Failure> {
    Ok(ohm_per_m * convert(1000.0, "ft", "m")?)
}

fn answer(case: &Case) -> Answer {
    let run = || {
        Ok::<_, Failure>(Run {
            supply_v: case.input("supply", "V")?,
            current_a: case.input("current", "A")?,
            length_m: case.input("length", "m")?,
        })
    };
    match case.kind.as_str() {
        "conductor resistance" => {
            let make = case.has("strands").then_some(Make::SevenStrand);
            let row = conductor(case, make)?;
            let second = per_kft(row.ohm_per_m_by_resistivity(75.0)?)?;
            let name = if case.has("strands") {
                "from_resistivity_and_lay_1.02"
            } else {
                "from_resistivity"
            };
            case.cross(name, second, 1e-4 * second)?;
            assert!(
                (row.circular_mils / row.gauge.circular_mils() - 1.0).abs() < 0.001,
                "{}: area",
                case.id
            );
            Ok(vec![
                number("resistance", per_kft(row.ohm_per_m(75.0)?)?, "ohm/1000 ft"),
                number("area", row.circular_mils, "cmil"),
            ])
        }
        "conductor resistance, second route" => {
            let row = conductor(case, None)?;
            assert_eq!(
                row.circular_mils,
                case.input("area", "cmil")?,
                "{}",
                case.id
            );
            let resistance = row.ohm_per_m_by_resistivity(case.input("temperature", "degC")?)?;
            Ok(vec![number(
                "resistance",
                per_kft(resistance)?,
                "ohm/1000 ft",
            )])
        }
        "temperature correction" => {
            let (row, celsius) = (conductor(case, None)?, case.input("temperature", "degC")?);
            let (table, resistivity) = (
                row.ohm_per_m(celsius)?,
                row.ohm_per_m_by_resistivity(celsius)?,
            );
            case.cross(
                "from_resistivity",
                per_kft(resistivity)?,
                1e-4 * per_kft(resistivity)?,
            )?;
            Ok(vec![number("resistance", per_kft(table)?, "ohm/1000 ft")])
        }
        "voltage drop" => {
            let row = conductor(case, None)?;
            let found = run()?.drop(row.ohm_per_m(75.0)?)?;
            let second = run()?.drop(row.ohm_per_m_by_resistivity(75.0)?)?.drop_v;
            case.cross("drop_from_resistivity", second, 1e-4 * second)?;
            Ok(vec![
                number("drop", found.drop_v, "V"),
                number("percent", found.share, "1"),
                number("at_load", found.load_v, "V"),
                number("loss", found.loss_w, "W"),
            ])
        }
        "smallest size for a drop" => {
            let row = run()?
                .thinnest(case.input("limit", "1")?)?
                .ok_or("no conductor is thick enough")?;
            Ok(vec![number("size", f64::from(row.gauge.number()), "AWG")])
        }
        "recommended limit" => Ok(vec![
            number("branch", ADVISED_DROP.0, "1"),
            number("total", ADVISED_DROP.1, "1"),
        ]),
        "circuit resistance from readings" => {
            let (open, loaded) = (case.input("no_load", "V")?, case.input("loaded", "V")?);
            let (resistance, share) =
                measured_resistance(open, loaded, case.input("current", "A")?)?;
            Ok(vec![
                number("resistance", resistance, "ohm"),
                number("percent", share, "1"),
            ])
        }
        _ => unknown(case),
    }
}

#[test]
fn impossible_circuits_are_refused() -> Result<(), Failure> {
    let row = copper(Awg::new(12)?, None).ok_or("No. 12 is gone")?;
    let run = Run {
        supply_v: 120.0,
        current_a: 16.0,
        length_m: 30.0,
    };
    assert!(run.drop(0.0).is_err() && row.ohm_per_m(400.0).is_err());
    assert!(
        Run {
            supply_v: 0.0,
            ..run
        }
        .drop(0.005)
        .is_err()
    );
    assert!(
        Run {
            length_m: 1e6,
            ..run
        }
        .drop(0.005)
        .is_err()
    );
    assert!(run.thinnest(0.0).is_err() && run.thinnest(3.0).is_err());
    assert!(
        measured_resistance(120.0, 125.0, 10.0).is_err()
            && measured_resistance(120.0, 115.0, 0.0).is_err()
    );
    assert!(Awg::new(41).is_err() && Awg::new(-4).is_err());
    Ok(())
}
