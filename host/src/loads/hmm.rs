//! A hidden Markov model: its most likely sequence of states, the probability of each state at each observation, and that of all observations.

/// Log-probabilities from state to state: few are usual, all others of a state are alike.
#[derive(Clone, Debug)]
pub struct Steps {
    /// For each origin and usual target, its log-probability.
    usual: Vec<Vec<(usize, f64)>>,
    /// The same for each target: its origins, the first to begin with.
    into: Vec<Vec<(usize, f64)>>,
    /// For each origin, that of any other target. To stay costs nothing: observations say for how long a state lasts.
    other: Vec<f64>,
    /// The same as probabilities.
    usual_p: Vec<Vec<(usize, f64)>>,
    other_p: Vec<f64>,
}

impl Steps {
    /// Of each origin its usual targets, each with its log-probability, and the log-probability of any other. A target that is the origin itself has
    /// log-probability 0 unless it is among them.
    #[must_use]
    pub fn new(rows: Vec<(Vec<(usize, f64)>, f64)>) -> Self {
        let with_self = |(from, (mut row, other)): (usize, (Vec<(usize, f64)>, f64))| {
            if row.iter().all(|(to, _)| *to != from) {
                row.push((from, 0.0));
            }
            (row, other)
        };
        let (usual, other): (Vec<_>, Vec<_>) = rows.into_iter().enumerate().map(with_self).unzip();
        // What is usual is counted beside what any target has.
        let above = |(row, other): (&Vec<(usize, f64)>, &f64)| {
            row.iter().map(|(to, log)| (*to, log.exp() - other.exp())).collect()
        };
        let usual_p = usual.iter().zip(&other).map(above).collect();
        let other_p = other.iter().map(|o: &f64| o.exp()).collect();
        let mut into = vec![Vec::new(); usual.len()];
        for (origin, row) in usual.iter().enumerate() {
            row.iter().for_each(|&(to, log)| into[to].push((origin, log)));
        }
        Self { usual, into, other, usual_p, other_p }
    }

    /// Log-probability of a step.
    #[must_use]
    pub fn log_probability(&self, from: usize, to: usize) -> f64 {
        self.usual[from].iter().find(|(t, _)| *t == to).map_or(self.other[from], |(_, log)| *log)
    }
}

/// A hidden Markov model with its observations, in log-probabilities.
#[derive(Clone, Copy, Debug)]
pub struct Hmm<'a> {
    /// Log-probability of each state at the first observation.
    pub initial: &'a [f64],
    /// Log-probabilities of each state right after each.
    pub steps: &'a Steps,
    /// For each observation, its log-likelihood in each state, one observation after another.
    pub emissions: &'a [f64],
}

impl Hmm<'_> {
    /// The most likely sequence of states, and its log-probability: the Viterbi algorithm (A. J. Viterbi, IEEE Transactions on
    /// Information Theory 13, 1967).
    #[must_use]
    pub fn best_path(&self) -> (Vec<usize>, f64) {
        let states = self.initial.len();
        // So many for each observation behind the first, one byte each: a model has some ten states.
        let mut from: Vec<u8> = Vec::with_capacity(self.emissions.len());
        let score = self.scores(|origins| from.extend(origins));
        let Some(mut at) = (0..score.len()).max_by(|&a, &b| score[a].total_cmp(&score[b])) else {
            return (Vec::new(), 0.0);
        };
        let total = score[at];
        let mut path = vec![at];
        for origins in from.chunks_exact(states).rev() {
            at = usize::from(origins[at]);
            path.push(at);
        }
        path.reverse();
        (path, total)
    }

    /// Log-probability of the most likely sequence of states.
    #[must_use]
    pub fn best_score(&self) -> f64 {
        self.scores(|_| {}).into_iter().reduce(f64::max).unwrap_or(0.0)
    }

    /// Log-probability of the best sequence that ends in each state; `keep` gets for each observation behind the first the origin of each state.
    fn scores(&self, mut keep: impl FnMut(&[u8])) -> Vec<f64> {
        let states = self.initial.len();
        let mut observations = self.emissions.chunks_exact(states);
        let Some(first) = observations.next() else { return Vec::new() };
        let mut score: Vec<f64> = self.initial.iter().zip(first).map(|(i, e)| i + e).collect();
        let (mut origins, mut next) = (vec![0_u8; states], vec![0.0; states]);
        for emission in observations {
            let any = score.iter().zip(&self.steps.other).map(|(s, o)| s + o).enumerate();
            let any = any.fold((0, f64::NEG_INFINITY), |b, x| if x.1 > b.1 { x } else { b });
            let targets = next.iter_mut().zip(&mut origins).zip(emission).zip(&self.steps.into);
            for (((next, from), likely), into) in targets {
                // Of equally likely origins the last is kept.
                let better = |best: (usize, f64), &(origin, step): &(usize, f64)| {
                    let arrive = score[origin] + step;
                    if arrive >= best.1 { (origin, arrive) } else { best }
                };
                let (origin, most) = into.iter().fold(any, better);
                (*next, *from) = (most + likely, origin as u8);
            }
            keep(&origins);
            std::mem::swap(&mut score, &mut next);
        }
        score
    }

    /// The forward algorithm: probability of each state at each observation given those up to it, which `keep` gets, and the logarithm of
    /// the likelihood of all (L. R. Rabiner, Proceedings of the IEEE 77, 1989, section III; scaled as in its section V.A).
    fn forward(&self, mut keep: impl FnMut(&[f64])) -> f64 {
        let states = self.initial.len();
        let mut likelihood = 0.0;
        let (mut before, mut now) = (vec![0.0; states], vec![0.0; states]);
        for (at, logs) in self.emissions.chunks_exact(states).enumerate() {
            if at == 0 {
                now.iter_mut().zip(self.initial).for_each(|(n, i)| *n = i.exp());
            } else {
                now.fill(before.iter().zip(&self.steps.other_p).map(|(b, o)| b * o).sum());
                for (b, row) in before.iter().zip(&self.steps.usual_p) {
                    row.iter().for_each(|&(to, p)| now[to] += b * p);
                }
            }
            let most = greatest(logs);
            now.iter_mut().zip(logs).for_each(|(n, log)| *n *= (log - most).exp());
            likelihood += most + normalise(&mut now);
            keep(&now);
            std::mem::swap(&mut before, &mut now);
        }
        likelihood
    }

    /// The logarithm of the likelihood of all observations.
    #[must_use]
    pub fn likelihood(&self) -> f64 {
        self.forward(|_| {})
    }

    /// The forward-backward algorithm: probability of each state at each observation given all of them, one observation after
    /// another, and the logarithm of the likelihood of all (the same).
    #[must_use]
    pub fn posterior(&self) -> (Vec<f64>, f64) {
        let states = self.initial.len();
        let mut forward = Vec::with_capacity(self.emissions.len());
        let likelihood = self.forward(|now| forward.extend_from_slice(now));
        let mut backward = vec![1.0; states];
        let mut after = vec![0.0; states];
        for at in (0..forward.len() / states).rev() {
            let now = &mut forward[at * states..(at + 1) * states];
            now.iter_mut().zip(&backward).for_each(|(f, b)| *f *= b);
            normalise(now);
            let logs = &self.emissions[at * states..(at + 1) * states];
            let most = greatest(logs);
            after.iter_mut().zip(&backward).zip(logs).for_each(|((a, b), log)| *a = b * (log - most).exp());
            let any: f64 = after.iter().sum();
            for (from, b) in backward.iter_mut().enumerate() {
                let usual: f64 = self.steps.usual_p[from].iter().map(|&(to, p)| p * after[to]).sum();
                *b = usual + any * self.steps.other_p[from];
            }
            normalise(&mut backward);
        }
        (forward, likelihood)
    }
}

