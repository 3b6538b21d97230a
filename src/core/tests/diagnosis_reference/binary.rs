//! Published networks of two-valued nodes, solved with the two-layer inference on a cutset.

use super::{ExpectedSet, Sets, cases, close, posterior};
use padlore_core::diagnosis::infer::{Evidence, InferError, Likelihood, Network, infer};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};

#[derive(Deserialize)]
struct Node {
    id: String,
    parents: Vec<String>,
    true_given: Vec<f64>,
}

#[derive(Deserialize)]
struct BinaryInput {
    nodes: Vec<Node>,
    evidence_sets: Vec<BinarySet>,
}

#[derive(Deserialize)]
struct BinarySet {
    id: String,
    evidence: BTreeMap<String, bool>,
}

/// A general binary network, asked by cutset conditioning (Pearl 1988): where the nodes of the cutset are fixed, the
/// others are independent causes of the cutset's nodes, and the two-layer inference gives their posteriors and the
/// weight of the fixed values.
struct Conditioned<'a> {
    nodes: &'a [Node],
    parents: Vec<Vec<usize>>,
    causes: Vec<usize>,
    cutset: Vec<usize>,
}

impl<'a> Conditioned<'a> {
    fn new(nodes: &'a [Node]) -> Self {
        let place = |id: &String| nodes.iter().position(|node| node.id == *id).unwrap();
        let parents: Vec<Vec<usize>> = nodes
            .iter()
            .map(|n| n.parents.iter().map(place).collect())
            .collect();
        let mut answer = Self {
            nodes,
            parents,
            causes: Vec::new(),
            cutset: (0..nodes.len()).collect(),
        };
        for node in 0..nodes.len() {
            let (causes, cutset) = (answer.causes.clone(), answer.cutset.clone());
            answer.causes.push(node);
            answer.cutset.retain(|&other| other != node);
            if !answer.fits() {
                (answer.causes, answer.cutset) = (causes, cutset);
            }
        }
        assert!(!answer.causes.is_empty());
        answer
    }

    /// Whether the causes are independent once the cutset is fixed, and act on it by noisy-OR.
    fn fits(&self) -> bool {
        let apart = self
            .causes
            .iter()
            .all(|&c| self.parents[c].iter().all(|p| !self.causes.contains(p)));
        let noisy_or = |&node: &usize| {
            let own: Vec<usize> = self.parents[node]
                .iter()
                .copied()
                .filter(|p| self.causes.contains(p))
                .collect();
            own.is_empty()
                || self.states(&self.parents[node]).iter().all(|state| {
                    let (leak, strengths) = self.finding(node, state);
                    let rest: f64 = own
                        .iter()
                        .zip(&strengths)
                        .filter(|(p, _)| state[**p])
                        .map(|(_, s)| 1.0 - s.1)
                        .product();
                    strengths.iter().all(|s| (0.0..=1.0).contains(&s.1))
                        && (1.0 - (1.0 - leak) * rest - self.given(node, state)).abs() < 1e-15
                })
        };
        apart && self.cutset.iter().all(noisy_or)
    }

    /// All values of some nodes, the others false.
    fn states(&self, of: &[usize]) -> Vec<Vec<bool>> {
        let value = |bits: usize, node: usize| {
            of.iter()
                .position(|&n| n == node)
                .is_some_and(|at| bits >> at & 1 == 1)
        };
        (0..1 << of.len())
            .map(|bits| {
                (0..self.nodes.len())
                    .map(|node| value(bits, node))
                    .collect()
            })
            .collect()
    }

    /// P(node true | its parents' values).
    fn given(&self, node: usize, state: &[bool]) -> f64 {
        let row = self.parents[node]
            .iter()
            .fold(0, |row, &parent| row * 2 + usize::from(state[parent]));
        self.nodes[node].true_given[row]
    }

