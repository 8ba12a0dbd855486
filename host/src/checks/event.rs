//! What readings can tell: each check has the shortest event that its evidence rests on, and an event shows its own level only
//! where a reading lies wholly within it.

use tubtrace_units::Seconds;

use crate::constant::Constant;

/// The shortest event that a check's evidence rests on.
#[derive(Clone, Copy, Debug)]
pub enum Event {
    /// None: it rests on clips, on pickups, or on the run as a whole.
    Any,
    /// One that lasts as long as this constant says.
    Lasts(Constant<Seconds>),
    /// What was measured, and what comes and goes around it.
    Itself,
    /// The interval of the chart that it is found in.
    Interval,
    /// The shortest interval that must come. Where some of the programme cannot be seen, what can be seen is taken for something
    /// else, or is longer by it.
    Shortest,
}
