//! Free chlorine in water: how much of it is hypochlorous acid, with and without cyanuric acid.
//!
//! Hypochlorous acid (HOCl) does the disinfecting; hypochlorite (OCl⁻) hardly does. pH divides the two. Cyanuric acid
//! binds most of both and gives them back as they are used, which a test kit reads as free chlorine all the same. The
//! published equilibria of cyanuric acid differ by about a third, so HOCl beside it is a band and not a number.

use super::root::bisect;
use super::saturation::cyanuric_pk;
use super::{DomainError, finite, not_negative, positive, within};

/// Molar masses in g/mol.
const CHLORINE_G_PER_MOL: f64 = 70.906;
const CYANURIC_ACID_G_PER_MOL: f64 = 129.074;

/// Dissociation constant (pK) of hypochlorous acid at a temperature in °C: 3000/T − 10.0686 + 0.0253·T.
/// Source: Morris, J. Phys. Chem. 70 (1966) 3798 (read in the source of a public drinking-water program that cites it).
///
/// # Errors
/// 0 °C to 60 °C.
pub fn hypochlorous_pk(celsius: f64) -> Result<f64, DomainError> {
    let t = super::kelvin(
        "water temperature",
        within("water temperature", celsius, 0.0, 60.0)?,
    )?;
    Ok(3000.0 / t - 10.0686 + 0.0253 * t)
}

/// Share of free chlorine that is hypochlorous acid at a pH: 1/(1 + 10^(pH − pK)); the rest is hypochlorite. No
/// cyanuric acid, zero ionic strength.
///
/// # Errors
/// pH 0 to 14, pK finite.
pub fn hypochlorous_share(ph: f64, pk: f64) -> Result<f64, DomainError> {
    Ok(1.0 / (1.0 + 10_f64.powf(within("pH", ph, 0.0, 14.0)? - finite("pK", pk)?)))
}

/// A published set of equilibria of free chlorine with cyanuric acid at 25 °C.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CyanurateModel {
    /// All twelve equilibria of O'Brien, Morris and Butler (1974); constants from memory, thermodynamic cycles close.
    Full1974,
    /// The four species that matter near pH 7 with the constants of Wahman and Alexander, Environ. Eng. Sci. 36 (2019)
    /// 283, abstract, at zero ionic strength; that these are the species is inferred.
    Simple2019,
}

/// pK of the release of HOCl from monochlorinated cyanurate (K7a) at a temperature in °C: 2028/T − 2.15.
/// Source: Wahman and Alexander 2019, abstract.
///
/// # Errors
/// 0 °C to 60 °C.
pub fn pk_7a(celsius: f64) -> Result<f64, DomainError> {
    let t = super::kelvin(
        "water temperature",
        within("water temperature", celsius, 0.0, 60.0)?,
    )?;
    Ok(2028.0 / t - 2.15)
}

/// pK7a and pK9a at 25 °C as printed. Source: Wahman and Alexander 2019, abstract.
pub const PK_2019: (f64, f64) = (4.65, 5.83);

/// Temperature in °C that the cyanurate equilibria hold for.
const MODEL_CELSIUS: f64 = 25.0;

/// Free chlorine that is not bound to cyanurate, in mg/L as Cl₂.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unbound {
    /// Hypochlorous acid.
    pub hypochlorous: f64,
    /// Hypochlorite.
    pub hypochlorite: f64,
    /// Both together as a share of the free chlorine.
    pub share: f64,
}

impl CyanurateModel {
    /// Factors of [H₃Cy]·[HOCl]^n for n = 0 to 3: all forms of cyanurate that carry n chlorines.
    fn forms(self, h: f64) -> Result<[f64; 4], DomainError> {
        let k = |pk: f64| 10_f64.powf(-pk);
        Ok(match self {
            Self::Full1974 => {
                // Acid dissociations, then hydrolyses that release one HOCl each.
                let (h3cy, h2cy, hcy) = (k(6.88), k(11.40), k(13.5));
                let (h2clcy, hclcy, hcl2cy) = (k(5.33), k(10.12), k(3.75));
                let (from_cl3cy, from_hcl2cy, from_h2clcy) = (k(1.8), k(2.93), k(4.07));
                let one = 1.0 / from_h2clcy;
                let two = one / from_hcl2cy;
                [
                    1.0 + h3cy / h + h3cy * h2cy / h.powi(2) + h3cy * h2cy * hcy / h.powi(3),
                    one * (1.0 + h2clcy / h + h2clcy * hclcy / h.powi(2)),
                    two * (1.0 + hcl2cy / h),
                    two / from_cl3cy,
                ]
            }
            Self::Simple2019 => {
                let dissociated = k(cyanuric_pk(MODEL_CELSIUS)?) / h;
                let (k7a, k9a) = (k(PK_2019.0), k(PK_2019.1));
                [
                    1.0 + dissociated,
                    dissociated / k9a,
                    dissociated / k9a / k7a,
                    0.0,
                ]
            }
        })
    }

