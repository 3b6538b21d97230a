//! Whether a number can be a quantity: its unit, its size, and what it is in the vocabulary's unit.
//!
//! A number with its unit may have any sensible size. A bare one must have the size that people write without a unit:
//! nobody writes a supply of 8 volts as "8", so a bare 8 is none.

use crate::{
    reading::{read::Reading, units::convert},
    trade::lexicon::Quantity,
};

/// The sizes of breakers (common practice).
const BREAKER_SIZES: [f64; 17] = [
    5.0, 10.0, 15.0, 16.0, 20.0, 25.0, 30.0, 32.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 100.0,
    125.0,
];

/// A number as written, with its unit where it has one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figure {
    /// As written.
    pub value: f64,
    /// The unit's own name.
    pub unit: Option<&'static str>,
}

/// The figure's value as that quantity, in the vocabulary's unit; `None` where unit or size do not fit.
pub(super) fn fits(reading: &Reading<'_>, quantity: &Quantity, figure: Figure) -> Option<f64> {
    let target = quantity
        .units
        .first()
        .map_or(quantity.unit.as_str(), String::as_str);
    let unit = match figure.unit {
        Some("deg") if target == "degF" => {
            bare_degrees(reading, quantity.id.as_str(), figure.value)
        }
        Some(unit) if quantity.units.iter().any(|u| u == unit) => unit,
        Some(_) => return None,
        None => match quantity.bare.as_deref()? {
            "degF" => bare_degrees(reading, quantity.id.as_str(), figure.value),
            // Salt in grams a litre is a small number: "salt 3.2".
            "ppm" if quantity.units.iter().any(|u| u == "g/L") && figure.value < 50.0 => "g/L",
            _ if target == "pH" => "pH",
            bare => bare_unit(bare, target, &quantity.units, reading.metric, figure.value),
        },
    };
    let value = match (unit, target) {
        // "seventy six" of a spoken note, "pH 76".
        (_, "pH") if (60.0..90.0).contains(&figure.value) && figure.value.fract() == 0.0 => {
            figure.value / 10.0
        }
        _ if unit == target => figure.value,
        ("mg/L", "ppm") | ("integer" | "percent" | "dial", _) => figure.value,
        // "nineteen inches" on a vacuum gauge are inches of mercury (common practice).
        ("in", "inHg") => figure.value,
        ("g/L", "ppm") => figure.value * 1000.0,
        // A difference has no zero point.
        ("degC", "degF") if quantity.id == "temperature-rise" => figure.value * 1.8,
        _ => convert(figure.value, unit, target)?,
    };
    if target == "integer" && value.fract() != 0.0
        || quantity.id == "breaker-rating" && !BREAKER_SIZES.contains(&value)
    {
        return None;
    }
    // "Filter 1", "sand filter 2" in a note in bar: a piece, no pressure.
    if figure.unit.is_none()
        && target == "psi"
        && figure.value.fract() == 0.0
        && figure.value <= 3.0
    {
        return None;
    }
    let sensible = value >= quantity.range.0 && value <= quantity.range.1;
    let usual = figure.unit.is_some() || usual_bare(quantity.id.as_str(), value);
    (sensible && usual).then_some(value)
}

/// Degrees without a letter are those of the note's other units; a water of 29 is Celsius in any note.
fn bare_degrees(reading: &Reading<'_>, id: &str, value: f64) -> &'static str {
    let limit = match id {
        "temperature-rise" => 25.0,
        "freeze-threshold" => 10.0,
        _ => 47.0,
    };
    if reading.metric && value <= limit {
        "degC"
    } else {
        "degF"
    }
}

/// The unit of a number without one: the quantity's usual one, or in a metric note its metric one.
fn bare_unit<'q>(
    bare: &'q str,
    target: &'q str,
    units: &'q [String],
    metric: bool,
    value: f64,
) -> &'q str {
    let has = |unit: &str| units.iter().any(|u| u == unit);
    if bare != target {
        return bare;
    }
    match bare {
        "psi" if metric && has("kPa") && value >= 40.0 => "kPa",
        "psi" if metric && has("bar") && value <= 3.5 => "bar",
        "inHg" if metric && has("bar") && value < 1.0 => "bar",
        "gpm" if metric && value >= 60.0 => "L/min",
        _ => bare,
    }
}

/// Whether a value, in the vocabulary's unit, is of a size that is written without a unit.
fn usual_bare(id: &str, value: f64) -> bool {
    let (least, most) = match id {
        "pump-speed" | "freeze-speed" | "prime-speed" => {
            return (600.0..=3600.0).contains(&value) && value % 5.0 == 0.0;
        }
        "actual-speed" => (450.0, 3600.0),
        "filter-pressure" => (3.5, 48.0),
        "clean-pressure" => (4.0, 30.0),
        "line-test-pressure" => (5.0, 60.0),
        "suction-vacuum" => (1.0, 29.0),
        "flow-rate" => (8.0, 400.0),
        "air-temperature" => (-20.0, 118.0),
        "water-temperature" => (33.0, 112.0),
        "displayed-temperature" => (20.0, 160.0),
        "heater-setpoint" => (50.0, 107.0),
        "freeze-threshold" => (32.5, 45.0),
        "temperature-rise" => (0.3, 60.0),
        "motor-current" => (1.0, 60.0),
        "supply-voltage" | "supply-selection" => (90.0, 500.0),
        "control-voltage" => (8.0, 32.0),
        "bus-voltage" => (-6.0, 8.0),
        "power" => (30.0, 20_000.0),
        "total-alkalinity" => (20.0, 300.0),
        "calcium-hardness" => (40.0, 1500.0),
        "free-chlorine" | "total-chlorine" => (0.0, 40.0),
        "combined-chlorine" => (0.0, 10.0),
        "cyanuric-acid" => (0.0, 300.0),
        "salt-output" => (0.0, 100.0),
        "salt" => (900.0, 9000.0),
        "displayed-salt" => (900.0, 9900.0),
        "orp" => (150.0, 950.0),
        "tds" => (300.0, 9000.0),
        "capacitance" => (2.0, 400.0),
        "igniter-resistance" => (10.0, 900.0),
        "coil-resistance" => (5.0, 4000.0),
        "sensor-resistance" => (500.0, 100_000.0),
        "gas-pressure" => (1.0, 40.0),
        "prime-duration" | "cooldown-delay" => (1.0, 20.0),
        _ => return true,
    };
    value >= least && value <= most
}
