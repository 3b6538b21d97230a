//! Past jobs, best first: by what is meant and by the words used.
//!
//! [`Wanted`] is a question as read; [`Asked::score`] says how much of it a past visit answers, from 0 to 1, so that scores of
//! different questions can be compared, and why. Facts (the same symptom, cause, condition, equipment, fix) and words
//! (BM25's saturation and inverse document frequency, Robertson and Walker 1994) share one sum. The index is not known
//! here: how often a word stands in the collection comes in as a value.

mod excerpt;
mod wanted;

pub use excerpt::{Excerpt, excerpt};
pub use wanted::{Wanted, Word, stem, words_of};

/// BM25's saturation and length normalisation (Robertson and Zaragoza 2009, the usual values).
const K1: f64 = 1.2;
const B: f64 = 0.75;

/// Weight of a fact in the sum, beside words that weigh their inverse document frequency (about 1 to 6).
const SYMPTOM: f64 = 5.0;
/// Of a symptom that is only heard in the question's words: it may be another.
const GUESSED: f64 = 2.0;
const CAUSE: f64 = 5.0;
const PART: f64 = 2.0;
const EQUIPMENT: f64 = 1.6;
const CONDITION: f64 = 2.0;
const FIX: f64 = 1.5;
/// A word of the same root ("flap", "flapper"), or one letter off, counts for so much.
const AKIN: f64 = 0.5;
/// Letters that make a root.
pub const ROOT: usize = 4;
/// A word that stands in no visit weighs so much of what it would.
const UNSAID: f64 = 0.5;
/// A word that is part of something understood counts for little beside that fact.
const UNDERSTOOD: f64 = 0.35;

/// A past visit's facts, as far as the order needs them.
#[derive(Clone, Debug, Default)]
pub struct Job<'a> {
    /// Its text.
    pub text: &'a str,
    /// Symptoms that were present.
    pub symptoms: Vec<&'a str>,
    /// Symptoms that were said not to be there.
    pub absent: Vec<&'a str>,
    /// Conditions of any symptom.
    pub conditions: Vec<&'a str>,
    /// Kinds of equipment.
    pub equipment: Vec<&'a str>,
    /// Causes confirmed or suspected.
    pub causes: Vec<&'a str>,
    /// Parts that were worked on.
    pub parts: Vec<&'a str>,
    /// What was done.
    pub actions: Vec<&'a str>,
}

/// What the collection says of words.
pub trait Collection {
    /// How many visits there are.
    fn jobs(&self) -> f64;
    /// How many words a visit has on average.
    fn mean_words(&self) -> f64;
    /// In how many visits a stem stands.
    fn with_stem(&self, stem: &str) -> f64;
}

/// How well a visit answers a question.
#[derive(Clone, Debug, Default)]
pub struct Scored {
    /// From 0 to 1: the share of the question that it answers.
    pub score: f64,
    /// Why, strongest first.
    pub because: Vec<String>,
}

/// A question with what its words weigh in a collection: made once, asked of every visit.
pub struct Asked<'w> {
    wanted: &'w Wanted,
    /// Of each word.
    weights: Vec<f64>,
    mean_words: f64,
}

impl<'w> Asked<'w> {
    /// Weighs a question's words.
    #[must_use]
    pub fn new(wanted: &'w Wanted, collection: &dyn Collection) -> Self {
        let weights = wanted.words.iter().map(|word| {
            let share = if word.understood { UNDERSTOOD } else { 1.0 };
            // What no visit says tells no visit from another; that it stays unanswered still counts.
            let unsaid = if collection.with_stem(&word.stem) > 0.0 {
                1.0
            } else {
                UNSAID
            };
            idf(collection, &word.stem) * share * unsaid
        });
        Self {
            wanted,
            weights: weights.collect(),
            mean_words: collection.mean_words().max(1.0),
        }
    }

    /// Scores a visit; `None` where an excluded word or a missing phrase rules it out.
    #[must_use]
    pub fn score(&self, job: &Job<'_>) -> Option<Scored> {
        score(self, job)
    }
}

