//! The mains, as far as what the machine draws shows it.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Headline, Needs};
use super::constants::STEADY;
use super::event::Event;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::{Prior, predictive, reach};
use crate::stats::{weighted_median, weighted_quantile};
use crate::trace::Step;

pub(super) static CHECKS: [&Check; 1] = [&MAINS_LOW];

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
    /// The power of an interval without its sag is this quantile of its readings.
    WITHOUT_SAG: f64 = 0.75, "part", Guess;
    /// Readings below this part of the power without a sag are in one.
    SAGS_BELOW: f64 = 0.93, "part", Fitted;
    /// Readings below this part of the power without a sag are of something that is off.
    OFF_BELOW: f64 = 0.5, "part", Guess;
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
    let whole = long().filter(|i| !beside_full_heat(run, i)).map(|i| Sign::new(i.start, part(i)));
    within.chain(whole).collect()
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
    let stretches = steps.chunk_by(|a, b| low(a) == low(b)).filter(|c| low(&c[0]));
    let longest = stretches.max_by(|a, b| time(a).total_cmp(&time(b)))?;
    let level = weighted_median(longest.iter().map(|s| (s.power.0, s.duration().0)))?;
    (time(longest) >= STEADY.get()).then_some(Sign::new(longest[0].start, Quantity::Part(level / high)))
}

fn time(steps: &[Step]) -> Seconds {
    steps.iter().map(Step::duration).sum()
}
