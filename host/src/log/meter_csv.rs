//! CSV files of any meter: `time`, and `amps` or `watts`; `supply_c` and `drain_c` if it has them, and `lasts_s` where readings
//! say for how long they hold, as those that `export` writes do.

use std::ops::Range;

use tubtrace_units::Seconds;

use super::assumptions::Assumptions;
use super::columns::Unit;
use super::constants::ROUNDING;
use super::contents::Log;
use super::layout::Layout;
use super::notes::Notes;
use super::row::Rows;
use super::rows::{Hold, Table};
use super::source::Source;
use super::still::stands_still;
use crate::trace::{Meter, Nominal, Steps, Temperature, Trace};

pub(super) fn parse(source: &Source, assumptions: Assumptions, layout: &Layout) -> Result<Log, String> {
    let mut notes = Notes::default();
    let table = Table::read(source, layout, &mut notes)?;
    // Where the file has watts, volts only serve to show amperes, and one guess is as good as any.
    let nominal = assumptions.volts.map_or(Nominal::UNTOLD, |volts| Nominal { volts, assumed: false });
    if table.unit == Unit::Amps && nominal.assumed {
        notes.add("volts not given, taken as 230 V (say --volts)", || "the header".into());
    }
    let Table { unit, mut rows, clock, hold, lost } = table;
    let start = rows.times[0];
    rows.times.iter_mut().for_each(|time| *time -= start);
    let damaged = leave_out_still(&mut rows, &hold, &mut notes);
    let (mut ends, mut temperatures) = (Vec::new(), Vec::new());
    for (row, &from) in rows.times.iter().enumerate() {
        let next = rows.times.get(row + 1).copied();
        let after = next.map_or(f64::INFINITY, |next| next - from);
        let lasts = match rows.lasts(row) {
            Some(lasts) => lasts.min(after),
            None if after > hold.limit => hold.typical,
            None => after,
        };
        // Where the meter stood still, that is told already.
        let told = damaged.iter().any(|(still, _)| (from..from + after).contains(&still.0));
        if after - lasts > ROUNDING.get().0 && next.is_some() && !told {
            notes.add_missing("gap without readings", Seconds(from), Seconds(after - lasts));
        }
        if lasts < after {
            // There are fewer than eight million rows.
            ends.push((row as u32, from + lasts));
        }
        let [supply, drain] = rows.clips(row);
        if supply.is_some() || drain.is_some() {
            let end = next.filter(|_| lasts >= after).unwrap_or(from + lasts);
            temperatures.push(Temperature { start: Seconds(from), end: Seconds(end), supply, drain });
        }
    }
    if unit == Unit::Amps {
        rows.values.iter_mut().for_each(|amps| *amps *= nominal.volts.0);
    }
    let trace = Trace {
        steps: Steps::of_columns(rows.times, rows.values, ends),
        temperatures,
        fills: Vec::new(),
        marks: Vec::new(),
        health: Vec::new(),
        bursts: Vec::new(),
        clock,
        meter: if unit == Unit::Amps { Meter::Current } else { Meter::Power },
        nominal,
        label: String::new(),
        resolution: Seconds(hold.typical),
        clipped: Vec::new(),
        lost: lost.iter().map(|(from, to)| (Seconds(from - start), Seconds(to - start))).collect(),
        damaged,
        battery_ended: false,
    };
    Ok(Log { trace, notes })
}

/// What it is called where a meter gave one reading for minutes.
const STOOD_STILL: &str = "stretch in which the meter stood still, giving one reading again and again, so that what the machine did is not known";

/// Leaves out the rows in which the meter stood still: from and to of each stretch.
fn leave_out_still(rows: &mut Rows, hold: &Hold, notes: &mut Notes) -> Vec<(Seconds, Seconds)> {
    let still = stands_still(&rows.times, &rows.values, hold.limit);
    if still.is_empty() {
        return Vec::new();
    }
    let until = |end: usize| rows.times.get(end).copied().unwrap_or(rows.times[end - 1] + hold.typical);
    let stretch = |s: &Range<usize>| (Seconds(rows.times[s.start]), Seconds(until(s.end)));
    let stretches: Vec<_> = still.iter().map(stretch).collect();
    stretches.iter().for_each(|(from, to)| notes.add_missing(STOOD_STILL, *from, *to - *from));
    let ends = still.iter().map(|s| s.end);
    let between = [0].into_iter().chain(ends).zip(still.iter().map(|s| s.start).chain([rows.len()]));
    // There are fewer than eight million rows.
    let kept: Vec<u32> = between.flat_map(|(from, to)| from as u32..to as u32).collect();
    rows.keep(&kept);
    stretches
}
