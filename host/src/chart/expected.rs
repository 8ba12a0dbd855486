//! What a chart expects of a programme: its parts, and the intervals of each.

use tubtrace_units::{Amps, Celsius, Seconds};

use super::baselines::Baselines;
use super::limits::Limits;
use crate::intervals::Kind;

/// Whether a programme that was learned from so many cycles has wide limits for that.
#[must_use]
pub const fn is_of_few(seen: u32) -> bool {
    seen > 0 && seen < 3
}

/// The expected profile of a programme.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Machine and programme, as a person calls them.
    pub name: String,
    /// The parts of the programme, in order; a part is one water, or drying.
    pub parts: Vec<Part>,
    /// What is usual of the machine beside its intervals.
    pub baselines: Baselines,
    /// From how many cycles it was learned; 0 where somebody wrote it.
    pub seen: u32,
    /// It was typed off a sheet, which has times and order, and says nothing of what this machine does as a rule.
    pub of_sheet: bool,
}

/// A part of a programme.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What people call the part: "prewash", "extra rinse".
    pub name: String,
    /// How often it comes: 0 to 1 is a part that may come.
    pub times: Limits<u32>,
    /// Its intervals, in order.
    pub intervals: Vec<Expected>,
}

impl Chart {
    /// Its intervals that must come, those of a part once however often it must.
    pub fn must_come(&self) -> impl Iterator<Item = &Expected> {
        let parts = self.parts.iter().filter(|p| p.times.low > 0);
        parts.flat_map(|p| p.intervals.iter().filter(|i| !i.may))
    }
}

impl Part {
    /// Whether a cycle without any of it departs: the part must come, and not all of its intervals may be left out.
    #[must_use]
    pub fn must_come(&self) -> bool {
        self.times.low > 0 && self.intervals.iter().any(|i| !i.may)
    }
}

/// An interval that the chart expects.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// "main wash", "first fill".
    pub name: String,
    /// What the machine does.
    pub kind: Kind,
    /// It may be left out.
    pub may: bool,
    /// How long it lasts; `None` is open-ended.
    pub lasts: Option<Limits<Seconds>>,
    /// What the machine draws meanwhile.
    pub amps: Option<Limits<Amps>>,
    /// Supply water at its end.
    pub supply: Option<Limits<Celsius>>,
    /// A hold: it ends when the water is this warm.
    pub until: Option<Celsius>,
    /// Purges that come within it.
    pub purges: Limits<u32>,
}

impl Expected {
    /// An interval of which nothing more is known.
    #[must_use]
    pub fn new(name: impl Into<String>, kind: Kind) -> Self {
        let purges = Limits { low: 0, high: 0 };
        Self {
            name: name.into(),
            kind,
            may: false,
            lasts: None,
            amps: None,
            supply: None,
            until: None,
            purges,
        }
    }
}

impl Chart {
    /// The same chart with nothing said of how long anything lasts.
    #[must_use]
    pub fn without_times(&self) -> Self {
        let mut chart = self.clone();
        for interval in chart.parts.iter_mut().flat_map(|p| &mut p.intervals) {
            interval.lasts = None;
        }
        chart
    }
}
