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
    !matches!(
        action.as_str(),
        "tested" | "bypassed" | "isolated" | "backwashed" | "dosed" | "topped-up"
    )
}

/// The outcome of a visit.
#[must_use]
pub fn read(
    reading: &Reading<'_>,
    symptoms: &[SymptomFact],
    causes: &[CauseFact],
    fixes: &[FixFact],
) -> Option<Id> {
    let ruled = ruled(reading, symptoms, causes, fixes);
    let decided = reading.decide("outcome", || {
        features(reading, symptoms, causes, fixes, ruled)
    });
    Some(decided.map_or_else(|| Id::from(ruled), |label| Id::from(label.as_str())))
}

/// The outcome as the rules alone say it.
#[must_use]
pub fn ruled(
    reading: &Reading<'_>,
    symptoms: &[SymptomFact],
    causes: &[CauseFact],
    fixes: &[FixFact],
) -> &'static str {
    let said = |id: &str| {
        reading.found.hits.iter().any(|h| match h.means {
            Meaning::Ending(n) => {
                let named = reading
                    .knowledge
                    .lexicon
                    .endings
                    .get(usize::from(n))
                    .is_some_and(|e| *e == id);
                named
                    && !reading
                        .scopes
                        .on_hit(reading.words, h)
                        .any(|c| matches!(c, Cue::Elsewhere | Cue::Past))
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
    let isolated = fixes
        .iter()
        .any(|f| f.status == FixStatus::Done && f.action == "isolated");
    if said("no-fault-found") && !mended {
        "no-fault-found"
    } else if !problem {
        if said("routine") || !mended {
            "routine"
        } else if said("fixed") {
            "fixed"
        } else {
            "routine"
        }
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
    }
}

/// The features that the learned part weighs beside the rules' outcome.
#[must_use]
pub fn features(
    reading: &Reading<'_>,
    symptoms: &[SymptomFact],
    causes: &[CauseFact],
    fixes: &[FixFact],
    ruled: &str,
) -> Vec<String> {
    let mut out = crate::reading::features::of_end(reading);
    out.push("base".to_owned());
    out.push(format!("rule={ruled}"));
    for hit in &reading.found.hits {
        if let Meaning::Ending(n) = hit.means
            && let Some(id) = reading.knowledge.lexicon.endings.get(usize::from(n))
        {
            let cues: Vec<Cue> = reading.scopes.on_hit(reading.words, hit).collect();
            let late = hit.tokens.start * 3 / reading.words.tokens.len().max(1);
            out.push(format!("said={id}"));
            out.push(format!("said={id} third={late}"));
            if cues.contains(&Cue::Denied) {
                out.push(format!("said={id} denied"));
            }
        }
    }
    let present = symptoms
        .iter()
        .filter(|s| s.status == SymptomStatus::Present)
        .count();
    out.push(format!("present={}", present.min(3)));
    let confirmed = causes
        .iter()
        .filter(|c| c.status == CauseStatus::Confirmed)
        .count();
    out.push(format!("confirmed={}", confirmed.min(3)));
    for fix in fixes {
        out.push(format!("fix {} {}", fix.action, fix.status.name()));
        out.push(format!("fix {}", fix.status.name()));
        if fix.status == FixStatus::Done && mends(&fix.action) {
            out.push("mended".to_owned());
        }
    }
    out.sort_unstable();
    out.dedup();
    out
}
