//! The faults that a recording can have, and how strongly.

use crate::rng::Rng;

/// A fault that a machine can have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    NoHeat,
    HalfHeat,
    WeakHeat,
    SlowFill,
    NoFill,
    LongDrain,
    DrainDead,
    NeverEmpties,
    CutOff,
    Restarted,
    DrainStaysOn,
    HeaterStaysOn,
    WeakWash,
    WashStalls,
    AddedRinse,
    MissingRinse,
    DispenserStuck,
    VentStuckOpen,
    RelayChatters,
}

/// Every fault, with the name that stands for it in arguments and in the truth.
pub const FAULTS: [(&str, Fault); 19] = [
    ("no-heat", Fault::NoHeat),
    ("half-heat", Fault::HalfHeat),
    ("weak-heat", Fault::WeakHeat),
    ("slow-fill", Fault::SlowFill),
    ("no-fill", Fault::NoFill),
    ("long-drain", Fault::LongDrain),
    ("drain-dead", Fault::DrainDead),
    ("never-empties", Fault::NeverEmpties),
    ("cut-off", Fault::CutOff),
    ("restarted", Fault::Restarted),
    ("drain-stays-on", Fault::DrainStaysOn),
    ("heater-stays-on", Fault::HeaterStaysOn),
    ("weak-wash", Fault::WeakWash),
    ("wash-stalls", Fault::WashStalls),
    ("added-rinse", Fault::AddedRinse),
    ("missing-rinse", Fault::MissingRinse),
    ("dispenser-stuck", Fault::DispenserStuck),
    ("vent-stuck-open", Fault::VentStuckOpen),
    ("relay-chatters", Fault::RelayChatters),
];

impl Fault {
    /// The fault of a name.
    pub fn named(name: &str) -> Option<Fault> {
        FAULTS.iter().find(|(n, _)| *n == name).map(|(_, f)| *f)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        FAULTS.iter().find(|(_, f)| *f == self).map_or("?", |(n, _)| n)
    }

    /// Whether it happens to one cycle of a day rather than to all of them.
    pub fn once(self) -> bool {
        matches!(
            self,
            Fault::CutOff
                | Fault::Restarted
                | Fault::DrainStaysOn
                | Fault::HeaterStaysOn
                | Fault::AddedRinse
                | Fault::MissingRinse
        )
    }
}

/// A fault as drawn for a run of days: how strong and of which sort.
#[derive(Clone, Copy, Debug)]
pub struct Trouble {
    pub fault: Fault,
    /// From 0, noticeable, to 1, plain.
    pub severity: f64,
    /// Which of two sorts of it.
    pub other_sort: bool,
    /// The point of the cycle, 0 to 1, or the choice among several.
    pub place: f64,
}

impl Trouble {
    /// Draw the strength and the sort by seed.
    pub fn draw(fault: Fault, seed: u64) -> Trouble {
        let mut r = Rng::stream(seed, fault.name(), 0, 0);
        Trouble { fault, severity: r.unit(), other_sort: r.chance(0.5), place: r.unit() }
    }

    /// A value that goes from noticeable to plain with the severity.
    pub fn between(&self, noticeable: f64, plain: f64) -> f64 {
        noticeable + (plain - noticeable) * self.severity
    }
}
