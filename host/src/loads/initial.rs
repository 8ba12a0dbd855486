//! Initial estimates of the load signatures, before any state is known: those of heater, standby and pickups are found at once; for the
//! others, peaks of the histogram of power give candidates.

use tubtrace_units::Watts;

use super::constants::learning::{
    CANDIDATES_DRAIN_APART, COMMON_DRAIN, COMMON_FILL, COMMON_WASH, DRAIN_LEAST, DRAIN_MOST,
    DRAIN_OVER_QUIET, DRAINS_FOR, FILL_HEARD_LEAST, FILL_LOUD, FILL_MOST, FLOW_OVER_QUIET, HEATER_AT_LEAST,
    HEATER_LASTS, HEATER_WHOLE, HISTOGRAM_FROM, HISTOGRAM_LONGEST, HISTOGRAM_STEP, HISTOGRAM_WIDTH,
    LEVEL_FROM, PEAK_AT_LEAST, PEAKS, RUNS_ABOVE, SPEEDS_APART, STALLS_FOR, SUPPLY_OVER_QUIET, WASH_LEAST,
    WASH_MOST, WITH_SPEEDS,
};
use super::constants::runs::IDLE_BELOW;
use super::segment::Segment;
use super::signatures::{Flow, Heater, Signatures};
use crate::stats::weighted_median;
use crate::trace::{Noise, Trace};

/// The heater, if anything drew more than other loads do for long enough.
pub(super) fn heater(segments: &[Segment]) -> Option<Heater> {
    let hot = segments.iter().filter(|o| o.power.0 > HEATER_AT_LEAST.get());
    let time = |of: &[&Segment]| of.iter().map(|o| o.duration().0).sum::<f64>();
    let all: Vec<&Segment> = hot.collect();
    // A locked pump beside the heater draws more than both do in health, but only for seconds at a time.
    let lasting: Vec<&Segment> = all.iter().copied().filter(|o| o.duration() > STALLS_FOR.get()).collect();
    let of = if time(&lasting) > HEATER_LASTS.get() { lasting } else { all };
    let mut hot: Vec<(f64, f64)> = of.iter().map(|o| (o.power.0, o.duration().0)).collect();
    hot.sort_by(|a, b| b.0.total_cmp(&a.0));
    // A heater that dries by a part of its power may do so for longer than it heats.
    let mut time = 0.0;
    let most = hot.iter().find(|(_, lasts)| {
        time += lasts;
        time > HEATER_LASTS.get()
    })?;
    let whole = hot.iter().filter(|(power, _)| *power > HEATER_WHOLE.get() * most.0);
    let level = weighted_median(whole.copied())?;
    Some(Heater { level: Watts(level), dry: Watts(level), threshold: Watts(level / 2.0) })
}

/// Power of the machine with all loads off: the median of what is idle, if it is ever so.
pub(super) fn idle(segments: &[Segment]) -> Option<Watts> {
    let idle = segments.iter().filter(|o| o.power.0 < IDLE_BELOW.get());
    weighted_median(idle.map(|o| (o.power.0, o.duration().0))).map(Watts)
}

