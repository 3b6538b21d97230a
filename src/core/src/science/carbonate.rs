//! The carbonate system of natural water: what calcium, carbonate and acid do at a pH and temperature.
//!
//! Concentrations are mol per kg of water; 1 mg/L is taken as 1 mg per kg. Dissolved ions hinder each other, which the
//! activity coefficients of Truesdell and Jones (extended Debye-Hückel) account for; some pair up, which takes them out of
//! the balance. Equilibrium constants: Plummer and Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011. Ion sizes, the
//! sodium pairs, CaOH⁺ and the ion product of water as in the general geochemical data base `phreeqc.dat` (from memory).

use super::liquid_water::{density_kg_per_m3, permittivity};
use super::root::bisect;
use super::{DomainError, ZERO_CELSIUS_K, not_negative, ordered, positive, within};

/// Molar mass of calcium carbonate in g/mol, and the mass of one equivalent of alkalinity.
pub(super) const CACO3_G_PER_MOL: f64 = 100.0869;
pub(super) const CACO3_G_PER_EQ: f64 = CACO3_G_PER_MOL / 2.0;

/// Range of temperatures in °C; the constants were measured from 0 °C to 90 °C.
const CELSIUS: (f64, f64) = (0.0, 90.0);
/// Range of pH that the ion pairs listed are enough for.
const PH: (f64, f64) = (5.0, 10.0);
/// Most dissolved solids in mg/L: about sea water, where the activity model ends.
const SOLIDS_MAX: f64 = 40_000.0;

/// Logarithms (base 10) of equilibrium constants at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogK {
    /// Solubility product of calcite.
    pub calcite: f64,
    /// Solubility product of aragonite.
    pub aragonite: f64,
    /// First dissociation of carbonic acid.
    pub first: f64,
    /// Second dissociation of carbonic acid.
    pub second: f64,
    /// Association of CaHCO₃⁺.
    pub calcium_bicarbonate: f64,
    /// Association of CaCO₃⁰.
    pub calcium_carbonate: f64,
}

/// The constants at a temperature in °C. Source: Plummer and Busenberg 1982.
///
/// # Errors
/// 0 °C to 90 °C.
pub fn log_k(celsius: f64) -> Result<LogK, DomainError> {
    let t = within("water temperature", celsius, CELSIUS.0, CELSIUS.1)? + ZERO_CELSIUS_K;
    let lt = t.log10();
    Ok(LogK {
        calcite: -171.9065 - 0.077_993 * t + 2839.319 / t + 71.595 * lt,
        aragonite: -171.9773 - 0.077_993 * t + 2903.293 / t + 71.595 * lt,
        first: -356.3094 - 0.060_919_64 * t + 21_834.37 / t + 126.8339 * lt - 1_684_915.0 / (t * t),
        second: -107.8871 - 0.032_528_49 * t + 5151.79 / t + 38.925_61 * lt - 563_713.9 / (t * t),
        calcium_bicarbonate: 1209.120 + 0.312_94 * t - 34_765.05 / t - 478.782 * lt,
        calcium_carbonate: -1228.732 - 0.299_444 * t + 35_512.75 / t + 485.818 * lt,
    })
}

/// Ions in water besides those of the carbonate system's own making.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Composition {
    /// Calcium in mol/kg.
    pub calcium: f64,
    /// Carbonate alkalinity in eq/kg.
    pub alkalinity: f64,
    /// Sodium in mol/kg.
    pub sodium: f64,
    /// Chloride in mol/kg.
    pub chloride: f64,
}

impl Composition {
    /// Water from its usual test values: calcium hardness and carbonate alkalinity in mg/L as CaCO₃, dissolved solids in
    /// mg/L. Calcium counts as CaCl₂, alkalinity as NaHCO₃, the rest of the solids as NaCl; solids below what hardness
    /// and alkalinity already weigh count as just these.
    ///
    /// # Errors
    /// Hardness and alkalinity above zero; solids, also those that hardness and alkalinity weigh, at most 40 000 mg/L.
    pub fn new(
        calcium_hardness: f64,
        alkalinity: f64,
        dissolved_solids: f64,
    ) -> Result<Self, DomainError> {
        const CALCIUM_CHLORIDE: f64 = 40.078 + 2.0 * 35.453;
        const SODIUM_BICARBONATE: f64 = 22.989_77 + 61.0168;
        const SODIUM_CHLORIDE: f64 = 58.443;
        let calcium = positive("calcium hardness", calcium_hardness)? / CACO3_G_PER_MOL / 1000.0;
        let alkalinity = positive("carbonate alkalinity", alkalinity)? / CACO3_G_PER_EQ / 1000.0;
        within("dissolved solids", dissolved_solids, 0.0, SOLIDS_MAX)?;
        let named = 1000.0 * (calcium * CALCIUM_CHLORIDE + alkalinity * SODIUM_BICARBONATE);
        within("solids of hardness and alkalinity", named, 0.0, SOLIDS_MAX)?;
        let rest = (dissolved_solids - named).max(0.0) / 1000.0 / SODIUM_CHLORIDE;
        Ok(Self {
            calcium,
            alkalinity,
            sodium: alkalinity + rest,
            chloride: 2.0 * calcium + rest,
        })
    }
}

