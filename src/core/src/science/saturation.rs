//! Saturation of water with calcium carbonate: whether it tends to deposit scale or to dissolve plaster and mortar.
//!
//! Three methods are in use, and they differ by design, so a number means nothing without its method: the printed
//! factor table of public codes ([`table_index`]), a short formula for the pH of saturation ([`simplified_ph_s`]), and the
//! full calculation with ionic strength and ion pairs ([`Water::index`]), which is the one to judge by. All need the
//! carbonate part of the alkalinity: cyanuric acid also counts in the alkalinity test but holds no carbonate
//! ([`carbonate_alkalinity`]).

use super::carbonate::{CACO3_G_PER_EQ, Composition, Speciation, acid_demand, speciate};
use super::{DomainError, finite, not_negative, positive, within};

/// Band that the code behind the factor table accepts, and its optimum 0. Source: 10 NYCRR 6-1.30 (New York State
/// Sanitary Code), saturation index for swimming pools.
pub const TABLE_BAND: (f64, f64) = (-0.5, 0.5);

/// Constant of the table method below 1000 mg/L of dissolved solids, and from there on. Source: Montana ARM chapter
/// 37.115, table 7 (read in a mirror of the rule; its publisher marks it obsolete).
pub const TABLE_CONSTANT: (f64, f64) = (12.1, 12.2);

/// Factor table of 10 NYCRR 6-1.30: temperature in °F, calcium hardness and alkalinity in mg/L as CaCO₃.
const TEMPERATURE_FACTOR: [(f64, f64); 11] = [
    (32.0, 0.0),
    (37.0, 0.1),
    (46.0, 0.2),
    (53.0, 0.3),
    (60.0, 0.4),
    (66.0, 0.5),
    (76.0, 0.6),
    (84.0, 0.7),
    (94.0, 0.8),
    (105.0, 0.9),
    (128.0, 1.0),
];
const CALCIUM_FACTOR: [(f64, f64); 11] = [
    (5.0, 0.3),
    (25.0, 1.0),
    (50.0, 1.3),
    (75.0, 1.5),
    (100.0, 1.6),
    (150.0, 1.8),
    (200.0, 1.9),
    (300.0, 2.1),
    (400.0, 2.2),
    (800.0, 2.5),
    (1000.0, 2.6),
];
const ALKALINITY_FACTOR: [(f64, f64); 11] = [
    (5.0, 0.7),
    (25.0, 1.4),
    (50.0, 1.7),
    (75.0, 1.9),
    (100.0, 2.0),
    (150.0, 2.2),
    (200.0, 2.3),
    (300.0, 2.5),
    (400.0, 2.6),
    (800.0, 2.9),
    (1000.0, 3.0),
];

/// The value at `x` on the straight lines between the rows.
fn interpolate<const N: usize>(
    name: &'static str,
    rows: &[(f64, f64); N],
    x: f64,
) -> Result<f64, DomainError> {
    let least = rows.iter().map(|row| row.0).fold(f64::INFINITY, f64::min);
    let most = rows
        .iter()
        .map(|row| row.0)
        .fold(f64::NEG_INFINITY, f64::max);
    within(name, x, least, most)?;
    let pairs = rows.iter().zip(rows.iter().skip(1));
    let line = pairs.into_iter().find(|&(a, b)| (a.0..=b.0).contains(&x));
    line.map(|(a, b)| a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0))
        .ok_or(DomainError::NoSolution { name })
}

/// The three factors of the table method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableFactors {
    /// Temperature factor.
    pub temperature: f64,
    /// Calcium factor.
    pub calcium: f64,
    /// Alkalinity factor.
    pub alkalinity: f64,
}

/// Factors of the table at a temperature in °C, calcium hardness and carbonate alkalinity in mg/L as CaCO₃, straight
/// lines between the rows. Source: 10 NYCRR 6-1.30.
///
/// # Errors
/// 0 °C to 53.3 °C; 5 mg/L to 1000 mg/L.
pub fn table_factors(
    celsius: f64,
    calcium_hardness: f64,
    alkalinity: f64,
) -> Result<TableFactors, DomainError> {
    let fahrenheit = finite("water temperature", celsius)? * 9.0 / 5.0 + 32.0;
    Ok(TableFactors {
        temperature: interpolate("water temperature in °F", &TEMPERATURE_FACTOR, fahrenheit)?,
        calcium: interpolate("calcium hardness", &CALCIUM_FACTOR, calcium_hardness)?,
        alkalinity: interpolate("carbonate alkalinity", &ALKALINITY_FACTOR, alkalinity)?,
    })
}

