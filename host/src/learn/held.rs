//! A chart holds the runs that it was learned from: where one departs, the limit that it hits is widened; one that no limit can hold
//! is left out by name.

use tubtrace_units::Seconds;

use super::{LearnError, Learned, draw};
use crate::alignment::explain;
use crate::chart::numbers::{LONGEST, MOST_AMPS, MOST_PURGES, WARMEST};
use crate::chart::{Chart, Limits};
use crate::checks::{self, Context, Outside, Surroundings, widen};
use crate::intervals::Cycle;

/// A wider limit may let a run be explained in another way, which hits another limit: so often.
const ROUNDS: usize = 8;

const UNHELD: &str = "it departs from the chart of the rest in what no limit of a chart holds";
const ALONE: &str =
    "it departs from any chart, and this one is made of it for want of another; see what check says of it";

/// Learns so that every run that is used, but for what was set aside of it, is within the chart.
pub(super) fn learn(cycles: &[&Cycle], name: &str, resolution: Seconds) -> Result<Learned, LearnError> {
    let mut unheld: Vec<usize> = Vec::new();
    loop {
        let given: Vec<usize> = (0..cycles.len()).filter(|i| !unheld.contains(i)).collect();
        let only: Vec<&Cycle> = given.iter().map(|&i| cycles[i]).collect();
        let mut learned = draw(&only, name, resolution)?;
        let departs = hold(&mut learned, &only, resolution).err();
        // Indices of all that were given, again.
        learned.used.iter_mut().chain(&mut learned.odd).for_each(|i| *i = given[*i]);
        learned.left_out.iter_mut().for_each(|l| l.0 = given[l.0]);
        match departs.map(|i| given[i]) {
            Some(i) if learned.used.len() > 1 => unheld.push(i),
            alone => {
                learned.used.retain(|i| Some(*i) != alone);
                learned.left_out.extend(unheld.into_iter().map(|i| (i, UNHELD)));
                learned.left_out.extend(alone.map(|i| (i, ALONE)));
                return Ok(learned);
            }
        }
    }
}

/// Widens the chart for all that are used; gives the first that it cannot hold.
fn hold(learned: &mut Learned, cycles: &[&Cycle], resolution: Seconds) -> Result<(), usize> {
    let surroundings = Surroundings { resolution, quiet_supply: None, battery_ended: false };
    let mut last = None;
    for _ in 0..ROUNDS {
        last = None;
        for &i in &learned.used {
            let odd = learned.odd.contains(&i);
            let explanation = explain(&learned.chart, cycles[i]);
            let found = checks::judge(&Context::new(&learned.chart, cycles[i], &explanation, surroundings));
            let departs = |o: &&Outside| o.is_decided() && !(odd && OF_ODD.contains(&o.check.id));
            for outside in found.iter().filter(departs) {
                last = Some(i);
                if !widen(&mut learned.chart, outside) {
                    return Err(i);
                }
            }
        }
        if last.is_none() {
            return Ok(());
        }
    }
    last.map_or(Ok(()), Err)
}

/// What departs where a single example was set aside, by the words of the checks.
const OF_ODD: [&str; 4] = ["too-long", "too-short", "current-low", "current-high"];

/// Limits as a chart's file can have them: within what can be meant, to the decimals that are written.
pub(super) fn as_written(chart: &mut Chart) {
    for expected in chart.parts.iter_mut().flat_map(|p| &mut p.intervals) {
        round(&mut expected.lasts, |s| &mut s.0, LONGEST, 1);
        round(&mut expected.amps, |a| &mut a.0, MOST_AMPS, 3);
        round(&mut expected.supply, |c| &mut c.0, WARMEST, 1);
        expected.until.iter_mut().for_each(|u| u.0 = to_decimals(u.0, 1));
        expected.until = expected.until.filter(|u| (1.0..=WARMEST).contains(&u.0));
        expected.purges.high = expected.purges.high.min(MOST_PURGES);
    }
}

fn round<T>(limits: &mut Option<Limits<T>>, number: fn(&mut T) -> &mut f64, most: f64, decimals: usize) {
    let Some(Limits { low, high }) = limits else { return };
    for end in [number(low), number(high)] {
        *end = to_decimals(end.clamp(0.0, most), decimals);
    }
}

/// The number that is read where this one was written with so many decimals.
fn to_decimals(number: f64, decimals: usize) -> f64 {
    format!("{number:.decimals$}").parse().unwrap_or(number)
}
