//! Logs of one machine, read by what its loads draw: that is the machine's and no log's, so what most cycles say of it holds for all of them.

use tubtrace_units::Seconds;

use super::draws::draws;
use super::learned::{LearnError, Learned};
use super::machine::learn;
use crate::analysis::Analysis;
use crate::intervals::Cycle;
use crate::loads::Draws;
use crate::parallel;
use crate::trace::Trace;

/// What is read by levels shows levels: so often they are taken from what was read by the last ones.
const ROUNDS: usize = 2;

/// The logs of one machine.
#[derive(Clone, Debug)]
pub struct Nights {
    /// The cycles of each log.
    pub cycles: Vec<Vec<Cycle>>,
    /// What the loads draw by which they were read; empty where the nights do not agree on it.
    draws: Draws,
    /// The coarsest time between two readings.
    resolution: Seconds,
}

impl Nights {
    /// Reads these logs by what is known of the machine's loads, or else by what they say of them together.
    #[must_use]
    pub fn read(traces: &[&Trace], known: &Draws) -> Self {
        let by = |draws: &Draws| parallel::map(traces, |trace| Analysis::of_known(trace, draws).cycles);
        let resolution = traces.iter().map(|trace| trace.resolution).fold(Seconds(0.0), Seconds::max);
        if known.tell_loads() {
            return Self { cycles: by(known), draws: known.clone(), resolution };
        }
        let mut nights = Self { cycles: by(&Draws::default()), draws: Draws::default(), resolution };
        for _ in 0..ROUNDS {
            let found = draws(&nights.all());
            if found == nights.draws {
                break;
            }
            nights = Self { cycles: by(&found), draws: found, ..nights };
        }
        nights
    }

    /// All cycles, those of one log after those of another.
    #[must_use]
    pub fn all(&self) -> Vec<&Cycle> {
        self.cycles.iter().flatten().collect()
    }

    /// The coarsest time between two readings.
    #[must_use]
    pub const fn resolution(&self) -> Seconds {
        self.resolution
    }

    /// What is learned of the machine: programmes of cycles that were read by its levels, and these.
    ///
    /// # Errors
    /// When none of the cycles can be used.
    pub fn learn(&self, name: &str) -> Result<Learned, LearnError> {
        let mut learned = learn(&self.all(), name, self.resolution)?;
        learned.machine.draws = self.draws.clone();
        Ok(learned)
    }
}
