//! Whether probabilities mean what they say: reliability in ten bins, and two proper scores.

/// Bins of equal width.
const BINS: usize = 10;

/// No probability counts as nearer to 0 or 1 than this: a single certain error would else cost without bound.
const NEAREST: f64 = 0.001;

/// Spans of which a probability within one tenth was stated: how many, and weighted by time what was stated and what was right.
#[derive(Clone, Copy, Debug, Default)]
struct Bin {
    spans: u64,
    time: f64,
    stated: f64,
    right: f64,
}

/// Sums over stated spans, each with the probability that it is right. All but the counts of spans are weighted by time.
#[derive(Clone, Debug, Default)]
pub struct Reliability {
    bins: [Bin; BINS],
    brier: f64,
    log_loss: f64,
}

impl Reliability {
    /// Counts a span that lasts for so many seconds, was stated with a probability, and was right for so many of its seconds.
    pub fn count(&mut self, stated: f64, lasts: f64, right: f64) {
        let bin = &mut self.bins[((stated * BINS as f64) as usize).min(BINS - 1)];
        bin.spans += 1;
        bin.time += lasts;
        bin.stated += stated * lasts;
        bin.right += right;
        let wrong = lasts - right;
        // G. W. Brier, Monthly Weather Review 78, 1950; I. J. Good, Journal of the Royal Statistical Society B 14, 1952.
        self.brier += right * (1.0 - stated).powi(2) + wrong * stated.powi(2);
        let p = stated.clamp(NEAREST, 1.0 - NEAREST);
        self.log_loss -= right * p.ln() + wrong * (1.0 - p).ln();
    }

    /// Adds the sums of other spans.
    pub fn add(&mut self, other: &Self) {
        for (a, b) in self.bins.iter_mut().zip(&other.bins) {
            a.spans += b.spans;
            a.time += b.time;
            a.stated += b.stated;
            a.right += b.right;
        }
        self.brier += other.brier;
        self.log_loss += other.log_loss;
    }

    fn time(&self) -> f64 {
        self.bins.iter().map(|b| b.time).sum::<f64>().max(f64::MIN_POSITIVE)
    }

    /// Brier score: 0 where all is certain and right, 0.25 where all is stated as a half.
    #[must_use]
    pub fn brier(&self) -> f64 {
        self.brier / self.time()
    }

    /// Log loss in nats.
    #[must_use]
    pub fn log_loss(&self) -> f64 {
        self.log_loss / self.time()
    }

    /// Expected calibration error: how far probabilities are from how often they come true, on average over time
    /// (Naeini, Cooper and Hauskrecht, AAAI 2015, with ten bins of equal width).
    #[must_use]
    pub fn error(&self) -> f64 {
        self.bins.iter().map(|b| (b.stated - b.right).abs()).sum::<f64>() / self.time()
    }

    /// A table of the bins that hold anything, in Markdown.
    #[must_use]
    pub fn table(&self) -> String {
        let mut text =
            String::from("| stated | on average | right | of the time | spans |\n|---|---|---|---|---|\n");
        for (i, bin) in self.bins.iter().enumerate().filter(|(_, b)| b.spans > 0) {
            let (from, to) = (i as f64 / BINS as f64, (i + 1) as f64 / BINS as f64);
            let time = bin.time.max(f64::MIN_POSITIVE);
            text.push_str(&format!(
                "| {from:.1} to {to:.1} | {:.3} | {:.3} | {:.2} % | {} |\n",
                bin.stated / time,
                bin.right / time,
                100.0 * bin.time / self.time(),
                bin.spans
            ));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 30 s at 0.8 of which 20 are right, 10 s at 0.6 that are right.
    #[test]
    fn scores_are_those_by_hand() {
        let mut reliability = Reliability::default();
        reliability.count(0.8, 30.0, 20.0);
        reliability.count(0.6, 10.0, 10.0);
        let brier = (20.0 * 0.04 + 10.0 * 0.64 + 10.0 * 0.16) / 40.0;
        let log_loss = -(20.0 * 0.8_f64.ln() + 10.0 * 0.2_f64.ln() + 10.0 * 0.6_f64.ln()) / 40.0;
        assert!((reliability.brier() - brier).abs() < 1e-12);
        assert!((reliability.log_loss() - log_loss).abs() < 1e-12);
        assert!((reliability.error() - (4.0 + 4.0) / 40.0).abs() < 1e-12);
    }
}
