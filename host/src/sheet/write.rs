//! Writes a sheet, line by line as a person would; what is written is read back the same.

use tubtrace_units::Seconds;

use super::line::{Content, line};
use super::paper::{Does, Paper, Rated, Says, Step, Time};
use crate::chart::Limits;

/// The sheet as text.
#[must_use]
pub fn to_text(paper: &Paper) -> String {
    let mut lines: Vec<String> = Vec::new();
    lines.extend(paper.name.as_ref().map(|name| format!("name {name}")));
    lines.extend(paper.volts.map(|volts| format!("volts {}", volts.0)));
    lines.extend(paper.heater.map(|plate| match plate.rated {
        Rated::Power(watts) => format!("heater {} W", watts.0),
        Rated::Current(amps) => format!("heater {} A", amps.0),
    }));
    lines.extend(paper.lines.iter().map(|line| written(&line.says)));
    lines.join("\n") + "\n"
}

/// A line of a sheet.
#[must_use]
pub fn written(says: &Says) -> String {
    match says {
        Says::Heading { name, times: Limits { low: 1, high: 1 } } => format!("{name}:"),
        Says::Heading { name, times: Limits { low: 0, high: 1 } } => format!("may {name}:"),
        Says::Heading { name, times: Limits { low, high } } if low == high => format!("{name}: {low} times"),
        Says::Heading { name, times: Limits { low, high } } => format!("{name}: {low}-{high} times"),
        Says::Again { name, may } => {
            let (own_words, called) = (format!("{}{name}", may_be(*may)), (name != "wash").then_some(name));
            let reads_back = |text: &str| {
                matches!(line(text), Ok(Some(Content::Says(Says::Interval(Step { name: read, does: Does::Wash, time: None, may: m, .. }))))
                    if read.as_ref() == called && m == *may)
            };
            if reads_back(&own_words) { own_words } else { format!("{}wash ({name})", may_be(*may)) }
        }
        Says::Interval(step) => interval(step),
    }
}

fn may_be(may: bool) -> String {
    if may { "may ".into() } else { String::new() }
}

/// What is called as it is on the paper: by its own words where they are read back so, else by its name in parentheses.
fn interval(step: &Step) -> String {
    let rest = rest(step);
    let plain = match step.does {
        Does::Fill => "fill",
        Does::Wash | Does::Heat => "wash",
        Does::Drain => "drain",
        Does::Dry | Does::HeatedDry => "dry",
        Does::Pause => "pause",
    };
    let may = may_be(step.may);
    let Some(name) = &step.name else {
        // A hold by itself is no wash of so many minutes.
        let holds = step.does == Does::Heat && step.time.is_none();
        return if holds { may + rest.trim_start_matches([' ', '+']) } else { format!("{may}{plain}{rest}") };
    };
    let own_words = format!("{may}{name}{rest}");
    let reads_back =
        |text: &str| matches!(line(text), Ok(Some(Content::Says(Says::Interval(read)))) if read == *step);
    if reads_back(&own_words) { own_words } else { format!("{may}{plain}{rest} ({name})") }
}

/// What stands behind the word for what is done.
fn rest(step: &Step) -> String {
    let mut text = step.time.map_or_else(String::new, |time| format!(" {}", time_text(time)));
    match (step.does, step.until) {
        (Does::Heat, Some(until)) => text.push_str(&format!(" + heat to {} C", until.0)),
        (Does::Heat, None) | (Does::HeatedDry, _) => text.push_str(" + heat"),
        _ => {}
    }
    match step.purges {
        Limits { high: 0, .. } => {}
        Limits { low: 1, high: 1 } => text.push_str(" + 1 purge"),
        Limits { low, high } if low == high => text.push_str(&format!(" + {low} purges")),
        Limits { low, high } => text.push_str(&format!(" + {low}-{high} purges")),
    }
    text
}

fn time_text(time: Time) -> String {
    match time {
        Time::About(time) => minutes(time),
        Time::Between(Limits { low, high }) => format!("{}-{}", minutes(low), minutes(high)),
    }
}

