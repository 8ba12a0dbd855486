//! How pumps, heater, valve and hose behave beside their intervals.

use tubtrace_units::{LitresPerMinute, Load, Seconds};

use super::{SILENT, Told, at_most_parts, counted, lasted, tell};
use crate::findings::uncertainty::{Conformity, decide};
use crate::findings::{Band, Case, Departure, Finding, Quantity};
use crate::intervals::{Interval, Kind, Sign};

pub(super) fn starts(case: &Case, findings: &mut Vec<Finding>) {
    let (signs, usual) = (&case.cycle.signs, &case.chart.habits);
    let stalls = findings.iter().any(|f| f.departure == Departure::PumpStalls);
    if let Some(typical) = signs.typical_switching().filter(|s| s.value > usual.switching) {
        let (count, most) = (typical.value as usize, usual.switching as u32);
        findings.push(counted(Departure::Chatters, "wash pump", Kind::Wash, typical.at, count, most));
    }
    if let Some(typical) = signs.typical_start().filter(|s| s.lasts > usual.start_s && !stalls) {
        let took = (typical.at, typical.lasts);
        findings.push(lasted(case, Departure::SlowStart, "wash pump", Kind::Wash, took, usual.start_s));
    }
}

/// A stop that comes once is a dip of the mains or somebody at the door, by its length; one that comes again is the pump.
pub(super) fn stops(case: &Case, findings: &mut Vec<Finding>) {
    if findings.iter().any(|f| f.departure == Departure::PumpStalls) {
        return;
    }
    let usual = case.chart.habits.stops;
    let chatters = findings.iter().any(|f| f.departure == Departure::Chatters);
    let mut short = case.cycle.signs.short_stops();
    short.retain(|r| !chatters || r.lasts > Seconds(2.0));
    let long = case.cycle.signs.long_stops();
    let mut once = |departure, stop: Sign| {
        findings.push(lasted(case, departure, "wash", Kind::Wash, (stop.at, stop.lasts), Seconds(0.0)));
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

pub(super) fn power(case: &Case, findings: &mut Vec<Finding>) {
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

pub(super) fn hose(case: &Case, findings: &mut Vec<Finding>) {
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
pub(super) fn inflow(case: &Case, findings: &mut Vec<Finding>) {
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

pub(super) fn empties_late(case: &Case) -> Option<Finding> {
    let most = case.chart.habits.emptying;
    let sign = case.cycle.signs.typical_emptying().filter(|s| s.value > most)?;
    Some(at_most_parts(Departure::EmptiesLate, "drain hose", Kind::Drain, sign, most, 0.02))
}

pub(super) fn heater(case: &Case, findings: &mut Vec<Finding>) {
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
        let heats = (last.start, last.duration());
        findings.push(lasted(case, Departure::HeatAtEnd, "end", Kind::Dry, heats, Seconds(0.0)));
    }
}

/// Water has come and nothing runs: the control thinks it washes.
pub(super) fn silent_pump(case: &Case, findings: &mut Vec<Finding>) {
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
