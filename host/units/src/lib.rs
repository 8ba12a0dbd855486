//! The words of the host side: quantities with their units, and the electrical loads. A bare `f64` stays inside the function that computes with it.
//!
//! ```
//! use tubtrace_units::{Amps, Ohms, Volts, Seconds};
//!
//! let heater = Ohms(20.57);
//! let power = Volts(120.0).across(heater);
//! assert_eq!(format!("{power:.0}"), "700 W");
//! assert_eq!(Amps(5.0).at(Volts(120.0)).0, 600.0);
//! assert_eq!(Seconds(90.0) / Seconds(60.0), 1.5);
//! ```

mod load;

pub use load::{Load, Loads};

use core::fmt;
use core::iter::Sum;
use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($($(#[$doc:meta])* $name:ident, $unit:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The greater of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The lesser of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The same quantity without its sign.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// A total order, for sorting; NaN sorts last.
            #[must_use]
            pub fn total_cmp(&self, other: &Self) -> core::cmp::Ordering {
                self.0.total_cmp(&other.0)
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
                Self(values.map(|v| v.0).sum())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)?;
                f.write_str(concat!(" ", $unit))
            }
        }
    )*};
}

quantity! {
    /// Time, in seconds.
    Seconds, "s";
    /// Current, RMS unless said otherwise.
    Amps, "A";
    /// Voltage, RMS unless said otherwise.
    Volts, "V";
    /// Power. At nominal volts it is strictly volt-amperes, which is said wherever it is shown.
    Watts, "W";
    /// Energy, in joules.
    Joules, "J";
    /// Electrical resistance, in ohms.
    Ohms, "ohm";
    /// Frequency, in hertz.
    Hertz, "Hz";
    /// Temperature, or a difference of two.
    Celsius, "°C";
    /// Volume of water.
    Litres, "L";
    /// Flow of water.
    LitresPerMinute, "L/min";
}

impl Amps {
    /// Apparent power at `volts`.
    #[must_use]
    pub fn at(self, volts: Volts) -> Watts {
        Watts(self.0 * volts.0)
    }
}

impl Watts {
    /// The current that makes this apparent power at `volts`.
    #[must_use]
    pub fn over(self, volts: Volts) -> Amps {
        Amps(self.0 / volts.0)
    }

    /// The energy that this power is in `time`.
    #[must_use]
    pub fn during(self, time: Seconds) -> Joules {
        Joules(self.0 * time.0)
    }
}

impl Volts {
    /// Power in a resistor: P = V^2 / R.
    #[must_use]
    pub fn across(self, resistance: Ohms) -> Watts {
        Watts(self.0 * self.0 / resistance.0)
    }
}

impl LitresPerMinute {
    /// The volume that this flow is in `time`.
    #[must_use]
    pub fn during(self, time: Seconds) -> Litres {
        Litres(self.0 * time.0 / 60.0)
    }
}

impl Celsius {
    /// The same temperature in degrees Fahrenheit.
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked examples of any electrical trade handbook: P = V^2 / R. A 240 V element run on 120 V gives a quarter of its
    /// rating; one rated at 230 V gives (240/230)^2 = 1.089 of it on 240 V.
    #[test]
    fn power_in_a_resistor() {
        assert!((Volts(240.0).across(Ohms(24.0)).0 - 2_400.0).abs() < 1e-9);
        assert!((Volts(120.0).across(Ohms(24.0)).0 - 600.0).abs() < 1e-9);
        let element = Ohms(230.0 * 230.0 / 2_000.0);
        assert!((element.0 - 26.45).abs() < 1e-9);
        assert!((Volts(230.0).across(element).0 - 2_000.0).abs() < 1e-9);
        assert!((Volts(240.0).across(element).0 - 2_177.7).abs() < 0.1);
    }

    #[test]
    fn fahrenheit() {
        assert!((Celsius(49.0).fahrenheit() - 120.2).abs() < 1e-9);
        assert!((Celsius(100.0).fahrenheit() - 212.0).abs() < 1e-9);
    }
}
