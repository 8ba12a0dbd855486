//! What a fault of the logger's own clips does to what they read, from a moment in the cycle on.

use rand::RngExt;
use tubtrace_units::Seconds;

use crate::machine::{Fault, STEP, Trouble};
use crate::random::Random;

/// The effects of a fault of the clips, or of none.
#[derive(Debug, Default)]
pub(super) struct ClipFaultEffects {
    trouble: Option<Trouble>,
    when: Seconds,
    /// Since the trouble was brought about.
    now: Seconds,
    /// Which of two clips.
    which: usize,
}

impl ClipFaultEffects {
    pub fn of(trouble: Trouble, random: &mut Random) -> Self {
        let when = Seconds(random.random_range(1_800.0..4_500.0));
        Self { trouble: Some(trouble), when, now: Seconds(0.0), which: random.random_range(0..2) }
    }

    /// Ten milliseconds pass.
    pub fn pass(&mut self) {
        self.now += STEP;
    }

    fn has(&self, fault: Fault) -> Option<Trouble> {
        self.trouble.filter(|t| t.fault == fault)
    }

    fn since(&self, fault: Fault) -> bool {
        self.has(fault).is_some() && self.now > self.when
    }

    /// What the clamp makes of the current, as a multiple.
    pub fn clamp(&self) -> f32 {
        if self.since(Fault::ClampFellOff) {
            return 0.0;
        }
        if let Some(trouble) = self.has(Fault::ClampOnTwo) {
            return trouble.between(0.03, 0.005) as f32;
        }
        self.has(Fault::ClampSaturated).map_or(1.0, |t| t.between(4.0, 8.0) as f32)
    }

    /// What a pickup makes of what there is to hear.
    pub fn pickup(&self, which: usize) -> f32 {
        match self.has(Fault::PickupLoose) {
            Some(trouble) if which == self.which && self.now > self.when => trouble.between(0.1, 0.02) as f32,
            _ => 1.0,
        }
    }

    /// Whether a temperature clip hangs in the air.
    pub fn clip_is_off(&self, which: usize) -> bool {
        which == self.which && self.since(Fault::ClipFellOff)
    }

    /// Whether a thermistor's lead is broken.
    pub fn is_open(&self, which: usize) -> bool {
        which == self.which && self.since(Fault::SensorOpen)
    }

    pub fn battery_is_empty(&self) -> bool {
        self.since(Fault::BatteryDied)
    }
}
