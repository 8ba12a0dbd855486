//! Which suspects of the host's `causes.toml` are right for which fault: of the simulator, of the second world, and of those that are put into
//! real readings.

use tubtrace_simulator::machine::Fault;

/// The word of the check that names a fault of [`Fault::FIRST`].
#[must_use]
pub const fn departure_of(fault: Fault) -> Option<&'static str> {
    Some(match fault {
        Fault::NoHeat => "no-heat",
        Fault::ColdSupply => "supply-cold",
        Fault::SlowFill => "too-long",
        Fault::NoDrainFlow => "no-drain-flow",
        Fault::PumpWontStart => "pump-stalls",
        Fault::LeakingValve => "flow-when-off",
        Fault::StopAndRestart => "began-again",
        Fault::HoldNotReached => "current-low",
        Fault::NoPurge => "never-purged",
        _ => return None,
    })
}

/// The suspect that is the injected fault.
#[must_use]
pub const fn suspect_of(fault: Fault) -> &'static str {
    causes_of(fault)[0]
}

/// The suspects of which any is right: what looks the same to every clip is one answer.
#[must_use]
pub const fn causes_of(fault: Fault) -> &'static [&'static str] {
    match fault {
        Fault::ColdSupply => &["house-water-cold", "long-pipe"],
        Fault::SlowFill => &["flow-low", "inlet-valve-weak"],
        Fault::ShortFill => &["fill-level-short"],
        Fault::NoWater => &["water-shut-off", "inlet-valve-open"],
        Fault::LeakingValve => &["inlet-valve-leaks"],
        Fault::WaterHammer => &["water-hammer"],
        Fault::NoHeat => &["element-open", "control-relay"],
        Fault::WeakElement | Fault::HoldNotReached => &["element-part-open"],
        Fault::LimiterCycling => &["limit-thermostat"],
        Fault::HeatWithoutWater | Fault::HeatStuckOn => &["heater-relay-stuck"],
        Fault::SensorReadsLow => &["temperature-sensor"],
        Fault::PumpWontStart => &["wash-pump-seized"],
        Fault::PumpOpen => &["wash-pump-wiring"],
        Fault::PumpSlowStart => &["wash-pump-start", "wash-pump-bearing"],
        Fault::PumpWeak => &["wash-pump-worn"],
        Fault::PumpStarved => &["out-of-level", "suction-blocked"],
        Fault::PumpIntermittent => &["wash-pump-intermittent"],
        Fault::DrainOpen => &["triac-or-relay-drain"],
        Fault::NoDrainFlow => &["drain-blocked"],
        Fault::SlowDrain => &["drain-pump-weak", "drain-blocked"],
        Fault::SiphonsOut | Fault::NoPurge => &["drain-hose-loop"],
        Fault::FlowsBack => &["air-gap-or-check-valve"],
        Fault::DispenserOpen => &["dispenser-open"],
        Fault::DispenserStuck => &["dispenser-stuck"],
        Fault::VentOpen | Fault::VentStuck => &["vent-or-fan"],
        Fault::IntervalShort | Fault::IntervalLong | Fault::WrongOrder => {
            &["control-timing", "programme-changed"]
        }
        Fault::WaterSkipped | Fault::WaterRepeated => &["programme-changed", "control-timing"],
        Fault::StopAndRestart => &["control-resets"],
        Fault::StopsHalfway => &["mains-lost", "control-resets"],
        Fault::RelayChatter => &["relay-chatters"],
        Fault::RelayWelded => &["drain-relay-welded"],
        Fault::TimerDrift => &["control-clock"],
        Fault::PowerDropout => &["mains-dip"],
        Fault::BrownOut => &["mains-low"],
        Fault::DoorOpened => &["door-latch"],
        Fault::ClampFellOff => &["clamp-off"],
        Fault::ClampOnTwo => &["clamp-on-two"],
        Fault::ClampSaturated => &["clamp-range"],
        Fault::PickupLoose => &["pickup-loose"],
        Fault::ClipFellOff => &["clip-off"],
        Fault::SensorOpen => &["clip-open"],
        Fault::BatteryDied => &["logger-battery"],
    }
}

