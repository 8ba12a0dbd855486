//! Which suspects of the host's `causes.toml` are right for which fault of the simulator.

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
