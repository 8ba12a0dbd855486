//! What is measured of a cycle for a comparison of groups.

use tubtrace_units::{Seconds, Volts};

use crate::findings::Placed;
use crate::intervals::{Cycle, Interval, Kind, filled};
use crate::stats::weighted_median;

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measure {
    /// How long it lasts, s.
    Lasts,
    /// Energy at nominal volts, Wh.
    Energy,
    /// Median current, A.
    Current,
    /// Highest reading of the current, A.
    Peak,
    /// Supply water at the end of a fill, degrees Celsius.
    Supply,
    /// Water in the drain hose at the end of a drain, degrees Celsius.
    Drain,
    /// How long water comes in, s.
    Fills,
    /// How many purges.
    Purges,
    /// How often it comes, as a part of all cycles.
    Comes,
    /// How far its durations are from their median, s.
    Varies,
}

impl Measure {
    /// As it is called.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lasts => "lasts",
            Self::Energy => "energy",
            Self::Current => "current",
            Self::Peak => "peak current",
            Self::Supply => "supply water",
            Self::Drain => "drain water",
            Self::Fills => "water comes in for",
            Self::Purges => "purges",
            Self::Comes => "comes",
            Self::Varies => "varies by",
        }
    }

    /// Its unit, as in JSON.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Lasts | Self::Fills | Self::Varies => "s",
            Self::Energy => "Wh",
            Self::Current | Self::Peak => "A",
            Self::Supply | Self::Drain => "degC",
            Self::Purges => "times",
            Self::Comes => "part",
        }
    }
}

/// One question: what of which interval of which programme.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Question {
    /// The programme, as an index into those of the machine.
    pub programme: usize,
    /// The interval as the chart calls it; none for the cycle as a whole.
    pub interval: Option<String>,
    /// What is measured of it.
    pub measure: Measure,
}

/// What is measured of a cycle and of each of its intervals, in order of time; what a hole or the end of its log cuts is left out.
pub(super) fn measured(
    cycle: &Cycle,
    placed: &[Placed],
    volts: Volts,
) -> Vec<(Option<String>, Measure, f64)> {
    let mut all = Vec::new();
    let whole = (cycle.start(), cycle.end());
    all.push((None, Measure::Lasts, cycle.duration().0));
    all.extend(energy(cycle, whole).map(|wh| (None, Measure::Energy, wh)));
    all.extend(peak(cycle, whole, volts).map(|amps| (None, Measure::Peak, amps)));
    let fills: Seconds = filled(cycle).into_iter().map(|(_, time)| time).sum();
    if fills > Seconds(0.0) {
        all.push((None, Measure::Fills, fills.0));
    }
    for one in placed.iter().filter(|p| !cycle.cuts(p.start, p.end)) {
        let mut say = |measure, value: Option<f64>| {
            all.extend(value.map(|v| (Some(one.expected.name.clone()), measure, v)));
        };
        let within = |i: &&Interval| i.start >= one.start && i.end <= one.end;
        let own: Vec<&Interval> = cycle.intervals.iter().filter(within).collect();
        let alike = own.iter().filter(|i| i.kind == one.expected.kind);
        say(Measure::Lasts, Some(one.lasted.0));
        if one.expected.kind != Kind::Pause {
            say(Measure::Energy, energy(cycle, (one.start, one.end)));
            say(Measure::Current, weighted_median(alike.map(|i| (i.measured.amps.0, i.duration().0))));
            say(Measure::Peak, peak(cycle, (one.start, one.end), volts));
        }
        say(Measure::Supply, own.iter().rev().find_map(|i| i.measured.supply).map(|s| s.water.0));
        say(Measure::Drain, own.iter().rev().find_map(|i| i.measured.drain).map(|s| s.water.0));
        if one.expected.purges.high > 0 {
            say(Measure::Purges, Some(own.iter().filter(|i| i.kind == Kind::Purge).count() as f64));
        }
    }
    all
}

/// Energy between two times, in Wh: power as it was metered, at nominal volts.
fn energy(cycle: &Cycle, (start, end): (Seconds, Seconds)) -> Option<f64> {
    let readings = cycle.record.between(start, end);
    let joules: f64 = readings.map(|s| s.power.0 * s.duration().0).sum();
    (joules > 0.0).then_some(joules / 3_600.0)
}

/// The highest current between two times, in A.
fn peak(cycle: &Cycle, (start, end): (Seconds, Seconds), volts: Volts) -> Option<f64> {
    let powers = cycle.record.between(start, end).map(|s| s.power.0);
    powers.max_by(f64::total_cmp).filter(|w| *w > 0.0).map(|watts| watts / volts.0)
}
