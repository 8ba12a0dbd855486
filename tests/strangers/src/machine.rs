//! What a machine is made of: the parts, their ratings and how the control uses them.

use crate::programme::Programme;

/// How the control knows that enough water has come in.
#[derive(Clone, Debug, PartialEq)]
pub enum FillBy {
    /// A level sensor in the tub.
    Level,
    /// A flow meter in the supply.
    Meter,
    /// A fixed time for the nominal flow.
    Time,
    /// A level sensor, with the valve opened in pulses of these seconds.
    Pulses { on: f64, off: f64 },
    /// A window of time in which a float opens the valve's circuit when the level is there.
    Float,
}

/// The supply valve.
#[derive(Clone, Debug)]
pub struct Valve {
    pub watts: f64,
    pub litres_per_minute: f64,
    pub by: FillBy,
    /// A short second opening once the pump has wetted the dishes.
    pub top_up: bool,
}

/// The kind of motor, which decides starting current and waveform.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motor {
    Induction,
    ShadedPole,
    Inverter,
    Synchronous,
}

/// What happens to the pump while it washes.
#[derive(Clone, Debug, PartialEq)]
pub enum Arms {
    /// All arms together, the pump runs through.
    Steady,
    /// Arms in turn, with the pump resting between them.
    Turns { run: f64, rest: f64 },
    /// Arms in turn by a diverter motor, with the pump running.
    Diverter { watts: f64, every: f64, moving: f64 },
    /// The speed swings between full and a lower share.
    Swing { low: f64, period: f64 },
}

/// The circulation pump. The angle is by how much its current lags the voltage.
#[derive(Clone, Debug)]
pub struct WashPump {
    pub watts: f64,
    pub motor: Motor,
    pub lag_degrees: f64,
    pub start_ratio: f64,
    pub ramp_seconds: f64,
    pub arms: Arms,
    /// The share of the watts that stays however slow the pump turns.
    pub floor: f64,
}

/// How a drain ends.
#[derive(Clone, Debug, PartialEq)]
pub enum DrainBy {
    /// A fixed time.
    Time(f64),
    /// The pump runs until it draws air, and this many seconds more.
    Air(f64),
    /// A long run and then purges of irregular length within these limits.
    Purges { shortest: f64, longest: f64, count: usize },
}

/// The drain pump.
#[derive(Clone, Debug)]
pub struct DrainPump {
    pub watts: f64,
    /// Its power on air as a share of that on water.
    pub on_air: f64,
    pub litres_per_minute: f64,
    pub by: DrainBy,
    pub motor: Motor,
    pub lag_degrees: f64,
    /// The wash pump runs too in the first seconds of a drain.
    pub with_wash: bool,
    /// It is the wash motor turning the other way round.
    pub same_motor: bool,
}

/// Where the heat comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Source {
    Element,
    HeatPump,
}

/// How the heater is switched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatBy {
    /// On below, off above, again when this many kelvins have been lost.
    Thermostat { band: f64 },
    /// On for a share of every period, never more than the cap.
    Slices { period: f64, cap: f64 },
    /// All of it until near the target, then this share of it.
    Stages { low: f64 },
}

/// The heater of the water.
#[derive(Clone, Debug)]
pub struct Heater {
    pub watts: f64,
    pub source: Source,
    pub by: HeatBy,
    /// It sits in the pump's stream and is off while the pump rests.
    pub in_flow: bool,
    /// Minutes after which the control stops waiting for the temperature.
    pub limit_minutes: f64,
}

/// The control and what it notices.
#[derive(Clone, Debug)]
pub struct Control {
    pub awake_watts: f64,
    pub asleep_watts: f64,
    pub delay_watts: f64,
    pub lamp_watts: f64,
    pub lamp_minutes: f64,
    pub notices_fill: bool,
    pub notices_heat: bool,
    pub notices_drain: bool,
    /// The minutes of a wash count only from the temperature on.
    pub waits_for_heat: bool,
    /// The share of irregularity in its times.
    pub sloppiness: f64,
    /// The drain pump runs for these seconds before anything else.
    pub first_drain: f64,
}

/// A device that is powered for some seconds: dispenser, vent.
#[derive(Clone, Copy, Debug)]
pub struct Device {
    pub watts: f64,
    pub seconds: f64,
}

/// A softener with regeneration every so many cycles.
#[derive(Clone, Copy, Debug)]
pub struct Softener {
    pub watts: f64,
    pub brine_seconds: f64,
    pub flush_litres: f64,
    pub every: usize,
}

/// The supply of water.
#[derive(Clone, Copy, Debug)]
pub struct Supply {
    pub celsius: f64,
    pub spread: f64,
    /// Water in the pipe that has cooled to the room.
    pub pipe_litres: f64,
}

/// A whole machine.
#[derive(Clone, Debug)]
pub struct Machine {
    pub kind: &'static str,
    pub volts: f64,
    pub hertz: f64,
    pub supply: Supply,
    pub valve: Valve,
    pub wash: WashPump,
    pub drain: DrainPump,
    pub heater: Heater,
    pub control: Control,
    pub dispenser: Device,
    pub vent: Option<Device>,
    pub fan_watts: f64,
    pub dry_watts: f64,
    pub softener: Option<Softener>,
    /// Watts of the valve that lets a tank of kept water into the tub.
    pub tank_valve: Option<f64>,
    /// Kilojoules per kelvin of the tub and racks, and of a full load of dishes.
    pub tub_kj: f64,
    pub dishes_kj: f64,
    /// Watts per kelvin lost to the room.
    pub loss: f64,
    /// Litres of a usual water.
    pub litres: f64,
    /// The chance that a user sets a delayed start.
    pub delay_chance: f64,
    pub programmes: Vec<Programme>,
}
