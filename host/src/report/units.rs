//! Units for people: those of the metre and degrees Celsius, or those that are customary in the United States. What programs read
//! is always in the former.

use tubtrace_units::{Celsius, Litres, LitresPerMinute};

use crate::findings::Quantity;

/// Litres of a US gallon: 231 cubic inches (NIST Handbook 44, appendix C).
const GALLON: f64 = 3.785_411_784;

/// Which units people read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Units of the SI and beside it: degrees Celsius, litres.
    #[default]
    Si,
    /// Degrees Fahrenheit, US gallons.
    Us,
}

impl Units {
    /// Those of a locale, as POSIX ("en_US.UTF-8") or BCP 47 ("en-US") writes it. Who uses which: Unicode CLDR, measurement
    /// systems, where the United States, Liberia and Myanmar have the US one.
    ///
    /// ```
    /// use tubtrace::report::Units;
    ///
    /// assert_eq!(Units::of_locale("en_US.UTF-8"), Units::Us);
    /// assert_eq!(Units::of_locale("es-US"), Units::Us);
    /// assert_eq!(Units::of_locale("en_CA"), Units::Si);
    /// assert_eq!(Units::of_locale("C.UTF-8"), Units::Si);
    /// ```
    #[must_use]
    pub fn of_locale(locale: &str) -> Self {
        let tags = locale.split(['.', '@']).next().unwrap_or_default();
        let region = tags.split(['_', '-']).skip(1).find(|tag| tag.len() == 2);
        match region {
            Some("US" | "LR" | "MM") => Self::Us,
            _ => Self::Si,
        }
    }

    /// A temperature in its unit, so many digits behind the point.
    #[must_use]
    pub fn temperature(self, at: Celsius, digits: usize) -> String {
        format!("{:.digits$} {}", self.degrees(at), self.degree())
    }

    /// The number of degrees of a temperature.
    #[must_use]
    pub fn degrees(self, at: Celsius) -> f64 {
        match self {
            Self::Si => at.0,
            Self::Us => at.fahrenheit(),
        }
    }

    /// The number of degrees of a difference of two temperatures.
    #[must_use]
    pub fn degrees_apart(self, difference: Celsius) -> f64 {
        match self {
            Self::Si => difference.0,
            Self::Us => difference.0 * 1.8,
        }
    }

    /// What its degrees are called.
    #[must_use]
    pub const fn degree(self) -> &'static str {
        match self {
            Self::Si => "°C",
            Self::Us => "°F",
        }
    }

    /// A volume in its unit, with its expanded uncertainty if that is known.
    #[must_use]
    pub fn volume(self, volume: Litres, uncertainty: Option<Litres>) -> String {
        let (per, unit) = match self {
            Self::Si => (1.0, "L"),
            Self::Us => (GALLON, "gal"),
        };
        let doubt = uncertainty.map_or_else(String::new, |u| format!(" (±{:.1})", u.0 / per));
        format!("{:.1} {unit}{doubt}", volume.0 / per)
    }

    /// A flow in its unit.
    #[must_use]
    pub fn flow(self, flow: LitresPerMinute) -> String {
        match self {
            Self::Si => format!("{:.1} L/min", flow.0),
            Self::Us => format!("{:.2} gal/min", flow.0 / GALLON),
        }
    }

    /// The flow that a person gave as so many litres, or gallons, a minute.
    #[must_use]
    pub fn flow_of(self, number: f64) -> LitresPerMinute {
        LitresPerMinute(if self == Self::Us { number * GALLON } else { number })
    }

    /// What a finding measures.
    #[must_use]
    pub fn quantity(self, quantity: Quantity) -> String {
        match quantity {
            Quantity::Temperature(at) => self.temperature(at, 1),
            Quantity::Flow(flow) => self.flow(flow),
            Quantity::Noise(noise) => format!("flow noise {:.1}", noise.0),
            other => other.to_string(),
        }
    }

    /// What is expected of it: "75 to 115 s", "2.0 A or more".
    #[must_use]
    pub fn expected(self, limits: (Option<Quantity>, Option<Quantity>)) -> String {
        let of = |q| match q {
            // What was measured says of what.
            Quantity::Noise(noise) => format!("{:.1}", noise.0),
            other => self.quantity(other),
        };
        match limits {
            (Some(low), Some(high)) if low == high => of(low),
            // As brief as one likes.
            (Some(Quantity::Time(low)), Some(high)) if low.0 < 0.05 => format!("{} or less", of(high)),
            (Some(low), Some(high)) => range(&of(low), &of(high)),
            (Some(low), None) => format!("{} or more", of(low)),
            (None, Some(high)) => format!("{} or less", of(high)),
            (None, None) => "no limit".into(),
        }
    }

    /// How far a finding's measurement is in doubt.
    #[must_use]
    pub fn doubt(self, uncertainty: Quantity) -> String {
        match uncertainty {
            Quantity::Temperature(c) => format!("{:.1} {}", self.degrees_apart(c), self.degree()),
            Quantity::Count(_) => "one count".into(),
            Quantity::Noise(noise) => format!("{:.1}", noise.0),
            other => self.quantity(other),
        }
    }
}

/// Two quantities as a range; the unit once, where both have the same.
fn range(low: &str, high: &str) -> String {
    let one_unit = |text: &str| text.matches(' ').count() == 1;
    match low.split_once(' ').zip(high.split_once(' ')) {
        Some(((number, unit), (_, same))) if unit == same && one_unit(low) && one_unit(high) => {
            format!("{number} to {high}")
        }
        _ => format!("{low} to {high}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Special Publication 811 (2008), appendix B.8: 1 US gallon = 3.785412 L; t/°F = 1.8 t/°C + 32, an interval of 1 °C = 1.8 °F.
    #[test]
    fn agrees_with_nist() {
        assert_eq!(Units::Us.volume(Litres(3.785_412), Some(Litres(0.378_5))), "1.0 gal (±0.1)");
        assert_eq!(Units::Us.flow(LitresPerMinute(3.785_412)), "1.00 gal/min");
        assert!((Units::Us.flow_of(1.0).0 - 3.785_412).abs() < 1e-6);
        assert_eq!(Units::Us.temperature(Celsius(49.0), 1), "120.2 °F");
        assert_eq!(Units::Us.doubt(Quantity::Temperature(Celsius(1.0))), "1.8 °F");
        assert_eq!(Units::Si.temperature(Celsius(49.04), 1), "49.0 °C");
    }

    #[test]
    fn a_unit_stands_once_where_it_can() {
        use tubtrace_units::Seconds;
        let time = |s| Some(Quantity::Time(Seconds(s)));
        assert_eq!(Units::Si.expected((time(75.0), time(115.0))), "75 to 115 s");
        assert_eq!(Units::Si.expected((time(75.0), time(190.0))), "75 s to 3 min 10 s");
        assert_eq!(Units::Si.expected((time(200.0), time(390.0))), "3 min 20 s to 6 min 30 s");
        assert_eq!(Units::Si.expected((time(0.0), time(1_413.0))), "23 min 33 s or less");
        assert_eq!(Units::Si.expected((time(75.0), None)), "75 s or more");
        assert_eq!(Units::Si.expected((None, time(75.0))), "75 s or less");
        assert_eq!(Units::Si.expected((Some(Quantity::Count(2)), Some(Quantity::Count(3)))), "2 to 3 times");
    }
}
