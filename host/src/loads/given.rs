//! Levels that a machine's file gives, weighed against a machine that has changed: each run of a trace by itself, so that what is said of one
//! does not depend on what else is in its log.
//!
//! Either the loads draw what the file says, or one of them has changed, or nothing in the file holds, for it is another machine or another
//! clamp. A load that is given and not seen stays as it is given: what another load draws is no evidence of it.

use tubtrace_units::Watts;

use super::constants::given::{CHANGED, DOUBTED, EXPLAINS, HEATER_APART, MAINS_COUNTS, MAINS_MOVES, OTHER};
use super::constants::learning::{
    DRAIN_LEAST, DRAIN_MOST, EVIDENCE_COUNTS, FILL_LEAST, FILL_MOST, RUNS_ABOVE, WASH_LEAST, WASH_MOST,
};
use super::draws::{Drawn, Draws};
use super::emission::fits;
use super::initial;
use super::learning::{Hypothesis, Model, searched, start, steady, weighed};
use super::segment::Segment;
use super::signatures::{Flow, Heater, Signatures, Small};
use super::state::State;
use crate::trace::Trace;

/// Hypotheses of what the loads draw in a run, the most probable first, at least one; and what each load draws by itself under that. A run
/// that is not `metered` like the others says nothing of levels.
pub(super) fn hypotheses(
    known: &Draws,
    trace: &Trace,
    (run, metered): (&[Segment], bool),
    flow: Option<Flow>,
    states: &[State],
) -> (Vec<Hypothesis>, Signatures) {
    let steady = steady(run);
    let segments = steady.as_deref().unwrap_or(run);
    let volts = trace.nominal.volts;
    let own = start(trace, segments, flow);
    let mut model = Model::new(segments, states, trace.resolution);
    // A control that sleeps draws less than one that is awake, so what is idle may be either.
    let (idle, awake) = (initial::idle(segments), known.watts(Drawn::Standby, volts));
    let other = |awake: &Watts| idle.is_none_or(|idle| (idle - *awake).0.abs() > own.meter.0);
    let seen = idle.into_iter().chain(awake.filter(other));
    let standbys = if idle.or(awake).is_some() { seen.collect() } else { vec![own.standby] };
    let moves = mains_moves(known);
    let with = |standby: Watts| known.signatures(Signatures { standby, ..own }, volts);
    let heaters = standbys.into_iter().flat_map(|standby| with_its_heater(&with(standby), own.heater, moves));
    let mut ways: Vec<Way> =
        heaters.map(|(signatures, prior)| Way::of(&mut model, signatures, prior)).collect();
    ways.sort_by(|a, b| b.likely().total_cmp(&a.likely()));
    let (best, others) = ways.split_first().expect("a run is idle at some level");
    let given = best.signatures.hearing(segments, &best.path);
    let explains = explained(&given, segments, &best.path);
    let is_the_file = !metered || explains >= EXPLAINS.get();
    // Whether the heater is on with the pump or without may be in doubt, and is nothing else that the file does not say.
    let doubted =
        others.iter().find(|w| w.signatures.heater != given.heater && best.over(w) < DOUBTED.get().ln());
    if doubted.is_none() && is_the_file {
        return (vec![Hypothesis { signatures: given, probability: 1.0 }], given);
    }
    let mut tried = vec![(given, model.weight(&given) + best.prior)];
    if let Some(other) = doubted {
        let other_heater = other.signatures.hearing(segments, &other.path);
        tried.push((other_heater, model.weight(&other_heater) + other.prior));
    }
    if is_the_file {
        return (weighed(tried), given);
    }
    // Another small load than was seen.
    let vented = Signatures { small: Some(Small::common()), ..given };
    if vented != given {
        tried.push((vented, model.weight(&vented) + CHANGED.get().ln()));
    }
    let beside = beside(&mut model, &given, segments);
    let loads = [Changed::Fill, Changed::Drain, Changed::Wash];
    let mut ways: Vec<Signatures> =
        loads.into_iter().filter_map(|load| changed(&mut model, &given, load, segments)).collect();
    ways.push(beside);
    for way in ways {
        // What explains less than the file is no change.
        let path = model.path(&way);
        if explained(&way, segments, &path) > explains {
            tried.push((way, model.weight(&way) + CHANGED.get().ln()));
        }
    }
    let others = searched(trace, segments, flow, states).into_iter();
    tried.extend(others.map(|(s, weight)| (s, weight + s.prior(trace.meter) + OTHER.get().ln())));
    let hypotheses = weighed(tried);
    let best = hypotheses[0].signatures;
    let levels = if best.is_like(&beside) { given } else { best };
    (hypotheses, levels)
}

