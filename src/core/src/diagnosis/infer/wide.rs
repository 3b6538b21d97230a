//! Numbers that do not underflow: a double with an exponent of its own.
//!
//! Products of hundreds of small probabilities leave the range of a double (about 1e-308). Folding evidence into
//! priors always uses [`Wide`]; the sweep runs in plain doubles and again in [`Wide`] only where its result is so
//! small that a lost term could matter. [`Weight`] is what the sweep needs of either.

use std::ops::{Add, Div, Mul};

/// What the sweep computes with: non-negative numbers that are added and multiplied, never subtracted.
pub(super) trait Weight: Copy + Add<Output = Self> + Mul<Output = Self> {
    /// Nought.
    const ZERO: Self;
    /// One.
    const ONE: Self;
    /// The number as this sort holds it.
    fn from_wide(value: Wide) -> Self;
    /// A double as this sort holds it.
    fn from_f64(value: f64) -> Self;
    /// Back to the sort with the widest range.
    fn wide(self) -> Wide;
}

impl Weight for f64 {
    const ZERO: Self = 0.0;
    const ONE: Self = 1.0;
    fn from_wide(value: Wide) -> Self {
        value.to_f64()
    }
    fn from_f64(value: f64) -> Self {
        value
    }
    fn wide(self) -> Wide {
        Wide::new(self)
    }
}

/// A non-negative number `mantissa` × 2^`exponent`, with the mantissa in 1..2, or 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wide {
    mantissa: f64,
    exponent: i64,
}

/// Exponents further apart than this leave no trace in a sum.
const NO_TRACE: i64 = 64;

impl Wide {
    /// From a finite number of at least 0.
    pub(super) fn new(value: f64) -> Self {
        Self::scaled(value, 0)
    }

    /// `value` × 2^`exponent`.
    fn scaled(value: f64, exponent: i64) -> Self {
        if value <= 0.0 {
            return Self::ZERO;
        }
        let (value, exponent) = if value < f64::MIN_POSITIVE {
            (value * power_of_two(64), exponent - 64)
        } else {
            (value, exponent)
        };
        let bits = value.to_bits();
        let own = ((bits >> 52) & 0x7ff) as i64 - 1023;
        let mantissa = f64::from_bits((bits & 0x000f_ffff_ffff_ffff) | 0x3ff0_0000_0000_0000);
        Self {
            mantissa,
            exponent: exponent + own,
        }
    }

    /// Whether it is exactly 0.
    pub(super) fn is_zero(self) -> bool {
        self.mantissa == 0.0
    }

    /// Natural logarithm; minus infinity of 0.
    pub(super) fn ln(self) -> f64 {
        if self.is_zero() {
            f64::NEG_INFINITY
        } else {
            self.mantissa.ln() + self.exponent as f64 * std::f64::consts::LN_2
        }
    }

    /// The nearest double: 0 or infinite where out of its range.
    pub(super) fn to_f64(self) -> f64 {
        match self.exponent {
            ..=-1023 => {
                self.mantissa * power_of_two((self.exponent + 512).max(-1022)) * power_of_two(-512)
            }
            -1022..=1023 => self.mantissa * power_of_two(self.exponent),
            1024.. => f64::INFINITY,
        }
    }

    /// The greater of two.
    pub(super) fn max(self, other: Self) -> Self {
        let greater = if self.is_zero() || other.is_zero() {
            self.is_zero()
        } else {
            (other.exponent, other.mantissa) > (self.exponent, self.mantissa)
        };
        if greater { other } else { self }
    }
}

/// 2^`exponent` for an exponent in -1022..=1023.
fn power_of_two(exponent: i64) -> f64 {
    f64::from_bits(((exponent.clamp(-1022, 1023) + 1023) as u64) << 52)
}

impl Add for Wide {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let (great, small) = if self.max(other) == self {
            (self, other)
        } else {
            (other, self)
        };
        let apart = great.exponent - small.exponent;
        if small.is_zero() || apart > NO_TRACE {
            great
        } else {
            Self::scaled(
                great.mantissa + small.mantissa * power_of_two(-apart),
                great.exponent,
            )
        }
    }
}

impl Mul for Wide {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::scaled(
            self.mantissa * other.mantissa,
            self.exponent + other.exponent,
        )
    }
}

/// The divisor must not be 0.
impl Div for Wide {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        Self::scaled(
            self.mantissa / other.mantissa,
            self.exponent - other.exponent,
        )
    }
}

impl Weight for Wide {
    const ZERO: Self = Self {
        mantissa: 0.0,
        exponent: 0,
    };
    const ONE: Self = Self {
        mantissa: 1.0,
        exponent: 0,
    };
    fn from_wide(value: Wide) -> Self {
        value
    }
    fn from_f64(value: f64) -> Self {
        Self::new(value)
    }
    fn wide(self) -> Wide {
        self
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn holds_what_a_double_holds() {
        for value in [
            0.0,
            1.0,
            0.1,
            3.0,
            1e300,
            1e-300,
            5e-324,
            f64::MIN_POSITIVE,
            f64::MAX,
        ] {
            assert_eq!(Wide::new(value).to_f64(), value, "{value:e}");
        }
    }

    #[test]
    fn adds_and_multiplies_as_doubles_do() {
        for (a, b) in [
            (0.1, 0.2),
            (1.5, 1e-17),
            (0.0, 0.3),
            (3e-5, 7e8),
            (1e-200, 1e-190),
        ] {
            assert_eq!((Wide::new(a) + Wide::new(b)).to_f64(), a + b);
            assert_eq!((Wide::new(b) + Wide::new(a)).to_f64(), a + b);
            assert_eq!((Wide::new(a) * Wide::new(b)).to_f64(), a * b);
        }
        assert_eq!((Wide::new(0.3) / Wide::new(0.7)).to_f64(), 0.3 / 0.7);
    }

    #[test]
    fn goes_where_a_double_cannot() {
        let mut tiny = Wide::ONE;
        for _ in 0..500 {
            tiny = tiny * Wide::new(1e-20);
        }
        assert_eq!(tiny.to_f64(), 0.0);
        let log = -10_000.0 * std::f64::consts::LN_10;
        assert!((tiny.ln() - log).abs() < 1e-9, "{} {log}", tiny.ln());
        assert!(((tiny + tiny) / tiny).to_f64() == 2.0);
        assert_eq!(tiny.max(Wide::ZERO), tiny);
        assert_eq!((Wide::ONE / tiny).to_f64(), f64::INFINITY);
        assert_eq!(Wide::ZERO.ln(), f64::NEG_INFINITY);
    }
}
