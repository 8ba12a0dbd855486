//! The steps that a programme is made of.

use tubtrace_units::{Celsius, Litres, Seconds};

/// One step of the control.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ProgrammeStep {
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
    /// The heater dries without water, for so long.
    DryHeat(Seconds),
    /// The vent dries without water, for so long.
    Vent(Seconds),
    /// No load is on for so long.
    Pause(Seconds),
}
