//! `learn`: fits the learned part of the reader to labelled notes.

use super::{
    args::{self, Common},
    errors::Failure,
    screen::Screen,
    setup::Setup,
};
use crate::notes;
use padlore_core::{
    note::{self, Conventions},
    reading::{learned, train},
    trade::{Knowledge, TableFile},
};
use serde::Deserialize;
use std::{
    fs,
    path::{Path, PathBuf},
    process::ExitCode,
};

#[derive(Deserialize)]
struct File {
    visits: Vec<Visit>,
}

#[derive(Deserialize)]
struct Visit {
    line: usize,
    #[serde(default)]
    symptoms: Vec<WithStatus>,
    #[serde(default)]
    causes: Vec<WithStatus>,
    #[serde(default)]
    fixes: Vec<Fix>,
    outcome: Option<String>,
}

#[derive(Deserialize)]
struct WithStatus {
    id: String,
    status: String,
}

#[derive(Deserialize)]
struct Fix {
    action: String,
    part: String,
    status: String,
}

/// A labelled note.
struct Labelled {
    text: String,
    note: note::Note,
    visits: Vec<Visit>,
}

/// Runs `learn`.
///
/// # Errors
/// Where a labelled note or the folder for the weights cannot be used.
pub fn run(common: &Common, own: &args::Learn, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let setup = Setup::new(common)?;
    let mut labelled = Vec::new();
    for folder in &own.folders {
        labelled.extend(read_folder(folder)?);
    }
    fs::create_dir_all(&own.to)?;
    let mut learnt: Vec<TableFile> = Vec::new();
    for model in train::MODELS {
        let knowledge = relearnt(&setup, &learnt);
        let mut examples = Vec::new();
        let mut folds = Vec::new();
        for (number, item) in labelled.iter().enumerate() {
            for visit in &item.note.visits {
                let Some(labels) = item.visits.iter().find(|v| v.line == visit.line) else { continue };
                examples.extend(train::examples(&item.text, visit, &labels.labels(), model, &knowledge));
                folds.resize(examples.len(), number % FOLDS);
            }
        }
        let made = format!("padlore learn, {} examples of {} notes", examples.len(), labelled.len());
        let fitted = learned::fit(&examples, &made);
        let right = examples.iter().filter(|e| fitted.decide(&e.features) == Some(e.label.as_str())).count();
        let (unseen, ruled) = by_folds(&examples, &folds);
        screen.line(&format!(
            "{model}: {} examples, {} features kept; right on the examples themselves {right}, on notes not learned from {unseen}, by the rules alone {ruled}",
            examples.len(),
            fitted.weights.len()
        ))?;
        let text = toml::to_string(&fitted).map_err(|e| Failure::Usage(format!("the weights of {model} cannot be written: {e}")))?;
        fs::write(own.to.join(format!("{model}.toml")), &text)?;
        learnt.push(TableFile { path: format!("learned/{model}.toml"), text });
    }
    Ok(ExitCode::SUCCESS)
}

/// Notes are parted into so many folds; each is decided by a model of the others.
const FOLDS: usize = 8;

/// Examples decided rightly by models that did not see their note, and by the rules alone.
fn by_folds(examples: &[learned::Example], folds: &[usize]) -> (usize, usize) {
    let mut unseen = 0;
    for fold in 0..FOLDS {
        let others: Vec<learned::Example> = examples.iter().zip(folds).filter(|(_, f)| **f != fold).map(|(e, _)| e.clone()).collect();
        let model = learned::fit(&others, "fold");
        let held = examples.iter().zip(folds).filter(|(_, f)| **f == fold);
        unseen += held.filter(|(e, _)| model.decide(&e.features) == Some(e.label.as_str())).count();
    }
    let ruled = |e: &&learned::Example| e.features.iter().any(|f| *f == format!("rule={}", e.label));
    (unseen, examples.iter().filter(ruled).count())
}

/// The tables without the models that are learnt anew, but with those that this run has made so far.
fn relearnt(setup: &Setup, learnt: &[TableFile]) -> Knowledge {
    let mut files = setup.table_files();
    files.retain(|f| !f.path.starts_with("learned/"));
    files.extend_from_slice(learnt);
    Knowledge::from_files(&files)
}

fn read_folder(folder: &Path) -> Result<Vec<Labelled>, Failure> {
    let open = |source| Failure::Tables { path: folder.to_owned(), source };
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).map_err(open)?.filter_map(Result::ok).map(|e| e.path()).collect();
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        let Some(stem) = path.file_name().and_then(|n| n.to_str()).and_then(|n| n.strip_suffix(".facts.json")) else { continue };
        let file: File = serde_json::from_str(&fs::read_to_string(&path)?)?;
        let note_path = path.with_file_name(format!("{stem}.md"));
        let text = notes::text(&note_path).map_err(|e| Failure::Usage(format!("{}: {e}", note_path.display())))?;
        let note = note::parse(&text, stem, &Conventions::default());
        out.push(Labelled { text, note, visits: file.visits });
    }
    Ok(out)
}

impl Visit {
    fn labels(&self) -> train::Labels {
        let pair = |w: &WithStatus| (w.id.clone(), w.status.clone());
        train::Labels {
            symptoms: self.symptoms.iter().map(pair).collect(),
            causes: self.causes.iter().map(pair).collect(),
            fixes: self.fixes.iter().map(|f| (f.action.clone(), f.part.clone(), f.status.clone())).collect(),
            outcome: self.outcome.clone(),
        }
    }
}
