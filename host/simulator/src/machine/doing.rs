//! What the control of a machine is doing, by a coarse word.

use serde::{Deserialize, Serialize};

/// What the control is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Doing {
    /// No programme runs.
    Idle,
    /// Water comes in.
    Fill,
    /// The wash pump runs.
    Wash,
    /// The wash pump runs and the element is told to heat.
    Heat,
    /// Part of the water is replaced while the wash pump runs.
    Purge,
    /// Water goes out.
    Drain,
    /// Dishes are dried, by heat or by the vent.
    Dry,
    /// No load is on, in the middle of a programme.
    Pause,
}
