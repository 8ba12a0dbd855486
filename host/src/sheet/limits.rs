//! A sheet as a chart: its times become limits, as wide as a printed time is rough.

use tubtrace_units::{Amps, Seconds};

use super::constants::{RATED_LEAST, ROUGH, ROUGH_WATER, ROUNDED};
use super::mistake::Mistake;
use super::paper::{Does, Paper, Plate, Rated, Step, Time};
use super::waters::{Water, waters};
use crate::chart::numbers::{LONGEST, MOST_AMPS, MOST_INTERVALS};
use crate::chart::{Baselines, Chart, Expected, Limits, Part};
use crate::intervals::Kind;

/// What a sheet is called that has no name.
const UNNAMED: &str = "the sheet";

/// A sheet as a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// What is held against a log.
    pub chart: Chart,
    /// The waters of the sheet, one for each part of the chart.
    pub waters: Vec<Water>,
    /// For each interval of each part: the line that it is from.
    pub lines: Vec<Vec<usize>>,
}

/// The chart of a sheet.
///
/// # Errors
/// Every line that has no place in one.
pub fn chart(paper: &Paper) -> Result<Drawn, Vec<Mistake>> {
    let waters = waters(paper)?;
    let heater = heater(paper)?;
    let names = part_names(&waters);
    let mut drawn = Drawn {
        chart: Chart {
            name: paper.name.clone().unwrap_or_else(|| UNNAMED.into()),
            parts: Vec::new(),
            baselines: Baselines::default(),
            seen: 0,
            of_sheet: true,
        },
        lines: Vec::new(),
        waters: Vec::new(),
    };
    let mut count = 0;
    for (water, name) in waters.iter().zip(names) {
        let (intervals, lines): (Vec<_>, Vec<_>) = intervals(water, &name, heater).into_iter().unzip();
        count += intervals.len() * water.times.high as usize;
        if count > MOST_INTERVALS {
            let what = format!(
                "with this water there are more than {MOST_INTERVALS} intervals, which no programme has"
            );
            return Err(vec![Mistake { line: water.line, what }]);
        }
        drawn.chart.parts.push(Part { name, times: water.times, intervals });
        drawn.lines.push(lines);
    }
    if !drawn.chart.parts.iter().any(Part::must_come) {
        let what = "all of this sheet may be left out, so nothing departs from it; take \"may\" from what always comes".into();
        return Err(vec![Mistake { line: waters.first().map_or(1, |w| w.line), what }]);
    }
    drawn.waters = waters;
    Ok(drawn)
}

/// The least that the machine draws while it heats, where the sheet says what the heater is rated at.
fn heater(paper: &Paper) -> Result<Option<Amps>, Vec<Mistake>> {
    let Some(Plate { line, rated }) = paper.heater else { return Ok(None) };
    let rated = match (rated, paper.volts) {
        (Rated::Current(amps), _) => amps,
        (Rated::Power(watts), Some(volts)) => Amps(watts.0 / volts.0),
        (Rated::Power(_), None) => {
            let what = "watts of the heater need the volts of the plate: write volts 120 as well, or the heater's amps".into();
            return Err(vec![Mistake { line, what }]);
        }
    };
    Ok(Some(Amps((1_000.0 * rated.0 * RATED_LEAST.get()).floor() / 1_000.0)))
}

/// What each part is called: as its heading says, "dry", or by its number among the waters.
fn part_names(waters: &[Water]) -> Vec<String> {
    let mut count = 0;
    let mut name = |water: &Water| {
        count += usize::from(!water.is_drying());
        match &water.name {
            Some(name) => name.clone(),
            None if water.is_drying() => "dry".into(),
            None => format!("water {count}"),
        }
    };
    waters.iter().map(&mut name).collect()
}

/// The intervals of a water, each with its line.
fn intervals(water: &Water, part: &str, heater: Option<Amps>) -> Vec<(Expected, usize)> {
    let mut all: Vec<(Expected, usize)> = Vec::new();
    for (i, (line, step)) in water.steps.iter().enumerate() {
        let mut own = interval(step, part);
        // How much colder purges make the water after a hold, no sheet says: then how warm it leaves says nothing of the hold.
        let thinned = water.steps[i..].iter().any(|(_, later)| later.purges.high > 0);
        own.until = own.until.filter(|_| !thinned);
        own.amps = heater.filter(|_| own.kind == Kind::Heat).map(|low| Limits { low, high: Amps(MOST_AMPS) });
        let rest = rest_of_hold(step, &own.name);
        all.push((own, *line));
        all.extend(rest.map(|rest| (rest, *line)));
    }
    numbered(&mut all);
    all
}

fn interval(step: &Step, part: &str) -> Expected {
    let kind = step.does.kind();
    let word = if step.does == Does::HeatedDry { "heated dry" } else { kind.word() };
    let name = match &step.name {
        Some(name) => name.clone(),
        None if part == word || part == "dry" => word.to_owned(),
        None if part.ends_with(word) => part.to_owned(),
        None => format!("{part} {word}"),
    };
    // A hold lasts until the water is warm, whatever is printed beside it.
    let lasts = step.time.filter(|_| step.until.is_none()).map(|time| limits(step.does, time));
    Expected { may: step.may, lasts, until: step.until, purges: step.purges, ..Expected::new(name, kind) }
}

