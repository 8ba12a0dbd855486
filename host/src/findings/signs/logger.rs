//! What is wrong with the logger's own clips, so that nobody opens a machine for it.

use tubtrace_units::{Load, Seconds};

use super::machine::empties_late;
use super::{SILENT, Told, at_most_parts, counted, lasted, tell};
use crate::findings::{Case, Departure, Finding, Quantity};
use crate::intervals::{Interval, Kind, Seen, Sign};

/// Level of water in the hose over that of nothing. Common practice, no source.
const STILL_HEARD: f64 = 2.5;

/// A motor that starts may pass the clamp's range for a moment, a few times in a cycle.
const CLIPPED: Seconds = Seconds(10.0);

/// Water heard without current for as long.
const UNPOWERED: Seconds = Seconds(8.0);

/// What is wrong with the logger's own clips, so that nobody opens a machine for it.
pub(super) fn logger(case: &Case, findings: &mut Vec<Finding>) {
    let cycle = case.cycle;
    for (silent, about) in cycle.signs.clip_silent.into_iter().zip(["supply clip", "drain clip"]) {
        if silent > SILENT {
            let sign = Sign { at: cycle.start(), lasts: cycle.duration(), value: silent };
            findings.push(at_most_parts(Departure::ClipOpen, about, Kind::Wash, sign, 0.0, 0.01));
        }
    }
    // Water that leaks in keeps the supply clip at its temperature.
    let leaks = findings.iter().any(|f| f.departure == Departure::FlowWhenOff);
    let broke_off = findings.iter().any(|f| f.departure == Departure::BrokeOff);
    for about in cycle.signs.clip_still.iter().filter(|_| !leaks && !broke_off) {
        findings.push(counted(Departure::ClipStill, about, Kind::Wash, cycle.start(), 1, 0));
    }
    if let Some(flow) = cycle.signs.unpowered_flow.filter(|s| s.lasts > UNPOWERED) {
        let flows = (flow.at, flow.lasts);
        findings.push(lasted(case, Departure::CurrentGone, "clamp", Kind::Fill, flows, Seconds(0.0)));
    }
    if let Some(scale) = cycle.signs.out_of_scale {
        findings.push(tell(Told {
            departure: Departure::OutOfScale,
            about: "clamp",
            does: Kind::Wash,
            at: cycle.start(),
            measured: Quantity::Part(scale),
            limits: (None, Some(Quantity::Part(1.0))),
            uncertainty: Quantity::Part(0.1 * scale),
        }));
    }
    if cycle.signs.clipped > CLIPPED {
        let clips = (cycle.start(), cycle.signs.clipped);
        findings.push(lasted(case, Departure::Clips, "clamp", Kind::Wash, clips, CLIPPED));
    }
    if cycle.cut_at_end && case.surroundings.battery_ended {
        findings.push(counted(Departure::LogEnds, "logger", Kind::Pause, cycle.end(), 1, 0));
    }
    unheard_fills(case, findings);
    deaf_drain(case, findings);
    never_drains(case, findings);
}

/// A whole run of which only the water was heard.
pub(in crate::findings) fn never_seen(case: &Case) -> Finding {
    let fills = case.cycle.intervals.iter().filter(|i| i.kind == Kind::Fill).count();
    let departure =
        if case.cycle.seen == Seen::Faintly { Departure::CurrentFaint } else { Departure::CurrentNever };
    counted(departure, "clamp", Kind::Fill, case.cycle.start(), fills, 0)
}

/// A machine that washes for a quarter of an hour and does not once drain.
fn never_drains(case: &Case, findings: &mut Vec<Finding>) {
    let time = |wanted: &[Kind]| -> Seconds {
        case.cycle.intervals.iter().filter(|i| wanted.contains(&i.kind)).map(Interval::duration).sum()
    };
    let washes = time(&[Kind::Wash, Kind::Heat]) > Seconds(900.0);
    if washes && time(&[Kind::Drain]) == Seconds(0.0) && !case.cycle.cut_at_end {
        findings.push(counted(Departure::NeverDrains, "drain pump", Kind::Drain, case.cycle.start(), 0, 1));
    }
}

/// Something small that leads straight to a wash is a fill that was not heard; one that leads nowhere, a valve without
/// water.
fn unheard_fills(case: &Case, findings: &mut Vec<Finding>) {
    if !case.hears_flow() {
        return;
    }
    let all = &case.cycle.intervals;
    let heard = |i: &Interval| case.cycle.signs.fills_heard.iter().any(|s| s.at == i.start && s.value >= 1.0);
    let vents = |i: &Interval| i.kind == Kind::Dry && !i.loads.has(Load::Heater);
    let small =
        |i: &Interval| i.duration() > Seconds(25.0) && (vents(i) || (i.kind == Kind::Fill && !heard(i)));
    let washes = all.iter().any(|i| i.kind == Kind::Wash && i.duration() > Seconds(30.0));
    let led = all.windows(2).filter(|p| small(&p[0]) && p[1].kind == Kind::Wash).map(|p| p[0].start);
    let led: Vec<Seconds> = led.collect();
    if let Some(first) = led.first() {
        findings.push(counted(Departure::SupplyDeaf, "supply pickup", Kind::Fill, *first, led.len(), 0));
    } else if let Some(valve) = all.iter().find(|i| small(i)).filter(|_| !washes) {
        findings.push(counted(Departure::NoSupplyFlow, "fill", Kind::Fill, valve.start, 1, 0));
    }
}

/// Where nothing is heard in the hose and yet the next fill is as long as ever, the water went.
fn deaf_drain(case: &Case, findings: &mut Vec<Finding>) {
    let about_fills =
        |f: &Finding| f.does == Kind::Fill && matches!(f.departure, Departure::Missing | Departure::TooShort);
    let Some(silent) = findings.iter().find(|f| f.departure == Departure::NoDrainFlow) else { return };
    let at = silent.start;
    // What has left before the drain is not heard in it.
    if findings.iter().any(|f| f.departure == Departure::Siphons) {
        findings.retain(|f| f.departure != Departure::NoDrainFlow);
        return;
    }
    if findings.iter().any(|f| about_fills(f) && f.start > at) {
        return;
    }
    // Little water that is heard to the end is little water, and not a pickup that hears nothing.
    let signs = &case.cycle.signs;
    let drains = case.cycle.intervals.iter().filter(|i| i.kind == Kind::Drain);
    let loudest = drains.filter_map(|i| i.measured.drain_noise).map(|n| n.0).fold(0.0, f64::max);
    if signs.quiet_hose.is_some_and(|quiet| loudest > STILL_HEARD * quiet)
        && let Some(late) = empties_late(case)
    {
        findings.retain(|f| f.departure != Departure::NoDrainFlow);
        findings.push(late);
        return;
    }
    let count = findings.iter().filter(|f| f.departure == Departure::NoDrainFlow).count();
    findings.retain(|f| f.departure != Departure::NoDrainFlow);
    findings.push(counted(Departure::DrainDeaf, "drain pickup", Kind::Drain, at, count, 0));
}
