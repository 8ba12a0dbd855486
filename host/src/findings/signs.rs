//! What the signs of a cycle say, beside its intervals. Limits are common practice, no source, unless they say otherwise.

use tubtrace_units::{LitresPerMinute, Load, Seconds};

use super::uncertainty::{Conformity, decide};
use super::{Band, Case, Departure, Finding, Measurement, Quantity, finding};
use crate::intervals::{Interval, Kind, Seen, Sign};

/// Level of water in the hose over that of nothing. Common practice, no source.
const STILL_HEARD: f64 = 2.5;

/// A clip that falls off reads nothing new: part of the cycle without a reading.
const SILENT: f64 = 0.02;

/// A motor that starts may pass the clamp's range for a moment, a few times in a cycle.
const CLIPPED: Seconds = Seconds(10.0);

/// Water heard without current for as long.
const UNPOWERED: Seconds = Seconds(8.0);

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    starts(case, findings);
    stops(case, findings);
    power(case, findings);
    hose(case, findings);
    inflow(case, findings);
    heater(case, findings);
    silent_pump(case, findings);
    stays_on(case, findings);
    dispenser(case, findings);
    logger(case, findings);
}

struct Told<'a> {
    departure: Departure,
    about: &'a str,
    does: Kind,
    at: Seconds,
    measured: Quantity,
    limits: (Option<Quantity>, Option<Quantity>),
    uncertainty: Quantity,
}

fn tell(told: Told) -> Finding {
    let Told { departure, about, does, at, measured, limits, uncertainty } = told;
    let measurement =
        Measurement { measured, expected: limits, uncertainty, certainty: 0.95, band: Band::Beyond };
    finding(departure, about.to_owned(), does, at, measurement)
}

fn at_most_parts(
    departure: Departure,
    about: &str,
    does: Kind,
    worst: Sign,
    limit: f64,
    doubt: f64,
) -> Finding {
    tell(Told {
        departure,
        about,
        does,
        at: worst.at,
        measured: Quantity::Part(worst.value),
        limits: (None, Some(Quantity::Part(limit))),
        uncertainty: Quantity::Part(doubt),
    })
}

fn counted(departure: Departure, about: &str, does: Kind, at: Seconds, count: usize, most: u32) -> Finding {
    tell(Told {
        departure,
        about,
        does,
        at,
        measured: Quantity::Count(count as u32),
        limits: (None, Some(Quantity::Count(most))),
        uncertainty: Quantity::Count(0),
    })
}

fn starts(case: &Case, findings: &mut Vec<Finding>) {
    let (signs, usual) = (&case.cycle.signs, &case.chart.habits);
    let stalls = findings.iter().any(|f| f.departure == Departure::PumpStalls);
    if let Some(typical) = signs.typical_switching().filter(|s| s.value > usual.switching) {
        let (count, most) = (typical.value as usize, usual.switching as u32);
        findings.push(counted(Departure::Chatters, "wash pump", Kind::Wash, typical.at, count, most));
    }
    if let Some(typical) = signs.typical_start().filter(|s| s.lasts > usual.start_s && !stalls) {
        findings.push(tell(Told {
            departure: Departure::SlowStart,
            about: "wash pump",
            does: Kind::Wash,
            at: typical.at,
            measured: Quantity::Time(typical.lasts),
            limits: (None, Some(Quantity::Time(usual.start_s))),
            uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
        }));
    }
}

