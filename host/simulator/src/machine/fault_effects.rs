//! What a fault does to relays, currents and flows, from moment to moment.

use rand::RngExt;
use tubtrace_units::{Celsius, LitresPerMinute, Load, Loads, Seconds};

use super::fault::{Fault, Trouble};
use crate::random::Random;

const NO_FLOW: LitresPerMinute = LitresPerMinute(0.0);

/// The effects of the fault that a machine has; of none, everything is as it should be.
#[derive(Clone, Debug)]
pub(super) struct FaultEffects {
    trouble: Option<Trouble>,
    /// When an effect that comes once comes, from the start of the programme.
    when: Seconds,
    /// Steps of 10 ms since the programme started; before it, none.
    clock: Option<u32>,
    /// Since the programme ended.
    after: u32,
    /// The welded relay has closed.
    welded: bool,
    /// What flows back, for so many steps yet.
    back: u32,
}

impl FaultEffects {
    pub const fn none() -> Self {
        Self { trouble: None, when: Seconds(0.0), clock: None, after: 0, welded: false, back: 0 }
    }

    pub fn of(trouble: Trouble, random: &mut Random) -> Self {
        // Within the first hour, which every programme lasts.
        Self { trouble: Some(trouble), when: Seconds(random.random_range(400.0..2_400.0)), ..Self::none() }
    }

    pub const fn begin(&mut self) {
        self.clock = Some(0);
    }

    fn has(&self, fault: Fault) -> Option<Trouble> {
        self.trouble.filter(|t| t.fault == fault)
    }

    fn is(&self, fault: Fault) -> bool {
        self.has(fault).is_some()
    }

    fn now(&self) -> Option<Seconds> {
        self.clock.map(|clock| Seconds(f64::from(clock) / 100.0))
    }

    /// Ten milliseconds pass; gives what there is of the mains.
    pub fn pass(&mut self, ended: bool) -> f64 {
        let Some(clock) = &mut self.clock else { return 1.0 };
        *clock += 1;
        if ended {
            self.after += 1;
        }
        let Some(into) = self.now().map(|now| now - self.when).filter(|i| *i > Seconds(0.0)) else {
            return 1.0;
        };
        if let Some(trouble) = self.has(Fault::PowerDropout)
            && into < Seconds(trouble.between(1.5, 25.0))
        {
            return 0.0;
        }
        if let Some(trouble) = self.has(Fault::BrownOut)
            && into < Seconds(trouble.between(90.0, 420.0))
        {
            return trouble.between(0.86, 0.72);
        }
        1.0
    }

    /// Whether something goes on after the programme.
    pub fn goes_on(&self) -> bool {
        self.welded && self.after < 20_000
    }

    /// The relays as they really are.
    pub fn relays(&mut self, wanted: Loads, elapsed: Seconds) -> Loads {
        let Some(trouble) = self.trouble else { return wanted };
        let now = self.now();
        let running = now.is_some() && self.after == 0;
        match trouble.fault {
            Fault::PumpOpen => wanted.with(Load::WashPump, false),
            Fault::PumpIntermittent => {
                // Out for some seconds in every two or three minutes.
                let out = now.is_some_and(|n| n.0 % 157.0 < trouble.between(4.0, 25.0));
                wanted.with(Load::WashPump, wanted.has(Load::WashPump) && !out)
            }
            Fault::RelayChatter => {
                let open = elapsed < Seconds(trouble.between(1.5, 6.0)) && elapsed.0 % 0.4 > 0.2;
                wanted.with(Load::WashPump, wanted.has(Load::WashPump) && !open)
            }
            Fault::DrainOpen => wanted.with(Load::DrainPump, false),
            Fault::RelayWelded => {
                self.welded |= wanted.has(Load::DrainPump);
                wanted.with(Load::DrainPump, self.welded && self.after < 20_000)
            }
            Fault::DispenserOpen => wanted.with(Load::Dispenser, false),
            Fault::DispenserStuck => {
                self.welded |= wanted.has(Load::Dispenser);
                wanted.with(Load::Dispenser, self.welded && running)
            }
            Fault::VentOpen => wanted.with(Load::Vent, false),
            Fault::VentStuck => wanted.with(Load::Vent, running),
            _ => wanted,
        }
    }

