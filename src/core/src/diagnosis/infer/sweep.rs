//! The sweep: sums over all states of the causes, without a subtraction.
//!
//! The table holds, for every set of open findings, the weight of all ways to have made exactly these so far. A
//! cause moves weight from sets to larger sets: with chance 1 − strength a finding stays unmade, with chance
//! strength it is made. Every step only adds products of non-negative numbers, so each sum is right to a few units
//! in the last place of a double however rare the evidence; inclusion-exclusion over the same sets (Heckerman's
//! Quickscore, 1989) subtracts nearly equal numbers and can lose them all.
//!
//! One sweep forwards and one backwards (each step's transpose) give, before each cause, the weight of what came
//! earlier and of what comes later; together with the cause's own chances that is its posterior. Tables of the
//! forward sweep are kept where they fit; else the steps are halved and the first half is swept again.
//!
//! All chances and weights are at most 1, so no table entry grows and a lost entry weighs less than 1e-308; the
//! caller looks at the total to see whether that could matter.

use super::fold::{Bit, Chance};
use super::plan::{Plan, Step};
use super::wide::{Weight, Wide};

/// Weights of a cause being there and not, all evidence included, on the scale of the total.
#[derive(Clone, Copy, Debug)]
pub(super) struct Split {
    pub(super) cause: usize,
    pub(super) there: Wide,
    pub(super) not: Wide,
}

/// Weight of all states, and its split by each cause that the plan passes.
#[derive(Clone, Debug)]
pub(super) struct Swept {
    pub(super) total: Wide,
    pub(super) splits: Vec<Split>,
}

/// Most table entries kept at once by the forward sweep (16 MiB of doubles).
const MOST_KEPT: usize = 1 << 21;

/// Runs the plan in the arithmetic `W`.
pub(super) fn sweep<W: Weight>(plan: &Plan, chances: &[Chance], bits: &[Bit]) -> Swept {
    let mut run = Run {
        chances,
        bits,
        keep: MOST_KEPT,
        splits: Vec::new(),
        scratch: Vec::new(),
    };
    let total = run.halves(&plan.steps, vec![W::ONE], vec![W::ONE]);
    Swept {
        total: total.first().copied().unwrap_or(W::ZERO).wide(),
        splits: run.splits,
    }
}

struct Run<'a, W> {
    chances: &'a [Chance],
    bits: &'a [Bit],
    keep: usize,
    splits: Vec<Split>,
    scratch: Vec<W>,
}

impl<W: Weight> Run<'_, W> {
    /// From the table before `steps` and the weights after them (the value of each state from there on), records the
    /// split of each cause among the steps and gives back the weights before them.
    fn halves(&mut self, steps: &[(u32, Step)], before: Vec<W>, after: Vec<W>) -> Vec<W> {
        let entries: usize = steps.iter().map(|(open, _)| 1_usize << open).sum();
        if entries <= self.keep || steps.len() < 2 {
            return self.there_and_back(steps, before, after);
        }
        let (first, second) = steps.split_at(steps.len() / 2);
        let mut middle = before.clone();
        let mut next = Vec::new();
        for (_, step) in first {
            next.clear();
            self.forward(step, &middle, &mut next);
            std::mem::swap(&mut middle, &mut next);
        }
        drop(next);
        let between = self.halves(second, middle, after);
        self.halves(first, before, between)
    }

    /// The same with all tables of the forward sweep kept.
    fn there_and_back(&mut self, steps: &[(u32, Step)], before: Vec<W>, after: Vec<W>) -> Vec<W> {
        let mut tables: Vec<Vec<W>> = Vec::with_capacity(steps.len());
        let mut table = before;
        for (at, (_, step)) in steps.iter().enumerate() {
            let mut next = Vec::new();
            // The table after the last step is the backward sweep's affair.
            if at + 1 < steps.len() {
                self.forward(step, &table, &mut next);
            }
            tables.push(table);
            table = next;
        }
        let mut weights = after;
        for ((_, step), table) in steps.iter().zip(&tables).rev() {
            weights = self.backward(step, table, weights);
        }
        weights
    }

    /// Appends the table after a step to the empty `next`.
    fn forward(&self, step: &Step, table: &[W], next: &mut Vec<W>) {
        match step {
            Step::Open { bit } => {
                let bit = &self.bits[*bit];
                let (rest, leak) = (W::from_f64(bit.rest), W::from_f64(bit.leak));
                next.reserve(table.len() * 2);
                next.extend(table.iter().map(|&w| w * rest));
                next.extend(table.iter().map(|&w| w * leak));
            }
            Step::Pass { cause, makes } => {
                let (there, not) = self.chance(*cause);
                next.extend_from_slice(table);
                for &(slot, strength) in makes {
                    spread(next, slot, strength);
                }
                for (to, &from) in next.iter_mut().zip(table) {
                    *to = from * not + *to * there;
                }
            }
            Step::Close { bit, slot } => {
                let bit = &self.bits[*bit];
                let (unmade, made) = (W::from_f64(bit.unmade), W::from_f64(bit.made));
                next.reserve(table.len() / 2);
                let run = 1_usize << slot;
                for pair in table.chunks_exact(run * 2) {
                    let (without, with) = pair.split_at(run);
                    next.extend(
                        without
                            .iter()
                            .zip(with)
                            .map(|(&a, &b)| a * unmade + b * made),
                    );
                }
            }
        }
    }

    /// The weights before a step from those after it; `table` is the forward table before it.
    fn backward(&mut self, step: &Step, table: &[W], mut weights: Vec<W>) -> Vec<W> {
        match step {
            Step::Open { bit } => {
                let bit = &self.bits[*bit];
                let (rest, leak) = (W::from_f64(bit.rest), W::from_f64(bit.leak));
                let (without, with) = weights.split_at_mut(table.len());
                for (a, &b) in without.iter_mut().zip(with.iter()) {
                    *a = *a * rest + b * leak;
                }
                weights.truncate(table.len());
            }
            Step::Pass { cause, makes } => {
                let (there, not) = self.chance(*cause);
                let mut made = std::mem::take(&mut self.scratch);
                made.clear();
                made.extend_from_slice(&weights);
                for &(slot, strength) in makes {
                    gather(&mut made, slot, strength);
                }
                let (if_there, if_not) = (dot(table, &made), dot(table, &weights));
                self.splits.push(Split {
                    cause: *cause,
                    there: (if_there * there).wide(),
                    not: (if_not * not).wide(),
                });
                for (a, &b) in weights.iter_mut().zip(&made) {
                    *a = *a * not + b * there;
                }
                self.scratch = made;
            }
            Step::Close { bit, slot } => {
                let bit = &self.bits[*bit];
                let (unmade, made) = (W::from_f64(bit.unmade), W::from_f64(bit.made));
                let mut wider = Vec::with_capacity(table.len());
                for run in weights.chunks_exact(1 << slot) {
                    wider.extend(run.iter().map(|&w| w * unmade));
                    wider.extend(run.iter().map(|&w| w * made));
                }
                weights = wider;
            }
        }
        weights
    }

    fn chance(&self, cause: usize) -> (W, W) {
        let chance = self.chances[cause];
        (W::from_wide(chance.there), W::from_wide(chance.not))
    }
}

