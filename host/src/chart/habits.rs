//! Habits: what a machine does beside its intervals, with the most that is usual. A chart that says nothing of them has what
//! is common practice, no source; a learned one has what its machine does, with room.

use serde::{Deserialize, Serialize};
use tubtrace_units::Seconds;

use crate::intervals::Signs;

/// The most that is usual of each.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Habits {
    /// The wash pump is up to speed within this: a motor takes well under a second.
    pub start_s: Seconds,
    /// How often it goes off and on in its first seconds: a relay that closes bounces for milliseconds, which no window shows.
    pub switching: f64,
    /// How often the wash pump stands still for less than half a minute between two washes.
    pub stops: u32,
    /// The spread of its power, from the tenth to the ninetieth percentile, over the median: with water, it hardly wanders.
    pub wander: f64,
    /// What is left in the deepest sag of an interval, as a part: the least that is usual.
    pub sag: f64,
    /// The longest that the drain pump runs at a stretch.
    pub drain_s: Seconds,
    /// Part of a drain in which water is heard.
    pub emptying: f64,
    /// Level in the drain hose after a drain, over that of a quiet one.
    pub after_drain: f64,
    /// The same in the second half of fills.
    pub hose_in_fills: f64,
    /// How often the heater goes off and comes again within a hold.
    pub heater_cycles: f64,
    /// How often the dispenser is on; zero where it cannot be told.
    pub dispenses: u32,
    /// Part of those times that is seen: a small step beside a pump is not always.
    pub dispenses_seen: f64,
    /// The least and the most water that comes in a minute of filling, by heat balance, litres; empty where it is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inlet_l_min: Option<[f64; 2]>,
    /// Level in the supply line as the valve shuts, in counts: a tenth of a second holds a few hundred of an ordinary knock.
    pub knock: f64,
}

impl Default for Habits {
    fn default() -> Self {
        Self {
            start_s: Seconds(1.1),
            switching: 2.0,
            stops: 0,
            wander: 0.10,
            sag: 0.9,
            drain_s: Seconds(200.0),
            emptying: 0.92,
            after_drain: 6.0,
            hose_in_fills: 2.2,
            heater_cycles: 1.0,
            dispenses: 0,
            dispenses_seen: 0.95,
            inlet_l_min: None,
            knock: 560.0,
        }
    }
}

/// Cycles below which little is known of a habit.
const FEW: usize = 6;

impl Habits {
    /// Those of good cycles: the most that any of them did, with room, and never less than what is common.
    #[must_use]
    pub fn of(good: &[&Signs], resolution: Seconds) -> Self {
        let common = Self::default();
        let few = good.len() < FEW;
        let room = if few { 2.0 } else { 1.5 };
        let most = |of: &dyn Fn(&Signs) -> Option<f64>| {
            good.iter().filter_map(|s| of(s)).fold(f64::NEG_INFINITY, f64::max)
        };
        let over = |common: f64, of: &dyn Fn(&Signs) -> Option<f64>| common.max(room * most(of));
        let knock = |s: &Signs| Some(s.typical_knock()?.value);
        let stops = most(&|s| Some(s.short_stops().len() as f64)) as u32;
        let slack = if few { 2 } else { u32::from(stops > 0) };
        let dispenses = good.iter().map(|s| s.dispenses).max().unwrap_or(0);
        let deepest = good.iter().filter_map(|s| s.deepest_sag()).map(|s| s.value).fold(1.0, f64::min);
        Self {
            start_s: Seconds(
                over(common.start_s.0, &|s| Some(s.typical_start()?.lasts.0))
                    + if resolution.0 > 0.5 { 2.0 * resolution.0 } else { 0.0 },
            ),
            switching: common.switching.max(most(&|s| Some(s.typical_switching()?.value)) + 1.0),
            stops: stops + slack,
            wander: over(common.wander, &|s| Some(s.typical_wander()?.value)),
            // Of many good cycles, the deepest is known well.
            sag: if few { common.sag.min(deepest - 0.08) } else { (deepest - 0.035).min(0.94) },
            drain_s: Seconds(over(common.drain_s.0, &|s| Some(s.longest_drain.0))),
            emptying: emptying(most(&|s| Some(s.typical_emptying()?.value)), few),
            after_drain: over(common.after_drain, &|s| Some(s.typical_after_drain()?.value)),
            hose_in_fills: over(common.hose_in_fills, &|s| Some(s.typical_hose()?.value)),
            heater_cycles: common
                .heater_cycles
                .max(most(&|s| Some(s.most_heater_cycles()?.value)) + f64::from(u8::from(few))),
            dispenses,
            dispenses_seen: seen(good, dispenses),
            inlet_l_min: inlet(good),
            // How loud a valve is depends on the pipe: of many good cycles it is known.
            knock: if few { over(common.knock, &knock) } else { 2.0 * most(&knock).max(QUIET_KNOCK) },
        }
    }
}

/// Part of the dispenser's times that was seen, as Krichevsky and Trofimov estimate it (IEEE Transactions on Information
/// Theory 27, 1981): half a time more of either.
fn seen(good: &[&Signs], dispenses: u32) -> f64 {
    let (times, all) = (good.iter().map(|s| s.dispenses).sum::<u32>(), dispenses * good.len() as u32);
    (f64::from(times) + 0.5) / (f64::from(all) + 1.0)
}

/// A valve that shuts without being heard, in counts.
const QUIET_KNOCK: f64 = 20.0;

/// Part of a drain in which water may be heard, where good cycles have this at most; beyond the whole where that is nearly all.
fn emptying(most: f64, few: bool) -> f64 {
    let common = Habits::default().emptying;
    match most {
        m if m > 0.85 => 1.1,
        m if few || m < 0.0 => common,
        // A pump that moves half as much is heard twice as long; more water in the tub, a little longer.
        m => (1.6 * m).max(m + 0.12).min(common),
    }
}

/// Heat balances of one machine differ from day to day by this part: the load, and how dry it is. Common practice, no source.
const DAY_TO_DAY: f64 = 0.12;

fn inlet(good: &[&Signs]) -> Option<[f64; 2]> {
    let inflows: Vec<f64> = good.iter().filter_map(|s| s.typical_inflow()).map(|s| s.value).collect();
    let least = inflows.iter().copied().min_by(f64::total_cmp)?;
    let most = inflows.iter().copied().max_by(f64::total_cmp)?;
    Some([least * (1.0 - DAY_TO_DAY), most * (1.0 + DAY_TO_DAY)])
}