fn greatest(logs: &[f64]) -> f64 {
    logs.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

/// Makes these add up to one; gives the logarithm of what they added up to.
fn normalise(values: &mut [f64]) -> f64 {
    // Never zero but where every state is impossible.
    let sum = values.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    values.iter_mut().for_each(|v| *v /= sum);
    sum.ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example of the article "Viterbi algorithm" of an open encyclopaedia (two states, healthy and fever;
    /// observations normal, cold, dizzy): path healthy, healthy, fever with probability 0.01512. The posteriors are
    /// those of hmmlearn 0.3.3's `CategoricalHMM.predict_proba` on the same model (`tests/references/hmm.py`). The likelihood of
    /// the three observations is the sum over all eight paths.
    #[test]
    fn agrees_with_the_textbook() {
        let transition = [[0.7_f64, 0.3], [0.4, 0.6]];
        let row = |row: [f64; 2]| (vec![(0, row[0].ln()), (1, row[1].ln())], f64::NEG_INFINITY);
        let emission = [[0.5, 0.4, 0.1], [0.1, 0.3, 0.6]];
        let emissions: Vec<f64> = (0..3).flat_map(|o| emission.map(|e: [f64; 3]| e[o].ln())).collect();
        let start = [0.6_f64, 0.4];
        let (initial, steps) = (start.map(f64::ln), Steps::new(transition.map(row).to_vec()));
        let hmm = Hmm { initial: &initial, steps: &steps, emissions: &emissions };
        let (path, log_probability) = hmm.best_path();
        assert_eq!(path, [0, 0, 1]);
        assert!((log_probability.exp() - 0.015_12).abs() < 1e-12);
        assert_eq!(hmm.best_score(), log_probability);

        let expected =
            [0.876515986770, 0.123484013230, 0.622932745314, 0.377067254686, 0.212127894157, 0.787872105843];
        let (posterior, likelihood) = hmm.posterior();
        for (f, e) in posterior.iter().zip(expected) {
            assert!((f - e).abs() < 1e-9, "{posterior:?}");
        }
        let paths = (0..8_usize).map(|path| [path & 1, path >> 1 & 1, path >> 2]).map(|[a, b, c]| {
            start[a] * emission[a][0] * transition[a][b] * emission[b][1] * transition[b][c] * emission[c][2]
        });
        assert!((likelihood.exp() - paths.sum::<f64>()).abs() < 1e-12, "{likelihood}");
    }

    #[test]
    fn a_target_that_is_not_usual_is_reached_like_any_other() {
        let steps = Steps::new(vec![(vec![(1, -0.5)], -3.0), (vec![], -2.0)]);
        assert_eq!((steps.log_probability(0, 1), steps.log_probability(1, 0)), (-0.5, -2.0));
        assert_eq!(steps.log_probability(0, 0), 0.0);
    }
}