/// Levels with something small that stays on beside all else, as far as it shows: no level has changed then, and the overlay is looked for later.
fn beside(model: &mut Model, given: &Signatures, segments: &[Segment]) -> Signatures {
    let common = Small::common();
    let near = |watts: &f64| (watts - common.level.0).abs() < common.spread.0;
    let seen = initial::peaks(segments, given).into_iter().map(|p| p - given.fill.0).filter(near);
    let with = |small: f64| {
        let small = Watts(small);
        let (fill, drain, wash) = (given.fill + small, given.drain + small, given.wash + small);
        Signatures { fill, drain, wash, ..*given }
    };
    let tried = seen.chain([common.level.0]).map(with).map(|s| (model.best_score(&s), s));
    tried.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(*given, |best| best.1)
}

/// Part of the time in which anything runs that has the level of the state on this path.
fn explained(given: &Signatures, segments: &[Segment], path: &[State]) -> f64 {
    let busy = segments.iter().zip(path).filter(|(o, _)| o.power.0 > given.standby.0 + RUNS_ABOVE.get());
    let (mut all, mut fit) = (0.0, 0.0);
    for (segment, &state) in busy {
        let lasts = segment.duration().0;
        all += lasts;
        fit += if fits(given, segment, state) { lasts } else { 0.0 };
    }
    if all > 0.0 { fit / all } else { 1.0 }
}

/// One way in which the loads may draw what the file says.
struct Way {
    signatures: Signatures,
    /// Logarithm of how probable it is before the run is seen.
    prior: f64,
    path: Vec<State>,
    /// Log-probability of the path.
    score: f64,
}

impl Way {
    fn of(model: &mut Model, signatures: Signatures, prior: f64) -> Self {
        let (path, score) = model.scored_path(&signatures);
        Self { signatures, prior, path, score }
    }

    fn likely(&self) -> f64 {
        self.score + self.prior
    }

    /// Logarithm of its odds over another, as evidence counts between hypotheses.
    fn over(&self, other: &Self) -> f64 {
        (self.score - other.score) * EVIDENCE_COUNTS.get() + self.prior - other.prior
    }
}

/// Standard deviation of the logarithm of a machine's heater, from run to run: what was seen of it, and what is common, which counts for as many runs
/// as its constant says.
fn mains_moves(known: &Draws) -> f64 {
    let heater = known.get(Drawn::HeaterInWater).or_else(|| known.get(Drawn::HeaterInAir));
    let (own, seen) = heater.map_or((0.0, 0.0), |h| (h.spread.0 / h.amps.0, f64::from(h.seen)));
    let (common, counts) = (MAINS_MOVES.get(), MAINS_COUNTS.get());
    ((own * own * seen + common * common * counts) / (seen + counts)).sqrt()
}

/// With the heater as the run has it, whose power is far from all else and moves with the mains: it is on with the wash pump, or without, and what comes
/// before and after says which. Each with the logarithm of how probable it is that the mains `moves` it by so much.
fn with_its_heater(file: &Signatures, seen: Option<Heater>, moves: f64) -> Vec<(Signatures, f64)> {
    let Some(seen) = seen else { return vec![(*file, 0.0)] };
    let (level, pump) = (seen.level, file.fastest());
    if let Some(given) = file.heater {
        let by_mains = |of: Watts| {
            let ratio = level.0 / of.0;
            let (level, dry) = (given.level * ratio, given.dry * ratio);
            let heater = Some(Heater { level, dry, threshold: level * 0.5 });
            let z = ratio.ln() / moves;
            (ratio.ln().abs() < HEATER_APART.get()).then(|| (Signatures { heater, ..*file }, -0.5 * z * z))
        };
        let ways: Vec<(Signatures, f64)> =
            [given.level, given.dry].into_iter().filter_map(by_mains).collect();
        if !ways.is_empty() {
            return ways;
        }
    }
    let wet = Heater { level, dry: level - pump, ..seen };
    let dry = Heater { level: level + pump, dry: level, ..seen };
    [wet, dry].map(|heater| (Signatures { heater: Some(heater), ..*file }, 0.0)).to_vec()
}

/// A load that draws something else than its file says.
#[derive(Clone, Copy)]
enum Changed {
    Fill,
    Drain,
    Wash,
}

impl Changed {
    fn range(self) -> (f64, f64) {
        match self {
            Self::Fill => (FILL_LEAST.get(), FILL_MOST.get()),
            Self::Drain => (DRAIN_LEAST.get(), DRAIN_MOST.get()),
            Self::Wash => (WASH_LEAST.get(), WASH_MOST.get()),
        }
    }

    fn with(self, of: &Signatures, level: Watts) -> Signatures {
        match self {
            Self::Fill => Signatures { fill: level, ..*of },
            Self::Drain => Signatures { drain: level, ..*of },
            Self::Wash => Signatures { wash: level, speeds: None, ..*of },
        }
    }

    fn of(self, of: &Signatures) -> Watts {
        match self {
            Self::Fill => of.fill,
            Self::Drain => of.drain,
            Self::Wash => of.wash,
        }
    }
}

