//! The mains, as far as what the machine draws shows it.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline, Needs};
use super::constants::STEADY;
use super::event::Event;
use super::run::{Run, greatest};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::{Prior, predictive, reach};
use crate::stats::{weighted_median, weighted_quantile};
use crate::trace::Step;

pub(super) static CHECKS: [&Check; 2] = [&MAINS_LOW, &MAINS_HIGH];

constants! { "checks.mains":
    /// What is left in a sag of the mains is no less than this, where the chart says nothing.
    SHALLOWEST: f64 = 0.9, "part", Practice;
    /// Standard deviation of what is left in the deepest sag of a healthy run, as believed before any is seen.
    SAG_SPREAD: f64 = 0.02, "part", Guess;
    /// What is believed of it is worth so many runs.
    SAG_WORTH: f64 = 4.0, "runs", Guess;
    /// The probability that the next healthy run has a deeper sag than the limit.
    SAG_RISK: f64 = 0.002, "probability", Guess;
    /// However steady the good cycles are, a sag that leaves more than this is none.
    NO_SAG: f64 = 0.94, "part", Fitted;
    /// What is left in a sag of the mains, and not of a pump at another speed or off, is more than this.
    SAG_AT_LEAST: f64 = 0.6, "part", Guess;
    /// Expanded uncertainty of what is left in a sag.
    SAG_DOUBT: f64 = 0.02, "part", Guess;
    /// A heater that draws this part of what it does as a rule draws all of it.
    ALL_OF_IT: f64 = 0.98, "part", Guess;
    /// The power of an interval without its sag is this quantile of its readings, and an even one differs little from it at the opposite quantile.
    WITHOUT_SAG: f64 = 0.75, "part", Guess;
    /// Readings below this part of the power without a sag are in one.
    SAGS_BELOW: f64 = 0.93, "part", Fitted;
    /// Readings below this part of the power without a sag are of something that is off.
    OFF_BELOW: f64 = 0.5, "part", Guess;

    /// A swell of the mains is no higher than this, where the chart says nothing.
    HIGHEST: f64 = 1.1, "factor", Source("IEC 60038, table 1, from memory: 230 V within 10 %");
    /// However steady the good cycles are, a swell that is lower than this is none.
    NO_SWELL: f64 = 1.06, "factor", Source("ANSI C84.1, range B, from memory: 127 V of 120");
    /// A swell of the mains, and not another part of the element, is lower than this.
    SWELL_AT_MOST: f64 = 1.4, "factor", Guess;
    /// Readings above this multiple of what the element draws as a rule are in a swell.
    SWELLS_ABOVE: f64 = 1.04, "factor", Guess;
}

