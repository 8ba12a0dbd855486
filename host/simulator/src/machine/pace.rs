//! How long a machine takes for each part of its programme.

use rand::RngExt;
use tubtrace_units::Seconds;

use crate::random::Random;

/// How long the control of this machine does what, and how many waters it takes.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    /// Washing in the first water, before and after where a purge may come.
    pub prewash: [Seconds; 2],
    /// Washing in the main water: before the dispenser, while it opens, and after.
    pub main: [Seconds; 3],
    /// Washing before each purge of the main water.
    pub purge_every: Seconds,
    /// Washing after the last purge of the main water.
    pub tail: Seconds,
    /// Rinses between the main water and the last one.
    pub rinses: u8,
    /// Washing in a rinse.
    pub rinse: Seconds,
    /// Washing in the last water: before the dispenser, while it opens, and after the hold.
    pub last: [Seconds; 3],
    /// How long the drain pump runs at the end of each water.
    pub drain: Seconds,
    /// Drying with heat, and with the vent alone.
    pub dry: [Seconds; 2],
}

impl Pace {
    /// That of the two invented machines.
    pub const USUAL: Self = Self {
        prewash: [Seconds(130.0), Seconds(120.0)],
        main: [Seconds(35.0), Seconds(28.0), Seconds(120.0)],
        purge_every: Seconds(170.0),
        tail: Seconds(190.0),
        rinses: 1,
        rinse: Seconds(150.0),
        last: [Seconds(40.0), Seconds(15.0), Seconds(120.0)],
        drain: Seconds(62.0),
        dry: [Seconds(420.0), Seconds(300.0)],
    };

    /// Any: five to nine waters, with the rinse that may be added.
    pub fn draw(random: &mut Random) -> Self {
        let mut about = |seconds: f64| Seconds((seconds * random.random_range(0.75_f64..1.4)).round());
        let usual = Self::USUAL;
        let [prewash, main, last, dry] = [
            [about(usual.prewash[0].0), about(usual.prewash[1].0), Seconds(0.0)],
            usual.main.map(|s| about(s.0)),
            usual.last.map(|s| about(s.0)),
            [about(usual.dry[0].0), about(usual.dry[1].0), Seconds(0.0)],
        ];
        let (purge_every, tail, rinse, drain) =
            (about(usual.purge_every.0), about(usual.tail.0), about(usual.rinse.0), about(usual.drain.0));
        Self {
            prewash: [prewash[0], prewash[1]],
            main,
            purge_every,
            tail,
            rinses: random.random_range(2..=5),
            rinse,
            last,
            drain,
            dry: [dry[0], dry[1]],
        }
    }
}
