//! The tables as they stand in the files: shapes for serde that refuse unknown keys.
//!
//! What the keys mean is told in `kb/README`-like comments at the head of each table and in [`super`]. Ids are kept
//! with their place in the file, so that a fault in an entry can be shown with its line.

use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

/// A table keyed by id.
pub type ById<T> = BTreeMap<Spanned<String>, T>;

/// Wordings of a thing, class, condition or outcome.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Say {
    /// Wordings.
    #[serde(default)]
    pub say: Vec<String>,
    /// Wordings that look like it and are not.
    #[serde(default)]
    pub not: Vec<String>,
    /// For a thing of unstated kind: the kinds it may be.
    #[serde(default)]
    pub one_of: Vec<String>,
    /// Kinds of equipment that a mention of this part speaks for.
    #[serde(default)]
    pub tells: Vec<String>,
    /// For a symptom: wordings that say that it is not there.
    #[serde(default)]
    pub absent: Vec<String>,
    /// For a symptom: the equipment it belongs to.
    #[serde(default)]
    pub on: Option<String>,
    /// For a cause: wordings that say that it was looked at and is not it.
    #[serde(default)]
    pub cleared: Vec<String>,
    /// For a cause: wordings that show the state of the part and mean the cause only where a symptom is open.
    #[serde(default)]
    pub found: Vec<String>,
}

/// A quantity: a setting or a reading with the words that name it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Quantity {
    /// Wordings that name it.
    #[serde(default)]
    pub say: Vec<String>,
    /// Units it is written in, the vocabulary's first; empty for text.
    #[serde(default)]
    pub units: Vec<String>,
    /// The unit taken where none is written.
    #[serde(default)]
    pub unit: Option<String>,
    /// Units that by themselves mean this quantity (mA is a leakage current).
    #[serde(default)]
    pub own: Vec<String>,
    /// Least sensible value in the vocabulary's unit.
    #[serde(default)]
    pub least: Option<f64>,
    /// Greatest sensible value.
    #[serde(default)]
    pub most: Option<f64>,
    /// What a change of it is a fix of.
    #[serde(default)]
    pub adjusts: Option<String>,
}

/// Words by which a sentence seems to speak of a problem.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trouble {
    /// Plain words, several in a row where one says too much.
    #[serde(default)]
    pub words: Vec<Spanned<String>>,
    /// Rows of words that look like trouble and are none.
    #[serde(default)]
    pub not: Vec<Spanned<String>>,
}

/// An action's wordings.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Action {
    /// Wordings; `{*}` marks the object.
    #[serde(default)]
    pub say: Vec<String>,
    /// Wordings that look like it and are not.
    #[serde(default)]
    pub not: Vec<String>,
    /// The part meant where none is named.
    #[serde(default)]
    pub default: Option<String>,
    /// The only parts it can be done to; empty means any.
    #[serde(default)]
    pub only: Vec<String>,
}

/// A cause's entry.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CauseFile {
    /// The entries.
    #[serde(default)]
    pub cause: Vec<Cause>,
}

/// One cause.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cause {
    /// Its id.
    pub id: Spanned<String>,
    /// Plain English that ends the sentence "likely because …".
    pub name: String,
    /// How it makes its symptoms.
    #[serde(default)]
    pub why: String,
    /// Share among problem visits where its equipment stands.
    pub prior: f64,
    /// How many of the shop's jobs the prior is worth.
    #[serde(default = "default_weight")]
    pub weight: f64,
    /// Equipment of which each entry needs one kind (`a|b`).
    #[serde(default)]
    pub needs: Vec<String>,
    /// Hazard of the work.
    #[serde(default = "no_hazard")]
    pub hazard: String,
    /// Caution.
    #[serde(default)]
    pub caution: String,
    /// How it is mended.
    #[serde(default)]
    pub mend: Vec<Mend>,
    /// Parts and tools to take along.
    #[serde(default)]
    pub take: Vec<String>,
    /// Where the entry's numbers come from.
    #[serde(default)]
    pub source: String,
    /// Strength for each symptom.
    #[serde(default)]
    pub makes: BTreeMap<String, f64>,
    /// Likelihood ratio of each condition.
    #[serde(default)]
    pub when: BTreeMap<String, f64>,
}

fn default_weight() -> f64 {
    30.0
}

fn no_hazard() -> String {
    "none".to_owned()
}

/// One mend of a cause.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mend {
    /// Id of `[action]`.
    pub action: String,
    /// Id of `[part]` or `[equipment]`.
    pub part: String,
    /// What to do, for a person.
    #[serde(default)]
    pub text: String,
}

/// A file of checks.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckFile {
    /// The entries.
    #[serde(default)]
    pub check: Vec<Check>,
}

/// One check.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Its id.
    pub id: Spanned<String>,
    /// What to do.
    #[serde(default)]
    pub text: String,
    /// With what.
    #[serde(default)]
    pub tool: String,
    /// Minutes it takes.
    #[serde(default = "ten_minutes")]
    pub minutes: f64,
    /// Its hazard.
    #[serde(default = "no_hazard")]
    pub hazard: String,
    /// Who may do it.
    #[serde(default = "anyone")]
    pub who: String,
    /// Equipment it needs, as for a cause.
    #[serde(default)]
    pub needs: Vec<String>,
    /// Symptoms for which it is worth asking.
    #[serde(default, rename = "for")]
    pub symptoms: Vec<String>,
    /// Caution, where the hazard's own does not say enough.
    #[serde(default)]
    pub caution: String,
    /// Whether a person would be sent to do it.
    #[serde(default = "asked")]
    pub ask: bool,
    /// Expected value, where it is a measurement.
    #[serde(default)]
    pub expected: String,
    /// Where it comes from.
    #[serde(default)]
    pub source: String,
    /// What may be seen.
    #[serde(default)]
    pub outcome: Vec<CheckOutcome>,
}