/// The mains is low for minutes.
static MAINS_LOW: Check = Check {
    id: "mains-low",
    subject: "mains",
    does: Kind::Heat,
    rank: 150,
    measure: sags,
    baselines: &[&SAG],
    hold: |context| {
        let usual = context.usual(&SAG);
        let deepest = deepest(context.signs(MAINS_LOW.id)).filter(|s| s.value.number() < usual);
        let limits = (Some(Quantity::Part(usual)), None);
        let low = deepest.map(|s| MAINS_LOW.outside(s.at, s.value, limits, Quantity::Part(SAG_DOUBT.get())));
        low.into_iter().collect()
    },
    // A pump that draws air sags for its own reasons.
    masked_by: &["unsteady"],
    event: Event::Lasts(STEADY),
    headline: Headline::Is("the mains is low for a while"),
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// What is left in the deepest sag of an interval, as a part: the least that is usual.
static SAG: Baseline<f64> = Baseline {
    key: "sag",
    common: || SHALLOWEST.get(),
    learn: |good, common| {
        let all = good.each(MAINS_LOW.id, deepest);
        if all.is_empty() {
            return common;
        }
        let prior = Prior { spread: SAG_SPREAD.get(), worth: SAG_WORTH.get() };
        let (low, _) = predictive(&all, prior, reach(1, SAG_RISK.get()));
        let limit = if good.few() { common.min(low) } else { low };
        limit.clamp(0.0, NO_SAG.get())
    },
};

/// The mains is high for minutes. Only the voltage can raise what an element draws: it gets no colder while it heats. A neutral that is
/// loose in a house with two legs does it, whenever something large runs on the other leg.
static MAINS_HIGH: Check = Check {
    id: "mains-high",
    subject: "mains",
    does: Kind::Heat,
    rank: 155,
    measure: swells,
    baselines: &[&SWELL],
    hold: |context| {
        let usual = context.usual(&SWELL);
        let highest = greatest(context.signs(MAINS_HIGH.id)).filter(|s| s.value.number() > usual);
        highest.map(|s| MAINS_HIGH.at_most(s, usual, SAG_DOUBT.get())).into_iter().collect()
    },
    // Where the mains sags for most of the time, the rest stands out above it.
    masked_by: &["mains-low"],
    event: Event::Lasts(STEADY),
    headline: Headline::Is("the mains is high for a while"),
    needs: Needs::Machine,
    harm: Harm::People,
    ..Check::PLAIN
};

/// The highest swell of the mains in a hold, as a multiple of what the element draws as a rule: the most that is usual.
static SWELL: Baseline<f64> = Baseline {
    key: "swell",
    common: || HIGHEST.get(),
    learn: |good, common| {
        let all = good.each(MAINS_HIGH.id, greatest);
        if all.is_empty() {
            return common;
        }
        let prior = Prior { spread: SAG_SPREAD.get(), worth: SAG_WORTH.get() };
        let (_, high) = predictive(&all, prior, reach(1, SAG_RISK.get()));
        let limit = if good.few() { common.max(high) } else { high };
        limit.clamp(NO_SWELL.get(), SWELL_AT_MOST.get())
    },
};

/// Of each hold the highest level that lasts, as a multiple of what is drawn as a rule where the element runs with the same loads.
fn swells(run: &Run) -> Vec<Sign> {
    let swell = |hold: &Interval| {
        let alike = run.of(&[Kind::Heat]).filter(|i| i.loads == hold.loads);
        let usual = weighted_median(alike.map(|i| (i.measured.power.0, i.duration().0)))?;
        let steps: Vec<Step> = run.inner(hold).collect();
        let high =
            |s: &Step| s.power.0 > SWELLS_ABOVE.get() * usual && s.power.0 < SWELL_AT_MOST.get() * usual;
        let (at, level) = longest(&steps, high)?;
        Some(Sign::new(at, Quantity::Part(level / usual)))
    };
    run.of(&[Kind::Heat]).filter_map(swell).collect()
}

/// The deepest sag that may be one of the mains.
fn deepest(sags: &[Sign]) -> Option<Sign> {
    let sags = sags.iter().filter(|s| s.value.number() > SAG_AT_LEAST.get());
    sags.min_by(|a, b| a.value.number().total_cmp(&b.value.number())).copied()
}

/// Sags within intervals, and whole washes that draw less than those of the same run do, as the part that is left.
fn sags(run: &Run) -> Vec<Sign> {
    let within = run.of(&[Kind::Wash, Kind::Heat]).filter_map(|i| sag(run, i));
    let long = || run.of(&[Kind::Wash]).filter(|i| i.duration() >= STEADY.get());
    let usual = weighted_median(long().map(|i| (i.measured.power.0, i.duration().0))).unwrap_or(0.0);
    let part = |i: &Interval| Quantity::Part(i.measured.power.0 / usual.max(1.0));
    let whole = long().filter(|i| is_even(run, i) && !beside_full_heat(run, i));
    let whole = whole.map(|i| Sign::new(i.start, part(i)));
    within.chain(whole).collect()
}

/// Whether most readings of a wash are alike. What coarse readings make of washes and rests is low for another reason than the mains.
fn is_even(run: &Run, wash: &Interval) -> bool {
    let readings: Vec<(f64, f64)> = run.inner(wash).map(|s| (s.power.0, s.duration().0)).collect();
    let of = |part: f64| weighted_quantile(readings.iter().copied(), part);
    of(1.0 - WITHOUT_SAG.get())
        .zip(of(WITHOUT_SAG.get()))
        .is_some_and(|(low, high)| low > SAGS_BELOW.get() * high)
}

/// Whether the heater right before or after draws all that it does: then the mains is not low, and the pump draws less.
fn beside_full_heat(run: &Run, interval: &Interval) -> bool {
    let heats = run.of(&[Kind::Heat]).map(|i| (i.measured.power.0, i.duration().0));
    let Some(usual) = weighted_median(heats) else { return false };
    let all = &run.cycle.intervals;
    let at = all.partition_point(|i| i.start < interval.start);
    let mut beside = [at.checked_sub(1), Some(at + 1)].into_iter().flatten().filter_map(|i| all.get(i));
    beside.any(|i| i.kind == Kind::Heat && i.measured.power.0 > ALL_OF_IT.get() * usual)
}

/// A stretch in the middle of an interval, not to either end of it, that is lower than the rest.
fn sag(run: &Run, interval: &Interval) -> Option<Sign> {
    let steps: Vec<Step> = run.inner(interval).collect();
    let high = weighted_quantile(steps.iter().map(|s| (s.power.0, s.duration().0)), WITHOUT_SAG.get())?;
    let low = |s: &Step| s.power.0 < SAGS_BELOW.get() * high && s.power.0 > OFF_BELOW.get() * high;
    let (at, level) = longest(&steps, low)?;
    Some(Sign::new(at, Quantity::Part(level / high)))
}

/// Where the longest stretch of such readings begins and what is drawn in it, if it lasts long enough to be one of the mains.
fn longest(steps: &[Step], such: impl Fn(&Step) -> bool) -> Option<(Seconds, f64)> {
    let stretches = steps.chunk_by(|a, b| such(a) == such(b)).filter(|c| such(&c[0]));
    let longest = stretches.max_by(|a, b| time(a).total_cmp(&time(b)))?;
    let level = weighted_median(longest.iter().map(|s| (s.power.0, s.duration().0)))?;
    (time(longest) >= STEADY.get()).then_some((longest[0].start, level))
}

fn time(steps: &[Step]) -> Seconds {
    steps.iter().map(Step::duration).sum()
}

#[cfg(test)]
mod tests {
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::Appliance;
    use tubtrace_simulator::scenario::Night;

    use super::*;
    use crate::analysis::Analysis;
    use crate::chart::parse as parse_chart;
    use crate::findings::{Surroundings, judge};
    use crate::log::{Assumptions, parse};

    /// What is found in a healthy run whose longest hold draws so many times its current for so long, from half a minute into it.
    fn found(times: f64, lasts: Seconds) -> Vec<(&'static str, f64, String)> {
        let chart = parse_chart(include_str!("../../charts/invented-120v-heavy.chart.toml"), "demo").unwrap();
        let night = Night::healthy(3, Appliance::on_120_volts(), 1);
        let mut log = parse(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let holds = cycles[0].intervals.iter().filter(|i| i.kind == Kind::Heat);
        let hold = holds.max_by(|a, b| a.duration().total_cmp(&b.duration())).unwrap();
        let (from, to) = (hold.start + Seconds(30.0), hold.start + Seconds(30.0) + lasts);
        let part = |s: &Step, (start, end): (Seconds, Seconds), times: f64| {
            let (start, end) = (s.start.max(start), s.end.min(end));
            (end > start).then(|| Step { start, end, power: s.power * times, ..*s })
        };
        let always = Seconds(f64::INFINITY);
        let parts = |s: Step| {
            [part(&s, (-always, from), 1.0), part(&s, (from, to), times), part(&s, (to, always), 1.0)]
        };
        log.trace.steps = log.trace.steps.iter().flat_map(parts).flatten().collect();
        let cycles = Analysis::of(&log.trace).cycles;
        let judged = judge(&chart, &cycles[0], Surroundings::of(&log.trace, &cycles));
        let told = |f: crate::findings::Finding| {
            (f.departure.id, f.measured.number(), f.advice.suspects[0].word.clone())
        };
        judged.findings.into_iter().map(told).collect()
    }

    #[test]
    fn a_swell_that_lasts_is_told_and_a_short_or_a_low_one_is_not() {
        let told = found(1.15, Seconds(90.0));
        assert_eq!(
            told.iter().map(|f| (f.0, f.2.as_str())).collect::<Vec<_>>(),
            [("mains-high", "neutral-loose")]
        );
        assert!((told[0].1 - 1.15).abs() < 0.02, "{}", told[0].1);
        assert_eq!(found(1.15, Seconds(20.0)), []);
        assert_eq!(found(1.05, Seconds(90.0)), []);
    }
}
