//! How it was measured: what the figures are worth, how the logger was, and what nobody could know.

use maud::{Markup, html};
use tubtrace_units::{Celsius, Seconds};

use super::super::subject::Subject;
use super::super::units::Units;
use super::super::words::clock_time;
use super::bands::MOST_MARKS;
use super::sheet::Sheet;
use super::tables::Head::Words;
use super::tables::head;
use crate::intervals::{Cycle, Settled};
use crate::log::Log;
use crate::trace::{Meter, Trace};

/// Everything that stands below the cycles.
pub(super) fn measured(sheet: Sheet) -> Markup {
    html! {
        details.measured {
            summary { h2 { (sheet.titled("what the figures are worth")) } }
            (uncertainties(sheet))
            (health(sheet))
            (method(sheet))
        }
    }
}

fn uncertainties(sheet: Sheet) -> Markup {
    let Subject { log, cycles, units, .. } = sheet.subject;
    let trace = &log.trace;
    let clips = [
        ("supply water at the end of a fill", settled(cycles, |m| m.supply)),
        ("water in the drain hose at the end of a drain", settled(cycles, |m| m.drain)),
    ];
    html! {
        section {
            h2 { (sheet.titled("uncertainties")) }
            p.soft { "Expanded uncertainties, k = 2: about 95 of 100 values are within them (JCGM 100:2008)." }
            div.wide tabindex="0" role="group" aria-label="what the figures are worth" {
                table {
                    caption { "What the figures are worth" }
                    (head(&[Words("figure"), Words("known to"), Words("why")]))
                    tbody {
                        tr {
                            th scope="row" { "when an interval begins or ends" }
                            td { (format!("{:.1} s", 2.0 * trace.resolution.0 / 12.0_f64.sqrt())) }
                            td { "readings are " (format!("{:.1} s", trace.resolution.0)) " apart" }
                        }
                        @if trace.meter == Meter::Current && trace.has_pickups() {
                            tr {
                                th scope="row" { "current" }
                                td { "8 mA or 1.6 %, and what the clamp adds" }
                                td { "bound of the logger's record; see the clamp's class" }
                            }
                        }
                        @for (what, values) in clips {
                            @if !values.is_empty() { (temperature(what, &values, units)) }
                        }
                    }
                }
            }
        }
    }
}

fn settled(cycles: &[Cycle], of: fn(&crate::intervals::Measured) -> Option<Settled>) -> Vec<Settled> {
    cycles.iter().flat_map(|c| &c.intervals).filter_map(|i| of(&i.measured)).collect()
}

fn temperature(what: &str, values: &[Settled], units: Units) -> Markup {
    let doubts = values.iter().map(|s| units.degrees_apart(s.uncertainty));
    let (least, most) = range(doubts);
    let (short, long) = range(values.iter().map(|s| s.lag.0));
    let corrected = values.iter().map(|s| (s.water - s.clip).abs()).fold(Celsius(0.0), Celsius::max);
    html! {
        tr {
            th scope="row" { (what) }
            td { (format!("{least:.1} to {most:.1} {}", units.degree())) }
            td {
                (format!(
                    "the clip lags by {short:.0} to {long:.0} s, which is taken out: by {:.1} {} at most",
                    units.degrees_apart(corrected),
                    units.degree()
                ))
            }
        }
    }
}

fn range(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
}

fn health(sheet: Sheet) -> Markup {
    let Log { trace, notes } = sheet.subject.log;
    let notes = notes.all();
    let battery = trace.health.iter().map(|h| h.battery.0).filter(|v| *v > 0.0);
    html! {
        section {
            h2 { (sheet.titled("the logger")) }
            @if let Some(last) = trace.health.last() {
                @let (least, most) = range(battery);
                p {
                    (format!("Battery {most:.2} V at most, {least:.2} V at least, {:.2} V last.", last.battery.0))
                    @if trace.battery_ended { strong.alert { " The record ends because it was empty." } }
                }
                p { (clipped(trace)) }
            } @else {
                p { "Another meter recorded this, or the logger said nothing of itself." }
            }
            @if notes.is_empty() {
                p { "Nothing of the record is damaged or missing." }
            } @else {
                p { "What was wrong with the record:" }
                ul { @for note in notes { li { (note.told(trace.clock.as_ref())) } } }
            }
            @if !trace.marks.is_empty() {
                p {
                    "The button was pressed at "
                    @for (i, mark) in trace.marks.iter().take(MOST_MARKS).enumerate() {
                        @if i > 0 { ", " } (clock_time(trace, *mark))
                    }
                    "."
                    @if trace.marks.len() > MOST_MARKS {
                        " It was pressed " (trace.marks.len()) " times in all: this list and each picture have the first "
                        (MOST_MARKS) ", and " code { "tubtrace timeline" } " has the rest."
                    }
                }
            }
        }
    }
}

fn clipped(trace: &Trace) -> String {
    let time: Seconds = trace.clipped.iter().map(|(from, to)| *to - *from).sum();
    if time.0 > 0.0 {
        format!("The current was at the end of the clamp's range for {:.1} s.", time.0)
    } else {
        "The current was never at the end of the clamp's range.".to_owned()
    }
}

fn method(sheet: Sheet) -> Markup {
    let trace = &sheet.subject.log.trace;
    let volts = trace.nominal.volts;
    let assumed = if trace.nominal.assumed { "taken as" } else { "given as" };
    html! {
        section {
            h2 { (sheet.titled("how it was measured")) }
            ul {
                li {
                    @match trace.meter {
                        Meter::Current => {
                            "Clamped on, nothing opened. The supply was " (assumed) " " (format!("{volts:.0}"))
                            " nominal: no voltage is measured, so watts are current at that figure."
                        }
                        Meter::Power => {
                            "The meter gives watts. Amps, where there are any, are at a supply that was " (assumed) " "
                            (format!("{volts:.0}")) " nominal."
                        }
                    }
                }
                @if trace.has_pickups() {
                    li {
                        "Flow is heard by pickups on the supply line and the drain hose. What they hear compares within one record "
                        "only. They hear the pump too, which is allowed for."
                    }
                }
                @if !trace.temperatures.is_empty() {
                    li { "Temperatures are those of clips on the outside of pipes; the table gives the water's, corrected for their lag." }
                }
                li {
                    "Loads are inferred from all of it together. \u{201c}Sure\u{201d} is the probability that they are these; a question mark "
                    "stands below 80 %."
                }
                li { "Gaps are gaps: nothing is inferred across missing readings." }
                li { "Findings name likely causes. They do not replace a measurement on the machine, unplugged." }
                li { "Current and pickups are drawn by the square root of their height, so that a valve shows beside a heater." }
            }
        }
    }
}
