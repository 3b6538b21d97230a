//! The answer of `suspect` as JSON.

use serde::Serialize;

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct Answer {
    /// The number of the shapes.
    pub schema: u32,
    /// What was understood.
    pub understood: Understood,
    /// What must stop work.
    pub stop: Option<Danger>,
    /// Likely causes.
    pub causes: Vec<Cause>,
    /// Probability that it is none of the tables' causes.
    pub something_else: f64,
    /// The next checks, best first.
    pub checks: Vec<Check>,
    /// What to have in the van.
    pub take_along: Vec<Take>,
    /// Cautions.
    pub cautions: Vec<Danger>,
    /// Past jobs like this one.
    pub past_jobs: Vec<super::find::JobHit>,
}

/// What was understood from the words.
#[derive(Debug, Serialize)]
pub struct Understood {
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// Ids of conditions.
    pub conditions: Vec<String>,
    /// Kinds of equipment.
    pub equipment: Vec<String>,
    /// Readings.
    pub readings: Vec<Reading>,
    /// Checks that the words say were made.
    pub found: Vec<Found>,
    /// Causes that the words name.
    pub causes: Vec<Named>,
    /// Words that nothing understood.
    pub unknown: Vec<String>,
}

/// A symptom as understood.
#[derive(Debug, Serialize)]
pub struct Symptom {
    /// Its id.
    pub id: String,
    /// `present`, `absent` or `past`.
    pub status: &'static str,
    /// The words.
    pub text: String,
}

/// A reading as understood.
#[derive(Debug, Serialize)]
pub struct Reading {
    /// Its id.
    pub id: String,
    /// Its value.
    pub value: super::facts::Scalar,
    /// The vocabulary's unit.
    pub unit: String,
}

/// A check made.
#[derive(Debug, Serialize)]
pub struct Found {
    /// The check.
    pub check: String,
    /// Its outcome.
    pub outcome: String,
}

/// A cause named.
#[derive(Debug, Serialize)]
pub struct Named {
    /// The cause.
    pub id: String,
    /// What was said of it.
    pub status: &'static str,
}

/// A hazard with words.
#[derive(Debug, Serialize)]
pub struct Danger {
    /// The hazard.
    pub hazard: &'static str,
    /// What to do.
    pub text: String,
}

/// A likely cause.
#[derive(Debug, Serialize)]
pub struct Cause {
    /// Its id.
    pub id: String,
    /// Plain English.
    pub name: String,
    /// Its probability.
    pub probability: f64,
    /// What moved it.
    pub because: Vec<Because>,
    /// The shop's own jobs that count for it.
    pub jobs: usize,
}

/// A piece of evidence.
#[derive(Debug, Serialize)]
pub struct Because {
    /// In words.
    pub evidence: String,
    /// Log odds of the cause with it, less without it.
    pub log_odds: f64,
}

/// A check to make.
#[derive(Debug, Serialize)]
pub struct Check {
    /// Its id.
    pub id: String,
    /// What to do.
    pub text: String,
    /// With what.
    pub tool: String,
    /// Minutes.
    pub minutes: f64,
    /// Its hazard.
    pub hazard: &'static str,
    /// Who may do it.
    pub who: &'static str,
    /// What may be seen.
    pub outcomes: Vec<Outcome>,
    /// Causes that it tells apart.
    pub tells_apart: Vec<String>,
    /// Expected value of a measurement.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub expected: String,
    /// Minutes that it is expected to save.
    pub saves_minutes: f64,
}

/// An outcome of a check.
#[derive(Debug, Serialize)]
pub struct Outcome {
    /// Its id.
    pub id: String,
    /// What is seen.
    pub text: String,
    /// How likely it is.
    pub probability: f64,
}

/// Something for the van.
#[derive(Debug, Serialize)]
pub struct Take {
    /// What.
    pub what: String,
    /// For which causes.
    #[serde(rename = "for")]
    pub causes: Vec<String>,
}
