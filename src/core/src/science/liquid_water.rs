//! Properties of pure water near atmospheric pressure: density, heat capacity, enthalpy, viscosity, permittivity, vapour
//! pressure and heat of evaporation.
//!
//! Liquid: IAPWS SR6-08(2011), "Revised Supplementary Release on Properties of Liquid Water at 0.1 MPa", −20 °C to
//! 110 °C. Boiling: IAPWS SR1-86(1992), "Revised Supplementary Release on Saturation Properties of Ordinary Water
//! Substance". The coefficients were read in the source of the general library `iapws` 1.5.5, which cites these releases;
//! the unit tests hold its values. Dissolved salt is not counted: 3 g/L of it adds 0.2 % to the density.

use super::{DomainError, ZERO_CELSIUS_K, within};

/// Range of the liquid's equations in °C.
const LIQUID_CELSIUS: (f64, f64) = (253.15 - ZERO_CELSIUS_K, 383.15 - ZERO_CELSIUS_K);
/// Specific gas constant of water in J/(kg K), SR6-08.
const R: f64 = 461.518_05;
/// Reference temperature of SR6-08 in K.
const T_R: f64 = 10.0;
/// Reference pressure of SR6-08 in Pa.
const P_0: f64 = 1.0e5;
/// Standard atmosphere in Pa, exact (10th CGPM, 1954).
const ATMOSPHERE_PA: f64 = 101_325.0;

/// Powers and factors of the Gibbs energy, of the volume and of the volume's pressure slope, in α = 10/(593 − T).
const GIBBS_ALPHA: [(i32, f64); 3] = [
    (4, -1.661_470_539e5),
    (5, 2.708_781_640e6),
    (7, -1.557_191_544e8),
];
const GIBBS_BETA: [(i32, f64); 4] = [
    (2, -8.237_426_256e-1),
    (3, 1.908_956_353),
    (4, -2.017_597_384),
    (5, 8.546_361_348e-1),
];
const GIBBS: [f64; 3] = [-2.452_093_414e2, 3.869_269_598e1, -8.983_025_854];
const VOLUME: f64 = 1.937_631_57e-2;
const VOLUME_ALPHA: [(i32, f64); 5] = [
    (4, 6.744_584_46e3),
    (5, -2.225_216_04e5),
    (7, 1.002_312_47e8),
    (8, -1.635_521_18e9),
    (9, 8.322_996_58e9),
];
const VOLUME_BETA: [(i32, f64); 6] = [
    (1, 5.785_452_92e-3),
    (2, -1.531_956_65e-2),
    (3, 3.113_378_59e-2),
    (4, -4.235_462_41e-2),
    (5, 3.387_135_07e-2),
    (6, -1.199_467_61e-2),
];
const SLOPE_ALPHA: [(i32, f64); 5] = [
    (1, -7.524_587_8e-6),
    (3, -1.376_741_8e-2),
    (5, 1.062_729_3e1),
    (6, -2.045_779_5e2),
    (7, 1.203_741_4e3),
];
const SLOPE_BETA: [(i32, f64); 7] = [
    (1, -3.109_147_0e-6),
    (3, 2.896_491_9e-5),
    (4, -1.311_276_3e-4),
    (5, 3.041_045_3e-4),
    (6, -3.903_459_4e-4),
    (7, 2.340_311_7e-4),
    (9, -4.851_010_1e-5),
];

fn series(terms: &[(i32, f64)], x: f64) -> f64 {
    terms.iter().map(|&(n, factor)| factor * x.powi(n)).sum()
}

/// Reduced temperatures of SR6-08: T/10, 10/(593 − T), 10/(T − 232).
fn reduced(celsius: f64) -> Result<(f64, f64, f64), DomainError> {
    let t = within(
        "water temperature",
        celsius,
        LIQUID_CELSIUS.0,
        LIQUID_CELSIUS.1,
    )? + ZERO_CELSIUS_K;
    Ok((t / T_R, T_R / (593.0 - t), T_R / (t - 232.0)))
}

