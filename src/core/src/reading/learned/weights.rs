//! The weights of a learned model: as text that a person can read and compare, and as bytes that need no reading.
//!
//! The text (`kb/learned/NAME.tsv`) has three head lines, `made`, `sure` and `labels`, then one line a feature:
//! its name, a tab, and `label:weight` for each label that it speaks for or against. The build turns the text into a
//! hash table of bytes, so that a program that answers one question does not read a hundred thousand numbers first.
//! This file uses the standard library alone, because the build script compiles it too.

use std::{borrow::Cow, collections::BTreeMap};

/// Weights are kept in steps of 1/512.
const STEPS: f32 = 512.0;
/// Bytes of a slot: the feature's key, where its pairs start, how many there are.
const SLOT: usize = 16;
/// Bytes of a pair: the label's number and the weight in steps.
const PAIR: usize = 4;

/// What is wrong with a text of weights.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Line, counted from 1.
    pub line: usize,
    /// What is wrong there.
    pub what: String,
}

/// A fitted model as it is written and read: labels, and for each feature its weights by label.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fitted {
    /// The labels.
    pub labels: Vec<String>,
    /// The probability from which it acts.
    pub sure: f32,
    /// The command that made it, and from how many examples.
    pub made: String,
    /// Weights by feature: the label's number with its weight.
    pub rows: BTreeMap<String, Vec<(u16, f32)>>,
}

impl Fitted {
    /// As text.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut out = format!(
            "made\t{}\nsure\t{}\nlabels\t{}\n",
            self.made,
            self.sure,
            self.labels.join("\t")
        );
        for (feature, pairs) in &self.rows {
            out.push_str(feature);
            for (label, weight) in pairs {
                if let Some(label) = self.labels.get(usize::from(*label)) {
                    out.push_str(&format!("\t{label}:{weight:.2}"));
                }
            }
            out.push('\n');
        }
        out
    }

    /// From text.
    ///
    /// # Errors
    /// The first line that cannot be read.
    pub fn from_text(text: &str) -> Result<Self, Fault> {
        let mut out = Self::default();
        let mut numbers: BTreeMap<&str, u16> = BTreeMap::new();
        for (number, line) in text.lines().enumerate() {
            let fault = |what: &str| Fault {
                line: number + 1,
                what: what.to_owned(),
            };
            let mut fields = line.split('\t');
            let first = fields.next().unwrap_or_default();
            match (number, first) {
                (0, "made") => out.made = fields.next().unwrap_or_default().to_owned(),
                (1, "sure") => {
                    out.sure = fields
                        .next()
                        .and_then(|f| f.parse().ok())
                        .ok_or_else(|| fault("no probability after `sure`"))?;
                }
                (2, "labels") => {
                    for (n, label) in fields.enumerate() {
                        numbers.insert(
                            label,
                            u16::try_from(n).map_err(|_| fault("more than 65535 labels"))?,
                        );
                        out.labels.push(label.to_owned());
                    }
                }
                (0..=2, _) => {
                    return Err(fault("the first lines must be `made`, `sure` and `labels`"));
                }
                _ => {
                    let mut pairs = Vec::new();
                    for field in fields {
                        let (label, weight) = field
                            .rsplit_once(':')
                            .ok_or_else(|| fault("a field is not `label:weight`"))?;
                        let label = numbers
                            .get(label)
                            .ok_or_else(|| fault("a label that the head line does not name"))?;
                        let weight: f32 = weight
                            .parse()
                            .map_err(|_| fault("a weight is not a number"))?;
                        pairs.push((*label, weight));
                    }
                    out.rows.insert(first.to_owned(), pairs);
                }
            }
        }
        Ok(out)
    }

    /// As bytes for [`Weights`].
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let count = (self.rows.len() * 2).next_power_of_two().max(2);
        let mut slots = vec![[0_u8; SLOT]; count];
        let mut pairs: Vec<u8> = Vec::new();
        for (feature, row) in &self.rows {
            let key = Key::of(feature);
            let mut at = key.place(count);
            while slots[at][12..14] != [0, 0] {
                at = (at + 1) % count;
            }
            let start = u32::try_from(pairs.len() / PAIR).unwrap_or(u32::MAX);
            for (label, weight) in row {
                pairs.extend(label.to_le_bytes());
                pairs.extend(
                    ((weight * STEPS).round().clamp(-32767.0, 32767.0) as i16).to_le_bytes(),
                );
            }
            slots[at][..8].copy_from_slice(&key.0.to_le_bytes());
            slots[at][8..12].copy_from_slice(&start.to_le_bytes());
            slots[at][12..14]
                .copy_from_slice(&u16::try_from(row.len()).unwrap_or(u16::MAX).to_le_bytes());
        }
        let labels = self.labels.join("\t");
        let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes();
        let mut out = Vec::new();
        out.extend(self.sure.to_le_bytes());
        out.extend(number(labels.len()));
        out.extend(number(count));
        out.extend(labels.as_bytes());
        out.extend(slots.concat());
        out.extend(pairs);
        out
    }
}

/// A feature's name as a number: FNV-1a (Fowler, Noll and Vo; public domain), so that a name can be put together
/// piece by piece without writing it down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key(pub u64);

impl Key {
    /// The key of nothing.
    pub const EMPTY: Self = Self(0xcbf2_9ce4_8422_2325);

    /// The key of a whole name.
    #[must_use]
    pub const fn of(name: &str) -> Self {
        Self::EMPTY.and(name)
    }

