//! The drain: its pump, its hose, and what is heard in it.

use tubtrace_units::{Load, Seconds};

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline, Needs};
use super::constants::A_VALVE;
use super::context::Context;
use super::event::Event;
use super::evidence::drains::{Silent, silent, still_heard};
use super::outside::Outside;
use super::run::{Run, middle, washes};
use crate::alignment::are_means;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Record, Sign};
use crate::quantity::Quantity;
use crate::trace::{Detail, Noise, Step};

pub(super) static CHECKS: [&Check; 7] =
    [&DRAIN_STAYS_ON, &EMPTIES_LATE, &FLOWS_BACK, &SIPHONS, &NO_DRAIN_FLOW, &NEVER_DRAINS, &PRIMES_LATE];

constants! { "checks.drain":
    /// The drain pump runs for no longer than this at a stretch, where the chart says nothing.
    LONGEST_DRAIN: Seconds = Seconds(200.0), "s", Practice;
    /// Expanded uncertainty of how long the drain pump ran at a stretch.
    STRETCH_DOUBT: Seconds = Seconds(1.0), "s", Guess;
    /// A drain pump that runs draws more than this part of its level, with water or without.
    LESS: f64 = 0.7, "part", Practice;
    /// Where less than a drain pump draws is drawn for longer than this, the pump is off, and nothing only switches.
    WITHOUT: Seconds = Seconds(5.0), "s", Guess;
    /// What draws more than this many times the drain pump's level is something else that was taken for it.
    SOMETHING_ELSE: f64 = 1.7, "factor", Guess;

    /// Water is heard in no more than this part of a drain, where the chart says nothing.
    EMPTYING_PART: f64 = 0.92, "part", Fitted;
    /// Where good runs have water in more than this part of a drain, they have it to the end, and nothing can be late.
    TO_THE_END: f64 = 0.85, "part", Fitted;
    /// A pump that moves half as much is heard twice as long: room for this many times what good runs have.
    EMPTYING_ROOM: f64 = 1.6, "factor", Fitted;
    /// More water in the tub is heard a little longer: room for this part of a drain more than good runs have.
    EMPTYING_MORE: f64 = 0.12, "part", Fitted;
    /// Expanded uncertainty of the part of a drain in which water is heard.
    EMPTYING_DOUBT: f64 = 0.02, "part", Guess;
    /// Water flows where the hose is louder than this part of the loudest minute of the drain.
    AS_LOUD: f64 = 0.45, "part", Fitted;

    /// Right after a drain the hose is no louder than this many times a quiet one, where the chart says nothing.
    HOSE_AFTER: f64 = 6.0, "factor", Fitted;
    /// The hose is listened to from this long after the end of a drain.
    LISTEN_FROM: Seconds = Seconds(1.0), "s", Guess;
    /// The hose is listened to until this long after the end of a drain.
    LISTEN_TO: Seconds = Seconds(9.0), "s", Guess;
    /// Late in fills the hose is no louder than this many times a quiet one, where the chart says nothing.
    HOSE_FILLING: f64 = 2.2, "factor", Fitted;
    /// The hose is listened to in what follows this part of a fill: by then what is left of the drain before has run off.
    LATE_IN_FILL: f64 = 0.6, "part", Guess;
    /// Expanded uncertainty of a level in the hose, over the level that is usual.
    LEVEL_DOUBT: f64 = 0.02, "part", Guess;
    /// Expanded uncertainty of the level in the hose in a drain that is not heard, over that level.
    SILENCE_DOUBT: f64 = 0.25, "part", Guess;

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

/// The drain pump does not stop.
static DRAIN_STAYS_ON: Check = Check {
    id: "drain-stays-on",
    subject: "drain pump",
    does: Kind::Drain,
    rank: 140,
    measure: |run| vec![longest(run)],
    baselines: &[&DRAIN],
    hold: |context| {
        // Means of minutes show no drain: what draws as much may be the pump beside its rests.
        if are_means(context.cycle.resolution) {
            return Vec::new();
        }
        let usual = context.usual(&DRAIN);
        let goes_on = |s: &Sign| s.value.number() > usual.0 && s.about != STOPPED;
        let longest = middle(context.signs(DRAIN_STAYS_ON.id)).filter(goes_on);
        let limits = (None, Some(Quantity::Time(usual)));
        let doubt = Quantity::Time(STRETCH_DOUBT.get());
        longest.map(|s| DRAIN_STAYS_ON.outside(s.at, s.value, limits, doubt)).into_iter().collect()
    },
    masked_by: &["gives-up-draining", "no-water"],
    event: Event::Itself,
    headline: Headline::Is("the drain pump does not stop"),
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// What is said of a stretch after which the pump stopped, while the run went on.
const STOPPED: &str = "stopped";

/// The longest stretch of the drain pump, by its length, and whether the pump stopped after it.
fn longest(run: &Run) -> Sign {
    let all = run.cycle.intervals.chunk_by(|a, b| drains(run, a) && drains(run, b));
    let stretches = all.filter(|stretch| drains(run, &stretch[0]));
    let ends = stretches.map(|stretch| (stretch[0].start, stretch[stretch.len() - 1].end));
    let longest = ends.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)));
    let lasts = longest.map_or(Seconds(0.0), |(start, end)| end - start);
    let about = if longest.is_some_and(|(_, end)| stopped(run, end)) { STOPPED } else { "" };
    let at = longest.map_or(run.cycle.start(), |(start, _)| start);
    Sign { about, ..Sign::new(at, Quantity::Time(lasts)) }
}

