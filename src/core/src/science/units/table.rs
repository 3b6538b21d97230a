//! The table of units. Base units: SI without prefix, but °C for temperature, mg/L for concentration, m³/s for flow.
//!
//! Source of every factor: NIST SP 811 (2008) appendix B, unless said otherwise beside it. Printed names of that
//! appendix are among the spellings, so its table can be checked as it stands.

use super::{Quantity as Q, Unit};

// Exact by definition (NIST SP 811 B.8).
const INCH: f64 = 0.0254;
const FOOT: f64 = 12.0 * INCH;
const POUND: f64 = 0.453_592_37;
const GRAIN: f64 = POUND / 7000.0;
const GALLON: f64 = 231.0 * INCH * INCH * INCH;
const GRAVITY: f64 = crate::science::STANDARD_GRAVITY;
const POUND_FORCE: f64 = POUND * GRAVITY;
const PSI: f64 = POUND_FORCE / (INCH * INCH);
const BTU: f64 = 2326.0 * POUND; // Btu(IT): 1 Btu/lb is 2326 J/kg
const HORSEPOWER: f64 = 550.0 * FOOT * POUND_FORCE;
const LITRE: f64 = 1e-3;
const MINUTE: f64 = 60.0;
const HOUR: f64 = 3600.0;
const DAY: f64 = 86_400.0;
const TURN: f64 = 2.0 * std::f64::consts::PI;
/// Molar masses of CaCO₃ and CaO in g/mol (IUPAC 2021, abridged).
const CACO3: f64 = 40.078 + 12.011 + 3.0 * 15.999;
const CAO: f64 = 40.078 + 15.999;

const fn unit(
    symbol: &'static str,
    quantity: Q,
    factor: f64,
    spellings: &'static [&'static str],
) -> Unit {
    Unit {
        symbol,
        quantity,
        zero: 0.0,
        times: factor,
        over: 1.0,
        spellings,
    }
}

/// A factor written as a fraction: `times / over`.
const fn ratio(
    symbol: &'static str,
    quantity: Q,
    times: f64,
    over: f64,
    spellings: &'static [&'static str],
) -> Unit {
    Unit {
        symbol,
        quantity,
        zero: 0.0,
        times,
        over,
        spellings,
    }
}

