//! The tables of a chart or a machine file, and what each of them may say.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::Spanned;
use tubtrace_units::{Amps, Celsius, Seconds};

use super::baselines::Baselines;
use super::complaint::{Complaint, complain};
use super::expected::{Chart, Expected, Part};
use super::limits::Limits;
use super::machine::Machine;
use super::numbers::{
    LEAST_AMPS, LONGEST, MOST_AMPS, MOST_INTERVALS, MOST_PURGES, MOST_TIMES, WARMEST, pair,
};
use crate::intervals::Kind;
use crate::loads::{Draw, Drawn, Draws, Rest};

/// A machine has this many programmes at most; more is no machine.
const MOST_PROGRAMMES: usize = 256;

/// A file: `chart = 1` with the parts of one programme, or `machine = 1` with several programmes.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Table {
    chart: Option<Spanned<u32>>,
    machine: Option<Spanned<u32>>,
    name: String,
    seen: Option<Spanned<u32>>,
    #[serde(default)]
    sheet: bool,
    #[serde(default)]
    part: Vec<Spanned<PartTable>>,
    #[serde(default)]
    programme: Vec<Spanned<ProgrammeTable>>,
    #[serde(default)]
    habits: Baselines,
    #[serde(default)]
    loads: BTreeMap<Drawn, DrawTable>,
    rests: Option<RestTable>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RestTable {
    longest_s: Spanned<f64>,
    #[serde(default)]
    seen: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DrawTable {
    amps: Spanned<f64>,
    #[serde(default)]
    spread: Option<Spanned<f64>>,
    #[serde(default)]
    seen: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProgrammeTable {
    name: String,
    #[serde(default)]
    seen: u32,
    #[serde(default)]
    sheet: bool,
    #[serde(default)]
    part: Vec<Spanned<PartTable>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartTable {
    name: String,
    may: Option<bool>,
    times: Option<Spanned<Vec<u32>>>,
    #[serde(default)]
    interval: Vec<Spanned<IntervalTable>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct IntervalTable {
    name: Option<String>,
    does: Spanned<Kind>,
    #[serde(default)]
    may: bool,
    lasts: Option<Spanned<Vec<f64>>>,
    amps: Option<Spanned<Vec<f64>>>,
    supply_c: Option<Spanned<Vec<f64>>>,
    until_c: Option<Spanned<f64>>,
    purges: Option<Spanned<Vec<u32>>>,
}

impl Table {
    /// The machine that the file describes, or the first thing in it that no chart can say.
    pub(super) fn check(self) -> Result<Machine, Complaint> {
        let Self { chart, machine, name, seen, sheet, part, programme, habits, loads, rests } = self;
        let draws = check_loads(&loads)?.resting(rests.as_ref().map(check_rests).transpose()?);
        match (chart, machine) {
            (Some(version), None) => {
                is_first(&version, "charts")?;
                if let Some(programme) = programme.first() {
                    return Err(complain(
                        programme,
                        "several programmes stand in a file that says machine = 1",
                    ));
                }
                let seen = seen.map_or(0, Spanned::into_inner);
                let parts = check_parts(part, &version, "a chart")?;
                let chart = Chart { name, parts, baselines: habits, seen, of_sheet: sheet };
                check_pumps(Machine { draws, ..chart.into() }, &loads)
            }
            (None, Some(version)) => {
                is_first(&version, "machine files")?;
                if let Some(part) = part.first() {
                    return Err(complain(
                        part,
                        "in a machine file, parts stand in a programme: [[programme.part]]",
                    ));
                }
                if let Some(seen) = seen {
                    return Err(complain(&seen, "seen stands in a [[programme]]"));
                }
                if programme.is_empty() {
                    return Err(complain(&version, "a machine file needs at least one [[programme]]"));
                }
                if let Some(beyond) = programme.get(MOST_PROGRAMMES) {
                    let what = format!(
                        "with this one there are more than {MOST_PROGRAMMES} programmes, which no machine has"
                    );
                    return Err(complain(beyond, what));
                }
                let programmes = programme.into_iter().map(|p| ProgrammeTable::check(p, &habits));
                let programmes = programmes.collect::<Result<_, _>>()?;
                check_pumps(Machine { name, programmes, draws }, &loads)
            }
            (_, Some(version)) => Err(complain(&version, "a file has either chart or machine, not both")),
            (None, None) => {
                Err(Complaint { at: 0, what: "neither chart = 1 nor machine = 1 stands in it".to_owned() })
            }
        }
    }
}

/// How long they rest, where the number can be meant.
fn check_rests(rests: &RestTable) -> Result<Rest, Complaint> {
    let longest = *rests.longest_s.get_ref();
    if !(0.0..=LONGEST).contains(&longest) {
        let what = format!(
            "the longest rest is in seconds, from 0 to {LONGEST}, and not {longest}: mend it, or delete all of [rests], and runs are ten minutes apart"
        );
        return Err(complain(&rests.longest_s, what));
    }
    Ok(Rest { longest: Seconds(longest), seen: rests.seen })
}

/// What the loads draw, where the numbers can be meant.
fn check_loads(loads: &BTreeMap<Drawn, DrawTable>) -> Result<Draws, Complaint> {
    let can_be = |number: &Spanned<f64>, least: f64, what: &str| {
        let value = *number.get_ref();
        if (least..=MOST_AMPS).contains(&value) {
            return Ok(Amps(value));
        }
        Err(complain(
            number,
            format!(
                "{what} is in amperes, from {least} to {MOST_AMPS}, and not {value}: mend it, or delete all of [loads], and each log tells them by itself"
            ),
        ))
    };
    let check = |(&drawn, table): (&Drawn, &DrawTable)| {
        // A load that draws nothing cannot be told; a control may.
        let least = if drawn == Drawn::Standby { 0.0 } else { LEAST_AMPS };
        let amps = can_be(&table.amps, least, "what a load draws")?;
        let spread = table.spread.as_ref().map(|s| can_be(s, 0.0, "how far it differs")).transpose()?;
        Ok((drawn, Draw { amps, spread: spread.unwrap_or_default(), seen: table.seen }))
    };
    let draws = loads.iter().map(check).collect::<Result<Draws, Complaint>>()?;
    let Some((less, more)) = draws.out_of_order() else { return Ok(draws) };
    let (small, large) = (&loads[&less].amps, &loads[&more].amps);
    let what = format!(
        "{} draws {} A here, and {} only {} A: were the two swapped? Mend them, or delete all of [loads], and each log tells them by itself",
        less.word(),
        small.get_ref(),
        more.word(),
        large.get_ref()
    );
    Err(complain(small, what))
}

/// The machine, whose loads and washes speak of the same pumps.
fn check_pumps(machine: Machine, loads: &BTreeMap<Drawn, DrawTable>) -> Result<Machine, Complaint> {
    let swapped = machine.swapped_pumps().zip(loads.get(&Drawn::WashPump)).zip(loads.get(&Drawn::DrainPump));
    let Some(((washes, wash), drain)) = swapped else { return Ok(machine) };
    let what = format!(
        "wash-pump draws {} A here and drain-pump {} A, but washes of this file draw {:.2} A: were the two swapped? Mend them, or delete all of [loads], and each log tells them by itself",
        wash.amps.get_ref(),
        drain.amps.get_ref(),
        washes.0
    );
    Err(complain(&wash.amps, what))
}

fn is_first(version: &Spanned<u32>, what: &str) -> Result<(), Complaint> {
    if *version.get_ref() == 1 {
        return Ok(());
    }
    Err(complain(version, format!("this version reads {what} of format 1")))
}

/// The parts of a programme, of which some must come; `at` is where to complain of all of them.
fn check_parts<T>(
    parts: Vec<Spanned<PartTable>>,
    at: &Spanned<T>,
    what: &str,
) -> Result<Vec<Part>, Complaint> {
    if parts.is_empty() {
        return Err(complain(at, format!("{what} needs at least one [[part]]")));
    }
    let mut intervals = 0;
    for part in &parts {
        let times = part.get_ref().times.as_ref().and_then(|t| t.get_ref().get(1)).copied().unwrap_or(1);
        intervals += part.get_ref().interval.len() * times.min(MOST_TIMES) as usize;
        if intervals > MOST_INTERVALS {
            let what = format!(
                "with this part the chart has more than {MOST_INTERVALS} intervals, which no programme has"
            );
            return Err(complain(part, what));
        }
    }
    let parts: Vec<Part> = parts.into_iter().map(PartTable::check).collect::<Result<_, _>>()?;
    if !parts.iter().any(Part::must_come) {
        return Err(complain(at, "everything in this chart may be left out, so nothing departs from it"));
    }
    Ok(parts)
}

impl ProgrammeTable {
    fn check(table: Spanned<Self>, baselines: &Baselines) -> Result<Chart, Complaint> {
        let at = Spanned::new(table.span(), ());
        let Self { name, seen, sheet, part } = table.into_inner();
        let parts = check_parts(part, &at, "a programme")?;
        Ok(Chart { name, parts, baselines: baselines.clone(), seen, of_sheet: sheet })
    }
}

impl PartTable {
    fn check(table: Spanned<Self>) -> Result<Part, Complaint> {
        if table.get_ref().interval.is_empty() {
            return Err(complain(&table, "a part needs at least one [[part.interval]]"));
        }
        let part = table.into_inner();
        let times = match (part.times, part.may) {
            (Some(times), None) => {
                if times.get_ref().iter().all(|t| *t == 0) {
                    return Err(complain(&times, "a part that never comes is no part: not both are 0"));
                }
                pair(times, MOST_TIMES, "times")?
            }
            (Some(times), Some(_)) => {
                return Err(complain(&times, "a part has either may or times, not both"));
            }
            (None, may) => Limits { low: u32::from(may != Some(true)), high: 1 },
        };
        let intervals =
            part.interval.into_iter().map(|i| i.into_inner().check(&part.name)).collect::<Result<_, _>>()?;
        Ok(Part { name: part.name, times, intervals })
    }
}

impl IntervalTable {
    fn check(self, part: &str) -> Result<Expected, Complaint> {
        let kind = *self.does.get_ref();
        if matches!(kind, Kind::Stall | Kind::Gap) {
            return Err(complain(
                &self.does,
                format!("no machine should \"{kind}\": it is found, not expected"),
            ));
        }
        if kind == Kind::Purge {
            return Err(complain(
                &self.does,
                "a purge comes within a wash: say purges = [least, most] there",
            ));
        }
        let washes = matches!(kind, Kind::Wash | Kind::Heat);
        if let Some(purges) = self.purges.as_ref().filter(|_| !washes) {
            return Err(complain(purges, "purges come within does = \"wash\" or \"heat\""));
        }
        if let Some(until) = self.until_c.as_ref().filter(|_| kind != Kind::Heat) {
            return Err(complain(until, "only does = \"heat\" ends at a temperature"));
        }
        if let Some(supply) = self.supply_c.as_ref().filter(|_| kind != Kind::Fill) {
            return Err(complain(supply, "supply water is measured while it flows: does = \"fill\""));
        }
        if let Some(until) = self.until_c.as_ref().filter(|u| !(1.0..=99.0).contains(u.get_ref())) {
            return Err(complain(until, "water is held between 1 and 99 degrees C"));
        }
        let purges = self.purges.map(|p| pair(p, MOST_PURGES, "times")).transpose()?;
        Ok(Expected {
            name: self.name.unwrap_or_else(|| format!("{part} {kind}")),
            kind,
            may: self.may,
            lasts: self.lasts.map(|l| pair(l, LONGEST, "seconds")).transpose()?.map(|l| l.map(Seconds)),
            amps: self.amps.map(|a| pair(a, MOST_AMPS, "amperes")).transpose()?.map(|l| l.map(Amps)),
            supply: self.supply_c.map(|s| pair(s, WARMEST, "degrees C")).transpose()?.map(|l| l.map(Celsius)),
            until: self.until_c.map(|u| Celsius(u.into_inner())),
            purges: purges.unwrap_or(Limits { low: 0, high: 0 }),
        })
    }
}

impl Limits<f64> {
    fn map<T>(self, unit: fn(f64) -> T) -> Limits<T> {
        Limits { low: unit(self.low), high: unit(self.high) }
    }
}
