//! What the loads of a machine draw, from its good cycles: what each of them drew in the intervals in which it ran alone.

use tubtrace_units::{Amps, Load, Loads, Seconds, Watts};

use super::constants::{DRAWN_FOR, NIGHTS_AGREE, READINGS_OF_A_LEVEL};
use crate::alignment::are_means;
use crate::intervals::{Cycle, Interval, Kind, Seen};
use crate::loads::constants::learning::LEVELS_ALIKE;
use crate::loads::{Draw, Drawn, Draws, Rest};
use crate::stats::{median, normal_mad, weighted_median};

/// What the loads drew in these cycles, to the decimals that a file has. Readings too coarse for a fill say nothing of one.
pub fn draws(cycles: &[&Cycle]) -> Draws {
    let good: Vec<&&Cycle> = cycles.iter().filter(|c| is_metered(c)).collect();
    let of = |drawn: Drawn| {
        let amps: Vec<f64> = good.iter().filter_map(|c| drew(drawn, c)).map(|a| a.0).collect();
        // A speed that is seen in a few cycles is what the others do not have.
        let needed = match drawn {
            Drawn::WashPumpSlowest | Drawn::WashPumpFastest => good.len() / 2 + 1,
            _ => 1,
        };
        (amps.len() >= needed).then(|| {
            let seen = amps.len() as u32;
            let (amps, spread) = (rounded(median(&amps)), rounded(normal_mad(&amps)));
            (drawn, Draw { amps, spread, seen })
        })
    };
    let found: Draws = Drawn::ALL.into_iter().filter_map(of).collect();
    if !agree(&good, &found) || found.out_of_order().is_some() {
        return Draws::default();
    }
    let longest = good.iter().map(|cycle| longest_rest(cycle)).fold(Seconds(0.0), Seconds::max);
    found.resting(Some(Rest { longest, seen: good.len() as u32 }))
}

/// The longest time for which nothing runs in an empty tub, between two things of a cycle.
fn longest_rest(cycle: &Cycle) -> Seconds {
    let all = &cycle.intervals;
    let rests = (1..all.len()).filter(|&i| {
        let moved = all[..i].iter().rev().find(|a| matches!(a.kind, Kind::Fill | Kind::Drain));
        moved.is_some_and(|a| a.kind == Kind::Drain)
    });
    // Between two intervals nothing runs either, though it is no interval of its own.
    let lasts = |i: usize| {
        let pause = if all[i].kind == Kind::Pause { all[i].duration() } else { Seconds(0.0) };
        pause.max(all[i].start - all[i - 1].end)
    };
    rests.map(lasts).fold(Seconds(0.0), Seconds::max)
}

/// Whether most cycles are read by these levels: where each night has others, the loads of this machine are not what they are taken for.
fn agree(good: &[&&Cycle], found: &Draws) -> bool {
    let level = |drawn: Drawn| found.get(drawn).map(|draw| draw.amps.0);
    let alike = |cycle: &Cycle| {
        let Some((signatures, per_watt)) = cycle.record.signatures.zip(per_watt(cycle)) else { return false };
        let near = |watts: Watts, drawn: Drawn| {
            level(drawn).is_none_or(|amps| (watts.0 * per_watt / amps).ln().abs() < LEVELS_ALIKE.get())
        };
        near(signatures.fill, Drawn::FillValve)
            && near(signatures.drain, Drawn::DrainPump)
            && near(signatures.wash, Drawn::WashPump)
    };
    good.iter().filter(|cycle| alike(cycle)).count() as f64 >= NIGHTS_AGREE.get() * good.len() as f64
}

/// Amperes per watt of a cycle's log.
fn per_watt(cycle: &Cycle) -> Option<f64> {
    let measured = cycle.intervals.iter().map(|i| i.measured).find(|m| m.power.0 > 0.0 && m.amps.0 > 0.0)?;
    Some(measured.amps.0 / measured.power.0)
}

