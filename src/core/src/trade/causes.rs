//! Causes, checks and measured evidence, as the diagnosis uses them.

use super::{Hazard, Who, vocabulary::Id};
use rustc_hash::FxHashMap;

/// Why something fails, with what it makes and how it is mended.
#[derive(Clone, Debug)]
pub struct Cause {
    /// Its id.
    pub id: Id,
    /// Plain English that ends "likely because …".
    pub name: String,
    /// How it makes its symptoms.
    pub why: String,
    /// Share among problem visits where its equipment stands, in (0, 1).
    pub prior: f64,
    /// How many of the shop's jobs the prior is worth.
    pub weight: f64,
    /// Each entry needs one of its kinds at hand.
    pub needs: Vec<Vec<Id>>,
    /// Hazard of the work.
    pub hazard: Hazard,
    /// Caution for a person.
    pub caution: String,
    /// How it is mended.
    pub mends: Vec<Mend>,
    /// Parts and tools to take along.
    pub take: Vec<String>,
    /// Where the numbers come from.
    pub source: String,
    /// P(symptom | cause), in (0, 1).
    pub makes: FxHashMap<Id, f64>,
    /// Likelihood ratio of each condition.
    pub when: FxHashMap<Id, f64>,
    /// The file and line of the entry.
    pub place: (String, usize),
}

/// A mend: an action on a part.
#[derive(Clone, Debug)]
pub struct Mend {
    /// Id of `[action]`.
    pub action: Id,
    /// Id of `[part]` or `[equipment]`.
    pub part: Id,
    /// What to do.
    pub text: String,
}

/// Likelihood ratios of one piece of evidence.
#[derive(Clone, Debug, Default)]
pub struct Speaks {
    /// For each cause that is named.
    pub causes: FxHashMap<Id, f64>,
    /// For every other cause, and for "something else".
    pub other: f64,
}

/// Something to look at or measure, or an observation that people write.
#[derive(Clone, Debug)]
pub struct Check {
    /// Its id.
    pub id: Id,
    /// What to do.
    pub text: String,
    /// With what.
    pub tool: String,
    /// Minutes it takes.
    pub minutes: f64,
    /// Its hazard.
    pub hazard: Hazard,
    /// Who may do it.
    pub who: Who,
    /// Equipment it needs, as for a cause.
    pub needs: Vec<Vec<Id>>,
    /// Symptoms for which it is worth asking; empty means any that its causes make.
    pub symptoms: Vec<Id>,
    /// Caution of its own.
    pub caution: String,
    /// Whether a person would be sent to do it.
    pub ask: bool,
    /// Expected value of a measurement.
    pub expected: String,
    /// Where it comes from.
    pub source: String,
    /// What may be seen.
    pub outcomes: Vec<Outcome>,
    /// The file and line of the entry.
    pub place: (String, usize),
}

/// One outcome of a check.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Its id, unique in the check.
    pub id: String,
    /// What is seen.
    pub text: String,
    /// What it speaks for.
    pub speaks: Speaks,
}

/// When measured evidence counts.
#[derive(Clone, Debug, Default)]
pub struct Only {
    /// With one of these symptoms present; empty means always.
    pub symptoms: Vec<Id>,
    /// Where one of these kinds is spoken of; empty means always.
    pub equipment: Vec<Id>,
}

/// A band of a measured or set value.
#[derive(Clone, Debug)]
pub struct Band {
    /// Id of `[reading]` or `[setting]`.
    pub of: Id,
    /// What it means.
    pub name: String,
    /// Least value, in the band, in the vocabulary's unit.
    pub above: f64,
    /// Greatest value, not in the band.
    pub below: f64,
    /// When it counts.
    pub only: Only,
    /// What it speaks for.
    pub speaks: Speaks,
    /// Where it comes from.
    pub source: String,
    /// The file and line of the entry.
    pub place: (String, usize),
}

/// How two values stand to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Relation {
    /// No further apart than the margin.
    Near,
    /// The first is greater by more than the margin.
    Above,
    /// The first is less by more than the margin.
    Below,
    /// Of two values of one quantity the later is less by more than the margin.
    Drop,
}

/// The margin of a comparison.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Margin {
    /// A share of the second value.
    Share(f64),
    /// An amount in the vocabulary's unit.
    By(f64),
}

/// Two values against each other.
#[derive(Clone, Debug)]
pub struct Compare {
    /// The first value.
    pub a: Id,
    /// The second.
    pub b: Id,
    /// How they stand.
    pub relation: Relation,
    /// By how much.
    pub margin: Margin,
    /// What it means.
    pub name: String,
    /// When it counts.
    pub only: Only,
    /// What it speaks for.
    pub speaks: Speaks,
    /// Where it comes from.
    pub source: String,
    /// The file and line of the entry.
    pub place: (String, usize),
}

/// A danger that is answered before any ranking.
#[derive(Clone, Debug)]
pub struct Stop {
    /// Its name.
    pub id: Id,
    /// The hazard.
    pub hazard: Hazard,
    /// Symptoms that mean it.
    pub symptoms: Vec<Id>,
    /// What a responsible foreman answers.
    pub text: String,
    /// Where that comes from.
    pub source: String,
}
