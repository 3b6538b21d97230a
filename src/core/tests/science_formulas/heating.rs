//! `heating.json`: temperature rise, time, coefficient of performance, evaporation, gas meter.

use crate::cases::{Answer, Case, Failure, LeftOut, check, number, unknown};
use padlore_core::science::heating::{
    Activity, Surface, USUAL_COP, coefficient_of_performance, dial_time_s, efficiency, evaporation,
    gas_input_w, gas_volume_factor, heat_to_evaporate_j, heat_up_h, metered_flow_m3_per_h,
    output_w, rise_k, rise_k_per_h, volumetric_heat_capacity_j_per_m3_k,
};
use padlore_core::science::liquid_water::{density_kg_per_m3, heat_capacity_j_per_kg_k};
use padlore_core::science::units::convert;

const LEFT_OUT: [LeftOut<'static>; 4] = [
    (
        "heat.evap.equation",
        "equation",
        "a text; its values are the cases of the kind `evaporation`",
    ),
    (
        "heat.evap.equation",
        "unoccupied_measured",
        "a finding about the equation, told in the doc comment",
    ),
    (
        "heat.evap.equation",
        "15_to_20_swimmers_per_1000ft2",
        "a finding about the equation, told in the doc comment",
    ),
    (
        "heat.evap.per-gallon.text",
        "per_inch",
        "a lower bound (`over 50 therms`), tested as one below",
    ),
];

#[test]
fn heating() -> Result<(), Failure> {
    check("heating.json", &LEFT_OUT, answer)
}

/// Joules per cubic metre of gas from Btu per cubic foot.
fn heating_value(case: &Case) -> Result<f64, Failure> {
    Ok(
        case.input("heating_value", "Btu/ft3")? * convert(1.0, "BTU", "J")?
            / convert(1.0, "ft3", "m3")?,
    )
}

/// Temperature at which the files take a gallon for 8.34 lb where they name none: 80 °F.
const USUAL_CELSIUS: f64 = 26.7;

fn answer(case: &Case) -> Answer {
    let flow = || case.input("flow", "m3/h");
    let celsius = |name: &str| case.input(name, "degC");
    let fired = || Ok::<_, Failure>(case.input("input", "W")? * case.input("efficiency", "1")?);
    match case.kind.as_str() {
        // The rule of 500 and the exact balance are both met by the exact balance, each within its tolerance.
        "heater temperature rise" => {
            let rise = rise_k(fired()?, flow()?, celsius("inlet")?)?;
            if case.id.starts_with("heat.rise.") {
                case.cross("rise_exact", rise * 1.8, 0.000_5 * rise)?;
            }
            let back = output_w(flow()?, celsius("inlet")?, rise)?;
            assert!(
                (back / fired()? - 1.0).abs() < 1e-9,
                "{}: {back} W comes back",
                case.id
            );
            Ok(vec![number("rise", rise, "delta_degC")])
        }
        "the 500 factor" => {
            let t = celsius("temperature")?;
            let per_hour = volumetric_heat_capacity_j_per_m3_k(t)? * convert(1.0, "gpm", "m3/s")?;
            let heat_capacity = heat_capacity_j_per_kg_k(t)? * convert(1.0, "lb", "kg")?
                / convert(1.0, "BTU", "J")?;
            Ok(vec![
                number(
                    "factor",
                    convert(per_hour / 1.8, "W", "BTU/h")?,
                    "Btu/(h gpm delta_degF)",
                ),
                number("density", density_kg_per_m3(t)?, "kg/m3"),
                number("cp", heat_capacity / 1.8, "Btu/(lb delta_degF)"),
            ])
        }
        "heat output from rise" => Ok(vec![number(
            "output",
            output_w(flow()?, USUAL_CELSIUS, case.input("rise", "delta_degC")?)?,
            "W",
        )]),
        "heat-up time" => {
            let time = heat_up_h(
                case.input("volume", "m3")?,
                celsius("from")?,
                celsius("to")?,
                fired()?,
            )?;
            case.cross("time_exact_iapws", time, 2e-4 * time)?;
            Ok(vec![number("time", time, "h")])
        }
        "electric heater time" => {
            let (volume, power) = (case.input("volume", "m3")?, case.input("power", "W")?);
            let rate = rise_k_per_h(volume, USUAL_CELSIUS, power)?;
            Ok(vec![
                number(
                    "time",
                    heat_up_h(volume, celsius("from")?, celsius("to")?, power)?,
                    "h",
                ),
                number("rise_per_hour", rate * 1.8, "delta_degF/h"),
            ])
        }
        "heat pump COP" if case.has("output") => {
            let cop =
                coefficient_of_performance(case.input("output", "W")?, case.input("power", "W")?)?;
            Ok(vec![number("cop", cop, "1")])
        }
        "heat pump COP" if case.has("rise") => {
            let heat = output_w(flow()?, USUAL_CELSIUS, case.input("rise", "delta_degC")?)?;
            Ok(vec![number(
                "cop",
                coefficient_of_performance(heat, case.input("power", "W")?)?,
                "1",
            )])
        }
        "heat pump COP" => Ok(vec![
            number("low", USUAL_COP.0, "1"),
            number("high", USUAL_COP.1, "1"),
        ]),
        "evaporation equation" => Ok(vec![]),
        "evaporation" => evaporated(case),
        "activity factor" => {
            let use_of_water = match case.text("pool")? {
                "residential pool" => Activity::Residential,
                "condominium" => Activity::Condominium,
                "therapy" => Activity::Therapy,
                "hotel" => Activity::Hotel,
                "public, school" => Activity::Public,
                "whirlpool, spa" => Activity::Whirlpool,
                "wave pool, slides (minimum)" => Activity::Waves,
                other => return Err(format!("no use for `{other}`").into()),
            };
            Ok(vec![number("activity_factor", use_of_water.factor(), "1")])
        }
        "latent heat" => {
            let t = if case.has("temperature") {
                celsius("temperature")?
            } else {
                USUAL_CELSIUS
            };
            let heat = heat_to_evaporate_j(case.input("volume", "m3")?, t)?;
            let inch_over_1000ft2 = convert(1000.0, "ft2", "m2")? * convert(1.0, "in", "m")?;
            Ok(vec![
                number("heat", heat, "J"),
                number("heat_at_least", heat, "J"),
                number("inch_over_1000ft2", inch_over_1000ft2, "m3"),
            ])
        }
        "gas meter clocking" if case.has("time") => {
            let flow = metered_flow_m3_per_h(case.input("dial", "m3")?, case.input("time", "s")?)?;
            let input = gas_input_w(flow, heating_value(case)?)?;
            Ok(vec![
                number("flow", flow, "m3/h"),
                number("input", input, "W"),
            ])
        }
        "gas meter clocking" => {
            let dial = case.input("dial", "m3")?;
            let time = dial_time_s(dial, case.input("input", "W")?, heating_value(case)?)?;
            Ok(vec![
                number("time", time, "s"),
                number("flow", metered_flow_m3_per_h(dial, time)?, "m3/h"),
            ])
        }
        "gas volume correction" => {
            let factor =
                gas_volume_factor(case.input("meter_pressure", "Pa")?, celsius("temperature")?)?;
            Ok(vec![number("factor", factor, "1")])
        }
        _ => unknown(case),
    }
}

