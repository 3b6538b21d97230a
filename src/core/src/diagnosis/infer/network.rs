//! The numbers of a two-layer network: priors of causes, leaks and strengths of findings, and how conditions change
//! the strengths.

use super::{InferError, probability, weight};

/// A cause of a [`Network`], by its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CauseIx(pub usize);

/// A finding of a [`Network`], by its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FindingIx(pub usize);

/// A condition of a [`Network`], by its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ConditionIx(pub usize);

/// A finding's own numbers.
#[derive(Clone, Debug)]
pub(super) struct Finding {
    /// Probability that it is seen with none of the causes there.
    pub(super) leak: f64,
    /// Cause and strength, by rising cause; no entry is a strength of 0.
    pub(super) edges: Vec<(usize, f64)>,
    /// Condition, cause and factor: what an observed condition multiplies a strength by.
    factors: Vec<(usize, usize, f64)>,
}

/// Causes with priors, findings with leak and strengths, conditions that weaken or strengthen a strength.
///
/// Built once, then asked with as many [`super::Evidence`] as there are cases.
///
/// ```
/// # use padlore_core::diagnosis::infer::{Evidence, Network, infer};
/// # fn main() -> Result<(), padlore_core::diagnosis::infer::InferError> {
/// let mut network = Network::new();
/// let cause = network.add_cause(0.1)?;
/// let finding = network.add_finding(0.0)?;
/// network.set_strength(finding, cause, 0.5)?;
/// let mut evidence = Evidence::new();
/// evidence.absent(finding);
/// let answer = infer(&network, &evidence)?;
/// assert!((answer.probability(cause) - 0.05 / 0.95).abs() < 1e-15);
/// # Ok(())
/// # }
/// ```
#[derive(Clone, Debug, Default)]
pub struct Network {
    priors: Vec<f64>,
    findings: Vec<Finding>,
    conditions: usize,
}

impl Network {
    /// A network without causes or findings.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a cause; `prior` is the probability that it is there before anything is known.
    ///
    /// # Errors
    /// [`InferError::NotAProbability`] outside 0..=1.
    pub fn add_cause(&mut self, prior: f64) -> Result<CauseIx, InferError> {
        self.priors.push(probability("a prior", prior)?);
        Ok(CauseIx(self.priors.len() - 1))
    }

    /// Adds a finding; `leak` is the probability that it is seen with none of the causes there.
    ///
    /// # Errors
    /// [`InferError::NotAProbability`] outside 0..=1.
    pub fn add_finding(&mut self, leak: f64) -> Result<FindingIx, InferError> {
        let leak = probability("a leak", leak)?;
        self.findings.push(Finding {
            leak,
            edges: Vec::new(),
            factors: Vec::new(),
        });
        Ok(FindingIx(self.findings.len() - 1))
    }

    /// Adds a condition, which does nothing before [`Network::set_condition_factor`].
    pub fn add_condition(&mut self) -> ConditionIx {
        self.conditions += 1;
        ConditionIx(self.conditions - 1)
    }

    /// Sets the probability that `cause`, being there, makes `finding`. A pair never set has strength 0.
    ///
    /// # Errors
    /// [`InferError::NotAProbability`] outside 0..=1; an unknown cause or finding.
    pub fn set_strength(
        &mut self,
        finding: FindingIx,
        cause: CauseIx,
        strength: f64,
    ) -> Result<(), InferError> {
        let strength = probability("a strength", strength)?;
        self.check_cause(cause)?;
        let edges = &mut self.finding_mut(finding)?.edges;
        match edges.binary_search_by_key(&cause.0, |edge| edge.0) {
            Ok(at) => edges[at].1 = strength,
            Err(at) => edges.insert(at, (cause.0, strength)),
        }
        Ok(())
    }

    /// Sets what the strength of `finding` from `cause` is multiplied by where `condition` was observed. Factors of
    /// several conditions multiply; a product of strength and factors above 1 counts as 1; the leak stays.
    ///
    /// # Errors
    /// [`InferError::NotAWeight`] where negative or not finite; an unknown cause, finding or condition.
    pub fn set_condition_factor(
        &mut self,
        finding: FindingIx,
        condition: ConditionIx,
        cause: CauseIx,
        factor: f64,
    ) -> Result<(), InferError> {
        let factor = weight("a condition's factor", factor)?;
        self.check_cause(cause)?;
        self.check_condition(condition)?;
        let factors = &mut self.finding_mut(finding)?.factors;
        match factors
            .iter_mut()
            .find(|entry| entry.0 == condition.0 && entry.1 == cause.0)
        {
            Some(entry) => entry.2 = factor,
            None => factors.push((condition.0, cause.0, factor)),
        }
        Ok(())
    }

