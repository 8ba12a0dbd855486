//! The control at work: relays, flows and water, every 10 ms.

use rand::RngExt;
use tubtrace_units::{Celsius, Joules, Litres, LitresPerMinute, Load, Loads, Seconds, Volts};

use super::water::{Line, Tub};
use super::{Appliance, Fault, Step};
use crate::Random;
use crate::truth::Doing;

/// The time step.
pub const STEP: Seconds = Seconds(0.01);

/// Water below which the wash pump draws air.
const STARVED: Litres = Litres(2.4);

/// What clips could feel in 10 ms.
#[derive(Clone, Copy, Debug, Default)]
pub struct Moment {
    /// Loads that draw current.
    pub loads: Loads,
    /// Of the heater's nominal current, what it draws.
    pub heater_part: f64,
    /// Of the wash pump's: more when its rotor is locked, less and wandering when it draws air.
    pub pump_part: f64,
    /// In the supply line.
    pub supply_flow: LitresPerMinute,
    /// In the drain hose.
    pub drain_flow: LitresPerMinute,
    /// Water in the pipe under the supply clip.
    pub supply: Celsius,
    /// Water in the hose under the drain clip.
    pub drain: Celsius,
}

/// A machine in its kitchen. Runs a programme when told to, and is idle otherwise.
#[derive(Clone, Debug)]
pub struct Machine {
    pub(crate) appliance: Appliance,
    steps: std::collections::VecDeque<Step>,
    /// Steps of 10 ms into the present step of the programme.
    ticks: u32,
    fault: Option<Fault>,
    tub: Tub,
    supply: Line,
    drain: Line,
    surge: f64,
}

impl Machine {
    /// An idle machine, at room temperature and dry.
    #[must_use]
    pub fn new(appliance: Appliance) -> Self {
        let room = appliance.room;
        Self {
            steps: [].into(),
            ticks: 0,
            fault: None,
            tub: Tub { water: Litres(0.0), temperature: room },
            supply: Line::new(room, Litres(0.9)),
            drain: Line::new(room, Litres(0.35)),
            surge: 1.0,
            appliance,
        }
    }

    /// Brings a fault about, or mends it; either way somebody has bailed out the tub.
    pub fn set_fault(&mut self, fault: Option<Fault>) {
        self.fault = fault;
        self.tub.water = Litres(0.0);
    }

    /// Starts a programme.
    pub fn start(&mut self, steps: Vec<Step>) {
        (self.steps, self.ticks) = (steps.into(), 0);
    }

