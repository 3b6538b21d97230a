//! `learn`: fits the learned part of the reader to labelled notes.

use super::{
    args::{self, Common},
    errors::Failure,
    labelled::{Labelled, Source, read_folder},
    screen::Screen,
    setup::Setup,
};
use padlore_core::{
    reading::{
        learned::{self, spotting, weights::Fitted},
        train,
    },
    trade::{Knowledge, TableFile},
};
use std::{fs, process::ExitCode};

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
    let plain = relearnt(&setup, &[]);
    let bags = bags(&labelled, &plain);
    screen.line(&format!(
        "{} notes and snippets, {} visits",
        labelled.len(),
        bags.len()
    ))?;
    let spotters = spotters(&bags);
    let lines = measure_spotters(&setup, &labelled, &spotters, screen)?;
    let raised: Vec<Fitted> = spotters.into_iter().map(|s| raise(s, &lines)).collect();
    let Some((whole, unseen)) = raised.split_first() else {
        return Ok(ExitCode::SUCCESS);
    };
    write(own, spotting::SPOTTING, whole)?;
    let mut learnt: Vec<TableFile> = vec![file(spotting::SPOTTING, whole)];
    for model in train::MODELS {
        // Each fold is heard by a spotter that did not see it: what is decided later is heard no better.
        let mut examples = Vec::new();
        let mut folds = Vec::new();
        let mut sources = Vec::new();
        for (fold, spotter) in unseen.iter().enumerate() {
            let mut files = learnt.clone();
            files.push(file(spotting::SPOTTING, spotter));
            let knowledge = relearnt(&setup, &files);
            for (number, item) in labelled
                .iter()
                .enumerate()
                .filter(|(n, item)| n % FOLDS == fold && item.teaches(model))
            {
                for (visit, labels) in item.pairs() {
                    examples.extend(train::examples(
                        &item.text,
                        visit,
                        &labels.labels(),
                        model,
                        &knowledge,
                    ));
                }
                folds.resize(examples.len(), number % FOLDS);
                sources.resize(examples.len(), item.source);
            }
        }
        let made = format!(
            "padlore learn, {} examples of {} notes and snippets",
            examples.len(),
            labelled.len()
        );
        let by_rules: Vec<String> = examples.iter().map(rule_of).collect();
        let ruled = f1_on_notes(&examples, &by_rules, &sources);
        let mut best = (ruled, None);
        let unseen = by_folds(&examples, &folds);
        for (sure, said) in SURE.iter().zip(&unseen) {
            let figure = f1_on_notes(&examples, said, &sources);
            screen.line(&format!("{model}, dropping from {sure}: F1 {figure:.3} on notes not learned from, {ruled:.3} by the rules alone"))?;
            if figure > best.0 + WORTH {
                best = (figure, Some(*sure));
            }
        }
        let Some(sure) = best.1 else {
            screen.line(&format!("{model}: the rules stay alone"))?;
            let path = own.to.join(format!("{model}.tsv"));
            if path.exists() {
                fs::remove_file(&path)?;
            }
            continue;
        };
        let fitted = learned::deciding::fit(&examples, sure, &made);
        screen.line(&format!(
            "{model}: {} examples, {} features kept, dropping from {sure}",
            examples.len(),
            fitted.rows.len()
        ))?;
        write(own, model, &fitted)?;
        learnt.push(file(model, &fitted));
    }
    Ok(ExitCode::SUCCESS)
}

/// Notes are parted into so many folds; each is decided by a model of the others.
const FOLDS: usize = 4;
/// Probabilities tried as the least at which a candidate is dropped.
const SURE: [f32; 8] = [0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];
/// A model must beat the rules by this much to be worth its file.
const WORTH: f64 = 0.01;

fn file(name: &str, fitted: &Fitted) -> TableFile {
    TableFile {
        path: format!("learned/{name}.tsv"),
        text: fitted.to_text(),
    }
}

fn write(own: &args::Learn, name: &str, fitted: &Fitted) -> Result<(), Failure> {
    Ok(fs::write(
        own.to.join(format!("{name}.tsv")),
        fitted.to_text(),
    )?)
}

/// Every visit's bag, with the number of its note.
fn bags(labelled: &[Labelled], knowledge: &Knowledge) -> Vec<(usize, spotting::Bag)> {
    let mut out = Vec::new();
    for (number, item) in labelled.iter().enumerate() {
        for (visit, labels) in item.pairs() {
            out.push((
                number,
                train::bag(&item.text, visit, &labels.labels(), knowledge),
            ));
        }
    }
    out
}

/// A spotter of all bags, then one for each fold that did not see it.
fn spotters(bags: &[(usize, spotting::Bag)]) -> Vec<Fitted> {
    let without = |fold: usize| {
        let seen: Vec<&spotting::Bag> = bags
            .iter()
            .filter(|(n, _)| n % FOLDS != fold)
            .map(|(_, b)| b)
            .collect();
        spotting::fit(
            &seen,
            0.5,
            &format!("padlore learn, {} visits and snippets", seen.len()),
        )
    };
    let without = &without;
    std::thread::scope(|scope| {
        let order: Vec<usize> = std::iter::once(FOLDS).chain(0..FOLDS).collect();
        let running: Vec<_> = order
            .into_iter()
            .map(|fold| scope.spawn(move || without(fold)))
            .collect();
        running.into_iter().filter_map(|r| r.join().ok()).collect()
    })
}

/// What each kind of label is spotted with.
const KINDS: [&str; 4] = ["symptom", "cause", "condition", "action"];
/// Probabilities tried as the least at which a label is heard.
const HEARD: [f32; 11] = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95];

