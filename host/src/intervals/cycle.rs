//! One run of the machine.

use std::sync::Arc;

use tubtrace_units::Seconds;

use super::constants::LONGEST_GAP;
use super::interval::Interval;
use super::kind::Kind;
use super::record::Record;
use crate::trace::Noise;

/// How much of a run was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Its current was metered.
    Current,
    /// Next to none of its current was metered: its water was heard, and its intervals are its fills.
    Faintly,
    /// None of its current was metered: its water was heard, and its intervals are its fills.
    Never,
}

/// What a cycle that is not whole lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lacks {
    /// How it began.
    Start,
    /// How it ended.
    End,
    /// Minutes between.
    Minutes,
}

/// One run of the machine.
#[derive(Clone, Debug)]
pub struct Cycle {
    /// Its intervals in order of time, without overlap.
    pub intervals: Vec<Interval>,
    /// Whether the machine was running when the log began, or damage of the log or a hole in it hides how it began.
    pub cut_at_start: bool,
    /// Whether the machine was running when the log ended, or damage of the log or a hole in it hides how it ended.
    pub cut_at_end: bool,
    /// How much of it was seen.
    pub seen: Seen,
    /// Time between two readings of its log.
    pub resolution: Seconds,
    /// Level of the supply pickup while the machine was idle before the cycle, if it was for a minute.
    pub idle_supply_noise: Option<Noise>,
    /// Its readings, for checks to measure from.
    pub record: Arc<Record>,
}

/// Whether a hole of this length may hide a drain or a fill.
#[must_use]
pub(crate) fn may_hide(hole: Seconds) -> bool {
    hole > LONGEST_GAP.get()
}

impl Cycle {
    /// Start of its first interval, from the first sample of the log.
    #[must_use]
    pub fn start(&self) -> Seconds {
        self.intervals.first().map_or(Seconds(0.0), |i| i.start)
    }

    /// End of its last interval, from the first sample of the log.
    #[must_use]
    pub fn end(&self) -> Seconds {
        self.intervals.last().map_or(Seconds(0.0), |i| i.end)
    }

    /// What it lacks, if it is not whole; of several, the first in time.
    #[must_use]
    pub fn lacks(&self) -> Option<Lacks> {
        let is_long = |i: &Interval| i.kind == Kind::Gap && may_hide(i.duration());
        let gap = self.intervals.iter().any(is_long);
        let all = [(self.cut_at_start, Lacks::Start), (gap, Lacks::Minutes), (self.cut_at_end, Lacks::End)];
        all.into_iter().find(|(lacks, _)| *lacks).map(|(_, what)| what)
    }

    /// Whether the log, or a hole in it, cuts what lasts from `start` to `end`: it was longer than that, or something else came in between.
    #[must_use]
    pub fn cuts(&self, start: Seconds, end: Seconds) -> bool {
        let hole = |i: &Interval| i.kind == Kind::Gap && may_hide(i.duration());
        let beside = self.intervals.iter().filter(|i| i.end >= start && i.start <= end).any(hole);
        beside || (self.cut_at_start && start <= self.start()) || (self.cut_at_end && end >= self.end())
    }

    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end() - self.start()
    }
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Loads;

    use super::super::interval::Measured;
    use super::*;
    use crate::loads::Posterior;

    /// A wash of ten minutes, with a gap of these seconds in it.
    fn with_gap(gap: f64) -> Cycle {
        let interval = |(kind, start, end)| {
            let (start, end, measured) = (Seconds(start), Seconds(end), Measured::default());
            Interval {
                kind,
                loads: Loads::NONE,
                start,
                end,
                certainty: 1.0,
                states: Posterior::default(),
                water: 1,
                measured,
            }
        };
        let all =
            [(Kind::Wash, 0.0, 300.0), (Kind::Gap, 300.0, 300.0 + gap), (Kind::Wash, 300.0 + gap, 600.0)];
        Cycle {
            intervals: all.map(interval).into(),
            cut_at_start: false,
            cut_at_end: false,
            seen: Seen::Current,
            resolution: Seconds(0.1),
            idle_supply_noise: None,
            record: Arc::default(),
        }
    }

    #[test]
    fn only_a_long_gap_is_lacking() {
        let longest = LONGEST_GAP.get().0;
        assert_eq!(with_gap(longest).lacks(), None);
        assert_eq!(with_gap(longest + 1.0).lacks(), Some(Lacks::Minutes));
    }

    #[test]
    fn the_first_in_time_is_told() {
        let (whole, gap) = (with_gap(1.0), with_gap(200.0));
        let cut = |cycle: &Cycle, cut_at_start| Cycle { cut_at_start, cut_at_end: true, ..cycle.clone() };
        assert_eq!(cut(&whole, false).lacks(), Some(Lacks::End));
        assert_eq!(cut(&gap, false).lacks(), Some(Lacks::Minutes));
        assert_eq!(cut(&gap, true).lacks(), Some(Lacks::Start));
    }
}
