//! Units of measure: what a spelling means, and conversion between units of one quantity.
//!
//! People write a unit in many ways (`psi`, `PSIG`, `lbs/in²`; `"wc`, `in. W.C.`). [`find`] reads a spelling, [`convert`]
//! turns a value from one unit into another of the same [`Quantity`], and everything else is an error: a unit is never
//! guessed. Case, blanks, dots and hyphens do not count, except where they would make two units one (`K` is a
//! kelvin, `k` is nothing). The factors are those of NIST SP 811 (2008) appendix B: exact by definition where the
//! definition is exact, the conventional values for columns of mercury and water. The table itself is in `table`.
//!
//! Things to beware of. `ppm` is mg/L, as in water tests; ppm by mass differs by the density ([`super::water`]), and
//! ppm in air is no mg/L at all. Pressures are as a gauge shows them, so absolute units (`psia`, `bara`) are not known.
//! Hardness degrees are counted as CaCO₃. A temperature *difference* has units of its own (`ΔF`); [`convert_difference`]
//! takes the plain ones as differences. A bare `deg` is an angle. `mohm` is a megohm: the table holds no milliohm.

mod table;

use std::collections::HashMap;
use std::fmt;
use std::sync::LazyLock;
use table::UNITS;

/// What a unit measures. Units convert within one quantity only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Quantity {
    /// Rotation or opening.
    Angle,
    /// Area.
    Area,
    /// Electric capacitance.
    Capacitance,
    /// Electric conductivity of water.
    Conductivity,
    /// Electric current.
    Current,
    /// Energy or heat.
    Energy,
    /// Force.
    Force,
    /// Frequency.
    Frequency,
    /// Length.
    Length,
    /// Mass.
    Mass,
    /// Mass of a substance per volume of water; also what is counted as CaCO₃.
    Concentration,
    /// Mass per time.
    MassFlow,
    /// pH.
    Ph,
    /// Power, or heat per time.
    Power,
    /// Gauge pressure, or vacuum.
    Pressure,
    /// A plain number or share.
    Ratio,
    /// Electric resistance.
    Resistance,
    /// Electric resistivity.
    Resistivity,
    /// Rotational speed.
    RotationalSpeed,
    /// Speed, also the fall of a level.
    Speed,
    /// Temperature, a point on a scale.
    Temperature,
    /// Difference of two temperatures.
    TemperatureDifference,
    /// Duration.
    Time,
    /// Torque.
    Torque,
    /// Electric voltage.
    Voltage,
    /// Volume.
    Volume,
    /// Volume per time.
    VolumeFlow,
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Angle => "an angle",
            Self::Area => "an area",
            Self::Capacitance => "a capacitance",
            Self::Conductivity => "a conductivity",
            Self::Current => "a current",
            Self::Energy => "an energy",
            Self::Force => "a force",
            Self::Frequency => "a frequency",
            Self::Length => "a length",
            Self::Mass => "a mass",
            Self::Concentration => "a concentration",
            Self::MassFlow => "a mass flow",
            Self::Ph => "a pH",
            Self::Power => "a power",
            Self::Pressure => "a pressure",
            Self::Ratio => "a plain number",
            Self::Resistance => "a resistance",
            Self::Resistivity => "a resistivity",
            Self::RotationalSpeed => "a rotational speed",
            Self::Speed => "a speed",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Time => "a time",
            Self::Torque => "a torque",
            Self::Voltage => "a voltage",
            Self::Volume => "a volume",
            Self::VolumeFlow => "a flow",
        })
    }
}

/// A unit: in its quantity's base unit a value x is (x − zero) · times / over.
///
/// Factor and divisor are kept apart so that exact ratios such as 5/9 do not lose their last digit.
#[derive(Debug)]
pub struct Unit {
    symbol: &'static str,
    quantity: Quantity,
    zero: f64,
    times: f64,
    over: f64,
    spellings: &'static [&'static str],
}

impl Unit {
    /// The usual symbol, in ASCII.
    #[must_use]
    pub fn symbol(&self) -> &'static str {
        self.symbol
    }

    /// What it measures.
    #[must_use]
    pub fn quantity(&self) -> Quantity {
        self.quantity
    }

    /// Every spelling it is known by, the symbol first.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.symbol).chain(self.spellings.iter().copied())
    }

    fn to_base(&self, value: f64) -> f64 {
        (value - self.zero) * self.times / self.over
    }

    fn of_base(&self, value: f64) -> f64 {
        value * self.over / self.times + self.zero
    }
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.symbol == other.symbol
    }
}

impl Eq for Unit {}

