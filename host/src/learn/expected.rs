//! What a chart expects of an interval, from how it was in each example.

use tubtrace_units::{Amps, Celsius, Seconds};

use super::constants::{
    CURRENT_HIGHER, CURRENT_LESS, CURRENT_LOWER, CURRENT_MORE, CUT_SHORT, HEATED, SUPPLY, WARMER,
};
use super::cores::Core;
use super::limits::{Lone, Predicted, predict, predict_all};
use super::profile::{Column, Profile};
use super::spreads::{Spreads, blur};
use crate::chart::{Expected, Limits};
use crate::intervals::Kind;
use crate::stats::median;

/// How many limits a programme has: the least and the most of each duration and of each current.
pub(super) fn limits_of(profile: &Profile) -> usize {
    let of = |column: &Column| if matches!(column.kind(), Kind::Wash | Kind::Heat) { 4 } else { 2 };
    profile.columns.iter().map(of).sum()
}

/// An example that is unlike the others of its column.
pub(super) struct Odd {
    /// Of which cycle, in the order of adding.
    pub(super) row: usize,
    /// A sentence that names it.
    pub(super) what: String,
    /// Whether the limits leave it out.
    pub(super) set_aside: bool,
}

impl Odd {
    fn new(row: usize, what: &str, set_aside: bool) -> Self {
        let comes_to = if set_aside {
            "ignored when setting limits"
        } else {
            "the limits allow it; if its cycle was not a good one, learn again without it"
        };
        Self { row, what: format!("{what} was unlike the others: {comes_to}"), set_aside }
    }
}

/// What the column expects, and what of it is unlike the rest.
pub(super) fn expected(
    column: &Column,
    resolution: Seconds,
    spreads: &Spreads,
    limits: usize,
) -> (Expected, Vec<Odd>) {
    let kind = column.kind();
    let mut expected = Expected::new("", kind);
    let cores: Vec<&Core> = column.cores.iter().flatten().collect();
    let durations: Vec<f64> = cores.iter().map(|c| c.duration.0).collect();
    let mut odd_ones = Vec::new();
    // A hold ends by temperature: one that took longer than the others is no odd one.
    let mut drawn = spreads.durations(kind, limits);
    drawn.spread = drawn.spread.hypot(blur(resolution, Seconds(median(&durations))));
    let predict_durations = if kind == Kind::Heat { predict_all } else { predict };
    let Predicted { low, high, odd } = predict_durations(&durations, drawn);
    let row_of = |own: &dyn Fn(&Core) -> bool| column.cores.iter().position(|c| c.as_ref().is_some_and(own));
    odd_ones.extend(odd.and_then(|Lone { value, set_aside }| {
        let what = format!("one {kind} of {value:.0} s among {}", durations.len());
        Some(Odd::new(row_of(&|c| c.duration.0 == value)?, &what, set_aside))
    }));
    // What is short is cut short by what comes before and after.
    let margin = CUT_SHORT.get().0;
    // A hold ends by temperature: from colder water, or to a few degrees more, it is longer, and from warmer water it is shorter.
    let (low, high) = if kind == Kind::Heat { warmer(low, high, durations.len()) } else { (low, high) };
    expected.lasts = Some(Limits { low: Seconds((low - margin).max(0.0)), high: Seconds(high + margin) });
    if matches!(kind, Kind::Wash | Kind::Heat | Kind::Dry) {
        let amps: Vec<f64> = cores.iter().filter_map(|c| c.amps).map(|a| a.0).collect();
        // What dries without heat is a vent or a fan, whose few watts say little.
        let small = kind == Kind::Dry && amps.iter().any(|amps| *amps < HEATED.get().0);
        if !amps.is_empty() && !small {
            let Predicted { low, high, odd } = predict(&amps, spreads.currents(kind, limits));
            odd_ones.extend(odd.and_then(|Lone { value, set_aside }| {
                let what = format!("one {kind} at {value:.2} A among {}", amps.len());
                Some(Odd::new(row_of(&|c| c.amps == Some(Amps(value)))?, &what, set_aside))
            }));
            let low = Amps(low) * CURRENT_LOWER.get() - CURRENT_LESS.get();
            let high = Amps(high) * CURRENT_HIGHER.get() + CURRENT_MORE.get();
            expected.amps = Some(Limits { low: Amps(low.0.max(0.0)), high });
        }
    }
    if matches!(kind, Kind::Wash | Kind::Heat) {
        let purges = cores.iter().map(|c| c.purges);
        let (least, most) = (purges.clone().min().unwrap_or(0), purges.max().unwrap_or(0));
        // One more than was seen may come: of six cycles without a purge, the seventh still has one now and then.
        expected.purges = Limits { low: least.min(1), high: most + 1 };
    }
    let all =
        |of: fn(&Core) -> Option<Celsius>| -> Option<Vec<Celsius>> { cores.iter().map(|c| of(c)).collect() };
    if let Some(supply) = all(|c| c.supply) {
        let least = supply.iter().copied().min_by(Celsius::total_cmp);
        let most = supply.iter().copied().max_by(Celsius::total_cmp);
        expected.supply =
            least.zip(most).map(|(low, high)| Limits { low: low - SUPPLY.get(), high: high + SUPPLY.get() });
    }
    if kind == Kind::Heat {
        expected.until = all(|c| c.drained_at).and_then(|d| d.into_iter().min_by(Celsius::total_cmp));
    }
    (expected, odd_ones)
}

/// Limits of a hold, from water that is colder or warmer than in any of so many examples: the more there are, the less of it was not seen.
fn warmer(low: f64, high: f64, examples: usize) -> (f64, f64) {
    let factor = WARMER.get().powf(1.0 / (examples as f64).sqrt());
    (low / factor, high * factor)
}
