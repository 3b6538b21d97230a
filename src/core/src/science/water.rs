//! Bodies of water: volume, turnover, masses of substances to add, and what an electrolytic cell makes.
//!
//! A concentration in mg/L is the mass in g per m³; field practice calls it ppm, which is right to within 1 % where
//! water is fresh ([`mass_fraction_ppm`]). Doses come out as pure arithmetic. They are no instruction to pour: the
//! product's label, its order of adding and its protective equipment hold, chemicals are never mixed with each other,
//! and large corrections are made in parts with a new test between.

use super::liquid_water::density_kg_per_m3;
use super::{DomainError, not_negative, ordered, positive, share, within};
use std::f64::consts::PI;

/// Atomic masses in g/mol (IUPAC 2021, abridged).
mod atom {
    pub(super) const H: f64 = 1.008;
    pub(super) const LI: f64 = 6.94;
    pub(super) const C: f64 = 12.011;
    pub(super) const N: f64 = 14.007;
    pub(super) const O: f64 = 15.999;
    pub(super) const NA: f64 = 22.990;
    pub(super) const S: f64 = 32.06;
    pub(super) const CL: f64 = 35.45;
    pub(super) const CA: f64 = 40.078;
}
use atom::{C, CA, CL, H, LI, N, NA, O, S};

const WATER: f64 = 2.0 * H + O;
const CHLORINE: f64 = 2.0 * CL;
const CALCIUM_CARBONATE: f64 = CA + C + 3.0 * O;
const SODIUM_BICARBONATE: f64 = NA + H + C + 3.0 * O;
const CYANURIC_ACID: f64 = 3.0 * (C + N + H + O);
const CYANURATE: f64 = 3.0 * (C + N + O);
const THIOSULFATE: f64 = 2.0 * NA + 2.0 * S + 3.0 * O + 5.0 * WATER;

/// Time in h in which a flow in m³/h moves a volume in m³ once (definition of turnover).
///
/// # Errors
/// Both above zero.
pub fn turnover_h(volume_m3: f64, flow_m3_per_h: f64) -> Result<f64, DomainError> {
    Ok(positive("volume", volume_m3)? / positive("flow", flow_m3_per_h)?)
}

/// Flow in m³/h that turns a volume in m³ over in a time in h.
///
/// # Errors
/// Both above zero.
pub fn flow_for_turnover_m3_per_h(volume_m3: f64, turnover_h: f64) -> Result<f64, DomainError> {
    Ok(positive("volume", volume_m3)? / positive("turnover time", turnover_h)?)
}

/// Volume in m³ of a rectangular basin whose floor slopes evenly: length · width · mean depth, all in m.
///
/// # Errors
/// All above zero.
pub fn rectangular_m3(
    length_m: f64,
    width_m: f64,
    depths_m: (f64, f64),
) -> Result<f64, DomainError> {
    let depth = f64::midpoint(
        positive("shallow depth", depths_m.0)?,
        positive("deep depth", depths_m.1)?,
    );
    Ok(positive("length", length_m)? * positive("width", width_m)? * depth)
}

/// Volume in m³ of a round basin of even depth: π/4 · d² · depth, in m.
///
/// # Errors
/// Both above zero.
pub fn round_m3(diameter_m: f64, depth_m: f64) -> Result<f64, DomainError> {
    Ok(PI / 4.0 * positive("diameter", diameter_m)?.powi(2) * positive("depth", depth_m)?)
}

/// Milligrams of a substance per kg of water (ppm by mass) at a concentration in mg/L and a temperature in °C: over the
/// density of pure water (IAPWS SR6-08).
///
/// # Errors
/// Concentration not below zero, −20 °C to 110 °C.
pub fn mass_fraction_ppm(mg_per_l: f64, celsius: f64) -> Result<f64, DomainError> {
    Ok(not_negative("concentration", mg_per_l)? / (density_kg_per_m3(celsius)? / 1000.0))
}

