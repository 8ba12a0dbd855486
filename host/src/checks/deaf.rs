//! A pickup that goes deaf, in a run of which no programme is known: the run is its own reference.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline, Numbers};
use super::constants::HEARS_ITSELF;
use super::event::Event;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::{Detail, Noise, Step};

pub(super) static CHECKS: [&Check; 1] = [&GOES_DEAF];

constants! { "checks.deaf":
    /// A pickup is heard, or is not, for at least this long.
    HEARD: Seconds = Seconds(60.0), "s", Guess;
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
    event: Event::Lasts(HEARD),
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