/// Moves the share `strength` of each set's weight to the set with the finding in `slot` as well.
fn spread<W: Weight>(table: &mut [W], slot: u32, strength: f64) {
    let (moves, stays) = (W::from_f64(strength), W::from_f64(1.0 - strength));
    let run = 1_usize << slot;
    for pair in table.chunks_exact_mut(run * 2) {
        let (without, with) = pair.split_at_mut(run);
        for (a, b) in without.iter_mut().zip(with) {
            *b = *b + *a * moves;
            *a = *a * stays;
        }
    }
}

/// The transpose of [`spread`].
fn gather<W: Weight>(weights: &mut [W], slot: u32, strength: f64) {
    let (moves, stays) = (W::from_f64(strength), W::from_f64(1.0 - strength));
    let run = 1_usize << slot;
    for pair in weights.chunks_exact_mut(run * 2) {
        let (without, with) = pair.split_at_mut(run);
        for (a, &mut b) in without.iter_mut().zip(with) {
            *a = *a * stays + b * moves;
        }
    }
}

/// Sum of products, in four sums side by side (a fixed order, and room for the processor).
fn dot<W: Weight>(a: &[W], b: &[W]) -> W {
    let mut sums = [W::ZERO; 4];
    let (a, b) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest = a
        .remainder()
        .iter()
        .zip(b.remainder())
        .fold(W::ZERO, |sum, (&x, &y)| sum + x * y);
    for (x, y) in a.zip(b) {
        for ((sum, &x), &y) in sums.iter_mut().zip(x).zip(y) {
            *sum = *sum + x * y;
        }
    }
    ((sums[0] + sums[1]) + (sums[2] + sums[3])) + rest
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::plan::plan;
    use super::*;

    /// Halving the steps again and again changes no digit: the same sums are made in the same order.
    #[test]
    fn keeping_fewer_tables_changes_nothing() {
        let chances: Vec<Chance> = (1..20)
            .map(|i| f64::from(i) / 40.0)
            .map(|p| Chance {
                there: Wide::new(p),
                not: Wide::new(1.0 - p),
            })
            .collect();
        let edges = |bit: usize| {
            (0..19)
                .filter(|c| (c * 7 + bit) % 3 != 1)
                .map(|c| (c, 0.04 * (c + 1) as f64))
                .collect()
        };
        let bits: Vec<Bit> = (0..5)
            .map(|b| Bit {
                rest: 0.99,
                leak: 0.01,
                unmade: 0.0,
                made: 1.0,
                edges: edges(b),
            })
            .collect();
        let plan = plan(&bits, chances.len()).unwrap();
        let answer = |keep: usize| {
            let mut run = Run {
                chances: &chances,
                bits: &bits,
                keep,
                splits: Vec::new(),
                scratch: Vec::new(),
            };
            let total = run.halves(&plan.steps, vec![1.0], vec![1.0]);
            let splits = run
                .splits
                .iter()
                .map(|s| (s.cause, s.there.to_f64(), s.not.to_f64()))
                .collect::<Vec<_>>();
            (total, splits)
        };
        let kept = answer(MOST_KEPT);
        assert_eq!(kept.1.len(), 19);
        assert_eq!(answer(1), kept);
        assert_eq!(answer(100), kept);
    }
}
