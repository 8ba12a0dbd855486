//! Load signatures of one machine, learned from its own trace.
//!
//! The levels that occur in the trace are taken for fill valve, drain pump and wash pump in every way, the wash pump also with several
//! speeds. Each such hypothesis has the evidence of the whole trace under the Markov chain, in which the order and the length of what comes says more
//! than any level: so 60 W is a drain pump where something runs at 130 W for half an hour, and a wash pump where nothing does. None is
//! dropped for the best: all that are about as probable have their say in how sure a state is (J. A. Hoeting and others, Bayesian Model Averaging,
//! Statistical Science 14, 1999).

use std::ops::Range;
use std::rc::Rc;

use tubtrace_units::{Seconds, Watts};

use super::chain::Chain;
use super::columns::Columns;
use super::constants::learning::{
    CANDIDATES_DRAIN_APART, CANDIDATES_SETTLED, CANDIDATES_TRIED, CLAMP_SPREAD, COMMON_DRAIN,
    COMMON_DRAIN_SPREAD, COMMON_FILL, COMMON_FILL_SPREAD, COMMON_WASH, COMMON_WASH_SPREAD, DRAIN_LEAST,
    DRAIN_MOST, EVIDENCE_COUNTS, FILL_HEARD_LEAST, FILL_LEAST, FILL_MOST, LEVEL_FROM, LEVELS_ALIKE,
    POWER_FACTOR_LEAST, POWER_METER_SPREAD, PUMP_HEARD, PUMP_UNHEARD_AT_LEAST, RUNS_ABOVE, SEVERAL_SPEEDS,
    STEADY_SEGMENT, WASH_LEAST, WASH_MOST,
};
use super::hmm::Hmm;
use super::initial;
use super::segment::Segment;
use super::signatures::{Flow, Signatures, Small};
use super::state::State;
use crate::stats::weighted_median;
use crate::trace::{Meter, Noise, Trace};

/// What the loads of a machine may draw, with the probability that they do.
#[derive(Clone, Debug)]
pub(super) struct Hypothesis {
    /// The levels.
    pub(super) signatures: Signatures,
    /// Its probability among the hypotheses.
    pub(super) probability: f64,
}

/// Hypotheses of what the loads draw, the most probable first; at least one.
pub(super) fn hypotheses(trace: &Trace, segments: &[Segment], states: &[State]) -> Vec<Hypothesis> {
    let steady = steady(segments);
    let segments = steady.as_deref().unwrap_or(segments);
    let flow = initial::flow(trace, segments);
    let found = searched(trace, segments, flow, states);
    if found.is_empty() {
        return vec![Hypothesis { signatures: start(trace, segments, flow), probability: 1.0 }];
    }
    weighed(found.into_iter().map(|(s, weight)| (s, weight + s.prior(trace.meter))).collect())
}

/// What is common, with what is known before any state is.
pub(super) fn start(trace: &Trace, segments: &[Segment], flow: Option<Flow>) -> Signatures {
    Signatures {
        meter: match trace.meter {
            Meter::Power => POWER_METER_SPREAD.get(),
            Meter::Current => CLAMP_SPREAD.get(),
        },
        standby: initial::idle(segments).unwrap_or_default(),
        fill: Watts(COMMON_FILL.get()),
        drain: Watts(COMMON_DRAIN.get()),
        wash: Watts(COMMON_WASH.get()),
        speeds: None,
        given: false,
        small: Some(Small::common()),
        heater: initial::heater(segments),
        flow,
    }
}

/// Levels that explain these segments, found among all that occur in them, each with the logarithm of its weight as evidence; none, where
/// nothing runs.
pub(super) fn searched(
    trace: &Trace,
    segments: &[Segment],
    flow: Option<Flow>,
    states: &[State],
) -> Vec<(Signatures, f64)> {
    let start = start(trace, segments, flow);
    let heard = initial::heard(segments, &start);
    let mut model = Model::new(segments, states, trace.resolution);
    let mut ranked = Vec::new();
    for start in initial::with_or_without_heater(start) {
        let peaks = initial::peaks(segments, &start);
        let few = model.ranked(initial::candidates(&start, &peaks, heard), trace.meter);
        let speeds = initial::with_speeds(&initial::without_wash(&few), &peaks);
        ranked.extend(few.into_iter().chain(model.ranked(speeds, trace.meter)));
    }
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
    // The best few are refined before they are compared: a peak of the histogram is only near the level.
    let mut settled: Vec<(Signatures, f64)> = Vec::new();
    let mut tried = 0;
    for (candidate, _) in ranked {
        if settled.len() >= CANDIDATES_SETTLED.get() || tried >= CANDIDATES_TRIED.get() {
            break;
        }
        if settled.iter().any(|(other, _)| candidate.is_like(other)) {
            continue;
        }
        tried += 1;
        let ways = initial::with_heater(&candidate).into_iter().map(|way| (way, model.best_score(&way)));
        let Some((way, _)) = ways.max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        let signatures = (0..2).fold(way, |s, _| s.refined(segments, &model.path(&s)));
        let better = (signatures, model.weight(&signatures));
        let told_apart = better.0.fill * CANDIDATES_DRAIN_APART.get() < better.0.drain.min(better.0.wash);
        if told_apart && settled.iter().all(|(other, _)| !better.0.is_like(other)) {
            settled.push(better);
        }
    }
    settled
}

