//! The parts of a programme: columns of a profile, cut where a new water or drying begins, and named.

use tubtrace_units::Seconds;

use super::constants::STOOD;
use super::expected::{Odd, expected, limits_of};
use super::profile::{Column, Profile};
use super::spreads::Spreads;
use crate::chart::{Expected, Limits, Part};
use crate::intervals::Kind;

/// Columns into parts. A run of columns that come together in some cycles only, and wash with water of their own,
/// is a part that may come; else a part begins with the fill after a drain, and with drying after the last drain.
pub(super) fn parts(
    profile: &Profile,
    resolution: Seconds,
    spreads: &Spreads,
    odd_ones: &mut Vec<Odd>,
) -> Vec<Part> {
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
            odd_ones.extend(odd);
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
        let optional = if part.times.low == 0 { "optional " } else { "" };
        part.name = match (washes, water) {
            (true, _) => format!("{optional}water {water}"),
            (false, 0) => "before the first fill".to_owned(),
            (false, _) => format!("after water {water}"),
        };
        for interval in &mut part.intervals {
            interval.name = interval.kind.to_string();
        }
        number_repeats(&mut part.intervals);
        for interval in &mut part.intervals {
            interval.name = match washes {
                true => format!("{}: {}", part.name, interval.name),
                false => format!("{} {}", interval.name, part.name),
            };
        }
    }
}

/// "wash", "wash 2": intervals of one kind in one part are told apart.
fn number_repeats(intervals: &mut [Expected]) {
    for i in 0..intervals.len() {
        let before = intervals[..i].iter().filter(|x| x.kind == intervals[i].kind).count();
        if before > 0 {
            intervals[i].name = format!("{} {}", intervals[i].kind, before + 1);
        }
    }
}
