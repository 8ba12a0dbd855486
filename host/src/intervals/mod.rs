//! Intervals: stretches in which the machine does one thing, gathered into cycles and measured.

mod constants;
mod cycle;
mod lag;
mod lost;
mod measure;
mod record;
mod unseen;
mod water;

use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use tubtrace_units::{Amps, Celsius, Loads, Seconds, Watts};

pub use lag::Settled;
pub use lost::too_much_lost;
pub use record::{Record, Sign, Signs};
pub(crate) use water::of_water;
pub use water::{HeatedWater, filled, heated_waters};

pub(crate) use self::constants::ALL as CONSTANTS;
use crate::loads::programmes::programmes;
use crate::loads::{Inferred, ScaledTrace, Span, UnseenRun};
use crate::trace::Noise;

/// What the machine does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Water comes in.
    Fill,
    /// The wash pump runs.
    Wash,
    /// The wash pump and the heater run.
    Heat,
    /// Water is exchanged while the wash pump runs.
    Purge,
    /// Water goes out.
    Drain,
    /// Heater, vent or fan without water.
    Dry,
    /// The wash pump starts and does not run: it draws several times its current, or nothing where it should.
    Stall,
    /// Nothing runs, and the cycle goes on afterwards.
    Pause,
    /// Readings are missing.
    Gap,
}

impl Kind {
    /// Its word in lower case, as it is shown.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fill => "fill",
            Self::Wash => "wash",
            Self::Heat => "heat",
            Self::Purge => "purge",
            Self::Drain => "drain",
            Self::Dry => "dry",
            Self::Stall => "stall",
            Self::Pause => "pause",
            Self::Gap => "gap",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// A stretch of time in which the machine does one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// What the machine does.
    pub kind: Kind,
    /// The loads that run.
    pub loads: Loads,
    /// When it starts, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// Probability that these are the loads, averaged over the interval; below 0.8 it is said that it cannot be told.
    pub certainty: f64,
    /// The water it belongs to: 1 from the first fill, 2 from the next fill after a drain, and so on.
    pub water: u32,
    /// What was measured in it.
    pub measured: Measured,
}

impl Interval {
    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }
}

/// What was measured in an interval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measured {
    /// Median power, as it was metered.
    pub power: Watts,
    /// Median current; from a meter of watts, at nominal volts.
    pub amps: Amps,
    /// Supply water at its end, with the clip's lag taken out.
    pub supply: Option<Settled>,
    /// Water in the drain hose at its end, with the clip's lag taken out.
    pub drain: Option<Settled>,
    /// Level of the supply pickup in the loudest twentieth of the time.
    pub supply_noise: Option<Noise>,
    /// Level of the drain pickup in the loudest twentieth of the time.
    pub drain_noise: Option<Noise>,
    /// Highest temperature of the drain clip, with its lag.
    pub drain_clip_peak: Option<Celsius>,
}

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

/// One run of the machine.
#[derive(Clone, Debug)]
pub struct Cycle {
    /// Its intervals in order of time, without overlap.
    pub intervals: Vec<Interval>,
    /// Whether the machine was running when the log began, or damage of the log hides how it began.
    pub cut_at_start: bool,
    /// Whether the machine was running when the log ended, or damage of the log hides how it ended.
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

    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end() - self.start()
    }
}

/// Forms the cycles of a trace: runs that were seen and runs that were only heard, in order of time.
#[must_use]
pub fn cycles(scaled: &ScaledTrace, inferred: &Inferred) -> Vec<Cycle> {
    let seen = programmes(&inferred.spans).into_iter().map(|range| Run::Seen(&inferred.spans[range]));
    let mut runs: Vec<Run> = seen.chain(inferred.unseen.iter().map(Run::Unseen)).collect();
    runs.sort_by(|a, b| a.start().total_cmp(&b.start()));
    let cycle = |i: usize| match runs[i] {
        Run::Unseen(fills) => unseen::cycle(fills, &scaled.trace, &inferred.signatures),
        Run::Seen(spans) => {
            let before = runs[..i].iter().rev().find_map(Run::seen).map(|spans| spans[spans.len() - 1].end);
            let idle_from = match i.checked_sub(1).map(|before| &runs[before]) {
                // Noise between an unseen run and the next may be the rest of the unseen one.
                Some(Run::Unseen(_)) => None,
                _ => Some(before.unwrap_or_default()),
            };
            let until = runs.get(i + 1).map_or(scaled.trace.duration(), Run::start);
            cycle::cycle(spans, idle_from, until, scaled, inferred)
        }
    };
    (0..runs.len()).map(cycle).collect()
}

/// A run of the machine before it is measured.
enum Run<'a> {
    /// A run whose current was metered, as its spans.
    Seen(&'a [Span]),
    /// A run of which only water was heard, as its fills.
    Unseen(&'a UnseenRun),
}

impl<'a> Run<'a> {
    fn start(&self) -> Seconds {
        match self {
            Self::Seen(spans) => spans[0].start,
            Self::Unseen(fills) => fills[0].0,
        }
    }

    fn seen(&self) -> Option<&'a [Span]> {
        match self {
            Self::Seen(spans) => Some(spans),
            Self::Unseen(_) => None,
        }
    }
}
