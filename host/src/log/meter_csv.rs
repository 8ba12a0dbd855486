//! CSV files of any meter: `time`, and `amps` or `watts`; `supply_c` and `drain_c` if it has them, and `lasts_s` where readings
//! say for how long they hold, as those that `export` writes do.

use tubtrace_units::{Seconds, Volts, Watts};

use super::columns::Unit;
use super::rows::Table;
use super::{Assumptions, Layout, Log, Notes};
use crate::trace::{Meter, Nominal, Step, Temperature, Trace};

/// Less than this between readings that say how long they hold is no gap: they are written to a millisecond.
const ROUNDING: f64 = 0.02;

pub(super) fn parse(bytes: &[u8], assumptions: Assumptions, layout: &Layout) -> Result<Log, String> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut notes = Notes::default();
    let table = Table::read(bytes, layout, &mut notes)?;
    // Where the file has watts, volts only serve to show amperes, and 230 is as good a guess as any.
    let nominal =
        Nominal { volts: assumptions.volts.unwrap_or(Volts(230.0)), assumed: assumptions.volts.is_none() };
    if table.unit == Unit::Amps && nominal.assumed {
        notes.add("volts not given, taken as 230 V (say --volts)", || "the header".into());
    }
    let (start, hold) = (table.rows[0].time, table.hold);
    let mut steps: Vec<Step> = Vec::with_capacity(table.rows.len());
    let mut temperatures = Vec::new();
    for (row, next) in table.rows.iter().zip(table.rows[1..].iter().map(Some).chain([None])) {
        let after = next.map_or(f64::INFINITY, |n| n.time - row.time);
        let lasts = match row.lasts() {
            Some(lasts) => lasts.min(after),
            None if after > hold.limit => hold.typical,
            None => after,
        };
        if after - lasts > ROUNDING && next.is_some() {
            notes.add("gap without readings", || crate::text::duration(Seconds(row.time - start)));
        }
        let (from, to) = (Seconds(row.time - start), Seconds(row.time - start + lasts));
        let power = match table.unit {
            Unit::Watts => Watts(row.value),
            Unit::Amps => Watts(row.value * nominal.volts.0),
        };
        steps.push(Step { start: from, end: to, power, detail: None });
        let [supply, drain] = row.clips();
        if supply.is_some() || drain.is_some() {
            temperatures.push(Temperature { start: from, end: to, supply, drain });
        }
    }
    let trace = Trace {
        steps,
        temperatures,
        fills: Vec::new(),
        marks: Vec::new(),
        health: Vec::new(),
        bursts: Vec::new(),
        clock: table.clock,
        meter: if table.unit == Unit::Amps { Meter::Current } else { Meter::Power },
        nominal,
        label: String::new(),
        resolution: Seconds(hold.typical),
        clipped: Vec::new(),
        lost: table.lost.iter().map(|(from, to)| (Seconds(from - start), Seconds(to - start))).collect(),
        damaged: Vec::new(),
        battery_ended: false,
    };
    Ok(Log { trace, notes })
}
