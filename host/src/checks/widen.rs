//! Widens what a chart has, so that it holds a good run that departs from it. Each check says how for itself, what it finds in
//! which no limit of a chart has a part, not at all.

use super::found::Found;
use super::outside::Outside;
use crate::chart::{Chart, Expected, Part};

/// Widens the limit that was hit until what is outside of it is within; `false` where no limit holds it, or where all of the
/// programme could then be left out.
pub(crate) fn widen(chart: &mut Chart, found: &Found) -> bool {
    (found.check.widen)(chart, &found.outside) && chart.parts.iter().any(Part::must_come)
}

impl Outside {
    /// The part of the chart that it is found in.
    pub(super) fn part_of<'c>(&self, chart: &'c mut Chart) -> Option<&'c mut Part> {
        chart.parts.get_mut(self.place?.part)
    }

    /// The interval of the chart that it is found in.
    pub(super) fn interval_of<'c>(&self, chart: &'c mut Chart) -> Option<&'c mut Expected> {
        self.part_of(chart)?.intervals.get_mut(self.place?.interval)
    }

    /// What was measured, up to the next of so many decimals: as many as a chart is written with.
    pub(super) fn up(&self, decimals: i32) -> f64 {
        let ten = 10_f64.powi(decimals);
        (ten * self.measured.number()).ceil() / ten
    }

    /// What was measured, down to the next of so many decimals.
    pub(super) fn down(&self, decimals: i32) -> f64 {
        let ten = 10_f64.powi(decimals);
        (ten * self.measured.number()).floor() / ten
    }
}

/// What must come may be left out, and be short.
pub(super) fn may_be_left_out(chart: &mut Chart, outside: &Outside) -> bool {
    let Some(expected) = outside.interval_of(chart) else { return false };
    expected.may = true;
    if let Some(lasts) = &mut expected.lasts {
        lasts.low.0 = 0.0;
    }
    true
}
