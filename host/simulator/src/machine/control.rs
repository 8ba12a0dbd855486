//! The control at work: relays, flows and water, every 10 ms.

use std::collections::VecDeque;

use rand::RngExt;
use tubtrace_units::{Celsius, Joules, Litres, LitresPerMinute, Load, Loads, Seconds, Volts};

use super::appliance::Appliance;
use super::doing::Doing;
use super::fault::Trouble;
use super::fault_effects::FaultEffects;
use super::programme_step::ProgrammeStep;
use super::water::{Line, Tub};
use crate::random::Random;

/// How far the simulated time goes in one step.
pub const STEP: Seconds = Seconds(0.01);

/// Water below which the wash pump draws air.
const STARVED: Litres = Litres(2.4);

/// Water at the end of a fill below which the control gives up.
const TOO_LITTLE: Litres = Litres(0.8);

/// What clips could feel in 10 ms.
#[derive(Clone, Copy, Debug)]
pub struct Moment {
    /// Loads that draw current.
    pub loads: Loads,
    /// Of nominal, what the house's mains gives beyond its own wander: less in a brown-out, nothing in a dropout.
    pub mains: f64,
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
    /// A blow in the supply pipe, as a multiple of what a valve that shuts makes.
    pub blow: f64,
}

/// A machine in its kitchen. Runs a programme when told to, and is idle otherwise.
#[derive(Clone, Debug)]
pub struct Machine {
    pub(crate) appliance: Appliance,
    steps: VecDeque<ProgrammeStep>,
    /// Steps of 10 ms into the present step of the programme.
    ticks: u32,
    effects: FaultEffects,
    tub: Tub,
    supply: Line,
    drain: Line,
    surge: f64,
    was_draining: bool,
    was_filling: bool,
}

impl Machine {
    /// An idle machine, at room temperature and dry.
    #[must_use]
    pub fn new(appliance: Appliance) -> Self {
        let room = appliance.room;
        Self {
            steps: [].into(),
            ticks: 0,
            effects: FaultEffects::none(),
            tub: Tub { water: Litres(0.0), temperature: room },
            supply: Line::new(room, Litres(0.9)),
            drain: Line::new(room, Litres(0.35)),
            surge: 1.0,
            was_draining: false,
            was_filling: false,
            appliance,
        }
    }

    /// Brings trouble about, or mends it; either way somebody has bailed out the tub.
    pub fn set_trouble(&mut self, trouble: Option<Trouble>, random: &mut Random) {
        self.effects = trouble.map_or_else(FaultEffects::none, |t| FaultEffects::of(t, random));
        self.tub.water = Litres(0.0);
    }

    /// Starts a programme of these steps, in this order.
    pub fn start(&mut self, steps: Vec<ProgrammeStep>) {
        (self.steps, self.ticks) = (steps.into(), 0);
        self.effects.begin();
    }

