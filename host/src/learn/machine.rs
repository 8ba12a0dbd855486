//! A machine from good cycles: they are sorted into programmes, and each is drawn from its own.

use tubtrace_units::Seconds;

use super::confirmed::regrouped;
use super::cores::{Core, cores};
use super::draws::draws;
use super::example::{Example, useless};
use super::learned::{LearnError, Learned};
use super::profile::Profile;
use super::programme::{Programme, profile, programme};
use super::programmes::programmes;
use super::spreads::Spreads;
use super::{held, names};
use crate::chart::{Baselines, Machine};
use crate::checks;
use crate::intervals::Cycle;
use crate::loads::Draws;
use crate::programme::recognise;
use crate::stats::median;

/// Learns a machine from good cycles of any of its programmes, in any order; `resolution` is the time between two readings. Every cycle that
/// is used is within its programme, but for what is set aside.
///
/// # Errors
/// When none of the cycles can be used.
pub fn learn(cycles: &[&Cycle], name: &str, resolution: Seconds) -> Result<Learned, LearnError> {
    let mut learned = drawn(cycles, name, resolution, held::learn)?;
    only_of_many(&mut learned, cycles);
    learned.used.sort_unstable();
    learned.odd.sort_unstable();
    let used: Vec<&Cycle> = learned.used.iter().map(|&i| cycles[i]).collect();
    learned.machine.take_draws(draws(&used));
    Ok(learned)
}

/// The same, without holding the cycles against the machine.
///
/// # Errors
/// Likewise.
pub(crate) fn draw(cycles: &[&Cycle], name: &str, resolution: Seconds) -> Result<Learned, LearnError> {
    drawn(cycles, name, resolution, programme)
}

/// How a programme is made of its examples.
type Draw = fn(&[Example], &str, &Baselines, &Spreads) -> Programme;

/// Sorts cycles into programmes, and draws each.
fn drawn(cycles: &[&Cycle], name: &str, resolution: Seconds, draw: Draw) -> Result<Learned, LearnError> {
    let mut left_out: Vec<(usize, String)> = Vec::new();
    let mut examples: Vec<Example> = Vec::new();
    for (index, &cycle) in cycles.iter().enumerate() {
        let cores = cores(cycle);
        match useless(cycle, &cores) {
            Some(why) => left_out.push((index, why.to_owned())),
            None => examples.push(Example { index, cycle, cores }),
        }
    }
    let good: Vec<&Cycle> = examples.iter().map(|e| e.cycle).collect();
    let mut baselines = checks::learn(&good, resolution);
    let cores: Vec<Vec<Core>> = examples.iter().map(|e| e.cores.clone()).collect();
    let mut machine = Machine { name: name.to_owned(), programmes: Vec::new(), draws: Draws::default() };
    let (mut used, mut unlike, mut odd) = (Vec::new(), Vec::new(), Vec::new());
    let mut lengths = Vec::new();
    let mut groups: Vec<Vec<Example>> = programmes(&cores, resolution)
        .into_iter()
        .map(|members| members.into_iter().map(|m| examples[m].clone()).collect())
        .collect();
    let spreads = |groups: &[Vec<Example>]| {
        Spreads::of(&groups.iter().map(|own| profile(own).0).collect::<Vec<Profile>>())
    };
    let mut spread = spreads(&groups);
    if let Some(others) = regrouped(&groups, &baselines, &spread) {
        groups = others;
        spread = spreads(&groups);
    }
    for own in groups {
        let drawn = draw(&own, name, &baselines, &spread);
        lengths.push(median(&own.iter().map(|e| e.cycle.duration().0).collect::<Vec<_>>()));
        used.extend(drawn.used);
        left_out.extend(drawn.left_out.into_iter().map(|(i, why)| (i, why.to_owned())));
        unlike.extend(drawn.unlike);
        odd.extend(drawn.odd);
        // What one programme needs wider is the machine's.
        baselines.clone_from(&drawn.chart.baselines);
        machine.programmes.push(drawn.chart);
    }
    machine.share(&baselines);
    if used.is_empty() {
        return Err(LearnError::NoCycle);
    }
    names::give(&mut machine, &lengths.into_iter().map(Seconds).collect::<Vec<_>>());
    Ok(Learned { machine, used, left_out, unlike, odd })
}

/// A programme of which a single cycle is known, and which may as well be one of the others with something wrong, is no programme: a good
/// cycle among many would be one of those.
fn only_of_many(learned: &mut Learned, cycles: &[&Cycle]) {
    // The rarest first.
    for at in (1..learned.machine.programmes.len()).rev() {
        let chart = &learned.machine.programmes[at];
        if chart.seen != 1 {
            continue;
        }
        let mut others = learned.machine.clone();
        others.programmes.remove(at);
        let own =
            learned.used.iter().copied().find(|&i| recognise(&learned.machine, cycles[i]).programme == at);
        let Some(index) = own else { continue };
        let other = recognise(&others, cycles[index]);
        if !other.is_known() {
            continue;
        }
        let like = &others.programmes[other.programme].name;
        let why = format!(
            "it is unlike every other, and may be \"{like}\" with something wrong; see what check says of it"
        );
        learned.left_out.push((index, why));
        learned.used.retain(|&i| i != index);
        learned.machine = others;
    }
}
