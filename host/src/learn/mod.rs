//! A machine from known-good cycles: which programmes they are of, what all cycles of a programme do, what some do, and how far they differ.

mod constants;
mod core;
mod evidence;
mod global;
mod held;
mod limits;
mod names;
mod profile;
mod programmes;
mod spreads;

use tubtrace_units::{Amps, Celsius, Seconds};

pub(crate) use self::constants::ALL as CONSTANTS;
use self::constants::{LONGEST_GAP, STOOD, SUPPLY, WARMER};
use self::core::Core;
use self::limits::{Predicted, predict, predict_all};
use self::profile::{Column, Profile};
pub(crate) use self::profile::{ENOUGH, spread};
use self::programmes::programmes;
use self::spreads::{Spreads, margin};
use crate::chart::numbers::MOST_INTERVALS;
use crate::chart::{Baselines, Chart, Expected, Limits, Machine, Part};
use crate::checks;
use crate::intervals::{Cycle, Kind, Seen};
use crate::programme::recognise;

/// Why no chart was made.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum LearnError {
    /// No cycle can be used.
    #[error(
        "no complete cycle in these logs: a chart needs at least one that neither begins before nor ends after its log"
    )]
    NoCycle,
}

/// A machine and how it came about.
#[derive(Clone, Debug)]
pub struct Learned {
    /// What is known of it.
    pub machine: Machine,
    /// Cycles that it was made from, as indices of those given.
    pub used: Vec<usize>,
    /// Cycles that were left out, and why.
    pub left_out: Vec<(usize, String)>,
    /// Single examples that were unlike all the others, which the limits leave out: a sentence for each.
    pub set_aside: Vec<String>,
    /// The cycles that those are of, likewise as indices.
    pub odd: Vec<usize>,
}

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
    Ok(learned)
}

/// The same, without holding the cycles against the machine.
///
/// # Errors
/// Likewise.
pub(crate) fn draw(cycles: &[&Cycle], name: &str, resolution: Seconds) -> Result<Learned, LearnError> {
    drawn(cycles, name, resolution, programme)
}

/// Takes further good cycles of a machine into what is known of it: those of a programme that is known widen its limits where they must,
/// others make programmes of their own. Limits that were learned before do not become narrower.
///
/// # Errors
/// When none of the cycles can be used.
pub fn add(machine: Machine, cycles: &[&Cycle], resolution: Seconds) -> Result<Learned, LearnError> {
    let (mut used, mut left_out, mut new) = (Vec::new(), Vec::new(), Vec::new());
    let mut machine = machine;
    for (index, &cycle) in cycles.iter().enumerate() {
        let recognised = recognise(&machine, cycle);
        if let Some(why) = useless(cycle, &core::core(cycle)) {
            left_out.push((index, why.to_owned()));
        } else if !recognised.is_known() {
            new.push(index);
        } else if held::takes(&mut machine.programmes[recognised.programme], cycle) {
            used.push(index);
        } else {
            let name = &machine.programmes[recognised.programme].name;
            left_out
                .push((index, format!("it departs from \"{name}\" in what no limit of a programme holds")));
        }
    }
    let only: Vec<&Cycle> = new.iter().map(|&i| cycles[i]).collect();
    let (mut set_aside, mut odd) = (Vec::new(), Vec::new());
    if let Ok(others) = learn(&only, &machine.name, resolution) {
        used.extend(others.used.into_iter().map(|i| new[i]));
        odd.extend(others.odd.into_iter().map(|i| new[i]));
        left_out.extend(others.left_out.into_iter().map(|(i, why)| (new[i], why)));
        set_aside = others.set_aside;
        names::add(&mut machine, others.machine.programmes);
    }
    if used.is_empty() {
        return Err(LearnError::NoCycle);
    }
    used.sort_unstable();
    Ok(Learned { machine, used, left_out, set_aside, odd })
}

/// How a programme is made of its examples.
type Draw = fn(&[Example], &str, &Baselines, &Spreads) -> Programme;

