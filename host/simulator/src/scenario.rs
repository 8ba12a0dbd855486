//! What happens in a kitchen while nobody watches.

use rand::rand_core::SeedableRng;
use rand::{RngExt, seq::SliceRandom};
use strum::VariantArray;
use tubtrace_units::{Celsius, Seconds};

use crate::machine::{Adaptation, Appliance, Fault, Trouble};
use crate::random::Random;

/// One run of the machine.
#[derive(Clone, Copy, Debug)]
pub struct Plan {
    /// Idle time before it.
    pub idle: Seconds,
    /// What the control adapts.
    pub adaptation: Adaptation,
    /// What is wrong from the idle time before to the end of the run.
    pub trouble: Option<Trouble>,
}

/// A night: a machine and its runs.
#[derive(Clone, Debug)]
pub struct Night {
    /// The seed of every random choice.
    pub seed: u64,
    /// The machine that runs in it.
    pub appliance: Appliance,
    /// The runs of the machine, in order.
    pub plans: Vec<Plan>,
    /// Idle time after the last.
    pub rest: Seconds,
}

impl Night {
    /// The night of `tubtrace demo`: a machine on 120 V that "sometimes" fails. Three healthy runs, each adapted in its own
    /// way (a longer hold, an added rinse, a row of purges), and three that fail.
    #[must_use]
    pub fn demo(seed: u64) -> Self {
        let plain = Adaptation { prewash_purge: false, purges: 1, extra_rinse: false, warmer: Celsius(0.0) };
        let plan = |minutes: f64, adaptation, fault: Option<Fault>| Plan {
            idle: Seconds(minutes * 60.0),
            adaptation,
            trouble: fault.map(Trouble::from),
        };
        let [first, second, third] = shown(seed);
        let plans = vec![
            plan(12.0, Adaptation { warmer: Celsius(3.0), ..plain }, None),
            plan(25.0, plain, Some(first)),
            plan(38.0, Adaptation { extra_rinse: true, purges: 2, ..plain }, None),
            plan(19.0, plain, Some(second)),
            plan(31.0, Adaptation { prewash_purge: true, purges: 3, ..plain }, None),
            plan(22.0, Adaptation { purges: 2, ..plain }, Some(third)),
        ];
        Self { seed, appliance: Appliance::on_120_volts(), plans, rest: Seconds(900.0) }
    }

    /// So many healthy runs, as `learn` wants them.
    #[must_use]
    pub fn healthy(seed: u64, appliance: Appliance, runs: usize) -> Self {
        let mut random = Random::seed_from_u64(seed);
        let plans = (0..runs).map(|_| Plan { trouble: None, ..Plan::draw(&mut random) }).collect();
        Self { seed, appliance, plans, rest: Seconds(900.0) }
    }

    /// A healthy run and one with each of `faults`, in any order.
    #[must_use]
    pub fn with_faults(seed: u64, appliance: Appliance, faults: &[Fault]) -> Self {
        let mut random = Random::seed_from_u64(seed);
        let mut plans: Vec<_> = std::iter::once(None)
            .chain(faults.iter().copied().map(|f| Some(Trouble::from(f))))
            .map(|trouble| Plan { trouble, ..Plan::draw(&mut random) })
            .collect();
        plans.shuffle(&mut random);
        Self { seed, appliance, plans, rest: Seconds(900.0) }
    }
}

/// The faults of the demo's night: of the first seed always the same, of others drawn from what a technician meets.
fn shown(seed: u64) -> [Fault; 3] {
    const COMMON: [Fault; 12] = [
        Fault::SlowFill,
        Fault::NoHeat,
        Fault::NoDrainFlow,
        Fault::WeakElement,
        Fault::DrainOpen,
        Fault::SlowDrain,
        Fault::SiphonsOut,
        Fault::PumpWontStart,
        Fault::PumpOpen,
        Fault::PumpStarved,
        Fault::FlowsBack,
        Fault::StopsHalfway,
    ];
    let mut faults = COMMON;
    if seed != 1 {
        faults.shuffle(&mut Random::seed_from_u64(seed));
    }
    [faults[0], faults[1], faults[2]]
}

/// A case of the score: any machine in any kitchen, good runs to learn from, and a night to judge.
#[derive(Clone, Debug)]
pub struct Case {
    /// A night of healthy runs, to learn from.
    pub good: Night,
    /// As many healthy runs as troubled ones, in any order. Empty cells come last, for nothing comes after them.
    pub night: Night,
}

/// Runs to learn from, and of either sort to judge.
const GOOD: usize = 8;
const OF_EACH: usize = 2;

impl Case {
    /// All of it comes from the seed.
    #[must_use]
    pub fn draw(seed: u64) -> Self {
        let mut random = Random::seed_from_u64(seed);
        let appliance = Appliance::draw(&mut random);
        let mut good = Night::healthy(random.random(), appliance.clone(), GOOD);
        // Short idle times: the levels of a machine are learned from its runs.
        good.plans.iter_mut().for_each(|p| p.idle = Seconds(660.0));
        let mut faults = Fault::VARIANTS.to_vec();
        faults.shuffle(&mut random);
        let mut plans: Vec<Plan> = (0..2 * OF_EACH)
            .map(|i| {
                let severity = random.random_range(0.0..=1.0);
                let trouble = (i < OF_EACH).then(|| Trouble { fault: faults[i], severity });
                Plan { trouble, ..Plan::draw(&mut random) }
            })
            .collect();
        plans.shuffle(&mut random);
        plans.sort_by_key(|p| p.trouble.is_some_and(|t| t.fault == Fault::BatteryDied));
        let night = Night { seed: random.random(), appliance, plans, rest: Seconds(900.0) };
        Self { good, night }
    }
}

impl Plan {
    fn draw(random: &mut Random) -> Self {
        let idle = Seconds(random.random_range(900.0..2_400.0));
        Self { idle, adaptation: Adaptation::draw(random), trouble: None }
    }
}