    /// Whether no programme runs and nothing goes on after it.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        self.steps.is_empty() && !self.effects.goes_on()
    }

    /// What the control is doing, for the truth.
    #[must_use]
    pub fn doing(&self) -> Doing {
        match self.steps.front() {
            None => Doing::Idle,
            Some(ProgrammeStep::Fill(..)) => Doing::Fill,
            Some(ProgrammeStep::Wash(_) | ProgrammeStep::Dispense(_)) => Doing::Wash,
            Some(ProgrammeStep::Hold(..)) => Doing::Heat,
            Some(ProgrammeStep::Purge) => Doing::Purge,
            Some(ProgrammeStep::Drain(_)) => Doing::Drain,
            Some(ProgrammeStep::DryHeat(_) | ProgrammeStep::Vent(_)) => Doing::Dry,
            Some(ProgrammeStep::Pause(_)) => Doing::Pause,
        }
    }

    /// Ten milliseconds pass, at these volts.
    pub fn advance(&mut self, volts: Volts, random: &mut Random) -> Moment {
        let mains = self.effects.pass(self.steps.is_empty());
        if mains == 0.0 {
            // The control keeps its place, and goes on when the mains is back.
            return Moment { mains, ..self.physics(Loads::NONE, Volts(0.0), random) };
        }
        while self.steps.front().is_some_and(|s| self.is_over(s)) {
            let over = self.steps.pop_front();
            self.ticks = 0;
            if matches!(over, Some(ProgrammeStep::Fill(..))) && self.tub.water < TOO_LITTLE {
                // No water came: it drains what there is and stops.
                self.steps = [ProgrammeStep::Drain(Seconds(30.0))].into();
            }
        }
        let relays = self.steps.front().map_or(Loads::NONE, |s| relays(s, self.elapsed()));
        let relays = self.effects.relays(relays, self.elapsed());
        self.ticks += 1;
        Moment { mains, ..self.physics(relays, volts * mains, random) }
    }

    fn elapsed(&self) -> Seconds {
        Seconds(f64::from(self.ticks) / 100.0)
    }

    fn is_over(&self, step: &ProgrammeStep) -> bool {
        match *step {
            ProgrammeStep::Fill(to, limit) => self.tub.water >= to || self.elapsed() >= limit,
            ProgrammeStep::Hold(until, limit) => self.tub.temperature >= until || self.elapsed() >= limit,
            ProgrammeStep::Purge => self.elapsed() >= Seconds(10.0),
            ProgrammeStep::Wash(time)
            | ProgrammeStep::Dispense(time)
            | ProgrammeStep::Drain(time)
            | ProgrammeStep::DryHeat(time)
            | ProgrammeStep::Vent(time)
            | ProgrammeStep::Pause(time) => self.elapsed() >= time,
        }
    }

    fn physics(&mut self, relays: Loads, volts: Volts, random: &mut Random) -> Moment {
        let room = self.appliance.room;
        let heater_part = self.effects.heater_part(self.elapsed());
        let pump_part = if relays.has(Load::WashPump) {
            self.effects.pump_part(self.elapsed()) * self.air(random)
        } else {
            0.0
        };
        let pumping = pump_part > 0.0 && !self.effects.is_seized();
        let loads = relays
            .with(Load::Heater, relays.has(Load::Heater) && heater_part > 0.0)
            .with(Load::WashPump, pump_part > 0.0);

        let valve = relays.has(Load::FillValve);
        let supply_flow = self.effects.inflow(self.appliance.inlet, valve);
        let supply_water = self.effects.supply(self.appliance.supply);
        self.supply.flow(supply_flow, supply_water, room, STEP);
        self.tub.fill(supply_flow.during(STEP), self.supply.temperature);
        let blow = if self.was_filling && !valve { self.effects.blow() } else { 0.0 };
        self.was_filling = valve;

        let drain_flow = self.outflow(relays.has(Load::DrainPump));
        self.drain.flow(drain_flow, self.tub.temperature, room, STEP);

        let energy = if loads.has(Load::Heater) {
            (volts.across(self.appliance.heater) * heater_part).during(STEP)
        } else {
            Joules(0.0)
        };
        self.tub.heat(energy, room, pumping, STEP);

        Moment {
            loads,
            mains: 1.0,
            heater_part,
            pump_part,
            supply_flow,
            drain_flow,
            supply: self.supply.temperature,
            drain: self.drain.temperature,
            blow,
        }
    }

    /// Water that leaves: pumped, siphoned; or that comes back through the hose.
    fn outflow(&mut self, pumped: bool) -> LitresPerMinute {
        let back = self.effects.flows_back(self.was_draining && !pumped);
        self.was_draining = pumped;
        if back > LitresPerMinute(0.0) && !pumped {
            self.tub.fill(back.during(STEP), self.drain.temperature);
            return back;
        }
        let wanted = self.effects.outflow(self.appliance.outlet, pumped).during(STEP);
        LitresPerMinute(self.tub.drain(wanted).0 * 60.0 / STEP.0)
    }

    /// Of its current, what the pump draws with the water there is: less, and wandering, when it draws air.
    fn air(&mut self, random: &mut Random) -> f64 {
        let starved = 1.0 - (self.tub.water / STARVED).clamp(0.0, 1.0);
        let air = starved.max(self.effects.air());
        self.surge += (1.0 - self.surge) * 0.02 + random.random_range(-0.06..0.06);
        self.surge = self.surge.clamp(0.5, 1.2);
        1.0 + air * (0.72 * self.surge - 1.0)
    }
}

/// The relays that a step closes, `into` it.
fn relays(step: &ProgrammeStep, into: Seconds) -> Loads {
    const WASH: Loads = Loads::of(&[Load::WashPump]);
    match *step {
        ProgrammeStep::Fill(..) => Loads::of(&[Load::FillValve]),
        ProgrammeStep::Wash(_) => WASH,
        ProgrammeStep::Dispense(_) => WASH.with(Load::Dispenser, true),
        ProgrammeStep::Hold(..) => WASH.with(Load::Heater, true),
        ProgrammeStep::Purge => WASH.with(Load::FillValve, true).with(Load::DrainPump, into < Seconds(5.0)),
        ProgrammeStep::Drain(_) => Loads::of(&[Load::DrainPump]),
        ProgrammeStep::DryHeat(_) => Loads::of(&[Load::Heater]),
        ProgrammeStep::Vent(_) => Loads::of(&[Load::Vent]),
        ProgrammeStep::Pause(_) => Loads::NONE,
    }
}
