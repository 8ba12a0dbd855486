//! What each load of one machine draws, as the machine's file says it: given before a log is read, so that it is not learned from each log
//! anew.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use tubtrace_units::{Amps, Seconds, Volts, Watts};

use super::constants::emission::LEVEL_SPREAD;
use super::constants::runs::{RESTS_BY_FAR, RESTS_SEEN, RUNS_APART, RUNS_APART_LEAST};
use super::signatures::{Heater, Signatures, Small};

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drawn {
    /// By the machine with all loads off.
    Standby,
    /// By the fill valve alone.
    FillValve,
    /// By the drain pump alone.
    DrainPump,
    /// By the wash pump alone.
    WashPump,
    /// By a wash pump of several speeds at its slowest.
    WashPumpSlowest,
    /// By a wash pump of several speeds at its fastest.
    WashPumpFastest,
    /// By the heater in water, the wash pump included.
    HeaterInWater,
    /// By the heater without the pump.
    HeaterInAir,
    /// By a vent or a fan alone.
    Vent,
}

impl Drawn {
    /// All of them, in the order in which a file has them.
    pub const ALL: [Self; 9] = [
        Self::Standby,
        Self::FillValve,
        Self::DrainPump,
        Self::WashPump,
        Self::WashPumpSlowest,
        Self::WashPumpFastest,
        Self::HeaterInWater,
        Self::HeaterInAir,
        Self::Vent,
    ];

    /// Its word in a machine file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Standby => "standby",
            Self::FillValve => "fill-valve",
            Self::DrainPump => "drain-pump",
            Self::WashPump => "wash-pump",
            Self::WashPumpSlowest => "wash-pump-slowest",
            Self::WashPumpFastest => "wash-pump-fastest",
            Self::HeaterInWater => "heater-in-water",
            Self::HeaterInAir => "heater-in-air",
            Self::Vent => "vent",
        }
    }
}

/// How much is drawn, over cycles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// The middle of the cycles: above standby, and for standby itself above nothing.
    pub amps: Amps,
    /// How far cycles differ from it: a standard deviation.
    pub spread: Amps,
    /// In how many cycles it was seen.
    pub seen: u32,
}

/// For how long all loads of a machine rest in an empty tub, between two things of one programme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    /// The longest of all cycles.
    pub longest: Seconds,
    /// In how many cycles it was looked for.
    pub seen: u32,
}

/// What the loads of one machine draw, and how long they rest; empty where nothing is known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draws {
    of: BTreeMap<Drawn, Draw>,
    /// How long they rest, if that is known.
    rest: Option<Rest>,
}

impl FromIterator<(Drawn, Draw)> for Draws {
    fn from_iter<I: IntoIterator<Item = (Drawn, Draw)>>(draws: I) -> Self {
        Self { of: draws.into_iter().collect(), rest: None }
    }
}

/// Loads of which the first draws less than the second, on every machine. Common practice, no source.
const LESS_THAN: [(Drawn, Drawn); 8] = [
    (Drawn::Standby, Drawn::DrainPump),
    (Drawn::Standby, Drawn::WashPump),
    (Drawn::FillValve, Drawn::DrainPump),
    (Drawn::FillValve, Drawn::WashPump),
    (Drawn::DrainPump, Drawn::HeaterInAir),
    (Drawn::DrainPump, Drawn::HeaterInWater),
    (Drawn::WashPump, Drawn::HeaterInAir),
    (Drawn::WashPump, Drawn::HeaterInWater),
];

impl Draws {
    /// What is known of one.
    #[must_use]
    pub fn get(&self, of: Drawn) -> Option<Draw> {
        self.of.get(&of).copied()
    }

    /// The same machine as a meter of another scale reads it.
    #[must_use]
    pub fn scaled(&self, by: f64) -> Self {
        let scaled =
            |(of, draw): (Drawn, Draw)| (of, Draw { amps: draw.amps * by, spread: draw.spread * by, ..draw });
        self.iter().map(scaled).collect::<Self>().resting(self.rest)
    }

