//! Resistance and temperature of NTC thermistors.
//!
//! An NTC (negative temperature coefficient) thermistor loses resistance as it warms. Two descriptions are in use: the
//! beta equation with one constant, good to about a degree over a span of fifty, and the Steinhart-Hart equation with
//! three. A reading far outside what water or air can have means a broken or shorted sensor; [`Beta::judge`] says so.

use super::{DomainError, ZERO_CELSIUS_K, finite, kelvin, ordered, positive};

/// 25 °C in kelvin, the reference point of the beta equation.
const REFERENCE_K: f64 = ZERO_CELSIUS_K + 25.0;

/// Readings from −20 °C to 110 °C are taken for temperatures (common practice for sensors in water pipes and outdoors).
pub const PLAUSIBLE_CELSIUS: (f64, f64) = (-20.0, 110.0);

/// A thermistor described by its resistance at 25 °C and its beta constant.
///
/// R = R25 · exp(B · (1/T − 1/298.15 K)), T in kelvin. Source: standard NTC definition (IEC 60539-1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beta {
    r25_ohm: f64,
    beta_k: f64,
}

impl Beta {
    /// A thermistor of `r25_ohm` Ω at 25 °C and `beta_k` kelvin.
    ///
    /// # Errors
    /// Both must be above zero.
    pub fn new(r25_ohm: f64, beta_k: f64) -> Result<Self, DomainError> {
        Ok(Self {
            r25_ohm: positive("resistance at 25 °C", r25_ohm)?,
            beta_k: positive("beta constant", beta_k)?,
        })
    }

    /// The thermistor whose curve runs through two points of (°C, Ω).
    ///
    /// B = ln(R1/R2) / (1/T1 − 1/T2), the beta equation solved for B (IEC 60539-1).
    ///
    /// # Errors
    /// The warmer point must have the lower resistance; resistances above zero, temperatures above absolute zero.
    pub fn through(first: (f64, f64), second: (f64, f64)) -> Result<Self, DomainError> {
        let (cool, warm) = if first.0 <= second.0 {
            (first, second)
        } else {
            (second, first)
        };
        ordered(
            ("cooler temperature", cool.0),
            ("warmer temperature", warm.0),
        )?;
        ordered(
            ("resistance when warmer", warm.1),
            ("resistance when cooler", cool.1),
        )?;
        let (t1, t2) = (
            kelvin("cooler temperature", cool.0)?,
            kelvin("warmer temperature", warm.0)?,
        );
        let r1 = positive("resistance", cool.1)?;
        let r2 = positive("resistance", warm.1)?;
        let beta_k = (r1 / r2).ln() / (1.0 / t1 - 1.0 / t2);
        Self::new(r1 * (beta_k * (1.0 / REFERENCE_K - 1.0 / t1)).exp(), beta_k)
    }

    /// The beta constant in kelvin.
    #[must_use]
    pub fn beta_k(self) -> f64 {
        self.beta_k
    }

    /// The resistance at 25 °C in Ω.
    #[must_use]
    pub fn r25_ohm(self) -> f64 {
        self.r25_ohm
    }

    /// Resistance in Ω at a temperature in °C.
    ///
    /// # Errors
    /// The temperature must lie above absolute zero.
    pub fn resistance_ohm(self, celsius: f64) -> Result<f64, DomainError> {
        let t = kelvin("temperature", celsius)?;
        positive(
            "resistance",
            self.r25_ohm * (self.beta_k * (1.0 / t - 1.0 / REFERENCE_K)).exp(),
        )
    }

    /// Temperature in °C at a resistance in Ω.
    ///
    /// # Errors
    /// The resistance must be above zero and not so low that the equation runs past every temperature.
    pub fn celsius(self, resistance_ohm: f64) -> Result<f64, DomainError> {
        let ratio = positive("resistance", resistance_ohm)? / self.r25_ohm;
        let inverse = 1.0 / REFERENCE_K + ratio.ln() / self.beta_k;
        if inverse > 0.0 {
            Ok(1.0 / inverse - ZERO_CELSIUS_K)
        } else {
            Err(DomainError::NoSolution {
                name: "temperature",
            })
        }
    }

    /// How many kelvin a reading is off when the resistance is off by `share` (0.01 is one percent), at a temperature
    /// in °C: share · T²/B, the slope of the beta equation.
    ///
    /// # Errors
    /// The temperature must lie above absolute zero, the share be finite.
    pub fn error_k(self, share: f64, celsius: f64) -> Result<f64, DomainError> {
        Ok(
            finite("share of the resistance", share)? * kelvin("temperature", celsius)?.powi(2)
                / self.beta_k,
        )
    }

