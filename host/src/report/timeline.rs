//! The timeline: the intervals, as a table for seven in the morning.

use std::fmt::Write;

use tubtrace_units::Seconds;

use super::strip::{legend, strip};
use super::style::{ALERT, FAINT, HEAD};
use super::subject::Subject;
use super::units::Units;
use super::words::{clock_time, heading, lasts, minutes};
use crate::intervals::{Cycle, HeatedWater, Interval, Kind, Settled, filled, heated_waters, hidden_ends};
use crate::trace::{Meter, Trace};

/// Below this probability a question mark stands beside the loads.
const UNSURE: f64 = crate::checks::constants::PLAIN_FROM.value;

/// The table of all cycles.
#[must_use]
pub fn timeline(subject: Subject) -> String {
    let mut text = format!("{}\n", heading(subject));
    let trace = &subject.log.trace;
    for (i, cycle) in subject.cycles.iter().enumerate() {
        text.push('\n');
        text.push_str(&table(trace, cycle, i + 1, subject.units));
        for note in volumes(cycle, subject) {
            let _ = writeln!(text, "  {FAINT}{note}{FAINT:#}");
        }
        if let Some(columns) = subject.strip {
            text.push_str(&strip(trace, cycle, columns, &marks(trace, cycle)));
        }
    }
    if subject.strip.is_some() && !subject.cycles.is_empty() {
        text.push_str(&format!("\n{}", legend()));
    }
    if subject.cycles.iter().any(|c| c.intervals.iter().any(is_unsure)) {
        let note = "? the readings fit more than one; the likeliest is shown.";
        let _ = writeln!(text, "\n{FAINT}{note}{FAINT:#}");
    }
    for mark in &trace.marks {
        let _ = writeln!(text, "\nThe button was pressed at {}.", clock_time(trace, *mark));
    }
    text
}

/// When the button was pressed in a cycle.
fn marks(trace: &Trace, cycle: &Cycle) -> Vec<(Seconds, String)> {
    let within = |m: &&Seconds| (cycle.start()..=cycle.end()).contains(m);
    trace.marks.iter().filter(within).map(|m| (*m, "^".to_owned())).collect()
}

/// The table of one cycle: a heading with its number and times, then a row for each interval.
fn table(trace: &Trace, cycle: &Cycle, number: usize, units: Units) -> String {
    let mut text = String::new();
    let (start, end) = (clock_time(trace, cycle.start()), clock_time(trace, cycle.end()));
    let _ = write!(text, "{HEAD}Cycle {number}   {start} to {end}   {}{HEAD:#}", minutes(cycle.duration()));
    let [before, after] = hidden_ends(cycle, trace);
    let begins = if before { "the log has a hole where it begins" } else { "begins before the log" };
    let ends = if after { "the log has a hole where it ends" } else { "ends after the log" };
    let cut = [(cycle.cut_at_start, begins), (cycle.cut_at_end, ends)];
    let cut: Vec<&str> = cut.into_iter().filter_map(|(cut, how)| cut.then_some(how)).collect();
    if !cut.is_empty() {
        let _ = write!(text, "   {}", cut.join("; "));
    }
    let unit = if trace.meter == Meter::Current { " amps" } else { "watts" };
    let _ = writeln!(
        text,
        "\n{FAINT}  from       lasts  does   loads                           {unit}  water{FAINT:#}"
    );
    let mut water = 0;
    for interval in &cycle.intervals {
        if interval.water != water && water != 0 {
            text.push_str("  -\n");
        }
        water = interval.water;
        let _ = writeln!(text, "{}", row(trace, interval, units).trim_end());
    }
    text
}

/// How much water there was: by the time of filling, where the valve's flow is known, and by heat.
pub(super) fn volumes(cycle: &Cycle, Subject { inlet, units, .. }: Subject) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(inlet) = inlet {
        for (water, time) in filled(cycle) {
            let volume = units.volume(inlet.during(time), None);
            notes.push(format!("water {water} by filling for {time:.0}: {volume} at {}", units.flow(inlet)));
        }
    }
    for HeatedWater { water, at_most, uncertainty } in heated_waters(cycle) {
        let volume = units.volume(at_most, Some(uncertainty));
        notes.push(format!("water {water} by heat balance: at most {volume}; tub and load take heat too"));
    }
    notes
}

fn row(trace: &Trace, interval: &Interval, units: Units) -> String {
    let from = clock_time(trace, interval.start);
    let lasts = lasts(interval.duration());
    let does = format!("{}{}", interval.kind, if is_unsure(interval) { "?" } else { "" });
    if interval.kind == Kind::Gap {
        return format!("  {from:<8} {lasts:>7}  {ALERT}{does:<6}{ALERT:#} no readings");
    }
    let drawn = match trace.meter {
        Meter::Current => format!("{:.2}", interval.measured.amps.0),
        Meter::Power => format!("{:.0}", interval.measured.power.0),
    };
    format!("  {from:<8} {lasts:>7}  {does:<6} {:<31} {drawn:>5}  {}", interval.loads, water(interval, units))
}

pub(super) fn water(interval: &Interval, units: Units) -> String {
    let measured = &interval.measured;
    match (measured.supply, measured.drain) {
        (Some(s), _) => format!("in {}", settled(s, units)),
        (_, Some(d)) => format!("out {}", settled(d, units)),
        _ => String::new(),
    }
}

fn settled(s: Settled, units: Units) -> String {
    let doubt = units.degrees_apart(s.uncertainty).ceil();
    format!("{:.0} ±{doubt:.0} {}", units.degrees(s.water), units.degree())
}

pub(super) fn is_unsure(interval: &Interval) -> bool {
    interval.kind != Kind::Gap && interval.certainty < UNSURE
}
