//! Lag: a clip on a hose takes time to reach the temperature of the water. An exponential that is fitted to its readings gives the
//! temperature to which it was settling.

use tubtrace_units::{Celsius, Seconds};

use super::constants::{
    CLIP_SPREAD, CORRECTION_AT_MOST, CORRECTION_DOUBT, LAG_READINGS, LONGEST_LAG, PIPE_FLUSHED, SHORTEST_LAG,
};
use crate::trace::Temperature;

/// The temperature that a clip was settling to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// Estimated temperature of the water at the end.
    pub water: Celsius,
    /// What the clip itself read at the end.
    pub clip: Celsius,
    /// Time constant of clip and pipe together.
    pub lag: Seconds,
    /// Expanded uncertainty (k = 2) of the estimate.
    pub uncertainty: Celsius,
}

/// Fits T(t) = T1 - A exp(-t / tau) to the clip's readings in `start..end` by least squares: linear in T1 and A for
/// each tau of a grid. The first fifth is left out, in which the pipe is flushed.
pub(super) fn settle(
    readings: &[Temperature],
    start: Seconds,
    end: Seconds,
    of: impl Fn(&Temperature) -> Option<Celsius>,
) -> Option<Settled> {
    let from = start + (end - start) * PIPE_FLUSHED.get();
    let first = readings.partition_point(|r| r.end <= from);
    let points: Vec<(f64, f64)> = readings[first..]
        .iter()
        .take_while(|r| r.start < end)
        .filter_map(|r| Some((r, of(r)?.0)))
        // A reading that holds for several seconds counts as one point for each.
        .flat_map(|(r, t)| {
            let (a, b) = (r.start.max(from), r.end.min(end));
            let seconds = (b - a).0.ceil().max(0.0) as usize;
            (0..seconds).map(move |s| ((a - start).0 + s as f64, t))
        })
        .collect();
    if points.len() < LAG_READINGS.get() {
        return None;
    }
    let mut basis = Vec::new();
    let fits = (SHORTEST_LAG.get()..=LONGEST_LAG.get()).map(|lag| fit(&points, f64::from(lag), &mut basis));
    let (lag, level, part, residual) = fits.min_by(|a, b| a.3.total_cmp(&b.3))?;
    let at_end = points[points.len() - 1];
    let clip = at_end.1;
    // The correction is used only if it goes the way in which the clip was moving, and not far beyond.
    let correction = part * (-at_end.0 / lag).exp();
    let moved = clip - points[0].1;
    let (water, correction) = if correction.signum() == moved.signum()
        && correction.abs() < CORRECTION_AT_MOST.get() * moved.abs()
    {
        (level, correction)
    } else {
        (clip, 0.0)
    };
    let variance = CLIP_SPREAD.get().powi(2)
        + (CORRECTION_DOUBT.get() * correction).powi(2)
        + residual / points.len() as f64;
    Some(Settled {
        water: Celsius(water),
        clip: Celsius(clip),
        lag: Seconds(lag),
        uncertainty: Celsius(2.0 * variance.sqrt()),
    })
}

/// Least-squares fit of (seconds, degrees C) for one lag in seconds: (lag, T1, A, sum of squared residuals). `basis` is room for the
/// exponential at each point.
fn fit(points: &[(f64, f64)], lag: f64, basis: &mut Vec<f64>) -> (f64, f64, f64, f64) {
    let n = points.len() as f64;
    basis.clear();
    basis.extend(points.iter().map(|(t, _)| (-t / lag).exp()));
    let (mut sx, mut sy, mut sxx, mut sxy) = (0.0, 0.0, 0.0, 0.0);
    for (&(_, y), &x) in points.iter().zip(&*basis) {
        sx += x;
        sy += y;
        sxx += x * x;
        sxy += x * y;
    }
    let spread = n * sxx - sx * sx;
    let slope = if spread > 1e-12 { (n * sxy - sx * sy) / spread } else { 0.0 };
    let level = (sy - slope * sx) / n;
    let residual = points.iter().zip(&*basis).map(|((_, y), x)| (y - level - slope * x).powi(2)).sum();
    (lag, level, -slope, residual)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn readings(of: impl Fn(f64) -> f64) -> Vec<Temperature> {
        (0..90)
            .map(|s| {
                let t = f64::from(s);
                Temperature {
                    start: Seconds(t),
                    end: Seconds(t + 1.0),
                    supply: Some(Celsius(of(t))),
                    drain: None,
                }
            })
            .collect()
    }

    /// The step response of a first-order system, T1 - A exp(-t / tau): any control handbook.
    #[test]
    fn a_first_order_lag_is_taken_out() {
        let clip = readings(|t| 55.0 - 34.0 * (-t / 26.0).exp());
        let settled = settle(&clip, Seconds(0.0), Seconds(90.0), |r| r.supply).unwrap();
        assert!((settled.water.0 - 55.0).abs() < 0.1, "{settled:?}");
        assert_eq!(settled.lag, Seconds(26.0));
        assert!(settled.clip.0 < 54.0);
    }

    #[test]
    fn a_steady_clip_is_left_alone() {
        let settled = settle(&readings(|_| 21.0), Seconds(0.0), Seconds(90.0), |r| r.supply).unwrap();
        assert_eq!((settled.water, settled.clip), (Celsius(21.0), Celsius(21.0)));
    }
}