fn ten_minutes() -> f64 {
    10.0
}

fn anyone() -> String {
    "anyone".to_owned()
}

fn asked() -> bool {
    true
}

/// One outcome of a check.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckOutcome {
    /// Its id, unique in the check.
    pub id: String,
    /// What is seen.
    #[serde(default)]
    pub text: String,
    /// How a person writes that it was seen.
    #[serde(default)]
    pub say: Vec<String>,
    /// Likelihood ratio for each cause.
    #[serde(default)]
    pub speaks: BTreeMap<String, f64>,
    /// Likelihood ratio for causes not named.
    #[serde(default = "one", rename = "else")]
    pub other: f64,
}

fn one() -> f64 {
    1.0
}

/// A file of measured evidence.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BandFile {
    /// Values by band.
    #[serde(default)]
    pub band: Vec<Band>,
    /// Values against each other.
    #[serde(default)]
    pub compare: Vec<Compare>,
}

/// A band of a measured or set value.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Id of `[reading]` or `[setting]`.
    #[serde(alias = "setting")]
    pub reading: Spanned<String>,
    /// What it means, for a person.
    pub name: String,
    /// Least value, in the band.
    #[serde(default)]
    pub above: Option<f64>,
    /// Greatest value, not in the band.
    #[serde(default)]
    pub below: Option<f64>,
    /// Only with one of these symptoms.
    #[serde(default, rename = "for")]
    pub symptoms: Vec<String>,
    /// Only where one of these kinds is spoken of.
    #[serde(default)]
    pub equipment: Vec<String>,
    /// Likelihood ratio for each cause.
    #[serde(default)]
    pub speaks: BTreeMap<String, f64>,
    /// Likelihood ratio for causes not named.
    #[serde(default = "one", rename = "else")]
    pub other: f64,
    /// Where it comes from.
    #[serde(default)]
    pub source: String,
}

/// Two values against each other.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Compare {
    /// First value's id.
    pub a: Spanned<String>,
    /// Second value's id.
    pub b: String,
    /// `near`, `above`, `below` or `drop`.
    pub relation: String,
    /// As a share of the second.
    #[serde(default)]
    pub within: Option<f64>,
    /// Absolute, in the unit.
    #[serde(default)]
    pub by: Option<f64>,
    /// What it means, for a person.
    pub name: String,
    /// Only with one of these symptoms.
    #[serde(default, rename = "for")]
    pub symptoms: Vec<String>,
    /// Only where one of these kinds is spoken of.
    #[serde(default)]
    pub equipment: Vec<String>,
    /// Likelihood ratio for each cause.
    #[serde(default)]
    pub speaks: BTreeMap<String, f64>,
    /// Likelihood ratio for causes not named.
    #[serde(default = "one", rename = "else")]
    pub other: f64,
    /// Where it comes from.
    #[serde(default)]
    pub source: String,
}

/// Words that change what a mention means.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cue {
    /// Wordings that act on what follows.
    #[serde(default)]
    pub before: Vec<String>,
    /// Wordings that act on what stands before.
    #[serde(default)]
    pub after: Vec<String>,
    /// Wordings that act on the whole sentence.
    #[serde(default)]
    pub around: Vec<String>,
    /// Wordings that contain a cue's words and are none.
    #[serde(default)]
    pub not: Vec<String>,
    /// Words at which its reach ends, besides the end of the sentence.
    #[serde(default)]
    pub ends: Vec<String>,
    /// Headings under which it holds.
    #[serde(default)]
    pub headings: Vec<String>,
    /// Words that it reaches.
    #[serde(default)]
    pub reach: Option<u8>,
}

/// Spellings.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Spelling {
    /// Words or sequences read as others, everywhere.
    #[serde(default)]
    pub read: BTreeMap<String, String>,
    /// Sequences that a telephone heard, read as others.
    #[serde(default)]
    pub heard: BTreeMap<String, String>,
    /// Words heard for numbers.
    #[serde(default)]
    pub heard_number: BTreeMap<String, f64>,
    /// Ordinary words that are never taken for a misspelt trade word.
    #[serde(default)]
    pub ordinary: Vec<String>,
}

/// What must stop work.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StopFile {
    /// The entries.
    #[serde(default)]
    pub stop: Vec<Stop>,
    /// The usual caution of each hazard.
    #[serde(default)]
    pub caution: BTreeMap<String, String>,
}

/// One danger that is answered before any ranking.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stop {
    /// Its name.
    pub id: Spanned<String>,
    /// The hazard.
    pub hazard: String,
    /// Symptoms that mean it.
    #[serde(default)]
    pub symptoms: Vec<String>,
    /// Wordings that mean it.
    #[serde(default)]
    pub say: Vec<String>,
    /// Wordings that look like it and are not.
    #[serde(default)]
    pub not: Vec<String>,
    /// What a responsible foreman answers.
    pub text: String,
    /// Where that comes from.
    #[serde(default)]
    pub source: String,
}

/// A symptom that two values of one visit show.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shown {
    /// The value that shows it.
    pub value: String,
    /// The value that it is set against.
    pub against: String,
    /// `above`, `below` or `apart`.
    pub relation: String,
    /// Least difference as a share of the second.
    #[serde(default)]
    pub share: Option<f64>,
    /// Least difference in the unit.
    #[serde(default)]
    pub by: Option<f64>,
}
