//! Heated water: without the wash pump the heater would boil the tub dry, so in water the pump runs with it and was only not seen.

use super::{Evidence, Pass, Reading, Span, State};
use crate::loads::constants::PURGE_PART;
use crate::loads::programmes::{fills_long, last_wash, programmes};

pub(super) const PASS: Pass = Pass {
    name: "heated-water",
    unknown: "whether there is water in the tub: beside a heater the wash pump is lost in what the mains does to it",
    refine: heated_water,
};

/// Adds the wash pump to heat in water, up to the last wash of each run.
fn heated_water(reading: &mut Reading, evidence: &Evidence) {
    let pickups = evidence.trace.has_pickups();
    for run in programmes(&reading.spans) {
        let last_wash = last_wash(&reading.spans, &run).unwrap_or(run.start);
        for i in run.start..=last_wash {
            let wet = |spans: &[Span]| !pickups || in_water(&spans[run.start..i]);
            match reading.spans[i].state {
                State::DryHeat if wet(&reading.spans) => reading.spans[i].state = State::Heat,
                State::PartDry if wet(&reading.spans) => reading.spans[i].state = State::PartHeat,
                _ => {}
            }
        }
    }
}

/// Whether there is water in the tub after these spans: the last of them that moved water was a fill, or none moved any.
fn in_water(before: &[Span]) -> bool {
    let comes = |s: &Span| s.state == State::Fill || fills_long(s);
    let moves = |s: &&Span| s.duration() > PURGE_PART && (comes(s) || s.state.drains());
    before.iter().rev().find(moves).is_none_or(comes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{heard, pass, spans};

    /// Heat after a fill, heat after a drain, and heat after the last wash.
    #[test]
    fn heat_in_water_has_the_pump_with_it() {
        let model = spans(&[
            (State::Fill, 60.0),
            (State::DryHeat, 300.0),
            (State::PartDry, 300.0),
            (State::Wash, 300.0),
            (State::Drain, 60.0),
            (State::DryHeat, 300.0),
            (State::Wash, 300.0),
            (State::DryHeat, 300.0),
        ]);
        let refined = pass("heated-water", model, &heard(&[(1_920, 1_800.0)], &[])).spans;
        let states: Vec<State> = refined.iter().map(|s| s.state).collect();
        let (fill, drain, wash) = (State::Fill, State::Drain, State::Wash);
        let (wet, part, dry) = (State::Heat, State::PartHeat, State::DryHeat);
        assert_eq!(states, [fill, wet, part, wash, drain, dry, wash, dry]);
    }
}
