//! How much what one machine does varies from cycle to cycle, kind by kind: what is known of an interval of which few examples were seen.

use std::collections::BTreeMap;

use tubtrace_units::Seconds;

use super::constants::{RISK, SHOWN_BY, SPREAD, SPREAD_OF_CURRENT, SPREAD_OF_HEAT};
use super::cores::Core;
use super::limits::Drawn;
use super::profile::{Column, Profile};
use crate::intervals::Kind;
use crate::stats::{mean_and_squares, median, reach};

/// The standard deviation of the logarithm of each, by kind: that of the interval in the middle, of those that were seen often enough.
pub(super) struct Spreads {
    durations: BTreeMap<&'static str, f64>,
    currents: BTreeMap<&'static str, f64>,
}

impl Spreads {
    /// Of the programmes of a machine.
    pub fn of(profiles: &[Profile]) -> Self {
        let columns = || profiles.iter().flat_map(|p| &p.columns);
        Self {
            durations: by_kind(columns(), |c| Some(c.duration.0)),
            currents: by_kind(columns(), |c| c.amps.map(|a| a.0)),
        }
    }

    /// How limits of this kind's durations are drawn, each known to a `resolution`, among so many limits of its programme.
    pub fn durations(&self, kind: Kind, limits: usize) -> Drawn {
        Self::drawn(&self.durations, kind, SPREAD.get(), limits)
    }

    /// The same of what is drawn meanwhile.
    pub fn currents(&self, kind: Kind, limits: usize) -> Drawn {
        let least = if kind == Kind::Heat { SPREAD_OF_HEAT.get() } else { SPREAD_OF_CURRENT.get() };
        Self::drawn(&self.currents, kind, least, limits)
    }

    fn drawn(of: &BTreeMap<&'static str, f64>, kind: Kind, least: f64, limits: usize) -> Drawn {
        let spread = of.get(kind.word()).copied().unwrap_or(least).max(least);
        Drawn { spread, reach: reach(limits, RISK.get()) }
    }
}

fn by_kind<'a>(
    columns: impl Iterator<Item = &'a Column>,
    value: fn(&Core) -> Option<f64>,
) -> BTreeMap<&'static str, f64> {
    let mut all: BTreeMap<&'static str, Vec<f64>> = BTreeMap::new();
    for column in columns {
        let logs: Vec<f64> =
            column.cores.iter().flatten().filter_map(value).map(|v| v.max(1e-3).ln()).collect();
        if logs.len() >= SHOWN_BY.get() {
            let (_, squares) = mean_and_squares(&logs);
            all.entry(column.kind().word()).or_default().push((squares / (logs.len() - 1) as f64).sqrt());
        }
    }
    all.into_iter().map(|(kind, spreads)| (kind, median(&spreads))).collect()
}

/// Standard deviation of the logarithm of a duration of about so long, either end of which is anywhere within a reading: that of the
/// difference of two uniform distributions.
pub(super) fn blur(resolution: Seconds, typical: Seconds) -> f64 {
    resolution / typical / 6.0_f64.sqrt()
}
