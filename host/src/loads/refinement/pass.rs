//! What a pass is: what it may look at, what it corrects.

use tubtrace_units::Seconds;

use crate::loads::levels::Levels;
use crate::loads::runs::Run;
use crate::loads::segment::Segment;
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::trace::Trace;

/// What is read from a trace so far.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// Spans in order of time. Those of the model are one for each segment.
    pub spans: Vec<Span>,
    /// Runs of which only the water was heard.
    pub unseen: Vec<UnseenRun>,
}

/// A run of the machine whose current was not metered, as its fills, from and to.
pub type UnseenRun = Vec<(Seconds, Seconds)>;

/// What a pass may look at.
#[derive(Clone, Copy, Debug)]
pub struct Evidence<'a> {
    /// The trace, all runs at one scale.
    pub trace: &'a Trace,
    /// Its segments of steady readings.
    pub segments: &'a [Segment],
    /// The runs of the machine in it.
    pub runs: &'a [Run],
    /// What the loads of this machine draw.
    pub levels: &'a Levels,
    /// Whether its file says what they draw.
    pub known: bool,
    /// Idle time in an empty tub after which another run begins.
    pub apart: Seconds,
    /// The states of the model.
    pub states: &'a [State],
}

/// One pass: a single correction of what the model gives.
#[derive(Clone, Copy, Debug)]
pub struct Pass {
    /// What it is about.
    pub name: &'static str,
    /// What the model cannot know.
    pub unknown: &'static str,
    /// Changes the reading where the evidence shows that the model got it wrong.
    pub refine: fn(&mut Reading, &Evidence),
}