    /// What of a free chlorine (mg/L as Cl₂, as a test kit reads it) stays unbound beside cyanuric acid (mg/L) at a pH,
    /// at 25 °C: HOCl is sought at which chlorine and cyanurate both balance.
    ///
    /// # Errors
    /// pH 5 to 10; free chlorine above zero and at most 1000; cyanuric acid 0 to 5000.
    pub fn unbound(
        self,
        ph: f64,
        free_chlorine: f64,
        cyanuric_acid: f64,
    ) -> Result<Unbound, DomainError> {
        let ph = within("pH", ph, 5.0, 10.0)?;
        let free = within(
            "free chlorine",
            positive("free chlorine", free_chlorine)?,
            0.0,
            1000.0,
        )?;
        let chlorine = free / CHLORINE_G_PER_MOL / 1000.0;
        let cyanurate = within(
            "cyanuric acid",
            not_negative("cyanuric acid", cyanuric_acid)?,
            0.0,
            5000.0,
        )? / CYANURIC_ACID_G_PER_MOL
            / 1000.0;
        let [a0, a1, a2, a3] = self.forms(10_f64.powf(-ph))?;
        let hypochlorite_ratio = 10_f64.powf(ph - hypochlorous_pk(MODEL_CELSIUS)?);
        let balance = |x: f64| {
            let uncharged = cyanurate / (a0 + x * (a1 + x * (a2 + x * a3)));
            let bound = uncharged * x * (a1 + x * (2.0 * a2 + x * 3.0 * a3));
            x * (1.0 + hypochlorite_ratio) + bound - chlorine
        };
        let x = bisect("hypochlorous acid", 0.0, chlorine, balance)?;
        let hypochlorous = x * CHLORINE_G_PER_MOL * 1000.0;
        let hypochlorite = hypochlorous * hypochlorite_ratio;
        Ok(Unbound {
            hypochlorous,
            hypochlorite,
            share: (hypochlorous + hypochlorite) / free,
        })
    }
}

/// Combined chlorine: total less free, same unit (definition).
///
/// # Errors
/// Free not below zero and not above total.
pub fn combined(total_chlorine: f64, free_chlorine: f64) -> Result<f64, DomainError> {
    let total = not_negative("total chlorine", total_chlorine)?;
    Ok(total - within("free chlorine", free_chlorine, 0.0, total)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_cyanurate_nothing_is_bound() {
        for model in [CyanurateModel::Full1974, CyanurateModel::Simple2019] {
            let found = model
                .unbound(7.5, 3.0, 0.0)
                .map_or(f64::NAN, |found| found.share);
            assert!((found - 1.0).abs() < 1e-12, "{model:?}: {found}");
        }
    }

    #[test]
    fn more_cyanurate_or_a_higher_ph_leaves_less_acid() {
        for model in [CyanurateModel::Full1974, CyanurateModel::Simple2019] {
            let acid = |ph, cya| {
                model
                    .unbound(ph, 3.0, cya)
                    .map_or(f64::NAN, |found| found.hypochlorous)
            };
            assert!(acid(7.5, 30.0) > acid(7.5, 80.0));
            assert!(acid(7.2, 50.0) > acid(7.8, 50.0));
        }
    }

    #[test]
    fn free_chlorine_above_total_is_refused() {
        assert!(combined(2.0, 2.5).is_err());
        assert!(CyanurateModel::Full1974.unbound(7.5, 0.0, 50.0).is_err());
    }
}
