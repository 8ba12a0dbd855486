//! Times and names as people write them.

use std::fmt::Write;

use textwrap::Options;
use tubtrace_units::{Seconds, Watts};

use super::subject::Subject;
use crate::alignment::are_means;
use crate::intervals::Kind;
use crate::text::{duration, harmless, offset_digits, plain};
use crate::trace::{Clock, Trace, Zone};

/// How long something lasts: 1:32, 25:00, 1:02:10.
#[must_use]
pub fn lasts(time: Seconds) -> String {
    let seconds = time.0.max(0.0).round() as u64;
    let (h, m, s) = (seconds / 3_600, seconds / 60 % 60, seconds % 60);
    if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
}

/// A duration rounded to whole minutes: `70 min`, and from two hours on `2 h 05 min`.
pub(super) fn minutes(time: Seconds) -> String {
    let minutes = (time.0 / 60.0).round() as u64;
    if minutes >= 120 {
        format!("{} h {:02} min", minutes / 60, minutes % 60)
    } else {
        format!("{minutes} min")
    }
}

/// A power to the watt: "2135 W".
pub(super) fn watts(power: Watts) -> String {
    format!("{:.0} W", power.0)
}

/// "1 run", "20 runs".
pub(super) fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// From how many cycles something was learned: "one cycle", "20 cycles".
#[must_use]
pub fn of_cycles(seen: u32) -> String {
    if seen == 1 { "one cycle".to_owned() } else { format!("{seen} cycles") }
}

/// A paragraph, with what stands before its first line and before the others. It has no style of ours in it, so none is left in what causes and
/// charts say.
pub(super) fn wrapped(width: usize, text: &str, first: &str, rest: &str) -> String {
    let options = Options::new(width).initial_indent(first).subsequent_indent(rest);
    textwrap::fill(&plain(text), options) + "\n"
}

/// Time of day where the log knows it, else time into the log.
#[must_use]
pub fn clock_time(trace: &Trace, at: Seconds) -> String {
    trace.clock.map_or_else(|| duration(at), |clock| of_clock(&clock, at, "%H:%M:%S"))
}

fn of_clock(clock: &Clock, at: Seconds, format: &str) -> String {
    clock.local(at).map_or_else(|| duration(at), |time| time.strftime(format).to_string())
}

/// Day and time where the log knows them, else time into the log.
pub(super) fn moment(trace: &Trace, at: Seconds) -> String {
    trace.clock.map_or_else(
        || format!("{} from the start", duration(at)),
        |clock| of_clock(&clock, at, "%a %Y-%m-%d %H:%M"),
    )
}

/// The day and minute on which a log begins.
pub(super) fn day(clock: &Clock) -> String {
    of_clock(clock, Seconds(0.0), "%Y-%m-%d %H:%M")
}

/// How far the times of a log are from UTC, as far as it says.
fn offset(clock: &Clock) -> String {
    match clock.zone {
        Zone::Unsaid => String::new(),
        Zone::Utc => " UTC".into(),
        Zone::At(offset) => format!(" UTC{}", offset_digits(offset)),
    }
}

/// What stands for an interval where there is room for one letter.
pub(crate) const fn letter(kind: Kind) -> char {
    match kind {
        Kind::Fill => 'f',
        Kind::Wash => 'w',
        Kind::Heat => 'h',
        Kind::Purge => 'p',
        Kind::Drain => 'd',
        Kind::Dry => 'y',
        Kind::Stall => 's',
        Kind::Pause => '.',
        Kind::Gap => '?',
    }
}

/// What the log is, what is known of the job, and at what volts its watts are meant.
#[must_use]
pub fn heading(subject: Subject) -> String {
    let trace = &subject.log.trace;
    let label = if trace.label.is_empty() { "log".to_owned() } else { harmless(&trace.label) };
    let start = trace.clock.map_or_else(
        || "no time of day, times are into the log".to_owned(),
        |c| format!("from {}{}", of_clock(&c, Seconds(0.0), "%a %Y-%m-%d %H:%M"), offset(&c)),
    );
    let cycles = match subject.cycles.len() {
        0 => "no cycle".to_owned(),
        1 => "1 cycle".to_owned(),
        n => format!("{n} cycles"),
    };
    let volts = trace.nominal.volts;
    let assumed = if trace.nominal.assumed { "taken as" } else { "given as" };
    let mut job = String::new();
    for (name, said) in subject.job.lines() {
        let _ = writeln!(job, "{name}: {said}");
    }
    let volts = format!(
        "Supply {assumed} {volts:.0} nominal: no voltage is measured, so watts and amps convert at that figure."
    );
    let coarse = if are_means(trace.resolution) {
        let apart = format!(
            "Its readings are {:.0} s apart: they show holds and long washes, and no more.",
            trace.resolution.0
        );
        format!("\n{}", textwrap::fill(&apart, subject.width))
    } else {
        String::new()
    };
    format!(
        "{label}, {start}, {} recorded, {cycles}\n{job}{}{coarse}",
        minutes(trace.duration()),
        textwrap::fill(&volts, subject.width),
    )
}
