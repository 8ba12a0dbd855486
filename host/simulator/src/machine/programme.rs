//! The programme: what the control does, and what it adapts.

use rand::RngExt;
use tubtrace_units::{Celsius, Litres, Seconds};

use super::{Appliance, Fault};
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
#[derive(Clone, Copy, Debug)]
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

/// The steps of one cycle.
#[must_use]
pub fn programme(appliance: &Appliance, adaptation: &Adaptation, fault: Option<Fault>) -> Vec<Step> {
    let fill = Step::Fill(appliance.fill, Seconds(330.0));
    let drain = Step::Drain(Seconds(62.0));
    let wash = |s| Step::Wash(Seconds(s));
    let hold = |until| Step::Hold(until, Seconds(1_500.0));
    let purges = if fault == Some(Fault::NoPurge) { 0 } else { adaptation.purges };

    let mut steps = vec![fill];
    if adaptation.prewash_purge && fault != Some(Fault::NoPurge) {
        steps.extend([wash(130.0), Step::Purge, wash(120.0)]);
    } else {
        steps.push(wash(260.0));
    }
    steps.push(drain);
    steps.extend([fill, wash(35.0), Step::Dispense(Seconds(28.0)), wash(120.0)]);
    steps.push(hold(appliance.holds[0] + adaptation.warmer));
    for _ in 0..purges {
        steps.extend([wash(170.0), Step::Purge]);
    }
    steps.extend([wash(190.0 + 170.0 * f64::from(3 - adaptation.purges)), drain]);
    for _ in 0..1 + u8::from(adaptation.extra_rinse) {
        steps.extend([fill, wash(150.0), drain]);
    }
    steps.extend([fill, wash(40.0), Step::Dispense(Seconds(15.0))]);
    steps.extend([hold(appliance.holds[1]), wash(120.0), drain]);
    steps.extend([Step::DryHeat(Seconds(420.0)), Step::Vent(Seconds(300.0))]);

    if fault == Some(Fault::StopAndRestart) {
        let stop = steps.iter().position(|s| matches!(s, Step::Hold(..))).map_or(0, |i| i + 1);
        let mut stopped = steps[..stop].to_vec();
        stopped.extend([wash(95.0), Step::Pause(Seconds(240.0)), Step::Drain(Seconds(45.0))]);
        stopped.extend(steps);
        steps = stopped;
    }
    steps
}