    /// A cutset node as a finding where its parents in the cutset are as in `state`: leak and strengths.
    fn finding(&self, node: usize, state: &[bool]) -> (f64, Vec<(usize, f64)>) {
        let mut state = state.to_vec();
        for &cause in &self.causes {
            state[cause] = false;
        }
        let leak = self.given(node, &state);
        let strengths = self.parents[node]
            .iter()
            .filter(|p| self.causes.contains(p))
            .map(|&parent| {
                let mut alone = state.clone();
                alone[parent] = true;
                let strength = if leak < 1.0 {
                    (self.given(node, &alone) - leak) / (1.0 - leak)
                } else {
                    0.0
                };
                (parent, strength)
            });
        (leak, strengths.collect())
    }

    /// Posterior of every node and the log evidence.
    fn solve(&self, known: &BTreeMap<String, bool>) -> (Vec<f64>, f64) {
        let mut total = 0.0;
        let mut sums = vec![0.0; self.nodes.len()];
        for state in self.states(&self.cutset) {
            if self.cutset.iter().any(|&n| {
                known
                    .get(&self.nodes[n].id)
                    .is_some_and(|&value| value != state[n])
            }) {
                continue;
            }
            let (mut network, mut evidence) = (Network::new(), Evidence::new());
            let mut place = HashMap::new();
            for &cause in &self.causes {
                place.insert(cause, network.add_cause(self.given(cause, &state)).unwrap());
                match known.get(&self.nodes[cause].id) {
                    Some(true) => evidence.cause(place[&cause], Likelihood::PRESENT),
                    Some(false) => evidence.cause(place[&cause], Likelihood::ABSENT),
                    None => &mut evidence,
                };
            }
            for &node in &self.cutset {
                let (leak, strengths) = self.finding(node, &state);
                let finding = network.add_finding(leak).unwrap();
                for (cause, strength) in strengths {
                    network
                        .set_strength(finding, place[&cause], strength)
                        .unwrap();
                }
                if state[node] {
                    evidence.present(finding)
                } else {
                    evidence.absent(finding)
                };
            }
            let answer = match infer(&network, &evidence) {
                Err(InferError::Impossible) => continue,
                answer => answer.unwrap(),
            };
            let weight = answer.log_evidence.exp();
            total += weight;
            for (node, sum) in sums.iter_mut().enumerate() {
                let here = place
                    .get(&node)
                    .map_or(f64::from(u8::from(state[node])), |&cause| {
                        answer.probability(cause)
                    });
                *sum += weight * here;
            }
        }
        (sums.iter().map(|sum| sum / total).collect(), total.ln())
    }
}

#[test]
fn published_binary_networks() {
    for case in cases::<BinaryInput, Sets<ExpectedSet>>("binary-network") {
        let network = Conditioned::new(&case.input.nodes);
        let mut computed = HashMap::new();
        assert_eq!(
            case.input.evidence_sets.len(),
            case.expected.sets.len(),
            "{}",
            case.id
        );
        for (set, expected) in case.input.evidence_sets.iter().zip(&case.expected.sets) {
            assert_eq!(set.id, expected.id, "{}", case.id);
            let at = format!("{} {}", case.id, set.id);
            let (found, log_evidence) = network.solve(&set.evidence);
            assert_eq!(expected.posterior.len(), found.len(), "{at}");
            for (node, &value) in case.input.nodes.iter().zip(&found) {
                posterior(
                    &format!("{at} {}", node.id),
                    value,
                    expected.posterior[&node.id],
                    &case.tolerance,
                );
                computed.insert((set.id.clone(), node.id.clone()), value);
            }
            close(
                &at,
                log_evidence,
                expected.log_evidence,
                case.tolerance.log_evidence_abs.unwrap(),
            );
        }
        for quoted in case.expected.quoted {
            let found = computed[&(quoted.set, quoted.node)];
            close(
                &format!("{} as printed", case.id),
                found,
                quoted.value,
                quoted.rounding,
            );
        }
    }
}
