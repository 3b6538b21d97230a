//! The answer of `suspect` for a person: danger first, then the one next check, then likely causes with reasons.

use super::Answer;
use crate::cli::{
    errors::Failure,
    find::hit_lines,
    screen::{Screen, Tone, toned},
};
use padlore_core::diagnosis::rank::reason_text;

/// Causes shown with their reasons.
const SHOWN: usize = 5;
/// Causes less likely than this are not shown.
const LEAST: f64 = 0.02;
/// Reasons shown for a cause.
const REASONS: usize = 3;

/// Shows an answer.
pub fn answer(screen: &mut Screen, answer: &Answer<'_>) -> Result<(), Failure> {
    if let Some(stop) = &answer.json.stop {
        screen.filled(&toned(Tone::Danger, "STOP "), &stop.text, 5)?;
        return Ok(());
    }
    understood(screen, answer)?;
    if answer.ranking.causes.is_empty() {
        screen.line("")?;
        screen.filled("", "Nothing in the tables speaks to that: I don't know. Say what is seen or heard (trips, hums, leaks, low flow), on what, and when.", 0)?;
        return Ok(());
    }
    next(screen, answer)?;
    causes(screen, answer)?;
    take(screen, answer)?;
    jobs(screen, answer)?;
    Ok(())
}

fn understood(screen: &mut Screen, answer: &Answer<'_>) -> Result<(), Failure> {
    let u = &answer.json.understood;
    let mut parts: Vec<String> = Vec::new();
    for s in &u.symptoms {
        let not = if s.status == "present" { "" } else { s.status };
        parts.push(format!("{not} {}", s.id).trim().to_owned());
    }
    parts.extend(u.conditions.iter().map(|c| format!("when {c}")));
    parts.extend(u.equipment.iter().cloned());
    parts.extend(u.readings.iter().map(|r| {
        format!(
            "{} {} {}",
            r.id,
            serde_json::to_string(&r.value).unwrap_or_default(),
            r.unit
        )
    }));
    parts.extend(
        u.found
            .iter()
            .map(|f| format!("{}: {}", f.check, f.outcome)),
    );
    parts.extend(u.causes.iter().map(|c| format!("{} {}", c.id, c.status)));
    screen.filled("Understood: ", &parts.join(" \u{b7} "), 12)?;
    if !u.unknown.is_empty() {
        screen.filled("Not understood: ", &u.unknown.join(", "), 16)?;
    }
    Ok(())
}

fn next(screen: &mut Screen, answer: &Answer<'_>) -> Result<(), Failure> {
    let Some(check) = answer.json.checks.first() else {
        return Ok(());
    };
    screen.line("")?;
    let who = match check.who {
        "anyone" => "anyone",
        "trained" => "a trained technician",
        "electrical" => "a qualified electrical person",
        _ => "a licensed gas fitter",
    };
    screen.line(&toned(Tone::Heading, "Next check"))?;
    screen.filled("  ", &toned(Tone::Strong, &check.text), 2)?;
    screen.filled(
        "  ",
        &format!("{} min, {who}. {}", check.minutes, check.tool),
        2,
    )?;
    if !check.expected.is_empty() {
        screen.filled("  Expected: ", &check.expected, 4)?;
    }
    for outcome in &check.outcomes {
        let line = format!(
            "{} ({:.0} %): --found {}={}",
            outcome.text,
            outcome.probability * 100.0,
            check.id,
            outcome.id
        );
        screen.filled("  - ", &line, 4)?;
    }
    for caution in &answer.json.cautions {
        screen.filled(&toned(Tone::Caution, "  Caution: "), &caution.text, 4)?;
    }
    Ok(())
}

fn causes(screen: &mut Screen, answer: &Answer<'_>) -> Result<(), Failure> {
    screen.line("")?;
    screen.line(&toned(Tone::Heading, "Likely causes"))?;
    for likely in answer
        .ranking
        .causes
        .iter()
        .take(SHOWN)
        .filter(|l| l.probability >= LEAST)
    {
        let Some(cause) = answer.knowledge.causes.get(likely.cause) else {
            continue;
        };
        let head = format!(
            "  {:>3.0} % {}: ",
            likely.probability * 100.0,
            in_words(likely.probability)
        );
        screen.filled(&toned(Tone::Strong, &head), &cause.name, 8)?;
        let reasons: Vec<String> = likely
            .because
            .iter()
            .take(REASONS)
            .map(|(reason, moved)| {
                format!(
                    "{} makes this {}",
                    reason_text(reason, &answer.ranking, answer.knowledge),
                    times(*moved)
                )
            })
            .collect();
        if !reasons.is_empty() {
            screen.filled("        ", &reasons.join("; "), 8)?;
        }
        let mend: Vec<&str> = cause
            .mends
            .iter()
            .map(|m| m.text.as_str())
            .filter(|t| !t.is_empty())
            .take(1)
            .collect();
        if let [mend] = mend.as_slice() {
            screen.filled("        Mend: ", mend, 8)?;
        }
    }
    screen.filled(
        "  ",
        &format!(
            "{:.0} % something else",
            answer.ranking.something_else * 100.0
        ),
        8,
    )?;
    Ok(())
}

fn jobs(screen: &mut Screen, answer: &Answer<'_>) -> Result<(), Failure> {
    if answer.jobs.is_empty() {
        return Ok(());
    }
    screen.line("")?;
    screen.line(&toned(Tone::Heading, "Past jobs"))?;
    for hit in &answer.jobs {
        hit_lines(screen, hit)?;
    }
    Ok(())
}

fn take(screen: &mut Screen, answer: &Answer<'_>) -> Result<(), Failure> {
    let what: Vec<&str> = answer
        .json
        .take_along
        .iter()
        .map(|t| t.what.as_str())
        .take(6)
        .collect();
    if !what.is_empty() {
        screen.line("")?;
        screen.filled("Take along: ", &what.join("; "), 12)?;
    }
    Ok(())
}

/// A probability in words.
fn in_words(probability: f64) -> &'static str {
    match probability {
        p if p >= 0.85 => "very likely",
        p if p >= 0.6 => "likely",
        p if p >= 0.35 => "quite possible",
        p if p >= 0.12 => "possible",
        _ => "less likely",
    }
}

/// "4 times likelier" from log odds.
fn times(log_odds: f64) -> String {
    let factor = log_odds.abs().exp();
    let number = if factor >= 100.0 {
        "more than 100".to_owned()
    } else if factor >= 10.0 {
        format!("{factor:.0}")
    } else {
        format!("{factor:.1}")
    };
    if log_odds >= 0.0 {
        format!("{number} times likelier")
    } else {
        format!("{number} times less likely")
    }
}