/// Why a value could not be converted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// No unit is spelled so.
    #[error("`{0}` is no unit known here")]
    Unknown(String),
    /// The units measure different things.
    #[error(
        "`{from}` is {from_quantity}, `{to}` is {to_quantity}: there is no way from one to the other"
    )]
    Mismatch {
        /// The unit given.
        from: &'static str,
        /// What it measures.
        from_quantity: Quantity,
        /// The unit asked for.
        to: &'static str,
        /// What that measures.
        to_quantity: Quantity,
    },
    /// The value is infinite or no number, before or after.
    #[error("expected a finite number of `{unit}`, but found {value}")]
    NotFinite {
        /// The value.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// The temperature lies below absolute zero.
    #[error("{value} {unit} lies below absolute zero")]
    BelowAbsoluteZero {
        /// The value.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
}

/// Spellings reduced to what counts in them, each with its unit.
static INDEX: LazyLock<HashMap<String, &'static Unit>> = LazyLock::new(|| {
    let spelled = UNITS
        .iter()
        .flat_map(|unit| unit.spellings().map(move |spelling| (spelling, unit)));
    spelled
        .filter(|(spelling, _)| !EXACT.contains(spelling))
        .map(|(spelling, unit)| (key(spelling), unit))
        .collect()
});

/// Spellings that hold only letter for letter, because in another case they are something else.
const EXACT: [&str; 1] = ["K"];

/// All units known.
pub fn all() -> impl Iterator<Item = &'static Unit> {
    UNITS.iter()
}

/// The unit that is spelled so, if any.
#[must_use]
pub fn find(spelling: &str) -> Option<&'static Unit> {
    let spelling = spelling.trim();
    if EXACT.contains(&spelling) {
        return UNITS
            .iter()
            .find(|unit| unit.spellings().any(|known| known == spelling));
    }
    let key = key(spelling);
    INDEX.get(&key).copied().or_else(|| {
        // "gals", "mins": a plural that is not listed. Short words are left alone: "as" is no ampere.
        let singular = key
            .strip_suffix('s')
            .filter(|singular| singular.len() >= 3)?;
        INDEX.get(singular).copied()
    })
}

/// Converts a value from one unit to another, both by spelling.
///
/// # Errors
/// A spelling is unknown, the units measure different things, the value or the result is not finite, or a temperature
/// lies below absolute zero.
///
/// ```
/// use padlore_core::science::units::convert;
/// assert_eq!(convert(27.0, "°C", "degF"), Ok(80.6));
/// assert!(convert(24.0, "kPa", "gpm").is_err());
/// ```
pub fn convert(value: f64, from: &str, to: &str) -> Result<f64, UnitError> {
    let (from, to) = pair(from, to)?;
    if from.quantity == Quantity::Temperature {
        // The base unit is the degree Celsius; a value converted onto absolute zero must not fail by its last digit.
        let below = from.to_base(value) < -super::ZERO_CELSIUS_K - 1e-9;
        if below {
            return Err(UnitError::BelowAbsoluteZero {
                value,
                unit: from.symbol,
            });
        }
    }
    scale(
        value,
        from,
        to,
        |unit, value| unit.to_base(value),
        |unit, value| unit.of_base(value),
    )
}

/// Converts a difference of two values: as [`convert`], but the zero of the scales does not count (10 °C are 18 °F).
///
/// # Errors
/// As [`convert`].
pub fn convert_difference(value: f64, from: &str, to: &str) -> Result<f64, UnitError> {
    let (from, to) = pair(from, to)?;
    scale(
        value,
        from,
        to,
        |unit, value| value * unit.times / unit.over,
        |unit, value| value * unit.over / unit.times,
    )
}

fn pair(from: &str, to: &str) -> Result<(&'static Unit, &'static Unit), UnitError> {
    let known =
        |spelling: &str| find(spelling).ok_or_else(|| UnitError::Unknown(spelling.to_owned()));
    let (from, to) = (known(from)?, known(to)?);
    if from.quantity == to.quantity {
        return Ok((from, to));
    }
    Err(UnitError::Mismatch {
        from: from.symbol,
        from_quantity: from.quantity,
        to: to.symbol,
        to_quantity: to.quantity,
    })
}

fn scale(
    value: f64,
    from: &'static Unit,
    to: &'static Unit,
    up: impl Fn(&Unit, f64) -> f64,
    down: impl Fn(&Unit, f64) -> f64,
) -> Result<f64, UnitError> {
    if !value.is_finite() {
        return Err(UnitError::NotFinite {
            value,
            unit: from.symbol,
        });
    }
    // Through the base and back a value would not always come out as it went in.
    let result = if from == to {
        value
    } else {
        down(to, up(from, value))
    };
    if result.is_finite() {
        Ok(result)
    } else {
        Err(UnitError::NotFinite {
            value: result,
            unit: to.symbol,
        })
    }
}