/// With what the loads drew in further cycles: what was known counts as much as the cycles in which it was seen.
pub(super) fn with(known: &Draws, further: &Draws) -> Draws {
    let of = |drawn: Drawn| {
        let both = match (known.get(drawn), further.get(drawn)) {
            (Some(a), Some(b)) => joined(a, b),
            (one, other) => one.or(other)?,
        };
        Some((drawn, both))
    };
    let rest = match (known.rest(), further.rest()) {
        (Some(a), Some(b)) => {
            Some(Rest { longest: a.longest.max(b.longest), seen: a.seen.saturating_add(b.seen) })
        }
        (one, other) => one.or(other),
    };
    Drawn::ALL.into_iter().filter_map(of).collect::<Draws>().resting(rest)
}

/// Mean and standard deviation of both together, from those of each.
fn joined(a: Draw, b: Draw) -> Draw {
    let (n, m) = (f64::from(a.seen.max(1)), f64::from(b.seen.max(1)));
    let amps = (a.amps.0 * n + b.amps.0 * m) / (n + m);
    let square = |d: Draw| d.spread.0.powi(2) + (d.amps.0 - amps).powi(2);
    let spread = ((square(a) * n + square(b) * m) / (n + m)).sqrt();
    Draw { amps: rounded(amps), spread: rounded(spread), seen: a.seen.saturating_add(b.seen) }
}

/// Whether what its loads draw was metered like that of others, and finely enough, in the whole of it.
fn is_metered(cycle: &Cycle) -> bool {
    cycle.lacks().is_none()
        && cycle.seen == Seen::Current
        && cycle.record.scale.is_none()
        && !are_means(cycle.resolution)
}

/// What was drawn in a cycle, if it was.
fn drew(drawn: Drawn, cycle: &Cycle) -> Option<Amps> {
    let signatures = cycle.record.signatures?;
    let per_watt = per_watt(cycle)?;
    let standby = signatures.standby.0 * per_watt;
    let long =
        |i: &&Interval| i.duration() >= (cycle.resolution * READINGS_OF_A_LEVEL.get()).max(DRAWN_FOR.get());
    let alone = |kind: Kind, loads: &[Load]| {
        let loads = loads.iter().fold(Loads::NONE, |all, load| all.with(*load, true));
        let own = cycle.intervals.iter().filter(|i| i.kind == kind && i.loads == loads).filter(long);
        weighted_median(own.map(|i| (i.measured.amps.0 - standby, i.duration().0)))
    };
    let (slowest, fastest) = signatures.speeds.map(|(a, b)| (a.0 * per_watt, b.0 * per_watt)).unzip();
    let in_water = alone(Kind::Heat, &[Load::Heater, Load::WashPump]);
    let amps = match drawn {
        Drawn::Standby => Some(standby),
        Drawn::FillValve => alone(Kind::Fill, &[Load::FillValve]),
        Drawn::DrainPump => alone(Kind::Drain, &[Load::DrainPump]),
        Drawn::WashPump => alone(Kind::Wash, &[Load::WashPump]),
        Drawn::WashPumpSlowest => slowest,
        Drawn::WashPumpFastest => fastest,
        Drawn::HeaterInWater => in_water,
        // Heat in water without the pump is what a machine does that has no other; elsewhere it is the pump that was not told beside the element.
        Drawn::HeaterInAir => match (alone(Kind::Dry, &[Load::Heater]), in_water) {
            (None, None) => alone(Kind::Heat, &[Load::Heater]),
            (in_air, _) => in_air,
        },
        Drawn::Vent => alone(Kind::Dry, &[Load::Vent]),
    };
    amps.filter(|a| drawn == Drawn::Standby || *a > 0.0).map(|a| Amps(a.max(0.0)))
}

/// To a tenth of a milliampere, as it is written.
fn rounded(amps: f64) -> Amps {
    Amps((amps * 1e4).round() / 1e4)
}