/// Whether less was drawn for seconds, after the drain pump ran to `end`, than it does alone.
fn stopped(run: &Run, end: Seconds) -> bool {
    let off = run.levels.standby + run.levels.drain * LESS.get();
    let after: Vec<Step> = run.record.between(end, run.cycle.end()).collect();
    let mut stretches = after.chunk_by(|a, b| (a.power < off) == (b.power < off));
    stretches.any(|s| s[0].power < off && s.iter().map(Step::duration).sum::<Seconds>() > WITHOUT.get())
}

/// The longest that the drain pump runs at a stretch.
static DRAIN: Baseline<Seconds> = Baseline {
    key: "drain_s",
    common: || LONGEST_DRAIN.get(),
    learn: |good, common| Seconds(good.over(common.0, DRAIN_STAYS_ON.id, middle)),
};

/// Whether the drain pump runs, and not something that draws more and was taken for it.
fn drains(run: &Run, interval: &Interval) -> bool {
    let most = (run.levels.standby + run.levels.drain) * SOMETHING_ELSE.get();
    // What draws no more than a valve may be one, which waits for water.
    let least = run.levels.standby + A_VALVE.get();
    let alone = interval.measured.power < most && interval.measured.power > least;
    interval.loads.has(Load::DrainPump) && (interval.loads.has(Load::WashPump) || alone)
}

/// Water is heard in the hose to the end of the drain.
static EMPTIES_LATE: Check = Check {
    id: "empties-late",
    subject: "drain hose",
    does: Kind::Drain,
    rank: 260,
    measure: |run| run.of(&[Kind::Drain]).filter_map(|drain| heard(run, drain)).collect(),
    baselines: &[&EMPTYING],
    hold: |context| {
        let most = context.usual(&EMPTYING);
        let late = middle(context.signs(EMPTIES_LATE.id)).filter(|s| s.value.number() > most);
        // Where nothing is heard in the drain, nothing is heard to its end.
        let late = late.filter(|_| silent(context).is_empty() || still_heard(context));
        late.map(|s| EMPTIES_LATE.at_most(s, most, EMPTYING_DOUBT.get())).into_iter().collect()
    },
    masked_by: &["no-drain-flow", "siphons"],
    headline: Headline::Is("water is heard to the end of the drain"),
    ..Check::PLAIN
};

/// Part of a drain in which water is heard.
static EMPTYING: Baseline<f64> = Baseline {
    key: "emptying",
    common: || EMPTYING_PART.get(),
    learn: |good, common| match good.most(EMPTIES_LATE.id, middle) {
        // Beyond the whole, where good runs have nearly all of it.
        m if m > TO_THE_END.get() => 1.1,
        m if good.few() || m < 0.0 => common,
        m => (EMPTYING_ROOM.get() * m).max(m + EMPTYING_MORE.get()).min(common),
    },
};

/// The part of a drain in which water is heard.
fn heard(run: &Run, drain: &Interval) -> Option<Sign> {
    let heard: f64 = flowing(run.record, drain)?.map(|s| s.duration().0).sum();
    Some(Sign::new(drain.start, Quantity::Part(heard / drain.duration().0.max(0.1))))
}

/// The readings of a drain in which water is heard: half as loud as the loudest, or nearly.
fn flowing<'a>(record: &'a Record, drain: &Interval) -> Option<impl Iterator<Item = Step> + use<'a>> {
    let loud = drain.measured.drain_noise?;
    let flows = move |s: &Step| s.detail.is_some_and(|d: Detail| d.drain.0 > AS_LOUD.get() * loud.0);
    Some(record.between(drain.start, drain.end).filter(flows))
}

