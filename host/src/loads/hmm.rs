//! A hidden Markov model: its most likely sequence of states, and the probability of each state at each observation.

/// A hidden Markov model with its observations, in log-probabilities.
#[derive(Clone, Copy, Debug)]
pub struct Hmm<'a> {
    /// Log-probability of each state at the first observation.
    pub initial: &'a [f64],
    /// `transition[a][b]` is the log-probability of state `b` right after state `a`.
    pub transition: &'a [Vec<f64>],
    /// For each observation, its log-likelihood in each state.
    pub emissions: &'a [Vec<f64>],
}

impl Hmm<'_> {
    /// The most likely sequence of states, and its log-probability: the Viterbi algorithm (A. J. Viterbi, IEEE Transactions on
    /// Information Theory 13, 1967).
    #[must_use]
    pub fn best_path(&self) -> (Vec<usize>, f64) {
        let Some(first) = self.emissions.first() else { return (Vec::new(), 0.0) };
        let (states, transition) = (self.initial.len(), self.transition);
        let mut score: Vec<f64> = (0..states).map(|s| self.initial[s] + first[s]).collect();
        // So many for each observation behind the first, one byte each: a model has some ten states.
        let mut from: Vec<u8> = Vec::with_capacity(states * self.emissions.len());
        for emission in &self.emissions[1..] {
            // Row by row through the transitions: each is read once, in order.
            let (mut origins, mut scores) = (vec![0_u8; states], vec![f64::NEG_INFINITY; states]);
            for (origin, (score, row)) in score.iter().zip(transition).enumerate() {
                for (to, step) in row.iter().enumerate() {
                    let arrive = score + step;
                    // Of equally likely origins the last is kept.
                    if arrive >= scores[to] {
                        (origins[to], scores[to]) = (origin as u8, arrive);
                    }
                }
            }
            scores.iter_mut().zip(emission).for_each(|(score, emission)| *score += emission);
            from.extend(origins);
            score = scores;
        }
        let mut at = (0..states).max_by(|&a, &b| score[a].total_cmp(&score[b])).unwrap_or(0);
        let total = score[at];
        let mut path = vec![at];
        for origins in from.chunks_exact(states).rev() {
            at = usize::from(origins[at]);
            path.push(at);
        }
        path.reverse();
        (path, total)
    }

    /// The forward-backward algorithm: probability of each state at each observation, given all of them
    /// (L. R. Rabiner, Proceedings of the IEEE 77, 1989, section III).
    #[must_use]
    pub fn posterior(&self) -> Vec<Vec<f64>> {
        let Some(first) = self.emissions.first() else { return Vec::new() };
        let (states, transition) = (self.initial.len(), self.transition);
        let sum = |terms: &dyn Fn(usize) -> f64| log_sum_exp((0..states).map(terms));
        let mut forward = vec![(0..states).map(|s| self.initial[s] + first[s]).collect::<Vec<_>>()];
        for emission in &self.emissions[1..] {
            let before = &forward[forward.len() - 1];
            let next = |to: usize| sum(&|s| before[s] + transition[s][to]) + emission[to];
            forward.push((0..states).map(next).collect());
        }
        let mut backward = vec![0.0; states];
        for i in (0..forward.len()).rev() {
            let joint: Vec<f64> = (0..states).map(|s| forward[i][s] + backward[s]).collect();
            let total = log_sum_exp(joint.iter().copied());
            // Of the way forward nothing here is needed any more.
            forward[i] = joint.iter().map(|j| (j - total).exp()).collect();
            let emission = &self.emissions[i];
            let earlier = |s: usize| sum(&|to| transition[s][to] + emission[to] + backward[to]);
            backward = (0..states).map(earlier).collect();
        }
        forward
    }
}

/// Logarithm of the sum of the exponentials of `values`, without overflow.
fn log_sum_exp(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let max = values.clone().fold(f64::NEG_INFINITY, f64::max);
    if max == f64::NEG_INFINITY { max } else { max + values.map(|v| (v - max).exp()).sum::<f64>().ln() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example of the article "Viterbi algorithm" of an open encyclopaedia (two states, healthy and fever;
    /// observations normal, cold, dizzy): path healthy, healthy, fever with probability 0.01512. The posteriors are
    /// those of hmmlearn 0.3.3's `CategoricalHMM.predict_proba` on the same model (`tests/references/hmm.py`).
    #[test]
    fn agrees_with_the_textbook() {
        let transition = [[0.7, 0.3], [0.4, 0.6]].map(|row| row.map(f64::ln).to_vec());
        let emission = [[0.5, 0.4, 0.1], [0.1, 0.3, 0.6]];
        let emissions: Vec<Vec<f64>> =
            (0..3).map(|o| emission.iter().map(|e: &[f64; 3]| e[o].ln()).collect()).collect();
        let initial = [0.6, 0.4].map(f64::ln);
        let hmm = Hmm { initial: &initial, transition: &transition, emissions: &emissions };
        let (path, log_probability) = hmm.best_path();
        assert_eq!(path, [0, 0, 1]);
        assert!((log_probability.exp() - 0.015_12).abs() < 1e-12);

        let expected = [
            [0.876515986770, 0.123484013230],
            [0.622932745314, 0.377067254686],
            [0.212127894157, 0.787872105843],
        ];
        for (found, expected) in hmm.posterior().iter().zip(expected) {
            for (f, e) in found.iter().zip(expected) {
                assert!((f - e).abs() < 1e-9, "{found:?}");
            }
        }
    }
}
