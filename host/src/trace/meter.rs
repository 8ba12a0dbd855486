//! What was metered, current or power, and the volts between them.

use tubtrace_units::Volts;

/// The nominal volts that turn current into power, or power into current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nominal {
    /// Volts (RMS) between the conductors of the supply.
    pub volts: Volts,
    /// Whether they were inferred from the mains frequency or assumed, rather than given.
    pub assumed: bool,
}

impl Nominal {
    /// What is assumed where nothing tells it, as for a CSV of watts: the nominal voltage of most of the world (IEC 60038).
    pub const UNTOLD: Self = Self { volts: Volts(230.0), assumed: true };
}

/// What the meter measures; the other follows at nominal volts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meter {
    /// Current, as a clamp on one conductor gives it.
    Current,
    /// Power, as a meter in the supply gives it.
    Power,
}
