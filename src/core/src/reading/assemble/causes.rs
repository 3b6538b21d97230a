//! Causes: what is said to explain a symptom, and what was looked at and is not it.

use crate::{
    reading::{
        facts::{CauseFact, CauseStatus, FixFact, FixStatus, SymptomFact, SymptomStatus},
        matcher::Hit,
        read::Reading,
    },
    trade::{
        lexicon::{Cue, Meaning, Spoken},
        vocabulary::Id,
    },
};

/// The causes of a visit, one entry a cause.
#[must_use]
pub fn read(reading: &Reading<'_>, symptoms: &[SymptomFact], fixes: &[FixFact]) -> Vec<CauseFact> {
    let mut out: Vec<CauseFact> = Vec::new();
    let ids = &reading.knowledge.lexicon.causes;
    for hit in &reading.found.hits {
        let Meaning::Cause(number, spoken) = hit.means else {
            continue;
        };
        let Some(id) = ids.get(usize::from(number)) else {
            continue;
        };
        let ruled = status(reading, hit, spoken);
        let decided = reading.decide("cause", || features(reading, hit, id, spoken, ruled));
        if let Some(status) = decided.map_or(ruled, |label| CauseStatus::named(&label)) {
            note(&mut out, id, status, reading.words.bytes(&hit.tokens));
        }
    }
    borne_out(reading, symptoms, fixes, &mut out);
    out
}

/// The features of a mention of a cause.
#[must_use]
pub fn features(
    reading: &Reading<'_>,
    hit: &Hit,
    id: &Id,
    spoken: Spoken,
    ruled: Option<CauseStatus>,
) -> Vec<String> {
    let verdict = ruled.map_or("none", CauseStatus::name);
    let mut out = crate::reading::features::of_hit(reading, hit, id.as_str(), verdict);
    out.push(format!("spoken={spoken:?}"));
    out.push(format!("spoken={spoken:?} rule={verdict}"));
    out
}

/// What a mention says of the cause; `None` where it is no fact of this visit.
#[must_use]
pub fn status(reading: &Reading<'_>, hit: &Hit, spoken: Spoken) -> Option<CauseStatus> {
    let (mut denied, mut doubted) = (spoken == Spoken::Cleared, false);
    for cue in reading.scopes.on_hit(reading.words, hit) {
        match cue {
            Cue::Elsewhere | Cue::Wish | Cue::Past | Cue::Earlier => return None,
            Cue::Denied | Cue::Good if spoken != Spoken::Cleared => denied = true,
            Cue::Denied => return None,
            Cue::Possible => doubted = true,
            Cue::Planned | Cue::Declined if spoken == Spoken::Cleared => return None,
            _ => {}
        }
    }
    Some(match (denied, doubted) {
        (true, _) => CauseStatus::RuledOut,
        (false, true) => CauseStatus::Suspected,
        (false, false) => CauseStatus::Confirmed,
    })
}

/// Adds what one mention says; a later finding outweighs an earlier doubt, and what was confirmed stays so.
fn note(out: &mut Vec<CauseFact>, id: &Id, status: CauseStatus, span: std::ops::Range<usize>) {
    match out.iter_mut().find(|c| c.id == *id) {
        Some(known) => {
            let outweighs = matches!(
                (known.status, status),
                (
                    CauseStatus::Suspected,
                    CauseStatus::Confirmed | CauseStatus::RuledOut
                )
            );
            if outweighs {
                known.status = status;
                known.span = span;
            }
        }
        None => out.push(CauseFact {
            id: id.clone(),
            status,
            span,
        }),
    }
}

/// A fix that was done and no cause named: the cause whose mend it is and that makes a symptom of the visit.
fn borne_out(
    reading: &Reading<'_>,
    symptoms: &[SymptomFact],
    fixes: &[FixFact],
    out: &mut Vec<CauseFact>,
) {
    for fix in fixes.iter().filter(|f| f.status == FixStatus::Done) {
        let mended = |c: &&crate::trade::causes::Cause| {
            c.mends
                .iter()
                .any(|m| m.part == fix.part && m.action == fix.action)
        };
        let makes = |c: &crate::trade::causes::Cause| {
            let present = symptoms
                .iter()
                .filter(|s| s.status == SymptomStatus::Present);
            present
                .filter_map(|s| c.makes.get(&s.id))
                .fold(0.0_f64, |a, b| a.max(*b))
        };
        let candidates: Vec<_> = reading
            .knowledge
            .causes
            .iter()
            .filter(mended)
            .filter(|c| makes(c) >= 0.3)
            .collect();
        if candidates.iter().any(|c| out.iter().any(|o| o.id == c.id)) {
            continue;
        }
        if let [cause] = candidates.as_slice() {
            note(out, &cause.id, CauseStatus::Confirmed, fix.span.clone());
        }
    }
}