/// Thresholds of the pickups: the geometric mean of the level of silence, which is heard most of the time, and that of flow, which the
/// fills that the board itself has told give for the supply.
pub(super) fn flow(trace: &Trace, segments: &[Segment]) -> Option<Flow> {
    if !trace.has_pickups() {
        return None;
    }
    let quiet = |of: &dyn Fn(&Segment) -> f64| {
        weighted_median(segments.iter().map(|o| (of(o), o.duration().0))).unwrap_or(1.0).max(1.0)
    };
    let (supply_quiet, drain_quiet) =
        (quiet(&|o| o.detail.map_or(0.0, |d| d.supply.0)), quiet(&|o| o.detail.map_or(0.0, |d| d.drain.0)));
    let fills = trace.fills.iter().map(|f| (f.level.0, (f.end - f.start).0));
    let loudest = trace.fills.iter().map(|f| f.level.0).fold(0.0, f64::max);
    let fill = weighted_median(fills.filter(|(level, _)| *level > FILL_LOUD.get() * loudest))
        .unwrap_or(FLOW_OVER_QUIET.get() * supply_quiet);
    // Draining takes a few minutes of an hour: the loudest fiftieth of the time in which anything runs.
    let mut busy: Vec<(f64, f64)> = segments
        .iter()
        .filter(|o| o.power.0 > RUNS_ABOVE.get())
        .filter_map(|o| Some((o.detail?.drain.0, o.duration().0)))
        .collect();
    busy.sort_by(|a, b| b.0.total_cmp(&a.0));
    let total: f64 = busy.iter().map(|b| b.1).sum();
    let mut passed = 0.0;
    let loud = busy.iter().find(|(_, time)| {
        passed += time;
        passed > total * DRAINS_FOR.get()
    });
    let drain = loud.map_or(FLOW_OVER_QUIET.get() * drain_quiet, |l| l.0);
    // What is heard in the hose for most of the time in which anything runs is the wash pump.
    let usual = weighted_median(busy.iter().copied()).unwrap_or(drain_quiet).max(drain_quiet);
    let nearer_to_water = (drain_quiet * drain * drain).cbrt();
    Some(Flow {
        supply: Noise((supply_quiet * fill).sqrt().max(SUPPLY_OVER_QUIET.get() * supply_quiet)),
        // Between a pump heard through the frame and water: nearer to the water; where the wash pump is not heard, half way, for then the drain pump alone
        // may be heard while it draws air. Until water has been heard the pump is the loudest there is, and no more than several times the pickup's
        // own noise.
        drain: Noise(nearer_to_water.min((usual * drain).sqrt()).max(DRAIN_OVER_QUIET.get() * drain_quiet)),
        pump: None,
    })
}

/// Powers above standby and below the heater's threshold that are frequent, in watts: the highest peaks of a smoothed histogram of the
/// logarithm of power, weighted by time.
pub(super) fn peaks(segments: &[Segment], signatures: &Signatures) -> Vec<f64> {
    let ceiling = signatures.heater.map_or(WASH_MOST.get(), |h| h.threshold.0);
    let points: Vec<(f64, f64)> = segments
        .iter()
        .map(|o| (o.power.0 - signatures.standby.0, o.duration().0.min(HISTOGRAM_LONGEST.get())))
        .filter(|(w, _)| (HISTOGRAM_FROM.get()..ceiling).contains(w))
        .map(|(w, t)| (w.ln(), t))
        .collect();
    let bins = ((ceiling / HISTOGRAM_FROM.get()).ln() / HISTOGRAM_STEP.get()) as usize + 1;
    let at = |bin: usize| HISTOGRAM_FROM.get().ln() + bin as f64 * HISTOGRAM_STEP.get();
    let density: Vec<f64> = (0..bins)
        .map(|b| {
            points.iter().map(|(x, t)| t * (-0.5 * ((x - at(b)) / HISTOGRAM_WIDTH.get()).powi(2)).exp()).sum()
        })
        .collect();
    let mut peaks: Vec<usize> = (1..bins.saturating_sub(1))
        .filter(|&b| {
            density[b] > PEAK_AT_LEAST.get() && density[b] >= density[b - 1] && density[b] > density[b + 1]
        })
        .collect();
    peaks.sort_by(|&a, &b| density[b].total_cmp(&density[a]));
    peaks.truncate(PEAKS.get());
    peaks.iter().map(|&b| at(b).exp()).collect()
}

/// The same with and without its heater, where the pump may be what draws so much.
pub(super) fn with_or_without_heater(start: Signatures) -> Vec<Signatures> {
    let none =
        start.heater.filter(|h| h.level.0 < WASH_MOST.get()).map(|_| Signatures { heater: None, ..start });
    std::iter::once(start).chain(none).collect()
}