/// Whole minutes as a number, all else as minutes and seconds.
fn minutes(time: Seconds) -> String {
    let seconds = time.0.round() as u64;
    match (seconds / 60, seconds % 60) {
        (minutes, 0) if minutes <= 60 => minutes.to_string(),
        (minutes, seconds) => format!("{minutes}:{seconds:02}"),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use tubtrace_units::{Amps, Celsius, Volts, Watts};

    use super::super::paper::{Line, Plate};
    use super::super::{chart, parse};
    use super::*;
    use crate::chart::{Machine, parse as parse_chart, to_toml};

    fn time() -> impl Strategy<Value = Time> {
        let seconds = || (1..=86_400_u32).prop_map(|s| Seconds(f64::from(s)));
        prop_oneof![
            seconds().prop_map(Time::About),
            (1..=240_u32).prop_map(|halves| Time::About(Seconds(30.0 * f64::from(halves)))),
            (seconds(), seconds()).prop_map(|(a, b)| Time::Between(Limits { low: a.min(b), high: a.max(b) })),
        ]
    }

    fn name() -> impl Strategy<Value = Option<String>> {
        prop_oneof![
            3 => Just(None),
            1 => prop_oneof![Just("rinse"), Just("prewash"), Just("detergent wash"), Just("wash"), Just("Soak")]
                .prop_map(|name| Some(name.to_owned())),
            1 => "[A-Za-z\u{e9}0-9][A-Za-z0-9+:,.?\u{e9}-]{0,12}( [a-z0-9.]{1,8})?"
                .prop_filter("says that it may come", |name| {
                    let first = name.split(' ').next().unwrap_or_default().to_lowercase();
                    first != "if" && super::super::words::meaning(name) != Some(super::super::words::Means::May)
                })
                .prop_map(Some),
        ]
    }

    fn step() -> impl Strategy<Value = Step> {
        let does = prop_oneof![
            Just(Does::Fill),
            Just(Does::Wash),
            Just(Does::Heat),
            Just(Does::Drain),
            Just(Does::Dry),
            Just(Does::HeatedDry),
            Just(Does::Pause)
        ];
        let purges = (0..4_u32, 0..4_u32).prop_map(|(a, b)| Limits { low: a.min(b), high: a.max(b) });
        let until = prop::option::of((10..=990_u32).prop_map(|tenths| Celsius(f64::from(tenths) / 10.0)));
        (name(), does, any::<bool>(), prop::option::of(time()), until, purges).prop_map(
            |(name, does, may, time, until, purges)| {
                // A wash without a time may be read as another water.
                let time = if does == Does::Wash { time.or(Some(Time::About(Seconds(60.0)))) } else { time };
                let purges = if does.in_water() { purges } else { Limits { low: 0, high: 0 } };
                Step { name, does, may, time, until: until.filter(|_| does == Does::Heat), purges }
            },
        )
    }

    fn says() -> impl Strategy<Value = Says> {
        let times = (0..=8_u32, 1..=8_u32).prop_map(|(a, b)| Limits { low: a.min(b), high: a.max(b) });
        prop_oneof![
            4 => step().prop_map(Says::Interval),
            1 => ("[A-Za-z]{1,8} ?[a-z]{1,8}", times).prop_filter("a name that says how often", |(name, _)| {
                let words = || name.split(' ').map(str::to_lowercase);
                let counts = |word: &str| word.starts_with('x') || word.ends_with('x') || super::super::words::meaning(word).is_some();
                // No machine has a programme of that name.
                !words().any(|word| counts(&word)) && !name.to_lowercase().starts_with("name")
            }).prop_map(|(name, times)| Says::Heading { name: name.split_whitespace().collect::<Vec<_>>().join(" "), times }),
        ]
    }

    fn paper() -> impl Strategy<Value = Paper> {
        let heater = prop_oneof![
            (50..=10_000_u32).prop_map(|w| Rated::Power(Watts(f64::from(w)))),
            (5..=500_u32).prop_map(|a| Rated::Current(Amps(f64::from(a) / 10.0))),
        ];
        let volts = prop::option::of((80..=500_u32).prop_map(|v| Volts(f64::from(v))));
        let named = prop::option::of("[a-z0-9\u{e9}][a-z0-9,.:\u{e9}]{0,20}");
        (named, volts, prop::option::of(heater), prop::collection::vec(says(), 0..30), step()).prop_map(
            |(name, volts, heater, mut says, step)| {
                says.push(Says::Interval(step));
                let head = usize::from(name.is_some()) + usize::from(volts.is_some());
                let heater = heater.map(|rated| Plate { line: head + 1, rated });
                let first = head + usize::from(heater.is_some()) + 1;
                let lines = says.into_iter().enumerate().map(|(i, says)| Line { number: first + i, says });
                Paper { name, volts, heater, lines: lines.collect() }
            },
        )
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back_the_same(paper in paper()) {
            let text = to_text(&paper);
            let read = parse(text.as_bytes());
            prop_assert!(read.as_ref() == Ok(&paper), "{}\n{:?}", text, read);
        }

        #[test]
        fn any_text_is_read_or_refused_and_what_is_read_is_a_chart_or_no_chart(text in "(fill|wash|rinse|drain|dry|heat to|may|may rinse|main wash:|[ -~\u{e9}]{0,12})( [0-9:.,/ +-]{0,6}( C| F| s|'|:)?\n?){0,3}{0,40}") {
            let Ok(paper) = parse(text.as_bytes()) else { return Ok(()) };
            let again = to_text(&paper);
            let read = parse(again.as_bytes());
            let says = |paper: &Paper| paper.lines.iter().map(|l| l.says.clone()).collect::<Vec<_>>();
            prop_assert!(read.as_ref().is_ok_and(|read| says(read) == says(&paper)), "{}\n{}\n{:?}", text, again, read);
            if let Ok(drawn) = chart(&paper) {
                let machine = Machine::from(drawn.chart);
                let written = to_toml(&machine);
                prop_assert_eq!(parse_chart(&written, "written").map_err(|e| format!("{e}\n{written}")), Ok(machine));
            }
        }
    }
}
