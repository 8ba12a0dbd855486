//! `timeline --json`.

use serde::Serialize;
use tubtrace_units::{LitresPerMinute, Loads};

use super::fields::{rounded, seconds, start, to_line};
use crate::intervals::{Cycle, Interval, Kind, Measured, Settled, filled, heated_waters, hidden_ends};
use crate::job::Job;
use crate::log::Notes;
use crate::report::subject::Subject;
use crate::trace::Trace;

#[derive(Serialize)]
struct TimelineObject<'a> {
    /// What the log calls itself.
    label: &'a str,
    /// What is known of the job.
    job: &'a Job,
    cycles: Vec<CycleObject>,
    /// Time of the first sample, RFC 3339; absent where the log has none.
    start: Option<String>,
    nominal_volts: f64,
    notes: &'a Notes,
}

#[derive(Serialize)]
struct CycleObject {
    start_s: f64,
    end_s: f64,
    /// Whether the log does not have how it begins: it begins before the log, or in a hole of it.
    begins_before_log: bool,
    /// Whether the log does not have how it ends.
    ends_after_log: bool,
    /// Whether that is for a hole in the log.
    hole_at_start: bool,
    hole_at_end: bool,
    intervals: Vec<IntervalObject>,
    /// Waters whose heat balance could be made.
    waters: Vec<WaterObject>,
    /// How long the valve was open for each water, and with its flow how much that is.
    filled: Vec<FilledObject>,
}

#[derive(Serialize)]
struct FilledObject {
    water: u32,
    lasts_s: f64,
    litres: Option<f64>,
}

#[derive(Serialize)]
struct WaterObject {
    water: u32,
    litres_at_most: f64,
    uncertainty: f64,
}

#[derive(Serialize)]
struct IntervalObject {
    name: Kind,
    start_s: f64,
    end_s: f64,
    /// Expanded uncertainty (k = 2) of how long it lasts.
    lasts_uncertainty_s: Option<f64>,
    loads: Loads,
    amps: Option<f64>,
    watts: Option<f64>,
    /// Expanded uncertainty (k = 2) of that.
    watts_uncertainty: Option<f64>,
    certainty: f64,
    water: u32,
    supply_c: Option<SettledObject>,
    drain_c: Option<SettledObject>,
}

#[derive(Serialize)]
struct SettledObject {
    water: f64,
    clip: f64,
    lag_s: f64,
    uncertainty: f64,
}

/// `timeline --json`: one object on one line.
#[must_use]
pub fn timeline_json(subject: Subject) -> String {
    let trace = &subject.log.trace;
    to_line(&TimelineObject {
        label: &trace.label,
        job: subject.job,
        cycles: subject.cycles.iter().map(|c| cycle(c, trace, subject.inlet)).collect(),
        start: start(trace),
        nominal_volts: trace.nominal.volts.0,
        notes: &subject.log.notes,
    })
}

fn cycle(cycle: &Cycle, trace: &Trace, inlet: Option<LitresPerMinute>) -> CycleObject {
    let [hole_at_start, hole_at_end] = hidden_ends(cycle, trace);
    CycleObject {
        start_s: seconds(cycle.start()),
        end_s: seconds(cycle.end()),
        begins_before_log: cycle.cut_at_start,
        ends_after_log: cycle.cut_at_end,
        hole_at_start,
        hole_at_end,
        intervals: cycle.intervals.iter().map(interval).collect(),
        waters: heated_waters(cycle)
            .iter()
            .map(|w| WaterObject {
                water: w.water,
                litres_at_most: rounded(w.at_most.0),
                uncertainty: rounded(w.uncertainty.0),
            })
            .collect(),
        filled: filled(cycle)
            .into_iter()
            .map(|(water, time)| FilledObject {
                water,
                lasts_s: seconds(time),
                litres: inlet.map(|flow| rounded(flow.during(time).0)),
            })
            .collect(),
    }
}

fn interval(interval: &Interval) -> IntervalObject {
    let measured = (interval.kind != Kind::Gap).then_some(&interval.measured);
    let settled = |s: Settled| SettledObject {
        water: rounded(s.water.0),
        clip: rounded(s.clip.0),
        lag_s: s.lag.0,
        uncertainty: rounded(s.uncertainty.0),
    };
    IntervalObject {
        name: interval.kind,
        start_s: seconds(interval.start),
        end_s: seconds(interval.end),
        lasts_uncertainty_s: measured.map(|_| seconds(interval.lasts_doubt())),
        loads: interval.loads,
        amps: measured.map(|m| rounded(m.amps.0)),
        watts: measured.map(|m| rounded(m.power.0)),
        watts_uncertainty: measured.and_then(Measured::power_doubt).map(|u| rounded(u.0)),
        certainty: rounded(interval.certainty),
        water: interval.water,
        supply_c: measured.and_then(|m| m.supply).map(settled),
        drain_c: measured.and_then(|m| m.drain).map(settled),
    }
}
