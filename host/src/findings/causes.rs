//! What may be behind a departure, and what to measure next: from `causes.toml`, in the trade's plain terms.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::Departure;
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
    /// The likeliest first.
    pub suspects: Vec<Suspect>,
    /// What to measure next.
    pub next: String,
    /// What can hurt meanwhile.
    pub caution: String,
}

impl Advice {
    /// Puts these suspects first, in this order, and keeps those that were there behind them.
    pub(super) fn put_first(&mut self, words: &[&str]) {
        let text = |word: &str| FILE.suspect.get(word).cloned().unwrap_or_default();
        let first = words.iter().map(|w| Suspect { word: (*w).to_owned(), text: text(w) });
        let rest =
            std::mem::take(&mut self.suspects).into_iter().filter(|s| !words.contains(&s.word.as_str()));
        self.suspects = first.chain(rest).take(MOST).collect();
    }
}

/// Suspects that are told for one finding.
const MOST: usize = 4;

/// Something that may be wrong, and what it brings about.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Cause {
    /// The word of the suspect.
    pub(super) word: String,
    /// How strongly each kind of finding ("too-long fill"; "too-long *" for any) speaks for it: about the logarithm of
    /// how much more often it is seen with the cause than without.
    explains: BTreeMap<String, f64>,
}

impl Cause {
    /// How strongly a kind of finding speaks for this; zero: not at all.
    pub(super) fn explains(&self, kind: &str) -> f64 {
        let any =
            || kind.split_once(' ').and_then(|(departure, _)| self.explains.get(&format!("{departure} *")));
        self.explains.get(kind).or_else(any).copied().unwrap_or(0.0)
    }
}

/// All causes.
pub(super) fn all() -> &'static [Cause] {
    &FILE.cause
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    suspect: BTreeMap<String, String>,
    caution: BTreeMap<String, String>,
    departure: Vec<Entry>,
    cause: Vec<Cause>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    is: String,
    /// What the machine does; absent for any.
    does: Option<Kind>,
    suspects: Vec<String>,
    next: String,
    caution: String,
}

static FILE: LazyLock<File> = LazyLock::new(|| {
    // A test reads it; a build in which it is broken never leaves the workshop.
    toml::from_str(include_str!("causes.toml")).expect("causes.toml is part of this program and tested")
});

/// Advice for a departure: the entry for what the machine does, or the one for anything.
pub(super) fn advise(departure: Departure, does: Kind) -> Advice {
    let fits = |e: &&Entry| e.is == departure.word();
    let entry = FILE
        .departure
        .iter()
        .filter(fits)
        .find(|e| e.does == Some(does))
        .or_else(|| FILE.departure.iter().filter(fits).find(|e| e.does.is_none()));
    let Some(entry) = entry else { return Advice::default() };
    let text = |map: &BTreeMap<String, String>, word: &String| map.get(word).cloned().unwrap_or_default();
    Advice {
        suspects: entry
            .suspects
            .iter()
            .map(|word| Suspect { word: word.clone(), text: text(&FILE.suspect, word) })
            .collect(),
        next: entry.next.clone(),
        caution: text(&FILE.caution, &entry.caution),
    }
}

#[cfg(test)]
mod tests {
    use super::all as all_causes;
    use super::*;

    #[test]
    fn every_departure_has_advice_and_every_word_a_text() {
        use Departure::*;
        let all = [
            LogEnds,
            CurrentGone,
            SupplyDeaf,
            DrainDeaf,
            ClipOpen,
            ClipStill,
            NoSupplyFlow,
            PumpSilent,
            NeverDrains,
            DrainStaysOn,
            MainsLow,
            Dips,
            DropsOut,
            Opened,
            Chatters,
            SlowStart,
            Hammers,
            Siphons,
            FlowsBack,
            EmptiesLate,
            HeatCycles,
            HeatAtEnd,
            Unsteady,
            BeganAgain,
            BrokeOff,
            PumpStalls,
            NoDrainFlow,
            FlowWhenOff,
            SupplyCold,
            SupplyHot,
            NoHeat,
            CurrentLow,
            CurrentHigh,
            HoldNotReached,
            NeverPurged,
            PurgedTooOften,
            TooLong,
            Missing,
            TooShort,
            Extra,
        ];
        let kinds = [Kind::Fill, Kind::Wash, Kind::Heat, Kind::Drain, Kind::Dry, Kind::Pause];
        for (departure, does) in all.iter().flat_map(|d| kinds.map(|k| (*d, k))) {
            let advice = advise(departure, does);
            assert!(!advice.suspects.is_empty() && !advice.next.is_empty(), "{departure} {does}");
            assert!(!advice.caution.is_empty(), "{departure} {does}");
            assert!(advice.suspects.iter().all(|s| !s.text.is_empty()), "{departure} {does}: {advice:?}");
        }
        let known: Vec<&str> = all.iter().map(|d| d.word()).collect();
        assert!(FILE.departure.iter().all(|e| known.contains(&e.is.as_str())));
        for cause in all_causes() {
            assert!(FILE.suspect.contains_key(&cause.word), "{}", cause.word);
            let departures = cause.explains.keys().map(|k| k.split(' ').next().unwrap_or_default());
            assert!(departures.clone().all(|d| known.contains(&d)), "{cause:?}");
        }
    }

    /// Common practice, no source.
    #[test]
    fn what_the_trade_looks_at_first() {
        let first = |departure, does| advise(departure, does).suspects[0].word.clone();
        assert_eq!(first(Departure::NeverPurged, Kind::Wash), "drain-hose-loop");
        let starved = advise(Departure::CurrentLow, Kind::Wash);
        assert!(
            starved.suspects.iter().any(|s| s.word == "out-of-level"),
            "a machine out of level starves its pump"
        );
    }
}
