//! The readings of a trace as a table.

use tubtrace_units::{Celsius, Seconds, Watts};

use super::table::{Table, Values};
use crate::trace::{Detail, Meter, Noise, Step, Trace};

/// A stretch in which every reading holds.
#[derive(Clone, Copy)]
struct Row {
    start: Seconds,
    lasts: Seconds,
    power: Watts,
    detail: Option<Detail>,
    clips: [Option<Celsius>; 2],
}

/// Rows of a block. A night has fewer; a column costs sixteen bytes a row.
const BLOCK: usize = 1 << 14;

/// All readings as they were recorded, a row for each stretch in which none changes; or so many seconds apart. Gaps have no rows. They come in
/// blocks of bounded size, one at least, so that a long log is never held twice.
pub fn readings(trace: &Trace, every: Option<Seconds>) -> impl Iterator<Item = Table> + '_ {
    let rows = stretches(trace);
    let mut rows: Box<dyn Iterator<Item = Row>> =
        if let Some(each) = every { Box::new(evenly(rows, each)) } else { Box::new(rows) };
    let mut first = true;
    std::iter::from_fn(move || {
        let block: Vec<Row> = rows.by_ref().take(BLOCK).collect();
        let wanted = std::mem::take(&mut first) || !block.is_empty();
        wanted.then(|| table(trace, &block))
    })
}

fn table(trace: &Trace, rows: &[Row]) -> Table {
    let mut table = Table::new("readings", trace);
    let numbers = |of: &dyn Fn(&Row) -> Option<f64>| Values::Number(rows.iter().map(of).collect());
    let detail =
        |of: fn(&Detail) -> f64| Values::Number(rows.iter().map(|r| Some(of(r.detail.as_ref()?))).collect());
    table.column("time", "", "when it begins", Values::Moment(rows.iter().map(|r| r.start).collect()));
    table.column("start_s", "s", "when it begins, from the first sample", numbers(&|r| Some(r.start.0)));
    table.column("lasts_s", "s", "how long it holds", numbers(&|r| Some(r.lasts.0)));
    table.column("amps", "A", "RMS current", numbers(&|r| Some(trace.amps(r.power).0)));
    table.columns[3].derived = trace.meter == Meter::Power;
    table.column("watts", "W", "power; apparent, where current was measured", numbers(&|r| Some(r.power.0)));
    table.columns[4].derived = trace.meter == Meter::Current;
    table.column("fundamental_amps", "A", "RMS current at the mains frequency", detail(|d| d.fundamental.0));
    table.column("third_amps", "A", "RMS current at three times the mains frequency", detail(|d| d.third.0));
    table.column("supply_noise", "counts", "level of the supply pickup", detail(|d| d.supply.0));
    table.column("drain_noise", "counts", "level of the drain pickup", detail(|d| d.drain.0));
    table.column("supply_c", "degC", "clip on the supply line", numbers(&|r| Some(r.clips[0]?.0)));
    table.column("drain_c", "degC", "clip on the drain hose", numbers(&|r| Some(r.clips[1]?.0)));
    table
}

/// Rows so far apart at most: more than a month of seconds, which is a file of some hundred megabytes.
const MOST: f64 = 4e6;

/// Why there would be too many rows so far apart, if there would be.
#[must_use]
pub fn too_many(trace: &Trace, every: Seconds) -> Option<String> {
    let rows = trace.steps.iter().map(|s| s.duration()).sum::<Seconds>() / every;
    (rows > MOST).then(|| format!("readings {} s apart would be {rows:.0} rows, and a table has at most {MOST:.0}; say a longer time with --every", every.0))
}

/// Steps, cut wherever a temperature changes.
fn stretches(trace: &Trace) -> impl Iterator<Item = Row> + '_ {
    let mut next = 0;
    trace.steps.iter().flat_map(move |step| {
        // Hardly ever more than one.
        let mut rows = Vec::with_capacity(1);
        let mut from = step.start;
        while from < step.end {
            while trace.temperatures.get(next).is_some_and(|t| t.end <= from) {
                next += 1;
            }
            let reading = trace.temperatures.get(next);
            let (clips, until) = match reading {
                Some(t) if t.start <= from => ([t.supply, t.drain], t.end),
                Some(t) => ([None; 2], t.start),
                None => ([None; 2], step.end),
            };
            let until = until.min(step.end);
            rows.push(row(&step, from, until, clips));
            from = until;
        }
        rows
    })
}

fn row(step: &Step, from: Seconds, until: Seconds, clips: [Option<Celsius>; 2]) -> Row {
    Row { start: from, lasts: until - from, power: step.power, detail: step.detail, clips }
}