/// What a water that is warm early is washed for without heat, up to the printed time.
fn rest_of_hold(step: &Step, hold: &str) -> Option<Expected> {
    let time = step.time.filter(|_| step.until.is_some())?;
    let lasts = Limits { low: Seconds(0.0), ..limits(Does::Wash, time) };
    let name = format!("{hold}, once warm");
    Some(Expected { may: true, lasts: Some(lasts), purges: step.purges, ..Expected::new(name, Kind::Wash) })
}

/// How long what is printed so lasts.
fn limits(does: Does, time: Time) -> Limits<Seconds> {
    let rough = 1.0 + if matches!(does, Does::Fill | Does::Drain) { ROUGH_WATER.get() } else { ROUGH.get() };
    let Limits { low, high } = match time {
        Time::About(time) => Limits { low: time / rough, high: time * rough },
        // The paper says itself how much it varies.
        Time::Between(limits) => limits,
    };
    let rounded = ROUNDED.get();
    let (low, high) = ((low - rounded).max(Seconds(0.0)), (high + rounded).min(Seconds(LONGEST)));
    Limits { low: Seconds(low.0.round()), high: Seconds(high.0.round()) }
}

/// Intervals of a part that have one name are numbered.
fn numbered(all: &mut [(Expected, usize)]) {
    for i in 1..all.len() {
        let name = all[i].0.name.clone();
        let before = all[..i].iter().filter(|(e, _)| e.name == name).count();
        if before > 0 {
            all[i].0.name = format!("{name} {}", before + 1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    fn drawn(text: &str) -> Drawn {
        chart(&parse(text.as_bytes()).unwrap()).unwrap()
    }

    fn refused(text: &str) -> Vec<(usize, String)> {
        chart(&parse(text.as_bytes()).unwrap()).unwrap_err().into_iter().map(|m| (m.line, m.what)).collect()
    }

    /// As somebody would write it by hand, from the constants as they are said: half a minute is a quarter less or more, and rough by a fifth, or by half.
    #[test]
    fn a_printed_time_is_rough() {
        let drawn = drawn("fill 1:30\nwash 4\nwash 8-12\ndrain 1\ndry 20 + heat\n");
        let lasts = |l: Option<Limits<Seconds>>| l.map(|l| (l.low.0, l.high.0));
        let all: Vec<_> =
            drawn.chart.parts.iter().flat_map(|p| &p.intervals).map(|i| lasts(i.lasts).unwrap()).collect();
        assert_eq!(all, [(45.0, 150.0), (185.0, 303.0), (465.0, 735.0), (25.0, 105.0), (985.0, 1455.0)]);
        assert!(drawn.chart.parts.iter().flat_map(|p| &p.intervals).all(|i| i.amps.is_none()));
    }

    #[test]
    fn a_hold_has_no_time_and_is_washed_on_if_it_is_warm_early() {
        let drawn = drawn("fill 1:30\nwash 4 + heat to 55 C\ndrain 1\n");
        let [_, hold, rest, _] = &drawn.chart.parts[0].intervals[..] else { panic!("{drawn:?}") };
        assert_eq!(
            (hold.kind, hold.lasts, hold.until, hold.may),
            (Kind::Heat, None, Some(tubtrace_units::Celsius(55.0)), false)
        );
        assert_eq!((rest.kind, rest.may, rest.lasts.map(|l| l.low.0)), (Kind::Wash, true, Some(0.0)));
    }

    #[test]
    fn only_a_rating_says_what_is_drawn() {
        let drawn = drawn("volts 120\nheater 800 W\nfill 1\nheat to 55 C\ndrain 1\ndry 10 + heat\n");
        let all = drawn.chart.parts.iter().flat_map(|p| &p.intervals);
        let amps: Vec<_> = all.filter_map(|i| Some((i.kind, i.amps?))).collect();
        // 800 W / 120 V, nine tenths of nine tenths of it.
        assert_eq!(amps, [(Kind::Heat, Limits { low: Amps(5.4), high: Amps(MOST_AMPS) })]);
    }

    #[test]
    fn waters_are_parts() {
        let text = "fill 1\nwash 4\ndrain 1\nrinse: 1-2 times\nfill 1\nrinse 2\ndrain 1\nfill 1\nwash 2\ndrain 1\nmay rinse\ndry 20\n";
        let drawn = drawn(text);
        let parts: Vec<_> = drawn
            .chart
            .parts
            .iter()
            .map(|p| (&*p.name, p.times.low, p.times.high, p.intervals.len()))
            .collect();
        assert_eq!(
            parts,
            [
                ("water 1", 1, 1, 3),
                ("rinse", 1, 2, 3),
                ("water 3", 1, 1, 3),
                ("rinse", 0, 1, 3),
                ("dry", 1, 1, 1)
            ]
        );
    }

    #[test]
    fn what_has_no_place_is_told_by_line() {
        assert!(
            refused("fill 1\ndrain 1\nmay rinse\n")[0]
                == (3, refused("fill 1\ndrain 1\nmay rinse\n")[0].1.clone())
        );
        assert!(refused("fill 1\ndrain 1\nmay rinse\n")[0].1.contains("write \"may rinse:\" as a heading"));
        assert_eq!(
            refused("prewash:\nmain:\nfill 1\nend:\n").iter().map(|m| m.0).collect::<Vec<_>>(),
            [1, 4]
        );
        assert!(refused("may fill 1\n")[0].1.contains("may be left out"));
        assert!(refused("heater 800 W\nfill 1\n")[0].1.contains("volts 120"));
        assert!(refused(&"fill 1\ndrain 1\n".repeat(300))[0].1.contains("more than 500 intervals"));
    }
}