/// Mass in g that raises a volume in m³ by a concentration in mg/L: mass balance.
///
/// # Errors
/// Volume above zero, rise not below.
pub fn mass_g(volume_m3: f64, rise_mg_per_l: f64) -> Result<f64, DomainError> {
    Ok(positive("volume", volume_m3)? * not_negative("rise", rise_mg_per_l)?)
}

/// Share of the water to replace so that a concentration falls to a target, the new water being free of the substance:
/// 1 − target/now. Drain first, then refill.
///
/// # Errors
/// Target not below zero and below the present value.
pub fn share_to_drain(now: f64, target: f64) -> Result<f64, DomainError> {
    ordered(
        ("target", not_negative("target", target)?),
        ("present value", now),
    )?;
    Ok(1.0 - target / positive("present value", now)?)
}

/// Volumes of new water that a mixed basin takes where it runs in while the old runs out: −ln(target/now).
///
/// # Errors
/// Target above zero and below the present value.
pub fn volumes_to_flush(now: f64, target: f64) -> Result<f64, DomainError> {
    ordered(
        ("target", positive("target", target)?),
        ("present value", now),
    )?;
    Ok((now / target).ln())
}

/// Compounds that give chlorine, as pure substances.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChlorineCompound {
    /// Elemental chlorine, Cl₂.
    Chlorine,
    /// NaOCl.
    SodiumHypochlorite,
    /// Ca(OCl)₂.
    CalciumHypochlorite,
    /// LiOCl.
    LithiumHypochlorite,
    /// Trichloroisocyanuric acid, C₃Cl₃N₃O₃.
    Trichloroisocyanurate,
    /// Sodium dichloroisocyanurate, NaC₃Cl₂N₃O₃.
    Dichloroisocyanurate,
    /// The same with two molecules of water.
    DichloroisocyanurateDihydrate,
}

impl ChlorineCompound {
    /// Molar mass in g/mol.
    #[must_use]
    pub fn g_per_mol(self) -> f64 {
        const DICHLOR: f64 = CYANURATE + 2.0 * CL + NA;
        match self {
            Self::Chlorine => CHLORINE,
            Self::SodiumHypochlorite => NA + O + CL,
            Self::CalciumHypochlorite => CA + 2.0 * (O + CL),
            Self::LithiumHypochlorite => LI + O + CL,
            Self::Trichloroisocyanurate => CYANURATE + 3.0 * CL,
            Self::Dichloroisocyanurate => DICHLOR,
            Self::DichloroisocyanurateDihydrate => DICHLOR + 2.0 * WATER,
        }
    }

    /// Molecules of HOCl that one formula unit releases.
    #[must_use]
    pub fn released(self) -> f64 {
        match self {
            Self::Chlorine | Self::SodiumHypochlorite | Self::LithiumHypochlorite => 1.0,
            Self::CalciumHypochlorite
            | Self::Dichloroisocyanurate
            | Self::DichloroisocyanurateDihydrate => 2.0,
            Self::Trichloroisocyanurate => 3.0,
        }
    }

    /// Available chlorine as a share of the mass: released · M(Cl₂)/M. Trade products hold less; their label says.
    #[must_use]
    pub fn available_chlorine(self) -> f64 {
        self.released() * CHLORINE / self.g_per_mol()
    }

    /// Cyanuric acid in mg/L that comes with each mg/L of free chlorine (as Cl₂): M(H₃C₃N₃O₃)/(released · M(Cl₂)).
    #[must_use]
    pub fn cyanuric_acid_per_chlorine(self) -> f64 {
        match self {
            Self::Trichloroisocyanurate
            | Self::Dichloroisocyanurate
            | Self::DichloroisocyanurateDihydrate => CYANURIC_ACID / (self.released() * CHLORINE),
            _ => 0.0,
        }
    }
}

