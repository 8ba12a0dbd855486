//! What a report is of: a log, and what it comes to.

use tubtrace_units::LitresPerMinute;

use super::style::WIDTH;
use super::units::Units;
use crate::diagnosis::Diagnosis;
use crate::findings::{Causes, Judged, Outcome};
use crate::intervals::Cycle;
use crate::job::Job;
use crate::log::Log;
use crate::sheet::Options;

/// Everything that the reports of one log are made of.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The log that is reported on.
    pub log: &'a Log,
    /// The cycles found in the log, in order of time.
    pub cycles: &'a [Cycle],
    /// What is known of the job.
    pub job: &'a Job,
    /// How many litres a minute the inlet valve lets by, if somebody knows: with it, the volume of each fill is reported.
    pub inlet: Option<LitresPerMinute>,
    /// Whether people are shown degrees Celsius and litres, or degrees Fahrenheit and US gallons.
    pub units: Units,
    /// Columns of a terminal that a strip of each cycle may take, if one is to be drawn.
    pub strip: Option<usize>,
    /// Columns of the terminal that text is wrapped to.
    pub width: usize,
}

impl<'a> Subject<'a> {
    /// As it is shown where nothing is said and nothing else is asked for: of no known job, in SI units, without strips, at the usual width.
    #[must_use]
    pub const fn of(log: &'a Log, cycles: &'a [Cycle]) -> Self {
        Self { log, cycles, job: &Job::UNKNOWN, inlet: None, units: Units::Si, strip: None, width: WIDTH }
    }
}

/// A log held against a chart.
#[derive(Clone, Copy, Debug)]
pub struct Verdict<'a> {
    /// The log and its cycles.
    pub subject: Subject<'a>,
    /// Name of the chart.
    pub chart: &'a str,
    /// What each cycle comes to, in order.
    pub judged: &'a [Judged],
    /// The options of the sheet that explain each; empty where there is no sheet.
    pub options: &'a [Option<Options>],
    /// What is the matter by all cycles together; none where nothing departs.
    pub diagnoses: &'a [Diagnosis<'a>],
    /// What may be behind departures.
    pub causes: &'a Causes,
}

impl Verdict<'_> {
    /// What the log comes to: what departs decides, and then what is not known.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        let any = |outcome| self.judged.iter().any(|j| j.outcome() == outcome);
        [Outcome::Departs, Outcome::Unknown].into_iter().find(|o| any(*o)).unwrap_or(Outcome::Within)
    }
}
