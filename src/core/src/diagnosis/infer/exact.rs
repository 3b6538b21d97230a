//! Exact posteriors of all causes, and the log evidence.

use super::InferError;
use super::evidence::Evidence;
use super::fold::{Chance, Folded, fold};
use super::network::{CauseIx, Network};
use super::plan::plan;
use super::sweep::{Swept, sweep};
use super::wide::Wide;

/// Below this total the sweep in doubles may have lost terms that matter, and is run again in numbers that do not
/// underflow. What a double loses weighs less than 1e-308 a step; above it stay 100 digits of room.
const SURE_IN_DOUBLES: f64 = 1e-200;

/// What the evidence says of every cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Posteriors {
    /// Probability that the cause is there, for each cause of the network in its order.
    pub probabilities: Vec<f64>,
    /// Natural logarithm of the odds that the cause is there, for each cause: exact also where the probability is
    /// within a double's last digit of 1; infinite where certain.
    pub log_odds: Vec<f64>,
    /// Probability that none of the causes is there that the evidence's [`super::Scope`] is about: what was seen was
    /// then made by something unlisted. 1 where the scope has no cause.
    pub none: f64,
    /// Natural logarithm of the probability of the evidence; likelihoods and ratios count as they are, so it may
    /// exceed 0.
    pub log_evidence: f64,
}

impl Posteriors {
    /// Probability that the cause is there; 0 for a cause that the network does not have.
    #[must_use]
    pub fn probability(&self, cause: CauseIx) -> f64 {
        self.probabilities.get(cause.0).copied().unwrap_or(0.0)
    }

    /// Log odds that the cause is there; minus infinity for a cause that the network does not have.
    #[must_use]
    pub fn log_odds(&self, cause: CauseIx) -> f64 {
        self.log_odds
            .get(cause.0)
            .copied()
            .unwrap_or(f64::NEG_INFINITY)
    }
}

/// The exact posterior of every cause given the evidence.
///
/// Time and memory grow with 2^(seen findings that hang together through causes), not with the number of causes
/// squared: one sweep over the causes forwards and one back. Deterministic: the same input gives the same digits,
/// whatever order the evidence on findings came in.
///
/// # Errors
/// [`InferError::Impossible`] where the evidence has probability 0; [`InferError::TooWide`] where too many findings
/// hang together (more than 21 open at once; the question that [`super::Judgement::other`] asks counts as one); evidence on things that the network lacks, or likelihoods that are none.
pub fn infer(network: &Network, evidence: &Evidence) -> Result<Posteriors, InferError> {
    let folded = fold(network, evidence)?;
    let plan = plan(&folded.bits, folded.chances.len())?;
    let mut swept = sweep::<f64>(&plan, &folded.chances, &folded.bits);
    if swept.total.to_f64() < SURE_IN_DOUBLES {
        swept = sweep::<Wide>(&plan, &folded.chances, &folded.bits);
    }
    if swept.total.is_zero() {
        return Err(InferError::Impossible);
    }
    Ok(posteriors(folded, &swept))
}

