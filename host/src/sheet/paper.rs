//! A sheet as it was read: what stands on the paper, line by line, and nothing that it does not say.

use tubtrace_units::{Amps, Celsius, Seconds, Volts, Watts};

use crate::chart::Limits;
use crate::intervals::Kind;

/// The sheet of a machine: one programme, as its paper has it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Paper {
    /// What a person calls machine and programme.
    pub name: Option<String>,
    /// Nominal volts of the rating plate.
    pub volts: Option<Volts>,
    /// What the heater is rated at.
    pub heater: Option<Plate>,
    /// The lines of the programme, in order.
    pub lines: Vec<Line>,
}

/// What the heater is rated at, and on which line that stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// From 1.
    pub line: usize,
    /// The rating.
    pub rated: Rated,
}

/// A rating, as the plate has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rated {
    /// Power at the rated volts.
    Power(Watts),
    /// Current.
    Current(Amps),
}

/// A line of the programme.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Which line of the text it is, from 1.
    pub number: usize,
    /// What it says.
    pub says: Says,
}

/// What a line of the programme says.
#[derive(Clone, Debug, PartialEq)]
pub enum Says {
    /// A heading: what stands below it, as far as the end of that water, is called so and comes so often.
    Heading {
        /// What the part is called.
        name: String,
        /// How often it comes.
        times: Limits<u32>,
    },
    /// Another water of a name that stands further up: "may rinse".
    Again {
        /// "rinse".
        name: String,
        /// It may be left out.
        may: bool,
    },
    /// An interval.
    Interval(Step),
}

/// An interval as a sheet has it.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What the paper calls it, where that is more than what it does: "main wash", "rinse".
    pub name: Option<String>,
    /// What the machine does.
    pub does: Does,
    /// It may be left out.
    pub may: bool,
    /// How long it lasts; `None` where the paper has no time.
    pub time: Option<Time>,
    /// It heats until the water is this warm.
    pub until: Option<Celsius>,
    /// Purges that come within it.
    pub purges: Limits<u32>,
}

/// A time, as a sheet has it. In whole seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Time {
    /// About this: "4".
    About(Seconds),
    /// From the one to the other: "8-12".
    Between(Limits<Seconds>),
}

/// What the machine does, as far as a sheet tells it apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    /// The inlet valve is open.
    Fill,
    /// The wash pump runs.
    Wash,
    /// The wash pump and the heater run.
    Heat,
    /// The drain pump runs.
    Drain,
    /// Vent or fan without water.
    Dry,
    /// The heater without water.
    HeatedDry,
    /// Nothing runs.
    Pause,
}

impl Does {
    /// What a chart calls it.
    #[must_use]
    pub const fn kind(self) -> Kind {
        match self {
            Self::Fill => Kind::Fill,
            Self::Wash => Kind::Wash,
            Self::Heat => Kind::Heat,
            Self::Drain => Kind::Drain,
            Self::Dry | Self::HeatedDry => Kind::Dry,
            Self::Pause => Kind::Pause,
        }
    }

    /// Whether it needs water in the tub.
    #[must_use]
    pub const fn in_water(self) -> bool {
        matches!(self, Self::Wash | Self::Heat)
    }
}
