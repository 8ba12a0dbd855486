//! The logger's clamp, so that nobody opens a machine for a clamp that sees too little or too much.

use tubtrace_units::{Seconds, Watts};

use super::check::{Check, Harm, Headline, Numbers};
use super::context::Context;
use super::outside::Outside;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Kind, Seen, Sign};
use crate::quantity::Quantity;
use crate::trace::{Detail, Noise, Step};

pub(super) static CHECKS: [&Check; 5] =
    [&CURRENT_NEVER, &CURRENT_FAINT, &OUT_OF_SCALE, &CLIPS, &CURRENT_GONE];

constants! { "checks.clamp":
    /// Expanded uncertainty of how many times too much is drawn, over that factor.
    SCALE_DOUBT: f64 = 0.1, "part", Guess;
    /// A motor that starts may pass the clamp's range for a moment, a few times in a cycle: for no longer than this.
    CLIPPED: Seconds = Seconds(10.0), "s", Practice;
    /// Water heard without current for longer than this came while the clamp was off.
    UNPOWERED: Seconds = Seconds(8.0), "s", Practice;
    /// Water is heard for certain at this many times the level from which on it flows.
    LOUD: f64 = 2.0, "factor", Guess;
    /// No current is seen up to this much above what the machine draws while idle.
    NO_POWER: Watts = Watts(2.0), "W", Guess;
}

/// Water is heard through a whole run, and no current is seen.
static CURRENT_NEVER: Check = Check {
    id: "current-never",
    subject: "clamp",
    does: Kind::Fill,
    rank: 20,
    unseen: true,
    hold: |context| unseen(context, &CURRENT_NEVER, Seen::Never),
    headline: Headline::Is("water is heard through a whole run, and no current is seen"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// Water is heard through a whole run, and of its current next to nothing is seen.
static CURRENT_FAINT: Check = Check {
    id: "current-faint",
    subject: "clamp",
    does: Kind::Fill,
    rank: 30,
    unseen: true,
    hold: |context| unseen(context, &CURRENT_FAINT, Seen::Faintly),
    headline: Headline::Is("water is heard through a whole run, and hardly any current is seen"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// The fills that were heard of a run of which so little was seen.
fn unseen(context: &Context, check: &'static Check, seen: Seen) -> Vec<Outside> {
    let fills = context.cycle.intervals.iter().filter(|i| i.kind == Kind::Fill).count();
    let unseen = context.cycle.seen == seen;
    unseen.then(|| check.counted(context.cycle.start(), fills, 0)).into_iter().collect()
}

/// Everything draws several times what it does in the other runs.
static OUT_OF_SCALE: Check = Check {
    id: "out-of-scale",
    subject: "clamp",
    does: Kind::Wash,
    rank: 40,
    measure: |run| {
        let scale = run.record.scale.map(Quantity::Part);
        scale.map(|scale| Sign::new(run.cycle.start(), scale)).into_iter().collect()
    },
    hold: |context| {
        let scale = context.signs(OUT_OF_SCALE.id).iter();
        scale.map(|s| OUT_OF_SCALE.at_most(*s, 1.0, SCALE_DOUBT.get() * s.value.number())).collect()
    },
    headline: Headline::Is("everything draws several times what it does in the other runs"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// The current is at the end of the clamp's range.
static CLIPS: Check = Check {
    id: "clips",
    subject: "clamp",
    does: Kind::Wash,
    rank: 50,
    measure: |run| vec![Sign::new(run.cycle.start(), Quantity::Time(run.record.clipped))],
    hold: |context| {
        let clipped = context.signs(CLIPS.id).iter().filter(|s| s.value.number() > CLIPPED.get().0);
        clipped.map(|s| CLIPS.lasted(context, s.at, s.value, CLIPPED.get())).collect()
    },
    headline: Headline::Is("the current is at the end of the clamp's range"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// Water is heard, and no current is seen any more.
static CURRENT_GONE: Check = Check {
    id: "current-gone",
    subject: "clamp",
    does: Kind::Fill,
    rank: 60,
    measure: |run| unpowered_flow(run).into_iter().collect(),
    hold: |context| {
        let flow = context.signs(CURRENT_GONE.id).iter().filter(|s| s.value.number() > UNPOWERED.get().0);
        flow.map(|s| CURRENT_GONE.lasted(context, s.at, s.value, Seconds(0.0))).collect()
    },
    headline: Headline::Is("water is heard, and no current is seen"),
    numbers: Numbers::Measured,
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// Water that is heard while next to no current flows, from the start of the run to the next.
fn unpowered_flow(run: &Run) -> Option<Sign> {
    let flow = run.levels.flow?;
    let heard = |s: &Step| {
        let loud = |d: Detail| d.supply > Noise(LOUD.get() * flow.supply.0);
        s.power.0 < (run.levels.standby + NO_POWER.get()).0 && s.detail.is_some_and(loud)
    };
    let steps: Vec<Step> = run.record.between(run.cycle.start(), run.record.until).filter(heard).collect();
    let lasts: Seconds = steps.iter().map(Step::duration).sum();
    Some(Sign::new(steps.first()?.start, Quantity::Time(lasts)))
}
