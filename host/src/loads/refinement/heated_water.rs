//! Heated water: without the wash pump the heater would boil the tub dry, so in water the pump runs with it and was only not seen.

use super::pass::{Evidence, Pass, Reading};
use crate::loads::programmes::{in_water, last_wash, programmes};
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "heated-water",
    unknown: "whether there is water in the tub: beside a heater the wash pump is lost in what the mains does to it",
    refine: heated_water,
};

/// Adds the wash pump to heat in water, up to the last wash of each run.
fn heated_water(reading: &mut Reading, _: &Evidence) {
    for run in programmes(&reading.spans) {
        let last_wash = last_wash(&reading.spans, &run).unwrap_or(run.start);
        for i in run.start..=last_wash {
            if !in_water(&reading.spans[run.start..i]) {
                continue;
            }
            match reading.spans[i].state {
                State::DryHeat => reading.spans[i].state = State::Heat,
                State::PartDry => reading.spans[i].state = State::PartHeat,
                _ => {}
            }
        }
    }
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