/// What a water holds at equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speciation {
    /// Saturation index of calcite: the logarithm of ion product over solubility product. Above zero the water can
    /// deposit scale, below it dissolves calcite.
    pub calcite_index: f64,
    /// Ionic strength in mol/kg.
    pub ionic_strength: f64,
    /// Inorganic carbon in all forms in mol/kg.
    pub inorganic_carbon: f64,
}

/// Activity coefficients at an ionic strength.
struct Activity {
    calcium: f64,
    sodium: f64,
    hydrogen: f64,
    hydroxide: f64,
    bicarbonate: f64,
    carbonate: f64,
    calcium_bicarbonate: f64,
    /// Other ions of charge one (Davies).
    single: f64,
    /// Uncharged pairs: 10^(0.1·I).
    neutral: f64,
}

/// Factors A and B of the Debye-Hückel law at a temperature in °C, from density and permittivity of water.
fn debye_hueckel(celsius: f64) -> Result<(f64, f64), DomainError> {
    let t = celsius + ZERO_CELSIUS_K;
    let kg_per_l = density_kg_per_m3(celsius)? / 1000.0;
    let et = permittivity(celsius)? * t;
    Ok((
        1.824_83e6 * kg_per_l.sqrt() / et.powf(1.5),
        50.2916 * (kg_per_l / et).sqrt(),
    ))
}

impl Activity {
    fn new(strength: f64, (a, b): (f64, f64)) -> Self {
        let root = strength.sqrt();
        // Charge squared, ion size in ångström, linear term.
        let ion = |charge2: f64, size: f64, linear: f64| {
            10_f64.powf(-a * charge2 * root / (1.0 + b * size * root) + linear * strength)
        };
        Self {
            calcium: ion(4.0, 5.0, 0.165),
            sodium: ion(1.0, 4.08, 0.082),
            hydrogen: ion(1.0, 9.0, 0.0),
            hydroxide: ion(1.0, 3.5, 0.0),
            bicarbonate: ion(1.0, 5.4, 0.0),
            carbonate: ion(4.0, 5.4, 0.0),
            calcium_bicarbonate: ion(1.0, 6.0, 0.0),
            single: 10_f64.powf(-a * (root / (1.0 + root) - 0.3 * strength)),
            neutral: 10_f64.powf(0.1 * strength),
        }
    }
}

/// Molalities for one activity of the carbonate ion.
struct Ions {
    carbonate: f64,
    bicarbonate: f64,
    carbonic: f64,
    calcium: f64,
    calcium_activity: f64,
    calcium_bicarbonate: f64,
    calcium_carbonate: f64,
    calcium_hydroxide: f64,
    sodium: f64,
    sodium_carbonate: f64,
    sodium_bicarbonate: f64,
}

impl Ions {
    fn alkalinity(&self) -> f64 {
        self.bicarbonate
            + 2.0 * self.carbonate
            + self.calcium_bicarbonate
            + 2.0 * self.calcium_carbonate
            + 2.0 * self.sodium_carbonate
            + self.sodium_bicarbonate
            + self.calcium_hydroxide
    }

    fn inorganic_carbon(&self) -> f64 {
        self.carbonic
            + self.bicarbonate
            + self.carbonate
            + self.calcium_bicarbonate
            + self.calcium_carbonate
            + self.sodium_carbonate
            + self.sodium_bicarbonate
    }
}

