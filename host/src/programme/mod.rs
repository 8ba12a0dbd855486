//! The programme: which of a machine's programmes a cycle is of, if it is of any.

mod constants;
mod density;
mod familiar;
mod odds;
mod sibling;

use std::borrow::Cow;

use tubtrace_units::Seconds;

use constants::TOLD_AT;

pub(crate) use constants::ALL as CONSTANTS;
pub use odds::Odds;

use crate::alignment::{Explanation, explain, in_means};
use crate::chart::{Chart, Machine};
use crate::intervals::Cycle;

/// The programme that explains a cycle best.
#[derive(Clone, Debug)]
pub struct Recognised {
    /// As an index into those of the machine.
    pub programme: usize,
    /// How it explains the cycle.
    pub explanation: Explanation,
    /// How probable it is that the cycle is of this programme, with whatever departs.
    pub odds: Odds,
}

impl Recognised {
    /// Whether the programme is one that is known: it is more probable than any that nobody knows.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.odds.of_this() > 0.0
    }

    /// Whether that is so probable that what departs from it is told.
    #[must_use]
    pub fn is_sure(&self) -> bool {
        self.odds.of_this() > TOLD_AT.get().ln()
    }

    /// Whether it is so probable that the cycle is of this programme or of one like it.
    #[must_use]
    pub fn is_like(&self) -> bool {
        self.odds.stranger > TOLD_AT.get().ln()
    }

    /// Whether another programme is so much more probable that what departs from that one is told.
    #[must_use]
    pub fn is_told_from(&self, other: &Self) -> bool {
        other.odds.of_this() - self.odds.of_this() > TOLD_AT.get().ln()
    }
}

/// Recognises the programme of a cycle.
///
/// # Panics
/// When the machine has no programme; every machine that is read or learned has one.
#[must_use]
pub fn recognise(machine: &Machine, cycle: &Cycle) -> Recognised {
    candidates(machine, cycle).into_iter().next().expect("a machine has a programme")
}

/// The cycle as each programme of the machine, the most probable first.
#[must_use]
pub fn candidates(machine: &Machine, cycle: &Cycle) -> Vec<Recognised> {
    let tried = machine.programmes.iter().enumerate().map(|(programme, chart)| {
        let explanation = explain(chart, cycle);
        let odds = Odds::new(machine, chart, cycle, &explanation);
        Recognised { programme, explanation, odds }
    });
    let mut tried: Vec<Recognised> = tried.collect();
    tried.sort_by(|a, b| b.odds.of_this().total_cmp(&a.odds.of_this()));
    tried
}

/// The machine for a log in which a reading stands for `resolution`: the same, where its readings show all of it.
#[must_use]
pub fn for_readings(machine: &Machine, resolution: Seconds) -> Cow<'_, Machine> {
    let programmes: Option<Vec<Chart>> = machine.programmes.iter().map(|c| in_means(c, resolution)).collect();
    match programmes {
        Some(programmes) => Cow::Owned(Machine { programmes, ..machine.clone() }),
        None => Cow::Borrowed(machine),
    }
}

/// How well a machine explains cycles: the logarithm of the odds that they are of it, and not of one that nobody knows.
#[must_use]
pub fn familiarity<'a>(machine: &Machine, cycles: impl Iterator<Item = &'a Cycle>) -> f64 {
    cycles.map(|c| recognise(&for_readings(machine, c.resolution), c).odds.of_this()).sum()
}
