//! A visit as it was understood, for a person: the note's own lines, marked.

use super::marks::{Mark, Meant, NoteLine, rows};
use crate::{
    cli::{
        errors::Failure,
        screen::{Screen, Tone, toned},
    },
    json::facts::Scalar,
};
use padlore_core::{
    note::{VisitKind, line_at},
    reading::{
        facts::{CauseStatus, FactKind, Facts, FixStatus, QuantityFact, Span, SymptomStatus, When},
        private,
    },
};
use textwrap::core::display_width;

/// Shows a visit of the note `file`; `left` are the sentences that were left unread.
///
/// # Errors
/// Where the output takes no more.
pub fn visit(
    screen: &mut Screen,
    file: &str,
    text: &str,
    facts: &Facts,
    left: &[Span],
) -> Result<(), Failure> {
    heading(screen, file, facts)?;
    let marks = marks(facts);
    let lines = lines(text, facts, &marks);
    let digits = lines.last().map_or(1, |line| line.number.to_string().len());
    let mut blank = true;
    for line in &lines {
        // Blank lines in a row are one.
        let empty = line.text.trim().is_empty();
        if empty && blank {
            continue;
        }
        blank = empty;
        let end = line.start + line.text.len();
        let own: Vec<Mark> = marks
            .iter()
            .filter(|m| m.span.start < end && line.start < m.span.end)
            .cloned()
            .collect();
        for row in rows(line, &own, &facts.private, screen.width, digits) {
            screen.line(&row)?;
        }
    }
    // What is read from a note's head may have no words of its own.
    for mark in marks.iter().filter(|m| m.span.is_empty()) {
        screen.filled("also ", &toned(Tone::Mark, &mark.label), 2)?;
    }
    let outcome = facts
        .outcome
        .as_ref()
        .map_or_else(|| "not said".to_owned(), ToString::to_string);
    let corrected = if facts.corrected.holds(FactKind::Outcome, 0) {
        CORRECTED
    } else {
        ""
    };
    screen.line(&format!(
        "outcome: {}{corrected}",
        toned(Tone::Strong, &outcome)
    ))?;
    unread(screen, file, text, facts, left)?;
    screen.line("")?;
    Ok(())
}

/// Behind what a person corrected.
const CORRECTED: &str = " [corrected]";

fn heading(screen: &mut Screen, file: &str, facts: &Facts) -> Result<(), Failure> {
    let mut title = facts.site.as_deref().unwrap_or("no site").to_owned();
    match facts.date {
        Some(date) => title.push_str(&format!(", {date}")),
        None => title.push_str(", no date"),
    }
    if facts.date_unsure {
        title.push_str(" (day and month may be the other way round)");
    }
    if facts.kind == VisitKind::Call {
        title.push_str(", call");
    }
    if let Some(tech) = &facts.tech {
        title.push_str(&format!(", {tech}"));
    }
    screen.filled("", &toned(Tone::Heading, &title), 2)?;
    let place = format!("{file}:{}", facts.line);
    screen.line(&toned(Tone::Faint, &place))?;
    Ok(())
}

/// The lines of the visit, and those of the note's head on which a fact rests.
fn lines<'n>(text: &'n str, facts: &Facts, marks: &[Mark]) -> Vec<NoteLine<'n>> {
    let mut start = 0;
    let mut out = Vec::new();
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let span = start..start + line.len();
        let touches = |other: &Span| other.start < span.end && span.start < other.end;
        if touches(&facts.span) || marks.iter().any(|m| touches(&m.span)) {
            out.push(NoteLine {
                number: number + 1,
                start,
                text: line.trim_end_matches(['\n', '\r']),
            });
        }
        start = span.end;
    }
    while out.last().is_some_and(|l| l.text.trim().is_empty()) {
        out.pop();
    }
    out
}