fn posteriors(folded: Folded, swept: &Swept) -> Posteriors {
    let mut chances = folded.chances;
    for split in &swept.splits {
        if let Some(chance) = chances.get_mut(split.cause) {
            *chance = Chance {
                there: split.there,
                not: split.not,
            };
        }
    }
    Posteriors {
        probabilities: chances
            .iter()
            .map(|c| (c.there / (c.there + c.not)).to_f64())
            .collect(),
        log_odds: chances.iter().map(|c| c.there.ln() - c.not.ln()).collect(),
        none: (folded.none / swept.total).to_f64().min(1.0),
        log_evidence: folded.log + swept.total.ln(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::evidence::{Judgement, Likelihood, Scope};
    use super::super::network::FindingIx;
    use super::*;

    fn close(a: f64, b: f64) {
        assert!(
            (a - b).abs() <= 1e-13 * b.abs().max(1e-3),
            "{a:e} is not {b:e}"
        );
    }

    /// Two causes of one finding, each with a finding of its own.
    fn small() -> (Network, [CauseIx; 2], [FindingIx; 3]) {
        let mut network = Network::new();
        let causes = [
            network.add_cause(0.1).unwrap(),
            network.add_cause(0.2).unwrap(),
        ];
        let findings = [0.01, 0.02, 0.0].map(|leak| network.add_finding(leak).unwrap());
        network.set_strength(findings[0], causes[0], 0.9).unwrap();
        network.set_strength(findings[0], causes[1], 0.5).unwrap();
        network.set_strength(findings[1], causes[0], 0.3).unwrap();
        network.set_strength(findings[2], causes[1], 0.6).unwrap();
        (network, causes, findings)
    }

    #[test]
    fn without_evidence_the_priors_stand() {
        let (network, causes, _) = small();
        let answer = infer(&network, &Evidence::new()).unwrap();
        close(answer.probability(causes[0]), 0.1);
        close(answer.probability(causes[1]), 0.2);
        close(answer.log_odds(causes[1]), 0.25_f64.ln());
        assert_eq!((answer.none, answer.log_evidence), (1.0, 0.0));
        let mut all = Evidence::new();
        all.scope(Scope::All);
        close(infer(&network, &all).unwrap().none, 0.9 * 0.8);
    }

    #[test]
    fn one_finding_by_hand() {
        let (network, causes, findings) = small();
        let mut evidence = Evidence::new();
        evidence.present(findings[0]);
        let answer = infer(&network, &evidence).unwrap();
        let seen = |first: bool, second: bool| {
            1.0 - 0.99 * if first { 0.1 } else { 1.0 } * if second { 0.5 } else { 1.0 }
        };
        let (both, one, two, none) = (
            0.02 * seen(true, true),
            0.08 * seen(true, false),
            0.18 * seen(false, true),
            0.72 * seen(false, false),
        );
        let total: f64 = both + one + two + none;
        close(answer.log_evidence, total.ln());
        close(answer.probability(causes[0]), (both + one) / total);
        close(answer.probability(causes[1]), (both + two) / total);
        close(answer.none, none / total);
    }

    #[test]
    fn a_judgement_counts_on_the_named_on_the_others_and_on_none() {
        let (network, causes, findings) = small();
        let mut evidence = Evidence::new();
        evidence.present(findings[0]).judge(Judgement {
            named: vec![(causes[0], 8.0)],
            other: 0.25,
        });
        let answer = infer(&network, &evidence).unwrap();
        let (both, one) = (
            0.02 * (1.0 - 0.99 * 0.05) * 8.0 * 0.25,
            0.08 * (1.0 - 0.99 * 0.1) * 8.0,
        );
        let (two, none) = (0.18 * (1.0 - 0.99 * 0.5) * 0.25, 0.72 * 0.01 * 0.25);
        let total: f64 = both + one + two + none;
        close(answer.log_evidence, total.ln());
        close(answer.probability(causes[0]), (both + one) / total);
        close(answer.probability(causes[1]), (both + two) / total);
        close(answer.none, none / total);
    }

    #[test]
    fn a_judgement_without_a_finding_leaves_none_certain() {
        let (network, causes, _) = small();
        let mut evidence = Evidence::new();
        evidence.judge(Judgement {
            named: vec![(causes[0], 9.0)],
            other: 0.5,
        });
        let answer = infer(&network, &evidence).unwrap();
        close(answer.probability(causes[0]), 0.5);
        assert_eq!(answer.none, 1.0);
        evidence.scope(Scope::All);
        let answer = infer(&network, &evidence).unwrap();
        let (both, one, two, none) = (0.02 * 4.5, 0.08 * 9.0, 0.18 * 0.5, 0.72 * 0.5);
        let total: f64 = both + one + two + none;
        close(answer.none, none / total);
        close(answer.probability(causes[1]), (both + two) / total);
    }

    #[test]
    fn certain_and_impossible_evidence() {
        let (network, causes, findings) = small();
        let mut evidence = Evidence::new();
        evidence.present(findings[2]);
        let answer = infer(&network, &evidence).unwrap();
        assert_eq!(answer.probability(causes[1]), 1.0);
        assert_eq!(answer.log_odds(causes[1]), f64::INFINITY);
        assert_eq!(answer.none, 0.0);
        evidence.cause(causes[1], Likelihood::ABSENT);
        assert_eq!(infer(&network, &evidence), Err(InferError::Impossible));
        let mut evidence = Evidence::new();
        evidence.present(findings[0]).absent(findings[0]);
        assert_eq!(infer(&network, &evidence), Err(InferError::Impossible));
        let mut evidence = Evidence::new();
        evidence
            .cause(causes[0], Likelihood::PRESENT)
            .cause(causes[0], Likelihood::ABSENT);
        assert_eq!(infer(&network, &evidence), Err(InferError::Impossible));
    }

    #[test]
    fn refuses_evidence_on_what_is_not_there_and_likelihoods_that_are_none() {
        let (network, causes, findings) = small();
        let refused = |evidence: &mut Evidence| infer(&network, evidence).unwrap_err();
        assert_eq!(
            refused(Evidence::new().present(FindingIx(9))),
            InferError::UnknownFinding(9)
        );
        assert_eq!(
            refused(Evidence::new().cause(CauseIx(9), Likelihood::PRESENT)),
            InferError::UnknownCause(9)
        );
        let stranger = Judgement {
            named: vec![(CauseIx(9), 2.0)],
            other: 1.0,
        };
        assert_eq!(
            refused(Evidence::new().judge(stranger)),
            InferError::UnknownCause(9)
        );
        for bad in [-1.0, f64::NAN, f64::INFINITY] {
            let ratio = Likelihood::ratio(bad);
            assert!(matches!(
                refused(Evidence::new().finding(findings[0], ratio)),
                InferError::NotAWeight { .. }
            ));
            assert!(matches!(
                refused(Evidence::new().cause(causes[0], ratio)),
                InferError::NotAWeight { .. }
            ));
        }
    }

    /// Sixteen findings, each so improbable that the evidence has probability 1e-630.
    #[test]
    fn evidence_far_below_the_range_of_a_double_keeps_its_digits() {
        let mut network = Network::new();
        let mut evidence = Evidence::new();
        let common = network.add_cause(1e-300).unwrap();
        for _ in 0..16 {
            let cause = network.add_cause(1e-40).unwrap();
            let finding = network.add_finding(3e-40).unwrap();
            network.set_strength(finding, cause, 1.0).unwrap();
            network.set_strength(finding, common, 1e-25).unwrap();
            evidence.present(finding);
        }
        let answer = infer(&network, &evidence).unwrap();
        close(answer.log_evidence, 16.0 * 4e-40_f64.ln());
        // Common cause: 1e-300 × (1e-25)^16 = 1e-700 against (4e-40)^16.
        close(
            answer.log_odds(common),
            -700.0 * std::f64::consts::LN_10 - 16.0 * 4e-40_f64.ln(),
        );
        close(answer.probability(CauseIx(1)), 0.25);
        close(answer.none.ln(), 16.0 * 0.75_f64.ln());
    }

    /// Absent findings and likelihoods can take a cause's chances far below the range of a double, too.
    #[test]
    fn a_thousand_absent_findings_do_not_underflow() {
        let mut network = Network::new();
        let cause = network.add_cause(0.5).unwrap();
        let mut evidence = Evidence::new();
        for _ in 0..1000 {
            let finding = network.add_finding(0.5).unwrap();
            network.set_strength(finding, cause, 0.9).unwrap();
            evidence
                .absent(finding)
                .cause(cause, Likelihood::ratio(10.0));
        }
        let answer = infer(&network, &evidence).unwrap();
        assert!(
            (answer.log_odds(cause)).abs() < 1e-9,
            "{}",
            answer.log_odds(cause)
        );
        assert!((answer.log_evidence - 1000.0 * 0.5_f64.ln()).abs() < 1e-9);
    }

    #[test]
    fn too_many_findings_on_one_cause_are_refused() {
        let mut network = Network::new();
        let causes: Vec<CauseIx> = (0..30).map(|_| network.add_cause(0.1).unwrap()).collect();
        let mut evidence = Evidence::new();
        for _ in 0..22 {
            let finding = network.add_finding(0.1).unwrap();
            for &cause in &causes {
                network.set_strength(finding, cause, 0.5).unwrap();
            }
            evidence.present(finding);
        }
        assert_eq!(
            infer(&network, &evidence),
            Err(InferError::TooWide {
                open: 22,
                limit: 21
            })
        );
    }

    /// A chain of fifty findings never has more than two open.
    #[test]
    fn a_long_chain_of_findings_is_no_wider_than_its_links() {
        let mut network = Network::new();
        let causes: Vec<CauseIx> = (0..51).map(|_| network.add_cause(0.1).unwrap()).collect();
        let mut evidence = Evidence::new();
        for pair in causes.windows(2) {
            let finding = network.add_finding(0.05).unwrap();
            network.set_strength(finding, pair[0], 0.7).unwrap();
            network.set_strength(finding, pair[1], 0.7).unwrap();
            evidence.present(finding);
        }
        let answer = infer(&network, &evidence).unwrap();
        // A chain is solved link by link with the state of one cause carried on.
        let mut carried = [0.9, 0.1];
        for _ in 0..50 {
            let seen = |a: usize, b: usize| 1.0 - 0.95 * 0.3_f64.powi((a + b) as i32);
            carried = [0, 1].map(|b| {
                (carried[0] * seen(0, b) + carried[1] * seen(1, b)) * if b == 1 { 0.1 } else { 0.9 }
            });
        }
        close(answer.log_evidence, (carried[0] + carried[1]).ln());
        close(
            answer.probability(causes[50]),
            carried[1] / (carried[0] + carried[1]),
        );
        close(
            answer.probability(causes[0]),
            carried[1] / (carried[0] + carried[1]),
        );
    }
}
