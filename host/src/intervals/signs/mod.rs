//! Signs: what a trace shows of a cycle beside its intervals. How pumps start, whether they run steadily, whether the hose
//! falls silent when it should, whether the mains sags. Measured here; what is out of order, the findings say.

mod look;

use tubtrace_units::{Load, Seconds};

pub(super) use look::read;

/// Something at a time, with a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sign {
    /// When, from the first sample of the log.
    pub at: Seconds,
    /// How long it lasts.
    pub lasts: Seconds,
    /// What was measured; what it is, the field of [`Signs`] says.
    pub value: f64,
}

/// The signs of a cycle.
#[derive(Clone, Debug, Default)]
pub struct Signs {
    /// Runs of the wash pump from a standstill: `lasts` is how long it drew more than half again its running power.
    pub starts: Vec<Sign>,
    /// The same runs: `value` is how often it went off and on in the first seconds.
    pub chatter: Vec<Sign>,
    /// The wash pump stands still between two washes: from less than a second to minutes.
    pub rests: Vec<Sign>,
    /// Runs of the wash pump alone: `value` is the spread of its power from the tenth to the ninetieth percentile,
    /// divided by its median.
    pub spread: Vec<Sign>,
    /// Stretches in washing or heating in which power is lower than in the rest of the same interval, and washes that draw
    /// less than the others of the cycle: `value` is what is left.
    pub sags: Vec<Sign>,
    /// Drains: `value` is how much of the time water was heard in the hose.
    pub emptying: Vec<Sign>,
    /// Level in the drain hose when nothing is heard there, in counts.
    pub quiet_hose: Option<f64>,
    /// Right after a drain: `value` is the level in the drain hose over that of a quiet one.
    pub after_drain: Vec<Sign>,
    /// The second half of fills: `value` is the level in the drain hose over that of a quiet one.
    pub hose_in_fills: Vec<Sign>,
    /// Holds: `value` is how often the heater went off and came again.
    pub heater_cycles: Vec<Sign>,
    /// Fills by current: `value` is the level in the supply line over that from which on it flows.
    pub fills_heard: Vec<Sign>,
    /// Ends of fills: `value` is the loudest level in the supply line as the valve shuts, in counts.
    pub knocks: Vec<Sign>,
    /// Waters without purges whose volume heat gives: `value` is how much came in a minute of filling, litres; `lasts` the filling.
    pub inflows: Vec<Sign>,
    /// Expanded uncertainty of each, likewise.
    pub inflow_uncertainty: f64,
    /// Water is heard and no current is drawn, for `lasts` in all.
    pub unpowered_flow: Option<Sign>,
    /// Part of the cycle in which each temperature clip read nothing.
    pub clip_silent: [f64; 2],
    /// How often the dispenser was on.
    pub dispenses: u32,
    /// Clips that no longer move with the water while the other one does.
    pub clip_still: Vec<&'static str>,
    /// How many times what other runs draw this one draws, where that is too much for the same clamp.
    pub out_of_scale: Option<f64>,
    /// What stays on beside fills and drains that have no use for it, and for how long in all.
    pub stays_on: Option<(Load, Sign)>,
    /// The current was at the end of the clamp's range for so long.
    pub clipped: Seconds,
    /// The drain pump ran for so long at a stretch.
    pub longest_drain: Seconds,
}

/// Stops shorter than this are a dip or a loose contact, longer ones somebody at the door.
const SHORT_STOP: Seconds = Seconds(32.0);

/// What is left in a sag of the mains, and not of a pump at another speed or off: more than this.
const SAG_AT_LEAST: f64 = 0.6;

/// Of several signs the one in the middle.
fn middle(signs: &[Sign], of: fn(&Sign) -> f64) -> Option<Sign> {
    let mut sorted = signs.to_vec();
    sorted.sort_by(|a, b| of(a).total_cmp(&of(b)));
    sorted.get(sorted.len() / 2).copied()
}

impl Signs {
    /// How the wash pump starts, by how long it takes.
    #[must_use]
    pub fn typical_start(&self) -> Option<Sign> {
        middle(&self.starts, |s| s.lasts.0)
    }

    /// The same, by how often it goes off and on.
    #[must_use]
    pub fn typical_switching(&self) -> Option<Sign> {
        middle(&self.chatter, |s| s.value)
    }

    /// How its power wanders.
    #[must_use]
    pub fn typical_wander(&self) -> Option<Sign> {
        middle(&self.spread, |s| s.value)
    }

    /// The deepest sag.
    #[must_use]
    pub fn deepest_sag(&self) -> Option<Sign> {
        let sags = self.sags.iter().filter(|s| s.value > SAG_AT_LEAST);
        sags.min_by(|a, b| a.value.total_cmp(&b.value)).copied()
    }

    /// How much of a drain is heard.
    #[must_use]
    pub fn typical_emptying(&self) -> Option<Sign> {
        middle(&self.emptying, |s| s.value)
    }

    /// What is heard after a drain.
    #[must_use]
    pub fn typical_after_drain(&self) -> Option<Sign> {
        middle(&self.after_drain, |s| s.value)
    }

    /// What is heard in the hose while it fills.
    #[must_use]
    pub fn typical_hose(&self) -> Option<Sign> {
        middle(&self.hose_in_fills, |s| s.value)
    }

    /// How much water came in a minute.
    #[must_use]
    pub fn typical_inflow(&self) -> Option<Sign> {
        middle(&self.inflows, |s| s.value)
    }

    /// How the valve shuts.
    #[must_use]
    pub fn typical_knock(&self) -> Option<Sign> {
        middle(&self.knocks, |s| s.value)
    }

    /// The hold in which the heater came and went most often.
    #[must_use]
    pub fn most_heater_cycles(&self) -> Option<Sign> {
        self.heater_cycles.iter().max_by(|a, b| a.value.total_cmp(&b.value)).copied()
    }

    /// Stops of the wash pump of less than half a minute.
    #[must_use]
    pub fn short_stops(&self) -> Vec<Sign> {
        self.rests.iter().filter(|r| r.lasts < SHORT_STOP).copied().collect()
    }

    /// And of more.
    #[must_use]
    pub fn long_stops(&self) -> Vec<Sign> {
        self.rests.iter().filter(|r| r.lasts >= SHORT_STOP).copied().collect()
    }
}
