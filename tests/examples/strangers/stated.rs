//! Whether the odds that are stated for a programme mean what they say.

use std::fmt::Write;

use tubtrace_tests::program::Verdict;

/// Where one bin of odds ends and the next begins.
const EDGES: [f64; 4] = [2.0, 5.0, 12.0, 30.0];

/// Cycles by the odds that were stated for their programme, healthy or not.
#[derive(Clone, Default)]
pub struct Stated {
    /// Cycles of a programme that was taught, of one that was not, and the sum of the probabilities that were stated.
    bins: [(u32, u32, f64); EDGES.len() + 1],
}

impl Stated {
    /// Counts what was said of a cycle of a programme that was taught, or was not.
    pub fn add(&mut self, said: &[&Verdict], taught: bool) {
        let Some(stated) = said.iter().find_map(|v| v.odds) else { return };
        let bin = &mut self.bins[EDGES.iter().filter(|edge| stated >= **edge).count()];
        bin.0 += u32::from(taught);
        bin.1 += u32::from(!taught);
        bin.2 += stated / (1.0 + stated);
    }

    pub fn join(&mut self, other: &Self) {
        for (a, b) in self.bins.iter_mut().zip(&other.bins) {
            *a = (a.0 + b.0, a.1 + b.1, a.2 + b.2);
        }
    }

    /// A table in Markdown.
    pub fn table(&self) -> String {
        let mut text = String::from(
            "| odds stated | cycles | as a probability, on average | of a programme that was taught |\n|---|---|---|---|\n",
        );
        for (n, (taught, other, stated)) in self.bins.iter().enumerate() {
            let bin = match n {
                0 => format!("below {}", EDGES[0]),
                _ if n == EDGES.len() => format!("from {}", EDGES[n - 1]),
                _ => format!("{} to {}", EDGES[n - 1], EDGES[n]),
            };
            let cycles = taught + other;
            let part = |sum: f64| sum / f64::from(cycles.max(1));
            let _ = writeln!(
                text,
                "| {bin} | {cycles} | {:.2} | {:.2} |",
                part(*stated),
                part(f64::from(*taught))
            );
        }
        text
    }
}
