//! `find`: past visits, best first.

use super::{
    args::{self, Common},
    errors::Failure,
    screen::{Screen, Tone, toned},
    setup::Setup,
    suspect::nearest,
};
use crate::{
    json::find::FindAnswer,
    store::{Answer, Filter, Hit},
};
use padlore_core::{
    reading::question,
    trade::{Knowledge, vocabulary::Section},
};
use std::process::ExitCode;

/// Runs `find`.
///
/// # Errors
/// Wrong usage, no notes folder, or a store that cannot be used.
pub fn run(common: &Common, own: &args::Find, screen: &mut Screen) -> Result<ExitCode, Failure> {
    let setup = Setup::new(common)?;
    let knowledge = setup.knowledge();
    let filter = filter(own, &setup, knowledge)?;
    let store = setup.open_store(common)?;
    let words = own.words.join(" ");
    let question = question::understand(&words, knowledge);
    let answer = store.find(&words, &question, &filter, own.top)?;
    if common.json {
        screen.json(&FindAnswer::of(&answer, &store.state.as_of))?;
        return Ok(ExitCode::SUCCESS);
    }
    if !question.unknown.is_empty() {
        screen.filled(
            "Not understood, searched as words: ",
            &question.unknown.join(", "),
            4,
        )?;
    }
    show(screen, &answer, &store.state.as_of)?;
    Ok(ExitCode::SUCCESS)
}

/// Shows hits and facets.
fn show(screen: &mut Screen, answer: &Answer, as_of: &str) -> Result<(), Failure> {
    if answer.hits.is_empty() {
        screen.filled("", "Nothing in the notes answers that.", 0)?;
        return Ok(());
    }
    screen.line(&format!(
        "{} of {} past visits (as of {as_of})",
        answer.hits.len(),
        answer.total
    ))?;
    for hit in &answer.hits {
        screen.line("")?;
        hit_lines(screen, hit)?;
    }
    screen.line("")?;
    for (kind, ids) in &answer.facets {
        let mut list: Vec<(&String, &usize)> = ids.iter().collect();
        list.sort_by(|a, b| b.1.cmp(a.1).then(a.0.cmp(b.0)));
        let text: Vec<String> = list
            .iter()
            .take(5)
            .map(|(id, count)| format!("{id} {count}"))
            .collect();
        if !text.is_empty() {
            screen.filled(&format!("{kind}: "), &text.join(", "), 4)?;
        }
    }
    Ok(())
}

/// Shows one past visit.
///
/// # Errors
/// Where the output takes no more.
pub fn hit_lines(screen: &mut Screen, hit: &Hit) -> Result<(), Failure> {
    let record = &hit.record;
    let date = if record.date.is_empty() {
        "no date"
    } else {
        &record.date
    };
    screen.line(&toned(Tone::Strong, &format!("{date}  {}", record.site)))?;
    let mut marked = String::new();
    let mut at = 0;
    for mark in &hit.excerpt.marks {
        marked.push_str(hit.excerpt.text.get(at..mark.start).unwrap_or_default());
        marked.push_str(&toned(
            Tone::Mark,
            hit.excerpt.text.get(mark.clone()).unwrap_or_default(),
        ));
        at = mark.end;
    }
    marked.push_str(hit.excerpt.text.get(at..).unwrap_or_default());
    screen.filled("  ", &marked, 2)?;
    let done: Vec<String> = record
        .fixes
        .iter()
        .filter(|f| f.2 == "done")
        .map(|f| format!("{} {}", f.0, f.1))
        .collect();
    let mut facts = hit.because.clone();
    if !done.is_empty() {
        facts.push(format!("did: {}", done.join(", ")));
    }
    if !record.outcome.is_empty() {
        facts.push(format!("ended: {}", record.outcome));
    }
    screen.filled("  ", &facts.join("; "), 4)?;
    screen.line(&toned(
        Tone::Faint,
        &format!("  {}:{}", record.file, record.text_line + hit.excerpt.line),
    ))?;
    Ok(())
}

fn filter(own: &args::Find, setup: &Setup, knowledge: &Knowledge) -> Result<Filter, Failure> {
    let id = |section: Section, text: &Option<String>| -> Result<Option<String>, Failure> {
        let Some(text) = text else { return Ok(None) };
        if knowledge.vocabulary.id(section, text).is_some() {
            return Ok(Some(text.clone()));
        }
        let near = nearest(
            text,
            knowledge
                .vocabulary
                .of(section)
                .iter()
                .map(|e| e.id.as_str()),
        );
        Err(Failure::Usage(format!(
            "`{text}` is no {}; the nearest is `{near}`",
            section.name()
        )))
    };
    Ok(Filter {
        site: own.site.as_deref().map(|s| setup.shop.site(s).to_owned()),
        equipment: id(Section::Equipment, &own.equipment)?,
        symptom: id(Section::Symptom, &own.symptom)?,
        cause: id(Section::Cause, &own.cause)?,
        fix: id(Section::Action, &own.fix)?,
        tech: own.tech.clone(),
        since: own.since.map(|d| d.to_string()),
        until: own.until.map(|d| d.to_string()),
    })
}