/// What fill valve and drain pump add, each where water is heard to run in its hose and in no other; none, where it is not heard for long enough.
pub(super) fn heard(segments: &[Segment], start: &Signatures) -> [Option<f64>; 2] {
    let Some(flow) = start.flow else { return [None; 2] };
    let above = |most: f64, hears: &dyn Fn(bool, bool) -> bool| {
        let own = segments.iter().filter(|s| {
            s.detail.is_some_and(|d| hears(d.supply.0 > flow.supply.0, d.drain.0 > flow.drain.0))
        });
        let own = own.map(|s| ((s.power.0 - start.standby.0).max(FILL_HEARD_LEAST.get()), s.duration().0));
        let own: Vec<(f64, f64)> = own.filter(|(above, _)| *above < most).collect();
        let lasts: f64 = own.iter().map(|o| o.1).sum();
        weighted_median(own.into_iter()).filter(|_| lasts >= LEVEL_FROM.get())
    };
    let cool = start.heater.map_or(WASH_MOST.get(), |h| h.threshold.0);
    [
        above(FILL_MOST.get(), &|supply, drain| supply && !drain),
        above(cool, &|supply, drain| drain && !supply),
    ]
}

/// All assignments of peaks to fill valve, drain pump and wash pump; each of the three may also have its common power, for it may not
/// occur in the trace, and valve and drain pump that at which they were `heard`. A valve is a coil: any pump draws more. Which pump draws more than the other is open.
pub(super) fn candidates(start: &Signatures, peaks: &[f64], heard: [Option<f64>; 2]) -> Vec<Signatures> {
    let within = |least: f64, most: f64, common: f64| -> Vec<f64> {
        peaks.iter().copied().filter(|p| (least..=most).contains(p)).chain([common]).collect()
    };
    let mut fills = within(HISTOGRAM_FROM.get(), FILL_MOST.get(), COMMON_FILL.get());
    let mut drains = within(DRAIN_LEAST.get(), DRAIN_MOST.get(), COMMON_DRAIN.get());
    fills.extend(heard[0]);
    drains.extend(heard[1].filter(|level| *level > DRAIN_LEAST.get()));
    let mut candidates = Vec::new();
    // The power of a stalled pump may be among the peaks though that of the running one is not.
    for wash in within(WASH_LEAST.get(), WASH_MOST.get(), COMMON_WASH.get()) {
        for &drain in &drains {
            for &fill in fills.iter().filter(|f| *f * CANDIDATES_DRAIN_APART.get() < drain.min(wash)) {
                let (fill, drain, wash) = (Watts(fill), Watts(drain), Watts(wash));
                candidates.push(Signatures { fill, drain, wash, ..*start });
            }
        }
    }
    candidates
}

/// The two ways to understand the level of a heater: as that of heat in water, with the wash pump, or as that of heat in air.
pub(super) fn with_heater(candidate: &Signatures) -> Vec<Signatures> {
    let Some(heater) = candidate.heater else { return vec![*candidate] };
    let (seen, pump) = (heater.level.max(heater.dry), candidate.fastest());
    let wet = Heater { level: seen, dry: seen - pump, ..heater };
    let dry = Heater { level: seen + pump, dry: seen, ..heater };
    [wet, dry].map(|heater| Signatures { heater: Some(heater), ..*candidate }).to_vec()
}

/// Of candidates, the best first, the first of each fill valve and drain pump.
pub(super) fn without_wash(ranked: &[(Signatures, f64)]) -> Vec<Signatures> {
    let mut found: Vec<Signatures> = Vec::new();
    for (candidate, _) in ranked {
        if found.iter().all(|f| (f.fill, f.drain) != (candidate.fill, candidate.drain)) {
            found.push(*candidate);
        }
    }
    found.truncate(WITH_SPEEDS.get());
    found
}

/// Each of these candidates with a wash pump whose speeds reach from any peak to any other.
pub(super) fn with_speeds(candidates: &[Signatures], peaks: &[f64]) -> Vec<Signatures> {
    let pumps = || peaks.iter().copied().filter(|p| (WASH_LEAST.get()..=WASH_MOST.get()).contains(p));
    let ranges: Vec<(f64, f64)> = pumps()
        .flat_map(|slow| pumps().map(move |fast| (slow, fast)))
        .filter(|(slow, fast)| *fast > SPEEDS_APART.get() * slow)
        .collect();
    let mut found: Vec<Signatures> = Vec::new();
    for candidate in candidates {
        for &(slow, fast) in &ranges {
            let wash = candidate.wash.0.clamp(slow, fast);
            let with =
                Signatures { wash: Watts(wash), speeds: Some((Watts(slow), Watts(fast))), ..*candidate };
            if !found.contains(&with) {
                found.push(with);
            }
        }
    }
    found
}
