//! The levels of this machine, from its own trace.
//!
//! Wide bands of what is common come first; the levels that occur in the trace are tried in them, in every way that keeps
//! their order, and the reading under which the whole trace makes most sense wins. So 60 W is a drain pump where
//! something runs at 130 W for half an hour, and a wash pump where nothing does.

use tubtrace_units::Watts;

use super::constants::{
    CANDIDATES_SETTLED, CLAMP_SPREAD, COMMON_DRAIN, COMMON_FILL, COMMON_WASH, DRAIN_BAND, FILL_BAND,
    LEVEL_FROM, MERGED, MERGED_COSTS, ODD_SHARES, POWER_METER_SPREAD, PUMP_HEARD, REFINED_APART, RUNS_ABOVE,
    STEADY_SEGMENT, WASH_BAND,
};
use super::emission::{self, Heard};
use super::first_look;
use super::lattice::Lattice;
use super::levels::Levels;
use super::median;
use super::observe::Observation;
use super::state::State;
use crate::trace::{Meter, Noise, Trace};

impl Levels {
    /// The levels under which the trace makes most sense.
    #[must_use]
    pub fn learn(trace: &Trace, observations: &[Observation], states: &[State]) -> Self {
        let steady = steady(observations);
        let observations = steady.as_deref().unwrap_or(observations);
        let start = Self {
            meter: match trace.meter {
                Meter::Power => POWER_METER_SPREAD,
                Meter::Current => CLAMP_SPREAD,
            },
            standby: first_look::standby(observations),
            fill: Watts(COMMON_FILL.0),
            drain: Watts(COMMON_DRAIN.0),
            wash: Watts(COMMON_WASH.0),
            heater: first_look::heater(observations),
            flow: first_look::flow(trace, observations),
        };
        let peaks = first_look::peaks(observations, &start);
        let mut ranked: Vec<(Self, f64)> = first_look::candidates(&start, &peaks)
            .into_iter()
            .map(|candidate| (candidate, candidate.path(observations, states).1 + candidate.prior()))
            .collect();
        ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
        // The best few settle on what they find before they are compared: a peak is only near its level.
        let settled = ranked.into_iter().take(CANDIDATES_SETTLED).map(|(mut levels, _)| {
            for _ in 0..2 {
                let (path, _) = levels.path(observations, states);
                levels = levels.refined(observations, &path);
            }
            let (path, fit) = levels.path(observations, states);
            let odd = if wash_prevails(observations, &path) { 0.0 } else { ODD_SHARES };
            let score = fit + levels.prior() - odd - entropy(&levels.posterior(observations, states));
            (levels, score)
        });
        settled.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(start, |best| best.0)
    }

    /// The best path of states under these levels.
    #[must_use]
    pub fn path(&self, observations: &[Observation], states: &[State]) -> (Vec<State>, f64) {
        let (mut path, mut fit) = (Vec::with_capacity(observations.len()), 0.0);
        let (initial, transition) = State::grammar(states);
        for emissions in pieces(self, observations, states) {
            let lattice = Lattice { initial: &initial, transition: &transition, emissions: &emissions };
            let (piece, score) = lattice.best_path();
            path.extend(piece.into_iter().map(|s| states[s]));
            fit += score;
        }
        (path, fit)
    }

    /// For each observation the probability of each state.
    #[must_use]
    pub fn posterior(&self, observations: &[Observation], states: &[State]) -> Vec<Vec<f64>> {
        let (initial, transition) = State::grammar(states);
        pieces(self, observations, states)
            .iter()
            .flat_map(|emissions| {
                Lattice { initial: &initial, transition: &transition, emissions }.posterior()
            })
            .collect()
    }

