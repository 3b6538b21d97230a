//! Front matter: the YAML between two `---` lines at the top of a note.

use super::{NoteFault, NoteProblem};
use serde::Deserialize;
use std::{collections::BTreeMap, ops::Range};

/// The keys of the front matter, lower case, with scalar values as text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Front {
    /// Values by key.
    pub values: BTreeMap<String, String>,
    /// Bytes of the note that it takes, both fences included.
    pub span: Range<usize>,
}

impl Front {
    /// The value of a key, trimmed, where it has one.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&str> {
        self.values
            .get(key)
            .map(|v| v.trim())
            .filter(|v| !v.is_empty())
    }
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Scalar {
    Text(String),
    Other(serde::de::IgnoredAny),
}

/// Reads the front matter at the top of `text`, where there is any.
pub fn read(text: &str, problems: &mut Vec<NoteProblem>) -> Front {
    let mut lines = text.split_inclusive('\n');
    let Some(first) = lines.next().filter(|l| l.trim_end() == "---") else {
        return Front::default();
    };
    let mut end = first.len();
    for line in lines {
        let start = end;
        end += line.len();
        if matches!(line.trim_end(), "---" | "...") {
            let body = text.get(first.len()..start).unwrap_or_default();
            return Front {
                values: values(body, problems),
                span: 0..end,
            };
        }
        // A rule and a paragraph are no front matter: a key must stand in its first lines.
        if start == first.len() && !line.contains(':') {
            return Front::default();
        }
    }
    problems.push(NoteProblem {
        line: 1,
        fault: NoteFault::FrontMatterOpen,
    });
    // Keys up to the first blank line are still read; the rest is the note.
    let end = text.find("\n\n").map_or(text.len(), |p| p + 1);
    let body = text.get(first.len()..end).unwrap_or_default();
    Front {
        values: plain(body),
        span: 0..end,
    }
}

fn values(body: &str, problems: &mut Vec<NoteProblem>) -> BTreeMap<String, String> {
    // The plain lines first: they keep a value as written (`3.10` stays `3.10`, a date stays text).
    let mut out = plain(body);
    match serde_saphyr::from_str::<BTreeMap<String, Scalar>>(body) {
        Ok(read) => {
            for (key, value) in read {
                if let Scalar::Text(value) = value {
                    out.insert(key.to_lowercase(), value);
                }
            }
        }
        Err(_) if body.trim().is_empty() => {}
        Err(error) => {
            let reason = error.to_string();
            let reason = reason.lines().next().unwrap_or_default().to_owned();
            problems.push(NoteProblem {
                line: 2,
                fault: NoteFault::FrontMatter(reason),
            });
        }
    }
    out
}

fn plain(body: &str) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    for line in body.lines() {
        if let Some((key, value)) = line.split_once(':')
            && !key.is_empty()
            && key
                .chars()
                .all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | ' '))
        {
            let value = value.trim().trim_matches(['"', '\'']);
            if !value.is_empty() {
                out.insert(key.trim().to_lowercase(), value.to_owned());
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, keys: &[(&str, &str)], faults: usize) {
        let mut problems = Vec::new();
        let front = read(text, &mut problems);
        let found: Vec<(&str, &str)> = front
            .values
            .iter()
            .map(|(k, v)| (k.as_str(), v.as_str()))
            .collect();
        assert_eq!(found, keys, "{text}");
        assert_eq!(problems.len(), faults, "{problems:?}");
    }

    #[test]
    fn whole_broken_and_open() {
        check(
            "---\nsite: 27 Palo\ndate: 2025-11-18\n---\nx",
            &[("date", "2025-11-18"), ("site", "27 Palo")],
            0,
        );
        check(
            "---\nsite: [27\ntech: Lalo\n---\nx",
            &[("site", "[27"), ("tech", "Lalo")],
            1,
        );
        check("---\nsite: Elm\n\nno end", &[("site", "Elm")], 1);
        check("---\n\nA rule, no front matter.\n", &[], 0);
        check("no front", &[], 0);
    }
}
