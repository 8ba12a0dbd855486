//! Heat, and what each load draws.

use tubtrace_units::{Amps, Celsius, Seconds};

use super::uncertainty::{Conformity, decide};
use super::{Band, Case, Departure, Finding, Measurement, Quantity, both, flow};
use crate::alignment::{Act, Place, Step};
use crate::chart::Limits;
use crate::intervals::{Interval, Kind, Settled};

/// Between the end of a hold and the drain the water cools, and purges thin it: by no more than this. Common practice,
/// no source.
const COOLS: Celsius = Celsius(8.0);

/// A clamp of class 1 and its calibration: 3 % of reading and 20 mA, k = 2.
const CLAMP: (f64, Amps) = (0.03, Amps(0.02));

/// Current is judged over at least this long.
const STEADY: Seconds = Seconds(8.0);

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    for step in &case.explanation.steps {
        match step {
            Step::Unheated { place, count, acts } => {
                let holds = (0..*count).map(|i| Place { interval: place.interval + i, ..*place });
                let acts = &case.explanation.acts[acts.clone()];
                let cold = |p: &Place| case.expected(*p).kind == Kind::Heat && !was_warm(case, *p);
                for place in holds.filter(cold) {
                    findings.push(no_heat(case, place, acts));
                }
            }
            Step::Matched { place, acts } => {
                let acts = &case.explanation.acts[acts.clone()];
                matched(case, *place, acts, findings);
            }
            Step::Missing { .. } | Step::Extra { .. } => {}
        }
    }
}

fn matched<'a>(case: &Case<'a>, place: Place, acts: &'a [Act], findings: &mut Vec<Finding>) {
    let expected = case.expected(place);
    if expected.kind == Kind::Heat && acts.iter().all(|a| a.kind != Kind::Heat) {
        if !was_warm(case, place) {
            findings.push(no_heat(case, place, acts));
        }
        return;
    }
    let own: Vec<&Interval> = case.intervals(acts).filter(|i| i.kind == expected.kind).collect();
    if let Some(limits) = expected.amps
        && let Some((departure, measurement)) = current(&own, limits)
    {
        findings.push(case.finding(departure, place, acts[0].start, measurement));
    }
    if let Some(until) = expected.until
        && let Some(measurement) = not_reached(case, place, until)
    {
        findings.push(case.finding(Departure::HoldNotReached, place, acts[0].start, measurement));
    }
}

/// The heater drew nothing: measured is its time, none.
fn no_heat<'a>(case: &Case<'a>, place: Place, acts: &'a [Act]) -> Finding {
    let lasts = case.expected(place).lasts;
    let measurement = Measurement {
        measured: Quantity::Time(Seconds(0.0)),
        expected: lasts.map_or((None, None), |l| both(l, Quantity::Time)),
        uncertainty: Quantity::Time(case.surroundings.resolution),
        certainty: case.certainty(acts),
        band: Band::Beyond,
    };
    case.finding(Departure::NoHeat, place, acts[0].start, measurement)
}

fn current(own: &[&Interval], limits: Limits<Amps>) -> Option<(Departure, Measurement)> {
    let steady = own.iter().filter(|i| i.duration() >= STEADY);
    let longest = steady.max_by(|a, b| a.duration().total_cmp(&b.duration()))?;
    let amps = longest.measured.amps;
    let uncertainty = (amps * CLAMP.0).max(CLAMP.1);
    let (departure, band) = match decide(amps.0, (Some(limits.low.0), Some(limits.high.0)), uncertainty.0) {
        Conformity::Below(band) => (Departure::CurrentLow, band),
        Conformity::Above(band) => (Departure::CurrentHigh, band),
        Conformity::Within => return None,
    };
    let measurement = Measurement {
        measured: Quantity::Current(amps),
        expected: both(limits, Quantity::Current),
        uncertainty: Quantity::Current(uncertainty),
        certainty: longest.certainty,
        band,
    };
    Some((departure, measurement))
}

/// Whether the water was as warm as the hold makes it without any heat: a tub that is warm from the run before.
pub(super) fn was_warm(case: &Case, hold: Place) -> bool {
    let (until, left) = (case.expected(hold).until, leaves(case, hold));
    until.zip(left).is_some_and(|(until, left)| left.water - left.uncertainty >= until)
}

/// The water that leaves after the hold.
fn leaves(case: &Case, hold: Place) -> Option<Settled> {
    let same_part = |p: Place| p.part == hold.part && p.copy == hold.copy && p.interval > hold.interval;
    let mut drains = case.matched().filter(|(p, e, _)| same_part(*p) && e.kind == Kind::Drain);
    let (_, _, acts) = drains.next()?;
    // A clip on a hose in which no water moves reads the hose.
    let flows = |i: &&Interval| flow::heard_in_drain(case, i) != Some(false);
    let warmest = |a: &Settled, b: &Settled| a.water.total_cmp(&b.water);
    case.intervals(acts).filter(flows).filter_map(|i| i.measured.drain).max_by(warmest)
}

/// The water that leaves after the hold says how warm it was.
fn not_reached(case: &Case, hold: Place, until: Celsius) -> Option<Measurement> {
    let settled = leaves(case, hold)?;
    let floor = until - COOLS;
    let Conformity::Below(band) = decide(settled.water.0, (Some(floor.0), None), settled.uncertainty.0)
    else {
        return None;
    };
    Some(Measurement {
        measured: Quantity::Temperature(settled.water),
        expected: (Some(Quantity::Temperature(floor)), None),
        uncertainty: Quantity::Temperature(settled.uncertainty),
        certainty: 0.95,
        band,
    })
}
