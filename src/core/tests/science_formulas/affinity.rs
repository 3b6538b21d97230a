//! `pump-affinity.json`: affinity laws, operating points, hydraulic power, a federal rule.

use crate::cases::{Answer, Case, Failure, check, number, unknown};
use padlore_core::science::affinity::{
    Curves, Duty, REFERENCE_CURVES_FT_PER_GPM2, energy_factor_l_per_wh, equal_volume,
    hydraulic_power_w, speed_for_flow, weighted_energy_factor_min, wire_to_water,
};
use padlore_core::science::head_loss::total_head_m;
use padlore_core::science::motor::{slip, synchronous_rpm};
use padlore_core::science::units::convert;

#[test]
fn affinity() -> Result<(), Failure> {
    check("pump-affinity.json", &[], answer)
}

fn answer(case: &Case) -> Answer {
    let ratio = || Ok::<_, Failure>(case.input("speed_2", "rpm")? / case.input("speed_1", "rpm")?);
    match case.kind.as_str() {
        "affinity laws" if case.has("speed_ratio") => {
            let one = Duty {
                flow: 1.0,
                head: 1.0,
                power: 1.0,
            }
            .at_speed_ratio(case.input("speed_ratio", "1")?)?;
            Ok(vec![
                number("flow_ratio", one.flow, "1"),
                number("head_ratio", one.head, "1"),
                number("power_ratio", one.power, "1"),
            ])
        }
        "affinity laws" if case.has("flow_2") => {
            let (first, second) = (case.input("flow_1", "gpm")?, case.input("flow_2", "gpm")?);
            let one = Duty {
                flow: 1.0,
                head: 1.0,
                power: 1.0,
            };
            let speed = case.input("speed_1", "rpm")?;
            let wanted = speed_for_flow(speed, first, second)?;
            Ok(vec![
                number("speed_2", wanted, "rpm"),
                number(
                    "power_ratio",
                    one.at_speed_ratio(wanted / speed)?.power,
                    "1",
                ),
            ])
        }
        "affinity laws" => {
            let duty = Duty {
                flow: case.input("flow_1", "gpm")?,
                head: case.input("head_1", "ft")?,
                power: case.input("power_1", "W")?,
            };
            let second = duty.at_speed_ratio(ratio()?)?;
            Ok(vec![
                number("flow_2", second.flow, "gpm"),
                number("head_2", second.head, "ft"),
                number("power_2", second.power, "W"),
            ])
        }
        "energy for equal turnover" => {
            let found = equal_volume(
                case.input("power_1", "W")?,
                case.input("hours_1", "h")?,
                ratio()?,
            )?;
            Ok(vec![
                number("hours_2", found.hours, "h"),
                number("energy_1", found.first_kwh, "kWh"),
                number("energy_2", found.second_kwh, "kWh"),
                number("saving", found.saved, "1"),
            ])
        }
        "system curve intersection" => {
            let curves = Curves {
                shutoff_head: case.input("H0", "ft")?,
                pump_slope: case.input("a", "ft/gpm2")?,
                static_head: case.input("Hs", "ft")?,
                system_slope: case.input("k", "ft/gpm2")?,
            };
            let (flow, head) = curves.operating_point(case.input("speed_ratio", "1")?)?;
            Ok(vec![
                number("flow", flow, "gpm"),
                number("head", head, "ft"),
            ])
        }
        "reference system curve" => {
            let name = case.id.rsplit('.').next();
            let curve = REFERENCE_CURVES_FT_PER_GPM2
                .iter()
                .find(|(curve, _)| Some(*curve) == name);
            Ok(vec![number(
                "k",
                curve.ok_or("no such curve")?.1,
                "ft/gpm2",
            )])
        }
        "hydraulic horsepower" => {
            let power = hydraulic_power_w(case.input("flow", "m3/h")?, case.input("head", "m")?)?;
            Ok(vec![
                number("hydraulic_power", power, "W"),
                number("watts", power, "W"),
            ])
        }
        "wire-to-water efficiency" => {
            let (flow, power) = (case.input("flow", "m3/h")?, case.input("power", "W")?);
            let hydraulic = hydraulic_power_w(flow, case.input("head", "m")?)?;
            let factor = convert(energy_factor_l_per_wh(flow, power)?, "L", "gal")?;
            Ok(vec![
                number("efficiency", wire_to_water(hydraulic, power)?, "1"),
                number("energy_factor", factor, "gal/Wh"),
            ])
        }
        "minimum weighted energy factor" => {
            let least = weighted_energy_factor_min(case.input("hydraulic_power", "W")?)?;
            Ok(vec![number("wef_min", least, "kgal/kWh")])
        }
        "induction motor speed" => {
            let poles = [2_u32, 4, 6]
                .into_iter()
                .find(|p| case.input("poles", "1").is_ok_and(|n| n == f64::from(*p)));
            let field = synchronous_rpm(
                case.input("frequency", "Hz")?,
                poles.ok_or("odd number of poles")?,
            )?;
            let slip = slip(field, case.input("speed", "rpm")?)?;
            Ok(vec![
                number("synchronous_speed", field, "rpm"),
                number("slip", slip, "1"),
            ])
        }
        "total dynamic head from gauges" => {
            let head = total_head_m(
                case.input("discharge", "Pa")?,
                case.input("suction_vacuum", "Pa")?,
                case.input("gauge_height_difference", "m")?,
            )?;
            Ok(vec![number("head", head, "m")])
        }
        _ => unknown(case),
    }
}

#[test]
fn impossible_pumps_are_refused() {
    let still = Duty {
        flow: 80.0,
        head: 60.0,
        power: 1500.0,
    };
    assert!(still.at_speed_ratio(0.0).is_err() && still.at_speed_ratio(f64::NAN).is_err());
    assert!(equal_volume(1500.0, 8.0, -1.0).is_err());
    let flat = Curves {
        shutoff_head: 90.0,
        pump_slope: 0.0,
        static_head: 0.0,
        system_slope: 0.0,
    };
    assert!(flat.operating_point(1.0).is_err());
    assert!(wire_to_water(1500.0, 1000.0).is_err());
    let two_and_a_half_hp = 2.5 * 745.7;
    assert!(weighted_energy_factor_min(two_and_a_half_hp).is_err());
    assert!(weighted_energy_factor_min(0.0).is_err());
}
