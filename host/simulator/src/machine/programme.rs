//! The programme: what the control does, and what it adapts.

use rand::RngExt;
use serde::{Deserialize, Serialize};
use tubtrace_units::{Celsius, Litres, Seconds};

use super::upset::upset;
use super::{Appliance, Trouble};
use crate::Random;

/// One step of the control.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Valve open until there is this much water, or time is up.
    Fill(Litres, Seconds),
    /// Wash pump for so long.
    Wash(Seconds),
    /// Wash pump and dispenser.
    Dispense(Seconds),
    /// Wash pump and heater until the water is this warm, or time is up: the thermal hold.
    Hold(Celsius, Seconds),
    /// 10 s with the wash pump running: drain pump and fill valve for 5 s, then the fill valve alone for 5 s. Common
    /// practice, no source.
    Purge,
    /// Drain pump for so long.
    Drain(Seconds),
    /// Heater, no water.
    DryHeat(Seconds),
    /// Vent, no water.
    Vent(Seconds),
    /// Nothing.
    Pause(Seconds),
}

/// What a healthy control adapts from cycle to cycle.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct Adaptation {
    /// Whether the prewash is purged.
    pub prewash_purge: bool,
    /// Purges in the main wash.
    pub purges: u8,
    /// Whether a rinse is added.
    pub extra_rinse: bool,
    /// Added to the temperature that ends the main hold: heavy soil.
    pub warmer: Celsius,
}

impl Adaptation {
    /// Any of them.
    pub fn draw(random: &mut Random) -> Self {
        Self {
            prewash_purge: random.random_bool(0.3),
            purges: random.random_range(1..=3),
            extra_rinse: random.random_bool(0.4),
            warmer: Celsius(if random.random_bool(0.3) { 3.0 } else { 0.0 }),
        }
    }
}

/// How long the control of this machine does what, and how many waters it takes.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    /// Washing in the first water, before and after where a purge may come.
    pub prewash: [Seconds; 2],
    /// Washing in the main water: before the dispenser, while it opens, and after.
    pub main: [Seconds; 3],
    /// Washing before each purge, and after the last.
    pub purge_every: Seconds,
    /// Likewise.
    pub tail: Seconds,
    /// Rinses between the main water and the last one.
    pub rinses: u8,
    /// Washing in a rinse.
    pub rinse: Seconds,
    /// Washing in the last water: before the dispenser, while it opens, and after the hold.
    pub last: [Seconds; 3],
    /// Draining.
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

/// The longest that the control waits for water, and for heat.
const FILL_LIMIT: Seconds = Seconds(330.0);
const HOLD_LIMIT: Seconds = Seconds(1_500.0);

/// The steps of one cycle.
#[must_use]
pub fn programme(
    appliance: &Appliance,
    adaptation: &Adaptation,
    trouble: Option<Trouble>,
    random: &mut Random,
) -> Vec<Step> {
    let pace = appliance.pace;
    let fill = Step::Fill(appliance.fill, FILL_LIMIT);
    let drain = Step::Drain(pace.drain);
    let hold = |until| Step::Hold(until, HOLD_LIMIT);

    let mut steps = vec![fill];
    if adaptation.prewash_purge {
        steps.extend([Step::Wash(pace.prewash[0]), Step::Purge, Step::Wash(pace.prewash[1])]);
    } else {
        steps.push(Step::Wash(pace.prewash[0] + pace.prewash[1] + Seconds(10.0)));
    }
    steps.push(drain);
    let [before, dispense, after] = pace.main;
    steps.extend([fill, Step::Wash(before), Step::Dispense(dispense), Step::Wash(after)]);
    steps.push(hold(appliance.holds[0] + adaptation.warmer));
    for _ in 0..adaptation.purges {
        steps.extend([Step::Wash(pace.purge_every), Step::Purge]);
    }
    let unpurged = f64::from(3 - adaptation.purges);
    steps.extend([Step::Wash(pace.tail + pace.purge_every * unpurged), drain]);
    for _ in 0..pace.rinses + u8::from(adaptation.extra_rinse) {
        steps.extend([fill, Step::Wash(pace.rinse), drain]);
    }
    let [before, dispense, after] = pace.last;
    steps.extend([fill, Step::Wash(before), Step::Dispense(dispense)]);
    steps.extend([hold(appliance.holds[1]), Step::Wash(after), drain]);
    steps.extend([Step::DryHeat(pace.dry[0]), Step::Vent(pace.dry[1])]);
    match trouble {
        Some(trouble) => upset(steps, trouble, random),
        None => steps,
    }
}
