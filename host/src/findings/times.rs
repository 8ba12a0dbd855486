//! How long things take, and how often purges come.

use tubtrace_units::Seconds;

use super::uncertainty::{Conformity, decide, expanded, of_resolution};
use super::{Band, Case, Departure, Finding, Measurement, Quantity, both};
use crate::alignment::{Act, Place, Step, lasted};
use crate::chart::Limits;
use crate::intervals::Kind;

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    for (place, expected, acts) in case.matched() {
        let start = acts[0].start;
        if acts.iter().any(|a| a.kind == expected.kind)
            && let Some(limits) = expected.lasts
            && let Some((departure, measurement)) = duration(case, expected.kind, limits, acts)
        {
            findings.push(case.finding(departure, place, start, measurement));
        }
        findings.extend(purged(case, place, acts, expected.purges));
    }
    // Washing without heat keeps its time and its purges all the same.
    for step in &case.explanation.steps {
        if let Step::Unheated { place, count, acts } = step {
            let acts = &case.explanation.acts[acts.clone()];
            let places = (0..*count).map(|i| Place { interval: place.interval + i, ..*place });
            let limits = places.map(|p| case.expected(p).purges);
            let all = limits.fold(Limits { low: 0, high: 0 }, |a, b| Limits {
                low: a.low + b.low,
                high: a.high + b.high,
            });
            findings.extend(purged(case, *place, acts, all));
        }
    }
}

fn duration<'a>(
    case: &Case<'a>,
    kind: Kind,
    limits: Limits<Seconds>,
    acts: &'a [Act],
) -> Option<(Departure, Measurement)> {
    // Runs at an open end of the log lasted for at least what was seen.
    let cut_start = case.cycle.cut_at_start && acts[0].start == case.cycle.start();
    let cut_end = case.cycle.cut_at_end && acts[acts.len() - 1].end == case.cycle.end();
    let (whole, gaps) = lasted(kind, acts);
    // Start and end are each known to one reading.
    let end = of_resolution(case.surroundings.resolution.0);
    let mut doubt = Seconds(expanded(&[end, end])) + gaps;
    // What borders on a gap may have begun or ended in it; what has one inside may have stopped meanwhile.
    let gap = |act: Option<&Act>| act.filter(|a| a.kind == Kind::Gap).map_or(Seconds(0.0), Act::duration);
    let all = &case.explanation.acts;
    let first = all.iter().position(|a| a.start == acts[0].start).unwrap_or(0);
    doubt += gap(first.checked_sub(1).and_then(|i| all.get(i))) + gap(all.get(first + acts.len()));

    let (departure, band) = match decide(whole.0, (Some(limits.low.0), Some(limits.high.0)), doubt.0) {
        Conformity::Above(band) => (Departure::TooLong, band),
        Conformity::Below(band) if !cut_start && !cut_end => (Departure::TooShort, band),
        _ => return None,
    };
    let measurement = Measurement {
        measured: Quantity::Time(whole),
        expected: both(limits, Quantity::Time),
        uncertainty: Quantity::Time(doubt),
        certainty: case.certainty(acts),
        band,
    };
    Some((departure, measurement))
}

/// Purges are told by the sound of water: without pickups there is nothing to say of them.
fn purged(case: &Case, place: Place, acts: &[Act], limits: Limits<u32>) -> Option<Finding> {
    if !case.hears_flow() {
        return None;
    }
    let purges = acts.iter().filter(|a| a.kind == Kind::Purge).count() as u32;
    // What may be left out may be short, and then there is no time for a purge.
    let departure = if purges == 0 && limits.low > 0 && !case.expected(place).may {
        Departure::NeverPurged
    } else if purges > limits.high {
        Departure::PurgedTooOften
    } else {
        return None;
    };
    let measurement = Measurement {
        measured: Quantity::Count(purges),
        expected: both(limits, Quantity::Count),
        uncertainty: Quantity::Count(0),
        certainty: 0.95,
        band: Band::Beyond,
    };
    Some(case.finding(departure, place, acts[0].start, measurement))
}
