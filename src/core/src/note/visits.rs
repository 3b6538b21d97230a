//! Which part of a note is which visit, and what site, day and person it names.

use super::{
    Conventions, Note, NoteFault, NoteProblem, Visit, VisitKind,
    blocks::{Block, Layout, blocks},
    dates::{self, DateOrder, Written},
    front::{self, Front},
    line_at,
};
use jiff::civil::Date;
use std::ops::Range;

/// A plain line this long or longer is no heading, even when it begins with a date (two thirds of 80 columns).
const HEADING_LENGTH_MOST: usize = 54;
/// A site's name is no longer than this; a longer first line is prose.
const SITE_LENGTH_MOST: usize = 80;
/// `Site:` and `Date:` lines are looked for in so many lines from the top.
const KEY_LINES_MOST: usize = 8;

/// A line of the note.
struct Line<'t> {
    span: Range<usize>,
    /// Without markup at its start and end.
    text: &'t str,
    /// Its heading level; 0 for plain text.
    level: usize,
    dates: Vec<Written>,
    after_blank: bool,
}

/// Reads a note's text; `file_stem` is its file's name without folder and ending.
#[must_use]
pub fn parse(text: &str, file_stem: &str, conventions: &Conventions) -> Note {
    let mut problems = Vec::new();
    let text_start = if text.starts_with('\u{feff}') {
        '\u{feff}'.len_utf8()
    } else {
        0
    };
    let bare = text.get(text_start..).unwrap_or_default();
    if bare.trim().is_empty() {
        return Note {
            visits: Vec::new(),
            problems: vec![NoteProblem {
                line: 1,
                fault: NoteFault::Empty,
            }],
        };
    }
    let front = front::read(bare, &mut problems);
    let body_start = text_start + front.span.end;
    let lines = lines(text, body_start);
    let file_dates = dates::find(&file_stem.replace('_', "-"));
    let file_date = file_dates
        .iter()
        .find_map(|d| d.date(DateOrder::MonthFirst, None));
    let all: Vec<Written> = front
        .get("date")
        .map(dates::find)
        .unwrap_or_default()
        .into_iter()
        .chain(lines.iter().flat_map(|l| l.dates.iter().cloned()))
        .collect();
    let (order, sure) = dates::settle(&all, file_date, conventions.order, metric(bare));
    let settled = Settled {
        order,
        sure,
        file_date,
    };
    let mut reader = Reader {
        text,
        front: &front,
        lines: &lines,
        settled,
        problems,
    };
    let visits = reader.visits(file_stem);
    let mut note = Note {
        visits,
        problems: reader.problems,
    };
    judge(text, &mut note, conventions);
    note
}

/// How the file's dates are read.
#[derive(Clone, Copy)]
struct Settled {
    order: DateOrder,
    sure: bool,
    file_date: Option<Date>,
}

struct Reader<'t> {
    text: &'t str,
    front: &'t Front,
    lines: &'t [Line<'t>],
    settled: Settled,
    problems: Vec<NoteProblem>,
}

