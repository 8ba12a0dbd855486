//! What the pickups hear, in a run of which no programme is known: the run is its own reference.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline, Numbers};
use super::constants::{HEARS_ITSELF, PLAIN_FROM};
use super::context::Context;
use super::event::Event;
use super::evidence::drains::heard_in;
use super::outside::Outside;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;
use crate::trace::{Detail, Noise, Step};

pub(super) static CHECKS: [&Check; 2] = [&GOES_DEAF, &DRAINS_UNHEARD];

constants! { "checks.unheard":
    /// A pickup is heard, or is not, for at least this long.
    HEARD: Seconds = Seconds(60.0), "s", Guess;
    /// The shortest drain in which water must be heard.
    A_DRAIN: Seconds = Seconds(15.0), "s", Practice;
    /// So many drains without water are no chance.
    DRAINS: usize = 2, "drains", Guess;
    /// A pickup that hears the wash pump at so many times its own level sits where it should.
    HEARS_PUMP: f64 = 2.5, "factor", Guess;
}

/// From a moment on a pickup hears less than the noise of its own converter.
static GOES_DEAF: Check = Check {
    id: "goes-deaf",
    subject: "pickup",
    does: Kind::Drain,
    rank: 85,
    measure: |run| {
        let supply = deaf(run, |d| d.supply).map(|at| (at, "supply"));
        let drain = deaf(run, |d| d.drain).map(|at| (at, ""));
        let sign = |(at, about)| Sign { about, ..Sign::new(at, Quantity::Count(1)) };
        supply.or(drain).map(sign).into_iter().collect()
    },
    hold: |context| {
        let does = |s: &Sign| if s.about.is_empty() { Kind::Drain } else { Kind::Fill };
        let signs = context.signs(GOES_DEAF.id).iter();
        signs.map(|s| GOES_DEAF.came(s.at, 1, 0).of(GOES_DEAF.subject, does(s))).collect()
    },
    harm: Harm::Logger,
    stands_in: true,
    masked_by: &["supply-deaf", "drain-deaf", "log-ends"],
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("from here on a pickup hears less than its own noise"),
    numbers: Numbers::Without,
    ..Check::PLAIN
};

/// From when on a pickup hears less than its own noise to the end of the run, if it heard more for long before.
fn deaf(run: &Run, of: impl Fn(Detail) -> Noise) -> Option<Seconds> {
    let steps: Vec<Step> = run.record.between(run.cycle.start(), run.cycle.end()).collect();
    let own = |s: &Step| s.detail.is_some_and(|d| of(d).0 > HEARS_ITSELF.get());
    let before = steps.iter().filter(|s| own(s)).map(Step::duration).sum::<Seconds>();
    let quiet = |s: &&Step| s.detail.is_some() && !own(s);
    let first = steps.iter().find(quiet)?.start;
    let since = || steps.iter().filter(|s| s.start >= first);
    let less: Seconds = since().filter(quiet).map(Step::duration).sum();
    let all: Seconds = since().map(Step::duration).sum();
    (before > HEARD.get() && less > HEARD.get() && less.0 > all.0 / 2.0).then_some(first)
}

/// The pump runs and no water is heard in any drain, though the pickup hears the wash pump: it sits where it should.
static DRAINS_UNHEARD: Check = Check {
    id: "drains-unheard",
    subject: "drain",
    does: Kind::Drain,
    rank: 331,
    hold: |context| unheard(context).into_iter().collect(),
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["siphons", "goes-deaf", "drain-goes-on", "empties-late", "pump-silent"],
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("the drain pump runs, and no water is heard in any drain"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

fn unheard(context: &Context) -> Option<Outside> {
    let all = &context.cycle.intervals;
    let washes = all.iter().filter(|i| i.kind == Kind::Wash);
    let pump = weighted_median(washes.filter_map(|i| Some((i.measured.drain_noise?.0, i.duration().0))))?;
    if pump < context.quiet_hose()?.0 * HEARS_PUMP.get() {
        return None;
    }
    let sure = |i: &&Interval| {
        let drain = i.kind == Kind::Drain && i.certainty >= PLAIN_FROM.get();
        drain && i.duration() > A_DRAIN.get() && !context.cycle.cuts(i.start, i.end)
    };
    let drains: Vec<&Interval> = all.iter().filter(sure).collect();
    let silent = drains.len() >= DRAINS.get() && drains.iter().all(|i| heard_in(context, i) == Some(false));
    silent.then(|| DRAINS_UNHEARD.came(drains[0].start, drains.len(), 0))
}
