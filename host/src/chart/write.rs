//! Writes `*.machine.toml` and `*.chart.toml`, for people to read and change.

use std::fmt::Write;

use super::baselines::Baselines;
use super::expected::{Chart, Expected};
use super::limits::Limits;
use super::machine::Machine;
use crate::loads::{Draw, Draws, Rest};

/// The machine as TOML; [`super::parse`] reads it back. One programme of the machine's own name is written as a chart.
#[must_use]
pub fn to_toml(machine: &Machine) -> String {
    let name = quoted(&machine.name);
    let baselines = machine.programmes.first().map(|c| &c.baselines);
    match machine.programmes.as_slice() {
        [chart] if chart.name == machine.name => {
            let head = format!("chart = 1\nname = {name}\n{}", seen(chart));
            format!("{head}{}{}{}", parts(chart, ""), habits(baselines), loads(&machine.draws))
        }
        several => {
            let mut text =
                format!("machine = 1\nname = {name}\n{}{}", habits(baselines), loads(&machine.draws));
            for chart in several {
                let _ = write!(text, "\n[[programme]]\nname = {}\n{}", quoted(&chart.name), seen(chart));
                text.push_str(&parts(chart, "programme."));
            }
            text
        }
    }
}

fn seen(chart: &Chart) -> String {
    let sheet = "sheet = true # times and order are known, and nothing of what this machine does as a rule\n";
    let of_sheet = if chart.of_sheet { sheet } else { "" };
    let seen = match chart.seen {
        0 => String::new(),
        seen => format!("seen = {seen} # cycles that it was learned from\n"),
    };
    seen + of_sheet
}

fn habits(baselines: Option<&Baselines>) -> String {
    let Some(baselines) = baselines.filter(|b| **b != Baselines::default()) else { return String::new() };
    // Numbers and strings only: it cannot fail.
    let table = toml::to_string(baselines).unwrap_or_default();
    format!(
        "\n# Highest values in healthy cycles: how long its pump takes to start, how much its power varies (0.15 is 15 %),\n# how long it drains, in seconds.\n[habits]\n{table}"
    )
}

fn loads(draws: &Draws) -> String {
    if *draws == Draws::default() {
        return String::new();
    }
    let mut text = "\n# What each load draws above standby: by it a log is read. The heater in water has the wash pump beside it.\n\
        # Amperes: the middle of the cycles, how far they differ from it (a standard deviation), and in how many it was seen.\n[loads]\n"
        .to_owned();
    for (drawn, Draw { amps, spread, seen }) in draws.iter() {
        let (word, amps, spread) = (drawn.word(), number(amps.0, 4), number(spread.0, 4));
        let _ = writeln!(text, "{word} = {{ amps = {amps}, spread = {spread}, seen = {seen} }}");
    }
    if let Some(Rest { longest, seen }) = draws.rest() {
        let longest = number(longest.0, 1);
        let _ = write!(
            text,
            "\n# For how long nothing runs in an empty tub within a programme, at most, and in how many cycles that was looked for:\n\
             # after twice as long another run begins, if there were three; after ten minutes in any case.\n[rests]\nlongest_s = {longest}\nseen = {seen}\n"
        );
    }
    text
}

/// The parts of a programme, in tables below this one.
fn parts(chart: &Chart, within: &str) -> String {
    let mut text = String::new();
    for part in &chart.parts {
        let _ = write!(text, "\n[[{within}part]]\nname = {}\n", quoted(&part.name));
        match part.times {
            Limits { low: 1, high: 1 } => {}
            Limits { low: 0, high: 1 } => text.push_str("may = true\n"),
            Limits { low, high } => {
                let _ = writeln!(text, "times = [{low}, {high}]");
            }
        }
        for interval in &part.intervals {
            write_interval(&mut text, interval, within);
        }
    }
    text
}

fn write_interval(text: &mut String, interval: &Expected, within: &str) {
    let _ = write!(
        text,
        "\n[[{within}part.interval]]\nname = {}\ndoes = \"{}\"\n",
        quoted(&interval.name),
        interval.kind
    );
    if interval.may {
        text.push_str("may = true\n");
    }
    if let Some(Limits { low, high }) = &interval.lasts {
        let _ = writeln!(text, "lasts = [{}, {}] # seconds", number(low.0, 1), number(high.0, 1));
    }
    if let Some(Limits { low, high }) = &interval.amps {
        let _ = writeln!(text, "amps = [{}, {}]", number(low.0, 3), number(high.0, 3));
    }
    if let Some(Limits { low, high }) = &interval.supply {
        let _ = writeln!(text, "supply_c = [{}, {}]", number(low.0, 1), number(high.0, 1));
    }
    if let Some(until) = interval.until {
        let _ = writeln!(text, "until_c = {}", number(until.0, 1));
    }
    if interval.purges.high > 0 {
        let _ = writeln!(text, "purges = [{}, {}]", interval.purges.low, interval.purges.high);
    }
}

/// A number with so many decimals, or with as many as it has where those are more: it is read back as it was.
fn number(number: f64, decimals: usize) -> String {
    let short = format!("{number:.decimals$}");
    if short.parse() == Ok(number) { short } else { format!("{number:?}") }
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

#[cfg(test)]
mod tests {
    use tubtrace_units::{Amps, Seconds};

    use super::super::parse;
    use super::*;
    use crate::loads::Drawn;

    #[test]
    fn what_is_written_is_read() {
        let text = include_str!("../../charts/invented-120v-heavy.chart.toml");
        let machine = parse(text, "example").unwrap();
        assert_eq!(parse(&to_toml(&machine), "written").unwrap(), machine);
        let mut finer = machine.programmes[0].clone();
        let lasts = Limits { low: Seconds(0.123), high: Seconds(9_876.543_21) };
        finer.parts[0].intervals[0].lasts = Some(lasts);
        let draw = Draw { amps: Amps(0.0512), spread: Amps(0.0), seen: 3 };
        let rest = Some(Rest { longest: Seconds(93.0), seen: 3 });
        let draws = Drawn::ALL.into_iter().map(|drawn| (drawn, draw)).collect::<Draws>().resting(rest);
        let programmes = vec![machine.programmes[0].clone(), finer];
        let finer = Machine { name: "several".to_owned(), programmes, draws };
        assert_eq!(parse(&to_toml(&finer), "written").unwrap(), finer);
    }
}
