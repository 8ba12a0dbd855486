//! What can be looked at or measured next: from `measurements.toml`, and what a shop adds to it.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::cautions::Cautions;

/// Something that can be looked at or measured, and of which suspect each thing that it may show is a sign.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measurement {
    /// Its word, as in JSON.
    pub word: String,
    /// How much it asks of a person: 1 is asked, 2 looked at, 3 opened or measured unplugged, 4 measured live.
    pub effort: u8,
    /// What to do, in a sentence.
    pub what: String,
    /// What it may show, beside `otherwise`.
    pub shows: Vec<Showing>,
    /// What it shows where nothing of that is so.
    pub otherwise: String,
    pub(super) caution: Cautions,
}

/// One of the things that a measurement may show.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Showing {
    /// What is seen, in a few words.
    pub seen: String,
    /// With which probability it is seen where this suspect is at fault.
    pub of: BTreeMap<String, f64>,
}

impl Measurement {
    /// What it may show, in order; the last is `otherwise`.
    pub fn outcomes(&self) -> impl Iterator<Item = &str> {
        self.shows.iter().map(|s| s.seen.as_str()).chain([self.otherwise.as_str()])
    }

    /// What is wrong with its numbers; nothing where they can be meant.
    pub(super) fn complaint(&self) -> Option<String> {
        let suspects = self.shows.iter().flat_map(|s| s.of.keys());
        let all = |suspect: &String| self.shows.iter().filter_map(|s| s.of.get(suspect)).sum::<f64>();
        let one = self.shows.iter().flat_map(|s| &s.of).find(|(_, p)| !(0.0..=1.0).contains(*p));
        if !(1..=4).contains(&self.effort) {
            return Some(format!(
                "effort is {}; it is from 1, what is asked, to 4, what is measured live",
                self.effort
            ));
        }
        if let Some((suspect, p)) = one {
            return Some(format!("{suspect:?} is shown with a probability of {p}; it is from 0 to 1"));
        }
        let over = suspects.into_iter().find(|s| all(s) > 1.0 + f64::EPSILON);
        over.map(|s| format!("the probabilities of {s:?} add up to {}, more than 1", all(s)))
    }
}
