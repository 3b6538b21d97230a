//! The reader of notes against every example of the CommonMark specification (0.31.2; CC BY-SA 4.0), which
//! `tests/reference/commonmark` holds: no example stops it, its spans cut the text, and the words of its blocks are
//! those that the specification's own HTML shows.

#![allow(clippy::unwrap_used, reason = "a fault in the data fails the test")]

use padlore_core::note::{self, Conventions, blocks};
use serde::Deserialize;
use std::path::Path;

#[derive(Deserialize)]
struct Example {
    example: u32,
    markdown: String,
    html: String,
}

fn examples() -> Vec<Example> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../tests/reference/commonmark/examples.json");
    let examples: Vec<Example> =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(examples.len(), 652);
    examples
}

/// What makes a note of an example: as it is, behind front matter, and as one visit of several.
fn notes(markdown: &str) -> [String; 3] {
    [
        markdown.to_owned(),
        format!("---\nsite: Alder Row 4\ndate: 2025-06-13\n---\n{markdown}"),
        format!("# 2025-06-13\n\nran fine\n\n# 2025-06-20\n\n{markdown}"),
    ]
}

#[test]
fn spans_cut_the_text() {
    for example in examples() {
        for text in notes(&example.markdown) {
            let at = format!("example {}: {text:?}", example.example);
            let note = note::parse(&text, "note", &Conventions::default());
            let mut visit_end = 0;
            for visit in &note.visits {
                assert!(text.get(visit.span.clone()).is_some(), "{at}");
                assert!(visit.span.start >= visit_end, "{at}: visits overlap");
                visit_end = visit.span.end;
                for block in &visit.blocks {
                    assert!(text.get(block.span.clone()).is_some(), "{at}");
                    let inside =
                        visit.span.start <= block.span.start && block.span.end <= visit.span.end;
                    assert!(inside, "{at}: a block outside of its visit");
                    let mut end = block.span.start;
                    for piece in block.lines.iter().flatten() {
                        let cut = text.get(piece.clone());
                        assert!(cut.is_some_and(|c| !c.is_empty()), "{at}: {piece:?}");
                        assert!(
                            !cut.unwrap_or_default().contains('\n'),
                            "{at}: {piece:?} runs on"
                        );
                        assert!(piece.start >= end, "{at}: pieces overlap or go back");
                        end = piece.end;
                    }
                    assert!(end <= block.span.end, "{at}: a piece outside of its block");
                }
            }
        }
    }
}

/// The letters and figures that HTML shows.
fn shown(html: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            _ if !inside => out.push(c),
            _ => {}
        }
    }
    let entities = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&amp;", "&"),
    ];
    for (entity, meant) in entities {
        out = out.replace(entity, meant);
    }
    out.chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Examples of what a note keeps as it is written: raw HTML, entities and escapes; and pictures, whose text HTML hides.
fn kept_as_written(markdown: &str) -> bool {
    ["<", "&", "\\", "!["]
        .iter()
        .any(|mark| markdown.contains(mark))
}

#[test]
fn blocks_hold_the_text_that_the_specification_shows() {
    let mut compared = 0;
    let mut wrong = Vec::new();
    for example in examples() {
        if kept_as_written(&example.markdown) {
            continue;
        }
        compared += 1;
        let text: String = blocks::blocks(&example.markdown, 0)
            .iter()
            .map(|b| b.text(&example.markdown))
            .collect();
        let text: String = text.chars().filter(|c| c.is_alphanumeric()).collect();
        if text != shown(&example.html) {
            wrong.push(format!(
                "{}: {text:?}, not {:?}",
                example.example,
                shown(&example.html)
            ));
        }
    }
    assert!(compared > 400, "only {compared} examples are compared");
    assert!(
        wrong.is_empty(),
        "{} of {compared}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
