//! The drain hose: what is heard in it, in drains and between them.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline};
use super::context::Context;
use super::evidence::drains::{Silent, flowing, silent, still_heard};
use super::outside::Outside;
use super::run::{Run, middle, washes};
use super::uncertainty::Band;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::Noise;

pub(super) static CHECKS: [&Check; 4] = [&EMPTIES_LATE, &FLOWS_BACK, &SIPHONS, &NO_DRAIN_FLOW];

constants! { "checks.drain_hose":
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
        // Where nothing is heard in the drain, nothing is heard to its end. What is heard of a pump that moves no water is known by the fills
        // that do not come after it, which a run that the log cuts does not show.
        let whole = context.cycle.lacks().is_none();
        let late = late.filter(|_| silent(context).is_empty() || (whole && still_heard(context)));
        late.map(|s| EMPTIES_LATE.at_most(s, most, EMPTYING_DOUBT.get())).into_iter().collect()
    },
    masked_by: &["no-drain-flow", "siphons", "stays-full", "gives-up-draining"],
    headline: Headline::Is("still emptying when the drain ends"),
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

/// The part of a drain in which water is heard; none of one that the log cuts, whose end nobody has heard.
fn heard(run: &Run, drain: &Interval) -> Option<Sign> {
    if run.cycle.cuts(drain.start, drain.end) {
        return None;
    }
    let heard: f64 = flowing(run.record, drain)?.map(|s| s.duration().0).sum();
    Some(Sign::new(drain.start, Quantity::Part(heard / drain.duration().0.max(0.1))))
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
            // The least that flows lies between silence and water with room of its own on either side.
            outside.at(context, drain.place).sure(drain.certainty).band(Band::Beyond)
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