/// A stop that comes once is a dip of the mains or somebody at the door, by its length; one that comes again is the pump.
fn stops(case: &Case, findings: &mut Vec<Finding>) {
    if findings.iter().any(|f| f.departure == Departure::PumpStalls) {
        return;
    }
    let usual = case.chart.habits.stops;
    let chatters = findings.iter().any(|f| f.departure == Departure::Chatters);
    let mut short = case.cycle.signs.short_stops();
    short.retain(|r| !chatters || r.lasts > Seconds(2.0));
    let long = case.cycle.signs.long_stops();
    let mut once = |departure, stop: Sign| {
        findings.push(tell(Told {
            departure,
            about: "wash",
            does: Kind::Wash,
            at: stop.at,
            measured: Quantity::Time(stop.lasts),
            limits: (None, Some(Quantity::Time(Seconds(0.0)))),
            uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
        }));
    };
    match (&short[..], &long[..]) {
        ([stop], _) if usual == 0 => once(Departure::Dips, *stop),
        ([], [stop]) if usual == 0 => once(Departure::Opened, *stop),
        _ => {}
    }
    if short.len() >= 2 && short.len() as u32 > usual {
        let (at, count) = (short[0].at, short.len());
        findings.push(counted(Departure::DropsOut, "wash pump", Kind::Wash, at, count, usual));
    }
}

fn power(case: &Case, findings: &mut Vec<Finding>) {
    let (signs, usual) = (&case.cycle.signs, &case.chart.habits);
    let unsteady = signs.typical_wander().filter(|s| s.value > usual.wander);
    if let Some(typical) = unsteady {
        let doubt = 0.2 * usual.wander;
        findings.push(at_most_parts(
            Departure::Unsteady,
            "wash pump",
            Kind::Wash,
            typical,
            usual.wander,
            doubt,
        ));
    }
    // A pump that draws air sags for its own reasons.
    let sag = signs.deepest_sag().filter(|s| s.value < usual.sag && unsteady.is_none());
    if let Some(sag) = sag {
        findings.push(tell(Told {
            departure: Departure::MainsLow,
            about: "mains",
            does: Kind::Heat,
            at: sag.at,
            measured: Quantity::Part(sag.value),
            limits: (Some(Quantity::Part(usual.sag)), None),
            uncertainty: Quantity::Part(0.02),
        }));
    }
}

fn hose(case: &Case, findings: &mut Vec<Finding>) {
    let (signs, usual) = (&case.cycle.signs, &case.chart.habits);
    let mut over = |sign: Option<Sign>, limit: f64, departure, does| {
        if let Some(sign) = sign.filter(|s| s.value > limit) {
            findings.push(at_most_parts(departure, "hose", does, sign, limit, 0.02 * limit));
        }
    };
    over(signs.typical_knock(), usual.knock, Departure::Hammers, Kind::Fill);
    over(signs.typical_after_drain(), usual.after_drain, Departure::FlowsBack, Kind::Drain);
    over(signs.typical_hose(), usual.hose_in_fills, Departure::Siphons, Kind::Fill);
    // Where nothing is heard in the drain, nothing is heard to its end.
    if !findings.iter().any(|f| f.departure == Departure::NoDrainFlow) {
        findings.extend(empties_late(case));
    }
    if signs.longest_drain > usual.drain_s {
        findings.push(tell(Told {
            departure: Departure::DrainStaysOn,
            about: "drain pump",
            does: Kind::Drain,
            at: case.cycle.start(),
            measured: Quantity::Time(signs.longest_drain),
            limits: (None, Some(Quantity::Time(usual.drain_s))),
            uncertainty: Quantity::Time(Seconds(1.0)),
        }));
    }
}

/// The volume by heat against the time of filling: where they disagree, the water comes at another flow.
fn inflow(case: &Case, findings: &mut Vec<Finding>) {
    let (Some(sign), Some([low, high])) = (case.cycle.signs.typical_inflow(), case.chart.habits.inlet_l_min)
    else {
        return;
    };
    // Heat balance rests on both clips.
    if case.cycle.signs.clip_silent.iter().any(|s| *s > SILENT) || !case.cycle.signs.clip_still.is_empty() {
        return;
    }
    let uncertainty = case.cycle.signs.inflow_uncertainty;
    let departure = match decide(sign.value, (Some(low), Some(high)), uncertainty) {
        Conformity::Below(Band::Beyond) => Departure::InflowLow,
        Conformity::Above(Band::Beyond) => Departure::InflowHigh,
        _ => return,
    };
    let flow = |v| Quantity::Flow(LitresPerMinute(v));
    findings.push(tell(Told {
        departure,
        about: "fills",
        does: Kind::Fill,
        at: sign.at,
        measured: flow(sign.value),
        limits: (Some(flow(low)), Some(flow(high))),
        uncertainty: flow(uncertainty),
    }));
}

