//! What the header of a column says of it, where it is called by no name of ours: "Power (kW)", "Current [mA]", "Timestamp".

/// What a column holds by its header, and in which unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Holds {
    /// Times; seconds of one, where they are counted.
    Times(f64),
    /// Power; watts of one.
    Power(f64),
    /// Current; amperes of one.
    Current(f64),
}

/// Units of power and current in letters (SI: case tells milli from mega) and in words.
const UNITS: [(&[&str], Holds); 4] = [
    (&["W", "w", "watt", "watts"], Holds::Power(1.0)),
    (&["kW", "kw", "KW", "kilowatt", "kilowatts"], Holds::Power(1_000.0)),
    (&["A", "a", "amp", "amps", "ampere", "amperes"], Holds::Current(1.0)),
    (&["mA", "ma", "milliamp", "milliamps", "milliampere", "milliamperes"], Holds::Current(0.001)),
];

/// Names of quantities that a letter beside them is the unit of.
const QUANTITIES: [&str; 5] = ["power", "load", "current", "demand", "consumption"];

/// What such a column holds is not what a machine drew at that time.
const OTHER: [&str; 9] =
    ["apparent", "reactive", "min", "max", "minimum", "maximum", "peak", "factor", "setpoint"];

/// Names of columns of times, and units of times that are counted.
const TIMES: [&str; 7] = ["time", "timestamp", "datetime", "epoch", "elapsed", "clock", "unixtime"];
const COUNTED: [(&[&str], f64); 3] =
    [(&["ms", "milliseconds"], 0.001), (&["min", "minutes"], 60.0), (&["h", "hours"], 3_600.0)];

/// What a column with this header holds; nothing, where the header does not say.
pub(super) fn holds(header: &str) -> Option<Holds> {
    let words: Vec<&str> =
        header.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let is_among = |all: &[&str]| words.iter().any(|w| all.iter().any(|a| a.eq_ignore_ascii_case(w)));
    if is_among(&TIMES) {
        let unit = COUNTED.iter().find(|(names, _)| is_among(names));
        return Some(Holds::Times(unit.map_or(1.0, |(_, unit)| *unit)));
    }
    if is_among(&OTHER) {
        return None;
    }
    let unit = words.last()?;
    let (_, holds) = UNITS.iter().find(|(names, _)| names.contains(unit) || written_out(names, unit))?;
    // A letter alone may be the name of a channel.
    let plain = unit.len() > 2 || words.len() == 1 || is_among(&QUANTITIES);
    let bracketed = header.trim_end().ends_with([')', ']']);
    (plain || bracketed).then_some(*holds)
}

/// Words are those of any case.
fn written_out(names: &[&str], unit: &str) -> bool {
    names.iter().any(|name| name.len() > 2 && name.eq_ignore_ascii_case(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_headers() {
        for (header, is) in [
            ("Power (kW)", Some(Holds::Power(1_000.0))),
            ("kW", Some(Holds::Power(1_000.0))),
            ("power_w", Some(Holds::Power(1.0))),
            ("Active Power [W]", Some(Holds::Power(1.0))),
            ("WATTS", Some(Holds::Power(1.0))),
            ("Ch 1 (A)", Some(Holds::Current(1.0))),
            ("Current mA", Some(Holds::Current(0.001))),
            ("Time (min)", Some(Holds::Times(60.0))),
            ("Date/Time", Some(Holds::Times(1.0))),
            ("Channel A", None),
            ("Energy (kWh)", None),
            ("Apparent Power (VA)", None),
            ("Reactive Power (W)", None),
            ("Power", None),
            ("Power factor", None),
            ("Max Power (W)", None),
            ("Voltage (V)", None),
            ("MW", None),
        ] {
            assert_eq!(holds(header), is, "{header}");
        }
    }
}