    /// Two loads of which the first draws more than the second, and on no machine does.
    #[must_use]
    pub fn out_of_order(&self) -> Option<(Drawn, Drawn)> {
        let amps = |of| self.get(of).map(|draw| draw.amps);
        LESS_THAN.into_iter().find(|&(less, more)| amps(less).zip(amps(more)).is_some_and(|(a, b)| a > b))
    }

    /// All that is known, in the order of a file.
    pub fn iter(&self) -> impl Iterator<Item = (Drawn, Draw)> + '_ {
        self.of.iter().map(|(of, draw)| (*of, *draw))
    }

    /// How long they rest, if that is known.
    #[must_use]
    pub const fn rest(&self) -> Option<Rest> {
        self.rest
    }

    /// Whether the loads of a log can be told by it: valve and both pumps are known.
    #[must_use]
    pub fn tell_loads(&self) -> bool {
        [Drawn::FillValve, Drawn::DrainPump, Drawn::WashPump].iter().all(|of| self.of.contains_key(of))
    }

    /// The same of a machine that rests for so long.
    #[must_use]
    pub fn resting(self, rest: Option<Rest>) -> Self {
        Self { rest, ..self }
    }

    /// Idle time in an empty tub after which another run begins: by far more than within any programme that was seen, and what holds for every
    /// machine where few were.
    #[must_use]
    pub fn apart(&self) -> Seconds {
        let seen = self.rest.filter(|rest| rest.seen >= RESTS_SEEN.get());
        let own = |rest: Rest| (rest.longest * RESTS_BY_FAR.get()).max(RUNS_APART_LEAST.get());
        seen.map_or(RUNS_APART.get(), own).min(RUNS_APART.get())
    }

    /// Power of one at these nominal volts.
    pub(super) fn watts(&self, of: Drawn, volts: Volts) -> Option<Watts> {
        self.get(of).map(|draw| Watts(draw.amps.0 * volts.0))
    }

    fn spread(&self, of: Drawn, volts: Volts) -> f64 {
        self.get(of).map_or(0.0, |draw| draw.spread.0 * volts.0)
    }

    /// The levels at these nominal volts; what is not known stays as it is in `start`, and standby as well, which is a log's own. So a
    /// vent that no programme of the file has may still run in one that it does not have.
    pub(super) fn signatures(&self, start: Signatures, volts: Volts) -> Signatures {
        let of = |drawn: Drawn| self.watts(drawn, volts);
        let mut given = Signatures {
            fill: of(Drawn::FillValve).unwrap_or(start.fill),
            drain: of(Drawn::DrainPump).unwrap_or(start.drain),
            wash: of(Drawn::WashPump).unwrap_or(start.wash),
            small: of(Drawn::Vent).map_or(start.small, |level| {
                let spread = level * LEVEL_SPREAD.get();
                Some(Small { level, spread: Watts(spread.0.hypot(self.spread(Drawn::Vent, volts))) })
            }),
            given: true,
            speeds: of(Drawn::WashPumpSlowest).zip(of(Drawn::WashPumpFastest)),
            ..start
        };
        let (pump, standby) = (given.fastest(), given.standby);
        let (wet, dry) = (of(Drawn::HeaterInWater), of(Drawn::HeaterInAir));
        given.heater = wet.or(dry.map(|dry| dry + pump)).map(|wet| {
            let (level, dry) = (standby + wet, standby + dry.unwrap_or(wet - pump));
            Heater { level, dry, threshold: level * 0.5 }
        });
        given
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_another_scale_a_machine_draws_otherwise_and_rests_as_long() {
        let draw = |amps: f64| Draw { amps: Amps(amps), spread: Amps(amps / 10.0), seen: 4 };
        let rest = Some(Rest { longest: Seconds(90.0), seen: 4 });
        let of = |amps: f64| Draws::from_iter([(Drawn::WashPump, draw(amps))]).resting(rest);
        assert_eq!(of(0.4).scaled(0.5), of(0.2));
    }
}
