//! Writes `*.chart.toml`, for people to read and change.

use std::fmt::Write;

use super::{Chart, Expected, Habits, Limits};

/// The chart as TOML; [`super::parse`] reads it back.
#[must_use]
pub fn to_toml(chart: &Chart) -> String {
    let mut text = format!("chart = 1\nname = {}\n", quoted(&chart.name));
    for part in &chart.parts {
        let _ = write!(text, "\n[[part]]\nname = {}\n", quoted(&part.name));
        match part.times {
            Limits { low: 1, high: 1 } => {}
            Limits { low: 0, high: 1 } => text.push_str("may = true\n"),
            Limits { low, high } => {
                let _ = writeln!(text, "times = [{low}, {high}]");
            }
        }
        for interval in &part.intervals {
            write_interval(&mut text, interval);
        }
    }
    if chart.habits != Habits::default() {
        // Numbers and strings only: it cannot fail.
        let table = toml::to_string(&chart.habits).unwrap_or_default();
        let _ = write!(
            text,
            "\n# The most that is usual of what the machine does beside its intervals.\n[habits]\n{table}"
        );
    }
    text
}

fn write_interval(text: &mut String, interval: &Expected) {
    let _ = write!(
        text,
        "\n[[part.interval]]\nname = {}\ndoes = \"{}\"\n",
        quoted(&interval.name),
        interval.kind
    );
    if interval.may {
        text.push_str("may = true\n");
    }
    if let Some(Limits { low, high }) = &interval.lasts {
        let _ = writeln!(text, "lasts = [{:.1}, {:.1}] # seconds", low.0, high.0);
    }
    if let Some(Limits { low, high }) = &interval.amps {
        let _ = writeln!(text, "amps = [{:.3}, {:.3}]", low.0, high.0);
    }
    if let Some(Limits { low, high }) = &interval.supply {
        let _ = writeln!(text, "supply_c = [{:.1}, {:.1}]", low.0, high.0);
    }
    if let Some(until) = interval.until {
        let _ = writeln!(text, "until_c = {:.1}", until.0);
    }
    if interval.purges.high > 0 {
        let _ = writeln!(text, "purges = [{}, {}]", interval.purges.low, interval.purges.high);
    }
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    #[test]
    fn what_is_written_is_read() {
        let text = include_str!("../../charts/invented-120v-heavy.chart.toml");
        let chart = parse(text, "example").unwrap();
        assert_eq!(parse(&to_toml(&chart), "written").unwrap(), chart);
    }
}
