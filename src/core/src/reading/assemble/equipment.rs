//! Which kinds of equipment are at hand.
//!
//! A kind counts once, at its first mention that is not about another site, a wish, a quote for something new or
//! something expressly not there. A thing of unstated kind ("the heater") is the one kind of its sort that the visit
//! names elsewhere or that a part speaks for; where nothing settles it, it is left out.

use crate::{
    reading::{facts::EquipmentFact, matcher::ThingMention, read::Reading},
    trade::{
        lexicon::{Cue, Sort},
        vocabulary::Id,
    },
};

/// The kinds of equipment of a visit, in order of their first mention.
#[must_use]
pub fn read(reading: &Reading<'_>) -> Vec<EquipmentFact> {
    let mut out: Vec<EquipmentFact> = Vec::new();
    for mention in &reading.found.things {
        if set_aside(reading, mention) {
            continue;
        }
        for kind in kinds(reading, mention) {
            if !out.iter().any(|e| e.kind == kind) {
                let span = reading.words.bytes(&mention.tokens);
                out.push(EquipmentFact {
                    kind,
                    label: None,
                    maker: None,
                    model: None,
                    span,
                });
            }
        }
    }
    out
}

/// The kind that a mention is of, if it is settled; for a part, the kinds that it speaks for.
#[must_use]
pub fn kinds(reading: &Reading<'_>, mention: &ThingMention) -> Vec<Id> {
    let Some(thing) = reading
        .knowledge
        .lexicon
        .things
        .get(usize::from(mention.thing))
    else {
        return Vec::new();
    };
    match &thing.sort {
        Sort::Equipment => vec![thing.id.clone()],
        Sort::Part(tells) => match tells.as_slice() {
            [one] => vec![one.clone()],
            _ => Vec::new(),
        },
        Sort::Unstated(choices) => settled(reading, choices).into_iter().collect(),
    }
}

/// The one of several kinds that the visit settles on.
#[must_use]
pub fn settled(reading: &Reading<'_>, choices: &[Id]) -> Option<Id> {
    let things = &reading.knowledge.lexicon.things;
    let mut named: Vec<&Id> = Vec::new();
    for mention in &reading.found.things {
        let Some(thing) = things.get(usize::from(mention.thing)) else {
            continue;
        };
        let told: Vec<&Id> = match &thing.sort {
            Sort::Equipment => vec![&thing.id],
            Sort::Part(tells) => tells.iter().collect(),
            Sort::Unstated(_) => continue,
        };
        for kind in told {
            if choices.contains(kind) && !named.contains(&kind) && !set_aside(reading, mention) {
                named.push(kind);
            }
        }
    }
    if let [one] = named.as_slice() {
        return Some((*one).clone());
    }
    // The gas that a heater burns says what heater it is.
    let gas = choices.iter().find(|k| **k == "gas-heater")?;
    let burns = reading.words.tokens.iter().any(|t| {
        matches!(
            t.text.as_str(),
            "propane" | "lpg" | "inwc" | "burner" | "burners" | "pilot" | "manifold"
        )
    }) || reading
        .words
        .tokens
        .windows(2)
        .any(|w| w[0].text == "natural" && w[1].text == "gas");
    (named.is_empty() && burns).then(|| gas.clone())
}

fn set_aside(reading: &Reading<'_>, mention: &ThingMention) -> bool {
    let mut denied = false;
    for cue in reading.scopes.on(reading.words, mention.tokens.clone()) {
        match cue {
            Cue::Elsewhere | Cue::Wish => return true,
            Cue::Denied => denied = true,
            _ => {}
        }
    }
    denied && absent(reading, mention)
}

/// Whether a denial right before the mention denies the thing itself ("there is no blower"), not what it does.
fn absent(reading: &Reading<'_>, mention: &ThingMention) -> bool {
    let before = |k: usize| {
        mention
            .tokens
            .start
            .checked_sub(k)
            .and_then(|t| reading.words.tokens.get(t))
            .map(|t| t.text.as_str())
    };
    let no = matches!(before(1), Some("no" | "without"));
    let there = matches!(
        before(2),
        Some("is" | "has" | "got" | "theres" | "have" | "with" | "are" | "was")
    );
    no && there
}