/// Molar mass of cyanurate counted without its hydrogen (C₃N₃O₃) over that of cyanuric acid, for texts that count so.
pub const CYANURATE_PER_CYANURIC_ACID: f64 = CYANURATE / CYANURIC_ACID;

/// Volume in mL of a hypochlorite solution that raises a volume in m³ by free chlorine in mg/L. Strength is trade
/// percent as a share: 0.125 is 12.5 g of available chlorine in 100 mL.
///
/// # Errors
/// As [`mass_g`]; the strength above 0 and at most 1.
pub fn hypochlorite_ml(
    volume_m3: f64,
    rise_mg_per_l: f64,
    strength: f64,
) -> Result<f64, DomainError> {
    Ok(mass_g(volume_m3, rise_mg_per_l)? / share("strength", strength)?)
}

/// Mass in g of a dry product with a share of available chlorine by mass that raises a volume in m³ by free chlorine in
/// mg/L.
///
/// # Errors
/// As [`hypochlorite_ml`].
pub fn dry_chlorine_g(
    volume_m3: f64,
    rise_mg_per_l: f64,
    available: f64,
) -> Result<f64, DomainError> {
    Ok(mass_g(volume_m3, rise_mg_per_l)? / share("available chlorine", available)?)
}

/// Mass in g of pure sodium bicarbonate that raises the alkalinity of a volume in m³ by mg/L as CaCO₃: one equivalent
/// for each (stoichiometry).
///
/// # Errors
/// As [`mass_g`].
pub fn bicarbonate_g(volume_m3: f64, rise_mg_per_l: f64) -> Result<f64, DomainError> {
    Ok(mass_g(volume_m3, rise_mg_per_l)? * SODIUM_BICARBONATE / (CALCIUM_CARBONATE / 2.0))
}

/// Forms of calcium chloride.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CalciumChloride {
    /// CaCl₂ without water.
    Anhydrous,
    /// CaCl₂ with two molecules of water.
    Dihydrate,
}

/// Mass in g of pure calcium chloride that raises the calcium hardness of a volume in m³ by mg/L as CaCO₃: one mole for
/// each (stoichiometry). Divide by the product's purity.
///
/// # Errors
/// As [`mass_g`].
pub fn calcium_chloride_g(
    form: CalciumChloride,
    volume_m3: f64,
    rise_mg_per_l: f64,
) -> Result<f64, DomainError> {
    let dry = CA + 2.0 * CL;
    let g_per_mol = match form {
        CalciumChloride::Anhydrous => dry,
        CalciumChloride::Dihydrate => dry + 2.0 * WATER,
    };
    Ok(mass_g(volume_m3, rise_mg_per_l)? * g_per_mol / CALCIUM_CARBONATE)
}

/// Strength in mol/L of hydrochloric acid of 31.45 % by mass, the usual trade strength; from memory.
pub const HYDROCHLORIC_ACID_MOL_PER_L: f64 = 10.0;

/// Fall of the alkalinity in mg/L as CaCO₃ that a volume of acid in mL of a strength in mol/L makes in a volume in m³:
/// one equivalent for each mole of H⁺ (definition of alkalinity).
///
/// # Errors
/// Volume of water above zero, acid and strength not below.
pub fn alkalinity_drop(acid_ml: f64, mol_per_l: f64, volume_m3: f64) -> Result<f64, DomainError> {
    let mol =
        not_negative("volume of acid", acid_ml)? / 1000.0 * not_negative("strength", mol_per_l)?;
    Ok(mol / positive("volume", volume_m3)? * CALCIUM_CARBONATE / 2.0)
}

/// Volume in mL of acid of a strength in mol/L that brings mol of H⁺ per m³ into a volume in m³.
///
/// # Errors
/// Volume and strength above zero, demand not below.
pub fn acid_ml(demand_mol_per_m3: f64, volume_m3: f64, mol_per_l: f64) -> Result<f64, DomainError> {
    let mol = not_negative("acid demand", demand_mol_per_m3)? * positive("volume", volume_m3)?;
    Ok(mol / positive("strength", mol_per_l)? * 1000.0)
}

