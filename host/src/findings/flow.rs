//! Water: how warm it comes, and whether it moves when it should and only then.

use super::uncertainty::{Conformity, decide};
use super::{Band, Case, Departure, Finding, Measurement, Quantity, both, finding};
use crate::intervals::{Interval, Kind};
use crate::trace::Noise;

/// Water in the drain hose is heard at several times the level at which the wash pump beside it is; a drain pump
/// without water at about that level. Common practice, no source.
const FLOWS: f64 = 4.0;

/// An idle supply line that is so much louder than the quietest of the same log is not idle: this factor, and an eighth
/// of a count for the recorder's bound, of which minutes average out the half. Common practice, no source.
const LEAKS: (f64, f64) = (1.25, 0.125);

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    supply_temperature(case, findings);
    drain_flow(case, findings);
    leak(case, findings);
}

fn supply_temperature(case: &Case, findings: &mut Vec<Finding>) {
    for (place, expected, acts) in case.matched() {
        let Some(limits) = expected.supply else { continue };
        let Some(settled) = case.intervals(acts).filter_map(|i| i.measured.supply).last() else { continue };
        let ends = (Some(limits.low.0), Some(limits.high.0));
        let (departure, band) = match decide(settled.water.0, ends, settled.uncertainty.0) {
            Conformity::Below(band) => (Departure::SupplyCold, band),
            Conformity::Above(band) => (Departure::SupplyHot, band),
            Conformity::Within => continue,
        };
        let measurement = Measurement {
            measured: Quantity::Temperature(settled.water),
            expected: both(limits, Quantity::Temperature),
            uncertainty: Quantity::Temperature(settled.uncertainty),
            certainty: 0.95,
            band,
        };
        findings.push(case.finding(departure, place, acts[0].start, measurement));
    }
}

fn drain_flow(case: &Case, findings: &mut Vec<Finding>) {
    let Some(least) = least_drain_noise(case) else { return };
    for (place, _, acts) in case.matched().filter(|(_, e, _)| e.kind == Kind::Drain) {
        let drains = case.intervals(acts).filter(|i| i.kind == Kind::Drain);
        let loudest = drains.filter_map(|i| i.measured.drain_noise).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(heard) = loudest.filter(|l| *l < least) {
            let measurement = Measurement {
                measured: Quantity::Noise(heard),
                expected: (Some(Quantity::Noise(least)), None),
                uncertainty: Quantity::Noise(Noise(0.25 * heard.0)),
                certainty: case.certainty(acts),
                band: Band::Beyond,
            };
            findings.push(case.finding(Departure::NoDrainFlow, place, acts[0].start, measurement));
        }
    }
}

/// The level from which on water is heard in the drain hose, in this cycle.
fn least_drain_noise(case: &Case) -> Option<Noise> {
    let washes = case.cycle.intervals.iter().filter(|i| i.kind == Kind::Wash);
    let levels = washes.filter_map(|i| Some((i.measured.drain_noise?.0, i.duration().0)));
    crate::loads::median(levels).map(|pump| Noise(FLOWS * pump))
}

/// Whether water is heard in the drain hose in an interval; `None` where that cannot be known.
pub(super) fn heard_in_drain(case: &Case, interval: &Interval) -> Option<bool> {
    Some(interval.measured.drain_noise? >= least_drain_noise(case)?)
}

fn leak(case: &Case, findings: &mut Vec<Finding>) {
    let (Some(idle), Some(quiet)) = (case.cycle.idle_supply_noise, case.surroundings.quiet_supply) else {
        return;
    };
    let most = Noise(LEAKS.0 * quiet.0 + LEAKS.1);
    if idle > most {
        let measurement = Measurement {
            measured: Quantity::Noise(idle),
            expected: (None, Some(Quantity::Noise(most))),
            uncertainty: Quantity::Noise(Noise(0.25)),
            certainty: 0.9,
            band: Band::Beyond,
        };
        findings.push(finding(
            Departure::FlowWhenOff,
            "idle".into(),
            Kind::Pause,
            case.cycle.start(),
            measurement,
        ));
    }
}