/// Density in kg/m³ at 101.325 kPa and a temperature in °C (SR6-08, volume and its pressure slope).
///
/// # Errors
/// −20 °C to 110 °C.
pub fn density_kg_per_m3(celsius: f64) -> Result<f64, DomainError> {
    let (_, alpha, beta) = reduced(celsius)?;
    let volume =
        R * T_R / P_0 * (VOLUME + series(&VOLUME_ALPHA, alpha) + series(&VOLUME_BETA, beta));
    let slope = R * T_R / (P_0 * P_0) * (series(&SLOPE_ALPHA, alpha) + series(&SLOPE_BETA, beta));
    Ok(1.0 / (volume + slope * (ATMOSPHERE_PA - P_0)))
}

/// Specific enthalpy in J/kg at a temperature in °C, above that of the liquid at the triple point (SR6-08,
/// h = g + T·s at 0.1 MPa; the 1.3 kPa to the atmosphere change it by 1.3 J/kg).
///
/// # Errors
/// −20 °C to 110 °C.
pub fn enthalpy_j_per_kg(celsius: f64) -> Result<f64, DomainError> {
    let (tau, alpha, beta) = reduced(celsius)?;
    let [c1, c2, c3] = GIBBS;
    let gibbs = c1
        + c2 * tau
        + c3 * tau * tau.ln()
        + series(&GIBBS_ALPHA, alpha)
        + series(&GIBBS_BETA, beta);
    let by_alpha: f64 = GIBBS_ALPHA
        .iter()
        .map(|&(n, a)| f64::from(n) * a * alpha.powi(n + 1))
        .sum();
    let by_beta: f64 = GIBBS_BETA
        .iter()
        .map(|&(m, b)| f64::from(m) * b * beta.powi(m + 1))
        .sum();
    let entropy = -(c2 + c3 * (1.0 + tau.ln()) + by_alpha - by_beta);
    Ok(R * T_R * (gibbs + tau * entropy))
}

/// Specific heat capacity at constant pressure in J/(kg K) at a temperature in °C (SR6-08).
///
/// # Errors
/// −20 °C to 110 °C.
pub fn heat_capacity_j_per_kg_k(celsius: f64) -> Result<f64, DomainError> {
    let (tau, alpha, beta) = reduced(celsius)?;
    let second = |terms: &[(i32, f64)], x: f64| -> f64 {
        terms
            .iter()
            .map(|&(n, factor)| f64::from(n) * f64::from(n + 1) * factor * x.powi(n + 2))
            .sum()
    };
    Ok(-R * (GIBBS[2] + tau * (second(&GIBBS_ALPHA, alpha) + second(&GIBBS_BETA, beta))))
}

/// Dynamic viscosity in Pa·s at a temperature in °C (SR6-08, equation for the viscosity at 0.1 MPa).
///
/// # Errors
/// −20 °C to 110 °C.
pub fn viscosity_pa_s(celsius: f64) -> Result<f64, DomainError> {
    const TERMS: [(f64, f64); 4] = [
        (280.68, -1.9),
        (511.45, -7.7),
        (61.131, -19.6),
        (0.459_03, -40.0),
    ];
    Ok(powers_of_300(&TERMS, celsius)? * 1e-6)
}

/// Relative permittivity (dielectric constant) at a temperature in °C (SR6-08).
///
/// # Errors
/// −20 °C to 110 °C.
pub fn permittivity(celsius: f64) -> Result<f64, DomainError> {
    const TERMS: [(f64, f64); 4] = [
        (-43.7527, -0.05),
        (299.504, -1.47),
        (-399.364, -2.11),
        (221.327, -2.31),
    ];
    powers_of_300(&TERMS, celsius)
}

fn powers_of_300(terms: &[(f64, f64)], celsius: f64) -> Result<f64, DomainError> {
    let (tau, ..) = reduced(celsius)?;
    let t = tau * T_R / 300.0;
    Ok(terms
        .iter()
        .map(|&(factor, power)| factor * t.powf(power))
        .sum())
}

/// Critical point of water: K, Pa, kg/m³ (SR1-86).
const CRITICAL: (f64, f64, f64) = (647.096, 22.064e6, 322.0);
/// Range of the boiling line in °C: triple to critical point.
const BOILING_CELSIUS: (f64, f64) = (0.01, 373.946);
const VAPOUR_PRESSURE: [(f64, f64); 6] = [
    (1.0, -7.859_517_83),
    (1.5, 1.844_082_59),
    (3.0, -11.786_649_7),
    (3.5, 22.680_741_1),
    (4.0, -15.961_871_9),
    (7.5, 1.801_225_02),
];
const VAPOUR_DENSITY: [(f64, f64); 6] = [
    (2.0 / 6.0, -2.031_502_40),
    (4.0 / 6.0, -2.683_029_40),
    (8.0 / 6.0, -5.386_264_92),
    (18.0 / 6.0, -17.299_160_5),
    (37.0 / 6.0, -44.758_658_1),
    (71.0 / 6.0, -63.920_106_3),
];

