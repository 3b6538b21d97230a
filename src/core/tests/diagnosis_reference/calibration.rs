//! Calibration: whether what is called 30 % probable is there three times in ten.

use super::networks::NetworkData;
use super::{cases, close, posterior};
use padlore_core::diagnosis::infer::{Evidence, FindingIx, Posteriors, infer};
use serde::Deserialize;
use std::collections::HashMap;

#[derive(Deserialize)]
struct CalibrationInput {
    #[serde(flatten)]
    network: NetworkData,
    /// Causes that were there, findings seen, findings looked for and not seen, as bit masks.
    cases: Vec<[u64; 3]>,
}

#[derive(Deserialize)]
struct CalibrationExpected {
    ece: f64,
    brier: f64,
    log_loss: f64,
    pairs: usize,
    bins: Vec<Bin>,
    distinct_findings_sets: usize,
    first_posteriors: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct Bin {
    count: u64,
    mean_posterior: Option<f64>,
    share_true: Option<f64>,
}

/// Expected calibration error that the project asks for.
const MOST_ECE: f64 = 0.02;

#[test]
fn posteriors_are_calibrated() {
    for case in cases::<CalibrationInput, CalibrationExpected>("calibration") {
        let built = case.input.network.build();
        let (expected, tolerance) = (&case.expected, &case.tolerance);
        let mut known: HashMap<(u64, u64), Posteriors> = HashMap::new();
        let mut bins = [(0_u64, 0.0, 0.0); 10];
        let (mut brier, mut log_loss, mut pairs) = (0.0, 0.0, 0_usize);
        for (at, &[truth, present, absent]) in case.input.cases.iter().enumerate() {
            let answer = known.entry((present, absent)).or_insert_with(|| {
                let mut evidence = Evidence::new();
                for finding in 0..case.input.network.findings.len() {
                    if present >> finding & 1 == 1 {
                        evidence.present(FindingIx(finding));
                    } else if absent >> finding & 1 == 1 {
                        evidence.absent(FindingIx(finding));
                    }
                }
                infer(&built.network, &evidence).unwrap()
            });
            if let Some(first) = expected.first_posteriors.get(at) {
                assert_eq!(first.len(), answer.probabilities.len(), "{}", case.id);
                for (&found, &value) in answer.probabilities.iter().zip(first) {
                    posterior(&case.id, found, value, tolerance);
                }
            }
            for (cause, (&p, &odds)) in answer
                .probabilities
                .iter()
                .zip(&answer.log_odds)
                .enumerate()
            {
                let there = truth >> cause & 1 == 1;
                let bin = &mut bins[((p * 10.0) as usize).min(9)];
                *bin = (bin.0 + 1, bin.1 + p, bin.2 + f64::from(u8::from(there)));
                brier += (p - f64::from(u8::from(there))).powi(2);
                log_loss += if there { -odds } else { odds }.exp().ln_1p();
                pairs += 1;
            }
        }
        assert_eq!(pairs, expected.pairs, "{}", case.id);
        assert_eq!(known.len(), expected.distinct_findings_sets, "{}", case.id);
        let n = pairs as f64;
        let ece = bins.iter().map(|bin| (bin.1 - bin.2).abs()).sum::<f64>() / n;
        close(&case.id, ece, expected.ece, tolerance.ece_abs.unwrap());
        close(
            &case.id,
            brier / n,
            expected.brier,
            tolerance.brier_abs.unwrap(),
        );
        close(
            &case.id,
            log_loss / n,
            expected.log_loss,
            tolerance.log_loss_abs.unwrap(),
        );
        assert!(ece < MOST_ECE, "{}: {ece}", case.id);
        assert_eq!(bins.len(), expected.bins.len(), "{}", case.id);
        for (&(count, sum, there), bin) in bins.iter().zip(&expected.bins) {
            assert!(
                count.abs_diff(bin.count) <= tolerance.bin_count.unwrap(),
                "{}: {count}",
                case.id
            );
            let mean = |sum: f64| (count > 0).then(|| sum / count as f64);
            for (found, expected) in [
                (mean(sum), bin.mean_posterior),
                (mean(there), bin.share_true),
            ] {
                match (found, expected) {
                    (Some(found), Some(expected)) => {
                        close(&case.id, found, expected, tolerance.bin_mean_abs.unwrap())
                    }
                    (found, expected) => assert_eq!(found, expected, "{}", case.id),
                }
            }
        }
    }
}