impl Reader<'_> {
    fn visits(&mut self, file_stem: &str) -> Vec<Visit> {
        let site_at = self.site();
        let site = self
            .front
            .get("site")
            .map(str::to_owned)
            .or_else(|| site_at.as_ref().map(|(_, name)| name.clone()))
            .or_else(|| site_of_stem(file_stem));
        let heads = self.dated_headings(site_at.as_ref().map(|(i, _)| *i));
        let skip = site_at
            .as_ref()
            .and_then(|(i, _)| self.lines.get(*i))
            .map(|l| l.span.clone());
        let default_year = self.first_year();
        let mut visits = Vec::new();
        if heads.is_empty() {
            let start = self.lines.first().map_or(self.text.len(), |l| l.span.start);
            let mut visit = self.visit(start..self.text.len(), skip.as_ref());
            visit.line = 1;
            let (date, unsure, at) = self.single_date(default_year);
            visit.date = date;
            visit.date_unsure = unsure;
            visit.tech = self
                .front
                .get("tech")
                .map(str::to_owned)
                .or_else(|| at.and_then(|i| self.lines.get(i)).and_then(tech_beside));
            visits.push(visit);
        }
        for (k, head) in heads.iter().enumerate() {
            let Some(line) = self.lines.get(*head) else {
                continue;
            };
            let end = heads
                .get(k + 1)
                .and_then(|h| self.lines.get(*h))
                .map_or(self.text.len(), |l| l.span.start);
            // The lines above the first heading belong to no visit of a log, and to the only one of a note.
            let start = if k == 0 && heads.len() == 1 {
                self.lines.first().map_or(line.span.start, |l| l.span.start)
            } else {
                line.span.start
            };
            let mut visit = self.visit(start..end, skip.as_ref());
            visit.line = line_at(self.text, line.span.start);
            if let Some(written) = line.dates.first() {
                visit.date = self.date(written, default_year, visit.line);
                visit.date_unsure = written.open && !self.settled.sure;
            }
            visit.tech = tech_beside(line).or_else(|| self.front.get("tech").map(str::to_owned));
            if says_call(line) {
                visit.kind = VisitKind::Call;
            }
            visits.push(visit);
        }
        for visit in &mut visits {
            visit.site.clone_from(&site);
        }
        visits
    }

    fn visit(&self, span: Range<usize>, skip: Option<&Range<usize>>) -> Visit {
        let body = self.text.get(span.clone()).unwrap_or_default();
        let mut blocks = blocks(body, span.start);
        if let Some(skip) = skip {
            blocks.iter_mut().for_each(|b| drop_lines(b, skip));
        }
        // `Site:` and `Date:` lines are told elsewhere and say nothing of the equipment.
        for line in self.lines.iter().take(KEY_LINES_MOST) {
            if matches!(
                key_line(line.text),
                Some((Key::Site | Key::Date | Key::Tech | Key::Kind, _))
            ) {
                blocks.iter_mut().for_each(|b| drop_lines(b, &line.span));
            }
        }
        blocks.retain(|b| b.lines.iter().any(|l| !l.is_empty()));
        let kind = match self
            .value(Key::Kind)
            .as_deref()
            .map(str::to_lowercase)
            .as_deref()
        {
            Some("call" | "phone" | "phone call") => VisitKind::Call,
            _ => VisitKind::Visit,
        };
        let weather = self.front.get("weather").map(|w| {
            let at = self.text.find(w).unwrap_or(0);
            (w.to_owned(), at..at + w.len())
        });
        Visit {
            span,
            kind,
            weather,
            blocks,
            ..Visit::default()
        }
    }

    fn value(&self, key: Key) -> Option<String> {
        self.front
            .get(key.names()[0])
            .map(str::to_owned)
            .or_else(|| {
                self.lines.iter().take(KEY_LINES_MOST).find_map(|l| {
                    key_line(l.text)
                        .filter(|(k, _)| *k == key)
                        .map(|(_, v)| v.to_owned())
                })
            })
    }

    /// The line that names the site, with the name.
    fn site(&self) -> Option<(usize, String)> {
        for (i, line) in self.lines.iter().enumerate().take(KEY_LINES_MOST) {
            if let Some((Key::Site, value)) = key_line(line.text) {
                return Some((i, value.to_owned()));
            }
        }
        if self.front.get("site").is_some() {
            return None;
        }
        let heading = self
            .lines
            .iter()
            .position(|l| l.level == 1 && !undated(l).is_empty() && !is_title(l.text));
        let first = self
            .lines
            .iter()
            .position(|l| !l.text.is_empty() && !undated(l).is_empty() && !is_title(l.text));
        let place = heading
            .filter(|h| first.is_none_or(|f| *h <= f + 3))
            .or(first)?;
        let line = self.lines.get(place)?;
        let name = undated(line);
        (name.chars().count() <= SITE_LENGTH_MOST && line.level <= 2).then_some((place, name))
    }

    /// The lines that begin visits: dated headings, or several dated plain lines.
    fn dated_headings(&self, site_line: Option<usize>) -> Vec<usize> {
        let headed =
            |i: usize, l: &Line<'_>| l.level > 0 && !l.dates.is_empty() && Some(i) != site_line;
        let marked: Vec<usize> = self
            .lines
            .iter()
            .enumerate()
            .filter(|(i, l)| headed(*i, l))
            .map(|(i, _)| i)
            .collect();
        if !marked.is_empty() {
            return marked;
        }
        let plain: Vec<usize> = self
            .lines
            .iter()
            .enumerate()
            .filter(|(i, l)| {
                let date_first = l
                    .dates
                    .first()
                    .is_some_and(|d| d.span.start == first_letter(l.text));
                let room = l.after_blank || l.text.len() <= HEADING_LENGTH_MOST / 2;
                date_first
                    && room
                    && l.text.len() <= HEADING_LENGTH_MOST
                    && Some(*i) != site_line
                    && !l.text.starts_with('|')
            })
            .map(|(i, _)| i)
            .collect();
        if plain.len() >= 2 { plain } else { Vec::new() }
    }

    fn first_year(&self) -> Option<i16> {
        let written = self
            .lines
            .iter()
            .flat_map(|l| &l.dates)
            .find_map(|d| d.year);
        let front = self
            .front
            .get("date")
            .and_then(|d| dates::find(d).first().and_then(|d| d.year));
        front.or(written).or(self.settled.file_date.map(Date::year))
    }

    /// The date of a note that is one visit: whether it is unsure, and the line that says it.
    fn single_date(&mut self, default_year: Option<i16>) -> (Option<Date>, bool, Option<usize>) {
        let unsure = |w: &Written, s: &Settled| w.open && !s.sure;
        if let Some(value) = self.value(Key::Date) {
            if let Some(written) = dates::find(&value).first() {
                let line = line_at(self.text, self.text.find(&value).unwrap_or(0));
                return (
                    self.date(written, default_year, line),
                    unsure(written, &self.settled),
                    None,
                );
            }
            let line = line_at(self.text, self.text.find(&value).unwrap_or(0));
            self.problems.push(NoteProblem {
                line,
                fault: NoteFault::ImpossibleDate(value),
            });
        }
        // Within the first lines; further down a date is part of the story.
        let found = self.lines.iter().enumerate().take(4).find(|(_, l)| {
            l.dates.first().is_some_and(|d| {
                l.level > 0
                    || l.text.len() <= SITE_LENGTH_MOST
                    || d.span.start <= HEADING_LENGTH_MOST
            })
        });
        if let Some((place, line)) = found
            && let Some(written) = line.dates.first().cloned()
        {
            let number = line_at(self.text, line.span.start);
            let date = self.date(&written, default_year, number);
            return (
                date.or(self.settled.file_date),
                unsure(&written, &self.settled),
                Some(place),
            );
        }
        (self.settled.file_date, false, None)
    }

    fn date(&mut self, written: &Written, default_year: Option<i16>, line: usize) -> Option<Date> {
        let date = written.date(self.settled.order, default_year).or_else(|| {
            let other = match self.settled.order {
                DateOrder::DayFirst => DateOrder::MonthFirst,
                DateOrder::MonthFirst => DateOrder::DayFirst,
            };
            written.date(other, default_year)
        });
        if date.is_none() && written.year.or(default_year).is_some() {
            let (a, b) = written.numbers;
            let year = written.year.or(default_year).unwrap_or_default();
            self.problems.push(NoteProblem {
                line,
                fault: NoteFault::ImpossibleDate(format!("{a}/{b}/{year}")),
            });
        }
        date
    }
}