/// Chlorine in g/h (as Cl₂) of an electrolytic cell at a current in A: Faraday's law for 2 Cl⁻ → Cl₂ + 2 e⁻,
/// m = I·t·M/(2·F), for each gap between plates in series, times the current efficiency (a share). A stack of n + 1
/// plates of which only the outer two are connected has n gaps, all passing the same current.
///
/// # Errors
/// Current not below zero, at least one gap, efficiency above 0 and at most 1.
pub fn cell_chlorine_g_per_h(
    current_a: f64,
    gaps: u32,
    current_efficiency: f64,
) -> Result<f64, DomainError> {
    const FARADAY: f64 = 96_485.332_12; // C/mol, CODATA 2018
    let gaps = positive("number of gaps", f64::from(gaps))?;
    let efficiency = share("current efficiency", current_efficiency)?;
    Ok(
        not_negative("current", current_a)? * gaps * efficiency * CHLORINE / (2.0 * FARADAY)
            * 3600.0,
    )
}

/// Rise in mg/L that a production in g/h makes in a volume in m³ over a run in h at a duty (share of the time), before
/// losses to sun and use.
///
/// # Errors
/// Volume above zero, production and time not below, duty 0 to 1.
pub fn rise_by_production(
    g_per_h: f64,
    hours: f64,
    duty: f64,
    volume_m3: f64,
) -> Result<f64, DomainError> {
    let g = not_negative("production", g_per_h)?
        * not_negative("time", hours)?
        * within("duty", duty, 0.0, 1.0)?;
    Ok(g / positive("volume", volume_m3)?)
}

/// Chlorine to ammonia nitrogen by mass at the breakpoint: 1.5 mol Cl₂ per mol N (3 HOCl + 2 NH₃ → N₂), 7.6 to 1.
pub const BREAKPOINT_RATIO: f64 = 1.5 * CHLORINE / N;
/// The ratios that practice takes. Source: Weiner, Applications of Environmental Aquatic Chemistry, chapter 4.
pub const BREAKPOINT_PRACTICE: (f64, f64) = (10.0, 15.0);

/// Chlorine in mg/L (as Cl₂) that oxidises ammonia (mg/L as N) to the breakpoint ([`BREAKPOINT_RATIO`]).
///
/// # Errors
/// Must not be below zero.
pub fn breakpoint_chlorine(ammonia_n: f64) -> Result<f64, DomainError> {
    Ok(not_negative("ammonia", ammonia_n)? * BREAKPOINT_RATIO)
}

/// Chlorine in mg/L that carries combined chlorine (mg/L as Cl₂, all monochloramine) on to the breakpoint: it already
/// holds one of the 1.5 mol per mol N, so half as much again. The trade's "ten times combined" is practice, not
/// stoichiometry.
///
/// # Errors
/// Must not be below zero.
pub fn chlorine_to_breakpoint(combined_chlorine: f64) -> Result<f64, DomainError> {
    Ok(not_negative("combined chlorine", combined_chlorine)? / 2.0)
}

/// Sodium thiosulfate pentahydrate in mg/L that takes away free chlorine in mg/L (as Cl₂): one for four,
/// S₂O₃²⁻ + 4 HOCl + H₂O → 2 SO₄²⁻ + 4 Cl⁻ + 6 H⁺, in dilute water with chlorine in excess. Other courses of the
/// reaction need up to four times this.
///
/// # Errors
/// Must not be below zero.
pub fn thiosulfate_mg_per_l(free_chlorine: f64) -> Result<f64, DomainError> {
    Ok(not_negative("free chlorine", free_chlorine)? * THIOSULFATE / (4.0 * CHLORINE))
}
