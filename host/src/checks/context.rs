//! The context of a judgement: a cycle, the chart that it is held against and how it lies in it. All that a check may look at.

use tubtrace_units::{Amps, Load, Seconds};

use super::baseline::{Baseline, Usual};
use super::constants::{HEARS_ITSELF, HIDES_A_WATER, NOBODY_KNOWS};
use crate::alignment::{Explanation, Hypothesis, Phase, Place, Step, are_means};
use crate::chart::{Chart, Expected};
use crate::intervals::{Cycle, Interval, Kind, Sign, Signs};
use crate::trace::{Meter, Noise, Trace};

/// What is known of the log beside the cycle.
#[derive(Clone, Copy, Debug)]
pub struct Surroundings {
    /// Time between two readings.
    pub resolution: Seconds,
    /// The quietest that the supply line was while idle.
    pub quiet_supply: Option<Noise>,
    /// The logger stopped because its battery was empty.
    pub battery_ended: bool,
    /// What the plate on the machine says, where somebody read it.
    pub plate: Option<Plate>,
}

/// What the plate on the machine says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// What the machine takes while it heats, at the volts on its plate.
    pub current: Amps,
    /// Whether the log was metered in amperes, and not in watts that were divided by nominal volts.
    pub by_current: bool,
}

impl Surroundings {
    /// Of a log with these cycles.
    #[must_use]
    pub fn of(trace: &Trace, cycles: &[Cycle]) -> Self {
        // A pickup that hears less than its own noise has come off: it is no measure for the others.
        let idle = cycles.iter().filter_map(|c| c.idle_supply_noise).filter(|n| n.0 > HEARS_ITSELF.get());
        Self {
            resolution: trace.resolution,
            quiet_supply: idle.min_by(|a, b| a.0.total_cmp(&b.0)),
            battery_ended: trace.battery_ended,
            plate: None,
        }
    }

    /// The same, with the current on the machine's plate.
    #[must_use]
    pub fn rated(self, current: Option<Amps>, trace: &Trace) -> Self {
        let by_current = trace.meter == Meter::Current;
        Self { plate: current.map(|current| Plate { current, by_current }), ..self }
    }
}

/// All that a check may look at: no other check's finding is among it.
pub struct Context<'a> {
    pub(crate) chart: &'a Chart,
    pub(crate) cycle: &'a Cycle,
    pub(crate) explanation: &'a Explanation,
    pub(crate) surroundings: Surroundings,
    pub(super) signs: &'a Signs,
}

impl<'a> Context<'a> {
    /// What the check with this id measured of the run.
    pub(super) fn signs(&self, check: &str) -> &'a [Sign] {
        self.signs.by(check)
    }

    /// Level in the drain hose when nothing is heard there.
    pub(super) fn quiet_hose(&self) -> Option<Noise> {
        self.signs.quiet_hose
    }

    /// What is usual by the chart.
    pub(super) fn usual<T: Usual>(&self, baseline: &Baseline<T>) -> T {
        baseline.by(&self.chart.baselines)
    }

    pub(crate) fn expected(&self, place: Place) -> &'a Expected {
        &self.chart.parts[place.part].intervals[place.interval]
    }

    /// Every interval of the chart that came, with its phases.
    pub(super) fn matched(&self) -> impl Iterator<Item = (Place, &'a Expected, &'a [Phase])> + '_ {
        self.explanation.steps.iter().filter_map(|step| match step {
            Step::Matched { place, phases } => {
                Some((*place, self.expected(*place), &self.explanation.phases[phases.clone()]))
            }
            _ => None,
        })
    }

    /// The intervals of the cycle that some phases are made of.
    pub(super) fn intervals(&self, phases: &'a [Phase]) -> impl Iterator<Item = &'a Interval> {
        let all = &self.cycle.intervals;
        phases.iter().flat_map(|a| &all[a.intervals.clone()])
    }

    /// Whether there are pickups.
    pub(super) fn hears_flow(&self) -> bool {
        self.cycle.intervals.iter().any(|i| i.measured.supply_noise.is_some())
    }

    /// The last phase of a programme that broke off and did not go on.
    pub(super) fn broke_off(&self) -> Option<&'a Phase> {
        let off = self.explanation.hypothesis == Hypothesis::BrokeOff;
        self.explanation.phases.last().filter(|_| off)
    }

    /// The name of an interval, with its part where the part comes more than once.
    pub(crate) fn name(&self, place: Place) -> String {
        let name = &self.expected(place).name;
        if place.copy > 0 { format!("{name} ({})", place.copy + 1) } else { name.clone() }
    }

    /// The longest stretch of lost readings in the water of this moment, or in the one that ends there, where a drain and a fill may be among
    /// them: what came in which order there, and for how long, nobody knows. A hole that hides them does not part two waters.
    pub(super) fn lost_about(&self, moment: Seconds) -> Option<Seconds> {
        let about: Vec<u32> = self.waters_at(moment).collect();
        let all = self.cycle.intervals.iter();
        let lost = all.filter(|i| about.contains(&i.water) && hides_a_water(i));
        lost.map(Interval::duration).max_by(Seconds::total_cmp)
    }

    /// Whether the log, or a hole in it, begins or ends within the water of this moment, or the one that ends there.
    pub(super) fn cut_about(&self, moment: Seconds) -> bool {
        let all = &self.cycle.intervals;
        let water = |i: Option<&Interval>| i.map(|i| i.water);
        let cut = [(self.cycle.cut_at_start, water(all.first())), (self.cycle.cut_at_end, water(all.last()))];
        self.waters_at(moment).any(|own| cut.iter().any(|(is_cut, of)| *is_cut && *of == Some(own)))
    }

    /// The water of a moment, and before it the one that ends there.
    fn waters_at(&self, moment: Seconds) -> impl Iterator<Item = u32> {
        let all = self.cycle.intervals.iter();
        all.filter(move |i| i.start <= moment && moment <= i.end).map(|i| i.water)
    }

    /// Probability that these phases are what they are taken for, weighted by time. A hold is taken for heat alone, whether or
    /// not a pump is told beside it; of means what dries as well.
    pub(super) fn certainty(&self, phases: &'a [Phase]) -> f64 {
        let (mut sum, mut time) = (0.0, 0.0);
        for i in self.intervals(phases).filter(|i| i.kind != Kind::Gap) {
            sum += self.certainty_of(i) * i.duration().0;
            time += i.duration().0;
        }
        if time > 0.0 { sum / time } else { NOBODY_KNOWS.get() }
    }

    /// Probability that an interval is what it is taken for, likewise.
    pub(super) fn certainty_of(&self, interval: &Interval) -> f64 {
        let means = are_means(self.cycle.resolution);
        let heats = interval.kind == Kind::Heat || means && interval.loads.has(Load::Heater);
        if heats { interval.runs(Load::Heater).max(interval.certainty) } else { interval.certainty }
    }

    /// The interval of a moment.
    pub(super) fn at(&self, moment: Seconds) -> Option<&'a Interval> {
        self.cycle.intervals.iter().find(|i| i.start <= moment && moment < i.end)
    }
}

/// Whether so many readings are lost here that a drain and a fill may be among them.
pub(super) fn hides_a_water(interval: &Interval) -> bool {
    interval.kind == Kind::Gap && interval.duration() > HIDES_A_WATER.get()
}