fn score(asked: &Asked<'_>, job: &Job<'_>) -> Option<Scored> {
    let wanted = asked.wanted;
    let lower = job.text.to_lowercase();
    if wanted.without.iter().any(|w| lower.contains(w.as_str()))
        || !wanted.phrases.iter().all(|p| lower.contains(p.as_str()))
    {
        return None;
    }
    let stems = words_of(job.text);
    let length = stems.len() as f64 / asked.mean_words;
    let (mut got, mut all) = (0.0, 0.0);
    let mut because: Vec<(f64, String)> = Vec::new();
    let mut said: Vec<&str> = Vec::new();
    for (word, weight) in wanted.words.iter().zip(&asked.weights) {
        all += weight;
        let times = stems.iter().filter(|s| **s == word.stem).count() as f64;
        if times > 0.0 {
            let saturated = times * (K1 + 1.0) / (times + K1 * (1.0 - B + B * length)) / (K1 + 1.0);
            // A word that is there at all counts for more than half; more of it fills the rest.
            got += weight * (0.6 + 0.4 * saturated.min(1.0));
            said.push(&word.text);
        } else if stems.iter().any(|s| akin(s, &word.stem)) {
            got += weight * AKIN;
            said.push(&word.text);
        }
    }
    let mut facts = |wanted: &[String], has: &[&str], weight: f64, what: &str| {
        for id in wanted {
            all += weight;
            if has.contains(&id.as_str()) {
                got += weight;
                because.push((weight, format!("same {what}: {id}")));
            }
        }
    };
    facts(&wanted.symptoms, &job.symptoms, SYMPTOM, "symptom");
    facts(&wanted.guessed, &job.symptoms, GUESSED, "symptom");
    facts(&wanted.causes, &job.causes, CAUSE, "cause");
    facts(&wanted.conditions, &job.conditions, CONDITION, "condition");
    facts(&wanted.equipment, &job.equipment, EQUIPMENT, "equipment");
    facts(&wanted.parts, &job.parts, PART, "part");
    facts(&wanted.actions, &job.actions, FIX, "fix");
    // The visit says outright that the symptom was not there.
    let denied = wanted
        .symptoms
        .iter()
        .filter(|s| job.absent.contains(&s.as_str()) && !job.symptoms.contains(&s.as_str()))
        .count();
    got -= denied as f64 * SYMPTOM * 0.5;
    if !said.is_empty() {
        said.dedup();
        because.push((0.5, format!("says {}", said.join(", "))));
    }
    because.sort_by(|a, b| b.0.total_cmp(&a.0));
    let score = if all > 0.0 {
        (got / all).clamp(0.0, 1.0)
    } else {
        0.0
    };
    Some(Scored {
        score,
        because: because.into_iter().map(|(_, t)| t).collect(),
    })
}

/// Whether two stems are likely one word: one begins the other, or long ones differ by one slip of the finger.
#[must_use]
pub fn akin(a: &str, b: &str) -> bool {
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    let letters = |w: &str| w.chars().all(char::is_alphabetic);
    let root = short.len() >= ROOT && long.len() - short.len() <= 3 && long.starts_with(short);
    let slip = short.len() > ROOT
        && long.len() - short.len() <= 1
        && short.chars().next() == long.chars().next()
        && strsim::osa_distance(short, long) == 1;
    letters(short) && letters(long) && (root || slip)
}

/// The inverse document frequency of a stem, never below a small share: a word in every note still is a word.
fn idf(collection: &dyn Collection, stem: &str) -> f64 {
    let with = collection.with_stem(stem);
    (1.0 + (collection.jobs() - with + 0.5) / (with + 0.5))
        .ln()
        .max(0.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{reading::question, trade::Knowledge};

    struct Few;

    impl Collection for Few {
        fn jobs(&self) -> f64 {
            100.0
        }
        fn mean_words(&self) -> f64 {
            60.0
        }
        fn with_stem(&self, _: &str) -> f64 {
            5.0
        }
    }

    fn of(text: &str, job: &Job<'_>) -> Option<f64> {
        let knowledge = Knowledge::built_in();
        let wanted = Wanted::of(text, &question::understand(text, knowledge));
        Asked::new(&wanted, &Few).score(job).map(|s| s.score)
    }

    #[test]
    fn one_root_and_one_slip_are_akin() {
        for (a, b) in [
            ("flap", "flapper"),
            ("capacitor", "capactor"),
            ("seal", "sealant"),
        ] {
            assert!(akin(a, b) && akin(b, a), "{a} {b}");
        }
        // Trade words that differ by a letter are other words.
        for (a, b) in [
            ("flow", "glow"),
            ("cell", "call"),
            ("2850", "2856"),
            ("pump", "pumpkinseed"),
        ] {
            assert!(!akin(a, b), "{a} {b}");
        }
    }

    #[test]
    fn meaning_finds_what_words_do_not() {
        let job = Job {
            text: "ground fault breaker kicks off",
            symptoms: vec!["breaker-trips"],
            equipment: vec!["breaker"],
            ..Job::default()
        };
        let other = Job {
            text: "weekly visit, all fine",
            ..Job::default()
        };
        assert!(of("breaker pops", &job) > of("breaker pops", &other));
        assert!(of("breaker pops", &job).is_some_and(|s| s > 0.4));
    }

    #[test]
    fn quotes_and_minus() {
        let job = Job {
            text: "new spider gasket in the multiport",
            ..Job::default()
        };
        assert!(of("\"spider gasket\"", &job).is_some());
        assert!(of("\"gasket spider\"", &job).is_none());
        assert!(of("gasket -multiport", &job).is_none());
    }
}
