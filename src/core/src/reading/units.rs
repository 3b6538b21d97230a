//! The units that technicians write, as words.
//!
//! Tells whether a word is a unit and which, and brings a value to the unit that the vocabulary names. The factors
//! themselves are [`crate::science::units`]'.

use crate::science::units;

/// A unit's own name, for the word as written in a note; `None` where the word is no unit.
#[must_use]
pub fn unit(word: &str) -> Option<&'static str> {
    Some(match word {
        "rpm" | "rpms" | "revs" => "rpm",
        "psi" | "pounds" | "psig" | "lbs" => "psi",
        "bar" | "bars" => "bar",
        "mbar" | "millibar" | "millibars" => "mbar",
        "kpa" | "kilopascal" | "kilopascals" => "kPa",
        "inhg" => "inHg",
        "mmhg" => "mmHg",
        "inwc" | "wc" | "iwc" => "inWC",
        "gpm" => "gpm",
        "lpm" => "L/min",
        "m3h" => "m3/h",
        "v" | "volt" | "volts" | "vac" | "vdc" => "V",
        "mv" | "millivolt" | "millivolts" => "mV",
        "a" | "amp" | "amps" | "ampere" | "amperes" => "A",
        "ma" | "milliamp" | "milliamps" | "milliampere" | "milliamperes" => "mA",
        "w" | "watt" | "watts" => "W",
        "kw" | "kilowatt" | "kilowatts" => "kW",
        "ohm" | "ohms" => "ohm",
        "k" | "kohm" | "kohms" | "kilohm" | "kilohms" | "kiloohm" | "kiloohms" => "kohm",
        "mohm" | "mohms" | "megohm" | "megohms" | "meg" | "megs" | "megaohm" | "megaohms" => "Mohm",
        "uf" | "mfd" | "microfarad" | "microfarads" | "mf" => "uF",
        "f" | "degf" | "fahrenheit" | "farenheit" => "degF",
        "c" | "degc" | "celsius" | "celcius" | "centigrade" => "degC",
        "deg" | "degs" | "degree" | "degrees" => "deg",
        "ppm" => "ppm",
        "mgl" => "mg/L",
        "gl" => "g/L",
        "ppb" => "ppb",
        "percent" | "pct" => "percent",
        "min" | "mins" | "minute" | "minutes" => "min",
        "h" | "hr" | "hrs" | "hour" | "hours" => "h",
        "s" | "sec" | "secs" | "second" | "seconds" => "s",
        "ft" | "foot" | "feet" => "ft",
        "m" | "metre" | "metres" | "meter" | "meters" => "m",
        "mm" | "mil" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => "mm",
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => "cm",
        "in" | "inch" | "inches" => "in",
        "gal" | "gals" | "gallon" | "gallons" => "gal",
        "l" | "litre" | "litres" | "liter" | "liters" => "L",
        "ml" | "millilitre" | "millilitres" | "milliliter" | "milliliters" => "mL",
        "m3" | "cube" | "cubes" | "kl" => "m3",
        "hp" => "hp",
        "kg" | "kilo" | "kilos" => "kg",
        "oz" | "ounce" | "ounces" => "oz",
        "day" | "days" => "day",
        "week" | "weeks" | "wk" | "wks" => "week",
        "am" => "am",
        "pm" => "pm",
        _ => return None,
    })
}

/// `value` in `unit` brought to `to`; `None` where they measure different things.
#[must_use]
pub fn convert(value: f64, unit: &str, to: &str) -> Option<f64> {
    if unit == to {
        return Some(value);
    }
    units::convert(value, unit, to).ok()
}
