//! Limits as a chart's file can have them.

use crate::chart::numbers::{LONGEST, MOST_AMPS, MOST_PURGES, WARMEST};
use crate::chart::{Chart, Limits};

/// Limits as a chart's file can have them: within what can be meant, to the decimals that are written.
pub(super) fn as_written(chart: &mut Chart) {
    for expected in chart.parts.iter_mut().flat_map(|p| &mut p.intervals) {
        round(&mut expected.lasts, |s| &mut s.0, LONGEST, 1);
        round(&mut expected.amps, |a| &mut a.0, MOST_AMPS, 3);
        round(&mut expected.supply, |c| &mut c.0, WARMEST, 1);
        expected.until.iter_mut().for_each(|u| u.0 = to_decimals(u.0, 1));
        expected.until = expected.until.filter(|u| (1.0..=WARMEST).contains(&u.0));
        expected.purges.high = expected.purges.high.min(MOST_PURGES);
    }
}

fn round<T>(limits: &mut Option<Limits<T>>, number: fn(&mut T) -> &mut f64, most: f64, decimals: usize) {
    let Some(Limits { low, high }) = limits else { return };
    for end in [number(low), number(high)] {
        *end = to_decimals(end.clamp(0.0, most), decimals);
    }
}

/// The number that is read where this one was written with so many decimals.
fn to_decimals(number: f64, decimals: usize) -> f64 {
    format!("{number:.decimals$}").parse().unwrap_or(number)
}
