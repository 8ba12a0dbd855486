//! What was wrong with a log, counted: loss is data.

use std::fmt;

use serde::Serialize;

/// Something that was passed over, how often, and where first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Note {
    /// What, in the words of the report.
    pub what: String,
    /// How often it was noted.
    pub count: u64,
    /// Where first: "line 12", "byte 4096", "00:12:30 from the start".
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

/// Different notes that are kept: more than a person reads. What comes after them is counted as one.
const KEPT: usize = 64;

/// What the rest is called.
const REST: &str = "more notes, each unlike those before";

impl Notes {
    /// Counts one more of `what`.
    pub fn add(&mut self, what: &str, place: impl FnOnce() -> String) {
        self.count(what, 1, place);
    }

    fn count(&mut self, what: &str, count: u64, place: impl FnOnce() -> String) {
        if let Some(note) = self.0.iter_mut().find(|n| n.what == what) {
            note.count += count;
        } else if self.0.len() < KEPT {
            self.0.push(Note { what: what.to_owned(), count, first: place() });
        } else if what != REST && self.0.len() == KEPT {
            self.0.push(Note { what: REST.to_owned(), count, first: place() });
        } else if let Some(rest) = self.0.last_mut() {
            rest.count += count;
        }
    }

    /// Adds the notes of another log; `place` says where in both its places are.
    pub fn append(&mut self, other: Self, place: impl Fn(&str) -> String) {
        for note in other.0 {
            self.count(&note.what, note.count, || place(&note.first));
        }
    }

    /// All notes, in the order in which each was first made.
    #[must_use]
    pub fn all(&self) -> &[Note] {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 40,000 panics, each with words of its own, are as much to read as 64, and none goes uncounted.
    #[test]
    fn notes_without_end_are_counted_and_not_kept() {
        let mut notes = Notes::default();
        (0..40_000).for_each(|n| notes.add(&format!("panic {n}"), || format!("byte {n}")));
        let mut all = Notes::default();
        all.add("before", || "the start".into());
        all.append(notes.clone(), str::to_owned);
        assert_eq!(notes.all().len(), KEPT + 1);
        assert_eq!(notes.all()[KEPT].first, "byte 64");
        assert_eq!(notes.all().iter().map(|n| n.count).sum::<u64>(), 40_000);
        assert_eq!(all.all().len(), KEPT + 1);
        assert_eq!(all.all().iter().map(|n| n.count).sum::<u64>(), 40_001);
    }
}