/// What was understood, in the order of the words; what covers more stands first.
fn marks(facts: &Facts) -> Vec<Mark> {
    let mut out = Vec::new();
    let mut mark = |kind: FactKind, at: usize, span: &Span, meant: Meant, what: String| {
        let corrected = if facts.corrected.holds(kind, at) {
            CORRECTED
        } else {
            ""
        };
        out.push(Mark {
            span: span.clone(),
            label: format!("{}{what}{corrected}", kind.name()),
            meant,
        });
    };
    for (at, fact) in facts.equipment.iter().enumerate() {
        let named = [&fact.label, &fact.maker, &fact.model];
        let named: Vec<&str> = named.into_iter().flatten().map(String::as_str).collect();
        let named = if named.is_empty() {
            String::new()
        } else {
            format!(" ({})", named.join(" "))
        };
        let what = format!(": {}{named}", fact.kind);
        mark(FactKind::Equipment, at, &fact.span, Meant::So, what);
    }
    for (at, fact) in facts.symptoms.iter().enumerate() {
        let (meant, said) = match fact.status {
            SymptomStatus::Present => (Meant::So, ""),
            SymptomStatus::Absent => (Meant::NotSo, ", denied"),
            SymptomStatus::Past => (Meant::NotSo, ", past"),
        };
        let conditions: Vec<&str> = fact.conditions.iter().map(|c| c.as_str()).collect();
        let conditions = if conditions.is_empty() {
            String::new()
        } else {
            format!(" ({})", conditions.join(", "))
        };
        let what = format!("{said}: {}{conditions}", fact.id);
        mark(FactKind::Symptom, at, &fact.span, meant, what);
    }
    for (at, fact) in facts.settings.iter().enumerate() {
        let (meant, said) = match fact.when {
            When::Left => (Meant::So, ""),
            When::Found => (Meant::So, ", found"),
            When::Advised => (Meant::NotSo, ", advised"),
        };
        let what = format!("{said}: {}", measured(fact));
        mark(FactKind::Setting, at, &fact.span, meant, what);
    }
    for (at, fact) in facts.readings.iter().enumerate() {
        let what = format!(": {}", measured(fact));
        mark(FactKind::Reading, at, &fact.span, Meant::So, what);
    }
    for (at, fact) in facts.causes.iter().enumerate() {
        let (meant, said) = match fact.status {
            CauseStatus::Confirmed => (Meant::So, ""),
            CauseStatus::Suspected => (Meant::NotSo, ", suspected"),
            CauseStatus::RuledOut => (Meant::NotSo, ", ruled out"),
        };
        mark(
            FactKind::Cause,
            at,
            &fact.span,
            meant,
            format!("{said}: {}", fact.id),
        );
    }
    for (at, fact) in facts.fixes.iter().enumerate() {
        let (meant, said) = match fact.status {
            FixStatus::Done => (Meant::So, ""),
            FixStatus::Planned => (Meant::NotSo, ", planned"),
            FixStatus::Declined => (Meant::NotSo, ", declined"),
            FixStatus::Earlier => (Meant::NotSo, ", earlier"),
        };
        let what = format!("{said}: {} {}", fact.action, fact.part);
        mark(FactKind::Fix, at, &fact.span, meant, what);
    }
    out.sort_by_key(|m| (m.span.start, std::cmp::Reverse(m.span.end)));
    out
}

fn measured(fact: &QuantityFact) -> String {
    let value = Scalar::from(&fact.value);
    // A text has no unit that a person would read.
    let unit = match value {
        Scalar::Text(_) => "",
        _ => fact.unit.as_str(),
    };
    let state = fact.state.as_deref().unwrap_or_default();
    format!("{} {value} {unit} {state}", fact.id)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

/// The sentences that were left unread, each with its place, and how to say what one means.
fn unread(
    screen: &mut Screen,
    file: &str,
    text: &str,
    facts: &Facts,
    left: &[Span],
) -> Result<(), Failure> {
    let Some(first) = left.first() else {
        return Ok(());
    };
    let line = |span: &Span| line_at(text, span.start);
    let heading = "left unread, and seems to speak of a problem:";
    screen.filled("", &toned(Tone::Caution, heading), 2)?;
    for span in left {
        let words = sentence(text, facts, span);
        let place = toned(Tone::Faint, &format!("line {}", line(span)));
        screen.filled("  ", &format!("{place} \u{201c}{words}\u{201d}"), 4)?;
    }
    screen.filled("", "to say what it means:", 2)?;
    let (place, what) = (
        format!("  padlore correct {file}:{}", line(first)),
        "add symptom ID --words \"\u{2026}\"",
    );
    // A command is to be copied: where it is too long it is broken as a shell breaks it.
    if display_width(&place) + 1 + display_width(what) <= screen.width {
        screen.line(&format!("{place} {what}"))?;
    } else {
        screen.line(&format!("{place} \\"))?;
        screen.line(&format!("    {what}"))?;
    }
    Ok(())
}

/// A sentence on one line, private pieces as dots.
#[must_use]
pub fn sentence(text: &str, facts: &Facts, span: &Span) -> String {
    private::masked(text, span, &facts.private)
        .split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