fn empties_late(case: &Case) -> Option<Finding> {
    let most = case.chart.habits.emptying;
    let sign = case.cycle.signs.typical_emptying().filter(|s| s.value > most)?;
    Some(at_most_parts(Departure::EmptiesLate, "drain hose", Kind::Drain, sign, most, 0.02))
}

fn heater(case: &Case, findings: &mut Vec<Finding>) {
    let usual = case.chart.habits.heater_cycles;
    if let Some(worst) = case.cycle.signs.most_heater_cycles().filter(|s| s.value > usual) {
        let (count, most) = (worst.value as usize, usual as u32);
        findings.push(counted(Departure::HeatCycles, "hold", Kind::Heat, worst.at, count, most));
    }
    let long_dry = findings
        .iter()
        .any(|f| f.does == Kind::Dry && matches!(f.departure, Departure::TooLong | Departure::Extra));
    let hot_end = |i: &&Interval| i.loads.has(Load::Heater) && i.duration() > Seconds(60.0);
    if let Some(last) = case.cycle.intervals.last().filter(hot_end).filter(|_| long_dry) {
        findings.push(tell(Told {
            departure: Departure::HeatAtEnd,
            about: "end",
            does: Kind::Dry,
            at: last.start,
            measured: Quantity::Time(last.duration()),
            limits: (None, Some(Quantity::Time(Seconds(0.0)))),
            uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
        }));
    }
}

/// Less than this is a drain against a higher head, and a valve that is warm.
const STAYS: Seconds = Seconds(90.0);

/// A vent or a dispenser that is on where it should not be.
fn stays_on(case: &Case, findings: &mut Vec<Finding>) {
    let Some((load, sign)) = case.cycle.signs.stays_on.filter(|(_, s)| s.lasts > STAYS) else { return };
    findings.push(tell(Told {
        departure: Departure::StaysOn,
        about: load.word(),
        does: if load == Load::Dispenser { Kind::Wash } else { Kind::Dry },
        at: sign.at,
        measured: Quantity::Time(sign.lasts),
        limits: (None, Some(Quantity::Time(Seconds(0.0)))),
        uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
    }));
}

fn dispenser(case: &Case, findings: &mut Vec<Finding>) {
    let habits = &case.chart.habits;
    let (seen, usual) = (case.cycle.signs.dispenses, habits.dispenses);
    // In a cycle that is cut or breaks off, or whose pump wanders, it cannot be told.
    let told = [
        Departure::Unsteady,
        Departure::PumpStalls,
        Departure::BrokeOff,
        Departure::BeganAgain,
        Departure::LeftOut,
        Departure::StaysOn,
    ];
    let cut = case.cycle.cut_at_start || case.cycle.cut_at_end;
    let doubtful = cut || findings.iter().any(|f| told.contains(&f.departure));
    // A meter of seconds and watts does not see a step of a few watts beside a pump.
    let sees = case.surroundings.resolution < Seconds(0.5);
    if seen < usual && !doubtful && sees {
        let mut finding = tell(Told {
            departure: Departure::DispensesLess,
            about: "dispenser",
            does: Kind::Wash,
            at: case.cycle.start(),
            measured: Quantity::Count(seen),
            limits: (Some(Quantity::Count(usual)), None),
            uncertainty: Quantity::Count(0),
        });
        // As likely as not, if so few are seen of a healthy one now and then.
        let chance = at_most(seen, usual, habits.dispenses_seen.clamp(0.0, 1.0));
        finding.certainty = if chance < BY_CHANCE { 1.0 - chance } else { 0.5 };
        findings.push(finding);
    }
}

