//! The end of a drain: its pump stops.

use tubtrace_units::{Load, Seconds};

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline};
use super::constants::A_VALVE;
use super::event::Event;
use super::run::{Run, middle};
use crate::alignment::are_means;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::Step;

pub(super) static CHECKS: [&Check; 1] = [&DRAIN_STAYS_ON];

constants! { "checks.drain_end":
    /// The drain pump runs for no longer than this at a stretch, where the chart says nothing.
    LONGEST_DRAIN: Seconds = Seconds(200.0), "s", Practice;
    /// No control lets its drain pump run for longer than this at a stretch.
    NEVER_SO_LONG: Seconds = Seconds(600.0), "s", Practice;
    /// A drain that the log cuts is so many times as long as what is usual before it is told to go on.
    CUT_ROOM: f64 = 2.0, "factor", Guess;
    /// Expanded uncertainty of how long the drain pump ran at a stretch.
    STRETCH_DOUBT: Seconds = Seconds(1.0), "s", Guess;
    /// A drain pump that runs draws more than this part of its level, with water or without.
    LESS: f64 = 0.7, "part", Practice;
    /// Where less than a drain pump draws is drawn for longer than this, the pump is off, and nothing only switches.
    WITHOUT: Seconds = Seconds(5.0), "s", Guess;
    /// What draws more than this many times the drain pump's level is something else that was taken for it.
    SOMETHING_ELSE: f64 = 1.7, "factor", Guess;
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
        let longest = middle(context.signs(DRAIN_STAYS_ON.id));
        // Where the log or a hole in it cuts the drain, nobody saw whether the pump stops: of a machine that nobody knows only what none does is
        // told, and of one that is known only what is far beyond what it does.
        let cut = |s: &Sign| context.cycle.cuts(s.at, s.at + Seconds(s.value.number()));
        let usual = match &longest {
            Some(s) if cut(s) && context.chart.baselines.is_empty() => NEVER_SO_LONG.get(),
            Some(s) if cut(s) => context.usual(&DRAIN) * CUT_ROOM.get(),
            _ => context.usual(&DRAIN),
        };
        let longest = longest.filter(|s| s.value.number() > usual.0 && s.about != STOPPED);
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
