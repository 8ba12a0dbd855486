//! What happens in a kitchen while nobody watches.

use rand::rand_core::SeedableRng;
use rand::{RngExt, seq::SliceRandom};
use tubtrace_units::{Celsius, Seconds};

use crate::Random;
use crate::machine::{Adaptation, Appliance, Fault};

/// One run of the machine.
#[derive(Clone, Copy, Debug)]
pub struct Plan {
    /// Idle time before it.
    pub idle: Seconds,
    /// What the control adapts.
    pub adaptation: Adaptation,
    /// What is wrong with the machine from the idle time before to the end of the run.
    pub fault: Option<Fault>,
}

/// A night: a machine and its runs.
#[derive(Clone, Debug)]
pub struct Night {
    /// Of every random choice.
    pub seed: u64,
    /// The machine.
    pub appliance: Appliance,
    /// Its runs.
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
        let plan =
            |minutes: f64, adaptation, fault| Plan { idle: Seconds(minutes * 60.0), adaptation, fault };
        let plans = vec![
            plan(12.0, Adaptation { warmer: Celsius(3.0), ..plain }, None),
            plan(25.0, plain, Some(Fault::SlowFill)),
            plan(38.0, Adaptation { extra_rinse: true, purges: 2, ..plain }, None),
            plan(19.0, plain, Some(Fault::NoHeat)),
            plan(31.0, Adaptation { prewash_purge: true, purges: 3, ..plain }, None),
            plan(22.0, Adaptation { purges: 2, ..plain }, Some(Fault::NoDrainFlow)),
        ];
        Self { seed, appliance: Appliance::on_120_volts(), plans, rest: Seconds(900.0) }
    }

    /// So many healthy runs, as `learn` wants them.
    #[must_use]
    pub fn healthy(seed: u64, appliance: Appliance, runs: usize) -> Self {
        let mut random = Random::seed_from_u64(seed);
        let plans = (0..runs).map(|_| Plan { fault: None, ..Plan::draw(&mut random) }).collect();
        Self { seed, appliance, plans, rest: Seconds(900.0) }
    }

    /// A healthy run and one with each of `faults`, in any order.
    #[must_use]
    pub fn with_faults(seed: u64, appliance: Appliance, faults: &[Fault]) -> Self {
        let mut random = Random::seed_from_u64(seed);
        let mut plans: Vec<_> = std::iter::once(None)
            .chain(faults.iter().copied().map(Some))
            .map(|fault| Plan { fault, ..Plan::draw(&mut random) })
            .collect();
        plans.shuffle(&mut random);
        Self { seed, appliance, plans, rest: Seconds(900.0) }
    }
}

impl Plan {
    fn draw(random: &mut Random) -> Self {
        let idle = Seconds(random.random_range(900.0..2_400.0));
        Self { idle, adaptation: Adaptation::draw(random), fault: None }
    }
}