/// Takes the lines of a block that lie in `skip` out of it.
fn drop_lines(block: &mut Block, skip: &Range<usize>) {
    for line in &mut block.lines {
        line.retain(|r| r.end <= skip.start || r.start >= skip.end);
    }
    if matches!(block.layout, Layout::Heading(_)) && block.lines.iter().all(Vec::is_empty) {
        block.lines.clear();
    }
}

fn judge(text: &str, note: &mut Note, conventions: &Conventions) {
    for visit in &note.visits {
        let line = if visit.line > 1 {
            visit.line
        } else {
            line_at(text, visit.span.start)
        };
        let earliest = jiff::civil::date(1950, 1, 1);
        match visit.date {
            None => note.problems.push(NoteProblem {
                line,
                fault: NoteFault::NoDate,
            }),
            Some(date)
                if date < earliest || conventions.today.is_some_and(|today| date > today) =>
            {
                note.problems.push(NoteProblem {
                    line,
                    fault: NoteFault::UnlikelyDate(date),
                });
            }
            Some(_) => {}
        }
    }
    if note.visits.iter().all(|v| v.site.is_none()) {
        note.problems.push(NoteProblem {
            line: 1,
            fault: NoteFault::NoSite,
        });
    }
}

fn lines(text: &str, start: usize) -> Vec<Line<'_>> {
    let mut out = Vec::new();
    let (mut at, mut after_blank) = (start, true);
    for raw in text.get(start..).unwrap_or_default().split_inclusive('\n') {
        let span = at..at + raw.trim_end_matches(['\n', '\r']).len();
        at += raw.len();
        let line = text.get(span.clone()).unwrap_or_default().trim();
        if line.is_empty() {
            after_blank = true;
            continue;
        }
        let hashes = line.bytes().take_while(|b| *b == b'#').count();
        let level = if hashes <= 6 && line.get(hashes..).is_some_and(|r| r.starts_with(' ')) {
            hashes
        } else {
            0
        };
        let body = line
            .get(if level > 0 { hashes } else { 0 }..)
            .unwrap_or_default();
        let text = body.trim().trim_matches(['*', '_']).trim();
        // A list's date is part of a story, no heading.
        let dates = if text.starts_with("- ") || text.len() > 400 {
            Vec::new()
        } else {
            dates::find(text)
        };
        out.push(Line {
            span,
            text,
            level,
            dates,
            after_blank,
        });
        after_blank = false;
    }
    out
}

