//! What a cycle comes to.

use super::finding::Finding;
use super::placed::Placed;
use super::severity::Severity;
use crate::alignment::Explanation;
use crate::checks::{Check, Needs};
use crate::programme::Odds;

/// A cycle held against what its machine should do: what departs, what cannot be told, and where the intervals were found.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The name of the programme that it is most like.
    pub programme: String,
    /// In how many cycles that programme was seen; none of one that somebody wrote.
    pub seen: u32,
    /// Whether it is of that programme, and held against it.
    pub known: Known,
    /// The odds that it is of that programme, and not of one that nobody taught.
    pub odds: Odds,
    /// The first is the one to begin with, and what follows from others comes last. Of a cycle whose programme is not known: what can be said without one.
    pub findings: Vec<Finding>,
    /// What is outside of its limits, and within its uncertainty of them: no fault, and not nothing.
    pub undecided: Vec<Finding>,
    /// What is unusual, and what healthy machines of some makes or in some houses do: no fault, and with its causes, should it be one.
    pub unusual: Vec<Finding>,
    /// By what the cycle differs from the programme that it is like: no fault, for a choice of another programme explains it.
    pub differs: Vec<Finding>,
    /// Where the intervals of the programme were found.
    pub placed: Vec<Placed>,
    /// Which phases of the cycle are which intervals of the programme.
    pub explanation: Explanation,
}

/// Whether the programme of a cycle is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// The cycle is of a programme that is known, and held against it.
    Yes,
    /// The cycle is of no programme that is known, but of one like it: what a choice of programme explains is no departure.
    Like,
    /// The cycle is of no programme that is known.
    Unknown,
    /// There are too few other cycles like it, and no chart, to hold it against.
    Alone,
}

impl Known {
    /// What a check may need where this is known.
    pub(super) const fn needs(self) -> Needs {
        match self {
            Self::Yes => Needs::Programme,
            Self::Like => Needs::Machine,
            // What is of no programme that is known may be of another machine.
            Self::Unknown | Self::Alone => Needs::Nothing,
        }
    }
}

/// What a cycle comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is within its programme.
    Within,
    /// Something in it is outside of its limits by more than its uncertainty.
    Departs,
    /// Its programme is not known, and nothing that can be said without one is wrong.
    Unknown,
}

impl Judged {
    /// What the cycle comes to.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        match self.known {
            _ if self.departs() => Outcome::Departs,
            Known::Yes => Outcome::Within,
            Known::Like | Known::Unknown | Known::Alone => Outcome::Unknown,
        }
    }

    /// Whether something is wrong with the cycle.
    #[must_use]
    pub fn departs(&self) -> bool {
        !self.findings.is_empty()
    }

    /// How grave the gravest of what is wrong with it is; none of a cycle with which nothing is.
    #[must_use]
    pub fn severity(&self) -> Option<Severity> {
        self.findings.iter().map(Finding::severity).max()
    }

    /// The findings that follow from no other.
    pub fn standing(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|f| f.follows.is_none())
    }

    /// The findings that follow from what a check found, in order of time.
    #[must_use]
    pub fn following(&self, cause: &Check) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self.findings.iter().filter(|f| f.follows == Some(cause)).collect();
        all.sort_by(|a, b| a.start.0.total_cmp(&b.start.0));
        all
    }

    /// Leaves only what is about order and loads: what follows from anything else stands by itself.
    pub(crate) fn keep_order_and_loads(&mut self) {
        self.findings.retain(|f| f.departure.is_of_order_or_load());
        for finding in &mut self.findings {
            finding.follows = finding.follows.filter(|cause| cause.is_of_order_or_load());
        }
    }

    /// Whether there is anything to tell of it, a departure or what cannot be told.
    #[must_use]
    pub fn has_to_tell(&self) -> bool {
        self.departs() || [&self.undecided, &self.unusual, &self.differs].iter().any(|told| !told.is_empty())
    }
}
