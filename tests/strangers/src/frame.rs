//! A tenth of a second of a machine's life.

/// The loads, in the order in which a frame holds their watts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    FillValve,
    WashPump,
    DrainPump,
    Heater,
    Dispenser,
    Vent,
    Fan,
    DryHeater,
    Diverter,
    Softener,
    TankValve,
    Control,
}

/// How many loads there are.
pub const LOADS: usize = 12;

/// All loads.
pub const ALL: [Load; LOADS] = [
    Load::FillValve,
    Load::WashPump,
    Load::DrainPump,
    Load::Heater,
    Load::Dispenser,
    Load::Vent,
    Load::Fan,
    Load::DryHeater,
    Load::Diverter,
    Load::Softener,
    Load::TankValve,
    Load::Control,
];

impl Load {
    /// The kind and the name under which the truth knows a load.
    pub fn words(self) -> (&'static str, &'static str) {
        match self {
            Load::FillValve => ("fill-valve", "fill valve"),
            Load::WashPump => ("wash-pump", "wash pump"),
            Load::DrainPump => ("drain-pump", "drain pump"),
            Load::Heater => ("heater", "water heater"),
            Load::Dispenser => ("dispenser", "dispenser"),
            Load::Vent => ("vent", "vent"),
            Load::Fan => ("fan", "fan"),
            Load::DryHeater => ("heater", "dry heater"),
            Load::Diverter => ("other", "diverter motor"),
            Load::Softener => ("other", "softener valve"),
            Load::TankValve => ("other", "tank valve"),
            Load::Control => ("other", "control"),
        }
    }
}

/// The state at one tick.
#[derive(Clone, Copy, Debug, Default)]
pub struct Frame {
    pub watts: [f32; LOADS],
    /// Litres per minute into the tub from the mains and out to the sewer.
    pub inflow: f32,
    pub outflow: f32,
    /// How much of what the drain pump moves is air, 0 to 1.
    pub air: f32,
    pub kilograms: f32,
    pub celsius: f32,
    /// Speed of the wash pump, 0 to 1.
    pub speed: f32,
}

impl Frame {
    /// All loads together.
    pub fn total(&self) -> f32 {
        self.watts.iter().sum()
    }
}
