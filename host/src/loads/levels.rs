//! The levels of this machine, from its own trace.
//!
//! Wide bands of what is common come first; the levels that occur in the trace are tried in them, in every way that keeps
//! their order, and the reading under which the whole trace makes most sense wins. So 60 W is a drain pump where
//! something runs at 130 W for half an hour, and a wash pump where nothing does.

use tubtrace_units::Watts;

use super::lattice::Lattice;
use super::observe::Observation;
use super::state::State;
use super::{emission, median};
use crate::trace::Trace;

/// Common levels, and the standard deviation of their logarithm. Common practice, no source.
const FILL: (f64, f64) = (11.0, 0.3);
const DRAIN: (f64, f64) = (33.0, 0.45);
const WASH: (f64, f64) = (100.0, 0.5);

/// Outside these there is no such load. Common practice, no source.
const FILL_BAND: (f64, f64) = (6.0, 30.0);
const DRAIN_BAND: (f64, f64) = (10.0, 120.0);
const WASH_BAND: (f64, f64) = (30.0, 600.0);

/// A vent, a fan or a wax motor; not learned, since nothing tells them from each other.
const SMALL: f64 = 8.0;

/// Candidates that are looked at more closely.
const SETTLED: usize = 6;

/// Power above which a load that lasts can only be a heater.
const HEATER_AT_LEAST: f64 = 400.0;

/// The heater of this machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heater {
    /// What the machine draws while it heats.
    pub level: Watts,
    /// Half of that: above, the heater is on.
    pub threshold: Watts,
}

/// Levels of flow noise between silence and flow, counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Supply pickup.
    pub supply: f64,
    /// Drain pickup.
    pub drain: f64,
    /// Drain pickup: the wash pump runs above this, if it can be told.
    pub pump: Option<f64>,
}

/// The levels of a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// With everything off.
    pub standby: Watts,
    /// The fill valve alone.
    pub fill: Watts,
    /// The drain pump alone.
    pub drain: Watts,
    /// The wash pump alone.
    pub wash: Watts,
    /// The heater, if there was any heating.
    pub heater: Option<Heater>,
    /// Pickups, if there are any.
    pub flow: Option<Flow>,
}

impl Levels {
    /// Power in a state below the heater's.
    #[must_use]
    pub fn of(&self, state: State) -> f64 {
        let above = match state {
            State::Off => 0.0,
            State::Fill => self.fill.0,
            State::Drain => self.drain.0,
            State::Small => SMALL,
            State::Wash | State::Surge | State::Heat | State::DryHeat | State::PartHeat => self.wash.0,
            State::Purge => self.wash.0 + self.drain.0 + self.fill.0,
            State::TopUp => self.wash.0 + self.fill.0,
            State::Flush => self.wash.0 + self.drain.0,
            State::Dispense => self.wash.0 + 0.5 * self.fill.0,
        };
        self.standby.0 + above
    }

    /// Whether so much may be a pump that starts or stalls rather than a heater.
    #[must_use]
    pub fn may_surge(&self, power: Watts) -> bool {
        self.heater.is_none_or(|h| power.0 < 0.8 * h.level.0) && power.0 > 2.2 * self.wash.0
    }

    /// The levels under which the trace makes most sense.
    #[must_use]
    pub fn learn(trace: &Trace, observations: &[Observation], states: &[State]) -> Self {
        let heater = heater(observations);
        let start = Self {
            standby: standby(observations),
            fill: Watts(FILL.0),
            drain: Watts(DRAIN.0),
            wash: Watts(WASH.0),
            heater,
            flow: flow(trace, observations),
        };
        let peaks = peaks(observations, &start);
        let mut ranked: Vec<(Self, f64)> = candidates(&start, &peaks)
            .into_iter()
            .map(|candidate| (candidate, candidate.path(observations, states).1 + candidate.prior()))
            .collect();
        ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
        // The best few settle on what they find before they are compared: a peak is only near its level.
        let settled = ranked.into_iter().take(SETTLED).map(|(mut levels, _)| {
            for _ in 0..2 {
                let (path, _) = levels.path(observations, states);
                levels = levels.refined(observations, &path);
            }
            let (path, fit) = levels.path(observations, states);
            let score = fit + levels.prior() - entropy(&levels.posterior(observations, states));
            (levels, wash_prevails(observations, &path), score)
        });
        let better = |a: &(Self, bool, f64), b: &(Self, bool, f64)| a.1.cmp(&b.1).then(a.2.total_cmp(&b.2));
        settled.max_by(better).map_or(start, |best| best.0)
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
            let values = observations.iter().zip(path).filter(|(_, s)| **s == state);
            median(values.filter_map(|(o, _)| Some((of(o)?, o.duration().0))))
        };
        let power = |o: &Observation| Some(o.power.0);
        let above = |state, otherwise: Watts, (least, most): (f64, f64)| {
            assigned(state, &power)
                .map_or(otherwise, |level| Watts((level - self.standby.0).clamp(least, most)))
        };
        self.fill = above(State::Fill, self.fill, FILL_BAND);
        self.drain = above(State::Drain, self.drain, DRAIN_BAND).max(self.fill * 1.1);
        self.wash = above(State::Wash, self.wash, WASH_BAND).max(self.drain * 1.2);
        if let Some(flow) = &mut self.flow {
            let drain = |o: &Observation| o.detail.map(|d| d.drain.0);
            let (off, wash) = (assigned(State::Off, &drain), assigned(State::Wash, &drain));
            flow.pump =
                off.zip(wash).filter(|(off, wash)| *wash > 2.0 * off.max(0.5)).map(|(o, w)| (o * w).sqrt());
        }
        self
    }

    fn prior(&self) -> f64 {
        let of = |level: Watts, (common, spread): (f64, f64)| {
            let z = (level.0 / common).ln() / spread;
            -0.5 * z * z
        };
        // Two that have run into each other are one load read as two.
        let merged =
            if self.drain.0 < 1.3 * self.fill.0 || self.wash.0 < 1.5 * self.drain.0 { 8.0 } else { 0.0 };
        of(self.fill, FILL) + of(self.drain, DRAIN) + of(self.wash, WASH) - merged
    }
}

