//! Where a value stands in a panel, and which values are written beside it.

/// How values become heights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::report) enum Shape {
    /// By their square root from zero: a valve shows beside a heater.
    Root,
    /// In proportion to the value.
    Line,
}

impl Shape {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Root => "root",
            Self::Line => "line",
        }
    }
}

/// The values at the bottom and at the top of a panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::report) struct Scale {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) shape: Shape,
}

/// Heights of a panel, from its top.
pub(in crate::report) const HEIGHT: f64 = 1_000.0;

impl Scale {
    /// From zero to a little more than `most`.
    pub(in crate::report) fn root(most: f64) -> Self {
        Self { low: 0.0, high: (most * 1.1).max(1e-3), shape: Shape::Root }
    }

    /// From a little less than `least` to a little more than `most`.
    pub(super) fn line(least: f64, most: f64) -> Self {
        let room = ((most - least) * 0.12).max(2.0);
        Self { low: least - room, high: most + room, shape: Shape::Line }
    }

    /// Height of a value from the top, 0 to [`HEIGHT`].
    pub(in crate::report) fn height(&self, value: f64) -> f64 {
        let part = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        HEIGHT * (1.0 - if self.shape == Shape::Root { part.sqrt() } else { part })
    }

    /// Round values to be written, from the top, this part of the height apart.
    pub(in crate::report) fn ticks(&self, apart: f64) -> Vec<f64> {
        let candidates = match self.shape {
            Shape::Root => decades(self.high),
            Shape::Line => even(self.low, self.high),
        };
        let mut ticks: Vec<f64> = Vec::new();
        let mut last = f64::NEG_INFINITY;
        for value in candidates.into_iter().rev() {
            let height = self.height(value) / HEIGHT;
            if value >= self.low
                && value <= self.high
                && (0.06..0.92).contains(&height)
                && height - last >= apart
            {
                ticks.push(value);
                last = height;
            }
        }
        ticks
    }
}

/// 1, 2 and 5 of each decade up to `high`.
fn decades(high: f64) -> Vec<f64> {
    let top = high.log10().ceil() as i32;
    (top - 3..=top).flat_map(|d| [1.0, 2.0, 5.0].map(|m| m * 10f64.powi(d))).collect()
}

/// Multiples of 5, 10, 20 or 50 of which four or so fit.
fn even(low: f64, high: f64) -> Vec<f64> {
    let step = [5.0, 10.0, 20.0, 50.0].into_iter().find(|s| (high - low) / s <= 6.0).unwrap_or(100.0);
    let first = (low / step).ceil() as i64;
    (first..first + 8).map(|n| n as f64 * step).collect()
}

/// A number of a scale as it is written: 0.05, 0.5, 5, 50.
pub(in crate::report) fn written(value: f64) -> String {
    format!("{}", (value * 1_000.0).round() / 1_000.0)
}

/// Seconds between times that are written below a picture of so many seconds.
pub(super) fn time_step(span: f64) -> f64 {
    let steps =
        [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1_800.0, 3_600.0, 7_200.0];
    steps.into_iter().find(|s| span / s <= 8.0).unwrap_or(14_400.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_valve_and_a_heater_share_a_scale() {
        let scale = Scale::root(8.0);
        assert_eq!(scale.ticks(0.2), [5.0, 2.0, 0.5]);
        let valve = HEIGHT - scale.height(0.12);
        assert!(valve > 0.1 * HEIGHT, "{valve}");
        assert_eq!((scale.height(0.0), scale.height(1e9)), (HEIGHT, 0.0));
    }

    #[test]
    fn round_degrees_are_written() {
        assert_eq!(Scale::line(21.0, 63.0).ticks(0.1), [60.0, 50.0, 40.0, 30.0]);
        assert_eq!(written(0.05), "0.05");
    }
}