    /// The levels as the medians of what a path assigns to them.
    fn refined(mut self, observations: &[Observation], path: &[State]) -> Self {
        let assigned = |state: State, of: &dyn Fn(&Observation) -> Option<f64>| {
            let own = observations.iter().zip(path).filter(|(_, s)| **s == state).map(|(o, _)| o);
            // A few readings in the middle of changes are no level.
            let time: f64 = own.clone().map(|o| o.duration().0).sum();
            let values = own.filter_map(|o| Some((of(o)?, o.duration().0)));
            (time >= LEVEL_FROM).then(|| median(values)).flatten()
        };
        let power = |o: &Observation| Some(o.power.0);
        let above = |state, otherwise: Watts, (least, most): (f64, f64)| {
            assigned(state, &power)
                .map_or(otherwise, |level| Watts((level - self.standby.0).clamp(least, most)))
        };
        self.fill = above(State::Fill, self.fill, FILL_BAND);
        self.drain = above(State::Drain, self.drain, DRAIN_BAND).max(self.fill * REFINED_APART.0);
        self.wash = above(State::Wash, self.wash, WASH_BAND).max(self.drain * REFINED_APART.1);
        if let Some(flow) = &mut self.flow {
            let drain = |o: &Observation| o.detail.map(|d| d.drain.0);
            let (off, wash) = (assigned(State::Off, &drain), assigned(State::Wash, &drain));
            flow.pump = off
                .zip(wash)
                .filter(|(off, wash)| *wash > PUMP_HEARD.0 * off.max(PUMP_HEARD.1))
                .map(|(o, w)| Noise((o * w).sqrt()));
        }
        self
    }

    fn prior(&self) -> f64 {
        let of = |level: Watts, (common, spread): (f64, f64)| {
            let z = (level.0 / common).ln() / spread;
            -0.5 * z * z
        };
        // Two that have run into each other are one load read as two.
        let merged = if self.drain.0 < MERGED.0 * self.fill.0 || self.wash.0 < MERGED.1 * self.drain.0 {
            MERGED_COSTS
        } else {
            0.0
        };
        of(self.fill, COMMON_FILL) + of(self.drain, COMMON_DRAIN) + of(self.wash, COMMON_WASH) - merged
    }
}

/// The observations that last, where they are most of the time in which anything runs. A pump that draws air makes as many
/// observations in a minute as a steady one in an hour, and would make its own level that of the machine.
fn steady(observations: &[Observation]) -> Option<Vec<Observation>> {
    let lasts = |o: &&Observation| o.duration().0 >= STEADY_SEGMENT;
    let busy = |o: &&Observation| o.power.0 > RUNS_ABOVE;
    let time = |of: &dyn Fn(&&Observation) -> bool| -> f64 {
        observations.iter().filter(busy).filter(|o| of(o)).map(|o| o.duration().0).sum()
    };
    (time(&lasts) > 0.5 * time(&|_| true)).then(|| observations.iter().filter(lasts).copied().collect())
}

/// The emissions of each stretch without a gap: nothing is inferred across one.
fn pieces(levels: &Levels, observations: &[Observation], states: &[State]) -> Vec<Vec<Vec<f64>>> {
    let of = |o: &Observation| {
        let heard = Heard::of(levels, o);
        states.iter().map(|&s| emission::log_likelihood(levels, o, heard.as_ref(), s)).collect()
    };
    observations.chunk_by(|_, next| !next.after_gap).map(|piece| piece.iter().map(of).collect()).collect()
}

/// How much is left open: a reading under which much could be something else is not the right one. Likelihood less
/// entropy is the integrated completed likelihood of Biernacki, Celeux and Govaert (IEEE Transactions on Pattern Analysis
/// and Machine Intelligence 22, 2000).
fn entropy(posterior: &[Vec<f64>]) -> f64 {
    posterior.iter().flatten().filter(|p| **p > 0.0).map(|p| -p * p.ln()).sum()
}

/// Whether the wash pump runs for a fair part of the time: no programme fills and drains for more than twice as long as
/// it washes without heat. Common practice, no source.
fn wash_prevails(observations: &[Observation], path: &[State]) -> bool {
    let time = |wanted: &[State]| -> f64 {
        observations.iter().zip(path).filter(|(_, s)| wanted.contains(s)).map(|(o, _)| o.duration().0).sum()
    };
    2.0 * time(&[State::Wash]) > time(&[State::Fill, State::Drain])
}