/// The emissions of each stretch without a gap: nothing is inferred across one.
fn pieces(levels: &Levels, observations: &[Observation], states: &[State]) -> Vec<Vec<Vec<f64>>> {
    let of = |o: &Observation| states.iter().map(|&s| emission::log_likelihood(levels, o, s)).collect();
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

fn heater(observations: &[Observation]) -> Option<Heater> {
    let hot = observations.iter().filter(|o| o.power.0 > HEATER_AT_LEAST);
    let time: f64 = hot.clone().map(|o| o.duration().0).sum();
    let level = median(hot.map(|o| (o.power.0, o.duration().0)))?;
    // A stalled pump passes the level too, but never for long.
    (time > 20.0).then_some(Heater { level: Watts(level), threshold: Watts(level / 2.0) })
}

fn standby(observations: &[Observation]) -> Watts {
    let idle = observations.iter().filter(|o| o.power.0 < 6.0);
    Watts(median(idle.map(|o| (o.power.0, o.duration().0))).unwrap_or(0.0))
}

/// Thresholds of the pickups. The board's own fills say what flow sounds like; what is heard most of the time is not it.
fn flow(trace: &Trace, observations: &[Observation]) -> Option<Flow> {
    if !trace.has_pickups() {
        return None;
    }
    let quiet = |of: &dyn Fn(&Observation) -> f64| {
        median(observations.iter().map(|o| (of(o), o.duration().0))).unwrap_or(1.0).max(1.0)
    };
    let (supply_quiet, drain_quiet) =
        (quiet(&|o| o.detail.map_or(0.0, |d| d.supply.0)), quiet(&|o| o.detail.map_or(0.0, |d| d.drain.0)));
    let fills = trace.fills.iter().map(|f| (f.level.0, (f.end - f.start).0));
    let loudest = trace.fills.iter().map(|f| f.level.0).fold(0.0, f64::max);
    let fill = median(fills.filter(|(level, _)| *level > 0.3 * loudest)).unwrap_or(10.0 * supply_quiet);
    // Draining takes a few minutes of an hour: the loudest fiftieth of the time in which anything runs.
    let mut busy: Vec<(f64, f64)> = observations
        .iter()
        .filter(|o| o.power.0 > 8.0)
        .filter_map(|o| Some((o.detail?.drain.0, o.duration().0)))
        .collect();
    busy.sort_by(|a, b| b.0.total_cmp(&a.0));
    let total: f64 = busy.iter().map(|b| b.1).sum();
    let mut passed = 0.0;
    let loud = busy.iter().find(|(_, time)| {
        passed += time;
        passed > total / 50.0
    });
    let drain = loud.map_or(10.0 * drain_quiet, |l| l.0);
    Some(Flow {
        supply: (supply_quiet * fill).sqrt().max(2.0 * supply_quiet),
        // Between a pump heard through the frame and water: nearer to the water.
        drain: (drain_quiet * drain * drain).cbrt().max(3.0 * drain_quiet),
        pump: None,
    })
}

/// Levels that occur below the heater's: the peaks of a smoothed histogram of log-power, weighted by time, of which
/// one stretch counts half a minute at most so that short loads are seen beside long ones.
fn peaks(observations: &[Observation], levels: &Levels) -> Vec<f64> {
    const STEP: f64 = 0.02;
    const WIDTH: f64 = 0.10;
    const FROM: f64 = 4.0;
    let ceiling = levels.heater.map_or(HEATER_AT_LEAST, |h| h.threshold.0);
    let points: Vec<(f64, f64)> = observations
        .iter()
        .map(|o| (o.power.0 - levels.standby.0, o.duration().0.min(30.0)))
        .filter(|(w, _)| (FROM..ceiling).contains(w))
        .map(|(w, t)| (w.ln(), t))
        .collect();
    let bins = ((ceiling / FROM).ln() / STEP) as usize + 1;
    let at = |bin: usize| FROM.ln() + bin as f64 * STEP;
    let density: Vec<f64> = (0..bins)
        .map(|b| points.iter().map(|(x, t)| t * (-0.5 * ((x - at(b)) / WIDTH).powi(2)).exp()).sum())
        .collect();
    let mut peaks: Vec<usize> = (1..bins.saturating_sub(1))
        .filter(|&b| density[b] > 2.0 && density[b] >= density[b - 1] && density[b] > density[b + 1])
        .collect();
    peaks.sort_by(|&a, &b| density[b].total_cmp(&density[a]));
    peaks.truncate(8);
    peaks.iter().map(|&b| at(b).exp()).collect()
}

/// Every way to read the peaks as fill, drain and wash that keeps their order, with the common level for what may
/// not occur.
fn candidates(start: &Levels, peaks: &[f64]) -> Vec<Levels> {
    let or_common = |common: f64| peaks.iter().copied().chain([common]).collect::<Vec<_>>();
    let mut candidates = vec![*start];
    for &wash in peaks {
        for drain in or_common(DRAIN.0).into_iter().filter(|d| d * 1.4 < wash) {
            for fill in or_common(FILL.0).into_iter().filter(|f| f * 1.2 < drain) {
                let (fill, drain, wash) = (Watts(fill), Watts(drain), Watts(wash));
                candidates.push(Levels { fill, drain, wash, ..*start });
            }
        }
    }
    candidates
}
