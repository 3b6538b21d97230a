//! Notes and snippets with the labels that people gave them: what `learn` learns from and `vet --labelled` measures by.

use super::errors::Failure;
use crate::notes;
use padlore_core::{
    note::{self, Conventions},
    reading::train,
};
use serde::Deserialize;
use std::{
    fs,
    path::{Path, PathBuf},
};

#[derive(Deserialize)]
struct File {
    visits: Vec<Visit>,
}

/// A person's labels of a visit.
#[derive(Deserialize)]
pub struct Visit {
    line: usize,
    #[serde(default)]
    symptoms: Vec<WithStatus>,
    #[serde(default)]
    causes: Vec<WithStatus>,
    #[serde(default)]
    fixes: Vec<Fix>,
    #[serde(default)]
    settings: Vec<Quantity>,
    #[serde(default)]
    readings: Vec<Quantity>,
    outcome: Option<String>,
}

#[derive(Deserialize)]
struct WithStatus {
    id: String,
    status: String,
    #[serde(default)]
    conditions: Vec<String>,
}

#[derive(Deserialize)]
struct Fix {
    action: String,
    part: String,
    status: String,
}

#[derive(Deserialize)]
struct Quantity {
    id: String,
    value: serde_json::Value,
    when: Option<String>,
}

/// A labelled snippet: a line of a `.jsonl` file.
#[derive(Deserialize)]
struct Snippet {
    text: String,
    #[serde(default)]
    symptoms: Vec<(String, String, Vec<String>)>,
    #[serde(default)]
    causes: Vec<(String, String)>,
    #[serde(default)]
    fixes: Vec<(String, String, String)>,
    #[serde(default)]
    settings: Vec<(String, serde_json::Value, String)>,
    #[serde(default)]
    readings: Vec<(String, serde_json::Value)>,
    outcome: Option<String>,
    /// Kinds of facts that the text may hold though no label says so: they teach nothing of them.
    #[serde(default)]
    unlabelled: Vec<Kind>,
}

/// A kind of facts that a snippet's labels may leave out.
#[derive(Clone, Copy, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Settings,
    Readings,
}

/// What the labels are of. All teach; what is measured is measured on notes, which are what will be read.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// A whole note or visit.
    Note,
    /// A piece of one.
    Snippet,
}

/// A labelled note or snippet.
pub struct Labelled {
    /// The note.
    pub text: String,
    /// Whether it is a whole note.
    pub source: Source,
    note: note::Note,
    visits: Vec<Visit>,
    unlabelled: Vec<Kind>,
}

fn read_snippets(path: &Path) -> Result<Vec<Labelled>, Failure> {
    let mut out = Vec::new();
    for (number, line) in fs::read_to_string(path)?
        .lines()
        .enumerate()
        .filter(|(_, l)| !l.trim().is_empty())
    {
        let snippet: Snippet = serde_json::from_str(line)
            .map_err(|e| Failure::Usage(format!("{}:{}: {e}", path.display(), number + 1)))?;
        // A short first line would be taken for the site's name.
        let text = format!("Site: Snippet\nDate: 2026-03-02\n\n{}\n", snippet.text);
        let note = note::parse(&text, "snippet", &Conventions::default());
        // What says how the visit ended is a whole visit, if a short one.
        let source = match snippet.outcome {
            Some(_) => Source::Note,
            None => Source::Snippet,
        };
        let status = |(id, status): (String, String)| WithStatus {
            id,
            status,
            conditions: Vec::new(),
        };
        let visit = Visit {
            line: 1,
            symptoms: snippet
                .symptoms
                .into_iter()
                .map(|(id, status, conditions)| WithStatus {
                    id,
                    status,
                    conditions,
                })
                .collect(),
            causes: snippet.causes.into_iter().map(status).collect(),
            fixes: snippet
                .fixes
                .into_iter()
                .map(|(action, part, status)| Fix {
                    action,
                    part,
                    status,
                })
                .collect(),
            settings: snippet
                .settings
                .into_iter()
                .map(|(id, value, when)| Quantity {
                    id,
                    value,
                    when: Some(when),
                })
                .collect(),
            readings: snippet
                .readings
                .into_iter()
                .map(|(id, value)| Quantity {
                    id,
                    value,
                    when: None,
                })
                .collect(),
            outcome: snippet.outcome,
        };
        out.push(Labelled {
            text,
            source,
            note,
            visits: vec![visit],
            unlabelled: snippet.unlabelled,
        });
    }
    Ok(out)
}

/// Labelled notes and snippets of a folder, in the order of their names.
///
/// # Errors
/// Where a file cannot be read, with its name and, in a `.jsonl` file, the line.
pub fn read_folder(folder: &Path) -> Result<Vec<Labelled>, Failure> {
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
        if path.extension().is_some_and(|e| e == "jsonl") {
            out.extend(read_snippets(&path)?);
            continue;
        }
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
            source: Source::Note,
            note,
            visits: file.visits,
            unlabelled: Vec::new(),
        });
    }
    if out.is_empty() {
        return Err(Failure::Usage(format!(
            "{}: holds no labels; they stand in NAME.facts.json beside NAME.md, or in NAME.jsonl, a snippet a line",
            folder.display()
        )));
    }
    Ok(out)
}

impl Labelled {
    /// Whether its labels say all that a model decides.
    pub fn teaches(&self, model: &str) -> bool {
        self.unlabelled.is_empty() || !matches!(model, "number" | "when")
    }

    /// The visits with their labels.
    pub fn pairs(&self) -> impl Iterator<Item = (&note::Visit, &Visit)> {
        let labels = |v: &note::Visit| self.visits.iter().find(|l| l.line == v.line);
        self.note
            .visits
            .iter()
            .filter_map(move |v| labels(v).map(|l| (v, l)))
    }
}

impl Visit {
    /// The labels as models learn them.
    pub fn labels(&self) -> train::Labels {
        let pair = |w: &WithStatus| (w.id.clone(), w.status.clone());
        train::Labels {
            symptoms: self.symptoms.iter().map(pair).collect(),
            conditions: self
                .symptoms
                .iter()
                .flat_map(|s| s.conditions.iter().map(|c| (s.id.clone(), c.clone())))
                .collect(),
            causes: self.causes.iter().map(pair).collect(),
            fixes: self
                .fixes
                .iter()
                .map(|f| (f.action.clone(), f.part.clone(), f.status.clone()))
                .collect(),
            quantities: self
                .settings
                .iter()
                .map(|q| (q, q.when.clone().or_else(|| Some("left".to_owned()))))
                .chain(self.readings.iter().map(|q| (q, None)))
                .filter_map(|(q, when)| Some((q.id.clone(), q.value.as_f64()?, when)))
                .collect(),
            outcome: self.outcome.clone(),
        }
    }
}
