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
                let Some(labels) = item.visits.iter().find(|v| v.line == visit.line) else {
                    continue;
                };
                examples.extend(train::examples(
                    &item.text,
                    visit,
                    &labels.labels(),
                    model,
                    &knowledge,
                ));
                folds.resize(examples.len(), number % FOLDS);
            }
        }
        let made = format!(
            "padlore learn, {} examples of {} notes",
            examples.len(),
            labelled.len()
        );
        let ruled = f1(&examples, rule_of);
        let mut best = (ruled, None);
        for sure in SURE {
            let unseen = by_folds(&examples, &folds, sure);
            let figure = f1_of(&examples, &unseen);
            screen.line(&format!("{model}, dropping from {sure}: F1 {figure:.3} on notes not learned from, {ruled:.3} by the rules alone"))?;
            if figure > best.0 + WORTH {
                best = (figure, Some(sure));
            }
        }
        let path = own.to.join(format!("{model}.toml"));
        let Some(sure) = best.1 else {
            screen.line(&format!("{model}: the rules stay alone"))?;
            if path.exists() {
                fs::remove_file(&path)?;
            }
            continue;
        };
        let fitted = learned::fit(&examples, sure, &made);
        screen.line(&format!(
            "{model}: {} examples, {} features kept, dropping from {sure}",
            examples.len(),
            fitted.weights.len()
        ))?;
        let text = toml::to_string(&fitted).map_err(|e| {
            Failure::Usage(format!("the weights of {model} cannot be written: {e}"))
        })?;
        fs::write(&path, &text)?;
        learnt.push(TableFile {
            path: format!("learned/{model}.toml"),
            text,
        });
    }
    Ok(ExitCode::SUCCESS)
}

/// Notes are parted into so many folds; each is decided by a model of the others.
const FOLDS: usize = 8;

/// Probabilities tried as the least at which a candidate is dropped.
const SURE: [f64; 5] = [0.5, 0.6, 0.7, 0.8, 0.9];
/// A model must beat the rules by this much to be worth its file.
const WORTH: f64 = 0.01;

/// What models that did not see an example's note make of it.
fn by_folds(examples: &[learned::Example], folds: &[usize], sure: f64) -> Vec<String> {
    let mut out = vec![learned::NOTHING.to_owned(); examples.len()];
    for fold in 0..FOLDS {
        let others: Vec<learned::Example> = examples
            .iter()
            .zip(folds)
            .filter(|(_, f)| **f != fold)
            .map(|(e, _)| e.clone())
            .collect();
        let model = learned::fit(&others, sure, "fold");
        for ((example, place), _) in examples
            .iter()
            .zip(&mut out)
            .zip(folds)
            .filter(|(_, f)| **f == fold)
        {
            model
                .decide(&example.features)
                .unwrap_or(learned::NOTHING)
                .clone_into(place);
        }
    }
    out
}

/// What the rules make of an example.
fn rule_of(example: &learned::Example) -> String {
    let rule = example
        .features
        .iter()
        .find_map(|f| f.strip_prefix("rule="));
    rule.unwrap_or(learned::NOTHING).to_owned()
}

fn f1(examples: &[learned::Example], said: impl Fn(&learned::Example) -> String) -> f64 {
    f1_of(examples, &examples.iter().map(said).collect::<Vec<_>>())
}

/// F1 of facts: a fact is a label other than nothing.
fn f1_of(examples: &[learned::Example], said: &[String]) -> f64 {
    let fact = |label: &str| label != learned::NOTHING;
    let hits = examples
        .iter()
        .zip(said)
        .filter(|(e, s)| fact(s) && e.label == **s)
        .count() as f64;
    let asked = examples.iter().filter(|e| fact(&e.label)).count() as f64;
    let told = said.iter().filter(|s| fact(s)).count() as f64;
    if asked + told > 0.0 {
        2.0 * hits / (asked + told)
    } else {
        1.0
    }
}

/// The tables without the models that are learnt anew, but with those that this run has made so far.
fn relearnt(setup: &Setup, learnt: &[TableFile]) -> Knowledge {
    let mut files = setup.table_files();
    files.retain(|f| !f.path.starts_with("learned/"));
    files.extend_from_slice(learnt);
    Knowledge::from_files(&files)
}

fn read_folder(folder: &Path) -> Result<Vec<Labelled>, Failure> {
    let open = |source| Failure::Tables {
        path: folder.to_owned(),
        source,
    };
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .map_err(open)?
        .filter_map(Result::ok)
        .map(|e| e.path())
        .collect();
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        let Some(stem) = path
            .file_name()
            .and_then(|n| n.to_str())
            .and_then(|n| n.strip_suffix(".facts.json"))
        else {
            continue;
        };
        let file: File = serde_json::from_str(&fs::read_to_string(&path)?)?;
        let note_path = path.with_file_name(format!("{stem}.md"));
        let text = notes::text(&note_path)
            .map_err(|e| Failure::Usage(format!("{}: {e}", note_path.display())))?;
        let note = note::parse(&text, stem, &Conventions::default());
        out.push(Labelled {
            text,
            note,
            visits: file.visits,
        });
    }
    Ok(out)
}

impl Visit {
    fn labels(&self) -> train::Labels {
        let pair = |w: &WithStatus| (w.id.clone(), w.status.clone());
        train::Labels {
            symptoms: self.symptoms.iter().map(pair).collect(),
            causes: self.causes.iter().map(pair).collect(),
            fixes: self
                .fixes
                .iter()
                .map(|f| (f.action.clone(), f.part.clone(), f.status.clone()))
                .collect(),
            outcome: self.outcome.clone(),
        }
    }
}
