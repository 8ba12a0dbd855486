//! What may be behind a departure, and what to measure next: from `causes.toml`, in the trade's plain terms.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::{Error as ValueError, StrDeserializer};

use super::cautions::Cautions;
use super::constants::{MOST_SUSPECTS, ONLY_NAMED};
use super::measurement::Measurement;
use crate::chart::{Complaint, place, tables};
use crate::checks::{Check, all};
use crate::intervals::Kind;

/// Something that may be behind a departure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suspect {
    /// Its word, as in JSON.
    pub word: String,
    /// What it is, for a person.
    pub text: String,
}

/// What may be behind a departure, and what to do next.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Advice {
    /// What may be behind it, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// The word of what to measure next: what parts these suspects best.
    pub measurement: String,
    /// What that is, in a sentence.
    pub next: String,
    /// What can hurt meanwhile.
    pub caution: String,
}

impl Advice {
    /// Puts these suspects first, in this order, and keeps those that were there behind them.
    pub(super) fn put_first(&mut self, words: &[&str], causes: &Causes) {
        let first = words.iter().map(|w| Suspect { word: (*w).to_owned(), text: causes.text(w) });
        let rest =
            std::mem::take(&mut self.suspects).into_iter().filter(|s| !words.contains(&s.word.as_str()));
        self.suspects = first.chain(rest).take(MOST_SUSPECTS.get()).collect();
    }
}

/// Something that may be wrong, and what it brings about.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Cause {
    /// The word of the suspect.
    pub(super) word: String,
    /// What a machine of which this is at fault for good does no more: a later one refutes it.
    #[serde(default)]
    pub(super) refuted_by: Option<Kind>,
    /// What fails now and then where this is at fault: a later one speaks for it.
    #[serde(default)]
    now_and_then: Option<Kind>,
    /// How strongly each kind of finding ("too-long fill"; "too-long *" for any) speaks for it: about the logarithm of
    /// how much more often it is seen with the cause than without.
    explains: BTreeMap<String, f64>,
}

impl Cause {
    /// How strongly a kind of finding speaks for this; zero: not at all.
    pub(crate) fn explains(&self, kind: &str) -> f64 {
        let any =
            || kind.split_once(' ').and_then(|(departure, _)| self.explains.get(&format!("{departure} *")));
        self.explains.get(kind).or_else(any).copied().unwrap_or(0.0)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    suspect: BTreeMap<String, String>,
    #[serde(default)]
    caution: BTreeMap<String, Cautions>,
    #[serde(default)]
    departure: Vec<Entry>,
    #[serde(default)]
    cause: Vec<Cause>,
    #[serde(default)]
    measurement: Vec<Measurement>,
    /// What is told to a customer of what was found.
    #[serde(default)]
    happened: BTreeMap<String, String>,
    /// What is told to a customer of a suspect.
    #[serde(default)]
    because: BTreeMap<String, String>,
}

/// Why a shop's file of causes cannot be used: a sentence with line and column.
#[derive(Debug, thiserror::Error)]
#[error("{name}: {what}")]
pub struct CausesError {
    name: String,
    what: String,
}

/// What may be behind departures, and what to do next: what comes with the program, and what a shop adds to it.
#[derive(Debug)]
pub struct Causes(File);

impl Causes {
    /// What comes with the program.
    #[must_use]
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    /// What comes with the program, with a shop's file before it: its words and entries replace those of the same name,
    /// and its causes are weighed beside the others.
    ///
    /// # Errors
    /// [`CausesError`], when the text is no such file, or names a suspect or caution that there is not.
    pub fn with(text: &str, name: &str) -> Result<Self, CausesError> {
        weights_can_be(text, name)?;
        departures_can_be(text, name)?;
        let broken = |what: String| CausesError { name: name.to_owned(), what };
        let own: File = tables(text).map_err(|Complaint { at, what }| {
            let (line, column) = place(text, at);
            CausesError { name: format!("{name}:{line}:{column}"), what }
        })?;
        let mut all: File = toml::from_str(BUILT_IN_TEXT).map_err(|e| broken(e.to_string()))?;
        all.suspect.extend(own.suspect);
        all.caution.extend(own.caution);
        all.happened.extend(own.happened);
        all.because.extend(own.because);
        for entry in &own.departure {
            let unknown = entry.suspects.iter().find(|s| !all.suspect.contains_key(*s));
            if let Some(word) = unknown {
                return Err(broken(format!(
                    "\"{}\" names the suspect \"{word}\", which is not under [suspect]",
                    entry.is
                )));
            }
        }
        all.departure.splice(0..0, own.departure);
        for cause in own.cause {
            if !all.suspect.contains_key(&cause.word) {
                return Err(broken(format!("the cause \"{}\" is not under [suspect]", cause.word)));
            }
            all.cause.retain(|c| c.word != cause.word);
            all.cause.push(cause);
        }
        for measurement in own.measurement {
            let word = &measurement.word;
            if let Some(complaint) = measurement.complaint() {
                return Err(broken(format!("the measurement \"{word}\": {complaint}")));
            }
            let mut suspects = measurement.shows.iter().flat_map(|s| s.of.keys());
            if let Some(unknown) = suspects.find(|s| !all.suspect.contains_key(*s)) {
                return Err(broken(format!(
                    "the measurement \"{word}\" names the suspect \"{unknown}\", which is not under [suspect]"
                )));
            }
            if let Some(unknown) = measurement.caution.words().iter().find(|w| !all.caution.contains_key(*w))
            {
                return Err(broken(format!(
                    "the measurement \"{word}\" names the caution \"{unknown}\", which is not under [caution]"
                )));
            }
            all.measurement.retain(|m| m.word != *word);
            all.measurement.push(measurement);
        }
        Ok(Self(all))
    }