    /// How many causes there are.
    #[must_use]
    pub fn cause_count(&self) -> usize {
        self.priors.len()
    }

    /// How many findings there are.
    #[must_use]
    pub fn finding_count(&self) -> usize {
        self.findings.len()
    }

    /// How many conditions there are.
    #[must_use]
    pub fn condition_count(&self) -> usize {
        self.conditions
    }

    pub(super) fn priors(&self) -> &[f64] {
        &self.priors
    }

    pub(super) fn finding(&self, finding: FindingIx) -> Result<&Finding, InferError> {
        self.findings
            .get(finding.0)
            .ok_or(InferError::UnknownFinding(finding.0))
    }

    pub(super) fn check_cause(&self, cause: CauseIx) -> Result<(), InferError> {
        if cause.0 < self.priors.len() {
            Ok(())
        } else {
            Err(InferError::UnknownCause(cause.0))
        }
    }

    pub(super) fn check_condition(&self, condition: ConditionIx) -> Result<(), InferError> {
        if condition.0 < self.conditions {
            Ok(())
        } else {
            Err(InferError::UnknownCondition(condition.0))
        }
    }

    fn finding_mut(&mut self, finding: FindingIx) -> Result<&mut Finding, InferError> {
        self.findings
            .get_mut(finding.0)
            .ok_or(InferError::UnknownFinding(finding.0))
    }
}

impl Finding {
    /// Causes with a strength above 0 under the observed conditions, by rising cause.
    pub(super) fn strengths<'a>(
        &'a self,
        observed: &'a [usize],
    ) -> impl Iterator<Item = (usize, f64)> + 'a {
        self.edges.iter().filter_map(move |&(cause, strength)| {
            let mut strength = strength;
            if !observed.is_empty() {
                for factor in self
                    .factors
                    .iter()
                    .filter(|f| f.1 == cause && observed.contains(&f.0))
                {
                    strength *= factor.2;
                }
            }
            (strength > 0.0).then_some((cause, strength.min(1.0)))
        })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn refuses_numbers_out_of_range_and_places_that_are_not_there() {
        let mut network = Network::new();
        assert!(matches!(
            network.add_cause(1.5),
            Err(InferError::NotAProbability { .. })
        ));
        assert!(matches!(
            network.add_finding(f64::NAN),
            Err(InferError::NotAProbability { .. })
        ));
        assert_eq!(
            network.set_strength(FindingIx(0), CauseIx(0), 0.5),
            Err(InferError::UnknownCause(0))
        );
        assert_eq!(network.add_cause(0.5), Ok(CauseIx(0)));
        assert_eq!(
            network.set_strength(FindingIx(0), CauseIx(0), 0.5),
            Err(InferError::UnknownFinding(0))
        );
        assert_eq!(network.add_finding(0.1), Ok(FindingIx(0)));
        let condition = ConditionIx(0);
        assert_eq!(
            network.set_condition_factor(FindingIx(0), condition, CauseIx(0), 0.5),
            Err(InferError::UnknownCondition(0))
        );
        assert_eq!(network.add_condition(), condition);
        assert!(matches!(
            network.set_condition_factor(FindingIx(0), condition, CauseIx(0), -1.0),
            Err(InferError::NotAWeight { .. })
        ));
    }

    #[test]
    fn conditions_multiply_and_never_pass_one() {
        let mut network = Network::new();
        let cause = network.add_cause(0.5).unwrap();
        let other = network.add_cause(0.5).unwrap();
        let finding = network.add_finding(0.1).unwrap();
        let (cold, wet) = (network.add_condition(), network.add_condition());
        network.set_strength(finding, other, 0.5).unwrap();
        network.set_strength(finding, cause, 0.8).unwrap();
        network
            .set_condition_factor(finding, cold, cause, 0.5)
            .unwrap();
        network
            .set_condition_factor(finding, wet, cause, 0.25)
            .unwrap();
        network
            .set_condition_factor(finding, wet, other, 3.0)
            .unwrap();
        let seen = |network: &Network, observed: &[usize]| {
            network
                .finding(finding)
                .unwrap()
                .strengths(observed)
                .collect::<Vec<_>>()
        };
        assert_eq!(seen(&network, &[]), [(0, 0.8), (1, 0.5)]);
        assert_eq!(seen(&network, &[0]), [(0, 0.4), (1, 0.5)]);
        assert_eq!(seen(&network, &[0, 1]), [(0, 0.1), (1, 1.0)]);
        network
            .set_condition_factor(finding, cold, cause, 0.0)
            .unwrap();
        assert_eq!(seen(&network, &[0]), [(1, 0.5)]);
    }
}