fn first_letter(text: &str) -> usize {
    text.find(|c: char| c.is_alphanumeric()).unwrap_or(0)
}

/// A line's text without its date and what clings to it.
fn undated(line: &Line<'_>) -> String {
    let clean = |t: &str| {
        t.trim()
            .trim_matches(|c: char| {
                matches!(
                    c,
                    '-' | '\u{2013}' | '\u{2014}' | ',' | ':' | ';' | '|' | '/'
                ) || c.is_whitespace()
            })
            .to_owned()
    };
    let Some(date) = line.dates.first() else {
        return clean(line.text);
    };
    let before = clean(line.text.get(..date.span.start).unwrap_or_default());
    // "71 Stonecutter Rd / wkly / 2-12-2026": what stands between is a remark.
    let before = clean(before.split(" / ").next().unwrap_or_default());
    if before.chars().any(char::is_alphabetic) {
        return before;
    }
    let after = clean(line.text.get(date.span.end..).unwrap_or_default());
    // A name after the date is a person's or a remark as often as a site's: a site has a number or two words at least.
    if after.split_whitespace().count() >= 2 && line.level > 0 {
        after
    } else {
        String::new()
    }
}

/// The person named after a date in a heading: one to three words, each with a capital or the only one.
fn tech_beside(line: &Line<'_>) -> Option<String> {
    let date = line.dates.first()?;
    let rest = line
        .text
        .get(date.span.end..)?
        .trim_matches(|c: char| !c.is_alphanumeric() && c != '.');
    let rest = rest.split(['(', ',', ';']).next()?.trim();
    let words: Vec<&str> = rest.split_whitespace().collect();
    let name_like =
        |w: &&str| w.chars().all(|c| c.is_alphabetic() || c == '.') && !says_not_a_name(w);
    let capital = words
        .iter()
        .all(|w| w.chars().next().is_some_and(char::is_uppercase))
        || words.len() == 1;
    ((1..=2).contains(&words.len()) && words.iter().all(name_like) && capital)
        .then(|| rest.to_owned())
}

