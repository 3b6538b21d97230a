//! What is known of one case: findings, likelihoods of causes, judgements on many causes at once, conditions.

use super::network::{CauseIx, ConditionIx, FindingIx};

/// How probable some observation is with a thing there and with it not there. Only the quotient moves posteriors;
/// the log evidence counts both as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Likelihood {
    /// With the thing there; finite, at least 0.
    pub if_present: f64,
    /// With the thing not there; finite, at least 0.
    pub if_absent: f64,
}

impl Likelihood {
    /// The thing was seen for certain.
    pub const PRESENT: Self = Self {
        if_present: 1.0,
        if_absent: 0.0,
    };
    /// The thing is not there for certain.
    pub const ABSENT: Self = Self {
        if_present: 0.0,
        if_absent: 1.0,
    };

    /// Soft evidence (virtual evidence, Pearl 1988): counts `ratio` where the thing is there, 1 where it is not.
    #[must_use]
    pub fn ratio(ratio: f64) -> Self {
        Self {
            if_present: ratio,
            if_absent: 1.0,
        }
    }
}

/// Likelihood ratios of one observation for many causes.
///
/// A state of the causes counts by the product over the causes that are there of their ratio: the `named` one, or
/// `other` where a cause is not named. The state in which none of the causes of the evidence's [`Scope`] is there
/// counts `other` too, as there the leak made what was seen. With one named cause `other` is thus what speaks
/// against its rivals and against something unlisted alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// Ratios of the causes that the observation speaks for (above 1) or against (below 1).
    pub named: Vec<(CauseIx, f64)>,
    /// Ratio of every cause that is not named, and of none being there.
    pub other: f64,
}

/// Which causes "none of them" means, for [`Judgement::other`] and [`super::Posteriors::none`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scope {
    /// The causes that could make one of the findings that were seen. The others say nothing about what made these.
    #[default]
    Explaining,
    /// All causes of the network.
    All,
}

/// Everything known of one case. Evidence on the same thing multiplies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    pub(super) findings: Vec<(FindingIx, Likelihood)>,
    pub(super) causes: Vec<(CauseIx, Likelihood)>,
    pub(super) judgements: Vec<Judgement>,
    pub(super) conditions: Vec<ConditionIx>,
    pub(super) scope: Scope,
}

impl Evidence {
    /// Nothing known.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The finding was looked for and seen.
    pub fn present(&mut self, finding: FindingIx) -> &mut Self {
        self.finding(finding, Likelihood::PRESENT)
    }

    /// The finding was looked for and not seen.
    pub fn absent(&mut self, finding: FindingIx) -> &mut Self {
        self.finding(finding, Likelihood::ABSENT)
    }

    /// Evidence about the finding that falls short of having looked, such as another's word.
    pub fn finding(&mut self, finding: FindingIx, likelihood: Likelihood) -> &mut Self {
        self.findings.push((finding, likelihood));
        self
    }

    /// Evidence about one cause, such as the outcome of a check that depends on it alone.
    pub fn cause(&mut self, cause: CauseIx, likelihood: Likelihood) -> &mut Self {
        self.causes.push((cause, likelihood));
        self
    }

    /// An observation that speaks for or against many causes.
    pub fn judge(&mut self, judgement: Judgement) -> &mut Self {
        self.judgements.push(judgement);
        self
    }

    /// A condition under which the findings were made.
    pub fn condition(&mut self, condition: ConditionIx) -> &mut Self {
        self.conditions.push(condition);
        self
    }

    /// Sets what "none of the causes" means.
    pub fn scope(&mut self, scope: Scope) -> &mut Self {
        self.scope = scope;
        self
    }
}
