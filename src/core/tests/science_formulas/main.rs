//! The formulas of `science` against reference values made outside the program.
//!
//! Each module answers one file of `tests/reference/formulas`, whose README says where the values come from; every case
//! also names its own source. [`cases`] compares: a case that no module answers, a value that is missing and a
//! left-out entry that no longer exists all fail.

mod affinity;
mod cases;
mod head_loss;
mod heating;
mod limits;
mod motor;
mod saturation;
mod thermistor;
mod units;
mod voltage_drop;
mod water;

/// Every file of the folder has a module above.
#[test]
fn no_file_is_forgotten() -> Result<(), cases::Failure> {
    let mut found: Vec<String> = std::fs::read_dir(cases::FOLDER)?
        .map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned()))
        .collect::<Result<_, std::io::Error>>()?;
    found.retain(|name| name.ends_with(".json"));
    found.sort();
    let answered = [
        "head-loss.json",
        "heating.json",
        "limits.json",
        "motor.json",
        "pump-affinity.json",
        "saturation-index.json",
        "thermistor.json",
        "units.json",
        "voltage-drop.json",
        "water.json",
    ];
    assert_eq!(found, answered);
    Ok(())
}
