//! What holds for any text whatever: it is read without a panic, read twice it gives the same, and every place that is
//! named cuts the text.

use padlore_core::{
    note::{self, Conventions},
    reading::{self, facts::Facts, question},
    trade::Knowledge,
};
use proptest::prelude::*;
use std::ops::Range;

/// Pieces that notes are made of, and pieces that break readers.
const PIECES: &[&str] = &[
    "pump",
    "heater",
    "filter",
    "salt cell",
    "breaker trips",
    "no",
    "not",
    "never",
    "found",
    "left",
    "if",
    "replaced",
    "psi",
    "rpm",
    "ppm",
    "V",
    "deg",
    "inch",
    "a",
    "and",
    "or",
    "to",
    "one",
    "twenty",
    "hundred",
    "thousand",
    "million",
    "minus",
    "point",
    "half",
    "quarter",
    "past",
    "teen",
    "oh",
    "12",
    "3450",
    "7.4",
    "1/2",
    "2025-06-13",
    "13/6/25",
    "7:30",
    "7:56:30",
    "555-0148",
    "(555) 555-0148",
    "$120",
    "#2",
    "2nd",
    "\u{bd}",
    "\u{b0}F",
    "\u{3a9}",
    "\u{202f}",
    "\u{2014}",
    "\"",
    "'",
    "\u{201c}",
    "*",
    "**",
    "_",
    "`",
    "```",
    "|",
    "|---|",
    "# ",
    "## ",
    "- ",
    "- [ ] ",
    "> ",
    "---",
    "\n",
    "\n\n",
    "\t",
    "  ",
    ".",
    ",",
    ";",
    ":",
    "->",
    "=",
    "/",
    "@",
    "gate code 1234",
    "key under the pot",
    "a@b.de",
    "site: Alder Row",
    "date: 2025-06-13",
    "\u{e9}",
    "\u{65e5}\u{672c}",
    "\u{1f527}",
    "\u{130}",
    "\u{fb01}",
    "\u{301}",
    "\u{0}",
    "\u{feff}",
    "\r\n",
];

/// A text of such pieces, with and without blanks between, or of any characters.
fn any_text() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(PIECES);
    let spaced = prop::collection::vec((piece, any::<bool>()), 0..60).prop_map(|pieces| {
        pieces
            .into_iter()
            .map(|(piece, blank)| format!("{piece}{}", if blank { " " } else { "" }))
            .collect::<String>()
    });
    prop_oneof![4 => spaced, 1 => "\\PC{0,120}", 1 => any::<String>()]
}

/// Every place that the facts name. Facts that no words of their own say have an empty one (a known fault, held by
/// `tests/reading_labels.rs`).
fn places(facts: &Facts) -> Vec<Range<usize>> {
    let mut out = vec![facts.span.clone()];
    out.extend(facts.equipment.iter().map(|f| f.span.clone()));
    out.extend(facts.symptoms.iter().map(|f| f.span.clone()));
    out.extend(facts.settings.iter().map(|f| f.span.clone()));
    out.extend(facts.readings.iter().map(|f| f.span.clone()));
    out.extend(facts.causes.iter().map(|f| f.span.clone()));
    out.extend(facts.fixes.iter().map(|f| f.span.clone()));
    out.extend(facts.private.iter().cloned());
    out.retain(|place| !place.is_empty());
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_laid_out(text in any_text()) {
        let note = note::parse(&text, "2025-06-13-alder-row", &Conventions::default());
        for visit in &note.visits {
            prop_assert!(text.get(visit.span.clone()).is_some());
            for block in &visit.blocks {
                prop_assert!(text.get(block.span.clone()).is_some());
                for piece in block.lines.iter().flatten() {
                    prop_assert!(text.get(piece.clone()).is_some());
                    prop_assert!(block.span.start <= piece.start && piece.end <= block.span.end);
                }
            }
        }
        let again = note::parse(&text, "2025-06-13-alder-row", &Conventions::default());
        prop_assert_eq!(format!("{note:?}"), format!("{again:?}"));
    }

    #[test]
    fn any_text_is_read(text in any_text()) {
        let note = note::parse(&text, "note", &Conventions::default());
        for visit in &note.visits {
            let facts = reading::read(&text, visit, Knowledge::built_in());
            for place in places(&facts) {
                prop_assert!(text.get(place.clone()).is_some(), "{:?}", place);
                prop_assert!(
                    visit.span.start <= place.start && place.end <= visit.span.end,
                    "{:?} lies outside of the visit {:?}", place, visit.span
                );
            }
            let mut end = 0;
            for place in &facts.private {
                prop_assert!(place.start >= end && place.start < place.end, "{:?}", facts.private);
                end = place.end;
            }
            prop_assert_eq!(&facts, &reading::read(&text, visit, Knowledge::built_in()));
        }
    }

    #[test]
    fn any_text_is_a_question(text in any_text()) {
        let asked = question::understand(&text, Knowledge::built_in());
        let symptoms = asked.symptoms.iter().map(|s| &s.span);
        let conditions = asked.conditions.iter().map(|s| &s.span);
        let equipment = asked.equipment.iter().chain(&asked.parts).map(|s| &s.span);
        let quantities = asked.settings.iter().chain(&asked.readings).map(|q| &q.span);
        let causes = asked.causes.iter().map(|s| &s.span);
        let outcomes = asked.outcomes.iter().map(|s| &s.span);
        let stops = asked.stops.iter().map(|s| &s.span);
        let all = symptoms.chain(conditions).chain(equipment).chain(quantities);
        for place in all.chain(causes).chain(outcomes).chain(stops) {
            prop_assert!(text.get(place.clone()).is_some(), "{:?}", place);
        }
        prop_assert_eq!(&asked, &question::understand(&text, Knowledge::built_in()));
    }
}

/// One piece over and over is read to its end: nothing here calls itself once for each word.
#[test]
fn a_long_row_of_one_piece_is_read() {
    for piece in PIECES {
        let text = format!("{piece} ").repeat(2000);
        let note = note::parse(&text, "note", &Conventions::default());
        for visit in &note.visits {
            let facts = reading::read(&text, visit, Knowledge::built_in());
            assert!(
                places(&facts)
                    .iter()
                    .all(|place| text.get(place.clone()).is_some()),
                "{piece:?}"
            );
        }
        let _ = question::understand(&text, Knowledge::built_in());
    }
}