/// Water is heard in the hose after a drain.
static FLOWS_BACK: Check = Check {
    id: "flows-back",
    subject: "hose",
    does: Kind::Drain,
    rank: 250,
    measure: |run| run.of(&[Kind::Drain]).filter_map(|drain| after(run, drain)).collect(),
    baselines: &[&AFTER_DRAIN],
    hold: |context| over(&FLOWS_BACK, context, context.usual(&AFTER_DRAIN)),
    // Who hears water leave through fills as well hears nothing come back.
    masked_by: &["siphons"],
    headline: Headline::Is("water is heard in the hose after a drain"),
    ..Check::PLAIN
};

/// Level in the drain hose after a drain, over that of a quiet one.
static AFTER_DRAIN: Baseline<f64> = Baseline {
    key: "after_drain",
    common: || HOSE_AFTER.get(),
    learn: |good, common| good.over(common, FLOWS_BACK.id, middle),
};

/// The level in the hose right after a drain, over that of a quiet one.
fn after(run: &Run, drain: &Interval) -> Option<Sign> {
    let (from, to) = (drain.end + LISTEN_FROM.get(), drain.end + LISTEN_TO.get());
    // The pump beside the hose would be heard.
    let all = &run.cycle.intervals;
    let within = &all[all.partition_point(|i| i.end <= from)..all.partition_point(|i| i.start < to)];
    let undisturbed = !within.iter().any(washes);
    let level = run.drain_level(from, to).filter(|_| undisturbed)?;
    Some(Sign::new(from, Quantity::Part(level / run.quiet_hose()?)))
}

/// Water leaves through the hose with the drain pump off.
static SIPHONS: Check = Check {
    id: "siphons",
    subject: "hose",
    does: Kind::Fill,
    rank: 240,
    measure: |run| run.of(&[Kind::Fill]).filter_map(|fill| leaving(run, fill)).collect(),
    baselines: &[&HOSE_IN_FILLS],
    hold: |context| over(&SIPHONS, context, context.usual(&HOSE_IN_FILLS)),
    headline: Headline::Is("water leaves with the drain pump off"),
    ..Check::PLAIN
};

/// Level in the drain hose late in fills, over that of a quiet one.
static HOSE_IN_FILLS: Baseline<f64> = Baseline {
    key: "hose_in_fills",
    common: || HOSE_FILLING.get(),
    learn: |good, common| good.over(common, SIPHONS.id, middle),
};

/// The level in the hose late in a fill, over that of a quiet one.
fn leaving(run: &Run, fill: &Interval) -> Option<Sign> {
    let from = fill.start + fill.duration() * LATE_IN_FILL.get();
    let level = run.drain_level(from, fill.end)?;
    Some(Sign::new(from, Quantity::Part(level / run.quiet_hose()?)))
}

fn over(check: &'static Check, context: &Context, usual: f64) -> Vec<Outside> {
    let typical = middle(context.signs(check.id)).filter(|s| s.value.number() > usual);
    typical.map(|s| check.at_most(s, usual, LEVEL_DOUBT.get() * usual)).into_iter().collect()
}

/// The drain pump runs and no water is heard.
static NO_DRAIN_FLOW: Check = Check {
    id: "no-drain-flow",
    does: Kind::Drain,
    rank: 330,
    hold: |context| {
        let outside = |drain: Silent| {
            let limits = (Some(Quantity::Noise(drain.least)), None);
            let (heard, doubt) =
                (Quantity::Noise(drain.heard), Quantity::Noise(Noise(SILENCE_DOUBT.get() * drain.heard.0)));
            let outside = NO_DRAIN_FLOW.outside(drain.start, heard, limits, doubt);
            outside.at(context, drain.place).sure(drain.certainty)
        };
        silent(context).into_iter().map(outside).collect()
    },
    // Where the water stays in the tub, less of it comes the next time; and what has left before the drain is not heard in it.
    only_with: &["missing fill", "too-short fill"],
    masked_by: &["siphons"],
    followed_by: &["missing fill", "too-short fill"],
    headline: Headline::Of("pump runs, no water is heard"),
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

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
    event: Event::Lasts(SHORT_DRAIN),
    followed_by: &["missing drain", "missing fill", "too-short fill"],
    headline: Headline::Is("it washes, and never drains"),
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
    let never = washes && goes_on && time(&[Kind::Drain]) == Seconds(0.0) && !run.cycle.cut_at_end;
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
