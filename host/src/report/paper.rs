//! A sheet as it was understood, to compare with the paper: a strip of the cycle, and each line with the limits that it becomes.

use std::fmt::Write;

use tubtrace_units::{Celsius, Seconds};

use super::strip::{INDENT, look};
use super::style::{FAINT, HEAD, WIDTH};
use super::units::Units;
use super::words::{lasts, minutes};
use crate::chart::{Expected, Limits, Part};
use crate::sheet::{Change, Drawn, Options, Says, Step, Time, Water, written};
use crate::text::harmless;

/// A hold is drawn so many minutes wide: how long it takes, no sheet says.
const HOLD: Seconds = Seconds(60.0);

/// The sheet: what it comes to, its strip where one is to be drawn, and its lines.
#[must_use]
pub fn paper(drawn: &Drawn, columns: Option<usize>, units: Units) -> String {
    let mut text = format!("{HEAD}{}{HEAD:#}\n{}\n", harmless(&drawn.chart.name), comes_to(drawn));
    if let Some(columns) = columns {
        text.push('\n');
        text.push_str(&strip(drawn, columns.min(WIDTH)));
    }
    let _ = writeln!(text, "\n{FAINT}  line  {:<44}  held to{FAINT:#}", "as it is understood");
    for (i, water) in drawn.waters.iter().enumerate() {
        let part = &drawn.chart.parts[i];
        let heading = written(&Says::Heading { name: part.name.clone(), times: water.times });
        let _ = writeln!(text, "        {}", harmless(&heading));
        for (line, step) in &water.steps {
            let own = part.intervals.iter().zip(&drawn.lines[i]);
            let expected =
                own.filter(|(e, l)| *l == line && e.kind == step.does.kind()).map(|(e, _)| e).next();
            let held = expected.map_or_else(String::new, |e| held(e, step.until, units));
            let said = harmless(&written(&Says::Interval(step.clone())));
            let _ = writeln!(text, "  {line:>4}    {said:<42}  {held}");
        }
    }
    text
}

/// "5 waters, 56 min and what 2 holds take".
fn comes_to(drawn: &Drawn) -> String {
    let many = |n: usize, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
    let waters = drawn.waters.iter().filter(|w| !w.is_drying()).count();
    let steps =
        drawn.waters.iter().filter(|w| w.times.low > 0).flat_map(|w| &w.steps).filter(|(_, s)| !s.may);
    let (mut time, mut holds, mut open) = (Seconds(0.0), 0, 0);
    for (_, step) in steps {
        match (step.until, step.time) {
            (Some(_), _) => holds += 1,
            (None, Some(printed)) => time += middle(printed),
            (None, None) => open += 1,
        }
    }
    let holds = if holds == 0 { String::new() } else { format!(", and what {} takes", many(holds, "hold")) };
    let holds =
        if holds.ends_with("holds takes") { holds.replace("holds takes", "holds take") } else { holds };
    let open = if open == 0 { String::new() } else { format!("; {} without a time", many(open, "interval")) };
    let may = drawn.waters.iter().any(|w| w.times.low == 0 || w.steps.iter().any(|(_, s)| s.may));
    let may = if may { " without what may come" } else { "" };
    format!("{}, {}{may}{holds}{open}", many(waters, "water"), minutes(time))
}

fn middle(time: Time) -> Seconds {
    match time {
        Time::About(time) => time,
        Time::Between(Limits { low, high }) => (low + high) / 2.0,
    }
}

/// What a log is held to.
fn held(expected: &Expected, until: Option<Celsius>, units: Units) -> String {
    let time = match (until, expected.lasts) {
        (Some(until), _) => format!("until {}", units.temperature(until, 0)),
        (None, None) => "any time".to_owned(),
        (None, Some(Limits { low, high })) => format!("{} to {}", lasts(low), lasts(high)),
    };
    let draws = expected.amps.map_or_else(String::new, |amps| format!(", at least {:.1}", amps.low));
    time + &draws
}

