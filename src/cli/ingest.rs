//! `ingest`: brings the store up to date with the notes.

use super::{
    args::{self, Common},
    errors::Failure,
    screen::Screen,
    setup::Setup,
};
use crate::{
    json::find::IngestAnswer,
    store::{self, Rebuild},
};
use std::process::ExitCode;

/// Runs `ingest`.
///
/// # Errors
/// Where there is no notes folder, or the store cannot be used.
pub fn run(common: &Common, own: &args::Ingest, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let setup = Setup::new(common)?;
    let rebuild = if own.afresh {
        Rebuild::Afresh
    } else {
        Rebuild::Changed
    };
    let folder = setup.store(common)?;
    let done = store::ingest(
        setup.notes()?,
        &folder,
        &setup.shop,
        setup.knowledge(),
        &setup.tables_hash(),
        setup.today,
        rebuild,
    )?;
    if common.json {
        screen.json(&IngestAnswer::of(&done))?;
        return Ok(ExitCode::SUCCESS);
    }
    for refused in &done.state.refused {
        eprintln!(
            "padlore: {}:{}: refused: {}",
            refused.file, refused.line, refused.reason
        );
    }
    for problem in done.state.problems() {
        eprintln!(
            "padlore: {}:{}: {}",
            problem.file, problem.line, problem.reason
        );
    }
    let state = &done.state;
    screen.line(&format!(
        "{} notes, {} visits: {} added, {} changed, {} removed, {} refused, in {:.2} s",
        state.files.len(),
        state.visits(),
        done.added,
        done.changed,
        done.removed,
        state.refused.len(),
        done.took.as_secs_f64()
    ))?;
    Ok(ExitCode::SUCCESS)
}
