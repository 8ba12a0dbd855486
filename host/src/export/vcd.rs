//! Loads as a value change dump, IEEE 1364: what viewers of logic signals read.

use std::io;

use tubtrace_units::{Load, Loads, Seconds};
use vcd::{IdCode, SimulationCommand, TimescaleUnit, Value, VarType, Writer};

use super::intervals::identifier;
use crate::intervals::{Cycle, Kind};
use crate::trace::Trace;

/// The state of every load of all cycles, a wire each, and the current as a real number; times in milliseconds from the first sample.
/// In a gap, and where nothing was recorded, a wire is x.
///
/// # Errors
/// When it cannot be written.
pub fn to_vcd(trace: &Trace, cycles: &[Cycle], out: impl io::Write) -> io::Result<()> {
    let mut writer = Writer::new(out);
    if let Some(clock) = trace.clock {
        writer.date(&clock.local(Seconds(0.0)).map_or_else(String::new, |t| t.to_string()))?;
    }
    writer.version(concat!("tubtrace ", env!("CARGO_PKG_VERSION")))?;
    writer.comment(
        "Loads as inferred; times from the first sample of the log. Outside of a cycle every load is off.",
    )?;
    writer.timescale(1, TimescaleUnit::MS)?;
    writer.add_module("machine")?;
    let wires: Vec<(Load, IdCode)> = Load::ALL
        .into_iter()
        .map(|l| Ok((l, writer.add_wire(1, identifier(l))?)))
        .collect::<io::Result<_>>()?;
    let amps = writer.add_var(VarType::Real, 64, "amps", None)?;
    writer.upscope()?;
    writer.enddefinitions()?;

    let changes = changes(trace, cycles);
    let mut now = None;
    let mut was: Option<Option<Loads>> = None;
    for (at, change) in changes {
        let at = (at.0 * 1_000.0).round() as u64;
        if now != Some(at) {
            writer.timestamp(at)?;
        }
        if now.is_none() {
            writer.begin(SimulationCommand::Dumpvars)?;
            was = None;
        }
        match change {
            Change::Loads(loads) => {
                for (load, wire) in &wires {
                    let value = |l: Option<Loads>| l.map_or(Value::X, |l| l.has(*load).into());
                    if was.map(value) != Some(value(loads)) {
                        writer.change_scalar(*wire, value(loads))?;
                    }
                }
                was = Some(loads);
            }
            Change::Amps(value) => writer.change_real(amps, value)?,
        }
        if now.is_none() {
            writer.end()?;
        }
        now = Some(at);
    }
    writer.timestamp((trace.duration().0 * 1_000.0).round() as u64)?;
    writer.flush()
}

enum Change {
    /// These run; `None`: nobody knows.
    Loads(Option<Loads>),
    Amps(f64),
}

/// Everything that changes, in order of time.
fn changes<'a>(trace: &'a Trace, cycles: &[Cycle]) -> impl Iterator<Item = (Seconds, Change)> + use<'a> {
    let mut changes = vec![(Seconds(0.0), Change::Loads(Some(Loads::NONE)))];
    for cycle in cycles {
        for interval in &cycle.intervals {
            let known = interval.kind != Kind::Gap;
            changes.push((interval.start, Change::Loads(known.then_some(interval.loads))));
        }
        changes.push((cycle.end(), Change::Loads(Some(Loads::NONE))));
    }
    let inside = |at: Seconds| cycles.iter().any(|c| at > c.start() && at < c.end());
    for (from, to) in trace.gaps().filter(|gap| !inside(gap.0)) {
        changes.push((from, Change::Loads(None)));
        if !cycles.iter().any(|c| c.start() == to) {
            changes.push((to, Change::Loads(Some(Loads::NONE))));
        }
    }
    // Stable: what was pushed first comes first, and the loads before the current.
    changes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut loads = changes.into_iter().peekable();
    let mut amps = trace.steps.iter().map(|s| (s.start, Change::Amps(trace.amps(s.power).0))).peekable();
    std::iter::from_fn(move || {
        let first = loads.peek().is_some_and(|(at, _)| amps.peek().is_none_or(|(start, _)| at <= start));
        if first { loads.next() } else { amps.next() }
    })
}
