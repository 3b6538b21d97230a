//! How the visit ended.

use crate::{
    reading::{
        facts::{CauseFact, CauseStatus, FixFact, FixStatus, SymptomFact, SymptomStatus},
        read::Reading,
    },
    trade::{
        lexicon::{Cue, Meaning},
        vocabulary::Id,
    },
};

/// Fixes that mend nothing.
fn mends(action: &Id) -> bool {
    !matches!(action.as_str(), "tested" | "bypassed" | "isolated" | "backwashed" | "dosed" | "topped-up")
}

/// The outcome of a visit.
#[must_use]
pub fn read(reading: &Reading<'_>, symptoms: &[SymptomFact], causes: &[CauseFact], fixes: &[FixFact]) -> Option<Id> {
    let said = |id: &str| {
        reading.found.hits.iter().any(|h| match h.means {
            Meaning::Ending(n) => {
                let named = reading.knowledge.lexicon.endings.get(usize::from(n)).is_some_and(|e| *e == id);
                named && !reading.scopes.on_hit(reading.words, h).any(|c| matches!(c, Cue::Elsewhere | Cue::Past))
            }
            _ => false,
        })
    };
    let problem = symptoms.iter().any(|s| s.status == SymptomStatus::Present)
        || causes.iter().any(|c| c.status == CauseStatus::Confirmed);
    let done = |f: &FixFact| f.status == FixStatus::Done && mends(&f.action);
    let mended = fixes.iter().any(done);
    let planned = fixes.iter().any(|f| f.status == FixStatus::Planned);
    let declined = fixes.iter().any(|f| f.status == FixStatus::Declined);
    let isolated = fixes.iter().any(|f| f.status == FixStatus::Done && f.action == "isolated");
    let id = if said("no-fault-found") && !mended {
        "no-fault-found"
    } else if !problem {
        if said("routine") || !mended { "routine" } else if said("fixed") { "fixed" } else { "routine" }
    } else if said("referred") && (!mended || isolated) {
        "referred"
    } else if said("temporary") {
        "temporary"
    } else if (said("declined") || declined) && !mended {
        "declined"
    } else if said("parts-ordered") && !mended {
        "parts-ordered"
    } else if said("return-visit") && !mended {
        "return-visit"
    } else if said("monitoring") {
        "monitoring"
    } else if mended {
        "fixed"
    } else if said("parts-ordered") {
        "parts-ordered"
    } else if said("return-visit") || planned {
        "return-visit"
    } else if said("fixed") {
        "fixed"
    } else if said("referred") {
        "referred"
    } else if fixes.iter().any(|f| f.status == FixStatus::Done) {
        "fixed"
    } else {
        "monitoring"
    };
    Some(Id::from(id))
}
