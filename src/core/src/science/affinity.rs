//! How a centrifugal pump follows its speed, and where it runs on a given piping system.
//!
//! With the diameter of the impeller unchanged, flow goes with speed, head with its square and shaft power with its
//! cube (the affinity laws; Hydraulic Institute and US Department of Energy pump texts). The laws hold for the shaft:
//! motor and drive losses do not follow the cube, so electric power measured at low speed is higher. Head and flow may
//! be in any unit here where only their ratio matters; the functions that need one say which.

use super::{DomainError, finite, not_negative, positive, share, within};

/// Watts in one horsepower of 550 ft·lbf/s: 550 · 0.3048 m · 0.45359237 kg · 9.80665 m/s² (NIST SP 811 appendix B).
pub const WATT_PER_HORSEPOWER: f64 = 550.0 * 0.3048 * 0.453_592_37 * super::STANDARD_GRAVITY;

/// One point of operation. Flow and head in any unit, power in any unit; what comes out is in the same ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duty {
    /// Volume flow.
    pub flow: f64,
    /// Head.
    pub head: f64,
    /// Shaft power.
    pub power: f64,
}

impl Duty {
    /// The same point at another speed: flow · r, head · r², power · r³ (affinity laws).
    ///
    /// # Errors
    /// The speed ratio must be above zero, the duty finite.
    pub fn at_speed_ratio(self, ratio: f64) -> Result<Self, DomainError> {
        let r = positive("speed ratio", ratio)?;
        Ok(Self {
            flow: finite("flow", self.flow)? * r,
            head: finite("head", self.head)? * r.powi(2),
            power: finite("power", self.power)? * r.powi(3),
        })
    }
}

/// The speed that gives `flow_wanted` where `speed` gives `flow`; exact only where the system has no static head
/// (affinity law of flow). Both flows in one unit.
///
/// # Errors
/// All three must be above zero.
pub fn speed_for_flow(speed: f64, flow: f64, flow_wanted: f64) -> Result<f64, DomainError> {
    Ok(positive("speed", speed)? * positive("wanted flow", flow_wanted)? / positive("flow", flow)?)
}

/// Time and energy to move one volume at two speeds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EqualVolume {
    /// Hours at the second speed.
    pub hours: f64,
    /// Energy at the first speed in kWh.
    pub first_kwh: f64,
    /// Energy at the second speed in kWh.
    pub second_kwh: f64,
    /// Share of the energy saved; below zero where the second speed is the higher.
    pub saved: f64,
}

/// What it takes to move at `speed_ratio` times the speed the volume that `power_w` W moves in `hours` h
/// (affinity laws: time · 1/r, energy · r²).
///
/// # Errors
/// All must be above zero.
pub fn equal_volume(
    power_w: f64,
    hours: f64,
    speed_ratio: f64,
) -> Result<EqualVolume, DomainError> {
    let r = positive("speed ratio", speed_ratio)?;
    let first_kwh = positive("power", power_w)? * positive("hours", hours)? / 1000.0;
    Ok(EqualVolume {
        hours: hours / r,
        first_kwh,
        second_kwh: first_kwh * r * r,
        saved: 1.0 - r * r,
    })
}

/// A pump curve H = H0·r² − a·Q² against a system curve H = Hs + k·Q², r being the speed ratio. Units of head and
/// flow are free but must agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curves {
    /// Head at no flow and full speed, H0.
    pub shutoff_head: f64,
    /// Fall of the pump's head, a, in head per flow squared.
    pub pump_slope: f64,
    /// Static head of the system, Hs.
    pub static_head: f64,
    /// Friction of the system, k, in head per flow squared.
    pub system_slope: f64,
}