/// What healthy dispensers leave unseen more often than this cannot be told.
const BY_CHANCE: f64 = 0.01;

/// Probability of at most `seen` of `times`, each of which is seen with probability `each`: the binomial distribution.
fn at_most(seen: u32, times: u32, each: f64) -> f64 {
    let choose = |k: u32| (0..k).map(|i| f64::from(times - i) / f64::from(i + 1)).product::<f64>();
    (0..=seen.min(times))
        .map(|k| choose(k) * each.powi(k as i32) * (1.0 - each).powi((times - k) as i32))
        .sum()
}

/// Water has come and nothing runs: the control thinks it washes.
fn silent_pump(case: &Case, findings: &mut Vec<Finding>) {
    let all = &case.cycle.intervals;
    let fills = |i: &Interval| i.kind == Kind::Fill && i.duration() > Seconds(15.0);
    let nothing = |i: &Interval| i.kind == Kind::Pause && i.duration() > Seconds(45.0);
    let heats = |i: &Interval| i.loads.has(Load::Heater) && !i.loads.has(Load::WashPump);
    let silent = |p: &&[Interval]| fills(&p[0]) && (nothing(&p[1]) || heats(&p[1]));
    let at: Vec<Seconds> = all.windows(2).filter(silent).map(|p| p[1].start).collect();
    // The last fill of a group that is cut into two cycles by a long silence.
    let ends = all.last().is_some_and(fills) && !case.cycle.cut_at_end;
    if let Some(first) = at.first().copied().or(ends.then(|| case.cycle.end())) {
        let count = at.len() + usize::from(ends);
        findings.push(counted(Departure::PumpSilent, "wash pump", Kind::Wash, first, count, 0));
    }
}

/// A whole run of which only the water was heard.
pub(super) fn never_seen(case: &Case) -> Finding {
    let fills = case.cycle.intervals.iter().filter(|i| i.kind == Kind::Fill).count();
    let departure =
        if case.cycle.seen == Seen::Faintly { Departure::CurrentFaint } else { Departure::CurrentNever };
    counted(departure, "clamp", Kind::Fill, case.cycle.start(), fills, 0)
}

/// What is wrong with the logger's own clips, so that nobody opens a machine for it.
fn logger(case: &Case, findings: &mut Vec<Finding>) {
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
        findings.push(tell(Told {
            departure: Departure::CurrentGone,
            about: "clamp",
            does: Kind::Fill,
            at: flow.at,
            measured: Quantity::Time(flow.lasts),
            limits: (None, Some(Quantity::Time(Seconds(0.0)))),
            uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
        }));
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
        findings.push(tell(Told {
            departure: Departure::Clips,
            about: "clamp",
            does: Kind::Wash,
            at: cycle.start(),
            measured: Quantity::Time(cycle.signs.clipped),
            limits: (None, Some(Quantity::Time(CLIPPED))),
            uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
        }));
    }
    if cycle.cut_at_end && case.surroundings.battery_ended {
        findings.push(counted(Departure::LogEnds, "logger", Kind::Pause, cycle.end(), 1, 0));
    }
    unheard_fills(case, findings);
    deaf_drain(case, findings);
    never_drains(case, findings);
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

#[cfg(test)]
mod tests {
    use super::at_most;

    /// The cumulative binomial distribution of any handbook's table: n = 5, p = 0.5 and n = 10, p = 0.9.
    #[test]
    fn agrees_with_the_binomial_table() {
        for (seen, times, each, expected) in
            [(1, 5, 0.5, 0.1875), (2, 5, 0.5, 0.5), (8, 10, 0.9, 0.2639), (5, 5, 0.5, 1.0)]
        {
            assert!((at_most(seen, times, each) - expected).abs() < 5e-5, "{seen} of {times}");
        }
    }
}