/// Equilibrium of a water at a pH and a temperature in °C.
///
/// The activity of the carbonate ion is sought at which the alkalinity comes out as given; ionic strength follows from
/// the ions found and is iterated to rest.
///
/// # Errors
/// pH 5 to 10, 0 °C to 90 °C, no concentration below zero; alkalinity above what the pH's own OH⁻ makes up.
pub fn speciate(water: Composition, ph: f64, celsius: f64) -> Result<Speciation, DomainError> {
    const ROUNDS: u32 = 200; // a dozen are enough; the bound only keeps a loop finite
    let logs = log_k(celsius)?;
    let h = 10_f64.powf(-within("pH", ph, PH.0, PH.1)?);
    let t = celsius + ZERO_CELSIUS_K;
    let law = debye_hueckel(celsius)?;
    let Composition {
        calcium,
        alkalinity,
        sodium,
        chloride,
    } = water;
    for (name, value) in [
        ("calcium", calcium),
        ("alkalinity", alkalinity),
        ("sodium", sodium),
        ("chloride", chloride),
    ] {
        not_negative(name, value)?;
    }
    let k_first = 10_f64.powf(logs.first);
    let k_second = 10_f64.powf(logs.second);
    let k_cahco3 = 10_f64.powf(logs.calcium_bicarbonate);
    let k_caco3 = 10_f64.powf(logs.calcium_carbonate);
    let k_nahco3 = 10_f64.powf(van_t_hoff(-0.25, -1.0, t));
    let k_naco3 = 10_f64.powf(van_t_hoff(1.27, 8.91, t));
    let k_caoh = 10_f64.powf(-12.78);
    let k_water = 10_f64.powf(6.0875 - 0.017_06 * t - 4470.99 / t);

    let mut strength = 0.5 * (4.0 * calcium + sodium + chloride + alkalinity);
    for _ in 0..ROUNDS {
        let g = Activity::new(strength, law);
        let (hydroxide, hydrogen) = (k_water / h / g.hydroxide, h / g.hydrogen);
        let ions = |c: f64| {
            let bicarbonate_activity = c * h / k_second;
            // The balances of calcium and sodium are linear in the free ion's activity once c is fixed.
            let calcium_activity = calcium
                / (1.0 / g.calcium
                    + k_cahco3 * bicarbonate_activity / g.calcium_bicarbonate
                    + k_caco3 * c / g.neutral
                    + k_caoh / h / g.single);
            let sodium_activity = sodium
                / (1.0 / g.sodium
                    + k_naco3 * c / g.single
                    + k_nahco3 * bicarbonate_activity / g.neutral);
            Ions {
                carbonate: c / g.carbonate,
                bicarbonate: bicarbonate_activity / g.bicarbonate,
                carbonic: bicarbonate_activity * h / k_first / g.neutral,
                calcium: calcium_activity / g.calcium,
                calcium_activity,
                calcium_bicarbonate: k_cahco3 * calcium_activity * bicarbonate_activity
                    / g.calcium_bicarbonate,
                calcium_carbonate: k_caco3 * calcium_activity * c / g.neutral,
                calcium_hydroxide: k_caoh * calcium_activity / h / g.single,
                sodium: sodium_activity / g.sodium,
                sodium_carbonate: k_naco3 * sodium_activity * c / g.single,
                sodium_bicarbonate: k_nahco3 * sodium_activity * bicarbonate_activity / g.neutral,
            }
        };
        let log_c = bisect("carbonate concentration", -16.0, 0.0, |log_c| {
            ions(10_f64.powf(log_c)).alkalinity() + hydroxide - hydrogen - alkalinity
        })?;
        let c = 10_f64.powf(log_c);
        let found = ions(c);
        let next = 0.5
            * (4.0 * (found.calcium + found.carbonate)
                + found.bicarbonate
                + found.calcium_bicarbonate
                + found.sodium
                + chloride
                + found.sodium_carbonate
                + found.calcium_hydroxide
                + hydroxide
                + hydrogen);
        let rest = (next - strength).abs() < 1e-12;
        strength = next;
        if rest {
            return Ok(Speciation {
                calcite_index: (found.calcium_activity * c).log10() - logs.calcite,
                ionic_strength: strength,
                inorganic_carbon: found.inorganic_carbon(),
            });
        }
    }
    Err(DomainError::NoSolution {
        name: "ionic strength",
    })
}

/// log K at a temperature in K from log K at 25 °C and the enthalpy in kcal/mol (van 't Hoff).
fn van_t_hoff(at_25c: f64, kcal_per_mol: f64, t: f64) -> f64 {
    const GAS_CONSTANT: f64 = 8.314_462; // J/(mol K), CODATA 2018
    let slope = kcal_per_mol * 4184.0 / (std::f64::consts::LN_10 * GAS_CONSTANT);
    at_25c + slope * (1.0 / (ZERO_CELSIUS_K + 25.0) - 1.0 / t)
}

/// Strong acid in mol H⁺ per kg of water that lowers the pH of a water to a target at a temperature in °C, no carbon
/// dioxide being lost to the air meanwhile. Chloride takes the acid's place among the ions, as with hydrochloric acid.
/// Other buffers (cyanurate, borate) come on top.
///
/// # Errors
/// As [`speciate`]; the target below the present pH.
pub fn acid_demand(
    water: Composition,
    ph: f64,
    ph_target: f64,
    celsius: f64,
) -> Result<f64, DomainError> {
    ordered(("target pH", ph_target), ("present pH", ph))?;
    let carbon = speciate(water, ph, celsius)?.inorganic_carbon;
    let after = |alkalinity: f64| Composition {
        alkalinity,
        chloride: water.chloride + water.alkalinity - alkalinity,
        ..water
    };
    let gap = |alkalinity: f64| {
        speciate(after(alkalinity), ph_target, celsius)
            .map_or(f64::NAN, |found| found.inorganic_carbon - carbon)
    };
    // Within the range of pH some alkalinity is always left; a hundredth stands for "nearly all of it gone".
    let left = bisect(
        "acid demand",
        water.alkalinity / 100.0,
        water.alkalinity,
        gap,
    )?;
    Ok(water.alkalinity - left)
}