/// Rows `each` apart: current by its root mean square over what is known of that time, noise and power by their mean, temperatures as
/// they are last. Where nothing is known there is no row.
fn evenly(rows: impl Iterator<Item = Row>, each: Seconds) -> impl Iterator<Item = Row> {
    let mut sums = Sums::default();
    let mut cell = 0_u64;
    // Behind the last row the last cell ends.
    rows.map(Some).chain([None]).flat_map(move |row| {
        let mut even: Vec<Row> = Vec::new();
        let Some(row) = row else {
            even.extend(sums.take(each * cell as f64));
            return even;
        };
        let (mut from, end) = (row.start, row.start + row.lasts);
        while from < end {
            let own = (from / each + 1e-9) as u64;
            if own != cell {
                even.extend(sums.take(each * cell as f64));
                cell = own;
            }
            // Never standing still, whatever rounding does.
            let until = (each * (own + 1) as f64).min(end).max(from + Seconds(1e-6));
            sums.add(&row, until - from);
            from = until;
        }
        even
    })
}

/// Time-weighted sums over a cell.
#[derive(Default)]
struct Sums {
    time: f64,
    power: f64,
    power_squared: f64,
    detail: [f64; 4],
    last: Option<Row>,
}

impl Sums {
    fn add(&mut self, row: &Row, time: Seconds) {
        self.time += time.0;
        self.power += row.power.0 * time.0;
        self.power_squared += row.power.0.powi(2) * time.0;
        if let Some(d) = row.detail {
            let squares = [d.fundamental.0.powi(2), d.third.0.powi(2), d.supply.0.powi(2), d.drain.0.powi(2)];
            for (sum, square) in self.detail.iter_mut().zip(squares) {
                *sum += square * time.0;
            }
        }
        self.last = Some(*row);
    }

    fn take(&mut self, start: Seconds) -> Option<Row> {
        let Self { time, power_squared, power, detail, last } = std::mem::take(self);
        let last = last?;
        let rms = |sum: f64| (sum / time).sqrt();
        // A meter of power averages power; of a clamp's current the root mean square is what warms a wire.
        let power = if last.detail.is_some() { rms(power_squared) } else { power / time };
        let detail = last.detail.map(|_| Detail {
            fundamental: tubtrace_units::Amps(rms(detail[0])),
            third: tubtrace_units::Amps(rms(detail[1])),
            supply: Noise(rms(detail[2])),
            drain: Noise(rms(detail[3])),
        });
        Some(Row { start, lasts: Seconds(time), power: Watts(power), detail, clips: last.clips })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{Assumptions, parse};

    const LOG: &str = "time,amps,supply_c\n0,3,20\n1,4,20\n2,4,21\n3,0,21\n40,1,22\n41,1,\n";

    fn column(table: &Table, name: &str) -> Vec<Option<f64>> {
        match &table.columns.iter().find(|c| c.name == name).unwrap().values {
            Values::Number(values) => values.clone(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn rows_end_where_anything_changes_and_gaps_have_none() {
        let trace = parse(LOG.as_bytes(), Assumptions::default()).unwrap().trace;
        let table = readings(&trace, None).next().unwrap();
        assert_eq!(column(&table, "start_s"), [0.0, 1.0, 2.0, 3.0, 40.0, 41.0].map(Some));
        assert_eq!(column(&table, "lasts_s"), [1.0; 6].map(Some));
        assert_eq!(column(&table, "supply_c")[5], None);
    }

    #[test]
    fn even_rows_keep_energy_and_gaps() {
        let trace = parse(LOG.as_bytes(), Assumptions::default()).unwrap().trace;
        let table = readings(&trace, Some(Seconds(2.0))).next().unwrap();
        assert_eq!(column(&table, "start_s"), [0.0, 2.0, 40.0].map(Some));
        let amps: Vec<f64> = column(&table, "amps").into_iter().flatten().collect();
        assert!((amps[0] - 3.5).abs() < 1e-9 && (amps[2] - 1.0).abs() < 1e-9, "{amps:?}");
    }

    #[test]
    fn blocks_are_the_whole_one_behind_the_other() {
        let rows: String = (0..40_000).map(|i| format!("{i},{}\n", i % 3)).collect();
        let trace = parse(format!("time,amps\n{rows}").as_bytes(), Assumptions::default()).unwrap().trace;
        let starts: Vec<_> = readings(&trace, None).flat_map(|block| column(&block, "start_s")).collect();
        assert_eq!(starts, (0..40_000).map(|i| Some(f64::from(i))).collect::<Vec<_>>());
        let most = readings(&trace, None).map(|block| block.rows()).max();
        assert!(most.is_some_and(|rows| rows <= BLOCK), "{most:?}");
        let apart = readings(&trace, Some(Seconds(2.0))).map(|block| block.rows()).sum::<usize>();
        assert_eq!(apart, 20_000);
    }
}