fn evaporated(case: &Case) -> Answer {
    let surface = Surface {
        area_m2: case.input("area", "m2")?,
        water_celsius: case.input("water", "degC")?,
        air_celsius: case.input("air", "degC")?,
        humidity: case.input("relative_humidity", "1")?,
        air_m_per_s: case.input("air_speed", "m/s")?,
        activity_factor: case.input("activity_factor", "1")?,
    };
    let found = evaporation(surface)?;
    // The note tells the fall of the level in inches a day, to a thousandth.
    let told = case
        .note
        .strip_prefix("level drop ")
        .and_then(|rest| rest.strip_suffix(" in/d"));
    let told: f64 = told.ok_or("the note tells no fall of the level")?.parse()?;
    let fall = convert(found.mm_per_day, "mm/d", "in/d")?;
    assert!(
        (fall - told).abs() < 0.01 * told + 0.000_5,
        "{}: {fall} in/d, told {told}",
        case.id
    );
    let latent = found.latent_j_per_kg * convert(1.0, "lb", "kg")? / convert(1.0, "BTU", "J")?;
    let lost = found.kg_per_h / density_kg_per_m3(surface.water_celsius)?;
    Ok(vec![
        number("pw", found.water_pa, "Pa"),
        number("pa", found.air_pa, "Pa"),
        number("latent_heat", latent, "Btu/lb"),
        number("evaporation", found.kg_per_h, "kg/h"),
        number("water_loss", lost, "m3/h"),
        number("heat_loss", found.heat_w, "W"),
    ])
}

/// US Department of Energy: an inch that evaporates over 1000 ft² takes "over 50 therms".
#[test]
fn an_inch_takes_over_fifty_therms() -> Result<(), Failure> {
    let inch = convert(1000.0, "ft2", "m2")? * convert(1.0, "in", "m")?;
    let therms = convert(heat_to_evaporate_j(inch, USUAL_CELSIUS)?, "J", "therm")?;
    assert!((50.0..56.0).contains(&therms), "{therms}");
    Ok(())
}

#[test]
fn impossible_heaters_are_refused() -> Result<(), Failure> {
    assert!(rise_k(100_000.0, 0.0, 25.0).is_err() && rise_k(-1.0, 10.0, 25.0).is_err());
    assert!(rise_k(1e7, 1.0, 25.0).is_err(), "boils");
    assert!(
        heat_up_h(60.0, 30.0, 20.0, 100_000.0).is_err()
            && heat_up_h(60.0, 20.0, 30.0, 0.0).is_err()
    );
    assert!(coefficient_of_performance(5000.0, 0.0).is_err() && efficiency(120.0, 100.0).is_err());
    assert!((efficiency(82.0, 100.0)? - 0.82).abs() < 1e-12);
    assert!(metered_flow_m3_per_h(0.05, 0.0).is_err() && gas_volume_factor(-2e5, 15.0).is_err());
    let still = Surface {
        area_m2: 40.0,
        water_celsius: 26.0,
        air_celsius: 35.0,
        humidity: 0.9,
        air_m_per_s: 0.1,
        activity_factor: 0.5,
    };
    assert_eq!(
        evaporation(still)?.kg_per_h,
        0.0,
        "moist warm air gives water, it takes none"
    );
    assert!(
        evaporation(Surface {
            humidity: 1.2,
            ..still
        })
        .is_err()
    );
    Ok(())
}
