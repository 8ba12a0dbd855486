//! The start of a drain: whether the machine drains at all, and when water begins to move.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline, Needs, Numbers};
use super::event::Event;
use super::evidence::drains::flowing;
use super::run::{Run, middle, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Record, Sign, may_hide};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&NEVER_DRAINS, &PRIMES_LATE];

constants! { "checks.drain_start":
    /// The shortest drain: where readings are too coarse to show it, nobody can say that a machine never drains.
    SHORT_DRAIN: Seconds = Seconds(10.0), "s", Practice;
    /// Who washes for longer than this drains.
    A_WASH: Seconds = Seconds(900.0), "s", Practice;
    /// A pause of more than this, after which it washes on, stands where a drain should be.
    A_REST: Seconds = Seconds(30.0), "s", Guess;
    /// Water moves within this of the pump's start. An empty hose of 2 m and 20 mm holds 0.63 L, which 12 L in a minute fill in 3 s;
    /// twice as long is no filling. The pump's flow is common practice.
    PRIMED: Seconds = Seconds(6.0), "s", Practice;
}

/// The machine washes and never drains.
static NEVER_DRAINS: Check = Check {
    id: "never-drains",
    subject: "drain pump",
    does: Kind::Drain,
    rank: 130,
    measure: undrained,
    baselines: &[&UNDRAINED],
    hold: |context| {
        let never = context.signs(NEVER_DRAINS.id).first().filter(|_| context.usual(&UNDRAINED) == 0);
        never.map(|sign| NEVER_DRAINS.counted(sign.at, 0, 1)).into_iter().collect()
    },
    // A pump that does not stop is seen at no drain by itself.
    masked_by: &["drain-goes-on"],
    event: Event::Lasts(SHORT_DRAIN),
    followed_by: &["missing drain", "missing fill", "too-short fill"],
    headline: Headline::Is("it washes, and never drains"),
    numbers: Numbers::Without,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// Whether good runs of this machine were not seen to drain: its drain pump is taken for another load, or another one drains.
static UNDRAINED: Baseline<u32> = Baseline {
    key: "undrained",
    common: || 0,
    learn: |good, _| u32::from(good.signs(NEVER_DRAINS.id).all(|never| !never.is_empty())),
};

/// The run, if it washes and is not seen to drain.
fn undrained(run: &Run) -> Vec<Sign> {
    let time = |wanted| -> Seconds { run.of(wanted).map(Interval::duration).sum() };
    let washes = time(&[Kind::Wash, Kind::Heat]) > A_WASH.get();
    // A run that ends in its first water had nothing to drain for: one that takes water again, dries, or washes on after a rest had.
    let first = run.cycle.intervals.iter().position(self::washes).unwrap_or(0);
    let another = |i: &Interval| match i.kind {
        Kind::Fill | Kind::Dry => true,
        Kind::Pause => i.duration() > A_REST.get(),
        _ => false,
    };
    let goes_on = run.cycle.intervals[first..].iter().any(another);
    let hidden = run.of(&[Kind::Gap]).any(|hole| may_hide(hole.duration()));
    let never = washes && goes_on && time(&[Kind::Drain]) == Seconds(0.0) && !hidden && !run.cycle.cut_at_end;
    never.then(|| Sign::new(run.cycle.start(), Quantity::Count(1))).into_iter().collect()
}

/// The drain pump runs for seconds before water moves: air is locked in it.
static PRIMES_LATE: Check = Check {
    id: "primes-late",
    subject: "drain pump",
    does: Kind::Drain,
    rank: 255,
    measure: |run| run.of(&[Kind::Drain]).filter_map(|drain| priming(run.record, drain)).collect(),
    baselines: &[&PRIMES],
    hold: |context| {
        let usual = context.usual(&PRIMES).unwrap_or(PRIMED.get());
        let typical = middle(context.signs(PRIMES_LATE.id)).filter(|s| s.value.number() > usual.0);
        typical.map(|s| PRIMES_LATE.lasted(context, s.at, s.value, usual)).into_iter().collect()
    },
    // Where no water moves at all, or none is heard, it does not move late.
    masked_by: &["no-drain-flow", "drain-deaf"],
    headline: Headline::Is("the drain pump runs for seconds before water moves"),
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// How long water takes to move in a machine that always takes longer; of others, a chart says nothing.
static PRIMES: Baseline<Option<Seconds>> = Baseline {
    key: "primes_s",
    common: || None,
    learn: |good, _| {
        Some(Seconds(good.over(PRIMED.get().0, PRIMES_LATE.id, middle))).filter(|s| *s > PRIMED.get())
    },
};

/// For how long a drain goes on before the first water is heard in it.
fn priming(record: &Record, drain: &Interval) -> Option<Sign> {
    let first = flowing(record, drain)?.next()?;
    Some(Sign::new(drain.start, Quantity::Time(first.start - drain.start)))
}

#[cfg(test)]
mod tests {
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::Appliance;
    use tubtrace_simulator::scenario::Night;

    use super::*;
    use crate::analysis::Analysis;
    use crate::chart::parse as parse_chart;
    use crate::findings::{Finding, Surroundings, judge};
    use crate::intervals::Cycle;
    use crate::learn::learn;
    use crate::log::{Assumptions, Log, parse};
    use crate::trace::{Detail, Noise, Step};

    /// A healthy run whose every drain is mute for its first seconds: what an air-locked pump sounds like.
    fn night(mute: Seconds) -> (Log, Vec<Cycle>) {
        let night = Night::healthy(3, Appliance::on_120_volts(), 1);
        let recording = record(&night, 0, |_| {}).unwrap();
        let mut log = parse(&recording.log, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let drains = cycles[0].intervals.iter().filter(|i| i.kind == Kind::Drain);
        for (from, to) in drains.map(|drain| (drain.start, drain.start + mute)) {
            let cut =
                |s: Step| [(s.start, s.end.min(to), true), (s.start.max(to), s.end, false)].map(|c| (s, c));
            let part = |(s, (start, end, mute)): (Step, (Seconds, Seconds, bool))| {
                let drain = |d: Detail| Detail { drain: if mute { Noise(12.0) } else { d.drain }, ..d };
                (end > start).then(|| Step { start, end, detail: s.detail.map(drain), ..s })
            };
            let touched = |s: &Step| s.end > from && s.start < to && s.start >= from;
            let steps = std::mem::take(&mut log.trace.steps);
            log.trace.steps = steps
                .iter()
                .flat_map(
                    |s| if touched(&s) { cut(s).into_iter().filter_map(part).collect() } else { vec![s] },
                )
                .collect();
        }
        let cycles = Analysis::of(&log.trace).cycles;
        (log, cycles)
    }

    fn found((log, cycles): &(Log, Vec<Cycle>), chart: &crate::chart::Machine) -> Vec<Finding> {
        judge(chart, &cycles[0], Surroundings::of(&log.trace, cycles)).findings
    }

    #[test]
    fn a_pump_that_churns_air_primes_late_and_one_that_always_does_so_is_used_to_it() {
        let chart = parse_chart(include_str!("../../charts/invented-120v-heavy.chart.toml"), "demo").unwrap();
        let (healthy, locked) = (night(Seconds(0.0)), night(Seconds(12.0)));
        assert!(found(&healthy, &chart).is_empty());
        let told = found(&locked, &chart);
        assert_eq!(told.iter().map(|f| f.departure.id).collect::<Vec<_>>(), ["primes-late"]);
        assert!((told[0].measured.number() - 12.0).abs() < 0.5, "{}", told[0].measured);
        assert_eq!(told[0].advice.suspects[0].word, "drain-air-locked");
        let own = learn(&[&locked.1[0]], "own", locked.0.trace.resolution).unwrap().machine;
        assert!(found(&locked, &own).iter().all(|f| f.departure.id != "primes-late"));
    }
}