/// The same for a fault of the second world, or one that is put into real readings; none where there is no such fault.
#[must_use]
pub fn causes_named(fault: &str) -> &'static [&'static str] {
    match fault {
        "no-heat" | "no heat" => &["element-open", "control-relay"],
        "half-heat" | "weak-heat" | "half heat" | "heater at 85 %" => &["element-part-open"],
        "heater-stays-on" | "heater stays on" => &["heater-relay-stuck"],
        "slow fill" => &["flow-low", "inlet-valve-weak"],
        // Where the control gives up before there is enough, little water is as good as none.
        "slow-fill" => &["flow-low", "inlet-valve-weak", "water-shut-off"],
        "no-fill" => &["water-shut-off", "inlet-valve-open"],
        "long-drain" | "long drain" => &["drain-blocked", "drain-pump-weak"],
        // Of the second world's, some draw nothing and some are jammed and draw more.
        "drain-dead" => &["triac-or-relay-drain", "drain-blocked"],
        "no drain pump" => &["triac-or-relay-drain"],
        // The pump runs and moves nothing.
        "never-empties" => &["drain-blocked", "drain-pump-weak"],
        "drain-stays-on" | "drain stays on" => &["drain-relay-welded"],
        // Steadily less power: worn, or starved without drawing air.
        "weak-wash" | "weak wash pump" => &["wash-pump-worn", "suction-blocked"],
        "wash-stalls" => &["wash-pump-seized"],
        // The second world's is that of the heater or of the wash pump.
        "relay-chatters" => &["relay-chatters", "control-relay"],
        "cut-off" | "cut off" => &["mains-lost", "control-resets"],
        "restarted" => &["control-resets", "mains-lost"],
        "added-rinse" | "missing-rinse" | "an added rinse" | "a missing rinse" => {
            &["programme-changed", "control-timing"]
        }
        "dispenser-stuck" => &["dispenser-stuck"],
        "vent-stuck-open" => &["vent-or-fan"],
        _ => &[],
    }
}

/// Whether the current alone cannot show the fault of the simulator: it is heard, or felt by the clips.
#[must_use]
pub const fn is_heard_or_felt(fault: Fault) -> bool {
    matches!(
        fault,
        Fault::ColdSupply
            | Fault::LeakingValve
            | Fault::WaterHammer
            | Fault::NoDrainFlow
            | Fault::SlowDrain
            | Fault::SiphonsOut
            | Fault::FlowsBack
            | Fault::NoPurge
            | Fault::ClampFellOff
            | Fault::ClampOnTwo
            | Fault::PickupLoose
            | Fault::ClipFellOff
            | Fault::SensorOpen
    )
}

/// Why one to three cycles of an unknown machine cannot show the fault, whatever is asked of them: a healthy machine of another make, or another
/// programme, does the same. None where they can. Common practice, no source.
#[must_use]
pub fn cannot_be_told(fault: &str) -> Option<&'static str> {
    let of_simulator: [(&[Fault], &str); 6] = [
        (&[Fault::ColdSupply], "many machines are fed cold"),
        (&[Fault::NoPurge], "light soil needs no purge"),
        (&[Fault::DispenserOpen], NO_DISPENSER),
        (&[Fault::VentOpen], "many machines dry without a vent"),
        (&[Fault::IntervalShort, Fault::IntervalLong, Fault::TimerDrift], "programmes differ in their times"),
        (&[Fault::PumpWeak], WEAK_PUMP),
    ];
    match fault {
        "added-rinse" | "missing-rinse" | "an added rinse" | "a missing rinse" => Some(WATERS),
        "weak-wash" | "weak wash pump" => Some(WEAK_PUMP),
        "dispenser-stuck" => Some(NO_DISPENSER),
        "vent-stuck-open" => {
            Some("a vent that stands open draws nothing, and how fast a tub cools differs by machine")
        }
        "WaterSkipped" | "WaterRepeated" => Some(WATERS),
        _ => {
            let named = |(faults, _): &(&[Fault], &str)| faults.iter().any(|f| format!("{f:?}") == fault);
            of_simulator.into_iter().find(named).map(|(_, why)| why)
        }
    }
}

const WATERS: &str = "programmes differ in the number of their waters";
const WEAK_PUMP: &str = "what a wash pump draws differs by machine and speed";
const NO_DISPENSER: &str =
    "a dispenser that stays shut draws nothing, as in a programme without, and some are powered for minutes";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::real::faults::ALL;
    use crate::second_world::faults;

    #[test]
    fn something_is_right_for_every_fault() {
        let names: Vec<&str> = faults().chain(ALL.iter().map(|(_, name, _)| *name)).collect();
        assert!(names.len() > 30, "{}", names.len());
        for name in names {
            assert!(!causes_named(name).is_empty(), "{name}");
        }
    }
}
