//! Electric motors and what protects them: power, speed, capacitors, supply voltage, insulation, leakage to earth.
//!
//! Alternating current throughout, sinusoidal unless said otherwise. The levels at which ground-fault devices trip are
//! quoted from their standards. Live measurements, and insulation tests with a megohmmeter, are for qualified people;
//! a protective device that trips is never answered by removing it.

use super::affinity::WATT_PER_HORSEPOWER;
use super::{DomainError, finite, not_negative, ordered, positive, share, within};
use std::f64::consts::PI;

/// Power on an alternating-current circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AcPower {
    /// Active power in W.
    pub active_w: f64,
    /// Apparent power in VA.
    pub apparent_va: f64,
    /// Reactive power in var.
    pub reactive_var: f64,
}

/// Single-phase power from V, A and power factor: P = V·I·pf, S = V·I, Q = S·√(1 − pf²).
///
/// # Errors
/// Voltage and current not below zero, power factor above 0 and at most 1.
pub fn single_phase_power(
    voltage_v: f64,
    current_a: f64,
    power_factor: f64,
) -> Result<AcPower, DomainError> {
    let apparent_va = not_negative("voltage", voltage_v)? * not_negative("current", current_a)?;
    let pf = share("power factor", power_factor)?;
    Ok(AcPower {
        active_w: apparent_va * pf,
        apparent_va,
        reactive_var: apparent_va * (1.0 - pf * pf).sqrt(),
    })
}

/// Three-phase power in W from the voltage between lines, the line current and the power factor: √3·V·I·pf, balanced.
///
/// # Errors
/// As [`single_phase_power`].
pub fn three_phase_power_w(
    line_v: f64,
    current_a: f64,
    power_factor: f64,
) -> Result<f64, DomainError> {
    single_phase_power(line_v, current_a, power_factor).map(|power| 3.0_f64.sqrt() * power.active_w)
}

/// Electric input in W and single-phase current in A of a motor that gives a shaft power in W:
/// P/efficiency, and that over V·pf.
///
/// # Errors
/// Shaft power and voltage above zero; efficiency and power factor above 0 and at most 1.
pub fn input_of_shaft_power(
    shaft_w: f64,
    efficiency: f64,
    voltage_v: f64,
    power_factor: f64,
) -> Result<(f64, f64), DomainError> {
    let input = positive("shaft power", shaft_w)? / share("efficiency", efficiency)?;
    Ok((
        input,
        input / (positive("voltage", voltage_v)? * share("power factor", power_factor)?),
    ))
}

/// Shaft torque in N·m of a power in W at a speed in rpm: P/ω, ω = 2π·n/60.
///
/// # Errors
/// Speed above zero, power not below.
pub fn torque_n_m(shaft_w: f64, speed_rpm: f64) -> Result<f64, DomainError> {
    Ok(not_negative("shaft power", shaft_w)? / (2.0 * PI * positive("speed", speed_rpm)? / 60.0))
}

/// Watts of a rating in horsepower (550 ft·lbf/s).
///
/// # Errors
/// Must not be below zero.
pub fn watts_of_horsepower(hp: f64) -> Result<f64, DomainError> {
    Ok(not_negative("power", hp)? * WATT_PER_HORSEPOWER)
}

/// Speed in rpm of the rotating field of a motor: 120·f/poles.
///
/// # Errors
/// Frequency above zero; the number of poles even and not zero.
pub fn synchronous_rpm(frequency_hz: f64, poles: u32) -> Result<f64, DomainError> {
    if poles == 0 || poles % 2 == 1 {
        return Err(DomainError::OutOfRange {
            name: "number of poles (even)",
            value: f64::from(poles),
            least: 2.0,
            most: f64::from(u32::MAX),
        });
    }
    Ok(120.0 * positive("frequency", frequency_hz)? / f64::from(poles))
}

/// Slip of an induction motor: how far its speed lies below the field's, as a share.
///
/// # Errors
/// The field's speed above zero, the shaft's between standstill and the field's.
pub fn slip(synchronous_rpm: f64, shaft_rpm: f64) -> Result<f64, DomainError> {
    let field = positive("synchronous speed", synchronous_rpm)?;
    Ok(1.0 - within("shaft speed", shaft_rpm, 0.0, field)? / field)
}

/// Current in A through a capacitance in F at a voltage and frequency: I = 2π·f·C·V. With the capacitors of an
/// interference filter and the voltage to earth it is the leakage that they cause. A pair on both sides of a
/// centre-tapped supply carries opposite currents, which cancel where the halves are equal.
///
/// # Errors
/// None below zero; frequency above.
pub fn capacitor_current_a(
    capacitance_f: f64,
    voltage_v: f64,
    frequency_hz: f64,
) -> Result<f64, DomainError> {
    let reactance_inverse = 2.0
        * PI
        * positive("frequency", frequency_hz)?
        * not_negative("capacitance", capacitance_f)?;
    Ok(reactance_inverse * not_negative("voltage", voltage_v)?)
}