impl Curves {
    /// Flow and head where the curves meet at a speed ratio: Q = √((H0·r² − Hs)/(a + k)). Where the shutoff head does
    /// not reach the static head there is no flow: the pump churns.
    ///
    /// # Errors
    /// Shutoff head, speed ratio and the sum of the slopes must be above zero, either slope not below it.
    pub fn operating_point(self, speed_ratio: f64) -> Result<(f64, f64), DomainError> {
        let shutoff = positive("shutoff head", self.shutoff_head)?
            * positive("speed ratio", speed_ratio)?.powi(2);
        not_negative("slope of the pump curve", self.pump_slope)?;
        not_negative("slope of the system curve", self.system_slope)?;
        let slope = positive("sum of the slopes", self.pump_slope + self.system_slope)?;
        let lift = shutoff - finite("static head", self.static_head)?;
        if lift <= 0.0 {
            return Ok((0.0, shutoff));
        }
        let flow = (lift / slope).sqrt();
        Ok((flow, self.static_head + self.system_slope * flow * flow))
    }
}

/// Friction k of the three reference system curves H = k·Q² (ft, US gpm) that pumps are rated on. Source: US
/// Department of Energy, 10 CFR 431 subpart Y, and earlier state test curves; the values are from memory.
pub const REFERENCE_CURVES_FT_PER_GPM2: [(&str, f64); 3] =
    [("A", 0.0167), ("B", 0.0500), ("C", 0.0082)];

/// Hydraulic power in W of a flow in m³/h against a head in m: ρ·g·Q·H, water at 20 °C (998.2 kg/m³).
///
/// # Errors
/// Neither may be below zero.
pub fn hydraulic_power_w(flow_m3_per_h: f64, head_m: f64) -> Result<f64, DomainError> {
    const DENSITY_20C: f64 = 998.2; // kg/m³, IAPWS SR6-08
    let flow = not_negative("flow", flow_m3_per_h)? / 3600.0;
    Ok(DENSITY_20C * super::STANDARD_GRAVITY * flow * not_negative("head", head_m)?)
}

/// Wire-to-water efficiency: hydraulic power over electric power, both in W.
///
/// # Errors
/// Electric power must be above zero; more water power than electric power is out of range.
pub fn wire_to_water(hydraulic_w: f64, electric_w: f64) -> Result<f64, DomainError> {
    share(
        "efficiency",
        positive("hydraulic power", hydraulic_w)? / positive("electric power", electric_w)?,
    )
}

/// Energy factor: litres moved per watt-hour of electric energy, from a flow in m³/h and a power in W.
///
/// # Errors
/// Flow must not be below zero, power must be above.
pub fn energy_factor_l_per_wh(flow_m3_per_h: f64, electric_w: f64) -> Result<f64, DomainError> {
    Ok(not_negative("flow", flow_m3_per_h)? * 1000.0 / positive("electric power", electric_w)?)
}

/// Least weighted energy factor, in thousand US gallons per kWh, that a self-priming filter pump of a hydraulic
/// power in W may have. Source: US 10 CFR 431.465(f) as read in a copy headed "effective until 8/5/2024":
/// 5.55 up to 0.13 hp, −1.30·ln(hp) + 2.90 below 0.711 hp, −2.30·ln(hp) + 6.59 below 2.5 hp.
///
/// # Errors
/// Above zero and below 2.5 hp, where the rule ends.
pub fn weighted_energy_factor_min(hydraulic_w: f64) -> Result<f64, DomainError> {
    const END_HP: f64 = 2.5;
    let hp = positive("hydraulic power", hydraulic_w)? / WATT_PER_HORSEPOWER;
    // The rule's own steps are given in hp to three places; a value converted from hp must not miss its step.
    const STEP: f64 = 1e-9;
    if hp >= END_HP - STEP {
        within(
            "hydraulic power",
            hydraulic_w,
            0.0,
            END_HP * WATT_PER_HORSEPOWER * (1.0 - STEP),
        )?;
    }
    Ok(if hp <= 0.13 + STEP {
        5.55
    } else if hp < 0.711 - STEP {
        -1.30 * hp.ln() + 2.90
    } else {
        -2.30 * hp.ln() + 6.59
    })
}
