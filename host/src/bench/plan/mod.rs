//! The plan of a test: what is tested, how often it runs, within which limits, and what its fault looked like. A text file that people write,
//! `repair.plan.toml`.

mod parse;
mod tables;

use std::path::PathBuf;

use tubtrace_units::Seconds;

use crate::chart::Limits;

pub use parse::{parse, read};

/// What is to be done, and what is known of what is tested.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The control, by its serial number or whatever tells it from others.
    pub control: String,
    /// Whose it is.
    pub customer: Option<String>,
    /// What it was said to do, or not to do.
    pub complaint: Option<String>,
    /// What was done to it.
    pub repair: Option<String>,
    /// The machine file or chart that it is held against, from the folder of the plan's file.
    pub machine: PathBuf,
    /// Confidence wanted, a probability.
    pub confidence: f64,
    /// Each interval is cut short by hand: only order and loads are judged.
    pub stepped: bool,
    /// Lamps and resistors stand for pumps and element: nothing is said about water.
    pub dummy: bool,
    /// How many runs of which programmes.
    pub runs: Vec<Wanted>,
    /// What the fault looked like, where that is known.
    pub fault: Option<Original>,
    /// A control may go back that fails once in so many runs, for the test that is asked after each run; none where none may fail.
    pub good_one_in: Option<u32>,
    /// Limits of this test, instead of those of the machine.
    pub limits: Vec<Own>,
}

impl Plan {
    /// Runs that the plan asks for, of all programmes.
    #[must_use]
    pub fn count(&self) -> usize {
        self.runs.iter().map(|r| r.count).sum()
    }
}

/// So many runs of a programme.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The programme as the machine file calls it; none where the machine has but one.
    pub programme: Option<String>,
    /// How many runs of it.
    pub count: usize,
    /// The line of the plan, from 1.
    pub line: usize,
}

/// What the fault that was repaired looked like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Original {
    /// The finding's kind, as in JSON: "no-heat heat".
    pub kind: String,
    /// In how many runs it was found.
    pub found: usize,
    /// Of how many runs.
    pub before: usize,
}

/// How long an interval lasts in this test.
#[derive(Clone, Debug, PartialEq)]
pub struct Own {
    /// The programme; none for every programme that has the interval.
    pub programme: Option<String>,
    /// The interval as the machine file calls it.
    pub interval: String,
    /// The least and the most.
    pub lasts: Limits<Seconds>,
    /// The line of the plan, from 1.
    pub line: usize,
}