/// Saturation index by the factor table: pH + TF + CF + AF − 12.1, or − 12.2 from 1000 mg/L of dissolved solids
/// ([`TABLE_CONSTANT`]).
///
/// # Errors
/// pH 0 to 14, solids not below zero.
pub fn table_index(
    ph: f64,
    factors: TableFactors,
    dissolved_solids: f64,
) -> Result<f64, DomainError> {
    let (fresh, salty) = TABLE_CONSTANT;
    let constant = if not_negative("dissolved solids", dissolved_solids)? < 1000.0 {
        fresh
    } else {
        salty
    };
    let sum = factors.temperature + factors.calcium + factors.alkalinity;
    Ok(within("pH", ph, 0.0, 14.0)? + finite("sum of the factors", sum)? - constant)
}

/// pH of saturation by the short formula (9.3 + A + B) − (C + D), A = (log10 TDS − 1)/10, B = 34.55 − 13.12·log10(t + 273),
/// C = log10(calcium hardness) − 0.4, D = log10(alkalinity); t in °C, the rest in mg/L (as CaCO₃). The saturation index is
/// pH less this. It drifts from the full calculation above about 1000 mg/L of solids. Source: after Langelier, J. AWWA 28
/// (1936) 1500, in the form of water-treatment handbooks; constants from memory.
///
/// # Errors
/// 0 °C to 100 °C, the rest above zero.
pub fn simplified_ph_s(
    celsius: f64,
    calcium_hardness: f64,
    alkalinity: f64,
    dissolved_solids: f64,
) -> Result<f64, DomainError> {
    let a = (positive("dissolved solids", dissolved_solids)?.log10() - 1.0) / 10.0;
    let b = -13.12 * (within("water temperature", celsius, 0.0, 100.0)? + 273.0).log10() + 34.55;
    let c = positive("calcium hardness", calcium_hardness)?.log10() - 0.4;
    let d = positive("carbonate alkalinity", alkalinity)?.log10();
    Ok(9.3 + a + b - c - d)
}

/// First dissociation constant (pK) of cyanuric acid at a temperature in °C: 1743/T + 1.12.
/// Source: Wahman, Environ. Sci.: Water Res. Technol. 4 (2018) 1522, abstract.
///
/// # Errors
/// 0 °C to 60 °C.
pub fn cyanuric_pk(celsius: f64) -> Result<f64, DomainError> {
    Ok(1743.0
        / super::kelvin(
            "water temperature",
            within("water temperature", celsius, 0.0, 60.0)?,
        )?
        + 1.12)
}

/// Alkalinity in mg/L as CaCO₃ that 1 mg/L of cyanuric acid adds to the test at a pH and a temperature in °C:
/// 50.04/129.07·(α(pH) − α(4.5)), α = 1/(1 + 10^(pK − pH)), by the definition of alkalinity as titrated to pH 4.5.
/// Near pH 7.5 it is the field's "one third of the cyanuric acid".
///
/// # Errors
/// pH 4.5 to 10, 0 °C to 60 °C.
pub fn cyanurate_alkalinity_factor(ph: f64, celsius: f64) -> Result<f64, DomainError> {
    const CYANURIC_ACID_G_PER_MOL: f64 = 129.074;
    const END_PH: f64 = 4.5;
    let pk = cyanuric_pk(celsius)?;
    let alpha = |ph: f64| 1.0 / (1.0 + 10_f64.powf(pk - ph));
    let released = alpha(within("pH", ph, END_PH, 10.0)?) - alpha(END_PH);
    Ok(CACO3_G_PER_EQ / CYANURIC_ACID_G_PER_MOL * released)
}

/// Carbonate alkalinity in mg/L as CaCO₃: total alkalinity less what cyanuric acid (mg/L) adds to it.
///
/// # Errors
/// pH 4.5 to 10, 0 °C to 60 °C; what is left must be above zero.
pub fn carbonate_alkalinity(
    total_alkalinity: f64,
    cyanuric_acid: f64,
    ph: f64,
    celsius: f64,
) -> Result<f64, DomainError> {
    let share =
        not_negative("cyanuric acid", cyanuric_acid)? * cyanurate_alkalinity_factor(ph, celsius)?;
    positive(
        "carbonate alkalinity",
        finite("total alkalinity", total_alkalinity)? - share,
    )
}

