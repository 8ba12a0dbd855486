//! What was wrong with a log, counted: loss is data.

use std::fmt;

use serde::Serialize;

/// Something that was passed over, how often, and where first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Note {
    /// What, in the words of the report.
    pub what: String,
    /// How often.
    pub count: u64,
    /// Where first: "line 12", "byte 4096", "at 00:12:30".
    pub first: String,
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { what, count, first } = self;
        if *count > 1 {
            write!(f, "{count} x {what}, first at {first}")
        } else {
            write!(f, "{what}, at {first}")
        }
    }
}

/// All notes on a log, in the order in which they first came up.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Notes(Vec<Note>);

impl Notes {
    /// Counts one more of `what`.
    pub fn add(&mut self, what: &str, place: impl FnOnce() -> String) {
        match self.0.iter_mut().find(|n| n.what == what) {
            Some(note) => note.count += 1,
            None => self.0.push(Note { what: what.to_owned(), count: 1, first: place() }),
        }
    }

    /// Adds the notes of another log; `place` says where in both its places are.
    pub fn append(&mut self, other: Self, place: impl Fn(&str) -> String) {
        for note in other.0 {
            match self.0.iter_mut().find(|n| n.what == note.what) {
                Some(own) => own.count += note.count,
                None => self.0.push(Note { first: place(&note.first), ..note }),
            }
        }
    }

    /// The notes.
    #[must_use]
    pub fn all(&self) -> &[Note] {
        &self.0
    }
}