/// Capacitance in F that carries a current in A at a voltage and frequency: C = I/(2π·f·V). With current and voltage
/// measured on a running motor's capacitor it is the capacitor's value.
///
/// # Errors
/// Voltage and frequency above zero, current not below.
pub fn capacitance_f(
    current_a: f64,
    voltage_v: f64,
    frequency_hz: f64,
) -> Result<f64, DomainError> {
    let omega = 2.0 * PI * positive("frequency", frequency_hz)?;
    Ok(not_negative("current", current_a)? / (omega * positive("voltage", voltage_v)?))
}

/// Leakage of several loads on one protective device: capacitive leakages of one phase and frequency add.
///
/// # Errors
/// None may be below zero.
pub fn total_leakage_a(parts_a: &[f64]) -> Result<f64, DomainError> {
    parts_a
        .iter()
        .try_fold(0.0, |sum, &part| Ok(sum + not_negative("leakage", part)?))
}

/// Band of a Class A ground-fault device in A: below the first it must not trip, from the second on it must.
/// Source: UL 943, by the informational note in NEC article 100.
pub const CLASS_A_TRIP_A: (f64, f64) = (0.004, 0.006);
/// Level in A of ground-fault protection of equipment (UL 1053, public trade discussion). It protects equipment, not
/// people: it does not stand in for Class A.
pub const EQUIPMENT_PROTECTION_A: f64 = 0.030;
/// The 30 mA residual current device of general type: rated current, the current that must not operate it (A), and its
/// longest times at the rated and at five times the rated current (s). Source: IEC 61008-1, from memory.
pub const RCD_30_MA: ResidualCurrentDevice = ResidualCurrentDevice {
    rated_a: 0.030,
    non_operating_a: 0.015,
    time_at_rated_s: 0.300,
    time_at_five_s: 0.040,
};

/// What a residual current device promises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResidualCurrentDevice {
    /// Rated operating current in A.
    pub rated_a: f64,
    /// Current in A that must not operate it.
    pub non_operating_a: f64,
    /// Longest time in s at the rated current.
    pub time_at_rated_s: f64,
    /// Longest time in s at five times the rated current.
    pub time_at_five_s: f64,
}

/// What a Class A device does at a leakage current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trip {
    /// It must hold.
    MustNot,
    /// Either is in order.
    May,
    /// It must trip.
    Must,
}

/// Whether a Class A device trips at a leakage in A ([`CLASS_A_TRIP_A`]).
///
/// # Errors
/// Must not be below zero.
pub fn class_a_trip(leakage_a: f64) -> Result<Trip, DomainError> {
    let leakage = not_negative("leakage", leakage_a)?;
    Ok(if leakage < CLASS_A_TRIP_A.0 {
        Trip::MustNot
    } else if leakage < CLASS_A_TRIP_A.1 {
        Trip::May
    } else {
        Trip::Must
    })
}

/// Longest time in s until a Class A device trips at a leakage in A: (20/I)^1.43, I in mA.
/// Source: UL 943, as quoted in public electrical trade discussions.
///
/// # Errors
/// 6 mA to 264 mA.
pub fn class_a_trip_time_s(leakage_a: f64) -> Result<f64, DomainError> {
    Ok((0.020 / within("leakage", leakage_a, CLASS_A_TRIP_A.1, 0.264)?).powf(1.43))
}

/// Winding temperature in °C that insulation resistances are stated at, and the time in s after which they are read.
/// Source: IEEE 43, by the abstract of a 2013 paper of the EASA on its temperature correction.
pub const INSULATION_BASE: (f64, f64) = (40.0, 60.0);

/// Insulation resistance at 40 °C from one read at a winding temperature in °C: R·0.5^((40 − t)/10), since it halves for
/// each 10 K. Same unit out as in. Source: IEEE 43 (form of the factor from memory); holds above the dew point;
/// thermosetting insulation follows another curve in the 2013 edition.
///
/// # Errors
/// Resistance not below zero; winding 0 °C to 100 °C.
pub fn insulation_at_40c(resistance: f64, winding_celsius: f64) -> Result<f64, DomainError> {
    let below = INSULATION_BASE.0 - within("winding temperature", winding_celsius, 0.0, 100.0)?;
    Ok(not_negative("insulation resistance", resistance)? * 0.5_f64.powf(below / 10.0))
}

