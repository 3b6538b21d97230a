//! Formulas of physics, electricity and water chemistry, each with its source.
//!
//! Everything here is a pure function of numbers: no text of notes, no tables of the shop, no files. A name ends in the
//! unit that its value is in (`flow_m3_per_h`, `celsius`); shares such as efficiency are numbers from 0 to 1, never
//! percent. [`units`] turns what people write into these units and back. Input that a formula does not hold for is a
//! [`DomainError`] and never a wrong number: a sensor of 0 Ω has no temperature, water of −30 °C no density.
//!
//! The check data and where they come from stand beside the tests in `tests/reference/formulas`. A constant that no
//! text was at hand for is marked "from memory" where it stands.
//!
//! A number is not a permission. Readings on live circuits, gas and refrigerant work, and chemical doses are for
//! qualified people under the local code, the rating plate and the product's label, whatever a formula says.

pub mod affinity;
pub mod carbonate;
pub mod chlorine;
pub mod head_loss;
pub mod heating;
pub mod liquid_water;
pub mod motor;
pub mod saturation;
pub mod thermistor;
pub mod units;
pub mod voltage_drop;
pub mod water;

mod root;

/// Kelvin at 0 °C, exact (BIPM, SI brochure).
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// Standard acceleration of gravity in m/s², exact (3rd CGPM, 1901; NIST SP 811 appendix B.8).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// Why a formula gave no number.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DomainError {
    /// The value is infinite or no number.
    #[error("{name} must be a finite number, but is {value}")]
    NotFinite {
        /// What the value is.
        name: &'static str,
        /// The value given.
        value: f64,
    },
    /// The value is zero or below.
    #[error("{name} must be above zero, but is {value}")]
    NotPositive {
        /// What the value is.
        name: &'static str,
        /// The value given.
        value: f64,
    },
    /// The value lies outside the range that the formula was made for.
    #[error("{name} must lie between {least} and {most}, but is {value}")]
    OutOfRange {
        /// What the value is.
        name: &'static str,
        /// The value given.
        value: f64,
        /// Least value that the formula holds for.
        least: f64,
        /// Greatest value that the formula holds for.
        most: f64,
    },
    /// Two values stand in the wrong order.
    #[error("{lower} ({lower_value}) must be below {upper} ({upper_value})")]
    Order {
        /// What should be the smaller one.
        lower: &'static str,
        /// Its value.
        lower_value: f64,
        /// What should be the greater one.
        upper: &'static str,
        /// Its value.
        upper_value: f64,
    },
    /// The equations have no answer for this input.
    #[error("no {name} answers this input")]
    NoSolution {
        /// What was sought.
        name: &'static str,
    },
}

fn finite(name: &'static str, value: f64) -> Result<f64, DomainError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(DomainError::NotFinite { name, value })
    }
}

fn positive(name: &'static str, value: f64) -> Result<f64, DomainError> {
    if finite(name, value)? > 0.0 {
        Ok(value)
    } else {
        Err(DomainError::NotPositive { name, value })
    }
}

fn within(name: &'static str, value: f64, least: f64, most: f64) -> Result<f64, DomainError> {
    if (least..=most).contains(&finite(name, value)?) {
        Ok(value)
    } else {
        Err(DomainError::OutOfRange {
            name,
            value,
            least,
            most,
        })
    }
}

/// Zero or above.
fn not_negative(name: &'static str, value: f64) -> Result<f64, DomainError> {
    within(name, value, 0.0, f64::MAX)
}

/// Above 0 and at most 1, as an efficiency or a power factor is.
fn share(name: &'static str, value: f64) -> Result<f64, DomainError> {
    within(name, positive(name, value)?, 0.0, 1.0)
}

/// `lower` below `upper`, both finite.
fn ordered(lower: (&'static str, f64), upper: (&'static str, f64)) -> Result<(), DomainError> {
    if finite(lower.0, lower.1)? < finite(upper.0, upper.1)? {
        Ok(())
    } else {
        Err(DomainError::Order {
            lower: lower.0,
            lower_value: lower.1,
            upper: upper.0,
            upper_value: upper.1,
        })
    }
}

/// A temperature in °C as kelvin; refuses what lies at or below absolute zero.
fn kelvin(name: &'static str, celsius: f64) -> Result<f64, DomainError> {
    positive(name, finite(name, celsius)? + ZERO_CELSIUS_K).map_err(|_| DomainError::OutOfRange {
        name,
        value: celsius,
        least: -ZERO_CELSIUS_K,
        most: f64::MAX,
    })
}
