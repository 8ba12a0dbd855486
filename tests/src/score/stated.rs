//! Stated uncertainties of a healthy night beside the truth.

use tubtrace::intervals::{Cycle, Kind, heated_waters};
use tubtrace_simulator::TruthInterval;
use tubtrace_simulator::scenario::Night;
use tubtrace_units::{Load, Loads};

use crate::Worked;
use crate::coverage::{Coverage, MAIN, Truths, durations};
use crate::program::Interval;

/// A rest shorter than two windows of the board is not seen, seconds.
const REST: f64 = 0.2;

/// Durations, the temperature of the supply, and the volume by heat, which claims only to be an upper bound. The supply is that of
/// the house's pipe, and what came is the valve's flow for as long as it was really open.
pub(super) fn of(night: &Night, worked: &Worked, cycles: &[Cycle]) -> Coverage {
    let mut coverage = Coverage::default();
    let main =
        |loads: Loads| MAIN.iter().filter(|l| loads.has(**l)).fold(Loads::NONE, |all, l| all.with(*l, true));
    let truths = Truths::of(&runs(&worked.recording.truth.intervals), REST);
    let found: Vec<Interval> = cycles.iter().flat_map(|c| &c.intervals).map(Interval::from).collect();
    durations(&mut coverage, &found, &truths);
    for cycle in cycles {
        for fill in cycle.intervals.iter().filter(|i| i.kind == Kind::Fill) {
            let Some(supply) = fill.measured.supply else { continue };
            let really = night.appliance.supply.0;
            coverage.count("supply temperature, degrees C", supply.water.0, really, supply.uncertainty.0);
        }
        for heated in heated_waters(cycle) {
            let fills = cycle.intervals.iter().filter(|i| i.water == heated.water && i.kind == Kind::Fill);
            let open: Option<f64> =
                fills.map(|i| truths.same(main(i.loads), i.start.0, i.end.0).map(|s| s.end - s.start)).sum();
            let Some(open) = open else {
                coverage.unpaired("volume by heat (at most), L");
                continue;
            };
            let came = night.appliance.inlet.0 * open / 60.0;
            let (most, doubt) = (heated.at_most.0, heated.uncertainty.0);
            coverage.count_bound("volume by heat (at most), L", most, came, doubt);
        }
    }
    coverage
}

/// When each load ran, from and to.
fn runs(intervals: &[TruthInterval]) -> Vec<(Load, f64, f64)> {
    let mut runs: Vec<(Load, f64, f64)> = Vec::new();
    for load in Load::ALL {
        for on in intervals.iter().filter(|i| i.loads.has(load)) {
            match runs.last_mut() {
                Some(last) if last.0 == load && last.2 == on.start.0 => last.2 = on.end.0,
                _ => runs.push((load, on.start.0, on.end.0)),
            }
        }
    }
    runs
}
