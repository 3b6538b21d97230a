//! Copper conductors: wire gauge, resistance, and the voltage lost on the way to a load.
//!
//! A long run of thin wire lowers the voltage at the far end while the load draws current, so it is judged under load.
//! Drop alone is computed here: whether a conductor may carry a current (its ampacity) is a table of the code in force.
//! Readings on live conductors are for qualified people.

use super::{DomainError, finite, not_negative, ordered, positive, within};
use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

/// Metres in 1000 ft (NIST SP 811 appendix B).
const METRE_PER_KFT: f64 = 304.8;

/// Recommended most drop: share of the supply on the branch circuit, and in all with the feeder. Source: NEC 210.19(A)
/// informational note, advice and no requirement (from memory).
pub const ADVISED_DROP: (f64, f64) = (0.03, 0.05);

/// A size of American wire gauge, 4/0 to 40.
///
/// The greater the number, the thinner the wire; above 1 come 1/0 to 4/0. Ordered by thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Awg(i8);

impl Awg {
    /// The size of a number: 14 is No. 14, 0 is 1/0, −3 is 4/0.
    ///
    /// # Errors
    /// −3 to 40.
    pub fn new(number: i8) -> Result<Self, DomainError> {
        within("wire gauge", f64::from(number), -3.0, 40.0).map(|_| Self(number))
    }

    /// The number: 14 for No. 14, 0 for 1/0, −3 for 4/0.
    #[must_use]
    pub fn number(self) -> i8 {
        self.0
    }

    /// Diameter of a solid round conductor in mm: 0.127·92^((36 − n)/39).
    /// Source: ASTM B258 (No. 36 is 0.0050 in, 4/0 is 0.4600 in, 39 equal steps between).
    #[must_use]
    pub fn diameter_mm(self) -> f64 {
        0.127 * 92_f64.powf((36.0 - f64::from(self.0)) / 39.0)
    }

    /// Area of a solid round conductor in mm².
    #[must_use]
    pub fn area_mm2(self) -> f64 {
        PI / 4.0 * self.diameter_mm().powi(2)
    }

    /// Area of a solid round conductor in circular mils: the square of the diameter in thousandths of an inch.
    #[must_use]
    pub fn circular_mils(self) -> f64 {
        (self.diameter_mm() / 0.0254).powi(2)
    }
}

impl PartialOrd for Awg {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Awg {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        other.0.cmp(&self.0)
    }
}

impl fmt::Display for Awg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            number @ 1.. => write!(f, "{number}"),
            number => write!(f, "{}/0", 1 - i16::from(number)),
        }
    }
}

/// The text is no wire gauge.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("expected a wire gauge such as `12`, `1/0` or `000`, but found `{0}`")]
pub struct NotAWireGauge(pub String);

impl FromStr for Awg {
    type Err = NotAWireGauge;

    /// Reads `12`, `#12`, `12 AWG`, `1/0`, `000`.
    fn from_str(text: &str) -> Result<Self, NotAWireGauge> {
        let wrong = || NotAWireGauge(text.to_owned());
        let lower = text.trim().to_ascii_lowercase();
        let bare = lower.strip_suffix("awg").unwrap_or(&lower).trim();
        let bare = bare
            .trim_start_matches('#')
            .trim_start_matches("no.")
            .trim();
        let number = if let Some(zeros) = bare.strip_suffix("/0") {
            1 - zeros
                .parse::<i8>()
                .ok()
                .filter(|n| (1..=4).contains(n))
                .ok_or_else(wrong)?
        } else if !bare.is_empty() && bare.bytes().all(|b| b == b'0') {
            1 - i8::try_from(bare.len()).map_err(|_| wrong())?
        } else {
            bare.parse::<u8>()
                .ok()
                .and_then(|n| i8::try_from(n).ok())
                .ok_or_else(wrong)?
        };
        Self::new(number).map_err(|_| wrong())
    }
}

/// How a conductor is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Make {
    /// One wire.
    Solid,
    /// Seven wires laid together, about 2 % longer than the cable.
    SevenStrand,
}