/// The windings that a least insulation resistance is stated for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Winding {
    /// Random-wound stator coils below 1 kV, as small motors have.
    RandomWound,
    /// Form-wound stators and armatures from about 1970 on.
    FormWound,
    /// Most windings before about 1970 and all field windings, of a rated voltage in V.
    Older {
        /// Rated voltage in V.
        rated_v: f64,
    },
}

/// Least insulation resistance in MΩ after one minute at 40 °C: 5 MΩ, 100 MΩ, or kV + 1.
/// Source: IEEE 43-2000 table 3 and 43-2013, from memory.
///
/// # Errors
/// A rated voltage must be above zero.
pub fn insulation_min_mohm(winding: Winding) -> Result<f64, DomainError> {
    Ok(match winding {
        Winding::RandomWound => 5.0,
        Winding::FormWound => 100.0,
        Winding::Older { rated_v } => positive("rated voltage", rated_v)? / 1000.0 + 1.0,
    })
}

/// Polarization index: insulation resistance after ten minutes over that after one. Source: IEEE 43 (from memory: at
/// least 2.0 for insulation class B and above, 1.5 for class A; not applied above 5000 MΩ).
///
/// # Errors
/// Both above zero.
pub fn polarization_index(
    after_one_minute: f64,
    after_ten_minutes: f64,
) -> Result<f64, DomainError> {
    Ok(positive("resistance after ten minutes", after_ten_minutes)?
        / positive("resistance after one minute", after_one_minute)?)
}

/// A measured value against a rated one with a tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Least value in order.
    pub low: f64,
    /// Greatest value in order.
    pub high: f64,
    /// How far the reading lies from the rated value, as a share.
    pub deviation: f64,
}

impl Band {
    /// Whether a value lies in the band, its ends included (up to a billionth, so that rounding decides nothing).
    #[must_use]
    pub fn holds(self, value: f64) -> bool {
        let slack = 1e-9 * self.high.abs();
        (self.low - slack..=self.high + slack).contains(&value)
    }
}

/// The band that a label gives a capacitor: rated value ± tolerance (a share), and the reading's deviation.
///
/// # Errors
/// Rated value above zero, reading not below, tolerance from 0 to 1.
pub fn tolerance_band(rated: f64, tolerance: f64, reading: f64) -> Result<Band, DomainError> {
    let rated = positive("rated value", rated)?;
    let tolerance = within("tolerance", tolerance, 0.0, 1.0)?;
    let deviation = not_negative("reading", reading)? / rated - 1.0;
    Ok(Band {
        low: rated * (1.0 - tolerance),
        high: rated * (1.0 + tolerance),
        deviation,
    })
}

/// Reads a range label such as `88-108` (start capacitors in µF): anything between the printed values is in order.
#[must_use]
pub fn range_label(text: &str) -> Option<(f64, f64)> {
    let (low, high) = text.split_once(['-', '–'])?;
    let number = |part: &str| part.trim().parse::<f64>().ok();
    let (low, high) = (number(low)?, number(high)?);
    (low > 0.0 && ordered(("low", low), ("high", high)).is_ok()).then_some((low, high))
}

/// Tolerance of the supply that a motor runs on at rated load, as a share of its plate. Source: NEMA MG 1, from memory.
pub const SUPPLY_TOLERANCE: f64 = 0.10;

/// The band of supply voltage around a plate value in V and the deviation of a measured one ([`SUPPLY_TOLERANCE`]).
///
/// # Errors
/// Plate voltage above zero, measured voltage not below.
pub fn supply_band(measured_v: f64, plate_v: f64) -> Result<Band, DomainError> {
    tolerance_band(plate_v, SUPPLY_TOLERANCE, measured_v)
}

/// Voltage unbalance of three phases: the largest distance from the mean over the mean. Source: NEMA MG 1, from memory.
///
/// # Errors
/// Voltages must be finite, their mean above zero.
pub fn voltage_unbalance(line_v: [f64; 3]) -> Result<f64, DomainError> {
    for v in line_v {
        finite("line voltage", v)?;
    }
    let mean = positive("mean voltage", line_v.iter().sum::<f64>() / 3.0)?;
    Ok(line_v.iter().map(|v| (v - mean).abs()).fold(0.0, f64::max) / mean)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_that_are_no_range_are_none() {
        for text in ["", "88", "108-88", "88-", "a-b", "-5", "nan-108", "88-inf"] {
            assert_eq!(range_label(text), None, "{text}");
        }
        assert_eq!(range_label("88 – 108"), Some((88.0, 108.0)));
    }

    #[test]
    fn odd_pole_counts_and_shafts_that_outrun_the_field_are_refused() {
        assert!(synchronous_rpm(60.0, 0).is_err() && synchronous_rpm(60.0, 3).is_err());
        assert!(slip(3600.0, 3700.0).is_err());
        assert!(class_a_trip_time_s(0.005).is_err());
    }
}