/// A spelling reduced to what counts: lower case, `per` as a slash, signs spelled out, no blanks and no dots.
fn key(spelling: &str) -> String {
    let mut key = String::with_capacity(spelling.len());
    for word in spelling.split_whitespace() {
        if word.eq_ignore_ascii_case("per") {
            key.push('/');
            continue;
        }
        for c in word.chars() {
            match c {
                '.' | '-' | '_' | '^' | '·' | '⋅' | '*' | '\u{2212}' => {}
                '²' | '₂' => key.push('2'),
                '³' | '₃' => key.push('3'),
                'µ' | 'μ' => key.push('u'),
                'Ω' | '\u{2126}' | 'ω' => key.push_str("ohm"),
                '°' | 'º' | '˚' => key.push_str("deg"),
                '℃' => key.push_str("degc"),
                '℉' => key.push_str("degf"),
                'Δ' | 'δ' | '∆' => key.push_str("delta"),
                '"' | '″' | '“' | '”' => key.push_str("in"),
                '\'' | '′' | '’' => key.push_str("ft"),
                _ => key.extend(c.to_lowercase()),
            }
        }
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_units_share_a_spelling() {
        let mut seen: HashMap<String, &str> = HashMap::new();
        for unit in all() {
            for spelling in unit
                .spellings()
                .filter(|spelling| !EXACT.contains(spelling))
            {
                // Twice for one unit is waste, twice for two is a wrong reading.
                let other = seen.insert(key(spelling), unit.symbol);
                assert_eq!(
                    other, None,
                    "`{spelling}` of `{}` stands there twice",
                    unit.symbol
                );
            }
        }
    }

    #[test]
    fn every_spelling_finds_its_unit() {
        for unit in all() {
            assert!(unit.times > 0.0 && unit.over > 0.0, "{unit:?}");
            for spelling in unit.spellings() {
                assert_eq!(find(spelling), Some(unit), "{spelling}");
            }
        }
    }

    #[test]
    fn conversion_goes_there_and_back() {
        for from in all() {
            for to in all().filter(|to| to.quantity == from.quantity) {
                let there = convert(123.456, from.symbol, to.symbol);
                let back = there
                    .clone()
                    .and_then(|value| convert(value, to.symbol, from.symbol));
                let error = back
                    .clone()
                    .map_or(f64::INFINITY, |back| (back / 123.456 - 1.0).abs());
                assert!(
                    error < 1e-12,
                    "{} -> {}: {there:?}, back {back:?}",
                    from.symbol,
                    to.symbol
                );
            }
        }
    }

    #[test]
    fn spellings_as_people_write_them() {
        for (written, symbol) in [
            ("PSI", "psi"),
            ("lbs/in²", "psi"),
            ("psig", "psi"),
            ("\" wc", "inWC"),
            ("in. W.C.", "inWC"),
            ("inches of mercury", "inHg"),
            ("°F", "degF"),
            ("deg C", "degC"),
            ("degrees Fahrenheit", "degF"),
            ("µF", "uF"),
            ("MFD", "uF"),
            ("kΩ", "kohm"),
            ("K ohms", "kohm"),
            ("megohms", "Mohm"),
            ("mohm", "Mohm"),
            ("gal per min", "gpm"),
            ("m³/h", "m3/h"),
            ("inches per day", "in/d"),
            ("mm per day", "mm/d"),
            ("gals", "gal"),
            ("mins", "min"),
            ("VAC", "V"),
            ("ppm as CaCO₃", "ppm"),
            ("K", "K"),
        ] {
            assert_eq!(find(written).map(Unit::symbol), Some(symbol), "{written}");
        }
    }

    #[test]
    fn words_that_are_no_units_are_none() {
        for written in [
            "",
            " ",
            "s s",
            "as",
            "k",
            "psia",
            "bara",
            "bars of soap",
            "degree of care",
            "/",
            "per",
        ] {
            assert_eq!(find(written), None, "{written}");
        }
    }

    #[test]
    fn bad_input_is_an_error() {
        assert_eq!(
            convert(1.0, "furlongish", "m"),
            Err(UnitError::Unknown("furlongish".into()))
        );
        assert!(matches!(
            convert(1.0, "psi", "degF"),
            Err(UnitError::Mismatch { .. })
        ));
        assert!(matches!(
            convert(1.0, "degF", "ΔF"),
            Err(UnitError::Mismatch { .. })
        ));
        assert!(matches!(
            convert(f64::NAN, "psi", "kPa"),
            Err(UnitError::NotFinite { .. })
        ));
        assert!(matches!(
            convert(f64::MAX, "MPa", "Pa"),
            Err(UnitError::NotFinite { .. })
        ));
        assert!(matches!(
            convert(-500.0, "degF", "degC"),
            Err(UnitError::BelowAbsoluteZero { .. })
        ));
        assert_eq!(convert(0.0, "K", "degC"), Ok(-273.15));
    }

    #[test]
    fn round_values_stay_round() {
        assert_eq!(convert(104.0, "degF", "degC"), Ok(40.0));
        assert_eq!(convert(40.0, "degC", "degF"), Ok(104.0));
        assert_eq!(convert(22.0, "psi", "psig"), Ok(22.0));
        assert_eq!(convert(3.2, "g/L", "ppm"), Ok(3200.0));
        assert_eq!(convert(10.0, "kohm", "ohm"), Ok(10_000.0));
        assert_eq!(convert_difference(10.0, "degC", "degF"), Ok(18.0));
    }
}