/// One row of the resistance table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conductor {
    /// Its gauge.
    pub gauge: Awg,
    /// Solid or stranded.
    pub make: Make,
    /// Area in circular mils as the table rounds it.
    pub circular_mils: f64,
    /// Direct-current resistance at 75 °C in Ω per 1000 ft, uncoated copper.
    pub ohm_per_kft: f64,
}

/// Uncoated copper at 75 °C. Source: NEC (NFPA 70) chapter 9 table 8, as reproduced in several public copies. Thickest
/// last; of each gauge the usual make of building wire first.
#[expect(
    clippy::approx_constant,
    reason = "3.14 Ω is what the table says, it is no π"
)]
pub const COPPER: [Conductor; 10] = [
    Conductor {
        gauge: Awg(14),
        make: Make::Solid,
        circular_mils: 4110.0,
        ohm_per_kft: 3.07,
    },
    Conductor {
        gauge: Awg(14),
        make: Make::SevenStrand,
        circular_mils: 4110.0,
        ohm_per_kft: 3.14,
    },
    Conductor {
        gauge: Awg(12),
        make: Make::Solid,
        circular_mils: 6530.0,
        ohm_per_kft: 1.93,
    },
    Conductor {
        gauge: Awg(12),
        make: Make::SevenStrand,
        circular_mils: 6530.0,
        ohm_per_kft: 1.98,
    },
    Conductor {
        gauge: Awg(10),
        make: Make::Solid,
        circular_mils: 10_380.0,
        ohm_per_kft: 1.21,
    },
    Conductor {
        gauge: Awg(10),
        make: Make::SevenStrand,
        circular_mils: 10_380.0,
        ohm_per_kft: 1.24,
    },
    Conductor {
        gauge: Awg(8),
        make: Make::Solid,
        circular_mils: 16_510.0,
        ohm_per_kft: 0.764,
    },
    Conductor {
        gauge: Awg(8),
        make: Make::SevenStrand,
        circular_mils: 16_510.0,
        ohm_per_kft: 0.778,
    },
    Conductor {
        gauge: Awg(6),
        make: Make::SevenStrand,
        circular_mils: 26_240.0,
        ohm_per_kft: 0.491,
    },
    Conductor {
        gauge: Awg(4),
        make: Make::SevenStrand,
        circular_mils: 41_740.0,
        ohm_per_kft: 0.308,
    },
];

/// The table's row of a gauge, in the make given or, with `None`, in the make that stands first.
#[must_use]
pub fn copper(gauge: Awg, make: Option<Make>) -> Option<Conductor> {
    COPPER
        .into_iter()
        .find(|row| row.gauge == gauge && make.is_none_or(|make| make == row.make))
}

impl Conductor {
    /// Resistance in Ω/m at a conductor temperature in °C: R75·(1 + 0.00323·(t − 75)).
    /// Source: note to NEC chapter 9 table 8 (from memory).
    ///
    /// # Errors
    /// −50 °C to 150 °C.
    pub fn ohm_per_m(self, celsius: f64) -> Result<f64, DomainError> {
        let rise = within("conductor temperature", celsius, -50.0, 150.0)? - 75.0;
        Ok(self.ohm_per_kft / METRE_PER_KFT * (1.0 + 0.003_23 * rise))
    }

    /// The same from the resistivity of annealed copper: 10.371 Ω·cmil/ft at 20 °C (100 % IACS), 0.00393 per kelvin,
    /// 2 % more length in a strand (lay factor from memory). A second road to the table's values.
    ///
    /// # Errors
    /// −50 °C to 150 °C.
    pub fn ohm_per_m_by_resistivity(self, celsius: f64) -> Result<f64, DomainError> {
        let rise = within("conductor temperature", celsius, -50.0, 150.0)? - 20.0;
        let lay = match self.make {
            Make::Solid => 1.0,
            Make::SevenStrand => 1.02,
        };
        Ok(10.371 * (1.0 + 0.003_93 * rise) / self.circular_mils * lay * 1000.0 / METRE_PER_KFT)
    }
}

/// A load at the end of a two-wire run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Voltage at the supply end in V.
    pub supply_v: f64,
    /// Current in A.
    pub current_a: f64,
    /// Length of the run one way in m.
    pub length_m: f64,
}

