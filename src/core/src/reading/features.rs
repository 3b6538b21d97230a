//! What the learned part looks at: the rules' own verdict, the cues, and the words around a mention.

use super::{
    learned::spotting,
    lexer::{Kind, Mark},
    matcher::Hit,
    read::Reading,
};
use crate::{note::Layout, trade::lexicon::Cue};

/// Words looked at on each side.
const AROUND: usize = 5;

/// The features of a mention with its id and the rules' verdict.
#[must_use]
pub fn of_hit(reading: &Reading<'_>, hit: &Hit, id: &str, verdict: &str) -> Vec<String> {
    let mut out = vec![
        "base".to_owned(),
        format!("rule={verdict}"),
        format!("id={id}"),
        format!("id={id} rule={verdict}"),
    ];
    let mut cues: Vec<Cue> = reading.scopes.on_hit(reading.words, hit).collect();
    cues.sort_unstable();
    cues.dedup();
    out.extend(cues.iter().map(|c| format!("cue={c:?}")));
    out.push(format!(
        "cues={}",
        cues.iter()
            .map(|c| format!("{c:?}"))
            .collect::<Vec<_>>()
            .join("+")
    ));
    let number = reading.words.sentence_of(hit.tokens.start);
    let heard = reading
        .found
        .heard
        .get(&(number, spotting::plain(hit.means)));
    let sure = heard.map_or(-1.0, |p| (p * 10.0).floor());
    out.push(format!("heard={sure}"));
    out.push(format!("heard={sure} rule={verdict}"));
    let sentence = reading.words.sentences.get(number);
    let range = sentence.map(|s| s.tokens.clone()).unwrap_or_default();
    let word = |at: usize| -> Option<String> {
        let token = reading
            .words
            .tokens
            .get(at)
            .filter(|_| range.contains(&at))?;
        Some(if token.kind == Kind::Word {
            token.text.clone()
        } else {
            "#".to_owned()
        })
    };
    for k in 1..=AROUND {
        if let Some(before) = hit.tokens.start.checked_sub(k).and_then(word) {
            out.push(format!("before {before}"));
            if k == 1 {
                out.push(format!("before1 {before}"));
            }
        }
        if let Some(after) = word(hit.tokens.end + k - 1) {
            out.push(format!("after {after}"));
            if k == 1 {
                out.push(format!("after1 {after}"));
            }
        }
    }
    let inside = hit
        .tokens
        .clone()
        .filter(|t| !hit.names(*t))
        .filter_map(word);
    out.extend(inside.map(|w| format!("inside {w}")));
    let named: Vec<String> = hit
        .tokens
        .clone()
        .filter(|t| hit.names(*t))
        .filter_map(word)
        .collect();
    out.push(format!("said {}", named.join(" ")));
    out.push(format!(
        "gaps={}",
        hit.tokens.len().saturating_sub(named.len()).min(4)
    ));
    let first = reading
        .words
        .tokens
        .get(hit.tokens.start)
        .map_or(Mark::None, |t| t.before);
    out.push(format!("mark={first:?}"));
    if let Some(block) = sentence.and_then(|s| reading.visit.blocks.get(s.block)) {
        out.push(format!("layout={}", layout(&block.layout)));
        if let Some(heading) = block.headings.last() {
            out.extend(
                heading
                    .to_lowercase()
                    .split_whitespace()
                    .take(4)
                    .map(|w| format!("heading {w}")),
            );
        }
    }
    let share = hit.tokens.start * 4 / reading.words.tokens.len().max(1);
    out.push(format!("quarter={share}"));
    out.push(format!("long={}", (range.len() / 12).min(4)));
    out
}

fn layout(layout: &Layout) -> &'static str {
    match layout {
        Layout::Paragraph => "paragraph",
        Layout::Heading(_) => "heading",
        Layout::Item => "item",
        Layout::Task { ticked: true } => "done",
        Layout::Task { ticked: false } => "open",
        Layout::Row { .. } | Layout::Header => "row",
        Layout::Quote => "quote",
        Layout::Code => "code",
    }
}

/// The words of a visit's end, where it says how it ended.
#[must_use]
pub fn of_end(reading: &Reading<'_>) -> Vec<String> {
    const END: usize = 45;
    let tokens = &reading.words.tokens;
    let from = tokens.len().saturating_sub(END);
    let word = |t: &super::lexer::Token| {
        if t.kind == Kind::Word {
            t.text.clone()
        } else {
            "#".to_owned()
        }
    };
    let mut out: Vec<String> = tokens
        .iter()
        .skip(from)
        .map(|t| format!("end {}", word(t)))
        .collect();
    out.extend(
        tokens
            .windows(2)
            .skip(from.saturating_sub(1))
            .filter_map(|w| match w {
                [a, b] if b.before <= Mark::Comma => Some(format!("end2 {} {}", word(a), word(b))),
                _ => None,
            }),
    );
    out.sort_unstable();
    out.dedup();
    out
}