/// "SERVICE REPORT No. 4471", "Weekly check": a title says what the paper is, not where.
fn is_title(text: &str) -> bool {
    let paper = |w: &str| {
        matches!(
            w,
            "service"
                | "report"
                | "visit"
                | "no"
                | "nr"
                | "number"
                | "job"
                | "sheet"
                | "weekly"
                | "monthly"
                | "quarterly"
                | "annual"
                | "check"
                | "note"
                | "notes"
                | "log"
                | "work"
                | "order"
                | "callout"
                | "call"
                | "out"
                | "site"
                | "and"
                | "commissioning"
                | "inspection"
                | "maintenance"
                | "record"
                | "ticket"
                | "routine"
                | "card"
        )
    };
    let lower = text.to_lowercase();
    let mut words = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty());
    words.all(|w| paper(w) || w.chars().all(|c| c.is_ascii_digit()))
}

fn says_not_a_name(word: &str) -> bool {
    matches!(
        word.to_lowercase().as_str(),
        "callback"
            | "call"
            | "back"
            | "return"
            | "visit"
            | "again"
            | "service"
            | "routine"
            | "monthly"
            | "weekly"
            | "voice"
            | "pm"
            | "am"
            | "n"
            | "c"
            | "am."
            | "opening"
            | "closing"
            | "repair"
            | "startup"
    )
}

fn says_call(line: &Line<'_>) -> bool {
    let rest = line
        .dates
        .first()
        .and_then(|d| line.text.get(d.span.end..))
        .unwrap_or_default()
        .to_lowercase();
    let words: Vec<&str> = rest
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    matches!(
        words.as_slice(),
        ["call"] | ["phone", ..] | ["phoned", ..] | ["call", "from", ..] | ["rang", ..]
    )
}

/// Keys of lines such as `Site: 14 Elm`.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Key {
    Site,
    Date,
    Tech,
    Kind,
}

impl Key {
    fn names(self) -> &'static [&'static str] {
        match self {
            Key::Site => &[
                "site",
                "address",
                "location",
                "property",
                "job site",
                "pool",
                "customer site",
            ],
            Key::Date => &["date", "visit date", "date of visit", "day"],
            Key::Tech => &["tech", "technician", "engineer", "by"],
            Key::Kind => &["kind"],
        }
    }
}

fn key_line(text: &str) -> Option<(Key, &str)> {
    let (key, value) = text.split_once(':')?;
    let key = key.trim().trim_matches(['*', '_', '-', ' ']).to_lowercase();
    let value = value.trim().trim_matches(['*', '_']).trim();
    let key = [Key::Site, Key::Date, Key::Tech, Key::Kind]
        .into_iter()
        .find(|k| k.names().contains(&key.as_str()))?;
    (!value.is_empty() && value.len() <= SITE_LENGTH_MOST).then_some((key, value))
}

fn site_of_stem(stem: &str) -> Option<String> {
    let text = stem.replace('_', "-");
    let mut rest = text.clone();
    if let Some(date) = dates::find(&text).first() {
        rest = format!(
            "{} {}",
            text.get(..date.span.start).unwrap_or_default(),
            text.get(date.span.end..).unwrap_or_default()
        );
    }
    let words: Vec<String> = rest
        .split(['-', ' '])
        .filter(|w| !w.is_empty())
        .map(|w| {
            let mut letters = w.chars();
            letters
                .next()
                .map(|c| c.to_uppercase().collect::<String>() + letters.as_str())
                .unwrap_or_default()
        })
        .collect();
    (words.iter().any(|w| w.chars().any(char::is_alphabetic))).then(|| words.join(" "))
}

