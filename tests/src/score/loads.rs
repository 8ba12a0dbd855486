//! Loads against the truth: F1 for each, edges, and whether the probabilities mean what they say.

use crate::reliability::Reliability;
use tubtrace::loads::Span;
use tubtrace_simulator::{Truth, TruthInterval};
use tubtrace_units::{Load, Loads, Seconds};

/// Loads that are scored: the machines have no fan.
pub const LOADS: [Load; 6] =
    [Load::Heater, Load::WashPump, Load::DrainPump, Load::FillValve, Load::Dispenser, Load::Vent];

/// The grid on which loads are compared: a window.
const GRID: f64 = 0.1;

/// An edge that has no counterpart within this is missed, and counts as this.
const FAR: f64 = 5.0;

/// Edges of a state shorter than this are not asked for.
const SHORT: f64 = 3.0;

/// How well loads were found, counted over nights.
#[derive(Clone, Debug, Default)]
pub struct LoadScore {
    /// For each load: windows rightly on, wrongly on, wrongly off.
    counts: [(u64, u64, u64); LOADS.len()],
    /// Distance of each true edge from the nearest one found, seconds.
    edges: Vec<f32>,
    /// Whether the probabilities mean what they say.
    pub reliability: Reliability,
}

impl LoadScore {
    /// The score of spans against the truth. Runs in which the logger itself failed are left out.
    #[must_use]
    pub fn of(truth: &Truth, spans: &[Span]) -> Self {
        let mut score = Self::default();
        let failed: Vec<(Seconds, Seconds)> = truth
            .cycles
            .iter()
            .filter(|c| c.trouble.is_some_and(|t| t.fault.is_loggers()))
            .map(|c| (c.start - Seconds(3_000.0), c.end + Seconds(900.0)))
            .collect();
        let fair = |at: f64| !failed.iter().any(|(a, b)| (a.0..b.0).contains(&at));
        let end = truth.intervals.last().map_or(0.0, |i| i.end.0);
        let (mut t, mut s) = (0, 0);
        // Windows of each span, and those of them that were right.
        let mut windows = vec![(0_u64, 0_u64); spans.len()];
        for window in 0..(end / GRID) as u64 {
            let at = (window as f64 + 0.5) * GRID;
            while t + 1 < truth.intervals.len() && truth.intervals[t].end.0 <= at {
                t += 1;
            }
            while s < spans.len() && spans[s].end.0 <= at {
                s += 1;
            }
            let found = spans.get(s).filter(|span| span.start.0 <= at);
            if let Some(found) = found.filter(|_| fair(at)) {
                let right = score.window(truth.intervals[t].loads, found);
                windows[s] = (windows[s].0 + 1, windows[s].1 + u64::from(right));
            }
        }
        for (span, (all, right)) in spans.iter().zip(windows).filter(|(_, w)| w.0 > 0) {
            score.reliability.count(span.certainty(), all as f64 * GRID, right as f64 * GRID);
        }
        let changes: Vec<f64> = spans.windows(2).map(|p| p[1].start.0).collect();
        score.edges =
            edges(&truth.intervals).filter(|at| fair(*at)).map(|at| nearest(&changes, at)).collect();
        score
    }

    /// Counts a window; gives whether it is right.
    fn window(&mut self, truth: Loads, span: &Span) -> bool {
        let found = span.loads();
        for (count, load) in self.counts.iter_mut().zip(LOADS) {
            match (truth.has(load), found.has(load)) {
                (true, true) => count.0 += 1,
                (false, true) => count.1 += 1,
                (true, false) => count.2 += 1,
                (false, false) => {}
            }
        }
        // The dispenser is found beside the model, whose probability says nothing of it.
        let main = |loads: Loads| loads.with(Load::Dispenser, false);
        main(truth) == main(found)
    }

    /// Adds the counts of another.
    pub fn add(&mut self, other: Self) {
        for (a, b) in self.counts.iter_mut().zip(other.counts) {
            *a = (a.0 + b.0, a.1 + b.1, a.2 + b.2);
        }
        self.reliability.add(&other.reliability);
        self.edges.extend(other.edges);
    }

    /// F1 of each load; `None` where it never ran and was never found.
    #[must_use]
    pub fn f1(&self) -> [(Load, Option<f64>); LOADS.len()] {
        std::array::from_fn(|i| {
            let (hit, extra, missed) = self.counts[i];
            let all = 2 * hit + extra + missed;
            (LOADS[i], (all > 0).then(|| 2.0 * hit as f64 / all as f64))
        })
    }

    /// Of the distances of true edges from those found, the one below which `part` of them are.
    #[must_use]
    pub fn edge(&self, part: f64) -> Option<f64> {
        let mut edges = self.edges.clone();
        edges.sort_by(f32::total_cmp);
        edges.get((part * (edges.len().saturating_sub(1)) as f64).round() as usize).map(|&e| e.into())
    }
}

/// True edges: where a main load goes on or off, and stays so.
fn edges(truth: &[TruthInterval]) -> impl Iterator<Item = f64> + '_ {
    const MAIN: [Load; 4] = [Load::Heater, Load::WashPump, Load::DrainPump, Load::FillValve];
    let main = |i: &TruthInterval| MAIN.map(|load| i.loads.has(load));
    let lasts = |i: &TruthInterval| (i.end - i.start).0 >= SHORT;
    truth
        .windows(2)
        .filter(move |p| main(&p[0]) != main(&p[1]) && lasts(&p[0]) && lasts(&p[1]))
        .map(|p| p[1].start.0)
}

fn nearest(sorted: &[f64], at: f64) -> f32 {
    let next = sorted.partition_point(|c| *c < at);
    let near = [next.checked_sub(1), Some(next)].into_iter().flatten().filter_map(|i| sorted.get(i));
    near.map(|c| (c - at).abs()).fold(FAR, f64::min) as f32
}