    pub fn heater_part(&self, elapsed: Seconds) -> f64 {
        match self.trouble {
            Some(Trouble { fault: Fault::NoHeat, .. }) => 0.0,
            Some(Trouble { fault: Fault::HoldNotReached, .. }) => 0.3,
            Some(t) if t.fault == Fault::WeakElement => t.between(0.82, 0.5),
            // 50 s of heat, then the limiter cools.
            Some(t) if t.fault == Fault::LimiterCycling => {
                if elapsed.0 % (50.0 + t.between(20.0, 60.0)) < 50.0 { 1.0 } else { 0.0 }
            }
            _ => 1.0,
        }
    }

    pub fn is_seized(&self) -> bool {
        self.is(Fault::PumpWontStart)
    }

    /// Of its current, what the wash pump draws for its own reasons.
    pub fn pump_part(&self, elapsed: Seconds) -> f64 {
        match self.trouble {
            // Locked rotor for 7 s, then the protector stays open until the winding has cooled.
            Some(Trouble { fault: Fault::PumpWontStart, .. }) => {
                if elapsed.0 % 55.0 < 7.0 {
                    3.6
                } else {
                    0.0
                }
            }
            Some(t) if t.fault == Fault::PumpSlowStart && elapsed < Seconds(t.between(1.5, 5.0)) => 3.2,
            Some(t) if t.fault == Fault::PumpWeak => t.between(0.82, 0.6),
            _ => 1.0,
        }
    }

    /// How much of what the pump draws is air.
    pub fn air(&self) -> f64 {
        self.has(Fault::PumpStarved).map_or(0.0, |t| t.between(0.35, 0.9))
    }

    pub fn inflow(&self, open: LitresPerMinute, valve: bool) -> LitresPerMinute {
        match self.trouble {
            Some(t) if t.fault == Fault::SlowFill && valve => open * t.between(0.6, 0.33),
            Some(t) if t.fault == Fault::LeakingValve && !valve => open * t.between(0.02, 0.035),
            Some(Trouble { fault: Fault::NoWater, .. }) => NO_FLOW,
            _ if valve => open,
            _ => NO_FLOW,
        }
    }

    pub fn supply(&self, usual: Celsius) -> Celsius {
        self.has(Fault::ColdSupply).map_or(usual, |t| usual * t.between(0.7, 0.3))
    }

    /// The blow with which the valve shuts.
    pub fn blow(&self) -> f64 {
        self.has(Fault::WaterHammer).map_or(1.0, |t| t.between(4.0, 12.0))
    }

    pub fn outflow(&self, pump: LitresPerMinute, pumped: bool) -> LitresPerMinute {
        match self.trouble {
            Some(Trouble { fault: Fault::NoDrainFlow, .. }) => NO_FLOW,
            Some(t) if t.fault == Fault::SlowDrain && pumped => pump * t.between(0.5, 0.25),
            Some(t) if t.fault == Fault::SiphonsOut && !pumped => LitresPerMinute(t.between(0.3, 0.9)),
            _ if pumped => pump,
            _ => NO_FLOW,
        }
    }

    /// What comes back through the hose, for a while after a drain.
    pub fn flows_back(&mut self, drained: bool) -> LitresPerMinute {
        let Some(trouble) = self.has(Fault::FlowsBack) else { return NO_FLOW };
        if drained {
            self.back = trouble.between(600.0, 1_800.0) as u32;
        }
        self.back = self.back.saturating_sub(1);
        if self.back > 0 { LitresPerMinute(trouble.between(2.0, 4.0)) } else { NO_FLOW }
    }
}
