//! A run as checks measure it: its intervals with the record of its readings. What several checks need of the trace is measured
//! here, once.

use std::cell::OnceCell;

use tubtrace_units::{Load, Seconds, Watts};

use super::constants::{ENDS, HEATS, QUIETEST, RUNS, SETTLES, START, SURGES};
use crate::intervals::{Cycle, Interval, Kind, Record, Sign};
use crate::loads::Signatures;
use crate::stats::{weighted_median, weighted_quantile};
use crate::trace::Step;

/// Of several signs the one in the middle.
pub(super) fn middle(signs: &[Sign]) -> Option<Sign> {
    let mut sorted = signs.to_vec();
    sorted.sort_by(|a, b| a.value.number().total_cmp(&b.value.number()));
    sorted.get(sorted.len() / 2).copied()
}

/// The greatest; of equals the last.
pub(super) fn greatest(signs: &[Sign]) -> Option<Sign> {
    signs.iter().max_by(|a, b| a.value.number().total_cmp(&b.value.number())).copied()
}

/// Whether the wash pump has to do with it.
pub(super) fn washes(interval: &Interval) -> bool {
    matches!(interval.kind, Kind::Wash | Kind::Heat | Kind::Purge | Kind::Stall)
}

/// Whether the element is on.
pub(super) fn heats(interval: &Interval) -> bool {
    interval.loads.has(Load::Heater)
}

/// How the wash pump started from a standstill.
#[derive(Clone, Copy, Debug)]
pub(super) struct PumpStart {
    pub at: Seconds,
    /// For how long it drew more than half again its running power.
    pub surge: Seconds,
    /// How often it went off again in the first seconds.
    pub switched: u32,
}

/// A run to be measured.
pub struct Run<'a> {
    pub(super) cycle: &'a Cycle,
    pub(super) record: &'a Record,
    pub(super) levels: Signatures,
    quiet_hose: OnceCell<Option<f64>>,
    pump_starts: OnceCell<Vec<PumpStart>>,
}

impl<'a> Run<'a> {
    /// The run of a cycle, if it has a record.
    pub(super) fn of_cycle(cycle: &'a Cycle) -> Option<Self> {
        let (quiet_hose, pump_starts) = (OnceCell::new(), OnceCell::new());
        Some(Self { cycle, record: &cycle.record, levels: cycle.record.signatures?, quiet_hose, pump_starts })
    }

    /// Its intervals of these kinds.
    pub(super) fn of(&self, kinds: &'static [Kind]) -> impl Iterator<Item = &'a Interval> {
        self.cycle.intervals.iter().filter(|i| kinds.contains(&i.kind))
    }

    /// Readings of an interval without its first and last seconds.
    pub(super) fn inner(&self, interval: &Interval) -> impl Iterator<Item = Step> + '_ {
        // A reading that has something of the interval beside it is left out as well.
        let reading = self.record.resolution;
        let (first, last) = (reading.max(SETTLES.get()), reading.max(ENDS.get()));
        self.record.between(interval.start + first, interval.end - last)
    }

    /// Median level of the drain pickup.
    pub(super) fn drain_level(&self, from: Seconds, to: Seconds) -> Option<f64> {
        weighted_median(self.drain_levels(from, to))
    }

    fn drain_levels(&self, from: Seconds, to: Seconds) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.record.between(from, to).filter_map(|s| Some((s.detail?.drain.0, s.duration().0)))
    }

    /// What the drain pickup hears of itself, in counts, at the quietest of the run.
    pub(super) fn quiet_hose(&self) -> Option<f64> {
        *self.quiet_hose.get_or_init(|| {
            let levels = self.drain_levels(self.cycle.start(), self.cycle.end());
            weighted_quantile(levels, QUIETEST.get()).map(|level| level.max(1.0))
        })
    }

    /// Each start of the wash pump from a standstill.
    pub(super) fn pump_starts(&self) -> &[PumpStart] {
        self.pump_starts.get_or_init(|| {
            let pairs = self.cycle.intervals.windows(2);
            let starts = pairs.filter(|p| washes(&p[1]) && !washes(&p[0])).map(|p| p[1].start);
            starts.map(|at| self.pump_start(at, self.levels.standby + self.levels.wash)).collect()
        })
    }

    fn pump_start(&self, at: Seconds, wash: Watts) -> PumpStart {
        let heats = |step: &Step| self.levels.heater.is_some_and(|h| step.power.0 > HEATS.get() * h.level.0);
        let (mut surge, mut switched, mut on) = (Seconds(0.0), 0, true);
        for step in self.record.between(at, at + START.get()) {
            if step.power.0 > SURGES.get() * wash.0 && !heats(&step) {
                surge += step.duration();
            }
            let now = step.power.0 > RUNS.get() * wash.0;
            switched += u32::from(on && !now);
            on = now;
        }
        PumpStart { at, surge, switched }
    }
}