    /// What can be looked at or measured next.
    #[must_use]
    pub fn measurements(&self) -> &[Measurement] {
        &self.0.measurement
    }

    /// What can hurt while these are measured, each sentence once.
    #[must_use]
    pub fn sentences_of<'a>(&self, measurements: impl Iterator<Item = &'a Measurement>) -> Vec<&str> {
        let cautions = measurements.flat_map(|m| m.caution.words()).filter_map(|w| self.0.caution.get(w));
        let mut told: Vec<&str> = Vec::new();
        for sentence in cautions.flat_map(Cautions::words) {
            if !told.contains(&sentence.as_str()) {
                told.push(sentence);
            }
        }
        told
    }

    /// The same as one text.
    #[must_use]
    pub fn cautions_of<'a>(&self, measurements: impl Iterator<Item = &'a Measurement>) -> String {
        self.sentences_of(measurements).join(" ")
    }

    /// What is told to a customer of what was found, as a clause.
    #[must_use]
    pub fn happened(&self, departure: &Check, does: Kind) -> &str {
        let told = self
            .0
            .happened
            .get(&format!("{departure} {does}"))
            .or_else(|| self.0.happened.get(departure.word()));
        told.map_or("something was not as it should be", String::as_str)
    }

    /// What is told to a customer of a suspect, as a clause.
    #[must_use]
    pub fn because(&self, suspect: &str) -> String {
        self.0.because.get(suspect).cloned().unwrap_or_else(|| self.text(suspect))
    }

    /// What a machine of which this suspect is at fault for good does no more.
    #[must_use]
    pub fn refuted_by(&self, suspect: &str) -> Option<Kind> {
        self.0.cause.iter().find(|c| c.word == suspect)?.refuted_by
    }

    /// What fails now and then where this suspect is at fault.
    #[must_use]
    pub fn now_and_then(&self, suspect: &str) -> Option<Kind> {
        self.0.cause.iter().find(|c| c.word == suspect)?.now_and_then
    }

    /// How strongly a kind of finding speaks for each suspect: by its weights, and little for one that is only named beside it.
    #[must_use]
    pub fn weights(&self, departure: &Check, does: Kind) -> BTreeMap<&str, f64> {
        let kind = format!("{departure} {does}");
        let mut weights: BTreeMap<&str, f64> = BTreeMap::new();
        for word in self.entry(departure, does).iter().flat_map(|e| &e.suspects) {
            weights.insert(word, ONLY_NAMED.get());
        }
        let explaining = self.0.cause.iter().filter(|c| c.explains(&kind) > 0.0);
        weights.extend(explaining.map(|c| (c.word.as_str(), c.explains(&kind))));
        weights
    }

    pub(crate) fn all(&self) -> &[Cause] {
        &self.0.cause
    }

    /// What a suspect is, for a person.
    #[must_use]
    pub fn text(&self, word: &str) -> String {
        self.0.suspect.get(word).cloned().unwrap_or_default()
    }

    fn entry(&self, departure: &Check, does: Kind) -> Option<&Entry> {
        let entries = || self.0.departure.iter().filter(|e| e.is == departure.word());
        entries().find(|e| e.does == Some(does)).or_else(|| entries().find(|e| e.does.is_none()))
    }

    /// Advice for a departure: the suspects of the entry for what the machine does, or of the one for anything.
    pub(super) fn advise(&self, departure: &Check, does: Kind) -> Advice {
        let Some(entry) = self.entry(departure, does) else { return Advice::default() };
        let suspect = |word: &String| Suspect { word: word.clone(), text: self.text(word) };
        Advice { suspects: entry.suspects.iter().map(suspect).collect(), ..Advice::default() }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    is: String,
    /// What the machine does; absent for any.
    does: Option<Kind>,
    suspects: Vec<String>,
}

