//! The general parts of the reader against data made outside the program: denial, numbers, units, dates, clock times and
//! private pieces.
//!
//! Each module answers files of `tests/reference/text`, whose README says where they come from and how they are to be
//! judged. [`cases`] compares: a case that is left out needs a reason, a case that is read wrong must be listed as
//! known, and an entry of either list that no longer applies fails, so the share that is right cannot fall unseen.

#![allow(
    clippy::print_stdout,
    reason = "the shares are printed for whoever runs the test by hand"
)]

mod assertion;
mod cases;
mod dates;
mod dimensions;
mod numbers;
mod private;
mod temperatures;
mod times;

/// Every file of the folder has a module above.
#[test]
fn no_file_is_forgotten() -> Result<(), cases::Failure> {
    let mut found: Vec<String> = std::fs::read_dir(cases::FOLDER)?
        .map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned()))
        .collect::<Result<_, std::io::Error>>()?;
    found.retain(|name| name.ends_with(".json") || name.ends_with(".tsv"));
    found.sort();
    let answered = [
        "assertion.tsv",
        "date.json",
        "dimension.json",
        "email.json",
        "number.json",
        "phone.json",
        "temperature.json",
        "time.json",
    ];
    assert_eq!(found, answered);
    Ok(())
}