    /// The key of what it stood for, with `more` behind it.
    #[must_use]
    pub const fn and(self, more: &str) -> Self {
        let (mut hash, mut rest) = (self.0, more.as_bytes());
        while let Some((byte, others)) = rest.split_first() {
            hash = (hash ^ *byte as u64).wrapping_mul(0x0100_0000_01b3);
            rest = others;
        }
        Self(hash)
    }

    fn place(self, count: usize) -> usize {
        ((self.0 ^ (self.0 >> 32)) as usize) & (count - 1)
    }
}

/// Weights ready to be asked.
#[derive(Clone, Debug)]
pub struct Weights {
    bytes: Cow<'static, [u8]>,
    /// The labels.
    pub labels: Vec<String>,
    /// The probability from which the model acts.
    pub sure: f32,
    slots: usize,
    slots_at: usize,
}

impl Weights {
    /// From what [`Fitted::to_bytes`] makes; `None` where it is cut short.
    #[must_use]
    pub fn new(bytes: Cow<'static, [u8]>) -> Option<Self> {
        let four = |at: usize| bytes.get(at..at + 4).and_then(|b| b.try_into().ok());
        let sure = f32::from_le_bytes(four(0)?);
        let length = u32::from_le_bytes(four(4)?) as usize;
        let slots = u32::from_le_bytes(four(8)?) as usize;
        let labels = std::str::from_utf8(bytes.get(12..12 + length)?)
            .ok()?
            .split('\t')
            .map(str::to_owned)
            .collect();
        let slots_at = 12 + length;
        bytes.get(slots_at..slots_at + slots * SLOT)?;
        if !slots.is_power_of_two() {
            return None;
        }
        Some(Self {
            bytes,
            labels,
            sure,
            slots,
            slots_at,
        })
    }

    /// What a feature speaks for or against.
    #[must_use]
    pub fn of(&self, key: Key) -> Row<'_> {
        let pairs_at = self.slots_at + self.slots * SLOT;
        let range = self.slot(key).map_or(0..0, |(start, count)| {
            let from = pairs_at + start * PAIR;
            from..from + count * PAIR
        });
        Row(self.bytes.get(range).unwrap_or_default())
    }

    fn slot(&self, key: Key) -> Option<(usize, usize)> {
        let mut at = key.place(self.slots);
        loop {
            let from = self.slots_at + at * SLOT;
            let slot: &[u8; SLOT] = self.bytes.get(from..from + SLOT)?.try_into().ok()?;
            let [k0, k1, k2, k3, k4, k5, k6, k7, s0, s1, s2, s3, n0, n1, ..] = *slot;
            let count = u16::from_le_bytes([n0, n1]);
            if count == 0 {
                return None;
            }
            if u64::from_le_bytes([k0, k1, k2, k3, k4, k5, k6, k7]) == key.0 {
                return Some((
                    u32::from_le_bytes([s0, s1, s2, s3]) as usize,
                    usize::from(count),
                ));
            }
            at = (at + 1) % self.slots;
        }
    }
}

/// A feature's weights.
#[derive(Clone, Copy, Debug)]
pub struct Row<'w>(&'w [u8]);

impl Row<'_> {
    /// Whether the feature is not known.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The labels by number, with the weight.
    pub fn pairs(&self) -> impl Iterator<Item = (usize, f32)> {
        let (pairs, _) = self.0.as_chunks::<PAIR>();
        pairs.iter().map(|[a, b, c, d]| {
            (
                usize::from(u16::from_le_bytes([*a, *b])),
                f32::from(i16::from_le_bytes([*c, *d])) / STEPS,
            )
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // a test may stop at what it did not expect
    use super::*;

    fn fitted() -> Fitted {
        let mut rows = BTreeMap::new();
        for n in 0..500_u16 {
            rows.insert(
                format!("word w{n}"),
                vec![(n % 3, f32::from(n) / 100.0), ((n + 1) % 3, -0.5)],
            );
        }
        Fitted {
            labels: vec!["a".into(), "b b".into(), "c".into()],
            sure: 0.5,
            made: "here".into(),
            rows,
        }
    }

    #[test]
    fn text_and_back() {
        let fitted = fitted();
        assert_eq!(Fitted::from_text(&fitted.to_text()).unwrap(), fitted);
        let fault = Fitted::from_text("made\tx\nsure\t0.5\nlabels\ta\nword\tb:1\n").unwrap_err();
        assert_eq!(fault.line, 4);
        assert!(Fitted::from_text("word\ta:1\n").is_err());
    }

    #[test]
    fn bytes_hold_every_row_and_nothing_else() {
        let fitted = fitted();
        let weights = Weights::new(fitted.to_bytes().into()).unwrap();
        assert_eq!(weights.labels, fitted.labels);
        for (feature, row) in &fitted.rows {
            let found: Vec<(usize, f32)> = weights.of(Key::of(feature)).pairs().collect();
            assert_eq!(found.len(), row.len());
            for ((label, weight), (wanted, value)) in found.iter().zip(row) {
                assert_eq!(*label, usize::from(*wanted));
                assert!((weight - value).abs() <= 0.5 / STEPS, "{feature}");
            }
        }
        assert!(weights.of(Key::of("word w500")).is_empty());
        assert!(Weights::new(vec![1, 2, 3].into()).is_none());
    }

    #[test]
    fn a_key_is_put_together_piece_by_piece() {
        assert_eq!(Key::of("b low salt"), Key::of("b ").and("low").and(" salt"));
    }
}
