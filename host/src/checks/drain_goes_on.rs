//! A drain pump that does not stop, in a run of which no programme is known: by what is drawn, whatever the loads were taken for.

use tubtrace_units::{Seconds, Watts};

use super::check::{Check, Harm, Headline, Numbers};
use super::constants::A_VALVE;
use super::drain_end::{LESS, LONGEST_DRAIN, NEVER_SO_LONG, WITHOUT};
use super::event::Event;
use super::run::{Run, washes};
use crate::alignment::are_means;
use crate::constant::constants;
use crate::intervals::{Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;
use crate::trace::Step;

pub(super) static CHECKS: [&Check; 1] = [&DRAIN_GOES_ON];

constants! { "checks.drain_goes_on":
    /// The end of a run that says what goes on in it.
    STRETCH: Seconds = Seconds(120.0), "s", Guess;
    /// What goes on after the last washing is one level, and no several, where its readings differ from it by no more than this part.
    ONE_LEVEL: f64 = 0.15, "part", Guess;
    /// Nothing after the last washing draws less than this part of it.
    IS_LEAST: f64 = 0.9, "part", Guess;
    /// And where it is less than this part of what the wash pump draws, which is left on in a run that is cut off or has not ended.
    BELOW_WASH: f64 = 0.75, "part", Guess;
    /// What washes or heats beside it adds at least this part of it.
    BESIDE: f64 = 0.5, "part", Guess;
    /// The drain pump that was alone for this long before washing went on was switched to drain, and was not switched off.
    ALONE: Seconds = Seconds(5.0), "s", Practice;
    /// A control rests for no longer than this between washing and draining.
    A_REST: Seconds = Seconds(30.0), "s", Practice;
    /// Washing for longer than this beside a drain pump that runs is no purge.
    NO_PURGE: Seconds = Seconds(60.0), "s", Practice;
    /// Less than a drain pump is drawn for so short that it is a reading between two others.
    A_READING: f64 = 2.0, "readings", Guess;
}

/// From a drain on something draws what a drain pump does, beside all that washes and heats and for minutes after it: nothing else that is on in
/// a drain stays on through the next water, nor does the water leave by anything else after the last washing.
static DRAIN_GOES_ON: Check = Check {
    id: "drain-goes-on",
    subject: "drain pump",
    does: Kind::Drain,
    rank: 139,
    measure: |run| goes_on(run).into_iter().collect(),
    hold: |context| {
        // Means of minutes show no drain.
        let signs = context.signs(DRAIN_GOES_ON.id).iter().filter(|_| !are_means(context.cycle.resolution));
        signs.map(|s| DRAIN_GOES_ON.lasted(context, s.at, s.value, LONGEST_DRAIN.get())).collect()
    },
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["drain-stays-on", "no-water", "gives-up-draining"],
    event: Event::Lasts(WITHOUT),
    headline: Headline::Is("from a drain on the drain pump does not stop"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// From when on, and for how long, the level that goes on at the end of a run was never left downwards, if it is that of a drain pump that does not
/// stop: it follows on the last washing and lasts for longer than any control drains, or it was there alone before washing went on with it.
fn goes_on(run: &Run) -> Option<Sign> {
    let all = run.record.between(run.cycle.start(), run.record.until);
    let all: Vec<Step> = all.filter(|s| s.end <= run.record.until).collect();
    let idle = run.levels.standby;
    let last = all.iter().rposition(|s| s.power > idle + A_VALVE.get())?;
    let (steps, end) = (&all[..=last], all[last].end);
    let tail = steps.iter().filter(|s| s.end > end - STRETCH.get());
    let level = Watts(weighted_median(tail.map(|s| (s.power.0, s.duration().0)))?);
    let wash = run.levels.speeds.map_or(run.levels.wash, |(slowest, _)| slowest);
    if level > idle + wash * BELOW_WASH.get() || level < idle + A_VALVE.get() {
        return None;
    }
    let part = |part: f64| idle + (level - idle) * part;
    let short = run.record.resolution * A_READING.get();
    let mut stops = steps.chunk_by(|a, b| (a.power < part(LESS.get())) == (b.power < part(LESS.get())));
    let stops = stops.rfind(|c| c[0].power < part(LESS.get()) && time(c) > short);
    let from = stops.map_or(run.cycle.start(), |c| c[c.len() - 1].end);
    let since = &steps[steps.partition_point(|s| s.start < from)..];
    let lasts = |of: &[Step], such: &dyn Fn(&Step) -> bool| -> Seconds {
        of.iter().filter(|s| such(s)).map(Step::duration).sum()
    };
    let near = |s: &Step| (s.power - level).0.abs() <= ONE_LEVEL.get() * level.0;
    let during = |s: &Step| run.cycle.intervals.iter().find(|i| i.start < s.end && s.start < i.end);
    let washing = |s: &Step| s.power > level * (1.0 + BESIDE.get()) && during(s).is_some_and(washes);
    // A machine may rest between the last washing and the drain.
    let washed = steps.iter().rposition(washing)?;
    let between: Vec<Step> = steps[washed + 1..].iter().filter(|s| s.start < from).copied().collect();
    let rests = lasts(&between, &|s| s.power > idle + A_VALVE.get()) < ALONE.get();
    if !rests || time(&between) > A_REST.get() {
        return None;
    }
    let after = &steps[washed + 1..];
    // A pump that has emptied the tub draws the least, so nothing after the last washing draws less than what goes on.
    let less = |s: &Step| s.start >= from && s.power < part(IS_LEAST.get());
    let is_least = after.chunk_by(|a, b| less(a) == less(b)).all(|c| !less(&c[0]) || time(c) < ALONE.get());
    if lasts(after, &near) < LONGEST_DRAIN.get() || !is_least {
        return None;
    }
    let stretches = since.chunk_by(|a, b| near(a) == near(b));
    let first = stretches.filter(|c| near(&c[0]) && time(c) > ALONE.get()).map(|c| c[0].start).next()?;
    let beside = lasts(since, &|s| s.start > first && washing(s));
    // It was alone before washing went on with it, or follows on the last washing.
    let (at, goes_on) = match beside > NO_PURGE.get() {
        true => (first, true),
        false => (steps[washed].end.max(from), end - steps[washed].end > NEVER_SO_LONG.get()),
    };
    goes_on.then(|| Sign::new(at, Quantity::Time(end - at)))
}

fn time(steps: &[Step]) -> Seconds {
    steps.iter().map(Step::duration).sum()
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, HEAT, Part, WASH, signs};
    use super::*;

    /// For how long a drain pump is told to go on in a run of these parts.
    fn told(parts: &[Part]) -> Vec<Quantity> {
        signs(&DRAIN_GOES_ON, parts).iter().map(|sign| sign.value).collect()
    }

    #[test]
    fn a_drain_pump_that_goes_on_after_the_last_wash_is_told_by_what_is_drawn_whatever_it_was_taken_for() {
        for taken_for in [Kind::Drain, Kind::Wash, Kind::Dry] {
            let run = [FILL, WASH, HEAT, DRAIN, (Kind::Pause, 5, 1.0), FILL, WASH, (taken_for, 1_800, 35.0)];
            assert_eq!(told(&run), [Quantity::Time(Seconds(1_800.0))], "{taken_for:?}");
        }
        assert_eq!(told(&HEALTHY), []);
        // A fan that dries begins after a drain has ended.
        let fan = [FILL, WASH, HEAT, DRAIN, (Kind::Pause, 5, 1.0), (Kind::Dry, 1_800, 30.0)];
        assert_eq!(told(&fan), []);
    }

    #[test]
    fn a_wash_that_is_cut_off_is_no_drain() {
        assert_eq!(told(&[FILL, WASH, HEAT, (Kind::Wash, 1_800, 90.0)]), []);
    }

    #[test]
    fn a_drain_pump_that_runs_beside_the_next_water_is_told_from_its_drain_on() {
        let beside = |part: Part| (part.0, part.1, part.2 + 34.0);
        let stuck = [beside(FILL), beside(WASH), beside(HEAT), (Kind::Drain, 250, 35.0)];
        let run = [&[FILL, WASH, HEAT, (Kind::Pause, 5, 1.0), DRAIN][..], &stuck].concat();
        assert_eq!(told(&run), [Quantity::Time(Seconds(1_270.0))]);
        let drains_long = [FILL, WASH, HEAT, (Kind::Pause, 5, 1.0), (Kind::Drain, 250, 35.0)];
        assert_eq!(told(&drains_long), []);
    }
}
