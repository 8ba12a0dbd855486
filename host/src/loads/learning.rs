//! Load signatures of one machine, learned from its own trace.
//!
//! Wide bands of what is common come first; the levels that occur in the trace are tried in them, in every way that keeps
//! their order, and the reading under which the whole trace makes most sense wins. So 60 W is a drain pump where
//! something runs at 130 W for half an hour, and a wash pump where nothing does.

use tubtrace_units::Watts;

use super::constants::learning::{
    CANDIDATES_SETTLED, CLAMP_SPREAD, COMMON_DRAIN, COMMON_DRAIN_SPREAD, COMMON_FILL, COMMON_FILL_SPREAD,
    COMMON_WASH, COMMON_WASH_SPREAD, DRAIN_LEAST, DRAIN_MOST, FILL_LEAST, FILL_MOST, LEVEL_FROM,
    MERGED_COSTS, MERGED_DRAIN, MERGED_WASH, ODD_SHARES, POWER_METER_SPREAD, PUMP_HEARD,
    PUMP_UNHEARD_AT_LEAST, REFINED_DRAIN_APART, REFINED_WASH_APART, RUNS_ABOVE, STEADY_SEGMENT, WASH_LEAST,
    WASH_MOST,
};
use super::emission::{self, Heard};
use super::hmm::Hmm;
use super::initial;
use super::segment::Segment;
use super::signatures::Signatures;
use super::state::State;
use crate::stats::weighted_median;
use crate::trace::{Meter, Noise, Trace};

impl Signatures {
    /// Learns the signatures: of all candidates the one under which the trace is most likely and the least is left open.
    #[must_use]
    pub fn learn(trace: &Trace, segments: &[Segment], states: &[State]) -> Self {
        let steady = steady(segments);
        let segments = steady.as_deref().unwrap_or(segments);
        let start = Self {
            meter: match trace.meter {
                Meter::Power => POWER_METER_SPREAD.get(),
                Meter::Current => CLAMP_SPREAD.get(),
            },
            standby: initial::standby(segments),
            fill: Watts(COMMON_FILL.get()),
            drain: Watts(COMMON_DRAIN.get()),
            wash: Watts(COMMON_WASH.get()),
            heater: initial::heater(segments),
            flow: initial::flow(trace, segments),
        };
        let peaks = initial::peaks(segments, &start);
        let mut ranked: Vec<(Self, f64)> = initial::candidates(&start, &peaks)
            .into_iter()
            .map(|candidate| (candidate, candidate.path(segments, states).1 + candidate.prior()))
            .collect();
        ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
        // The best few are refined before they are compared: a peak of the histogram is only near the level.
        let settled = ranked.into_iter().take(CANDIDATES_SETTLED.get()).map(|(mut signatures, _)| {
            for _ in 0..2 {
                let (path, _) = signatures.path(segments, states);
                signatures = signatures.refined(segments, &path);
            }
            let (path, fit) = signatures.path(segments, states);
            let odd = if wash_prevails(segments, &path) { 0.0 } else { ODD_SHARES.get() };
            let score = fit + signatures.prior() - odd - entropy(&signatures.posterior(segments, states));
            (signatures, score)
        });
        settled.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(start, |best| best.0)
    }

    /// Most likely state of each segment under these signatures, and the log-likelihood of all of them.
    #[must_use]
    pub fn path(&self, segments: &[Segment], states: &[State]) -> (Vec<State>, f64) {
        let (mut path, mut fit) = (Vec::with_capacity(segments.len()), 0.0);
        let (initial, transition) = State::log_probabilities(states);
        for emissions in pieces(self, segments, states) {
            let hmm = Hmm { initial: &initial, transition: &transition, emissions: &emissions };
            let (piece, score) = hmm.best_path();
            path.extend(piece.into_iter().map(|s| states[s]));
            fit += score;
        }
        (path, fit)
    }

    /// For each segment the probability of each of `states`.
    #[must_use]
    pub fn posterior(&self, segments: &[Segment], states: &[State]) -> Vec<Vec<f64>> {
        let (initial, transition) = State::log_probabilities(states);
        pieces(self, segments, states)
            .iter()
            .flat_map(|emissions| Hmm { initial: &initial, transition: &transition, emissions }.posterior())
            .collect()
    }

