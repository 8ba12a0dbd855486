//! A chart holds the runs that it was learned from: where one departs, the limit that it hits is widened; one that no limit can hold
//! is left out by name.

use super::example::Example;
use super::programme::{Programme, programme};
use super::spreads::Spreads;
use crate::alignment::explain;
use crate::chart::{Baselines, Chart};
use crate::checks::{self, Context, Found, Grade, Needs, Surroundings, widen};
use crate::intervals::Cycle;

/// A wider limit may let a run be explained in another way, which hits another limit: so often.
const ROUNDS: usize = 8;

const UNHELD: &str = "it departs from the chart of the rest in what no limit of a chart holds";

const ALONE: &str =
    "it departs from any chart, and this one is made of it for want of another; see what check says of it";

/// Draws a programme so that every run that is used, but for what was set aside of it, is within it.
pub(super) fn learn(examples: &[Example], name: &str, baselines: &Baselines, spreads: &Spreads) -> Programme {
    let mut unheld: Vec<usize> = Vec::new();
    loop {
        let given: Vec<Example> = examples.iter().filter(|e| !unheld.contains(&e.index)).cloned().collect();
        let mut drawn = programme(&given, name, baselines, spreads);
        match hold(&mut drawn, &given).err() {
            Some(index) if drawn.used.len() > 1 => unheld.push(index),
            alone => {
                drawn.used.retain(|i| Some(*i) != alone);
                drawn.left_out.extend(unheld.into_iter().map(|i| (i, UNHELD)));
                drawn.left_out.extend(alone.map(|i| (i, ALONE)));
                return drawn;
            }
        }
    }
}

/// Widens the chart for all that are used; gives the first that it cannot hold.
fn hold(drawn: &mut Programme, examples: &[Example]) -> Result<(), usize> {
    let used: Vec<&Example> = examples.iter().filter(|e| drawn.used.contains(&e.index)).collect();
    let mut last = None;
    for _ in 0..ROUNDS {
        last = None;
        for example in &used {
            let odd = drawn.odd.contains(&example.index);
            match widen_for(&mut drawn.chart, example.cycle, odd) {
                Widened::NoNeed => {}
                Widened::Once => last = Some(example.index),
                Widened::InVain => return Err(example.index),
            }
        }
        if last.is_none() {
            return Ok(());
        }
    }
    last.map_or(Ok(()), Err)
}

/// Takes one more run into a chart, whose limits are widened where they must be; `false` where no limit can hold it, and nothing is changed.
pub(super) fn takes(chart: &mut Chart, cycle: &Cycle) -> bool {
    let mut wider = chart.clone();
    for _ in 0..ROUNDS {
        match widen_for(&mut wider, cycle, false) {
            Widened::NoNeed => {
                wider.seen += 1;
                *chart = wider;
                return true;
            }
            Widened::Once => {}
            Widened::InVain => return false,
        }
    }
    false
}

/// What became of a chart that a run departs from.
enum Widened {
    /// The run is within the chart as it is.
    NoNeed,
    /// The limits that it hit are wider now.
    Once,
    /// It hit something that no limit holds.
    InVain,
}

/// Widens the limits of a chart that a run hits; what a single odd value of the run hits may stay.
fn widen_for(chart: &mut Chart, cycle: &Cycle, odd: bool) -> Widened {
    let surroundings =
        Surroundings { resolution: cycle.resolution, quiet_supply: None, battery_ended: false, plate: None };
    let explanation = explain(chart, cycle);
    let found = checks::judge(&Context::new(chart, cycle, &explanation, surroundings), Needs::Programme);
    let departs = |f: &&Found| f.outside.is_decided() && !(odd && OF_ODD.contains(&f.check.id));
    let mut widened = Widened::NoNeed;
    for found in found.iter().filter(departs) {
        match widen(chart, found) {
            true => widened = Widened::Once,
            // What is unusual and held by no limit makes no cycle depart.
            false if found.grade == Grade::Unusual => {}
            false => return Widened::InVain,
        }
    }
    widened
}

/// What departs where a single example was set aside, by the words of the checks.
const OF_ODD: [&str; 4] = ["too-long", "too-short", "current-low", "current-high"];
