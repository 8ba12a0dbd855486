//! A chart holds the runs that it was learned from: where one departs, the limit that it hits is widened; one that no limit can hold
//! is left out by name.

use super::example::Example;
use super::programme::{Programme, programme};
use super::spreads::Spreads;
use crate::alignment::explain;
use crate::chart::Baselines;
use crate::checks::{self, Context, Found, Needs, Surroundings, widen};

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
            let surroundings = Surroundings {
                resolution: example.cycle.resolution,
                quiet_supply: None,
                battery_ended: false,
            };
            let explanation = explain(&drawn.chart, example.cycle);
            let context = Context::new(&drawn.chart, example.cycle, &explanation, surroundings);
            let found = checks::judge(&context, Needs::Programme);
            let departs = |f: &&Found| f.outside.is_decided() && !(odd && OF_ODD.contains(&f.check.id));
            for found in found.iter().filter(departs) {
                last = Some(example.index);
                if !widen(&mut drawn.chart, found) {
                    return Err(example.index);
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