/// What a run takes from the voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drop {
    /// Voltage lost in V.
    pub drop_v: f64,
    /// The same as a share of the supply.
    pub share: f64,
    /// Voltage at the load in V.
    pub load_v: f64,
    /// Heat in the conductors in W.
    pub loss_w: f64,
}

impl Run {
    /// Drop on conductors of a resistance in Ω/m: 2·L·R·I, single phase, two conductors, power factor one.
    ///
    /// # Errors
    /// Supply and resistance above zero, current and length not below; the drop must be less than the supply.
    pub fn drop(self, ohm_per_m: f64) -> Result<Drop, DomainError> {
        let length = not_negative("length", self.length_m)?;
        let current = not_negative("current", self.current_a)?;
        let drop_v = 2.0 * length * positive("resistance", ohm_per_m)? * current;
        ordered(
            ("drop", drop_v),
            ("supply voltage", positive("supply voltage", self.supply_v)?),
        )?;
        Ok(Drop {
            drop_v,
            share: drop_v / self.supply_v,
            load_v: self.supply_v - drop_v,
            loss_w: drop_v * current,
        })
    }

    /// The thinnest conductor of [`COPPER`], in its usual make at 75 °C, that keeps the drop within a share of the
    /// supply; `None` where even the thickest does not. Ampacity is judged apart.
    ///
    /// # Errors
    /// As [`Self::drop`]; the share above 0 and at most 1.
    pub fn thinnest(self, share_max: f64) -> Result<Option<Conductor>, DomainError> {
        super::share("share of the supply", share_max)?;
        let supply = positive("supply voltage", self.supply_v)?;
        let amperes = not_negative("current", self.current_a)?;
        let metres = not_negative("length", self.length_m)?;
        let most_ohm_per_kft = share_max * supply / (2.0 * metres * amperes) * METRE_PER_KFT;
        Ok(COPPER
            .into_iter()
            .filter(|row| copper(row.gauge, None) == Some(*row))
            .find(|row| row.ohm_per_kft <= most_ohm_per_kft))
    }
}

/// Resistance in Ω of a circuit from its voltage without and with a load, and the load's current in A; and the drop as
/// a share: (V_open − V_loaded)/I (Ohm's law).
///
/// # Errors
/// Current and open voltage above zero; the loaded voltage not above the open one and not below zero.
pub fn measured_resistance(
    open_v: f64,
    loaded_v: f64,
    current_a: f64,
) -> Result<(f64, f64), DomainError> {
    let open = positive("open voltage", open_v)?;
    let drop = open - within("loaded voltage", loaded_v, 0.0, open)?;
    Ok((
        drop / positive("current", current_a)?,
        finite("drop", drop)? / open,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_gauges_as_they_are_written() {
        for (text, number) in [
            ("12", 12),
            ("#10", 10),
            ("8 AWG", 8),
            ("1/0", 0),
            ("4/0 awg", -3),
            ("000", -2),
            ("0", 0),
        ] {
            assert_eq!(text.parse::<Awg>().map(Awg::number), Ok(number), "{text}");
        }
        for text in ["", "12.5", "5/0", "-1", "99", "ten", "0/0", "00000"] {
            assert_eq!(text.parse::<Awg>(), Err(NotAWireGauge(text.to_owned())));
        }
        assert_eq!(
            [Awg(12), Awg(0), Awg(-3)].map(|g| g.to_string()),
            ["12", "1/0", "4/0"]
        );
        assert!(Awg(14) < Awg(12) && Awg(1) < Awg(0));
    }

    #[test]
    fn no_conductor_is_thick_enough_for_an_endless_run() {
        let run = Run {
            supply_v: 120.0,
            current_a: 40.0,
            length_m: 5000.0,
        };
        assert_eq!(run.thinnest(0.03), Ok(None));
        let idle = Run {
            supply_v: 120.0,
            current_a: 0.0,
            length_m: 10.0,
        };
        assert_eq!(
            idle.thinnest(0.03).map(|row| row.map(|row| row.gauge)),
            Ok(Some(Awg(14)))
        );
    }
}
