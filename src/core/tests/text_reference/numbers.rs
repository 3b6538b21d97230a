//! `number.json`: plain and spoken numbers of Recognizers-Text (MIT).

use crate::cases::{Case, Failure, File, check, read, same};

#[test]
fn numbers() -> Result<(), Failure> {
    let file = File {
        name: "number.json",
        published: 235,
        left_out: LEFT_OUT,
        known: KNOWN,
        kept: 0.6,
    };
    check(&file, judge)
}

fn judge(case: &Case) -> Result<Option<String>, Failure> {
    let words = read(&case.input);
    // An ordinal and a number behind `#` name a piece; they count nothing.
    let made: Vec<(std::ops::Range<usize>, f64)> = words
        .tokens
        .iter()
        .filter(|t| !t.label)
        .filter_map(|t| Some((t.span.clone(), t.number()?)))
        .collect();
    let mut right = made.len() == case.results.len();
    for (expected, (span, value)) in case.results.iter().zip(&made) {
        let number = expected.number().ok_or("a number without a value")?;
        right &= expected.span(&case.input)? == *span && same(*value, number);
    }
    Ok((!right).then(|| format!("{made:?}")))
}

/// Left out, with the reason.
const LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "powers: no note writes them, and \"1E4\" is a code",
        &[
            "1e10",
            "1.1^23",
            "1.1^+23",
            "2.5^-1",
            "-2500^-1",
            "-1.1^+23",
            "-2.5^-1",
            "-1.1^--23",
            "-127.32e13",
            "12.32e+14",
            "-12e-1",
            "1.3x10^6",
            "1.3e6",
            "6.23x10^-4",
        ],
    ),
    (
        "k, G, M, b behind a number: in this trade k is a kilohm, the others are no numbers",
        &[
            "10k",
            "100k",
            "10G",
            "- 10  k",
            " 2.33 k",
            "1.2b",
            "I can give you 10M.",
            "That account revenue target is US$ 1MM",
            "2mil SEK can't buy you a big apartment anyome",
            "either 10 bln or 10 tln",
            "1,674.5 G",
            "1,674,200.5 M",
        ],
    ),
    (
        "a number with its unit is a number here",
        &[
            "the 180.25ml liquid",
            "the 180ml liquid",
            " 29km Road ",
            "the .25ml liquid",
            "1m isn't a number.",
        ],
    ),
    (
        "other countries' number forms, and thousands parted by plain blanks",
        &[
            "For now, China's population is 1 414 021 100.",
            "In some countries you can write 5.00 or 5,00.",
            "I can give you 13 lakh",
            "There are 1 crore boxes in this container",
            "I count 6 crore and two hundred",
            "The total is three lakh crore",
            "The result is 12,34,567.89",
            "1.111,11, 1,111.11",
            "The number is 1,3.",
        ],
    ),
    (
        "amounts of money are no numbers here, dates and codes neither",
        &[
            "Any time to meet on 5/17/2018?",
            "I want to earn $10000 in 3 years",
            "I want to earn $2000 over 3 years",
            "$20",
            "SCP-173",
        ],
    ),
    (
        "\"over\", \"in\" and \"out of\" set two values against each other and divide nothing",
        &[
            "one over three",
            "1 over twenty-one",
            "1 over one hundred and twenty one",
            "1 over three",
            "1 over 3",
            "one over 3",
            "one over 20",
            "one over twenty",
            "one over one hundred",
            "one over one hundred and twenty five",
            "The answer is negative one over 20",
            "one out of three",
            "1 in twenty-one",
            "2000 over 3",
            "two out of five hundred tvs",
            "two out of five hundreds tvs",
        ],
    ),
    (
        "a dash with blanks parts two numbers",
        &[
            "- 1 4/5",
            "fifty - two",
            "how much is ninety - five hundred fifths?",
            "The answer is negative ninety - five hundred fifths",
            "The answer is minus ninety - five hundred fifths",
            "one - fourth",
            "five - eighths",
            "ninety - five hundred-fifths",
        ],
    ),
    (
        "fractions of twenty-firsts and the like; a lone fraction (\"a fifth\") is a word",
        &[
            "a trillionth",
            "a hundred trillionths",
            "a half",
            "twenty and three and three fifths",
            "one million two thousand two hundred three fifths",
            "a hundredth",
            "a fifth",
            "a hundred thousand trillionths",
            "one fifth",
            "twenty fifths",
            "three and a fifth",
            "a twenty-first",
            "one twenty-fifth",
            "three twenty-firsts",
            "three twenty firsts",
            "twenty twenty fifths",
            "one hundred thirty-fifths",
            "one one hundred fifth",
            "one one hundred and fifth",
            "one hundred one thousand fifths",
            "more than half people came here.",
            "The measurement has a value of two hundred thirty two and a thirtieth",
        ],
    ),
    (
        "\"one\" alone is a word (\"the old one\")",
        &["Let's try one last time"],
    ),
];

/// Read wrong, and known.
const KNOWN: &[&str] = &[
    "192.168.1.2",
    "-4/5",
    "1 234 567",
    "one hundred thirty fifths",
    "The answer is minus one hundred thirty fifths",
    " two thirds of a million",
    " three hundred and two dozens",
];