/// The likeliest level that a load has changed to, all others as they are given.
fn changed(model: &mut Model, given: &Signatures, load: Changed, segments: &[Segment]) -> Option<Signatures> {
    let (least, most) = load.range();
    let peaks = initial::peaks(segments, given).into_iter().filter(|p| (least..=most).contains(p));
    let candidates: Vec<Signatures> = peaks.map(|p| load.with(given, Watts(p))).collect();
    let told = |c: &Signatures| c.fill.0 < c.drain.0.min(c.wash.0);
    let best = candidates.into_iter().filter(told).map(|c| (c, model.best_score(&c)));
    let (best, _) = best.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let level = load.of(&best.refined(segments, &model.path(&best)));
    Some(load.with(&best, level))
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Amps;

    use super::*;
    use crate::loads::by_hand::{DRAIN, FILL, STANDBY, WASH, trace};
    use crate::loads::{Draw, Drawn, ScaledTrace};

    /// What the machine by hand draws, at 230 V.
    fn file() -> Draws {
        let drawn = [
            (Drawn::Standby, STANDBY),
            (Drawn::FillValve, FILL),
            (Drawn::DrainPump, DRAIN),
            (Drawn::WashPump, WASH),
            (Drawn::HeaterInWater, 1_798.0),
        ];
        let draw = |watts: f64| Draw { amps: Amps(watts / 230.0), spread: Amps(0.0), seen: 3 };
        drawn.into_iter().map(|(of, watts)| (of, draw(watts))).collect()
    }

    /// The likeliest levels in a run of three waters whose loads draw so much.
    fn likeliest(fill: f64, drain: f64, wash: f64) -> Signatures {
        let water = [
            (60, STANDBY + fill),
            (600, STANDBY + wash),
            (300, 1_700.0 + wash),
            (60, STANDBY + drain),
            (30, STANDBY),
        ];
        let readings = [&[(900, STANDBY)], &water.repeat(3)[..], &[(900, STANDBY)]].concat();
        let trace = trace(&readings);
        let scaled = ScaledTrace::of(&trace);
        hypotheses(&file(), &trace, (&scaled.segments, true), None, State::BY_POWER).1
    }

    fn levels(of: &Signatures) -> [f64; 3] {
        [of.fill.0, of.drain.0, of.wash.0].map(f64::round)
    }

    #[test]
    fn a_machine_that_draws_what_its_file_says_is_read_by_it() {
        assert_eq!(levels(&likeliest(FILL, DRAIN, WASH)), [FILL, DRAIN, WASH]);
        assert_eq!(levels(&likeliest(1.05 * FILL, 0.95 * DRAIN, 1.05 * WASH)), [FILL, DRAIN, WASH]);
    }

    #[test]
    fn a_load_that_is_not_seen_stays_as_it_is_given() {
        assert_eq!(levels(&likeliest(FILL, 0.0, WASH)), [FILL, DRAIN, WASH]);
    }

    #[test]
    fn a_load_that_has_changed_is_learned_and_the_others_stay() {
        let [fill, drain, wash] = levels(&likeliest(FILL, DRAIN, 0.5 * WASH));
        assert_eq!([fill, drain], [FILL, DRAIN]);
        assert!((wash - 0.5 * WASH).abs() < 5.0, "{wash}");
    }

    #[test]
    fn another_machine_is_learned_as_if_there_were_no_file() {
        let [fill, drain, wash] = levels(&likeliest(20.0, 55.0, 180.0));
        assert!(
            (fill - 20.0).abs() < 3.0 && (drain - 55.0).abs() < 6.0 && (wash - 180.0).abs() < 15.0,
            "{fill} {drain} {wash}"
        );
    }

    #[test]
    fn a_heater_is_that_of_the_run_and_the_file_says_whether_it_is_in_water() {
        let heater = likeliest(FILL, DRAIN, WASH).heater.unwrap();
        assert!((heater.level.0 - 1_800.0).abs() < 1.0 && (heater.dry.0 - 1_700.0).abs() < 2.0, "{heater:?}");
    }

    #[test]
    fn at_a_low_mains_a_heater_between_two_washes_is_beside_the_pump() {
        let mut file = file();
        file = file
            .iter()
            .chain([(Drawn::HeaterInAir, Draw { amps: Amps(1_700.0 / 230.0), spread: Amps(0.3), seen: 3 })])
            .collect();
        // With the pump it draws, at 0.97 of the nominal volts, less than it would alone at the nominal.
        let (wet, dry) = (1_798.0 * 0.94, 1_700.0 * 0.94);
        let water = [
            (60, STANDBY + FILL),
            (600, STANDBY + WASH),
            (300, STANDBY + wet),
            (200, STANDBY + WASH),
            (60, STANDBY + DRAIN),
            (30, STANDBY),
        ];
        let readings = [&[(900, STANDBY)], &water.repeat(3)[..], &[(900, STANDBY)]].concat();
        let trace = trace(&readings);
        let scaled = ScaledTrace::of(&trace);
        let heater =
            hypotheses(&file, &trace, (&scaled.segments, true), None, State::BY_POWER).1.heater.unwrap();
        assert!((heater.level.0 - wet).abs() < 5.0 && (heater.dry.0 - dry).abs() < 5.0, "{heater:?}");
    }
}