/// What the machine does, drawn by time, with the names of the parts and the minutes below.
fn strip(drawn: &Drawn, columns: usize) -> String {
    let width = columns.saturating_sub(INDENT).max(1);
    let steps: Vec<(usize, &Step)> =
        drawn.waters.iter().enumerate().flat_map(|(i, w)| w.steps.iter().map(move |(_, s)| (i, s))).collect();
    let ends = ends(&steps, width);
    let (mut does, mut names, mut minutes) = (String::new(), String::new(), String::new());
    let (mut time, mut column) = (Seconds(0.0), 0);
    for (i, (part, step)) in steps.iter().enumerate() {
        if i == 0 || steps[i - 1].0 != *part {
            let last = steps.iter().rposition(|(p, _)| p == part).unwrap_or(i);
            put(
                &mut names,
                column,
                &called(&drawn.waters[*part], &drawn.chart.parts[*part], ends[last] - column),
            );
            put(&mut minutes, column, &format!("{:.0}", time / Seconds(60.0)));
        }
        time += printed(step).unwrap_or(Seconds(0.0));
        let (letter, style) = look(step.does.kind());
        let _ = write!(does, "{style}{}{style:#}", letter.to_string().repeat(ends[i] - column));
        column = ends[i];
    }
    let whole = format!("{:.0} min", time / Seconds(60.0));
    put(&mut minutes, column.saturating_sub(whole.len()), &whole);
    format!("{:INDENT$}{does}\n{:INDENT$}{names}\n{:INDENT$}{FAINT}{minutes}{FAINT:#}\n", "", "", "")
}

/// The time that stands on the paper, which a hold does not keep to.
fn printed(step: &Step) -> Option<Seconds> {
    step.time.filter(|_| step.until.is_none()).map(middle)
}

/// The column at which each interval ends: each has one of its own, and the others are shared out by time.
fn ends(steps: &[(usize, &Step)], width: usize) -> Vec<usize> {
    let lasts = |step: &Step| printed(step).unwrap_or(HOLD);
    let all: Seconds = steps.iter().map(|(_, step)| lasts(step)).sum();
    let free = width.saturating_sub(steps.len()) as f64;
    let mut at = Seconds(0.0);
    let end = |(i, (_, step)): (usize, &(usize, &Step))| {
        at += lasts(step);
        i + 1 + (free * (at / all)).round() as usize
    };
    steps.iter().enumerate().map(end).collect()
}

/// What stands under a part: its name, and, if there is room, whether it may come, or how often.
fn called(water: &Water, part: &Part, room: usize) -> String {
    let name = harmless(&part.name);
    let often = match water.times {
        Limits { low: 1, high: 1 } => String::new(),
        Limits { low: 0, high: 1 } => "may ".to_owned(),
        Limits { low, high } if low == high => format!("{low}x "),
        Limits { low, high } => format!("{low}-{high}x "),
    };
    let whole = format!("{often}{name}");
    let fits = whole.chars().count() < room;
    (if fits { whole } else { name }).chars().take(room.saturating_sub(1)).collect()
}

/// Puts a word at a column of a line, if it is free from there on.
fn put(line: &mut String, column: usize, word: &str) {
    let taken = line.chars().count();
    if taken == 0 || taken < column {
        let _ = write!(line, "{:1$}{word}", "", column - taken);
    }
}

/// Which options explain a cycle, in a sentence.
#[must_use]
pub(super) fn explained(cycle: usize, options: &Options) -> String {
    let change = |Change { line, now, instead }: &Change| match now {
        Some(now) => format!("line {line} were \"{}\" and not \"{}\"", harmless(instead), harmless(now)),
        None => format!("\"{}\" stood above line {line}", harmless(instead)),
    };
    let changes: Vec<String> = options.changes.iter().map(change).collect();
    let (how_far, then) = if options.all {
        ("within the sheet", "Look whether the paper has that choice, in another column or a note")
    } else {
        ("nearer to the sheet, and not within it", "The rest is no choice at the panel")
    };
    format!("Cycle {cycle} would be {how_far} if {}. {then}.", changes.join(", and "))
}
