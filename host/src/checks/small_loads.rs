//! What is small beside a pump: a vent or a dispenser that stays on, a dispenser that is on less often.

use tubtrace_units::{Load, Seconds};

use super::baseline::{Baseline, Good};
use super::check::{Check, Harm, Headline, Needs};
use super::constants::NOBODY_KNOWS;
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::{Run, greatest};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&DISPENSES_LESS, &STAYS_ON];

constants! { "checks.small_loads":
    /// A small load beside a fill or a drain: the shortest event that shows a level of its own beside theirs.
    A_SMALL_LOAD: Seconds = Seconds(10.0), "s", Practice;
    /// Part of the dispenser's times on that is seen, where the chart says nothing.
    SEEN_PART: f64 = 0.95, "part", Guess;
    /// A meter that is slower than this does not see a step of a few watts beside a pump.
    SEES: Seconds = Seconds(0.5), "s", Guess;
    /// What healthy dispensers leave unseen more often than this cannot be told.
    BY_CHANCE: f64 = 0.01, "probability", Guess;
    /// Small loads that are on for less than this beside water, where the chart says nothing: a drain against a higher head, and a valve
    /// that is warm.
    STAYS: Seconds = Seconds(90.0), "s", Fitted;
}

/// The dispenser is on less often than it should be.
static DISPENSES_LESS: Check = Check {
    id: "dispenses-less",
    subject: "dispenser",
    does: Kind::Wash,
    rank: 220,
    measure: |run| {
        let on = run.cycle.intervals.iter().filter(|i| i.loads.has(Load::Dispenser)).count();
        vec![Sign::new(run.cycle.start(), Quantity::Count(on as u32))]
    },
    baselines: &[&DISPENSES, &SEEN],
    hold: |context| dispenses_less(context).into_iter().collect(),
    widen: |chart, outside| {
        DISPENSES.say(&mut chart.baselines, outside.measured.number() as u32);
        true
    },
    // In a run that breaks off, or whose pump wanders, it cannot be told.
    masked_by: &["unsteady", "pump-stalls", "broke-off", "began-again", "left-out", "stays-on"],
    headline: Headline::Is("the dispenser is not on when it should be"),
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// How often the dispenser is on; zero where it cannot be told.
static DISPENSES: Baseline<u32> = Baseline { key: "dispenses", common: || 0, learn: |good, _| most(good) };

/// Part of those times that is seen: a small step beside a pump is not always. As Krichevsky and Trofimov estimate it (IEEE
/// Transactions on Information Theory 27, 1981): half a time more of either.
static SEEN: Baseline<f64> = Baseline {
    key: "dispenses_seen",
    common: || SEEN_PART.get(),
    learn: |good, _| {
        let times: u32 = counts(good).sum();
        (f64::from(times) + 0.5) / (f64::from(most(good) * good.count() as u32) + 1.0)
    },
};

/// How often it was on in each good run.
fn counts(good: &Good) -> impl Iterator<Item = u32> {
    good.signs(DISPENSES_LESS.id).map(|signs| signs.iter().map(count).sum())
}

fn most(good: &Good) -> u32 {
    counts(good).max().unwrap_or(0)
}

fn count(sign: &Sign) -> u32 {
    sign.value.number() as u32
}

fn dispenses_less(context: &Context) -> Option<Outside> {
    let usual = context.usual(&DISPENSES);
    let cut = context.cycle.cut_at_start || context.cycle.cut_at_end;
    if cut || context.surroundings.resolution >= SEES.get() {
        return None;
    }
    let seen = context.signs(DISPENSES_LESS.id).iter().map(count).sum();
    let limits = (Some(Quantity::Count(usual)), None);
    let outside =
        DISPENSES_LESS.outside(context.cycle.start(), Quantity::Count(seen), limits, Quantity::Count(0));
    // As likely as not, if so few are seen of a healthy one now and then.
    let chance = at_most(seen, usual, context.usual(&SEEN).clamp(0.0, 1.0));
    (seen < usual)
        .then(|| outside.sure(if chance < BY_CHANCE.get() { 1.0 - chance } else { NOBODY_KNOWS.get() }))
}

/// Probability of at most `seen` of `times`, each of which is seen with probability `each`: the binomial distribution.
fn at_most(seen: u32, times: u32, each: f64) -> f64 {
    let choose = |k: u32| (0..k).map(|i| f64::from(times - i) / f64::from(i + 1)).product::<f64>();
    (0..=seen.min(times))
        .map(|k| choose(k) * each.powi(k as i32) * (1.0 - each).powi((times - k) as i32))
        .sum()
}

/// Something small is on where it should not be: vent or dispenser.
static STAYS_ON: Check = Check {
    id: "stays-on",
    rank: 210,
    measure: beside_water,
    baselines: &[&BESIDE_WATER],
    hold: |context| {
        let usual = context.usual(&BESIDE_WATER);
        let longest = greatest(context.signs(STAYS_ON.id)).filter(|s| s.value.number() > usual.0);
        let outside = |s: Sign| {
            let does = if s.about == Load::Dispenser.word() { Kind::Wash } else { Kind::Dry };
            STAYS_ON.lasted(context, s.at, s.value, usual).of(s.about, does)
        };
        longest.map(outside).into_iter().collect()
    },
    widen: |chart, outside| {
        BESIDE_WATER.say(&mut chart.baselines, Seconds(outside.up(1)));
        true
    },
    masked_by: &["drain-goes-on"],
    event: Event::Lasts(A_SMALL_LOAD),
    headline: Headline::Of("stays on where it should not be"),
    unusual_alone: true,
    needs: Needs::Machine,
    of_order_or_load: true,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// For how long the longer of them is on beside fills and drains: a machine's light, or a control that draws more when it is awake, is as small.
static BESIDE_WATER: Baseline<Seconds> = Baseline {
    key: "stays_on_s",
    common: || STAYS.get(),
    learn: |good, common| Seconds(good.over(common.0, STAYS_ON.id, greatest)),
};

/// For how long each is on in all beside fills and drains, which have no use for it.
fn beside_water(run: &Run) -> Vec<Sign> {
    let of = |load: Load| {
        let beside: Vec<&Interval> =
            run.of(&[Kind::Fill, Kind::Drain]).filter(|i| i.loads.has(load)).collect();
        let lasts: Seconds = beside.iter().map(|i| i.duration()).sum();
        Some(Sign { about: load.word(), ..Sign::new(beside.first()?.start, Quantity::Time(lasts)) })
    };
    [Load::Vent, Load::Dispenser].into_iter().filter_map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::at_most;

    /// The cumulative binomial distribution of any handbook's table: n = 5, p = 0.5 and n = 10, p = 0.9.
    #[test]
    fn agrees_with_the_binomial_table() {
        for (seen, times, each, expected) in
            [(1, 5, 0.5, 0.1875), (2, 5, 0.5, 0.5), (8, 10, 0.9, 0.2639), (5, 5, 0.5, 1.0)]
        {
            assert!((at_most(seen, times, each) - expected).abs() < 5e-5, "{seen} of {times}");
        }
    }
}