/// Sorts cycles into programmes, and draws each.
fn drawn(cycles: &[&Cycle], name: &str, resolution: Seconds, draw: Draw) -> Result<Learned, LearnError> {
    let mut left_out: Vec<(usize, String)> = Vec::new();
    let mut examples: Vec<Example> = Vec::new();
    for (index, &cycle) in cycles.iter().enumerate() {
        let core = core::core(cycle);
        match useless(cycle, &core) {
            Some(why) => left_out.push((index, why.to_owned())),
            None => examples.push(Example { index, cycle, core }),
        }
    }
    let good: Vec<&Cycle> = examples.iter().map(|e| e.cycle).collect();
    let mut baselines = checks::learn(&good, resolution);
    let cores: Vec<Vec<Core>> = examples.iter().map(|e| e.core.clone()).collect();
    let mut machine = Machine { name: name.to_owned(), programmes: Vec::new() };
    let (mut used, mut set_aside, mut odd) = (Vec::new(), Vec::new(), Vec::new());
    let groups: Vec<Vec<Example>> = programmes(&cores, resolution)
        .into_iter()
        .map(|members| members.into_iter().map(|m| examples[m].clone()).collect())
        .collect();
    let profiles: Vec<Profile> = groups.iter().map(|own| profile(own).0).collect();
    let spreads = Spreads::of(&profiles);
    for own in groups {
        let drawn = draw(&own, name, &baselines, &spreads);
        used.extend(drawn.used);
        left_out.extend(drawn.left_out.into_iter().map(|(i, why)| (i, why.to_owned())));
        set_aside.extend(drawn.set_aside);
        odd.extend(drawn.odd);
        // What one programme needs wider is the machine's.
        baselines.clone_from(&drawn.chart.baselines);
        machine.programmes.push(drawn.chart);
    }
    machine.programmes.iter_mut().for_each(|chart| chart.baselines.clone_from(&baselines));
    if used.is_empty() {
        return Err(LearnError::NoCycle);
    }
    names::give(&mut machine);
    Ok(Learned { machine, used, left_out, set_aside, odd })
}

/// A cycle that a programme is learned from.
#[derive(Clone)]
struct Example<'a> {
    /// As an index of those given.
    index: usize,
    cycle: &'a Cycle,
    core: Vec<Core>,
}

/// Why a cycle cannot be an example, if it cannot.
fn useless(cycle: &Cycle, core: &[Core]) -> Option<&'static str> {
    if cycle.cut_at_start || cycle.cut_at_end {
        Some("it is not whole")
    } else if cycle.seen != Seen::Current {
        Some("its current was not seen")
    } else if cycle.intervals.iter().any(|x| x.kind == Kind::Gap && x.duration() > LONGEST_GAP.get()) {
        Some("minutes of it are missing")
    } else if core.len() > MOST_INTERVALS / 4 {
        Some("it has more intervals than any programme")
    } else if core.is_empty() {
        Some("none of its intervals lasts long enough to be seen")
    } else {
        None
    }
}