/// A water as tested.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    /// pH.
    pub ph: f64,
    /// Temperature in °C.
    pub celsius: f64,
    /// Calcium hardness in mg/L as CaCO₃.
    pub calcium_hardness: f64,
    /// Total alkalinity in mg/L as CaCO₃, cyanurate included.
    pub total_alkalinity: f64,
    /// Cyanuric acid in mg/L; zero where there is none.
    pub cyanuric_acid: f64,
    /// Dissolved solids in mg/L, salt included.
    pub dissolved_solids: f64,
}

impl Water {
    /// Carbonate alkalinity in mg/L as CaCO₃ ([`carbonate_alkalinity`]).
    ///
    /// # Errors
    /// As there.
    pub fn carbonate_alkalinity(self) -> Result<f64, DomainError> {
        carbonate_alkalinity(
            self.total_alkalinity,
            self.cyanuric_acid,
            self.ph,
            self.celsius,
        )
    }

    fn composition(self) -> Result<Composition, DomainError> {
        Composition::new(
            self.calcium_hardness,
            self.carbonate_alkalinity()?,
            self.dissolved_solids,
        )
    }

    /// Saturation index of calcite by the full calculation, with the ionic strength and the inorganic carbon found
    /// ([`speciate`]).
    ///
    /// # Errors
    /// pH 5 to 10, 0 °C to 60 °C; hardness above zero; total alkalinity above the cyanurate's part; solids at most
    /// 40 000 mg/L.
    pub fn index(self) -> Result<Speciation, DomainError> {
        speciate(self.composition()?, self.ph, self.celsius)
    }

    /// Strong acid in mol per m³ (mmol/L) that lowers the pH to a target, no carbon dioxide being lost ([`acid_demand`]).
    /// The buffering of cyanurate is left out, so water that holds much of it takes somewhat more.
    ///
    /// # Errors
    /// As [`Self::index`]; the target below the present pH and at least 5.
    pub fn acid_demand_mol_per_m3(self, ph_target: f64) -> Result<f64, DomainError> {
        Ok(acid_demand(self.composition()?, self.ph, ph_target, self.celsius)? * 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WATER: Water = Water {
        ph: 7.5,
        celsius: 28.0,
        calcium_hardness: 300.0,
        total_alkalinity: 90.0,
        cyanuric_acid: 50.0,
        dissolved_solids: 1200.0,
    };

    #[test]
    fn the_index_rises_with_all_that_favours_scale() {
        let index = |water: Water| water.index().map_or(f64::NAN, |found| found.calcite_index);
        let base = index(WATER);
        for warmer in [
            Water { ph: 7.7, ..WATER },
            Water {
                celsius: 38.0,
                ..WATER
            },
            Water {
                calcium_hardness: 400.0,
                ..WATER
            },
            Water {
                total_alkalinity: 120.0,
                ..WATER
            },
            Water {
                cyanuric_acid: 0.0,
                ..WATER
            },
            Water {
                dissolved_solids: 900.0,
                ..WATER
            },
        ] {
            assert!(index(warmer) > base, "{warmer:?}");
        }
    }

    #[test]
    fn solids_below_the_ions_named_count_as_these() {
        let hard = Water {
            calcium_hardness: 800.0,
            total_alkalinity: 180.0,
            dissolved_solids: 500.0,
            ..WATER
        };
        let least = Water {
            dissolved_solids: 0.0,
            ..hard
        };
        assert_eq!(hard.index(), least.index());
        assert!(hard.index().is_ok());
    }

    #[test]
    fn water_that_the_model_does_not_hold_for_is_refused() {
        for water in [
            Water { ph: 3.0, ..WATER },
            Water {
                celsius: 95.0,
                ..WATER
            },
            Water {
                calcium_hardness: 0.0,
                ..WATER
            },
            Water {
                total_alkalinity: 10.0,
                ..WATER
            },
            Water {
                dissolved_solids: 60_000.0,
                ..WATER
            },
            Water {
                ph: f64::NAN,
                ..WATER
            },
        ] {
            assert!(water.index().is_err(), "{water:?}");
        }
        assert!(WATER.acid_demand_mol_per_m3(7.5).is_err());
        assert!(table_factors(60.0, 200.0, 100.0).is_err());
    }
}