/// Levels with the logarithms of their weights as hypotheses, the most probable first.
pub(super) fn weighed(mut found: Vec<(Signatures, f64)>) -> Vec<Hypothesis> {
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    let best = found.first().map_or(0.0, |f| f.1);
    let weight = |of: f64| (of - best).exp();
    let all: f64 = found.iter().map(|f| weight(f.1)).sum();
    found
        .into_iter()
        .map(|(signatures, of)| Hypothesis { signatures, probability: weight(of) / all })
        .collect()
}

/// The Markov chain on some segments, under any signatures.
pub(super) struct Model<'a> {
    segments: &'a [Segment],
    states: &'a [State],
    chain: Chain,
    columns: Columns<'a>,
    /// Indices of the segments of each stretch without a gap: nothing is inferred across one.
    pieces: Vec<Range<usize>>,
}

impl<'a> Model<'a> {
    /// The chain of these states on these segments of readings so far apart.
    pub(super) fn new(segments: &'a [Segment], states: &'a [State], resolution: Seconds) -> Self {
        let mut from = 0;
        let piece = |piece: &[Segment]| {
            let range = from..from + piece.len();
            from = range.end;
            range
        };
        let pieces = segments.chunk_by(|_, next| !next.after_gap).map(piece).collect();
        let (chain, columns) = (Chain::of(states, resolution), Columns::new(segments));
        Self { segments, states, chain, columns, pieces }
    }

    fn emissions(&mut self, signatures: &Signatures) -> Vec<f64> {
        let columns = self.columns.of(signatures, self.states);
        let of_states: Vec<&[f32]> = columns.iter().map(Rc::as_ref).collect();
        let emissions = self.chain.emissions(self.segments, &of_states);
        self.columns.spare();
        emissions
    }

    /// What the model is of each piece.
    fn models<'b>(&'b self, emissions: &'b [f64]) -> impl Iterator<Item = Hmm<'b>> {
        let places = self.chain.places.len();
        self.pieces.iter().map(move |p| self.chain.model(&emissions[p.start * places..p.end * places]))
    }

    /// Candidates with the log-probability of their best path and of themselves, the best first.
    fn ranked(&mut self, candidates: Vec<Signatures>, meter: Meter) -> Vec<(Signatures, f64)> {
        let score = |candidate: Signatures| (candidate, self.best_score(&candidate) + candidate.prior(meter));
        let mut ranked: Vec<(Signatures, f64)> = candidates.into_iter().map(score).collect();
        ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
        ranked
    }

    /// Log-probability of the best path.
    pub(super) fn best_score(&mut self, signatures: &Signatures) -> f64 {
        let emissions = self.emissions(signatures);
        self.models(&emissions).map(|m| m.best_score()).sum()
    }

    /// Most likely state of each segment.
    pub(super) fn path(&mut self, signatures: &Signatures) -> Vec<State> {
        self.scored_path(signatures).0
    }

    /// Likewise, with the log-probability of that path.
    pub(super) fn scored_path(&mut self, signatures: &Signatures) -> (Vec<State>, f64) {
        let emissions = self.emissions(signatures);
        let (mut states, mut score) = (Vec::with_capacity(self.segments.len()), 0.0);
        for (path, of_piece) in self.models(&emissions).map(|m| m.best_path()) {
            states.extend(path.into_iter().map(|place| self.chain.places[place].state()));
            score += of_piece;
        }
        (states, score)
    }

    /// What the likelihood of all segments counts between hypotheses, as a logarithm.
    pub(super) fn weight(&mut self, signatures: &Signatures) -> f64 {
        let emissions = self.emissions(signatures);
        let likelihood: f64 = self.models(&emissions).map(|m| m.likelihood()).sum();
        likelihood * EVIDENCE_COUNTS.get()
    }

