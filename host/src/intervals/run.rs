//! A run of the machine before it is measured.

use tubtrace_units::Seconds;

use crate::loads::{Span, UnseenRun};

/// A run of the machine before it is measured.
pub(super) enum Run<'a> {
    /// A run whose current was metered, as its spans.
    Seen(&'a [Span]),
    /// A run of which only water was heard, as its fills.
    Unseen(&'a UnseenRun),
}

impl<'a> Run<'a> {
    pub(super) fn start(&self) -> Seconds {
        match self {
            Self::Seen(spans) => spans[0].start,
            Self::Unseen(fills) => fills[0].0,
        }
    }

    pub(super) fn seen(&self) -> Option<&'a [Span]> {
        match self {
            Self::Seen(spans) => Some(spans),
            Self::Unseen(_) => None,
        }
    }
}