/// One programme and how it came about.
struct Programme {
    chart: Chart,
    used: Vec<usize>,
    left_out: Vec<(usize, &'static str)>,
    set_aside: Vec<String>,
    odd: Vec<usize>,
}

/// The examples of a programme side by side, and the indices of their cycles in the order of adding, as in the columns.
fn profile(examples: &[Example]) -> (Profile, Vec<usize>) {
    let mut examples: Vec<&Example> = examples.iter().collect();
    let cores: Vec<&[Core]> = examples.iter().map(|e| e.core.as_slice()).collect();
    let first = examples.remove(profile::medoid(&cores).unwrap_or(0));
    let mut used = vec![first.index];
    let mut profile = Profile::new(first.core.clone());
    for example in examples {
        if profile.columns.len() + example.core.len() <= MOST_INTERVALS / 2 {
            let fit = profile.fit(&example.core);
            profile.add(example.core.clone(), &fit);
            used.push(example.index);
        }
    }
    profile.turn_to_fills();
    (profile, used)
}

/// Draws a programme from its examples: at least one.
fn programme(examples: &[Example], name: &str, baselines: &Baselines, spreads: &Spreads) -> Programme {
    let (profile, mut used) = profile(examples);
    let many = examples.iter().filter(|e| !used.contains(&e.index));
    let left_out = many.map(|e| (e.index, "it has more intervals than any programme")).collect();
    let resolution = examples.iter().map(|e| e.cycle.resolution).fold(Seconds(0.0), Seconds::max);
    let mut found = Vec::new();
    let parts = parts(&profile, resolution, spreads, &mut found);
    let mut odd: Vec<usize> = found.iter().map(|o| used[o.row]).collect();
    odd.sort_unstable();
    odd.dedup();
    let set_aside = found.into_iter().map(|o| o.what).collect();
    let seen = used.len() as u32;
    let mut chart = Chart { name: name.to_owned(), parts, baselines: baselines.clone(), seen };
    held::as_written(&mut chart);
    used.sort_unstable();
    Programme { chart, used, left_out, set_aside, odd }
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

/// Columns into parts. A run of columns that come together in some cycles only, and wash with water of their own,
/// is a part that may come; else a part begins with the fill after a drain, and with drying after the last drain.
fn parts(profile: &Profile, resolution: Seconds, spreads: &Spreads, set_aside: &mut Vec<Odd>) -> Vec<Part> {
    let limits = limits_of(profile);
    let mut parts: Vec<Part> = Vec::new();
    let mut drained = false;
    let together = |a: &Column, b: &Column| a.presence() == b.presence();
    for run in profile.columns.chunk_by(together) {
        let always = run[0].presence().iter().all(|&p| p);
        let has = |kind| run.iter().any(|c| c.kind() == kind);
        let conditional = !always && has(Kind::Fill) && has(Kind::Wash);
        for (i, column) in run.iter().enumerate() {
            let kind = column.kind();
            let fresh = drained && matches!(kind, Kind::Fill | Kind::Dry);
            let after_conditional = i == 0 && parts.last().is_some_and(|p| p.times.low == 0);
            if parts.is_empty() || fresh || after_conditional || (conditional && i == 0) {
                let times = Limits { low: u32::from(!conditional), high: 1 };
                parts.push(Part { name: String::new(), times, intervals: Vec::new() });
                drained = false;
            }
            drained |= kind == Kind::Drain;
            let (mut expected, odd) = expected(column, resolution, spreads, limits);
            set_aside.extend(odd);
            // A pause that does not come is nobody's complaint.
            expected.may = kind == Kind::Pause || (!always && !conditional);
            if let Some(lasts) = expected.lasts.as_mut().filter(|_| expected.may) {
                // What may be left out may be short.
                lasts.low = Seconds(0.0);
            }
            if let Some(part) = parts.last_mut() {
                part.intervals.push(expected);
            }
        }
    }
    something_must_come(&mut parts, &profile.columns);
    may_rinse_again(&mut parts);
    cold_at_first(&mut parts);
    name(&mut parts);
    parts
}

/// Nothing departs from a chart of which all may be left out. Where no interval came in all examples, the one that came in most of them
/// must; examples without it are left out by name when they are held against the chart.
fn something_must_come(parts: &mut [Part], columns: &[Column]) {
    if parts.iter().any(Part::must_come) {
        return;
    }
    let places =
        parts.iter().enumerate().flat_map(|(p, part)| (0..part.intervals.len()).map(move |i| (p, i)));
    let times = |column: &Column| column.presence().iter().filter(|&&p| p).count();
    let commonest = places
        .zip(columns)
        .filter(|(_, column)| column.kind() != Kind::Pause)
        .max_by_key(|(_, column)| times(column));
    if let Some(((part, interval), _)) = commonest {
        parts[part].times.low = 1;
        parts[part].intervals[interval].may = false;
    }
}

/// A control may add a rinse, though none of so few cycles had one: the last of the rinses may come twice.
fn may_rinse_again(parts: &mut [Part]) {
    let rinses = |p: &Part| {
        let has = |kind| p.intervals.iter().any(|i| i.kind == kind);
        has(Kind::Fill) && has(Kind::Wash) && has(Kind::Drain) && !has(Kind::Heat)
    };
    if parts.iter().any(|p| rinses(p) && p.times.low == 0) {
        return;
    }
    // The first water is a prewash, which is nothing to repeat.
    if let Some(last) = parts.iter_mut().skip(1).rev().find(|p| rinses(p)) {
        last.times.high += 1;
    }
}

/// The first water stood in the pipe, for longer before one run than before another.
fn cold_at_first(parts: &mut [Part]) {
    let first = parts.first_mut().and_then(|p| p.intervals.first_mut());
    if let Some(supply) = first.and_then(|i| i.supply.as_mut()) {
        supply.low = supply.low - STOOD.get();
    }
}

fn name(parts: &mut [Part]) {
    let mut water = 0;
    for part in parts {
        let washes = part.intervals.iter().any(|i| matches!(i.kind, Kind::Wash | Kind::Heat));
        if washes {
            water += 1;
        }
        let optional = if part.times.low == 0 { ", may come" } else { "" };
        part.name = if washes { format!("water {water}{optional}") } else { format!("after water {water}") };
        let part_name = part.name.clone();
        for interval in &mut part.intervals {
            interval.name = format!("{part_name}: {}", interval.kind);
        }
        number_repeats(&mut part.intervals);
    }
}

/// "wash", "wash 2": intervals of one kind in one part are told apart.
fn number_repeats(intervals: &mut [Expected]) {
    for i in 0..intervals.len() {
        let before = intervals[..i].iter().filter(|x| x.kind == intervals[i].kind).count();
        if before > 0 {
            intervals[i].name = format!("{} {}", intervals[i].name, before + 1);
        }
    }
}

/// How many limits a programme has: the least and the most of each duration and of each current.
fn limits_of(profile: &Profile) -> usize {
    let of = |column: &Column| if matches!(column.kind(), Kind::Wash | Kind::Heat) { 4 } else { 2 };
    profile.columns.iter().map(of).sum()
}

/// An example that is unlike the others of its column.
struct Odd {
    /// Of which cycle, in the order of adding.
    row: usize,
    what: String,
}

/// What the column expects, and what of it was set aside.
fn expected(column: &Column, resolution: Seconds, spreads: &Spreads, limits: usize) -> (Expected, Vec<Odd>) {
    let kind = column.kind();
    let mut expected = Expected::new("", kind);
    let cores: Vec<&Core> = column.cores.iter().flatten().collect();
    let durations: Vec<f64> = cores.iter().map(|c| c.duration.0).collect();
    let mut set_aside = Vec::new();
    // A hold ends by temperature: one that took longer than the others is no odd one.
    let Predicted { low, high, set_aside: odd } = match spreads.durations(kind, limits) {
        drawn if kind == Kind::Heat => predict_all(&durations, drawn),
        drawn => predict(&durations, drawn),
    };
    let row_of = |own: &dyn Fn(&Core) -> bool| column.cores.iter().position(|c| c.as_ref().is_some_and(own));
    set_aside.extend(odd.and_then(|seconds| {
        let what = format!("one {kind} of {seconds:.0} s among {}", durations.len());
        Some(Odd { row: row_of(&|c| c.duration.0 == seconds)?, what })
    }));
    // Either end is known to one reading, and what is short is cut short by what comes before and after.
    let margin = margin(resolution).0;
    // A hold ends by temperature: from colder water, or to a few degrees more, it is longer, and from warmer water it is shorter.
    let (low, high) = if kind == Kind::Heat { warmer(low, high, durations.len()) } else { (low, high) };
    expected.lasts = Some(Limits { low: Seconds((low - margin).max(0.0)), high: Seconds(high + margin) });
    if matches!(kind, Kind::Wash | Kind::Heat) {
        let amps: Vec<f64> = cores.iter().map(|c| c.amps.0).collect();
        let Predicted { low, high, set_aside: odd } = predict(&amps, spreads.currents(kind, limits));
        set_aside.extend(odd.and_then(|amps| {
            let what = format!("one {kind} at {amps:.2} A among {}", cores.len());
            Some(Odd { row: row_of(&|c| c.amps.0 == amps)?, what })
        }));
        expected.amps =
            Some(Limits { low: Amps((low * 0.97 - 0.02).max(0.0)), high: Amps(high * 1.05 + 0.03) });
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
    (expected, set_aside)
}

/// Limits of a hold, from water that is colder or warmer than in any of so many examples: the more there are, the less of it was not seen.
fn warmer(low: f64, high: f64, examples: usize) -> (f64, f64) {
    let factor = WARMER.get().powf(1.0 / (examples as f64).sqrt());
    (low / factor, high * factor)
}
