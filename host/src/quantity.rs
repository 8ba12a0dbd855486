//! What a finding measures.

use std::fmt;

use tubtrace_units::{Amps, Celsius, LitresPerMinute, Seconds};

use crate::trace::Noise;

/// A measured quantity with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// A duration, in seconds.
    Time(Seconds),
    /// A current, in amperes.
    Current(Amps),
    /// A temperature, in degrees Celsius.
    Temperature(Celsius),
    /// A level of flow noise.
    Noise(Noise),
    /// A flow of water.
    Flow(LitresPerMinute),
    /// How often something came.
    Count(u32),
    /// A part of a whole, or a multiple.
    Part(f64),
}

impl Quantity {
    /// The number, in [`Quantity::unit`].
    #[must_use]
    pub fn number(self) -> f64 {
        match self {
            Self::Time(Seconds(v))
            | Self::Current(Amps(v))
            | Self::Temperature(Celsius(v))
            | Self::Noise(Noise(v))
            | Self::Flow(LitresPerMinute(v))
            | Self::Part(v) => v,
            Self::Count(n) => f64::from(n),
        }
    }

    /// The unit, as in JSON.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Time(_) => "s",
            Self::Current(_) => "A",
            Self::Temperature(_) => "degC",
            Self::Noise(_) => "counts",
            Self::Flow(_) => "L/min",
            Self::Count(_) => "times",
            Self::Part(_) => "part",
        }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Time(t) if t.0.abs() < 10.0 => write!(f, "{:.1} s", t.0),
            Self::Time(t) if t.0.abs() < 180.0 => write!(f, "{:.0} s", t.0),
            Self::Time(t) => {
                write!(f, "{:.0} min {:02.0} s", (t.0.round() / 60.0).floor(), t.0.round() % 60.0)
            }
            Self::Current(a) if a.0 < 1.0 => write!(f, "{:.2} A", a.0),
            Self::Current(a) => write!(f, "{:.1} A", a.0),
            Self::Temperature(c) => write!(f, "{:.1} °C", c.0),
            Self::Noise(n) => write!(f, "{:.1} counts", n.0),
            Self::Flow(flow) => write!(f, "{:.1} L/min", flow.0),
            Self::Part(p) => write!(f, "{:.0} %", 100.0 * p),
            Self::Count(1) => f.write_str("once"),
            Self::Count(n) => write!(f, "{n} times"),
        }
    }
}
