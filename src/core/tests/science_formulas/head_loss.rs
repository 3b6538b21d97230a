//! `head-loss.json`: friction, velocity, suction.

use crate::cases::{Answer, Case, Failure, check, number, unknown};
use padlore_core::science::head_loss::{
    PipeFlow, SCHEDULE_40, Suction, atmosphere_pa, flow_m3_per_h,
};
use padlore_core::science::liquid_water::vapour_pressure_pa;
use padlore_core::science::units::convert;

#[test]
fn head_loss() -> Result<(), Failure> {
    check("head-loss.json", &[], answer)
}

fn answer(case: &Case) -> Answer {
    let bore = || case.input("inside_diameter", "mm");
    match case.kind.as_str() {
        "pipe size" => {
            let nominal = case.input("nominal", "in")?;
            let size = SCHEDULE_40
                .into_iter()
                .find(|size| size.nominal_in == nominal)
                .ok_or("no such size")?;
            Ok(vec![
                number("outside_diameter", size.outside_mm, "mm"),
                number("minimum_wall", size.wall_min_mm, "mm"),
                number("inside_diameter", size.inside_mm(), "mm"),
                number("average_inside_diameter", size.inside_mean_mm, "mm"),
            ])
        }
        "friction loss" => {
            let flow = PipeFlow::new(
                case.input("flow", "m3/h")?,
                bore()?,
                case.input("temperature", "degC")?,
            )?;
            let (roughness, length) = (case.input("roughness", "mm")?, case.input("length", "m")?);
            let factor = flow.colebrook(roughness)?;
            Ok(vec![
                number("velocity", flow.velocity_m_per_s(), "m/s"),
                number("reynolds", flow.reynolds(), "1"),
                number("friction_factor", factor, "1"),
                number(
                    "friction_factor_swamee_jain",
                    flow.swamee_jain(roughness)?,
                    "1",
                ),
                number("loss_darcy", flow.darcy_loss_m(factor, length)?, "m"),
                number(
                    "loss_hazen_williams",
                    flow.hazen_williams_loss_m(case.input("C", "1")?, length)?,
                    "m",
                ),
            ])
        }
        "flow at a velocity limit" => Ok(vec![number(
            "flow",
            flow_m3_per_h(case.input("velocity", "m/s")?, bore()?)?,
            "m3/h",
        )]),
        // v = coefficient · gpm / in²: the velocity of one gallon a minute through one inch.
        "velocity formula" => {
            let flow = PipeFlow::new(convert(1.0, "gpm", "m3/h")?, 25.4, 20.0)?;
            let velocity = convert(flow.velocity_m_per_s(), "m/s", "ft/s")?;
            Ok(vec![number("coefficient", velocity, "ft/s in2/gpm")])
        }
        "minor loss" => {
            let flow = PipeFlow::new(case.input("flow", "m3/h")?, bore()?, 20.0)?;
            Ok(vec![number(
                "loss",
                flow.minor_loss_m(case.input("K", "1")?)?,
                "m",
            )])
        }
        "atmospheric pressure" => {
            let pressure = atmosphere_pa(case.input("altitude", "m")?)?;
            Ok(vec![
                number("pressure", pressure, "Pa"),
                number("psi", pressure, "Pa"),
            ])
        }
        "NPSH available" => {
            let line = Suction {
                altitude_m: case.input("altitude", "m")?,
                celsius: case.input("temperature", "degC")?,
                lift_m: case.input("static_lift", "m")?,
                loss_m: case.input("suction_loss", "m")?,
            };
            Ok(vec![
                number("npsh_available", line.npsh_available_m()?, "m"),
                number("vapour_pressure", vapour_pressure_pa(line.celsius)?, "Pa"),
                number("vacuum_at_pump", line.vacuum_pa()?, "Pa"),
                number("theoretical_max_lift", line.lift_max_m()?, "m"),
            ])
        }
        _ => unknown(case),
    }
}

#[test]
fn flow_outside_the_formulas_is_refused() -> Result<(), Failure> {
    let creeping = PipeFlow::new(0.01, 50.0, 20.0)?;
    assert!(
        creeping.reynolds() < 2300.0
            && creeping.colebrook(0.0015).is_err()
            && creeping.swamee_jain(0.0015).is_err()
    );
    let turbulent = PipeFlow::new(14.0, 50.0, 20.0)?;
    assert!(turbulent.colebrook(10.0).is_err() && turbulent.colebrook(-0.1).is_err());
    assert!(
        turbulent.hazen_williams_loss_m(0.0, 10.0).is_err()
            && turbulent.darcy_loss_m(0.02, -1.0).is_err()
    );
    assert!(PipeFlow::new(0.0, 50.0, 20.0).is_err() && PipeFlow::new(14.0, 0.0, 20.0).is_err());
    assert!(atmosphere_pa(20_000.0).is_err());
    // Water of 100 °C boils at 3000 m: nothing is left to lift it.
    let boiling = Suction {
        altitude_m: 3000.0,
        celsius: 100.0,
        lift_m: 0.0,
        loss_m: 0.0,
    };
    assert!(boiling.npsh_available_m().is_err());
    Ok(())
}

/// Where the wall is rough and the flow fast, friction depends on the wall alone: 1/√f = 2·log10(3.7·d/ε) (von Kármán,
/// J. Royal Aeronautical Soc. 41 (1937), as limit of Colebrook's equation; from memory).
#[test]
fn rough_walls_rule_in_fast_water() -> Result<(), Failure> {
    let fast = PipeFlow::new(14_000.0, 500.0, 20.0)?;
    assert!(fast.reynolds() > 9e6);
    for roughness_mm in [1.0_f64, 5.0] {
        let limit = (2.0_f64 * (3.7 * 500.0 / roughness_mm).log10()).powi(-2);
        for factor in [
            fast.colebrook(roughness_mm)?,
            fast.swamee_jain(roughness_mm)?,
        ] {
            assert!(
                (factor / limit - 1.0).abs() < 0.003,
                "{roughness_mm} mm: {factor}, limit {limit}"
            );
        }
    }
    Ok(())
}