    /// Adds for each segment the probability of each of the states under these signatures, which are so probable themselves, one segment
    /// after another.
    pub(super) fn add_posterior(&mut self, signatures: &Signatures, probable: f64, sum: &mut [f64]) {
        let emissions = self.emissions(signatures);
        let mut segments = sum.chunks_exact_mut(self.states.len());
        for model in self.models(&emissions) {
            let (places, _) = model.posterior();
            for (of_place, of_state) in places.chunks_exact(self.chain.places.len()).zip(&mut segments) {
                of_place.iter().zip(&self.chain.state_of).for_each(|(p, &s)| of_state[s] += probable * p);
            }
        }
    }
}

impl Signatures {
    /// Re-estimates the signatures: each is the median of the segments that a path assigns to its load.
    pub(super) fn refined(mut self, segments: &[Segment], path: &[State]) -> Self {
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
        // What is heard to fill or to drain may draw anything.
        let (least, most) = match self.flow {
            Some(_) => (FILL_HEARD_LEAST.get(), WASH_MOST.get()),
            None => (FILL_LEAST.get(), DRAIN_MOST.get()),
        };
        self.fill = above(State::Fill, self.fill, (least, FILL_MOST.get()));
        self.drain = above(State::Drain, self.drain, (DRAIN_LEAST.get(), most));
        self.wash = above(State::Wash, self.wash, (WASH_LEAST.get(), WASH_MOST.get()));
        let pump = self.fastest();
        if let Some(heater) = &mut self.heater {
            let (level, dry) = (assigned(State::Heat, &power), assigned(State::DryHeat, &power));
            heater.level = level.map(Watts).or(dry.map(|dry| Watts(dry) + pump)).unwrap_or(heater.level);
            heater.dry = dry.map(Watts).unwrap_or(heater.level - pump);
            heater.threshold = heater.level * 0.5;
        }
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

    /// With what the drain pickup hears of the wash pump on this path, and all levels as they are.
    pub(super) fn hearing(self, segments: &[Segment], path: &[State]) -> Self {
        Self { flow: self.refined(segments, path).flow, ..self }
    }

    /// Log-probability of these signatures before the trace is seen: how common they are. A clamp gives volt-amperes, of which the watts are a part, and
    /// currents that are not in phase add up to less than their sum: by twice that of the smaller, which is what is always on.
    pub(super) fn prior(&self, meter: Meter) -> f64 {
        let of = |level: Watts, (common, spread): (f64, f64)| {
            let (least, most) = match meter {
                Meter::Power => (level.0, level.0),
                Meter::Current => (POWER_FACTOR_LEAST.get() * level.0, level.0 + 2.0 * self.standby.0),
            };
            let z = (common.clamp(least, most) / common).ln() / spread;
            -0.5 * z * z
        };
        of(self.fill, (COMMON_FILL.get(), COMMON_FILL_SPREAD.get()))
            + of(self.drain, (COMMON_DRAIN.get(), COMMON_DRAIN_SPREAD.get()))
            + of(self.wash, (COMMON_WASH.get(), COMMON_WASH_SPREAD.get()))
            + if self.speeds.is_some() { SEVERAL_SPEEDS.get() } else { 1.0 - SEVERAL_SPEEDS.get() }.ln()
    }

    /// Whether others have nearly the same levels.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let like = |a: Watts, b: Watts| (a.0 / b.0).ln().abs() < LEVELS_ALIKE.get();
        let speeds = match (self.speeds, other.speeds) {
            (None, None) => true,
            (Some(a), Some(b)) => like(a.0, b.0) && like(a.1, b.1),
            _ => false,
        };
        like(self.fill, other.fill) && like(self.drain, other.drain) && like(self.wash, other.wash) && speeds
    }
}

/// The segments that last, if they make up most of the time in which anything runs. A pump that draws air gives as many segments in a
/// minute as a steady one in an hour, and its fluctuation would be learned as a level.
pub(super) fn steady(segments: &[Segment]) -> Option<Vec<Segment>> {
    let lasts = |o: &&Segment| o.duration().0 >= STEADY_SEGMENT.get();
    let busy = |o: &&Segment| o.power.0 > RUNS_ABOVE.get();
    let time = |of: &dyn Fn(&&Segment) -> bool| -> f64 {
        segments.iter().filter(busy).filter(|o| of(o)).map(|o| o.duration().0).sum()
    };
    (time(&lasts) > 0.5 * time(&|_| true)).then(|| segments.iter().filter(lasts).copied().collect())
}
