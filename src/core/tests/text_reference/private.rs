//! `phone.json` and `email.json`: phone numbers and addresses of Recognizers-Text (MIT), which a note's private pieces
//! must cover.

use crate::cases::{Case, Failure, File, check, read};
use padlore_core::reading::private;

#[test]
fn phone_numbers_are_hidden() -> Result<(), Failure> {
    let file = File {
        name: "phone.json",
        published: 405,
        left_out: PHONE_LEFT_OUT,
        known: PHONE_KNOWN,
        kept: 0.0,
    };
    check(&file, judge)
}

#[test]
fn addresses_are_hidden() -> Result<(), Failure> {
    let file = File {
        name: "email.json",
        published: 20,
        left_out: EMAIL_LEFT_OUT,
        known: EMAIL_KNOWN,
        kept: 0.0,
    };
    check(&file, judge)
}

/// Every letter and digit of what is expected is covered, and none besides.
fn judge(case: &Case) -> Result<Option<String>, Failure> {
    let words = read(&case.input);
    let made = private::find(&case.input, &words, &(0..case.input.len()));
    let expected = case
        .results
        .iter()
        .map(|e| e.span(&case.input))
        .collect::<Result<Vec<_>, _>>()?;
    let right = case
        .input
        .char_indices()
        .filter(|(_, c)| c.is_alphanumeric())
        .all(|(at, _)| {
            expected.iter().any(|r| r.contains(&at)) == made.iter().any(|r| r.contains(&at))
        });
    let shown: Vec<&str> = made
        .iter()
        .filter_map(|r| case.input.get(r.clone()))
        .collect();
    Ok((!right).then(|| format!("{shown:?}")))
}

/// Left out, with the reason.
const PHONE_LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "the rule errs on the side of hiding: numbers of cards, accounts and persons are private too",
        &[
            "#20020211895 is not a phone number, since it starts with #.",
            "911-67-0060 is a SSN and should not be extracted",
            "011-12-3456 is a SSN and should not be extracted",
            "account number 12345678",
            "account #12345678",
            "account 12345678",
            "card number 1234567 and phone number is +55 11 12345-6789",
            "card number 12345678 and phone number 12345678",
            "My card number is 12345678",
        ],
    ),
    (
        "what cannot be dialled is hidden all the same",
        &[
            "my phone number is 112-3333.",
            "0039 31122627111-26737 doesn't look like a phone number.",
            "+45-12-34-56-78 doesn't look like a phone number.",
        ],
    ),
];

/// Read wrong, and known.
const PHONE_KNOWN: &[&str] = &[
    "(19 35831647 looks like the area code is missing the ending parenthesis",
    "This is a short landline phone number in Italy: 012234.",
    "00 10 00 31 46 D9 E9 11 doesn't look like a phone number, it is hexadecimal.",
    "#Organization# coffee chat-follow up-#Name#-123 456 7890.",
];

/// Left out, with the reason.
const EMAIL_LEFT_OUT: &[(&str, &[&str])] = &[
    (
        "letters of other scripts that touch an address are hidden with it",
        &["a邮箱地址test@test.com"],
    ),
    (
        "hosts by number",
        &["j_9@[129.126.118.1] is a valid email address"],
    ),
];

/// Read wrong, and known.
const EMAIL_KNOWN: &[&str] = &[];
