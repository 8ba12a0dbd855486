//! What is taken for granted of a log.

use tubtrace_units::Volts;

/// What the user says about a log that the log does not.
#[derive(Clone, Copy, Debug, Default)]
pub struct Assumptions {
    /// Nominal volts of the supply.
    pub volts: Option<Volts>,
}