    /// Whether a resistance can be a temperature at all.
    ///
    /// # Errors
    /// The resistance must not be below zero or no number; infinite (an open circuit as meters show it) is allowed.
    pub fn judge(self, resistance_ohm: f64) -> Result<Judgement, DomainError> {
        if resistance_ohm == f64::INFINITY {
            return Ok(Judgement::Open);
        }
        if resistance_ohm == 0.0 {
            return Ok(Judgement::Shorted);
        }
        let (least, most) = PLAUSIBLE_CELSIUS;
        Ok(match self.celsius(resistance_ohm) {
            Ok(celsius) if celsius < least => Judgement::Open,
            Ok(celsius) if celsius <= most => Judgement::Temperature { celsius },
            Ok(_) | Err(DomainError::NoSolution { .. }) => Judgement::Shorted,
            Err(error) => return Err(error),
        })
    }
}

/// What a sensor's resistance says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Judgement {
    /// A temperature inside [`PLAUSIBLE_CELSIUS`].
    Temperature {
        /// In °C.
        celsius: f64,
    },
    /// So high that the sensor or its wire is broken.
    Open,
    /// So low that the sensor is shorted or wet.
    Shorted,
}

/// A thermistor described by the three Steinhart-Hart coefficients, in 1/K.
///
/// 1/T = A + B·ln R + C·(ln R)³, T in kelvin, R in Ω.
/// Source: Steinhart and Hart, Deep-Sea Research 15 (1968) 497.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteinhartHart {
    /// The constant term.
    pub a: f64,
    /// The factor of ln R.
    pub b: f64,
    /// The factor of (ln R)³.
    pub c: f64,
}

/// Coefficients printed in a public teaching note on a 10 kΩ module; an example, since every sensor type has its own.
pub const TEN_KILOHM_EXAMPLE: SteinhartHart = SteinhartHart {
    a: 1.129_148e-3,
    b: 2.341_25e-4,
    c: 8.767_41e-8,
};

impl SteinhartHart {
    /// The coefficients whose curve runs through three points of (°C, Ω).
    ///
    /// The three linear equations are solved by divided differences in ln R.
    ///
    /// # Errors
    /// Resistances must be above zero and differ, temperatures lie above absolute zero and differ.
    pub fn through(points: [(f64, f64); 3]) -> Result<Self, DomainError> {
        let mut points = points;
        points.sort_by(|x, y| x.0.total_cmp(&y.0));
        let [cool, middle, warm] = points;
        ordered(
            ("coolest temperature", cool.0),
            ("middle temperature", middle.0),
        )?;
        ordered(
            ("middle temperature", middle.0),
            ("warmest temperature", warm.0),
        )?;
        ordered(
            ("resistance at the middle", middle.1),
            ("resistance when coolest", cool.1),
        )?;
        ordered(
            ("resistance when warmest", warm.1),
            ("resistance at the middle", middle.1),
        )?;
        let point = |(celsius, ohm): (f64, f64)| {
            Ok::<_, DomainError>((
                1.0 / kelvin("temperature", celsius)?,
                positive("resistance", ohm)?.ln(),
            ))
        };
        let ((y1, l1), (y2, l2), (y3, l3)) = (point(cool)?, point(middle)?, point(warm)?);
        let (g2, g3) = ((y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1));
        let sum = l1 + l2 + l3;
        if sum == 0.0 {
            return Err(DomainError::NoSolution {
                name: "set of coefficients",
            });
        }
        let c = (g3 - g2) / (l3 - l2) / sum;
        let b = g2 - c * (l1 * l1 + l1 * l2 + l2 * l2);
        Ok(Self {
            a: y1 - (b + l1 * l1 * c) * l1,
            b,
            c,
        })
    }

    /// Temperature in °C at a resistance in Ω.
    ///
    /// # Errors
    /// The resistance must be above zero and lie where the curve has a temperature.
    pub fn celsius(self, resistance_ohm: f64) -> Result<f64, DomainError> {
        let l = positive("resistance", resistance_ohm)?.ln();
        let inverse = self.a + l * (self.b + l * l * self.c);
        if inverse > 0.0 && inverse.is_finite() {
            Ok(1.0 / inverse - ZERO_CELSIUS_K)
        } else {
            Err(DomainError::NoSolution {
                name: "temperature",
            })
        }
    }

    /// Resistance in Ω at a temperature in °C: the real root of the cubic in ln R (Cardano), or the straight line
    /// where C is zero.
    ///
    /// # Errors
    /// The temperature must lie above absolute zero; the curve must fall with temperature (B above zero, C not below).
    pub fn resistance_ohm(self, celsius: f64) -> Result<f64, DomainError> {
        let inverse = 1.0 / kelvin("temperature", celsius)?;
        positive("coefficient B", self.b)?;
        super::not_negative("coefficient C", self.c)?;
        let offset = finite("coefficient A", self.a)? - inverse;
        // ln R as the straight line; below this C the cubic term changes nothing that a double can hold.
        let line = -offset / self.b;
        let l = if self.c * line * line < self.b * f64::EPSILON {
            line
        } else {
            let p = self.b / (3.0 * self.c);
            let half = offset / (2.0 * self.c);
            let y = (p.powi(3) + half * half).sqrt();
            (y - half).cbrt() - (y + half).cbrt()
        };
        positive("resistance", l.exp())
    }
}
