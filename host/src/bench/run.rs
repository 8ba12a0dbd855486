//! One run of the control, and what it counts for.

use jiff::Timestamp;
use tubtrace_units::Seconds;

use super::constants::SAME_RUN;
use crate::findings::{Judged, Known, Placed};
use crate::intervals::{Cycle, Lacks, Seen};

/// A run as it was found in a log.
#[derive(Clone, Copy, Debug)]
pub struct Found<'a> {
    /// Its log, as a number.
    pub log: usize,
    /// The run.
    pub cycle: &'a Cycle,
    /// What it comes to.
    pub judged: &'a Judged,
    /// When it began, where the log says.
    pub began: Option<Timestamp>,
}

/// What a run counts for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Counts {
    /// It is of a programme of the plan, seen whole, and within all limits.
    Clean,
    /// Something in it is outside of its limits by more than its uncertainty.
    Departs,
    /// Neither can be said, for this reason.
    Doubt(Doubt),
    /// It is of a programme that the plan does not ask for, or of none that is known.
    Other,
}

/// Why nothing can be said of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// Its log began, ended or has a hole while it ran.
    Cut(Lacks),
    /// A value is too close to its limit.
    TooClose,
    /// Its current was not metered.
    Unseen,
}

/// A run of the test.
#[derive(Clone, Debug)]
pub struct Run<'a> {
    /// Where it was found, and what it comes to.
    pub found: Found<'a>,
    /// What it counts for.
    pub counts: Counts,
    /// Whether it is the first of all, when everything is cold.
    pub cold: bool,
}

impl<'a> Run<'a> {
    /// What a run counts for in a test of these programmes.
    pub(super) fn of(found: Found<'a>, programmes: &[&str]) -> Self {
        let Found { cycle, judged, .. } = found;
        let planned = judged.known == Known::Yes && programmes.contains(&&*judged.programme);
        let counts = if judged.departs() {
            Counts::Departs
        } else if let Some(lacks) = cycle.lacks() {
            Counts::Doubt(Doubt::Cut(lacks))
        } else if cycle.seen != Seen::Current {
            Counts::Doubt(Doubt::Unseen)
        } else if !planned {
            Counts::Other
        } else if judged.undecided.is_empty() {
            Counts::Clean
        } else {
            Counts::Doubt(Doubt::TooClose)
        };
        Self { found, counts, cold: false }
    }

    /// Its programme, where that is known.
    #[must_use]
    pub fn programme(&self) -> Option<&'a str> {
        (self.found.judged.known == Known::Yes).then_some(&*self.found.judged.programme)
    }

    /// The intervals that were found in it and seen whole, each with the standard uncertainty of how long it lasted.
    pub fn intervals(&self) -> impl Iterator<Item = (&'a Placed, Seconds)> {
        let Found { cycle, judged, .. } = self.found;
        let whole = judged.placed.iter().filter(|p| !cycle.cuts(p.start, p.end));
        whole.map(|placed| (placed, uncertainty(cycle, placed)))
    }
}

/// Standard uncertainty of how long an interval of the chart lasted: that of its two ends, and no less than that of two readings of which each stands for a
/// whole step of time: the square root of a sixth of a step (JCGM 100:2008, F.2.2.1).
fn uncertainty(cycle: &Cycle, placed: &Placed) -> Seconds {
    let step = Seconds(cycle.resolution.0 / 6.0_f64.sqrt());
    let mut own = cycle.intervals.iter().filter(|i| i.start >= placed.start && i.end <= placed.end);
    let first = own.next();
    let last = own.next_back().or(first);
    first.zip(last).map_or(step, |(first, last)| {
        Seconds(first.measured.edges.start.0.hypot(last.measured.edges.end.0)).max(step)
    })
}

/// Runs without those that stand in two logs, as where the same logger was read twice: of each the one that was seen whole is kept. Says how many were
/// left out.
pub(super) fn once<'a>(all: &[Found<'a>]) -> (Vec<Found<'a>>, usize) {
    let mut kept: Vec<Found<'a>> = Vec::new();
    for found in all {
        let same = |other: &Found| {
            other.log != found.log
                && found
                    .began
                    .zip(other.began)
                    .is_some_and(|(a, b)| a.duration_since(b).abs().as_secs_f64() < SAME_RUN.get().0)
        };
        match kept.iter().position(same) {
            Some(at) if kept[at].cycle.lacks().is_some() && found.cycle.lacks().is_none() => {
                kept[at] = *found
            }
            Some(_) => {}
            None => kept.push(*found),
        }
    }
    let left_out = all.len() - kept.len();
    (kept, left_out)
}