pub(super) static UNITS: &[Unit] = &[
    // Pressure, as a gauge shows it; base Pa.
    unit("Pa", Q::Pressure, 1.0, &["pascal"]),
    unit("hPa", Q::Pressure, 100.0, &["hectopascal"]),
    unit("kPa", Q::Pressure, 1e3, &["kPaG", "kilopascal"]),
    unit("MPa", Q::Pressure, 1e6, &["megapascal"]),
    unit("mbar", Q::Pressure, 100.0, &["mbarg", "millibar", "mb"]),
    unit("bar", Q::Pressure, 1e5, &["barg"]),
    unit("atm", Q::Pressure, 101_325.0, &["atmosphere"]),
    unit(
        "psi",
        Q::Pressure,
        PSI,
        &[
            "psig",
            "lb/in2",
            "lbs/in2",
            "lbf/in2",
            "lbs/sq in",
            "pounds per square inch",
        ],
    ),
    unit(
        "inHg",
        Q::Pressure,
        3386.389,
        &[
            "Hg",
            "inch Hg",
            "inches Hg",
            "inch mercury",
            "inches mercury",
            "inch of mercury",
            "inches of mercury",
            "in of mercury",
            "inch of mercury, conventional",
        ],
    ),
    unit(
        "inHg(32 degF)",
        Q::Pressure,
        3386.38,
        &["inch of mercury (32 degF)"],
    ),
    unit(
        "inHg(60 degF)",
        Q::Pressure,
        3376.85,
        &["inch of mercury (60 degF)"],
    ),
    unit(
        "mmHg",
        Q::Pressure,
        133.3224,
        &["mm of mercury", "millimetre of mercury, conventional"],
    ),
    unit(
        "inWC",
        Q::Pressure,
        249.0889,
        &[
            "WC",
            "IWC",
            "WG",
            "inH2O",
            "inWG",
            "inch WC",
            "inches WC",
            "inch water column",
            "inches water column",
            "in water column",
            "inch of water",
            "inches of water",
            "in of water",
            "inches of water column",
            "inch of water, conventional",
        ],
    ),
    unit(
        "inWC(39.2 degF)",
        Q::Pressure,
        249.082,
        &["inch of water (39.2 degF)"],
    ),
    unit(
        "inWC(60 degF)",
        Q::Pressure,
        248.84,
        &["inch of water (60 degF)"],
    ),
    unit(
        "ftH2O",
        Q::Pressure,
        2989.067,
        &[
            "ftWC",
            "ft of water",
            "feet of water",
            "ft of head",
            "ft head",
            "feet of head",
            "foot of water, conventional",
        ],
    ),
    unit(
        "mmH2O",
        Q::Pressure,
        GRAVITY,
        &["mmWC", "mmWG", "mm of water"],
    ),
    unit(
        "mH2O",
        Q::Pressure,
        GRAVITY * 1e3,
        &["mWC", "m of water", "m of head", "metres of head"],
    ),
    // Temperature; base °C.
    unit(
        "degC",
        Q::Temperature,
        1.0,
        &[
            "C",
            "degree C",
            "degrees C",
            "Celsius",
            "degrees Celsius",
            "centigrade",
        ],
    ),
    Unit {
        symbol: "degF",
        quantity: Q::Temperature,
        zero: 32.0,
        times: 5.0,
        over: 9.0,
        spellings: &[
            "F",
            "degree F",
            "degrees F",
            "Fahrenheit",
            "degrees Fahrenheit",
        ],
    },
    Unit {
        symbol: "K",
        quantity: Q::Temperature,
        zero: crate::science::ZERO_CELSIUS_K,
        times: 1.0,
        over: 1.0,
        spellings: &["kelvin"],
    },
    // Temperature difference; base K.
    unit(
        "delta_degC",
        Q::TemperatureDifference,
        1.0,
        &["ΔC", "ΔK", "degC difference", "K difference"],
    ),
    ratio(
        "delta_degF",
        Q::TemperatureDifference,
        5.0,
        9.0,
        &["ΔF", "degF difference"],
    ),
    // Volume flow; base m³/s.
    unit("m3/s", Q::VolumeFlow, 1.0, &["cubic metres per second"]),
    ratio(
        "m3/h",
        Q::VolumeFlow,
        1.0,
        HOUR,
        &[
            "m3/hr",
            "m3h",
            "cmh",
            "cubic metres per hour",
            "cubic meters per hour",
        ],
    ),
    unit(
        "L/s",
        Q::VolumeFlow,
        LITRE,
        &["lps", "litres per second", "liters per second"],
    ),
    ratio(
        "L/min",
        Q::VolumeFlow,
        LITRE,
        MINUTE,
        &[
            "lpm",
            "l/m",
            "litres per minute",
            "liters per minute",
            "litres/min",
            "liters/min",
        ],
    ),
    ratio(
        "L/h",
        Q::VolumeFlow,
        LITRE,
        HOUR,
        &["lph", "L/hr", "litres per hour", "liters per hour"],
    ),
    ratio("mL/min", Q::VolumeFlow, LITRE, MINUTE * 1e3, &["cc/min"]),
    ratio(
        "gpm",
        Q::VolumeFlow,
        GALLON,
        MINUTE,
        &["gal/min", "gals/min", "gallons/min", "gallons per minute"],
    ),
    ratio(
        "gph",
        Q::VolumeFlow,
        GALLON,
        HOUR,
        &["gal/h", "gal/hr", "gallons per hour"],
    ),
    ratio(
        "gal/d",
        Q::VolumeFlow,
        GALLON,
        DAY,
        &["gpd", "gal/day", "gals/day", "gallons per day"],
    ),
    ratio(
        "L/d",
        Q::VolumeFlow,
        LITRE,
        DAY,
        &["L/day", "litres per day", "liters per day"],
    ),
    ratio(
        "ft3/h",
        Q::VolumeFlow,
        FOOT * FOOT * FOOT,
        HOUR,
        &["cfh", "ft3/hr", "cubic feet per hour"],
    ),
    ratio(
        "ft3/min",
        Q::VolumeFlow,
        FOOT * FOOT * FOOT,
        MINUTE,
        &["cfm", "cubic feet per minute"],
    ),
    unit("ft3/s", Q::VolumeFlow, FOOT * FOOT * FOOT, &["cfs"]),
    // Volume; base m³.
    unit(
        "m3",
        Q::Volume,
        1.0,
        &[
            "cubic metre",
            "cubic meter",
            "cu m",
            "kL",
            "kilolitre",
            "kiloliter",
        ],
    ),
    unit("L", Q::Volume, LITRE, &["litre", "liter", "ltr"]),
    unit(
        "mL",
        Q::Volume,
        LITRE * 1e-3,
        &["cc", "cm3", "millilitre", "milliliter"],
    ),
    unit(
        "gal",
        Q::Volume,
        GALLON,
        &["gallon", "US gal", "US gallon", "gallon (US)"],
    ),
    unit(
        "kgal",
        Q::Volume,
        GALLON * 1e3,
        &["thousand gallons", "k gallon"],
    ),
    unit(
        "imp gal",
        Q::Volume,
        4.546_09e-3,
        &["imperial gallon", "UK gal", "imp gallon"],
    ),
    ratio(
        "qt",
        Q::Volume,
        GALLON,
        4.0,
        &["quart", "quart (US liquid)"],
    ),
    ratio(
        "pt",
        Q::Volume,
        GALLON,
        8.0,
        &["pint", "pint (US)", "pint (US liquid)"],
    ),
    ratio("cup", Q::Volume, GALLON, 16.0, &["cup (US)"]),
    ratio(
        "fl oz",
        Q::Volume,
        GALLON,
        128.0,
        &["fluid ounce", "fluid ounce (US)", "liquid ounce"],
    ),
    unit(
        "ft3",
        Q::Volume,
        FOOT * FOOT * FOOT,
        &["cu ft", "cf", "cubic foot", "cubic feet"],
    ),
    unit(
        "in3",
        Q::Volume,
        INCH * INCH * INCH,
        &["cu in", "cubic inch", "cubic inches"],
    ),
    // Length; base m.
    unit("m", Q::Length, 1.0, &["metre", "meter"]),
    unit("cm", Q::Length, 0.01, &["centimetre", "centimeter"]),
    unit("mm", Q::Length, 1e-3, &["millimetre", "millimeter"]),
    unit(
        "um",
        Q::Length,
        1e-6,
        &["micron", "micrometre", "micrometer"],
    ),
    unit("km", Q::Length, 1e3, &["kilometre", "kilometer"]),
    unit("in", Q::Length, INCH, &["inch", "inches"]),
    unit("ft", Q::Length, FOOT, &["foot", "feet"]),
    unit("yd", Q::Length, 3.0 * FOOT, &["yard"]),
    unit("mi", Q::Length, 5280.0 * FOOT, &["mile"]),
    // Area; base m².
    unit(
        "m2",
        Q::Area,
        1.0,
        &["sq m", "square metre", "square meter"],
    ),
    unit("cm2", Q::Area, 1e-4, &["sq cm"]),
    unit("mm2", Q::Area, 1e-6, &["sq mm", "square mm"]),
    unit(
        "ft2",
        Q::Area,
        FOOT * FOOT,
        &["sq ft", "square foot", "square feet"],
    ),
    unit(
        "in2",
        Q::Area,
        INCH * INCH,
        &["sq in", "square inch", "square inches"],
    ),
    unit(
        "cmil",
        Q::Area,
        std::f64::consts::FRAC_PI_4 * (INCH * 1e-3) * (INCH * 1e-3),
        &["circular mil"],
    ),
    // Speed, also of a falling level; base m/s.
    unit(
        "m/s",
        Q::Speed,
        1.0,
        &["metres per second", "meters per second"],
    ),
    unit(
        "ft/s",
        Q::Speed,
        FOOT,
        &["fps", "ft/sec", "feet per second"],
    ),
    ratio("ft/min", Q::Speed, FOOT, MINUTE, &["feet per minute"]),
    ratio("km/h", Q::Speed, 1e3, HOUR, &["kph", "kmh"]),
    ratio(
        "mph",
        Q::Speed,
        5280.0 * FOOT,
        HOUR,
        &["mi/h", "miles per hour"],
    ),
    ratio(
        "in/d",
        Q::Speed,
        INCH,
        DAY,
        &["in/day", "inch per day", "inches per day", "in a day"],
    ),
    ratio(
        "in/wk",
        Q::Speed,
        INCH,
        7.0 * DAY,
        &["in/week", "inch per week", "inches per week", "in a week"],
    ),
    ratio(
        "in/h",
        Q::Speed,
        INCH,
        HOUR,
        &["in/hr", "inch per hour", "inches per hour"],
    ),
    ratio("mm/d", Q::Speed, 1e-3, DAY, &["mm/day", "mm a day"]),
    ratio("cm/d", Q::Speed, 1e-2, DAY, &["cm/day", "cm a day"]),
    ratio(
        "mm/wk",
        Q::Speed,
        1e-3,
        7.0 * DAY,
        &["mm/week", "mm a week"],
    ),
    // Mass; base kg.
    unit("kg", Q::Mass, 1.0, &["kilo", "kilogram"]),
    unit("g", Q::Mass, 1e-3, &["gram"]),
    unit("mg", Q::Mass, 1e-6, &["milligram"]),
    unit("t", Q::Mass, 1e3, &["tonne"]),
    unit(
        "lb",
        Q::Mass,
        POUND,
        &["lbs", "pound", "pound (avoirdupois)"],
    ),
    ratio(
        "oz",
        Q::Mass,
        POUND,
        16.0,
        &["ounce", "ounce (avoirdupois)"],
    ),
    unit("grain", Q::Mass, GRAIN, &[]),
    // Mass flow; base kg/s.
    ratio("kg/h", Q::MassFlow, 1.0, HOUR, &["kg/hr"]),
    ratio("g/h", Q::MassFlow, 1e-3, HOUR, &["g/hr", "grams per hour"]),
    ratio("kg/d", Q::MassFlow, 1.0, DAY, &["kg/day"]),
    ratio(
        "lb/h",
        Q::MassFlow,
        POUND,
        HOUR,
        &["lb/hr", "lbs/hr", "pounds per hour"],
    ),
    ratio(
        "lb/d",
        Q::MassFlow,
        POUND,
        DAY,
        &["lb/day", "lbs/day", "pounds per day"],
    ),
    // Concentration in water, and what is counted as CaCO₃; base mg/L.
    unit(
        "mg/L",
        Q::Concentration,
        1.0,
        &[
            "mg/L as CaCO3",
            "mg/L CaCO3",
            "g/m3",
            "milligrams per litre",
        ],
    ),
    unit(
        "ppm",
        Q::Concentration,
        1.0,
        &["ppm as CaCO3", "parts per million"],
    ),
    unit(
        "g/L",
        Q::Concentration,
        1e3,
        &["gpl", "kg/m3", "grams per litre", "grams per liter"],
    ),
    unit(
        "ppb",
        Q::Concentration,
        1e-3,
        &["ug/L", "parts per billion"],
    ),
    unit(
        "lb/gal",
        Q::Concentration,
        POUND * 1e6 / (GALLON * 1e3),
        &["pounds per gallon"],
    ),
    unit(
        "lb/(10^6 gal)",
        Q::Concentration,
        POUND / (GALLON * 1e3),
        &["lb/Mgal", "lb per million gallons"],
    ),
    // A grain in a US gallon; French degree 10 mg/L CaCO3 (definition, from memory); German degree 10 mg/L CaO.
    unit(
        "gpg",
        Q::Concentration,
        GRAIN * 1e6 / (GALLON * 1e3),
        &[
            "grain/gal",
            "grains/gal",
            "grains per gallon",
            "grain/gal (US) as CaCO3",
        ],
    ),
    unit(
        "fH",
        Q::Concentration,
        10.0,
        &["°fH", "French degree", "French degrees"],
    ),
    ratio(
        "dH",
        Q::Concentration,
        10.0 * CACO3,
        CAO,
        &["°dH", "German degree", "German degrees"],
    ),
    unit("mmol/L Ca", Q::Concentration, CACO3, &["mmol/L as Ca"]),
    unit("meq/L", Q::Concentration, CACO3 / 2.0, &["mval/L"]),
    unit("pH", Q::Ph, 1.0, &["pH units"]),
    unit("S/m", Q::Conductivity, 1.0, &[]),
    unit("mS/cm", Q::Conductivity, 0.1, &[]),
    unit("uS/cm", Q::Conductivity, 1e-4, &["microsiemens/cm"]),
    // Time; base s.
    unit("s", Q::Time, 1.0, &["sec", "second"]),
    unit("ms", Q::Time, 1e-3, &["msec", "millisecond"]),
    unit("min", Q::Time, MINUTE, &["minute"]),
    unit("h", Q::Time, HOUR, &["hr", "hrs", "hour"]),
    unit("d", Q::Time, DAY, &["day"]),
    unit("wk", Q::Time, 7.0 * DAY, &["week"]),
    // Electricity; base A, V, Ω, F, Hz.
    unit("A", Q::Current, 1.0, &["amp", "ampere"]),
    unit("mA", Q::Current, 1e-3, &["milliamp", "milliampere"]),
    unit("uA", Q::Current, 1e-6, &["microamp", "microampere"]),
    unit(
        "V",
        Q::Voltage,
        1.0,
        &["volt", "VAC", "VDC", "volts AC", "volts DC"],
    ),
    unit("mV", Q::Voltage, 1e-3, &["millivolt"]),
    unit("kV", Q::Voltage, 1e3, &["kilovolt"]),
    unit("ohm", Q::Resistance, 1.0, &[]),
    unit("kohm", Q::Resistance, 1e3, &["kilohm", "kilo-ohm"]),
    unit(
        "Mohm",
        Q::Resistance,
        1e6,
        &["megohm", "mega-ohm", "meg", "megs"],
    ),
    unit("Gohm", Q::Resistance, 1e9, &["gigohm", "giga-ohm"]),
    unit("ohm m", Q::Resistivity, 1.0, &[]),
    unit(
        "ohm cmil/ft",
        Q::Resistivity,
        std::f64::consts::FRAC_PI_4 * (INCH * 1e-3) * (INCH * 1e-3) / FOOT,
        &["ohm circular-mil per foot"],
    ),
    unit("uF", Q::Capacitance, 1e-6, &["mfd", "microfarad"]),
    unit("nF", Q::Capacitance, 1e-9, &["nanofarad"]),
    unit("pF", Q::Capacitance, 1e-12, &["picofarad"]),
    unit("Hz", Q::Frequency, 1.0, &["hertz", "cps"]),
    unit("kHz", Q::Frequency, 1e3, &["kilohertz"]),
    // Power; base W. Horsepower is that of 550 ft·lbf/s.
    unit("W", Q::Power, 1.0, &["watt"]),
    unit("kW", Q::Power, 1e3, &["kilowatt"]),
    unit(
        "hp",
        Q::Power,
        HORSEPOWER,
        &["horsepower", "horsepower (550 ft lbf/s)"],
    ),
    unit("hp(electric)", Q::Power, 746.0, &["horsepower (electric)"]),
    unit("hp(boiler)", Q::Power, 9809.50, &["horsepower (boiler)"]),
    ratio(
        "BTU/h",
        Q::Power,
        BTU,
        HOUR,
        &["BTU/hr", "BTUH", "BTUs per hour", "BTU per hour"],
    ),
    ratio(
        "kBTU/h",
        Q::Power,
        BTU * 1e3,
        HOUR,
        &["kBTU/hr", "MBH", "kBTUH"],
    ),
    ratio(
        "TR",
        Q::Power,
        BTU * 12_000.0,
        HOUR,
        &[
            "ton of refrigeration",
            "ton of refrigeration (12 000 Btu_IT/h)",
        ],
    ),
    // Energy; base J.
    unit("J", Q::Energy, 1.0, &["joule"]),
    unit("kJ", Q::Energy, 1e3, &["kilojoule"]),
    unit("MJ", Q::Energy, 1e6, &["megajoule"]),
    unit("Wh", Q::Energy, HOUR, &["watt-hour"]),
    unit("kWh", Q::Energy, HOUR * 1e3, &["kilowatt-hour"]),
    unit("BTU", Q::Energy, BTU, &["British thermal unit (IT)"]),
    unit(
        "BTU(th)",
        Q::Energy,
        1054.350,
        &["British thermal unit (th)"],
    ),
    unit("therm", Q::Energy, BTU * 1e5, &[]),
    unit("therm (US)", Q::Energy, 1.054_804e8, &[]),
    // Force and torque; base N, N·m.
    unit("N", Q::Force, 1.0, &["newton"]),
    unit("lbf", Q::Force, POUND_FORCE, &["pound-force"]),
    unit("N m", Q::Torque, 1.0, &["newton-metre", "newton-meter"]),
    unit(
        "lbf ft",
        Q::Torque,
        POUND_FORCE * FOOT,
        &["ft lb", "ft lbs", "ft lbf", "foot-pound"],
    ),
    unit(
        "lbf in",
        Q::Torque,
        POUND_FORCE * INCH,
        &["in lb", "in lbs", "in lbf", "inch-pound"],
    ),
    // Rotation; base rad/s and rad.
    unit("rad/s", Q::RotationalSpeed, 1.0, &[]),
    ratio(
        "rpm",
        Q::RotationalSpeed,
        TURN,
        MINUTE,
        &["rev/min", "r/min", "revs per minute", "min-1"],
    ),
    unit("rad", Q::Angle, 1.0, &["radian"]),
    ratio("degree", Q::Angle, TURN, 360.0, &["deg"]),
    // Plain numbers; base 1.
    unit("1", Q::Ratio, 1.0, &[]),
    ratio("percent", Q::Ratio, 1.0, 100.0, &["%", "pct", "per cent"]),
];
