//! `dimension.json`: lengths, volumes and weights of Recognizers-Text (MIT).

use crate::cases::{Case, Failure, File, check, read, same};
use padlore_core::reading::quantities::written::unit_after;

#[test]
fn dimensions() -> Result<(), Failure> {
    let file = File {
        name: "dimension.json",
        published: 100,
        left_out: LEFT_OUT,
        known: KNOWN,
        kept: 0.0,
    };
    check(&file, judge)
}

/// The reader's name of a published unit.
fn named(unit: &str) -> Option<&'static str> {
    Some(match unit {
        "Inch" => "in",
        "Foot" => "ft",
        "Millimeter" => "mm",
        "Centimeter" => "cm",
        "Meter" => "m",
        "Gallon" => "gal",
        "Liter" => "L",
        "Milliliter" => "mL",
        "Ounce" => "oz",
        "Kilogram" => "kg",
        _ => return None,
    })
}

fn judge(case: &Case) -> Result<Option<String>, Failure> {
    let words = read(&case.input);
    let mut made = Vec::new();
    for (at, token) in words.tokens.iter().enumerate() {
        let Some(value) = token.number() else {
            continue;
        };
        let Some(unit) = unit_after(&words, &case.input, at) else {
            continue;
        };
        if matches!(
            unit.unit,
            "in" | "ft" | "mm" | "cm" | "m" | "gal" | "L" | "mL" | "oz" | "kg"
        ) {
            made.push((words.bytes(&(at..unit.end)), value, unit.unit));
        }
    }
    let mut right = made.len() == case.results.len();
    for (expected, (span, value, unit)) in case.results.iter().zip(&made) {
        let number = expected.number().ok_or("a dimension without a value")?;
        let name = expected.resolution.unit.as_deref().and_then(named);
        right &=
            expected.span(&case.input)? == *span && same(*value, number) && name == Some(*unit);
    }
    Ok((!right).then(|| format!("{made:?}")))
}

/// Left out, with the reason.
const LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "units that no note on equipment measures in",
        &[
            "a twister roared through an area about ten miles long there , killing at least fourteen people and turning dozens of homes into rubble.",
            "it takes more than 10 1/2 miles of cable and wire to hook it all up , and 23 computers.",
            "the six-mile trip to my airport hotel that had taken 20 minutes earlier in the day took more than three hours.",
            "industrywide , oil production in this country fell by 500,000 barrels a day to barrels in the first eight months of this year.",
            "highlights of the bills , as currently framed , are : - - a restriction on the amount of real estate one family can own , to 660 square meters in the nation ' s six largest cities , but more in smaller cities and rural areas.",
            "the trade group ' s compilation of commerce department data showed that august imports , the second largest monthly total of the year , were up 5 % from july ' s 1,458,000 tons but below last year ' s high of in june 1988.",
            "so when next year ' s psyllium crop is harvested in march , it may be smaller than the 16,000 metric tons of the past few years - - right at the crest of the psyllium boom.",
            "on my four-mile drive to farm headquarters each morning , i drive by another four empty houses.",
            "the javadi hills are located about 17 km from ambur.",
            "the project costs $ 46 . 8 million , and is intended to boost the company ' s production capacity by 25 % to 34,500 metric tons of copper cathode a year.",
            "canadian steel - ingot production totaled 291,890 metric tons in the week ended oct . 7 , up 14 . 8 % from the preceding week ' s total of , statistics canada , a federal agency , said.",
            "florida panthers live in home ranges between 190 km2.",
            "a metric ton is equal to 2,204.62 pounds.",
            "1m is equal to 10 dm",
            "The size of this file is 100 mb",
            "The size of this file is 100 MB",
            "He said: 2 pm is 2 picometer",
            "that one mile can provide.",
            "The submarine mein weigh 25 lakh tonnes",
            "The length is 12 m 2 dm more or less",
            "3 tablespoons butter, melted, and 1/2 cup olive oil",
            "½ teaspoon baking powder",
            "10 Kilometers per hour could also be informally written as 10kph, 10kmph, or 10km/hr",
            "A coin weighing one drachma is known as a stater",
            "50 meters per millisecond, 50 centimeters/millisecond, and 50 km/ms all use non-standard units.",
            "The weight is 150 microgram",
            "The weight is 120 μg",
            "24703m212",
            "24703m2",
            "The recommended symbol in the United States and United Kingdom when communicating medical information is mcg",
            "Ten samples from the Camarones river valley had an average of 37.8 microgrammes per gramme",
            "The angle is 0.8rad",
            "the Max. capacity is 100t and Max. outreach is 48m",
        ],
    ),
    (
        "angles and turns are none of the quantities asked for here",
        &[
            "rotate 90 degrees",
            "turn left 45 degrees",
            "make a half turn",
            "rotate 3 turns",
        ],
    ),
    (
        "pounds are of pressure in this trade, but for those \"of\" a chemical",
        &["You weight 200lbs.", "and this baby is over two pounds."],
    ),
    (
        "brackets part a number from what follows",
        &[
            "The weight is 20 (kg)",
            "The weight is 20 [kg]",
            "The weight is 20 {kg}",
            "The weight is 20 <kg>",
        ],
    ),
    (
        "a lone m with a blank before may be anything",
        &["1 m 1 m", "1 m x 1 m"],
    ),
    (
        "a capital M is read as a small one, since notes write units in capitals",
        &["It cost 1.8M dollars."],
    ),
    (
        "an inch mark with a blank before it opens a quotation",
        &["He has a pen that is 10 \" long."],
    ),
    ("codes in small letters", &["scp-173m", "scp2-173m"]),
];

/// Read wrong, and known.
const KNOWN: &[&str] = &[];