    /// Whether no programme runs.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        self.steps.is_empty()
    }

    /// What the control is doing, for the truth.
    #[must_use]
    pub fn doing(&self) -> Doing {
        match self.steps.front() {
            None => Doing::Idle,
            Some(Step::Fill(..)) => Doing::Fill,
            Some(Step::Wash(_) | Step::Dispense(_)) => Doing::Wash,
            Some(Step::Hold(..)) => Doing::Heat,
            Some(Step::Purge) => Doing::Purge,
            Some(Step::Drain(_)) => Doing::Drain,
            Some(Step::DryHeat(_) | Step::Vent(_)) => Doing::Dry,
            Some(Step::Pause(_)) => Doing::Pause,
        }
    }

    /// Ten milliseconds pass, at these volts.
    pub fn advance(&mut self, volts: Volts, random: &mut Random) -> Moment {
        while self.steps.front().is_some_and(|s| self.is_over(s)) {
            self.steps.pop_front();
            self.ticks = 0;
        }
        let relays = self.steps.front().map_or(Loads::NONE, |s| relays(s, self.elapsed()));
        self.ticks += 1;
        self.physics(relays, volts, random)
    }

    fn elapsed(&self) -> Seconds {
        Seconds(f64::from(self.ticks) / 100.0)
    }

    fn is_over(&self, step: &Step) -> bool {
        match *step {
            Step::Fill(to, limit) => self.tub.water >= to || self.elapsed() >= limit,
            Step::Hold(until, limit) => self.tub.temperature >= until || self.elapsed() >= limit,
            Step::Purge => self.elapsed() >= Seconds(10.0),
            Step::Wash(time)
            | Step::Dispense(time)
            | Step::Drain(time)
            | Step::DryHeat(time)
            | Step::Vent(time)
            | Step::Pause(time) => self.elapsed() >= time,
        }
    }

    fn physics(&mut self, relays: Loads, volts: Volts, random: &mut Random) -> Moment {
        let room = self.appliance.room;
        let heater_part = match self.fault {
            Some(Fault::NoHeat) => 0.0,
            Some(Fault::HoldNotReached) => 0.3,
            _ => 1.0,
        };
        let pump_part = self.pump_part(relays.has(Load::WashPump), random);
        let pumping = pump_part > 0.0 && self.fault != Some(Fault::PumpWontStart);
        let loads = relays
            .with(Load::Heater, relays.has(Load::Heater) && heater_part > 0.0)
            .with(Load::WashPump, pump_part > 0.0);

        let supply_flow = self.inflow(relays.has(Load::FillValve));
        let supply_water = match self.fault {
            Some(Fault::ColdSupply) => self.appliance.supply * 0.3,
            _ => self.appliance.supply,
        };
        self.supply.flow(supply_flow, supply_water, room, STEP);
        self.tub.fill(supply_flow.during(STEP), self.supply.temperature);

        let wanted = match self.fault {
            Some(Fault::NoDrainFlow) => Litres(0.0),
            _ if relays.has(Load::DrainPump) => self.appliance.outlet.during(STEP),
            _ => Litres(0.0),
        };
        let drain_flow = LitresPerMinute(self.tub.drain(wanted).0 * 60.0 / STEP.0);
        self.drain.flow(drain_flow, self.tub.temperature, room, STEP);

        let energy = if loads.has(Load::Heater) {
            (volts.across(self.appliance.heater) * heater_part).during(STEP)
        } else {
            Joules(0.0)
        };
        self.tub.heat(energy, room, pumping, STEP);

        Moment {
            loads,
            heater_part,
            pump_part,
            supply_flow,
            drain_flow,
            supply: self.supply.temperature,
            drain: self.drain.temperature,
        }
    }

    fn pump_part(&mut self, relay: bool, random: &mut Random) -> f64 {
        if !relay {
            return 0.0;
        }
        if self.fault == Some(Fault::PumpWontStart) {
            // Locked rotor for 7 s, then the protector stays open until the winding has cooled.
            return if self.elapsed().0 % 55.0 < 7.0 { 3.6 } else { 0.0 };
        }
        let air = 1.0 - (self.tub.water / STARVED).clamp(0.0, 1.0);
        self.surge += (1.0 - self.surge) * 0.02 + random.random_range(-0.06..0.06);
        self.surge = self.surge.clamp(0.5, 1.2);
        1.0 + air * (0.72 * self.surge - 1.0)
    }

    fn inflow(&self, valve: bool) -> LitresPerMinute {
        let open = self.appliance.inlet;
        match self.fault {
            Some(Fault::SlowFill) if valve => open * 0.33,
            Some(Fault::LeakingValve) if !valve => open * 0.035,
            _ if valve => open,
            _ => LitresPerMinute(0.0),
        }
    }
}

/// The relays that a step closes, `into` it.
fn relays(step: &Step, into: Seconds) -> Loads {
    const WASH: Loads = Loads::of(&[Load::WashPump]);
    match *step {
        Step::Fill(..) => Loads::of(&[Load::FillValve]),
        Step::Wash(_) => WASH,
        Step::Dispense(_) => WASH.with(Load::Dispenser, true),
        Step::Hold(..) => WASH.with(Load::Heater, true),
        Step::Purge => WASH.with(Load::FillValve, true).with(Load::DrainPump, into < Seconds(5.0)),
        Step::Drain(_) => Loads::of(&[Load::DrainPump]),
        Step::DryHeat(_) => Loads::of(&[Load::Heater]),
        Step::Vent(_) => Loads::of(&[Load::Vent]),
        Step::Pause(_) => Loads::NONE,
    }
}
