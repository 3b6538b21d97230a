//! One root of a continuous function between two bounds.
//!
//! The formulas that need it are monotonic between bounds known beforehand, so bisection is enough: it cannot run away,
//! needs no derivative, and a hundred halvings bring any bracket down to neighbouring numbers.

use super::DomainError;

/// The point in `low..=high` where `f` changes sign, to the last digits of a double.
///
/// # Errors
/// [`DomainError::NoSolution`], naming `name`, when both ends have one sign or the function is no number there.
pub(super) fn bisect(
    name: &'static str,
    low: f64,
    high: f64,
    f: impl Fn(f64) -> f64,
) -> Result<f64, DomainError> {
    const HALVINGS: u32 = 200; // more than the 52 + 11 that any bracket of doubles of one sign can take
    let (mut low, mut high) = (low, high);
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Ok(low);
    }
    if at_high == 0.0 {
        return Ok(high);
    }
    if !(at_low.is_finite() && at_high.is_finite()) || at_low.signum() == at_high.signum() {
        return Err(DomainError::NoSolution { name });
    }
    for _ in 0..HALVINGS {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        let value = f(middle);
        if value == 0.0 {
            return Ok(middle);
        }
        if value.signum() == at_low.signum() {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(low + (high - low) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_root_to_the_last_digits() {
        let root = bisect("root of two", 0.0, 2.0, |x| x * x - 2.0).unwrap_or(f64::NAN);
        assert!((root - std::f64::consts::SQRT_2).abs() < 1e-15, "{root}");
    }

    #[test]
    fn refuses_a_bracket_without_a_sign_change() {
        assert_eq!(
            bisect("x", 1.0, 2.0, |x| x),
            Err(DomainError::NoSolution { name: "x" })
        );
        assert_eq!(
            bisect("x", 0.0, 1.0, |_| f64::NAN),
            Err(DomainError::NoSolution { name: "x" })
        );
    }
}
