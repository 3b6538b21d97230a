//! Any text as a note and as a question: it is read without a panic, and every place that is named cuts it.

#![no_main]

use libfuzzer_sys::fuzz_target;
use padlore_core::{
    note::{self, Conventions},
    reading::{self, question},
    trade::Knowledge,
};

fuzz_target!(|text: &str| {
    let knowledge = Knowledge::built_in();
    let note = note::parse(text, "2025-06-13-alder-row", &Conventions::default());
    for visit in &note.visits {
        let facts = reading::read(text, visit, knowledge);
        let settings = facts.settings.iter().map(|f| &f.span);
        let readings = facts.readings.iter().map(|f| &f.span);
        let symptoms = facts.symptoms.iter().map(|f| &f.span);
        let causes = facts.causes.iter().map(|f| &f.span);
        let fixes = facts.fixes.iter().map(|f| &f.span);
        let places = settings
            .chain(readings)
            .chain(symptoms)
            .chain(causes)
            .chain(fixes);
        for place in places.chain(&facts.private) {
            assert!(
                text.get(place.clone()).is_some(),
                "{place:?} does not cut the text"
            );
        }
    }
    let _ = question::understand(text, knowledge);
});