/// Of a visit: its labels, those that wordings find, and how sure the spotter is of each.
type Seen = (Vec<String>, Vec<String>, Vec<(String, f32)>);

/// The best line for each kind, from visits that the spotter did not see.
fn measure_spotters(
    setup: &Setup,
    labelled: &[Labelled],
    spotters: &[Fitted],
    screen: &mut Screen,
) -> Result<Vec<f32>, Failure> {
    let mut seen: Vec<Seen> = Vec::new();
    for (fold, spotter) in spotters.iter().skip(1).enumerate() {
        let knowledge = relearnt(setup, &[file(spotting::SPOTTING, spotter)]);
        for (_, item) in labelled
            .iter()
            .enumerate()
            .filter(|(n, item)| n % FOLDS == fold && item.source == Source::Note)
        {
            for (visit, labels) in item.pairs() {
                let (ruled, sure) = train::spotted(&item.text, visit, &knowledge);
                seen.push((labels.labels().heard(), ruled, sure));
            }
        }
    }
    let mut out = Vec::new();
    for kind in KINDS {
        let of_kind = |name: &&String| name.strip_prefix(kind).is_some_and(|r| r.starts_with(':'));
        let figure = |line: f32| {
            let (mut hits, mut told, mut asked) = (0.0_f64, 0.0_f64, 0.0_f64);
            for (gold, ruled, sure) in &seen {
                let heard = sure.iter().filter(|(_, p)| *p >= line).map(|(n, _)| n);
                let mut said: Vec<&String> = ruled.iter().chain(heard).filter(of_kind).collect();
                said.sort_unstable();
                said.dedup();
                told += said.len() as f64;
                asked += gold.iter().filter(of_kind).count() as f64;
                hits += said.iter().filter(|s| gold.contains(s)).count() as f64;
            }
            (
                2.0 * hits / (told + asked).max(1.0),
                hits / told.max(1.0),
                hits / asked.max(1.0),
            )
        };
        let alone = figure(2.0);
        screen.line(&format!(
            "{kind}: wordings alone F1 {:.3} ({:.3} right, {:.3} found)",
            alone.0, alone.1, alone.2
        ))?;
        let mut best = (alone.0, 0.99);
        for line in HEARD {
            let now = figure(line);
            screen.line(&format!(
                "{kind}, heard from {line}: F1 {:.3} ({:.3} right, {:.3} found)",
                now.0, now.1, now.2
            ))?;
            if now.0 > best.0 {
                best = (now.0, line);
            }
        }
        out.push(best.1);
    }
    Ok(out)
}

/// Moves each label's bias so that its kind is heard from a probability of one half on.
fn raise(mut spotter: Fitted, lines: &[f32]) -> Fitted {
    let labels = spotter.labels.clone();
    if let Some(bias) = spotter.rows.get_mut(spotting::BIAS) {
        for (label, weight) in bias {
            let kind = labels
                .get(usize::from(*label))
                .and_then(|l| l.split_once(':'))
                .map_or("", |(k, _)| k);
            if let Some(line) = KINDS
                .iter()
                .position(|k| *k == kind)
                .and_then(|k| lines.get(k))
            {
                *weight -= (line / (1.0 - line)).ln();
            }
        }
    }
    spotter
}

/// What models that did not see an example's note make of it, for each of [`SURE`].
fn by_folds(examples: &[learned::Example], folds: &[usize]) -> Vec<Vec<String>> {
    let mut out = vec![vec![learned::NOTHING.to_owned(); examples.len()]; SURE.len()];
    let decided: Vec<(usize, usize, String)> = std::thread::scope(|scope| {
        let running: Vec<_> = (0..FOLDS)
            .map(|fold| scope.spawn(move || decide_fold(examples, folds, fold)))
            .collect();
        running
            .into_iter()
            .filter_map(|r| r.join().ok())
            .flatten()
            .collect()
    });
    for (sure, place, label) in decided {
        if let Some(said) = out.get_mut(sure).and_then(|o| o.get_mut(place)) {
            *said = label;
        }
    }
    out
}

/// For each of [`SURE`] by its number and each example of a fold by its own: what a model of the others makes of it.
fn decide_fold(
    examples: &[learned::Example],
    folds: &[usize],
    fold: usize,
) -> Vec<(usize, usize, String)> {
    let others: Vec<learned::Example> = examples
        .iter()
        .zip(folds)
        .filter(|(_, f)| **f != fold)
        .map(|(e, _)| e.clone())
        .collect();
    let fitted = learned::deciding::fit(&others, 0.5, "fold");
    let mut out = Vec::new();
    for (number, sure) in SURE.iter().enumerate() {
        let fitted = Fitted {
            sure: *sure,
            ..fitted.clone()
        };
        let Some(model) =
            learned::weights::Weights::new(fitted.to_bytes().into()).map(learned::Model::new)
        else {
            continue;
        };
        for (place, example) in examples.iter().enumerate() {
            if folds.get(place) == Some(&fold) {
                let label = model.decide(&example.features).unwrap_or(learned::NOTHING);
                out.push((number, place, label.to_owned()));
            }
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

/// F1 of facts in notes: a fact is a label other than nothing.
fn f1_on_notes(examples: &[learned::Example], said: &[String], sources: &[Source]) -> f64 {
    let (mut hits, mut asked, mut told) = (0.0, 0.0, 0.0);
    for ((example, said), source) in examples.iter().zip(said).zip(sources) {
        if *source == Source::Note {
            let (right, fact) = (example.label == *said, said != learned::NOTHING);
            asked += f64::from(u8::from(example.label != learned::NOTHING));
            told += f64::from(u8::from(fact));
            hits += f64::from(u8::from(right && fact));
        }
    }
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
