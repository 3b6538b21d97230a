//! Wordings that mislead: what labelled notes and snippets say of each wording of the tables.
//!
//! Where a wording is found and the text's labels have what it means (in whatever status: denial and time are not a
//! wording's business), it was right, else wrong. A wording that is wrong as often as right is worth a look by a person:
//! it may be too wide, or the labels may be wrong.

use super::{
    learned::spotting::{label, plain},
    matcher::Found,
};
use crate::trade::lexicon::Lexicon;
use rustc_hash::FxHashMap;

/// A wording with how often it was right and wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    /// The wording.
    pub text: String,
    /// What it means.
    pub means: String,
    /// Its table.
    pub file: String,
    /// The line of its entry there.
    pub line: usize,
    /// How often the labels bear it out.
    pub right: usize,
    /// How often they do not.
    pub wrong: usize,
    /// The words of the first text in which it was wrong.
    pub example: String,
}

/// Counts how often each wording is right.
#[derive(Default)]
pub struct Misleading {
    counts: FxHashMap<u32, (usize, usize, String)>,
}

impl Misleading {
    /// Adds a text: what was found in it, the kinds of labels that were given (`symptom:ID`, `cause:ID`, …), and its
    /// words.
    pub fn add(&mut self, found: &Found, lexicon: &Lexicon, labels: &[String], text: &str) {
        for hit in &found.hits {
            let (Some(wording), Some(name)) = (hit.wording, label(plain(hit.means), lexicon))
            else {
                continue;
            };
            // A condition that belongs to no symptom is none: where there is no symptom, nothing is learnt of it.
            let symptoms = labels.iter().any(|l| l.starts_with("symptom:"));
            if name.starts_with("condition:") && !symptoms {
                continue;
            }
            let count = self.counts.entry(wording).or_default();
            if labels.contains(&name) {
                count.0 += 1;
            } else {
                count.1 += 1;
                if count.2.is_empty() {
                    text.clone_into(&mut count.2);
                }
            }
        }
    }

    /// Wordings that are wrong at least `often` times, and in at least `share` (0 to 1) of all, the worst first.
    #[must_use]
    pub fn worst(self, lexicon: &Lexicon, often: usize, share: f64) -> Vec<Judged> {
        let mut out: Vec<Judged> = Vec::new();
        for (number, (right, wrong, example)) in self.counts {
            let Some(pattern) = lexicon.patterns.get(number as usize) else {
                continue;
            };
            if wrong < often || (wrong as f64) < share * (right + wrong) as f64 {
                continue;
            }
            out.push(Judged {
                text: pattern.text.clone(),
                means: label(plain(pattern.means), lexicon).unwrap_or_default(),
                file: lexicon
                    .files
                    .get(usize::from(pattern.file))
                    .cloned()
                    .unwrap_or_default(),
                line: pattern.line as usize,
                right,
                wrong,
                example,
            });
        }
        out.sort_by(|a, b| {
            (b.wrong, &a.file, a.line, &a.text).cmp(&(a.wrong, &b.file, b.line, &b.text))
        });
        out
    }
}