/// Whether a text is written in metric units.
fn metric(text: &str) -> bool {
    let (mut metric, mut us) = (0, 0);
    for word in text.split(|c: char| !(c.is_alphanumeric() || matches!(c, '/' | '\u{b0}'))) {
        // "110kPa" is one word here: the unit is what follows the digits.
        match word
            .trim_start_matches(|c: char| c.is_ascii_digit())
            .to_lowercase()
            .as_str()
        {
            "kpa" | "bar" | "\u{b0}c" | "l/min" | "mm" | "litre" | "litres" | "m3/h" | "mg/l" => {
                metric += 1
            }
            "psi" | "\u{b0}f" | "gpm" | "inch" | "inches" | "gallon" | "gallons" => us += 1,
            _ => {}
        }
    }
    metric > us
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, stem: &str, expected: &[&str]) {
        let note = parse(text, stem, &Conventions::default());
        let shown: Vec<String> = note
            .visits
            .iter()
            .map(|v| {
                let date = v.date.map_or("-".to_owned(), |d| d.to_string());
                format!(
                    "{} {} {} {}",
                    v.line,
                    v.site.as_deref().unwrap_or("-"),
                    date,
                    v.tech.as_deref().unwrap_or("-")
                )
            })
            .collect();
        assert_eq!(shown, expected, "{text}");
    }

    #[test]
    fn one_visit() {
        check(
            "2 Dory Court, Gull Haven (Hollis)\nfri 13/6/25 arr 2.15 cold\nspa heater dead\n",
            "x",
            &["1 2 Dory Court, Gull Haven (Hollis) 2025-06-13 -"],
        );
        check(
            "# Garrick 18 Pondside - June 12 2025 (voice)\n\nso\n",
            "x",
            &["1 Garrick 18 Pondside 2025-06-12 -"],
        );
        check(
            "GUPPY LANE\nGunnar\n\nfour pumps\n",
            "guppy-lane-2026-01-07",
            &["1 GUPPY LANE 2026-01-07 -"],
        );
        check(
            "site: 14 Tamarack Spur\n2/27/26 dez\nPOOL LITES\n",
            "x",
            &["1 14 Tamarack Spur 2026-02-27 dez"],
        );
        check(
            "---\nsite: 77 Quail Rd\ndate: 2026-02-19\ntech: Oona\n---\n\n# Weekly\n",
            "x",
            &["1 77 Quail Rd 2026-02-19 Oona"],
        );
        check(
            "- pump fine\n",
            "2021-05-22-copper-beech-close-19",
            &["1 pump fine 2021-05-22 -"],
        );
    }

    #[test]
    fn running_logs() {
        check(
            "Kettering Inn - Tallis Ford\n(indoor)\n\n3.2.26\npnl dead\n\n3.5.26\nback.\n",
            "x",
            &[
                "4 Kettering Inn - Tallis Ford 2026-03-02 -",
                "7 Kettering Inn - Tallis Ford 2026-03-05 -",
            ],
        );
        check(
            "# Salt Cedar Rd 2\n\n## 1/20/26 tues\nfirst\n\n## 2/5/26 thurs\nback\n",
            "x",
            &[
                "3 Salt Cedar Rd 2 2026-01-20 -",
                "6 Salt Cedar Rd 2 2026-02-05 -",
            ],
        );
        check(
            "# Leveret Field\n\n## 2025-09-23 Tam\nheater\n",
            "x",
            &["3 Leveret Field 2025-09-23 Tam"],
        );
    }

    #[test]
    fn faults_keep_the_rest() {
        let note = parse(
            "# Elm 4\n2/30/25\npump hums\n",
            "x",
            &Conventions::default(),
        );
        assert!(
            note.problems
                .iter()
                .any(|p| matches!(&p.fault, NoteFault::ImpossibleDate(_)) && p.line == 2),
            "{:?}",
            note.problems
        );
        assert_eq!(note.visits.len(), 1);
        let empty = parse("\n \n", "x", &Conventions::default());
        assert_eq!(
            empty.problems,
            [NoteProblem {
                line: 1,
                fault: NoteFault::Empty
            }]
        );
    }
}