/// Vapour pressure in Pa over water at a temperature in °C (SR1-86).
///
/// # Errors
/// 0.01 °C to 373.946 °C.
pub fn vapour_pressure_pa(celsius: f64) -> Result<f64, DomainError> {
    let t = within(
        "water temperature",
        celsius,
        BOILING_CELSIUS.0,
        BOILING_CELSIUS.1,
    )? + ZERO_CELSIUS_K;
    let theta = 1.0 - t / CRITICAL.0;
    let sum: f64 = VAPOUR_PRESSURE
        .iter()
        .map(|&(power, a)| a * theta.powf(power))
        .sum();
    Ok(CRITICAL.1 * (CRITICAL.0 / t * sum).exp())
}

/// Heat of evaporation in J/kg at a temperature in °C: the Clapeyron relation T·(v″ − v′)·dp/dT with the vapour
/// pressure and vapour density of SR1-86 and the liquid density of SR6-08.
///
/// # Errors
/// 0.01 °C to 110 °C.
pub fn heat_of_evaporation_j_per_kg(celsius: f64) -> Result<f64, DomainError> {
    let pressure = vapour_pressure_pa(within(
        "water temperature",
        celsius,
        BOILING_CELSIUS.0,
        LIQUID_CELSIUS.1,
    )?)?;
    let t = celsius + ZERO_CELSIUS_K;
    let theta = 1.0 - t / CRITICAL.0;
    let by_theta: f64 = VAPOUR_PRESSURE
        .iter()
        .map(|&(power, a)| a * power * theta.powf(power - 1.0))
        .sum();
    let slope = -pressure / t * ((pressure / CRITICAL.1).ln() + by_theta);
    let vapour = CRITICAL.2
        * VAPOUR_DENSITY
            .iter()
            .map(|&(power, c)| c * theta.powf(power))
            .sum::<f64>()
            .exp();
    Ok(t * slope * (1.0 / vapour - 1.0 / density_kg_per_m3(celsius)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(
        what: fn(f64) -> Result<f64, DomainError>,
        celsius: f64,
        expected: f64,
        relative: f64,
    ) {
        let got = what(celsius).unwrap_or(f64::NAN);
        assert!(
            (got / expected - 1.0).abs() <= relative,
            "{celsius} °C: {got}, expected {expected}"
        );
    }

    /// Values of the library `iapws` 1.5.5 (IAPWS-95 for density and heat capacity, IAPWS-IF97 for boiling, the release's
    /// own equations for viscosity and permittivity).
    #[test]
    fn agrees_with_the_formulations_it_abbreviates() {
        check(density_kg_per_m3, 5.0, 999.966_633_545, 1e-7);
        check(density_kg_per_m3, 40.0, 992.216_352_873, 1e-7);
        check(enthalpy_j_per_kg, 40.0, 167_616.155_646, 1e-6);
        check(enthalpy_j_per_kg, -13.15, -55_862.231_744_6, 1e-9);
        check(heat_capacity_j_per_kg_k, 25.0, 4_181.446_178_56, 1e-9);
        check(heat_capacity_j_per_kg_k, -13.15, 4_300.174_723_23, 1e-9);
        check(viscosity_pa_s, 25.0, 0.000_889_996_773_679, 1e-9);
        check(permittivity, 25.0, 78.375_217_905_8, 1e-9);
        check(vapour_pressure_pa, 26.85, 3_536.589_413_01, 2e-4);
        check(heat_of_evaporation_j_per_kg, 0.01, 2_500_910.382_86, 5e-4);
        check(heat_of_evaporation_j_per_kg, 26.85, 2_437_318.017_49, 5e-4);
        check(heat_of_evaporation_j_per_kg, 100.0, 2_256_472.874_22, 5e-4);
    }

    #[test]
    fn refuses_what_is_no_liquid() {
        for celsius in [-40.0, 120.0, f64::NAN, f64::INFINITY] {
            assert!(density_kg_per_m3(celsius).is_err(), "{celsius}");
        }
        assert!(vapour_pressure_pa(-5.0).is_err());
    }
}