    /// Re-estimates the signatures: each is the median of the segments that a path assigns to its load.
    fn refined(mut self, segments: &[Segment], path: &[State]) -> Self {
        let assigned = |state: State, of: &dyn Fn(&Segment) -> Option<f64>| {
            let own = segments.iter().zip(path).filter(|(_, s)| **s == state).map(|(o, _)| o);
            // A few readings in the middle of changes do not make a level.
            let time: f64 = own.clone().map(|o| o.duration().0).sum();
            let values = own.filter_map(|o| Some((of(o)?, o.duration().0)));
            (time >= LEVEL_FROM.get()).then(|| weighted_median(values)).flatten()
        };
        let power = |o: &Segment| Some(o.power.0);
        let above = |state, otherwise: Watts, (least, most): (f64, f64)| {
            assigned(state, &power)
                .map_or(otherwise, |level| Watts((level - self.standby.0).clamp(least, most)))
        };
        self.fill = above(State::Fill, self.fill, (FILL_LEAST.get(), FILL_MOST.get()));
        self.drain = above(State::Drain, self.drain, (DRAIN_LEAST.get(), DRAIN_MOST.get()))
            .max(self.fill * REFINED_DRAIN_APART.get());
        self.wash = above(State::Wash, self.wash, (WASH_LEAST.get(), WASH_MOST.get()))
            .max(self.drain * REFINED_WASH_APART.get());
        if let Some(flow) = &mut self.flow {
            let drain = |o: &Segment| o.detail.map(|d| d.drain.0);
            let (off, wash) = (assigned(State::Off, &drain), assigned(State::Wash, &drain));
            flow.pump = off
                .zip(wash)
                .filter(|(off, wash)| *wash > PUMP_HEARD.get() * off.max(PUMP_UNHEARD_AT_LEAST.get()))
                .map(|(o, w)| Noise((o * w).sqrt()));
        }
        self
    }

    /// Log-probability of these signatures before the trace is seen: how common they are.
    fn prior(&self) -> f64 {
        let of = |level: Watts, (common, spread): (f64, f64)| {
            let z = (level.0 / common).ln() / spread;
            -0.5 * z * z
        };
        // Two levels that are nearly equal are one load taken for two.
        let merged = if self.drain.0 < MERGED_DRAIN.get() * self.fill.0
            || self.wash.0 < MERGED_WASH.get() * self.drain.0
        {
            MERGED_COSTS.get()
        } else {
            0.0
        };
        of(self.fill, (COMMON_FILL.get(), COMMON_FILL_SPREAD.get()))
            + of(self.drain, (COMMON_DRAIN.get(), COMMON_DRAIN_SPREAD.get()))
            + of(self.wash, (COMMON_WASH.get(), COMMON_WASH_SPREAD.get()))
            - merged
    }
}

/// The segments that last, if they make up most of the time in which anything runs. A pump that draws air gives as many segments in a
/// minute as a steady one in an hour, and its fluctuation would be learned as a level.
fn steady(segments: &[Segment]) -> Option<Vec<Segment>> {
    let lasts = |o: &&Segment| o.duration().0 >= STEADY_SEGMENT.get();
    let busy = |o: &&Segment| o.power.0 > RUNS_ABOVE.get();
    let time = |of: &dyn Fn(&&Segment) -> bool| -> f64 {
        segments.iter().filter(busy).filter(|o| of(o)).map(|o| o.duration().0).sum()
    };
    (time(&lasts) > 0.5 * time(&|_| true)).then(|| segments.iter().filter(lasts).copied().collect())
}

/// Log-likelihoods of each segment in each state, separately for each stretch without a gap: nothing is inferred across one.
fn pieces(signatures: &Signatures, segments: &[Segment], states: &[State]) -> Vec<Vec<Vec<f64>>> {
    let of = |o: &Segment| {
        let heard = Heard::of(signatures, o);
        states.iter().map(|&s| emission::log_likelihood(signatures, o, heard.as_ref(), s)).collect()
    };
    segments.chunk_by(|_, next| !next.after_gap).map(|piece| piece.iter().map(of).collect()).collect()
}

/// Entropy of the states: how much is left open by these signatures. Likelihood less
/// entropy is the integrated completed likelihood of Biernacki, Celeux and Govaert (IEEE Transactions on Pattern Analysis
/// and Machine Intelligence 22, 2000).
fn entropy(posterior: &[Vec<f64>]) -> f64 {
    posterior.iter().flatten().filter(|p| **p > 0.0).map(|p| -p * p.ln()).sum()
}

/// Whether the wash pump runs for a fair part of the time: no programme fills and drains for more than twice as long as it
/// washes without heat. Common practice, no source.
fn wash_prevails(segments: &[Segment], path: &[State]) -> bool {
    let time = |wanted: &[State]| -> f64 {
        segments.iter().zip(path).filter(|(_, s)| wanted.contains(s)).map(|(o, _)| o.duration().0).sum()
    };
    2.0 * time(&[State::Wash]) > time(&[State::Fill, State::Drain])
}
