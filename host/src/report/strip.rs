//! A cycle in three lines of a terminal: what it drew, what it did, and where it departed.

use std::fmt::Write;

use anstyle::{AnsiColor, Style};
use tubtrace_units::Seconds;

use super::style::{ALERT, FAINT};
use super::words::{clock_time, letter};
use crate::intervals::{Cycle, Kind};
use crate::trace::Trace;

/// Eighths of a character's height.
const EIGHTHS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// Spaces before each line.
pub(super) const INDENT: usize = 2;

/// The strip of a cycle, `columns` wide, with these signs under these times.
#[must_use]
pub(super) fn strip(trace: &Trace, cycle: &Cycle, columns: usize, signs: &[(Seconds, String)]) -> String {
    let width = columns.saturating_sub(INDENT).max(1);
    let (start, each) = (cycle.start(), cycle.duration() / width as f64);
    let column = |i: usize| (start + each * i as f64, start + each * (i + 1) as f64);
    let (mut drawn, mut does) = (String::new(), String::new());
    let most = trace.between(start, cycle.end()).map(|s| s.power.0).fold(f64::MIN_POSITIVE, f64::max);
    for (from, to) in (0..width).map(column) {
        let peak = trace.between(from, to).map(|s| s.power.0).reduce(f64::max);
        drawn.push(peak.map_or(' ', |watts| bar(watts / most)));
        let kind = rarest(cycle, from, to);
        let (letter, style) = look(kind);
        let _ = write!(does, "{style}{letter}{style:#}");
    }
    let mut text = format!("{:INDENT$}{drawn}\n{:INDENT$}{does}\n", "", "");
    if !signs.is_empty() {
        let line = under(signs, width, |at| ((at - start) / each) as usize);
        let _ = writeln!(text, "{:INDENT$}{ALERT}{line}{ALERT:#}", "");
    }
    text.push_str(&ends(trace, cycle, width));
    text
}

/// What the letters mean.
pub(super) fn legend() -> String {
    let all = [Kind::Fill, Kind::Wash, Kind::Heat, Kind::Purge, Kind::Drain, Kind::Dry, Kind::Stall];
    let words: Vec<String> = all
        .into_iter()
        .map(|kind| {
            let (letter, style) = look(kind);
            format!("{style}{letter}{style:#} {kind}")
        })
        .collect();
    format!("  {}  {FAINT}(bars: square root){FAINT:#}\n", words.join("  "))
}

/// Square roots: a valve shows beside a heater.
fn bar(part: f64) -> char {
    EIGHTHS[((part.clamp(0.0, 1.0).sqrt() * EIGHTHS.len() as f64) as usize).min(EIGHTHS.len() - 1)]
}

/// What is shorter than a column must not be lost in it: what comes least often in a cycle wins.
fn rarest(cycle: &Cycle, from: Seconds, to: Seconds) -> Kind {
    let within = cycle.intervals.iter().filter(|i| i.start < to && i.end > from);
    let rank = |kind: Kind| match kind {
        Kind::Gap => 0,
        Kind::Stall => 1,
        Kind::Purge => 2,
        Kind::Fill => 3,
        Kind::Drain => 4,
        Kind::Dry => 5,
        Kind::Heat => 6,
        Kind::Wash => 7,
        Kind::Pause => 8,
    };
    within.map(|i| i.kind).min_by_key(|k| rank(*k)).unwrap_or(Kind::Pause)
}

/// Its letter, and how that looks.
pub(super) fn look(kind: Kind) -> (char, Style) {
    let style = match kind {
        Kind::Fill => AnsiColor::Blue.on_default(),
        Kind::Wash => AnsiColor::Cyan.on_default(),
        Kind::Heat => AnsiColor::Red.on_default(),
        Kind::Purge => AnsiColor::Magenta.on_default(),
        Kind::Drain => AnsiColor::Green.on_default(),
        Kind::Dry => AnsiColor::Yellow.on_default(),
        Kind::Stall | Kind::Gap => ALERT,
        Kind::Pause => FAINT,
    };
    (letter(kind), style)
}

/// Signs in their columns; what would fall on another is moved behind it.
fn under(signs: &[(Seconds, String)], width: usize, column: impl Fn(Seconds) -> usize) -> String {
    let mut line = String::new();
    for (at, sign) in signs {
        let (taken, place) = (line.chars().count(), column(*at).min(width.saturating_sub(1)));
        let gap = if taken == 0 { place } else { place.saturating_sub(taken).max(1) };
        let _ = write!(line, "{:gap$}{sign}", "");
    }
    line
}

/// When it began and ended, under its ends.
fn ends(trace: &Trace, cycle: &Cycle, width: usize) -> String {
    let (start, end) = (clock_time(trace, cycle.start()), clock_time(trace, cycle.end()));
    let between = width.saturating_sub(start.len() + end.len()).max(1);
    format!("{:INDENT$}{FAINT}{start}{:between$}{end}{FAINT:#}\n", "", "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_that_share_a_column_stand_side_by_side() {
        let signs = [(Seconds(2.0), "1".to_owned()), (Seconds(2.0), "2".into()), (Seconds(9.0), "3".into())];
        assert_eq!(under(&signs, 10, |at| at.0 as usize), "  1 2    3");
    }

    #[test]
    fn heights_are_square_roots() {
        assert_eq!([0.0, 0.02, 0.25, 1.0].map(bar), ['▁', '▂', '▅', '█']);
    }
}