/// Whether every kind of finding that this text names can be found: nothing is said of a word that no check has.
fn departures_can_be(text: &str, name: &str) -> Result<(), CausesError> {
    #[derive(Deserialize)]
    struct Said {
        #[serde(default)]
        departure: Vec<Is>,
    }
    #[derive(Deserialize)]
    struct Is {
        is: toml::Spanned<String>,
    }
    let Ok(said) = toml::from_str::<Said>(text) else { return Ok(()) };
    let unknown = said.departure.iter().find(|d| !all().any(|check| check.word() == d.is.get_ref()));
    let Some(Is { is }) = unknown else { return Ok(()) };
    let (line, column) = place(text, is.span().start);
    let what = format!("no finding is called {:?}; `check --json` shows the word of each", is.get_ref());
    Err(CausesError { name: format!("{name}:{line}:{column}"), what })
}

/// Why a key of `explains` matches nothing that can be found, and what to write; none where it matches.
fn matches_nothing(key: &str) -> Option<String> {
    let (word, does) = key.split_once(' ').unwrap_or((key, ""));
    let Some(check) = all().find(|check| check.word() == word) else {
        return Some(format!(
            "{key:?} matches nothing: no finding is called {word:?}; `check --json` shows the word of each"
        ));
    };
    let kind: StrDeserializer<ValueError> = does.into_deserializer();
    let known = does == "*" || Kind::deserialize(kind).is_ok();
    let remedy = || format!("write \"{word} {}\", or \"{word} *\" for whatever it does", check.does);
    (!known).then(|| {
        format!("{key:?} matches nothing: a key is a finding's word and what the machine does; {}", remedy())
    })
}

/// Whether every weight in this text can be meant: none is negative or no number, and each is of something that can be found.
fn weights_can_be(text: &str, name: &str) -> Result<(), CausesError> {
    #[derive(Deserialize)]
    struct Said {
        #[serde(default)]
        cause: Vec<Weights>,
    }
    #[derive(Deserialize)]
    struct Weights {
        explains: BTreeMap<String, toml::Spanned<f64>>,
    }
    // What is wrong otherwise is told by whoever reads all of it.
    let Ok(said) = toml::from_str::<Said>(text) else { return Ok(()) };
    for (kind, weight) in said.cause.iter().flat_map(|c| &c.explains) {
        let no_number = !(weight.get_ref().is_finite() && *weight.get_ref() >= 0.0);
        let what = if no_number {
            Some(format!("how strongly {kind:?} speaks for a cause is a number from 0 on"))
        } else {
            matches_nothing(kind)
        };
        if let Some(what) = what {
            let (line, column) = place(text, weight.span().start);
            return Err(CausesError { name: format!("{name}:{line}:{column}"), what });
        }
    }
    Ok(())
}

const BUILT_IN_TEXT: &str =
    concat!(include_str!("causes.toml"), include_str!("measurements.toml"), include_str!("customer.toml"));

static BUILT_IN: LazyLock<Causes> = LazyLock::new(|| {
    // A test reads it; a build in which it is broken never leaves the workshop.
    Causes(toml::from_str(BUILT_IN_TEXT).expect("causes.toml is part of this program and tested"))
});

#[cfg(test)]
mod tests;
